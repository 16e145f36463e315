package compute

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/restoration"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// Reading is a measured value beside the computed one.
type Reading struct {
	restoration.Measured
	Name     string
	Quantity *ledger.Quantity
	Stated   bool // the spec states the error of the instrument
	Spec     spec.Reading
}

// Within says that the deviation is no greater than the instrument's error.
func (r *Reading) Within() bool {
	return math.Abs(r.Value-r.Computed) <= r.Error*math.Abs(r.Value)
}

// ReadingGroup is what was measured at one time, with what may explain it.
type ReadingGroup struct {
	Taken    string // "before" or "after" the restoration; "" as it stands
	Readings []Reading
	restoration.Result
}

// meterError is taken where the spec states none: a panel meter of class 2 or
// 2.5, read by eye (common practice).
const meterError = 0.03

// readings matches the builder's readings with the computed quantities and
// looks for what explains their deviations. All that cannot be matched is
// reported at once.
func (d *Design) readings(k *desk.Desk) error {
	s := d.Spec
	if len(s.Reading) == 0 {
		return nil
	}
	names := make([]string, 0, len(s.Reading))
	for n := range s.Reading {
		names = append(names, n)
	}
	sort.Slice(names, func(i, j int) bool { // as they stand in the spec
		a, b := s.Reading[names[i]].Of.Line, s.Reading[names[j]].Of.Line
		if a != b {
			return a < b
		}
		return names[i] < names[j]
	})
	var problems spec.Problems
	fail := func(o spec.Origin, what, hint string) {
		problems = append(problems, spec.Problem{File: s.File, Position: o.Position, Key: o.Key, What: what, Hint: hint})
	}
	groups := map[string]*ReadingGroup{}
	for _, n := range names {
		r := s.Reading[n]
		q, ok := k.Lookup(r.Of.Value)
		if !ok {
			fail(r.Of.Origin, fmt.Sprintf("%q is not a computed quantity", r.Of.Value), nearestID(r.Of.Value, k.Book))
			continue
		}
		v, err := quantity.Parse(r.Value.Value)
		if errors.Is(err, quantity.ErrNoUnit) && q.Unit == "" {
			err = nil
		}
		if u, _ := quantity.LookupUnit(q.Unit); err != nil || v.Dimension != u.Dimension {
			fail(r.Value.Origin, fmt.Sprintf("%q does not measure %s, which is %s", r.Value.Value, q.ID, u.Name()),
				"for example "+quantity.Format(q.Value, q.Unit, 3))
			continue
		}
		x := Reading{Name: n, Quantity: q, Spec: r, Measured: restoration.Measured{ID: q.ID, Value: v.SI, Computed: q.Value,
			Error: meterError}}
		if r.Error.Given {
			x.Error, x.Stated = r.Error.SI, true
		}
		g := groups[r.Taken.Value]
		if g == nil {
			g = &ReadingGroup{Taken: r.Taken.Value}
			groups[r.Taken.Value] = g
		}
		g.Readings = append(g.Readings, x)
	}
	if len(problems) > 0 {
		return problems
	}
	for _, taken := range []string{"before", "after", ""} {
		if g := groups[taken]; g != nil {
			d.explain(g)
			d.Readings = append(d.Readings, *g)
			k.Find(g.finding())
		}
	}
	return nil
}

// nearestID proposes the quantity that was probably meant.
func nearestID(id string, b *ledger.Book) string {
	var ids []string
	for _, q := range b.Quantities() {
		ids = append(ids, q.ID)
	}
	if s := spec.Suggest(id, ids); s != "" {
		return fmt.Sprintf("did you mean %s?", s)
	}
	return "results.json lists all of them, such as supply.idle_voltage"
}

// sound is the amplifier as computed, for faults to be put into.
func (d *Design) sound() restoration.Input {
	in := restoration.Input{
		Setup: d.setup(restoration.Weakest(d.Tank.Bands)), Plan: d.Supply.Plan,
		Idle: d.Operating.IdleCurrent.Value, Full: d.Operating.PlateCurrent.Value,
	}
	if q, ok := d.Book.Lookup("supply.terminals_to_60v_one_bleeder_open"); ok {
		in.OneOpen = q.Value
	}
	if q, ok := d.Book.Lookup("metering.multiplier_resistance"); ok {
		in.Multiplier = q.Value
	}
	return in
}

// explain looks for the fault behind the readings of a group.
func (d *Design) explain(g *ReadingGroup) {
	var list []restoration.Measured
	for _, r := range g.Readings {
		list = append(list, r.Measured)
	}
	var err error
	if g.Result, err = restoration.Rank(d.sound(), list); err != nil {
		g.Result = restoration.Result{} // the model finds no state to compare with: nothing is explained
	}
}

// When says in words when the readings were taken.
func (g *ReadingGroup) When() string {
	if g.Taken == "" {
		return "The readings"
	}
	return "The readings " + g.Taken + " the restoration"
}

// finding says what the readings of the group mean.
func (g *ReadingGroup) finding() ledger.Finding {
	f := ledger.Finding{Severity: ledger.Note, ID: "readings.agree", Stage: "readings"}
	if g.Taken != "" {
		f.ID = "readings." + g.Taken + ".agree"
	}
	for _, r := range g.Readings {
		f.Quantities = append(f.Quantities, r.ID)
	}
	switch {
	case len(g.Fitted) == 0:
		f.Text = ledger.Say("{when} are of quantities that no fault in the model is known to move, or no state was found to compare "+
			"them with: no cause was looked for.", ledger.Called("when", g.When()))
		f.Advice = ledger.Say("Idle current, plate current, grid current, output and the voltages of the supply tell faults apart.")
		return f
	case g.Agree():
		f.Text = ledger.Say("{when} agree with the computed values within the errors of the instruments: no fault is called for.",
			ledger.Called("when", g.When()))
		return f
	}
	f.ID = strings.TrimSuffix(f.ID, "agree") + "cause"
	if g.Taken != "before" { // what was wrong before the restoration is history
		f.Severity = ledger.Caution
	}
	f.Text = ledger.Say("{when} depart from the computed values by up to {farthest} times the errors of the instruments.",
		ledger.Called("when", g.When()), ledger.Fixed("farthest", g.Farthest, 1))
	if len(g.Candidates) == 0 {
		f.Text = f.Text.Then(ledger.Say("No single fault of those tried explains them."))
		f.Advice = ledger.Say("Check the meters first, then look for two faults at once; stop at any reading that is not understood.")
		return f
	}
	best := g.Candidates[0]
	f.Text = f.Text.Then(ledger.Say("The likeliest single fault: {words} ({size}).", ledger.Called("words", best.Words),
		ledger.Called("size", best.Size)))
	if others := g.Alike()[1:]; len(others) > 0 {
		words := make([]string, len(others))
		for i, c := range others {
			words[i] = c.Words
		}
		f.Text = f.Text.Then(ledger.Say("These readings cannot tell it from: {join}.",
			ledger.Called("join", strings.Join(words, "; "))))
	}
	switch {
	case best.Worst <= 1:
		f.Text = f.Text.Then(ledger.Say("With it in place every reading agrees within its error."))
	case !g.Explained():
		f.Text = f.Text.Then(ledger.Say("Even that leaves a reading {worst} times its error away: there may be two faults, or one "+
			"that is not among those tried.", ledger.Fixed("worst", best.Worst, 1)))
	}
	if len(g.Fitted) < 3 {
		f.Text = f.Text.Then(ledger.Say("So few readings prove little: almost any fault fits one or two."))
	}
	f.Advice = ledger.Literal(best.Prove)
	return f
}
