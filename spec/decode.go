package spec

import (
	"fmt"
	"reflect"
	"strings"

	"anodebook/spec/quantity"
)

// reader walks the struct and the TOML tree side by side and collects what is
// wrong.
type reader struct {
	spec     *Spec
	names    Names
	at       map[string]Position
	problems Problems
}

func (r *reader) problem(o Origin, what, hint string) {
	p := o.Position
	if p.Line == 0 {
		p = r.nearest(o.Key)
	}
	r.problems = append(r.problems, Problem{File: r.spec.File, Position: p, Key: o.Key, What: what, Hint: hint})
}

// nearest is the place of the innermost table that a missing key belongs to.
func (r *reader) nearest(key string) Position {
	for {
		i := strings.LastIndexByte(key, '.')
		if i < 0 {
			return Position{1, 1}
		}
		key = key[:i]
		if p, ok := r.at[key]; ok {
			return p
		}
	}
}

// words resolves a oneof tag.
func (r *reader) words(tag string) []string {
	switch tag {
	case "@tubes":
		return r.names.Tubes
	case "@rules":
		return r.names.Rules
	case "@bands":
		return BandNames
	}
	return strings.Fields(tag)
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// table fills the struct v from the tree.
func (r *reader) table(v reflect.Value, tree map[string]any, path string) {
	t := v.Type()
	known := map[string]bool{}
	var keys []string
	for i := range t.NumField() {
		f := t.Field(i)
		key := f.Tag.Get("key")
		if key == "" {
			continue
		}
		known[key] = true
		keys = append(keys, key)
		raw, given := tree[key]
		r.field(v.Field(i), f.Tag, raw, given, join(path, key))
	}
	if present, ok := tree["fitted"].(bool); ok && known["fitted"] && !present {
		r.notFitted(tree, path)
	}
	for _, key := range sortedKeys(tree) {
		if known[key] {
			continue
		}
		full := join(path, key)
		hint := ""
		if s := suggest(key, keys); strings.EqualFold(key, s) && tree[s] != nil {
			hint = s + " in small letters is there too: delete one of the two"
		} else if strings.EqualFold(key, s) {
			hint = "keys are written in small letters: " + s
		} else if s != "" {
			hint = fmt.Sprintf("did you mean %s?", s)
		} else {
			hint = "known here: " + strings.Join(keys, ", ")
		}
		what := "unknown key"
		if _, isTable := tree[key].(map[string]any); isTable {
			what = "unknown table"
			hint = strings.Replace(hint, "keys are", "tables are", 1)
		}
		r.problem(Origin{Key: full, Position: r.at[full]}, what, hint)
	}
}

// field fills one field.
func (r *reader) field(v reflect.Value, tag reflect.StructTag, raw any, given bool, path string) {
	o := Origin{Key: path, Given: given, Position: r.at[path]}
	switch p := v.Addr().Interface().(type) {
	case *Quantity:
		*p = r.quantity(o, tag, raw)
		return
	case *Range:
		*p = r.interval(o, tag, raw)
		return
	case *Quantities:
		*p = r.quantities(o, tag, raw)
		return
	case *Ratio:
		*p = r.ratio(o, tag, raw)
		return
	case *Count:
		*p = r.count(o, tag, raw)
		return
	case *Text:
		p.Origin = o
		if given {
			s, ok := raw.(string)
			if !ok {
				r.problem(o, fmt.Sprintf("%s where a text is wanted", kind(raw)),
					fmt.Sprintf("text stands in quotes: %s = %s", last(path), quotedValue(raw)))
				return
			}
			if len(s) > 20000 {
				r.problem(o, fmt.Sprintf("a text of %d bytes; the limit is 20000", len(s)),
					"shorten it, or split it over several [note.…] tables")
				return
			}
			p.Value = s
		}
		return
	case *Flag:
		*p = r.flag(o, raw)
		return
	case *Attachment:
		*p = r.attachment(o, func() { r.missing(o, tag) }, raw)
		return
	case *Choice:
		*p = r.choice(o, tag, raw)
		return
	case *Words:
		*p = r.list(o, tag, raw)
		return
	}
	sub, isTable := raw.(map[string]any)
	if plain := tag.Get("plain"); plain != "" && given && !isTable {
		full := join(path, plain)
		r.at[full] = r.at[path]
		sub, isTable = map[string]any{plain: raw}, true
	}
	if given && !isTable {
		r.problem(o, fmt.Sprintf("%s where a table is wanted", kind(raw)),
			fmt.Sprintf("write [%s] on a line of its own, and its keys below", path))
		return
	}
	if v.Kind() == reflect.Struct {
		r.table(v, sub, path)
		return
	}
	if v.Kind() == reflect.Map && given {
		m := reflect.MakeMap(v.Type())
		for _, k := range sortedKeys(sub) {
			full := join(path, k)
			if list := r.words(tag.Get("oneof")); len(list) > 0 && !contains(list, k) {
				hint := "one of " + listing(list)
				if s := suggest(k, list); s != "" && resembles(k, s) {
					hint = fmt.Sprintf("did you mean %s?", s)
				}
				r.problem(Origin{Key: full, Position: r.at[full]}, fmt.Sprintf("%q is not known here", k), hint)
				continue
			}
			e := reflect.New(v.Type().Elem()).Elem()
			r.field(e, tag, sub[k], true, full)
			m.SetMapIndex(reflect.ValueOf(k), e)
		}
		v.Set(m)
	}
}

// missing handles an absent key: required, default, or nothing. It returns the
// default's text.
func (r *reader) missing(o Origin, tag reflect.StructTag) (string, bool) {
	if others, required := tag.Lookup("required"); required {
		for _, other := range strings.Fields(others) {
			if _, written := r.at[other]; written {
				return "", false // another key says the same
			}
		}
		table := strings.TrimSuffix(o.Key, "."+last(o.Key))
		r.problem(o, "missing: "+tag.Get("doc"), fmt.Sprintf("under [%s] write for example %s", table, exampleLine(o.Key, tag)))
		return "", false
	}
	d, ok := tag.Lookup("default")
	if ok {
		r.spec.Assumptions = append(r.spec.Assumptions, Assumption{o.Key, d, tag.Get("why")})
	}
	return d, ok
}

func exampleLine(key string, tag reflect.StructTag) string {
	k := last(key)
	switch {
	case k == "bands":
		return `bands = ["80m", "40m", "20m"]`
	case k == "type":
		return `type = "3-500Z"`
	case k == "file":
		return `file = "` + exampleFile(key) + `"`
	case k == "of":
		return `of = "tank"`
	case k == "kind":
		return `kind = "tolerance"`
	case k == "group":
		return `group = "tubes"`
	case k == "condition":
		return `condition = "usable"`
	case k == "output":
		return `output = "1000 W"`
	case k == "plate_voltage":
		return `plate_voltage = "2800 V"`
	}
	u, _ := quantity.LookupUnit(tag.Get("unit"))
	return fmt.Sprintf("%s = %q", k, u.Example())
}

func last(path string) string { return path[strings.LastIndexByte(path, '.')+1:] }
