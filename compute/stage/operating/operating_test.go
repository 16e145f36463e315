package operating_test

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/spec"
)

func run(t *testing.T, target, more string) *compute.Design {
	t.Helper()
	return runSpec(t,
		"[target]\n"+target+"\nbands = [\"80m\", \"10m\"]\n[tubes]\ntype = \"3-500Z\"\n[supply]\nplate_voltage = \"2800 V\"\n"+more)
}

// The three ways to fix the operating point lead to the same one.
func TestThreeWaysToTheSamePoint(t *testing.T) {
	a := run(t, `output = "1000 W"`, "")
	ids := []string{"tubes.plate_current", "tubes.grid_current", "tubes.drive_power", "tubes.plate_output", "tubes.plate_load",
		"antenna.output_power", "tank.10m.tune_capacitance", "supply.full_load_voltage"}
	number := func(d *compute.Design, id string) string {
		return strconv.FormatFloat(d.Book.Get(id).Value, 'g', 17, 64)
	}
	for _, target := range []string{`plate_current = "` + number(a, "tubes.plate_current") + ` A"`, `drive = "` +
		number(a, "tubes.drive_power") + ` W"`} {
		b := run(t, target, "")
		for _, id := range ids {
			assert.InEpsilon(t, a.Book.Get(id).Value, b.Book.Get(id).Value, 1e-7, "%s: %s", target, id)
		}
	}
}

// Supply and tubes agree: the plate voltage of the tubes is what the supply
// gives at their current, to a microvolt, with a transformer that was given.
func TestSupplyAndTubesAgree(t *testing.T) {
	d := run(t, `output = "1000 W"`,
		"[supply.transformer]\nvoltage = \"2150 V\"\nprimary_voltage = \"240 V\"\nprimary_resistance = \"0.2 "+
			"ohm\"\nsecondary_resistance = \"25 ohm\"\n")
	v, err := d.Supply.Plan.Loaded(d.Book.Get("tubes.plate_current").Value)
	require.NoError(t, err)
	assert.InDelta(t, v, d.Book.Get("tubes.plate_voltage").Value, 2e-6)
	assert.Greater(t, math.Abs(v-2800), 1.0, "the transformer decides, not the wish")
	assert.InEpsilon(t, 1000, d.Book.Get("antenna.output_power").Value, 1e-9)
}

// Energy closes in the book itself, from the numbers that results.json gives.
func TestEnergyClosesInTheBook(t *testing.T) {
	d := run(t, `output = "1200 W"`, "")
	q := func(id string) float64 { return d.Book.Get(id).Value }
	in := q("tubes.plate_voltage")*q("tubes.plate_current") + q("tubes.drive_power")
	out := q("tubes.plate_output") + 2*q("tubes.plate_dissipation_each") + 2*q("tubes.grid_dissipation_each") +
		q("tubes.bias_voltage")*(q("tubes.plate_current")+q("tubes.grid_current"))
	assert.InEpsilon(t, in, out, 1e-9)
	assert.Less(t, math.Abs(q("tubes.energy_balance")), 1e-9)
	assert.InEpsilon(t, q("tubes.plate_dissipation_each"), q("tubes.plate_dissipation_by_balance"), 1e-9)
	assert.InEpsilon(t, q("tubes.plate_output"), q("tubes.plate_output_check"), 1e-9)
}

// What cannot be had is a problem of the spec, with its place.
func TestUnreachable(t *testing.T) {
	s, err := spec.Read("test.toml",
		[]byte("[target]\nplate_current = \"30 mA\"\nbands = [\"80m\"]\n[tubes]\ntype = \"3-500Z\"\n[supply]\nplate_voltage = \"2800 "+
			"V\"\n"), compute.Names())
	require.NoError(t, err)
	_, err = compute.Run(s)
	var ps spec.Problems
	require.ErrorAs(t, err, &ps)
	assert.Contains(t, err.Error(), "test.toml:2:1: target.plate_current: ")
	assert.NotEmpty(t, ps[0].Hint)
}

// Ten times the power is 10 dB: the definition of the decibel.
func TestPowerGainIsOfPowers(t *testing.T) {
	d := run(t, `output = "1000 W"`, "")
	q := func(id string) float64 { return d.Book.Get(id).Value }
	assert.InEpsilon(t, q("tubes.plate_output"), q("tubes.drive_power")*math.Pow(10, q("tubes.power_gain")/10), 1e-9)
}
