package ledger

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"anodebook/spec/quantity"
)

// Origin says where a number came from.
type Origin string

// The origins of a number, as written to results.json.
const (
	FromSpec      Origin = "spec"
	FromAssumed   Origin = "assumed"
	FromCatalogue Origin = "catalogue"
	FromComputed  Origin = "computed"
)

// Quantity is one number of the notebook.
type Quantity struct {
	ID    string // "stage.name" or "stage.BAND.name"; stable
	Name  string // in words, for tables
	Value float64
	Unit  string // base unit as known to package quantity
	From  Origin
	Where string // spec: file:line; catalogue: its source; computed: formula or method
	Step  *Step  // the step that computed it, or nil
	Least bool   // the least that is safe, such as a distance: never shown rounded down
}

// Text writes the quantity for tables, three significant digits; the least
// that is safe is rounded up.
func (q *Quantity) Text() string {
	if q.Least {
		return quantity.Format(quantity.RoundUp(q.Value, q.Unit, 3), q.Unit, 3)
	}
	return show(q.Value, q.Unit, 3)
}

// Precise writes the quantity with one digit more.
func (q *Quantity) Precise() string { return show(q.Value, q.Unit, resultDigits) }

// Stage is the part of the ID before the first dot.
func (q *Quantity) Stage() string { s, _, _ := strings.Cut(q.ID, "."); return s }

// Step is one line of a derivation: a formula with its inputs, or a numerical
// method described in words.
type Step struct {
	ID      string
	Formula *Formula
	Inputs  []*Quantity // in the order of Formula.Inputs; for a method, what went in
	Result  *Quantity
	Method  Sentence // a numerical method, in words; empty for a formula
	Source  Source
	Note    Sentence // a remark printed under the step
}

// Substitute writes the step with its numbers.
func (s *Step) Substitute() Typeset {
	in := make([]float64, len(s.Inputs))
	units := make([]string, len(s.Inputs))
	for i, q := range s.Inputs {
		in[i], units[i] = q.Value, q.Unit
	}
	return s.Formula.Substitute(in, units, s.Result.Value, s.Result.Unit)
}

// Severity orders findings.
type Severity string

// The severities, gravest first.
const (
	Exceeds Severity = "exceeds" // beyond a rating or a limit
	Caution Severity = "caution" // thin, doubtful or dangerous
	Note    Severity = "note"
)

// Finding is something the builder must know.
type Finding struct {
	Severity   Severity
	ID         string // "stage.what", stable
	Stage      string
	Text       Sentence // one or two sentences with the numbers
	Quantities []string // IDs
	Advice     Sentence // what to do about it
}

// Assumption is a fact that the spec does not state.
type Assumption struct {
	Key    string   // the spec key that overrides it
	Value  Sentence // as one would write it there
	Reason Sentence
}

// Part is a line of the parts list.
type Part struct {
	Designator string // "C1", "RFC1", "R3"
	Name       string // what it is, in words
	Value      Sentence
	Rating     Sentence // what it must stand; may be empty
	Count      int
	Stage      string
	Given      bool     // the builder has it; otherwise it is to buy
	Note       Sentence // how to choose it, or a caution that belongs to it
	// Expendable marks stock that is counted in lengths, not pieces.
	Price float64 // per piece in the builder's own currency, 0 unknown
}

// Book collects everything that the stages have to say. It is not safe for
// use by several goroutines.
type Book struct {
	Steps       []*Step
	Findings    []Finding
	Ratings     []Rating
	Assumptions []Assumption
	Parts       []Part
	order       []*Quantity
	byID        map[string]*Quantity
	blank       []line // for steps to come
}

// line is a step with its result, taken from the heap in sheets: a design has
// a thousand.
type line struct {
	step   Step
	result Quantity
}

// usual is how many quantities a design of five bands has.
const usual = 1280

// NewBook returns an empty book.
func NewBook() *Book {
	return &Book{byID: make(map[string]*Quantity, usual), order: make([]*Quantity, 0, usual), Steps: make([]*Step, 0, usual)}
}

// derive enters a step and its result.
func (b *Book) derive(s Step, q Quantity) *Quantity {
	if len(b.blank) == 0 {
		b.blank = make([]line, 32)
	}
	l := &b.blank[0]
	b.blank = b.blank[1:]
	l.step, l.result = s, q
	l.step.Result, l.result.Step = &l.result, &l.step
	b.enter(&l.result)
	b.Steps = append(b.Steps, &l.step)
	return &l.result
}

// Quantities returns all quantities in the order in which they were entered.
func (b *Book) Quantities() []*Quantity { return b.order }

// Lookup finds a quantity by its ID.
func (b *Book) Lookup(id string) (*Quantity, bool) { q, ok := b.byID[id]; return q, ok }

// Get returns the quantity with that ID. An ID that nobody entered is a
// programming error.
func (b *Book) Get(id string) *Quantity {
	q, ok := b.byID[id]
	if !ok {
		panic("ledger: no quantity " + id)
	}
	return q
}

// NotFiniteError is what entering NaN or infinity panics with: the computation
// cannot go on, and whoever runs it tells the builder which key led there.
type NotFiniteError struct {
	Quantity *Quantity // with its step, where it was computed
}

