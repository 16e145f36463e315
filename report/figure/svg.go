package figure

import (
	"bytes"
	"fmt"
	"hash/fnv"
	"html"
	"image/color"
	"regexp"
	"strings"

	"gonum.org/v1/plot/vg/vgsvg"
)

const family = "'Liberation Sans',Arial,Helvetica,sans-serif"

// property names the custom property by which a page's style sheet replaces a
// colour.
var property = func() map[string]string {
	m := map[string]string{}
	name := func(c color.RGBA, p string) { m[fmt.Sprintf("#%02X%02X%02X", c.R, c.G, c.B)] = p }
	for i, c := range palette {
		name(c, fmt.Sprintf("--figure-%d", i+1))
	}
	name(limit, "--figure-limit")
	name(grid, "--figure-grid")
	name(shade, "--figure-shade")
	name(paper, "--figure-halo")
	return m
}()

var (
	openSVG   = regexp.MustCompile(`(?s)^.*?<svg [^>]*>`)
	fontStyle = regexp.MustCompile(`font-family:[^;"]*;(?:font-(?:variant|weight|style):[^;"]*;)*`)
)

// finish turns what the plotting library wrote into an element for a page: no
// declarations, no fixed size, text in the reader's colours.
func (c *Chart) finish(canvas *vgsvg.Canvas, height float64) (string, error) {
	var raw bytes.Buffer
	if _, err := canvas.WriteTo(&raw); err != nil {
		return "", fmt.Errorf("figure %q: %w", c.Title, err)
	}
	s := openSVG.ReplaceAllString(raw.String(), "")
	s = fontStyle.ReplaceAllString(s, "")
	s = strings.ReplaceAll(s, "\n\tstyle", " style")
	s = recolour(s)
	id := c.ID
	if id == "" {
		h := fnv.New64a()
		_, _ = h.Write([]byte(c.Title + "\x00" + c.Description))
		id = fmt.Sprintf("chart-%x", h.Sum64())
	}
	id = html.EscapeString(id)
	head := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %g" class="chart" role="img" aria-labelledby="%s-title %s-desc" fill="currentColor" style="font-family:%s">`+
		`<title id="%s-title">%s</title><desc id="%s-desc">%s</desc>`+"\n"+
		`<g style="paint-order:stroke">`+"\n",
		width, height, id, id, family, id, html.EscapeString(c.Title), id, html.EscapeString(c.Description))
	s = strings.TrimSpace(s)
	s = strings.TrimSuffix(s, "</svg>")
	return head + halo(s) + "</g>\n</svg>", nil
}

// recolour puts the reader's colours in place of fixed ones in every fill and
// stroke.
func recolour(s string) string {
	var out strings.Builder
	out.Grow(len(s) + len(s)/4)
	for {
		i := strings.Index(s, ":#")
		if i < 0 || i+8 > len(s) {
			out.WriteString(s)
			return out.String()
		}
		what, value := "", s[i+1:i+8]
		for _, w := range []string{"fill", "stroke"} {
			if strings.HasSuffix(s[:i], w) {
				what = w
			}
		}
		out.WriteString(s[:i+1])
		switch p, ok := property[value]; {
		case what != "" && value == "#000000":
			out.WriteString("currentColor")
		case what != "" && ok:
			// programs that do not know var() keep the first declaration
			out.WriteString(value + ";" + what + ":var(" + p + "," + value + ")")
		default:
			out.WriteString(value)
		}
		s = s[i+8:]
	}
}

var textTag = regexp.MustCompile(`(<text [^>]*style=")`)

// halo puts a rim in the colour of the paper round every text, for the places
// where it crosses a line.
func halo(s string) string {
	return textTag.ReplaceAllString(s, `${1}stroke:#FFF;stroke:var(--figure-halo,#FFF);stroke-width:2.5px;`)
}

var viewBox = regexp.MustCompile(`viewBox="(-?[0-9.]+) (-?[0-9.]+) ([0-9.]+) ([0-9.]+)"`)

// Standalone makes a file of an inline drawing, a chart or any other: with a declaration, a size and
// white paper under it, so that it reads in any viewer, a dark one too.
func Standalone(svg string) string {
	m := viewBox.FindStringSubmatch(svg)
	end := strings.IndexByte(svg, '>')
	if m == nil || end < 0 {
		return svg
	}
	head := svg[:end] + fmt.Sprintf(` width="%s" height="%s" color="#1e2428">`, m[3], m[4])
	body := svg[end+1:]
	// the paper comes after title and description, which must come first
	at := 0
	if i := strings.Index(body, "</desc>"); i >= 0 {
		at = i + len("</desc>")
	}
	paper := fmt.Sprintf(`<rect x="%s" y="%s" width="100%%" height="100%%" fill="#fff"/>`, m[1], m[2])
	return `<?xml version="1.0" encoding="UTF-8"?>` + "\n" + head + body[:at] + paper + body[at:] + "\n"
}
