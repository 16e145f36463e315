package figure

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

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
		d.sheet.taken = append(d.sheet.taken, vg.Rectangle{Min: vg.Point{X: at.X - 4, Y: at.Y - 4},
			Max: vg.Point{X: at.X + 4, Y: at.Y + 4}})
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
