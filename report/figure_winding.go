package report

import (
	"fmt"
	"html"
	"math"
	"sort"
	"strings"

	"anodebook/compute"
	"anodebook/compute/stage/tank"
)

// Measures of the winding drawing, in units of the page's figures.
const (
	sheetWidth   = 480.0
	sheetMargin  = 22.0
	coilHighest  = 130.0 // of the thickest coil
	sheetLetter  = 11.0
	sheetGlyph   = 0.55 // width of a letter, in heights
	sheetRow     = 14.0
	sheetHeading = 34.0
)

// drawWinding puts the drawing of the coils among the figures, where there are
// coils to wind.
func (w *writer) drawWinding() {
	if svg := windingFigure(w.Design); svg != "" {
		w.doc.Figures["figures/winding.svg"] = svg
	}
}

// windingFigure draws the tank's single-layer coils from the side, one under
// the other and to one scale, with the taps where they are and the bands at
// them; nothing where no coil is to be wound.
func windingFigure(d *compute.Design) string {
	coils := d.Tank.Coils
	if len(coils) == 0 {
		return ""
	}
	longest, widest := 0.0, 0.0
	for _, c := range coils {
		longest, widest = math.Max(longest, c.Winding.Length()), math.Max(widest, c.Winding.Diameter+c.Conductor.Along())
	}
	scale := math.Min((sheetWidth-2*sheetMargin-60)/longest, coilHighest/widest) // units per metre
	var body strings.Builder
	var words []string
	y := 6.0
	for i := range coils {
		y = drawCoil(&body, &coils[i], scale, y)
		words = append(words, coilWords(&coils[i]))
	}
	y = scaleBar(&body, scale, y)
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %.0f" class="chart" role="img" aria-labelledby="winding-title winding-desc" fill="currentColor" font-size="%gpx" style="font-family:'Liberation Sans',Arial,Helvetica,sans-serif">`+
		`<title id="winding-title">Coils of the tank with their taps, to scale</title><desc id="winding-desc">%s</desc>`+"\n%s</svg>",
		sheetWidth, y, sheetLetter, html.EscapeString(strings.Join(words, " ")), body.String())
}

// coilWords says what the drawing of a coil shows.
func coilWords(c *tank.Coil) string {
	var taps []string
	for _, t := range c.Taps {
		taps = append(taps, fmt.Sprintf("%s at %.1f turns, %s along", bandName(t.Band), t.Turns, say(t.Turns*c.Winding.Pitch, "m")))
	}
	s := fmt.Sprintf("%s, %s: %.1f turns, mean diameter %s, length %s.", c.Designator, c.Name, c.Winding.Turns,
		say(c.Winding.Diameter, "m"), say(c.Winding.Length(), "m"))
	if len(taps) > 0 {
		s += fmt.Sprintf(" Taps counted from %s: %s.", c.Start, strings.Join(taps, "; "))
	}
	return s
}

// tapMark is where a tap's name stands under the coil.
type tapMark struct {
	x, width float64
	row      int
	text     string
	turns    float64
}

// tapMarks finds rows for the names of the taps, so that neither names nor the
// lines that lead to them cross: from the right, each in the highest row that
// nothing to its right reaches into.
func tapMarks(c *tank.Coil, x0, scale float64) []tapMark {
	var marks []tapMark
	for _, t := range c.Taps {
		text := fmt.Sprintf("%s: %.1f", bandName(t.Band), t.Turns)
		marks = append(marks, tapMark{x: x0 + t.Turns*c.Winding.Pitch*scale, text: text, turns: t.Turns, width: 8 +
			sheetGlyph*sheetLetter*float64(len([]rune(text)))})
	}
	sort.SliceStable(marks, func(i, j int) bool { return marks[i].x > marks[j].x })
	for i := range marks {
		for _, right := range marks[:i] {
			if right.x < marks[i].x+marks[i].width {
				marks[i].row = max(marks[i].row, right.row+1)
			}
		}
	}
	return marks
}

