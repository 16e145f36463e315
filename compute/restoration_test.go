package compute

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/physics/tuning"
	"anodebook/compute/restoration"
)

// A resistance in the primary looks from the secondary like itself times the
// square of the voltage ratio: the bank settles at what the supply without the
// fault gives with that much more in its secondary.
func TestPrimaryResistanceIsReflected(t *testing.T) {
	d := example(t, "restoration")
	ratios, size, err := restoration.Predict(d.sound(), "primary_resistance", 0.5)
	require.NoError(t, err)
	require.Contains(t, size, "2.0 Ω")
	n := d.Book.Get("supply.transformer_voltage").Value / d.Book.Get("supply.mains_voltage").Value
	require.Greater(t, n, 5.0)
	p := d.Supply.Plan
	whole, err := p.State(0, 1)
	require.NoError(t, err)
	p.Supply.SourceResistance += 2 * n * n
	less, err := p.State(0, 1)
	require.NoError(t, err)
	assert.InDelta(t, less.Voltage/whole.Voltage, ratios["supply.standby_voltage"], 1e-9)
}

// After a change of the load capacitor the tune capacitor stands where the
// plates see no reactance: found here by halving, from what they see.
func TestLoadSettingIsTunedAgain(t *testing.T) {
	d := example(t, "restoration")
	s := d.sound().Setup
	tank := s.Tank
	whole, err := tuning.At(s, tank.TuneCapacitance, tank.LoadCapacitance)
	require.NoError(t, err)
	for _, share := range []float64{0.3, 0.7} {
		ratios, _, err := restoration.Predict(d.sound(), "load_setting", share)
		require.NoError(t, err)
		load := tank.LoadCapacitance * 0.5 * math.Pow(4, share)
		low, high := 0.6*tank.TuneCapacitance, 1.5*tank.TuneCapacitance
		at := func(tune float64) tuning.Reading {
			r, err := tuning.At(s, tune, load)
			require.NoError(t, err)
			return r
		}
		require.Positive(t, imag(at(low).PlateImpedance), "too little capacitance leaves the coil")
		require.Negative(t, imag(at(high).PlateImpedance))
		for range 40 {
			if mid := (low + high) / 2; imag(at(mid).PlateImpedance) > 0 {
				low = mid
			} else {
				high = mid
			}
		}
		// the supply sags a little besides
		assert.InDelta(t, at(low).Output/whole.Output, ratios["antenna.output_power"], 0.05, "load times %.2f",
			load/tank.LoadCapacitance)
	}
}
