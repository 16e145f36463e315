package figure

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"anodebook/spec/testhelp"
)

func wellFormed(t *testing.T, s string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(s))
	for {
		_, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		require.NoError(t, err)
	}
}

// crowded is a chart whose line ends, points and limits all want the same
// place.
func crowded() Chart {
	c := Chart{Title: "Crowd <&>", Description: "d", X: Axis{Label: "Frequency", Unit: "Hz", Log: true},
		Y: Axis{Label: "Voltage", Unit: "V"}}
	for k := range 9 {
		c.Lines = append(c.Lines, Line{Name: fmt.Sprintf("line number %d of them", k), X: []float64{1e6, 3e7},
			Y: []float64{0, 2800 + float64(k)*5}})
		c.Points = append(c.Points, Points{X: []float64{5e6}, Y: []float64{1000 + float64(k)},
			Texts: []string{fmt.Sprintf("point %d", k)}})
	}
	c.Levels = []Level{{Name: "limit a", Y: 2800}, {Name: "limit b", Y: 2810}, {Name: "reference", Y: 2790, Plain: true}}
	c.Bands = []Band{{Name: "a band of its own", From: 2e6, To: 4e6}}
	return c
}

func TestRender(t *testing.T) {
	s, err := crowded().Render()
	require.NoError(t, err)
	wellFormed(t, s)
	assert.True(t,
		strings.HasPrefix(s,
			`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 480 310" class="chart" role="img" aria-labelledby="`))
	testhelp.Contains(t, s, "Crowd &lt;&amp;&gt;</title>")
	testhelp.Lacks(t, s, "<?xml")
	testhelp.Lacks(t, s, "#000000")
	testhelp.Contains(t, s, "stroke:#0065A3;stroke:var(--figure-1,#0065A3)")
	testhelp.Contains(t, s, ">Voltage (kV)</text>")
	testhelp.Contains(t, s, ">Frequency (MHz)</text>")
	testhelp.Contains(t, s, ">1.5</text>")
	again, err := crowded().Render()
	require.NoError(t, err)
	assert.Equal(t, s, again)
	file := Standalone(s)
	wellFormed(t, file)
	testhelp.Contains(t, file, `width="480" height="310"`)
	assert.Less(t, strings.Index(file, "</desc>"), strings.Index(file, "<rect"))
	off := Standalone(`<svg viewBox="-8 6 1360 706"><desc>d</desc><path/></svg>`)
	wellFormed(t, off)
	testhelp.Contains(t, off, `width="1360" height="706"`)
	testhelp.Contains(t, off, `</desc><rect x="-8" y="6" width="100%" height="100%" fill="#fff"/><path/>`)
}

func TestLabelsKeepApart(t *testing.T) {
	c := crowded()
	d := &drawing{Chart: c, x: c.X.settle(c.rangeX()), y: c.Y.settle(c.rangeY(false))}
	full := draw.New(vgsvg.New(width, 310))
	d.layout(full)
	d.paint()
	require.Len(t, d.sheet.labels, 9+9+3+1)
	r := d.sheet.taken
	var boxes []vg.Rectangle // texts only; points are 8 by 8
	for _, b := range r {
		if b.Max.X-b.Min.X > 9 {
			boxes = append(boxes, b)
		}
	}
	require.Len(t, boxes, 22)
	for i, a := range boxes {
		assert.True(t, inside(a, full.Rectangle), "label %d leaves the drawing: %v", i, a)
		for j := range i {
			b := boxes[j]
			b.Min.X, b.Min.Y, b.Max.X, b.Max.Y = b.Min.X+0.01, b.Min.Y+0.01, b.Max.X-0.01, b.Max.Y-0.01
			assert.False(t, overlap(a, b), "labels %d and %d overlap", i, j)
		}
	}
}

