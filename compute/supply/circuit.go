package supply

import (
	"fmt"
	"math"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/preferred"
	"anodebook/compute/rectifier"
	"anodebook/compute/rules"
	"anodebook/compute/source"
	"anodebook/spec"
)

// byCharging is the method behind the step-start figures.
var byCharging = ledger.Method{
	Words:  "The bank charges through step-start resistor and source resistance; the current is averaged over each half period of the rectified sine, (2/π)·(sin φ - x·φ)·V_0/R with cos φ = x = V/V_0, and integrated over the charging, with the bleeders as load.",
	Source: source.CircuitLaws,
}

var pulseTimes = []float64{0.25, 0.5, 1, 2, 3, 5, 10, 20}

// stepStart enters the switch-on through R4 and without it.
func (w *work) stepStart() {
	s, p, m := &w.Spec.Supply.StepStart, &w.p, &w.Spec.Margins
	primary := w.primary(w.res.Full.SecondaryCurrent)
	r := w.TakeOr("supply.step_start_resistance", "Step-start resistor in the primary", "Ω", s.Resistance, preferred.E12.Nearest(w.mainsVoltage.Value/primary),
		"so that the first crest of primary current is no higher than the crest in ordinary running at full output were a sine")
	back := w.Compute("supply.step_start_reflected", "Step-start resistor seen at the secondary", reflected, ledger.With{"R_4": r, "n": w.ratio})
	total := back.Value + w.source.Value

	ninety, _ := chargingTime(0.9)
	want := desk.NextUp(1.5*ninety*p.chargingScale(total), pulseTimes)
	t := w.TakeOr("supply.step_start_time", "Time until the contactor shorts the step-start resistor", "s", s.Time, want,
		"half as long again as the bank needs to nine tenths of its voltage")
	x, heat := p.charging(t.Value, total)
	reached := w.Solved("supply.step_start_reached", "Charge of the bank when the contactor closes, of the voltage without load", x, "%", byCharging, r, t, w.total, w.bleeders)
	joule := w.Solved("supply.step_start_energy", "Energy in the step-start resistor at each switch-on", heat*w.total.Value*w.noLoad.Value*w.noLoad.Value*back.Value/total, "J", byCharging, r, t, w.total, w.noLoad)
	surged := w.Compute("supply.surge_current_step_start", "Secondary current at switch-on through the step-start resistor, peak", surgeStep, ledger.With{"V_s": w.secondaryVoltage, "R_s": w.source, "R_r": back})
	first := w.Compute("supply.primary_surge_step_start", "Primary current at switch-on through the step-start resistor, peak", toPrimary, ledger.With{"I_s": surged, "n": w.ratio})
	shut := w.Compute("supply.closing_current", "Secondary current when the contactor closes at the crest, peak", closing, ledger.With{"V_s": w.secondaryVoltage, "x": reached, "R_s": w.source})
	direct := w.Compute("supply.primary_surge", "Primary current at switch-on without step start, peak", toPrimary, ledger.With{"I_s": w.surge, "n": w.ratio})
	w.res.StepResistance, w.res.StepTime = r.Value, t.Value

	dd := &w.Spec.Supply.Diodes
	worst := surged
	if shut.Value > worst.Value {
		worst = shut
	}
	w.Check(desk.Hold{Part: "D2", Name: "Rectifier diode", Kind: "surge", Stress: worst, Have: dd.Surge, Factor: m.Current,
		Why: "first crest through the step-start resistor, or the crest when the contactor closes", Advice: "A longer step-start time or a larger resistor lowers it."})
	if w.surge.Value > dd.Surge.SI {
		w.Find(ledger.Finding{
			Severity: ledger.Caution, ID: "supply.surge", Stage: "supply", Quantities: []string{w.surge.ID},
			Text:   fmt.Sprintf("Without step start the first crest would be %s, above the %s that one diode stands: a contactor K3 that sticks closed destroys the rectifier at the next switch-on.", w.surge.Text(), desk.Show(dd.Surge.SI, "A")),
			Advice: "Interlock K3 so that the supply cannot be switched on while its contact is closed, or use diodes of a greater surge rating.",
		})
	}

	// Heat of one pulse against the resistor's short-time overload.
	five := w.Catalogue("supply.overload_time", "How long a wirewound resistor takes five times its rated power", 5, "s", source.WirewoundOverload.Title)
	rated := s.Power.SI
	if !s.Power.Given {
		rated = desk.NextUp(joule.Value*m.Power.Value/(5*five.Value), desk.ResistorPowers)
	}
	power := w.powerOf(s.Power, rated)
	pulse := w.Compute("supply.step_start_pulse_rating", "Energy that the step-start resistor takes in one pulse", shortTime, ledger.With{"P": power, "t_5": five})
	w.Check(desk.Hold{Part: "R4", Name: "Step-start resistor", Kind: "energy", Stress: joule, Rating: pulse.Value, Bought: !s.Power.Given, Factor: m.Power,
		Why: "charging the empty bank once", Advice: "Use a wirewound resistor of higher power; wait a minute between two switch-ons.", Source: source.WirewoundOverload})
	stuck := ""
	slow := p.Supply
	slow.SourceResistance += back.Value
	slow.LoadCurrent = w.in.IdleCurrent.Value
	if held, err := rectifier.SteadyState(slow); err == nil {
		q := w.Solved("supply.step_start_stuck_power", "Heat in the step-start resistor if the contactor never closes, tubes idling", held.SourceLoss*back.Value/total, "W", inTime, r, w.in.IdleCurrent)
		stuck = fmt.Sprintf(" If K3 never closes it burns %s with the tubes idling, and far more with drive: make the transmit relays wait for K3.", q.Text())
	} else {
		stuck = " If K3 never closes the supply breaks down even at idle: make the transmit relays wait for K3."
	}
	w.Part(ledger.Part{Designator: "R4", Name: "Step-start resistor, wirewound", Stage: "supply", Given: s.Resistance.Given, Value: r.Text(),
		Rating: fmt.Sprintf("%s, one pulse of %s", desk.Show(rated, "W"), joule.Text()),
		Note:   "On mains potential whenever the amplifier is plugged in: mount it where no hand or wire reaches it, away from anything that burns." + stuck})
	w.Part(ledger.Part{Designator: "K3", Name: "Step-start contactor", Stage: "supply", Value: fmt.Sprintf("closes after %s", t.Text()),
		Rating: fmt.Sprintf("contacts for %s at %s", desk.Show(1.25*primary, "A"), w.mainsVoltage.Text()),
		Note:   "Its contacts carry the whole primary current at mains voltage. It must drop out when the mains fails, or the next switch-on has no step start."})
	w.Find(ledger.Finding{
		Severity: ledger.Note, ID: "supply.step_start", Stage: "supply", Quantities: []string{w.surge.ID, surged.ID, first.ID, reached.ID},
		Text:   fmt.Sprintf("Switched on at the crest with an empty bank, the primary would see up to %s; through %s it sees %s. After %s the bank is at %s, and the contactor closes onto about %s in the secondary.", direct.Text(), r.Text(), first.Text(), t.Text(), reached.Text(), shut.Text()),
		Advice: "The transformer's own magnetising inrush comes on top and is not in these figures.",
	})
}

