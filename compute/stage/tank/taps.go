package tank

import (
	"fmt"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/winding"
)

// tapping collects what the taps of all bands have in common.
type tapping struct {
	main, high          []Tap
	optimistic, unwound []string
	short               []string // bands that the whole coil is too small for
	qualities           []string
	resonant            []string
}

// tap finds where a band's wiper stands and what follows from it.
func (w *worker) tap(b *BandResult, main, high *shape, list *tapping) {
	d := w.d
	id := "tank." + b.Name + "."
	s, l := main, w.onMain(b, high)
	if l == nil {
		s, l, b.OnHighCoil = high, d.Get(id+"inductance"), true
	}
	if s.whole.Turns == 0 {
		list.unwound = append(list.unwound, b.Name)
		return
	}
	shorted := d.Spec.Tank.Switch.Unused.Value != "open"
	p, err := s.whole.Tap(l.Value, shorted)
	if err != nil {
		if l.Value > s.whole.Inductance() {
			list.short = append(list.short, b.Name)
			d.Find(ledger.Finding{Severity: ledger.Exceeds, ID: id + "coil_range", Stage: "tank",
				Quantities: []string{l.ID, s.key + "_inductance"},
				Text: ledger.Say("On {on} the tank needs {l} of the {name}, which has only {inductance} with all of its {turns}.",
					ledger.OnBand("on", b.Name), ledger.Q("l", l), ledger.Called("name", s.name),
					ledger.Of("inductance", s.whole.Inductance(), "H"), ledger.Counted("turns", s.whole.Turns, "turn", 3)),
				Advice: ledger.Say("Wind more turns or a greater diameter, or raise the loaded Q on this band: that wants less " +
					"inductance.")})
		} else {
			list.unwound = append(list.unwound, b.Name)
		}
		return
	}
	method := byTap
	if !shorted {
		method = byOpenTap
	}
	b.Turns = p.Used.Turns
	turns := d.Solved(id+"coil_turns", "turns in use on "+b.Name+", from the plate end of the "+s.name, b.Turns, "turns", method,
		append(s.basis(l), s.turns)...)
	d.Compute(id+"tap_position", "tap of "+b.Name+", along the "+s.name+" from its plate end", coilLength,
		ledger.With{"N": turns, "p": s.pitch})
	if s == main {
		list.main = append(list.main, Tap{b.Name, b.Turns})
	} else {
		list.high = append(list.high, Tap{b.Name, b.Turns})
	}
	w.coilQ(b, s, p, l, list)
	w.unused(b, s, p, shorted)
	w.selfResonance(b, s, p, l, list)
}

// coilQ holds the Q supposed against that of the bare conductor and gives the
// rise of temperature in still air.
func (w *worker) coilQ(b *BandResult, s *shape, p winding.Section, l *ledger.Quantity, list *tapping) {
	d, id := w.d, "tank."+b.Name+"."
	ideal := d.Solved(id+"coil_q_ideal", "Q of the bare coil on "+b.Name, p.Used.IdealQOf(s.conductor, b.Centre, coldCopper), "",
		byCopper, s.basis(l)...)
	if q := d.Get(id + "coil_q"); q.Value > ideal.Value {
		list.optimistic = append(list.optimistic, fmt.Sprintf("%s (%.0f, at most %.0f)", b.Name, q.Value, ideal.Value))
		list.qualities = append(list.qualities, q.ID, ideal.ID)
	}
	heat := d.Get(id + "coil_heat")
	share := l.Value / d.Get(id+"inductance").Value // what of the heat falls to this coil
	area := s.conductor.Perimeter() * p.Used.WireLength()
	rise := func(key, words string, heat *ledger.Quantity) {
		d.Solved(id+"coil_rise"+key, "rise of temperature of the "+s.name+" in still air, "+words+", on "+b.Name,
			heat.Value*share/(winding.StillAirFilm*area), "K", byFilm, heat, l, s.form, s.wire)
	}
	rise("", "key down", heat)
	if h, ok := d.Lookup(id + "coil_heat_service"); ok {
		rise("_service", "in service", h)
	}
}

// unused writes what the turns beyond the tap carry.
func (w *worker) unused(b *BandResult, s *shape, p winding.Section, shorted bool) {
	if p.Rest == 0 {
		return
	}
	d, id := w.d, "tank."+b.Name+"."
	basis := append(s.basis(s.turns), d.Get(id+"coil_turns"))
	used := d.Solved(id+"used_inductance", "turns in use on "+b.Name+", the others open", p.Used.Inductance(), "H", bySplit, basis...)
	beyond := d.Solved(id+"unused_inductance", "turns beyond the tap on "+b.Name, p.Behind, "H", bySplit, basis...)
	mutual := d.Solved(id+"mutual_inductance", "mutual inductance of the turns in use and those beyond on "+b.Name, p.Mutual, "H",
		bySplit, basis...)
	d.Compute(id+"unused_voltage_peak", "voltage across the turns beyond the tap, were they open, on "+b.Name, unusedVoltage,
		ledger.With{"V_L": d.Get(id + "coil_voltage_peak_swr"), "M": mutual, "L_1": used})
	if shorted {
		d.Compute(id+"shorted_current_rms", "current in the shorted turns on "+b.Name, shortedCurrent,
			ledger.With{"I": d.Get(id + "coil_current_rms_swr"), "M": mutual, "L_u": beyond})
	}
}

// selfResonance holds the band against the coil's own resonance.
func (w *worker) selfResonance(b *BandResult, s *shape, p winding.Section, l *ledger.Quantity, list *tapping) {
	d, id := w.d, "tank."+b.Name+"."
	c := d.Solved(id+"coil_self_capacitance", "self-capacitance of the turns in use on "+b.Name, p.Used.SelfCapacitance(), "F",
		byMedhurst, s.form, s.pitch, d.Get(id+"coil_turns"))
	f := d.Compute(id+"coil_self_resonance", "self-resonance of the turns in use on "+b.Name, coilResonance,
		ledger.With{"L": l, "C_m": c})
	if f.Value < 3*b.Centre {
		list.resonant = append(list.resonant, fmt.Sprintf("%s (%s)", b.Name, desk.Show(f.Value, "Hz")))
	}
}

// report says what the bands' taps have in common.
func (t *tapping) report(w *worker, main *shape) {
	if len(t.optimistic) > 0 {
		w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank.coil_q_optimistic", Stage: "tank", Quantities: t.qualities,
			Text: ledger.Say("The unloaded Q supposed for the tank coil is above that of the bare conductor on {optimistic}.",
				ledger.Called("optimistic", words(t.optimistic))),
			Advice: ledger.Say("Lower tank.coil_q, or wind the coil of thicker conductor or greater diameter: the heat and loss shown " +
				"here are too small.")})
	}
	if len(t.unwound) > 0 {
		w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank.coil_turns", Stage: "tank",
			Text: ledger.Say("On {unwound} less than one turn of the {form} coil would do.",
				ledger.Called("unwound", words(t.unwound)), ledger.Q("form", main.form)),
			Advice: ledger.Say("Wind a separate coil of a smaller diameter for these bands, at the plate end and in series with the " +
				"main coil: table tank.high_coil.")})
	}
	if len(t.resonant) > 0 {
		w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank.coil_self_resonance", Stage: "tank",
			Text: ledger.Say("The turns in use resonate by themselves below three times the frequency of {resonant}; for the second "+
				"harmonic they are no longer a coil, and the tank may let it pass.", ledger.Called("resonant", words(t.resonant))),
			Advice: ledger.Say("A shorter, wider coil, or a separate coil for the high bands; measure the harmonics.")})
	}
}
