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

// fullest is how far the charging is followed; the last bit takes for ever.
const fullest = 0.999

// chargingTime returns t/(R·C) until the bank has reached the fraction x
// (0 to fullest) of its crest, and the heat in R over C·V_0². Simpson's rule
// in z with x = 1 - 1/z²: near the crest f falls as (1-x)^(3/2), so that the
// time is proportional to z there.
func chargingTime(x float64) (time, heat float64) {
	const steps = 96
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

// reached returns which fraction of the no-load voltage the bank has at the
// time [s] when charged through a resistance [Ω] in all, without load.
func (p Plan) reached(time, resistance float64) float64 {
	want := time / p.chargingScale(resistance)
	lo, hi := 0.0, fullest
	if t, _ := chargingTime(hi); t <= want {
		return hi
	}
	for range 30 {
		mid := (lo + hi) / 2
		if t, _ := chargingTime(mid); t < want {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}
