package schematic

import "math"

// cathodes draws the leads of filaments or cathodes and what feeds them.
func (d *deck) cathodes(hotX float64) {
	last := d.lastTube()
	k := d.a.Cathode
	if d.a.Tubes.DirectlyHeated {
		x := math.Max(last+176, hotX+90)
		choke := d.part(bifilarChoke, k.Choke, x, (bus1Y+bus2Y)/2, standing, above)
		start1, start2 := tubeX-12, math.Min(tubeX+12, hotX)
		if k.PinTie != nil {
			start1, start2 = 56, 56
			d.part(capacitor, *k.PinTie, 56, (bus1Y+bus2Y)/2, standing, right)
		}
		d.wire(point{start1, bus1Y}, choke.pin("hot1"))
		d.wire(point{start2, bus2Y}, choke.pin("hot2"))
		d.drop("filament1", bus1Y)
		d.drop("filament2", bus2Y)
		centre := d.filamentSupply(choke.pin("cold1"), choke.pin("cold2"), true)
		d.cathodeReturn(centre, centre.x)
		return
	}
	if k.PinTie != nil {
		d.fail("%s ties filament pins, but the tubes are indirectly heated", k.PinTie.Designator)
	}
	x := math.Max(last+176, hotX+188)
	d.drop("heater1", bus1Y)
	d.drop("heater2", bus1Y+26)
	d.drop("cathode", bus2Y)
	d.filamentSupplyBuses(x)
	start := point{math.Min(tubeX-16, hotX), bus2Y}
	turn := x - 70
	d.wire(start, point{turn, bus2Y}, point{turn, 806})
	run := &line{d.canvas, point{turn, 806}}
	run.series(inductor, k.Choke, x, above)
	node := run.to(x + 60)
	if k.ReturnPass != nil {
		d.shunt(capacitor, *k.ReturnPass, node)
	}
	column := x + 215
	if d.a.Bias.Kind == BiasTransistor {
		column = x + 318
	}
	if d.a.Bias.Kind == BiasTransistor {
		d.wire(node, point{column - referenceX, 806})
	} else {
		d.wire(node, point{column, 806})
	}
	d.cathodeReturn(point{column, 806}, column)
}

// drop joins one pin of every tube to its bus at y.
func (d *deck) drop(pin string, y float64) {
	for _, v := range d.devices {
		if v.symbol.name == "triode" {
			d.wire(v.pin(pin), point{v.pin(pin).x, y})
		}
	}
}

func (d *deck) filamentSupplyBuses(x float64) {
	upper, lower := point{x + 50, bus1Y}, point{x + 50, bus1Y + 26}
	d.wire(point{tubeX, bus1Y}, upper)
	d.wire(point{tubeX + 14, lower.y}, lower)
	d.filamentSupply(upper, lower, false)
}

// filamentSupply draws the transformer behind the two leads and the bypass
// of each; it returns the centre tap, led out to the left.
func (d *deck) filamentSupply(lead1, lead2 point, tapped bool) point {
	x, low := lead1.x, bus1Y+100
	t := d.put(secondary(50, tapped), d.a.Cathode.Transformer.Designator, x+216, bus1Y+50, mirrored)
	d.beside(t, above, d.a.Cathode.Transformer)
	d.text(t.body.x1+labelGap, bus1Y+50-lineHeight, "start", "primary: sheet")
	d.text(t.body.x1+labelGap, bus1Y+50, "start", "“control”")
	d.wire(lead1, t.pin("s1"))
	d.wire(lead2, lead2.plus(14, 0), point{x + 14, low}, t.pin("s2"))
	d.shunt(capacitor, d.a.Cathode.Bypass[0], point{x + 34, bus1Y})
	d.shunt(capacitor, d.a.Cathode.Bypass[1], point{x + 34, low})
	if !tapped {
		return point{}
	}
	centre := t.pin("centre")
	out := centre.plus(-24, 0)
	d.wire(centre, out, point{out.x, 806})
	return point{out.x, 806}
}

// cathodeReturn draws bias device and cut-off resistor downwards from p.
func (d *deck) cathodeReturn(p point, x float64) {
	b, s := d.a.Bias, d.a.Switching
	switch b.Kind {
	case BiasNone:
		d.wire(p, p.plus(0, 2*reach))
		p = p.plus(0, 2*reach)
	case BiasZener, BiasDiodeString:
		sym := zenerUp
		if b.Kind == BiasDiodeString {
			sym = diodeString
		}
		k := d.part(sym, b.Device, x, p.y+reach, standing, right)
		p = k.pin("b")
	case BiasTransistor:
		if b.Reference == nil || b.BaseResistor == nil {
			d.fail("transistor bias needs a reference diode and a base resistor")
			return
		}
		q := d.part(npn, b.Device, x, p.y+2*reach, standing, right)
		side := x - referenceX
		z := d.part(zenerUp, *b.Reference, side, p.y+reach, standing, right)
		r := d.part(resistor, *b.BaseResistor, side, p.y+3*reach, standing, right)
		d.wire(p, q.pin("c"))
		d.wire(p, z.pin("a"))
		d.wire(z.pin("b"), q.pin("b"))
		end := point{x, r.pin("b").y}
		d.wire(q.pin("e"), end)
		d.wire(r.pin("b"), end)
		p = end
	default:
		d.fail("unknown kind of bias %q", b.Kind)
	}
	if b.CutOff != nil {
		if s == nil || s.CutOffContact == nil {
			d.fail("the cut-off resistor %s needs Switching.CutOffContact", b.CutOff.Designator)
			return
		}
		top := p.plus(0, 12)
		r := d.part(resistor, *b.CutOff, x, top.y+reach, standing, right)
		k := d.part(makeContact, *s.CutOffContact, x-60, top.y+reach, standing, left)
		d.wire(p, top)
		d.wire(top, k.pin("a"))
		d.wire(k.pin("b"), r.pin("b"))
		p = r.pin("b")
	}
	end := p.plus(0, 14)
	d.wire(p, end, end.plus(30, 0))
	d.flagAt(end.plus(30, 0), "Cathode return", "to supply")
}
