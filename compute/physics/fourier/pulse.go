// Package fourier gives the Fourier components of anode-current pulses, exact
// and by the hand analysis of the classical tube texts.
//
// It assumes pulses that are even about the crest and flow once a cycle:
// i = Imax·[(cos t − cos a)/(1 − cos a)]^p for |t| < a, otherwise 0, with
// p = 1 for the truncated cosine, 3/2 for the space-charge law and 2 for the
// square law (Terman, Radio Engineer's Handbook, 1943; Terman and Ferns, Proc.
// IRE 22, March 1934, p. 359).
package fourier

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// ErrPulse is returned for a flow angle outside 0…2π or an exponent not above zero.
var ErrPulse = errors.New("fourier: half flow angle must be in (0, π], exponent above zero")

// Components returns the mean (index 0) and the peak amplitudes of the first
// n harmonics of a pulse of unit height [1] with exponent p [1, > 0] and half
// flow angle a [rad, 0 < a <= π]. For p a multiple of 1/2 the quadrature is
// good to 1e-10.
func Components(p, a float64, n int) ([]float64, error) {
	if !(a > 0 && a <= math.Pi) || !(p > 0) || math.IsInf(p, 0) {
		return nil, ErrPulse
	}
	const points = 80
	x, w := make([]float64, points), make([]float64, points)
	// t = a·sin φ makes the end of the pulse smooth
	quad.Legendre{}.FixedLocations(x, w, 0, math.Pi/2)
	out := make([]float64, n+1)
	for k := range x {
		t := a * math.Sin(x[k])
		// (cos t − cos a)/(1 − cos a) without cancellation at small angles
		i := math.Pow(math.Sin((a+t)/2)*math.Sin((a-t)/2)/square(math.Sin(a/2)), p)
		g := i * w[k] * a * math.Cos(x[k]) / math.Pi
		out[0] += g
		for h := 1; h <= n; h++ {
			out[h] += 2 * g * math.Cos(float64(h)*t)
		}
	}
	return out, nil
}

// Linear returns mean, fundamental and second harmonic [1] of the truncated
// cosine (p = 1) in closed form, half flow angle a [rad, 0 < a <= π].
func Linear(a float64) (mean, first, second float64) {
	s, c := math.Sincos(a)
	d := math.Pi * (1 - c)
	return (s - a*c) / d, (a - s*c) / d, 2 * s * s * s / (3 * d)
}

// Efficiency returns the plate efficiency [1] of a pulse with fundamental over
// mean current (first/mean) and the voltage ratio h = V_1/V_dc [1]: h·I1/(2·I0).
func Efficiency(mean, first, h float64) float64 { return h * first / mean / 2 }

// LinearEfficiency returns the efficiency at V_1 = V_dc for the truncated
// cosine with full flow angle th [rad]:
// −(th − sin th)/(2·(th·cos(th/2) − 2·sin(th/2))), the closed form of the
// radio-frequency circuit texts.
func LinearEfficiency(th float64) float64 {
	s, c := math.Sincos(th / 2)
	return -0.5 * (th - math.Sin(th)) / (th*c - 2*s)
}

// LoadFactor returns K of the rule R = V_b/(K·I_b) [1] for a pulse and the
// voltage ratio h = V_1/V_b [1]: R = h·V_b/I1, hence K = (I1/I0)/h.
func LoadFactor(mean, first, h float64) float64 { return first / mean / h }

func square(x float64) float64 { return x * x }
