// Package air gives the state of the air at an altitude, and the airflow that
// carries a tube's heat away.
//
// It assumes dry air as an ideal gas with constant specific heat. The
// atmosphere is the standard one (ISO 2533, up to 11 km); real weather moves
// the pressure by about ±3 %.
package air

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"anodebook/spec/quantity"
)

// Constants of ISO 2533 / US Standard Atmosphere 1976.
const (
	SeaLevelTemperature = 288.15    // [K]
	SeaLevelPressure    = 101325.0  // [Pa]
	LapseRate           = 0.0065    // fall of temperature with height in the troposphere [K/m]
	Gravity             = 9.80665   // [m/s²]
	GasConstant         = 287.05287 // of dry air [J/(kg·K)]
	SpecificHeat        = 1006.0    // of dry air at constant pressure, near room temperature [J/(kg·K)]
	ZeroCelsius         = 273.15    // [K]
)

// Units of the trade in SI.
const (
	CubicFootPerMinute = 0.3048 * 0.3048 * 0.3048 / 60         // [m³/s]
	InchOfWater        = 249.08891                             // at 4 °C [Pa]
	FootOfWater        = 12 * InchOfWater                      // [Pa]
	PoundPerSquareInch = 6894.757293168                        // [Pa]
	PoundPerCubicFoot  = 0.45359237 / 0.3048 / 0.3048 / 0.3048 // [kg/m³]
	BTU                = 1055.05585262                         // international table [J]
	BTUPerPoundDegreeF = 4186.8                                // [J/(kg·K)]
	BTUPerHour         = BTU / 3600                            // [W]
	Horsepower         = 745.69987158227                       // mechanical [W]
	Torr               = SeaLevelPressure / 760                // [Pa]
)

// State is the air at one place.
type State struct {
	Temperature float64 // [K]
	Pressure    float64 // [Pa]
	Density     float64 // [kg/m³]
}

// ErrAltitude says that an altitude is outside the troposphere model.
var ErrAltitude = errors.New("air: altitude must be from -1000 m to 11000 m")

// Standard returns the standard atmosphere at a geopotential altitude [m],
// -1000 to 11000 (ISO 2533, barometric formula of the troposphere).
func Standard(altitude float64) (State, error) {
	if !(altitude >= -1000 && altitude <= 11000) {
		return State{}, fmt.Errorf("%w, not %s m", ErrAltitude, quantity.Short(altitude, 6))
	}
	t := SeaLevelTemperature - LapseRate*altitude
	p := SeaLevelPressure * math.Pow(t/SeaLevelTemperature, Gravity/(GasConstant*LapseRate))
	return State{Temperature: t, Pressure: p, Density: Density(p, t)}, nil
}

// Inlet returns the air that a blower draws at an altitude [m] and an inlet
// temperature [K] of its own: standard pressure, the room's temperature.
func Inlet(altitude, temperature float64) (State, error) {
	if !(temperature > 150 && temperature < 500) {
		return State{}, fmt.Errorf("air: inlet temperature %s K must be between 150 K and 500 K", quantity.Short(temperature, 6))
	}
	s, err := Standard(altitude)
	if err != nil {
		return s, err
	}
	return State{Temperature: temperature, Pressure: s.Pressure, Density: Density(s.Pressure, temperature)}, nil
}

// Density returns p/(R·T) [kg/m³] of dry air at a pressure [Pa] and a
// temperature [K].
func Density(pressure, temperature float64) float64 {
	return pressure / (GasConstant * temperature)
}

// Flow returns the volume flow [m³/s], measured at a density [kg/m³], that
// carries a power [W] away with a temperature rise [K]: P/(ρ·c_p·ΔT).
func Flow(power, rise, density float64) float64 {
	return power / (density * SpecificHeat * rise)
}

