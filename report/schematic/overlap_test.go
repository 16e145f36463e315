package schematic

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// conflicts lists everything on a sheet that covers something else.
func conflicts(c *canvas) []string {
	var found []string
	say := func(format string, args ...any) { found = append(found, fmt.Sprintf(format, args...)) }
	for i, d := range c.devices {
		for _, o := range c.devices[i+1:] {
			if d.body.meets(o.body) {
				say("%s %s at %v covers %s %s at %v", d.symbol.name, d.ref, d.at, o.symbol.name, o.ref, o.at)
			}
		}
		for _, l := range c.labels {
			if d.body.meets(l.box) {
				say("%s %s at %v covers the text %q %v", d.symbol.name, d.ref, d.at, l.text, l.box)
			}
		}
		for _, w := range c.wires {
			if crosses(w, d.body) {
				say("wire %v crosses %s %s at %v", w, d.symbol.name, d.ref, d.at)
			}
		}
		// the leads drawn with a symbol must keep clear of other parts too
		for name := range d.symbol.pins {
			for _, o := range c.devices {
				if o != d && inside(d.pin(name), o.body) {
					say("terminal %s of %s lies in %s", name, d.ref, o.ref)
				}
			}
		}
	}
	for i, l := range c.labels {
		for _, o := range c.labels[i+1:] {
			if l.box.meets(o.box) {
				say("text %q %v covers text %q %v", l.text, l.box, o.text, o.box)
			}
		}
		for _, w := range c.wires {
			if crosses(w, l.box) {
				say("wire %v crosses the text %q %v", w, l.text, l.box)
			}
		}
	}
	for i, w := range c.wires {
		for _, o := range c.wires[i+1:] {
			if parallelOverlap(w, o) {
				say("wire %v runs along wire %v", w, o)
			}
		}
	}
	return found
}

// crosses tells whether a wire passes through the inside of a box.
func crosses(w segment, b box) bool {
	s := w.box()
	return s.x0 < b.x1 && s.x1 > b.x0 && s.y0 < b.y1 && s.y1 > b.y0
}

func inside(p point, b box) bool { return p.x > b.x0 && p.x < b.x1 && p.y > b.y0 && p.y < b.y1 }

// parallelOverlap tells whether two wires share more than a point.
func parallelOverlap(v, w segment) bool {
	a, b := v.box(), w.box()
	if a.y0 == a.y1 && b.y0 == b.y1 && a.y0 == b.y0 {
		return a.x0 < b.x1 && b.x0 < a.x1
	}
	if a.x0 == a.x1 && b.x0 == b.x1 && a.x0 == b.x0 {
		return a.y0 < b.y1 && b.y0 < a.y1
	}
	return false
}

// TestNothingOverlaps proves the layout for the whole matrix of variants.
func TestNothingOverlaps(t *testing.T) {
	for _, v := range matrix() {
		a := v.amplifier()
		_, err := Draw(a)
		require.NoError(t, err, v)
		for name, c := range map[string]*canvas{"deck": drawDeck(a), "supply": drawSupply(a), "control": drawControl(a)} {
			require.NoError(t, c.err, v)
			assert.Empty(t, conflicts(c), "%s: %s", name, v)
			require.NotEmpty(t, c.devices)
		}
	}
}

// TestConflictsAreFound keeps the proof above honest: each kind of clash is
// made on purpose and must be reported.
func TestConflictsAreFound(t *testing.T) {
	clash := map[string]func(c *canvas){
		"symbol on symbol": func(c *canvas) {
			c.put(resistor, "R1", 0, 0, standing)
			c.put(resistor, "R2", 5, 5, standing)
		},
		"text on symbol":    func(c *canvas) { c.put(resistor, "R1", 0, 0, standing); c.text(-20, 0, "start", "words") },
		"text on text":      func(c *canvas) { c.text(0, 0, "start", "words"); c.text(10, 5, "start", "more") },
		"wire through text": func(c *canvas) { c.text(0, 0, "start", "words"); c.wire(point{-9, 7}, point{99, 7}) },
		"wire through body": func(c *canvas) { c.put(resistor, "R1", 0, 0, lying); c.wire(point{0, -40}, point{0, 40}) },
		"wire along wire":   func(c *canvas) { c.wire(point{0, 0}, point{9, 0}); c.wire(point{5, 0}, point{20, 0}) },
	}
	for name, make := range clash {
		c := newCanvas(nil)
		make(c)
		require.NotEmpty(t, conflicts(c), name)
	}
}

func (b box) meets(o box) bool {
	return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1
}
