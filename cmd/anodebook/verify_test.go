package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/compute/reference"
	"anodebook/spec/testhelp"
)

func verify(t *testing.T, args ...string) (code int, out string) {
	t.Helper()
	var stdout, stderr strings.Builder
	code = run(append([]string{"verify"}, args...), strings.NewReader(""), &stdout, &stderr)
	if code != exitError {
		assert.Empty(t, stderr.String())
		return code, stdout.String()
	}
	return code, stderr.String()
}

func TestVerify(t *testing.T) {
	code, out := verify(t)
	assert.Equal(t, exitGood, code)
	testhelp.Lacks(t, out, "OUT")
	testhelp.Lacks(t, out, "\t")
	testhelp.Lacks(t, out, "\x1b")
	for _, r := range reference.All() {
		assert.Equal(t, 1, strings.Count(out, "  "+r.ID+" "), r.ID)
		testhelp.Contains(t, out, r.Source)
	}
	testhelp.Contains(t, out, fmt.Sprintf("%d checks: %[1]d hold, 0 out of tolerance;", len(reference.All())))
	for _, name := range tube.Types() {
		testhelp.Contains(t, out, "\n  "+name+" ")
	}
}

func TestVerifyMarkdown(t *testing.T) {
	code, out := verify(t, "--markdown")
	assert.Equal(t, exitGood, code)
	assert.True(t, strings.HasPrefix(out, "# Published figures against the program\n"))
	columns := 0
	for _, line := range strings.Split(out, "\n") {
		if !strings.HasPrefix(line, "|") {
			columns = 0
			continue
		}
		n := strings.Count(strings.ReplaceAll(line, `\|`, ""), "|")
		if columns == 0 {
			columns = n
		}
		assert.Equal(t, columns, n, line)
	}
	for _, r := range reference.All() {
		testhelp.Contains(t, out, "| "+markdownText(r.ID)+" |")
	}
}

func TestVerifyTakesNoArguments(t *testing.T) {
	code, out := verify(t, "3-500Z")
	assert.Equal(t, exitError, code)
	testhelp.Contains(t, out, "verify: takes no arguments")
}

// A check that falls out is named in the table and in the summary.
func TestVerifyNamesWhatFallsOut(t *testing.T) {
	good := reference.Result{ID: "a.b", Subject: "S", What: "good | one", Computed: 100, Published: 100, Unit: "W", Tolerance: 0.01,
		Relative: true, Why: "rounding", Source: "Book", Known: ledger.Published}
	bad := good
	bad.ID, bad.What, bad.Computed, bad.Known = "a.c", "bad one", 110, ledger.FromMemory
	l := verification([]reference.Result{good, bad}, nil)
	var b strings.Builder
	require.NoError(t, l.write(&b, false))
	out := b.String()
	testhelp.Contains(t, out, "2 checks: 1 hold, 1 out of tolerance; 1 published, 1 from memory.")
	testhelp.Contains(t, out, "OUT: a.c: bad one")
	testhelp.Matches(t, `a\.b .* \[1\] +ok`, out)
	testhelp.Matches(t, `a\.c .* \+10 % +±1\.0 % +from memory +\[2\] +OUT`, out)
	assert.Equal(t, 1, strings.Count(out, "Tolerance: rounding."))
	b.Reset()
	require.NoError(t, l.write(&b, true))
	testhelp.Contains(t, b.String(), `good \| one`)
}

// What the models miss is said with the reason; what they predict unseen
// stands there for every type with two columns.
func TestVerifyShowsWhatTheModelsMiss(t *testing.T) {
	_, out := verify(t)
	_, missed, ok := strings.Cut(out, "Where a model misses its aim, and why")
	require.True(t, ok)
	for _, r := range []string{"8877", "3-400Z"} {
		testhelp.Matches(t, `(?m)^  `+r+` .*(imply a fundamental of|times the plate current)`, missed)
	}
	_, left, ok := strings.Cut(out, "Columns left out and predicted by the others")
	require.True(t, ok)
	for _, x := range tube.All() {
		if x.Family == "" && len(x.Columns) > 1 {
			testhelp.Matches(t, `(?m)^  `+x.Name+` .*left out`, left)
		}
	}
	parts, err := fitParts()
	require.NoError(t, err)
	assert.Len(t, parts, 4)
}