// HandFlow is the trade's hand formula CFM = P/(ΔT·D·SH·17.58) with ΔT [°F],
// D [lb/ft³], SH [Btu/(lb·°F)]; P [W]. The result is in cubic feet per
// minute, as the formula prints it. Source: a test-load maker's formula sheet.
func HandFlow(watts, riseFahrenheit, poundsPerCubicFoot, btuPerPoundFahrenheit float64) float64 {
	return watts / (riseFahrenheit * poundsPerCubicFoot * btuPerPoundFahrenheit * 17.58)
}

// AltitudeFactor returns p0/p at an altitude [m], by which a published
// sea-level minimum of flow, and the back pressure that goes with it, rise at
// the same inlet temperature: the same mass of air must pass.
func AltitudeFactor(altitude float64) (float64, error) {
	s, err := Standard(altitude)
	return SeaLevelPressure / s.Pressure, err
}

// Requirement is an airflow with the pressure that drives it.
type Requirement struct {
	Flow     float64 // [m³/s], at the inlet
	Pressure float64 // across socket, cooler and chimney [Pa]
}

// AtAltitude scales a published sea-level requirement to an altitude [m] and
// an inlet temperature [K], published for the inlet temperature reference
// [K]. Constant mass flow: volume ∝ 1/ρ, and back pressure ∝ ρ·v² ∝ 1/ρ.
// Warmer air than published also leaves less temperature rise, which is not
// part of this law.
func (r Requirement) AtAltitude(altitude, temperature, reference float64) (Requirement, error) {
	here, err := Inlet(altitude, temperature)
	if err != nil {
		return r, err
	}
	there, err := Inlet(0, reference)
	if err != nil {
		return r, err
	}
	f := there.Density / here.Density
	return Requirement{Flow: r.Flow * f, Pressure: r.Pressure * f}, nil
}

// Curve is what is known of a blower: points of its curve, each an airflow
// [m³/s] at the pressure [Pa] that it makes there.
type Curve []Requirement

// Moved returns the airflow [m³/s] that a blower drives through tubes whose
// pressure rises with the square of the flow and is need.Pressure at
// need.Flow. Between two known points the curve is taken as the straight line.
// To the left of them the blower is taken to make no more pressure than at the
// first, to the right of them no more air than at the last: what it moves for
// certain, since a blower's pressure falls with its flow. Without a pressure
// drop it moves the last point's air. 0 for an empty curve.
func (c Curve) Moved(need Requirement) float64 {
	if len(c) == 0 {
		return 0
	}
	c = slices.Clone(c)
	slices.SortFunc(c, func(a, b Requirement) int {
		return cmp.Or(cmp.Compare(a.Flow, b.Flow), cmp.Compare(b.Pressure, a.Pressure))
	})
	last := c[len(c)-1]
	if !(need.Pressure > 0) || !(need.Flow > 0) {
		return last.Flow
	}
	k := need.Pressure / (need.Flow * need.Flow)
	if first := c[0]; k*first.Flow*first.Flow >= first.Pressure {
		return math.Sqrt(first.Pressure / k)
	}
	for i := range len(c) - 1 {
		a, b := c[i], c[i+1]
		if k*b.Flow*b.Flow < b.Pressure {
			continue
		}
		if a.Flow == b.Flow {
			return a.Flow
		}
		slope := (b.Pressure - a.Pressure) / (b.Flow - a.Flow)
		rest := a.Pressure - slope*a.Flow
		return (slope + math.Sqrt(slope*slope+4*k*rest)) / (2 * k)
	}
	return last.Flow
}

// RelativeDensity returns the density of air for electric breakdown relative
// to 760 Torr and a reference temperature [K] (20 °C in the formula of high
// voltage testing, 25 °C in the older spark-gap tables):
// δ = (p/p0)·(T0/T). Pressure in [Pa], temperature in [K].
func RelativeDensity(pressure, temperature, reference float64) float64 {
	return pressure / SeaLevelPressure * reference / temperature
}
