package supply

import (
	"math"

	"anodebook/compute/physics/rectifier"
)

// charge describes the bank charging through a resistance so large that it
// takes many half periods: the mean over a half period of the current
// (cos θ - x) that flows while |sin| of the source exceeds x = V/V_0.
//
//	mean   f(x) = (2/π)·(sin φ - x·φ),              φ = arccos x
//	square g(x) = (2/π)·(φ·(1/2 + x²) - (3/2)·x·sin φ)
//
// both in units of V_0/R. Time and heat then are integrals that depend on x
// alone. It chooses the time; what then happens is followed in time.
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
	if p.Supply.Circuit.Banks() == 2 {
		rc *= 4
	}
	return rc
}

// startOf is the supply switched on at the crest of a mains that is a fraction
// of the nominal one, with a bank of a multiple of its capacitance.
func (w *work) startOf(mains, capacitance, resistor, end float64) rectifier.Start {
	p := &w.p
	s := rectifier.Start{Supply: p.Supply, Resistor: resistor, Shared: w.shared(), Phase: math.Pi / 2, Close: end, Until: end}
	s.Supply.SecondaryVoltage *= mains
	s.Supply.Capacitance *= capacitance
	if p.Choke.Light > 0 {
		s.Inductance = p.Choke.Inductance
	}
	return s
}

// shared returns the part of the source resistance that lies in primary and
// mains, at the secondary [Ω].
func (w *work) shared() float64 {
	t, p := &w.Spec.Supply.Transformer, &w.p
	primary := p.Windings / 2 // equal loss in both windings
	if t.PrimaryResistance.Given {
		primary = t.PrimaryResistance.SI * p.Ratio * p.Ratio
	}
	return math.Min(p.MainsResistance+primary, p.Supply.SourceResistance)
}
