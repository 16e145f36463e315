package schematic

import (
	"fmt"
	"math"
)

// The levels of the supply sheet.
const (
	liveY    = 150.0
	neutralY = 290.0
	railY    = 70.0  // positive rail
	space    = 128.0 // a part with its lettering
	stageMin = 76.0  // one part of a string
	lowRailY = 400.0 // negative rail, at least
)

// power draws the supply sheet.
type power struct {
	*canvas
	a   Amplifier
	low float64 // level of the negative rail
}

func drawSupply(a Amplifier) *canvas {
	d := &power{newCanvas(a.Rows), a, 0}
	plan := stringPlan(len(a.Supply.Capacitors), a.Supply.Rectifier == Doubler)
	d.low = math.Max(lowRailY, railY+stageMin*float64(max(len(plan), len(multiplierPlan(a.Metering)))))
	if a.Supply.Rectifier == Doubler {
		d.low = math.Max(d.low, 2*neutralY-railY) // the middle of the string faces the secondary
	}
	x := d.transformer()
	d.highVoltage(x, plan)
	d.text(14, d.foot(), "start",
		"The negative rail is not chassis: it floats a few volts. A line over a line without a dot is no connection.")
	return d.canvas
}

// transformer draws the plate transformer with its feeders and returns its
// place.
func (d *power) transformer() float64 {
	s, x := d.a.Supply, 170.0
	t := d.part(transformer(70, s.Rectifier == CentreTap), s.Transformer, x, 220, standing, above)
	for i, pin := range []string{"p1", "p2"} {
		p := t.pin(pin)
		d.wire(point{64, p.y}, p)
		d.flagFrom(point{64, p.y}, fmt.Sprintf("Primary %d", i+1), "from control")
	}
	d.danger(30, 220, "mains")
	d.danger(x+46, liveY+36, "HV")
	return x
}

// arm places a rectifier arm that conducts upwards.
func (d *power) arm(p Part, x, y float64) *device {
	return d.part(diodeUp, p, x, y, standing, right)
}

// highVoltage draws everything from the secondary to the negative lead.
func (d *power) highVoltage(x float64, plan []int) {
	s := d.a.Supply
	want := 2
	if s.Rectifier == Bridge {
		want = 4
	}
	switch {
	case s.Rectifier != Bridge && s.Rectifier != CentreTap && s.Rectifier != Doubler:
		d.fail("unknown rectifier %q", s.Rectifier)
	case len(s.Diodes) != want:
		d.fail("a %s rectifier has %d arms, not %d", s.Rectifier, want, len(s.Diodes))
	case len(s.Capacitors) == 0:
		d.fail("a supply without filter capacitors")
	case s.Rectifier == Doubler && len(s.Capacitors)%2 != 0:
		d.fail("a doubler needs an even number of filter capacitors, not %d", len(s.Capacitors))
	case len(s.Equalizers) != 0 && len(s.Equalizers) != len(s.Capacitors):
		d.fail("%d equalizing resistors for %d capacitors", len(s.Equalizers), len(s.Capacitors))
	}
	if d.err != nil {
		return
	}
	s1, s2 := point{x + 20, liveY}, point{x + 20, neutralY}
	a, b := x+90, x+206
	negative := a // left end of the negative rail
	var middle *line
	upper, lower := railY+40, 345.0
	d1 := d.arm(s.Diodes[0], a, upper)
	d.wire(point{a, railY}, d1.pin("a"))
	d.wire(d1.pin("b"), point{a, liveY})
	d.wire(s1, point{a, liveY})
	switch s.Rectifier {
	case Bridge:
		d2 := d.arm(s.Diodes[1], b, upper)
		d3, d4 := d.arm(s.Diodes[2], a, lower), d.arm(s.Diodes[3], b, lower)
		d.wire(point{b, railY}, d2.pin("a"))
		d.wire(point{a, liveY}, d3.pin("a"))
		d.wire(d2.pin("b"), d4.pin("a"))
		d.wire(s2, point{b, neutralY})
		d.wire(d3.pin("b"), point{a, d.low})
		d.wire(d4.pin("b"), point{b, d.low})
	case CentreTap:
		d2 := d.arm(s.Diodes[1], b, upper)
		d.wire(point{b, railY}, d2.pin("a"))
		d.wire(d2.pin("b"), point{b, neutralY}, s2)
		negative = x + 56
		d.wire(point{x + 36, 220}, point{negative, 220}, point{negative, d.low})
	case Doubler:
		d2 := d.arm(s.Diodes[1], a, lower)
		d.wire(point{a, liveY}, d2.pin("a"))
		d.wire(d2.pin("b"), point{a, d.low})
		b = a
		middle = &line{d.canvas, s2}
	}
	x = b + space
	if s.Rectifier == Doubler {
		x += 20
	}
	rail := point{a, railY} // left end of the positive rail
	if s.Choke != nil {
		x += 130
		k := d.part(inductor, *s.Choke, b+160, railY, lying, below)
		d.wire(rail, k.pin("a"))
		rail = k.pin("b")
	}
	joints := d.capacitors(x, plan)
	if middle != nil {
		m := joints[len(plan)/2]
		corner := point{x - 30, m.y}
		d.wire(s2, point{corner.x, neutralY}, corner, m)
	}
	if len(s.Equalizers) > 0 {
		x += space - 2
		d.equalizers(x, plan, joints)
	}
	if s.Bleeder != nil {
		x += space
		r := d.part(resistor, *s.Bleeder, x, (railY+d.low)/2, standing, right)
		d.wire(point{x, railY}, r.pin("a"))
		d.wire(r.pin("b"), point{x, d.low})
	}
	foot := x // right end of the negative rail
	if d.a.Metering.Voltmeter != nil {
		x += space
		x = d.voltmeter(x)
	}
	x += 80
	d.wire(rail, point{x, railY})
	d.flagAt(point{x, railY}, "HV+", "to RF deck")
	d.danger(x+13, railY-32, "HV danger")
	d.wire(point{negative, d.low}, point{foot, d.low})
	d.text(negative+8, d.low+6, "start", "Negative rail")
	d.meters(negative)
}

