package platefeed

import (
	"fmt"
	"math/cmplx"
	"strings"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/winding"
	"anodebook/spec"
)

// windings winds the choke or chokes and finds their resonances.
func (s *stage) windings() error {
	d, c, second := s.Desk, s.Spec.PlateFeed.Choke, s.Spec.PlateFeed.Second
	currents := Currents{Direct: s.in.PlateCurrent.Value, RF: s.chokeRMS.Value, Frequency: s.f.Value}
	w, err := ChooseWinding(s.Spec, s.first.Value, currents)
	if err != nil {
		return err
	}
	form := d.Take("plate_feed.choke_form", "plate choke, diameter of the form", "m", c.Form)
	s.wound("choke", "plate choke", s.first, form, c.Wire, w)
	place := "hot end to the plates and away from metal"
	if g := spacing(s.Spec); g.share > 0 {
		d.Take("plate_feed.choke_spaced_share", "plate choke, share of the turns wound apart at the plate end", "%", c.Spaced)
		if c.Spacing.Given {
			d.TakeRatio("plate_feed.choke_spaced_pitch", "plate choke, pitch of those turns over the bare wire", c.Spacing)
		} else {
			d.Assume("plate_feed.choke_spaced_pitch", "plate choke, pitch of those turns over the bare wire", g.pitch, "",
				c.Spacing.Key, ledger.Say("one wire's width between the turns (common practice)"))
		}
		place = "spaced end to the plates and away from metal"
	}
	d.Part(ledger.Part{Designator: "RFC1", Name: "plate choke", Stage: "plate_feed", Given: c.Inductance.Given,
		Value:  ledger.Say("{first}", ledger.Q("first", s.first)),
		Rating: s.rating(w, form.Value),
		Note: ledger.Say("DANGER: at {highest} above ground with lethal current behind it, RF on top. Form of ceramic, glass-filled "+
			"PTFE or the like; {place}. Check its series resonances in place, supply unplugged and discharged, before high voltage is "+
			"ever applied.", ledger.Q("highest", s.highest), ledger.Called("place", place))})
	s.r.Winding, s.r.Line, s.r.Within = w, w.Line, ResonanceError
	if len(w.Line) > 1 {
		s.r.Within = GradedError
	}

	if s.second != nil {
		wire, key := second.Wire, "plate_feed.second_choke"
		if !wire.Known() {
			wire = c.Wire
		}
		if !wire.Known() { // of the same wire as the first
			wire = spec.Quantity{Assumed: true, SI: w.Coil.Wire}
		}
		size := c.Form.SI
		if second.Form.Known() {
			size = second.Form.SI
		}
		w2, err := choose(s.Spec, key, s.second.Value, size, wire, grading{}, currents)
		if err != nil {
			return err
		}
		f2 := d.TakeOr("plate_feed.second_choke_form", "second plate choke, diameter of the form", "m", second.Form, size,
			ledger.Say("that of the first choke"))
		s.wound("second_choke", "second plate choke", s.second, f2, second.Wire, w2)
		d.Part(ledger.Part{Designator: "RFC4", Name: "second plate choke, between RFC1 and C4", Stage: "plate_feed", Given: true,
			Value:  ledger.Say("{second}", ledger.Q("second", s.second)),
			Rating: s.rating(w2, f2.Value),
			Note: ledger.Say("DANGER: at {highest} above ground with lethal current behind it, RF on top. Form of ceramic, "+
				"glass-filled PTFE or the like; at a right angle to RFC1 or a few diameters from it, or the two couple. Check its "+
				"series "+
				"resonances in place, supply unplugged and discharged, before high voltage is ever applied.",
				ledger.Q("highest", s.highest))})
		d.Check(desk.Hold{Part: "RFC4", Name: "second plate choke", Kind: "current",
			Stress: s.in0("plate_feed.second_choke_direct_current", "second plate choke, direct current", s.in.PlateCurrent, "A"),
			Owned:  true, Factor: s.Spec.Margins.Current, Standard: desk.Currents,
			Why: ledger.Say("direct plate current of all tubes at full output")})
		s.r.Within = GradedError
		s.r.Line = append(append(Line{}, w2.Line...), w.Line...)
	}
	s.r.Resonances = resonances(s.r.Line, s.r.Within, s.in.Bands)
	s.findResonances()
	return nil
}

func (s *stage) rating(w Winding, form float64) ledger.Sentence {
	how := ledger.Sentence{}
	if len(w.Line) > 1 {
		how = ledger.Say(" ({turns} close, {turns_2} with a pitch of {pitch})", ledger.Fixed("turns", w.Line[0].Coil.Turns, 0),
			ledger.Fixed("turns_2", w.Line[1].Coil.Turns, 0), ledger.Of("pitch", w.Line[1].Coil.Pitch, "m"))
	}
	return ledger.Say("{plate_current} DC; {turns} turns{how} of {wire} wire on {form}, {length} long, {wire_length} of wire",
		ledger.Q("plate_current", s.in.PlateCurrent), ledger.Fixed("turns", w.Turns, 0), ledger.In("how", how),
		ledger.Of("wire", w.Coil.Wire, "m"), ledger.Of("form", form, "m"), ledger.Of("length", w.Length, "m"),
		ledger.Of("wire_length", w.WireLength, "m"))
}

