package supply

import (
	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/rectifier"
)

// serviceWords say in which condition the service current flows.
var serviceWords = map[string]string{"voice": "in speech", "cw": "in Morse", "data": "in data modes"}

// mainsCurrent enters line current and power factor in one condition.
func (w *work) mainsCurrent(suffix, words string, state rectifier.Result, plate *ledger.Quantity) *ledger.Quantity {
	winding := w.windingCurrent
	if suffix != "" {
		id := "supply.secondary_current" + suffix
		q, ok := w.Lookup(id)
		if !ok {
			q = w.Solved(id, "Secondary current, "+words+", rms", state.SecondaryCurrent, "A", inTime, w.secondaryVoltage, w.source,
				w.total, plate)
		}
		winding = q
	}
	f, with := toPrimary, ledger.With{"I_s": winding, "n": w.ratio}
	if w.p.halves() { // what flows in both at once, while the current goes over from one to the other, cancels in the primary
		both := w.Solved("supply.both_halves_current"+suffix,
			"Current of both halves of the secondary together, seen at one, "+words+", rms",
			state.SourceCurrent, "A", inTime, w.secondaryVoltage, w.source, w.total, plate)
		f, with = toPrimaryCT, ledger.With{"I_12": both, "n": w.ratio}
	}
	first := w.Compute("supply.primary_current"+suffix, "Primary current of the plate transformer, "+words+", rms", f, with)
	power := w.Solved("supply.mains_power"+suffix, "Power into the plate transformer, "+words, state.SourcePower, "W", inTime,
		w.secondaryVoltage, w.source, plate)
	w.Compute("supply.power_factor"+suffix, "Power factor of the plate supply, "+words, factor,
		ledger.With{"P_1": power, "V_m": w.mainsVoltage, "I_1": first})
	if w.in.FilamentPower == nil {
		return first
	}
	heater, ok := w.Lookup("supply.filament_mains_current")
	if !ok {
		heater = w.Compute("supply.filament_mains_current", "Mains current of the filament supply", inPhase,
			ledger.With{"P_f": w.in.FilamentPower, "V_m": w.mainsVoltage})
	}
	return w.Compute("supply.mains_current"+suffix, "Mains current, "+words+", rms", withFilament,
		ledger.With{"I_1": first, "I_f": heater, "P_1": power, "V_m": w.mainsVoltage})
}

// otherVoltages enters what the same amplifier would draw from the other
// usual mains voltages.
func (w *work) otherVoltages(full *ledger.Quantity) {
	type mains struct {
		id, name string
		volts    float64
	}
	var most *ledger.Quantity
	for _, o := range []mains{{"120v", "120 V", 120}, {"230v", "230 V", 230}, {"240v", "240 V", 240}} {
		if v := w.mainsVoltage.Value / o.volts; v > 0.99 && v < 1.01 {
			continue
		}
		other := w.Catalogue("supply.other_mains_"+o.id, "Another usual mains voltage", o.volts, "V", source.CommonPractice.Title)
		q := w.Compute("supply.mains_current_on_"+o.id, "Mains current at full output on "+o.name, otherMains,
			ledger.With{"I": full, "V_m": w.mainsVoltage, "V_2": other})
		if o.volts > 180 {
			most = q
		}
	}
	m := &w.practice
	if most != nil && w.mainsVoltage.Value < 180 && full.Value > m.Ordinary/m.Continuous {
		w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.low_mains", Stage: "supply", Quantities: []string{full.ID, most.ID},
			Text: ledger.Say("On {mains_voltage} the amplifier draws {full} at full output, more than the {ordinary} that a circuit "+
				"of {ordinary_2} carries for hours; on 240 V it would draw {most}, and the voltage lost in the wiring would be a "+
				"quarter "+
				"of the share.", ledger.Q("mains_voltage", w.mainsVoltage), ledger.Q("full", full),
				ledger.In("ordinary", amps(m.Ordinary/m.Continuous)), ledger.In("ordinary_2", amps(m.Ordinary)),
				ledger.Q("most", most)),
			Advice: ledger.Say("Have a 240 V circuit put in, or one of a higher rating. " + electrician)})
	}
}

// circuit enters mains current, branch circuit, fuse and cord.
func (w *work) circuit() {
	what := "plate transformer alone; filament, blower and control come on top"
	if w.in.FilamentPower != nil {
		what = "plate transformer and filament supply"
	}
	idle := w.mainsCurrent("_idle", "tubes idling", w.res.Idle, w.in.IdleCurrent)
	service := w.mainsCurrent("_service", serviceWords[w.Spec.Target.Duty.Value], w.res.Service, w.in.ServiceCurrent)
	full := w.mainsCurrent("", "at full output", w.res.Full, w.in.PlateCurrent)
	w.otherVoltages(full)
	w.wall(full, service, idle, what)
	w.mainsFuse(full)
	w.cord(full)
	rating := ledger.Say("{insulated}, {contacts}", ledger.In("insulated", w.insulated()),
		ledger.In("contacts", amps(w.contacts(full.Value))))
	if !w.Spec.Protection.Interlock.Fitted.Denied() {
		w.Part(ledger.Part{Designator: "S5", Name: "Cover interlock, opens the primary when any cover is lifted", Stage: "supply",
			Rating: rating,
			Note:   ledger.Say("It keeps no charge away: the bank stays charged when it opens. Never defeat it, never rely on it.")})
	}
	w.Part(ledger.Part{Designator: "S2", Name: "Mains switch, opens every live conductor", Stage: "supply",
		Value: ledger.Say("{mains_voltage}", ledger.Q("mains_voltage", w.mainsVoltage)), Rating: amps(w.contacts(full.Value)),
		Note: ledger.Say("Off is not dead: the filter bank stays charged and the wires ahead of the switch stay live. The plug out is " +
			"the only proof.")})
}
