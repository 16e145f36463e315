// Package fit finds the five parameters of a tube's static model from all of
// its published operating columns and idle points at once.
//
// It assumes that tube.Compare pins each column by plate current and load (or
// output), and minimises a robust sum of the relative errors of everything
// else, each divided by the spread expected of it; weak figures do not count.
// Mild priors (listed at the code) settle what few columns leave open.
package fit

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/optimize"

	"anodebook/compute/tube"
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

// Limit is the relative error that no firm figure of the quantity should pass
// [1]; the fit spreads a contradiction between columns rather than pass it.
var Limit = map[string]float64{
	"output":            0.075,
	"driving impedance": 0.06,
	"grid current":      0.17,
	"idle current":      0.17,
}

// Model fits a type. Types with idle points or columns but without a firm
// grid-driving column come back as tube.Estimate.
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
	objective := func(x []float64) float64 { return cost(t, columns, idle, decode(x)) }
	var best []float64
	least := math.Inf(1)
	try := func(start []float64, evaluations int, size float64) {
		r, err := optimize.Minimize(optimize.Problem{Func: objective}, start,
			&optimize.Settings{FuncEvaluations: evaluations, Converger: &optimize.FunctionConverge{Absolute: 1e-9, Iterations: 150}},
			&optimize.NelderMead{SimplexSize: size})
		if r != nil && (err == nil || r.F < math.Inf(1)) && r.F < least {
			least, best = r.F, r.X
		}
	}
	mu := priorMu(t)
	c := columns[0].Each()
	for _, exponent := range []float64{1.3, 1.6} {
		for _, peak := range []float64{60, 130} { // grid-cathode volts guessed at the crest
			k := 3.5 * c.PlateCurrent.Value / math.Pow(peak+0.2*c.PlateVoltage.Value/mu, exponent)
			try(encode(tube.Model{K: k, Mu: mu, Exponent: exponent, Division: 2, Softness: 4}), 250, 0.15)
		}
	}
	if best == nil {
		return tube.Model{}, tube.NoModel, errors.New(t.Name + ": no start of the fit could be computed")
	}
	for _, size := range []float64{0.1, 0.03, 0.01} {
		try(best, 400, size)
	}
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

func cost(t *tube.Type, columns []tube.Column, idle []tube.IdlePoint, m tube.Model) float64 {
	if m.Valid() != nil || m.Exponent < 1.05 || m.Exponent > 2.2 || m.Softness > 60 || m.Softness < 0.05 || m.Mu < 3 || m.Mu > 2000 {
		return math.Inf(1)
	}
	rs, err := tube.Compare(m, columns, idle)
	if err != nil {
		return math.Inf(1)
	}
	sum := 0.0
	for _, r := range rs {
		if r.Mark == tube.Weak || r.Pinned {
			continue
		}
		sum += robust(r.Error / spread[r.Quantity])
		if l, ok := Limit[r.Quantity]; ok {
			sum += square(math.Max(0, math.Abs(r.Error)-0.95*l) / 0.003)
		}
	}
	// priors: µ near the published one (open for triode-connected tetrodes),
	// x near the 3/2 law, softness a few volts, division about 2
	width := 0.2
	if t.Connected {
		width = 0.8
	}
	sum += square(math.Log(m.Mu/priorMu(t)) / width)
	sum += square((m.Exponent - 1.5) / 0.15)
	sum += square(math.Log(m.Softness/4) / 1)
	sum += square(math.Log(m.Division/2) / 1)
	return sum
}

func square(x float64) float64 { return x * x }

// robust is the pseudo-Huber loss: square near zero, straight far out.
func robust(r float64) float64 {
	const d = 3
	return 2 * d * d * (math.Sqrt(1+r*r/(d*d)) - 1)
}

// estimate is the model from µ and one idle point: 3/2 law, with the softness
// and division that the fitted types have on average (common practice: none).
func estimate(mu float64, i tube.IdlePoint) tube.Model {
	m := tube.Model{K: 1, Mu: mu, Exponent: 1.5, Division: 2, Softness: 4}
	p, _ := m.Currents(-i.Bias, i.PlateVoltage-i.Bias)
	m.K = i.Current.Value / p
	return m
}

// LeaveOneOut fits a type without one column (and without the idle point of
// the same plate voltage) and returns what it then predicts for that column.
func LeaveOneOut(t *tube.Type, column string) ([]tube.Residual, error) {
	var kept, left []tube.Column
	for _, c := range t.Columns {
		if c.Name == column {
			left = append(left, c)
		} else {
			kept = append(kept, c)
		}
	}
	if len(left) != 1 || len(kept) == 0 {
		return nil, fmt.Errorf("%s: column %q cannot be left out", t.Name, column)
	}
	var idle, out []tube.IdlePoint
	for _, i := range t.Idle {
		if i.PlateVoltage == left[0].PlateVoltage.Value {
			out = append(out, i)
		} else {
			idle = append(idle, i)
		}
	}
	m, _, err := model(t, kept, idle)
	if err != nil {
		return nil, err
	}
	return tube.Compare(m, left, out)
}
