package report

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/compute/ledger/texcheck"
	"anodebook/report/page"
	"anodebook/spec"
	"anodebook/spec/testhelp"
	"anodebook/templates"
)

var display = regexp.MustCompile(`(?m)^\$\$(.*)\$\$$`)

// TestEveryPrintedSubstitutionHolds redoes every formula of every report from
// the printed page: what stands between the equals signs must give what stands
// behind the last one, within one unit of the last printed digit.
func TestEveryPrintedSubstitutionHolds(t *testing.T) {
	for name, d := range testhelp.Some(designs(t), 4) {
		doc, err := built(d)
		require.NoError(t, err, name)
		lines := map[string]bool{}
		for _, m := range display.FindAllStringSubmatch(string(doc.Markdown), -1) {
			lines[m[1]] = true
		}
		checked := 0
		for _, s := range d.Book.Steps {
			if s.Formula == nil {
				continue
			}
			tex := s.Substitute().TeX
			if assert.True(t, lines[tex], "%s: the step %s is not in the report", name, s.ID) {
				assert.NoError(t, texcheck.Verify(tex), "%s: %s", name, s.ID)
				checked++
			}
		}
		assert.Greater(t, checked, 100, name)
	}
}

// TestEveryNumberHasAPath holds each quantity to its promise: a step, a spec
// line, a catalogue source, or an assumption that the list shows.
func TestEveryNumberHasAPath(t *testing.T) {
	for name, d := range testhelp.Some(designs(t), 4) {
		keys := map[string]bool{}
		for _, a := range d.Book.Assumptions {
			assert.False(t, a.Reason.Empty(), "%s: %s", name, a.Key)
			keys[a.Key] = true
		}
		for _, q := range d.Book.Quantities() {
			assert.NotEmpty(t, q.Name, "%s: %s", name, q.ID)
			switch q.From {
			case ledger.FromComputed:
				require.NotNil(t, q.Step, "%s: %s", name, q.ID)
				assert.NotEmpty(t, q.Step.Source.Title, "%s: %s", name, q.ID)
			case ledger.FromAssumed:
				assert.True(t, keys[q.Where], "%s: %s is assumed, but %s is not among the assumptions", name, q.ID, q.Where)
			case ledger.FromSpec:
				testhelp.Matches(t, `\.toml:\d+$`, q.Where, "%s: %s", name, q.ID)
			case ledger.FromCatalogue:
				assert.NotEmpty(t, q.Where, "%s: %s", name, q.ID)
			}
		}
	}
}

// TestMarkdownStandsByItself renders report.md with plain goldmark and finds
// every section, table and picture.
func TestMarkdownStandsByItself(t *testing.T) {
	for name, d := range testhelp.Some(designs(t), 4) {
		doc, err := built(d)
		require.NoError(t, err, name)
		var html strings.Builder
		require.NoError(t, goldmark.New(goldmark.WithExtensions(extension.Table)).Convert(doc.Markdown, &html))
		testhelp.Lacks(t, html.String(), "raw HTML omitted", name)
		for _, h := range []string{"Verdict", "The amplifier at a glance", "Safety", "Tubes", "Bias", "Input network", "Filament",
			"Plate feed",
			"Parasitic suppressors", "Tank", "Transmit-receive switching", "High-voltage supply", "Metering and protection", "Cooling",
			"Exposure", "Clearance and creepage",
			"Tune-up", "Bring-up", "Bench card", "Parts list", "Margins", "Reference checks", "Assumptions", "Symbols", "Sources"} {
			testhelp.Contains(t, html.String(), "<h2>"+h+"</h2>", name)
		}
		for f := range doc.Figures {
			testhelp.Contains(t, html.String(), `<img src="`+f+`"`, name)
		}
		rows := regexp.MustCompile(`(?m)^\|[:-]+[-:|]*\|$`).FindAllString(string(doc.Markdown), -1)
		assert.Equal(t, len(rows), strings.Count(html.String(), "<table>"), "%s: every table must be one", name)
		testhelp.MatchesNot(t, `<p>\|`, html.String(), "%s: a table that is none", name)
		ids := map[string]bool{}
		for _, h := range page.Headings(doc.Markdown) {
			ids[h.ID] = true
		}
		for _, m := range regexp.MustCompile(`\]\(#([^) ]+)`).FindAllStringSubmatch(string(doc.Markdown), -1) {
			assert.True(t, ids[m[1]], "%s: a link to #%s leads nowhere", name, m[1])
		}
	}
}

