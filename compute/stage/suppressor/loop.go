// Package suppressor computes the parasitic suppressor in each plate lead: a
// coil with a resistor across it that damps the VHF resonance of the plate
// loop and lets the working frequencies pass.
//
// It assumes that the loop is the plate lead's inductance with the tube's
// output capacitance in series with the tune capacitor, each tube by itself,
// and lumped parts. Real loops have more than one resonance, share chassis
// and capacitor, and couple from tube to tube: everything here is an estimate
// that must be proved on the bench.
package suppressor

import (
	"math"

	"anodebook/compute/data/preferred"
)

// Loop is the plate loop of one tube at VHF.
type Loop struct {
	Lead        float64 // inductance of the lead [H]
	Capacitance float64 // output capacitance in series with the tune capacitor [F]
	BareQ       float64 // Q without a suppressor: leads, chassis and capacitor [1]
}

// Part is a suppressor: coil and resistor in parallel.
type Part struct {
	Inductance float64 // [H]
	Resistance float64 // [Ω]
}

// Series returns the suppressor's impedance as resistance and reactance in
// series [Ω] at a frequency [Hz]: R·X²/(R²+X²) and X·R²/(R²+X²).
func (p Part) Series(frequency float64) (resistance, reactance float64) {
	x := 2 * math.Pi * frequency * p.Inductance
	d := p.Resistance*p.Resistance + x*x
	if d == 0 {
		return 0, 0
	}
	return p.Resistance * x * x / d, x * p.Resistance * p.Resistance / d
}

// Bare is the loop's resonance without a suppressor [Hz].
func (l Loop) Bare() float64 { return 1 / (2 * math.Pi * math.Sqrt(l.Lead*l.Capacitance)) }

// With returns the loop's resonance [Hz] and its Q with the suppressor in the
// lead. The Q is the capacitive reactance over all resistance in series.
func (l Loop) With(p Part) (frequency, q float64) {
	low, high := 1/(2*math.Pi*math.Sqrt((l.Lead+p.Inductance)*l.Capacitance)), l.Bare()
	for range 40 { // the reactance rises with frequency: bisection
		mid := (low + high) / 2
		_, x := p.Series(mid)
		if 2*math.Pi*mid*l.Lead+x > 1/(2*math.Pi*mid*l.Capacitance) {
			high = mid
		} else {
			low = mid
		}
	}
	f := (low + high) / 2
	x := 1 / (2 * math.Pi * f * l.Capacitance)
	r, _ := p.Series(f)
	return f, x / (r + 2*math.Pi*f*l.Lead/l.BareQ)
}

// Loss is the heat in the resistor [W] with a lead current [A rms] at a
// frequency [Hz].
func (p Part) Loss(current, frequency float64) float64 {
	r, _ := p.Series(frequency)
	return current * current * r
}

// Target is what a suppressor must reach.
type Target struct {
	Q      float64  // of the loop, at most [1]
	Margin float64  // least Loop.Margin [1]; 0: not asked for
	Tube   Feedback // that the margin is reckoned with
}

// reached says whether the suppressor is enough, and how far off it is where
// not: the larger of Q over the wanted one and of the wanted margin over the
// one there is.
func (l Loop) reached(p Part, t Target) (ok bool, excess float64) {
	f, q := l.With(p)
	excess = q / t.Q
	if t.Margin > 0 {
		m, _, _ := l.marginAt(f, p, t.Tube)
		excess = math.Max(excess, t.Margin/m)
	}
	return excess <= 1, excess
}

// Choose finds the suppressor with the least heat at the working frequency
// [Hz] and lead current [A rms] that reaches the target: coils of 20 to 300 nH
// in steps of 5 nH, resistors of E12 from 22 to 100 Ω (common practice).
// A coil or resistor that is given (above 0) stays. Where no pair reaches the
// target the one that comes nearest is returned.
func (l Loop) Choose(given Part, current, frequency float64, target Target) Part {
	coils, resistors := []float64{given.Inductance}, []float64{given.Resistance}
	if given.Inductance <= 0 {
		coils = coils[:0]
		for n := 20; n <= 300; n += 5 {
			coils = append(coils, float64(n)*1e-9)
		}
	}
	if given.Resistance <= 0 {
		resistors = resistors[:0]
		for r := 22.0; r <= 101; r = preferred.E12.Up(r * 1.01) {
			resistors = append(resistors, r)
		}
	}
	best, nearest := Part{}, Part{}
	bestLoss, least := math.Inf(1), math.Inf(1)
	for _, r := range resistors {
		for _, c := range coils {
			p := Part{c, r}
			loss := p.Loss(current, frequency)
			if loss >= bestLoss {
				break // more coil only adds heat
			}
			ok, excess := l.reached(p, target)
			if excess < least {
				nearest, least = p, excess
			}
			if ok {
				best, bestLoss = p, loss
				break
			}
		}
	}
	if math.IsInf(bestLoss, 1) {
		return nearest
	}
	return best
}
