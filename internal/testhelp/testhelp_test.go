package testhelp

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// heard is a test that fails to a string.
type heard struct {
	testing.TB
	said string
}

func (h *heard) Helper()                       {}
func (h *heard) Errorf(form string, of ...any) { h.said += fmt.Sprintf(form, of...) }

// A failure is told in three lines and no more than some hundred letters,
// however long the text.
func TestFailuresAreShort(t *testing.T) {
	text := strings.Repeat("a line of the report that has nothing to say\n", 2000) + "wait 60 s once more, then the stick\n"
	for name, fail := range map[string]func(testing.TB) bool{
		"wait 60 s once and":        func(t testing.TB) bool { return Contains(t, text, "wait 60 s once and for all", "%s", "starter") },
		"line 2001":                 func(t testing.TB) bool { return Lacks(t, text, "the stick") },
		"nothing in the text":       func(t testing.TB) bool { return Matches(t, "wait [a-z]+ s", text) },
		`in the text is what "60 s`: func(t testing.TB) bool { return MatchesNot(t, "60 s", text) },
		"first in line 2001":        func(t testing.TB) bool { return Same(t, text, strings.Replace(text, "60 s", "90 s", 1)) },
	} {
		h := &heard{TB: t}
		assert.False(t, fail(h))
		assert.Contains(t, h.said, name)
		assert.Less(t, len(h.said), 1000)
		assert.LessOrEqual(t, strings.Count(h.said, "\n"), 2)
	}
	h := &heard{TB: t}
	assert.True(t, Contains(h, text, "60 s once") && Lacks(h, text, "90 s") && Matches(h, "wait [0-9]+ s", text) && MatchesNot(h, "90", text) && Same(h, text, text))
	assert.True(t, Contains(h, []string{"a"}, "a") && Lacks(h, map[string]int{"a": 1}, "b") && Contains(h, "short", "or"))
	assert.Empty(t, h.said)
}
