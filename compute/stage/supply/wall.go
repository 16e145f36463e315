package supply

import (
	"math"

	"anodebook/compute/data/rules"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// electrician is said wherever the mains is planned.
const electrician = "The local electrical code and a licensed electrician decide."

// fuseHeadroom is what a mains fuse is rated for over the current it carries
// without pause (common practice: no more than four fifths of the rating).
const fuseHeadroom = 1.25

// insulations are the voltages that mains parts are commonly rated for [V].
var insulations = []float64{125, 250, 300, 500, 600, 1000}

// insulated is the rated voltage of parts on the mains, in words.
func (w *work) insulated() ledger.Sentence {
	return ledger.Say("{next_up}", ledger.Of("next_up", desk.NextUp(w.mainsVoltage.Value, insulations), "V"))
}

// contacts is the rating [A] of switches and contacts for a mains current [A].
func (w *work) contacts(current float64) float64 {
	return desk.NextUp(1.25*current, w.practice.Ratings())
}

// amps writes a rated current as it stands on the part: 20 A, 6.3 A.
func amps(a float64) ledger.Sentence {
	return ledger.Say("{round} A", ledger.Short("round", math.Round(a*1e4)/1e4, 6))
}

// wall enters the branch circuit.
func (w *work) wall(full, service, idle *ledger.Quantity, what string) {
	m, p := &w.Spec.Supply.Mains, &w.practice
	long := w.Compute("supply.circuit_continuous", "Rating of the mains circuit for a continuous load", continuous,
		ledger.With{"I": full})
	largest := p.Circuits[len(p.Circuits)-1]
	words := ledger.Say("No branch circuit up to {breaker} carries that", ledger.In("breaker", amps(largest.Breaker)))
	w.breaker, w.stated = desk.NextUp(math.Max(long.Value, p.Ordinary), p.Ratings()), m.Circuit.Given
	if c, ok := p.Behind(w.breaker); ok {
		q := w.Catalogue("supply.circuit_advised", "Smallest branch circuit that carries the mains current for hours", c.Breaker, "A",
			p.CircuitsCitation)
		w.breaker = q.Value
		words = ledger.Say("{title} would be a circuit of {breaker}{c}", ledger.Called("title", p.Title),
			ledger.In("breaker", amps(c.Breaker)), ledger.In("c", copper(c)))
	}
	if w.stated {
		words = words.Append(ledger.Say("; supply.mains.circuit states {circuit}", ledger.In("circuit", amps(m.Circuit.SI))))
	}
	circuit := w.TakeOr("supply.circuit_rating", "Rating of the branch circuit", "A", m.Circuit, w.breaker,
		ledger.Say("the smallest circuit that exists for 125 % of the mains current at full output: {circuits_citation}",
			ledger.Called("circuits_citation", p.CircuitsCitation)))
	w.breaker = circuit.Value
	w.circuitRating = circuit
	w.Check(desk.Hold{Part: "wall", Name: "Branch circuit", Kind: "current", Stress: full, Have: m.Circuit, Rating: w.breaker,
		Bought: true,
		Factor: spec.Ratio{Value: p.Continuous}, Why: ledger.Say("full output, {what}; the factor is that of a continuous load",
			ledger.Called("what", what)),
		Advice: ledger.Say("Lower the output or have a larger circuit installed. " + electrician)})
	w.Find(ledger.Finding{
		Severity: ledger.Note, ID: "supply.mains_circuit", Stage: "supply", Quantities: []string{full.ID, service.ID, idle.ID, long.ID},
		Text: ledger.Say("The mains current is {full} at full output without pause, {service} {service_words} and {idle} idling "+
			"({what}). For a load of three hours and more, conductors and breaker must be rated for 125 % of it, "+
			"{supply.circuit_continuous}. {words}. This is advice for planning, not a rating.", ledger.Q("full", full),
			ledger.Q("service", service), ledger.Called("service_words", serviceWords[w.Spec.Target.Duty.Value]),
			ledger.Q("idle", idle),
			ledger.Called("what", what), ledger.In("words", words)),
		Advice: ledger.Say("The local electrical code and a licensed electrician decide on circuit, wire, plug and protective earth."),
	})
	w.drop(full)
	if w.stated && !p.Exists(w.breaker) {
		w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.circuit_size", Stage: "supply", Quantities: []string{circuit.ID},
			Text: ledger.Say("No branch circuit of {breaker} exists in this rule set; there are {ratings}.",
				ledger.In("breaker", amps(w.breaker)), ledger.Called("ratings", amperes(p.Ratings()))),
			Advice: ledger.Say("Read the rating on the breaker itself and correct supply.mains.circuit. " + electrician)})
	}
}

