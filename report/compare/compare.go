// Package compare holds two computed designs against each other: what changed
// in the spec, and what follows from it. The comparison is data; terminal,
// Markdown and HTML are views of it. It assumes that both sides were computed
// by the same program, so that quantities of one ID mean the same.
package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/report/setting"
	"anodebook/spec/quantity"
)

// DefaultThreshold is the relative change from which on a result counts as
// moved.
const DefaultThreshold = 0.01

// Side is one of the two designs.
type Side struct {
	Name   string // as the reader knows it: a file, or a revision with its path
	Text   []byte // of the spec
	Design *compute.Design
}

// Comparison is everything that differs between the sides.
type Comparison struct {
	Old, New  Side
	Threshold float64 // relative change from which on a result counts as moved

	Spec      []Change   // in the order of the lines
	Results   []Result   // the most important first
	Ratings   []Crossing // whose verdict changed, in the order of the stages
	Gone      []Finding  // in the old design only, gravest first
	Come      []Finding  // in the new design only, gravest first
	Weightier []Finding  // in both, but of another severity
	Parts     []Part     // in the order of the parts list
	OnlyOld   []Group    // results that only the old design has, such as those of a band
	OnlyNew   []Group    // results that only the new design has
	Below     int        // results that changed by less than the threshold
}

// Result is a quantity that moved.
type Result struct {
	ID, Name string
	Unit     string
	Old, New float64 // [Unit]
	// Move is how far it went, relative: ln(New/Old) for what keeps its sign,
	// of decibels the ratio of voltages; always finite.
	Move  float64
	class int
	place int
}

// Group counts results of one stage, or one band of a stage, that only one
// side has.
type Group struct {
	Name  string // "tank.15m", "plate_feed"
	Count int
}

// Crossing is a rating whose verdict changed; a side that does not hold the
// part against it has no verdict.
type Crossing struct {
	Part, Name, Quantity, Band string
	Unit                       string
	OldVerdict, NewVerdict     ledger.Verdict
	OldStress, NewStress       float64 // [Unit]
	OldRating, NewRating       float64 // [Unit]
	OldMargin, NewMargin       float64 // rating over stress
}

var gravity = map[ledger.Verdict]int{"": 0, ledger.Within: 0, ledger.ToBuy: 0, ledger.NotStated: 0, ledger.Thin: 1,
	ledger.ExceedsRating: 2}

// Finding is a finding of one side, or of both with another severity.
type Finding struct {
	setting.Finding
	Before ledger.Severity // of the old side, where only the severity changed
}

// was tells the severity of the old side, behind that of the new one.
func (f Finding) was() string {
	if f.Before == "" {
		return ""
	}
	return fmt.Sprintf(" (was: %s)", f.Before)
}

// Compare holds two designs against each other. A result moved where it
// changed by more than the threshold, a relative number; 0 takes every change
// that three digits show.
func Compare(before, after Side, threshold float64) *Comparison {
	c := &Comparison{Old: before, New: after, Threshold: threshold}
	var renamed map[string]string
	c.Spec, renamed = changes(before, after)
	c.ratings()
	c.findings(renamed)
	c.parts()
	c.results(renamed)
	return c
}

// Different says that the results differ: a result moved beyond the threshold,
// a verdict or a finding changed, a part is another. A spec that is only
// worded otherwise is not different.
func (c *Comparison) Different() bool {
	return len(c.Results)+len(c.Ratings)+len(c.Gone)+len(c.Come)+len(c.Weightier)+len(c.Parts)+len(c.OnlyOld)+len(c.OnlyNew) > 0
}