func TestHTMLHasNoLooseEnds(t *testing.T) {
	for name, d := range testhelp.Some(designs(t), 4) {
		doc, err := built(d)
		require.NoError(t, err, name)
		html, err := doc.HTML()
		require.NoError(t, err, name)
		assert.Empty(t, page.Dangling(html), name)
		testhelp.Lacks(t, string(html), "<script", name)
		testhelp.Contains(t, string(html), "<math", name)
		testhelp.Lacks(t, string(html), "$$", name)
	}
}

// TestStrangeTextStaysText puts markup of every kind into every text that a
// spec may hold.
func TestStrangeTextStaysText(t *testing.T) {
	nasty := `<script>alert(1)</script> <img src=x onerror=alert(2)> $\evil$ $$x$$ | a | b | [x](javascript:alert(3)) ![p](figures/cycle.svg) ![q](http://example.invalid/x.png) **b** ` + "`code`" + ` &lt; {#id} \ ~~~`
	block := nasty + "\n\n# Heading\n\n```\nfence\n\n    indented\n\n> **Danger:** not ours\n\n| t | u |\n|---|---|\n| 1 | 2 |\n\nline\n===\n\n[ref]: http://example.invalid\n\n<div>\n"
	src := "[notebook]\ntitle = " + quoted(nasty) + "\nbuilder = " + quoted(nasty) + "\nplace = " + quoted(nasty) + "\ndate = " + quoted(nasty) + "\nstory = " + quoted(block) + "\n" + smallSpec + `[note.tank]
text = ` + quoted(block) + `
[note.safety]
text = ` + quoted(block) + `
[reading."strange |<b>"]
of = "supply.idle_voltage"
value = "3.0 kV"
how = ` + quoted(nasty) + `
`
	d := design(t, "a<b>|$x$.toml", src)
	doc, err := built(d)
	require.NoError(t, err)
	html, err := doc.HTML()
	require.NoError(t, err)
	for _, bad := range []string{"<script", "<img src=x", "onerror=alert(2)>", `href="javascript:`, "<div>\n", `src="http`} {
		testhelp.Lacks(t, string(html), bad)
	}
	assert.Equal(t, 1, strings.Count(string(html), "<h1"), "a heading in the story must not become one")
	testhelp.Contains(t, string(html), "&lt;script&gt;")
	plain, err := built(designs(t)["starter"])
	require.NoError(t, err)
	count := func(doc *Document) (n int) {
		for _, h := range page.Headings(doc.Markdown) {
			if h.Level <= 2 {
				n++
			}
		}
		return n
	}
	assert.Equal(t, count(plain)+1, count(doc), "only the section of the readings comes on top")
}

func BenchmarkFiles(b *testing.B) {
	starter, err := templates.FS.ReadFile("starter.toml")
	require.NoError(b, err)
	for b.Loop() {
		s, err := spec.Read("starter.toml", starter, compute.Names())
		require.NoError(b, err)
		d, err := compute.Run(s)
		require.NoError(b, err)
		_, err = FilesOf(d, Options{})
		require.NoError(b, err)
	}
}

// What the rules say stands together under Exposure; a rule set without limits
// gets a sentence, not an empty table.
func TestRulesStandTogether(t *testing.T) {
	section := func(path string) (string, string) {
		s, err := spec.Load(path, compute.Names())
		require.NoError(t, err)
		d, err := compute.Run(s)
		require.NoError(t, err)
		doc, err := built(d)
		require.NoError(t, err)
		_, rest, _ := strings.Cut(string(doc.Markdown), "\n## Exposure\n")
		exposure, _, _ := strings.Cut(rest, "\n## ")
		_, rest, _ = strings.Cut(string(doc.Markdown), "\n## Tubes\n")
		tubes, _, _ := strings.Cut(rest, "\n## ")
		return exposure, tubes
	}
	exposure, tubes := section("../examples/choke-input.toml")
	testhelp.Contains(t, exposure, "gives no power limits for these bands")
	testhelp.Contains(t, exposure, "as this rule set has it")
	testhelp.Lacks(t, exposure, "| band |\n")
	testhelp.Lacks(t, tubes, "rule set")
	exposure, _ = section("../templates/starter.toml")
	testhelp.Contains(t, exposure, "| band | limit |")
}
