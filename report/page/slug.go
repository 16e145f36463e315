package page

import (
	"bufio"
	"bytes"
	"html"
	"strconv"
	"strings"
	"unicode"

	"github.com/yuin/goldmark/ast"
	goldmarkhtml "github.com/yuin/goldmark/renderer/html"
	"github.com/yuin/goldmark/text"
)

// Slug makes the id that common Markdown viewers give a heading with this
// text: lower case, punctuation dropped, spaces turned into hyphens. Letters
// of any script stay, so "µ" stays and "Ω" becomes "ω".
func Slug(heading string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(strings.TrimSpace(heading)) {
		switch {
		case r == ' ':
			b.WriteByte('-')
		case r == '-' || r == '_' || unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r):
			b.WriteRune(r)
		}
	}
	return b.String()
}

// Slugs gives headings their ids in order: the first one with a text gets
// Slug(text), later ones -1, -2 and so on. The zero value is ready to use.
type Slugs struct{ seen map[string]int }

// ID returns the id of the next heading.
func (s *Slugs) ID(heading string) string {
	if s.seen == nil {
		s.seen = map[string]int{}
	}
	base := Slug(heading)
	id := base
	for {
		if _, taken := s.seen[id]; !taken {
			break
		}
		s.seen[base]++
		id = base + "-" + strconv.Itoa(s.seen[base])
	}
	s.seen[id] = 0
	return id
}

// Heading is one heading of a Markdown text.
type Heading struct {
	Level int    // 1 to 6
	Text  string // without markup
	ID    string // as a link to it must be written, without "#"
}

// Headings lists the headings of a Markdown text in order, with their ids as
// Render gives them. The tests of report hold other readers of Markdown to them.
func Headings(markdown []byte) []Heading {
	doc := converter.Parser().Parse(text.NewReader(markdown))
	return headings(doc, markdown)
}

// headings also sets the ids on the nodes.
func headings(doc ast.Node, source []byte) []Heading {
	var out []Heading
	var slugs Slugs
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		h, ok := n.(*ast.Heading)
		if !ok || !entering {
			return ast.WalkContinue, nil
		}
		t := plain(h, source)
		id := slugs.ID(t)
		h.SetAttributeString("id", []byte(id))
		out = append(out, Heading{h.Level, t, id})
		return ast.WalkSkipChildren, nil
	})
	return out
}

// plain returns the text of a node without markup.
func plain(n ast.Node, source []byte) string {
	var b strings.Builder
	_ = ast.Walk(n, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch n := n.(type) {
		case *ast.Text:
			v := n.Segment.Value(source)
			if n.Parent().Kind() != ast.KindCodeSpan {
				v = unescape(v)
			}
			b.Write(v)
			if n.SoftLineBreak() || n.HardLineBreak() {
				b.WriteByte(' ')
			}
		case *ast.String:
			b.Write(n.Value)
		case *ast.AutoLink:
			b.Write(n.Label(source))
		case *mathNode:
			b.WriteString(n.tex)
		case *ast.RawHTML:
			return ast.WalkSkipChildren, nil
		}
		return ast.WalkContinue, nil
	})
	return strings.TrimSpace(b.String())
}

// unescape reads text as the page shows it: an escaped ampersand begins no
// entity.
func unescape(v []byte) []byte {
	if !bytes.ContainsAny(v, "\\&\x00") {
		return v
	}
	var b bytes.Buffer
	w := bufio.NewWriter(&b)
	goldmarkhtml.DefaultWriter.Write(w, v)
	_ = w.Flush() // a buffer takes everything
	return []byte(html.UnescapeString(b.String()))
}