// results compares the quantities. Those that neither side computed are facts
// of the spec, of the catalogue, or assumed: the changes of the spec tell them.
func (c *Comparison) results(renamed map[string]string) {
	crossed := map[string]bool{}
	for _, r := range slices.Concat(c.Old.Design.Book.Ratings, c.New.Design.Book.Ratings) {
		for _, x := range c.Ratings {
			if x.Part == r.Part && x.Quantity == r.Quantity && x.Name == r.Name {
				crossed[r.StressID] = true
			}
		}
	}
	old := map[string]*ledger.Quantity{}
	for _, q := range c.Old.Design.Book.Quantities() {
		old[rename(q.ID, renamed)] = q
	}
	var come, gone []string
	both := map[string]bool{}
	for _, n := range c.New.Design.Book.Quantities() {
		o, ok := old[n.ID]
		if !ok {
			if n.From == ledger.FromComputed {
				come = append(come, n.ID)
			}
			continue
		}
		both[n.ID] = true
		if o.From != ledger.FromComputed && n.From != ledger.FromComputed || o.Unit != n.Unit || residual(o, n) {
			continue
		}
		move := distance(o.Value, n.Value, n.Unit)
		if move == 0 || o.Text() == n.Text() && math.Abs(move) <= max(c.Threshold, 0.005) {
			continue
		}
		if math.Abs(move) <= math.Log1p(c.Threshold) {
			c.Below++
			continue
		}
		p, _ := Main(n.ID)
		c.Results = append(c.Results, Result{ID: n.ID, Name: n.Name, Unit: n.Unit, Old: o.Value, New: n.Value, Move: move,
			class: class(n.ID, crossed), place: p})
	}
	for _, q := range c.Old.Design.Book.Quantities() {
		if id := rename(q.ID, renamed); !both[id] && q.From == ledger.FromComputed {
			gone = append(gone, id)
		}
	}
	slices.SortStableFunc(c.Results, func(a, b Result) int {
		if a.class != b.class {
			return a.class - b.class
		}
		return cmp.Or(-cmp.Compare(math.Abs(a.Move), math.Abs(b.Move)), a.place-b.place, strings.Compare(a.ID, b.ID))
	})
	c.OnlyOld, c.OnlyNew = groups(gone), groups(come)
}

// residual says that a value is what rounding has left of zero.
func residual(o, n *ledger.Quantity) bool {
	if o.ID == "tubes.energy_balance" {
		return true
	}
	switch n.Unit {
	case "V", "A", "W", "Ω", "Hz", "%", "dB", "K", "":
		return math.Abs(o.Value) < 1e-9 && math.Abs(n.Value) < 1e-9
	}
	return false
}

// distance is how far b lies from a, relative and with its sign: ln(b/a). A
// change of sign, or from or to zero, counts as a factor of a hundred.
func distance(a, b float64, unit string) float64 {
	const sudden = 100
	switch {
	case a == b:
		return 0
	case unit == "dB" || unit == "dBi":
		return (b - a) / 20 * math.Ln10
	case unit == "°C": // kelvins against a span of a hundred
		return math.Copysign(math.Log1p(math.Abs(b-a)/100), b-a)
	case a == 0 || b == 0 || a > 0 != (b > 0):
		return math.Copysign(math.Log(sudden), b-a)
	}
	return math.Copysign(math.Abs(math.Log(b/a)), b-a)
}

// Percent is the change in words for a table: "+5.2 %", "× 3.1", "+1.2 dB".
func (r Result) Percent() string {
	sign := "+"
	if r.New < r.Old {
		sign = "−"
	}
	d := math.Abs(r.New - r.Old)
	switch {
	case r.Unit == "dB" || r.Unit == "dBi":
		return sign + quantity.Format(d, "dB", 3)
	case r.Unit == "°C":
		return sign + quantity.Format(d, "K", 3)
	case r.Old == 0:
		return "from zero"
	case r.New == 0:
		return "to zero"
	case r.Old > 0 != (r.New > 0):
		return "other sign"
	case math.Abs(r.New/r.Old) >= 2:
		return "× " + quantity.Significant(r.New/r.Old, 3)
	}
	return sign + quantity.Significant(100*d/math.Abs(r.Old), 2) + " %"
}

// OldText and NewText write the values, with as many digits as tell them
// apart.
func (r Result) OldText() string { return r.texts()[0] }

// NewText writes the new value.
func (r Result) NewText() string { return r.texts()[1] }

func (r Result) texts() [2]string {
	for digits := 3; ; digits++ {
		a, b := quantity.Format(r.Old, r.Unit, digits), quantity.Format(r.New, r.Unit, digits)
		if a != b || digits == 9 {
			return [2]string{a, b}
		}
	}
}

// groups counts IDs by stage, and by band where they have one.
func groups(ids []string) []Group {
	var out []Group
	for _, id := range ids {
		parts := strings.Split(id, ".")
		name := parts[0]
		if len(parts) > 2 {
			name += "." + parts[1]
		}
		if i := slices.IndexFunc(out, func(g Group) bool { return g.Name == name }); i >= 0 {
			out[i].Count++
			continue
		}
		out = append(out, Group{name, 1})
	}
	return out
}

// rename writes an ID of the old side with the new name of a table.
func rename(id string, renamed map[string]string) string {
	for old, name := range renamed {
		if rest, ok := strings.CutPrefix(id, old+"."); ok {
			return name + "." + rest
		}
	}
	return id
}
