package compute

import (
	"cmp"
	"errors"
	"fmt"
	"reflect"
	"regexp"
	"runtime"
	"slices"
	"strings"

	"anodebook/compute/ledger"
	"anodebook/spec"
)

// guarded runs a computation. What goes wrong in it, a number that is none and
// even a slip of the program, comes back as problems of the spec that name the
// nearest key, never as a stack trace.
func guarded(s *spec.Spec, run func() (*Design, error)) (d *Design, err error) {
	defer func() {
		p := recover()
		if p == nil {
			return
		}
		d = nil
		var lost *ledger.NotFiniteError
		if e, ok := p.(error); ok && errors.As(e, &lost) {
			err = notFinite(s, lost)
			return
		}
		what := fmt.Sprint(p)
		if e, ok := p.(runtime.Error); ok {
			what = e.Error()
		}
		err = spec.Problems{{File: s.File, Position: s.Target.Bands.Position, Key: s.Target.Bands.Key,
			What: "this design breaks the program (" + oneLine(what) + "), which is a fault of the program and not of the spec",
			Hint: "change the value that was changed last, and report the spec to whoever keeps the program"}}
	}()
	if d, err = run(); err != nil {
		return nil, located(s, err)
	}
	return d, nil
}

// keyed is an error that begins with the key it is about.
var keyed = regexp.MustCompile(`^([a-z_]+(?:\.[a-z0-9_]+)+): (?s:(.*))$`)

// located gives an error without a place the key that everything hangs on.
func located(s *spec.Spec, err error) error {
	if m := keyed.FindStringSubmatch(err.Error()); m != nil {
		for _, o := range written(s) {
			if o.Key == m[1] || strings.HasPrefix(o.Key, m[1]+".") {
				return problem(s, o, errors.New(m[2]), "another value here, or leave "+m[1]+" to the program")
			}
		}
	}
	o := s.Target.Bands.Origin
	for _, q := range []spec.Origin{s.Target.Output.Origin, s.Target.PlateCurrent.Origin, s.Target.Drive.Origin} {
		if q.Given {
			o = q
		}
	}
	return problem(s, o, err,
		"bring target, tubes and supply.plate_voltage nearer to a published operating column of the tubes: anodebook tubes "+
			"lists them")
}

// notFinite words a number that is none as a problem of the key that it hangs
// on: of those that the builder wrote, the one nearest to it.
func notFinite(s *spec.Spec, e *ledger.NotFiniteError) error {
	q := e.Quantity
	var keys []string
	first := s.Target.Bands.Origin
	for _, root := range q.Roots() {
		for _, o := range written(s) {
			if root.From == ledger.FromSpec && root.Where == s.Where(o) {
				if len(keys) == 0 {
					first = o
				}
				keys = append(keys, o.Key)
			}
		}
	}
	if len(keys) == 0 {
		// its stage is the table that it stands in
		for _, o := range written(s) {
			if strings.HasPrefix(o.Key, q.Stage()+".") {
				first = o
				break
			}
		}
	}
	p := spec.Problem{File: s.File, Position: first.Position, Key: first.Key,
		What: fmt.Sprintf("with these values the %s has no finite value (%s)", lower(q.Name), q.ID),
		Hint: "a value here, or one that goes with it, is at a limit where the part does nothing: move it away from there"}
	if len(keys) > 1 {
		p.Hint = fmt.Sprintf("it rests on %s too: one of them is at a limit where the part does nothing",
			strings.Join(keys[1:min(len(keys), 4)], ", "))
	}
	return spec.Problems{p}
}

func lower(s string) string {
	if s == "" || strings.ToUpper(s[:1]) != s[:1] {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// written lists every key that the builder wrote, in the order of the format.
func written(s *spec.Spec) []spec.Origin {
	var list []spec.Origin
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Map: // the builder's own names, in the order of the file
			var below []spec.Origin
			outer := list
			list = nil
			for _, k := range v.MapKeys() {
				walk(v.MapIndex(k))
			}
			below, list = list, outer
			slices.SortFunc(below, func(a, b spec.Origin) int {
				return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
			})
			list = append(list, below...)
		case reflect.Struct:
			if o, ok := v.Interface().(spec.Origin); ok {
				if o.Given {
					list = append(list, o)
				}
				return
			}
			for f, x := range v.Fields() {
				if f.IsExported() {
					walk(x)
				}
			}
		}
	}
	walk(reflect.ValueOf(s).Elem())
	return list
}
