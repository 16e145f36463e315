package supply

import (
	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/rectifier"
)

// lossFactor is the dissipation factor that a filter capacitor is taken to
// have at twice the mains frequency (from memory: electrolytics of some
// hundred volts have 0.1 to 0.2; the lower figure gives the higher current).
const lossFactor = 0.1

// filmLoss is the same of film and oil capacitors (from memory: film has 0.0005
// to 0.003, oil and paper somewhat more): hardly any resistance of their own
// holds a flash-over.
const filmLoss = 0.003

// electrolytic is the voltage that no electrolytic stands [V]: they are sold up
// to 550 V (common practice), and those overstressed are still electrolytics.
const electrolytic = 700.0

// loss is the dissipation factor taken for a capacitor at a voltage [V].
func loss(volts float64) float64 {
	if volts > electrolytic {
		return filmLoss
	}
	return lossFactor
}

// inLoop is the method behind the flash-over.
var inLoop = ledger.Method{
	Words: ledger.Say("A tube flashes over with the bank at its highest voltage: bank, its own resistance, glitch resistor and the " +
		"inductance of the loop in series, the arc without resistance, solved in closed form. The rectifier adds nothing in that " +
		"millisecond."),
	Source: source.SeriesCircuit,
}

// fault enters the bank's discharge into a flash-over.
func (w *work) fault() {
	c, p := &w.Spec.Supply.Capacitors, &w.p
	esr := w.Get("supply.capacitor_resistance_each")
	l := w.Take("supply.fault_inductance", "Inductance of the loop of a flash-over", "H", c.Wiring)
	r := w.Compute("supply.fault_resistance", "Resistance of the loop of a flash-over", loopOhms,
		ledger.With{"R_g": w.in.Glitch, "N": w.count, "R_1": esr})
	run, err := rectifier.Fault{Voltage: w.highest.Value, Capacitance: w.total.Value, Bank: r.Value - w.in.Glitch.Value,
		Glitch: w.in.Glitch.Value, Inductance: l.Value}.Run()
	if err != nil { // only for values out of range, which a plan does not have
		return
	}
	w.res.Fault = run
	enter := func(id, name string, v float64, unit string) *ledger.Quantity {
		return w.Solved("supply.fault_"+id, name, v, unit, inLoop, w.highest, w.total, r, l)
	}
	peak := enter("peak_current", "Current into a flash-over, peak", run.Peak, "A")
	when := enter("peak_time", "Time from the flash-over to the peak", run.PeakTime, "s")
	action := enter("action", "Current squared times time of a flash-over, from the bank", run.Action, "A²s")
	glitch := enter("glitch_energy", "Energy in the glitch resistor in a flash-over", run.GlitchEnergy, "J")
	enter("bank_energy", "Energy in the filter capacitors themselves in a flash-over", run.BankEnergy, "J")
	w.Compute("supply.fault_time_constant", "Time constant of the discharge into a flash-over", loopDecay,
		ledger.With{"R": r, "C": w.total})
	var follow *ledger.Quantity
	if p.Choke.Light > 0 {
		follow = w.Compute("supply.fault_follow_current", "Secondary current that follows while the short lasts", followDC,
			ledger.With{"V_m": w.meanOfSine(), "R_s": w.source, "R_c": w.chokeOhms, "R_g": w.in.Glitch})
	} else {
		follow = w.Compute("supply.fault_follow_current", "Secondary current that follows while the short lasts, rms", followOn,
			ledger.With{"V_s": w.secondaryVoltage, "R_s": w.source, "R_g": w.in.Glitch, "f": w.mainsFrequency, "L_s": w.leakage})
	}
	w.Compute("supply.fault_mains_current", "Mains current that follows while the short lasts", toPrimary,
		ledger.With{"I_s": follow, "n": w.ratio})
	taken := ledger.Say("{glitch} in the glitch resistor", ledger.Q("glitch", glitch))
	if w.in.Glitch.Value <= 0 {
		taken = ledger.Say("no glitch resistor takes any of it")
	}
	// Only what is fitted can open.
	last := "a fuse opens"
	opens := ledger.Say("A high-voltage fuse whose melting integral is below {action} opens on the bank's charge alone; a larger "+
		"one is left to the transformer's current.", ledger.Q("action", action))
	breaks := ledger.Say("The mains fuse must open on {supply.fault_mains_current}.")
	protection := &w.Spec.Protection
	if protection.MainsFuse.Fitted.Denied() {
		breaks = ledger.Say("There is no mains fuse: the breaker at the wall must open on {supply.fault_mains_current}.")
	}
	if protection.HVFuse.Fitted.Denied() {
		opens = ledger.Say("There is no high-voltage fuse to open on the bank's charge.")
		if protection.MainsFuse.Fitted.Denied() {
			last = "the breaker at the wall opens"
		}
	}
	f := ledger.Finding{Severity: ledger.Note, ID: "supply.fault", Stage: "supply",
		Quantities: []string{peak.ID, action.ID, glitch.ID, follow.ID},
		Text: ledger.Say("A tube that flashes over draws up to {peak} from the bank, reached after {when} and gone with a time "+
			"constant of {supply.fault_time_constant}: {taken}, and {action} through everything in the loop. After that the "+
			"transformer "+
			"drives {follow} into the short, {supply.fault_mains_current} from the mains, until {last}.", ledger.Q("peak", peak),
			ledger.Q("when", when), ledger.In("taken", taken), ledger.Q("action", action), ledger.Q("follow", follow),
			ledger.Called("last", last)),
		Advice: opens.Then(breaks)}
	if run.Left < 0 {
		f.Severity = ledger.Caution
		f.Text = ledger.Say("Nothing damps the loop of a flash-over: it rings, with {peak} at the peak, and would charge the bank "+
			"backwards to {left} through the arc; the rectifier diodes then carry the current. {text}", ledger.Q("peak", peak),
			ledger.Of("left", -run.Left, "V"), ledger.In("text", f.Text))
		f.Advice = ledger.Say("Fit a glitch resistor of 10 Ω or more. {advice}", ledger.In("advice", f.Advice))
	}
	w.Find(f)
}