// mostDrop is the share of the mains voltage that the wiring from the panel may
// lose: five per cent for feeder and branch circuit together (NEC 210.19,
// informational note, from memory).
const mostDrop = 0.05

// drop says where the wiring to the amplifier loses more of the mains voltage,
// at a current [A], than good practice allows: the loss is heat in a wall, or
// in one bad joint.
func (w *work) drop(full *ledger.Quantity) {
	lost := w.Compute("supply.mains_drop", "Voltage lost in the mains wiring at full output", lostVolts,
		ledger.With{"I": full, "R_m": w.mainsResistance})
	hot := w.Compute("supply.mains_drop_heat", "Heat in the mains wiring at full output", lostWatts,
		ledger.With{"I": full, "R_m": w.mainsResistance})
	if lost.Value <= mostDrop*w.mainsVoltage.Value*(1+1e-9) {
		return
	}
	w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.mains_drop", Stage: "supply",
		Quantities: []string{lost.ID, hot.ID, full.ID},
		Text: ledger.Say("At full output the {resistance} between panel and amplifier lose {supply.mains_drop}, {share} of the mains "+
			"voltage, and turn {supply.mains_drop_heat} into heat. Good practice allows {most}. "+
			"In one loose joint that heat starts a fire.", ledger.Q("resistance", w.mainsResistance),
			ledger.Of("share", lost.Value/w.mainsVoltage.Value, "%"), ledger.Of("most", mostDrop, "%")),
		Advice: ledger.Say("Measure the drop at the receptacle under load. Have the joints looked at, and a circuit of heavier copper " +
			"put in. " + electrician)})
}

// copper is the conductor of a circuit in words.
func copper(c rules.Circuit) ledger.Sentence {
	switch {
	case c.Gauge > 0:
		return ledger.Say(" in copper of AWG {gauge}", ledger.Int("gauge", c.Gauge))
	case c.Section > 0:
		return ledger.Say(" in copper of {section_2} mm²", ledger.Short("section_2", c.Section, 6))
	}
	return ledger.Sentence{}
}

// amperes lists ratings for a sentence.
func amperes(list []float64) string {
	s := ""
	for k, a := range list {
		switch {
		case k == 0:
		case k == len(list)-1:
			s += " and "
		default:
			s += ", "
		}
		s += quantity.Short(a, 6)
	}
	return s + " A"
}

