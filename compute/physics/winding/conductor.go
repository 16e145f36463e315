package winding

import (
	"fmt"
	"math"
)

// Material is a metal that coils are wound of.
type Material struct {
	Name        string  // as the trade says
	Resistivity float64 // at 20 °C [Ω·m]
	Coefficient float64 // of temperature at 20 °C [1/K]
	Plating     float64 // thickness of silver on it [m]; 0 = none
}

// silverResistivity at 20 °C [Ω·m] (general tables of physics, from memory).
const silverResistivity = 1.59e-8

// materials: copper by IEC 60028, the others by general tables of physics
// (from memory, 5 %; brass differs by its zinc).
var materials = []Material{
	{Name: "copper", Resistivity: CopperResistivity, Coefficient: CopperCoefficient},
	{Name: "silver-plated", Resistivity: CopperResistivity, Coefficient: CopperCoefficient, Plating: 10e-6},
	{Name: "aluminium", Resistivity: 2.65e-8, Coefficient: 0.0040},
	{Name: "brass", Resistivity: 6.4e-8, Coefficient: 0.0016},
}

// LookupMaterial finds copper, silver-plated (10 µm of silver on copper),
// aluminium or brass by name.
func LookupMaterial(name string) (Material, error) {
	for _, m := range materials {
		if m.Name == name {
			return m, nil
		}
	}
	return Material{}, fmt.Errorf("winding: no conductor material %q", name)
}

// SurfaceFactor is the surface resistance over that of plain copper at
// frequency [Hz] > 0 and temperature [°C]. A plating is a sheet on a thick
// body: with δ much less than its thickness it alone carries the current, with
// δ much greater it does nothing. Exact for plane layers,
// Z = Z1·(Z2 + Z1·tanh γt)/(Z1 + Z2·tanh γt).
func (m Material) SurfaceFactor(frequency, celsius float64) float64 {
	surface := func(resistivity, coefficient float64) (r, delta float64) {
		rho := resistivity * (1 + coefficient*(celsius-20))
		delta = math.Sqrt(rho / (math.Pi * frequency * Mu0))
		return rho / delta, delta
	}
	copper := SurfaceResistance(frequency, celsius)
	body, _ := surface(m.Resistivity, m.Coefficient)
	if m.Plating == 0 {
		return body / copper
	}
	top, delta := surface(silverResistivity, CopperCoefficient)
	z1, z2 := complex(top, top), complex(body, body)
	// tanh((1 + j)·x) by exponentials that cannot overflow
	x := m.Plating / delta
	e := complex(math.Exp(-2*x)*math.Cos(2*x), -math.Exp(-2*x)*math.Sin(2*x))
	tanh := (1 - e) / (1 + e)
	return real(z1*(z2+z1*tanh)/(z1+z2*tanh)) / copper
}

// Conductor is what a coil is wound of: round wire, tubing or ribbon.
type Conductor struct {
	Material  Material
	Diameter  float64 // of wire or tubing [m]; 0 for a ribbon
	Wall      float64 // of tubing [m]; 0 = solid
	Width     float64 // of a ribbon [m]
	Thickness float64 // of a ribbon [m], ≤ Width
	Edgewise  bool    // the ribbon stands on its edge, its width along the radius
}

// Ribbon says that the conductor is one.
func (c Conductor) Ribbon() bool { return c.Width > 0 }

// Along is what the conductor takes up along the coil [m]: no pitch is less.
func (c Conductor) Along() float64 {
	switch {
	case c.Ribbon() && c.Edgewise:
		return c.Thickness
	case c.Ribbon():
		return c.Width
	}
	return c.Diameter
}

// EquivalentDiameter is the diameter of the round wire of the same
// self-inductance [m]: for a ribbon that with the same geometric mean distance,
// 0.2235·(w + t) against 0.7788·d/2 (Bureau of Standards Circular 74, from
// memory; 1 % for any shape of rectangle).
func (c Conductor) EquivalentDiameter() float64 {
	if c.Ribbon() {
		return 2 * 0.2235 / 0.7788 * (c.Width + c.Thickness)
	}
	return c.Diameter
}

// Perimeter of the section [m], over which the current spreads.
func (c Conductor) Perimeter() float64 {
	if c.Ribbon() {
		return 2 * (c.Width + c.Thickness)
	}
	return math.Pi * c.Diameter
}

// ribbonCrowding is by how much more than its perimeter says a ribbon resists:
// the current crowds to its edges (common practice, for width over thickness of
// 3 to 20; the conformal map of a thin strip gives more).
const ribbonCrowding = 1.3

// Resistance per length [Ω/m] of the conductor alone and straight at frequency
// [Hz] > 0 and temperature [°C]. Round wire exact, tubing a few per cent, a
// ribbon by its perimeter and the crowding to its edges, ±30 %.
func (c Conductor) Resistance(frequency, celsius float64) float64 {
	factor := c.Material.SurfaceFactor(frequency, celsius)
	switch {
	case c.Ribbon():
		return ribbonCrowding * factor * SurfaceResistance(frequency, celsius) / c.Perimeter()
	case c.Wall > 0:
		return factor * TubeResistance(c.Diameter, c.Wall, frequency, celsius)
	}
	return factor * RoundWireResistance(c.Diameter, frequency, celsius)
}

// IdealQOf is ωL/R of the coil wound of the conductor, bare and alone, at
// frequency [Hz] and temperature [°C], with Medhurst's Φ: an upper bound.
func (s Solenoid) IdealQOf(c Conductor, frequency, celsius float64) float64 {
	r := s.WireLength() * c.Resistance(frequency, celsius) * Proximity(s.Length()/s.Diameter, c.Along()/s.Pitch)
	return 2 * math.Pi * frequency * s.Inductance() / r
}

// StillAirFilm is the heat that bare metal gives to still air by convection
// and radiation [W/(m²·K)] (common practice: 8 to 12).
const StillAirFilm = 10.0
