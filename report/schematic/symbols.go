package schematic

import (
	"fmt"
	"strings"
)

// reach is the distance from the middle of every two-terminal symbol to
// either terminal, so that parts can change places without moving wires.
const reach = 26.0

// symbol is one entry of the library, drawn standing round its origin. body
// is what nothing else may touch; terminals lie on its rim or outside it.
type symbol struct {
	name    string
	body    box
	pins    map[string]point
	svg     string
	contact bool // a contact or section of a device that is drawn elsewhere too
}

// twoTerminal completes a standing symbol with its leads. half is half the
// height of the body, w half its width.
func twoTerminal(name string, w, half float64, svg string) symbol {
	leads := path("M0 -%gV%g M0 %gV%g", reach, -half, half, reach)
	return symbol{name: name, body: box{-w, -half, w, half}, svg: leads + svg,
		pins: map[string]point{"a": {0, -reach}, "b": {0, reach}}}
}

func path(format string, args ...any) string {
	return `<path d="` + fmt.Sprintf(format, args...) + `"/>`
}

func contactOf(s symbol) symbol { s.contact = true; return s }

// filled is a small solid shape.
func filled(d string) string { return `<path fill="currentColor" d="` + d + `"/>` }

// The library. The forms follow IEC 60617.
var (
	resistor  = twoTerminal("resistor", 7, 18, `<rect x="-7" y="-18" width="14" height="36"/>`)
	fuse      = twoTerminal("fuse", 7, 18, `<rect x="-7" y="-18" width="14" height="36"/>`+path("M0 -18V18"))
	capacitor = twoTerminal("capacitor", 14, 6, path("M-14 -4H14 M-14 4H14 M0 -6V-4 M0 4V6"))

	variableCapacitor = twoTerminal("variable capacitor", 16, 16,
		path("M-14 -4H14 M-14 4H14 M0 -16V-4 M0 4V16 M-15 15L14 -14")+filled("M16 -16L13 -8L8 -13Z"))

	inductor = twoTerminal("inductor", 7, 20, path("M0 -20a5 5 0 0 1 0 10a5 5 0 0 1 0 10a5 5 0 0 1 0 10a5 5 0 0 1 0 10"))

	// adjustableInductor is a coil with a movable core; its arrow rises when it lies.
	adjustableInductor = twoTerminal("adjustable inductor", 16, 20,
		path("M0 -20a5 5 0 0 1 0 10a5 5 0 0 1 0 10a5 5 0 0 1 0 10a5 5 0 0 1 0 10 M-13 -14L13 13")+filled("M16 16L13 8L8 13Z"))

	// diodeUp conducts from terminal b (bottom) to terminal a (top).
	diodeUp   = twoTerminal("diode", 10, 9, path("M0 -9L-9 8H9Z M-9 -9H9 M0 -9V9"))
	diodeDown = twoTerminal("diode", 10, 9, path("M0 9L-9 -8H9Z M-9 9H9 M0 -9V9"))
	// zenerUp has its cathode at terminal a (top).
	zenerUp = twoTerminal("zener diode", 11, 9, path("M0 -9L-9 8H9Z M-9 -4V-9H9 M0 -9V9"))
	// diodeString stands for several diodes in series from top to bottom.
	diodeString = symbol{name: "diode string", body: box{-10, -26, 10, 26},
		pins: map[string]point{"a": {0, -reach}, "b": {0, reach}},
		svg: path("M0 -26V-24 M0 -10L-8 -24H8Z M-8 -10H8 M0 24L-8 10H8Z M-8 24H8 M0 24V26") +
			`<path stroke-dasharray="1 5" d="M0 -8V9"/>`}

	// makeContact is open at rest.
	makeContact = contactOf(twoTerminal("contact", 12, 14, path("M0 -14V-12 M0 14V12L-11 -10")))
	// breakContact is closed at rest: an interlock.
	breakContact = contactOf(twoTerminal("interlock", 12, 14, path("M0 -14V-10H10 M0 14V12L8 -13")))

	// changeOver rests with its common terminal on nc.
	changeOver = symbol{name: "change-over contact", contact: true, body: box{-20, -16, 20, 16},
		pins: map[string]point{"common": {-reach, 0}, "nc": {reach, -12}, "no": {reach, 12}},
		svg:  path("M-26 0H-16L14 -11 M12 -6V-12H26 M12 6V12H26") + `<circle cx="-16" cy="0" r="2.5"/>`}

	// makeDelayed closes late, breakLate opens late: the bow shows which way the
	// delay acts.
	makeDelayed = contactOf(twoTerminal("contact, closing delayed", 14, 14,
		path("M0 -14V-12 M0 14V12L-11 -10 M-7 -2H-13 M-6 2H-13 M-15 5a7 7 0 0 0 0 -10")))
	makeLate = contactOf(twoTerminal("contact, opening delayed", 14, 14,
		path("M0 -14V-12 M0 14V12L-11 -10 M-7 -2H-9 M-6 2H-9 M-9 5a7 7 0 0 1 0 -10")))
	// button is a make contact pressed by hand.
	button = contactOf(twoTerminal("push button", 18, 14, path("M0 -14V-12 M0 14V12L-11 -10 M-6 0H-17 M-17 -6V6")))
	// airSwitch is a make contact moved by pressure.
	airSwitch = contactOf(twoTerminal("air switch", 22, 14,
		path("M0 -14V-12 M0 14V12L-11 -10 M-6 0H-9")+`<rect x="-21" y="-6" width="12" height="12"/>`+path("M-15 3V-4M-18 -1L-15 "+
			"-4L-12 -1")))
	// coverSwitch is closed while the cover presses it.
	coverSwitch = contactOf(twoTerminal("cover switch", 16, 14, path("M0 -14V-12 M0 14V12L-3 -12 M-2 0H-14 M-14 -6Q-8 0 -14 6")))

	motor = twoTerminal("motor", 16, 16, `<circle r="16"/>`)
	// overcurrent senses between a and b and opens contacts that are drawn
	// elsewhere.
	overcurrent = symbol{name: "overcurrent trip", body: box{-22, -18, 22, 18},
		pins: map[string]point{"a": {reach, -8}, "b": {reach, 8}},
		svg:  `<rect x="-22" y="-18" width="44" height="36"/>` + path("M22 -8H26 M22 8H26")}
	// voltageRelay is a relay with a coil of its own between a and b that operates
	// late, and only while the voltage at s is high enough.
	voltageRelay = symbol{name: "voltage relay", body: box{-22, -18, 22, 18},
		pins: map[string]point{"a": {0, -reach}, "b": {0, reach}, "s": {reach, 0}},
		svg:  `<rect x="-22" y="-18" width="44" height="36"/>` + path("M0 -26V-18 M0 18V26 M22 0H26")}
	// clampPair is two diodes anti-parallel.
	clampPair = twoTerminal("diodes, anti-parallel", 20, 18, path("M-11 -18H11 M-11 18H11 M-11 -18V-9 M-11 9V18 M11 -18V-9 M11 9V18"+
		" M-11 9L-19 -8H-3Z M-19 9H-3 M-11 -9V9 M11 -9L3 8H19Z M3 -9H19 M11 -9V9"))
	// zenerDown has its cathode at terminal b (bottom).
	zenerDown = twoTerminal("zener diode", 11, 9, path("M0 9L-9 -8H9Z M-9 4V9H9 M0 9V-9"))

	relayCoil = twoTerminal("relay coil", 18, 11, `<rect x="-18" y="-11" width="36" height="22"/>`+path("M-18 -3L18 3"))

	// gap stands for the parts of a string that are not drawn.
	gap = symbol{name: "further parts of the string", body: box{-3, -18, 3, 18},
		pins: map[string]point{"a": {0, -reach}, "b": {0, reach}},
		svg:  path("M0 -26V-20 M0 20V26") + `<path stroke-width="3" stroke-dasharray="0 9" d="M0 -18V19"/>`}

	chassisSymbol = symbol{name: "chassis", body: box{-12, 4, 12, 18}, pins: map[string]point{"p": {0, 0}},
		svg: path("M0 0V9 M-11 9H11 M-9 9L-13 17 M1 9L-3 17 M11 9L7 17")}
	protectiveEarth = symbol{name: "protective earth", body: box{-14, 4, 14, 30}, pins: map[string]point{"p": {0, 0}},
		svg: path("M0 0V9 M-9 10H9 M-6 15H6 M-3 20H3") + `<circle cx="0" cy="16" r="13"/>`}

	coaxial = symbol{name: "coaxial connector", body: box{-11, -11, 11, 11},
		pins: map[string]point{"inner": {11, 0}, "outer": {0, 11}},
		svg:  `<circle r="10"/><circle r="2.5" fill="currentColor"/>` + path("M2 0H11 M0 10V11")}
	jack = symbol{name: "jack", body: box{-14, -12, 14, 12},
		pins: map[string]point{"tip": {14, 0}, "sleeve": {0, 12}},
		svg:  `<rect x="-14" y="-12" width="28" height="24"/>` + path("M14 0H0L-5 6L-10 0")}
	// timer is the coil of a relay that operates late, lateRelease that of one
	// that releases late.
	timer = twoTerminal("timer", 18, 11,
		`<rect x="-18" y="-11" width="36" height="22"/>`+path("M-18 -3L18 3 M-10 -11V11 M-18 -11L-10 11 M-10 -11L-18 11"))
	lateRelease = twoTerminal("timer", 18, 11,
		`<rect x="-18" y="-11" width="36" height="22"/>`+path("M-18 -3L18 3")+filled("M-18 -11H-10V11H-18Z"))

	flagRight = symbol{name: "sheet connector", body: box{0, -8, 26, 8}, pins: map[string]point{"p": {0, 0}},
		svg: path("M0 -7H18L26 0L18 7H0Z")}
	// flagLeft is the same where the wire begins: its tip is the terminal.
	flagLeft = symbol{name: "sheet connector", body: box{-26, -8, 0, 8}, pins: map[string]point{"p": {0, 0}},
		svg: path("M-26 -7H-8L0 0L-8 7H-26Z")}
	// flash is the dangerous-voltage arrow of IEC 60417-5036 in a warning triangle.
	flash = symbol{name: "dangerous voltage", body: box{-14, -14, 14, 12},
		svg: path("M0 -13L14 11H-14Z") + filled("M2 -7L-4 3H-1L-2 6H-4L-1 10L3 6H1L3 0H0Z")}

	mainsPlug = symbol{name: "mains plug", body: box{-18, -80, 14, 130},
		pins: map[string]point{"l": {26, -70}, "n": {26, 70}, "pe": {26, 120}},
		svg: `<rect x="-18" y="-80" width="32" height="210" rx="8"/>` +
			path("M-8 -70H26 M-8 70H26 M-8 120H26") + `<path stroke-width="4" d="M-10 -70H0 M-10 70H0 M-10 120H0"/>`}

	// npn has its base on the left.
	npn = symbol{name: "transistor", body: box{-16, -19, 20, 19},
		pins: map[string]point{"c": {0, -reach}, "e": {0, reach}, "b": {-reach, 0}},
		svg:  `<circle cx="1" r="18"/>` + path("M-26 0H-8 M-8 -10V10 M-8 -4L0 -12V-26 M-8 4L0 12V26") + filled("M0 12L-6 10L-2 5Z")}

	// bifilarChoke has two windings on one core: 1 on top, 2 below.
	bifilarChoke = symbol{name: "bifilar choke", body: box{-42, -34, 42, 34},
		pins: map[string]point{"hot1": {-50, -26}, "cold1": {50, -26}, "hot2": {-50, 26}, "cold2": {50, 26}},
		svg: path("M-50 -26H-40%s H50 M-50 26H-40%s H50 M-40 -4H40 M-40 4H40",
			strings.Repeat("a5 5 0 0 1 10 0", 8), strings.Repeat("a5 5 0 0 0 10 0", 8)) +
			filled("M-44 -18a2 2 0 1 0 .01 0M-44 14a2 2 0 1 0 .01 0")}
)

