package schematic

import (
	"fmt"
	"html"
	"math"
	"sort"
	"strconv"
	"strings"
)

const margin = 18.0 // round the sheet

type point struct{ x, y float64 }

func (p point) plus(dx, dy float64) point { return point{p.x + dx, p.y + dy} }

// box is a rectangle with x0 < x1, y0 < y1.
type box struct{ x0, y0, x1, y1 float64 }

// orientation of a placed symbol.
type orientation int

const (
	standing orientation = iota // as defined in the library, pin a on top
	lying                       // a quarter turn to the left: pin a on the left
	mirrored                    // left and right exchanged
	flipped                     // top and bottom exchanged
)

func (o orientation) apply(p point) point {
	switch o {
	case lying:
		return point{p.y, -p.x}
	case mirrored:
		return point{-p.x, p.y}
	case flipped:
		return point{p.x, -p.y}
	}
	return p
}

func (o orientation) transform() string {
	return [...]string{"", " rotate(-90)", " scale(-1 1)", " scale(1 -1)"}[o]
}

// device is a symbol that stands on the sheet.
type device struct {
	ref    string // designator, empty for chassis, flags and the like
	symbol symbol
	at     point
	turn   orientation
	body   box
	canvas *canvas
}

// pin is the place of a terminal on the sheet.
func (d *device) pin(name string) point {
	p, ok := d.symbol.pins[name]
	if !ok {
		d.canvas.fail("symbol %s of %s has no terminal %q", d.symbol.name, d.ref, name)
	}
	p = d.turn.apply(p)
	return point{d.at.x + p.x, d.at.y + p.y}
}

type segment struct{ a, b point }

func (s segment) box() box {
	return box{math.Min(s.a.x, s.b.x), math.Min(s.a.y, s.b.y), math.Max(s.a.x, s.b.x), math.Max(s.a.y, s.b.y)}
}

// holds tells whether p lies on s, ends included.
func (s segment) holds(p point) bool {
	b := s.box()
	return p.x >= b.x0 && p.x <= b.x1 && p.y >= b.y0 && p.y <= b.y1
}

// canvas collects what a sheet shows. All coordinates are whole numbers, so
// points can be compared exactly.
type canvas struct {
	devices []*device
	labels  []label
	wires   []segment
	seen    map[string]string // designator to symbol name
	rows    map[string]string // designator to that of its row in the parts list
	err     error
}

func newCanvas(rows map[string]string) *canvas {
	return &canvas{seen: map[string]string{}, rows: rows}
}

// row is the designator that the parts list has for a part; none if it has no
// such row.
func (c *canvas) row(designator string) string {
	if c.rows == nil {
		return designator
	}
	return c.rows[designator]
}

func (c *canvas) fail(format string, args ...any) {
	if c.err == nil {
		c.err = fmt.Errorf("schematic: "+format, args...)
	}
}

// put places a symbol without lettering.
func (c *canvas) put(s symbol, ref string, x, y float64, turn orientation) *device {
	d := &device{ref: ref, symbol: s, at: point{x, y}, turn: turn, canvas: c}
	p, q := turn.apply(point{s.body.x0, s.body.y0}), turn.apply(point{s.body.x1, s.body.y1})
	b := segment{p, q}.box()
	d.body = box{b.x0 + x, b.y0 + y, b.x1 + x, b.y1 + y}
	c.devices = append(c.devices, d)
	return d
}

// part places a symbol with its designator and value beside it. Only relays,
// switches and tuning-gang sections may appear more than once.
func (c *canvas) part(s symbol, p Part, x, y float64, turn orientation, where side) *device {
	if strings.TrimSpace(p.Designator) == "" {
		c.fail("%s without a designator (value %q)", s.name, p.Value)
	}
	if before, ok := c.seen[p.Designator]; ok && !(s.contact && p.Designator != "") {
		c.fail("designator %s stands at a %s and at a %s", p.Designator, before, s.name)
	}
	if !s.contact {
		c.seen[p.Designator] = s.name
	}
	d := c.put(s, p.Designator, x, y, turn)
	c.beside(d, where, p)
	return d
}

// wire joins points by straight lines; each must be upright or level.
func (c *canvas) wire(points ...point) {
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		if a == b {
			continue
		}
		if a.x != b.x && a.y != b.y {
			c.fail("wire from %v to %v is neither upright nor level", a, b)
		}
		c.wires = append(c.wires, segment{a, b})
	}
}

// chassis puts the frame symbol at the end of a lead.
func (c *canvas) chassis(p point) { c.put(chassisSymbol, "", p.x, p.y, standing) }

// shunt hangs a part from p to the chassis and letters it on the right.
func (c *canvas) shunt(s symbol, p Part, from point) *device {
	d := c.part(s, p, from.x, from.y+14+reach, standing, right)
	c.wire(from, d.pin("a"))
	c.chassis(d.pin("b"))
	return d
}

