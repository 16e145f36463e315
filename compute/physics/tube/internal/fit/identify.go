package fit

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"anodebook/compute/physics/tube"
)

// scaleSpread is how far types of one size differ in current, as a logarithm
// (common practice: none, a round figure).
const scaleSpread = 0.5

// names of the parameters in the order of encode.
var names = [...]string{"K", "µ", "x", "D", "s"}

// Identify tells how far the columns and idle points of a type fix each
// parameter of its fitted model m. Near the best point the misfit is a
// quadratic form; its matrix, data and priors together, is the inverse of the
// parameters' covariance, and 1 − variance/prior variance is the share that
// the data contribute (the averaging kernel of linear estimation: C. D.
// Rodgers, Inverse Methods for Atmospheric Sounding, 2000, ch. 2; from
// memory). K stands for the current at 100 V; it has no prior and is held
// against scaleSpread.
func Identify(t *tube.Type, m tube.Model) ([]tube.Parameter, error) {
	f := func(x []float64) ([]float64, bool) {
		m := decode(x)
		rs, err := tube.Compare(m, t.Columns, t.Idle)
		if err != nil {
			return nil, false
		}
		var out []float64
		for _, r := range rs {
			if r.Mark != tube.Weak && !r.Pinned {
				out = append(out, r.Error/spread[r.Quantity]/doubt(r.Grade))
			}
		}
		return out, true
	}
	x := encode(m)
	r, ok := f(x)
	if !ok || len(r) == 0 {
		return nil, errors.New(t.Name + ": nothing in the columns can be held against the fitted model")
	}
	j, ok := jacobian(f, x, r)
	if !ok {
		return nil, errors.New(t.Name + ": no slopes at the fitted model")
	}
	var information mat.SymDense
	information.SymOuterK(1, j.T())
	width := priorWidths(t)
	for i, w := range width {
		information.SetSym(i, i, information.At(i, i)+1/(w*w))
	}
	var c mat.Cholesky
	var covariance mat.SymDense
	if !c.Factorize(&information) || c.InverseTo(&covariance) != nil {
		return nil, errors.New(t.Name + ": the columns leave the current scale open")
	}
	out := make([]tube.Parameter, len(names))
	for i, name := range names {
		v := covariance.At(i, i)
		before := width[i]
		if math.IsInf(before, 1) {
			before = scaleSpread
		}
		p := tube.Parameter{Name: name, Deviation: math.Sqrt(v), Share: math.Max(0, 1-v/(before*before))}
		for k := range names {
			if k == i {
				continue
			}
			if rho := covariance.At(i, k) / math.Sqrt(v*covariance.At(k, k)); math.Abs(rho) > math.Abs(p.Correlation) {
				p.Partner, p.Correlation = names[k], rho
			}
		}
		out[i] = p
	}
	return out, nil
}
