package tank

import (
	"fmt"
	"math"
	"strings"

	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
)

var byRoller = ledger.Method{Source: source.CurrentSheet,
	Words: ledger.Say("Turns from the fixed end to the wheel. The inductance over the turns follows the current sheet with Nagaoka's " +
		"and Rosa's corrections, scaled so that all turns give the end of the range; the turns beyond the wheel are taken as shorted " +
		"or " +
		"carrying nothing.")}

// roller holds a roller inductor against what the bands need and enters L1.
func (w *worker) roller(r *Result) {
	d, c := w.d, w.d.Spec.Tank.Coil
	least := math.Inf(1)
	var turns []string
	for i := range r.Bands {
		b := &r.Bands[i]
		l := b.Tank.Inductance
		least = math.Min(least, l)
		if c.Range.Given && (l < c.Range.Low || l > c.Range.High) {
			advice := "Take a roller inductor of more inductance, or put a fixed coil in series on this band."
			if l < c.Range.Low {
				advice = "Use a separate coil of tubing for this band in front of the roller inductor, which is then set to zero, or " +
					"lower the loaded Q."
			}
			d.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "tank." + b.Name + ".roller_range", Stage: "tank",
				Text: ledger.Say("On {on} the tank needs {l}; the roller inductor covers {low} to {high}.",
					ledger.OnBand("on", b.Name), ledger.Of("l", l, "H"), ledger.Of("low", c.Range.Low, "H"),
					ledger.Of("high", c.Range.High, "H")),
				Quantities: []string{"tank." + b.Name + ".inductance"},
				Advice:     ledger.Literal(advice)})
		} else if n := w.rollerTurns(b); n > 0 {
			turns = append(turns, fmt.Sprintf("%s %.1f", b.Name, n))
		}
	}
	value := ledger.Say("{least} .. {coil}", ledger.Of("least", least, "H"), ledger.Of("coil", r.Coil, "H"))
	note := ledger.Sentence{}
	if c.Range.Given {
		value = ledger.Say("{low} .. {high}", ledger.Of("low", c.Range.Low, "H"), ledger.Of("high", c.Range.High, "H"))
		note = ledger.Say("The bands need {least} to {coil}. ", ledger.Of("least", least, "H"), ledger.Of("coil", r.Coil, "H"))
	}
	if len(turns) > 0 {
		note = note.Append(ledger.Say("Turns from the fixed end: {join}. ", ledger.Called("join", strings.Join(turns, ", "))))
	}
	d.Part(ledger.Part{Designator: "L1", Name: "roller inductor, tank coil", Value: value, Stage: "tank",
		Given: c.Range.Given, Note: ledger.Say("{note}The wheel must not be turned with power on. {coil_caution}",
			ledger.In("note", note), ledger.In("coil_caution", w.coilCaution()))})
}

// rollerTurns is where the turns counter stands on a band; 0 where nobody says
// how many turns there are.
func (w *worker) rollerTurns(b *BandResult) float64 {
	d, c := w.d, w.d.Spec.Tank.Coil
	if !c.Turns.Given || !c.Range.Given {
		return 0
	}
	all, ok := d.Lookup("tank.coil_turns")
	if !ok {
		all = d.TakeRatio("tank.coil_turns", "turns of the roller inductor", c.Turns)
		d.Book.Spec("tank.coil_range", "greatest inductance of the roller inductor", c.Range.High, "H", d.Spec.Where(c.Range.Origin))
	}
	s := w.rollerShape()
	s.whole.Turns = c.Turns.Value
	p, err := s.whole.Tap(b.Tank.Inductance*s.whole.Inductance()/c.Range.High, false)
	if err != nil {
		return 0
	}
	b.Turns = p.Used.Turns
	d.Solved("tank."+b.Name+".coil_turns", "turns of the roller inductor in use on "+b.Name, b.Turns, "turns", byRoller,
		append(s.basis(d.Get("tank."+b.Name+".inductance")), all, d.Get("tank.coil_range"))...)
	return b.Turns
}

// rollerShape enters the roller inductor's measures once.
func (w *worker) rollerShape() *shape {
	if w.rollerOf == nil {
		w.rollerOf = w.mainShape()
	}
	return w.rollerOf
}
