package custom

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/physics/tube"
	"anodebook/spec"
)

const head = `
[target]
output = "500 W"
bands = ["80m", "40m"]
[supply]
plate_voltage = "2000 V"
[tubes]
type = "custom"
[tubes.custom]
name = "test triode"
amplification_factor = 150
cathode = "indirectly-heated"
heater_voltage = "6.3 V"
heater_current = "5 A"
heater_tolerance = "±4 %"
max_plate_dissipation = "400 W"
max_grid_current = "100 mA"
airflow = "10 CFM"
`

func read(t testing.TB, columns string) *spec.Spec {
	s, err := spec.Read("test.toml", []byte(head+columns), spec.Names{Tubes: []string{spec.CustomType}, Rules: []string{"us"}})
	require.NoError(t, err)
	return s
}

// columnsOf writes what a known tube gives at some plate voltages as columns.
func columnsOf(t testing.TB, m tube.Model, load bool, voltages ...float64) string {
	var b strings.Builder
	for _, vb := range voltages {
		p, err := tube.ForPlateCurrent(m, vb, 3, 0.4, 0.17*vb)
		require.NoError(t, err)
		fmt.Fprintf(&b,
			"[tubes.custom.column.at-%.0f]\nplate_voltage = \"%.0f V\"\nbias = \"3 V\"\nidle_current = \"%.6f A\"\nplate_current = "+
				"\"0.4 "+
				"A\"\ngrid_current = \"%.6f A\"\ndriving_impedance = \"%.4f ohm\"\noutput = \"%.4f W\"\n",
			vb, vb, tube.Idle(m, vb, 3).PlateCurrent(), p.GridCurrent(), p.InputResistance, p.Output)
		if load {
			fmt.Fprintf(&b, "plate_load = \"%.3f ohm\"\n", p.PlateLoad)
		}
	}
	return b.String()
}

// The columns of a tube whose law is known give its law back, with and without
// a plate load.
func TestFitsTheBuildersColumns(t *testing.T) {
	known := tube.Model{K: 1.8e-3, Mu: 142, Exponent: 1.47, Division: 1.6, Softness: 4.4}
	for _, load := range []bool{true, false} {
		typ, err := New(read(t, columnsOf(t, known, load, 1500, 2000, 2600, 3200)))
		require.NoError(t, err)
		assert.Equal(t, tube.Fitted, typ.Kind)
		assert.InEpsilon(t, known.Mu, typ.Model.Mu, 0.02)
		assert.InDelta(t, known.Exponent, typ.Model.Exponent, 0.02)
		assert.InEpsilon(t, known.Division, typ.Model.Division, 0.02)
		require.Len(t, typ.Parameters, 5)
		for _, r := range typ.Residuals {
			assert.Less(t, math.Abs(r.Error), 0.01, "%s %s", r.Column, r.Quantity)
			assert.Equal(t, tube.FromSpec, r.Mark)
		}
	}
}

func TestTakesOverTheRatings(t *testing.T) {
	typ, err := New(read(t,
		"[tubes.custom.column.one]\nplate_voltage = \"2000 V\"\nplate_current = \"300 mA\"\noutput = \"370 W\"\ndriving_impedance = "+
			"\"95 ohm\"\n"))
	require.NoError(t, err)
	assert.True(t, typ.Own)
	assert.Equal(t, "test triode", typ.Name)
	assert.Equal(t, tube.Oxide, typ.Cathode)
	assert.InDelta(t, 0.04*6.3, typ.Heater.Tolerance.Value, 1e-12)
	assert.Equal(t, 0.1, typ.Limits.GridCurrent.Value)
	assert.False(t, typ.Limits.GridDissipation.Known)
	require.Len(t, typ.Cooling.Air, 1)
	assert.False(t, typ.Cooling.Air[0].Pressure.Known)
	assert.Equal(t, "test.toml:13", typ.Sources[typ.Heater.Voltage.Source])
	assert.Equal(t, tube.Estimate, typ.Kind, "a single column is an estimate")
	m := typ.Parameters[1]
	assert.Less(t, m.Share, 0.25, "one column says nothing about µ")
	assert.InEpsilon(t, 150, typ.Model.Mu, 0.02, "so that the builder's stands")
}

// An idle reading alone: the model passes through it, with the builder's µ.
func TestIdleReadingAlone(t *testing.T) {
	typ, err := New(read(t, "[tubes.custom.column.idle]\nplate_voltage = \"2000 V\"\nbias = \"4 V\"\nidle_current = \"60 mA\"\n"))
	require.NoError(t, err)
	assert.Equal(t, tube.Estimate, typ.Kind)
	assert.Equal(t, 150.0, typ.Model.Mu)
	assert.InEpsilon(t, 0.06, tube.Idle(typ.Model, 2000, 4).PlateCurrent(), 1e-9)
}

func TestContradictions(t *testing.T) {
	for _, x := range []struct{ name, column, what string }{
		{"load of two", "plate_current = \"400 mA\"\noutput = \"440 W\"\nplate_load = \"1200 ohm\"", "contradict each other"},
		{"load too high", "plate_current = \"400 mA\"\noutput = \"490 W\"\nplate_load = \"6000 ohm\"", "more than the plate voltage"},
		{"no scale", "plate_current = \"400 mA\"\noutput = \"480 W\"", "how hard the tube must be driven"},
	} {
		t.Run(x.name, func(t *testing.T) {
			s := read(t, "[tubes.custom.column.bad]\nplate_voltage = \"2000 V\"\n"+x.column+"\n")
			_, err := New(s)
			var ps spec.Problems
			require.True(t, errors.As(err, &ps), "%v", err)
			assert.Contains(t, ps[0].What, x.what)
			assert.NotZero(t, ps[0].Line)
			assert.NotEmpty(t, ps[0].Hint)
		})
	}
}

// The same figures give the same model, remembered or not.
func TestDeterministic(t *testing.T) {
	s := read(t, columnsOf(t, tube.Model{K: 1.8e-3, Mu: 142, Exponent: 1.47, Division: 1.6, Softness: 4.4}, true, 1700, 2900))
	a, err := New(s)
	require.NoError(t, err)
	b, err := New(s)
	require.NoError(t, err)
	memory.Lock()
	memory.byKey = nil
	memory.Unlock()
	c, err := New(s)
	require.NoError(t, err)
	assert.Equal(t, a.Model, b.Model)
	assert.Equal(t, a.Model, c.Model)
	assert.Equal(t, a.Residuals, c.Residuals)
}

func BenchmarkNew(b *testing.B) {
	s := read(b, columnsOf(b, tube.Model{K: 1.8e-3, Mu: 142, Exponent: 1.47, Division: 1.6, Softness: 4.4}, true, 1500, 2000, 2600,
		3200))
	for _, known := range []bool{false, true} {
		b.Run(fmt.Sprintf("remembered=%v", known), func(b *testing.B) {
			for range b.N {
				if !known {
					memory.Lock()
					memory.byKey = nil
					memory.Unlock()
				}
				_, err := New(s)
				require.NoError(b, err)
			}
		})
	}
}
