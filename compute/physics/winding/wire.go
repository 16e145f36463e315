package winding

import (
	"math"
	"math/cmplx"
)

// Copper, IEC 60028: annealed, at 20 °C.
const (
	CopperResistivity = 1 / 58e6      // at 20 °C [Ω·m]
	CopperCoefficient = 0.00393       // of temperature at 20 °C [1/K]
	CopperDensity     = 8890.0        // [kg/m³]
	roundWireLimit    = 60.0          // |z| above which the asymptotic series serves
	circularMil       = 5.0670748e-10 // area of a circle of 0.001 in [m²]
)

// Resistivity of copper [Ω·m] at a temperature [°C].
func Resistivity(celsius float64) float64 {
	return CopperResistivity * (1 + CopperCoefficient*(celsius-20))
}

// SkinDepth of copper [m] at frequency [Hz] and temperature [°C]:
// √(2ρ/(ω·μ0)).
func SkinDepth(frequency, celsius float64) float64 {
	return math.Sqrt(Resistivity(celsius) / (math.Pi * frequency * Mu0))
}

// SurfaceResistance of copper [Ω per square] at frequency [Hz] and temperature
// [°C]: ρ/δ.
func SurfaceResistance(frequency, celsius float64) float64 {
	return Resistivity(celsius) / SkinDepth(frequency, celsius)
}

// DCResistance of a round wire of diameter [m] per length [Ω/m] at [°C].
func DCResistance(diameter, celsius float64) float64 {
	return Resistivity(celsius) / (math.Pi / 4 * diameter * diameter)
}

// RoundWireResistance is the resistance per length [Ω/m] of a straight round
// copper wire of diameter [m], alone, at frequency [Hz] and temperature [°C]:
// R_dc·Re[z·I0(z)/(2·I1(z))], z = (1 + j)·(d/2)/δ, exact.
func RoundWireResistance(diameter, frequency, celsius float64) float64 {
	dc := DCResistance(diameter, celsius)
	if frequency == 0 {
		return dc
	}
	a := diameter / 2 / SkinDepth(frequency, celsius)
	z := complex(a, a)
	return dc * real(z*besselRatio(z)/2)
}

// besselRatio is I0(z)/I1(z) for Re z > 0, by the recurrence
// I(n−1)/I(n) = 2n/z + I(n+1)/I(n) run downward, or for large z by the
// asymptotic series (Abramowitz and Stegun 9.6.26 and 9.7.1).
func besselRatio(z complex128) complex128 {
	size := cmplx.Abs(z)
	if size > roundWireLimit {
		i := 1 / z
		return 1 + i*(0.5+i*(0.375+i*(0.375+i*(63.0/128))))
	}
	ratio := complex(0, 0)
	for n := math.Ceil(size*1.5) + 25; n >= 1; n-- {
		next := complex(2*n, 0) / z
		if ratio != 0 {
			next += 1 / ratio
		}
		ratio = next
	}
	return ratio
}

// TubeResistance is the resistance per length [Ω/m] of a straight round copper
// tube of outer diameter [m] and wall [m], alone, at frequency [Hz] > 0 and
// temperature [°C]. The current is taken to fill a layer δ·(1 − e^(−wall/δ))
// below the outer surface (common approximation, a few per cent); with a wall
// beyond 5 δ the tube is a solid wire.
func TubeResistance(diameter, wall, frequency, celsius float64) float64 {
	delta := SkinDepth(frequency, celsius)
	if wall >= diameter/2 || wall > 5*delta {
		return RoundWireResistance(diameter, frequency, celsius)
	}
	layer := delta * (1 - math.Exp(-wall/delta))
	return Resistivity(celsius) / (math.Pi * (diameter - layer) * layer)
}

// AWG is the bare diameter [m] of American Wire Gauge number n: 36 for 0.005
// in, 0 for 1/0, −1 for 2/0, −3 for 4/0; 0.005 in·92^((36−n)/39) (ASTM B258).
func AWG(n int) float64 { return 0.005 * inch * math.Pow(92, float64(36-n)/39) }

// CircularMils of a round wire of diameter [m].
func CircularMils(diameter float64) float64 {
	return math.Pi / 4 * diameter * diameter / circularMil
}

// metric wire, R20 series of IEC 60317-0-1 (from memory) [mm].
var metric = []float64{0.1, 0.112, 0.125, 0.14, 0.16, 0.18, 0.2, 0.224, 0.25, 0.28, 0.315, 0.355, 0.4, 0.45,
	0.5, 0.56, 0.63, 0.71, 0.8, 0.9, 1.0, 1.12, 1.25, 1.4, 1.6, 1.8, 2.0, 2.24, 2.5, 2.8, 3.15, 3.55, 4.0, 4.5, 5.0}

// MetricWires lists the preferred diameters of winding wire [m], ascending:
// the R20 series of IEC 60317-0-1 from 0.1 to 5 mm (from memory).
func MetricWires() []float64 {
	list := make([]float64, len(metric))
	for i, d := range metric {
		list[i] = d / 1000
	}
	return list
}

// Assortment lists bare diameters of wire to choose from [m], ascending: every
// second American gauge from number thin to number thick, or metric winding
// wire from least to most [m].
func Assortment(gauges bool, thin, thick int, least, most float64) []float64 {
	var list []float64
	if gauges {
		for n := thin; n >= thick; n -= 2 {
			list = append(list, AWG(n))
		}
		return list
	}
	for _, d := range MetricWires() {
		if d > least*0.999 && d < most*1.001 {
			list = append(list, d)
		}
	}
	return list
}
