package schematic

import (
	"math"
	"slices"
	"strings"
)

// The levels of the control sheet: mains above, key line below.
const (
	mainsY  = 120.0 // live conductor
	returnY = 260.0 // other conductor, as far as the mains switch
	busY    = 204.0 // behind the air switch
	rungGap = 58.0  // from part to part of a chain
)

// control draws the control sheet.
type control struct {
	*canvas
	a           Amplifier
	low         float64 // level of the other conductor behind the mains switch
	live, other *line   // the two conductors, as far as they are drawn
}

func drawControl(a Amplifier) *canvas {
	d := &control{canvas: newCanvas(a.Rows), a: a}
	d.low = math.Max(430, busY+16+rungGap*float64(d.chained())+20)
	x := d.mains()
	x = d.heaters(x)
	d.primary(x)
	d.keying()
	notes := "Contacts at rest: mains off, receive, covers on, no air. "
	if s := a.Switching; s != nil {
		var trips []string
		for _, p := range []*Part{a.Control.GridTrip, a.Control.PlateTrip} {
			if p != nil {
				trips = append(trips, p.Designator)
			}
		}
		switch len(trips) {
		case 1:
			notes += trips[0] + " takes its supply from " + s.Supply.Designator + ". "
		case 2:
			notes += trips[0] + " and " + trips[1] + " take their supply from " + s.Supply.Designator + ". "
		}
	}
	var latching []string
	if s := a.Control.StepStart; s != nil && s.Timeout != nil {
		latching = append(latching, s.Timeout.Designator)
	}
	for _, p := range []*Part{a.Control.GridTrip, a.Control.PlateTrip} {
		if p != nil {
			latching = append(latching, p.Designator)
		}
	}
	switch n := len(latching); n {
	case 0:
	case 1:
		notes += latching[0] + " latches and is reset by hand. "
	default:
		notes += strings.Join(latching[:n-1], ", ") + " and " + latching[n-1] + " latch and are reset by hand. "
	}
	d.text(14, d.foot(), "start", notes+"A line over a line without a dot is no connection.")
	return d.canvas
}

// chained counts the parts of the contactor's chain.
func (d *control) chained() int {
	c := d.a.Control
	n := 2 + len(c.Thermal) // start button and coil
	for _, p := range []*Part{c.Interlock, c.PlateTrip, c.WarmUp} {
		if p != nil {
			n++
		}
	}
	if s := c.StepStart; s != nil {
		n++
		if s.Timeout != nil {
			n++
		}
	}
	return n
}

// mains draws plug, fuses, blower and mains switch; it returns the end of the
// switched conductors.
func (d *control) mains() float64 {
	c := d.a.Control
	plug := d.part(mainsPlug, c.Plug, 50, 190, standing, above)
	d.put(protectiveEarth, "", 100, 330, standing)
	d.wire(plug.pin("pe"), point{100, 310}, point{100, 330})
	d.wire(point{100, 310}, point{150, 310}, point{150, 330})
	d.chassis(point{150, 330})
	live, other := &line{d.canvas, plug.pin("l")}, &line{d.canvas, plug.pin("n")}
	d.live, d.other = live, other
	x := 140.0
	if c.Fuse != nil {
		live.series(fuse, *c.Fuse, x, above)
	}
	if c.SecondFuse != nil {
		other.series(fuse, *c.SecondFuse, x, above)
	}
	x += 70
	b := c.Blower
	if b != nil && b.AfterRun != nil {
		d.fan(live.to(x), other.to(x), b.AfterRun)
		d.danger(x-26, 286, "live with "+c.Switch.Designator+" off")
		x += 60
	}
	x += 76
	live.series(makeContact, c.Switch, x, above)
	other.series(makeContact, Part{Designator: c.Switch.Designator}, x, above)
	x += 46
	d.wire(other.to(x), point{x, d.low})
	other.at.y = d.low
	x += 40
	switch {
	case b == nil:
		return x
	case b.AfterRun == nil:
		d.fan(live.to(x), other.to(x), nil)
	default:
		d.coil(lateRelease, *b.AfterRun, live.to(x), 340)
	}
	return x + 130
}

// fan draws the blower between two points of one upright line.
func (d *control) fan(top, end point, contact *Part) {
	b := d.a.Control.Blower
	from := top
	if contact != nil {
		k := d.part(makeLate, Part{Designator: contact.Designator}, top.x, top.y+38, standing, right)
		d.wire(top, k.pin("a"))
		from = k.pin("b")
	}
	m := d.part(motor, b.Motor, top.x, end.y-38, standing, right)
	d.letter(m, "M")
	d.wire(from, m.pin("a"))
	d.wire(m.pin("b"), end)
}

// coil draws a coil at y on a rung from top to the other conductor.
func (d *control) coil(s symbol, p Part, top point, y float64) {
	k := d.part(s, p, top.x, y, standing, right)
	d.wire(top, k.pin("a"))
	d.wire(k.pin("b"), d.other.to(top.x))
}

