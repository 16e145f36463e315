//go:build browser

package report

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"anodebook/report/browser"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// a4Content is the width of the content box on A4 paper [CSS px]: 210 mm less
// the margins that the style sheet asks for. Letter paper is wider.
const a4Content = (2100 - 180 - 160) * 96 / 254

// TestReportInBrowser looks at the starter's report and at every example's as
// a reader does: on a wide window and on a phone, light and dark, and on paper.
func TestReportInBrowser(t *testing.T) {
	all := designs(t)
	var names []string
	for name := range all {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			doc, err := built(all[name])
			require.NoError(t, err)
			html, err := doc.HTML()
			require.NoError(t, err)
			b := browser.Open(t)
			for _, width := range []int{1280, 390} {
				for _, scheme := range []string{"light", "dark"} {
					b.Show(html, width, scheme)
					assert.Empty(t, b.Overflow(), "%d %s", width, scheme)
					assert.Empty(t, b.Contrast(), "%d %s", width, scheme)
					assert.Empty(t, b.Console(), "%d %s", width, scheme)
					assert.Len(t, b.Requests(), 1, "only the page itself is loaded: %v", b.Requests())
					b.Save(strings.TrimSuffix(name, ".toml")+"-"+strconv.Itoa(width)+"-"+scheme+".png", b.Stretch(0, 8000, 1))
				}
			}
			checkStructure(t, b)
			checkDerivations(t, b)
			checkPaper(t, b)
			b.Show(html, 1280, "dark")
			checkPDF(t, name, b, all[name].Spec.Target.Bands.Values)
		})
	}
}

// checkStructure holds the shown page to what a screen reader steers by.
func checkStructure(t *testing.T, b *browser.Browser) {
	t.Helper()
	for selector, want := range map[string]int{"main": 1, "h1": 1, "header": 1, "footer": 1, "html[lang=en]": 1, "a.skip": 1,
		"main h1":               0,
		"nav:not([aria-label])": 0, "svg[role=img]:not([aria-labelledby])": 0, "img:not([alt])": 0, "math merror": 0} {
		assert.Equal(t, want, browser.Eval[int](b, "document.querySelectorAll("+strconv.Quote(selector)+").length"), selector)
	}
	assert.GreaterOrEqual(t, browser.Eval[int](b, `document.querySelectorAll("nav").length`), 1)
	level := 0
	for _, h := range browser.Eval[[]string](b,
		`[...document.querySelectorAll("h1,h2,h3,h4,h5,h6")].map(h => h.tagName[1] + " " + h.textContent)`) {
		l := int(h[0] - '0')
		assert.LessOrEqual(t, l, level+1, "a heading level is skipped before %q", h)
		level = l
	}
	assert.Empty(t, browser.Eval[[]string](b, `[...document.querySelectorAll('a[href^="#"], svg a')].map(a => a.getAttribute("href") || a.getAttribute("xlink:href"))
		.filter(h => h && h.startsWith("#") && !document.getElementById(decodeURIComponent(h.slice(1))))`), "links that lead nowhere")
}

// checkDerivations opens the folded derivations by their numbers, and then all
// of them.
func checkDerivations(t *testing.T, b *browser.Browser) {
	t.Helper()
	assert.Zero(t, browser.Eval[int](b, `document.querySelectorAll("details.derivation[open]").length`),
		"derivations are folded at first")
	closed := browser.Eval[[]string](b, `[...document.querySelectorAll("main a.quantity")].filter(a => {
		const target = document.getElementById(decodeURIComponent(a.hash.slice(1))), fold = target.closest("details");
		if (!fold || fold.open) return false;
		a.click();
		return !fold.open || !target.getBoundingClientRect().height && !target.parentElement.getBoundingClientRect().height;
	}).map(a => a.title)`)
	assert.Empty(t, closed, "numbers whose derivation stays folded")
	assert.NotZero(t, browser.Eval[int](b, `document.querySelectorAll("details.derivation[open]").length`))
	browser.Eval[browser.Void](b, `document.querySelectorAll("details").forEach(d => d.open = true)`)
	assert.Greater(t, browser.Eval[int](b, `document.querySelectorAll("main math").length`), 300)
	assert.Empty(t, browser.Eval[[]string](b, `[...document.querySelectorAll("main math")].filter(m => { const r = m.getBoundingClientRect(); return r.width < 3 || r.height < 5 })
		.map(m => m.textContent)`), "formulas that are not shown")
	assert.Empty(t, b.Overflow(), "derivations open")
	assert.Empty(t, b.Contrast(), "derivations open")
}

// checkPaper finds what would make the browser shrink every sheet.
func checkPaper(t *testing.T, b *browser.Browser) {
	t.Helper()
	const width = int(a4Content)
	b.Paper(width)
	assert.LessOrEqual(t, browser.Eval[int](b, "document.documentElement.scrollWidth"), width, "wider than the sheet")
	assert.Empty(t, browser.Eval[[]string](b, `[...document.querySelectorAll("main *")].filter(e => !e.parentElement.closest("svg") && e.getBoundingClientRect().right > `+strconv.Itoa(width)+` + 1)
		.map(e => e.tagName + " " + Math.round(e.getBoundingClientRect().right) + " " + e.textContent.slice(0, 60))`), "wider than the sheet")
}

var (
	pageSize = regexp.MustCompile(`(?m)^Page +\d+ size: +([0-9.]+) x ([0-9.]+) pts`)
	word     = regexp.MustCompile(`<word xMin="([0-9.]+)" yMin="([0-9.]+)" xMax="([0-9.]+)" yMax="([0-9.]+)">([^<]*)</word>`)
)

