//go:build !race

package tube

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The searches for an operating point take nothing from the heap.
func TestSearchBudget(t *testing.T) {
	_, p := nominal(t)
	c, err := NewComplexLoad(someModel, 0, MatchedSource(p))
	require.NoError(t, err)
	k := 0.0
	for name, search := range map[string]func() error{
		"ForOutput":            func() error { _, err := ForOutput(someModel, 2500, 0, 600, 450); return err },
		"ForDriveWithLoad":     func() error { _, err := ForDriveWithLoad(someModel, 2500, 0, 40, 3450); return err },
		"At":                   func() error { _ = At(someModel, Conditions{2500, 0, 105, 2050}); return nil },
		"ComplexLoad.Solve":    func() error { k += 5; _, err := c.Solve(2500, complex(3000, 1000+k)); return err },
		"ComplexLoad.SolveFed": func() error { k += 5; _, err := c.SolveFed(Feed{2700, 300}, complex(3000, 1000+k)); return err },
	} {
		assert.Zero(t, testing.AllocsPerRun(20, func() { require.NoError(t, search()) }), name)
	}
}
