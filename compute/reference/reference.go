// Package reference holds published figures with their citations, and holds
// the code that ships against every one of them.
//
// It assumes nothing of its own: the figures are data (checks/*.toml), read
// from papers, standards, handbooks and data sheets or recomputed outside this
// project, each with a mark of how well it is known and a tolerance with its
// reason. The evaluators only call the functions that also design amplifiers.
// No figure here was recorded from the program itself. To add one more check,
// add one row to a table of a file.
package reference

import (
	"math"
	"strconv"
	"strings"

	"anodebook/compute/ledger"
	"anodebook/spec/quantity"
)

// Input is one named number that a check starts from.
type Input struct {
	Name  string
	Value float64 // in SI units
}

// Row is one published figure and the way to compute it.
type Row struct {
	ID          string // stable, such as "rectifier.bridge.wcr10-rs0.02.voltage"
	Subject     string // heading under which it is listed
	What        string // in plain English
	Inputs      []Input
	Published   float64 // in SI units
	Unit        string  // in which Published is shown, without an SI prefix
	Tolerance   float64 // fraction of Published, or in the SI unit of Published
	Relative    bool    // Tolerance is a fraction
	Why         string  // why this tolerance
	Source      string  // title
	Known       ledger.Known
	Stages      []string // of the report, such as "tubes", "supply"
	Function    string   // name of the evaluator
	Reference   string   // row of the project's table of published figures, such as "6.2"
	Report      bool     // one of the few that every report shows
	TubeType    string   // rows of the tube catalogue: type …
	Column      string   // … published column or idle point …
	Quantity    string   // … and what of it
	printDigits int
}

// Result is one check, done.
type Result struct {
	ID, Subject, What string
	Computed          float64 // in SI units
	Published         float64 // in SI units
	Unit              string  // in which both are shown
	Tolerance         float64 // fraction of Published, or in the SI unit of Published
	Relative          bool    // Tolerance is a fraction
	Why, Source       string
	Known             ledger.Known
	Err               error // the code refused the inputs
	digits            int
}

// Deviation is computed less published: as a fraction of the published figure
// where the tolerance is relative, otherwise in its SI unit.
func (r Result) Deviation() float64 {
	if r.Relative {
		return (r.Computed - r.Published) / math.Abs(r.Published)
	}
	return r.Computed - r.Published
}

// rounding is what floating-point numbers may lose on the way, against the
// published figure.
const rounding = 1e-12

// Holds reports whether the computed figure lies within the tolerance.
func (r Result) Holds() bool {
	limit := r.Tolerance
	if r.Relative {
		limit *= math.Abs(r.Published)
	}
	return r.Err == nil && math.Abs(r.Computed-r.Published) <= limit+rounding*math.Abs(r.Published) // false for NaN
}

// ComputedText is the computed figure as shown to a reader.
func (r Result) ComputedText() string {
	if r.Err != nil {
		return "—"
	}
	return r.show(r.Computed)
}

// PublishedText is the published figure as shown to a reader.
func (r Result) PublishedText() string { return r.show(r.Published) }

// DeviationText is the deviation with its sign, in per cent where the
// tolerance is relative.
func (r Result) DeviationText() string {
	if r.Err != nil {
		return r.Err.Error()
	}
	d := r.Deviation()
	text := r.showStep(d)
	if d > 0 && strings.ContainsAny(text, "123456789") {
		text = "+" + text
	}
	return text
}

// ToleranceText is the tolerance, such as "±0.5 %".
func (r Result) ToleranceText() string {
	if r.Tolerance == 0 {
		return "exact"
	}
	return "±" + r.showStep(r.Tolerance)
}

// show writes a figure in its unit.
func (r Result) show(v float64) string {
	if !r.Relative && math.Abs(v) < r.Tolerance/1000 {
		v = 0
	}
	return quantity.Format(v, r.Unit, r.digits)
}

// showStep writes a difference of two figures.
func (r Result) showStep(v float64) string {
	if r.Relative {
		if math.Abs(v) < r.Tolerance/1000 {
			return "0 %"
		}
		return quantity.Format(v, "%", 2)
	}
	if math.Abs(v) < math.Max(r.Tolerance/1000, rounding*math.Abs(r.Published)) {
		v = 0
	}
	switch u, _ := quantity.LookupUnit(r.Unit); {
	case u.Offset != 0:
		return quantity.Format(v, "K", 2)
	case r.Unit == "dB":
		return quantity.Format(v, r.Unit, 4)
	case r.Unit == "" && v != 0 && r.Tolerance > 0:
		decimals := 1 + int(math.Ceil(-math.Log10(r.Tolerance)))
		return strconv.FormatFloat(v, 'f', max(decimals, 0), 64)
	}
	return quantity.Format(v, r.Unit, 2)
}

// digitsFor is how many digits show a figure so that its tolerance is seen.
func digitsFor(published, tolerance float64, relative bool) int {
	if !relative {
		tolerance /= math.Abs(published)
	}
	if !(tolerance > 0) || math.IsInf(tolerance, 0) {
		return 4
	}
	return min(max(4, int(math.Ceil(-math.Log10(tolerance)))), 7)
}
