package page_test

import (
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strings"
	"testing"

	"anodebook/report/page"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// body renders Markdown and returns what stands within <main>.
func body(t *testing.T, markdown string, a page.Assets) string {
	t.Helper()
	html, err := page.Render([]byte(markdown), a)
	require.NoError(t, err)
	_, s, ok := strings.Cut(string(html), `<main id="page:main" tabindex="-1">`)
	require.True(t, ok)
	s, _, ok = strings.Cut(s, "</main>")
	require.True(t, ok)
	return strings.TrimSpace(s)
}

func TestSampleIsSelfContained(t *testing.T) {
	md, a := sample(t)
	html, err := page.Render(md, a)
	require.NoError(t, err)
	s := string(html)
	testhelp.MatchesNot(t, regexp.MustCompile(`(?i)<(script|link|iframe|object|embed)[\s>]`), s)
	for _, m := range regexp.MustCompile(`\s(?:src|xlink:href)="([^"]*)"`).FindAllStringSubmatch(s, -1) {
		assert.True(t, strings.HasPrefix(m[1], "data:image/"), m[1][:min(40, len(m[1]))])
	}
	testhelp.Lacks(t, s, "url(")
	testhelp.Lacks(t, s, "@import")
	assert.Empty(t, page.Dangling(html))
	again, err := page.Render(md, a)
	require.NoError(t, err)
	assert.Equal(t, html, again)
	for _, part := range []string{`<html lang="en">`, "<header", "<nav", "<main", "<footer", `class="skip"`,
		"<title>Two tubes for a harbour shack</title>"} {
		testhelp.Contains(t, s, part)
	}
	assert.Equal(t, 1, strings.Count(s, "<h1"))
	// what the page puts together itself must nest: main is read as XML
	main := regexp.MustCompile(`(?s)<main.*</main>`).FindString(s)
	main = strings.NewReplacer(" alt=", " alt=", "<hr>", "<hr/>").Replace(main)
	main = regexp.MustCompile(`<(img|br)([^>]*)>`).ReplaceAllString(main, `<$1$2/>`)
	d := xml.NewDecoder(strings.NewReader(main))
	d.Entity = xml.HTMLEntity
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else {
			require.NoError(t, err)
		}
	}
}

func TestMath(t *testing.T) {
	a := page.Assets{Math: map[string]page.Formula{
		"a_b":   {MathML: "<mi>ab</mi>"},
		"x = y": {MathML: "<mrow><mi>x</mi><mo>=</mo><mi>y</mi></mrow>", Anchor: "one two"},
	}}
	s := body(t, "In $a_b$ and `$a_b$`, \\$a_b\\$, 5 $ and 6 $ more.\n\n$$x = y$$\n\n$$\nx = y\n$$\n", a)
	testhelp.Contains(t, s,
		`In <math display="inline"><semantics><mrow><mi>ab</mi></mrow><annotation encoding="application/x-tex">a_b</annotation></semantics></math> and <code>$a_b$</code>, $a_b$, 5 $ and 6 $ more.`)
	assert.Equal(t, 1, strings.Count(s, `<div class="formula" id="one"><span id="two"></span><math display="block">`))
	assert.Equal(t, 2, strings.Count(s, `<div class="formula"`), "the second display has no id again")
}

func TestFormulaBreaksAtEqualsSigns(t *testing.T) {
	a := page.Assets{Math: map[string]page.Formula{"a=b=c": {MathML: "<mrow><mi>a</mi><mo>=</mo><mfrac><mrow><mi>b</mi><mo>=</mo></mrow><mn>1</mn></mfrac><mo>=</mo><mi>c</mi></mrow>"}}}
	s := body(t, "$$a=b=c$$", a)
	assert.Equal(t,
		`<div class="formula"><math display="block"><semantics><mrow><mi>a</mi></mrow><annotation encoding="application/x-tex">a=b=c</annotation></semantics></math>`+
			`<math display="block"><mrow><mo>=</mo><mfrac><mrow><mi>b</mi><mo>=</mo></mrow><mn>1</mn></mfrac></mrow></math>`+
			`<math display="block"><mrow><mo>=</mo><mi>c</mi></mrow></math></div>`, s)
}

