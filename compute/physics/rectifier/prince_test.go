package rectifier

import (
	"errors"
	"math"
)

// dormandPrince integrates x' = f(t, x) from t0 to t1 with the explicit
// Runge-Kutta pair of orders 5 and 4 of Dormand and Prince, J. Comput. Appl.
// Math. 6 (1980) 19, table 2 (coefficients from memory; their order is checked
// in TestDormandPrince), with an adaptive step between
// smallest and largest. It calls each (may be nil)
// after every accepted step. It shares nothing with the package under test.
func dormandPrince(f func(t float64, x []float64) []float64, x []float64, t0, t1, relative float64, absolute []float64, smallest,
	largest float64, each func(t float64, x []float64)) ([]float64, error) {
	c := [7]float64{0, 1. / 5, 3. / 10, 4. / 5, 8. / 9, 1, 1}
	a := [7][6]float64{
		{},
		{1. / 5},
		{3. / 40, 9. / 40},
		{44. / 45, -56. / 15, 32. / 9},
		{19372. / 6561, -25360. / 2187, 64448. / 6561, -212. / 729},
		{9017. / 3168, -355. / 33, 46732. / 5247, 49. / 176, -5103. / 18656},
		{35. / 384, 0, 500. / 1113, 125. / 192, -2187. / 6784, 11. / 84},
	}
	e := [7]float64{71. / 57600, 0, -71. / 16695, 71. / 1920, -17253. / 339200, 22. / 525, -1. / 40}
	x = append([]float64(nil), x...)
	h := math.Min(largest, (t1-t0)/1000)
	t := t0
	for steps := 0; t < t1*(1-1e-14); steps++ {
		if steps > 20_000_000 {
			return nil, errors.New("too many steps")
		}
		h = math.Min(h, t1-t)
		var k [7][]float64
		var y []float64
		for s := range k {
			y = append([]float64(nil), x...)
			for j := 0; j < s; j++ {
				for r := range y {
					y[r] += h * a[s][j] * k[j][r]
				}
			}
			k[s] = f(t+c[s]*h, y)
		}
		worst := 0.0
		for r := range x {
			d := 0.0
			for s := range k {
				d += h * e[s] * k[s][r]
			}
			worst = math.Max(worst, math.Abs(d)/(absolute[r]+relative*math.Max(math.Abs(x[r]), math.Abs(y[r]))))
		}
		if worst <= 1 || h <= smallest {
			t += h
			x = y
			if each != nil {
				each(t, x)
			}
		}
		h = math.Min(largest, math.Max(smallest, h*math.Min(5, math.Max(0.2, 0.9*math.Pow(worst+1e-12, -0.2)))))
	}
	return x, nil
}