func TestErrors(t *testing.T) {
	good := Line{X: []float64{1, 2}, Y: []float64{1, 2}}
	field := func(f Field) *Field { return &f }
	for want, c := range map[string]Chart{
		"nothing to draw":          {},
		"no title":                 {Lines: []Line{good}},
		"2 X values and 1 Y":       {Lines: []Line{{X: []float64{1, 2}, Y: []float64{1}}}},
		"1 points, at least 2":     {Lines: []Line{{X: []float64{1}, Y: []float64{1}}}},
		"point 1 is not finite":    {Lines: []Line{{X: []float64{1, 2}, Y: []float64{1, math.NaN()}}}},
		"point 0 is not finite":    {Points: []Points{{X: []float64{math.Inf(1)}, Y: []float64{1}}}},
		"not above 0":              {Y: Axis{Log: true}, Lines: []Line{{X: []float64{1, 2}, Y: []float64{1, 0}}}},
		"no second scale":          {Lines: []Line{{X: []float64{1, 2}, Y: []float64{1, 2}, Second: true}}},
		"unknown unit":             {X: Axis{Unit: "furlong"}, Lines: []Line{good}},
		"range runs from 2 to 1":   {X: Axis{Min: 2, Max: 1}, Lines: []Line{good}},
		"logarithmic range begins": {X: Axis{Min: 0, Max: 1, Log: true}, Lines: []Line{good}},
		"2 texts for 1":            {Points: []Points{{X: []float64{1}, Y: []float64{1}, Texts: []string{"a", "b"}}}},
		"band \"b\": from 2 to 1":  {Lines: []Line{good}, Bands: []Band{{Name: "b", From: 2, To: 1}}},
		"level \"l\": NaN":         {Lines: []Line{good}, Levels: []Level{{Name: "l", Y: math.NaN()}}},
		"the base -Inf":            {Stems: []Stems{{X: []float64{1}, Y: []float64{1}, Base: math.Inf(-1)}}},
		"rows are missing":         {Field: field(Field{X: []float64{1, 2}, Y: []float64{1, 2}})},
		"levels do not increase": {Field: field(Field{X: []float64{1, 2}, Y: []float64{1, 2}, Z: [][]float64{{1, 2}, {3, 4}},
			Levels: []Contour{{2, ""}, {1, ""}}})},
		"grid does not increase": {Field: field(Field{X: []float64{1, 1}, Y: []float64{1, 2}, Z: [][]float64{{1, 2}, {3, 4}},
			Levels: []Contour{{2, ""}}})},
		"height 3": {Height: 3, Lines: []Line{good}},
	} {
		if want != "no title" {
			c.Title = "t"
		}
		s, err := c.Render()
		assert.ErrorContains(t, err, want)
		assert.Empty(t, s)
	}
}

func TestOddButRightCharts(t *testing.T) {
	for name, c := range map[string]Chart{
		"one point":      {Points: []Points{{X: []float64{5}, Y: []float64{5}, Texts: []string{"here"}}}},
		"level line":     {Y: Axis{Unit: "V"}, Lines: []Line{{X: []float64{1, 2}, Y: []float64{0, 0}}}},
		"log, one value": {X: Axis{Log: true}, Lines: []Line{{X: []float64{2, 2}, Y: []float64{1, 2}}}},
		"outside its axes": {X: Axis{Min: 10, Max: 20}, Lines: []Line{{Name: "n", X: []float64{1, 2}, Y: []float64{1, 2}}},
			Levels: []Level{{Y: 1}}},
		"six decades":  {Y: Axis{Log: true, Unit: "Ω"}, Lines: []Line{{Name: "z", X: []float64{1, 2}, Y: []float64{1, 1e6}}}},
		"long name":    {Lines: []Line{{Name: strings.Repeat("very long words ", 20), X: []float64{0, 1}, Y: []float64{0, 1}}}},
		"temperatures": {Y: Axis{Label: "Inlet", Unit: "°C"}, Lines: []Line{{X: []float64{0, 1}, Y: []float64{293.15, 318.15}}}},
	} {
		c.Title = name
		s, err := c.Render()
		require.NoError(t, err, name)
		wellFormed(t, s)
		testhelp.Lacks(t, s, "NaN", name)
		testhelp.Lacks(t, s, "Inf,", name)
		if name == "temperatures" {
			testhelp.Contains(t, s, ">Inlet (°C)</text>")
			testhelp.Contains(t, s, ">45</text>")
		}
	}
}

func TestTicks(t *testing.T) {
	labels := func(s scale) (out []string) {
		for _, t := range s.ticks {
			out = append(out, t.Label)
		}
		return out
	}
	a := Axis{Label: "I", Unit: "A"}
	s := a.settle(0, 0.41, 5)
	assert.Equal(t, "I (mA)", s.title)
	assert.Equal(t, []string{"0", "100", "200", "300", "400", "500"}, labels(s))
	a = Axis{Label: "phase", Unit: "°"}
	s = a.settle(0, 2*math.Pi, 6)
	assert.Equal(t, []string{"0", "60", "120", "180", "240", "300", "360"}, labels(s))
	a = Axis{Unit: "dB", Min: -80, Max: -20}
	s = a.settle(0, 0, 5)
	assert.Equal(t, []string{"−80", "−60", "−40", "−20"}, labels(s))
	a = Axis{Label: "f", Unit: "Hz", Log: true}
	s = a.settle(1.8e6, 30e6, 6)
	assert.Equal(t, "f (MHz)", s.title)
	assert.Equal(t, []string{"2", "5", "10", "20"}, labels(s))
	assert.InDelta(t, 0, s.position(1.8e6), 1e-12)
	assert.InDelta(t, 1, s.position(30e6), 1e-12)
}

