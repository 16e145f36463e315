package tank

import (
	"fmt"
	"math"
	"strings"

	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/winding"
	"anodebook/spec"
)

// coldCopper is the temperature at which the ideal Q of a coil is given [°C].
const coldCopper = 20.0

// highBands begin here [Hz]: a separate coil takes the bands above, if nothing
// says how large it is.
const highBands = 13e6

var (
	byTurns = ledger.Method{Source: source.CurrentSheet,
		Words: ledger.Say("The number of turns of this diameter, conductor and pitch whose inductance (current sheet with Nagaoka's " +
			"and Rosa's corrections) is the one wanted.")}
	byTap = ledger.Method{Source: source.CurrentSheet,
		Words: ledger.Say("The tap at which the turns from the start have the inductance wanted, the shorted turns beyond it counted: " +
			"L_1 − M²/L_2, with M from the whole coil less its two parts. Leads, clips and the walls of the box are not in it: find " +
			"the " +
			"last half turn on the bench.")}
	byOpenTap = ledger.Method{Source: source.CurrentSheet,
		Words: ledger.Say("The tap at which the turns from the start have the inductance wanted, the turns beyond it open. Leads, " +
			"clips and the walls of the box are not in it: find the last half turn on the bench.")}
	bySplit = ledger.Method{Source: source.CurrentSheet,
		Words: ledger.Say("The whole coil less its two parts, M = (L − L_1 − L_2)/2, each by the current sheet with Nagaoka's and " +
			"Rosa's corrections.")}
	byCopper = ledger.Method{Source: source.Medhurst,
		Words: ledger.Say("Reactance over the resistance of the bare conductor with skin and proximity effect: an upper bound that no " +
			"coil in a cabinet reaches.")}
	byMedhurst = ledger.Method{Source: source.ChokeSelfCapacitance,
		Words: ledger.Say("Medhurst's table over length and diameter, one end earthed.")}
	byFilm = ledger.Method{Source: source.CommonPractice,
		Words: ledger.Say("Heat with the key down over the bare surface of the turns in use and 10 W/(m²·K) to still air. A rough " +
			"upper bound: leads carry heat off, radiation grows with the temperature, and moving air takes a multiple away.")}
)

// coil winds or checks the tank coil and enters L1, L2 and S1.
func (w *worker) coil(r *Result) {
	if w.d.Spec.Tank.Coil.Kind.Value == "roller" {
		w.roller(r)
	} else {
		w.tapped(r)
	}
	if w.piL {
		w.outputCoil(r)
	}
}

func (w *worker) coilCaution() ledger.Sentence {
	return ledger.Say("At full output this coil carries RF of kilovolts to ground and burns to the bone without warning. If the "+
		"blocking capacitor C3 shorts, the whole plate voltage of {plate_voltage} stands on it: mains plug out, wait, meter, "+
		"discharge through the stick and leave the ground hook on before touching it.", ledger.Q("plate_voltage", w.in.PlateVoltage))
}

// shape is a coil as the book has it: what it is wound of and how.
type shape struct {
	key              string // "tank.coil"
	form, wire       *ledger.Quantity
	pitch            *ledger.Quantity
	conductor        winding.Conductor
	words            ledger.Sentence // the conductor in words
	turns            *ledger.Quantity
	whole            winding.Solenoid
	designator, name string
}

// basis are the quantities that every number of turns rests on.
func (s *shape) basis(l *ledger.Quantity) []*ledger.Quantity {
	return []*ledger.Quantity{l, s.form, s.wire, s.pitch}
}

