package cooling

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
)

const cfm = 0.3048 * 0.3048 * 0.3048 / 60 // [m³/s]

func solve(t *testing.T, kind string, plate float64, more string) (*desktest.Desk, Result) {
	t.Helper()
	d := desktest.New(t, desktest.Text("800 W", kind, "2500 V", "40m")+more)
	r, err := Solve(d.Desk, Input{Type: desktest.Tube(t, kind), Tubes: 2, PlateDissipationEach: d.Figure("test.plate", "W", plate), GridDissipationEach: d.Figure("test.grid", "W", 10)})
	require.NoError(t, err)
	return d, r
}

// Two 8877 at 1500 W each take twice the published 35 CFM and its 0.41 in. of
// water at sea level and 25 °C, and at 10 000 ft what the same sheet says
// there: 51 CFM each at 0.60 in. (from memory, to whole CFM and hundredths).
func TestPublishedAir(t *testing.T) {
	d, r := solve(t, "8877", 1500, "[cooling]\naltitude = \"0 m\"\ninlet = \"25 degC\"\n")
	assert.InEpsilon(t, 2*35*cfm, r.Airflow.Value, 2e-3)
	assert.InEpsilon(t, 0.41*249.089, d.Value("cooling.pressure"), 2e-3)
	d, r = solve(t, "8877", 1500, "[cooling]\naltitude = \"3048 m\"\ninlet = \"25 degC\"\n")
	assert.InEpsilon(t, 2*51*cfm, r.Airflow.Value, 0.015)
	assert.InEpsilon(t, 0.60*249.089, d.Value("cooling.pressure"), 0.015)
	// Energy: the heat leaves with the air.
	exit := d.Value("cooling.exit_temperature") - 298.15
	assert.InEpsilon(t, d.Value("cooling.heat"), r.Airflow.Value*d.Value("cooling.air_density")*1006*exit, 1e-9)
}

// The trade's formula CFM = 1.76·P/ΔT, for a type without published air.
func TestRadiationCooled(t *testing.T) {
	d, r := solve(t, "811A", 60, "[cooling]\naltitude = \"0 m\"\ninlet = \"22 degC\"\nrise = \"20 K\"\n")
	assert.False(t, r.Forced)
	assert.InEpsilon(t, 1.76*d.Value("cooling.heat")/20*cfm, r.Airflow.Value, 3e-3)
	assert.True(t, d.Found("cooling.radiation"))
	assert.Equal(t, ledger.Caution, d.Severity("cooling.seal_limit"), "nothing published on its seals")
	d, _ = solve(t, "8877", 1000, "")
	assert.False(t, d.Found("cooling.radiation"))
}

// In a room of 20 °C the reading must lie as far below the limit as the room
// lies below the inlet temperature that the station may have.
func TestSealLimits(t *testing.T) {
	d, _ := solve(t, "3-500Z", 300, "[cooling]\ninlet = \"40 degC\"\n")
	assert.InDelta(t, 200+273.15, d.Value("cooling.base_temperature_limit"), 1e-9)
	assert.InDelta(t, 180+273.15, d.Value("cooling.base_reading_limit"), 1e-9)
	assert.InDelta(t, d.Value("cooling.base_temperature_limit")-d.Value("cooling.exit_temperature"), d.Value("cooling.base_room"), 1e-9)
	assert.Equal(t, ledger.Note, d.Severity("cooling.base_seal"))
	assert.InDelta(t, 180, d.Value("cooling.after_run"), 0)
}

func TestBlower(t *testing.T) {
	d, r := solve(t, "8877", 1000, "[cooling]\nairflow = \"20 CFM\"\n")
	assert.Equal(t, ledger.Caution, d.Severity("cooling.blower_pressure"))
	require.NotEmpty(t, d.Ratings)
	assert.Equal(t, ledger.ExceedsRating, d.Ratings[0].Verdict, "%g", r.Airflow.Value)
	d, _ = solve(t, "8877", 1000, "[cooling]\nairflow = \"120 CFM\"\npressure = \"200 Pa\"\n")
	assert.False(t, d.Found("cooling.blower_pressure"))
	for _, x := range d.Ratings {
		assert.Equal(t, ledger.Within, x.Verdict, x.Quantity)
	}
}

// A type that wants forced air wants a blower and its interlock, whether or
// not its airflow is known; one cooled by conduction wants its block.
func TestWithoutPublishedAir(t *testing.T) {
	d, r := solve(t, "8875", 200, "")
	assert.True(t, r.Forced)
	require.NotEmpty(t, d.Parts)
	assert.Equal(t, "B1", d.Parts[0].Designator)
	d, r = solve(t, "8873", 200, "")
	assert.False(t, r.Forced)
	assert.Equal(t, ledger.Caution, d.Severity("cooling.conduction"))
}

// All that two tubes turn into heat, by the sheet's heater figures.
func TestHeatIsThatOfBothTubes(t *testing.T) {
	d, _ := solve(t, "8877", 1500, "")
	heater := 5.0 * 10.0 // W, published for the 8877
	assert.InEpsilon(t, 2*(1500+10+heater), d.Value("cooling.heat"), 1e-9)
}