func TestMissingEntries(t *testing.T) {
	_, err := page.Render([]byte("$x$ $x$ and $y$\n\n![a](figures/no.svg)\n\ntext ![b](figures/yes.svg)\n\n[1 V](#x \"q.v\")\n"),
		page.Assets{Figures: map[string]string{"figures/yes.svg": "<svg></svg>"}})
	require.Error(t, err)
	assert.Equal(t,
		"page: no formula for $x$\npage: no formula for $y$\npage: no picture figures/no.svg\npage: the picture figures/yes.svg must "+
			"stand alone in its paragraph", err.Error())
	_, err = page.Render([]byte("[1 V](#x \"q.v\")\n"), page.Assets{Anchors: map[string]string{"q.v": "step"}})
	assert.EqualError(t, err, "page: q.v links to #step, which no formula carries")
	_, err = page.Render([]byte("![a](f/x.svg)\n\n![a](f/x.svg)\n"), page.Assets{Figures: map[string]string{"f/x.svg": "<svg></svg>"}})
	assert.EqualError(t, err, `page: id "figure-x" is used twice`)
	_, err = page.Render([]byte("![a](p.gif)\n"), page.Assets{Images: map[string]page.Image{"p.gif": {Type: "image/gif"}}})
	assert.EqualError(t, err, `page: the picture p.gif is of type "image/gif": want image/jpeg or image/png`)
}

func TestNothingRuns(t *testing.T) {
	s := body(t,
		"<b onclick=x>raw</b>\n\n<div onclick=x>block</div>\n\n[a](javascript:x) [b](JaVaScRiPt:x) [c](data:text/html,x) "+
			"[d](data:image/png;base64,x) [e](vbscript:x) [f](&#106;avascript:x) <javascript:x>\n\n![g](javascript:x) "+
			"![h](https://example.org/x.png)\n", page.Assets{})
	testhelp.Lacks(t, s, "onclick")
	testhelp.Lacks(t, s, "<b")
	assert.Equal(t, 1, strings.Count(s, "href="))
	testhelp.Contains(t, s, `<a href="https://example.org/x.png" rel="noreferrer">h</a>`)
	testhelp.Lacks(t, s, "<img")
}

func TestSlugs(t *testing.T) {
	for in, want := range map[string]string{
		"High-voltage supply": "high-voltage-supply", "Parts & ratings (µF, Ω)": "parts--ratings-µf-ω",
		"3-500Z: at 2.8 kV": "3-500z-at-28-kv", "snake_case stays": "snake_case-stays",
	} {
		assert.Equal(t, want, page.Slug(in))
	}
	got := page.Headings([]byte("# A *b* `c`\n\n## x\n\n## x\n\n## x-1\n\n### \\$5 &amp; more\n"))
	assert.Equal(t, []page.Heading{{1, "A b c", "a-b-c"}, {2, "x", "x"}, {2, "x", "x-1"}, {2, "x-1", "x-1-1"},
		{3, "$5 & more", "5--more"}}, got)
	assert.Equal(t, "&lt;b> & <i>", page.Headings([]byte("# \\&lt\\;b\\> &amp; &lt;i\\>\n"))[0].Text,
		"an escaped ampersand begins no entity")
	html, err := page.Render([]byte("[to](#größe-ω)\n\n## Größe Ω\n"), page.Assets{})
	require.NoError(t, err)
	testhelp.Contains(t, string(html), `<h2 id="größe-ω">`)
	testhelp.Contains(t, string(html), `<a href="#größe-ω">to</a>`)
	assert.Empty(t, page.Dangling(html))
	html, err = page.Render([]byte("[to](#nowhere)\n"), page.Assets{})
	require.NoError(t, err)
	assert.Equal(t, []string{"nowhere"}, page.Dangling(html))
}

func TestDerivationsFold(t *testing.T) {
	s := body(t,
		"#### Derivation: a\n\none\n\n##### Derivation inside\n\ntwo\n\n##### Words\n\nthree\n\n#### After\n\n#### Derivation: "+
			"b\n\nfour[^1]\n\n[^1]: foot\n", page.Assets{})
	assert.Equal(t, 3, strings.Count(s, "<details"))
	flat := strings.ReplaceAll(s, "\n", "")
	testhelp.Contains(t, flat,
		`<details class="derivation"><summary>Derivation: a</summary><div class="steps" id="derivation-a"><p>one</p>`+
			`<details class="derivation"><summary>Derivation inside</summary><div class="steps" id="derivation-inside"><p>two</p></div></details>`+
			`<h5 id="words">Words</h5><p>three</p></div></details><h4 id="after">After</h4>`)
	testhelp.Contains(t, flat, `</div></details><div class="footnotes"`, "footnotes are not part of the last derivation")
	testhelp.Lacks(t, body(t, "## Derivation\n\nx\n", page.Assets{}), "<details")
}

