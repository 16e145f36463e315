package reference

import (
	"fmt"
	"slices"

	"anodebook/compute/physics/tube"
)

// evaluator computes one figure from named inputs in SI units by calling the
// code that ships.
type evaluator func(in map[string]float64) (float64, error)

// functions are all evaluators by name.
var functions = merge(fourierFunctions, tubeFunctions, networkFunctions, coilFunctions, wireFunctions, coreFunctions,
	rectifierFunctions, insulationFunctions, airFunctions, ruleFunctions, preferredFunctions, practiceFunctions, stageFunctions)

func merge(tables ...map[string]evaluator) map[string]evaluator {
	out := map[string]evaluator{}
	for _, t := range tables {
		for name, f := range t {
			if _, twice := out[name]; twice {
				panic("reference: two evaluators named " + name)
			}
			out[name] = f
		}
	}
	return out
}

// All returns every check: those of the files, then those of the published
// columns of every tube type.
func All() []Row {
	out := slices.Clone(load())
	for _, t := range tube.All() {
		if t.Family == "" {
			out = append(out, tubeRows(t)...)
		}
	}
	return out
}

// RunAll does every check.
func RunAll() []Result { return (&session{}).runAll(All()) }

// Touching does the checks that concern a design with the tube type: the few
// of each stage that stand for the rest, and all firm figures published for
// the type. An unknown type has none of the latter.
func Touching(typeName string) []Result {
	rows := slices.Clone(reported())
	if t, ok := tube.Lookup(typeName); ok {
		if f, ok := tube.Lookup(t.Family); ok && t.Family != "" {
			t = f
		}
		rows = append(rows, tubeRows(t)...)
	}
	return (&session{}).runAll(rows)
}

// session keeps what several checks share.
type session struct {
	compared map[string][]tube.Residual
}

func (s *session) runAll(rows []Row) []Result {
	out := make([]Result, len(rows))
	for i, r := range rows {
		out[i] = s.run(r)
	}
	return out
}

func (s *session) run(row Row) Result {
	r := Result{
		ID: row.ID, Subject: row.Subject, What: row.What, Published: row.Published, Unit: row.Unit,
		Tolerance: row.Tolerance, Relative: row.Relative, Why: row.Why, Source: row.Source, Known: row.Known,
		digits: row.printDigits,
	}
	if row.TubeType != "" {
		r.Computed, r.Err = s.compare(row)
		return r
	}
	f, ok := functions[row.Function]
	if !ok {
		r.Err = fmt.Errorf("no function %q", row.Function)
		return r
	}
	in := make(map[string]float64, len(row.Inputs))
	for _, i := range row.Inputs {
		in[i.Name] = i.Value
	}
	r.Computed, r.Err = f(in)
	return r
}
