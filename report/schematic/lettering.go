package schematic

import (
	"fmt"
	"html"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"
)

const (
	textSize   = 14.0 // height of all lettering in drawing units
	lineHeight = 16.0
	labelWidth = 92.0 // longest line of a value
	labelGap   = 6.0
)

// Advances of glyphs in thousandths of an em, the same in the three faces that
// the sheets ask for (Adobe's published metrics of Helvetica). What is not here
// counts as wide.
var advances = func() map[rune]int {
	m := map[rune]int{}
	for width, glyphs := range map[int]string{
		222: "ijl", 278: " \u00a0!,./:;I[]\\tf", 333: "()-`r", 389: "*", 500: "Jckvsxyz", 556: "0123456789#$?L_abdeghnopqu–",
		584: "+<=>~×", 611: "FTZ", 667: "&ABEKPSVXY", 722: "CDHNRUw", 778: "GOQ", 833: "Mm", 889: "%", 944: "W", 1015: "@",
		576: "µ", 400: "°", 768: "Ω", 1000: "…—",
	} {
		for _, g := range glyphs {
			m[g] = width
		}
	}
	return m
}()

// boldFactor is how much wider bold lettering is, at most; lettering is
// measured with it, so that a face a little wider than those asked for fits.
const boldFactor = 1.08

type label struct {
	text string
	box  box
	svg  string
}

// side is where the lettering of a part stands.
type side int

const (
	right side = iota
	left
	above
	below
)

// beside letters one or more parts as one block at a side of d.
func (c *canvas) beside(d *device, where side, parts ...Part) {
	n := 0
	for _, p := range parts {
		n += 1 + len(wrap(p.Value))
	}
	h := float64(n) * lineHeight
	b := d.body
	mx, my := (b.x0+b.x1)/2, (b.y0+b.y1)/2
	switch where {
	case right:
		c.block(b.x1+labelGap, my-h/2, "start", parts...)
	case left:
		c.block(b.x0-labelGap, my-h/2, "end", parts...)
	case above:
		c.block(mx, b.y0-labelGap-h, "middle", parts...)
	case below:
		c.block(mx, b.y1+labelGap, "middle", parts...)
	}
}

// block letters parts line under line, from the top y.
func (c *canvas) block(x, y float64, anchor string, parts ...Part) {
	for _, p := range parts {
		lines := append([]string{shorten(p.Designator)}, wrap(p.Value)...)
		var s strings.Builder
		open, shut := "<g>", "</g>"
		if row := c.row(p.Designator); row != "" {
			open, shut = `<a href="#part-`+html.EscapeString(row)+`">`, "</a>"
		}
		s.WriteString(open + "<title>" + html.EscapeString(strings.TrimSpace(p.Designator+" "+p.Value)) + "</title>")
		for i, line := range lines {
			weight := ""
			if i == 0 {
				weight = ` font-weight="bold"`
			}
			s.WriteString(textElement(line, x, y+float64(i)*lineHeight, anchor, weight))
			if i == 0 {
				s.WriteString(shut)
			}
		}
		c.labels = append(c.labels, label{strings.Join(lines, "\n"), textBox(lines, x, y, anchor), s.String()})
		y += float64(len(lines)) * lineHeight
	}
}

// text letters one line; y is its top.
func (c *canvas) text(x, y float64, anchor, line string) {
	c.labels = append(c.labels, label{line, textBox([]string{line}, x, y, anchor), textElement(line, x, y, anchor, "")})
}

func textElement(line string, x, y float64, anchor, extra string) string {
	if anchor != "start" {
		extra += ` text-anchor="` + anchor + `"`
	}
	return fmt.Sprintf(`<text x="%s" y="%s"%s>%s</text>`, num(x), num(y+12.5), extra, html.EscapeString(line))
}

// textWidth is the room of a line in drawing units, with some to spare.
func textWidth(line string) float64 {
	sum := 0
	for _, r := range line {
		w, ok := advances[r]
		if !ok {
			w = 900
		}
		sum += w
	}
	return float64(sum) / 1000 * textSize * boldFactor
}

// fits tells whether a line is no longer than a label may be.
func fits(line string) bool { return textWidth(line) <= labelWidth }

func textBox(lines []string, x, y float64, anchor string) box {
	w := 0.0
	for _, l := range lines {
		w = math.Max(w, textWidth(l))
	}
	switch anchor {
	case "middle":
		x -= w / 2
	case "end":
		x -= w
	}
	return box{x, y, x + w, y + float64(len(lines))*lineHeight}
}

// wrap breaks a value into at most two lines, never between a number and its
// unit. What does not fit is cut with an ellipsis; the tooltip has it all.
func wrap(value string) []string {
	var words []string
	for _, w := range strings.Fields(value) {
		if n := len(words); n > 0 && (staysWith(words[n-1]) || w == ".." || w == ":") && fits(words[n-1]+" "+w) {
			words[n-1] += " " + w
			continue
		}
		words = append(words, w)
	}
	var lines []string
	for _, w := range words {
		if n := len(lines); n > 0 && (n == 2 || fits(lines[n-1]+" "+w)) {
			lines[n-1] += " " + w
			continue
		}
		lines = append(lines, w)
	}
	for i := range lines {
		lines[i] = shorten(lines[i])
	}
	return lines
}

// staysWith tells whether the next word must not be parted from w: the unit
// after a number, the factor after a multiplication sign.
func staysWith(w string) bool {
	last, _ := utf8.DecodeLastRuneInString(w)
	return unicode.IsDigit(last) || last == '×' || last == '/'
}

// shorten cuts a line to the width of a label.
func shorten(s string) string {
	if fits(s) {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && !fits(strings.TrimSpace(string(r))+"…") {
		r = r[:len(r)-1]
	}
	return strings.TrimSpace(string(r)) + "…"
}