// checkPDF prints the page and reads the sheets with poppler's tools.
func checkPDF(t *testing.T, name string, b *browser.Browser, bands []string) {
	t.Helper()
	pdf := b.PDF(true)
	b.Save(strings.TrimSuffix(name, ".toml")+".pdf", pdf)
	if _, err := exec.LookPath("pdftotext"); err != nil && os.Getenv("BROWSER_REQUIRED") == "" {
		t.Skip("no pdftotext on the PATH")
	}
	file := filepath.Join(t.TempDir(), "report.pdf")
	require.NoError(t, os.WriteFile(file, pdf, 0o600))
	run := func(program string, args ...string) string {
		out, err := exec.Command(program, args...).Output()
		require.NoError(t, err, program)
		return string(out)
	}
	sheets := pageSize.FindAllStringSubmatch(run("pdfinfo", "-l", "9999", file), -1)
	assert.Greater(t, len(sheets), 30)
	assert.Less(t, len(sheets), 240)
	wide := 0
	for _, s := range sheets {
		w, _ := strconv.ParseFloat(s[1], 64)
		h, _ := strconv.ParseFloat(s[2], 64)
		assert.InDelta(t, 595.3+841.9, w+h, 3, "A4")
		if w > h {
			wide++
		}
	}
	assert.Equal(t, 3, wide, "a landscape sheet for each circuit diagram")

	text := strings.Join(strings.Fields(run("pdftotext", file, "-")), " ")
	for _, want := range []string{"Circuit diagram: RF deck", "Derivation: tubes", "Derivation: high-voltage supply",
		"Derivation: exposure", "Power gain of the tubes"} {
		testhelp.Contains(t, text, want)
	}
	for _, band := range bands {
		testhelp.Contains(t, text, "Derivation: tank on "+strings.TrimSuffix(band, "m")+" m")
	}

	// the words of the verdict keep their size: 10.5 pt
	size := map[string]int{}
	for _, m := range word.FindAllStringSubmatch(run("pdftotext", "-bbox", "-l", "1", file, "-"), -1) {
		top, _ := strconv.ParseFloat(m[2], 64)
		bottom, _ := strconv.ParseFloat(m[4], 64)
		size[strconv.FormatFloat(bottom-top, 'f', 1, 64)]++
	}
	most, count := "", 0
	for s, n := range size {
		if n > count {
			most, count = s, n
		}
	}
	height, _ := strconv.ParseFloat(most, 64)
	assert.Greater(t, height, 10.0, "the text was shrunk: %v", size)
	assert.Less(t, height, 14.0, "%v", size)
}

// TestPicture takes the picture that the README shows, the starter's report
// from its title to the first circuit diagram; .ci/pictures keeps it.
func TestPicture(t *testing.T) {
	doc, err := built(designs(t)["starter"])
	require.NoError(t, err)
	html, err := doc.HTML()
	require.NoError(t, err)
	b := browser.Open(t)
	b.Show(html, 1280, "light")
	bottom := browser.Eval[float64](b,
		`document.querySelector('figure[id^="figure-schematic-"] .drawing').getBoundingClientRect().bottom + scrollY`)
	require.Greater(t, bottom, 1000.0)
	require.Less(t, bottom, 4000.0, "the circuit diagram stands near the top")
	picture := fewColours(t, b.Stretch(0, bottom+16, 0.7))
	assert.Less(t, len(picture), 200<<10, "small enough for a README")
	b.Save("report.png", picture)

	// One glimpse of each of a few examples.
	for _, x := range []struct{ example, from, to, name string }{
		{"parts-box.toml", "#verdict", "#the-amplifier-at-a-glance", "parts-box.png"},
		{"club-station.toml", "#figure-tuning-80m", "", "club-station.png"},
		{"low-bands.toml", "#figure-tank", "", "low-bands.png"},
		{"choke-input.toml", "#figure-turnon", "", "choke-input.png"},
		{"restoration.toml", "#readings", "#reference-checks", "restoration.png"},
	} {
		doc, err := built(designs(t)[x.example])
		require.NoError(t, err)
		html, err := doc.HTML()
		require.NoError(t, err)
		b.Show(html, 900, "light")
		edge := func(selector, side string) float64 {
			return browser.Eval[float64](b, `document.querySelector("`+selector+`").getBoundingClientRect().`+side+` + scrollY`)
		}
		top, bottom := edge(x.from, "top"), 0.0
		if x.to == "" {
			bottom = edge(x.from, "bottom")
		} else {
			bottom = min(edge(x.to, "top"), top+1100)
		}
		require.Greater(t, bottom, top, x.example)
		picture := fewColours(t, b.Stretch(top-8, bottom-top+16, 0.6))
		assert.Less(t, len(picture), 120<<10, "%s: small enough for a README", x.example)
		b.Save(x.name, picture)
	}
}

// fewColours makes a picture smaller by keeping its 128 commonest colours,
// after they were rounded to 32 shades.
func fewColours(t *testing.T, data []byte) []byte {
	t.Helper()
	from, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	box := from.Bounds()
	type shade struct{ r, g, b uint8 }
	seen, first, order := map[shade]int{}, map[shade]color.Color{}, []shade(nil)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			c := from.At(x, y)
			r, g, b, _ := c.RGBA()
			s := shade{uint8(r >> 11), uint8(g >> 11), uint8(b >> 11)}
			if seen[s] == 0 {
				first[s], order = c, append(order, s)
			}
			seen[s]++
		}
	}
	slices.SortStableFunc(order, func(a, b shade) int { return seen[b] - seen[a] })
	var few color.Palette
	for _, s := range order[:min(128, len(order))] {
		few = append(few, first[s])
	}
	to := image.NewPaletted(box, few)
	draw.Draw(to, box, from, box.Min, draw.Src)
	var out bytes.Buffer
	require.NoError(t, (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, to))
	return out.Bytes()
}
