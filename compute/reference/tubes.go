package reference

import (
	"fmt"
	"math"

	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
)

// compareFunction names the evaluator of the tube columns: tube.Compare.
const compareFunction = "tube.Compare"

// tubeSubject heads the checks against the published columns.
const tubeSubject = "Published operating columns of the tubes"

// tubeWhy is the reason for the tolerances of the tube columns.
const tubeWhy = "five-parameter static law; wider for figures remembered less well; one tube sample differs from the next by more"

// tubeTolerances are how far the static model may be from a firm figure; from a
// well known one (read, or graded M1) it may be no further than tube.Aim.
var tubeTolerances = []struct {
	quantity, unit string
	figure         func(c tube.Column) tube.Figure
}{
	{"output", "W", func(c tube.Column) tube.Figure { return c.Output }},
	{"driving impedance", "Ω", func(c tube.Column) tube.Figure { return c.Driving }},
	{"grid current", "A", func(c tube.Column) tube.Figure { return c.GridCurrent }},
	{"idle current", "A", nil},
}

// tubeRows are the checks of the firm published figures of a type. A figure
// that sets the operating point proves nothing and is left out.
func tubeRows(t *tube.Type) []Row {
	var out []Row
	for _, r := range t.Residuals {
		if r.Pinned || r.Mark == tube.Weak {
			continue
		}
		for _, tol := range tubeTolerances {
			if tol.quantity != r.Quantity {
				continue
			}
			f, ok := published(t, r)
			if !ok {
				continue
			}
			tolerance, _ := tube.Limit(r.Quantity)
			if f.Grade == "R" || f.Grade == "M1" {
				tolerance, _ = tube.Aim(r.Quantity)
			}
			stages := []string{"tubes"}
			if r.Quantity == "idle current" {
				stages = append(stages, "bias") // the bias is chosen for it
			}
			out = append(out, Row{
				ID:        fmt.Sprintf("tubes.%s.%s.%s", slug(t.Name), slug(r.Column), slug(r.Quantity)),
				Subject:   tubeSubject,
				What:      tubeWhat(t.Name, r),
				Published: f.Value, Unit: tol.unit, Tolerance: tolerance, Relative: true, Why: tubeWhy,
				Source: t.Sources[f.Source], Known: knownOf(f.Mark), Stages: stages, Function: compareFunction,
				Reference: "tubes.md " + t.Name, TubeType: t.Name, Column: r.Column, Quantity: r.Quantity, printDigits: 4,
			})
		}
	}
	return out
}

// tubeWhat says what is compared, and under which conditions (tube.Compare).
func tubeWhat(name string, r tube.Residual) string {
	switch r.Quantity {
	case "idle current":
		return fmt.Sprintf("%s: idle current of one tube at %s", name, r.Column)
	case "output":
		return fmt.Sprintf("%s: output of one tube at the published plate current and the swing √(2·P·R) of the published pair, "+
			"column “%s”", name, r.Column)
	}
	return fmt.Sprintf("%s: %s of one tube at the published plate current, column “%s”", name, r.Quantity, r.Column)
}

// published finds the catalogue figure of a residual.
func published(t *tube.Type, r tube.Residual) (tube.Figure, bool) {
	if r.Quantity == "idle current" {
		for _, i := range t.Idle {
			if math.Abs(i.Current.Value/r.Published-1) < 1e-6 && r.Column == fmt.Sprintf("%.0f V, bias %g V", i.PlateVoltage, i.Bias) {
				return i.Current, true
			}
		}
		return tube.Figure{}, false
	}
	for _, c := range t.ColumnsEach() {
		if c.Name != r.Column {
			continue
		}
		for _, tol := range tubeTolerances {
			if tol.quantity == r.Quantity && tol.figure != nil {
				return tol.figure(c), tol.figure(c).Firm()
			}
		}
	}
	return tube.Figure{}, false
}

// compare computes the figure of a tube row; the columns of a type are
// computed together, once.
func (s *session) compare(row Row) (float64, error) {
	residuals, ok := s.compared[row.TubeType]
	if !ok {
		t, found := tube.Lookup(row.TubeType)
		if !found {
			return math.NaN(), fmt.Errorf("no tube type %q", row.TubeType)
		}
		var err error
		if residuals, err = tube.Compare(t.Model, t.Columns, t.Idle); err != nil {
			return math.NaN(), err
		}
		if s.compared == nil {
			s.compared = map[string][]tube.Residual{}
		}
		s.compared[row.TubeType] = residuals
	}
	for _, r := range residuals {
		if r.Column == row.Column && r.Quantity == row.Quantity {
			return r.Computed, nil
		}
	}
	return math.NaN(), fmt.Errorf("%s has no %s in column %q", row.TubeType, row.Quantity, row.Column)
}

func knownOf(m tube.Mark) ledger.Known {
	if m == tube.Read {
		return ledger.Published
	}
	return ledger.FromMemory
}

// slug makes a word of an ID from a name.
func slug(s string) string {
	out := make([]rune, 0, len(s))
	for _, r := range s {
		switch {
		case r >= 'A' && r <= 'Z':
			r += 'a' - 'A'
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', r == '-', r == '.':
		case r == ' ', r == '_', r == '/':
			if len(out) > 0 && out[len(out)-1] == '-' {
				continue
			}
			r = '-'
		default:
			continue
		}
		out = append(out, r)
	}
	return string(out)
}
