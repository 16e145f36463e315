package fit

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// residuals writes the residuals of a sum of squares at x; false where x
// cannot be evaluated.
type residuals func(x []float64) ([]float64, bool)

func sumSquares(r []float64) float64 {
	s := 0.0
	for _, v := range r {
		s += v * v
	}
	return s
}

// jacobian returns the slopes of the residuals r at x by forward differences.
func jacobian(f residuals, x, r []float64) (*mat.Dense, bool) {
	const h = 1e-4
	j := mat.NewDense(len(r), len(x), nil)
	y := append([]float64(nil), x...)
	for i := range x {
		y[i] = x[i] + h
		step := h
		moved, ok := f(y)
		if !ok {
			y[i] = x[i] - h
			step = -h
			if moved, ok = f(y); !ok {
				return nil, false
			}
		}
		y[i] = x[i]
		for k := range r {
			j.Set(k, i, (moved[k]-r[k])/step)
		}
	}
	return j, true
}

// leastSquares goes downhill from x by Marquardt's compromise between
// Gauss–Newton and steepest descent (D. W. Marquardt, J. SIAM 11 (1963) 431),
// and returns the best point with its sum of squares; +Inf where x itself
// cannot be evaluated.
func leastSquares(f residuals, x []float64, iterations int) ([]float64, float64) {
	r, ok := f(x)
	if !ok {
		return x, math.Inf(1)
	}
	cost, damping := sumSquares(r), 1e-2
	n := len(x)
	for range iterations {
		j, ok := jacobian(f, x, r)
		if !ok {
			return x, cost
		}
		var normal mat.SymDense
		normal.SymOuterK(1, j.T())
		var gradient mat.VecDense
		gradient.MulVec(j.T(), mat.NewVecDense(len(r), r))
		better := false
		for range 12 {
			damped := mat.NewSymDense(n, nil)
			damped.CopySym(&normal)
			for i := range n {
				damped.SetSym(i, i, normal.At(i, i)*(1+damping)+1e-12)
			}
			var c mat.Cholesky
			var step mat.VecDense
			if !c.Factorize(damped) || c.SolveVecTo(&step, &gradient) != nil {
				damping *= 10
				continue
			}
			next := make([]float64, n)
			longest := 0.0
			for i := range n {
				longest = math.Max(longest, math.Abs(step.AtVec(i)))
			}
			scale := math.Min(1, 0.7/longest) // at most a factor of two at once
			for i := range n {
				next[i] = x[i] - scale*step.AtVec(i)
			}
			if s, ok := f(next); ok && sumSquares(s) < cost {
				gain := cost - sumSquares(s)
				x, r, cost = next, s, sumSquares(s)
				damping = math.Max(damping/6, 1e-9)
				better = gain > 1e-7*(1+cost)
				break
			}
			damping *= 6
		}
		if !better {
			return x, cost
		}
	}
	return x, cost
}