// stringPlan lists the parts of a series string to draw by index; -1 stands
// for those left out. A doubler keeps its middle joint.
func stringPlan(n int, halves bool) []int {
	part := func(from, to, most int) []int {
		if to-from <= most {
			var all []int
			for i := from; i < to; i++ {
				all = append(all, i)
			}
			return all
		}
		return []int{from, -1, to - 1}
	}
	if halves {
		return append(part(0, n/2, 2), part(n/2, n, 2)...)
	}
	return part(0, n, 3)
}

// capacitors draws the filter string at x and returns its joints, top first.
func (d *power) capacitors(x float64, plan []int) []point {
	step := (d.low - railY) / float64(len(plan))
	joints := []point{{x, railY}}
	for i := range plan {
		top := point{x, math.Round(railY + step*float64(i))}
		end := point{x, math.Round(railY + step*float64(i+1))}
		d.stage(capacitor, d.a.Supply.Capacitors, plan, i, top, end)
		joints = append(joints, end)
	}
	d.danger(x-26, railY-20, "HV danger")
	return joints
}

// stage draws entry i of a string, or the sign for the parts left out.
func (d *power) stage(s symbol, parts []Part, plan []int, i int, top, end point) {
	index := plan[i]
	y := math.Round((top.y + end.y) / 2)
	var k *device
	if index < 0 {
		k = d.put(gap, "", top.x, y, standing)
		d.text(k.body.x1+labelGap, y-lineHeight/2, "start", fmt.Sprintf("%d more", plan[i+1]-plan[i-1]-1))
	} else {
		k = d.part(s, parts[index], top.x, y, standing, right)
	}
	d.wire(top, k.pin("a"))
	d.wire(k.pin("b"), end)
}

func (d *power) equalizers(x float64, plan []int, joints []point) {
	for i := range plan {
		top, end := point{x, joints[i].y}, point{x, joints[i+1].y}
		d.stage(resistor, d.a.Supply.Equalizers, plan, i, top, end)
		if i > 0 {
			d.wire(joints[i], top)
		}
	}
}

func multiplierPlan(m Metering) []int {
	if m.Voltmeter == nil {
		return nil
	}
	return append(stringPlan(len(m.Multiplier), false), 0)
}

