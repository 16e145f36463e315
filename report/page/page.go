// Package page turns the notebook's Markdown into one self-contained HTML
// file: formulas become MathML, figures are set inline, derivations fold, and
// warnings stand out. It assumes CommonMark with tables, footnotes, definition
// lists and task lists; raw HTML and links that could run something are
// dropped. The file holds no script and loads nothing.
package page

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"iter"
	"regexp"
	"slices"
	"strings"
	"sync"

	"anodebook/templates"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/util"
)

// Assets is what the Markdown refers to and the page must hold itself.
type Assets struct {
	Title    string             // of the window and of each printed sheet
	Language string             // BCP 47, "en" if empty
	Math     map[string]Formula // by the TeX between the dollar signs, exactly as in the Markdown
	Figures  map[string]string  // SVG text by path, such as "figures/cycle.svg"
	Images   map[string]Image   // photographs by path
	Anchors  map[string]string  // by quantity ID: the Formula.Anchor of the step that computed it
	Form     string             // class of the page's body: "article" or "bench" sets it as one; empty is the whole report
	Paper    string             // "a4" or "letter" asks the printer for that paper; empty takes what is there
	Footer   string             // one plain sentence at the foot of the page; may be empty
}

// Formula is a formula that the Markdown writes as TeX.
type Formula struct {
	MathML string // without the <math> element
	// Anchor is the id of a display formula, so that a number can link to it;
	// several ids with spaces between them where steps share a formula. Only
	// the first display of the formula carries it.
	Anchor string
}

// Image is a photograph.
type Image struct {
	Type  string // "image/jpeg" or "image/png"
	Bytes []byte
}

var converter = goldmark.New(
	goldmark.WithExtensions(extension.Table, extension.DefinitionList, extension.TaskList, extension.NewFootnote(
		extension.WithFootnoteBacklinkHTML("↩\ufe0e"))),
	goldmark.WithParserOptions(parser.WithInlineParsers(util.Prioritized(mathParser{}, 150))),
	goldmark.WithRendererOptions(renderer.WithNodeRenderers(util.Prioritized(nodes{}, 100))),
)

var shell = sync.OnceValues(func() (*template.Template, error) {
	return template.ParseFS(templates.FS, "page.html")
})

// Prepare reads what every page needs; else the first use does.
func Prepare() { _, _ = Render([]byte("# x"), Assets{Title: "x"}) }

var (
	style = sync.OnceValues(func() (template.CSS, error) { return sheet("style.css") })
	forms = sync.OnceValues(func() (template.CSS, error) { return sheet("forms.css") })
)

func sheet(name string) (template.CSS, error) {
	b, err := templates.FS.ReadFile(name)
	return template.CSS(b), err
}

// cssString writes a text as a string of CSS. What is not a letter, a digit or
// a space is written by its number: the template package would drop a title
// with a colon in it, and nothing of a title may end the string or the sheet.
func cssString(s string) template.CSS {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		if r == ' ' || r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' {
			b.WriteRune(r)
			continue
		}
		fmt.Fprintf(&b, "\\%06x ", r) // the space ends the number and is not shown
	}
	b.WriteByte('"')
	return template.CSS(b.String())
}

// papers are the style rules that ask for a paper.
var papers = map[string]template.CSS{
	"":       "",
	"a4":     "@page { size: A4 } @page landscape { size: A4 landscape }\n",
	"letter": "@page { size: letter } @page landscape { size: letter landscape }\n",
}

// entry is a line of the table of contents.
type entry struct {
	ID, Text string
	Below    []entry
}

// Render makes the HTML page. The same input gives the same bytes. The error
// names every formula, figure or anchor that is missing, and every id that is
// used twice.
func Render(markdown []byte, a Assets) ([]byte, error) {
	tmpl, err := shell()
	if err != nil {
		return nil, err
	}
	css, err := style()
	if err != nil {
		return nil, err
	}
	if a.Form != "" {
		more, err := forms()
		if err != nil {
			return nil, err
		}
		css += more
	}
	paper, ok := papers[a.Paper]
	if !ok {
		return nil, fmt.Errorf("page: no paper %q: a4 or letter", a.Paper)
	}
	css += paper
	doc := parse(markdown)
	t := transform{source: markdown, assets: a}
	heads := headings(doc, markdown)
	if err := t.run(doc); err != nil {
		return nil, err
	}
	head, err := t.head(doc)
	if err != nil {
		return nil, err
	}
	parts, err := renderParts(doc, markdown)
	if err != nil {
		return nil, err
	}
	if a.Language == "" {
		a.Language = "en"
	}
	var frame bytes.Buffer
	err = tmpl.Execute(&frame, map[string]any{
		"Title": a.Title, "Language": a.Language, "Footer": a.Footer, "Form": a.Form, "Running": cssString(a.Title), "Style": css,
		"Contents": contents(heads),
		// made by goldmark without its unsafe mode from our own nodes
		"Head": template.HTML(head), "Main": template.HTML(mainGoesHere),
	})
	if err != nil {
		return nil, err
	}
	before, after, _ := bytes.Cut(frame.Bytes(), []byte(mainGoesHere))
	parts = slices.Insert(parts, 0, before)
	out := bytes.Join(append(parts, after), nil)
	return out, t.checkIDs(out)
}

