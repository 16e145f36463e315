package supply

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/rectifier"
)

// The averaged charging of the step start against the cold start in time.
func TestStepStartAgainstColdStart(t *testing.T) {
	for name, more := range specs {
		t.Run(name, func(t *testing.T) {
			d, r := solve(t, more, 0.65, 0.2, 0.42)
			tr, err := r.TurnOn(0)
			require.NoError(t, err)
			assert.LessOrEqual(t, tr.FirstSurge(), d.Value("supply.surge_current_step_start")*(1+1e-9))
			var before, after float64
			for _, h := range tr.HalfCycles {
				if h.Time < r.StepTime-1e-9 {
					before = h.VoltageMaximum
				} else if h.Time > r.StepTime+0.001 {
					after = math.Max(after, h.CurrentPeak)
				}
			}
			near, warm := 0.03, 0.12
			if r.Plan.Choke.Light > 0 { // the mean of the sine charges, crests above it are left out
				near, warm = 0.25, 0.35
				assert.Less(t, d.Value("supply.step_start_reached"), before/r.NoLoadVoltage)
			}
			assert.InEpsilon(t, before/r.NoLoadVoltage, d.Value("supply.step_start_reached"), near)
			assert.LessOrEqual(t, after, d.Value("supply.closing_current")*1.05)
			assert.InEpsilon(t, tr.SeriesEnergy, d.Value("supply.step_start_energy"), warm)
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
		// Followed in time, without load, it is the same.
		time, heat := chargingTime(x)
		p := Plan{Bank: rectifier.CapacitorString{Count: 1, Capacitance: 1e-6}}
		p.Supply.LoadResistance = 1e15
		reached, h := p.charging(time*1e-3, 1000)
		assert.InDelta(t, x, reached, 1e-4)
		assert.InDelta(t, heat, h, 1e-4)
	}
}
