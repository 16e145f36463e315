package figure

import (
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

const width = 480 // of every drawing, in its own units

// The colours follow the palette of Okabe and Ito for colour-blind readers,
// darkened so that text in them is legible on white; the page's style sheet
// may replace each through a custom property, see svg.go.
var (
	palette = []color.RGBA{hex(0x0065A3), hex(0xB84A00), hex(0x00735A), hex(0x963A72), hex(0x846000), hex(0x55626C)}
	limit   = hex(0xA81C14)
	grid    = hex(0xDEDBD0)
	shade   = hex(0xE6ECF0)
	paper   = hex(0xFFFFFF)
	ink     = color.Color(color.Black)
	dashes  = [][]vg.Length{nil, {8, 3}, {2.5, 2.5}, {9, 3, 2, 3}, {14, 4}, {5, 2, 1.5, 2, 1.5, 2}}
)

func hex(v uint32) color.RGBA {
	return color.RGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 255}
}

// look is the pen of the n-th automatic line or of a chosen style.
func look(s Style, n int) draw.LineStyle {
	if s == Faint {
		return draw.LineStyle{Color: palette[5], Width: 0.9}
	}
	if s != Automatic {
		n = int(s) - 1
	}
	// the second round pairs the colours with other dashes
	return draw.LineStyle{Color: palette[n%len(palette)], Width: 2, Dashes: dashes[(n+n/len(palette))%len(dashes)]}
}

// Render draws the chart. The result is an <svg> element without declarations
// or fixed size; the error names everything in the chart that cannot be drawn.
func (c Chart) Render() (string, error) {
	if err := c.check(); err != nil {
		return "", err
	}
	height := c.Height
	if height == 0 {
		height = 310
	}
	canvas := vgsvg.New(width, vg.Length(height))
	full := draw.New(canvas)
	c.fitField()
	d := &drawing{Chart: c, x: c.X.settle(c.rangeX()), y: c.Y.settle(c.rangeY(false))}
	if c.SecondY != nil {
		d.y2 = c.SecondY.settle(c.rangeY(true))
	}
	d.layout(full)
	d.paint()
	return c.finish(canvas, height)
}

// drawing is a chart on its way to paper.
type drawing struct {
	Chart
	x, y, y2 scale
	c        draw.Canvas // the whole drawing
	data     draw.Canvas // within the axes
	sheet    sheet
	ends     []*label // in the column at the right
	column   vg.Length
	contours [][2]vg.Point // ink of the field
	heights  []*label      // values at its contours
}

// fitField makes the axes end where the field does, unless they are given.
func (c *Chart) fitField() {
	if c.Field == nil {
		return
	}
	x, y := c.Field.X, c.Field.Y
	if !c.X.given() {
		c.X.Min, c.X.Max = x[0], x[len(x)-1]
	}
	if !c.Y.given() {
		c.Y.Min, c.Y.Max = y[0], y[len(y)-1]
	}
}

func (c *Chart) rangeX() (low, high float64, want int) {
	low, high = math.Inf(1), math.Inf(-1)
	see := func(v float64) { low, high = math.Min(low, v), math.Max(high, v) }
	c.each(func(x, _ float64, _ bool) { see(x) })
	if low > high {
		low, high = 0, 1
	}
	return low, high, 6
}

func (c *Chart) rangeY(second bool) (low, high float64, want int) {
	low, high = math.Inf(1), math.Inf(-1)
	see := func(v float64) { low, high = math.Min(low, v), math.Max(high, v) }
	c.each(func(_, y float64, s bool) {
		if s == second {
			see(y)
		}
	})
	for _, l := range c.Levels {
		if l.Second == second {
			see(l.Y)
		}
	}
	if !second {
		for _, s := range c.Stems {
			see(s.Base)
		}
	}
	if low > high {
		low, high = 0, 1
	}
	return low, high, 6
}

func (c *Chart) each(f func(x, y float64, second bool)) {
	for _, l := range c.Lines {
		for i := range l.X {
			f(l.X[i], l.Y[i], l.Second)
		}
	}
	for _, p := range c.Points {
		for i := range p.X {
			f(p.X[i], p.Y[i], p.Second)
		}
	}
	for _, s := range c.Stems {
		for i := range s.X {
			f(s.X[i], s.Y[i], false)
		}
	}
}

func (d *drawing) point(x, y float64, second bool) vg.Point {
	s := &d.y
	if second {
		s = &d.y2
	}
	return vg.Point{X: d.data.X(d.x.position(x)), Y: d.data.Y(s.position(y))}
}

