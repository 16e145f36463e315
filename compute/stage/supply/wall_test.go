package supply

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/data/rules"
	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/report/setting"
	"anodebook/spec"
)

// plugged solves with keys of the mains, in the rule set, and a fuse: "" for
// none written. The mains current is whatever the supply draws.
func plugged(t *testing.T, set, mains, fuse string) *desktest.Desk {
	t.Helper()
	text := fmt.Sprintf("[notebook]\nrules = %q\n", set) + desktest.Text("1000 W", "3-500Z", "2800 V", "80m", "20m") +
		"[supply.mains]\n" + mains + fuse
	s, err := spec.Read("test.toml", []byte(text), spec.Names{Tubes: []string{"3-500Z"}, Rules: rules.Names()})
	require.NoError(t, err, text)
	p, err := Prepare(s, 2800, 0.65, 10)
	require.NoError(t, err)
	d, _, err := run(t, s, p, 0.65, 0.2, 0.42)
	require.NoError(t, err)
	return d
}

func circuitKey(a float64) string { return fmt.Sprintf("circuit = \"%.4f A\"\n", a) }
func cordKey(a float64) string    { return fmt.Sprintf("cord = \"%.4f A\"\n", a) }
func fuseKey(a float64) string {
	return fmt.Sprintf("[protection]\nmains_fuse = \"%.4f A\"\n", a)
}

// Mains current against the circuit: above it exceeds, above four fifths of it
// is thin, and a hair on either side decides.
func TestCircuitThresholds(t *testing.T) {
	for _, set := range rules.Names() {
		full := plugged(t, set, "", "").Value("supply.primary_current")
		for share, want := range map[float64]ledger.Verdict{0.999: ledger.ExceedsRating, 1.001: ledger.Thin, 1.249: ledger.Thin,
			1.251: ledger.Within} {
			d := plugged(t, set, circuitKey(share*full), "")
			assert.Equal(t, want, d.Verdict("wall", "current"), "%s %g", set, share)
		}
	}
}

// Circuits come in the sizes of NEC 210.3, or of IEC 60898-1.
func TestCircuitSizes(t *testing.T) {
	for set, sizes := range map[string]map[float64]bool{
		"us": {15: true, 16: false, 20: true, 25: false, 30: true, 32: false, 35: false, 40: true, 45: false, 50: true,
			60: false},
		"general": {6: true, 10: true, 13: true, 15: false, 16: true, 20: true, 25: true, 30: false, 32: true, 40: true,
			50: true, 63: true, 64: false},
		"general-2020": {16: true, 30: false},
	} {
		for size, exists := range sizes {
			d := plugged(t, set, circuitKey(size), "")
			assert.Equal(t, !exists, d.Found("supply.circuit_size"), "%s %g A", set, size)
			assert.Equal(t, size, d.Value("supply.circuit_rating"))
		}
	}
}

