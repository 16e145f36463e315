package schematic

import (
	"fmt"
	"math"
)

// The levels of the deck sheet, from the output network at the top to the
// drive at the bottom.
const (
	bypassY = 30.0  // receive path round the amplifier
	outputY = 190.0 // tank
	plateY  = 390.0 // plates and plate feed
	tubeY   = 530.0
	bus1Y   = 598.0 // upper filament lead
	bus2Y   = 650.0 // lower filament lead, cathode lead
	driveY  = 760.0
	rowStep = 136.0 // between two pis of the input network
	leftX   = 24.0  // receive path
	plateX  = 80.0  // riser from the plates to the tank
	tubeX   = 170.0 // first tube
	tubeGap = 180.0
	column  = 132.0 // a shunt part with its lettering
	// referenceX is how far the reference diode stands left of its transistor.
	referenceX = 130.0
)

// deck draws the radio-frequency sheet.
type deck struct {
	*canvas
	a Amplifier
}

func drawDeck(a Amplifier) *canvas {
	d := &deck{newCanvas(a.Rows), a}
	receive := d.output()
	d.plates()
	hotX := d.drive(receive)
	d.cathodes(hotX)
	d.text(leftX, d.foot(), "start",
		"Contacts at rest: receive. Each grid pin goes straight to the chassis at its socket. A line over a line without a dot is no "+
			"connection.")
	return d.canvas
}

// danger marks a node that kills.
func (c *canvas) danger(x, y float64, words string) {
	c.put(flash, "", x, y, standing)
	c.text(x+18, y-5, "start", words)
}

// output draws riser, blocking capacitor, tank and antenna; it returns the
// end of the receive path, if there is one.
func (d *deck) output() *point {
	t := d.a.Tank
	blocking := d.part(capacitor, d.a.PlateFeed.Blocking, plateX, 290, standing, right)
	d.wire(point{plateX, plateY}, blocking.pin("b"))
	d.wire(blocking.pin("a"), point{plateX, outputY})
	run := &line{d.canvas, point{plateX, outputY}}

	d.shunt(variableCapacitor, t.Tune, run.to(206))
	x := d.paddings(run, t.TunePadding, 206)
	d.danger(plateX+30, outputY-24, "RF danger")
	x = d.tank(run, x)
	d.shunt(variableCapacitor, t.Load, run.to(x+20))
	x = d.paddings(run, t.LoadPadding, x+20)
	if t.OutputCoil != nil {
		x += 62
		run.series(inductor, *t.OutputCoil, x, above)
	}
	if t.SafetyChoke != nil {
		x += 64
		if t.OutputCoil == nil {
			x += column - 64
		}
		d.shunt(inductor, *t.SafetyChoke, run.to(x))
	}
	x += 70
	end := run.to(x - reach)
	var receive *point
	if s := d.a.Switching; s != nil {
		k := d.put(changeOver, s.OutputContact.Designator, x, outputY-12, mirrored)
		d.contactLabel(x-12, outputY-80, "start", s.OutputContact)
		p := k.pin("nc")
		receive = &p
		end = k.pin("common")
	}
	j := d.part(coaxial, t.Antenna, x+85, end.y, mirrored, right)
	d.wire(end, j.pin("inner"))
	d.chassis(j.pin("outer"))
	return receive
}

func (d *deck) contactLabel(x, y float64, anchor string, p Part) {
	if p.Designator == "" {
		d.fail("a relay contact has no designator")
	}
	d.block(x, y, anchor, p)
}

