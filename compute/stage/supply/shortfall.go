package supply

import (
	"errors"
	"fmt"
	"math"

	"anodebook/compute/desk"
	"anodebook/compute/physics/rectifier"
	"anodebook/spec"
)

// Shortfall says that the supply cannot give what is asked of it: the part that
// stands in the way most, and what could be had through it.
type Shortfall struct {
	Part spec.Origin // the key of that part; without a position where the builder did not write it
	What string      // one sentence, lower case, without a full stop
	Hint string
}

// Error returns the sentence.
func (s *Shortfall) Error() string { return s.What }

// Limits of the search for a transformer.
const (
	substitutions = 40  // before the search goes upwards
	mostLoss      = 2.5 // secondary voltage at most, over that of a supply that loses nothing: three fifths lost
	searchStep    = 1.1 // from one secondary voltage to the next
	coarseStep    = 1.2 // the same where the greatest current is looked for
	inner         = 40  // steps of the source resistance at one secondary voltage
	halvings      = 7   // of the current, when the greatest is looked for
	coarse        = 1e-3
	fine          = 1e-12
	nearResonance = 2   // (ω/ω_0)² of choke and bank at the ripple, below which the choke does not help
	little        = 0.1 // share of the voltage that a part takes by its resistance alone
)

// holder is one part that the current has to pass: its key, what the spec says
// of it, and its share of the impedance at the secondary [Ω].
type holder struct {
	origin spec.Origin
	words  string // noun and value, without an article
	ohms   float64
}

// holders lists the parts in the way of the current.
func (p *Plan) holders() []holder {
	sp := p.asked
	t := &sp.Transformer
	part := func(what string, q spec.Quantity, value float64, unit string, ohms float64) holder {
		words := fmt.Sprintf("%s of %s", what, desk.Show(value, unit))
		if !q.Given {
			words += " (assumed)"
		}
		return holder{q.Origin, words, ohms}
	}
	out := []holder{part("mains resistance", sp.Mains.Resistance, sp.Mains.Resistance.SI, "Ω", p.MainsResistance)}
	one, two := t.PrimaryResistance, t.SecondaryResistance
	reflected := one.SI * p.Ratio * p.Ratio
	switch {
	case one.Given && two.Given:
		out = append(out, part("primary resistance", one, one.SI, "Ω", reflected),
			part("secondary resistance", two, two.SI, "Ω", two.SI))
	case one.Given: // the other winding is taken from it
		out = append(out, part("primary resistance", one, one.SI, "Ω", p.Windings))
	case two.Given:
		out = append(out, part("secondary resistance", two, two.SI, "Ω", p.Windings))
	case t.Power.Given && !t.Regulation.Given: // a small transformer is what makes the assumed regulation many ohms
		out = append(out, part("transformer", t.Power, t.Power.SI, "VA", p.Windings))
	default:
		out = append(out, part("transformer regulation", t.Regulation, p.Regulation, "%", p.Windings))
	}
	x := 2 * math.Pi * p.Supply.MainsFrequency * p.Supply.LeakageInductance
	switch {
	case t.ShortCircuit.Given:
		out = append(out, part("short-circuit voltage", t.ShortCircuit, t.ShortCircuit.SI, "%", x))
	case t.Leakage.Given:
		out = append(out, part("leakage inductance", t.Leakage, t.Leakage.SI, "H", x))
	}
	if p.Kind.Choke {
		out = append(out, part("choke resistance", sp.Choke.Resistance, p.Choke.Resistance, "Ω", p.Choke.Resistance))
	}
	return out
}

// worst returns the part that stands most in the way of a current [A]. Where
// none of them takes much of the voltage, or the ripple alone is as much, the
// filter bank lets it fall.
func (p *Plan) worst(current float64) (w holder) {
	for _, h := range p.holders() {
		if h.ohms > w.ohms {
			w = h
		}
	}
	v := p.ideal(p.Supply.SecondaryVoltage)
	ripple := 0.0
	if !p.Kind.Choke {
		ripple = rectifier.RippleEstimate(current, p.Supply.MainsFrequency, p.Bank.OutputCapacitance())
	}
	slack := false // choke and bank in resonance near the ripple: the choke carries nothing over the valleys
	if l := p.Supply.ChokeInductance; p.Kind.Choke && l > 0 {
		omega := 4 * math.Pi * p.Supply.MainsFrequency
		slack = omega*omega*l*p.Bank.OutputCapacitance() < nearResonance
	}
	if w.ohms*current < little*v || ripple > v || slack {
		w = holder{p.asked.Capacitors.Capacitance.Origin, "filter bank of " + desk.Show(p.Bank.OutputCapacitance(), "F"), 0}
	}
	return w
}

// settle finds the source resistance at the secondary voltage in the plan.
func (p *Plan) settle(sp *spec.Supply) error {
	_, s, err := p.at(sp, p.Supply.SecondaryVoltage, p.PlateCurrent, fine)
	s.LoadCurrent = 0
	p.Supply = s
	if err != nil {
		return p.collapsed(p.PlateCurrent, 1, err)
	}
	return nil
}