// mainShape is what the tank coil is wound of.
func (w *worker) mainShape() *shape {
	d, c := w.d, w.d.Spec.Tank.Coil
	material, _ := winding.LookupMaterial(c.Material.Value)
	s := &shape{key: "tank.coil", designator: "L1", name: "tank coil", conductor: winding.Conductor{Material: material}}
	s.form = d.Take("tank.coil_diameter", "mean diameter of the tank coil", "m", c.Form)
	if c.RibbonWidth.Given {
		s.conductor.Width, s.conductor.Thickness, s.conductor.Edgewise = c.RibbonWidth.SI, c.RibbonThickness.SI, c.Ribbon.Value == "edgewise"
		width := d.Take("tank.coil_ribbon_width", "width of the tank coil's ribbon", "m", c.RibbonWidth)
		thick := d.Take("tank.coil_ribbon_thickness", "thickness of the tank coil's ribbon", "m", c.RibbonThickness)
		s.wire = d.Solved("tank.coil_conductor", "round wire of the same inductance as the ribbon", s.conductor.EquivalentDiameter(),
			"m",
			ledger.Method{Words: ledger.Say("Geometric mean distance of a rectangle, 0.2235 times width and thickness together, " +
				"against that of a round wire."), Source: source.CurrentSheet}, width, thick)
		s.words = ledger.Say("ribbon {width} × {thick}, wound flat", ledger.Q("width", width), ledger.Q("thick", thick))
		if s.conductor.Edgewise {
			s.words = ledger.Say("ribbon {width} × {thick} on edge", ledger.Q("width", width), ledger.Q("thick", thick))
		}
	} else {
		s.wire = d.Take("tank.coil_conductor", "conductor of the tank coil", "m", c.Conductor)
		s.conductor.Diameter, s.conductor.Wall = c.Conductor.SI, c.Wall.SI
		s.words = roundWords(s.wire.Value)
	}
	if material.Name != "copper" {
		s.words = ledger.Say("{material} {words}", ledger.Called("material", material.Name), ledger.In("words", s.words))
	}
	s.pitch = d.Take("tank.coil_pitch", "distance from turn to turn", "m", c.Pitch)
	s.whole = winding.Solenoid{Diameter: s.form.Value, Pitch: s.pitch.Value, Wire: s.wire.Value}
	return s
}

// tubingFrom is the diameter from which a conductor is rather bought as tubing
// [m].
const tubingFrom = 3.2e-3

func roundWords(diameter float64) ledger.Sentence {
	if diameter < tubingFrom {
		return ledger.Say("{diameter} wire", ledger.Of("diameter", diameter, "m"))
	}
	return ledger.Say("{diameter} tubing", ledger.Of("diameter", diameter, "m"))
}

// highShape is what the separate coil for the high bands is wound of.
func (w *worker) highShape(main *shape) *shape {
	d, c := w.d, w.d.Spec.Tank.HighCoil
	name := main.conductor.Material.Name
	if c.Material.Given {
		name = c.Material.Value
	}
	material, _ := winding.LookupMaterial(name)
	s := &shape{key: "tank.high_coil", designator: "L1H", name: "high-band coil"}
	s.form = d.TakeOr("tank.high_coil_diameter", "mean diameter of the high-band coil", "m", c.Form, 50e-3,
		ledger.Say("common practice: somewhat less than the tank coil, so that 10 m has a few turns"))
	s.wire = d.TakeOr("tank.high_coil_conductor", "conductor of the high-band coil", "m", c.Conductor, 6.35e-3,
		ledger.Say("common practice: tubing of 1/4 in where the RF current is greatest"))
	s.pitch = d.TakeOr("tank.high_coil_pitch", "distance from turn to turn of the high-band coil", "m", c.Pitch,
		math.Max(9.5e-3, 1.5*s.wire.Value), ledger.Say("common practice: half a conductor's width between the turns"))
	s.conductor = winding.Conductor{Material: material, Diameter: s.wire.Value}
	s.words = roundWords(s.wire.Value)
	if material.Name != "copper" {
		s.words = ledger.Say("{material} {words}", ledger.Called("material", material.Name), ledger.In("words", s.words))
	}
	s.whole = winding.Solenoid{Diameter: s.form.Value, Pitch: math.Max(s.pitch.Value, s.wire.Value), Wire: s.wire.Value}
	return s
}

