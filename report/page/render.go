package page

import (
	"encoding/base64"
	"html"
	"strings"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/renderer"
	gmhtml "github.com/yuin/goldmark/renderer/html"
	"github.com/yuin/goldmark/util"
)

// nodes renders what the page sets differently from plain Markdown.
type nodes struct{}

func (nodes) RegisterFuncs(reg renderer.NodeRendererFuncRegisterer) {
	reg.Register(kindMath, renderMath)
	reg.Register(kindFormula, renderFormula)
	reg.Register(kindFigure, renderFigure)
	reg.Register(kindWarning, renderWarning)
	reg.Register(kindDerivation, renderDerivation)
	reg.Register(kindSummary, renderSummary)
	reg.Register(ast.KindLink, renderLink)
	reg.Register(ast.KindAutoLink, renderAutoLink)
	reg.Register(extast.KindTable, renderTable)
	reg.Register(extast.KindTableHeader, renderTableHeader)
	reg.Register(extast.KindTableRow, renderTableRow)
	reg.Register(extast.KindTableCell, renderCell)
	reg.Register(extast.KindTaskCheckBox, renderTick)
}

func renderMath(w util.BufWriter, _ []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		n := node.(*mathNode)
		display := "inline"
		if n.display {
			display = "block"
		}
		writeMath(w, n.mathML, n.tex, display)
	}
	return ast.WalkSkipChildren, nil
}

func renderFormula(w util.BufWriter, _ []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		writeFormula(w, node.(*formulaNode))
	}
	return ast.WalkSkipChildren, nil
}

func dataURI(p Image) string {
	return "data:" + p.Type + ";base64," + base64.StdEncoding.EncodeToString(p.Bytes)
}

func renderFigure(w util.BufWriter, _ []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	n := node.(*figureNode)
	if !entering {
		if n.HasChildren() {
			_, _ = w.WriteString("</figcaption>")
		}
		_, _ = w.WriteString("\n</figure>\n")
		return ast.WalkContinue, nil
	}
	class := ""
	if strings.Contains(n.svg[:min(len(n.svg), 400)], `class="chart"`) {
		class = ` class="chart"`
	}
	_, _ = w.WriteString(`<figure id="` + html.EscapeString(n.id) + `"` + class + `>`)
	if n.svg != "" {
		_, _ = w.WriteString(`<div class="drawing">` + n.svg + "</div>\n")
	} else {
		_, _ = w.WriteString(`<img src="` + n.source + `" alt="` + html.EscapeString(n.alt) + "\">\n")
	}
	if n.HasChildren() {
		_, _ = w.WriteString("<figcaption>")
	}
	return ast.WalkContinue, nil
}

func renderWarning(w util.BufWriter, _ []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	if !entering {
		_, _ = w.WriteString("</div>\n")
		return ast.WalkContinue, nil
	}
	l := node.(*warningNode).label
	_, _ = w.WriteString(`<div class="warning ` + strings.ToLower(l) + `" role="note" aria-label="` + l + "\">\n")
	return ast.WalkContinue, nil
}

// renderDerivation puts the id on the steps, not on the details element: a
// link to something inside a folded element opens it.
func renderDerivation(w util.BufWriter, _ []byte, _ ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		_, _ = w.WriteString("<details class=\"derivation\">\n")
	} else {
		_, _ = w.WriteString("</div>\n</details>\n")
	}
	return ast.WalkContinue, nil
}

func renderSummary(w util.BufWriter, _ []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		_, _ = w.WriteString("<summary>")
		return ast.WalkContinue, nil
	}
	d := node.Parent().(*derivationNode)
	_, _ = w.WriteString("</summary>\n<div class=\"steps\" id=\"" + html.EscapeString(d.id) + "\">\n")
	return ast.WalkContinue, nil
}

// dangerous reports whether following the link could run something or show
// what is not on the disk or the net.
func dangerous(dest []byte) bool {
	d := strings.ToLower(strings.TrimSpace(string(dest)))
	return gmhtml.IsDangerousURL(dest) || strings.HasPrefix(d, "data:") || strings.HasPrefix(d, "javascript:")
}

func renderLink(w util.BufWriter, _ []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	n := node.(*ast.Link)
	dest := util.URLEscape(n.Destination, true)
	if strings.HasPrefix(string(dest), "#") {
		dest = []byte(unescapeURL(string(dest))) // ids are letters of any script
	}
	if dangerous(dest) {
		return ast.WalkContinue, nil
	}
	if !entering {
		_, _ = w.WriteString("</a>")
		return ast.WalkContinue, nil
	}
	_, _ = w.WriteString("<a")
	if c, ok := n.AttributeString("class"); ok {
		_, _ = w.WriteString(` class="` + string(c.([]byte)) + `"`)
	}
	_, _ = w.WriteString(` href="` + string(util.EscapeHTML(dest)) + `"`)
	if isRemote(dest) {
		_, _ = w.WriteString(` rel="noreferrer"`)
	}
	if len(n.Title) > 0 {
		_, _ = w.WriteString(` title="` + html.EscapeString(string(unescape(n.Title))) + `"`)
	}
	_ = w.WriteByte('>')
	return ast.WalkContinue, nil
}

