package air

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ISO 2533 / US Standard Atmosphere 1976.
func TestStandardAtmosphere(t *testing.T) {
	for _, row := range [][6]float64{
		{0, 288.15, 1013.25, 1.225, 1.0, 1.0},
		{1000, 281.65, 898.75, 1.1116, 0.9075, 1.1274},
		{1500, 278.4, 845.56, 1.0581, 0.8637, 1.1983},
		{1524, 278.24, 843.07, 1.0555, 0.8617, 1.2019},
		{3000, 268.65, 701.09, 0.9091, 0.7421, 1.4453},
		{3048, 268.34, 696.82, 0.9046, 0.7385, 1.4541},
	} {
		s, err := Standard(row[0])
		require.NoError(t, err)
		assert.InDelta(t, row[1], s.Temperature, 0.006)
		assert.InDelta(t, row[2], s.Pressure/100, 0.006)
		assert.InDelta(t, row[3], s.Density, 6e-5)
		assert.InDelta(t, row[4], s.Density/1.225, 6e-5)
		f, err := AltitudeFactor(row[0])
		require.NoError(t, err)
		assert.InDelta(t, row[5], f, 6e-5)
	}
	for _, bad := range []float64{-2000, 12000, math.NaN()} {
		_, err := Standard(bad)
		assert.ErrorIs(t, err, ErrAltitude)
	}
}

// 8a: a test-load maker's formula sheet, 70 °F at sea level.
func TestHandFlow(t *testing.T) {
	assert.InEpsilon(t, 3.16, HandFlow(1, 1, 0.075, 0.24), 5e-3)
	assert.InEpsilon(t, 1.756, HandFlow(1, 1.8, 0.075, 0.24), 5e-3)
	assert.InEpsilon(t, 0.3164, 1/HandFlow(1, 1, 0.075, 0.24), 5e-3)
	// The constant 17.58 is a matter of units alone.
	si := 1 / (0.075 * PoundPerCubicFoot * 0.24 * BTUPerPoundDegreeF / 1.8) / CubicFootPerMinute
	assert.InEpsilon(t, si, HandFlow(1, 1, 0.075, 0.24), 1e-3)
}

// 8b: the common form of fan catalogues, 1.76·P/ΔT; 8c: first principles.
func TestFlow(t *testing.T) {
	at := func(celsius float64) State {
		s, err := Inlet(0, celsius+ZeroCelsius)
		require.NoError(t, err)
		return s
	}
	for _, row := range [][3]float64{{500, 50, 17.6}, {1000, 50, 35.2}, {1500, 75, 35.2}, {1000, 25, 70.4}} {
		// 1.76 belongs to air of about 22 °C.
		assert.InDelta(t, row[2], Flow(row[0], row[1], at(22).Density)/CubicFootPerMinute, 0.1)
	}
	for _, row := range [][2]float64{{15, 1.719}, {20, 1.749}, {25, 1.779}, {50, 1.928}} {
		assert.InEpsilon(t, row[1], Flow(1, 1, at(row[0]).Density)/CubicFootPerMinute, 2e-3)
	}
	// The mass that passes takes the heat up: P = m'·c_p·ΔT.
	assert.InEpsilon(t, 1000, Flow(1000, 40, at(25).Density)*at(25).Density*SpecificHeat*40, 1e-12)
	_, err := Inlet(0, 25)
	assert.ErrorContains(t, err, "inlet temperature")
}

// 8d: a maker's data sheet for the 8877, from memory: sea level and 10 000 ft.
func TestAltitudeOfPublishedFlow(t *testing.T) {
	for _, row := range [][4]float64{{22.5, 0.20, 33, 0.29}, {35, 0.41, 51, 0.60}} {
		r := Requirement{Flow: row[0] * CubicFootPerMinute, Pressure: row[1] * InchOfWater}
		up, err := r.AtAltitude(3048, 298.15, 298.15)
		require.NoError(t, err)
		assert.InEpsilon(t, row[2], up.Flow/CubicFootPerMinute, 0.015)
		assert.InEpsilon(t, row[3], up.Pressure/InchOfWater, 0.015)
		same, err := r.AtAltitude(0, 298.15, 298.15)
		require.NoError(t, err)
		assert.Equal(t, r, same)
	}
	// At the standard atmosphere's own temperature the flow rises by 1/σ only.
	r, err := Requirement{Flow: 1, Pressure: 1}.AtAltitude(3048, 268.338, SeaLevelTemperature)
	require.NoError(t, err)
	assert.InEpsilon(t, 1/0.7385, r.Flow, 1e-4)
}

// 8e.
func TestUnits(t *testing.T) {
	assert.InEpsilon(t, 3.413, 1/BTUPerHour, 1e-3)
	assert.InEpsilon(t, 745.7, Horsepower, 1e-5)
	assert.InEpsilon(t, 2.307, PoundPerSquareInch/FootOfWater, 1e-3)
	assert.InEpsilon(t, BTU/0.45359237*1.8, BTUPerPoundDegreeF, 1e-9)
}

// 7.5k (20 °C basis) and 7.5l (AIEE table, 25 °C basis).
func TestRelativeDensity(t *testing.T) {
	assert.InDelta(t, 1.000, RelativeDensity(760*Torr, 293.15, 293.15), 1e-3)
	assert.InDelta(t, 0.862, RelativeDensity(700*Torr, 313.15, 293.15), 1e-3)
	for _, row := range [][3]float64{{0, 760, 1.09}, {20, 760, 1.02}, {30, 760, 0.98}, {20, 720, 0.96}} {
		assert.InDelta(t, row[2], RelativeDensity(row[1]*Torr, row[0]+ZeroCelsius, 298.15), 0.01)
	}
}

// By hand, in CFM and Pa, for tubes that take 45 CFM at 49.8 Pa: one point
// moves the lesser of its flow and of what its pressure drives,
// 45·√(12.45/49.8) = 22.5 and 45·√(199.2/49.8) = 90 CFM; the straight line from
// 100 Pa to 100 CFM meets the parabola where 0.0245926·Q² + Q = 100, at
// 46.60 CFM.
func TestMoved(t *testing.T) {
	need := Requirement{Flow: 45, Pressure: 49.8}
	for _, c := range []struct {
		curve Curve
		want  float64
	}{
		{Curve{{60, 12.45}}, 22.5}, {Curve{{20, 12.45}}, 20}, {Curve{{60, 49.8}}, 45}, {Curve{{45, 49.8}}, 45}, {Curve{{44, 49.8}}, 44},
		{Curve{{120, 199.2}}, 90}, {Curve{{60, 199.2}}, 60}, {Curve{{60, 0}}, 0}, {nil, 0},
		{Curve{{0, 100}, {100, 0}}, 46.5987}, {Curve{{100, 0}, {0, 100}}, 46.5987}, {Curve{{0, 100}, {50, 50}, {100, 0}}, 46.5987},
		{Curve{{0, 100}, {40, 95}}, 40}, {Curve{{45, 0}, {45, 60}}, 45}, {Curve{{40, 0}, {40, 60}}, 40},
		{Curve{{50, 0}, {50, 60}}, 49.394},
	} {
		assert.InDelta(t, c.want, c.curve.Moved(need), 1e-3, "%v", c.curve)
	}
	assert.Equal(t, 60.0, Curve{{60, 20}}.Moved(Requirement{Flow: 45}), "nothing in its way")
	// Where it lies on the curve, it lies on the parabola too.
	q := Curve{{0, 120}, {30, 110}, {80, 0}}.Moved(need)
	assert.InEpsilon(t, 110*(80-q)/50, 49.8*q*q/45/45, 1e-9)
}