// line is the pen that draws a level run with parts in series.
type line struct {
	c  *canvas
	at point
}

func (l *line) to(x float64) point {
	l.c.wire(l.at, point{x, l.at.y})
	l.at.x = x
	return l.at
}

// series puts a two-terminal part into the run, centred on x.
func (l *line) series(s symbol, p Part, x float64, where side) *device {
	d := l.c.part(s, p, x, l.at.y, lying, where)
	in, out := d.pin("a"), d.pin("b")
	if l.at.x > x {
		in, out = out, in
	}
	l.c.wire(l.at, in)
	l.at = out
	return d
}

// dots finds the junctions: every place where three or more ways meet. A
// wire that merely passes over another one has none.
func (c *canvas) dots() []point {
	ways := map[point]int{}
	for _, w := range c.wires {
		ways[w.a]++
		ways[w.b]++
	}
	for _, d := range c.devices {
		for name := range d.symbol.pins {
			ways[d.pin(name)]++
		}
	}
	var found []point
	for p, n := range ways {
		for _, w := range c.wires {
			if w.holds(p) && p != w.a && p != w.b {
				n += 2
			}
		}
		if n >= 3 {
			found = append(found, p)
		}
	}
	sort.Slice(found, func(i, j int) bool {
		if found[i].y != found[j].y {
			return found[i].y < found[j].y
		}
		return found[i].x < found[j].x
	})
	return found
}

func (c *canvas) extent() box {
	e := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	grow := func(b box) {
		e = box{math.Min(e.x0, b.x0), math.Min(e.y0, b.y0), math.Max(e.x1, b.x1), math.Max(e.y1, b.y1)}
	}
	for _, d := range c.devices {
		grow(d.body)
	}
	for _, l := range c.labels {
		grow(l.box)
	}
	for _, w := range c.wires {
		grow(w.box())
	}
	return box{math.Floor(e.x0 - margin), math.Floor(e.y0 - margin), math.Ceil(e.x1 + margin), math.Ceil(e.y1 + margin)}
}

// foot is where a line of text below everything else begins.
func (c *canvas) foot() float64 { return c.extent().y1 - margin + 10 }

// drawn lists the designators of the parts that stand on the sheet. own tells
// those of which more than a contact stands there.
func (c *canvas) drawn() map[string]bool {
	own := map[string]bool{}
	for _, d := range c.devices {
		if d.ref != "" && d.symbol.name != flagRight.name {
			own[d.ref] = own[d.ref] || !d.symbol.contact
		}
	}
	return own
}

// svg writes the sheet; name makes the identifiers unique in a page.
func (c *canvas) svg(name, title, description string) string {
	var s strings.Builder
	e := c.extent()
	fmt.Fprintf(&s,
		`<svg xmlns="http://www.w3.org/2000/svg" viewBox="%s %s %s %s" role="img" aria-labelledby="schematic-%[5]s-title schematic-%[5]s-desc">`,
		num(e.x0), num(e.y0), num(e.x1-e.x0), num(e.y1-e.y0), name)
	fmt.Fprintf(&s, "\n<title id=\"schematic-%[1]s-title\">%[2]s</title>\n<desc id=\"schematic-%[1]s-desc\">%[3]s</desc>\n",
		name, html.EscapeString(title), html.EscapeString(description))
	s.WriteString(`<g fill="none" stroke="currentColor" stroke-width="1.5" stroke-linecap="round" stroke-linejoin="round">` +
		"\n<path d=\"")
	for _, w := range c.wires {
		fmt.Fprintf(&s, "M%s %sL%s %s", num(w.a.x), num(w.a.y), num(w.b.x), num(w.b.y))
	}
	s.WriteString("\"/>\n")
	for _, d := range c.devices {
		fmt.Fprintf(&s, "<g transform=\"translate(%s %s)%s\">%s</g>\n", num(d.at.x), num(d.at.y), d.turn.transform(), d.symbol.svg)
	}
	s.WriteString("</g>\n<g fill=\"currentColor\" stroke=\"none\">\n")
	for _, p := range c.dots() {
		fmt.Fprintf(&s, `<circle cx="%s" cy="%s" r="3"/>`, num(p.x), num(p.y))
	}
	s.WriteString("\n</g>\n")
	fmt.Fprintf(&s,
		`<g fill="currentColor" stroke="none" font-family="Liberation Sans, Arial, Helvetica, sans-serif" font-size="%s">`+"\n",
		num(textSize))
	for _, l := range c.labels {
		s.WriteString(l.svg + "\n")
	}
	s.WriteString("</g>\n</svg>\n")
	return s.String()
}

func num(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }
