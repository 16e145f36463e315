package tube

import (
	"errors"
	"math"
)

// agreed is what supply and tubes may still differ by idling [V], agreedMean
// what they may differ by over an envelope.
const (
	agreed     = 1e-3
	agreedMean = 0.02
)

var errNoAgreement = errors.New("supply and tubes do not come to an agreement")

// Agree returns the plate voltage [V] at which given returns what it is given:
// the voltage of the supply at the current that the tubes draw there, within
// 1 mV. That voltage falls the higher the plates stand, since the tubes then
// draw more, so that there is exactly one; start [V] is where to begin. Where
// given fails, the tubes ask more than the supply can give, and the voltage is
// looked for below. Errors are those of given where it always fails, and a
// search that does not end.
func Agree(start float64, given func(plateVoltage float64) (float64, error)) (float64, error) {
	lo, hi := 0.0, math.Inf(1)
	v, was, off := start, 0.0, math.NaN()
	for range 100 {
		to, err := given(v)
		if err != nil {
			if v < 1 {
				return 0, err
			}
			hi, off = v, math.NaN()
			v = (lo + hi) / 2
			continue
		}
		d := to - v
		if math.Abs(d) < agreed {
			return v, nil
		}
		if d > 0 {
			lo = v
		} else {
			hi = v
		}
		next := to
		if d != off && !math.IsNaN(off) { // the secant of the last two
			next = v - d*(v-was)/(d-off)
		}
		if !(next > lo && next < hi) {
			next = to
		}
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		v, was, off = next, v, d
	}
	return 0, errNoAgreement
}

// IdleOn returns the idle point of one tube of several alike [tubes, >= 1] on
// a supply that gives feed(I) [V] at the plate current of all of them [A]; the
// search begins at the plate voltage start [V]. Errors are those of Agree.
func IdleOn(m Model, bias, tubes, start float64, feed func(plateCurrent float64) (float64, error)) (Point, error) {
	v, err := Agree(start, func(v float64) (float64, error) {
		plate, _ := m.Currents(-bias, v-bias)
		return feed(tubes * plate)
	})
	if err != nil {
		return Point{}, err
	}
	return Idle(m, v, bias), nil
}

// EnvelopeOn returns crest and means of one tube of several alike [tubes, >= 1]
// when its source, of a resistance [Ω] and driving it to the nominal point with
// a steady tone, is modulated by the envelope faster than the supply can follow:
// the plates then stand, within 0.02 V, at what the supply gives at the mean
// current of all tubes, feed(I) [V]. Load and bias are held; the search begins
// at the plate voltage start [V]. Errors are those of Agree and Average.
func EnvelopeOn(m Model, nominal Point, sourceResistance float64, e Envelope, tubes, start float64,
	feed func(plateCurrent float64) (float64, error)) (crest Point, a Averages, err error) {
	s, err := newSource(m, nominal, sourceResistance)
	if err != nil {
		return crest, a, err
	}
	s.quick = true
	v, err := Agree(start, func(v float64) (float64, error) { // on few samples
		s.nominal.PlateVoltage, s.c.PlateVoltage = v, v
		top := s.at(1)
		c, mean := top, 0.0
		for i, level := range e.Level {
			c.DriveVoltage, c.PlateSwing = level*top.DriveVoltage, level*top.PlateSwing
			mean += e.Weight[i] * s.l.settle(&c, nominal.PlateLoad, coarse).p0
		}
		return feed(tubes * mean)
	})
	if err != nil {
		return crest, a, err
	}
	for range 20 {
		if crest, err = AtPlateVoltage(m, nominal, sourceResistance, v); err != nil {
			return crest, a, err
		}
		if a, err = Average(m, crest, e); err != nil {
			return crest, a, err
		}
		to, err := feed(tubes * a.PlateCurrent)
		if err != nil {
			return crest, a, err
		}
		if math.Abs(to-v) < agreedMean {
			return crest, a, nil
		}
		v = (v + to) / 2
	}
	return crest, a, errNoAgreement
}