// On the plane z = x + y the contour z = 1 is the straight line from (1, 0)
// to (0, 1), and chain joins its pieces to one.
func TestContourOfAPlane(t *testing.T) {
	var pieces [][2]vg.Point
	const n = 8
	at := func(i, j int) corner {
		x, y := float64(j)/n, float64(i)/n
		return corner{vg.Point{X: vg.Length(x), Y: vg.Length(y)}, x + y - 0.03}
	}
	area := 0.0
	for i := range n {
		for j := range n {
			for _, tr := range [][3]corner{{at(i, j), at(i, j+1), at(i+1, j+1)}, {at(i, j), at(i+1, j+1), at(i+1, j)}} {
				if s, ok := cut(tr, 1); ok {
					pieces = append(pieces, s)
				}
				p := above(tr, 1)
				for k := range p {
					q := p[(k+1)%len(p)]
					area += 0.5 * float64(p[k].X*q.Y-q.X*p[k].Y) * sign(tr)
				}
			}
		}
	}
	chains := chain(pieces)
	require.Len(t, chains, 1)
	for _, p := range chains[0] {
		assert.InDelta(t, 1.03, float64(p.X+p.Y), 1e-12)
	}
	assert.InDelta(t, 0.97*0.97/2, area, 1e-12, "the part above is a triangle")
}

func sign(t [3]corner) float64 {
	a, b, c := t[0].p, t[1].p, t[2].p
	return math.Copysign(1, float64((b.X-a.X)*(c.Y-a.Y)-(c.X-a.X)*(b.Y-a.Y)))
}

func TestStyleSheetKnowsTheColours(t *testing.T) {
	testhelp.Matches(t, regexp.MustCompile(`^--figure-1$`), property["#0065A3"])
	assert.Len(t, property, len(palette)+4, "no two roles share a colour")
}

func BenchmarkRender(b *testing.B) {
	c := crowded()
	for b.Loop() {
		if _, err := c.Render(); err != nil {
			b.Fatal(err)
		}
	}
}

// A band of a few hundred kilohertz must still have marks on its scale.
func TestNarrowLogAxis(t *testing.T) {
	a := Axis{Unit: "Hz", Log: true}
	s := a.settle(3.5e6, 4e6, 6)
	assert.NotEmpty(t, s.ticks)
}

// Two quantities over one plane: each in its own style, its values on paper
// that keeps the lines off the digits.
func TestTwoFields(t *testing.T) {
	f := func(style Style, slope float64) *Field {
		out := &Field{X: []float64{0, 1, 2}, Y: []float64{0, 1, 2}, Style: style, Levels: []Contour{{Z: 1.5, Text: "one and a half"}}}
		for _, y := range out.Y {
			out.Z = append(out.Z, []float64{y, y + slope, y + 2*slope})
		}
		return out
	}
	c := Chart{Title: "two", Field: f(Automatic, 0.2), SecondField: f(Second, -0.2)}
	s, err := c.Render()
	require.NoError(t, err)
	wellFormed(t, s)
	assert.Equal(t, 1, strings.Count(s, "stroke-dasharray"), "the second field's contour alone is dashed")
	assert.Equal(t, 2, strings.Count(s, "fill:var(--figure-halo,#FFFFFF)"))
	c.SecondField.Levels = nil
	_, err = c.Render()
	assert.ErrorContains(t, err, "no levels")
}

func TestLinesDiffer(t *testing.T) {
	seen := map[string]bool{}
	for n := range 3 * len(palette) {
		l := look(Automatic, n)
		k := fmt.Sprint(l.Color, l.Dashes)
		assert.False(t, seen[k], "line %d looks like an earlier one", n)
		seen[k] = true
	}
	c := Chart{Title: "solid", Lines: []Line{{X: []float64{0, 1}, Y: []float64{0, 1}, Style: Second, Solid: true}}}
	s, err := c.Render()
	require.NoError(t, err)
	testhelp.Lacks(t, s, "stroke-dasharray")
}
