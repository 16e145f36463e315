package supply

import (
	"fmt"
	"math"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/rules"
	"anodebook/compute/source"
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
func (w *work) insulated() string {
	return desk.Show(desk.NextUp(w.mainsVoltage.Value, insulations), "V")
}

// contacts is the rating [A] of switches and contacts for a mains current [A].
func (w *work) contacts(current float64) float64 {
	return desk.NextUp(1.25*current, w.practice.Ratings())
}

// amps writes a rated current as it stands on the part: 20 A, 6.3 A.
func amps(a float64) string { return fmt.Sprintf("%s A", quantity.Short(math.Round(a*1e4)/1e4, 6)) }

// wall enters the branch circuit.
func (w *work) wall(full, service, idle *ledger.Quantity, what string) {
	m, p := &w.Spec.Supply.Mains, &w.practice
	long := w.Compute("supply.circuit_continuous", "Rating of the mains circuit for a continuous load", continuous, ledger.With{"I": full})
	largest := p.Circuits[len(p.Circuits)-1]
	words := fmt.Sprintf("No branch circuit up to %s carries that", amps(largest.Breaker))
	w.breaker, w.stated = desk.NextUp(math.Max(long.Value, p.Ordinary), p.Ratings()), m.Circuit.Given
	if c, ok := p.Behind(w.breaker); ok {
		q := w.Catalogue("supply.circuit_advised", "Smallest branch circuit that carries the mains current for hours", c.Breaker, "A",
			p.CircuitsCitation)
		w.breaker = q.Value
		words = fmt.Sprintf("%s would be a circuit of %s%s", p.Title, amps(c.Breaker), copper(c))
	}
	if w.stated {
		words += fmt.Sprintf("; supply.mains.circuit states %s", amps(m.Circuit.SI))
	}
	circuit := w.TakeOr("supply.circuit_rating", "Rating of the branch circuit", "A", m.Circuit, w.breaker,
		"the smallest circuit that exists for 125 % of the mains current at full output: "+p.CircuitsCitation)
	w.breaker = circuit.Value
	w.circuitRating = circuit
	w.Check(desk.Hold{Part: "wall", Name: "Branch circuit", Kind: "current", Stress: full, Have: m.Circuit, Rating: w.breaker, Bought: true,
		Factor: spec.Ratio{Value: p.Continuous}, Why: "full output, " + what + "; the factor is that of a continuous load",
		Advice: "Lower the output or have a larger circuit installed. " + electrician})
	w.Find(ledger.Finding{
		Severity: ledger.Note, ID: "supply.mains_circuit", Stage: "supply", Quantities: []string{full.ID, service.ID, idle.ID, long.ID},
		Text: fmt.Sprintf("The mains current is %s at full output without pause, %s %s and %s idling (%s). For a load of three hours "+
			"and more, conductors and breaker must be rated for 125 %% of it, %s. %s. This is advice for planning, not a rating.",
			full.Text(), service.Text(), serviceWords[w.Spec.Target.Duty.Value], idle.Text(), what, long.Text(), words),
		Advice: "The local electrical code and a licensed electrician decide on circuit, wire, plug and protective earth.",
	})
	if w.stated && !p.Exists(w.breaker) {
		w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.circuit_size", Stage: "supply", Quantities: []string{circuit.ID},
			Text:   fmt.Sprintf("No branch circuit of %s exists in this rule set; there are %s.", amps(w.breaker), amperes(p.Ratings())),
			Advice: "Read the rating on the breaker itself and correct supply.mains.circuit. " + electrician})
	}
}

// copper is the conductor of a circuit in words.
func copper(c rules.Circuit) string {
	switch {
	case c.Gauge > 0:
		return fmt.Sprintf(" in copper of AWG %d", c.Gauge)
	case c.Section > 0:
		return fmt.Sprintf(" in copper of %s mm²", quantity.Short(c.Section, 6))
	}
	return ""
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
		s += fmt.Sprintf("%s", quantity.Short(a, 6))
	}
	return s + " A"
}