// meter is a measuring instrument with its unit.
func meter(unit string) symbol {
	s := twoTerminal("meter", 16, 16, `<circle r="16"/>`)
	// the letters stay upright when the meter lies: they are lettered apart
	s.name = "meter " + unit
	return s
}

// tube is a triode; n tells it apart in no way but its lettering.
func tube(direct bool) symbol {
	s := symbol{name: "triode", body: box{-34, -34, 34, 34},
		pins: map[string]point{"plate": {0, -44}, "grid": {-46, 0}}}
	s.svg = `<circle r="34"/>` + path("M0 -44V-16 M-17 -16H17") + path("M-46 0H-22 M-18 0H-10 M-6 0H2 M6 0H14 M18 0H24")
	if direct {
		s.pins["filament1"], s.pins["filament2"] = point{-12, 44}, point{12, 44}
		s.svg += path("M-12 44V26L0 13L12 26V44")
		return s
	}
	s.pins["cathode"], s.pins["heater1"], s.pins["heater2"] = point{-16, 44}, point{0, 44}, point{14, 44}
	s.svg += path("M-16 44V16Q-16 13 -13 13H15Q18 13 18 16V18 M0 44V31L7 21L14 31V44")
	return s
}

// transformer has its primary on the left and its secondary on the right;
// half is half the height of the windings.
func transformer(half float64, centreTap bool) symbol {
	first, second := primary(half), secondary(half, centreTap)
	s := symbol{name: "transformer", body: box{-26, -half + 2, 26, half - 2}, pins: second.pins, svg: first.svg + second.svg}
	s.pins["p1"], s.pins["p2"] = first.pins["p1"], first.pins["p2"]
	return s
}

