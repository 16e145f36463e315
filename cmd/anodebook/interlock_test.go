package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"

	"anodebook/spec/testhelp"
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
	testhelp.Contains(t, fitted["parts.csv"], "S5")
	for name, text := range without {
		testhelp.MatchesNot(t, `\bS5\b`, text, name)
		testhelp.MatchesNot(t, `(?i)interlocks? (in force|work|on every cover)`, text, name)
	}
	testhelp.Contains(t, without["report.md"], "No interlock switch is fitted")
	testhelp.Contains(t, without["report.md"], "This design has no interlock")
	testhelp.Contains(t, without["bench.md"], "no interlock watches them")
	testhelp.Lacks(t, fitted["report.md"], "No interlock switch is fitted")
	testhelp.Contains(t, fitted["report.md"], "Interlocks on every cover open the primary")
	testhelp.Contains(t, fitted["bench.md"], "interlocks in force")
}
