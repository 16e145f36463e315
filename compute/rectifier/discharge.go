package rectifier

import (
	"fmt"
	"math"
)

// StoredEnergy returns ½·C·V² [J] from a capacitance [F] and its voltage [V].
func StoredEnergy(capacitance, voltage float64) float64 {
	return capacitance * voltage * voltage / 2
}

// DischargeTime returns the time in which a capacitance [F] discharges
// through a resistance [Ω] from one voltage to another [V]:
// R·C·ln(from/to) [s]. It is 0 when from <= to already, and +Inf when the
// resistance is infinite (no bleeder) or to is 0.
func DischargeTime(capacitance, resistance, from, to float64) float64 {
	if from <= to {
		return 0
	}
	return resistance * capacitance * math.Log(from/to)
}

// CapacitorString is a series string of equal capacitors, each with an equal
// equalising resistor across it, and beside the whole string an external
// bleeder. Both halves of a doubler together make one string.
type CapacitorString struct {
	Count       int     // capacitors in series, >= 1
	Capacitance float64 // each [F], > 0
	Equaliser   float64 // resistor across each [Ω]; +Inf: none
	Bleeder     float64 // across the whole string [Ω]; +Inf: none
}

// Validate reports the first quantity out of range.
func (s CapacitorString) Validate() error {
	if s.Count < 1 || !(s.Capacitance > 0) || !(s.Equaliser > 0) || !(s.Bleeder > 0) {
		return fmt.Errorf("rectifier: a capacitor string needs at least one capacitor, and positive capacitance and resistances")
	}
	return nil
}

// Resistance returns the resistance of all bleeders across the output [Ω].
func (s CapacitorString) Resistance() float64 {
	return 1 / (1/(float64(s.Count)*s.Equaliser) + 1/s.Bleeder)
}

// OutputCapacitance returns the capacitance of the string [F].
func (s CapacitorString) OutputCapacitance() float64 {
	return s.Capacitance / float64(s.Count)
}

// OpenEqualiser follows the string when the equaliser of one capacitor has
// failed open, from an evenly shared output voltage [V]. It returns how long
// the output terminals [s] and the worst single capacitor [s] need to come
// down to within ±safe [V] for good. The two differ: the terminals can read
// low while one capacitor still holds its charge. +Inf where nothing
// discharges it.
func (s CapacitorString) OpenEqualiser(from, safe float64) (terminals, worst float64, err error) {
	if err := s.Validate(); err != nil {
		return 0, 0, err
	}
	if !(safe > 0) || !(from >= 0) {
		return 0, 0, fmt.Errorf("rectifier: discharge from %g V to %g V", from, safe)
	}
	n := float64(s.Count)
	c := s.Capacitance
	ge, gb := 1/s.Equaliser, 1/s.Bleeder
	// u: each sound capacitor, scaled by √(n-1) to keep the matrix symmetric;
	// w: the one left without its resistor. Bleeder current gb·((n-1)·u + w).
	k := math.Sqrt(n - 1)
	a, b, d := ge+gb*k*k, gb*k, gb
	if s.Count == 1 {
		a, b = 0, 0
	}
	root := math.Hypot(a-d, 2*b)
	big := (a + d + root) / 2
	small := 0.0
	if big > 0 {
		small = (a*d - b*b) / big
		if s.Count > 1 {
			small = ge * gb / big
		}
	}
	angle := math.Atan2(2*b, a-d) / 2
	sin, cos := math.Sincos(angle)
	u0, w0 := k*from/n, from/n
	p, q := cos*u0+sin*w0, -sin*u0+cos*w0
	at := func(t float64) (u, w float64) {
		x, y := p*math.Exp(-big*t/c), q*math.Exp(-small*t/c)
		u, w = cos*x-sin*y, sin*x+cos*y
		return u, w
	}
	sound := func(t float64) float64 {
		u, _ := at(t)
		if k == 0 {
			return 0
		}
		return u / k
	}
	failed := func(t float64) float64 { _, w := at(t); return w }
	output := func(t float64) float64 { u, w := at(t); return k*u + w }
	terminals = settle(output, safe, big/c, small/c, from)
	worst = math.Max(settle(sound, safe, big/c, small/c, from), settle(failed, safe, big/c, small/c, from))
	return terminals, worst, nil
}

// settle returns when |f|, a sum of two decaying exponentials of the given
// rates, stays below limit.
func settle(f func(float64) float64, limit, fast, slow, scale float64) float64 {
	end := 0.0
	for _, rate := range [...]float64{fast, slow} {
		if rate > 0 {
			end = math.Max(end, (math.Log(math.Max(2, 4*scale/limit)))/rate)
		}
	}
	if math.Abs(f(end)) > limit {
		return math.Inf(1) // a mode that does not decay
	}
	// Look back from the end for the last instant above the limit: on a grid
	// that is fine on both time scales, then by bisection.
	previous := end
	for k := 399; k >= 0; k-- {
		t := end * math.Pow(10, -12*(1-float64(k)/400))
		if fast > 0 && slow <= 0 {
			t = end * float64(k) / 400
		}
		if k == 0 {
			t = 0
		}
		if math.Abs(f(t)) > limit {
			lo, hi := t, previous
			for j := 0; j < 200 && hi-lo > 1e-15*end; j++ {
				mid := 0.5 * (lo + hi)
				if math.Abs(f(mid)) > limit {
					lo = mid
				} else {
					hi = mid
				}
			}
			return 0.5 * (lo + hi)
		}
		previous = t
	}
	return 0
}
