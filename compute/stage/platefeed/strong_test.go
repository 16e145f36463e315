package platefeed

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
)

// Leaving the fuse out hides no flash-over: 3200 V through 5 Ω are 640 A, with
// the fuse and without it; through 14 Ω 229 A.
func TestStrongFlashOverWithoutFuse(t *testing.T) {
	for _, fuse := range []string{"", "[protection.hv_fuse]\nfitted = false\n"} {
		d, _ := solve(t, "[plate_feed.glitch_resistor]\nresistance = \"1 ohm\"\n"+fuse)
		require.Equal(t, ledger.Caution, d.Severity("plate_feed.fault_current"), fuse)
		f := d.Finding("plate_feed.fault_current")
		assert.Contains(t, f.Text, "640 A", fuse)
		assert.Equal(t, fuse == "", strings.Contains(f.Text, "fuse"), "no fuse is named that is not there: %s", f.Text)
		d, _ = solve(t, fuse)
		assert.False(t, d.Found("plate_feed.fault_current"), fuse)
	}
}

// Both findings of a missing glitch resistor ask for the same ohms, and these
// keep the flash-over below 500 A: 3200 V / 500 A = 6.4 Ω, of which the bank
// has 4; the usual 10 Ω are more than the 2.4 that are missing.
func TestOneAdviceForTheGlitchResistor(t *testing.T) {
	for _, more := range []string{"resistance = \"0 ohm\"\n", "fitted = false\n", "resistance = \"1 ohm\"\n"} {
		d, _ := solve(t, "[plate_feed.glitch_resistor]\n"+more)
		assert.Contains(t, d.Finding("plate_feed.fault_current").Advice, "10.0 Ω or more", more)
		if d.Found("plate_feed.glitch") {
			assert.Contains(t, d.Finding("plate_feed.glitch").Advice, "10.0 Ω or more", more)
		}
	}
}

// The current that follows from the transformer alone: 3.9 A through a fuse of
// 1 A that melts at 10 A²s takes 10/3.9² = 0.657 s of an empty bank, and is
// below four times its rating; 4.1 A is above, and the bank melts the fuse by
// itself (20e-6 · 3200²/14 = 14.6 A²s). A fuse that is already the least one is
// not to be replaced by itself.
func TestFuseThatOpensLate(t *testing.T) {
	for follow, late := range map[float64]bool{3.9: true, 4.1: false} {
		d := desktest.New(t, text(""))
		in := input(t, d)
		in.Follow = d.Figure("supply.weak_follow", "A", follow)
		_, err := Solve(d.Desk, in)
		require.NoError(t, err)
		require.Equal(t, late, d.Found("plate_feed.fuse"), follow)
		if late {
			f := d.Finding("plate_feed.fuse")
			assert.NotContains(t, f.Text, " 0 s")
			assert.Contains(t, f.Text, "657 ms", "10/3.9²")
			assert.NotContains(t, f.Advice, "smaller", "1.5 · 0.6 A = 0.9 A: 1 A is the least that is sold")
		}
	}
	// A fuse of 5 A can be replaced by one of 1 A: (10 · 25 - 14.63)/40² = 147 ms.
	d, _ := solve(t, "[protection.hv_fuse]\ncurrent = \"5 A\"\n")
	f := d.Finding("plate_feed.fuse")
	assert.InEpsilon(t, (250-20e-6*3200*3200/14)/1600, d.Value("plate_feed.fuse_melting_time"), 1e-9)
	assert.Contains(t, f.Text, "147 ms")
	assert.Contains(t, f.Advice, "1.00 A")
}

// A hair above the greatest resistance the voltage left rounds to the limit:
// the sentence then gives the resistance, 120 V over 3200 V / 14 Ω are 525 mΩ.
func TestSafetyChokeAtItsLimit(t *testing.T) {
	d, _ := solve(t, "[plate_feed.safety_choke]\nresistance = \"0.545 ohm\"\n")
	f := d.Finding("plate_feed.safety_choke_fault")
	assert.Equal(t, ledger.Exceeds, f.Severity)
	assert.Contains(t, f.Text, "525 mΩ")
	assert.NotContains(t, f.Text, "at most 120 V may")
	d, _ = solve(t, "[plate_feed.safety_choke]\nresistance = \"0.52 ohm\"\n")
	assert.Equal(t, ledger.Note, d.Severity("plate_feed.safety_choke_fault"))
}
