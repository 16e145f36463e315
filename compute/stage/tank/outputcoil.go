package tank

import (
	"math"

	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/winding"
	"anodebook/spec"
)

var (
	byWholeTurns = ledger.Method{Source: source.CircuitLaws,
		Words: ledger.Say("The whole number of turns whose A_L·N² lies nearest to the inductance wanted: a ring takes no half turns. " +
			"The load capacitor takes up the difference.")}
	byRing = ledger.Method{Source: source.CircuitLaws,
		Words: ledger.Say("A_L·N² of the rings stacked. Makers give A_L to 5 to 20 %, so that the last turn is found on the bench.")}
	byGuide = ledger.Method{Source: source.FluxGuide,
		Words: ledger.Say("Read between the points of the guide, straight lines in the logarithms.")}
	byRise = ledger.Method{Source: source.FluxGuide,
		Words: ledger.Say("Rise in kelvin = (heat in milliwatts over surface in square centimetres)^0.833, in free air, key down.")}
	bySection = ledger.Method{Source: source.CircuitLaws,
		Words: ledger.Say("(outer − inner diameter)/2 times the height of the stack.")}
)

// outputCoil winds the pi-L's output coil where its core or form is given, and
// enters L2.
func (w *worker) outputCoil(r *Result) {
	c := w.d.Spec.Tank.OutputCoil
	var taps []ledger.Sentence
	greatest := 0.0
	for _, b := range r.Bands {
		greatest = math.Max(greatest, b.Tank.OutputInductance)
		taps = append(taps, ledger.Say("{on} {inductance}", ledger.OnBand("on", b.Name),
			ledger.Of("inductance", b.Tank.OutputInductance, "H")))
	}
	var value, note ledger.Sentence
	switch {
	case c.Index.Given:
		value, note = w.ring(r)
		value = ledger.Say("{greatest}: {value}", ledger.Of("greatest", greatest, "H"), ledger.In("value", value))
	case c.Form.Given:
		value, note = w.airOutput(r)
	}
	if value.Empty() {
		value = ledger.Say("{greatest}", ledger.Of("greatest", greatest, "H"))
	}
	w.d.Part(ledger.Part{Designator: "L2", Name: "output coil of the pi-L", Value: value, Stage: "tank", Given: c.Index.Given,
		Note: ledger.Say("{note}Per band: {taps}. Set it at right angles to L1 and a coil diameter away; what couples across spoils "+
			"the harmonic attenuation. It carries the full output: an RF burn from it is as bad as from L1.", ledger.In("note", note),
			ledger.List("taps", taps...))})
}

// ring winds the output coil on ring cores and holds their flux against the
// guide.
func (w *worker) ring(r *Result) (value, note ledger.Sentence) {
	d, c := w.d, w.d.Spec.Tank.OutputCoil
	t := winding.Toroid{Index: c.Index.SI, Outer: c.Outer.SI, Inner: c.Inner.SI, Height: c.Height.SI, Rings: max(1, c.Rings.N)}
	index := d.Take("tank.core_index", "A_L of one ring of the output coil", "H", c.Index)
	sized := c.Outer.Given && c.Inner.Given && c.Height.Given
	var area *ledger.Quantity
	if sized {
		area = d.Solved("tank.core_section", "section of the output coil's core", t.Area(), "m²", bySection,
			d.Take("tank.core_outer", "outer diameter of the ring", "m", c.Outer),
			d.Take("tank.core_inner", "inner diameter of the ring", "m", c.Inner),
			d.Take("tank.core_height", "height of the ring", "m", c.Height))
	}
	var taps, far, dense []ledger.Sentence
	var ids []string
	most := 0.0
	for i := range r.Bands {
		b := &r.Bands[i]
		id := "tank." + b.Name + "."
		l := d.Get(id + "output_inductance")
		n, got := t.WholeTurns(l.Value)
		turns := d.Solved(id+"output_coil_turns", "turns of the output coil on "+b.Name, n, "turns", byWholeTurns, l, index)
		d.Solved(id+"output_coil_wound", "inductance of the turns on the ring on "+b.Name, got, "H", byRing, index, turns)
		taps = append(taps, ledger.Say("{on} {turns}", ledger.OnBand("on", b.Name), ledger.Fixed("turns", n, 0)))
		most = math.Max(most, n)
		if off := got/l.Value - 1; math.Abs(off) > 0.15 {
			far = append(far, ledger.Say("{on} ({off} %)", ledger.OnBand("on", b.Name), ledger.Signed("off", 100*off, 0)))
		}
		if !sized {
			continue
		}
		b2 := d.Compute(id+"output_coil_flux", "peak flux density in the output coil's core at PEP on "+b.Name, ringFlux,
			ledger.With{"V": d.Get(id + "output_coil_voltage_peak"), "f": d.Get(id + "frequency"), "N": turns, "A": area})
		guide := d.Solved(id+"output_coil_flux_guide", "flux density advised for iron powder on "+b.Name, winding.FluxGuide(b.Centre),
			"T", byGuide, d.Get(id+"frequency"))
		if b2.Value > guide.Value {
			dense = append(dense, ledger.Say("{on} ({flux}, advised up to {guide})", ledger.OnBand("on", b.Name), ledger.Q("flux", b2),
				ledger.Q("guide", guide)))
			ids = append(ids, b2.ID, guide.ID)
		}
		heat := d.Get(id + "output_coil_heat")
		d.Solved(id+"output_coil_rise", "rise of temperature of the output coil, key down, on "+b.Name,
			math.Pow(heat.Value*1e3/(t.Surface()*1e4), 0.833), "K", byRise, heat, area)
	}
	if len(dense) > 0 {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank.output_coil_flux", Stage: "tank", Quantities: ids,
			Text: ledger.Say("The flux density in the output coil's core is above what core makers advise for iron powder on "+
				"{dense}; the core heats.", ledger.All("dense", dense...)),
			Advice: ledger.Say("Stack another ring or take a larger one: the flux falls with the section and the turns. Feel the core " +
				"after a minute of full output: mains plug out, supply discharged, ground hook on.")})
	}
	if len(far) > 0 {
		d.Find(ledger.Finding{Severity: ledger.Note, ID: "tank.output_coil_turns", Stage: "tank",
			Text: ledger.Say("Whole turns on the ring of the output coil miss the inductance on {far}.", ledger.All("far", far...)),
			Advice: ledger.Say("The load capacitor takes it up within limits; a ring of lower A_L, an air coil for the high bands, or " +
				"spreading the turns comes nearer.")})
	}
	var wire ledger.Sentence
	if c.Conductor.Given {
		q := d.Take("tank.output_coil_conductor", "wire of the output coil, over its insulation", "m", c.Conductor)
		wire = ledger.Say(" of {round}", ledger.In("round", roundWords(q.Value)))
		if sized {
			d.Solved("tank.output_coil_wire_length", "wire in the output coil, leads not counted", t.WireLength(most, q.Value), "m",
				ledger.Method{Words: ledger.Say("Turns times the way round the stack."), Source: source.CircuitLaws}, q, area)
			if room := t.Room(q.Value); most > room {
				d.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "tank.output_coil_room", Stage: "tank", Quantities: []string{q.ID},
					Text: ledger.Say("{round} of {tank.output_coil_conductor} do not fit side by side in the ring of the output "+
						"coil: there is room for {value}.", ledger.Counted("round", math.Round(most), "turn", 4),
						ledger.Fixed("value", math.Max(0, room), 0)),
					Advice: ledger.Say("Thinner wire, a larger ring, or a stack of two, which needs fewer turns.")})
			}
		}
	}
	stack := ledger.Say("a ring")
	if t.Rings > 1 {
		stack = ledger.Say("{n} rings stacked", ledger.Int("n", t.Rings))
	}
	return ledger.Say("{turns}{wire} on {stack}, A_L {index} each", ledger.Counted("turns", math.Round(most), "turn", 4),
			ledger.In("wire", wire),
			ledger.In("stack", stack), ledger.Of("index", c.Index.SI, "H")),
		ledger.Say("Turns per band: {taps}. Insulate the core before winding. ", ledger.List("taps", taps...))
}

