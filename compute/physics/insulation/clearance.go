package insulation

import (
	"fmt"
	"math"

	"anodebook/spec/quantity"
)

// SecondaryClearance returns the clearance through air [m] for a peak or DC
// voltage [V] up to 42 kV in a secondary circuit free of mains transients:
// functional, basic and supplementary insulation, or reinforced. Linear
// between rows; below the first row (700 V) the first row holds.
// Source: table after IEC 60950, up to 2000 m. IEC 62368-1 has taken the place
// of that standard; its own tables were not seen.
func SecondaryClearance(peak float64, reinforced bool) (float64, error) {
	t := tables["secondary"]
	column := 2
	if reinforced {
		column = 3
	}
	if !(peak >= 0) {
		return 0, fmt.Errorf("%w: %s V", ErrRange, quantity.Short(peak, 6))
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
// Source: IEC 60664-1 Table F.2, pollution degree 2, up to 2000 m; the same
// in 2007 and 2020. For impulses only: see RecurringClearance.
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
// 10 kV at pollution degree 2 (dry, with occasional condensation): basic
// insulation. Between rows the next higher row is taken; below the first row
// (10 V) the first row holds. Source: IEC 60664-1:2020 Table F.5, F.4 in 2007.
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
// Source: IEC 60664-1 Table A.2, the same in 2007 and 2020.
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
		return 0, fmt.Errorf("%w: %s V is below 100 V", ErrRange, quantity.Short(peak, 6))
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
// 500. Source: IPC-2221B Table 6-1, transcribed (1).
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
		return 0, fmt.Errorf("%w: %s V is not above 300 V", ErrRange, quantity.Short(peak, 6))
	}
	return base + perVolt*math.Max(0, peak-500), nil
}

const (
	// ReinforcedPeak is what the recurring peak voltage counts for reinforced
	// clearance [1] (IEC 60664-1, transcribed (1)).
	ReinforcedPeak = 1.6
	// ReinforcedCreepage is reinforced creepage over that of basic insulation
	// [1] (IEC 60664-1, transcribed (1)).
	ReinforcedCreepage = 2
)

// RecurringClearance returns the clearance [m] for a steady, temporary or
// recurring peak voltage [V] up to 50 kV, point against plane: basic
// insulation, or reinforced, for which the voltage counts 1.6 times and may
// reach 31.25 kV. Between rows the next higher row is taken; below the first
// row (400 V) the first row holds. Source: IEC 60664-1:2020 Table F.8, F.7 in
// 2007, up to 2000 m.
func RecurringClearance(peak float64, reinforced bool) (float64, error) {
	if reinforced {
		peak *= ReinforcedPeak
	}
	return tables["recurring"].next(1, peak)
}

// Overvoltage is an overvoltage category of the mains.
type Overvoltage int

const (
	CategoryI   Overvoltage = iota // behind a means that holds overvoltages down
	CategoryII                     // appliances at a receptacle
	CategoryIII                    // fixed installations
	CategoryIV                     // at the service entrance
)

// RatedImpulse returns the impulse voltage [V peak] that insulation to the mains
// must stand, for a voltage of line to neutral [V rms] up to 1500. Between rows
// the next higher row is taken. Source: IEC 60664-1 Table F.1.
func RatedImpulse(lineToNeutral float64, category Overvoltage) (float64, error) {
	if category < CategoryI || category > CategoryIV {
		return 0, fmt.Errorf("insulation: unknown overvoltage category %d", int(category))
	}
	return tables["rated_impulse"].next(1+int(category), lineToNeutral)
}

// impulseSteps is the series of rated impulse voltages [V].
var impulseSteps = []float64{330, 500, 800, 1500, 2500, 4000, 6000, 8000, 12000}

// ReinforcedImpulse returns the impulse voltage [V peak] that counts for
// reinforced clearance: the next step of the series above a step of it, else
// 1.6 times the voltage [V peak]. Source: IEC 60664-1, transcribed (1).
func ReinforcedImpulse(impulse float64) float64 {
	for k, step := range impulseSteps[:len(impulseSteps)-1] {
		if math.Abs(impulse-step) <= rounding*step {
			return impulseSteps[k+1]
		}
	}
	return ReinforcedPeak * impulse
}

// RadioClearance returns the clearance [m] at a radio-frequency peak voltage [V]
// up to 2 kV, above 30 kHz, inhomogeneous field; below the first row (600 V) the
// first row holds. Source: IEC 60664-4 Table 1, transcribed (1).
func RadioClearance(peak float64) (float64, error) { return tables["radio_clearance"].next(1, peak) }

// RadioCreepage returns the creepage distance [m] at a radio-frequency peak
// voltage [V] and a frequency [Hz] up to 3 MHz; between columns the higher
// frequency holds. Source: IEC 60664-4 Table 2, transcribed (1), which ends at
// 700, 500 and 300 V for 1, 2 and 3 MHz.
func RadioCreepage(peak, frequency float64) (float64, error) {
	switch {
	case frequency > 0 && frequency <= 1e6:
		return tables["radio_creepage_1mhz"].next(1, peak)
	case frequency > 1e6 && frequency <= 2e6:
		return tables["radio_creepage_2mhz"].next(1, peak)
	case frequency > 2e6 && frequency <= 3e6:
		return tables["radio_creepage_3mhz"].next(1, peak)
	}
	return 0, fmt.Errorf("%w: %s Hz, the table of creepage ends at 3 MHz", ErrRange, quantity.Short(frequency, 6))
}

// RadioStrengths returns the published table of electric strength at radio
// frequency; advice, for no pass or fail.
func RadioStrengths() Strengths { return embedded.Strength }

// At returns the factor on the 50 Hz strength of a material [1] at a frequency
// [Hz] up to 10 MHz; between columns that of the higher frequency holds.
func (s Strengths) At(material string, frequency float64) (float64, error) {
	for _, m := range s.Materials {
		if m.Name != material {
			continue
		}
		for k, f := range s.Frequencies {
			if frequency > 0 && frequency <= f*(1+rounding) {
				return m.Factors[k], nil
			}
		}
		return 0, fmt.Errorf("%w: %s Hz, the table of strength ends at %s Hz", ErrRange, quantity.Short(frequency, 6),
			quantity.Short(s.Frequencies[len(s.Frequencies)-1], 6))
	}
	return 0, fmt.Errorf("insulation: no strength of %q at radio frequency", material)
}