// windTo winds the coil to an inductance, or takes the turns it has; ok is
// false where less than one turn would do.
func (w *worker) windTo(s *shape, l *ledger.Quantity, turns spec.Ratio, measured spec.Quantity) bool {
	d := w.d
	if turns.Given {
		s.turns = d.TakeRatio(s.key+"_turns", "turns of the "+s.name, turns)
		s.whole.Turns = turns.Value
	} else {
		if measured.Given {
			l = d.Take(s.key+"_inductance_given", "inductance of the "+s.name+", measured or wanted", "H", measured)
		}
		x, err := turnsOf(s.whole, l.Value)
		if err != nil {
			return false
		}
		s.whole = x
		s.turns = d.Solved(s.key+"_turns", "turns of the "+s.name, x.Turns, "turns", byTurns, s.basis(l)...)
	}
	d.Solved(s.key+"_inductance", "inductance of the whole "+s.name, s.whole.Inductance(), "H",
		ledger.Method{Words: ledger.Say("Current sheet with Nagaoka's end correction and Rosa's corrections for round wire."),
			Source: source.CurrentSheet}, s.basis(s.turns)...)
	length := d.Compute(s.key+"_length", "length of the "+s.name, coilLength, ledger.With{"N": s.turns, "p": s.pitch})
	d.Compute(s.key+"_inductance_by_hand", "inductance of the whole "+s.name+" by hand", wheelerCoil,
		ledger.With{"N": s.turns, "D": s.form, "l": length})
	d.Compute(s.key+"_wire_length", "conductor in the "+s.name+", leads not counted", coilWire,
		ledger.With{"N": s.turns, "D": s.form, "p": s.pitch})
	if measured.Given && turns.Given {
		given := d.Take(s.key+"_inductance_given", "measured inductance of the "+s.name, "H", measured)
		if off := s.whole.Inductance()/given.Value - 1; math.Abs(off) > 0.1 {
			d.Find(ledger.Finding{Severity: ledger.Caution, ID: s.key + "_measured", Stage: "tank",
				Quantities: []string{given.ID, s.key + "_inductance"},
				Text: ledger.Say("The {name} measures {given}, but {turns} of its diameter and pitch make {inductance}.",
					ledger.Called("name", s.name), ledger.Q("given", given), ledger.Counted("turns", s.turns.Value, "turn", 3),
					ledger.Of("inductance", s.whole.Inductance(), "H")),
				Advice: ledger.Say("Measure diameter (centre of the wire to centre), pitch and turns again; the taps below follow the " +
					"turns.")})
		}
	}
	return true
}

// turnsOf is winding.TurnsFor without its care for the pitch, which an
// edgewise ribbon does not need.
func turnsOf(s winding.Solenoid, l float64) (winding.Solenoid, error) {
	if s.Pitch >= s.Wire {
		return winding.TurnsFor(l, s.Diameter, s.Pitch, s.Wire)
	}
	s.Turns = 200
	p, err := s.Tap(l, false)
	return p.Used, err
}

// tapped winds the coil for the lowest band, a separate one for the high bands
// where it is wanted, and finds the taps.
func (w *worker) tapped(r *Result) {
	c := w.d.Spec.Tank.Coil
	main := w.mainShape()
	var high *shape
	if w.d.Spec.Tank.HighCoil.Given() {
		high = w.highShape(main)
		if !w.windHigh(r, high) {
			high = nil
		}
	}
	lowest := &r.Bands[0]
	for i := range r.Bands {
		if r.Bands[i].Tank.Inductance > lowest.Tank.Inductance {
			lowest = &r.Bands[i]
		}
	}
	wanted := w.onMain(lowest, high)
	if wanted == nil || !w.windTo(main, wanted, c.Turns, c.Inductance) {
		main.whole.Turns = 0
	}
	list := &tapping{}
	for i := range r.Bands {
		w.tap(&r.Bands[i], main, high, list)
	}
	list.report(w, main)
	r.CoilTurns = main.whole.Turns
	if high != nil {
		w.coilPart(r, high, "the blocking capacitor C3 and C1", "L1", &list.high)
	}
	start, end := "the blocking capacitor C3 and C1", "C2"
	if high != nil {
		start = "L1H"
	}
	if main.whole.Turns == 0 {
		w.d.Part(ledger.Part{Designator: "L1", Name: "tank coil", Value: ledger.Say("{coil}", ledger.Of("coil", r.Coil, "H")),
			Stage: "tank", Note: w.coilCaution()})
		return
	}
	w.coilPart(r, main, start, end, &list.main)
}

