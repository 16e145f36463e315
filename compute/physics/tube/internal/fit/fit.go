// Package fit finds the five parameters of a tube's static model from all of
// its published operating columns and idle points at once.
//
// It assumes that tube.Compare pins each column by plate current and load (or
// output), and minimises a robust sum of the relative errors of everything
// else, each divided by the spread expected of it and weighted by how well the
// figure is known; weak figures do not count. Mild priors (listed at the code)
// settle what few columns leave open; Identify tells which parameters those
// are.
package fit

import (
	"errors"
	"math"

	"anodebook/compute/physics/tube"
)

// spread is the relative error expected of a quantity [1].
var spread = map[string]float64{
	"output":                 0.025,
	"plate load":             0.06, // the same contradiction as the output, counted lightly
	"output into load":       0.12, // likewise
	"grid current":           0.06,
	"driving impedance":      0.03,
	"idle current":           0.07,
	"two-tone plate current": 0.08,
	"drive power":            0.25, // published as drive needed, circuit losses included
}

// doubt widens the spread of a figure by how well it is known.
func doubt(grade string) float64 {
	switch grade {
	case "M1-M2":
		return 1.1
	case "M2":
		return 1.25
	}
	return 1
}

// excess is the error beyond Bound that counts as much as one spread [1]: the
// aims for M1-M2 figures are pursued softly, the limit for M2 figures holds.
func excess(grade string) float64 {
	switch grade {
	case "M1-M2":
		return 0.02
	case "M2":
		return 0.003
	}
	return 0.006
}

// Model fits a type. Types with an idle point but without a column come back
// as tube.Estimate, those with neither as tube.NoModel.
func Model(t *tube.Type) (tube.Model, tube.ModelKind, error) {
	return model(t, t.Columns, t.Idle)
}

func model(t *tube.Type, columns []tube.Column, idle []tube.IdlePoint) (tube.Model, tube.ModelKind, error) {
	if len(columns) == 0 {
		if len(idle) > 0 && t.Mu.Known {
			return estimate(t.Mu.Value, idle[0]), tube.Estimate, nil
		}
		return tube.Model{}, tube.NoModel, nil
	}
	f := func(x []float64) ([]float64, bool) { return misfit(t, columns, idle, decode(x)) }
	var best []float64
	least := math.Inf(1)
	mu := priorMu(t)
	c := columns[0].Each()
	for _, s := range [...]struct{ exponent, peak float64 }{{1.5, 90}, {1.3, 50}} { // grid-cathode volts guessed at the crest
		k := 3.5 * c.PlateCurrent.Value / math.Pow(s.peak+0.2*c.PlateVoltage.Value/mu, s.exponent)
		x, cost := leastSquares(f, encode(tube.Model{K: k, Mu: mu, Exponent: s.exponent, Division: 2, Softness: 4}), 8)
		if cost < least {
			least, best = cost, x
		}
	}
	if best == nil {
		return tube.Model{}, tube.NoModel, errors.New(t.Name + ": no start of the fit could be computed")
	}
	best, _ = leastSquares(f, best, 40)
	return decode(best), tube.Fitted, nil
}

// encode and decode map the parameters to a space without bounds.
func encode(m tube.Model) []float64 {
	// the crest current, not K itself, is what the columns fix: K is taken
	// at 100 V so that it does not trade against the exponent
	return []float64{math.Log(m.K * math.Pow(100, m.Exponent)), math.Log(m.Mu), m.Exponent, math.Log(m.Division), math.Log(m.Softness)}
}

func decode(x []float64) tube.Model {
	return tube.Model{K: math.Exp(x[0]) * math.Pow(100, -x[2]), Mu: math.Exp(x[1]), Exponent: x[2],
		Division: math.Exp(x[3]), Softness: math.Exp(x[4])}
}

func priorMu(t *tube.Type) float64 {
	if t.Connected || !t.Mu.Known {
		return 100
	}
	return t.Mu.Value
}

// misfit returns the residuals whose squares the fit sums, those of the
// priors last.
func misfit(t *tube.Type, columns []tube.Column, idle []tube.IdlePoint, m tube.Model) ([]float64, bool) {
	if m.Valid() != nil || m.Exponent < 1.1 || m.Exponent > 2.2 || m.Softness > 60 || m.Softness < 0.05 || m.Mu < 3 || m.Mu > 2000 {
		return nil, false
	}
	rs, err := tube.Compare(m, columns, idle)
	if err != nil {
		return nil, false
	}
	var out []float64
	for _, r := range rs {
		if r.Mark == tube.Weak || r.Pinned {
			continue
		}
		out = append(out, robust(r.Error/spread[r.Quantity]/doubt(r.Grade)))
		if l, ok := Bound(r); ok {
			out = append(out, math.Max(0, math.Abs(r.Error)-0.94*l)/excess(r.Grade))
		}
	}
	return append(out, priors(t, m)...), true
}

// Bound returns what the error of a figure should stay within [1]: the aim for
// a well known figure, the limit for a fairly known one. The fit spreads a
// contradiction between columns rather than pass them.
func Bound(r tube.Residual) (float64, bool) {
	if r.Grade == "M2" {
		return tube.Limit(r.Quantity)
	}
	return tube.Aim(r.Quantity)
}

// priorWidths are the spreads of the priors in the space of encode: µ near the
// published one (open for triode-connected tetrodes), x near the 3/2 law,
// division about 2, softness a few volts; the crest current is free.
func priorWidths(t *tube.Type) [5]float64 {
	if t.Connected || !t.Mu.Known {
		return [5]float64{math.Inf(1), 0.8, 0.15, 1, 1}
	}
	return [5]float64{math.Inf(1), 0.2, 0.15, 1, 1}
}

// priors are the distances from the priors' centres, in widths.
func priors(t *tube.Type, m tube.Model) []float64 {
	w := priorWidths(t)
	return []float64{
		math.Log(m.Mu/priorMu(t)) / w[1],
		(m.Exponent - 1.5) / w[2],
		math.Log(m.Division/2) / w[3],
		math.Log(m.Softness/4) / w[4],
	}
}

// robust is the root of the pseudo-Huber loss, with its sign: straight near
// zero, growing as a root far out.
func robust(r float64) float64 {
	const d = 3
	return math.Copysign(math.Sqrt(2*d*d*(math.Sqrt(1+r*r/(d*d))-1)), r)
}

// estimate is the model from µ and one idle point: 3/2 law, with the softness
// and division that the fitted types have on average (common practice: none).
func estimate(mu float64, i tube.IdlePoint) tube.Model {
	m := tube.Model{K: 1, Mu: mu, Exponent: 1.5, Division: 2, Softness: 4}
	p, _ := m.Currents(-i.Bias, i.PlateVoltage-i.Bias)
	m.K = i.Current.Value / p
	return m
}
