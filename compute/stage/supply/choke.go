package supply

import (
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/physics/rectifier"
	"anodebook/spec"
)

// Choke is the input choke of a plan, given or chosen.
type Choke struct {
	Light      float64 // inductance at a tenth of the rated current and below [H]
	Loaded     float64 // inductance at the rated current [H]
	Resistance float64 // of the winding [Ω]
	Current    float64 // rated direct current [A]
}

const (
	lightLoad    = 0.2  // share of the plate current at which a chosen choke is still above its critical inductance, beside the bleeders
	chokeHead    = 1.25 // chosen inductance over the critical one at that load
	chokeDrop    = 0.01 // share of the plate voltage that a chosen choke drops at full output (common practice)
	swingCurrent = 0.1  // share of the rated current at which a swinging choke's larger inductance is stated
)

// Inductance returns the inductance [H] at a direct current [A]: between the
// two stated points it falls in proportion to a power of the current, which is
// how makers' curves of swinging chokes run (common practice).
func (c Choke) Inductance(current float64) float64 {
	x := math.Min(1, math.Max(swingCurrent, current/c.Current))
	return c.Light * math.Pow(c.Loaded/c.Light, 1-math.Log(x)/math.Log(swingCurrent))
}

// chooseChoke fills in the choke for the bank and bleeders in the plan.
func (p *Plan) chooseChoke(sp *spec.Supply) {
	if !p.Kind.Choke {
		return
	}
	g := &sp.Choke
	bleed := p.Wanted / p.Supply.LoadResistance
	c := &p.Choke
	*c = Choke{Light: g.Inductance.SI, Loaded: g.Inductance.SI, Resistance: g.Resistance.SI, Current: g.Current.SI}
	if !g.Current.Given {
		c.Current = p.PlateCurrent + bleed
	}
	if !g.Inductance.Given {
		least := rectifier.CriticalInductance(p.Wanted/(lightLoad*p.PlateCurrent+bleed), p.Supply.MainsFrequency)
		c.Light = preferred.E6.Up(chokeHead * least)
		c.Loaded = c.Light
	}
	if g.LoadedInductance.Given {
		c.Loaded = g.LoadedInductance.SI
	}
	if !g.Resistance.Given {
		c.Resistance = chokeDrop * p.Wanted / p.PlateCurrent
	}
	p.Supply.ChokeResistance = c.Resistance
	p.Supply.ChokeInductance = p.chokeAt(p.PlateCurrent)
}

// chokeAt returns the choke's inductance with the tubes drawing plateCurrent
// [A] beside the bleeders; 0 with capacitor input.
func (p *Plan) chokeAt(plateCurrent float64) float64 {
	if p.Choke.Light == 0 {
		return 0
	}
	return p.Choke.Inductance(plateCurrent + p.Wanted/p.Supply.LoadResistance)
}

// LeastLoad returns the least plate current [A] at which the choke's current
// still never stops, with the bleeders as they are: below it the filter
// voltage soars towards the crest. 0 if the bleeders alone are enough.
func (p *Plan) LeastLoad() float64 {
	v := rectifier.ResistiveMean(p.Supply.SecondaryVoltage)
	short := func(plate float64) bool {
		i := plate + v/p.Supply.LoadResistance
		return p.chokeAt(plate) < rectifier.CriticalInductance(v/i, p.Supply.MainsFrequency)
	}
	if !short(0) {
		return 0
	}
	lo, hi := 0.0, 10*p.PlateCurrent
	for range 60 {
		if mid := (lo + hi) / 2; short(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// overshoot returns how far the filter voltage may rise at switch-on with a
// series resistance of all of the loop [Ω] and no load [V]: choke and bank ring
// against each other about the mean of the rectified sine.
func (p *Plan) overshoot(resistance float64) float64 {
	l, c := p.Choke.Loaded, p.Bank.OutputCapacitance()
	mean := rectifier.ResistiveMean(p.Supply.SecondaryVoltage * (1 + p.Tolerance))
	a := resistance / (2 * l)
	w2 := 1/(l*c) - a*a
	if w2 <= 0 {
		return mean
	}
	return mean * (1 + math.Exp(-a*math.Pi/math.Sqrt(w2)))
}
