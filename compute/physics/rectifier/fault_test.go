package rectifier

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Against the plain integrator, which knows nothing of the closed form; the
// target is 0.2 %.
func TestFaultAgainstDormandPrince(t *testing.T) {
	worst := 0.0
	for name, f := range map[string]Fault{
		"usual":              {Voltage: 3200, Capacitance: 35e-6, Bank: 2, Glitch: 10, Inductance: 2e-6},
		"with an arc":        {Voltage: 3200, Capacitance: 35e-6, Bank: 2, Glitch: 25, Inductance: 2e-6, Arc: 40},
		"ringing":            {Voltage: 2800, Capacitance: 20e-6, Bank: 0.2, Glitch: 0.5, Inductance: 40e-6, Arc: 30},
		"no glitch resistor": {Voltage: 2800, Capacitance: 30e-6, Bank: 1, Inductance: 2e-6},
		"near critical":      {Voltage: 1000, Capacitance: 10e-6, Glitch: 2, Inductance: 1.0001e-5},
	} {
		run, err := f.Run()
		require.NoError(t, err, name)
		l := f.Inductance
		peak, at := 0.0, 0.0
		x, err := dormandPrince(func(_ float64, x []float64) []float64 {
			if x[0] < 0 {
				return make([]float64, 4)
			}
			return []float64{(x[1] - f.Arc - (f.Bank+f.Glitch)*x[0]) / l, -x[0] / f.Capacitance, x[0] * x[0], f.Arc * x[0]}
		}, []float64{0, f.Voltage, 0, 0}, 0, run.End, 1e-10, []float64{1e-6, 1e-6, 1e-9, 1e-6}, run.End*1e-9, run.End/200, func(t float64, x []float64) {
			if x[0] > peak {
				peak, at = x[0], t
			}
		})
		require.NoError(t, err, name)
		compare := func(what string, want, got, within float64) {
			if math.Abs(want) > 1e-4 { // nothing left is nothing to compare
				worst = math.Max(worst, math.Abs(got/want-1)*0.002/within)
			}
			assert.InDelta(t, want, got, within*math.Max(math.Abs(want), 1e-9*f.Voltage), "%s: %s", name, what)
		}
		compare("peak", peak, run.Peak, 0.002)
		compare("instant of the peak", at, run.PeakTime, 0.05) // a flat top between two steps
		compare("voltage left", x[1], run.Left, 0.002)
		compare("action", x[2], run.Action, 0.002)
		compare("glitch", x[2]*f.Glitch, run.GlitchEnergy, 0.002)
		compare("arc", x[3], run.ArcEnergy, 0.002)
		// Energy closes.
		stored := f.Capacitance / 2 * (f.Voltage*f.Voltage - run.Left*run.Left)
		assert.InEpsilon(t, stored, run.GlitchEnergy+run.BankEnergy+run.ArcEnergy, 1e-9, name)
	}
	t.Logf("greatest difference %.3g %%", 100*worst)
}

// Limits: a resistive loop peaks at V/R and puts ½CV² into it; without
// resistance the peak is V·√(C/L).
func TestFaultLimits(t *testing.T) {
	f := Fault{Voltage: 3000, Capacitance: 40e-6, Glitch: 20, Inductance: 1e-9}
	run, err := f.Run()
	require.NoError(t, err)
	assert.InEpsilon(t, 150, run.Peak, 1e-3)
	assert.InEpsilon(t, 180, run.GlitchEnergy, 1e-6)
	assert.InEpsilon(t, 9, run.Action, 1e-6)
	f = Fault{Voltage: 3000, Capacitance: 40e-6, Inductance: 10e-6}
	run, err = f.Run()
	require.NoError(t, err)
	assert.InEpsilon(t, 6000, run.Peak, 1e-9)
	assert.InEpsilon(t, -3000, run.Left, 1e-9)
	_, err = Fault{Voltage: 100, Capacitance: 1e-6, Inductance: 1e-6, Arc: 100}.Run()
	assert.Error(t, err)
}

func BenchmarkFault(b *testing.B) {
	f := Fault{Voltage: 3200, Capacitance: 35e-6, Bank: 2, Glitch: 10, Inductance: 2e-6}
	for b.Loop() {
		if _, err := f.Run(); err != nil {
			b.Fatal(err)
		}
	}
}
