package figure

import (
	"errors"
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
)

// Field is a quantity over the plane of the chart, drawn as contour lines with
// their values, or with the parts above the levels tinted.
type Field struct {
	X, Y   []float64   // increasing
	Z      [][]float64 // Z[i][j] at X[j], Y[i]
	Levels []Contour   // increasing
	Tinted bool        // the higher, the darker
	Style  Style       // of the contour lines; First if Automatic
}

// Contour is one level of a field.
type Contour struct {
	Z    float64
	Text string
}

func (f *Field) check() error {
	if len(f.X) < 2 || len(f.Y) < 2 || len(f.Z) != len(f.Y) {
		return errors.New("field: the grid is smaller than 2 by 2, or rows are missing")
	}
	for i, row := range f.Z {
		if len(row) != len(f.X) {
			return fmt.Errorf("field: row %d has %d values, %d wanted", i, len(row), len(f.X))
		}
		for _, v := range row {
			if !finite(v) {
				return fmt.Errorf("field: row %d is not finite", i)
			}
		}
	}
	for _, axis := range [][]float64{f.X, f.Y} {
		for i, v := range axis {
			if !finite(v) || i > 0 && v <= axis[i-1] {
				return errors.New("field: the grid does not increase")
			}
		}
	}
	if len(f.Levels) == 0 {
		return errors.New("field: no levels")
	}
	if f.Style < 0 || f.Style > Faint {
		return errors.New("field: unknown style")
	}
	for i, l := range f.Levels {
		if !finite(l.Z) || i > 0 && l.Z <= f.Levels[i-1].Z {
			return errors.New("field: the levels do not increase")
		}
	}
	return nil
}

// corner is a point of the grid in the drawing, with its value.
type corner struct {
	p vg.Point
	z float64
}

// fields draws first the one field, then the other over it.
func (d *drawing) fields() {
	for _, f := range []*Field{d.Field, d.SecondField} {
		if f != nil {
			d.field(f)
		}
	}
}

// field draws the tints and the lines; each cell is cut in two triangles,
// within which the field is taken as plane.
func (d *drawing) field(f *Field) {
	xs, ys := make([]vg.Length, len(f.X)), make([]vg.Length, len(f.Y))
	for j, v := range f.X {
		xs[j] = d.data.X(d.x.position(v))
	}
	for i, v := range f.Y {
		ys[i] = d.data.Y(d.y.position(v))
	}
	at := func(i, j int) corner { return corner{vg.Point{X: xs[j], Y: ys[i]}, f.Z[i][j]} }
	if f.Tinted {
		for _, l := range f.Levels {
			var path vg.Path
			for i := 0; i+1 < len(f.Y); i++ {
				for j := 0; j+1 < len(f.X); {
					// a run of cells that lie wholly above is one rectangle
					run := j
					for run+1 < len(f.X) && min(f.Z[i][run], f.Z[i][run+1], f.Z[i+1][run], f.Z[i+1][run+1]) >= l.Z {
						run++
					}
					if run > j {
						trace(&path, []vg.Point{at(i, j).p, at(i, run).p, at(i+1, run).p, at(i+1, j).p})
						j = run
						continue
					}
					a, b, c, e := at(i, j), at(i, j+1), at(i+1, j+1), at(i+1, j)
					trace(&path, d.data.ClipPolygonXY(above([3]corner{a, b, c}, l.Z)))
					trace(&path, d.data.ClipPolygonXY(above([3]corner{a, c, e}, l.Z)))
					j++
				}
			}
			if len(path) > 0 {
				d.c.SetColor(color.NRGBA{R: palette[0].R, G: palette[0].G, B: palette[0].B, A: uint8(14 + 80/len(f.Levels))})
				d.c.Fill(path)
			}
		}
	}
	for _, l := range f.Levels {
		var pieces [][2]vg.Point
		for i := 0; i+1 < len(f.Y); i++ {
			for j := 0; j+1 < len(f.X); j++ {
				z := [4]float64{f.Z[i][j], f.Z[i][j+1], f.Z[i+1][j+1], f.Z[i+1][j]}
				if max(z[0], z[1], z[2], z[3]) < l.Z || min(z[0], z[1], z[2], z[3]) >= l.Z {
					continue
				}
				a, b, c, e := at(i, j), at(i, j+1), at(i+1, j+1), at(i+1, j)
				for _, t := range [][3]corner{{a, b, c}, {a, c, e}} {
					if s, ok := cut(t, l.Z); ok {
						pieces = append(pieces, s)
					}
				}
			}
		}
		d.contour(f, l, pieces)
	}
}