// paddings draws fixed capacitors behind the shunt part at x, each with its
// switch section, and returns the place of the last.
func (d *deck) paddings(run *line, list []Padding, x float64) float64 {
	step := column
	for _, p := range list {
		x += step
		from := run.to(x)
		s := d.part(makeContact, p.Switch, x, from.y+8+reach, standing, right)
		k := d.part(capacitor, p.Capacitor, x, from.y+8+reach*3, standing, right)
		d.wire(from, s.pin("a"))
		d.chassis(k.pin("b"))
		wide := textWidth(p.Capacitor.Designator)
		for _, l := range append(wrap(p.Capacitor.Value), wrap(p.Switch.Value)...) {
			wide = math.Max(wide, textWidth(l))
		}
		step = math.Ceil(capacitor.body.x1 + labelGap + wide + 8 + capacitor.body.x1)
	}
	return x
}

// roomy is where a coil of a length may begin so that the lettering below it
// keeps clear of that of the shunt part at x.
func roomy(x, length float64) float64 {
	return math.Max(x+80, math.Ceil(x+variableCapacitor.body.x1+labelGap+labelWidth+8+labelWidth/2-length/2))
}

// tank draws the coils behind the shunt part at x and returns the place of
// their end.
func (d *deck) tank(run *line, x float64) float64 {
	t := d.a.Tank
	if t.Taps != nil && t.Roller {
		d.fail("the tank coil %s has both taps and a roller", t.Coil.Designator)
	}
	if t.Taps != nil {
		return d.tapped(run, x)
	}
	if t.HighBandCoil != nil {
		x = roomy(x, 2*reach)
		run.series(inductor, *t.HighBandCoil, x+reach, above)
		x += 80
	}
	whole := tappedCoil(0)
	if t.Roller {
		whole = rollerCoil()
	}
	x = roomy(x, whole.body.x1)
	run.to(x)
	coil := d.part(whole, t.Coil, x, outputY, standing, below)
	run.at = coil.pin("b")
	if t.Roller {
		end := coil.pin("b").plus(14, 0)
		w := coil.pin("w")
		d.wire(coil.pin("b"), end)
		d.wire(w, point{end.x, w.y}, end)
		run.at = end
	}
	return run.at.x
}

// tapped draws one coil, or two in series, with the band switch. The turns
// between the wiper and the output end are shorted.
func (d *deck) tapped(run *line, x float64) float64 {
	t := d.a.Tank
	n, high := len(t.Taps.Bands), t.Taps.High
	switch {
	case n < 2 || n > 10:
		d.fail("a tank switch with %d positions; it has two to ten", n)
		return x
	case t.HighBandCoil == nil && high > 0, high >= n, t.Taps.HighEnd && high < 1:
		d.fail("%d of %d positions tap a coil of their own", high, n)
		return x
	}
	// each position: where its contact stands, and what it taps
	var places []float64
	var taps []point
	if t.HighBandCoil != nil {
		own := high
		if t.Taps.HighEnd {
			own-- // the last one is the joint of the two coils
		}
		first := tappedCoil(own)
		x = roomy(x, first.body.x1)
		run.to(x)
		coil := d.part(first, *t.HighBandCoil, x, outputY, standing, below)
		for i := range own {
			p := coil.pin(fmt.Sprintf("t%d", i+1))
			places, taps = append(places, p.x), append(taps, p)
		}
		run.at = coil.pin("b")
		if t.Taps.HighEnd {
			places, taps = append(places, run.at.x), append(taps, run.at)
		}
		x = run.at.x + 60
		run.to(x)
	}
	whole := tappedCoil(n - 1 - high)
	if t.HighBandCoil == nil {
		x = roomy(x, whole.body.x1)
		run.to(x)
	}
	coil := d.part(whole, t.Coil, x, outputY, standing, below)
	for i := range n - 1 - high {
		p := coil.pin(fmt.Sprintf("t%d", i+1))
		places, taps = append(places, p.x), append(taps, p)
	}
	places, taps = append(places, coil.pin("b").x), append(taps, coil.pin("b"))
	for i := range places {
		places[i] -= taps[0].x
	}
	sw := d.part(tapSwitch(places), t.Taps.Switch, taps[0].x, outputY-60, standing, above)
	for i, band := range t.Taps.Bands {
		c := sw.pin(fmt.Sprintf("c%d", i))
		d.wire(c, taps[i])
		d.text(c.x+4, outputY-42, "start", shorten(band))
	}
	end := coil.pin("b").plus(tapPitch+4, 0)
	d.wire(coil.pin("b"), end)
	d.wire(sw.pin("w"), point{end.x, sw.pin("w").y}, end)
	run.at = end
	return end.x
}

