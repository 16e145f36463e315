package exposure

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/compute/rules"
)

func solve(t *testing.T, set string, bands []string, power float64, more string) *desktest.Desk {
	t.Helper()
	r, err := rules.Lookup(set)
	require.NoError(t, err)
	d := desktest.New(t, strings.Replace(desktest.Text("800 W", "3-500Z", "2500 V", "40m"), "[tubes]", "duty = \"data\"\n[tubes]", 1)+more)
	_, err = Solve(d.Desk, Input{Rules: r, Bands: bands, Output: d.Figure("test.output", "W", power)})
	require.NoError(t, err)
	return d
}

// OET Bulletin 65 equation 9, S = 33.4·ERP/R² µW/cm², as worked in a filing:
// 44.25 W ERP at 19.6 m give 3.85 µW/cm².
func TestBulletin(t *testing.T) {
	d := solve(t, "us", []string{"10m"}, 44.25, "[station]\nantenna_gain = \"0 dBd\"\ntransmit_share = \"100 %\"\ndistance = \"19.6 m\"\n")
	assert.InEpsilon(t, 0.0385, d.Value("exposure.10m.density"), 5e-3, "1 µW/cm² is 0.01 W/m²; 2.15 dBi against the bulletin's 1.64")
	assert.InEpsilon(t, 44.25, d.Value("exposure.erp_peak"), 1e-3)
	// At the distance of the limit the density is the limit.
	r := d.Value("exposure.10m.distance_uncontrolled")
	at := d.Value("exposure.10m.density") * 19.6 * 19.6 / (r * r)
	assert.InEpsilon(t, d.Value("exposure.10m.limit_uncontrolled"), at, 1e-9)
}

// A published worksheet: 1500 W PEP, 0.8 dB of loss, factor 0.4, half of the
// time: 250 W at the antenna (to whole watts).
func TestWorksheet(t *testing.T) {
	s := "[station]\nantenna_gain = \"0 dBi\"\nfeed_loss = \"0.8 dB\"\ntransmit_share = \"20 %\"\n" // carrier: 1.0·20 % = 0.4·50 %
	assert.InDelta(t, 250, solve(t, "us", []string{"20m"}, 1500, s).Get("exposure.eirp_average").Value, 1)
}

// A limit on the radiated power counts gain and loss: 90 W into an antenna of
// 3 dB over a dipole are 180 W ERP and more than 100 W allowed, the same 90 W
// with 3 dB of loss besides are not; 10 W EIRP out of 30 W in a lossy line.
func TestRadiatedLimits(t *testing.T) {
	sixty := []string{"60m"}
	assert.False(t, solve(t, "us", sixty, 90, "[station]\nantenna_gain = \"2.1 dBi\"\n").Found("antenna.60m.legal_power"))
	f := solve(t, "us", sixty, 90, "[station]\nantenna_gain = \"5.15 dBi\"\n").Finding("antenna.60m.legal_power")
	assert.Equal(t, ledger.Exceeds, f.Severity)
	assert.Contains(t, f.Advice, "50.1 W")
	assert.False(t, solve(t, "us", sixty, 90, "[station]\nantenna_gain = \"5.15 dBi\"\nfeed_loss = \"3 dB\"\n").Found("antenna.60m.legal_power"))
	assert.True(t, solve(t, "general", sixty, 10, "[station]\nantenna_gain = \"2.2 dBi\"\n").Found("antenna.60m.legal_power"), "16.6 W EIRP against 15 W")
	assert.False(t, solve(t, "general", sixty, 30, "[station]\nantenna_gain = \"-3 dBi\"\nfeed_loss = \"1 dB\"\n").Found("antenna.60m.legal_power"), "11.9 W EIRP")
	// Where the rule counts the connector, a gain changes nothing.
	assert.False(t, solve(t, "us", []string{"40m"}, 1400, "[station]\nantenna_gain = \"10 dBi\"\n").Found("antenna.40m.legal_power"))
	assert.True(t, solve(t, "us", []string{"40m"}, 1600, "").Found("antenna.40m.legal_power"))
}

// Each other rule set gives its own distance.
func TestOtherRuleSets(t *testing.T) {
	d := solve(t, "us", []string{"20m", "10m"}, 1000, "")
	for _, b := range []string{"20m", "10m"} {
		assert.InEpsilon(t, d.Value("exposure."+b+".limit_general"), 2.0, 1e-9, "ICNIRP 1998 above 10 MHz")
		assert.Positive(t, d.Value("exposure."+b+".distance_general_2020"))
	}
}

// What a rule set notes of a band reaches the reader, with its channels.
func TestBandNotes(t *testing.T) {
	f := solve(t, "us", []string{"60m"}, 90, "").Finding("antenna.60m.band_rule")
	assert.Equal(t, ledger.Note, f.Severity)
	assert.Contains(t, f.Text, "check the current text")
	assert.Contains(t, f.Text, "5330.5, 5346.5, 5357, 5371.5, 5403.5 kHz")
	assert.False(t, solve(t, "us", []string{"40m"}, 90, "").Found("antenna.40m.band_rule"))
	f = solve(t, "general", []string{"160m"}, 90, "").Finding("antenna.160m.band_rule")
	assert.Contains(t, f.Text, "1810 to 1850 kHz")
	assert.NotContains(t, f.Text, "Dial")
}
