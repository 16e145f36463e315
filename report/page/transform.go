package page

import (
	"bytes"
	"errors"
	"fmt"
	"net/url"
	"path"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"
)

// transform rewrites a parsed document for the page.
type transform struct {
	source  []byte
	assets  Assets
	missing []error
	told    map[string]bool
	sent    []sentLink
	parts   map[string]bool // designators whose row has its id
}

// sentLink is a number whose link was sent to the step that computed it.
type sentLink struct{ quantity, anchor string }

func (t *transform) lack(format string, a ...any) {
	s := fmt.Sprintf("page: "+format, a...)
	if t.told == nil {
		t.told = map[string]bool{}
	}
	if !t.told[s] {
		t.told[s] = true
		t.missing = append(t.missing, errors.New(s))
	}
}

func (t *transform) run(doc ast.Node) error {
	var nodes []ast.Node
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			nodes = append(nodes, n)
		}
		return ast.WalkContinue, nil
	})
	anchored := map[string]bool{}
	section, tables := t.assets.Title, 0
	for _, n := range nodes {
		switch n := n.(type) {
		case *ast.Heading:
			section, tables = plain(n, t.source), 0
		case *mathNode:
			f, ok := t.assets.Math[n.tex]
			if !ok {
				t.lack("no formula for $%s$", n.tex)
				continue
			}
			n.mathML = f.MathML
			if p := n.Parent(); n.display && isText(p) && p.ChildCount() == 1 {
				b := &formulaNode{tex: n.tex, mathML: f.MathML}
				if !anchored[n.tex] {
					anchored[n.tex] = true
					b.ids = strings.Fields(f.Anchor)
				}
				p.Parent().ReplaceChild(p.Parent(), p, b)
			}
		case *ast.Image:
			t.image(n)
		case *ast.Link:
			t.link(n)
		case *ast.Blockquote:
			t.warning(n)
		case *extast.Table:
			tables++
			n.SetAttributeString("label", []byte("Table "+strconv.Itoa(tables)+": "+section))
			if section == partsSection {
				t.partRows(n)
			}
			t.shape(n)
		}
	}
	fold(doc, t.source)
	return errors.Join(t.missing...)
}

// partsSection is the heading under which the table of all parts stands; the
// sections of the stages show some of its rows too.
const partsSection = "Parts list"

// partRows gives each row of a table whose first column is "part" the id
// part-C1 or the like, so that the circuit diagram can link to it. Only the
// first row of a part has the id.
func (t *transform) partRows(table *extast.Table) {
	head := table.FirstChild()
	if head == nil || head.FirstChild() == nil || plain(head.FirstChild(), t.source) != "part" {
		return
	}
	for row := head.NextSibling(); row != nil; row = row.NextSibling() {
		cell := row.FirstChild()
		if cell == nil {
			continue
		}
		name := plain(cell, t.source)
		if name == "" || strings.ContainsAny(name, " \t") || t.parts[name] {
			continue
		}
		if t.parts == nil {
			t.parts = map[string]bool{}
		}
		t.parts[name] = true
		row.SetAttributeString("id", []byte("part-"+name))
	}
}

// wordy is the number of characters from which a cell is prose.
const wordy = 45

// shape marks what a table is, so that it can be set accordingly: pairs of a
// name and a value; cards, where many rows hold prose and are set one cell below
// the other on a narrow page; or figures. The cells of cards carry the names of
// their columns.
func (t *transform) shape(table *extast.Table) {
	head := table.FirstChild()
	if head == nil {
		return
	}
	var names []string
	for c := head.FirstChild(); c != nil; c = c.NextSibling() {
		names = append(names, plain(c, t.source))
	}
	rows, long := 0, 0
	for row := head.NextSibling(); row != nil; row = row.NextSibling() {
		if c := row.FirstChild(); c != nil && len(names) > 0 && names[0] == "" {
			c.SetAttributeString("heads", "row")
		}
		widest := 0
		for c := row.FirstChild(); c != nil; c = c.NextSibling() {
			widest = max(widest, utf8.RuneCountInString(plain(c, t.source)))
		}
		rows++
		if widest >= wordy {
			long++
		}
	}
	switch {
	case isBlank(head):
		table.SetAttributeString("class", "pairs")
	case len(names) >= 3 && 4*long >= rows || len(names) >= 5 && long > 0:
		table.SetAttributeString("class", "cards")
		for row := head.NextSibling(); row != nil; row = row.NextSibling() {
			for i, c := 0, row.FirstChild(); c != nil && i < len(names); i, c = i+1, c.NextSibling() {
				if i > 0 && names[i] != "" && c.HasChildren() {
					c.(*extast.TableCell).SetAttributeString("label", names[i])
				}
			}
		}
	}
}

// isText reports whether n is a paragraph, also that of a tight list.
func isText(n ast.Node) bool {
	return n.Kind() == ast.KindParagraph || n.Kind() == ast.KindTextBlock
}

var kindFigure = ast.NewNodeKind("Figure")

// figureNode is a picture with its caption, which are the node's children.
type figureNode struct {
	ast.BaseBlock
	id, svg, source, alt string
}

func (*figureNode) Kind() ast.NodeKind              { return kindFigure }
func (n *figureNode) Dump(source []byte, level int) { ast.DumpHelper(n, source, level, nil, nil) }

