package filament

import (
	"fmt"
	"math"

	"anodebook/compute/physics/winding"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// What is assumed of the winding, all common practice.
const (
	insulated     = 1.08  // diameter over the enamel / bare diameter [1]
	surfaceHeat   = 750.0 // heat that the winding's surface may shed [W/m²], some 60 K over the air around it
	film          = 12.0  // of still air on a small hot cylinder, radiation included [W/(m²·K)]
	copperCelsius = 70.0  // temperature at which the copper's resistance is taken [°C]
	mostDrop      = 0.05  // share of the filament voltage that the choke may drop [1]
	leastTurns    = 4
)

// ReactanceRatio is the choke's reactance on the lowest band over the input
// resistance of the cathodes [1] (common practice).
const ReactanceRatio = 5.0

// RingUncertainty is the stated relative uncertainty of an inductance computed
// for a ferrite ring: the material's own ±20 % and rounded edges.
const RingUncertainty = 0.25

// Ring is a stack of ferrite rings of rectangular section.
type Ring struct {
	Permeability         float64 // relative, initial
	Outer, Inner, Height float64 // of one ring [m]
	Cores                float64 // on one another
}

// Core is what the choke is wound on.
type Core struct {
	Rod  winding.Rod // where Ring is nil
	Ring *Ring
}

// Uncertainty of an inductance computed for the core [1].
func (c Core) Uncertainty() float64 {
	if c.Ring != nil {
		return RingUncertainty
	}
	return winding.RodUncertainty
}

// room is what a single layer of wire with that diameter over the insulation
// may take: the length of the rod, or the circumference within the ring [m].
func (c Core) room(overall float64) float64 {
	if c.Ring != nil {
		return math.Pi * (c.Ring.Inner - overall)
	}
	return c.Rod.Length
}

// Winding is the choke on its core.
type Winding struct {
	Core       Core
	Wires      int     // in hand: 1 single, 2 bifilar, 3 trifilar
	Turns      float64 // of each wire
	Wire       float64 // bare [m]
	Length     float64 // of the winding: along the rod, or along the circumference within the ring [m]
	WireLength float64 // of each wire, leads not counted [m]
	Inductance float64 // of all wires in parallel [H], ± Core.Uncertainty
	Fits       bool    // on the rod, or in one layer through the ring
	Each       float64 // resistance of one wire, warm, direct current [Ω]
	Resistance float64 // of what the heating current passes, there and back; of a single wire once [Ω]
}

// Surface of the winding, outside [m²].
func (w Winding) Surface() float64 {
	overall := insulated * w.Wire
	if r := w.Core.Ring; r != nil { // the outside and both faces, as far as they are covered
		share := math.Min(1, w.Length/w.Core.room(overall))
		return share * math.Pi * (r.Outer*r.Height*r.Cores + (r.Outer*r.Outer-r.Inner*r.Inner)/2)
	}
	return math.Pi * (w.Core.Rod.Diameter + 2*overall) * w.Length
}

// lay winds so many turns of wire [m] on the core. A winding longer than the
// rod is computed as if the rod were just covered; it does not fit, nor does
// one that fills more than a layer within the ring.
func lay(core Core, wires int, turns, wire float64) (Winding, error) {
	overall := insulated * wire
	w := Winding{Core: core, Wires: wires, Turns: turns, Wire: wire, Length: turns * float64(wires) * overall}
	w.Fits = w.Length <= core.room(overall)
	if r := core.Ring; r != nil {
		w.Inductance = winding.ToroidIndex(r.Permeability, r.Outer, r.Inner, r.Height*r.Cores) * turns * turns
		w.WireLength = turns * (2*r.Height*r.Cores + r.Outer - r.Inner + 4*overall)
	} else {
		index, err := core.Rod.Index(math.Min(w.Length, core.Rod.Length))
		if err != nil {
			return w, err
		}
		w.Inductance = index * turns * turns
		w.WireLength = turns * math.Hypot(math.Pi*(core.Rod.Diameter+overall), float64(wires)*overall)
	}
	w.Each = w.WireLength * winding.DCResistance(wire, copperCelsius)
	w.Resistance = w.Each * float64(min(wires, 2))
	return w, nil
}

// turnsFor lays the least whole turns that give the inductance [H]; where they
// do not fit, as many as the core holds.
func turnsFor(core Core, wires int, inductance, wire float64) (Winding, error) {
	overall := insulated * wire
	most := math.Max(leastTurns, math.Floor(core.room(overall)/(float64(wires)*overall)))
	var w Winding
	var err error
	for n := float64(leastTurns); n <= most; n++ {
		if w, err = lay(core, wires, n, wire); err != nil || w.Inductance >= inductance {
			return w, err
		}
	}
	return w, nil
}

// coreOf is the core of the spec. The error tells the builder which size
// cannot be computed.
func coreOf(s *spec.Spec) (Core, error) {
	c := s.Filament.Choke
	if c.Core.Value == "toroid" {
		return Core{Ring: &Ring{Permeability: c.Permeability.Value, Outer: c.Outer.SI, Inner: c.Inner.SI, Height: c.Height.SI,
			Cores: float64(c.Cores.N)}}, nil
	}
	rod := winding.Rod{Permeability: c.Permeability.Value, Diameter: c.RodDiameter.SI, Length: c.RodLength.SI}
	if _, err := rod.EffectivePermeability(); err != nil {
		return Core{}, fmt.Errorf("filament.choke: a rod %s mm across and %s mm long cannot be computed: %w; the length must be 2 to "+
			"100 diameters", quantity.Short(rod.Diameter*1e3, 3), quantity.Short(rod.Length*1e3, 3), err)
	}
	return Core{Rod: rod}, nil
}

// choose winds the choke: the builder's turns and wire where given, otherwise
// the turns for the inductance wanted [H] and the thinnest wire that carries
// the current [A] within the drop [V] and the heat allowed. Where nothing fits
// the thickest wire that reaches the inductance is taken.
func choose(s *spec.Spec, core Core, wires int, wanted, current, drop float64) (Winding, error) {
	c := s.Filament.Choke
	sizes := wiresToChoose(s)
	if c.Wire.Known() {
		sizes = []float64{c.Wire.SI}
	}
	var best Winding
	for _, wire := range sizes {
		var w Winding
		var err error
		if c.Turns.Given {
			w, err = lay(core, wires, c.Turns.Value, wire)
		} else {
			w, err = turnsFor(core, wires, wanted, wire)
		}
		if err != nil {
			return w, err
		}
		enough := w.Fits && (c.Turns.Given || w.Inductance >= wanted)
		if best.Wire == 0 || enough {
			best = w
		}
		if enough && current*w.Resistance <= drop && current*current*w.Resistance <= surfaceHeat*w.Surface() {
			return w, nil
		}
		if !enough {
			break // thicker wire only takes more room
		}
	}
	return best, nil
}

// wiresToChoose lists bare diameters [m], ascending: American gauges for a
// notebook in inches, metric winding wire otherwise.
func wiresToChoose(s *spec.Spec) []float64 {
	return winding.Assortment(s.Notebook.Lengths.Value == "inch", 18, 4, 1e-3, 5e-3)
}
