package reference

import (
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/spec/quantity"
)

func TestEveryCheckHolds(t *testing.T) {
	results := RunAll()
	require.GreaterOrEqual(t, len(results), 150)
	for _, r := range results {
		assert.True(t, r.Holds(), "%s (%s): computed %s, published %s, deviation %s, tolerance %s",
			r.ID, r.What, r.ComputedText(), r.PublishedText(), r.DeviationText(), r.ToleranceText())
	}
}

func TestRowsAreComplete(t *testing.T) {
	seen := map[string]bool{}
	used := map[string]bool{}
	marks := []ledger.Known{ledger.Published, ledger.Recomputed, ledger.Transcribed(1).Grade(), ledger.FromMemory,
		ledger.CommonPractice}
	for _, r := range All() {
		assert.False(t, seen[r.ID], "%s twice", r.ID)
		seen[r.ID] = true
		used[r.Function] = true
		for _, text := range []string{r.ID, r.Subject, r.What, r.Why, r.Source, r.Reference} {
			assert.NotEmpty(t, text, r.ID)
			assert.NotContains(t, text, "{", "a placeholder is left")
		}
		assert.Equal(t, strings.ToLower(r.ID), r.ID)
		assert.NotContains(t, r.ID, " ")
		assert.Contains(t, marks, r.Known.Grade(), r.ID)
		assert.NotEmpty(t, r.Stages, r.ID)
		assert.False(t, math.IsNaN(r.Published) || math.IsInf(r.Published, 0), r.ID)
		if r.Relative {
			assert.NotZero(t, r.Published, "%s: a fraction of nothing", r.ID)
			assert.Less(t, r.Tolerance, 0.5, r.ID)
		}
		_, ok := quantity.LookupUnit(r.Unit)
		assert.True(t, ok, "%s: unit %q", r.ID, r.Unit)
	}
	for name := range functions {
		assert.True(t, used[name], "no check uses %s", name)
	}
}

// A check that cannot fail proves nothing: three tolerances off, every one
// fails, and so does one that the code cannot answer.
func TestEveryCheckCanFail(t *testing.T) {
	for _, r := range RunAll() {
		step := 3 * r.Tolerance
		if r.Relative {
			step *= math.Abs(r.Published)
		}
		if step == 0 { // exact
			step = 1e-9 * math.Abs(r.Published)
		}
		for _, sign := range []float64{-1, 1} {
			off := r
			off.Computed += sign * step
			assert.False(t, off.Holds(), "%s %+g", r.ID, sign*step)
		}
		off := r
		off.Computed = math.NaN()
		assert.False(t, off.Holds())
		off = r
		off.Err = assert.AnError
		assert.False(t, off.Holds())
	}
}

// The evaluators answer to their inputs: of those that have any, each gives
// another figure (or an error) when they are moved one after the other.
func TestEvaluatorsUseTheirInputs(t *testing.T) {
	still := map[string]bool{}
	for _, r := range All() {
		if r.TubeType != "" || len(r.Inputs) == 0 {
			continue
		}
		if _, seen := still[r.Function]; !seen {
			still[r.Function] = true
		}
		for i := range r.Inputs {
			v := r.Inputs[i].Value
			for _, to := range []float64{1.7*v + 1, 10 * v, -v} {
				moved := r
				moved.Inputs = slices.Clone(r.Inputs)
				moved.Inputs[i].Value = to
				if answers(r, moved) {
					still[r.Function] = false
				}
			}
		}
	}
	// defaults of the program, whatever the design
	delete(still, "metering.multiplier")
	delete(still, "metering.multiplier_limit")
	for name, s := range still {
		assert.False(t, s, "%s answers the same to every input", name)
	}
}

// run does one check.
func run(row Row) Result { return (&session{}).run(row) }

// answers reports whether the moved row gives another figure, or is refused.
func answers(row, moved Row) (differs bool) {
	defer func() {
		if recover() != nil { // a stage that no design would give such inputs
			differs = true
		}
	}()
	a, b := run(row), run(moved)
	return b.Err != nil || a.Computed != b.Computed
}

