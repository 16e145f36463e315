//go:build !race

package compute

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec"
	"anodebook/templates"
)

// Budgets hold what the hot paths may take from the heap: some tens of percent
// above what they take, so that a new habit shows. The race detector
// allocates too, so CI runs them without it.

func starter(t *testing.T) *spec.Spec {
	src, err := templates.FS.ReadFile("starter.toml")
	require.NoError(t, err)
	s, err := spec.Read("starter.toml", src, Names())
	require.NoError(t, err)
	return s
}

func TestEvaluationBudget(t *testing.T) {
	s := starter(t)
	run := func() {
		_, err := Run(s)
		require.NoError(t, err)
	}
	assert.LessOrEqual(t, testing.AllocsPerRun(5, run), 7500.0)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	run()
	runtime.ReadMemStats(&after)
	assert.LessOrEqual(t, after.TotalAlloc-before.TotalAlloc, uint64(1_080_000), "bytes")

	c := coupled(t, "bridge", 2300, 25, "")
	assert.LessOrEqual(t, testing.AllocsPerRun(5, func() {
		_, err := closeLoop(c)
		require.NoError(t, err)
	}), 1100.0, "supply, tubes and tanks together")
}

func TestTuneUpBudget(t *testing.T) {
	d, err := Run(starter(t))
	require.NoError(t, err)
	groups := d.TuneUp()
	require.NotEmpty(t, groups)
	assert.LessOrEqual(t, testing.AllocsPerRun(1, func() {
		g := groups[0]
		g.solve()
		require.NoError(t, g.Err)
	}), 150.0)
}
