package schematic

import (
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// TestSheetsAreFitForInlineUse checks the SVG as a page would use it.
func TestSheetsAreFitForInlineUse(t *testing.T) {
	a := usual()
	a.Name = `Two "tubes" & <more>`
	sheets, err := Draw(a)
	require.NoError(t, err)
	require.Len(t, sheets, 3)
	ids := map[string]bool{}
	for _, s := range sheets {
		decoder := xml.NewDecoder(strings.NewReader(s.SVG))
		depth, root := 0, xml.StartElement{}
		for {
			token, err := decoder.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err, s.Name)
			switch e := token.(type) {
			case xml.StartElement:
				if depth == 0 {
					root = e.Copy()
				}
				depth++
				for _, at := range e.Attr {
					if at.Name.Local == "id" {
						assert.False(t, ids[at.Value], "the identifier %s is used twice", at.Value)
						ids[at.Value] = true
					}
				}
			case xml.EndElement:
				depth--
			}
		}
		attributes := map[string]string{}
		for _, at := range root.Attr {
			attributes[at.Name.Local] = at.Value
		}
		assert.Equal(t, "img", attributes["role"])
		assert.NotEmpty(t, attributes["viewBox"])
		testhelp.Lacks(t, attributes, "width")
		testhelp.Lacks(t, attributes, "height")
		for _, id := range strings.Fields(attributes["aria-labelledby"]) {
			assert.True(t, ids[id], "aria-labelledby names %s, which is not there", id)
		}
		for _, colour := range regexp.MustCompile(`(?:stroke|fill)="([^"]*)"`).FindAllStringSubmatch(s.SVG, -1) {
			testhelp.Contains(t, []string{"currentColor", "none"}, colour[1])
		}
		testhelp.Lacks(t, s.SVG, "NaN")
	}
}

func TestEveryPartIsALink(t *testing.T) {
	sheets, err := Draw(usual())
	require.NoError(t, err)
	both := sheets[0].SVG + sheets[1].SVG + sheets[2].SVG
	for _, designator := range []string{"V1", "V2", "C1", "L1", "K1", "J1", "D1", "T1", "T2", "M1", "F2", "P1", "S1"} {
		testhelp.Contains(t, both, `<a href="#part-`+designator+`">`)
	}
	assert.Equal(t, 2, strings.Count(sheets[1].SVG, "6 more</text>"), "six of eight capacitors and their resistors are not drawn")
}

func TestSameCircuitSameBytes(t *testing.T) {
	first, err := Draw(usual())
	require.NoError(t, err)
	for range 5 {
		again, err := Draw(usual())
		require.NoError(t, err)
		require.Equal(t, first, again)
	}
}

func TestAbsentPartsAreNotDrawn(t *testing.T) {
	a := usual()
	glitch := a.PlateFeed.Glitch.Designator
	a.PlateFeed.Glitch = nil
	sheets, err := Draw(a)
	require.NoError(t, err)
	testhelp.Lacks(t, sheets[0].SVG, "#part-"+glitch+`"`)
}

func TestCircuitsThatDoNotFitAreRefused(t *testing.T) {
	for want, spoil := range map[string]func(a *Amplifier){
		"5 tubes":                       func(a *Amplifier) { a.Tubes.Designators = make([]string, 5) },
		"1 suppressors for 2 tubes":     func(a *Amplifier) { a.Tubes.Suppressors = a.Tubes.Suppressors[:1] },
		"without bands":                 func(a *Amplifier) { a.Input.Bands = nil },
		"needs a switch":                func(a *Amplifier) { a.Input.Switch = nil },
		"both taps and a roller":        func(a *Amplifier) { a.Tank.Roller = true },
		"without a designator":          func(a *Amplifier) { a.PlateFeed.Choke.Designator = " " },
		"stands at a":                   func(a *Amplifier) { a.Tank.Load.Designator = a.Tank.Tune.Designator },
		"stands on both sheets":         func(a *Amplifier) { a.Supply.Transformer.Designator = a.Tank.Tune.Designator },
		"unknown kind of bias":          func(a *Amplifier) { a.Bias.Kind = "battery" },
		"needs a reference diode":       func(a *Amplifier) { a.Bias.Kind = BiasTransistor },
		"needs Switching.CutOffContact": func(a *Amplifier) { a.Switching.CutOffContact = nil },
		"unknown rectifier":             func(a *Amplifier) { a.Supply.Rectifier = "half" },
		"bridge rectifier has 4 arms":   func(a *Amplifier) { a.Supply.Diodes = a.Supply.Diodes[:3] },
		"without filter capacitors":     func(a *Amplifier) { a.Supply.Capacitors = nil },
		"equalizing resistors for":      func(a *Amplifier) { a.Supply.Equalizers = a.Supply.Equalizers[:1] },
		"no multiplier resistors":       func(a *Amplifier) { a.Metering.Multiplier = nil },
		"indirectly heated":             func(a *Amplifier) { a.Tubes.DirectlyHeated = false },
		"two to ten":                    func(a *Amplifier) { a.Tank.Taps.Bands = nil },
		"tap a coil of their own":       func(a *Amplifier) { a.Tank.Taps.High = 1 },
		"no diode in series":            func(a *Amplifier) { a.Switching.Relays[0].Snubber = nil },
		"0 transmit–receive relays":     func(a *Amplifier) { a.Switching.Relays = nil },
	} {
		a := usual()
		spoil(&a)
		_, err := Draw(a)
		assert.ErrorContains(t, err, want)
	}
}

func TestWrapKeepsUnitsWithTheirNumbers(t *testing.T) {
	assert.Equal(t, []string{"250 pF", "7.5 kV mica"}, wrap("250 pF 7.5 kV mica"))
	assert.Equal(t, []string{"20 pF ..", "250 pF"}, wrap("20 pF .. 250 pF"))
	assert.Equal(t, []string{"10 × 100 kΩ", "3 W"}, wrap("10 × 100 kΩ 3 W"))
	assert.Empty(t, wrap("  "))
	for _, l := range wrap(strings.Repeat("endless ", 20)) {
		assert.LessOrEqual(t, textWidth(l), labelWidth)
	}
}

// TestCrossingIsNoJunction: the dot, and nothing else, makes a connection of
// two wires that meet.
func TestCrossingIsNoJunction(t *testing.T) {
	c := newCanvas(nil)
	c.wire(point{0, 10}, point{20, 10})
	c.wire(point{10, 0}, point{10, 20})
	assert.Empty(t, c.dots())
	n := readBack(c)
	assert.NotEqual(t, n.find(point{0, 10}), n.find(point{10, 0}))
	c.wire(point{15, 10}, point{15, 30})
	assert.Equal(t, []point{{15, 10}}, c.dots())
	n = readBack(c)
	assert.Equal(t, n.find(point{0, 10}), n.find(point{15, 30}))
}

func BenchmarkDraw(b *testing.B) {
	a := usual()
	for b.Loop() {
		if _, err := Draw(a); err != nil {
			b.Fatal(err)
		}
	}
}
