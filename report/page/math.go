package page

import (
	"bytes"
	"encoding/xml"
	"html"
	"strings"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

var (
	kindMath    = ast.NewNodeKind("Math")
	kindFormula = ast.NewNodeKind("Formula")
)

// mathNode is $…$ or $$…$$ within a paragraph.
type mathNode struct {
	ast.BaseInline
	tex     string
	display bool
	mathML  string
}

func (*mathNode) Kind() ast.NodeKind              { return kindMath }
func (n *mathNode) Dump(source []byte, level int) { ast.DumpHelper(n, source, level, nil, nil) }

// formulaNode is a paragraph that is only $$…$$.
type formulaNode struct {
	ast.BaseBlock
	tex    string
	mathML string
	ids    []string
}

func (*formulaNode) Kind() ast.NodeKind              { return kindFormula }
func (n *formulaNode) Dump(source []byte, level int) { ast.DumpHelper(n, source, level, nil, nil) }

type mathParser struct{}

func (mathParser) Trigger() []byte { return []byte{'$'} }

// Parse takes $…$ on one line, or $$…$$ that may go over several lines of a
// paragraph. A dollar sign without a partner, or beside a space on its inner
// side, is a dollar sign.
func (mathParser) Parse(_ ast.Node, block text.Reader, _ parser.Context) ast.Node {
	line, _ := block.PeekLine()
	if bytes.HasPrefix(line, []byte("$$")) {
		return parseDisplay(block)
	}
	end := dollar(line, 1)
	if end < 2 || line[1] == ' ' || line[end-1] == ' ' {
		return nil
	}
	n := &mathNode{tex: string(line[1:end])}
	block.Advance(end + 1)
	return n
}

func parseDisplay(block text.Reader) ast.Node {
	row, at := block.Position()
	block.Advance(2)
	var tex []byte
	for {
		line, _ := block.PeekLine()
		if line == nil {
			block.SetPosition(row, at)
			return nil
		}
		if end := bytes.Index(line, []byte("$$")); end >= 0 {
			tex = append(tex, line[:end]...)
			block.Advance(end + 2)
			break
		}
		tex = append(tex, line...)
		block.AdvanceLine()
	}
	s := strings.TrimSpace(string(tex))
	if s == "" {
		block.SetPosition(row, at)
		return nil
	}
	return &mathNode{tex: s, display: true}
}

// dollar finds the next dollar sign that no backslash escapes, or -1.
func dollar(line []byte, from int) int {
	for i := from; i < len(line); i++ {
		switch line[i] {
		case '\\':
			i++
		case '$':
			return i
		case '\n':
			return -1
		}
	}
	return -1
}

func writeMath(w util.BufWriter, mathML, tex, display string) {
	_, _ = w.WriteString(`<math display="` + display + `"><semantics>`)
	if !strings.HasPrefix(mathML, "<mrow") {
		mathML = "<mrow>" + mathML + "</mrow>"
	}
	_, _ = w.WriteString(mathML)
	_, _ = w.WriteString(`<annotation encoding="application/x-tex">` + html.EscapeString(tex) + `</annotation></semantics></math>`)
}

// lines cuts the MathML of a formula before each equals sign of its outermost
// row, so that a long formula can go on in the next line of a narrow page.
func lines(mathML string) []string {
	const open, end = "<mrow>", "</mrow>"
	if !strings.HasPrefix(mathML, open) || !strings.HasSuffix(mathML, end) {
		return []string{mathML}
	}
	inner := mathML[len(open) : len(mathML)-len(end)]
	var out []string
	depth, start := 0, 0
	for i := 0; i < len(inner); i++ {
		if inner[i] != '<' {
			continue
		}
		rest := inner[i:]
		switch {
		case strings.HasPrefix(rest, "</"):
			depth--
			if depth < 0 {
				return []string{mathML}
			}
		case depth == 0 && i > start && strings.HasPrefix(rest, "<mo>=</mo>"):
			out = append(out, inner[start:i])
			start = i
			depth++
		default:
			if close := strings.IndexByte(rest, '>'); close > 0 && rest[close-1] != '/' {
				depth++
			}
		}
	}
	return append(out, inner[start:])
}

// size gives the class of a formula whose widest line would not fit a sheet of
// paper in full size: "long" and "longest".
func size(parts []string) string {
	if len(parts) < 3 {
		parts = []string{strings.Join(parts, "")} // set as one line
	}
	widest := 0.0
	for _, p := range parts {
		if most := bound(p); most > 46 { // the exact measure costs more
			widest = max(widest, measure(p))
		}
	}
	switch {
	case widest > 58:
		return " longest"
	case widest > 46:
		return " long"
	}
	return ""
}

// bound is no less than measure and cheap: all characters side by side, with
// room for every operator, root and fraction.
func bound(mathML string) float64 {
	n, tag := 0, false
	for i := 0; i < len(mathML); i++ {
		switch c := mathML[i]; {
		case c == '<':
			tag = true
		case c == '>':
			tag = false
		case !tag && c&0xc0 != 0x80: // the first byte of a character
			n++
		}
	}
	return float64(n) + float64(strings.Count(mathML, "<mo")) + 1.5*float64(strings.Count(mathML, "<msqrt")) +
		0.5*float64(strings.Count(mathML, "<mfrac"))
}

// measure estimates the width of MathML in characters: a fraction is as wide
// as its wider part, what is raised or lowered is smaller, and an operator has
// room on both sides.
func measure(mathML string) float64 {
	d := xml.NewDecoder(strings.NewReader(mathML))
	d.Strict, d.Entity = false, xml.HTMLEntity
	type level struct {
		name  string
		parts []float64
	}
	stack := []level{{}}
	total := func(l level) float64 {
		sum, widest := 0.0, 0.0
		for i, p := range l.parts {
			if i > 0 && (l.name == "msub" || l.name == "msup" || l.name == "msubsup") {
				p *= 0.7
			}
			sum, widest = sum+p, max(widest, p)
		}
		switch l.name {
		case "mfrac":
			return widest + 0.5
		case "msqrt":
			return sum + 1.5
		case "mo":
			return sum + 1
		}
		return sum
	}
	for {
		token, err := d.Token()
		if err != nil {
			break
		}
		top := &stack[len(stack)-1]
		switch v := token.(type) {
		case xml.StartElement:
			stack = append(stack, level{name: v.Name.Local})
		case xml.CharData:
			top.parts = append(top.parts, float64(utf8.RuneCount(bytes.TrimSpace(v))))
		case xml.EndElement:
			if len(stack) < 2 {
				continue
			}
			w := total(*top)
			stack = stack[:len(stack)-1]
			top = &stack[len(stack)-1]
			top.parts = append(top.parts, w)
		}
	}
	return total(level{parts: stack[0].parts})
}

func writeFormula(w util.BufWriter, n *formulaNode) {
	parts := lines(n.mathML)
	_, _ = w.WriteString(`<div class="formula` + size(parts) + `"`)
	for i, id := range n.ids {
		if i == 0 {
			_, _ = w.WriteString(` id="` + html.EscapeString(id) + `"`)
		}
	}
	_, _ = w.WriteString(">")
	for i, id := range n.ids {
		if i > 0 {
			_, _ = w.WriteString(`<span id="` + html.EscapeString(id) + `"></span>`)
		}
	}
	if len(parts) < 3 {
		writeMath(w, n.mathML, n.tex, "block")
	} else {
		// a = b = c: the parts share the TeX, which stands with the first
		for i, p := range parts {
			if i == 0 {
				writeMath(w, "<mrow>"+p+"</mrow>", n.tex, "block")
				continue
			}
			_, _ = w.WriteString(`<math display="block"><mrow>` + p + `</mrow></math>`)
		}
	}
	_, _ = w.WriteString("</div>\n")
}
