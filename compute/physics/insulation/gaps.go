package insulation

import (
	"fmt"
	"math"

	"anodebook/spec/quantity"
)

// CapacitorVoltage returns the peak voltage [V] that a variable capacitor of
// a plate spacing [m] stands, by the chart printed with 1947 handbook data,
// 0.66 mm to 4.6 mm, linear between its points. It is a chart of new, clean,
// rounded plates: expect 10 %, and less from worn ones.
func CapacitorVoltage(spacing float64) (float64, error) {
	return tables["capacitor_spacing"].linear(0, 1, spacing, false)
}

// CapacitorSpacing returns the plate spacing [m] for a peak voltage [V]
// from the same chart, 1 kV to 6.5 kV.
func CapacitorSpacing(peak float64) (float64, error) {
	return tables["capacitor_spacing"].linear(1, 0, peak, false)
}

// CautiousCapacitorSpacing returns 1 mm for each kilovolt of peak voltage
// [V] in [m]: common practice, said to hold twice the voltage.
func CautiousCapacitorSpacing(peak float64) float64 { return peak * 1e-6 }

// NeedleGap returns the gap between needle points [m] that a peak voltage
// [V], 5 kV to 40 kV, jumps at 760 mmHg and 25 °C (AIEE): the worst shape of
// an electrode, such as a wire end or a solder spike. Multiply the voltage's
// table value by the relative air density elsewhere.
func NeedleGap(peak float64) (float64, error) {
	return tables["needle_gap"].linear(0, 1, peak, false)
}

// SphereGap returns the gap between spheres of 5 cm [m] that a peak voltage
// [V], 5 kV to 40 kV, jumps at 760 mmHg and 25 °C (AIEE).
func SphereGap(peak float64) (float64, error) {
	return tables["sphere_gap_5cm"].linear(0, 1, peak, false)
}

// StandardSphereGap returns the lowest and highest breakdown voltage [V peak]
// that spheres of 5 cm to 15 cm show at a gap [m] of 5 mm to 30 mm, at 20 °C
// and 1013 hPa (table of the kind of IEC 60052, good to 3 %).
func StandardSphereGap(gap float64) (lowest, highest float64, err error) {
	t := tables["standard_sphere_gap"]
	if lowest, err = t.linear(0, 1, gap, false); err != nil {
		return 0, 0, err
	}
	highest, err = t.linear(0, 2, gap, false)
	return lowest, highest, err
}

// Coefficients of the uniform-field law in SI.
const (
	uniformPerMetre = 24.22e3 * 100 // [V/m]
	uniformPerRoot  = 6.08e3 * 10   // [V/√m]
)

// UniformBreakdown returns the breakdown voltage [V peak] of a uniform gap
// [m] at a relative air density (1 at 20 °C, 1013 hPa):
// V = 24.22·δd + 6.08·√(δd) kV, d in cm. About 1 mm to 10 cm.
// Source: Schumann and Ritz fit, from memory; agrees with sphere gaps in 3 %.
func UniformBreakdown(gap, relativeDensity float64) (float64, error) {
	x := gap * relativeDensity
	if !(x >= 0) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%w: a gap of %s m at relative density %s", ErrRange, quantity.Short(gap, 6),
			quantity.Short(relativeDensity, 6))
	}
	return uniformPerMetre*x + uniformPerRoot*math.Sqrt(x), nil
}