// mainGoesHere holds the place of the text in the frame: no text can be it, for
// its angle brackets would be escaped.
const mainGoesHere = "<main-text>"

// contents folds the headings of levels 2 and 3 into a tree.
func contents(heads []Heading) []entry {
	var out []entry
	for _, h := range heads {
		e := entry{ID: h.ID, Text: h.Text}
		switch {
		case h.Level == 2:
			out = append(out, e)
		case h.Level == 3 && len(out) > 0:
			last := &out[len(out)-1]
			last.Below = append(last.Below, e)
		}
	}
	return out
}

// checkIDs looks for ids that stand twice, and for anchors that a number was
// sent to and that no formula carries.
func (t *transform) checkIDs(html []byte) error {
	seen := map[string]bool{}
	var errs []error
	for id := range ids(html) {
		if seen[id] {
			errs = append(errs, fmt.Errorf("page: id %q is used twice", id))
		}
		seen[id] = true
	}
	for _, l := range t.sent {
		if !seen[l.anchor] {
			errs = append(errs, fmt.Errorf("page: %s links to #%s, which no formula carries", l.quantity, l.anchor))
		}
	}
	return errors.Join(errs...)
}

// ids yields every id attribute of a page. In rendered text a quotation mark
// is always escaped, so that the bytes looked for stand in tags only.
func ids(html []byte) iter.Seq[string] {
	mark := []byte(` id="`)
	return func(yield func(string) bool) {
		for {
			i := bytes.Index(html, mark)
			if i < 0 {
				return
			}
			html = html[i+len(mark):]
			end := bytes.IndexByte(html, '"')
			if end < 0 || !yield(string(html[:end])) {
				return
			}
		}
	}
}

var internalLink = regexp.MustCompile(`<a[^>]* href="#([^"]+)"`)

// Dangling lists the links within a page that lead nowhere, in order. The tests
// of every package that writes pages ask it.
func Dangling(html []byte) []string {
	seen := map[string]bool{}
	for id := range ids(html) {
		seen[id] = true
	}
	var out []string
	for _, m := range internalLink.FindAllSubmatch(html, -1) {
		id := unescapeURL(string(m[1]))
		if !seen[id] {
			seen[id] = true
			out = append(out, id)
		}
	}
	return out
}

// head takes the first heading and the line of emphasis after it out of the
// document and renders them for the head of the page.
func (t *transform) head(doc ast.Node) (string, error) {
	h, ok := doc.FirstChild().(*ast.Heading)
	if !ok || h.Level != 1 {
		return "<h1>" + template.HTMLEscapeString(t.assets.Title) + "</h1>", nil
	}
	var b strings.Builder
	render := func(n ast.Node, before, after string) error {
		b.WriteString(before)
		var part bytes.Buffer
		for c := n.FirstChild(); c != nil; c = c.NextSibling() {
			if err := converter.Renderer().Render(&part, t.source, c); err != nil {
				return err
			}
		}
		b.Write(part.Bytes())
		b.WriteString(after)
		return nil
	}
	id, _ := h.AttributeString("id")
	if err := render(h, fmt.Sprintf("<h1 id=\"%s\">", id), "</h1>\n"); err != nil {
		return "", err
	}
	next := h.NextSibling()
	doc.RemoveChild(doc, h)
	if p, ok := next.(*ast.Paragraph); ok && p.ChildCount() == 1 {
		if e, ok := p.FirstChild().(*ast.Emphasis); ok && e.Level == 1 {
			doc.RemoveChild(doc, p)
			if err := render(e, `<p class="story"><span>`, "</span></p>\n"); err != nil {
				return "", err
			}
		}
	}
	return b.String(), nil
}