// mainsFuse enters the fuses F1.
func (w *work) mainsFuse(full *ledger.Quantity) {
	f, m, p := &w.Spec.Protection.MainsFuse, &w.Spec.Supply.Mains, &w.practice
	if f.Fitted.Denied() {
		w.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "supply.no_mains_fuse", Stage: "supply",
			Quantities: []string{w.circuitRating.ID, full.ID},
			Text: fmt.Sprintf("There is no mains fuse: a shorted winding, rectifier or filament transformer heats until the breaker "+
				"at the wall opens, and below its %s it never does.",
				amps(w.breaker)),
			Advice: fmt.Sprintf("Fit a time-lag fuse of %s in every live conductor.", amps(w.chosenFuse(full.Value)))})
		return
	}
	w.fuse = w.TakeOr("supply.mains_fuse_current", "Rated current of the mains fuse", "A", f.Current, w.chosenFuse(full.Value),
		"the next size sold for 125 % of the mains current at full output, but no larger than circuit and cord")
	w.Check(desk.Hold{Part: "F1", Name: "Mains fuse", Kind: "current", Stress: full, Have: f.Current, Rating: w.fuse.Value,
		Bought: true, Factor: spec.Ratio{Value: fuseHeadroom},
		Why:    "full output; a fuse that carries more than four fifths of its rating for long ages and opens for nothing",
		Advice: "Lower the output, or fit a larger fuse where circuit and cord allow it."})
	if f.Current.Given && !p.Sold(w.fuse.Value) {
		w.Find(ledger.Finding{Severity: ledger.Note, ID: "supply.mains_fuse_size", Stage: "supply", Quantities: []string{w.fuse.ID},
			Text:   fmt.Sprintf("Mains fuses of %s are not among the sizes commonly sold (%s).", amps(w.fuse.Value), p.FusesCitation),
			Advice: fmt.Sprintf("Sizes sold up to the circuit's rating: %s.", amperes(upTo(p.Fuses, w.breaker)))})
	}
	if w.fuse.Value > w.breaker*(1+1e-9) {
		whose := fmt.Sprintf("the circuit of %s that this load asks for", amps(w.breaker))
		if w.stated {
			whose = fmt.Sprintf("the %s that supply.mains.circuit states", amps(w.breaker))
		}
		w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.fuse_above_circuit", Stage: "supply",
			Quantities: []string{w.fuse.ID, w.circuitRating.ID},
			Text: fmt.Sprintf("The mains fuse of %s is larger than %s: the breaker at the wall opens first, and the fuse protects "+
				"nothing.", amps(w.fuse.Value), whose),
			Advice: fmt.Sprintf("Fit a fuse of %s.", amps(w.chosenFuse(full.Value)))})
	}
	fuses := 1
	if m.Frequency.SI > 55 && w.mainsVoltage.Value > 180 {
		fuses = 2 // 240 V between two live conductors, as with 60 Hz mains
	}
	w.res.MainsFuse = w.fuse.Value
	w.Part(ledger.Part{Designator: "F1", Name: "Mains fuse, slow-blow, one in each live conductor", Count: fuses, Stage: "supply",
		Given: f.Current.Given, Value: amps(w.fuse.Value),
		Rating: desk.Show(math.Max(250, desk.NextUp(w.mainsVoltage.Value, insulations)), "V"),
		Note:   "Not above the rating of wire, plug and circuit. Replace it only with the plug out, and find out first why it blew."})
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
		"the next size for fuse and circuit; "+p.CordsCitation)
	w.Check(desk.Hold{Part: "P1", Name: "Mains cord, plug and inlet", Kind: "current", Stress: through, Have: m.Cord,
		Rating: cord.Value, Bought: true,
		Why: why, Advice: fmt.Sprintf("Fit cord, plug and inlet for at least %s, or %s. %s", amps(chosen), smaller, electrician)})
	f := ledger.Finding{ID: "supply.breaker_above_cord", Stage: "supply", Quantities: []string{w.circuitRating.ID, cord.ID},
		Advice: fmt.Sprintf("Fit cord, plug and inlet for at least %s, or use a smaller circuit. %s", amps(behind.Plug), electrician)}
	switch {
	case cord.Value < behind.LeastCord*(1-1e-9):
		f.Severity = ledger.Exceeds
		f.Text = fmt.Sprintf("The breaker of %s is far above cord and plug of %s: a cord that frays or is crushed can burn before it "+
			"opens. Behind that breaker the lightest cord is one of %s.",
			amps(w.breaker), amps(cord.Value), amps(behind.LeastCord))
		w.Find(f)
	case cord.Value < behind.Plug*(1-1e-9):
		f.Severity = ledger.Caution
		f.Text = fmt.Sprintf("Cord, plug and inlet of %s do not belong on a circuit of %s, whose receptacle is one of %s or more.",
			amps(cord.Value), amps(w.breaker), amps(behind.Plug))
		w.Find(f)
	}
	w.Part(ledger.Part{Designator: "P1", Name: "Mains plug and cord with protective earth", Stage: "supply", Given: m.Cord.Given,
		Rating: w.insulated() + ", " + amps(cord.Value),
		Note:   "Pulled and in sight before any cover comes off. Plug, cord and earth as the local electrical code says."})
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
		Why:    "switching on, bank empty", Advice: "A step start, or a larger step-start resistor, lowers it; a time-lag fuse stands " +
			"more than a fast one. The transformer's magnetising inrush comes on top."})
	return q
}
