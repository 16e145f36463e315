package supply

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/rectifier"
)

// The step start of the stage against the closed-form solution in time, which
// shares only the circuit with it: voltage at the contactor and heat in the
// resistor within half a per cent (capacitor input). What the contactor then
// closes onto stays below what the report says.
func TestStepStartAgainstColdStart(t *testing.T) {
	for name, more := range specs {
		t.Run(name, func(t *testing.T) {
			d, r := solve(t, more, 0.65, 0.2, 0.42)
			run, err := r.TurnOn()
			require.NoError(t, err)
			assert.LessOrEqual(t, run.FirstSurge(), d.Value("supply.surge_current_step_start")*(1+1e-9))
			assert.LessOrEqual(t, run.PeakAfter, d.Value("supply.closing_current")*1.05)
			if r.Plan.Choke.Light > 0 {
				return // the simulator of package rectifier judges these, see TestStartAgainstSimulator
			}
			s := r.Plan.Supply
			tr, err := rectifier.ColdStart(s, math.Pi/2, []rectifier.Stage{{Duration: r.StepTime, SeriesResistance: r.StepResistance * r.Plan.Ratio * r.Plan.Ratio}}, 0)
			require.NoError(t, err)
			assert.InEpsilon(t, tr.Final/r.NoLoadVoltage, d.Value("supply.step_start_reached"), 0.005)
			assert.InEpsilon(t, tr.SeriesEnergy, d.Value("supply.step_start_energy"), 0.005)
		})
	}
	// Without step start, switched on at the crest, the formula is exact.
	_, r := solve(t, "", 0.65, 0.2, 0.42)
	tr, err := rectifier.ColdStart(r.Plan.Supply, math.Pi/2, []rectifier.Stage{{Duration: 0.05}}, 0)
	require.NoError(t, err)
	assert.InEpsilon(t, tr.CurrentPeak, r.SurgeCurrent, 1e-6)
}

// Charging from a rectified sine: the energy that the source gives is heat
// plus C·V²/2, so that heat over C·V_0² is the integral of e·i less x²/2.
func TestChargingEnergy(t *testing.T) {
	for _, x := range []float64{0.1, 0.5, 0.9, 0.99} {
		_, heat := chargingTime(x)
		// ∫ e·i dt / (C·V_0²): mean of cos θ·(cos θ - x) over f.
		var given float64
		const n = 200000
		for k := range n {
			u := x * (float64(k) + 0.5) / n
			phi := math.Acos(u)
			f, _ := charge(u)
			given += 2 / math.Pi * (phi/2 + math.Sin(2*phi)/4 - u*math.Sin(phi)) / f * x / n
		}
		assert.InDelta(t, given-x*x/2, heat, 2e-4, x)
	}
}
