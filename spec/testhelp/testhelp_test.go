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
		"wait 60 s once and": func(t testing.TB) bool {
			return Contains(t, text, "wait 60 s once and for all", "%s",
				"starter")
		},
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
	assert.True(t, Contains(h, text, "60 s once") && Lacks(h, text, "90 s") && Matches(h, "wait [0-9]+ s", text) &&
		MatchesNot(h, "90", text) && Same(h, text, text))
	assert.True(t, Contains(h, []string{"a"}, "a") && Lacks(h, map[string]int{"a": 1}, "b") && Contains(h, "short", "or"))
	assert.Empty(t, h.said)
}

// A sample has the first of the list and is spread over it; LONG asks for all.
func TestSamples(t *testing.T) {
	list := []int{1, 2, 3, 4, 5, 6, 7, 8, 9}
	t.Setenv("LONG", "")
	assert.Equal(t, []int{1, 4, 7}, Sample(list, 3))
	assert.Equal(t, list, Sample(list, 20))
	assert.Equal(t, map[string]int{"a": 1, "c": 3}, Some(map[string]int{"a": 1, "b": 2, "c": 3, "d": 4}, 2))
	assert.Equal(t, 5, Trials(5, 50))
	t.Setenv("LONG", "1")
	assert.Equal(t, list, Sample(list, 3))
	assert.Len(t, Some(map[string]int{"a": 1, "b": 2, "c": 3, "d": 4}, 2), 4)
	assert.Equal(t, 50, Trials(5, 50))
}
