package main

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/ledger"
	"anodebook/compute/reference"
)

// The committed page of published figures is what verify prints today.
func TestChecksPage(t *testing.T) {
	path := filepath.Join(root, "compute", "reference", "CHECKS.md")
	code, out := verify(t, "--markdown")
	require.Equal(t, exitGood, code)
	if *update {
		put(t, path, out)
	}
	have, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.True(t, string(have) == out,
		"%s is not what anodebook verify --markdown prints; see what moved, then: go test ./cmd/anodebook -run ChecksPage -update",
		path)
	assert.GreaterOrEqual(t, len(reference.All()), 200)
}

// Every stage that computes anything in the examples is held by at least three
// published figures of at least two sources, and every stage that a check
// names is one. Output and protection are computed in the stages of tubes and
// metering, and stand in their sections; the rows of the tune-up are the tubes
// at less drive.
func TestEveryStageHasChecks(t *testing.T) {
	within := map[string]string{"antenna": "tubes", "protection": "metering", "tune_up": "tubes"}
	stages := map[string]bool{}
	specs, err := filepath.Glob(filepath.Join(root, "examples", "*.toml"))
	require.NoError(t, err)
	for _, path := range specs {
		design, err := (&environment{}).design(path)
		require.NoError(t, err, path)
		for _, q := range design.Book.Quantities() {
			if q.From != ledger.FromComputed {
				continue
			}
			stage, _, _ := strings.Cut(q.ID, ".")
			if other := within[stage]; other != "" {
				stage = other
			}
			stages[stage] = true
		}
	}
	require.GreaterOrEqual(t, len(stages), 15)
	rows, sources := map[string]int{}, map[string]map[string]bool{}
	for _, r := range reference.All() {
		for _, s := range r.Stages {
			assert.True(t, stages[s], "%s concerns %q, which is no stage", r.ID, s)
			rows[s]++
			if sources[s] == nil {
				sources[s] = map[string]bool{}
			}
			sources[s][r.Source] = true
		}
	}
	for _, s := range slices.Sorted(maps.Keys(stages)) {
		assert.GreaterOrEqual(t, rows[s], 3, "%s has too few published figures", s)
		assert.GreaterOrEqual(t, len(sources[s]), 2, "%s rests on one source alone", s)
	}
}
