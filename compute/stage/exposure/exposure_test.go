package exposure

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/data/rules"
	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/spec"
)

func solve(t *testing.T, set string, bands []string, power float64, more string) *desktest.Desk {
	t.Helper()
	r, err := rules.Lookup(set)
	require.NoError(t, err)
	d := desktest.New(t, strings.Replace(desktest.Text("800 W", "3-500Z", "2500 V", "40m"), "[tubes]", "duty = \"data\"\n[tubes]",
		1)+more)
	_, err = Solve(d.Desk, Input{Rules: r, Bands: bands, Output: d.Figure("test.output", "W", power)})
	require.NoError(t, err)
	return d
}

// OET Bulletin 65 equation 9, S = 33.4·ERP/R² µW/cm², as worked in a filing:
// 44.25 W ERP at 19.6 m give 3.85 µW/cm².
func TestBulletin(t *testing.T) {
	d := solve(t, "us", []string{"10m"}, 44.25,
		"[station]\nantenna_gain = \"0 dBd\"\ntransmit_share = \"100 %\"\ndistance = \"19.6 m\"\n")
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
	assert.InDelta(t, 250, solve(t, "us", []string{"20m"}, 1500, s).Get("exposure.eirp_average_controlled").Value, 1)
	assert.InDelta(t, 250, solve(t, "us", []string{"20m"}, 1500, s).Get("exposure.eirp_average").Value, 1)
}

// A limit on the radiated power counts gain and loss. By hand, over a dipole of
// 2.15 dBi: 90 W into 2.15 dBi are 90 W ERP, into 5.15 dBi 179.6 W, with 3 dB of
// loss besides 90 W again; 100 W at 5.15 dBi leave 50.12 W at the connector.
// 15 W EIRP are 9.04 W into 2.2 dBi.
func TestRadiatedLimits(t *testing.T) {
	sixty := []string{"60m"}
	const channels = "antenna.60m.legal_power"
	assert.False(t, solve(t, "us", sixty, 90, "[station]\nantenna_gain = \"2.15 dBi\"\n").Found(channels))
	d := solve(t, "us", sixty, 90, "[station]\nantenna_gain = \"5.15 dBi\"\n")
	f := d.Finding(channels)
	assert.Equal(t, ledger.Exceeds, f.Severity)
	assert.Contains(t, f.Advice, "50.1 W")
	assert.Contains(t, f.Text, "in force since 13 February 2026")
	assert.InEpsilon(t, 50.119, d.Value("antenna.60m.connector_power_limit"), 1e-4)
	assert.False(t, solve(t, "us", sixty, 90, "[station]\nantenna_gain = \"5.15 dBi\"\nfeed_loss = \"3 dB\"\n").Found(channels))
	assert.True(t, solve(t, "general", sixty, 9.05, "[station]\nantenna_gain = \"2.2 dBi\"\n").Found(channels),
		"15.02 W EIRP against 15 W")
	assert.False(t, solve(t, "general", sixty, 9.03, "[station]\nantenna_gain = \"2.2 dBi\"\n").Found(channels), "14.99 W EIRP")
	assert.False(t, solve(t, "general", sixty, 30, "[station]\nantenna_gain = \"-3 dBi\"\nfeed_loss = \"1 dB\"\n").Found(channels),
		"11.9 W EIRP")
	// Where the rule counts the connector, a gain changes nothing.
	assert.False(t, solve(t, "us", []string{"40m"}, 1500, "[station]\nantenna_gain = \"10 dBi\"\n").Found("antenna.40m.legal_power"))
	assert.True(t, solve(t, "us", []string{"40m"}, 1500.1, "").Found("antenna.40m.legal_power"))
	assert.False(t, solve(t, "us", []string{"30m"}, 200, "").Found("antenna.30m.legal_power"))
	assert.True(t, solve(t, "us", []string{"30m"}, 200.1, "").Found("antenna.30m.legal_power"))
}

