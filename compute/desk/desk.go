// Package desk is what every stage of the computation works at: the ledger's
// book, the builder's spec, and the few habits that all stages share: taking a
// number from the spec or assuming it, and holding a part against its stress.
package desk

import (
	"math"
	"strings"

	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// Desk is the book with the spec beside it.
type Desk struct {
	*ledger.Book
	Spec *spec.Spec
}

// New returns a desk with an empty book that lists the spec's own assumptions.
func New(s *spec.Spec) *Desk {
	d := &Desk{ledger.NewBook(), s}
	for _, a := range s.Assumptions {
		d.Suppose(a.Key, ledger.Literal(a.Value), ledger.Literal(a.Reason))
	}
	return d
}

// Take enters a spec quantity that is given or has a default. Taking one that
// is neither is a programming error.
func (d *Desk) Take(id, name, unit string, q spec.Quantity) *ledger.Quantity {
	switch {
	case q.Given:
		return d.Book.Spec(id, name, q.SI, unit, d.Spec.Where(q.Origin))
	case q.Assumed:
		return d.assumed(id, name, q.SI, unit, q.Key)
	}
	panic("desk: " + q.Key + " has no value")
}

// assumed enters a default that the list of assumptions already shows.
func (d *Desk) assumed(id, name string, si float64, unit, key string) *ledger.Quantity {
	q := d.Book.Spec(id, name, si, unit, key)
	q.From = ledger.FromAssumed
	return q
}

// TakeOr enters the spec quantity, or else assumes value for the reason.
func (d *Desk) TakeOr(id, name, unit string, q spec.Quantity, value float64, reason ledger.Sentence) *ledger.Quantity {
	if q.Known() {
		return d.Take(id, name, unit, q)
	}
	return d.Assume(id, name, value, unit, q.Key, reason)
}

// TakeRatio enters a plain number of the spec that is given or has a default.
func (d *Desk) TakeRatio(id, name string, r spec.Ratio) *ledger.Quantity {
	if r.Given {
		return d.Book.Spec(id, name, r.Value, "", d.Spec.Where(r.Origin))
	}
	return d.assumed(id, name, r.Value, "", r.Key)
}

// TakeCount enters a whole number of the spec that is given or has a default.
func (d *Desk) TakeCount(id, name string, c spec.Count) *ledger.Quantity {
	if c.Given {
		return d.Book.Spec(id, name, float64(c.N), "", d.Spec.Where(c.Origin))
	}
	return d.assumed(id, name, float64(c.N), "", c.Key)
}

// Catalogue enters a figure of a catalogue, or of the builder's own tube, whose
// source is a place in the spec.
func (d *Desk) Catalogue(id, name string, value float64, unit, where string) *ledger.Quantity {
	if strings.HasPrefix(where, d.Spec.File+":") {
		return d.Book.Spec(id, name, value, unit, where)
	}
	return d.Book.Catalogue(id, name, value, unit, where)
}

// Derived is the source of what follows from definitions and circuit laws.
func Derived(words string) ledger.Method {
	return ledger.Method{Words: ledger.Literal(words), Source: source.CircuitLaws}
}

// Hold is a part held against a stress.
type Hold struct {
	Part     string           // designator
	Name     string           // the part in words
	Band     string           // band at which the stress is greatest; may be empty
	Kind     string           // "voltage", "current", "power", "kva", "temperature", "energy" …
	Stress   *ledger.Quantity // what the part bears
	Have     spec.Quantity    // the builder's rating; not Known: to buy
	Rating   float64          // a rating known from elsewhere (catalogue, choice made before); used where Have is not Known and Rating > 0
	Owned    bool             // the builder has the part: a rating that the spec does not give is then not stated, not to buy
	Bought   bool             // with Rating: the part was chosen by us and is still to buy
	Factor   spec.Ratio       // required factor, one of Spec.Margins; zero value means 1
	Standard []float64        // ratings that such parts are sold with, ascending; may be nil
	Why      ledger.Sentence  // what the stress is, in words
	Advice   ledger.Sentence  // what to do where it exceeds
}

// Check holds a part against its stress, enters rating and finding, and
// returns the rating. A part whose rating the spec does not give gets the next
// standard one that keeps the margin: as what to ask for where it is to buy, as
// what it must bear where it is Owned.
func (d *Desk) Check(h Hold) ledger.Rating {
	factor := h.Factor.Value
	if factor == 0 {
		factor = 1
	}
	why := source.CommonPractice
	if h.Factor.Given {
		why = ledger.Source{Key: "spec", Title: d.Spec.Where(h.Factor.Origin), Known: ledger.Derived}
	}
	r := ledger.Rating{
		Part: h.Part, Name: h.Name, Stage: h.Stress.Stage(), Band: h.Band, Quantity: h.Kind,
		Stress: math.Abs(h.Stress.Value), Unit: h.Stress.Unit, RequiredFactor: factor, Factor: why,
		StressID: h.Stress.ID, Why: h.Why, Advice: h.Advice, Key: h.Have.Key,
	}
	switch {
	case h.Have.Known():
		r.Rating = h.Have.SI
	case h.Rating > 0:
		r.Rating = h.Rating
		if h.Bought {
			r.Verdict = h.unknown()
		}
	default:
		r.Rating = NextUp(r.Stress*factor, h.Standard)
		r.Verdict = h.unknown()
	}
	return d.Rate(r)
}

// unknown is the verdict on a part whose rating the spec does not give: that of
// a part at hand is not stated, any other is still to buy.
func (h *Hold) unknown() ledger.Verdict {
	if h.Owned {
		return ledger.NotStated
	}
	return ledger.ToBuy
}

// NextUp returns the smallest standard value not below want; without a list,
// or above its end, want rounded up to two significant digits.
func NextUp(want float64, standard []float64) float64 {
	for _, s := range standard {
		if s >= want*(1-1e-9) {
			return s
		}
	}
	if want <= 0 {
		return 0
	}
	p := math.Pow(10, math.Floor(math.Log10(want))-1)
	return math.Ceil(want/p-1e-9) * p
}

// Ratings that parts are commonly sold with (common practice).
var (
	CapacitorVoltages = []float64{50, 100, 250, 500, 1000, 2000, 3000, 5000, 6000, 7500, 10000, 15000, 20000, 25000, 30000}
	ResistorPowers    = []float64{0.25, 0.5, 1, 2, 3, 5, 7, 10, 15, 20, 25, 50, 100, 150, 200, 300, 500, 1000}
	Currents          = []float64{0.1, 0.25, 0.5, 1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200}
)

// Show writes a number for a sentence, three significant digits.
func Show(si float64, unit string) string { return quantity.Format(si, unit, 3) }
