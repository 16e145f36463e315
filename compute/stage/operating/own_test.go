package operating_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/report/setting"
	"anodebook/spec"
)

func runSpec(t *testing.T, text string) *compute.Design {
	t.Helper()
	s, err := spec.Read("test.toml", []byte(text), compute.Names())
	require.NoError(t, err)
	d, err := compute.Run(s)
	require.NoError(t, err)
	return d
}

// Each grid of a triode-connected tetrode is held against its own rating, and
// the two shares make up the whole.
func TestGridsOfATetrode(t *testing.T) {
	d := runSpec(t, desktest.Text("700 W", "4-400A", "2800 V", "80m"))
	q := func(id string) float64 { return d.Book.Get(id).Value }
	assert.InEpsilon(t, q("tubes.grid_current_each"), q("tubes.screen_current_each")+q("tubes.control_grid_current_each"), 1e-12)
	assert.InEpsilon(t, q("tubes.grid_dissipation_each"), q("tubes.screen_dissipation_each")+q("tubes.control_grid_dissipation_each"),
		1e-12)
	held := map[string]float64{}
	for _, r := range d.Book.Ratings {
		held[r.StressID] = r.Rating
	}
	assert.Equal(t, 10.0, held["tubes.control_grid_dissipation_each"])
	assert.Equal(t, 35.0, held["tubes.screen_dissipation_each"])
	assert.NotContains(t, held, "tubes.grid_dissipation_each")
}

const ownTube = `
[target]
output = "500 W"
bands = ["80m", "40m"]
[supply]
plate_voltage = "2000 V"
[tubes]
type = "custom"
[tubes.custom]
name = "test triode"
amplification_factor = 110
cathode = "indirectly-heated"
heater_voltage = "6.3 V"
heater_current = "5 A"
max_plate_dissipation = "400 W"
[tubes.custom.column.one]
plate_voltage = "2000 V"
bias = "6 V"
idle_current = "60 mA"
plate_current = "320 mA"
output = "400 W"
driving_impedance = "150 ohm"
`

// The builder's own tube goes through the whole design: its figures come from
// the spec, and what the model rests on is said.
func TestOwnTube(t *testing.T) {
	d := runSpec(t, ownTube)
	assert.True(t, d.Type.Own)
	heater := d.Book.Get("filament.rated_voltage")
	assert.Equal(t, ledger.FromSpec, heater.From)
	assert.Equal(t, "test.toml:13", heater.Where)
	assert.Equal(t, ledger.FromComputed, d.Book.Get("tubes.model.mu").From)
	find := func(id string) (setting.Finding, bool) {
		for _, f := range setting.Plain(d.Book, "metric").Findings() {
			if f.ID == id {
				return f, true
			}
		}
		return setting.Finding{}, false
	}
	f, ok := find("tubes.model.estimate")
	require.True(t, ok)
	assert.Contains(t, f.Text, "a single column")
	assert.Equal(t, ledger.Caution, f.Severity)
	for _, c := range d.Checks() {
		assert.NotContains(t, c.ID, "tubes.test")
		assert.NotEqual(t, "Published operating columns of the tubes", c.Subject)
	}
	// a tube that nobody could make from the columns of another
	second := "[tubes.custom.column.two]\nplate_voltage = \"2400 V\"\nbias = \"6 V\"\nplate_current = \"320 mA\"\ngrid_current = " +
		"\"300 mA\"\noutput = \"500 W\"\ndriving_impedance = \"60 ohm\"\n"
	d = runSpec(t, ownTube+second)
	_, ok = find("tubes.model.estimate")
	assert.False(t, ok)
	f, ok = find("tubes.model.misfit")
	require.True(t, ok)
	assert.Contains(t, f.Text, "contradict each other")
	assert.Equal(t, tube.Fitted, d.Type.Kind)
}
