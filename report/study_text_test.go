package report

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A long cell goes on below, in its column; a word too long for a line stays
// whole.
func TestStudyText(t *testing.T) {
	s := Study{Title: "One", Said: []string{strings.Repeat("word ", 60)}, Tables: []StudyTable{{
		Title: "Parts", Head: []string{"part", "why", "known"},
		Rows: [][]string{
			{"a", "winding and meter", "derived"},
			{"bb", "copper gains 10 % of resistance for 25 K, and ohmmeters are weak below an ohm", "published"},
			{"c", strings.Repeat("x", 50), "measured"},
		},
	}}}
	var b strings.Builder
	require.NoError(t, s.Text(&b))
	for _, line := range strings.Split(b.String(), "\n")[1:4] {
		assert.LessOrEqual(t, utf8.RuneCountInString(line), 100)
		assert.NotEmpty(t, line)
	}
	_, table, _ := strings.Cut(b.String(), "Parts\n")
	wide := strings.Repeat(" ", 50)
	pad := func(s string) string { return (s + wide)[:50] }
	assert.Equal(t, strings.Join([]string{
		"  part  " + pad("why") + "  known",
		"  a     " + pad("winding and meter") + "  derived",
		"  bb    " + pad("copper gains 10 % of resistance for") + "  published",
		"        " + "25 K, and ohmmeters are weak below",
		"        " + "an ohm",
		"  c     " + strings.Repeat("x", 50) + "  measured",
		"",
	}, "\n"), table)
}