// Fuse against circuit and cord, breaker against cord and plug, on both sides.
func TestFuseCordAndBreaker(t *testing.T) {
	type row struct {
		set                 string
		circuit, cord, fuse float64 // 0: not written
		id                  string
		want                ledger.Severity // "": not found
	}
	for _, r := range []row{
		{"us", 20, 0, 20, "supply.fuse_above_circuit", ""},
		{"us", 20, 0, 20.1, "supply.fuse_above_circuit", ledger.Caution},
		{"us", 20, 0, 15, "supply.fuse_above_circuit", ""},
		{"general", 16, 0, 16, "supply.fuse_above_circuit", ""},
		{"general", 16, 0, 20, "supply.fuse_above_circuit", ledger.Caution},
		{"us", 20, 15, 15, "supply.P1.mains_fuse_current", ""},
		{"us", 20, 15, 15.1, "supply.P1.mains_fuse_current", ledger.Exceeds},
		{"us", 20, 15, 20, "supply.P1.mains_fuse_current", ledger.Exceeds},
		// US: a cord of 10 A (AWG 18) behind 20 A, of 15 A (AWG 14) behind 30 A, and
		// on 30 A no plug of less than 30 A.
		{"us", 20, 10, 10, "supply.breaker_above_cord", ""},
		{"us", 20, 9.9, 8, "supply.breaker_above_cord", ledger.Exceeds},
		{"us", 30, 14.9, 15, "supply.breaker_above_cord", ledger.Exceeds},
		{"us", 30, 15, 15, "supply.breaker_above_cord", ledger.Caution},
		{"us", 30, 29.9, 15, "supply.breaker_above_cord", ledger.Caution},
		{"us", 30, 30, 15, "supply.breaker_above_cord", ""},
		{"us", 50, 10, 15, "supply.breaker_above_cord", ledger.Exceeds},
		{"general", 16, 6, 6, "supply.breaker_above_cord", ""},
		{"general", 16, 5.9, 6, "supply.breaker_above_cord", ledger.Exceeds},
		{"general", 32, 15.9, 16, "supply.breaker_above_cord", ledger.Exceeds},
		{"general", 32, 16, 16, "supply.breaker_above_cord", ledger.Caution},
		{"general", 32, 32, 16, "supply.breaker_above_cord", ""},
		{"us", 20, 0, 12, "supply.mains_fuse_size", ""},
		{"us", 20, 0, 17, "supply.mains_fuse_size", ledger.Note},
		{"us", 30, 0, 25, "supply.mains_fuse_size", ""},
		{"general", 16, 0, 12.5, "supply.mains_fuse_size", ""},
		{"general", 16, 0, 12, "supply.mains_fuse_size", ledger.Note},
	} {
		mains, fuse := circuitKey(r.circuit), ""
		if r.cord > 0 {
			mains += cordKey(r.cord)
		}
		if r.fuse > 0 {
			fuse = fuseKey(r.fuse)
		}
		d := plugged(t, r.set, mains, fuse)
		assert.Equal(t, r.want, d.Severity(r.id), "%+v", r)
		// What is given is what the parts list prints.
		assert.Equal(t, fmt.Sprintf("%g A", r.fuse), d.Listed("F1").Value)
		assert.True(t, d.Listed("F1").Given)
		if r.cord > 0 {
			assert.Contains(t, d.Listed("P1").Rating, fmt.Sprintf(", %g A", r.cord))
			assert.True(t, d.Listed("P1").Given)
		}
	}
}

// The fuse against the current it carries, and against the switch-on: a
// time-lag fuse melts at no less than (10·I)²·20 ms.
func TestFuseAgainstLoadAndInrush(t *testing.T) {
	full := plugged(t, "us", circuitKey(30), "").Value("supply.primary_current")
	for share, want := range map[float64]ledger.Verdict{0.999: ledger.ExceedsRating, 1.001: ledger.Thin, 1.249: ledger.Thin,
		1.251: ledger.Within} {
		assert.Equal(t, want, plugged(t, "us", circuitKey(30), fuseKey(share*full)).Verdict("F1", "current"), share)
	}
	d := plugged(t, "us", circuitKey(30), fuseKey(10))
	// The heat in R4 is its resistance times the current squared over the time.
	action := d.Value("supply.step_start_energy") / d.Value("supply.step_start_resistance")
	assert.InEpsilon(t, action, d.Value("supply.inrush_action"), 1e-9)
	assert.InEpsilon(t, 200, d.Value("supply.mains_fuse_action"), 1e-9)
	for _, c := range []struct {
		fuse float64
		want ledger.Verdict
	}{{0.99, ledger.ExceedsRating}, {1.01, ledger.Within}} {
		fuse := c.fuse * math.Sqrt(action/2) // 2 s · I² = action
		assert.Equal(t, c.want, plugged(t, "us", circuitKey(30), fuseKey(fuse)).Verdict("F1", "I²t"), "%g A", fuse)
	}
}

// No mains fuse: nothing of it is left, and its absence is a finding.
func TestNoMainsFuse(t *testing.T) {
	d := plugged(t, "us", circuitKey(20), "[protection.mains_fuse]\nfitted = false\n")
	assert.Equal(t, ledger.Exceeds, d.Severity("supply.no_mains_fuse"))
	for _, p := range setting.Plain(d.Book, "metric").Parts() {
		assert.NotEqual(t, "F1", p.Designator)
	}
	for _, r := range d.Ratings {
		assert.NotEqual(t, "F1", r.Part)
	}
	_, ok := d.Lookup("supply.mains_fuse_current")
	assert.False(t, ok)
	// Then the cord must stand what the breaker lets through.
	for cord, want := range map[float64]ledger.Verdict{19.9: ledger.ExceedsRating, 20: ledger.Within} {
		d := plugged(t, "us", circuitKey(20)+cordKey(cord), "[protection.mains_fuse]\nfitted = false\n")
		assert.Equal(t, want, d.Verdict("P1", "current"), cord)
	}
}