// primary is the left half of a transformer, drawn where the other half stands
// on another sheet.
func primary(half float64) symbol {
	return symbol{name: "primary winding", contact: true, body: box{-26, -half + 2, 0, half - 2},
		pins: map[string]point{"p1": {-20, -half}, "p2": {-20, half}},
		svg:  path("M-20 %g%s M-4 %gV%g", -half, strings.Repeat("a5 5 0 0 1 0 10", int(2*half/10)), -half+4, half-4)}
}

// secondary is the right half of a transformer.
func secondary(half float64, centreTap bool) symbol {
	s := symbol{name: "secondary winding", body: box{0, -half + 2, 26, half - 2},
		pins: map[string]point{"s1": {20, -half}, "s2": {20, half}},
		svg:  path("M20 %g%s M4 %gV%g", -half, strings.Repeat("a5 5 0 0 0 0 10", int(2*half/10)), -half+4, half-4)}
	if centreTap {
		s.pins["centre"] = point{36, 0}
		s.svg += path("M20 0H36")
	}
	return s
}

// sequencer is a box that pulls in n coils (out1, out2 …) one after the other.
func sequencer(n int) symbol {
	s := symbol{name: "sequencer", body: box{-52, -56, 52, 56},
		pins: map[string]point{"key": {-60, 40}, "plus": {0, -64}, "chassis": {0, 64}},
		svg: `<rect x="-52" y="-56" width="104" height="112"/>` + path("M-60 40H-52 M0 -64V-56 M0 56V64") +
			words(-46, 44.5, "start", "key")}
	for i := range n {
		y := -30 + 35*float64(i)
		s.pins[fmt.Sprintf("out%d", i+1)] = point{60, y}
		s.svg += path("M52 %gH60", y) + words(46, y+4.5, "end", fmt.Sprint(i+1))
	}
	return s
}

