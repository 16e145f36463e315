// Package figure draws the notebook's charts as SVG that can stand inline in a
// page or alone in a file. It assumes data in SI units and writes engineering
// units on the axes; labels stand at what they name instead of in a legend;
// lines differ by colour and by dashes, so that grey print and colour-blind
// readers lose nothing. The same chart gives the same bytes.
package figure

import (
	"errors"
	"fmt"
	"math"
)

// Chart is one drawing with two axes, given as data only. The zero value of
// every field but the axes' labels and some data is fit for use.
type Chart struct {
	ID          string // for the ids within the SVG; made from the title if empty
	Title       string // short; read out first by a screen reader
	Description string // what a reader who cannot see the drawing should know
	X, Y        Axis
	SecondY     *Axis // a scale at the right for lines with Second set
	Lines       []Line
	Points      []Points
	Stems       []Stems
	Bands       []Band
	Levels      []Level
	Field       *Field  // a quantity over the plane, under everything else
	SecondField *Field  // another one over the same plane
	Height      float64 // of the drawing, 480 units being its width; 310 if 0
}

// Axis describes one scale.
type Axis struct {
	Label string // such as "Plate voltage"
	Unit  string // as known to package quantity; the prefix is chosen here
	// Min and Max bound the scale [Unit's SI]; if both are 0 the data do.
	Min, Max float64
	Log      bool
	Ticks    []Tick // instead of the computed ones; for names, such as bands
}

// Tick is a mark on a scale.
type Tick struct {
	At   float64 // [SI]
	Text string
}

// Style is the look of a line: colour and dashes together.
type Style int

// Automatic takes the styles in turn. Faint is for lines in the background.
const (
	Automatic Style = iota
	First
	Second
	Third
	Fourth
	Fifth
	Sixth
	Faint
)

// Line is a curve through points in order of drawing.
type Line struct {
	Name   string // printed at the line; may be empty
	X, Y   []float64
	Style  Style
	Second bool // measured on SecondY
	Solid  bool // without the dashes of the style
	// At is the place along the line where the name stands, from 0 (first
	// point) to 1 (last point); 0 means the end of the line.
	At float64
}

// Points are marks, each with a text of its own or none.
type Points struct {
	Name   string // for the description; printed at the last point if Texts is nil
	X, Y   []float64
	Texts  []string
	Style  Style
	Second bool
}

// Stems are bars from a base line, such as the harmonics of a signal.
type Stems struct {
	X, Y  []float64
	Base  float64  // where the bars begin
	Width float64  // of a bar in units of the drawing; 18 if 0
	Texts []string // over the bars
	Style Style
}

// Band is a shaded interval on one of the axes.
type Band struct {
	Name     string
	From, To float64
	OnY      bool // an interval of Y instead of X
}

// Level is a horizontal limit line across the chart.
type Level struct {
	Name   string
	Y      float64
	Second bool
	Plain  bool // a reference, not a limit
}

func (c *Chart) check() error {
	var errs []error
	bad := func(format string, a ...any) {
		errs = append(errs, fmt.Errorf("figure %q: "+format, append([]any{c.Title}, a...)...))
	}
	if c.Title == "" {
		bad("no title")
	}
	if len(c.Lines)+len(c.Points)+len(c.Stems) == 0 && c.Field == nil {
		bad("nothing to draw")
	}
	series := func(what, name string, x, y []float64, least int, second bool) {
		if len(x) != len(y) {
			bad("%s %q: %d X values and %d Y values", what, name, len(x), len(y))
			return
		}
		if len(x) < least {
			bad("%s %q: %d points, at least %d wanted", what, name, len(x), least)
		}
		ya := c.Y
		if second {
			if c.SecondY == nil {
				bad("%s %q: no second scale", what, name)
				return
			}
			ya = *c.SecondY
		}
		for i := range x {
			switch {
			case !finite(x[i]) || !finite(y[i]):
				bad("%s %q: point %d is not finite", what, name, i)
				return
			case c.X.Log && x[i] <= 0 || ya.Log && y[i] <= 0:
				bad("%s %q: point %d is not above 0 on a logarithmic scale", what, name, i)
				return
			}
		}
	}
	for _, l := range c.Lines {
		series("line", l.Name, l.X, l.Y, 2, l.Second)
		if l.Style < 0 || l.Style > Faint || !(l.At >= 0 && l.At <= 1) {
			bad("line %q: unknown style or place of the name", l.Name)
		}
	}
	for _, p := range c.Points {
		series("points", p.Name, p.X, p.Y, 1, p.Second)
		if p.Texts != nil && len(p.Texts) != len(p.X) || p.Style < 0 || p.Style > Faint {
			bad("points %q: %d texts for %d points, or unknown style", p.Name, len(p.Texts), len(p.X))
		}
	}
	for _, s := range c.Stems {
		series("stems", "", s.X, s.Y, 1, false)
		if s.Texts != nil && len(s.Texts) != len(s.X) || s.Style < 0 || s.Style > Faint {
			bad("stems: %d texts for %d stems, or unknown style", len(s.Texts), len(s.X))
		}
		if !finite(s.Base) || c.Y.Log && s.Base <= 0 {
			bad("stems: the base %v is not on the scale", s.Base)
		}
	}
	for _, b := range c.Bands {
		if !finite(b.From) || !finite(b.To) || b.From >= b.To || !b.OnY && c.X.Log && b.From <= 0 || b.OnY && c.Y.Log && b.From <= 0 {
			bad("band %q: from %v to %v", b.Name, b.From, b.To)
		}
	}
	for _, l := range c.Levels {
		if !finite(l.Y) || l.Second && c.SecondY == nil || !l.Second && c.Y.Log && l.Y <= 0 || l.Second && c.SecondY != nil &&
			c.SecondY.Log && l.Y <= 0 {
			bad("level %q: %v is not on its scale", l.Name, l.Y)
		}
	}
	for _, a := range []struct {
		name string
		a    *Axis
	}{{"X", &c.X}, {"Y", &c.Y}, {"second Y", c.SecondY}} {
		if a.a != nil {
			if err := a.a.check(); err != nil {
				bad("%s axis: %w", a.name, err)
			}
		}
	}
	for _, f := range []*Field{c.Field, c.SecondField} {
		if f != nil {
			if err := f.check(); err != nil {
				bad("%w", err)
			}
		}
	}
	if !finite(c.Height) || c.Height < 0 || c.Height > 0 && c.Height < 120 || c.Height > 2000 {
		bad("height %v", c.Height)
	}
	return errors.Join(errs...)
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
