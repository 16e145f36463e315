package platefeed

import (
	"fmt"
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
)

// What the safety choke is chosen by.
const (
	safetyRatio   = 20.0  // reactance over the load on the lowest band (common practice)
	touchLimit    = 120.0 // direct voltage at the connector while the fuse blows [V]
	safetyForm    = 25e-3 // a one-inch form [m] (common practice)
	safetyMargin  = 0.8   // of the greatest resistance, that one is wound for
	wireMargin    = 1.25  // diameter over the least, that one is wound with
	coldCelsius   = 40.0  // of the wire before the fault
	enamelCelsius = 200.0 // that enamel stands for an instant
	meltCelsius   = 1083.0
	unitWire      = 1e-3 // [m]
)

// adiabatic is the current squared times time [A²s] that takes a copper wire of
// a diameter [m] from one temperature to another [°C]: no heat leaves it
// meanwhile.
func adiabatic(wire, from, to float64) float64 {
	const k = 226e6 // [A·√s/m²]
	area := math.Pi / 4 * wire * wire
	return k * k * area * area * math.Log(1+(to-from)/(234.5+from))
}

// safety enters the choke from the antenna connector to the chassis: it must
// outlast the fuse and keep the connector low meanwhile.
func (s *stage) safety() {
	d, g, in := s.Desk, &s.Spec.PlateFeed.Safety, s.in
	load := in.Networks[0].Input.LoadResistance
	if load <= 0 {
		load = 50
	}
	limit := d.Catalogue("plate_feed.safety_choke_voltage_limit",
		"direct voltage allowed at the antenna connector while the fuse blows", touchLimit, "V", source.TouchVoltage.Title)
	most := d.Compute("plate_feed.safety_choke_resistance_greatest", "safety choke, greatest resistance of its wire", connectorOhms,
		ledger.With{"V_L": limit, "I_f": in.FaultPeak})
	one := d.Catalogue("plate_feed.copper_wire", "copper wire, a diameter to reckon from", unitWire, "m", "definition")
	bears := d.Catalogue("plate_feed.copper_action", fmt.Sprintf("what that wire bears from %.0f to %.0f °C", coldCelsius,
		enamelCelsius), adiabatic(unitWire, coldCelsius, enamelCelsius), "A²s", source.AdiabaticCopper.Title)
	fuses := d.Catalogue("plate_feed.copper_fusing", fmt.Sprintf("what that wire bears from %.0f °C until it melts", coldCelsius),
		adiabatic(unitWire, coldCelsius, meltCelsius), "A²s", source.AdiabaticCopper.Title)
	thinnest := d.Compute("plate_feed.safety_choke_wire_least",
		"safety choke, least diameter of its copper, at 200 °C when the fault is over", leastWire,
		ledger.With{"A_p": s.passes, "A_1": bears, "d_1": one})
	melts := d.Compute("plate_feed.safety_choke_wire_fusing", "safety choke, diameter of copper that the fault melts", leastWire,
		ledger.With{"A_p": s.passes, "A_1": fuses, "d_1": one})
	if g.Fitted.Denied() {
		d.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "plate_feed.safety_choke", Stage: "plate_feed",
			Quantities: []string{s.highest.ID, most.ID},
			Text: ledger.Say("There is no safety choke: if blocking capacitor C3 shorts, up to {highest} stand on tank, antenna "+
				"connector, feed line and antenna, and no fuse opens, because no current flows until somebody touches them.",
				ledger.Q("highest", s.highest)),
			Advice: ledger.Say("Fit a choke from the antenna connector to the chassis, of "+
				"{plate_feed.safety_choke_resistance_greatest} at most, wound of copper of {thinnest} or more.",
				ledger.Of("thinnest", thinnest.Value*wireMargin, "m"))})
		return
	}
	low := s.lowest.Centre
	if s.lowest.Low > 0 {
		low = s.lowest.Low
	}
	f := d.Book.Spec("plate_feed.lowest_edge", "lowest band, lower edge", low, "Hz", d.Spec.Where(d.Spec.Target.Bands.Origin))
	r0 := d.Catalogue("plate_feed.load_resistance", "load resistance", load, "Ω", "the usual coaxial cable")
	k := d.Catalogue("plate_feed.safety_choke_ratio", "safety choke, reactance over the load, rule", safetyRatio, "", "common practice")
	least := d.Compute("plate_feed.safety_choke_inductance_least", "safety choke, least inductance", safetyLeast,
		ledger.With{"x": k, "R_0": r0, "f": f})
	l := d.TakeOr("plate_feed.safety_choke_inductance", "safety choke at the antenna connector", "H", g.Inductance,
		preferred.E12.Up(least.Value*(1-1e-9)),
		ledger.Say("the next E12 value of twenty times the load in reactance at the lower edge of the lowest band: a short, thick "+
			"winding, since a receiving choke of some millihenries keeps tens of ohms between the fault and the chassis"))
	x := d.Compute("plate_feed.safety_choke_reactance", "safety choke, reactance on "+s.lowest.Name, reactance,
		ledger.With{"f": s.f, "L": l})
	d.Compute("plate_feed.safety_choke_current_rms", "safety choke, RF current at the worst SWR", safetyCurrent,
		ledger.With{"P": in.Output, "R_0": r0, "s": in.SWR, "X_s": x})
	if x.Value < safetyRatio*load*(1-1e-9) {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "plate_feed.safety_choke", Stage: "plate_feed", Quantities: []string{x.ID},
			Text: ledger.Say("On {on} the safety choke has only {plate_feed.safety_choke_reactance} across the {load} load.",
				ledger.OnBand("on", s.lowest.Name), ledger.Of("load", load, "Ω")),
			Advice: ledger.Say("Use at least twenty times the load (common practice).")})
	}
	wound, known := s.windSafety(l.Value, most.Value, thinnest.Value)
	var wire, ohms *ledger.Quantity
	if known || g.Wire.Given {
		wire = d.TakeOr("plate_feed.safety_choke_wire", "safety choke, diameter of its copper", "m", g.Wire, wound.Coil.Wire,
			ledger.Say("the thinnest winding wire of which a single layer on a {safety_form} form keeps to four fifths of the "+
				"greatest resistance and to 1.25 times the least diameter", ledger.Of("safety_form", safetyForm, "m")))
	}
	if known || g.Resistance.Given {
		ohms = d.TakeOr("plate_feed.safety_choke_resistance", "safety choke, resistance of its wire", "Ω", g.Resistance,
			wound.Resistance,
			ledger.Say("{turns} turns in a single layer on a {safety_form} form, {wire_length} of wire, warm",
				ledger.Fixed("turns", wound.Turns, 0), ledger.Of("safety_form", safetyForm, "m"),
				ledger.Of("wire_length", wound.WireLength, "m")))
	}
	s.safetyFinding(l, most, wire, ohms, thinnest, melts)
	rating := ledger.Say("{plate_feed.safety_choke_current_rms} RF, at most {plate_feed.safety_choke_resistance_greatest}, copper of "+
		"{thinnest} or more", ledger.Of("thinnest", thinnest.Value*wireMargin, "m"))
	note := ""
	if known {
		rating = ledger.Say("{plate_feed.safety_choke_current_rms} RF; at most {plate_feed.safety_choke_resistance_greatest}; {turns} "+
			"turns of {wire} wire on {safety_form}, {wire_length} of wire", ledger.Fixed("turns", wound.Turns, 0),
			ledger.Of("wire", wound.Coil.Wire, "m"), ledger.Of("safety_form", safetyForm, "m"),
			ledger.Of("wire_length", wound.WireLength, "m"))
		note = " On a ferrite rod or ring it has fewer turns and shorter wire."
	}
	d.Part(ledger.Part{Designator: "RFC2", Name: "safety choke, antenna connector to ground", Stage: "plate_feed",
		Given: g.Inductance.Given, Value: ledger.Say("{plate_feed.safety_choke_inductance}"), Rating: rating,
		Note: ledger.Say("DANGER: never leave it out. It blows the fuse if C3 shorts and keeps the high voltage off the antenna, and "+
			"it drains static charge from the feed line.{note} Like RFC1 it has series resonances: measure across the connector, cable "+
			"off, that none lies in a band.", ledger.Called("note", note))})
}