// Whatever is chosen for any load is a size that exists in the rule set, and
// no fuse is larger than its circuit or its cord.
func TestChosenSizesExist(t *testing.T) {
	for _, set := range rules.Names() {
		s, err := rules.Lookup(set)
		require.NoError(t, err)
		for _, amps := range []float64{0.1, 0.2, 0.3, 0.45, 0.65, 0.8, 1, 1.3, 1.7, 2} {
			text := fmt.Sprintf("[notebook]\nrules = %q\n", set) + desktest.Text("1000 W", "3-500Z", "2800 V", "80m")
			sp := desktest.Read(t, text)
			p, err := Prepare(sp, 2800, amps, 10)
			require.NoError(t, err)
			d, r, err := run(t, sp, p, amps, amps/4, amps*0.64)
			require.NoError(t, err)
			circuit, cord := d.Value("supply.circuit_rating"), d.Value("supply.cord_rating")
			assert.Contains(t, s.Mains.Ratings(), circuit)
			assert.Contains(t, s.Mains.Fuses, r.MainsFuse)
			assert.Contains(t, s.Mains.Cords, cord)
			assert.LessOrEqual(t, r.MainsFuse, circuit)
			assert.LessOrEqual(t, r.MainsFuse, cord)
			full := d.Value("supply.primary_current")
			assert.GreaterOrEqual(t, circuit, 1.25*full*(1-1e-9))
			for _, id := range []string{"supply.fuse_above_circuit", "supply.breaker_above_cord", "supply.circuit_size",
				"supply.mains_fuse_size", "supply.step_start_timeout", "supply.step_start_resistor", "supply.step_start_closing"} {
				assert.False(t, d.Found(id), "%s %g A: %s", set, amps, id)
			}
		}
	}
}

// The cover interlock that is not fitted is not bought; package metering says
// what its absence means.
func TestNoCoverInterlock(t *testing.T) {
	d := plugged(t, "us", "", "[protection.interlock]\nfitted = false\n")
	for _, p := range setting.Plain(d.Book, "metric").Parts() {
		assert.NotEqual(t, "S5", p.Designator)
	}
}

// A cord, or a circuit, that lets only a fuse below the current be bought: the
// fuse then does not do, and is not one to buy. By hand, with the current I: a
// cord of 10 A takes a fuse of 10 A; that is too little for 1.01 · 10 A and thin
// up to 8 A, four fifths of it.
func TestCordThatTakesTooSmallAFuse(t *testing.T) {
	full := plugged(t, "us", circuitKey(20), "").Value("supply.primary_current")
	for _, size := range []float64{5, 6, 8, 10, 12, 15} {
		d := plugged(t, "us", circuitKey(20)+cordKey(size), "")
		if d.Value("supply.mains_fuse_current") != size {
			continue // not a size that fuses are sold in
		}
		want := ledger.ToBuy
		switch {
		case full > size:
			want = ledger.ExceedsRating
		case 1.25*full > size:
			want = ledger.Thin
		}
		assert.Equal(t, want, d.Verdict("F1", "current"), "%g A for %g A", size, full)
	}
	d := plugged(t, "us", circuitKey(20), "")
	assert.Equal(t, ledger.ToBuy, d.Verdict("F1", "current"), "one of %g A can be bought", d.Value("supply.mains_fuse_current"))
}

// The wiring from the panel loses no more than a twentieth of the mains (US
// practice, feeder and branch together): on both sides, with the current at full output.
func TestMainsDrop(t *testing.T) {
	for _, ohms := range []float64{0.1, 0.3, 0.8, 0.9, 1, 1.1, 1.2, 1.5, 3, 5} {
		d := plugged(t, "us", fmt.Sprintf("resistance = \"%g ohm\"\n", ohms), "")
		drop := ohms * d.Value("supply.primary_current") / 240
		assert.Equal(t, drop > 0.05, d.Found("supply.mains_drop"), "%g ohm: %g", ohms, drop)
	}
	d := plugged(t, "us", "resistance = \"5 ohm\"\n", "")
	i := d.Value("supply.primary_current")
	assert.InEpsilon(t, 5*i, d.Value("supply.mains_drop"), 1e-9)
	assert.InEpsilon(t, 5*i*i, d.Value("supply.mains_drop_heat"), 1e-9)
}