// windHigh winds the separate coil for the high bands: as large as the builder
// says, or for the lowest of them.
func (w *worker) windHigh(r *Result, high *shape) bool {
	c := w.d.Spec.Tank.HighCoil
	var l *ledger.Quantity
	highest := &r.Bands[0]
	for i := range r.Bands {
		b := &r.Bands[i]
		if b.Centre > highest.Centre {
			highest = b
		}
		if q := w.d.Get("tank." + b.Name + ".inductance"); b.Centre > highBands && (l == nil || q.Value > l.Value) {
			l = q
		}
	}
	if l == nil {
		l = w.d.Get("tank." + highest.Name + ".inductance")
	}
	if w.windTo(high, l, c.Turns, c.Inductance) {
		return true
	}
	w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank.high_coil_turns", Stage: "tank",
		Text:   ledger.Say("The high-band coil would have less than one turn of {form}.", ledger.Q("form", high.form)),
		Advice: ledger.Say("Give it a smaller diameter, or leave the table tank.high_coil away: the tank coil then does for all bands.")})
	return false
}

// onMain is what a band wants of the tank coil itself; nil where the high-band
// coil alone does.
func (w *worker) onMain(b *BandResult, high *shape) *ledger.Quantity {
	l := w.d.Get("tank." + b.Name + ".inductance")
	if high == nil {
		return l
	}
	hl := w.d.Get(high.key + "_inductance")
	if l.Value <= hl.Value*(1+1e-6) {
		return nil
	}
	id := "tank." + b.Name + ".main_inductance"
	if q, ok := w.d.Lookup(id); ok {
		return q
	}
	return w.d.Compute(id, "left for the tank coil on "+b.Name, onMain, ledger.With{"L": l, "L_h": hl})
}

// coilPart enters a wound coil in the parts list, the winding list and the
// drawing.
func (w *worker) coilPart(r *Result, s *shape, start, end string, taps *[]Tap) {
	r.Coils = append(r.Coils, Coil{Designator: s.designator, Name: s.name, Start: start, End: end, Winding: s.whole,
		Conductor: s.conductor, Taps: *taps})
	var list []string
	for _, t := range *taps {
		list = append(list, fmt.Sprintf("%s %.1f", t.Band, t.Turns))
	}
	given := w.d.Get(s.key+"_turns").From == ledger.FromSpec
	cut := "Cut"
	if given {
		cut = "It holds"
	}
	w.d.Part(ledger.Part{Designator: s.designator, Name: s.name + ", tapped", Stage: "tank", Given: given,
		Value: ledger.Say("{inductance}: {turns} turns of {words}, mean diameter {form}, pitch {pitch}",
			ledger.Of("inductance", s.whole.Inductance(), "H"), ledger.Fixed("turns", s.whole.Turns, 1), ledger.In("words", s.words),
			ledger.Q("form", s.form), ledger.Q("pitch", s.pitch)),
		Note: ledger.Say("{cut} {get} of conductor and allow for the leads. Taps in turns from the plate end, which joins {start}: "+
			"{join}; find the last half turn on the bench. {coil_caution}", ledger.Called("cut", cut),
			ledger.Q("get", w.d.Get(s.key+"_wire_length")), ledger.Called("start", start),
			ledger.Called("join", strings.Join(list, ", ")),
			ledger.In("coil_caution", w.coilCaution()))})
}