// heaters draws from x on the air switch, and on the bus behind it the primary
// of the heater transformer, the warm-up timer and the chain of the contactor,
// whose place it returns.
func (d *control) heaters(x float64) float64 {
	c := d.a.Control
	top := d.live.to(x)
	bus := &line{d.canvas, point{x, busY}}
	if c.Air != nil {
		k := d.part(airSwitch, *c.Air, x, (mainsY+busY)/2, standing, right)
		d.wire(top, k.pin("a"))
		d.wire(k.pin("b"), bus.at)
	} else {
		d.wire(top, bus.at)
	}
	y := 310.0
	w := d.put(primary(50), d.a.Cathode.Transformer.Designator, x+20, y, standing)
	d.block(x+26+labelGap, y-2*lineHeight, "start", Part{Designator: d.a.Cathode.Transformer.Designator})
	d.text(x+26+labelGap, y-lineHeight, "start", "secondary:")
	d.text(x+26+labelGap, y, "start", "RF deck")
	d.wire(bus.at, w.pin("p1"))
	d.wire(w.pin("p2"), d.other.to(x))
	if c.WarmUp != nil {
		x += 142
		d.coil(timer, *c.WarmUp, bus.to(x), y)
	}
	x += 230
	d.chain(bus.to(x))
	return x
}

// chain draws what must be closed before the contactor of the plate
// transformer pulls in, one under the other.
func (d *control) chain(bus point) {
	c, x := d.a.Control, bus.x
	at := bus.plus(0, 10)
	d.wire(bus, at)
	y := at.y + 6 + reach
	link := func(s symbol, p Part) {
		k := d.part(s, p, x, y, standing, right)
		d.wire(at, k.pin("a"))
		at = k.pin("b")
		y += rungGap
	}
	if c.Interlock != nil {
		link(coverSwitch, *c.Interlock)
	}
	for _, p := range c.Thermal {
		link(breakContact, p)
	}
	if c.PlateTrip != nil {
		link(breakContact, Part{Designator: c.PlateTrip.Designator})
	}
	if c.StepStart != nil && c.StepStart.Timeout != nil {
		link(breakContact, Part{Designator: c.StepStart.Timeout.Designator})
	}
	if c.WarmUp != nil {
		link(makeDelayed, Part{Designator: c.WarmUp.Designator})
	}
	top, first := at, y
	if c.StepStart != nil { // stuck closed, it may not let the next start begin
		link(breakContact, Part{Designator: c.StepStart.Contactor.Designator})
	}
	link(button, c.Start)
	hold := d.part(makeContact, Part{Designator: c.Contactor.Designator}, x-56, (first+y-rungGap)/2, standing, left)
	d.wire(top, point{hold.at.x, top.y})
	d.wire(point{hold.at.x, top.y}, hold.pin("a"))
	d.wire(hold.pin("b"), point{hold.at.x, at.y}, at)
	k := d.part(relayCoil, c.Contactor, x, y, standing, right)
	d.wire(at, k.pin("a"))
	d.wire(k.pin("b"), d.other.to(x))
}

// primary draws the way of the mains to the plate transformer behind x, where
// the chain stands.
func (d *control) primary(x float64) {
	c := d.a.Control
	live, other := d.live, d.other
	live.to(x)
	if c.Interlock != nil {
		live.series(coverSwitch, Part{Designator: c.Interlock.Designator}, x+10+reach, above)
		x += 64
	}
	x += 70
	live.series(makeContact, Part{Designator: c.Contactor.Designator}, x, above)
	x = math.Max(x, live.at.x)
	if s := c.StepStart; s != nil {
		if s.Timeout != nil {
			x += 34
			top := live.to(x)
			k := d.part(breakContact, Part{Designator: s.Contactor.Designator}, x, 236, standing, right)
			d.wire(top, k.pin("a"))
			t := d.part(timer, *s.Timeout, x, 300, standing, right)
			d.wire(k.pin("b"), t.pin("a"))
			d.wire(t.pin("b"), other.to(x))
			x += 36
		}
		x += 66
		top := live.to(x - 34)
		live.series(resistor, s.Resistor, x, above)
		k := d.part(makeContact, Part{Designator: s.Contactor.Designator}, x, mainsY+46, lying, below)
		node := live.to(x + 34)
		d.wire(top, point{top.x, mainsY + 46}, k.pin("a"))
		d.wire(k.pin("b"), point{node.x, mainsY + 46}, node)
		other.series(makeContact, Part{Designator: c.Contactor.Designator}, x, above)
		x += 72
		var coil *device
		if d.a.Metering.Voltmeter == nil {
			coil = d.part(relayCoil, s.Contactor, x, 300, standing, right)
		} else {
			x += 40
			coil = d.part(voltageRelay, s.Contactor, x, 300, standing, left)
			d.letter(coil, "U &gt;, t")
			end := coil.pin("s").plus(12, 0)
			d.wire(coil.pin("s"), end)
			d.flagAt(end, "Voltmeter foot", "from supply")
		}
		d.wire(live.to(x), coil.pin("a"))
		d.wire(coil.pin("b"), other.to(x))
		x += 60
	} else {
		x += 60
		other.series(makeContact, Part{Designator: c.Contactor.Designator}, x, above)
		x += 40
	}
	d.flagAt(live.to(x), "Primary 1", "to supply")
	d.flagAt(other.to(x), "Primary 2", "to supply")
	d.danger(x+14, mainsY-32, "mains")
}

