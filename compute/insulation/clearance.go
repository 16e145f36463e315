package insulation

import (
	"fmt"
	"math"
)

// SecondaryClearance returns the clearance through air [m] for a peak or DC
// voltage [V] up to 42 kV in a secondary circuit free of mains transients:
// functional, basic and supplementary insulation, or reinforced. Linear
// between rows; below the first row (700 V) the first row holds.
// Source: table after IEC 60950, up to 2000 m.
func SecondaryClearance(peak float64, reinforced bool) (float64, error) {
	t := tables["secondary"]
	column := 2
	if reinforced {
		column = 3
	}
	if !(peak >= 0) {
		return 0, fmt.Errorf("%w: %g V", ErrRange, peak)
	}
	return t.linear(0, column, peak, true)
}

// Field is the shape of the electric field.
type Field int

const (
	// Inhomogeneous is case A: a point against a plane, the safe assumption.
	Inhomogeneous Field = iota
	// Homogeneous is case B: proven by a voltage test only.
	Homogeneous
)

// ImpulseClearance returns the clearance [m] that withstands an impulse voltage
// [V peak] up to 100 kV. Between rows the next higher row is taken.
// Source: IEC 60664-1:2007 Table F.2, pollution degree 2, up to 2000 m.
func ImpulseClearance(impulse float64, field Field) (float64, error) {
	t := tables["impulse"]
	column := 1
	if field == Homogeneous {
		column = 2
	}
	return t.next(column, impulse)
}

// Group is the material group by comparative tracking index (CTI).
type Group int

const (
	GroupI   Group = iota // CTI 600 and more: glazed ceramic
	GroupII               // CTI 400 to below 600
	GroupIII              // CTI 100 to below 400: most laminates
)

// Creepage returns the creepage distance [m] for an rms or DC voltage [V] up to
// 10 kV at pollution degree 2 (dry, with occasional condensation). Between
// rows the next higher row is taken; below the first row (500 V) the first
// row holds. Source: IEC 60664-1:2007 Table F.4.
func Creepage(rms float64, group Group) (float64, error) {
	t := tables["creepage"]
	if group < GroupI || group > GroupIII {
		return 0, fmt.Errorf("insulation: unknown material group %d", int(group))
	}
	return t.next(1+int(group), rms)
}

// CleanCreepage is Creepage at pollution degree 1 (clean and dry, or sealed),
// any material group.
func CleanCreepage(rms float64) (float64, error) {
	return tables["creepage"].next(4, rms)
}

// AltitudeFactor returns the factor on a clearance at an altitude [m] up to
// 20 000; 1 up to 2000 m, linear between rows.
// Source: IEC 60664-1:2007 Table A.2.
func AltitudeFactor(altitude float64) (float64, error) {
	if math.IsNaN(altitude) {
		return 0, ErrRange
	}
	return tables["altitude"].linear(0, 2, altitude, true)
}

// PowerConversionSpacing returns 0.6 mm + 5 µm/V · peak voltage [m], 100 V
// and up. Source: IPC-9592, as quoted (read).
func PowerConversionSpacing(peak float64) (float64, error) {
	if !(peak >= 100) {
		return 0, fmt.Errorf("%w: %g V is below 100 V", ErrRange, peak)
	}
	return 0.6e-3 + 5e-6*peak, nil
}

// BoardConductor is a column of IPC-2221B Table 6-1.
type BoardConductor int

const (
	ExternalUncoated     BoardConductor = iota // B2: external, uncoated, up to 3050 m
	ExternalUncoatedHigh                       // B3: external, uncoated, above 3050 m
	LeadUncoated                               // A6: component lead, uncoated
)

// BoardSpacing returns the spacing [m] of conductors on a printed board for a
// DC or peak voltage [V] above 300: the 301 to 500 V row, and per volt above
// 500. Source: IPC-2221B Table 6-1, from memory.
func BoardSpacing(peak float64, column BoardConductor) (float64, error) {
	base, perVolt := 0.0, 0.0
	switch column {
	case ExternalUncoated:
		base, perVolt = 2.5e-3, 5e-6
	case ExternalUncoatedHigh:
		base, perVolt = 12.5e-3, 25e-6
	case LeadUncoated:
		base, perVolt = 1.5e-3, 3.05e-6
	default:
		return 0, fmt.Errorf("insulation: unknown board column %d", int(column))
	}
	if !(peak > 300) {
		return 0, fmt.Errorf("%w: %g V is not above 300 V", ErrRange, peak)
	}
	return base + perVolt*math.Max(0, peak-500), nil
}
