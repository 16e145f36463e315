package ledger

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var ohm = MustFormula("R = V / I", laws, "R [Ω] resistance", "V [V] voltage", "I [A] current")

func TestBookKeepsOriginsAndOrder(t *testing.T) {
	b := NewBook()
	v := b.Spec("supply.plate_voltage", "plate voltage", 2800, "V", "my.toml:7")
	i := b.Assume("tubes.plate_current", "plate current", 0.7, "A", "tubes.current", Say("common practice"))
	c := b.Catalogue("tubes.mu", "amplification factor", 160, "", "data sheet")
	r := b.Compute("tubes.load", "load", ohm, With{"V": v, "I": i})
	s := b.Solved("tubes.swing", "swing", 2300, "V", Method{Words: Say("A root search."), Source: laws}, v, c)
	assert.Equal(t, []*Quantity{v, i, c, r, s}, b.Quantities())
	assert.Equal(t, []Origin{FromSpec, FromAssumed, FromCatalogue, FromComputed, FromComputed},
		[]Origin{v.From, i.From, c.From, r.From, s.From})
	assert.Equal(t, []string{"my.toml:7", "tubes.current", "data sheet", "R = V / I", "A root search."},
		[]string{v.Where, i.Where, c.Where, r.Where, s.Where})
	assert.Equal(t, []Assumption{{Key: "tubes.current", Value: Say("{value}", Of("value", 0.7, "A")), Reason: Say("common practice")}},
		b.Assumptions)

	assert.InDelta(t, 4000, r.Value, 1e-9)
	assert.Equal(t, "Ω", r.Unit)
	assert.Equal(t, "4000 Ω", r.Text())
	assert.Equal(t, "tubes", r.Stage())
	require.Len(t, b.Steps, 2)
	assert.Same(t, b.Steps[0], r.Step)
	assert.Same(t, r, b.Steps[0].Result)
	assert.Equal(t, []*Quantity{v, i}, b.Steps[0].Inputs, "in the order of the formula")
	assert.Equal(t, laws, b.Steps[0].Source)
	assert.Contains(t, b.Steps[0].Substitute().TeX, `\frac{2800\thinspace\mathrm{V}}{700.0\thinspace\mathrm{mA}}`)
	assert.Nil(t, b.Steps[1].Formula)
	assert.Equal(t, []*Quantity{v, c}, b.Steps[1].Inputs)

	assert.Same(t, r, b.Get("tubes.load"))
	got, ok := b.Lookup("tubes.load")
	assert.True(t, ok)
	assert.Same(t, r, got)
	_, ok = b.Lookup("tubes.nothing")
	assert.False(t, ok)
	assert.PanicsWithValue(t, "ledger: no quantity tubes.nothing", func() { b.Get("tubes.nothing") })
}

func TestBookRefuses(t *testing.T) {
	b := NewBook()
	v := b.Spec("a.v", "v", 1, "V", "x:1")
	i := b.Spec("a.i", "i", 0, "A", "x:2")
	n := b.Spec("a.n", "n", 1, "", "x:3")
	assert.PanicsWithValue(t, "ledger: quantity a.v entered twice", func() { b.Spec("a.v", "v", 1, "V", "x:1") })
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		assert.Panics(t, func() { b.Spec("a.bad", "bad", bad, "V", "") })
		assert.Panics(t, func() { b.Solved("a.bad", "bad", bad, "V", Method{}) })
	}
	assert.Panics(t, func() { b.Compute("a.r", "r", ohm, With{"V": v, "I": i}) }, "division by zero")
	assert.Panics(t, func() { b.Compute("a.r", "r", ohm, With{"V": v}) }, "a symbol is missing")
	assert.Panics(t, func() { b.Compute("a.r", "r", ohm, With{"V": v, "I": nil}) }, "nothing bound")
	assert.Panics(t, func() { b.Compute("a.r", "r", ohm, With{"V": v, "J": i}) }, "a wrong symbol")
	assert.Panics(t, func() { b.Compute("a.r", "r", ohm, With{"V": v, "I": i, "n": n}) }, "a symbol too many")
	assert.Panics(t, func() { b.Compute("a.r", "r", ohm, With{"V": i, "I": v}) }, "swapped: wrong dimensions")
	assert.Panics(t, func() { b.Compute("a.r", "r", ohm, With{"V": v, "I": n}) }, "a plain number for a current")
	assert.Empty(t, b.Steps, "nothing that was refused is left behind")
	assert.Len(t, b.Quantities(), 3)
}