// trace adds a closed outline to a path.
func trace(path *vg.Path, outline []vg.Point) {
	for k, p := range outline {
		if k == 0 {
			path.Move(p)
		} else {
			path.Line(p)
		}
	}
	if len(outline) > 0 {
		path.Close()
	}
}

// between is where the edge from a to b meets level z.
func between(a, b corner, z float64) vg.Point {
	f := vg.Length((z - a.z) / (b.z - a.z))
	return vg.Point{X: a.p.X + f*(b.p.X-a.p.X), Y: a.p.Y + f*(b.p.Y-a.p.Y)}
}

// cut is the piece of the contour within a triangle. A corner on the level
// counts as above it.
func cut(t [3]corner, z float64) ([2]vg.Point, bool) {
	var out [2]vg.Point
	n := 0
	for k := range t {
		a, b := t[k], t[(k+1)%3]
		if (a.z >= z) != (b.z >= z) && n < 2 {
			out[n] = between(a, b, z)
			n++
		}
	}
	return out, n == 2 && out[0] != out[1]
}

// above is the part of a triangle at or above the level.
func above(t [3]corner, z float64) []vg.Point {
	var out []vg.Point
	for k := range t {
		a, b := t[k], t[(k+1)%3]
		if a.z >= z {
			out = append(out, a.p)
		}
		if (a.z >= z) != (b.z >= z) {
			out = append(out, between(a, b, z))
		}
	}
	return out
}

// contour strokes the pieces of one level as one path and leaves its label
// for later.
func (d *drawing) contour(f *Field, l Contour, pieces [][2]vg.Point) {
	st := look(f.Style, 0)
	st.Width = 1.1
	chains := chain(pieces)
	var path vg.Path
	longest, total := []vg.Point(nil), 0.0
	for _, ch := range chains {
		for _, p := range d.data.ClipLinesXY(ch) {
			length := 0.0
			for k, q := range p {
				if k == 0 {
					path.Move(q)
				} else {
					path.Line(q)
					length += distance(p[k-1], q)
					d.contours = append(d.contours, [2]vg.Point{p[k-1], q})
				}
			}
			if length > total {
				longest, total = p, length
			}
		}
	}
	if len(path) == 0 {
		return
	}
	d.c.SetLineStyle(st)
	d.c.Stroke(path)
	if l.Text == "" || total < 20 {
		return
	}
	t := newLabel(l.Text, st.Color, along(longest, 0.5))
	t.patch = !f.Tinted
	for k := range 24 { // on its own line, the next level a bit further round
		f := math.Mod(0.5+float64(len(d.heights))*0.37+float64(k)/24, 1)
		t.places = append(t.places, along(longest, f))
	}
	d.heights = append(d.heights, t)
}

// chain joins pieces that share an end.
func chain(pieces [][2]vg.Point) [][]vg.Point {
	type key [2]int64
	at := func(p vg.Point) key { return key{int64(p.X*1e4 + 0.5), int64(p.Y*1e4 + 0.5)} }
	byEnd := map[key][]int{}
	for i, s := range pieces {
		byEnd[at(s[0])] = append(byEnd[at(s[0])], i)
		byEnd[at(s[1])] = append(byEnd[at(s[1])], i)
	}
	used := make([]bool, len(pieces))
	follow := func(p vg.Point) (out []vg.Point) {
		for {
			next := -1
			for _, i := range byEnd[at(p)] {
				if !used[i] {
					next = i
					break
				}
			}
			if next < 0 {
				return out
			}
			used[next] = true
			q := pieces[next][0]
			if at(q) == at(p) {
				q = pieces[next][1]
			}
			out = append(out, q)
			p = q
		}
	}
	var chains [][]vg.Point
	for i, s := range pieces {
		if used[i] {
			continue
		}
		used[i] = true
		ahead, behind := follow(s[1]), follow(s[0])
		var c []vg.Point
		for k := len(behind) - 1; k >= 0; k-- {
			c = append(c, behind[k])
		}
		c = append(c, s[0], s[1])
		chains = append(chains, append(c, ahead...))
	}
	return chains
}
