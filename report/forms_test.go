package report

import (
	"regexp"
	"strings"
	"testing"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/report/page"
	"anodebook/report/setting"
	"anodebook/spec"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
)

// short makes one short form of a design.
func short(t *testing.T, d *compute.Design, form Form) *Document {
	t.Helper()
	whole, err := built(d)
	require.NoError(t, err)
	doc, err := Shorten(d, whole, form)
	require.NoError(t, err)
	return doc
}

// TestShortFormsStandByThemselves holds both short forms of every example to
// what they promise: no link into a report that is not there, every figure at
// hand, every table a table, and the danger named.
func TestShortFormsStandByThemselves(t *testing.T) {
	for name, d := range testhelp.Some(designs(t), 4) {
		for form, want := range map[Form][]string{
			Article: {"The amplifier", "What the sums say", "What was learned", "Before anybody builds one", "Sources"},
			Bench: {"Bench card", "Bring-up card 1: up to the first full voltage, tubes out",
				"Bring-up card 2: tubes in, first key-down, first drive", "Tune-up card"},
		} {
			doc := short(t, d, form)
			md := string(doc.Markdown)
			testhelp.Lacks(t, md, "](#", "%s %s: a link within", name, form)
			testhelp.Lacks(t, md, "Derivation:", "%s %s", name, form)
			var html strings.Builder
			require.NoError(t, goldmark.New(goldmark.WithExtensions(extension.Table)).Convert(doc.Markdown, &html))
			var heads []string
			for _, h := range page.Headings(doc.Markdown) {
				if h.Level == 2 && h.Text != "Before and after" { // of a restoration
					heads = append(heads, h.Text)
				}
			}
			assert.Equal(t, want, heads, "%s %s", name, form)
			assert.Equal(t, len(regexp.MustCompile(`(?m)^\|[:-]+[-:|]*\|$`).FindAllString(md, -1)),
				strings.Count(html.String(), "<table>"), "%s %s", name, form)
			shown := regexp.MustCompile(`<img src="([^"]+)"`).FindAllStringSubmatch(html.String(), -1)
			assert.Len(t, shown, len(doc.Figures), "%s %s", name, form)
			for _, m := range shown {
				testhelp.Contains(t, doc.Figures, m[1], "%s %s", name, form)
			}
			if form == Article {
				assert.Len(t, shown, 4, "%s: schematic, cycle, map, ripple", name)
			}
			testhelp.Contains(t, md, "> **Danger:**", "%s %s", name, form)
			testhelp.Contains(t, md, d.Book.Get("supply.no_load_voltage").Text()[:4], "%s %s", name, form)
			out, err := doc.HTML()
			require.NoError(t, err, "%s %s", name, form)
			assert.Empty(t, page.Dangling(out), "%s %s", name, form)
			testhelp.Contains(t, string(out), `<body class="`+string(form)+`">`)
		}
	}
}

// TestArticleHidesNoExcess finds every stress that exceeds in the article.
func TestArticleHidesNoExcess(t *testing.T) {
	for name, d := range testhelp.Some(designs(t), 4) {
		md := strings.ReplaceAll(string(short(t, d, Article).Markdown), "\u00a0", " ")
		for _, f := range setting.Plain(d.Book, "metric").Findings() {
			if f.Severity == ledger.Exceeds {
				testhelp.Contains(t, md, strings.ReplaceAll(typography(bandWords(f.Text)), "\u00a0", " "), name)
				testhelp.Contains(t, md, "must not be built as it stands", name)
			}
		}
	}
}

// TestBenchStepsAreThoseOfTheReport holds the cards to the report's own words.
func TestBenchStepsAreThoseOfTheReport(t *testing.T) {
	d := designs(t)["starter"]
	whole, err := built(d)
	require.NoError(t, err)
	link := regexp.MustCompile(`\[([^\]]*)\]\([^)]*\)`)
	report := link.ReplaceAllString(string(whole.Markdown), "$1")
	step := regexp.MustCompile(`(?m)^\d+\. .*$`)
	cards := step.FindAllString(string(short(t, d, Bench).Markdown), -1)
	assert.Len(t, cards, 16+6)
	for _, line := range cards {
		testhelp.Contains(t, report, line)
	}
}