func isRemote(dest []byte) bool {
	return strings.HasPrefix(string(dest), "http:") || strings.HasPrefix(string(dest), "https:")
}

func renderAutoLink(w util.BufWriter, source []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	if !entering {
		return ast.WalkContinue, nil
	}
	n := node.(*ast.AutoLink)
	dest := util.URLEscape(n.URL(source), false)
	label := util.EscapeHTML(n.Label(source))
	if n.AutoLinkType == ast.AutoLinkEmail && !strings.HasPrefix(strings.ToLower(string(dest)), "mailto:") {
		dest = append([]byte("mailto:"), dest...)
	}
	if dangerous(dest) {
		_, _ = w.Write(label)
		return ast.WalkContinue, nil
	}
	_, _ = w.WriteString(`<a href="` + string(util.EscapeHTML(dest)) + `" rel="noreferrer">` + string(label) + "</a>")
	return ast.WalkContinue, nil
}

func renderTable(w util.BufWriter, _ []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	if !entering {
		_, _ = w.WriteString("</table></div>\n")
		return ast.WalkContinue, nil
	}
	label, _ := node.AttributeString("label")
	l, _ := label.([]byte)
	class := "table"
	if c, ok := node.AttributeString("class"); ok {
		class += " " + c.(string)
	}
	_, _ = w.WriteString(`<div class="` + class + `" role="region" tabindex="0" aria-label="` + html.EscapeString(string(l)) +
		"\"><table>\n")
	return ast.WalkContinue, nil
}

// renderTableHeader leaves out a header without a word: it heads nothing, and
// the first cell of each row heads the row instead.
func renderTableHeader(w util.BufWriter, _ []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	blank := isBlank(node)
	switch {
	case entering && blank:
		if node.NextSibling() != nil {
			_, _ = w.WriteString("<tbody>\n")
		}
		return ast.WalkSkipChildren, nil
	case entering:
		_, _ = w.WriteString("<thead>\n<tr>\n")
	case !blank:
		_, _ = w.WriteString("</tr>\n</thead>\n")
		if node.NextSibling() != nil {
			_, _ = w.WriteString("<tbody>\n")
		}
	}
	return ast.WalkContinue, nil
}

func isBlank(header ast.Node) bool {
	for c := header.FirstChild(); c != nil; c = c.NextSibling() {
		if c.HasChildren() {
			return false
		}
	}
	return true
}

func renderTableRow(w util.BufWriter, _ []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		_, _ = w.WriteString("<tr")
		if id, ok := node.AttributeString("id"); ok {
			_, _ = w.WriteString(` id="` + html.EscapeString(string(id.([]byte))) + `"`)
		}
		_, _ = w.WriteString(">\n")
		return ast.WalkContinue, nil
	}
	_, _ = w.WriteString("</tr>\n")
	if node.NextSibling() == nil {
		_, _ = w.WriteString("</tbody>\n")
	}
	return ast.WalkContinue, nil
}

func renderCell(w util.BufWriter, _ []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	n := node.(*extast.TableCell)
	tag, scope := "td", ""
	if n.Parent().Kind() == extast.KindTableHeader {
		tag, scope = "th", ` scope="col"`
		if !n.HasChildren() {
			tag, scope = "td", "" // an empty header cell heads nothing
		}
	} else if h, ok := n.AttributeString("heads"); ok && h == "row" {
		tag, scope = "th", ` scope="row"`
	}
	if !entering {
		_, _ = w.WriteString("</" + tag + ">\n")
		return ast.WalkContinue, nil
	}
	class := ""
	switch n.Alignment {
	case extast.AlignRight:
		class = ` class="right"`
	case extast.AlignCenter:
		class = ` class="center"`
	}
	_, _ = w.WriteString("<" + tag + scope + class)
	if l, ok := n.AttributeString("label"); ok {
		_, _ = w.WriteString(` data-label="` + html.EscapeString(l.(string)) + `"`)
	}
	_ = w.WriteByte('>')
	return ast.WalkContinue, nil
}

// renderTick draws a box to tick on paper; a form control would be dead here.
func renderTick(w util.BufWriter, _ []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		class, label := "tick", "to do"
		if node.(*extast.TaskCheckBox).IsChecked {
			class, label = "tick done", "done"
		}
		_, _ = w.WriteString(`<span class="` + class + `" role="img" aria-label="` + label + `"></span>`)
	}
	return ast.WalkContinue, nil
}
