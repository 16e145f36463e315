package rectifier

import "math"

// bracketedRoot returns where f crosses zero between lo and hi, at which its
// signs must differ: Newton's step where it stays inside the bracket and
// makes progress, bisection otherwise. f returns value and derivative.
func bracketedRoot(f func(float64) (float64, float64), lo, hi, tolerance float64) float64 {
	flo, _ := f(lo)
	if flo == 0 {
		return lo
	}
	rising := flo < 0
	x, width := 0.5*(lo+hi), hi-lo
	for k := 0; k < 100; k++ {
		y, d := f(x)
		if y == 0 {
			return x
		}
		if (y < 0) == rising {
			lo = x
		} else {
			hi = x
		}
		next := x - y/d
		if math.Abs(next-x) <= 2e-16*math.Abs(x)+tolerance {
			return x
		}
		if !(next > lo && next < hi) || math.Abs(next-x) > 0.5*width {
			next = 0.5 * (lo + hi)
		}
		width = math.Abs(next - x)
		x = next
		if width <= tolerance || hi-lo <= tolerance {
			break
		}
	}
	return x
}