// at returns the steady state at a secondary voltage [V rms] and a plate
// current [A], with the source resistance that belongs to both.
func (p *Plan) at(sp *spec.Supply, secondary, current, tolerance float64) (rectifier.Result, rectifier.Supply, error) {
	s := p.Supply
	s.SecondaryVoltage, s.LoadCurrent = secondary, current
	p.behind(sp, &s, current)
	for range inner {
		r, err := rectifier.SteadyState(s)
		if err != nil {
			return r, s, err
		}
		old := s.SourceResistance
		p.behind(sp, &s, r.SecondaryCurrent)
		if math.Abs(s.SourceResistance-old) < tolerance*old {
			return r, s, nil
		}
	}
	return rectifier.Result{}, s, rectifier.ErrNoConvergence
}

// bracket looks upwards for a secondary voltage at which the supply gives the
// filter voltage wanted [V] at a current [A]: from lo it is not enough, from
// hi it is. False where more voltage gives less (turned), since what lies in
// the primary grows with the square of the turns, and where most of the voltage
// would be lost.
func (p *Plan) bracket(sp *spec.Supply, filter, current, step float64) (lo, hi float64, ok, turned bool) {
	least := filter / p.ideal(1)
	best := 0.0
	for lo, hi = 0.9*least, least; hi <= mostLoss*least*(1+1e-9); lo, hi = hi, hi*step {
		r, _, err := p.at(sp, hi, current, coarse)
		if err != nil {
			continue
		}
		if r.Voltage >= filter {
			return lo, hi, true, false
		}
		if r.Voltage < best {
			return lo, hi, false, true
		}
		best = r.Voltage
	}
	return lo, hi, false, best == 0
}

// search finds a secondary voltage where substitution does not, to a relative
// tolerance: the chord between the two sides, the side that stays halved
// (Illinois; Dowell and Jarratt, BIT 11, 1971, 168, from memory).
func (p *Plan) search(sp *spec.Supply, filter, tolerance float64) error {
	lo, hi, ok, turned := p.bracket(sp, filter, p.PlateCurrent, searchStep)
	if !ok {
		return p.cannotReach(sp, filter, turned)
	}
	off := func(v float64) float64 {
		r, _, err := p.at(sp, v, p.PlateCurrent, fine)
		if err != nil {
			return -filter
		}
		return r.Voltage - filter
	}
	below, above, side := off(lo), off(hi), 0
	for n := 0; n < 60 && hi-lo > tolerance*hi && above > 0; n++ {
		v := hi - above*(hi-lo)/(above-below)
		if !(v > lo && v < hi) {
			break
		}
		if f := off(v); f >= 0 {
			if hi, above = v, f; side > 0 {
				below /= 2
			}
			side = 1
			if f < tolerance*filter {
				break
			}
		} else {
			if lo, below = v, f; side < 0 {
				above /= 2
			}
			side = -1
			if -f < tolerance*filter {
				hi = v
				break
			}
		}
	}
	_, s, err := p.at(sp, hi, p.PlateCurrent, fine)
	if err != nil {
		return p.collapsed(p.PlateCurrent, 1, err)
	}
	s.LoadCurrent = 0
	p.Supply = s
	return nil
}

// cannotReach words that no transformer gives the filter voltage; turned says
// that more turns would only give less.
func (p *Plan) cannotReach(sp *spec.Supply, filter float64, turned bool) error {
	lo, hi := 0.0, p.PlateCurrent
	for range halvings {
		mid := (lo + hi) / 2
		if _, _, ok, _ := p.bracket(sp, filter, mid, coarseStep); ok {
			lo = mid
		} else {
			hi = mid
		}
	}
	// The shares at twice the voltage of a supply that loses nothing.
	_, s, _ := p.at(sp, 2*filter/p.ideal(1), p.PlateCurrent, coarse)
	p.Supply.LeakageInductance = s.LeakageInductance
	w := p.worst(p.PlateCurrent)
	most := "next to nothing"
	if lo > 1e-3 {
		most = fmt.Sprintf("at most %s (%s of direct current)", desk.Show(lo, "A"), desk.Show(lo*filter, "W"))
	}
	why := "without losing three fifths of the voltage on the way"
	if turned {
		why = "whatever the transformer's voltage"
	}
	return &Shortfall{Part: w.origin, Hint: remedy(w.origin.Key),
		What: fmt.Sprintf("with a %s the supply gives %s at %s, %s; the tubes need %s",
			w.words, most, desk.Show(filter, "V"), why, desk.Show(p.PlateCurrent, "A"))}
}

