package filament

import (
	"fmt"
	"math"

	"anodebook/compute/winding"
	"anodebook/spec"
)

// What is assumed of the rod winding, all common practice.
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

// Winding is the choke on its rod.
type Winding struct {
	Rod        winding.Rod
	Wires      int     // in hand: 2 bifilar, 1 for the cathode's return
	Turns      float64 // of each wire
	Wire       float64 // bare [m]
	Length     float64 // of the winding [m]
	WireLength float64 // of each wire, leads not counted [m]
	Inductance float64 // of all wires in parallel [H], ± winding.RodUncertainty
	Fits       bool    // on the rod
	Resistance float64 // there and back through all wires in series, warm, direct current [Ω]
}

// Surface of the winding, outside [m²].
func (w Winding) Surface() float64 {
	return math.Pi * (w.Rod.Diameter + 2*insulated*w.Wire) * w.Length
}

// lay winds so many turns of wire [m] on the rod. A winding longer than the
// rod is computed as if the rod were just covered, and does not fit.
func lay(rod winding.Rod, wires int, turns, wire float64) (Winding, error) {
	w := Winding{Rod: rod, Wires: wires, Turns: turns, Wire: wire, Fits: true}
	w.Length = turns * float64(wires) * insulated * wire
	covered := w.Length
	if covered > rod.Length {
		covered, w.Fits = rod.Length, false
	}
	index, err := rod.Index(covered)
	if err != nil {
		return w, err
	}
	w.Inductance = index * turns * turns
	w.WireLength = turns * math.Hypot(math.Pi*(rod.Diameter+insulated*wire), float64(wires)*insulated*wire)
	w.Resistance = w.WireLength * float64(wires) * winding.DCResistance(wire, copperCelsius)
	return w, nil
}

// turnsFor lays the least whole turns that give the inductance [H]; where they
// do not fit, as many as the rod holds.
func turnsFor(rod winding.Rod, wires int, inductance, wire float64) (Winding, error) {
	most := math.Max(leastTurns, math.Floor(rod.Length/(float64(wires)*insulated*wire)))
	var w Winding
	var err error
	for n := float64(leastTurns); n <= most; n++ {
		if w, err = lay(rod, wires, n, wire); err != nil || w.Inductance >= inductance {
			return w, err
		}
	}
	return w, nil
}

// choose winds the choke: the builder's turns and wire where given, otherwise
// the turns for the inductance wanted [H] and the thinnest wire that carries
// the current [A] within the drop [V] and the heat allowed. Where nothing fits
// the thickest wire that reaches the inductance is taken.
func choose(s *spec.Spec, wires int, wanted, current, drop float64) (Winding, error) {
	c := s.Filament.Choke
	rod := winding.Rod{Permeability: c.Permeability.Value, Diameter: c.RodDiameter.SI, Length: c.RodLength.SI}
	if _, err := rod.EffectivePermeability(); err != nil {
		return Winding{}, fmt.Errorf("filament.choke: a rod %.3g mm across and %.3g mm long cannot be computed: %w; the length must be 2 to 100 diameters", rod.Diameter*1e3, rod.Length*1e3, err)
	}
	sizes := wiresToChoose(s)
	if c.Wire.Known() {
		sizes = []float64{c.Wire.SI}
	}
	var best Winding
	for _, wire := range sizes {
		var w Winding
		var err error
		if c.Turns.Given {
			w, err = lay(rod, wires, c.Turns.Value, wire)
		} else {
			w, err = turnsFor(rod, wires, wanted, wire)
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
	var list []float64
	if s.Notebook.Lengths.Value == "inch" {
		for n := 18; n >= 4; n -= 2 {
			list = append(list, winding.AWG(n))
		}
		return list
	}
	for _, d := range winding.MetricWires() {
		if d > 0.99e-3 {
			list = append(list, d)
		}
	}
	return list
}
