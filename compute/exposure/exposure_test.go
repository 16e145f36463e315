package exposure

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/rules"
	"anodebook/compute/tube"
	"anodebook/spec"
)

func solve(t *testing.T, set string, bands []string, power float64, more string) *desktest.Desk {
	t.Helper()
	s, err := spec.Read("test.toml", []byte("[target]\noutput = \"800 W\"\nbands = [\"40m\"]\nduty = \"data\"\n[tubes]\ntype = \"3-500Z\"\n[supply]\nplate_voltage = \"2500 V\"\n"+more),
		spec.Names{Tubes: tube.Types(), Rules: rules.Names()})
	require.NoError(t, err)
	r, err := rules.Lookup(set)
	require.NoError(t, err)
	d := desk.New(s)
	_, err = Solve(d, Input{Rules: r, Bands: bands, Output: d.Catalogue("test.output", "output", power, "W", "test")})
	require.NoError(t, err)
	return d
}

func finding(d *desktest.Desk, id string) (ledger.Finding, bool) {
	for _, f := range d.Findings {
		if f.ID == id {
			return f, true
		}
	}
	return ledger.Finding{}, false
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
	_, bad := finding(solve(t, "us", sixty, 90, "[station]\nantenna_gain = \"2.1 dBi\"\n"), "antenna.60m.legal_power")
	assert.False(t, bad)
	f, bad := finding(solve(t, "us", sixty, 90, "[station]\nantenna_gain = \"5.15 dBi\"\n"), "antenna.60m.legal_power")
	require.True(t, bad)
	assert.Equal(t, ledger.Exceeds, f.Severity)
	assert.Contains(t, f.Advice, "50.1 W")
	_, bad = finding(solve(t, "us", sixty, 90, "[station]\nantenna_gain = \"5.15 dBi\"\nfeed_loss = \"3 dB\"\n"), "antenna.60m.legal_power")
	assert.False(t, bad)
	_, bad = finding(solve(t, "general", sixty, 10, "[station]\nantenna_gain = \"2.2 dBi\"\n"), "antenna.60m.legal_power")
	assert.True(t, bad, "16.6 W EIRP against 15 W")
	_, bad = finding(solve(t, "general", sixty, 30, "[station]\nantenna_gain = \"-3 dBi\"\nfeed_loss = \"1 dB\"\n"), "antenna.60m.legal_power")
	assert.False(t, bad, "11.9 W EIRP")
	// Where the rule counts the connector, a gain changes nothing.
	_, bad = finding(solve(t, "us", []string{"40m"}, 1400, "[station]\nantenna_gain = \"10 dBi\"\n"), "antenna.40m.legal_power")
	assert.False(t, bad)
	_, bad = finding(solve(t, "us", []string{"40m"}, 1600, ""), "antenna.40m.legal_power")
	assert.True(t, bad)
}

// Each other rule set gives its own distance.
func TestOtherRuleSets(t *testing.T) {
	d := solve(t, "us", []string{"20m", "10m"}, 1000, "")
	for _, b := range []string{"20m", "10m"} {
		assert.InEpsilon(t, d.Value("exposure."+b+".limit_general"), 2.0, 1e-9, "ICNIRP 1998 above 10 MHz")
		assert.Positive(t, d.Value("exposure."+b+".distance_general_2020"))
	}
}
