package spec

import (
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/BurntSushi/toml"
)

// Entry is one key of a spec that has a value, written or assumed.
type Entry struct {
	Origin
	Text  string // as the builder wrote it, in TOML and in one line; of a default its bare words
	value any    // what was read
}

// Entries lists every key that has a value, those written and those with a
// default, in the order of the format; names that the builder chose are
// sorted. text is what the spec was read from.
func (s *Spec) Entries(text []byte) []Entry {
	tree := map[string]any{}
	if _, err := toml.Decode(strings.TrimPrefix(string(text), "\ufeff"), &tree); err != nil {
		tree = nil // the text is not that of this spec: show no words of it
	}
	defaults := map[string]string{}
	for _, a := range s.Assumptions {
		defaults[a.Key] = a.Value
	}
	var out []Entry
	var walk func(v reflect.Value, tree any)
	walk = func(v reflect.Value, tree any) {
		sub, _ := tree.(map[string]any)
		switch {
		case v.Kind() == reflect.Map:
			keys := v.MapKeys()
			slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
			for _, k := range keys {
				walk(v.MapIndex(k), sub[k.String()])
			}
		case v.Kind() == reflect.Struct && v.NumField() > 0 && v.Type().Field(0).Type == reflect.TypeFor[Origin]():
			e := Entry{Origin: v.Field(0).Interface().(Origin), value: v.Interface()}
			switch {
			case e.Given:
				e.Text = written(tree)
			case defaults[e.Key] != "":
				e.Text = defaults[e.Key]
			default:
				return
			}
			out = append(out, e)
		case v.Kind() == reflect.Struct:
			for i := range v.NumField() {
				f := v.Type().Field(i)
				key := f.Tag.Get("key")
				if key == "" {
					continue
				}
				below := sub[key]
				if _, table := below.(map[string]any); !table && below != nil && f.Tag.Get("plain") != "" {
					below = map[string]any{f.Tag.Get("plain"): below}
				}
				walk(v.Field(i), below)
			}
		}
	}
	walk(reflect.ValueOf(*s), tree)
	return out
}

// written writes a TOML value in one line.
func written(raw any) string {
	switch x := raw.(type) {
	case string:
		return strconv.Quote(x)
	case int64:
		return strconv.FormatInt(x, 10)
	case float64:
		return bare(x)
	case bool:
		return strconv.FormatBool(x)
	case []any:
		var parts []string
		for _, e := range x {
			parts = append(parts, written(e))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return ""
}

// Same says that two entries mean the same, however they are written:
// "2800 V" and "2.8 kV". Where they stand does not count, nor whether one of
// them is only assumed.
func (e Entry) Same(o Entry) bool {
	if reflect.TypeOf(e.value) != reflect.TypeOf(o.value) {
		return false
	}
	near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Max(math.Abs(a), math.Abs(b)) }
	switch a := e.value.(type) {
	case Quantity:
		return near(a.SI, o.value.(Quantity).SI)
	case Range:
		b := o.value.(Range)
		return near(a.Low, b.Low) && near(a.High, b.High)
	case Ratio:
		return near(a.Value, o.value.(Ratio).Value)
	case Count:
		return a.N == o.value.(Count).N
	case Flag:
		return a.Value == o.value.(Flag).Value
	case Text:
		return a.Value == o.value.(Text).Value
	case Choice:
		return a.Value == o.value.(Choice).Value
	case Words:
		return slices.Equal(a.Values, o.value.(Words).Values)
	case Quantities:
		return slices.EqualFunc(a.SI, o.value.(Quantities).SI, near)
	case Attachment:
		b := o.value.(Attachment)
		return a.Name == b.Name && string(a.Content) == string(b.Content)
	}
	return false
}

// NamedTables are the tables below which the builder chooses the names, by
// dotted key: a table may be called otherwise and still be the same.
func NamedTables() []string {
	var out []string
	var walk func(t reflect.Type, path string)
	walk = func(t reflect.Type, path string) {
		if t.Kind() != reflect.Struct {
			return
		}
		for i := range t.NumField() {
			f := t.Field(i)
			key := f.Tag.Get("key")
			if key == "" {
				continue
			}
			full := join(path, key)
			if f.Type.Kind() == reflect.Map {
				e := f.Type.Elem()
				if f.Tag.Get("oneof") == "" && e.Kind() == reflect.Struct && e.Field(0).Type != reflect.TypeFor[Origin]() {
					out = append(out, full)
				}
				continue
			}
			walk(f.Type, full)
		}
	}
	walk(reflect.TypeFor[Spec](), "")
	return out
}