// Error names the quantity by ID and name.
func (e *NotFiniteError) Error() string {
	return fmt.Sprintf("ledger: quantity %s (%s) is %v", e.Quantity.ID, e.Quantity.Name, e.Quantity.Value)
}

// Roots lists the numbers that a quantity rests on in the end, nearest first,
// each once: those that nothing in the book computed.
func (q *Quantity) Roots() []*Quantity {
	var roots []*Quantity
	seen := map[*Quantity]bool{q: true}
	for next := []*Quantity{q}; len(next) > 0; next = next[1:] {
		step := next[0].Step
		if step == nil {
			roots = append(roots, next[0])
			continue
		}
		for _, in := range step.Inputs {
			if in != nil && !seen[in] {
				seen[in] = true
				next = append(next, in)
			}
		}
	}
	return roots
}

func (b *Book) enter(q *Quantity) *Quantity {
	if _, dup := b.byID[q.ID]; dup {
		panic("ledger: quantity " + q.ID + " entered twice")
	}
	if math.IsNaN(q.Value) || math.IsInf(q.Value, 0) {
		panic(&NotFiniteError{Quantity: q})
	}
	b.byID[q.ID] = q
	b.order = append(b.order, q)
	return q
}

// Spec enters a number that the builder wrote at where (file:line).
func (b *Book) Spec(id, name string, value float64, unit, where string) *Quantity {
	return b.enter(&Quantity{ID: id, Name: name, Value: value, Unit: unit, From: FromSpec, Where: where})
}

// Catalogue enters a number from the tube catalogue or another table; where
// names its source.
func (b *Book) Catalogue(id, name string, value float64, unit, where string) *Quantity {
	return b.enter(&Quantity{ID: id, Name: name, Value: value, Unit: unit, From: FromCatalogue, Where: where})
}

// Assume enters a number that nobody stated, and lists the assumption under
// the spec key that overrides it.
func (b *Book) Assume(id, name string, value float64, unit, key string, reason Sentence) *Quantity {
	b.Assumptions = append(b.Assumptions, Assumption{Key: key, Value: Say("{value}", Of("value", value, unit)), Reason: reason})
	return b.enter(&Quantity{ID: id, Name: name, Value: value, Unit: unit, From: FromAssumed, Where: key})
}

// With binds the symbols of a formula to quantities of the book.
type With map[string]*Quantity

// Compute evaluates a formula and enters the result under id. Missing or
// surplus symbols and wrong dimensions are programming errors.
func (b *Book) Compute(id, name string, f *Formula, with With) *Quantity {
	if len(with) != len(f.Inputs) {
		panic(fmt.Sprintf("ledger: %s: %d symbols bound, formula %q has %d", id, len(with), f.Text, len(f.Inputs)))
	}
	in := make([]*Quantity, len(f.Inputs))
	var buf [12]float64
	values := buf[:0]
	for i, s := range f.Inputs {
		q, ok := with[s.Name]
		if !ok || q == nil {
			panic(fmt.Sprintf("ledger: %s: symbol %s of %q is not bound", id, s.Name, f.Text))
		}
		if u, _ := quantity.LookupUnit(q.Unit); u.Dimension != f.dims[i] {
			panic(fmt.Sprintf("ledger: %s: symbol %s of %q is bound to %s in %s", id, s.Name, f.Text, q.ID, q.Unit))
		}
		in[i] = q
		values = append(values, q.Value)
	}
	return b.derive(Step{ID: id, Formula: f, Inputs: in, Source: f.Source},
		Quantity{ID: id, Name: name, Value: f.root.eval(values), Unit: f.Result.Unit, From: FromComputed, Where: f.Text})
}

// Method is a numerical method: a computation that is not one formula.
type Method struct {
	Words  Sentence // one or two sentences: what is solved and how exactly
	Source Source
}

// Solved enters a number that a numerical method found from inputs.
func (b *Book) Solved(id, name string, value float64, unit string, m Method, inputs ...*Quantity) *Quantity {
	return b.derive(Step{ID: id, Method: m.Words, Source: m.Source, Inputs: inputs},
		Quantity{ID: id, Name: name, Value: value, Unit: unit, From: FromComputed, Where: m.Words.Form()})
}

// Find adds a finding.
func (b *Book) Find(f Finding) { b.Findings = append(b.Findings, f) }

// Part adds a line to the parts list.
func (b *Book) Part(p Part) {
	if p.Count == 0 {
		p.Count = 1
	}
	b.Parts = append(b.Parts, p)
}

// Suppose lists an assumption that is not a number.
func (b *Book) Suppose(key string, value, reason Sentence) {
	b.Assumptions = append(b.Assumptions, Assumption{Key: key, Value: value, Reason: reason})
}

// Sorted returns the findings, gravest first, otherwise in the order in which
// they were found.
func (b *Book) Sorted() []Finding {
	rank := map[Severity]int{Exceeds: 0, Caution: 1, Note: 2}
	out := append([]Finding(nil), b.Findings...)
	sort.SliceStable(out, func(i, j int) bool { return rank[out[i].Severity] < rank[out[j].Severity] })
	return out
}

// Worst returns the gravest severity among the findings, Note if there is none.
func (b *Book) Worst() Severity {
	for _, s := range []Severity{Exceeds, Caution} {
		for _, f := range b.Findings {
			if f.Severity == s {
				return s
			}
		}
	}
	return Note
}