// mainsFuse enters the fuses F1.
func (w *work) mainsFuse(full *ledger.Quantity) {
	f, m, p := &w.Spec.Protection.MainsFuse, &w.Spec.Supply.Mains, &w.practice
	if f.Fitted.Denied() {
		w.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "supply.no_mains_fuse", Stage: "supply",
			Quantities: []string{w.circuitRating.ID, full.ID},
			Text: ledger.Say("There is no mains fuse: a shorted winding, rectifier or filament transformer heats until the "+
				"breaker at the wall opens, and below its {breaker} it never does.", ledger.In("breaker", amps(w.breaker))),
			Advice: ledger.Say("Fit a time-lag fuse of {chosen_fuse} in every live conductor.",
				ledger.In("chosen_fuse", amps(w.chosenFuse(full.Value))))})
		return
	}
	w.fuse = w.TakeOr("supply.mains_fuse_current", "Rated current of the mains fuse", "A", f.Current, w.chosenFuse(full.Value),
		ledger.Say("the next size sold for 125 % of the mains current at full output, but no larger than circuit and cord"))
	w.Check(desk.Hold{Part: "F1", Name: "Mains fuse", Kind: "current", Stress: full, Have: f.Current, Rating: w.fuse.Value,
		Bought: !m.Cord.Given || w.fuse.Value >= fuseHeadroom*full.Value*(1-1e-9), // a cord that holds it down is there
		Factor: spec.Ratio{Value: fuseHeadroom},
		Why:    ledger.Say("full output; a fuse that carries more than four fifths of its rating for long ages and opens for nothing"),
		Advice: ledger.Say("Lower the output, or take a fuse of more amperes, with a cord and a circuit that carry them.")})
	if f.Current.Given && !p.Sold(w.fuse.Value) {
		w.Find(ledger.Finding{Severity: ledger.Note, ID: "supply.mains_fuse_size", Stage: "supply", Quantities: []string{w.fuse.ID},
			Text: ledger.Say("Mains fuses of {fuse} are not among the sizes commonly sold ({fuses_citation}).",
				ledger.In("fuse", amps(w.fuse.Value)), ledger.Called("fuses_citation", p.FusesCitation)),
			Advice: ledger.Say("Sizes sold up to the circuit's rating: {up_to}.",
				ledger.Called("up_to", amperes(upTo(p.Fuses, w.breaker))))})
	}
	if w.fuse.Value > w.breaker*(1+1e-9) {
		whose := ledger.Say("the circuit of {breaker} that this load asks for", ledger.In("breaker", amps(w.breaker)))
		if w.stated {
			whose = ledger.Say("the {breaker} that supply.mains.circuit states", ledger.In("breaker", amps(w.breaker)))
		}
		w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.fuse_above_circuit", Stage: "supply",
			Quantities: []string{w.fuse.ID, w.circuitRating.ID},
			Text: ledger.Say("The mains fuse of {fuse} is larger than {whose}: the breaker at the wall opens first, and the "+
				"fuse protects nothing.", ledger.In("fuse", amps(w.fuse.Value)), ledger.In("whose", whose)),
			Advice: ledger.Say("Fit a fuse of {chosen_fuse}.", ledger.In("chosen_fuse", amps(w.chosenFuse(full.Value))))})
	}
	fuses := 1
	if m.Frequency.SI > 55 && w.mainsVoltage.Value > 180 {
		fuses = 2 // 240 V between two live conductors, as with 60 Hz mains
	}
	w.res.MainsFuse = w.fuse.Value
	w.Part(ledger.Part{Designator: "F1", Name: "Mains fuse, slow-blow, one in each live conductor", Count: fuses, Stage: "supply",
		Given: f.Current.Given, Value: amps(w.fuse.Value),
		Rating: ledger.Say("{value}", ledger.Of("value", math.Max(250, desk.NextUp(w.mainsVoltage.Value, insulations)), "V")),
		Note: ledger.Say("Not above the rating of wire, plug and circuit. Replace it only with the plug out, and find out first why " +
			"it blew.")})
}

// upTo returns the sizes of a rising list that are no larger than the limit.
func upTo(sizes []float64, limit float64) []float64 {
	for k, s := range sizes {
		if s > limit*(1+1e-9) {
			return sizes[:k]
		}
	}
	return sizes
}

// chosenFuse returns the size [A] for a mains current [A]: the next above
// four fifths loading, but no larger than circuit and stated cord.
func (w *work) chosenFuse(full float64) float64 {
	limit := w.breaker
	if c := w.Spec.Supply.Mains.Cord; c.Given {
		limit = math.Min(limit, c.SI)
	}
	want := desk.NextUp(fuseHeadroom*full, w.practice.Fuses)
	if want <= limit*(1+1e-9) {
		return want
	}
	if most, ok := rules.Most(w.practice.Fuses, limit); ok {
		return most
	}
	return limit
}