// voltmeter draws the multiplier string at x with the meter at its foot, which
// is at the chassis: nothing of the meter floats on the panel. It returns the
// place of what hangs furthest to the right.
func (d *power) voltmeter(x float64) float64 {
	m := d.a.Metering
	if len(m.Multiplier) == 0 {
		d.fail("the voltmeter %s has no multiplier resistors", m.Voltmeter.Designator)
		return x
	}
	plan := multiplierPlan(m)
	step := (d.low - railY) / float64(len(plan))
	for i := range plan {
		top := point{x, math.Round(railY + step*float64(i))}
		end := point{x, math.Round(railY + step*float64(i+1))}
		if i < len(plan)-1 {
			d.stage(resistor, m.Multiplier, plan, i, top, end)
			continue
		}
		y := math.Round((top.y + end.y) / 2)
		k := d.instrument("V", *m.Voltmeter, x, y, standing, right)
		d.wire(top, k.pin("a"))
		d.chassis(k.pin("b"))
		run := &line{d.canvas, top}
		for _, r := range []*Part{m.MeterShunt, m.Foot} {
			if r == nil {
				continue
			}
			p := d.part(resistor, *r, run.at.x+space, y, standing, right)
			d.wire(run.to(p.at.x), p.pin("a"))
			d.chassis(p.pin("b"))
		}
		x = run.at.x
		if d.a.Control.StepStart != nil { // which waits for the bank
			end := run.to(x + 40)
			d.flagAt(end, "Voltmeter foot", "to control")
		}
	}
	return x
}

// instrument draws a meter with its unit in the circle.
func (c *canvas) instrument(unit string, p Part, x, y float64, turn orientation, where side) *device {
	k := c.part(meter(unit), p, x, y, turn, where)
	c.letter(k, unit)
	return k
}

// letter writes letters into a symbol, upright however it lies.
func (c *canvas) letter(k *device, words string) {
	k.symbol.svg += fmt.Sprintf(`<text y="4.5" text-anchor="middle" font-size="%g" fill="currentColor" stroke="none" font-family="Liberation Sans, Arial, Helvetica, sans-serif"%s>%s</text>`,
		textSize-1, map[orientation]string{lying: ` transform="rotate(90)"`}[k.turn], words)
}

// meters draws the negative lead: what ties the rail to the chassis, and the
// shunts for plate and grid current.
func (d *power) meters(x float64) {
	m := d.a.Metering
	y := d.low + 90
	d.wire(point{x, d.low}, point{x, y})
	run := &line{d.canvas, point{x, y}}
	if d.a.Control.PlateTrip != nil {
		sense := point{x, y}
		d.wire(sense, sense.plus(-40, 0))
		d.put(flagRight, "Negative rail", x-40, y, mirrored)
		d.text(x-66, y+12, "start", "Negative rail")
		d.text(x-66, y+12+lineHeight, "start", "to control")
	}
	x += 34
	d.shunt(resistor, m.RailResistor, run.to(x))
	if m.RailClamps[0].Designator != "" { // else there are none
		x += space
		d.shunt(diodeDown, m.RailClamps[0], run.to(x))
		x += space
		d.shunt(diodeUp, m.RailClamps[1], run.to(x))
	}
	x += 172
	d.shuntMeter(run, m.PlateShunt, m.PlateMeter, m.PlateClamps, x, false)
	x += 160
	node := run.to(x)
	d.wire(node, node.plus(0, 150), node.plus(16, 150))
	d.flagAt(node.plus(16, 150), "Cathode return", "RF deck, control")
	x += 100
	d.shuntMeter(run, m.GridShunt, m.GridMeter, m.GridClamps, x, true)
	end := run.to(x + 160)
	d.wire(end, end.plus(0, 16))
	d.chassis(end.plus(0, 16))
}

// shuntMeter puts a shunt into the run with its clamps and its meter below it.
// Current flows from right to left in the lead of the plate meter, from left to
// right in that of the grid meter: the sign stands at its positive terminal.
func (d *power) shuntMeter(run *line, shunt, instrument Part, clamps *Part, x float64, plusLeft bool) {
	from := run.to(x - 40)
	run.series(resistor, shunt, x, above)
	end := run.to(x + 40)
	y := run.at.y + 48
	across := func(k *device) {
		d.wire(from, point{from.x, k.at.y}, k.pin("a"))
		d.wire(k.pin("b"), point{end.x, k.at.y}, end)
		from.y, end.y = k.at.y, k.at.y
	}
	if clamps != nil {
		k := d.put(clampPair, clamps.Designator, x, y, lying)
		d.seen[clamps.Designator] = clampPair.name
		d.block(end.x+labelGap, y-lineHeight*float64(1+len(wrap(clamps.Value)))/2, "start", *clamps)
		across(k)
		y += 60
	}
	k := d.put(meter("mA"), instrument.Designator, x, y, lying)
	d.letter(k, "mA")
	d.seen[instrument.Designator] = "meter"
	d.block(end.x+labelGap, y-lineHeight*float64(1+len(wrap(instrument.Value)))/2, "start", instrument)
	across(k)
	if plusLeft {
		d.text(k.body.x0-4, y+4, "end", "+")
	} else {
		d.text(k.body.x1+4, y+4, "start", "+")
	}
}
