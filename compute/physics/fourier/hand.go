package fourier

import "math"

// Hand is the result of a hand analysis, in the unit of the ordinates.
type Hand struct {
	Mean, First, Second, Third float64 // mean, and peak amplitudes of the harmonics
}

// Hand13 analyses 13 ordinates 15° apart, from the crest (0°) to 180°, with
// exact multipliers (E. L. Chaffee, A simplified harmonic analysis, Rev. Sci.
// Instrum. 7, October 1936, p. 384; from memory, the coefficients recomputed:
// it is the trapezoidal cosine rule).
func Hand13(ordinates [13]float64) Hand { return cosineRule(ordinates[:]) }

// Hand11 analyses 11 ordinates 18° apart, from the crest to 180°.
func Hand11(ordinates [11]float64) Hand { return cosineRule(ordinates[:]) }

func cosineRule(y []float64) Hand {
	n := len(y) - 1
	sum := func(h int) float64 {
		s := (y[0] + y[n]*math.Cos(math.Pi*float64(h))) / 2
		for k := 1; k < n; k++ {
			s += y[k] * math.Cos(math.Pi*float64(h*k)/float64(n))
		}
		return s / float64(n)
	}
	return Hand{sum(0), 2 * sum(1), 2 * sum(2), 2 * sum(3)}
}

// Printed multipliers of the fundamental, two digits, as handbooks give them.
var (
	Printed13 = [6]float64{1, 1.93, 1.73, 1.41, 1, 0.52}
	Printed11 = [5]float64{1, 1.90, 1.62, 1.18, 0.62}
)

// Hand13Printed is Hand13 with the fundamental from the printed multipliers:
// I1 = [(A−N) + 1.93(B−M) + 1.73(C−L) + 1.41(D−K) + (E−J) + 0.52(F−H)]/12.
func Hand13Printed(y [13]float64) Hand {
	h := Hand13(y)
	h.First = 0
	for k, m := range Printed13 {
		h.First += m * (y[k] - y[12-k]) / 12
	}
	return h
}

// Hand11Printed is Hand11 with the fundamental from the printed multipliers:
// I1 = [A + 1.90·B + 1.62·C + 1.18·D + 0.62·E less the mirrored ones]/10.
func Hand11Printed(y [11]float64) Hand {
	h := Hand11(y)
	h.First = 0
	for k, m := range Printed11 {
		h.First += m * (y[k] - y[10-k]) / 10
	}
	return h
}