// A trip that was set far too high is printed as what it is, and nowhere as the
// current at which to stop: cards, tune-up and bring-up have the lowest of
// trip, rating and tuning map.
func TestLowestStopIsPrinted(t *testing.T) {
	const base = "[target]\noutput = \"1000 W\"\nbands = [\"80m\", \"20m\"]\n[tubes]\ntype = \"3-500Z\"\n[supply]\nplate_voltage = " +
		"\"2800 V\"\n"
	make := func(more string) (d *compute.Design, cards, report string) {
		s, err := spec.Read("stop.toml", []byte(base+more), compute.Names())
		require.NoError(t, err)
		d, err = compute.Run(s)
		require.NoError(t, err)
		whole, err := built(d)
		require.NoError(t, err)
		plain := func(b []byte) string { return strings.ReplaceAll(string(b), "\u00a0", " ") }
		return d, plain(short(t, d, Bench).Markdown), plain(whole.Markdown)
	}
	for _, more := range []string{
		"[protection]\nplate_trip = \"9.9 A\"\ngrid_trip = \"5.5 A\"\n",
		"[protection.plate_trip]\nfitted = false\n[protection.grid_trip]\nfitted = false\n",
	} {
		d, cards, report := make(more)
		plate, grid := d.Book.Get("protection.plate_stop"), d.Book.Get("protection.grid_stop")
		assert.Less(t, plate.Value, 1.2*d.Book.Get("tubes.plate_current").Value)
		assert.Less(t, grid.Value, 1.5*d.Book.Get("tubes.grid_current").Value)
		for _, wild := range []string{"9.90 A", "5.50 A"} {
			testhelp.Lacks(t, cards, wild)
		}
		stop := regexp.MustCompile(`meter passes \[?([0-9.]+ m?A)`).FindAllStringSubmatch(report, -1)
		require.Len(t, stop, 2)
		assert.Equal(t, grid.Text(), stop[0][1])
		assert.Equal(t, plate.Text(), stop[1][1])
		testhelp.Contains(t, cards, "when the grid meter passes "+grid.Text()+", when the plate meter passes "+plate.Text())
	}
	// A trip below everything else is the stop.
	d, cards, _ := make("[protection]\nplate_trip = \"590 mA\"\ngrid_trip = \"160 mA\"\n")
	assert.Equal(t, 0.59, d.Book.Get("protection.plate_stop").Value)
	testhelp.Contains(t, cards, "when the grid meter passes 160 mA, when the plate meter passes 590 mA")
}

func TestPaper(t *testing.T) {
	doc := short(t, designs(t)["starter"], Bench)
	for paper, want := range map[string]string{"a4": "@page { size: A4 }", "letter": "@page { size: letter }"} {
		doc.Paper = paper
		html, err := doc.HTML()
		require.NoError(t, err)
		testhelp.Contains(t, string(html), want)
	}
	doc.Paper = "a5"
	_, err := doc.HTML()
	assert.ErrorContains(t, err, `no paper "a5"`)
	_, err = Shorten(designs(t)["starter"], doc, "novel")
	assert.ErrorContains(t, err, `no short form "novel"`)
}

// TestRunningTitle holds the title of the printed sheets to the style sheet's
// grammar: a colon must not lose it, and nothing in it may end the string.
func TestRunningTitle(t *testing.T) {
	const src = `[notebook]
title = 'Amplifier: "end" </style> \ ' 
` + smallSpec
	doc, err := built(design(t, "x.toml", src))
	require.NoError(t, err)
	html, err := doc.HTML()
	require.NoError(t, err)
	testhelp.Contains(t, string(html), `content: "Amplifier\00003a  \000022 end\000022  \00003c \00002f style\00003e  \00005c "`)
	assert.Equal(t, strings.Count(string(html), "<style>"), strings.Count(string(html), "</style>"))
	testhelp.Lacks(t, string(html), "ZgotmplZ")
}
