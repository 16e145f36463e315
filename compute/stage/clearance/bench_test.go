package clearance

import (
	"testing"

	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/spec"
)

// BenchmarkSolve is all nodes of one amplifier.
func BenchmarkSolve(b *testing.B) {
	s := &spec.Spec{}
	s.Clearance.Material.Value = "III"
	for b.Loop() {
		d := desktest.On(b, s)
		_, err := Solve(d.Desk, input(d, 0, nil))
		require.NoError(b, err)
	}
}