// keying draws the key line with all that it must pass, the relay coils, and
// the trips.
func (d *control) keying() {
	c, s := d.a.Control, d.a.Switching
	top := d.low + 110
	x := 120.0
	if s != nil {
		if n := len(s.Relays); n < 1 || n > 3 {
			d.fail("%d transmit–receive relays; one to three can be drawn", n)
			return
		}
		x = d.relays(top)
	}
	x = math.Max(x+150, 640)
	sense := point{x + 60, top + 40}
	if c.GridTrip != nil {
		k := d.trip(*c.GridTrip, x, top+48)
		d.wire(k.pin("a"), sense)
		d.wire(k.pin("b"), k.pin("b").plus(0, 22))
		d.chassis(k.pin("b").plus(0, 22))
	}
	if c.PlateTrip != nil {
		k := d.trip(*c.PlateTrip, x, top+148)
		d.wire(k.pin("a"), point{sense.x, k.pin("a").y}, sense)
		end := k.pin("b").plus(0, 40)
		d.wire(k.pin("b"), end, point{sense.x + 20, end.y})
		d.flagAt(point{sense.x + 20, end.y}, "Negative rail", "from supply")
	}
	if c.GridTrip != nil || c.PlateTrip != nil {
		d.wire(sense, sense.plus(20, 0))
		d.flagAt(sense.plus(20, 0), "Cathode return", "from supply")
	}
}

// trip draws an overcurrent trip.
func (d *control) trip(p Part, x, y float64) *device {
	k := d.part(overcurrent, p, x, y, standing, left)
	d.letter(k, "I &gt;")
	return k
}

// relays draws key line, sequencer and coils; it returns the place of the last.
func (d *control) relays(top float64) float64 {
	c, s := d.a.Control, d.a.Switching
	plug := d.part(jack, s.Supply, 110, top, standing, left)
	keyY := top + 178
	key := d.part(jack, s.Key, 110, keyY, standing, left)
	d.chassis(plug.pin("sleeve"))
	d.chassis(key.pin("sleeve"))
	plus, keyed := &line{d.canvas, plug.pin("tip")}, &line{d.canvas, key.pin("tip")}
	x := 190.0
	// ready: the primary is on and the step start is over
	ready := c.Contactor.Designator
	if c.StepStart != nil {
		ready = c.StepStart.Contactor.Designator
	}
	keyed.series(makeContact, Part{Designator: ready}, x, above)
	for _, p := range []*Part{c.GridTrip, c.PlateTrip} {
		if p != nil {
			x += 74
			keyed.series(breakContact, Part{Designator: p.Designator}, x, above)
		}
	}
	pulls := make([]*line, len(s.Relays)) // what pulls each coil down
	for i := range pulls {
		pulls[i] = keyed
	}
	if s.Sequencer != nil {
		x += 120
		q := d.put(sequencer(len(s.Relays)), s.Sequencer.Designator, x, keyY-40, standing)
		d.seen[s.Sequencer.Designator] = q.symbol.name
		d.block(x-labelGap, q.body.y0-labelGap-lineHeight*float64(1+len(wrap(s.Sequencer.Value))), "end", *s.Sequencer)
		d.wire(keyed.at, q.pin("key"))
		d.wire(plus.to(x), q.pin("plus"))
		d.chassis(q.pin("chassis"))
		for i := range pulls {
			pulls[i] = &line{d.canvas, q.pin([]string{"out1", "out2", "out3"}[i])}
		}
		var order []string
		for _, r := range s.Relays {
			order = append(order, r.Coil.Designator)
		}
		d.text(x+72, q.body.y1-lineHeight, "start", "Transmit: "+strings.Join(order, ", then ")+", then drive.")
		slices.Reverse(order)
		d.text(x+72, q.body.y1, "start", "Receive: drive off, then "+strings.Join(order, ", then ")+".")
		x += 60
	}
	for i, r := range s.Relays {
		pull := pulls[i]
		x += 56
		k := d.part(relayCoil, r.Coil, x, top+60, standing, right)
		d.wire(plus.to(x), k.pin("a"))
		d.wire(k.pin("b"), pull.to(x))
		if r.Zener != nil && r.Snubber == nil {
			d.fail("%s has no diode in series", r.Zener.Designator)
		}
		if r.Snubber != nil {
			x += 136
			z := d.part(diodeUp, *r.Snubber, x, top+28, standing, right)
			d.wire(plus.to(x), z.pin("a"))
			last := z.pin("b")
			if r.Zener != nil {
				last = d.part(zenerDown, *r.Zener, x, last.y+reach, standing, right).pin("b")
			}
			d.wire(last, pull.to(x))
		}
		x += 80
	}
	return x
}