// What is read for a report is what is marked in the whole.
func TestReportedIsOfTheWhole(t *testing.T) {
	all := slices.DeleteFunc(slices.Clone(load()), func(r Row) bool { return !r.Report })
	require.NotEmpty(t, all)
	assert.Equal(t, all, reported())
}

func TestTouching(t *testing.T) {
	report := 0
	for _, r := range load() {
		if r.Report {
			report++
		}
	}
	assert.LessOrEqual(t, report, 40)
	for _, name := range tube.Types() {
		typ, _ := tube.Lookup(name)
		results := Touching(name)
		firm := 0
		for _, r := range results {
			assert.True(t, r.Holds(), r.ID)
			if r.Subject == tubeSubject {
				firm++
			}
		}
		assert.Equal(t, report+firm, len(results))
		if _, ok := typ.WorstError("output"); ok {
			assert.Positive(t, firm, name)
		}
	}
	assert.Len(t, Touching("no such tube"), report)
	// a type that shares another's columns shows those
	assert.Equal(t, len(Touching("8873")), len(Touching("8874")))
}

func TestTexts(t *testing.T) {
	r := Result{Computed: 1.02e-9, Published: 1e-9, Unit: "F", Tolerance: 0.05, Relative: true, digits: 4}
	assert.Equal(t, "1.020 nF", r.ComputedText())
	assert.Equal(t, "1.000 nF", r.PublishedText())
	assert.Equal(t, "+2.0 %", r.DeviationText())
	assert.Equal(t, "±5.0 %", r.ToleranceText())
	r = Result{Computed: 0.9997, Published: 1, Tolerance: 0.001, digits: 4}
	assert.Equal(t, "-0.0003", r.DeviationText())
	assert.Equal(t, "±0.0010", r.ToleranceText())
	assert.Equal(t, "exact", Result{}.ToleranceText())
	assert.Equal(t, "no such thing", Result{Err: errText("no such thing")}.DeviationText())
}

type errText string

func (e errText) Error() string { return string(e) }

// What a file must not say.
func TestBadTables(t *testing.T) {
	good := `subject = "s"
[[table]]
row = "1"
id = "a.{flow}"
what = "w"
source = "s"
known = "published"
why = "y"
tolerance = 0.1
function = "fourier.linear_efficiency"
inputs = ["flow °"]
rows = [[180, 0.7854]]
`
	for _, c := range []struct{ old, new, want string }{
		{"", "", ""},
		{`"published"`, `"hearsay"`, "unknown mark"},
		{"fourier.linear_efficiency", "fourier.nothing", "unknown function"},
		{"tolerance = 0.1\n", "", "either tolerance or within"},
		{"tolerance = 0.1\n", "tolerance = 0.1\nwithin = 1.0\n", "either tolerance or within"},
		{"[[180, 0.7854]]", "[[180]]", "has 1 numbers, not 2"},
		{"[[180, 0.7854]]", "[[180, true]]", "not a number"},
		{"flow °", "flow furlong", "unknown unit"},
		{`inputs`, `given = ["p x"]` + "\ninputs", "given"},
		{`why`, "colour = 1\nwhy", "unknown key"},
		{`subject = "s"`, "subject = \"s\"\nreport = [\"b\"]", "no check of the file"},
	} {
		text := strings.Replace(good, c.old, c.new, 1)
		rows, err := readAll(fstest.MapFS{"checks/x.toml": {Data: []byte(text)}}, whole)
		if c.want == "" {
			require.NoError(t, err)
			require.Len(t, rows, 1)
			assert.Equal(t, "a.180", rows[0].ID)
			assert.True(t, run(rows[0]).Holds())
			continue
		}
		assert.ErrorContains(t, err, c.want)
	}
}

func BenchmarkTouching(b *testing.B) {
	for b.Loop() {
		if len(Touching("3-500Z")) == 0 {
			b.Fatal("no checks")
		}
	}
}

func BenchmarkRunAll(b *testing.B) {
	for b.Loop() {
		RunAll()
	}
}
