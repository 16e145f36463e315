package compute

import (
	"fmt"
	"sort"

	"anodebook/compute/ledger"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// Reading is a measured value beside the computed one.
type Reading struct {
	Name      string
	Quantity  *ledger.Quantity
	Measured  float64 // SI
	Deviation float64 // measured over computed, less one
	How, When string
}

// readings matches the builder's readings with the computed quantities. All
// that cannot be matched is reported at once.
func readings(s *spec.Spec, b *ledger.Book) ([]Reading, error) {
	names := make([]string, 0, len(s.Reading))
	for n := range s.Reading {
		names = append(names, n)
	}
	sort.Strings(names)
	var out []Reading
	var problems spec.Problems
	fail := func(o spec.Origin, what, hint string) {
		problems = append(problems, spec.Problem{File: s.File, Position: o.Position, Key: o.Key, What: what, Hint: hint})
	}
	for _, n := range names {
		r := s.Reading[n]
		q, ok := b.Lookup(r.Of.Value)
		if !ok {
			fail(r.Of.Origin, fmt.Sprintf("%q is not a computed quantity", r.Of.Value), "results.json lists all of them, such as supply.idle_voltage")
			continue
		}
		v, err := quantity.Parse(r.Value.Value)
		if u, _ := quantity.LookupUnit(q.Unit); err != nil || v.Dimension != u.Dimension {
			fail(r.Value.Origin, fmt.Sprintf("%q does not measure %s, which is %s", r.Value.Value, q.ID, u.Name()), "for example "+quantity.Format(q.Value, q.Unit, 3))
			continue
		}
		out = append(out, Reading{Name: n, Quantity: q, Measured: v.SI, Deviation: deviation(v.SI, q.Value), How: r.How.Value, When: r.When.Value})
	}
	if len(problems) > 0 {
		return nil, problems
	}
	return out, nil
}

func deviation(measured, computed float64) float64 {
	if computed == 0 {
		return 0
	}
	return measured/computed - 1
}
