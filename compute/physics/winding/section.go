package winding

import (
	"fmt"
	"math"

	"anodebook/spec/quantity"
)

// Section is a coil of which only the turns from its start to a tap are in
// use, the rest lying behind it on the same axis.
type Section struct {
	Used   Solenoid
	Rest   float64 // turns beyond the tap, ≥ 0
	Mutual float64 // inductance between the two parts [H]
	Behind float64 // inductance of the turns beyond [H]
}

// Split divides a coil of so many turns at a tap, counted from its start. The
// mutual inductance follows from the parts and the whole: M = (L − L1 − L2)/2.
// Less than one turn beyond the tap counts in proportion. Tap finds the tap for
// an inductance; Split holds it to that in the tests here and in compute/tank.
func (s Solenoid) Split(turns float64) Section {
	return s.split(turns, s.Inductance())
}

func (s Solenoid) split(turns, whole float64) Section {
	p := Section{Used: s, Rest: math.Max(0, s.Turns-turns)}
	p.Used.Turns = math.Min(turns, s.Turns)
	if p.Rest < 1e-9 {
		p.Rest = 0
		return p
	}
	rest, weight := s, 1.0
	if p.Rest < 1 { // a part of a turn is no coil: shrink the effect of a whole one
		weight = p.Rest
	}
	rest.Turns = math.Max(p.Rest, 1)
	p.Behind = rest.Inductance()
	all := whole
	if weight < 1 {
		longer := s
		longer.Turns = p.Used.Turns + 1
		all = longer.Inductance()
	}
	p.Mutual = math.Sqrt(weight) * math.Max(0, (all-p.Used.Inductance()-p.Behind)/2)
	return p
}

// Shorted is the inductance of the turns in use while the rest is shorted [H]:
// L1 − M²/L2.
func (p Section) Shorted() float64 {
	l := p.Used.Inductance()
	if p.Rest == 0 {
		return l
	}
	return l - p.Mutual*p.Mutual/p.Behind
}

// Tap finds the tap of the coil at which inductance [H] is in use, the turns
// beyond it shorted or open. An error where less than one turn or more than the
// whole coil would be needed.
func (s Solenoid) Tap(inductance float64, shorted bool) (Section, error) {
	whole := s.Inductance()
	at := func(n float64) (Section, float64) {
		p := s.split(n, whole)
		if shorted {
			return p, p.Shorted()
		}
		return p, p.Used.Inductance()
	}
	low, high := 1.0, s.Turns
	pl, fl := at(low)
	ph, fh := at(high)
	switch {
	case fl > inductance*(1+1e-9):
		return pl, fmt.Errorf("coil: %s µH lies within the first turn", quantity.Short(inductance*1e6, 3))
	case fh < inductance*(1-1e-9):
		return ph, fmt.Errorf("coil: %s µH is more than the whole coil of %s µH", quantity.Short(inductance*1e6, 3),
			quantity.Short(fh*1e6, 3))
	case fh <= inductance:
		return ph, nil
	}
	fl, fh = math.Log(fl/inductance), math.Log(fh/inductance)
	p := ph
	for i := range 60 {
		w := fl / (fl - fh)
		if i%3 == 2 {
			w = 0.5
		}
		n := low * math.Pow(high/low, math.Min(math.Max(w, 0.01), 0.99))
		var f float64
		p, f = at(n)
		if f = math.Log(f / inductance); math.Abs(f) < 1e-10 || high-low < 1e-12*high {
			break
		}
		if f < 0 {
			low, fl = n, f
		} else {
			high, fh = n, f
		}
	}
	return p, nil
}
