package rectifier

import (
	"fmt"
	"math"

	"anodebook/spec/quantity"
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

// Decay is a string after switch-off in which some capacitors have lost their
// equaliser: every sound capacitor falls alike, and so does every orphaned one.
type Decay struct {
	sound, open float64 // capacitors with and without their equaliser
	c           float64 // of each [F]
	fast, slow  float64 // conductances of the two modes [S]
	sin, cos    float64 // of the angle of the modes
	x, y        float64 // the modes at the beginning [V]
	from        float64 // output voltage at the beginning [V]
}

// Opened returns the decay of the string from an evenly shared output voltage
// [V] with the equalisers of so many capacitors open, 0 to Count.
func (s CapacitorString) Opened(open int, from float64) (Decay, error) {
	if err := s.Validate(); err != nil {
		return Decay{}, err
	}
	if open < 0 || open > s.Count || !(from >= 0) {
		return Decay{}, fmt.Errorf("rectifier: %d open equalisers in a string of %d from %s V", open, s.Count, quantity.Short(from, 6))
	}
	n, m := float64(s.Count), float64(open)
	d := Decay{sound: n - m, open: m, c: s.Capacitance, from: from}
	// u on each sound capacitor and w on each orphaned one obey
	// C·u' = -ge·u - i, C·w' = -i, i = gb·((n-m)·u + m·w); scaled by √(n-m)
	// and √m the matrix is symmetric.
	ge, gb := 1/s.Equaliser, 1/s.Bleeder
	ku, kw := math.Sqrt(d.sound), math.Sqrt(m)
	a, b, e := gb*d.sound, gb*ku*kw, gb*m
	if open < s.Count {
		a += ge
	}
	d.fast = (a + e + math.Hypot(a-e, 2*b)) / 2
	if d.fast > 0 && open > 0 && open < s.Count {
		d.slow = ge * gb * m / d.fast // determinant over the fast root, without cancellation
	}
	d.sin, d.cos = math.Sincos(math.Atan2(2*b, a-e) / 2)
	d.x, d.y = d.cos*ku*from/n+d.sin*kw*from/n, -d.sin*ku*from/n+d.cos*kw*from/n
	return d, nil
}

// At returns the voltage [V] at the terminals, on each sound capacitor and on
// each orphaned one at the time [s]; 0 for a kind of which there is none.
func (d Decay) At(time float64) (terminals, sound, orphaned float64) {
	x, y := d.x*math.Exp(-d.fast*time/d.c), d.y*math.Exp(-d.slow*time/d.c)
	u, w := d.cos*x-d.sin*y, d.sin*x+d.cos*y
	ku, kw := math.Sqrt(d.sound), math.Sqrt(d.open)
	terminals = ku*u + kw*w
	if d.sound > 0 {
		sound = u / ku
	}
	if d.open > 0 {
		orphaned = w / kw
	}
	return terminals, sound, orphaned
}

// Until returns how long the output terminals [s] and the worst single
// capacitor [s] need to come down to within ±safe [V] for good. The two differ:
// the terminals can read low while one capacitor still holds its charge, and a
// long string can stand high while no capacitor of it does. +Inf where nothing
// discharges it.
func (d Decay) Until(safe float64) (terminals, worst float64, err error) {
	if !(safe > 0) {
		return 0, 0, fmt.Errorf("rectifier: discharge to %s V", quantity.Short(safe, 6))
	}
	fast, slow := d.fast/d.c, d.slow/d.c
	of := func(part func(terminals, sound, orphaned float64) float64) float64 {
		return settle(func(t float64) float64 { return part(d.At(t)) }, safe, fast, slow, d.from)
	}
	terminals = of(func(v, _, _ float64) float64 { return v })
	worst = math.Max(of(func(_, u, _ float64) float64 { return u }), of(func(_, _, w float64) float64 { return w }))
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
