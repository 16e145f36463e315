package network

import (
	"fmt"
	"math"

	"anodebook/spec/quantity"
)

// Pi holds the reactances of a lossless pi network, all positive numbers [Ω].
type Pi struct {
	Input  float64 // of the capacitor across R1 [Ω]
	Series float64 // of the coil [Ω]
	Output float64 // of the capacitor across R2 [Ω]; infinite where the pi degenerates to an L
}

// PiByInputQ is the lossless pi between r1 and r2 [Ω] with Q = R1/XC1, the
// definition of the ARRL Handbooks up to the early 1990s:
//
//	XC1 = R1/Q,  XC2 = R2·√[(R1/R2)/(Q² + 1 − R1/R2)],
//	XL = (Q·R1 + R1·R2/XC2)/(Q² + 1)
//
// An error is returned when Q² + 1 < R1/R2.
func PiByInputQ(r1, r2, q float64) (Pi, error) {
	rest := q*q + 1 - r1/r2
	if !(r1 > 0 && r2 > 0 && q > 0) || rest < -1e-12*(q*q+1) {
		return Pi{}, fmt.Errorf("pi network: Q %s cannot match %s Ω to %s Ω, least Q is %s", quantity.Short(q, 3),
			quantity.Short(r1, 4), quantity.Short(r2, 4), quantity.Short(math.Sqrt(math.Max(0, r1/r2-1)), 3))
	}
	xc2 := r2 * math.Sqrt(r1/r2/math.Max(rest, 0))
	return Pi{r1 / q, (q*r1 + r1*r2/xc2) / (q*q + 1), xc2}, nil
}

// PiByTotalQ is the lossless pi between r1 and r2 [Ω] with Q = Q1 + Q2, the
// sum of both half-sections against a virtual resistance in the middle (the
// definition of later ARRL Handbooks): Q1 from (R2−R1)·Q1² + 2·R1·Q·Q1 +
// R2 − R1·(1+Q²) = 0, XL = (Q1+Q2)·R1/(1+Q1²). An error is returned when one
// half would need a negative Q.
func PiByTotalQ(r1, r2, q float64) (Pi, error) {
	a, b, c := r2-r1, 2*r1*q, r2-r1*(1+q*q)
	disc := b*b - 4*a*c
	if disc < 0 {
		return Pi{}, fmt.Errorf("pi network: no match of %s Ω to %s Ω with a total Q of %s", quantity.Short(r1, 4),
			quantity.Short(r2, 4), quantity.Short(q, 3))
	}
	q1 := -2 * c / (b + math.Sqrt(disc)) // the form that also holds at r1 = r2
	q2 := q - q1
	if q1 < 0 || q2 < 0 {
		return Pi{}, fmt.Errorf("pi network: total Q %s is too low to match %s Ω to %s Ω", quantity.Short(q, 3), quantity.Short(r1, 4),
			quantity.Short(r2, 4))
	}
	return Pi{r1 / q1, q * r1 / (1 + q1*q1), r2 / q2}, nil
}

// PiByHigherSideQ is the lossless pi between r1 and r2 [Ω] with Q = R/X_C on
// the side with the higher resistance. Errors as PiByInputQ.
func PiByHigherSideQ(r1, r2, q float64) (Pi, error) {
	if r1 >= r2 {
		return PiByInputQ(r1, r2, q)
	}
	p, err := PiByInputQ(r2, r1, q)
	p.Input, p.Output = p.Output, p.Input
	return p, err
}

// LNetwork matches a higher to a lower resistance with two lossless parts.
type LNetwork struct {
	Q      float64 // √(R_high/R_low − 1)
	Series float64 // reactance next to the lower resistance: Q·R_low [Ω]
	Shunt  float64 // reactance across the higher resistance: R_high/Q [Ω]
}

// MatchL is the L network between two resistances [Ω], low < high (ARRL
// Handbook, matching networks).
func MatchL(low, high float64) (LNetwork, error) {
	if !(low > 0 && high > low) {
		return LNetwork{}, fmt.Errorf("matching with an L network: %s Ω is not below %s Ω", quantity.Short(low, 4),
			quantity.Short(high, 4))
	}
	q := math.Sqrt(high/low - 1)
	return LNetwork{q, q * low, high / q}, nil
}

// PiL holds the reactances of a lossless pi-L network [Ω].
type PiL struct {
	Input        float64 // of the tune capacitor [Ω]
	Series       float64 // of the pi coil [Ω]
	Middle       float64 // of the load capacitor, both shares together [Ω]
	OutputSeries float64 // of the output coil [Ω]
}

// PiLByInputQ is the lossless pi-L from r1 to r2 over the intermediate
// resistance [Ω], Q = R1/XC1 (construction of the Radio Handbook and the ARRL
// Handbook, from memory): a pi from r1 to the intermediate resistance and an
// L from there to r2, whose shunt capacitor joins the pi's.
func PiLByInputQ(r1, r2, intermediate, q float64) (PiL, error) {
	p, err := PiByInputQ(r1, intermediate, q)
	if err != nil {
		return PiL{}, err
	}
	l, err := MatchL(r2, intermediate)
	if err != nil {
		return PiL{}, err
	}
	return PiL{p.Input, p.Series, 1 / (1/p.Output + 1/l.Shunt), l.Series}, nil
}
