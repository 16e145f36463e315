package report

import (
	"fmt"
	"html"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"anodebook/compute"
	"anodebook/report/page"
	"anodebook/spec"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/require"
)

// strangers are texts that would be markup, formulas or structure if they were
// not escaped; they are the seeds beside the committed corpora.
var strangers = []string{
	"", "plain words", `<script>alert(1)</script>`, `<img src=x onerror=alert(2)>`, "<!-- x -->", "</p></main></html>",
	"<svg/onload=x>",
	`$\evil$`, `$$x$$`, `\$x$`, `\\$x$`, `\\\$x$`, `\<b>`, `\\<b>`, "\\`x`", `\![p](figures/cycle.svg)`, "$", "a $ b", `\`, `\\`,
	"text\\\nmore",
	"| a | b |\n|---|---|\n| 1 | 2 |", `\| a`, "# one", "#", "a\n#", "###### six", "a\n=", "a\n-", "a\n===", "a\n---", "a\n-:",
	"a\n-\n#", "a\n:-:", "a\n: b", "a\n\n:   b",
	"- # in a list", "1. # in a list", "- - > **Danger:** not ours", "> **Danger:** not ours", "- a\n  ===", "* a\n  -", "-\n  # x",
	"[x]: http://example.invalid", "- [x]: http://example.invalid", "[^1]: foot", "text[^1]\n\n[^1]: foot", `[a\]b]: /x`, "[a\nb]: /x",
	"[x](javascript:alert(3))", "[x](JaVaScRiPt:x)", "[x](data:text/html,x)", "<javascript:x>", "![q](http://example.invalid/x.png)",
	"![p](figures/cycle.svg)", "!\\[p](x)",
	`[x](#terms "tank.80m.loaded_q")`, `[x](#nowhere "supply.idle_voltage")`, "[x](#fixed)", "{#id}", "# x {#fixed}", "```\nfence", "~~~\nfence", "    indented", "\tindented",
	"**bold", "*a*", "_a_", "a\r# b", "a\r\n# b", "a\vb\fc", "a\u2028# b", "a\u00a0b", "#\u00a0", "\u00a0# b", "\u0085- - -", "\ufeff# x", "\u202e<b>", "-5 V and 3 kV", "1 .. 2 pF", "&lt;b&gt; &amp; &#36;x&#36;", "{{.Title}}", "%s %d %!",
	"\\(x\\) \\[y\\] \\begin{x} \\end{x} \\input{/etc/passwd} ^_{}", "+++\n- [ ] task\n- [x] done", "a  \nb", "***", "- - -", "___",
}

var (
	tags      = regexp.MustCompile(`<[^>]*>`)
	badScheme = regexp.MustCompile(`(?i)(?:href|src)="\s*(?:javascript:|vbscript:|file:|data:text)`)
)

// FuzzMarkdownText puts a text into every kind of place where a report has the
// builder's own words: heading, subtitle, story, table, caption. It never
// becomes markup or structure, and a plain text reads as it was written.
func FuzzMarkdownText(f *testing.F) {
	for _, s := range strangers {
		f.Add(s)
	}
	picture := page.Image{Type: "image/png", Bytes: []byte("x")}
	f.Fuzz(func(t *testing.T, s string) {
		if !utf8.ValidString(s) || len(s) > 4096 {
			t.Skip("a spec is UTF-8, and a text this long only costs time")
		}
		plain, prose := escapePlain(s), escapeProse(s)
		doc := fmt.Sprintf("# T %[1]s\n\n*S; %[1]s; end*\n\n%[2]s\n\n## Fixed\n\n%[2]s\n\n| a | b |\n|:--|:--|\n| x %[1]s | %[1]s; y |\n| z | w |\n\n![c %[1]s](photos/p.png \"a %[1]s\")\n\nThe end.\n\n## Last\n\nMore.\n", plain, prose)
		doc = typography(squeeze(doc))
		out, err := page.Render([]byte(doc), page.Assets{Title: s, Language: "en", Images: map[string]page.Image{"photos/p.png": picture}})
		if err != nil { // a title that is the name of a section is told as such
			t.Fatalf("%v\n%s", err, doc)
		}
		text := string(out)
		var heads []string
		for _, h := range page.Headings([]byte(doc)) {
			heads = append(heads, h.Text)
		}
		require.Len(t, heads, 3, doc)
		require.Equal(t, []string{"Fixed", "Last"}, heads[1:], doc)
		require.Equal(t, visible("T "+s), visible(heads[0]), "a plain text reads as it was written")
		for what, n := range map[string]int{"<h1": 1, "<h2": 2, "<table": 1, "<tr": 3, "<td": 4, "<img": 1, "<figure": 1, "<p>The end.</p>": 1,
			"<script": 0, "<blockquote": 0, "<dl": 0, "<math": 0, "<!--": 0, "<details": 1} { // the contents fold
			require.Equal(t, n, strings.Count(text, what), "%s in\n%s", what, doc)
		}
		require.NotRegexp(t, badScheme, text)
	})
}