// powerOf enters the rated power of the step-start resistor.
func (w *work) powerOf(q spec.Quantity, chosen float64) *ledger.Quantity {
	return w.TakeOr("supply.step_start_power", "Rated power of the step-start resistor", "W", q, chosen, "the next standard rating whose short-time overload takes the energy of one switch-on with margin")
}

// primary returns the rms primary current [A] for an rms winding current.
func (w *work) primary(secondary float64) float64 {
	if w.p.Supply.Circuit == rectifier.CentreTap {
		secondary *= math.Sqrt2
	}
	return secondary * w.ratio.Value
}

// circuit enters mains current, fuse and branch circuit.
func (w *work) circuit() {
	m := &w.Spec.Supply.Mains
	f := toPrimary
	if w.p.Supply.Circuit == rectifier.CentreTap {
		f = toPrimaryCT
	}
	idleWinding := w.Solved("supply.secondary_current_idle", "Secondary current, tubes idling, rms", w.res.Idle.SecondaryCurrent, "A", inTime, w.secondaryVoltage, w.source, w.total, w.in.IdleCurrent)
	full := w.Compute("supply.primary_current", "Primary current of the plate transformer at full output, rms", f, ledger.With{"I_s": w.windingCurrent, "n": w.ratio})
	idle := w.Compute("supply.primary_current_idle", "Primary current of the plate transformer, tubes idling, rms", f, ledger.With{"I_s": idleWinding, "n": w.ratio})
	what := "plate transformer alone; filament, blower and control come on top"
	if w.in.FilamentPower != nil {
		what = "plate transformer and filament supply"
		full = w.Compute("supply.mains_current", "Mains current at full output, rms", withFilament, ledger.With{"I_1": full, "P_f": w.in.FilamentPower, "V_m": w.mainsVoltage})
		idle = w.Compute("supply.mains_current_idle", "Mains current, tubes idling, rms", withFilament, ledger.With{"I_1": idle, "P_f": w.in.FilamentPower, "V_m": w.mainsVoltage})
	}
	w.res.MainsCurrent, w.res.MainsIdle = full.Value, idle.Value
	long := w.Compute("supply.circuit_continuous", "Rating of the mains circuit for a continuous load", continuous, ledger.With{"I": full})
	w.Check(desk.Hold{Part: "F1", Name: "Branch circuit at the wall", Kind: "current", Stress: full, Have: m.Circuit, Standard: []float64{15, 20, 25, 30, 35, 40, 45, 50},
		Factor: spec.Ratio{Value: rules.ContinuousLoadFactor}, Why: "full output, " + what + "; the factor is that of a continuous load", Source: source.ContinuousLoad,
		Advice: "Lower the output or have a larger circuit installed. The local electrical code and a licensed electrician decide."})
	w.res.MainsFuse = desk.NextUp(1.25*full.Value, []float64{1, 2, 3, 4, 5, 6.3, 8, 10, 12, 15, 20, 25, 30, 35, 40, 50})
	circuit := "No tabulated circuit up to 50 A carries that: "
	if c, err := rules.BranchCircuit(full.Value, true); err == nil {
		circuit = fmt.Sprintf("US practice would be a circuit of %.0f A", c.Breaker)
		if c.Gauge > 0 {
			circuit += fmt.Sprintf(" in copper of AWG %d", c.Gauge)
		}
		circuit += ": "
	}
	w.Find(ledger.Finding{
		Severity: ledger.Note, ID: "supply.mains_circuit", Stage: "supply", Quantities: []string{full.ID, idle.ID, long.ID},
		Text:   fmt.Sprintf("The mains current is %s at full output and %s idling (%s). For a load of three hours and more, conductors and breaker must be rated for 125 %% of it, %s. %sadvice for planning, not a rating.", full.Text(), idle.Text(), what, long.Text(), circuit),
		Advice: "The local electrical code and a licensed electrician decide on circuit, wire, plug and protective earth.",
	})
	fuses := 1
	if w.Spec.Supply.Mains.Frequency.SI > 55 && w.mainsVoltage.Value > 180 {
		fuses = 2 // 240 V between two live conductors, as with 60 Hz mains
	}
	w.Part(ledger.Part{Designator: "F1", Name: "Mains fuse, slow-blow, one in each live conductor", Count: fuses, Stage: "supply", Value: desk.Show(w.res.MainsFuse, "A"), Rating: w.mainsVoltage.Text(),
		Note: "Not above the rating of wire, plug and circuit. Replace it only with the plug out, and find out first why it blew."})
	w.Part(ledger.Part{Designator: "P1", Name: "Mains plug and cord with protective earth", Stage: "supply", Rating: w.mainsVoltage.Text() + ", " + desk.Show(desk.NextUp(1.25*full.Value, desk.Currents), "A"),
		Note: "Pulled and in sight before any cover comes off. Plug, cord and earth as the local electrical code says."})
	w.Part(ledger.Part{Designator: "S5", Name: "Cover interlock, opens the primary when any cover is lifted", Stage: "supply", Rating: w.mainsVoltage.Text() + ", " + desk.Show(desk.NextUp(1.25*full.Value, desk.Currents), "A"),
		Note: "It keeps no charge away: the bank stays charged when it opens. Never defeat it, never rely on it."})
	w.Part(ledger.Part{Designator: "S2", Name: "Mains switch, opens every live conductor", Stage: "supply", Value: w.mainsVoltage.Text(), Rating: desk.Show(desk.NextUp(1.25*full.Value, desk.Currents), "A"),
		Note: "Off is not dead: the filter bank stays charged and the wires ahead of the switch stay live. The plug out is the only proof."})
}