// airOutput winds the output coil in air.
func (w *worker) airOutput(r *Result) (value, note ledger.Sentence) {
	d, c := w.d, w.d.Spec.Tank.OutputCoil
	copper, _ := winding.LookupMaterial("copper")
	s := &shape{key: "tank.output_coil", designator: "L2", name: "output coil"}
	s.form = d.Take("tank.output_coil_diameter", "mean diameter of the output coil", "m", c.Form)
	s.wire = d.TakeOr("tank.output_coil_conductor", "conductor of the output coil", "m", c.Conductor, 2.05e-3,
		ledger.Say("common practice: wire of 12 AWG carries the output current"))
	s.pitch = d.TakeOr("tank.output_coil_pitch", "distance from turn to turn of the output coil", "m", c.Pitch,
		math.Max(4e-3, 1.5*s.wire.Value), ledger.Say("common practice: about a conductor's width between the turns"))
	s.conductor = winding.Conductor{Material: copper, Diameter: s.wire.Value}
	s.whole = winding.Solenoid{Diameter: s.form.Value, Pitch: math.Max(s.pitch.Value, s.wire.Value), Wire: s.wire.Value}
	lowest := &r.Bands[0]
	for i := range r.Bands {
		if r.Bands[i].Tank.OutputInductance > lowest.Tank.OutputInductance {
			lowest = &r.Bands[i]
		}
	}
	if !w.windTo(s, d.Get("tank."+lowest.Name+".output_inductance"), spec.Ratio{}, spec.Quantity{}) {
		return ledger.Sentence{}, ledger.Sentence{}
	}
	var taps []Tap
	var list []ledger.Sentence
	for i := range r.Bands {
		b := &r.Bands[i]
		id := "tank." + b.Name + "."
		l := d.Get(id + "output_inductance")
		shorted := d.Spec.Tank.Switch.Unused.Value != "open" && d.Spec.Tank.Coil.Kind.Value != "roller"
		p, err := s.whole.Tap(l.Value, shorted)
		if err != nil {
			continue
		}
		method := byTap
		if !shorted {
			method = byOpenTap
		}
		d.Solved(id+"output_coil_turns", "turns of the output coil on "+b.Name, p.Used.Turns, "turns", method,
			append(s.basis(l), s.turns)...)
		taps = append(taps, Tap{b.Name, p.Used.Turns})
		list = append(list, ledger.Say("{on} {turns}", ledger.OnBand("on", b.Name), ledger.Fixed("turns", p.Used.Turns, 1)))
	}
	r.Coils = append(r.Coils, Coil{Designator: "L2", Name: "output coil", Start: "C2", End: "the antenna relay K1", Winding: s.whole,
		Conductor: s.conductor, Taps: taps})
	return ledger.Say("{inductance}: {turns} turns of {words}{round}, mean diameter {form}, pitch {pitch}",
			ledger.Of("inductance", s.whole.Inductance(), "H"), ledger.Fixed("turns", s.whole.Turns, 1), ledger.In("words", s.words),
			ledger.In("round", roundWords(s.wire.Value)), ledger.Q("form", s.form), ledger.Q("pitch", s.pitch)),
		ledger.Say("Taps in turns from the end at C2: {taps}. ", ledger.List("taps", list...))
}