// words is lettering within a symbol that stands upright.
func words(x, y float64, anchor, text string) string {
	return fmt.Sprintf(`<text x="%g" y="%g" text-anchor="%s" font-size="%g" fill="currentColor" stroke="none" font-family="Liberation Sans, Arial, Helvetica, sans-serif">%s</text>`,
		x, y, anchor, textSize-1, text)
}

// tapPitch is the distance between taps of a coil and contacts of its switch.
const tapPitch = 48.0

// tappedCoil lies; pins a (left), b (right) and t1, t2 … on its upper side.
func tappedCoil(taps int) symbol {
	turns := 4 * (taps + 1)
	step := tapPitch / 4
	end := float64(turns) * step
	s := symbol{name: "tapped coil", body: box{0, 0, end, step/2 + 2}, pins: map[string]point{"a": {0, 0}, "b": {end, 0}}}
	s.svg = path("M0 0%s", strings.Repeat(fmt.Sprintf("a%g %g 0 0 0 %g 0", step/2, step/2, step), turns))
	for i := 1; i <= taps; i++ {
		x := float64(i) * tapPitch
		s.pins[fmt.Sprintf("t%d", i)] = point{x, -8}
		s.svg += path("M%g 0V-8", x)
	}
	return s
}

// rollerCoil lies; its slider ends at pin w above it.
func rollerCoil() symbol {
	s := tappedCoil(1)
	delete(s.pins, "t1")
	s.name, s.body = "roller inductor", box{0, -20, 96, 8}
	s.pins["w"] = point{60, -30}
	s.svg = path("M0 0%s M60 -30V-6", strings.Repeat("a6 6 0 0 0 12 0", 8)) + filled("M60 -1L56 -10H64Z")
	return s
}

// tapSwitch has contacts c0, c1 … in a row at these places, the first at 0, and
// the wiper w on the right.
func tapSwitch(places []float64) symbol {
	end := places[len(places)-1]
	s := symbol{name: "tap switch", contact: true, body: box{-6, -34, end + 6, 8}, pins: map[string]point{"w": {end + 16, -28}}}
	s.svg = path("M0 -28H%g M0 -28V-4", end+16) + filled("M0 -2L-4 -10H4Z")
	for i, x := range places {
		s.pins[fmt.Sprintf("c%d", i)] = point{x, 14}
		s.svg += fmt.Sprintf(`<circle cx="%g" cy="3" r="3"/>`, x) + path("M%g 6V14", x)
	}
	return s
}

// deckSwitch has its wiper w on the left and contacts on the right, one for
// each row drawn (c0, c1); between the rows, contacts that are only hinted at.
func deckSwitch(rows []float64, hidden int) symbol {
	last := rows[len(rows)-1]
	s := symbol{name: "switch deck", contact: true, body: box{-14, -8, 18, last + 8}, pins: map[string]point{"w": {-reach, 0}}}
	s.svg = path("M-26 0H-10V%g M-10 0H5", last) + filled("M8 0L0 -4V4Z")
	for i, y := range rows {
		s.pins[fmt.Sprintf("c%d", i)] = point{reach, y}
		s.svg += fmt.Sprintf(`<circle cx="11" cy="%g" r="3"/>`, y) + path("M14 %gH26", y)
	}
	for i := range hidden {
		s.svg += fmt.Sprintf(`<circle cx="11" cy="%g" r="3"/>`, last*float64(i+1)/float64(hidden+1))
	}
	return s
}
