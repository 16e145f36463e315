package report

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/spec/testhelp"
)

// The verdict counts what is to buy and what is not stated apart, and says
// nothing of either where there is none.
func TestVerdictCountsBothApart(t *testing.T) {
	for _, c := range []struct {
		buy, unknown int
		want, never  string
	}{
		{0, 0, "every margin that could be judged is kept.", "to buy"},
		{1, 0, " One rating is that of a part still to buy: the parts list says what to ask for.", "not stated"},
		{2, 0, " 2 ratings are those of parts still to buy:", "not stated"},
		{0, 1, " One rating of a part at hand is not stated, so nothing was held against it:", "to buy"},
		{0, 3, " 3 ratings of parts at hand are not stated, so nothing was held against them:", "to buy"},
		{5, 2, " 5 ratings are those of parts still to buy: the parts list says what to ask for. 2 ratings of parts at hand are not " +
			"stated", "7"},
	} {
		b := ledger.NewBook()
		for range c.buy {
			b.Rate(ledger.Rating{Verdict: ledger.ToBuy})
		}
		for range c.unknown {
			b.Rate(ledger.Rating{Verdict: ledger.NotStated})
		}
		b.Rate(ledger.Rating{Rating: 2, Stress: 1})
		w := &writer{Design: &compute.Design{Book: b}}
		words := w.VerdictWords()
		testhelp.Contains(t, words, c.want)
		testhelp.Lacks(t, words, c.never)
	}
}

// A part that the builder describes but for its rating is not stated, what he
// does not describe is to buy; with the rating given it is neither.
func TestNotStatedIsExplained(t *testing.T) {
	build := func(more string) string {
		doc, err := built(design(t, "t.toml", smallSpec+more))
		require.NoError(t, err)
		return strings.ReplaceAll(string(doc.Markdown), "\u00a0", " ")
	}
	const row = "| C3 blocking capacitor, current |"
	text := build("[plate_feed.blocking]\ncapacitance = \"1000 pF\"\nvoltage = \"10 kV\"\n")
	testhelp.Contains(t, text, "*Not stated* means that the part is at hand")
	testhelp.Contains(t, text, row)
	testhelp.Matches(t,
		regexp.MustCompile(`(?m)^\| C3 blocking capacitor, current .*Look up the RF current.*\| .plate_feed\.blocking\.current. \|$`),
		text)
	testhelp.Matches(t, regexp.MustCompile(`(?m)^\| C3 blocking capacitor, apparent power .*\| none: compare it by hand \|$`), text)
	testhelp.Contains(t, text, "at hand are not stated")
	testhelp.Matches(t, regexp.MustCompile(`(?m)^\| C3 blocking capacitor \| RF current of one piece.*\| — \| 1\.25 \| not stated \|$`),
		text)
	text = build("[plate_feed.blocking]\ncapacitance = \"1000 pF\"\nvoltage = \"10 kV\"\ncurrent = \"20 A\"\n")
	testhelp.Lacks(t, text, row)
	text = build("")
	testhelp.Lacks(t, text, "*Not stated* means")
	testhelp.Lacks(t, text, "at hand are not stated")
	testhelp.Contains(t, text, "still to buy")
}

// For every kind of rating that any stage holds there is a way to find it that
// says more than where to look.
func TestEveryKindOfRatingCanBeFound(t *testing.T) {
	kinds := map[string]bool{}
	files, err := filepath.Glob("../compute/stage/*/*.go")
	require.NoError(t, err)
	for _, path := range files {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		b, err := os.ReadFile(path)
		require.NoError(t, err)
		for _, m := range regexp.MustCompile(`desk\.Hold\{[^}]*?Kind:\s*"([a-z ]+)"`).FindAllStringSubmatch(string(b), -1) {
			kinds[m[1]] = true
		}
	}
	require.GreaterOrEqual(t, len(kinds), 7)
	other := howToFind(ledger.Rating{Part: "X1", Quantity: "something else"})
	for kind := range kinds {
		assert.NotEqual(t, other, howToFind(ledger.Rating{Part: "X1", Quantity: kind}), kind)
	}
}

// The list stands under the third sheet, in the page as in the text.
func TestListUnderTheSheets(t *testing.T) {
	doc, err := built(design(t, "t.toml", strings.Replace(smallSpec, `["80m"]`, `["80m", "40m", "20m"]`, 1)))
	require.NoError(t, err)
	text := string(doc.Markdown)
	third := strings.Index(text, "](figures/schematic-control.svg)")
	list := strings.Index(text, "In the parts list, not drawn: L12, C12a, C12b.")
	require.Positive(t, third)
	require.Greater(t, list, third)
	assert.Less(t, list, strings.Index(text, "## Safety"))
	page, err := doc.HTML()
	require.NoError(t, err)
	testhelp.Contains(t, string(page), "In the parts list, not drawn:")
	testhelp.Contains(t, string(page), `id="schematic-control-desc"`)
	// what the legibility of the sheets was reckoned with
	css, err := os.ReadFile("../templates/style.css")
	require.NoError(t, err)
	testhelp.Contains(t, string(css), "@page landscape { size: landscape; margin: 8mm 10mm; }")
	testhelp.Contains(t, string(css), "max-height: 184mm;")
}