// image replaces a paragraph that is one picture by a figure, and any picture
// from elsewhere by a link: nothing is loaded.
func (t *transform) image(n *ast.Image) {
	dest := string(n.Destination)
	p := n.Parent()
	if u, err := url.Parse(dest); err == nil && (u.Scheme != "" || u.Host != "") {
		l := ast.NewLink()
		l.Destination, l.Title = n.Destination, n.Title
		move(n, l)
		p.ReplaceChild(p, n, l)
		return
	}
	svg, isFigure := t.assets.Figures[dest]
	photo, isPhoto := t.assets.Images[dest]
	if !isFigure && !isPhoto {
		t.lack("no picture %s", dest)
		return
	}
	if !isText(p) || p.ChildCount() != 1 {
		t.lack("the picture %s must stand alone in its paragraph", dest)
		return
	}
	f := &figureNode{id: figureID(dest)}
	if isFigure {
		if !strings.HasPrefix(svg, "<svg") {
			t.lack("the picture %s is not an <svg> element", dest)
			return
		}
		f.svg = svg
	} else {
		if photo.Type != "image/jpeg" && photo.Type != "image/png" {
			t.lack("the picture %s is of type %q: want image/jpeg or image/png", dest, photo.Type)
			return
		}
		f.id = "photo-" + strings.TrimPrefix(f.id, "figure-") // it may be named like a figure
		f.source = dataURI(photo)
		if f.alt = string(unescape(n.Title)); f.alt == "" {
			f.alt = plain(n, t.source)
		}
	}
	move(n, f)
	p.Parent().ReplaceChild(p.Parent(), p, f)
}

func figureID(dest string) string {
	base := path.Base(dest)
	return "figure-" + Slug(strings.TrimSuffix(base, path.Ext(base)))
}

// move hands the children of one node to another.
func move(from, to ast.Node) {
	for c := from.FirstChild(); c != nil; {
		next := c.NextSibling()
		to.AppendChild(to, c)
		c = next
	}
}

// link sends a number to the step that computed it, and a picture's file to
// the picture in the page. All numbers look alike, wherever they lead.
func (t *transform) link(n *ast.Link) {
	title := string(n.Title)
	if title != "" && bytes.HasPrefix(n.Destination, []byte("#")) {
		n.SetAttributeString("class", []byte("quantity"))
	}
	if anchor, ok := t.assets.Anchors[title]; ok && title != "" {
		n.Destination = []byte("#" + anchor)
		t.sent = append(t.sent, sentLink{title, anchor})
		return
	}
	if _, ok := t.assets.Figures[string(n.Destination)]; ok {
		n.Destination = []byte("#" + figureID(string(n.Destination)))
	}
}

func unescapeURL(s string) string {
	if u, err := url.PathUnescape(s); err == nil {
		return u
	}
	return s
}

var kindWarning = ast.NewNodeKind("Warning")

// warningNode is a block quote that begins with **Danger:** or the like.
type warningNode struct {
	ast.BaseBlock
	label string
}

func (*warningNode) Kind() ast.NodeKind              { return kindWarning }
func (n *warningNode) Dump(source []byte, level int) { ast.DumpHelper(n, source, level, nil, nil) }

func (t *transform) warning(n *ast.Blockquote) {
	p := n.FirstChild()
	if p == nil || p.Kind() != ast.KindParagraph {
		return
	}
	e, ok := p.FirstChild().(*ast.Emphasis)
	if !ok || e.Level != 2 {
		return
	}
	word, _, ok := strings.Cut(plain(e, t.source), ":")
	if !ok || word != "Danger" && word != "Caution" && word != "Note" {
		return
	}
	w := &warningNode{label: word}
	move(n, w)
	n.Parent().ReplaceChild(n.Parent(), n, w)
}

var (
	kindDerivation = ast.NewNodeKind("Derivation")
	kindSummary    = ast.NewNodeKind("Summary")
)

// derivationNode holds a summaryNode and the steps.
type derivationNode struct {
	ast.BaseBlock
	id string
}

func (*derivationNode) Kind() ast.NodeKind              { return kindDerivation }
func (n *derivationNode) Dump(source []byte, level int) { ast.DumpHelper(n, source, level, nil, nil) }

type summaryNode struct{ ast.BaseBlock }

func (*summaryNode) Kind() ast.NodeKind              { return kindSummary }
func (n *summaryNode) Dump(source []byte, level int) { ast.DumpHelper(n, source, level, nil, nil) }

// fold puts each heading of level 4 or 5 that begins with "Derivation", and
// what belongs to it, into a derivation.
func fold(parent ast.Node, source []byte) {
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		h, ok := n.(*ast.Heading)
		if !ok || h.Level < 4 || h.Level > 5 || !strings.HasPrefix(plain(h, source), "Derivation") {
			continue
		}
		d := &derivationNode{}
		if id, ok := h.AttributeString("id"); ok {
			d.id = string(id.([]byte))
		}
		s := &summaryNode{}
		parent.ReplaceChild(parent, h, d)
		d.AppendChild(d, s)
		move(h, s)
		for c := d.NextSibling(); c != nil; {
			if next, ok := c.(*ast.Heading); ok && next.Level <= h.Level || c.Kind() == extast.KindFootnoteList {
				break
			}
			next := c.NextSibling()
			d.AppendChild(d, c)
			c = next
		}
		fold(d, source)
		n = d
	}
}