// layout draws the axes and divides the drawing.
func (d *drawing) layout(full draw.Canvas) {
	d.c = full
	small := textStyle(11, ink)
	right := vg.Length(10)
	if d.SecondY != nil {
		for _, t := range d.y2.ticks {
			right = max(right, small.Width(t.Label)+10)
		}
	}
	names := vg.Length(0)
	for _, l := range d.Lines {
		if l.Name != "" && l.At == 0 && d.x.position(l.X[len(l.X)-1]) > 0.97 {
			_, w := wrap(l.Name, maxLabel)
			names = max(names, w+10)
		}
	}
	p := plot.New()
	p.BackgroundColor = nil
	axis := func(a *plot.Axis, s *scale) {
		a.Min, a.Max, a.Padding = s.min, s.max, 0
		a.Tick.Label.Font, a.Tick.Label.Handler = small.Font, small.Handler
		a.Label.TextStyle.Font = textStyle(labelSize, ink).Font
		a.Tick.Marker = s.ticks
		a.Width, a.Tick.Width = 0.9, 0.9
		if s.log {
			a.Scale = plot.LogScale{}
		}
	}
	axis(&p.X, &d.x)
	axis(&p.Y, &d.y)
	p.X.Label.Text, p.X.Label.Padding = d.x.title, 4
	p.X.Tick.Length = 4
	p.Y.Width, p.Y.Tick.Length, p.Y.Tick.Width = 0, 5, 0
	body := draw.Crop(full, 2, -right-names, 2, -26)
	d.data = p.DataCanvas(body)
	for _, t := range d.y.ticks {
		if pos := d.y.position(t.Value); pos > 1e-6 && pos < 1+1e-6 {
			d.data.StrokeLine2(draw.LineStyle{Color: grid, Width: 0.8}, d.data.Min.X, d.data.Y(pos), d.data.Max.X, d.data.Y(pos))
		}
	}
	d.bands()
	d.fields()
	p.Draw(body)
	st := textStyle(labelSize, ink)
	top := full.Max.Y - 9
	full.FillText(st, vg.Point{X: full.Min.X + 2, Y: top}, d.y.title)
	d.column = d.data.Max.X + 6
	if d.SecondY != nil {
		for _, t := range d.y2.ticks {
			if pos := d.y2.position(t.Value); pos > -1e-6 && pos < 1+1e-6 {
				y := d.data.Y(pos)
				d.c.StrokeLine2(draw.LineStyle{Color: ink, Width: 0.9}, d.data.Max.X, y, d.data.Max.X+4, y)
				d.c.FillText(small, vg.Point{X: d.data.Max.X + 7, Y: y}, t.Label)
			}
		}
		d.c.StrokeLine2(draw.LineStyle{Color: ink, Width: 0.9}, d.data.Max.X, d.data.Min.Y, d.data.Max.X, d.data.Max.Y)
		st.XAlign = draw.XRight
		full.FillText(st, vg.Point{X: full.Max.X - 2, Y: top}, d.y2.title)
		d.column = d.data.Max.X + right + 2
	}
	d.sheet = sheet{c: &d.c, area: vg.Rectangle{Min: vg.Point{X: d.data.Min.X, Y: d.data.Min.Y + 1},
		Max: vg.Point{X: full.Max.X - 1, Y: d.data.Max.Y + 10}}}
	if d.SecondY != nil { // keep off the numbers of the second scale
		d.sheet.taken = append(d.sheet.taken, vg.Rectangle{Min: vg.Point{X: d.data.Max.X, Y: d.data.Min.Y - 20},
			Max: vg.Point{X: d.column - 2, Y: d.data.Max.Y + 20}})
	}
}

func (d *drawing) bands() {
	for _, b := range d.Bands {
		r := d.bandBox(b)
		d.data.FillPolygon(shade, []vg.Point{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}})
	}
}

func (d *drawing) bandBox(b Band) vg.Rectangle {
	r := d.data.Rectangle
	if b.OnY {
		r.Min.Y, r.Max.Y = d.data.Y(unit(d.y.position(b.From))), d.data.Y(unit(d.y.position(b.To)))
	} else {
		r.Min.X, r.Max.X = d.data.X(unit(d.x.position(b.From))), d.data.X(unit(d.x.position(b.To)))
	}
	return r
}

func unit(v float64) float64 { return math.Min(1, math.Max(0, v)) }

// paint draws the data first and the texts afterwards.
func (d *drawing) paint() {
	var later []*label
	for _, s := range d.Stems {
		later = append(later, d.stems(s)...)
	}
	for _, l := range d.Levels {
		later = append(later, d.level(l)...)
	}
	for i, l := range d.Lines {
		later = append(later, d.line(l, i)...)
	}
	for i, p := range d.Points {
		later = append(later, d.points(p, len(d.Lines)+i)...)
	}
	d.sheet.column(d.ends, d.column)
	for _, l := range d.heights { // on their own lines, each further round
		d.sheet.place(l)
	}
	d.sheet.inked = append(d.sheet.inked, d.contours...)
	for _, l := range later {
		d.sheet.place(l)
	}
	for _, b := range d.Bands {
		if b.Name == "" {
			continue
		}
		r := d.bandBox(b)
		l := newLabel(b.Name, ink, vg.Point{X: (r.Min.X + r.Max.X) / 2, Y: (r.Min.Y + r.Max.Y) / 2})
		if !b.OnY {
			l.lines, l.width = wrap(b.Name, max(40, r.Max.X-r.Min.X-6))
		}
		h := l.height()/2 + 2
		x := l.at.X
		if b.OnY {
			x = r.Min.X + l.width/2 + 6
		}
		for _, y := range []vg.Length{r.Max.Y - h, r.Max.Y - h - lineStep, l.at.Y, r.Min.Y + h} {
			l.places = append(l.places, vg.Point{X: x, Y: y})
		}
		d.sheet.place(l)
	}
}
