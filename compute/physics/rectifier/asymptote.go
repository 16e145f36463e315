package rectifier

import (
	"fmt"
	"math"

	"anodebook/spec/quantity"
)

// Asymptote is the limit of an infinite filter capacitance, in closed form:
// the right-hand edge of Schade's charts (Proc. IRE 31, July 1943, 341).
type Asymptote struct {
	HalfAngle    float64 // half the conduction angle, φ [rad]
	VoltageRatio float64 // DC voltage over secondary peak
	DiodeRMS     float64 // diode rms current over DC load current
	DiodePeak    float64 // diode peak current over DC load current
	WindingRMS   float64 // winding (for CentreTap: each half) rms current over DC load current
}

// InfiniteCapacitance returns the limit C → ∞ for a source resistance of
// ratio times the load resistance (ratio > 0):
//
//	tan φ - φ = π·k·Rs/R,  Vdc/Vp = cos φ (Doubler: 2·cos φ)
//
// with k = 1/2 for the full-wave circuits and 2 for Doubler.
func InfiniteCapacitance(c Circuit, ratio float64) (Asymptote, error) {
	switch c {
	case Bridge, CentreTap:
		a, err := infiniteCapacitance(0.5, ratio)
		if err != nil {
			return a, err
		}
		a.WindingRMS = a.DiodeRMS * math.Sqrt(2/float64(c.Windings()))
		return a, nil
	case Doubler:
		a, err := infiniteCapacitance(2, ratio)
		a.VoltageRatio *= 2
		a.WindingRMS = a.DiodeRMS * math.Sqrt2
		return a, err
	}
	return Asymptote{}, fmt.Errorf("rectifier: unknown circuit %d", int(c))
}

// InfiniteCapacitanceHalfWave is InfiniteCapacitance for the half-wave
// rectifier (k = 1), for comparison only.
func InfiniteCapacitanceHalfWave(ratio float64) (Asymptote, error) {
	a, err := infiniteCapacitance(1, ratio)
	a.WindingRMS = a.DiodeRMS
	return a, err
}

// infiniteCapacitance solves one diode that feeds current k·pulses: the mean
// diode current is the load current for k = 1 and 2, half of it for k = 1/2.
func infiniteCapacitance(k, ratio float64) (Asymptote, error) {
	if !(ratio > 0) || math.IsInf(ratio, 0) {
		return Asymptote{}, fmt.Errorf("rectifier: resistance ratio %s must be positive", quantity.Short(ratio, 6))
	}
	want := math.Pi * k * ratio
	// In x = tan φ: x - atan x = want; convex, and x³/3 >= x - atan x.
	hi := want + math.Pi/2
	phi := math.Atan(bracketedRoot(func(x float64) (float64, float64) {
		return x - math.Atan(x) - want, x * x / (1 + x*x)
	}, 0, hi, 0))
	sin, cos := math.Sincos(phi)
	// i = Vp/Rs·(cos θ - cos φ), |θ| < φ, over 2π.
	mean := (sin - phi*cos) / math.Pi
	square := (phi*(1+2*cos*cos) - 3*sin*cos) / (2 * math.Pi)
	perLoad := 1.0
	if k < 1 {
		perLoad = 0.5
	}
	half := math.Sin(phi / 2)
	return Asymptote{
		HalfAngle:    phi,
		VoltageRatio: cos,
		DiodeRMS:     perLoad * math.Sqrt(square) / mean,
		DiodePeak:    perLoad * 2 * half * half / mean,
	}, nil
}

// ResistiveMean returns the mean output of a full-wave rectifier without any
// filter, (2·√2/π)·V [V], from the secondary (half) voltage [V rms].
func ResistiveMean(secondary float64) float64 { return 2 * math.Sqrt2 / math.Pi * secondary }

// RippleEstimate returns the hand estimate of the full-wave peak-to-peak
// ripple, I/(2·f·C) [V], from the load current [A], mains frequency [Hz] and
// capacitance [F]. It assumes that the capacitor carries the load for the
// whole half period, and so errs high (by a quarter in common cases).
func RippleEstimate(current, mainsFrequency, capacitance float64) float64 {
	return current / (2 * mainsFrequency * capacitance)
}

// CriticalInductance returns the least inductance [H] of an input choke that
// keeps its current flowing throughout with a load resistance [Ω] at a mains
// frequency [Hz]: R/(6π·f), where the second harmonic of the rectified sine,
// two thirds of its mean, just makes the current touch zero (any rectifier
// text; the higher harmonics change it by some per cent).
func CriticalInductance(load, mainsFrequency float64) float64 {
	return load / (6 * math.Pi * mainsFrequency)
}