// wound enters one choke: wire, turns, heat and self-capacitance.
func (s *stage) wound(id, words string, l, form *ledger.Quantity, own spec.Quantity, w Winding) {
	d := s.Desk
	id, words = "plate_feed."+id+"_", words+", "
	why := "thinnest winding wire whose heat, direct current and RF together, the winding sheds with some 40 K rise (500 W/m², common " +
		"practice)"
	if id == "plate_feed.second_choke_" {
		why = "that of the first choke"
	}
	wire := d.TakeOr(id+"wire", words+"wire", "m", own, w.Coil.Wire, ledger.Literal(why))
	how := "Turns of a close-wound single layer (pitch 1.1 × wire) for the inductance: Lorenz current sheet with Rosa's corrections " +
		"for round wire, solved for the number of turns."
	if len(w.Line) > 1 {
		how = "Turns of a single layer for the inductance, the plate end wound apart: Lorenz current sheets of both parts with Rosa's " +
			"corrections for round wire, and the mutual inductance of the two sheets, exact for sheets end to end; solved for the " +
			"number of turns."
	}
	turns := d.Solved(id+"turns", words+"turns", w.Turns, "turns",
		ledger.Method{Words: ledger.Literal(how), Source: source.CircuitLaws}, l, form, wire)
	length := d.Solved(id+"length", words+"length of the winding", w.Length, "m", desk.Derived("Turns times pitch."), turns, wire)
	wireLength := d.Solved(id+"wire_length", words+"length of the wire", w.WireLength, "m",
		desk.Derived("Length of the helix, leads not counted."), turns, form)
	rho, ok := d.Lookup("plate_feed.copper_resistivity")
	if !ok {
		rho = d.Catalogue("plate_feed.copper_resistivity", "resistivity of copper at 60 °C", winding.Resistivity(copperCelsius), "Ω·m",
			source.CopperStandard.Title)
	}
	rdc := d.Compute(id+"resistance", words+"resistance", resistance, ledger.With{"ρ": rho, "l": wireLength, "d": wire})
	p := d.Compute(id+"heat", words+"heat of the direct current", heat, ledger.With{"I": s.in.PlateCurrent, "R": rdc})
	rac := d.Solved(id+"rf_resistance", words+"RF resistance on "+s.lowest.Name, w.rfResistance(s.f.Value), "Ω", ledger.Method{
		Words:  ledger.Say("Skin effect of the wire and Medhurst's proximity table; form and enamel add to it."),
		Source: source.ChokeSelfCapacitance}, wire, turns, s.f)
	prf := d.Compute(id+"rf_heat", words+"heat of the RF current on "+s.lowest.Name, heat, ledger.With{"I": s.chokeRMS, "R": rac})
	all := p.Value + prf.Value
	rise := d.Solved(id+"rise", words+"temperature rise", all/(filmCoefficient*w.Surface()), "K", ledger.Method{
		Words: ledger.Say("Heat of direct current and RF over the winding's outer surface and 12 W/(m²·K) of still air; ±40 %. Near a " +
			"series resonance the RF heat is far greater."), Source: source.CommonPractice}, p, prf, length, form)
	if rise.Value > 80 {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: id + "rise", Stage: "plate_feed",
			Quantities: []string{rise.ID, p.ID, prf.ID},
			Text: ledger.Say("The {trim_suffix} turns {all} into heat and would run about {rise} above the air around it.",
				ledger.Called("trim_suffix", strings.TrimSuffix(words, ", ")), ledger.Of("all", all, "W"), ledger.Q("rise", rise)),
			Advice: ledger.Say("Use thicker wire, or put the choke into the air stream.")})
	}
	cs := d.Solved(id+"self_capacitance", words+"self-capacitance", w.SelfCapacitance, "F", ledger.Method{
		Words: ledger.Say("Medhurst's capacitance of a solenoid with one end grounded, 5 % for a bare coil; form and enamel add to it."), Source: source.ChokeSelfCapacitance}, length, form)
	d.Compute(id+"self_resonance_by_hand", words+"parallel self-resonance by hand", selfResonance, ledger.With{"L": l, "C_s": cs})
}

