package spec

import (
	"fmt"
	"sort"
)

// tankTogether checks what needs more than one key of the tank.
func (r *reader) tankTogether() {
	t := &r.spec.Tank
	c := &t.Coil
	if !c.RibbonWidth.Given && (c.RibbonThickness.Given || c.Ribbon.Given) {
		o := c.RibbonThickness.Origin
		if !o.Given {
			o = c.Ribbon.Origin
		}
		r.problem(o, "a ribbon has a width and a thickness", `write for example ribbon_width = "10 mm" and ribbon_thickness = "1.5 mm"`)
	}
	if c.RibbonWidth.Given && !c.RibbonThickness.Given {
		r.problem(c.RibbonWidth.Origin, "a ribbon has a width and a thickness", `write for example ribbon_thickness = "1.5 mm"`)
	}
	if c.RibbonWidth.Given && c.Conductor.Given {
		r.problem(c.Conductor.Origin, "a coil is wound of wire or of ribbon: tank.coil.ribbon_width is written too",
			"keep one of the two and delete the other")
	}
	if c.RibbonWidth.Given && c.RibbonThickness.Given && c.RibbonThickness.SI > c.RibbonWidth.SI {
		r.problem(c.RibbonThickness.Origin, "the ribbon is thicker than it is wide", "exchange ribbon_width and ribbon_thickness")
	}
	along := c.Conductor.SI
	if c.RibbonWidth.Given {
		along = c.RibbonWidth.SI
		if c.Ribbon.Value == "edgewise" {
			along = c.RibbonThickness.SI
		}
	}
	r.pitch(c.Pitch, along)
	if c.Wall.Given && c.Wall.SI > c.Conductor.SI/2 {
		r.problem(c.Wall.Origin, fmt.Sprintf("the wall is more than half of the conductor, %s", plain(c.Conductor.SI, "m")),
			"for a solid wire leave the wall away")
	}
	if h := &t.HighCoil; h.Pitch.Given && h.Conductor.Given {
		r.pitch(h.Pitch, h.Conductor.SI)
	}
	o := &t.OutputCoil
	if o.Pitch.Given && o.Conductor.Given {
		r.pitch(o.Pitch, o.Conductor.SI)
	}
	if o.Inner.Given && o.Outer.Given && o.Inner.SI >= o.Outer.SI {
		r.problem(o.Inner.Origin, fmt.Sprintf("the hole is as large as the ring of %s", plain(o.Outer.SI, "m")),
			"core_inner is the smaller diameter")
	}
	if first := t.OutputCoil.given(); first != nil && t.Network.Value != "pi-L" {
		r.problem(*first, "only a pi-L has an output coil", `under [tank] write network = "pi-L", or delete this table`)
	}
	for _, k := range []*VariableCapacitor{&t.Tune, &t.Load} {
		r.dial(k)
	}
	if c.RibbonWidth.Given {
		r.spec.forget("tank.coil.conductor")
	}
	if c.Kind.Value == "roller" {
		r.spec.forget("tank.switch.unused_turns")
		if !c.Turns.Given {
			r.spec.forget("tank.coil.diameter", "tank.coil.conductor", "tank.coil.pitch", "tank.coil.material")
		}
	}
}

// pitch refuses turns that lie within each other.
func (r *reader) pitch(p Quantity, along float64) {
	if p.Known() && along > p.SI*(1+1e-9) {
		r.problem(p.Origin, fmt.Sprintf("a pitch of %s leaves no room for a conductor that takes up %s", plain(p.SI, "m"),
			plain(along, "m")),
			"the pitch is counted from the centre of one turn to that of the next, and must exceed the conductor")
	}
}

// dial checks the points of a measured dial.
func (r *reader) dial(k *VariableCapacitor) {
	if k.Dial.Given && k.Law.Given {
		r.problem(k.Law.Origin, "the dial was measured: no law is needed", "keep one of law and dial")
	}
	if k.Dial.Given && !sort.Float64sAreSorted(k.Dial.SI) {
		r.problem(k.Dial.Origin, "the capacitances do not rise from one point of the dial to the next",
			"begin at the open end, and measure at equal steps")
	}
	if k.Dial.Given && len(k.Dial.SI) < 2 {
		r.problem(k.Dial.Origin, "one point does not make a dial", "at least two: fully open and fully meshed")
	}
	if n := len(k.Dial.SI); k.Dial.Given && n >= 2 && k.Capacitance.Given &&
		(k.Dial.SI[0] > k.Capacitance.Low*1.05 || k.Dial.SI[0] < k.Capacitance.Low*0.95 ||
			k.Dial.SI[n-1] > k.Capacitance.High*1.05 || k.Dial.SI[n-1] < k.Capacitance.High*0.95) {
		r.problem(k.Dial.Origin, "the ends of the dial are not those of the range",
			"the first point is the lowest capacitance of range, the last the highest")
	}
}

// given is the first key of the table that the builder wrote.
func (o *OutputCoil) given() *Origin {
	for _, x := range []*Origin{&o.Index.Origin, &o.Outer.Origin, &o.Inner.Origin, &o.Height.Origin, &o.Rings.Origin, &o.Form.Origin,
		&o.Pitch.Origin, &o.Conductor.Origin, &o.Current.Origin} {
		if x.Given {
			return x
		}
	}
	return nil
}

// Given says that the builder wants a separate coil for the high bands.
func (h *HighCoil) Given() bool {
	return h.Form.Given || h.Conductor.Given || h.Pitch.Given || h.Turns.Given || h.Inductance.Given || h.Material.Given
}
