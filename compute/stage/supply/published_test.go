package supply

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
)

// published runs the stage on a circuit of the tables: the whole load is the
// bleeder, the tubes draw next to nothing.
func published(t *testing.T, rectifierName string, rms, source, capacitance, load float64) (*desktest.Desk, Result) {
	t.Helper()
	const tiny = 1e-9
	reflected := 0.001 * (rms / 240) * (rms / 240)
	count := 1
	more := fmt.Sprintf(`rectifier = %q
[supply.transformer]
voltage = "%v V"
primary_resistance = "1 mohm"
secondary_resistance = "%.9f ohm"
[supply.mains]
resistance = "0 ohm"
[supply.capacitors]
capacitance = "%.9f uF"
count = %d
voltage = "10 kV"
[supply.bleeders]
resistance = "%v ohm"
count = 1
`, rectifierName, rms, source-reflected, capacitance*1e6, count, load)
	s := read(t, more)
	p, err := Prepare(s, 2800, tiny, 10)
	require.NoError(t, err)
	require.InEpsilon(t, source, p.Supply.SourceResistance, 1e-6)
	// The published circuits have ideal diodes and capacitors.
	p.Supply.DiodeDrop, p.Supply.DiodeResistance, p.Supply.CapacitorResistance = 0, 0, 0
	d, r, err := run(t, s, p, tiny, tiny, tiny)
	require.NoError(t, err)
	return d, r
}

// Rows 6.2, 6.3 and 6.4 of the published checks: full-wave and doubler circuits
// solved independently (shooting and an ordinary differential equation solver,
// agreeing to all printed digits), 0.5 % on voltages, 1 % on currents; the same
// circuits as the charts of Schade (1943), resistive load.
func TestPublishedRectifiers(t *testing.T) {
	const f, load, rms = 60, 5000.0, 2300.0
	for _, row := range []struct {
		circuit                               string
		wCR, ratio                            float64
		voltage, rippleRMS, pp, winding, peak float64
	}{
		{"bridge", 5, 0.005, 0.8313, 13.114, 0.3479, 1.919, 5.003},
		{"bridge", 20, 0.01, 0.9201, 3.697, 0.1111, 2.250, 6.411},
		{"bridge", 20, 0.02, 0.8935, 3.526, 0.1017, 2.044, 5.254},
		{"bridge", 50, 0.02, 0.9018, 1.419, 0.0414, 2.062, 5.324},
		{"bridge", 100, 0.05, 0.8320, 0.646, 0.0170, 1.794, 4.032},
		{"bridge", 10, 0.1, 0.7445, 5.839, 0.1342, 1.613, 3.269},
		{"doubler", 20, 0.01, 1.5466, 6.324, 0.3075, 3.532, 7.965},
		{"doubler", 50, 0.02, 1.5438, 2.422, 0.1164, 3.337, 6.992},
		{"doubler", 100, 0.05, 1.2895, 1.048, 0.0408, 2.956, 5.490},
	} {
		d, r := published(t, row.circuit, rms, row.ratio*load, row.wCR/(2*math.Pi*f*load), load)
		name := fmt.Sprintf("%s wCR %g Rs/R %g", row.circuit, row.wCR, row.ratio)
		crest := math.Sqrt2 * rms
		idc := d.Value("supply.load_current")
		assert.InEpsilon(t, row.voltage, d.Value("supply.full_load_voltage")/crest, 0.005, name)
		assert.InEpsilon(t, row.rippleRMS, 100*r.Full.RippleRMS/r.FullLoadVoltage, 0.005, name)
		assert.InEpsilon(t, row.pp, d.Value("supply.ripple_peak_to_peak")/crest, 0.005, name)
		assert.InEpsilon(t, row.winding, d.Value("supply.secondary_current_rms")/idc, 0.01, name)
		assert.InEpsilon(t, row.peak, d.Value("supply.diode_peak_current")/idc, 0.01, name)
	}
}

// Rows 6.4c and 6.4d: a kilowatt supply in volts and amperes.
func TestPublishedSupplies(t *testing.T) {
	d, _ := published(t, "bridge", 2300, 37.5, 50e-6, 3750)
	assert.InEpsilon(t, 3044.7, d.Value("supply.full_load_voltage"), 0.005)
	assert.InEpsilon(t, 105.8, d.Value("supply.ripple_peak_to_peak"), 0.005)
	assert.InEpsilon(t, 135.3, d.Value("supply.ripple_by_hand"), 0.005)
	assert.InEpsilon(t, 5.383, d.Value("supply.diode_peak_current"), 0.005)
	assert.InEpsilon(t, 1.868, d.Value("supply.secondary_current_rms"), 0.005)
	// Asymptote, table 6.1 at Rs/R = 0.01: 0.9376 of the crest.
	assert.InEpsilon(t, 0.9376*math.Sqrt2*2300, d.Value("supply.full_load_voltage_by_hand"), 0.0005)

	d, _ = published(t, "doubler", 1150, 20, 100e-6, 3750)
	assert.InEpsilon(t, 2913.2, d.Value("supply.full_load_voltage"), 0.005)
	assert.InEpsilon(t, 93.9, d.Value("supply.ripple_peak_to_peak"), 0.005)
	assert.InEpsilon(t, 8.09, d.Value("supply.diode_peak_current"), 0.005)
	assert.InEpsilon(t, 3.168, d.Value("supply.secondary_current_rms"), 0.005)
}

// Rows 6.5b to 6.5d: t = RC·ln(V0/60), E = CV²/2, P = V²/R.
func TestPublishedBleeders(t *testing.T) {
	for _, row := range []struct{ v0, r, c, time, joule, watt float64 }{
		{3000, 100e3, 50e-6, 19.56, 225, 90},
		{3200, 50e3, 40e-6, 7.95, 204.8, 204.8},
		{4000, 150e3, 30e-6, 18.90, 240, 106.7},
	} {
		d, r := published(t, "bridge", row.v0/math.Sqrt2, 40, row.c, row.r)
		assert.InEpsilon(t, row.v0, d.Value("supply.no_load_voltage"), 1e-9)
		// The rows are of the bleeder alone; the voltmeter string of 9 MΩ lies beside it here.
		assert.InEpsilon(t, row.time*9e6/(9e6+row.r), d.Value("supply.time_to_60v"), 0.001)
		assert.InEpsilon(t, row.joule, d.Value("supply.stored_energy"), 0.001)
		assert.InEpsilon(t, row.watt, d.Value("supply.bleeder_power"), 0.001)
		assert.InEpsilon(t, 60, r.Discharge.Sound(r.TimeTo60V), 1e-9)
		// One bleeder across the whole bank: only the 9 MΩ string is left.
		assert.InEpsilon(t, 9e6*row.c*math.Log(row.v0/60), d.Value("supply.time_to_60v_one_bleeder_open"), 1e-9)
	}
}