// method says how the resonances were found.
func (s *stage) method() ledger.Method {
	words := "The winding as a helical line with its cold end grounded, velocity after Kandoian and Sichak: parallel resonance at " +
		"odd, series resonance at even numbers of quarter waves. An even winding in free space; ±20 % at best."
	if len(s.r.Line) > 1 {
		words = "Each evenly wound piece as a helical line, velocity after Kandoian and Sichak and wave impedance L·v/l, in a chain " +
			"from the grounded cold end to the plates: parallel resonance at odd, series resonance at even numbers of quarter waves, " +
			"the steps of impedance counted in. Coupling beyond the joints is left out; ±30 % at best."
	}
	return ledger.Method{Words: ledger.Literal(words), Source: source.HelixVelocity}
}

func (s *stage) findResonances() {
	d := s.Desk
	method := s.method()
	var flagged, seen, ids []string
	counts := map[Kind]int{}
	for _, r := range s.r.Resonances {
		counts[r.Kind]++
		if r.Quarters == 1 {
			d.Solved("plate_feed.choke_parallel_resonance", "plate choke, first parallel resonance", r.Frequency, "Hz", method,
				s.choked)
		}
		if r.Kind != Series {
			continue
		}
		n := counts[Series]
		q := d.Solved(fmt.Sprintf("plate_feed.choke_series_resonance_%d", n), fmt.Sprintf("plate choke, series resonance no. %d", n),
			r.Frequency, "Hz", method, s.choked)
		ids = append(ids, q.ID)
		if len(r.Bands) > 0 {
			flagged = append(flagged, fmt.Sprintf("%s (%s)", desk.Show(r.Frequency, "Hz"), strings.Join(r.Bands, ", ")))
		} else {
			seen = append(seen, desk.Show(r.Frequency, "Hz"))
		}
	}
	const measure = "Measure with a dip oscillator or an analyser before applying high voltage: plug pulled, supply discharged, " +
		"plates, bypass capacitor and everything near the choke in place. Move a series resonance out of every band by taking turns " +
		"off, by grading or splitting the winding, or with a second choke."
	if len(flagged) > 0 {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "plate_feed.choke_resonance", Stage: "plate_feed", Quantities: ids,
			Text: ledger.Say("Series resonances of the plate choke are estimated near {join}, each ±{within} %: the bands named lie "+
				"within that uncertainty. At a series resonance the choke shorts the tank and burns.",
				ledger.Called("join", strings.Join(flagged, "; ")), ledger.Fixed("within", 100*s.r.Within, 0)),
			Advice: ledger.Say(measure)})
		return
	}
	d.Find(ledger.Finding{Severity: ledger.Note, ID: "plate_feed.choke_resonance", Stage: "plate_feed", Quantities: ids,
		Text: ledger.Say("Series resonances of the plate choke are estimated near {join}, each ±{within} %, clear of the bands. "+
			"That is an estimate, not a measurement.", ledger.Called("join", strings.Join(seen, ", ")),
			ledger.Fixed("within", 100*s.r.Within, 0)),
		Advice: ledger.Say(measure)})
}

// impedances enters what the choke does on every band.
func (s *stage) impedances() {
	d := s.Desk
	for i := range s.r.Bands {
		b := &s.r.Bands[i]
		id := "plate_feed." + b.Name + "."
		f := d.Book.Spec(id+"frequency", "middle of the band "+b.Name, b.Centre, "Hz", d.Spec.Where(d.Spec.Target.Bands.Origin))
		x := d.Compute(id+"choke_reactance", "plate choke, reactance on "+b.Name, reactance, ledger.With{"f": f, "L": s.choked})
		rf := d.Compute(id+"choke_current_rms", "plate choke, RF current on "+b.Name, chokeCurrent,
			ledger.With{"V_p1": s.in.PlateSwing, "X_L": x})
		b.ChokeReactance, b.ChokeCurrentRMS = x.Value, rf.Value
		b.ChokeImpedance = cmplx.Abs(s.r.ChokeImpedance(b.Centre))
		d.Solved(id+"choke_impedance", "plate choke, impedance as a line on "+b.Name, b.ChokeImpedance, "Ω", ledger.Method{
			Words: ledger.Say("Magnitude of the impedance at the plate end: the winding as a lossy helical line (velocity after " +
				"Kandoian and Sichak, loss of the wire after Medhurst) with the bypass capacitor at its cold end. The frequencies of its " +
				"peaks and dips have the stated uncertainty, and so on a steep slope has this figure."), Source: source.HelixVelocity}, f, s.choked)
		d.Solved(id+"blocking_current_rms", "blocking capacitor, RF current on "+b.Name+" into 50 Ω", b.BlockingCurrentRMS, "A",
			desk.Derived("The tank's chain solved at full output into 50 Ω, at the edge of the band where choke and capacitance at "+
				"the plates take most, the tank retuned."), f, s.in.Output)
		d.Solved(id+"blocking_current_rms_at_swr", "blocking capacitor, RF current on "+b.Name+" at the worst SWR",
			b.BlockingCurrentRMSAtSWR, "A", desk.Derived("The same, the load once round the circle of the stated SWR."), f, s.in.Output,
			s.in.SWR)
	}
}