// collapsed words that the supply breaks down at a plate current [A] on a
// share of the mains voltage.
func (p *Plan) collapsed(current, mains float64, cause error) error {
	if !errors.Is(cause, rectifier.ErrOverload) && !errors.Is(cause, rectifier.ErrNoConvergence) {
		return cause // a number out of range
	}
	s := p.Supply
	s.SecondaryVoltage *= mains
	lo, hi := 0.0, current
	for range halvings {
		mid := (lo + hi) / 2
		s.LoadCurrent = mid
		s.ChokeInductance = p.chokeAt(mid)
		if _, err := rectifier.SteadyState(s); err == nil {
			lo = mid
		} else {
			hi = mid
		}
	}
	w, low := p.worst(current), ""
	if mains < 1 {
		low = fmt.Sprintf(" with the mains %s low", desk.Show(1-mains, "%"))
	}
	most := "next to nothing"
	if lo > 1e-3 {
		most = desk.Show(lo, "A") + " at most"
	}
	return &Shortfall{Part: w.origin, Hint: remedy(w.origin.Key),
		What: fmt.Sprintf("with a %s the supply breaks down at the %s that the tubes draw%s; it gives %s before its voltage is gone",
			w.words, desk.Show(current, "A"), low, most)}
}

// emptied words that the filter bank is empty between two crests even behind a
// source without resistance: the capacitors follow the sine of the crest [V]
// down to nothing where the load takes more than ω·C·V, with which the sine
// itself falls fastest. nil where it is not, or where a choke carries the
// current from crest to crest.
func (p *Plan) emptied(crest float64) error {
	c := p.Bank.OutputCapacitance()
	most := 2 * math.Pi * p.Supply.MainsFrequency * c * crest
	if p.Kind.Choke || p.PlateCurrent <= most {
		return nil
	}
	return &Shortfall{Part: p.asked.Capacitors.Capacitance.Origin, Hint: remedy(p.asked.Capacitors.Capacitance.Key),
		What: fmt.Sprintf("a filter bank of %s (%d of %s in series) is empty between two crests of the mains at the %s that the tubes "+
			"draw; "+
			"at most %s would leave anything", desk.Show(c, "F"), p.Bank.Count, desk.Show(p.Bank.Capacitance, "F"),
			desk.Show(p.PlateCurrent, "A"), desk.Show(most, "A"))}
}

// glitchDrops words that the glitch resistor takes more than the tubes get.
func (p *Plan) glitchDrops(drop float64) error {
	return &Shortfall{Part: p.glitch, Hint: glitchHint,
		What: fmt.Sprintf("a glitch resistor of %s drops %s at the %s that the tubes draw, more than the %s left to them; "+
			"at most %s could flow with half of the voltage lost in it",
			desk.Show(p.Glitch, "Ω"), desk.Show(drop, "V"), desk.Show(p.PlateCurrent, "A"),
			desk.Show(p.Wanted, "V"), desk.Show(p.Wanted/p.Glitch, "A"))}
}

const glitchHint = "10 to 50 Ω tame a flash-over and drop some tens of volts"

// remedy is what to write instead, by the key of the part.
func remedy(key string) string {
	switch key {
	case "supply.mains.resistance":
		return "measure it: the drop of the mains voltage over the current that causes it; " +
			"a higher mains voltage divides its share by the square, less output lowers the current"
	case "supply.capacitors.capacitance":
		return "the ripple falls in proportion to the capacitance: some ten microfarads in all for a kilowatt"
	case "supply.transformer.power":
		return "a transformer of more volt-amperes, or less output; its regulation is assumed: where it is known, write " +
			"supply.transformer.regulation"
	case "supply.transformer.short_circuit_voltage":
		return "measure it again: the secondary shorted, the voltage at the primary that drives the rated current; " +
			"a transformer with less of it, one of more volt-amperes, or less output"
	case "supply.choke.resistance":
		return "a choke of thicker wire, or less output"
	}
	return "measure it again (winding cold, leads shorted for zero); a transformer with less of it, one of more volt-amperes, or " +
		"less output"
}

// Weak says which part takes the plate voltage away at a plate current [A],
// where more than a third of it is lost between the secondary and the plates;
// nil where not, or where it cannot be told.
func (p *Plan) Weak(current float64) *Shortfall {
	v, err := p.Loaded(current)
	var s *Shortfall
	if errors.As(err, &s) {
		return s
	}
	ideal := p.ideal(p.Supply.SecondaryVoltage)
	if err != nil || v > 2*ideal/3 {
		return nil
	}
	w := p.worst(current)
	hint := remedy(w.origin.Key)
	if drop := current * p.Glitch; drop > (ideal-v)/2 {
		w, hint = holder{origin: p.glitch, words: "glitch resistor of " + desk.Show(p.Glitch, "Ω")}, glitchHint
	}
	left := fmt.Sprintf("only %s of %s", desk.Show(v, "V"), desk.Show(ideal, "V"))
	if v < 1 {
		left = fmt.Sprintf("nothing of %s", desk.Show(ideal, "V"))
	}
	return &Shortfall{Part: w.origin, Hint: hint,
		What: fmt.Sprintf("with a %s the plates get %s at the %s that they draw, too little for the output wanted",
			w.words, left, desk.Show(current, "A"))}
}