func (d *deck) lastTube() float64 { return tubeX + tubeGap*float64(len(d.a.Tubes.Designators)-1) }

// plates draws the tubes with their suppressors and the plate feed.
func (d *deck) plates() {
	t, f := d.a.Tubes, d.a.PlateFeed
	run := &line{d.canvas, point{plateX, plateY}}
	for i, name := range t.Designators {
		x := tubeX + tubeGap*float64(i)
		v := d.put(tube(t.DirectlyHeated), name, x, tubeY, standing)
		d.block(v.body.x1+8, tubeY-lineHeight, "start", Part{name, t.Type})
		d.wire(v.pin("grid"), v.pin("grid").plus(0, 12))
		d.chassis(v.pin("grid").plus(0, 12))
		top := run.to(x)
		if len(t.Suppressors) == 0 {
			d.wire(top, v.pin("plate"))
			continue
		}
		s := t.Suppressors[i]
		l := d.put(inductor, s.Coil.Designator, x-16, plateY+42, standing)
		r := d.put(resistor, s.Resistor.Designator, x+16, plateY+42, standing)
		if s.Coil.Designator == "" || s.Resistor.Designator == "" {
			d.fail("the suppressor of %s has a part without a designator", name)
		}
		d.block(r.body.x1+labelGap, plateY+8, "start", s.Coil, s.Resistor)
		upper, lower := point{x, l.pin("a").y}, point{x, l.pin("b").y}
		d.wire(top, upper)
		d.wire(l.pin("a"), upper)
		d.wire(upper, r.pin("a"))
		d.wire(l.pin("b"), lower)
		d.wire(lower, r.pin("b"))
		d.wire(lower, v.pin("plate"))
	}
	x := d.lastTube() + 150
	if len(t.Suppressors) == 0 {
		x -= 70
	}
	d.danger(plateX+24, plateY-20, "HV danger")
	run.series(inductor, f.Choke, x, above)
	if f.SeriesChoke != nil {
		x += 90
		run.series(inductor, *f.SeriesChoke, x, above)
	}
	x += 50
	if f.Bypass != nil {
		d.shunt(capacitor, *f.Bypass, run.to(x))
	}
	if f.SecondChoke != nil {
		x += 60
		run.series(inductor, *f.SecondChoke, x, above)
		x += 66
		if f.SecondBypass != nil {
			d.shunt(capacitor, *f.SecondBypass, run.to(x))
		}
	} else if f.SecondBypass != nil {
		d.fail("a second bypass %s without a second choke", f.SecondBypass.Designator)
	}
	x += 5
	for _, s := range []struct {
		p *Part
		s symbol
	}{{f.Glitch, resistor}, {f.Fuse, fuse}} {
		if s.p != nil {
			x += 60
			run.series(s.s, *s.p, x, above)
			x += 40
		}
	}
	x += 35
	d.flagAt(run.to(x), "HV+", "from supply")
	d.danger(x+13, plateY-32, "HV danger")
}

// flagAt ends a wire in a connector to the other sheet.
func (c *canvas) flagAt(p point, name string, where string) {
	c.put(flagRight, name, p.x, p.y, standing)
	if where == "" {
		c.text(p.x+32, p.y-lineHeight/2, "start", name)
		return
	}
	c.text(p.x+32, p.y-lineHeight, "start", name)
	c.text(p.x+32, p.y, "start", where)
}