// cord enters cord, plug and inlet.
func (w *work) cord(full *ledger.Quantity) {
	m, p := &w.Spec.Supply.Mains, &w.practice
	behind, ok := p.Behind(w.breaker)
	if !ok {
		behind = p.Circuits[len(p.Circuits)-1]
	}
	through, why, smaller := w.fuse, "what the mains fuse lets through for hours", "a smaller fuse"
	if w.fuse == nil {
		through, why, smaller = w.circuitRating, "what the breaker lets through for hours, as there is no fuse", "a fuse in the amplifier"
	}
	chosen := desk.NextUp(math.Max(1.25*full.Value, behind.Plug), p.Cords)
	if most, ok := rules.Most(p.Cords, w.breaker); ok { // the plug must fit the receptacle
		chosen = math.Min(chosen, most)
	}
	chosen = math.Max(chosen, desk.NextUp(through.Value, p.Cords))
	cord := w.TakeOr("supply.cord_rating", "Rated current of mains cord, plug and inlet, the least of them", "A", m.Cord, chosen,
		ledger.Say("the next size for fuse and circuit; {cords_citation}", ledger.Called("cords_citation", p.CordsCitation)))
	w.Check(desk.Hold{Part: "P1", Name: "Mains cord, plug and inlet", Kind: "current", Stress: through, Have: m.Cord,
		Rating: cord.Value, Bought: true,
		Why: ledger.Literal(why),
		Advice: ledger.Say("Fit cord, plug and inlet for at least {chosen}, or {smaller}. The local electrical code and a licensed "+
			"electrician decide.", ledger.In("chosen", amps(chosen)), ledger.Called("smaller", smaller))})
	f := ledger.Finding{ID: "supply.breaker_above_cord", Stage: "supply", Quantities: []string{w.circuitRating.ID, cord.ID},
		Advice: ledger.Say("Fit cord, plug and inlet for at least {plug}, or use a smaller circuit. The local electrical code and a "+
			"licensed electrician decide.", ledger.In("plug", amps(behind.Plug)))}
	switch {
	case cord.Value < behind.LeastCord*(1-1e-9):
		f.Severity = ledger.Exceeds
		f.Text = ledger.Say("The breaker of {breaker} is far above cord and plug of {cord}: a cord that frays or is crushed can burn "+
			"before it opens. Behind that breaker the lightest cord is one of {least_cord}.", ledger.In("breaker", amps(w.breaker)),
			ledger.In("cord", amps(cord.Value)), ledger.In("least_cord", amps(behind.LeastCord)))
		w.Find(f)
	case cord.Value < behind.Plug*(1-1e-9):
		f.Severity = ledger.Caution
		f.Text = ledger.Say("Cord, plug and inlet of {cord} do not belong on a circuit of {breaker}, whose receptacle is one of "+
			"{plug} or more.", ledger.In("cord", amps(cord.Value)), ledger.In("breaker", amps(w.breaker)),
			ledger.In("plug", amps(behind.Plug)))
		w.Find(f)
	}
	w.Part(ledger.Part{Designator: "P1", Name: "Mains plug and cord with protective earth", Stage: "supply", Given: m.Cord.Given,
		Rating: ledger.Say("{insulated}, {cord}", ledger.In("insulated", w.insulated()), ledger.In("cord", amps(cord.Value))),
		Note:   ledger.Say("Pulled and in sight before any cover comes off. Plug, cord and earth as the local electrical code says.")})
}

// inrush holds the mains fuse against the switch-on: the square of the primary
// current at the secondary [A²s], from the run in time.
func (w *work) inrush(atSecondary float64, more ...*ledger.Quantity) *ledger.Quantity {
	s := w.Solved("supply.inrush_action_secondary", "Current squared over the time of the switch-on, at the secondary", atSecondary,
		"A²s", byRun, more...)
	q := w.Compute("supply.inrush_action", "Mains current squared over the time of the switch-on", fusedInrush, ledger.With{"W_s": s,
		"n": w.ratio})
	if w.fuse == nil {
		return q
	}
	ten := w.Catalogue("supply.fuse_shortest_time", "Shortest time in which a time-lag fuse opens at ten times its rating", 20e-3,
		"s", source.TimeLagFuse.Title)
	least := w.Compute("supply.mains_fuse_action", "Least melting integral of the mains fuse, taken as time-lag", fuseAction,
		ledger.With{"I_n": w.fuse, "t_10": ten})
	w.Check(desk.Hold{Part: "F1", Name: "Mains fuse", Kind: "I²t", Stress: q, Rating: least.Value,
		Bought: !w.Spec.Protection.MainsFuse.Current.Given,
		Why:    ledger.Say("switching on, bank empty"),
		Advice: ledger.Say("A step start, or more ohms in it, lowers it; a time-lag fuse stands more than a fast one. The " +
			"transformer's magnetising inrush comes on top.")})
	return q
}
