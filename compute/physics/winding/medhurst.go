package winding

import (
	"math"
	"sort"
)

// Medhurst's tables (R. G. Medhurst, Wireless Engineer 24, Feb 1947 p. 35 and
// Mar 1947 p. 80). Rows marked R in the reference were read, the others are
// from memory; they are smooth against each other to a few per cent.

var medhurstH = [][2]float64{ // length/diameter, H [pF/cm]
	{0.1, 0.96}, {0.15, 0.79}, {0.2, 0.70}, {0.25, 0.64}, {0.3, 0.60}, {0.35, 0.57}, {0.4, 0.54}, {0.45, 0.52},
	{0.5, 0.50}, {0.6, 0.48}, {0.8, 0.46}, {0.9, 0.46}, {1, 0.46}, {1.5, 0.47}, {2, 0.50}, {3, 0.61}, {3.5, 0.67},
	{4, 0.72}, {4.5, 0.77}, {5, 0.81}, {6, 0.92}, {7, 1.01}, {8, 1.12}, {10, 1.32}, {15, 1.86}, {20, 2.36},
	{25, 2.9}, {30, 3.4}, {40, 4.6}, {50, 5.8},
}

// MedhurstFit is the closed form to Medhurst's table of H [pF per cm of
// diameter] over length/diameter > 0 (from memory); up to 8 % off near 3 to 5.
func MedhurstFit(lengthOverDiameter float64) float64 {
	return 0.1126*lengthOverDiameter + 0.08 + 0.27/math.Sqrt(lengthOverDiameter)
}

// medhurstTable interpolates H in length/diameter; outside the table it goes
// on as the closed form does.
func medhurstTable(ratio float64) float64 {
	t := medhurstH
	for _, end := range [][2]float64{t[0], t[len(t)-1]} {
		if ratio < t[0][0] && end == t[0] || ratio > t[len(t)-1][0] && end == t[len(t)-1] {
			return end[1] * MedhurstFit(ratio) / MedhurstFit(end[0])
		}
	}
	i := sort.Search(len(t), func(i int) bool { return t[i][0] >= ratio })
	if i == 0 {
		return t[0][1]
	}
	w := (ratio - t[i-1][0]) / (t[i][0] - t[i-1][0])
	return t[i-1][1] + w*(t[i][1]-t[i-1][1])
}

// SelfCapacitance is Medhurst's capacitance [F] of a solenoid of diameter [m]
// and length [m] with one end earthed, solid for length/diameter 0.1 to 50, 5 %.
func SelfCapacitance(diameter, length float64) float64 {
	return medhurstTable(length/diameter) * diameter * 100 * 1e-12
}

// wireOverPitch and lengthOverDiameter are the axes of the table of Φ.
var (
	wireOverPitch      = []float64{0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0}
	lengthOverDiameter = []float64{0, 0.2, 0.4, 0.6, 0.8, 1, 2, 4, 6, 8, 10}
	// The last row is that of an endless coil.
	medhurstPhi = [12][10]float64{
		{1.02, 1.07, 1.16, 1.20, 1.44, 1.74, 2.12, 2.74, 3.73, 5.31},
		{1.02, 1.08, 1.19, 1.29, 1.48, 1.77, 2.20, 2.83, 3.84, 5.45},
		{1.03, 1.08, 1.21, 1.33, 1.54, 1.83, 2.28, 2.97, 3.99, 5.65},
		{1.03, 1.10, 1.22, 1.38, 1.60, 1.89, 2.38, 3.10, 4.11, 5.80},
		{1.03, 1.10, 1.23, 1.42, 1.64, 1.92, 2.44, 3.20, 4.17, 5.80},
		{1.03, 1.10, 1.24, 1.45, 1.67, 1.94, 2.47, 3.17, 4.10, 5.55},
		{1.04, 1.13, 1.28, 1.50, 1.74, 1.98, 2.32, 2.74, 3.36, 4.10},
		{1.04, 1.15, 1.32, 1.54, 1.78, 2.01, 2.27, 2.60, 3.05, 3.54},
		{1.04, 1.16, 1.34, 1.56, 1.80, 2.03, 2.29, 2.60, 2.92, 3.31},
		{1.04, 1.165, 1.34, 1.57, 1.81, 2.08, 2.34, 2.62, 2.90, 3.20},
		{1.04, 1.17, 1.35, 1.58, 1.83, 2.10, 2.37, 2.65, 2.93, 3.23},
		{1.05, 1.19, 1.395, 1.65, 1.93, 2.22, 2.51, 2.815, 3.11, 3.41},
	}
)

// Proximity is Medhurst's Φ: the resistance of a coil at high frequency over
// that of the same wire stretched out, for length/diameter ≥ 0 and wire
// diameter/pitch 0 to 1. Straight lines between the rows of the table (beyond
// a ratio of 10 in its inverse), 3 %. Valid for many turns and a skin depth
// well below the wire's radius.
func Proximity(ratio, dOverP float64) float64 {
	column := func(row int) float64 {
		d := math.Min(math.Max(dOverP, 0), 1)
		if d < wireOverPitch[0] {
			return 1 + d/wireOverPitch[0]*(medhurstPhi[row][0]-1)
		}
		i := min(int(d*10+1e-9)-1, len(wireOverPitch)-2)
		w := (d - wireOverPitch[i]) / (wireOverPitch[i+1] - wireOverPitch[i])
		return medhurstPhi[row][i] + w*(medhurstPhi[row][i+1]-medhurstPhi[row][i])
	}
	last := len(lengthOverDiameter) - 1
	if ratio >= lengthOverDiameter[last] {
		w := lengthOverDiameter[last] / ratio
		return w*column(last) + (1-w)*column(last+1)
	}
	i := max(sort.SearchFloat64s(lengthOverDiameter, ratio), 1)
	w := (ratio - lengthOverDiameter[i-1]) / (lengthOverDiameter[i] - lengthOverDiameter[i-1])
	return (1-w)*column(i-1) + w*column(i)
}

// MedhurstPsi is ψ of Medhurst's rule Q = 0.15·r[cm]·ψ·√(f[Hz]):
// ψ = π·K·(d/p)/Φ.
func MedhurstPsi(lengthOverDiameter, wireOverPitch float64) float64 {
	return math.Pi * Nagaoka(1/lengthOverDiameter) * wireOverPitch / Proximity(lengthOverDiameter, wireOverPitch)
}

// Resistance of the coil [Ω] at frequency [Hz] with the copper at temperature
// [°C]: the wire's own AC resistance times Medhurst's Φ. Leads, form and
// dielectric are not in it.
func (s Solenoid) Resistance(frequency, celsius float64) float64 {
	return s.WireLength() * RoundWireResistance(s.Wire, frequency, celsius) *
		Proximity(s.Length()/s.Diameter, s.Wire/s.Pitch)
}

// SelfCapacitance of the coil with one end earthed [F], see the function.
func (s Solenoid) SelfCapacitance() float64 { return SelfCapacitance(s.Diameter, s.Length()) }