// 60 m has two limits, each held for itself, on both sides: 100 W ERP on the
// channels and 9.15 W in the segment; into a dipole the ERP is the power at the
// connector, with 3 dB more gain half of it reaches the limit. What only the
// segment forbids may be used on the channels: a caution; above both it exceeds.
func TestPartsOfABand(t *testing.T) {
	for _, c := range []struct {
		power             float64
		gain              string
		channels, segment bool
	}{
		{9.149, "2.15", false, false}, {9.151, "2.15", false, true}, {99.99, "2.15", false, true}, {100.01, "2.15", true, true},
		{4.585, "5.15", false, false}, {4.587, "5.15", false, true}, {50.11, "5.15", false, true}, {50.13, "5.15", true, true},
	} {
		d := solve(t, "us", []string{"60m"}, c.power, "[station]\nantenna_gain = \""+c.gain+" dBi\"\n")
		assert.Equal(t, c.channels, d.Severity("antenna.60m.legal_power") == ledger.Exceeds, "%v W, %s dBi", c.power, c.gain)
		assert.Equal(t, c.channels, d.Severity("antenna.60m.legal_power_segment") == ledger.Exceeds, "%v W, %s dBi", c.power, c.gain)
		caution := d.Severity("antenna.60m.legal_power_segment") == ledger.Caution
		assert.Equal(t, c.segment && !c.channels, caution, "%v W, %s dBi", c.power, c.gain)
		assert.Equal(t, c.segment, d.Found("antenna.60m.legal_power_segment"), "%v W, %s dBi", c.power, c.gain)
		assert.Equal(t, c.channels, d.Found("antenna.60m.legal_power"), "%v W, %s dBi", c.power, c.gain)
		assert.Equal(t, 100.0, d.Value("antenna.60m.power_limit"))
		assert.Equal(t, 9.15, d.Value("antenna.60m.power_limit_segment"))
	}
	f := solve(t, "us", []string{"60m"}, 50, "").Finding("antenna.60m.legal_power_segment")
	assert.Contains(t, f.Advice, "for the four channels centred on 5332, 5348, 5373 and 5405 kHz only")
	f = solve(t, "us", []string{"60m"}, 1000, "").Finding("antenna.60m.legal_power_segment")
	assert.NotContains(t, f.Advice, "only.")
	assert.Contains(t, f.Text, "5351.5 to 5366.5 kHz")
	assert.Contains(t, f.Advice, "9.04 W", "9.15 W into 2.2 dBi: 0.05 dB less")
}

// The times that the limits average over, and the share of them: nobody's over
// is halved that fills the time. Default: overs of up to ten minutes fill 6
// minutes, not 30. By hand, 1000 W of carrier into 2.2 dBi on 20 m.
func TestAveragingTimes(t *testing.T) {
	d := solve(t, "us", []string{"20m"}, 1000, "")
	assert.Equal(t, 360.0, d.Value("exposure.averaging_controlled"))
	assert.Equal(t, 1800.0, d.Value("exposure.averaging_uncontrolled"))
	assert.Equal(t, 1.0, d.Value("exposure.transmit_share_controlled"))
	assert.Equal(t, 0.5, d.Value("exposure.transmit_share_uncontrolled"))
	eirp := 1000 * math.Pow(10, 0.22)
	assert.InEpsilon(t, math.Sqrt(2.56*eirp/(4*math.Pi*9000/14.35/14.35)), d.Value("exposure.20m.distance_controlled"), 1e-9)
	assert.InEpsilon(t, math.Sqrt(2.56*eirp/2/(4*math.Pi*1800/14.35/14.35)), d.Value("exposure.20m.distance_uncontrolled"), 1e-9)
	// The guidelines of 1998 average over 6 minutes for anybody, those of 2020
	// over 30.
	assert.Equal(t, 1.0, d.Value("exposure.transmit_share_general"))
	assert.Equal(t, 0.5, d.Value("exposure.transmit_share_general_2020"))
	assert.InEpsilon(t, math.Sqrt(2.56*eirp/(4*math.Pi*2)), d.Value("exposure.20m.distance_general"), 1e-9)

	for _, c := range []struct {
		station             string
		controlled, anybody float64
	}{
		{"longest_over = \"359 s\"", 0.5, 0.5}, {"longest_over = \"360 s\"", 1, 0.5},
		{"longest_over = \"1799 s\"", 1, 0.5}, {"longest_over = \"1800 s\"", 1, 1},
		{"transmit_share = \"20 %\"", 0.2, 0.2}, {"transmit_share = \"100 %\"", 1, 1},
		{"transmit_share = \"20 %\"\nlongest_over = \"359 s\"", 0.2, 0.2},
		{"transmit_share = \"20 %\"\nlongest_over = \"6 min\"", 1, 0.2},
	} {
		d := solve(t, "us", []string{"20m"}, 1000, "[station]\n"+c.station+"\n")
		assert.Equal(t, c.controlled, d.Value("exposure.transmit_share_controlled"), c.station)
		assert.Equal(t, c.anybody, d.Value("exposure.transmit_share_uncontrolled"), c.station)
		assert.InEpsilon(t, 1000*c.anybody, d.Value("exposure.average_power"), 1e-12)
		assert.InEpsilon(t, 1000*c.controlled, d.Value("exposure.average_power_controlled"), 1e-12)
	}
	// One averaging time for all bands of a set.
	for _, name := range rules.Names() {
		s, err := rules.Lookup(name)
		require.NoError(t, err)
		for _, controlled := range []bool{true, false} {
			times := map[float64]bool{}
			for _, b := range s.Bands {
				l, err := s.ExposureLimit(b.High, controlled)
				require.NoError(t, err)
				times[l.Averaging] = true
			}
			assert.Len(t, times, 1, name)
		}
	}
}

