package quantity

import (
	"math"
	"sort"
	"strings"
)

// Unit is a unit of measure: value in SI = number × Factor + Offset.
type Unit struct {
	Symbol string // as printed, such as "Ω"
	Dimension
	Factor float64
	Offset float64
	// Prefixed says that SI prefixes go with the unit.
	Prefixed bool
}

var units = map[string]Unit{}

func define(dim Dimension, factor, offset float64, prefixed bool, symbol string, alias ...string) {
	u := Unit{Symbol: symbol, Dimension: dim, Factor: factor, Offset: offset, Prefixed: prefixed}
	for _, n := range append(alias, symbol) {
		units[n] = u
	}
}

func init() {
	define(Voltage, 1, 0, true, "V")
	define(Current, 1, 0, true, "A")
	define(Power, 1, 0, true, "W")
	define(Power, 1, 0, true, "VA")
	define(Power, 1, 0, true, "var")
	define(Resistance, 1, 0, true, "Ω", "ohm", "Ohm", "\u2126") // the last is the ohm sign, beside the Greek letter
	define(Conductance, 1, 0, true, "S")
	define(Capacitance, 1, 0, true, "F")
	define(Inductance, 1, 0, true, "H")
	define(Frequency, 1, 0, true, "Hz")
	define(Energy, 1, 0, true, "J")
	define(Charge, 1, 0, true, "C")
	define(Time, 1, 0, true, "s")
	define(Time, 60, 0, false, "min")
	define(Time, 3600, 0, false, "h")
	define(Length, 1, 0, true, "m")
	define(Length, 0.0254, 0, false, "in", "inch", "inches", "\"")
	define(Length, 0.3048, 0, false, "ft", "feet", "foot")
	define(Length, 25.4e-6, 0, false, "mil")
	define(Area, 1, 0, false, "m²", "m2")
	define(Area, 1e-4, 0, false, "cm²", "cm2")
	define(Area, 1e-6, 0, false, "mm²", "mm2")
	define(Volume, 1, 0, false, "m³", "m3")
	define(Mass, 1, 0, false, "kg")
	define(Mass, 1e-3, 0, false, "g")
	define(Temperature, 1, 0, false, "K")
	define(Temperature, 1, 273.15, false, "°C", "degC")
	define(Temperature, 5.0/9, 273.15-32*5.0/9, false, "°F", "degF")
	define(Pressure, 1, 0, true, "Pa")
	define(Pressure, 249.08891, 0, false, "inH2O")
	define(Flow, 1, 0, false, "m³/s", "m3/s")
	define(Flow, 1.0/3600, 0, false, "m³/h", "m3/h")
	define(Flow, 1e-3/60, 0, false, "l/min", "L/min")
	define(Flow, 1e-3, 0, false, "l/s", "L/s")
	define(Flow, 0.3048*0.3048*0.3048/60, 0, false, "CFM", "cfm")
	define(Density, 1, 0, false, "kg/m³", "kg/m3")
	define(PowerDensity, 1, 0, true, "W/m²", "W/m2")
	define(PowerDensity, 10, 0, false, "mW/cm²", "mW/cm2")
	define(FluxDensity, 1, 0, true, "T")
	define(ElectricField, 1, 0, true, "V/m")
	define(Resistivity, 1, 0, true, "Ω·m")
	define(Permeability, 1, 0, true, "H/m")
	define(ResistPerLength, 1, 0, true, "Ω/m", "ohm/m")
	define(HeatCapacity, 1, 0, false, "J/(kg·K)")
	define(Velocity, 1, 0, false, "m·s⁻¹", "m/s")
	define(ThermalResist, 1, 0, false, "K/W", "°C/W")
	define(Action, 1, 0, true, "A²s", "A2s")
	define(Pure, 1, 0, false, "")
	define(Pure, 0.01, 0, false, "%")
	define(Pure, 1e-6, 0, false, "ppm")
	define(Pure, 1, 0, false, "dB")
	define(Pure, 1, 0, false, "dBi")
	define(Pure, 1, 2.15, false, "dBd") // over a half-wave dipole, whose gain is 2.15 dBi
	define(Pure, 1, 0, false, "turns", "turn")
	define(Pure, math.Pi/180, 0, false, "°", "deg")
}

var prefixes = map[string]float64{
	"p": 1e-12, "n": 1e-9, "u": 1e-6, "µ": 1e-6, "μ": 1e-6, "m": 1e-3, "c": 1e-2,
	"": 1, "k": 1e3, "M": 1e6, "G": 1e9,
}

// LookupUnit finds a unit by its text, with an SI prefix where the unit takes
// one: "kV", "µH", "in". The returned Factor includes the prefix.
func LookupUnit(text string) (Unit, bool) {
	if u, ok := units[text]; ok {
		return u, true
	}
	for p, f := range prefixes {
		if p == "" || !strings.HasPrefix(text, p) {
			continue
		}
		rest := text[len(p):]
		u, ok := units[rest]
		if !ok || !u.Prefixed || (p == "c" && u.Dimension != Length) {
			continue
		}
		u.Factor *= f
		u.Symbol = text
		return u, true
	}
	return Unit{}, false
}

// UnitNames lists the units that a quantity of dimension d may be written in,
// without prefixes, in a fixed order.
func UnitNames(d Dimension) []string {
	seen := map[string]bool{}
	var out []string
	for n, u := range units {
		if u.Dimension == d && n != "" && !seen[n] {
			seen[n] = true
			out = append(out, n)
		}
	}
	sort.Strings(out)
	return out
}