// flagFrom begins a wire at p, the tip of a connector from another sheet.
func (c *canvas) flagFrom(p point, name string, where string) {
	c.put(flagLeft, name, p.x, p.y, standing)
	c.text(p.x-30, p.y-10-2*lineHeight, "start", name)
	c.text(p.x-30, p.y-10-lineHeight, "start", where)
}

// drive draws connector, relay, input network and coupling capacitor; it
// returns the place where the drive meets the cathodes.
func (d *deck) drive(receive *point) float64 {
	j := d.put(coaxial, d.a.Drive.Designator, 60, driveY-12, standing)
	d.chassis(j.pin("outer"))
	d.contactLabel(60, driveY+32, "middle", d.a.Drive)
	run := &line{d.canvas, j.pin("inner")}
	if s := d.a.Switching; s != nil {
		k := d.put(changeOver, s.InputContact.Designator, 170, driveY-12, standing)
		d.contactLabel(170, driveY+14, "middle", s.InputContact)
		run.to(k.pin("common").x)
		nc := k.pin("nc")
		corner := point{leftX, driveY - 48}
		d.wire(nc, point{nc.x, corner.y}, corner, point{leftX, bypassY}, point{receive.x, bypassY}, *receive)
		run.at = k.pin("no")
	} else {
		d.wire(run.at, run.at.plus(60, 0), run.at.plus(60, 12))
		run.at = run.at.plus(60, 12)
	}
	if a := d.a.Attenuator; a != nil {
		x := run.at.x + 44
		d.shunt(resistor, a[0], run.to(x))
		run.series(resistor, a[1], x+column/2, above)
		d.shunt(resistor, a[2], run.to(x+column))
		run.to(x + column + 88)
	}
	if d.a.Input != nil {
		run.at = d.inputPis(run.at)
	}
	run.to(run.at.x + 32)
	x := run.at.x
	k := d.part(capacitor, d.a.Cathode.Coupling, x, driveY-76, standing, right)
	d.wire(run.at, k.pin("b"))
	d.wire(k.pin("a"), point{x, bus2Y})
	return x
}

// inputPis draws the pi of the first and the last band; those between have
// the same form.
func (d *deck) inputPis(from point) point {
	in := d.a.Input
	n := len(in.Bands)
	drawn := []InputBand{in.Bands[0]}
	rows := []float64{0}
	if n > 1 {
		drawn = append(drawn, in.Bands[n-1])
		rows = append(rows, rowStep)
	}
	x := from.x + 44
	start, end := from.x, x+350
	if in.Switch != nil {
		first := d.put(deckSwitch(rows, n-len(drawn)), in.Switch.Designator, x, driveY, standing)
		d.block(x-20, driveY+82, "end", *in.Switch)
		second := d.put(deckSwitch(rows, n-len(drawn)), in.Switch.Designator, x+320, driveY, mirrored)
		d.block(x+320, driveY-8-labelGap-lineHeight, "middle", Part{Designator: in.Switch.Designator})
		d.wire(from, first.pin("w"))
		start, end = first.pin("c0").x, second.pin("c0").x
		from = second.pin("w")
	} else if n > 1 {
		d.fail("an input network for %d bands needs a switch", n)
	}
	for i, b := range drawn {
		y := driveY + rows[i]
		run := &line{d.canvas, point{start, y}}
		d.text(x+30, y-20, "start", shorten(b.Band))
		if b.In.Designator != "" {
			d.shunt(capacitor, b.In, run.to(x+50))
		}
		run.series(adjustableInductor, b.Coil, x+115, above)
		if b.Out.Designator != "" {
			d.shunt(capacitor, b.Out, run.to(x+175))
		}
		run.to(end)
	}
	if n > 2 {
		words := "%d more bands alike, not drawn"
		if n == 3 {
			words = "%d more band alike, not drawn"
		}
		d.text(x+60, driveY+rowStep+92, "start", fmt.Sprintf(words, n-2))
	}
	if in.Switch == nil {
		return point{end, driveY}
	}
	return from
}
