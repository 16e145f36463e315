package supply

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/ledger"
)

// Nobody makes an electrolytic that stands 700 V: a can that must is film or
// oil, of far less loss. 40 µF at 120 Hz are 33.2 Ω, of which 0.003 are 0.099 Ω;
// a string that shares the 3.3 kV keeps 0.1. 3400 V on five cans are 680 V, on
// four 850 V.
func TestCapacitorsAboveElectrolytics(t *testing.T) {
	for _, x := range []struct {
		count   int
		tangent float64
	}{{11, 0.1}, {5, 0.1}, {4, 0.003}, {1, 0.003}} {
		d, _ := solve(t, fmt.Sprintf("[supply.capacitors]\ncapacitance = \"40 uF\"\ncount = %d\nvoltage = \"5 kV\"\n", x.count), 0.6,
			0.15, 0.4)
		f, volts := d.Value("supply.mains_frequency"), d.Value("supply.highest_voltage")/float64(x.count)
		require.Equal(t, volts > 700, x.tangent < 0.1, "%g V on each", volts)
		assert.InEpsilon(t, x.tangent/(2*math.Pi*2*f*40e-6), d.Value("supply.capacitor_resistance_each"), 1e-9, x.count)
	}
	d, _ := solve(t, "[supply.capacitors]\ncapacitance = \"40 uF\"\nvoltage = \"5 kV\"\nseries_resistance = \"3 ohm\"\n", 0.6, 0.15,
		0.4)
	assert.InEpsilon(t, 3, d.Value("supply.capacitor_resistance_each"), 1e-12)
}

// Without step start the bank stands at the crest of the ring after each
// switching on, and everything on it must. Mean of the sine V·2√2/π, highest
// mains, a = R/2L, ω² = 1/LC - a².
func TestRingWithoutStepStart(t *testing.T) {
	const choke = "rectifier = \"choke-input-centre-tap\"\n[supply.transformer]\nvoltage = \"3050 V\"\nprimary_resistance = \"0.18 " +
		"ohm\"\nsecondary_resistance = \"42 ohm\"\n" +
		"[supply.choke]\ninductance = \"36 H\"\nloaded_inductance = \"8 H\"\nresistance = \"48 ohm\"\ncurrent = \"700 mA\"\n" +
		"[supply.capacitors]\ncapacitance = \"330 uF\"\ncount = 15\n"
	with, _ := solve(t, choke, 0.6, 0.15, 0.4)
	crest := with.Value("supply.no_load_voltage") * (1 + with.Value("supply.mains_tolerance"))
	require.InEpsilon(t, crest, with.Value("supply.highest_voltage"), 1e-9)
	without, r := solve(t, choke+"[supply.step_start]\nfitted = false\n", 0.6, 0.15, 0.4)
	l, c, ohms := 8.0, 330e-6/15, without.Value("supply.source_resistance")+48
	a := ohms / 2 / l
	mean := 2 * math.Sqrt2 / math.Pi * without.Value("supply.transformer_voltage") * (1 + without.Value("supply.mains_tolerance"))
	ring := mean * (1 + math.Exp(-math.Pi*a/math.Sqrt(1/l/c-a*a)))
	require.Greater(t, ring, crest)
	assert.InEpsilon(t, ring, without.Value("supply.highest_voltage"), 5e-3)
	assert.Equal(t, without.Value("supply.highest_voltage"), r.HighestVoltage)
	assert.Greater(t, without.Value("supply.diode_reverse_voltage"), 2*crest)
	f := without.Finding("supply.switch_on_voltage")
	assert.Equal(t, ledger.Caution, f.Severity)
	assert.NotContains(t, f.Advice, "The step-start resistor damps it")
	// A capacitor input does not ring.
	d, _ := solve(t, "[supply.step_start]\nfitted = false\n", 0.6, 0.15, 0.4)
	assert.InEpsilon(t, d.Value("supply.no_load_voltage")*(1+d.Value("supply.mains_tolerance")), d.Value("supply.highest_voltage"),
		1e-9)
}

// A step-start resistor that is too small is told in ohms.
func TestStepStartIsToldInOhms(t *testing.T) {
	d, _ := solve(t, "[supply.step_start]\nresistance = \"0.5 ohm\"\n", 0.6, 0.15, 0.4)
	chosen, _ := solve(t, "", 0.6, 0.15, 0.4)
	f := d.Finding("supply.step_start_resistor")
	assert.NotContains(t, f.Advice, "larger resistor")
	assert.Contains(t, f.Advice, "Ω")
	assert.Greater(t, chosen.Value("supply.step_start_resistance"), 1.0)
	assert.False(t, chosen.Found("supply.step_start_resistor"))
}

// A flash-over is left to what is fitted.
func TestFlashOverNamesTheFusesThatAreThere(t *testing.T) {
	const noHigh, noMains = "[protection.hv_fuse]\nfitted = false\n", "[protection.mains_fuse]\nfitted = false\n"
	said := func(more string) string {
		d, _ := solve(t, more, 0.6, 0.15, 0.4)
		f := d.Finding("supply.fault")
		return f.Text + " " + f.Advice
	}
	assert.Contains(t, said(""), "until a fuse opens")
	assert.Contains(t, said(""), "The mains fuse must open on")
	assert.Contains(t, said(noHigh), "There is no high-voltage fuse")
	assert.Contains(t, said(noHigh), "until a fuse opens")
	assert.Contains(t, said(noMains), "the breaker at the wall must open on")
	both := said(noHigh + noMains)
	assert.Contains(t, both, "until the breaker at the wall opens")
	assert.NotContains(t, both, "melting integral")
}

// The part that is in the way is one that the builder wrote: a transformer of
// 50 VA, not the regulation that nobody stated; a bank of 62 nF behind a choke,
// which resonates with it above the ripple.
func TestShortfallNamesThePartThatIsWritten(t *testing.T) {
	for _, x := range []struct{ more, key, word string }{
		{"[supply.transformer]\npower = \"50 VA\"\n", "supply.transformer.power", "volt-amperes"},
		{"[supply.transformer]\npower = \"100 VA\"\nshort_circuit_voltage = \"30 %\"\n", "supply.transformer.short_circuit_voltage",
			"shorted"},
		{"rectifier = \"choke-input\"\n[supply.capacitors]\ncapacitance = \"1 uF\"\n", "supply.capacitors.capacitance", "capacitance"},
		{"rectifier = \"choke-input-centre-tap\"\n[supply.capacitors]\ncapacitance = \"1 uF\"\n", "supply.capacitors.capacitance",
			"capacitance"},
	} {
		_, err := Prepare(read(t, x.more), 2800, 0.6, 10)
		var s *Shortfall
		require.ErrorAs(t, err, &s, x.more)
		assert.Equal(t, x.key, s.Part.Key, s.What)
		assert.Contains(t, s.Hint, x.word, x.more)
		assert.NotContains(t, s.What, "assumed", x.more)
	}
	// With a bank of some microfarads the choke does its work.
	_, err := Prepare(read(t, "rectifier = \"choke-input\"\n[supply.capacitors]\ncapacitance = \"200 uF\"\n"), 2800, 0.6, 10)
	assert.NoError(t, err)
}