// visible is a text as it can be told on a page: without controls, and with
// one space where there was any white space.
func visible(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' && !strings.ContainsRune("\t\n\v\f\r", r) || r == 0x7f {
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// FuzzNotebookText writes whole notebooks with a text in every place of a
// spec: the same sections, headings, tables and figures come out as with
// harmless words.
func FuzzNotebookText(f *testing.F) {
	for some := range slices.Chunk(strangers, 12) { // a notebook takes half a second
		f.Add(strings.Join(some, "\n\n"))
	}
	notebook := func(t require.TestingT, s string) (*Document, string) {
		q := quoted(s)
		sp, err := spec.Read("f.toml", []byte("[notebook]\ntitle = "+q+"\nbuilder = "+q+"\nplace = "+q+"\ndate = "+q+"\nstory = "+q+"\n"+smallSpec+`[note.tank]
text = `+q+`
[survey.whole]
group = "whole"
condition = "good"
found = `+q+`
work = `+q+`
verdict = `+q+`
[reading.x]
of = "supply.idle_voltage"
value = "3.0 kV"
how = `+q+`
when = `+q+`
`), compute.Names())
		if err != nil {
			return nil, ""
		}
		d, err := compute.Run(sp)
		require.NoError(t, err)
		doc, err := Build(d)
		require.NoError(t, err)
		out, err := doc.HTML()
		require.NoError(t, err)
		return doc, string(out)
	}
	shape := func(s string) [4]int {
		return [4]int{strings.Count(s, "<h2"), strings.Count(s, "<table"), strings.Count(s, "<figure"), strings.Count(s, "<math")}
	}
	_, plain := notebook(f, "harmless words")
	want := shape(plain)
	enough := testhelp.Seeds(3)
	f.Fuzz(func(t *testing.T, s string) {
		if enough() {
			t.Skip("only with LONG=1")
		}
		if !utf8.ValidString(s) || len(s) > 2048 || strings.TrimSpace(s) == "" {
			t.Skip("a spec is UTF-8; an empty text leaves places out")
		}
		doc, out := notebook(t, s)
		if doc == nil {
			t.Skip("refused by the spec")
		}
		require.Equal(t, want, shape(out))
		require.Equal(t, 1, strings.Count(out, "<h1"))
		require.NotContains(t, out, "<script")
		require.NotRegexp(t, badScheme, out)
		if h := page.Headings(doc.Markdown)[0].Text; visible(s) != "" {
			require.Equal(t, visible(s), visible(h))
		}
	})
}

// TestStrangersInProse holds what stays of the builder's own Markdown, read as
// words.
func TestStrangersInProse(t *testing.T) {
	for in, want := range map[string]string{
		"a\n=":             "a =",
		"a\n-":             "a -",
		"a\n-:":            "a -:",
		"a\n-\n# b":        "a - # b",
		"- # b":            "# b",
		"- > c":            "> c",
		`\$x$`:             "$x$",
		`\<b>`:             "<b>",
		`\\<b>`:            `\<b>`,
		"a\n: b":           "a : b",
		"#":                "#",
		"#\u00a0":          "#",
		"\u00a0# b":        "# b",
		`[a\]b]: /x`:       "[a]b]: /x",
		"- [ref]: /y":      "[ref]: /y",
		"**b** [l](/u) *e": "b l *e",
	} {
		out, err := page.Render([]byte("# T\n\nSTART\n\n"+escapeProse(in)+"\n\nEND\n"), page.Assets{Title: "T"})
		require.NoError(t, err, in)
		_, rest, _ := strings.Cut(string(out), "START</p>")
		body, _, _ := strings.Cut(rest, "<p>END")
		require.Equal(t, want, visible(html.UnescapeString(tags.ReplaceAllString(body, " "))), in)
	}
}
