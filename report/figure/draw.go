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
	d.sheet = sheet{c: &d.c, area: vg.Rectangle{Min: vg.Point{X: d.data.Min.X, Y: d.data.Min.Y + 1}, Max: vg.Point{X: full.Max.X - 1, Y: d.data.Max.Y + 10}}}
	if d.SecondY != nil { // keep off the numbers of the second scale
		d.sheet.taken = append(d.sheet.taken, vg.Rectangle{Min: vg.Point{X: d.data.Max.X, Y: d.data.Min.Y - 20}, Max: vg.Point{X: d.column - 2, Y: d.data.Max.Y + 20}})
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

func (d *drawing) level(l Level) []*label {
	st := draw.LineStyle{Color: limit, Width: 1.4, Dashes: []vg.Length{6, 4}}
	if l.Plain {
		st = draw.LineStyle{Color: palette[5], Width: 1, Dashes: []vg.Length{3, 3}}
	}
	y := d.point(d.x.min, l.Y, l.Second).Y
	if y < d.data.Min.Y-0.01 || y > d.data.Max.Y+0.01 {
		return nil
	}
	d.data.StrokeLine2(st, d.data.Min.X, y, d.data.Max.X, y)
	d.sheet.inked = append(d.sheet.inked, [2]vg.Point{{X: d.data.Min.X, Y: y}, {X: d.data.Max.X, Y: y}})
	if l.Name == "" {
		return nil
	}
	t := newLabel(l.Name, st.Color, vg.Point{X: d.data.Max.X, Y: y})
	t.lines, t.width = wrap(l.Name, 300)
	off := t.height()/2 + 2
	left, right := d.data.Min.X+t.width/2+6, d.data.Max.X-t.width/2-4
	for i := 0; i <= 8; i++ {
		x := right - (right-left)*vg.Length(i)/8
		t.places = append(t.places, vg.Point{X: x, Y: y + off}, vg.Point{X: x, Y: y - off})
	}
	return []*label{t}
}

func (d *drawing) line(l Line, n int) []*label {
	st := look(l.Style, n)
	if l.Solid {
		st.Dashes = nil
	}
	pts := make([]vg.Point, len(l.X))
	for i := range l.X {
		pts[i] = d.point(l.X[i], l.Y[i], l.Second)
	}
	pieces := d.data.ClipLinesXY(pts)
	d.data.StrokeLines(st, pieces...)
	var all []vg.Point
	for _, p := range pieces {
		for i := 1; i < len(p); i++ {
			d.sheet.inked = append(d.sheet.inked, [2]vg.Point{p[i-1], p[i]})
		}
		all = append(all, p...)
	}
	if l.Name == "" || len(all) == 0 {
		return nil
	}
	if l.At == 0 {
		end := all[len(all)-1]
		t := newLabel(l.Name, st.Color, end)
		if end.X > d.data.Max.X-12 && d.x.position(l.X[len(l.X)-1]) > 0.97 {
			d.ends = append(d.ends, t)
			return nil
		}
		return []*label{t.around(4)}
	}
	return []*label{newLabel(l.Name, st.Color, along(all, l.At)).around(3)}
}

// along is the point at a fraction of a polyline's length.
func along(p []vg.Point, fraction float64) vg.Point {
	total := 0.0
	for i := 1; i < len(p); i++ {
		total += distance(p[i-1], p[i])
	}
	rest := total * fraction
	for i := 1; i < len(p); i++ {
		s := distance(p[i-1], p[i])
		if rest <= s && s > 0 {
			f := vg.Length(rest / s)
			return vg.Point{X: p[i-1].X + f*(p[i].X-p[i-1].X), Y: p[i-1].Y + f*(p[i].Y-p[i-1].Y)}
		}
		rest -= s
	}
	return p[len(p)-1]
}

func (d *drawing) points(p Points, n int) (out []*label) {
	st := look(p.Style, n)
	shapes := []draw.GlyphDrawer{draw.CircleGlyph{}, draw.BoxGlyph{}, draw.PyramidGlyph{}}
	if p.Style != Automatic {
		n = int(p.Style) - 1
	}
	for i := range p.X {
		at := d.point(p.X[i], p.Y[i], p.Second)
		if !d.data.Contains(at) {
			continue
		}
		d.data.DrawGlyphNoClip(draw.GlyphStyle{Color: st.Color, Radius: 4, Shape: shapes[n%len(shapes)]}, at)
		d.sheet.taken = append(d.sheet.taken, vg.Rectangle{Min: vg.Point{X: at.X - 4, Y: at.Y - 4}, Max: vg.Point{X: at.X + 4, Y: at.Y + 4}})
		name := ""
		switch {
		case p.Texts != nil:
			name = p.Texts[i]
		case i == len(p.X)-1:
			name = p.Name
		}
		if name != "" {
			out = append(out, newLabel(name, st.Color, at).around(5))
		}
	}
	return out
}

func (d *drawing) stems(s Stems) (out []*label) {
	st := look(s.Style, 0)
	w := vg.Length(s.Width)
	if w == 0 {
		w = 18
	}
	base := d.data.Y(unit(d.y.position(s.Base)))
	for i := range s.X {
		top := d.point(s.X[i], s.Y[i], false)
		top.Y = min(max(top.Y, d.data.Min.Y), d.data.Max.Y)
		r := vg.Rectangle{Min: vg.Point{X: top.X - w/2, Y: min(base, top.Y)}, Max: vg.Point{X: top.X + w/2, Y: max(base, top.Y)}}
		d.c.FillPolygon(st.Color, []vg.Point{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}})
		d.sheet.taken = append(d.sheet.taken, r)
		if s.Texts != nil && s.Texts[i] != "" {
			l := newLabel(s.Texts[i], st.Color, top)
			off := l.height()/2 + 1
			l.places = []vg.Point{{X: top.X, Y: top.Y + off}, {X: top.X, Y: top.Y + off + 8}, {X: top.X, Y: top.Y + off + lineStep}}
			out = append(out, l)
		}
	}
	return out
}