// A distance just too small never reads as the one that is wanted, and at the
// wanted distance nothing is said.
func TestDistancesRoundUp(t *testing.T) {
	const id = "exposure.20m.uncontrolled"
	want := math.Sqrt(2.56 * 1000 * math.Pow(10, 0.22) / 2 / (4 * math.Pi * 1800 / 14.35 / 14.35)) // 4.3975 m
	number := regexp.MustCompile(`[0-9.]+ m\b`)
	at := func(m float64) *desktest.Desk {
		return solve(t, "us", []string{"20m"}, 1000, fmt.Sprintf("[station]\ndistance = \"%.9f m\"\n", m))
	}
	assert.False(t, at(want*(1+1e-6)).Found(id))
	for _, short := range []float64{1e-6, 1e-4, 3e-4, 1e-3, 3e-3} {
		f := at(want * (1 - short)).Finding(id)
		assert.Equal(t, ledger.Exceeds, f.Severity)
		all := number.FindAllString(f.Text[strings.Index(f.Text, "kept at"):], -1)
		require.Len(t, all, 2, f.Text)
		assert.NotEqual(t, all[0], all[1], f.Text)
		assert.Equal(t, "4.40 m", all[0], "never rounded down")
	}
}

// Below the distance of the exemption a note asks for an evaluation. By hand:
// 1500 W over a dipole on 20 m, edge 14.35 MHz: 1500/3450 of f², 9.462 m; on
// 80 m the reactive near field at 3.5 MHz rules, 13.633 m.
func TestEvaluation(t *testing.T) {
	at := func(set, distance string) *desktest.Desk {
		return solve(t, set, []string{"80m", "20m"}, 1500, "[station]\nantenna_gain = \"2.15 dBi\"\ndistance = \""+distance+"\"\n")
	}
	d := at("us", "13.64 m")
	assert.InDelta(t, 9.462, d.Value("exposure.20m.exempt_distance"), 1e-3)
	assert.InDelta(t, 13.633, d.Value("exposure.80m.exempt_distance"), 2e-3)
	assert.InDelta(t, 13.633, d.Value("exposure.80m.near_field"), 2e-3)
	assert.False(t, d.Found("exposure.evaluation"))
	f := at("us", "13.63 m").Finding("exposure.evaluation")
	assert.Equal(t, ledger.Note, f.Severity)
	assert.Contains(t, f.Text, "On 80 m people")
	assert.Contains(t, at("us", "9.46 m").Finding("exposure.evaluation").Text, "On 80 m and 20 m people")
	d = at("general", "1 m")
	assert.False(t, d.Found("exposure.evaluation"))
	assert.False(t, d.Entered("exposure.20m.exempt_distance"))
}

// Every word of target.duty has its emission; another one stops the program.
func TestEmissionOfEveryDuty(t *testing.T) {
	for _, k := range spec.Keys(spec.Names{Tubes: tube.Types(), Rules: rules.Names()}) {
		if k.Table != "target" || k.Name != "duty" {
			continue
		}
		words := strings.Split(strings.TrimPrefix(k.Bounds, "one of: "), ", ")
		require.Greater(t, len(words), 1, k.Bounds)
		for _, w := range words {
			_, err := rules.DutyFactor(Emission(w))
			assert.NoError(t, err, w)
		}
	}
	assert.Panics(t, func() { Emission("") })
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
	assert.Contains(t, f.Text, "in force since 13 February 2026")
	assert.Contains(t, f.Text, "upper sideband: 5330.5, 5346.5, 5371.5, 5403.5 kHz.")
	assert.Contains(t, f.Text, "in force until 12 February 2026")
	assert.Contains(t, f.Text, "2.8 kHz")
	assert.False(t, solve(t, "us", []string{"40m"}, 90, "").Found("antenna.40m.band_rule"))
	f = solve(t, "general", []string{"160m"}, 90, "").Finding("antenna.160m.band_rule")
	assert.Contains(t, f.Text, "1810 to 1850 kHz")
	assert.NotContains(t, f.Text, "Dial")
}
