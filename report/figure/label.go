package figure

import (
	"image/color"
	"math"
	"sort"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const (
	labelSize = 12
	lineStep  = 14 // from one line of a label to the next
	maxLabel  = 108
)

// label is a text that must find its place.
type label struct {
	lines  []string
	width  vg.Length
	colour color.Color
	at     vg.Point   // what it names
	places []vg.Point // centres to try, best first
	leader bool       // a thin line to at if the text had to move away
	left   bool       // lines begin under one another; else centred
	patch  bool       // paper under it, for it stands on its own line
}

func textStyle(size vg.Length, c color.Color) text.Style {
	return text.Style{Color: c, Font: font.From(font.Font{Typeface: "Liberation", Variant: "Sans"}, size),
		Handler: text.Plain{Fonts: font.DefaultCache}, YAlign: draw.YCenter}
}

// Prepare reads the letters; else the first use does.
func Prepare() { textStyle(labelSize, color.Black).Width("0") }

// wrap breaks a text at spaces so that no line is wider than limit unless a
// word is.
func wrap(s string, limit vg.Length) (lines []string, width vg.Length) {
	st := textStyle(labelSize, color.Black)
	line := ""
	for _, word := range strings.Split(s, " ") {
		next := word
		if line != "" {
			next = line + " " + word
		}
		if line != "" && st.Width(next) > limit {
			lines = append(lines, line)
			next = word
		}
		line = next
	}
	lines = append(lines, line)
	for _, l := range lines {
		width = max(width, st.Width(l))
	}
	return lines, width
}

func newLabel(s string, c color.Color, at vg.Point) *label {
	l := &label{colour: c, at: at}
	l.lines, l.width = wrap(s, maxLabel)
	return l
}

func (l *label) height() vg.Length { return vg.Length(len(l.lines)) * lineStep }

// box is the rectangle of the label with its centre at p.
func (l *label) box(p vg.Point) vg.Rectangle {
	w, h := l.width/2+2, l.height()/2
	return vg.Rectangle{Min: vg.Point{X: p.X - w, Y: p.Y - h}, Max: vg.Point{X: p.X + w, Y: p.Y + h}}
}

// around adds places round the point, first the near ones.
func (l *label) around(gap vg.Length) *label {
	w, h := l.width/2+2, l.height()/2
	for _, far := range []vg.Length{0, 10, 24, 44, 70, 100} {
		g := gap + far
		for _, d := range [][2]vg.Length{{0, 1}, {1, 1}, {-1, 1}, {1, 0}, {-1, 0}, {0, -1}, {1, -1}, {-1, -1}} {
			dx := d[0] * (w + g)
			dy := d[1] * (h + g)
			if d[0] != 0 && d[1] != 0 {
				dx, dy = d[0]*(w+g*0.6), d[1]*(h+g*0.6)
			}
			l.places = append(l.places, vg.Point{X: l.at.X + dx, Y: l.at.Y + dy})
		}
	}
	l.leader = true
	return l
}

// sheet keeps account of what is taken.
type sheet struct {
	c      *draw.Canvas
	area   vg.Rectangle // where labels may stand
	taken  []vg.Rectangle
	inked  [][2]vg.Point // pieces of curves, which a label should not cover
	labels []*label
}

func overlap(a, b vg.Rectangle) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

func inside(a, b vg.Rectangle) bool {
	return a.Min.X >= b.Min.X && a.Max.X <= b.Max.X && a.Min.Y >= b.Min.Y && a.Max.Y <= b.Max.Y
}

// crossing counts the pieces of curves that touch the rectangle.
func (s *sheet) crossing(r vg.Rectangle) int {
	n := 0
	for _, p := range s.inked {
		if segmentTouches(p[0], p[1], r) {
			n++
		}
	}
	return n
}

// segmentTouches clips the segment to the rectangle (Liang–Barsky).
func segmentTouches(a, b vg.Point, r vg.Rectangle) bool {
	t0, t1 := 0.0, 1.0
	for _, e := range [][2]float64{
		{float64(a.X - b.X), float64(a.X - r.Min.X)}, {float64(b.X - a.X), float64(r.Max.X - a.X)},
		{float64(a.Y - b.Y), float64(a.Y - r.Min.Y)}, {float64(b.Y - a.Y), float64(r.Max.Y - a.Y)},
	} {
		switch p, q := e[0], e[1]; {
		case p == 0 && q < 0:
			return false
		case p < 0:
			t0 = math.Max(t0, q/p)
		case p > 0:
			t1 = math.Min(t1, q/p)
		}
	}
	return t0 <= t1
}

// place finds a free place for the label: of those tried the one that covers
// the least ink; if all are taken, the nearest free one on a grid over the
// whole area.
func (s *sheet) place(l *label) {
	grid := func() (out []vg.Point) {
		for y := s.area.Min.Y + l.height()/2; y <= s.area.Max.Y-l.height()/2; y += 5 {
			for x := s.area.Min.X + l.width/2 + 2; x <= s.area.Max.X-l.width/2-2; x += 9 {
				out = append(out, vg.Point{X: x, Y: y})
			}
		}
		sort.SliceStable(out, func(i, j int) bool { return distance(out[i], l.at) < distance(out[j], l.at) })
		return out
	}
	for round, places := range [][]vg.Point{l.places, nil} {
		if round == 1 {
			places = grid()
		}
		best, cost := -1, math.Inf(1)
		for i, p := range places {
			if float64(i) >= cost {
				break // even without a crossing it would not be better
			}
			r := l.box(p)
			if !inside(r, s.area) || s.isTaken(r) {
				continue
			}
			c := 8*float64(s.crossing(r)) + float64(i)
			if c < cost {
				best, cost = i, c
			}
		}
		if best >= 0 {
			s.put(l, places[best])
			return
		}
	}
	s.put(l, l.at) // not even the grid has room: a drawing with hundreds of labels
}

func distance(a, b vg.Point) float64 { return math.Hypot(float64(a.X-b.X), float64(a.Y-b.Y)) }

func (s *sheet) isTaken(r vg.Rectangle) bool {
	for _, t := range s.taken {
		if overlap(r, t) {
			return true
		}
	}
	return false
}

// put writes the label with its centre at p.
func (s *sheet) put(l *label, p vg.Point) {
	r := l.box(p)
	s.taken = append(s.taken, r)
	if l.patch {
		s.c.FillPolygon(paper, []vg.Point{{X: r.Min.X + 1, Y: r.Min.Y + 2}, {X: r.Max.X - 1, Y: r.Min.Y + 2},
			{X: r.Max.X - 1, Y: r.Max.Y - 2}, {X: r.Min.X + 1, Y: r.Max.Y - 2}})
	}
	if l.leader {
		// to the nearest point of the box
		near := vg.Point{X: min(max(l.at.X, r.Min.X), r.Max.X), Y: min(max(l.at.Y, r.Min.Y+3), r.Max.Y-3)}
		if distance(near, l.at) > 13 {
			s.c.StrokeLine2(draw.LineStyle{Color: l.colour, Width: 0.6}, l.at.X, l.at.Y, near.X, near.Y)
		}
	}
	st := textStyle(labelSize, l.colour)
	st.XAlign = draw.XCenter
	for i, line := range l.lines {
		x, y := p.X, r.Max.Y-lineStep/2-vg.Length(i)*lineStep
		if l.left {
			st.XAlign, x = draw.XLeft, r.Min.X+2
		}
		s.c.FillText(st, vg.Point{X: x, Y: y}, line)
	}
	s.labels = append(s.labels, l)
}

// column sets labels one under the other at the left edge x, each as near as
// may be to the height it names.
func (s *sheet) column(ls []*label, x vg.Length) {
	sort.SliceStable(ls, func(i, j int) bool { return ls[i].at.Y > ls[j].at.Y })
	y := make([]vg.Length, len(ls))
	for i, l := range ls { // from the top down
		y[i] = min(l.at.Y, s.area.Max.Y-l.height()/2)
		if i > 0 {
			y[i] = min(y[i], y[i-1]-ls[i-1].height()/2-l.height()/2)
		}
	}
	for i := len(ls) - 1; i >= 0; i-- { // and up again from the bottom
		low := s.area.Min.Y + ls[i].height()/2
		if i < len(ls)-1 {
			low = y[i+1] + ls[i+1].height()/2 + ls[i].height()/2
		}
		y[i] = max(y[i], low)
	}
	for i, l := range ls {
		if d := y[i] - l.at.Y; d > 4 || d < -4 {
			s.c.StrokeLine2(draw.LineStyle{Color: l.colour, Width: 0.6}, l.at.X+1, l.at.Y, x-2, y[i])
		}
		l.left = true
		s.put(l, vg.Point{X: x + l.width/2, Y: y[i]})
	}
}
