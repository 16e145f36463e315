// Package quantity turns text such as "2.8 kV", "1/4 in" or "25 .. 250 pF"
// into SI numbers with a dimension, and SI numbers back into the trade's own
// units with engineering prefixes. It assumes the decimal point, never the
// comma.
package quantity

import (
	"fmt"
	"math"
)

// Dimension holds the exponents of the SI base units. They are doubled, so
// that a square root of a dimension stays a whole number.
type Dimension struct {
	Kilogram, Metre, Second, Ampere, Kelvin int8
}

// The dimensions that appear in this trade.
var (
	Pure            = Dimension{}
	Length          = Dimension{Metre: 2}
	Area            = Dimension{Metre: 4}
	Volume          = Dimension{Metre: 6}
	Time            = Dimension{Second: 2}
	Frequency       = Dimension{Second: -2}
	Mass            = Dimension{Kilogram: 2}
	Temperature     = Dimension{Kelvin: 2}
	Current         = Dimension{Ampere: 2}
	Voltage         = Dimension{Kilogram: 2, Metre: 4, Second: -6, Ampere: -2}
	Power           = Dimension{Kilogram: 2, Metre: 4, Second: -6}
	Energy          = Dimension{Kilogram: 2, Metre: 4, Second: -4}
	Resistance      = Dimension{Kilogram: 2, Metre: 4, Second: -6, Ampere: -4}
	Conductance     = Dimension{Kilogram: -2, Metre: -4, Second: 6, Ampere: 4}
	Capacitance     = Dimension{Kilogram: -2, Metre: -4, Second: 8, Ampere: 4}
	Inductance      = Dimension{Kilogram: 2, Metre: 4, Second: -4, Ampere: -4}
	Charge          = Dimension{Second: 2, Ampere: 2}
	Pressure        = Dimension{Kilogram: 2, Metre: -2, Second: -4}
	Flow            = Dimension{Metre: 6, Second: -2}
	Density         = Dimension{Kilogram: 2, Metre: -6}
	PowerDensity    = Dimension{Kilogram: 2, Second: -6}
	FluxDensity     = Dimension{Kilogram: 2, Second: -4, Ampere: -2}
	Resistivity     = Dimension{Kilogram: 2, Metre: 6, Second: -6, Ampere: -4}
	Permeability    = Dimension{Kilogram: 2, Metre: 2, Second: -4, Ampere: -4}
	Velocity        = Dimension{Metre: 2, Second: -2}
	HeatCapacity    = Dimension{Metre: 4, Second: -4, Kelvin: -2}
	ThermalResist   = Dimension{Kilogram: -2, Metre: -4, Second: 6, Kelvin: 2}
	ElectricField   = Dimension{Kilogram: 2, Metre: 2, Second: -6, Ampere: -2}
	ResistPerLength = Dimension{Kilogram: 2, Metre: 2, Second: -6, Ampere: -4}
	Action          = Dimension{Second: 2, Ampere: 4} // A²·s, a fuse's let-through
)

// dimensionNames says what a dimension is called, with an example that a
// builder could have written.
var dimensionNames = map[Dimension][2]string{
	Pure:         {"a plain number", "1.5"},
	Length:       {"a length", "25 mm"},
	Area:         {"an area", "2 cm2"},
	Volume:       {"a volume", "1 m3"},
	Time:         {"a time", "30 ms"},
	Frequency:    {"a frequency", "3.6 MHz"},
	Mass:         {"a mass", "1 kg"},
	Temperature:  {"a temperature", "25 °C"},
	Current:      {"a current", "400 mA"},
	Voltage:      {"a voltage", "2.8 kV"},
	Power:        {"a power", "1000 W"},
	Energy:       {"an energy", "200 J"},
	Resistance:   {"a resistance", "50 ohm"},
	Capacitance:  {"a capacitance", "250 pF"},
	Inductance:   {"an inductance", "12 uH"},
	Pressure:     {"a pressure", "25 Pa"},
	Flow:         {"an air flow", "13 CFM"},
	Density:      {"a density", "1.2 kg/m3"},
	PowerDensity: {"a power density", "2 W/m2"},
	FluxDensity:  {"a flux density", "20 mT"},
}

// Name returns what d is called, such as "a voltage".
func (d Dimension) Name() string {
	if n, ok := dimensionNames[d]; ok {
		return n[0]
	}
	return "a quantity in " + d.String()
}

// Example returns text of dimension d as a builder would write it.
func (d Dimension) Example() string {
	if n, ok := dimensionNames[d]; ok {
		return n[1]
	}
	return ""
}

// Mul returns the dimension of a product.
func (d Dimension) Mul(e Dimension) Dimension {
	return Dimension{d.Kilogram + e.Kilogram, d.Metre + e.Metre, d.Second + e.Second, d.Ampere + e.Ampere, d.Kelvin + e.Kelvin}
}

// Div returns the dimension of a quotient.
func (d Dimension) Div(e Dimension) Dimension {
	return Dimension{d.Kilogram - e.Kilogram, d.Metre - e.Metre, d.Second - e.Second, d.Ampere - e.Ampere, d.Kelvin - e.Kelvin}
}

// Pow returns the dimension of a power with exponent halves/2, and false where
// the result would need a quarter of a base unit or an exponent beyond reason.
func (d Dimension) Pow(halves int) (Dimension, bool) {
	ok := true
	f := func(x int8) int8 {
		p := int(x) * halves
		if p%2 != 0 || p/2 > math.MaxInt8 || p/2 < math.MinInt8 {
			ok = false
		}
		return int8(p / 2)
	}
	return Dimension{f(d.Kilogram), f(d.Metre), f(d.Second), f(d.Ampere), f(d.Kelvin)}, ok
}

// String writes d in base units, such as "kg·m²·s⁻³·A⁻¹" in plain letters.
func (d Dimension) String() string {
	if d == Pure {
		return "1"
	}
	out := ""
	for _, p := range []struct {
		n string
		e int8
	}{{"kg", d.Kilogram}, {"m", d.Metre}, {"s", d.Second}, {"A", d.Ampere}, {"K", d.Kelvin}} {
		if p.e == 0 {
			continue
		}
		if out != "" {
			out += " "
		}
		out += p.n
		switch {
		case p.e == 2:
		case p.e%2 == 0:
			out += fmt.Sprintf("^%d", p.e/2)
		default:
			out += fmt.Sprintf("^(%d/2)", p.e)
		}
	}
	return out
}
