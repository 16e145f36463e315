package spec

import (
	"slices"
	"strings"
)

// Fixed is the bypass as a capacitor like others.
func (b BypassCapacitor) Fixed() FixedCapacitor {
	return FixedCapacitor{Capacitance: b.Capacitance, Count: b.Count, Voltage: b.Voltage, Current: b.Current}
}

// flag reads a yes or no.
func (r *reader) flag(o Origin, raw any) Flag {
	f := Flag{Origin: o}
	if !o.Given {
		return f
	}
	v, ok := raw.(bool)
	if !ok {
		r.problem(o, kind(raw)+" where true or false is wanted", last(o.Key)+" = false, without quotes")
		return f
	}
	f.Value = v
	return f
}

// notFitted refuses what else is written of a part that is not there, and takes
// what would be assumed of it off the list.
func (r *reader) notFitted(tree map[string]any, path string) {
	for _, key := range sortedKeys(tree) {
		if key != "fitted" {
			full := join(path, key)
			r.problem(Origin{Key: full, Position: r.at[full]}, "fitted = false says that this part is not there",
				"delete this key, or delete fitted = false")
		}
	}
	r.spec.Assumptions = slices.DeleteFunc(r.spec.Assumptions, func(a Assumption) bool { return strings.HasPrefix(a.Key, path+".") })
}