// drawCoil draws one coil below y and returns where the next may begin.
func drawCoil(out *strings.Builder, c *tank.Coil, scale, y float64) float64 {
	r, p := c.Winding.Diameter/2*scale, c.Winding.Pitch*scale
	thick := math.Max(1.5, c.Conductor.Along()*scale)
	x0 := sheetMargin
	axis := y + sheetHeading + r + thick/2
	put := func(format string, a ...any) { fmt.Fprintf(out, format+"\n", a...) }
	put(`<text x="%.1f" y="%.1f" font-weight="bold">%s, %s</text>`, x0, y+sheetLetter, c.Designator, html.EscapeString(c.Name))
	put(`<text x="%.1f" y="%.1f">%s</text>`, x0, y+sheetLetter+sheetRow,
		html.EscapeString(fmt.Sprintf("left end joins %s, right end %s", c.Start, c.End)))
	var front, back strings.Builder
	half := func(into *strings.Builder, from, to, s float64) {
		// half a turn seen from the side is a half cosine; a part of it ends early
		const parts = 8
		n := int(math.Ceil(parts * (to - from) * 2))
		for k := range n + 1 {
			at := from + (to-from)*float64(k)/float64(n)
			verb := "L"
			if k == 0 {
				verb = "M"
			}
			fmt.Fprintf(into, "%s%.1f %.1f", verb, x0+at*p, axis+r*math.Cos(2*math.Pi*at)*s)
		}
	}
	for at := 0.0; at < c.Winding.Turns-1e-9; at += 0.5 {
		into := &front
		if math.Mod(at, 1) != 0 {
			into = &back
		}
		half(into, at, math.Min(at+0.5, c.Winding.Turns), 1)
	}
	put(`<path d="%s" fill="none" stroke="#55626C" style="stroke:var(--figure-6,#55626C)" stroke-width="%.1f" stroke-opacity="0.25"/>`,
		back.String(), thick)
	put(`<path d="%s" fill="none" stroke="#846000" style="stroke:var(--figure-5,#846000)" stroke-width="%.1f" stroke-opacity="0.9" stroke-linejoin="round"/>`, front.String(), thick)
	bottom := axis + r + thick/2
	marks := tapMarks(c, x0, scale)
	rows := 0
	for _, m := range marks {
		rows = max(rows, m.row+1)
		text := bottom + 8 + sheetRow*float64(m.row+1)
		dot := axis + r*math.Cos(2*math.Pi*m.turns)
		put(`<path d="M%.1f %.1fV%.1f" fill="none" stroke="currentColor" stroke-width="0.8"/>`, m.x, dot, text)
		fill := "currentColor"
		if math.Mod(m.turns, 1) > 0.5 {
			fill = "none"
		}
		put(`<circle cx="%.1f" cy="%.1f" r="3" fill="%s" stroke="currentColor"/>`, m.x, dot, fill)
		put(`<text x="%.1f" y="%.1f">%s</text>`, m.x+3, text, html.EscapeString(m.text))
	}
	end := x0 + c.Winding.Length()*scale
	side := end + thick/2 + 10
	put(`<path d="M%.1f %.1fV%.1fM%.1f %.1fh8M%.1f %.1fh8" fill="none" stroke="currentColor" stroke-width="0.8"/>`, side, axis-r,
		axis+r, side-4, axis-r, side-4, axis+r)
	put(`<text x="%.1f" y="%.1f">%s</text>`, side+5, axis+4, html.EscapeString(say(c.Winding.Diameter, "m")))
	return bottom + 8 + sheetRow*float64(rows) + 18
}

// scaleBar draws the scale and what the marks mean.
func scaleBar(out *strings.Builder, scale, y float64) float64 {
	bar := 0.01
	for _, b := range []float64{0.02, 0.05, 0.1} {
		if b*scale <= 160 {
			bar = b
		}
	}
	x := sheetMargin
	fmt.Fprintf(out, `<path d="M%.1f %.1fv6h%.1fv-6" fill="none" stroke="currentColor"/>`+"\n", x, y, bar*scale)
	fmt.Fprintf(out, `<text x="%.1f" y="%.1f">%.0f mm; taps in turns from the left end, ○ at the far side</text>`+"\n", x+bar*scale+6,
		y+8, bar*1e3)
	return y + 16
}
