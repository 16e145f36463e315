package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestNoInterlock: a cover switch that is not fitted is not bought, drawn or
// relied on anywhere, and its absence exceeds; one that is fitted, or of which
// nothing is said, changes nothing.
func TestNoInterlock(t *testing.T) {
	notebook := func(keys string) map[string]string {
		dir := filepath.Join(t.TempDir(), "out")
		code, _, stderr := program(keysOf(glassPair, keys), "write", "-", "-o", dir, "--form", "article,bench")
		assert.Equal(t, 0, code, stderr)
		return visibleFiles(t, dir)
	}
	silent := notebook(`notebook.lengths = "metric"`)
	fitted := notebook(`notebook.lengths = "metric"; protection.interlock.fitted = true`)
	without := notebook(`notebook.lengths = "metric"; protection.interlock.fitted = false`)
	assert.Equal(t, silent["parts.csv"], fitted["parts.csv"])
	assert.Contains(t, fitted["parts.csv"], "S5")
	for name, text := range without {
		assert.NotRegexp(t, `\bS5\b`, text, name)
		assert.NotRegexp(t, `(?i)interlocks? (in force|work|on every cover)`, text, name)
	}
	assert.Contains(t, without["report.md"], "No interlock switch is fitted")
	assert.Contains(t, without["report.md"], "This design has no interlock")
	assert.Contains(t, without["bench.md"], "no interlock watches them")
	assert.NotContains(t, fitted["report.md"], "No interlock switch is fitted")
	assert.Contains(t, fitted["report.md"], "Interlocks on every cover open the primary")
	assert.Contains(t, fitted["bench.md"], "interlocks in force")
}
