package report

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

var termRow = regexp.MustCompile(`(?m)^\| ([^|]+) \| ([^|]+) \|$`)

// TestGlossary holds every term to one plain sentence that does not explain
// the word by itself, and to being used: a word that no example's report says
// has no business in the list.
func TestGlossary(t *testing.T) {
	list, err := glossary()
	require.NoError(t, err)
	require.Greater(t, len(list), 50)
	unused := map[string]bool{}
	for _, e := range list {
		unused[e.word] = true
		testhelp.Matches(t, `^[A-Z].*\.$`, e.meaning, e.word)
		testhelp.Lacks(t, strings.TrimSuffix(e.meaning, "."), ". ", "%s: one sentence", e.word)
		assert.Less(t, len(e.meaning), 170, e.word)
		assert.False(t, strings.HasPrefix(strings.ToLower(e.meaning), "the "+strings.ToLower(e.word)), "%s explains itself", e.word)
		testhelp.Lacks(t, e.meaning, "|", e.word)
	}
	for name, d := range testhelp.Some(designs(t), 4) {
		doc, err := built(d)
		require.NoError(t, err)
		before, after, ok := strings.Cut(string(doc.Markdown), "\n## Terms\n")
		require.True(t, ok, name)
		section, _, ok := strings.Cut(after, "\n## Symbols\n")
		require.True(t, ok, "%s: the terms stand before the symbols", name)
		rows := termRow.FindAllStringSubmatch(section, -1)
		require.Greater(t, len(rows), 40, name)
		for _, r := range rows[1:] {
			delete(unused, r[1])
			assert.True(t, strings.Contains(strings.ToLower(before), strings.ToLower(r[1])), "%s: %s is not in the text", name, r[1])
		}
	}
	if testhelp.Long() {
		assert.Empty(t, unused, "no example's report says these words")
	}
}

func TestSays(t *testing.T) {
	for text, want := range map[string]bool{
		"the tank is": true, "tanks": true, "tank": true, "(tank)": true, "[tank](#x)": true,
		"outank": false, "[x](#tank)": false, "tank_": true, "x_tank": false, "": false, "water tan": false, "outank and tank": true,
	} {
		assert.Equal(t, want, says(text, "tank"), text)
	}
}