func TestWarnings(t *testing.T) {
	s := body(t,
		"> **Danger:** It kills.\n>\n> Twice.\n\n> **Caution: hot.** x\n\n> **Note:** y\n\n> **Warning:** z\n\n> *Danger:* z\n",
		page.Assets{})
	testhelp.Contains(t, s,
		"<div class=\"warning danger\" role=\"note\" aria-label=\"Danger\">\n<p><strong>Danger:</strong> It "+
			"kills.</p>\n<p>Twice.</p>\n</div>")
	testhelp.Contains(t, s, `<div class="warning caution" role="note" aria-label="Caution">`)
	testhelp.Contains(t, s, `<div class="warning note" role="note" aria-label="Note">`)
	assert.Equal(t, 2, strings.Count(s, "<blockquote>"))
}

func TestTables(t *testing.T) {
	s := body(t, "## Su<pply\n\n| a | b | |\n|:--|--:|:-:|\n| 1 | 2 | 3 |\n", page.Assets{})
	testhelp.Contains(t, s, `<div class="table" role="region" tabindex="0" aria-label="Table 1: Su&lt;pply"><table>`)
	testhelp.Contains(t, s, "<th scope=\"col\">a</th>\n<th scope=\"col\" class=\"right\">b</th>\n<td class=\"center\"></td>")
	testhelp.Contains(t, s, "<td>1</td>\n<td class=\"right\">2</td>\n<td class=\"center\">3</td>")
}

func TestFigures(t *testing.T) {
	a := page.Assets{Figures: map[string]string{"figures/cycle.svg": "<svg><path/></svg>"},
		Images: map[string]page.Image{"p.jpg": {Type: "image/jpeg", Bytes: []byte("abc")}}}
	s := body(t, "![A *fine* <b>cycle](figures/cycle.svg)\n\nSee [it](figures/cycle.svg).\n\n![Front](p.jpg \"a \\\"grey\\\" box\")\n",
		a)
	testhelp.Contains(t, s, "<figure id=\"figure-cycle\"><div class=\"drawing\"><svg><path/></svg></div>\n<figcaption>A <em>fine</em> ")
	testhelp.Contains(t, s, `See <a href="#figure-cycle">it</a>.`)
	testhelp.Contains(t, s, `<img src="data:image/jpeg;base64,YWJj" alt="a &#34;grey&#34; box">`)
}

func TestNumbersLinkToTheirStep(t *testing.T) {
	a := page.Assets{Math: map[string]page.Formula{"x": {MathML: "<mi>x</mi>", Anchor: "step-a.b"}},
		Anchors: map[string]string{"a.b": "step-a.b"}}
	s := body(t, "[1 V](#derivation \"a.b\") [2 V](#h \"c.d\")\n\n$$x$$\n\n## h\n", a)
	testhelp.Contains(t, s,
		`<a class="quantity" href="#step-a.b" title="a.b">1 V</a> <a class="quantity" href="#h" title="c.d">2 V</a>`)
}

func TestContentsAndHead(t *testing.T) {
	html, err := page.Render([]byte("# Big <i>&lt;</i>\n\n*story*\n\n## A & b\n\n### c\n\n#### d\n\n## e\n"),
		page.Assets{Title: `T "x" </style>`, Language: "en-GB"})
	require.NoError(t, err)
	s := string(html)
	testhelp.Contains(t, s, `<html lang="en-GB">`)
	testhelp.Contains(t, strings.ReplaceAll(s, "\n", ""),
		`<ol><li><a href="#a--b">A &amp; b</a><ol><li><a href="#c">c</a></li></ol></li><li><a href="#e">e</a></li></ol>`)
	testhelp.Contains(t, s, `<p class="story"><span>story</span></p>`)
	assert.Equal(t, 2, strings.Count(s, "</style>"))
	testhelp.Contains(t, s, "<title>T &#34;x&#34; &lt;/style&gt;</title>")
	none, err := page.Render([]byte("plain\n"), page.Assets{Title: "T"})
	require.NoError(t, err)
	testhelp.Contains(t, string(none), "<h1>T</h1>")
	testhelp.Lacks(t, string(none), "<nav")
}

func BenchmarkRender(b *testing.B) {
	md, a := sample(b)
	for b.Loop() {
		if _, err := page.Render(md, a); err != nil {
			b.Fatal(err)
		}
	}
}
