package clearance

import (
	"testing"

	"github.com/stretchr/testify/require"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/spec"
)

// BenchmarkSolve is all nodes of one amplifier.
func BenchmarkSolve(b *testing.B) {
	s := &spec.Spec{}
	s.Clearance.Material.Value = "III"
	for b.Loop() {
		d := desk.New(s)
		q := func(name string) *ledger.Quantity { return d.Catalogue("test."+name, name, volts[name], "V", "test") }
		_, err := Solve(d, Input{
			Highest: q("highest"), HighMains: q("high"), RadioPeak: q("radio"), Reverse: q("reverse"), Antenna: q("antenna"),
			CathodeOpen: q("open"), CathodeDrive: q("drive"), Rail: q("rail"), MainsVoltage: q("mains"),
			MainsTolerance: d.Catalogue("test.tolerance", "tolerance", 0.05, "%", "test"), Altitude: d.Catalogue("test.altitude", "altitude", 0, "m", "test"),
		})
		require.NoError(b, err)
	}
}
