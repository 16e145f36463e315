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
	if p.Choke.Light > 0 {
		return p.chargingThroughChoke(time, resistance)
	}
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

// chargingThroughChoke is charging with a choke: until the bank stands above
// the mean of the rectified sine the current never stops, and choke, bank and
// resistance answer to that mean like a series circuit to a step. What the
// crests add beyond the mean is left out: up to a quarter of the voltage and a
// third of the heat where the step-start resistance is large.
func (p Plan) chargingThroughChoke(time, resistance float64) (reached, heat float64) {
	v0 := p.Supply.NoLoadVoltage()
	mean := rectifier.ResistiveMean(p.Supply.SecondaryVoltage)
	l, c, r := p.Choke.Loaded, p.Bank.OutputCapacitance(), resistance+p.Choke.Resistance
	slope := func(i, v float64) (di, dv float64) { return (mean - v - r*i) / l, (i - v/p.Supply.LoadResistance) / c }
	h := math.Min(0.1*math.Sqrt(l*c), 0.5*l/r)
	var i, v float64
	for t := 0.0; t < time; t += h {
		h := math.Min(h, time-t)
		a1, b1 := slope(i, v)
		a2, b2 := slope(i+h/2*a1, v+h/2*b1)
		a3, b3 := slope(i+h/2*a2, v+h/2*b2)
		a4, b4 := slope(i+h*a3, v+h*b3)
		before := i
		i = math.Max(0, i+h/6*(a1+2*a2+2*a3+a4))
		step := h / 6 * (b1 + 2*b2 + 2*b3 + b4)
		v += step
		heat += h * resistance * (before*before + before*i + i*i) / 3
		if math.Abs(step) < 1e-7*mean && math.Abs(i-before) < 1e-7*mean/r {
			heat += (time - t - h) * resistance * i * i
			break
		}
		if i == 0 && before == 0 { // above the mean: crests only, and little
			break
		}
	}
	return v / v0, heat / (c * v0 * v0)
}
