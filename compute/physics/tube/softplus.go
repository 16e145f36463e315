package tube

import "math"

// The logarithm of the soft cut-off, L(z) = ln(ln(1 + exp z)), as Taylor series
// about points 1/softPerUnit apart: with it ik = K·s^x·exp(x·L) takes one
// exponential. The nearest singularities lie at z = ±iπ, so that the first term
// left out is below (1/16/π)^7/7 = 2e-13.
const (
	softLow     = -16.0
	softHigh    = 20.0
	softPerUnit = 8
	softTerms   = 7
)

var softSeries = func() (t [int((softHigh - softLow) * softPerUnit)][softTerms]float64) {
	for k := range t {
		t[k] = logSoftplusSeries(softLow + (float64(k)+0.5)/softPerUnit)
	}
	return t
}()

// logSoftplusSeries returns the Taylor coefficients of ln(ln(1+exp z)) at z.
func logSoftplusSeries(z float64) [softTerms]float64 {
	e := [softTerms]float64{1 + math.Exp(z), math.Exp(z)}
	for n := 2; n < softTerms; n++ {
		e[n] = e[n-1] / float64(n)
	}
	first := logSeries(e)
	first[0] = math.Log1p(math.Exp(z))
	return logSeries(first)
}

// logSeries returns the series of ln(a), from a·(ln a)' = a'.
func logSeries(a [softTerms]float64) (l [softTerms]float64) {
	l[0] = math.Log(a[0])
	for n := 1; n < softTerms; n++ {
		sum := float64(n) * a[n]
		for k := 1; k < n; k++ {
			sum -= float64(k) * l[k] * a[n-k]
		}
		l[n] = sum / (float64(n) * a[0])
	}
	return l
}

// logSoftplus returns L(z) and its slope for softLow <= z < softHigh.
func logSoftplus(z float64) (value, slope float64) {
	y := (z - softLow) * softPerUnit
	k := min(int(y), len(softSeries)-1) // next to softHigh y rounds up
	c := &softSeries[k]
	h := (y - float64(k) - 0.5) * (1.0 / softPerUnit)
	value = c[0] + h*(c[1]+h*(c[2]+h*(c[3]+h*(c[4]+h*(c[5]+h*c[6])))))
	slope = c[1] + h*(2*c[2]+h*(3*c[3]+h*(4*c[4]+h*(5*c[5]+h*6*c[6]))))
	return value, slope
}
