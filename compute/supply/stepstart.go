package supply

import (
	"math"

	"anodebook/compute/rectifier"
)

// charge describes the bank charging through a resistance so large that it
// takes many half periods: the mean over a half period of the current
// (cos θ - x) that flows while |sin| of the source exceeds x = V/V_0.
//
//	mean   f(x) = (2/π)·(sin φ - x·φ),              φ = arccos x
//	square g(x) = (2/π)·(φ·(1/2 + x²) - (3/2)·x·sin φ)
//
// both in units of V_0/R. Time and heat then are integrals that depend on x
// alone. Exact (time-domain) cold starts agree within a few per cent.
func charge(x float64) (f, g float64) {
	phi := math.Acos(x)
	sin := math.Sqrt(1 - x*x)
	return 2 / math.Pi * (sin - x*phi), 2 / math.Pi * (phi*(0.5+x*x) - 1.5*x*sin)
}

// chargingTime returns t/(R·C) until a bank without load has reached the
// fraction x (0 to 0.999) of its crest, and the heat in R over C·V_0². Simpson's rule
// in z with x = 1 - 1/z²: near the crest f falls as (1-x)^(3/2), so that the
// time is proportional to z there.
func chargingTime(x float64) (time, heat float64) {
	const steps = 256
	h := (1/math.Sqrt(1-x) - 1) / steps
	for k := 0; k <= steps; k++ {
		w := 2.0
		switch {
		case k == 0 || k == steps:
			w = 1
		case k%2 == 1:
			w = 4
		}
		z := 1 + float64(k)*h
		f, g := charge(1 - 1/(z*z))
		w *= h / 3 * 2 / (z * z * z)
		time += w / f
		heat += w * g / f
	}
	return time, heat
}

// chargingScale returns R·C of the charging [s]: each half of a doubler is charged
// only every other half period, and is twice the bank.
func (p Plan) chargingScale(resistance float64) float64 {
	rc := resistance * p.Bank.OutputCapacitance()
	if p.Supply.Circuit == rectifier.Doubler {
		rc *= 4
	}
	return rc
}

// charging follows the charging through a resistance [Ω] in all, beside the
// bleeders, for a time [s]. It returns the voltage over that without load and
// the heat in the resistance over C·V_0². Runge and Kutta's method, fourth
// order; it ends where nothing moves any more.
func (p Plan) charging(time, resistance float64) (reached, heat float64) {
	scale := p.chargingScale(resistance)
	// C·V' = f·V_0/R - V/R_b, in units of the scale.
	load := scale / (p.Supply.LoadResistance * p.Bank.OutputCapacitance())
	slope := func(x float64) (rate, power float64) {
		f, g := charge(math.Min(x, 1))
		return f - load*x, g
	}
	left := time / scale
	for left > 0 {
		h := math.Min(left, 0.2)
		k1, q1 := slope(reached)
		k2, q2 := slope(reached + h/2*k1)
		k3, q3 := slope(reached + h/2*k2)
		k4, q4 := slope(reached + h*k3)
		step := (k1 + 2*k2 + 2*k3 + k4) / 6
		reached += h * step
		heat += h * (q1 + 2*q2 + 2*q3 + q4) / 6
		left -= h
		if math.Abs(step) < 1e-6 {
			return reached, heat + left*q4
		}
	}
	return reached, heat
}
