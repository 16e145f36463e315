// Package testhelp is what tests of all packages share: how many trials to
// make, and failures that are told in a line or two.
package testhelp

import (
	"flag"
	"fmt"
	"maps"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Long says whether the environment asks for the long form of the tests,
// LONG=1, as .ci/run does. The short form keeps a sample of each.
func Long() bool { return os.Getenv("LONG") != "" }

// Trials is how many trials to make: few, or in the long form all.
func Trials(few, all int) int {
	if Long() {
		return all
	}
	return few
}

// Sample is few of a list, the first among them, evenly spread; in the long form
// it is all of it.
func Sample[T any](list []T, few int) []T {
	if Long() || few >= len(list) {
		return list
	}
	var out []T
	for i := range few {
		out = append(out, list[i*len(list)/few])
	}
	return out
}

// Some is few of the cases of a map, evenly spread over their names; in the long
// form it is all of them.
func Some[T any](cases map[string]T, few int) map[string]T {
	out := map[string]T{}
	for _, name := range Sample(slices.Sorted(maps.Keys(cases)), few) {
		out[name] = cases[name]
	}
	return out
}

// Seeds lets a fuzz target that is dear pass over what lies in testdata/fuzz
// after so many inputs; not in the long form, nor where fuzzing is asked for.
func Seeds(few int) (pass func() bool) {
	if f := flag.Lookup("test.fuzz"); Long() || f != nil && f.Value.String() != "" {
		return func() bool { return false }
	}
	var tried atomic.Int64
	return func() bool { return tried.Add(1) > int64(few) }
}

// told is the longest text that a failure shows whole.
const told = 300

// Contains asserts as assert.Contains does; of a long text it shows only what
// comes nearest.
func Contains(t testing.TB, text, part any, message ...any) bool {
	t.Helper()
	s, p, long := both(text, part)
	if !long {
		return assert.Contains(t, text, part, message...)
	}
	if strings.Contains(s, p) {
		return true
	}
	t.Errorf("%snot in the text (%d lines): %q\n\tnearest: %q", prefix(message), strings.Count(s, "\n")+1, p, nearest(s, p))
	return false
}

// Lacks asserts as assert.NotContains does; of a long text it shows only the
// line.
func Lacks(t testing.TB, text, part any, message ...any) bool {
	t.Helper()
	s, p, long := both(text, part)
	if !long {
		return assert.NotContains(t, text, part, message...)
	}
	at := strings.Index(s, p)
	if at < 0 {
		return true
	}
	t.Errorf("%sin the text: %q\n\tline %d: %q", prefix(message), p, strings.Count(s[:at], "\n")+1, around(s, at, at+len(p)))
	return false
}

// Matches asserts as assert.Regexp does, without showing a long text.
func Matches(t testing.TB, pattern, text any, message ...any) bool {
	t.Helper()
	s, ok := text.(string)
	if !ok || len(s) <= told {
		return assert.Regexp(t, pattern, text, message...)
	}
	if compiled(pattern).MatchString(s) {
		return true
	}
	t.Errorf("%snothing in the text (%d lines) matches %q", prefix(message), strings.Count(s, "\n")+1, fmt.Sprint(pattern))
	return false
}

// MatchesNot asserts as assert.NotRegexp does; of a long text it shows only the
// match.
func MatchesNot(t testing.TB, pattern, text any, message ...any) bool {
	t.Helper()
	s, ok := text.(string)
	if !ok || len(s) <= told {
		return assert.NotRegexp(t, pattern, text, message...)
	}
	at := compiled(pattern).FindStringIndex(s)
	if at == nil {
		return true
	}
	t.Errorf("%sin the text is what %q matches\n\tline %d: %q", prefix(message), fmt.Sprint(pattern), strings.Count(s[:at[0]], "\n")+1,
		around(s, at[0], at[1]))
	return false
}

// Same asserts that two texts are equal and shows the first line that differs.
func Same(t testing.TB, want, got string, message ...any) bool {
	t.Helper()
	if want == got {
		return true
	}
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	line := func(lines []string) string {
		if i < len(lines) {
			return fmt.Sprintf("%q", short(lines[i]))
		}
		return "(the end)"
	}
	t.Errorf("%sthe texts differ first in line %d\n\twant: %s\n\tgot:  %s", prefix(message), i+1, line(a), line(b))
	return false
}

func both(text, part any) (s, p string, long bool) {
	v := reflect.ValueOf(text)
	if v.Kind() != reflect.String || v.Len() <= told {
		return "", "", false
	}
	w := reflect.ValueOf(part)
	if w.Kind() != reflect.String {
		return "", "", false
	}
	return v.String(), w.String(), true
}

func compiled(pattern any) *regexp.Regexp {
	if re, ok := pattern.(*regexp.Regexp); ok {
		return re
	}
	return regexp.MustCompile(fmt.Sprint(pattern))
}

func prefix(message []any) string {
	switch {
	case len(message) == 0:
		return ""
	case len(message) == 1:
		return short(fmt.Sprint(message[0])) + ": "
	}
	return short(fmt.Sprintf(fmt.Sprint(message[0]), message[1:]...)) + ": "
}

// nearest is the place where the longest beginning of part stands.
func nearest(text, part string) string {
	at := -1
	low, high := 0, len(part)
	for low < high {
		n := (low + high + 1) / 2
		if i := strings.Index(text, part[:n]); i >= 0 {
			at, low = i, n
		} else {
			high = n - 1
		}
	}
	if at < 0 {
		return "nothing like it"
	}
	return around(text, at, at+len(part))
}

// around is what stands in the line about text[from:to].
func around(text string, from, to int) string {
	to = min(to, len(text))
	begin := strings.LastIndexByte(text[:from], '\n') + 1
	end := len(text)
	if i := strings.IndexByte(text[to:], '\n'); i >= 0 {
		end = to + i
	}
	return short(text[max(begin, from-60):min(end, to+60)])
}

func short(s string) string {
	if len(s) <= told {
		return strings.ToValidUTF8(s, "")
	}
	return strings.ToValidUTF8(s[:told], "") + " …"
}
