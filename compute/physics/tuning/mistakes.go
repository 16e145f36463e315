package tuning

import (
	"errors"
	"math"
)

// The mistakes that only Mistakes gives: the antenna gone while full drive is
// on, knobs at the nominal setting.
const (
	AntennaOpen  = "antenna_open"
	AntennaShort = "antenna_shorted"
)

// lostAntenna is the resistance of an open connector over the load's own, and
// the reciprocal of that of a shorted one [1] (convention of this package).
const lostAntenna = 1000.0

// Mistakes returns the readings that a trip is chosen by, in a fixed order: the
// nominal setting, loading 1.5 times too light and too heavy, off resonance to
// half the output on both sides, the antenna open and shorted, and 3 dB too
// much drive. IDs, setting and meaning are those of Situations; it costs some
// thirty readings where Situations costs hundreds. What the tank cannot be set
// to, or where no state is found, is not Reached. Errors as Situations.
func Mistakes(s Setup) ([]Situation, error) {
	s.Drive = 1
	b, err := newBench(s)
	if err != nil {
		return nil, err
	}
	total := s.Nominal.PlateLoad / b.n
	tune, load, err := b.match(total)
	if err != nil {
		return nil, err
	}
	nominal, err := b.read(tune, load)
	if err != nil {
		return nil, err
	}
	var list []Situation
	add := func(id, name string, r Reading, err error) {
		x := Situation{ID: id, Name: name}
		if err == nil {
			x.Reached, x.Reading = true, r
			x.FirstLimit, x.Factor = s.Limits.First(r, s.Tubes)
		}
		list = append(list, x)
	}
	add(Nominal, "tuned and loaded", nominal, nil)
	for _, x := range []struct {
		id, name   string
		resistance float64
	}{{TooLight, "loading too light", total * LoadingError}, {TooHeavy, "loading too heavy", total / LoadingError}} {
		t, l, err := b.match(x.resistance)
		var r Reading
		if err == nil {
			r, err = b.read(t, l)
		}
		add(x.id, x.name, r, err)
	}
	for _, x := range []struct {
		id, name string
		sign     float64
	}{{OffBelow, "off resonance, too little capacitance", -1}, {OffAbove, "off resonance, too much capacitance", 1}} {
		r, ok, err := b.halved(nominal, x.sign)
		if err == nil && !ok {
			err = errors.New("not reached")
		}
		add(x.id, x.name, r, err)
	}
	own := b.s.Load
	for _, x := range []struct {
		id, name string
		factor   float64
	}{{AntennaOpen, "antenna open", lostAntenna}, {AntennaShort, "antenna shorted", 1 / lostAntenna}} {
		b.s.Load = own * complex(x.factor, 0)
		r, err := b.read(tune, load)
		add(x.id, x.name, r, err)
	}
	b.s.Load = own
	if err := b.drive(math.Pow(10, 3.0/20)); err != nil {
		return nil, err
	}
	r, err := b.read(tune, load)
	add(Overdriven3, "overdriven by 3 dB", r, err)
	return list, nil
}

// halved is fall to half the output, closed in by false position (the Illinois
// rule) to a thousandth of it.
func (b *bench) halved(from Reading, sign float64) (r Reading, ok bool, err error) {
	want := offResonance * from.Output
	in, out := from.Tune, from.Tune
	above, below := from.Output-want, 0.0
	for step := b.unit(); ; step *= 1.5 {
		if out == 0 && sign < 0 || step > 1e3*b.unit() {
			return r, false, nil
		}
		out = math.Max(0, out+sign*step)
		if r, err = b.read(out, from.Load); err != nil {
			return r, false, err
		}
		if below = r.Output - want; below <= 0 {
			break
		}
		in, above = out, below
	}
	for side, n := 0, 0; n < 30 && math.Abs(r.Output-want) > 1e-3*want; n++ {
		at := (in*below - out*above) / (below - above)
		if r, err = b.read(at, from.Load); err != nil {
			return r, false, err
		}
		switch y := r.Output - want; {
		case y > 0:
			in, above = at, y
			if side > 0 {
				below /= 2
			}
			side = 1
		default:
			out, below = at, y
			if side < 0 {
				above /= 2
			}
			side = -1
		}
	}
	return r, true, nil
}