// windSafety winds a choke that is not at hand; false where one is, or where
// wire and resistance of it are not both left open.
func (s *stage) windSafety(inductance, most, thinnest float64) (Winding, bool) {
	g := &s.Spec.PlateFeed.Safety
	if g.Inductance.Given && !g.Wire.Given {
		return Winding{}, false
	}
	var last Winding
	for _, wire := range wires(s.Spec) {
		if g.Wire.Given {
			wire = g.Wire.SI
		}
		w, err := wind(inductance, safetyForm, wire, grading{})
		if err != nil {
			continue
		}
		last = w
		if g.Wire.Given || w.Resistance <= safetyMargin*most && wire >= wireMargin*thinnest {
			break
		}
	}
	return last, last.Turns > 0
}

// safetyFinding holds wire and resistance, nil where nobody states them,
// against what the fault asks for.
func (s *stage) safetyFinding(l, most, wire, ohms, thinnest, melts *ledger.Quantity) {
	d, in := s.Desk, s.in
	choke := d.Get("plate_feed.choke_inductance")
	first := d.Compute("plate_feed.safety_choke_first_voltage", "voltage at the antenna connector in the first instant of a fault",
		firstVolts, ledger.With{"V_0": s.highest, "L_s": l, "L": choke})
	f := ledger.Finding{ID: "plate_feed.safety_choke_fault", Stage: "plate_feed",
		Quantities: []string{most.ID, thinnest.ID, s.passes.ID, first.ID}}
	advice := ledger.Say("It must read {most} or less on an ohmmeter and be wound of copper of {thinnest} or more: thick wire on a "+
		"short form, or few turns on ferrite.", ledger.Q("most", most), ledger.Of("thinnest", thinnest.Value*wireMargin, "m"))
	find := func(severity ledger.Severity, text ledger.Sentence, more ...*ledger.Quantity) {
		f.Severity, f.Text, f.Advice = severity, text, advice
		for _, q := range more {
			f.Quantities = append(f.Quantities, q.ID)
		}
		d.Find(f)
	}
	receiving := ""
	if l.Value >= 500e-6 {
		receiving = " A receiving choke of millihenries has tens of ohms and wire like a hair."
	}
	if wire != nil && wire.Value < thinnest.Value*(1-1e-9) {
		if wire.Value < melts.Value*(1-1e-9) {
			find(ledger.Exceeds,
				ledger.Say("If blocking capacitor C3 shorts, the wire of RFC2, {wire}, melts before the fault is over: {passes} go "+
					"through it, and copper of {melts} melts with them. Then the plate supply stands on the antenna.{receiving}",
					ledger.Q("wire", wire), ledger.Q("passes", s.passes), ledger.Q("melts", melts),
					ledger.Called("receiving", receiving)), wire)
		} else {
			find(ledger.Caution,
				ledger.Say("If blocking capacitor C3 shorts, the wire of RFC2, {wire}, gets hotter than 200 °C from the {passes} that "+
					"go through it: its enamel fails.", ledger.Q("wire", wire), ledger.Q("passes", s.passes)), wire)
		}
		if ohms == nil || ohms.Value <= most.Value*(1+1e-9) {
			return
		}
		f.ID += "_resistance" // both are wrong
	}
	if ohms == nil {
		find(ledger.Caution,
			ledger.Say("Nobody says what resistance the safety choke RFC2 of {l} has, and what wire. If blocking capacitor C3 shorts "+
				"it carries {fault_peak} until the fault is cleared, and the antenna connector stands at its share of "+
				"{highest}.{receiving}", ledger.Q("l", l), ledger.Q("fault_peak", in.FaultPeak), ledger.Q("highest", s.highest),
				ledger.Called("receiving", receiving)))
		return
	}
	volts := d.Compute("plate_feed.safety_choke_voltage", "voltage at the antenna connector while the fault lasts, at most",
		connectorVolts, ledger.With{"V_0": s.highest, "R_s": ohms, "R_l": in.FaultResistance})
	rise := d.Compute("plate_feed.safety_choke_rise", "time constant with which the chokes let the fault current through", chokeRise,
		ledger.With{"L_s": l, "L": choke, "R_s": ohms, "R_l": in.FaultResistance})
	if ohms.Value > most.Value*(1+1e-9) {
		find(ledger.Exceeds,
			ledger.Say("If blocking capacitor C3 shorts, the {ohms} of RFC2 leave up to {plate_feed.safety_choke_voltage} on the "+
				"antenna connector, the feed line and the antenna until the fault is cleared. No more than "+
				"{plate_feed.safety_choke_resistance_greatest} of wire may lie there, which keep it below {touch_limit}.{receiving}",
				ledger.Q("ohms", ohms), ledger.Of("touch_limit", touchLimit, "V"), ledger.Called("receiving", receiving)), ohms, volts)
		return
	}
	find(ledger.Note,
		ledger.Say("If blocking capacitor C3 shorts, RFC2 carries {fault_peak} at the peak, {passes} in all, until the fault is "+
			"cleared. The antenna connector jumps to {plate_feed.safety_choke_first_voltage}, falls with a time constant of "+
			"{plate_feed.safety_choke_rise}, and then stands no higher than {plate_feed.safety_choke_voltage}.",
			ledger.Q("fault_peak", in.FaultPeak), ledger.Q("passes", s.passes)), ohms, volts, rise)
}