func TestRate(t *testing.T) {
	for _, c := range []struct {
		name                   string
		stress, rating, factor float64
		given                  Verdict
		want                   Verdict
		margin                 float64
		severity               Severity // "" for none
	}{
		{"ample", 1000, 2000, 1.25, "", Within, 2, ""},
		{"just", 1000, 1250, 1.25, "", Within, 1.25, ""},
		{"just, with rounding", 1000 * (1 + 1e-12), 1250, 1.25, "", Within, 1.25, ""},
		{"thin", 1000, 1200, 1.25, "", Thin, 1.2, Caution},
		{"at the rating", 1000, 1000, 1.25, "", Thin, 1, Caution},
		{"exceeds", 1001, 1000, 1.25, "", ExceedsRating, 1000. / 1001, Exceeds},
		{"no factor means one", 1000, 1000, 0, "", Within, 1, ""},
		{"to buy stays", 1000, 500, 1.25, ToBuy, ToBuy, 0.5, ""},
		{"not stated stays", 1000, 500, 1.25, NotStated, NotStated, 0.5, ""},
		{"no stress", 0, 500, 1.25, "", Within, 999, ""},
		{"next to no stress", 1e-9, 500, 1.25, "", Within, 999, ""},
		{"no rating", 10, 0, 1, "", ExceedsRating, 0, Exceeds},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := NewBook()
			r := b.Rate(Rating{Part: "C1", Name: "C1 capacitor", Stage: "tank", Band: "10m", Quantity: "voltage", Stress: c.stress,
				Rating: c.rating, Unit: "V", RequiredFactor: c.factor, Verdict: c.given, StressID: "tank.10m.v"})
			assert.Equal(t, c.want, r.Verdict)
			assert.InDelta(t, c.margin, r.Margin, 1e-9)
			require.Len(t, b.Ratings, 1)
			assert.Equal(t, r, b.Ratings[0])
			if c.severity == "" {
				assert.Empty(t, b.Findings)
				assert.Equal(t, Note, b.Worst())
				return
			}
			require.Len(t, b.Findings, 1)
			f := b.Findings[0]
			assert.Equal(t, c.severity, f.Severity)
			assert.Equal(t, "tank.C1.v.10m", f.ID)
			assert.Equal(t, "tank", f.Stage)
			assert.Equal(t, []string{"tank.10m.v"}, f.Quantities)
			assert.NotEmpty(t, f.Advice)
			assert.Equal(t, c.severity, b.Worst())
		})
	}
	b := NewBook()
	b.Rate(Rating{Part: "C1", Name: "capacitor", Stage: "tank", Quantity: "voltage", Stress: 1000, Rating: 900, Unit: "V",
		RequiredFactor: 1.25})
	assert.Empty(t, b.Findings[0].Quantities)
	assert.Equal(t, "tank.C1.voltage", b.Findings[0].ID, "without the ID of a stress the kind serves")
	b.Rate(Rating{Part: "C2", Name: "capacitor", Stage: "tank", Quantity: "voltage", Stress: 1000, Rating: 900, Unit: "V",
		Advice: Say("Widen the gap.")})
	assert.Equal(t, Say("Widen the gap."), b.Findings[1].Advice)
}

func TestFindingsAreSorted(t *testing.T) {
	b := NewBook()
	assert.Equal(t, Note, b.Worst())
	for _, f := range []Finding{{Severity: Note, ID: "1"}, {Severity: Caution, ID: "2"}, {Severity: Exceeds, ID: "3"},
		{Severity: Note, ID: "4"}, {Severity: Exceeds, ID: "5"}, {Severity: Caution, ID: "6"}} {
		b.Find(f)
	}
	ids := ""
	for _, f := range b.Sorted() {
		ids += f.ID
	}
	assert.Equal(t, "352614", ids, "gravest first, otherwise as found")
	assert.Equal(t, "1", b.Findings[0].ID, "the book itself keeps its order")
	assert.Equal(t, Exceeds, b.Worst())
}

func TestPartsAndAssumptions(t *testing.T) {
	b := NewBook()
	b.Part(Part{Designator: "C1"})
	b.Part(Part{Designator: "D2", Count: 24})
	assert.Equal(t, 1, b.Parts[0].Count, "a part without a count is one part")
	assert.Equal(t, 24, b.Parts[1].Count)
	b.Suppose("tank.network", Say("pi"), Say("simplest"))
	assert.Equal(t, []Assumption{{Key: "tank.network", Value: Say("pi"), Reason: Say("simplest")}}, b.Assumptions)
}

func TestSourceShort(t *testing.T) {
	assert.Equal(t, "Radio Engineers' Handbook", Source{Key: "terman-1943", Title: "Radio Engineers' Handbook, Terman, 1943",
		Known: Published}.Short())
	assert.Equal(t, "circuit laws", Source{Key: "circuit-laws", Title: "Definitions and circuit laws", Known: Derived}.Short())
	assert.Equal(t, "long key", Source{Key: "long-key", Title: "A title without any comma that goes on and on for ever and ever",
		Known: Published}.Short())
}
