package spec

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
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
	for _, key := range sortedKeys(tree) {
		if known[key] {
			continue
		}
		full := join(path, key)
		hint := ""
		if s := suggest(key, keys); s != "" {
			hint = fmt.Sprintf("did you mean %s?", s)
		} else {
			hint = "known here: " + strings.Join(keys, ", ")
		}
		what := "unknown key"
		if _, isTable := tree[key].(map[string]any); isTable {
			what = "unknown table"
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
				r.problem(o, fmt.Sprintf("%s where a text is wanted", kind(raw)), fmt.Sprintf(`%s = "…"`, last(path)))
				return
			}
			if len(s) > 20000 {
				r.problem(o, "longer than 20000 bytes", "shorten it")
				return
			}
			p.Value = s
		}
		return
	case *Choice:
		*p = r.choice(o, tag, raw)
		return
	case *Words:
		*p = r.list(o, tag, raw)
		return
	}
	sub, isTable := raw.(map[string]any)
	if given && !isTable {
		r.problem(o, fmt.Sprintf("%s where a table is wanted", kind(raw)), fmt.Sprintf("[%s]", path))
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
				if s := suggest(k, list); s != "" {
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
	if _, required := tag.Lookup("required"); required {
		r.problem(o, "missing", fmt.Sprintf("%s (%s)", exampleLine(o.Key, tag), tag.Get("doc")))
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
	case k == "output":
		return `output = "1000 W"`
	case k == "plate_voltage":
		return `plate_voltage = "2800 V"`
	}
	u, _ := quantity.LookupUnit(tag.Get("unit"))
	return fmt.Sprintf("%s = %q", k, u.Example())
}

func last(path string) string { return path[strings.LastIndexByte(path, '.')+1:] }

func (r *reader) quantity(o Origin, tag reflect.StructTag, raw any) Quantity {
	q := Quantity{Origin: o}
	if !o.Given {
		if d, ok := r.missing(o, tag); ok {
			v, _ := quantity.Parse(d)
			q.SI, q.Assumed = v.SI, true
		}
		return q
	}
	si, ok := r.measure(o, tag, raw)
	if ok {
		q.SI = si
	}
	return q
}

// measure reads one quantity string and checks kind and bounds.
func (r *reader) measure(o Origin, tag reflect.StructTag, raw any) (float64, bool) {
	want, _ := quantity.LookupUnit(tag.Get("unit"))
	text, isText := raw.(string)
	example := quantity.Format(mid(tag), want.Symbol, 2)
	if !isText {
		r.problem(o, fmt.Sprintf("%s: %s needs a unit", kind(raw), want.Name()), fmt.Sprintf("for example %q", sample(raw, want, example)))
		return 0, false
	}
	v, err := quantity.Parse(text)
	if errors.Is(err, quantity.ErrNoUnit) {
		r.problem(o, fmt.Sprintf("%q: %s needs a unit", text, want.Name()), fmt.Sprintf("for example %q", sample(text, want, example)))
		return 0, false
	}
	if err != nil {
		r.problem(o, err.Error(), fmt.Sprintf("%s is written like %q", want.Name(), example))
		return 0, false
	}
	if v.Dimension != want.Dimension {
		r.problem(o, fmt.Sprintf("%q is %s, wanted is %s", text, v.Name(), want.Name()), fmt.Sprintf("for example %q", example))
		return 0, false
	}
	return v.SI, r.bounded(o, tag, text, v.SI, want)
}

// bounded checks a value against the tag's min and max.
func (r *reader) bounded(o Origin, tag reflect.StructTag, text string, v float64, want quantity.Unit) bool {
	lo, hi := bound(tag.Get("min"), math.Inf(-1)), bound(tag.Get("max"), math.Inf(1))
	if v >= lo*(1-sign(lo)*1e-12) && v <= hi*(1+sign(hi)*1e-12) {
		return true
	}
	because := tag.Get("because")
	if because != "" {
		because = ": " + because
	}
	hint := fmt.Sprintf("plausible is %s to %s%s", tag.Get("min"), tag.Get("max"), because)
	if v < 0 && lo >= 0 {
		r.problem(o, fmt.Sprintf("%q is negative", text), hint)
		return false
	}
	// a slipped decimal point or prefix is the usual cause
	for _, f := range []float64{10, 1e-1, 1e-3, 1e3, 1e-2, 100, 1e-6, 1e6} {
		if x := v * f; want.Offset == 0 && x >= lo && x <= hi {
			hint += fmt.Sprintf("; was %q meant?", quantity.Format(x, want.Symbol, 3))
			break
		}
	}
	r.problem(o, fmt.Sprintf("%q is not plausible", text), hint)
	return false
}

func sign(x float64) float64 { return math.Copysign(1, x) }

func bound(text string, none float64) float64 {
	if text == "" {
		return none
	}
	v, err := quantity.Parse(text)
	if err != nil && !errors.Is(err, quantity.ErrNoUnit) {
		panic("spec: bad bound " + text)
	}
	return v.SI
}

// mid is a plausible value for an example.
func mid(tag reflect.StructTag) float64 {
	if d := tag.Get("default"); d != "" {
		return bound(d, 0)
	}
	lo, hi := bound(tag.Get("min"), 1), bound(tag.Get("max"), 1)
	if lo <= 0 {
		return hi / 10
	}
	x := math.Sqrt(lo * hi)
	p := math.Pow(10, math.Floor(math.Log10(x)))
	return math.Round(x/p) * p
}

// sample puts the builder's own number before the unit where that is
// plausible to have been meant.
func sample(raw any, want quantity.Unit, example string) string {
	n := strings.TrimSpace(fmt.Sprint(raw))
	if v, err := strconv.ParseFloat(n, 64); err == nil && finite(v) && v != 0 {
		return n + " " + want.Symbol
	}
	return example
}

func (r *reader) interval(o Origin, tag reflect.StructTag, raw any) Range {
	x := Range{Origin: o}
	if !o.Given {
		return x
	}
	want, _ := quantity.LookupUnit(tag.Get("unit"))
	example := strings.Replace(quantity.Format(mid(tag)/4, want.Symbol, 1), " ", " ", 1) + " .. " + quantity.Format(mid(tag)*2, want.Symbol, 1)
	if want.Dimension == quantity.Capacitance {
		example = "25 pF .. 250 pF"
	}
	text, ok := raw.(string)
	if !ok {
		r.problem(o, fmt.Sprintf("%s: %s needs a unit", kind(raw), want.Name()), fmt.Sprintf("for example %q", example))
		return x
	}
	v, err := quantity.ParseRange(text)
	switch {
	case errors.Is(err, quantity.ErrNoUnit):
		r.problem(o, fmt.Sprintf("%q: %s needs a unit", text, want.Name()), fmt.Sprintf("for example %q", example))
	case err != nil:
		r.problem(o, err.Error(), fmt.Sprintf("a range is written like %q", example))
	case v.Dimension != want.Dimension:
		r.problem(o, fmt.Sprintf("%q is %s, wanted is %s", text, v.Name(), want.Name()), fmt.Sprintf("for example %q", example))
	default:
		if r.bounded(o, tag, text, v.Low, want) && (v.High == v.Low || r.bounded(o, tag, text, v.High, want)) {
			x.Low, x.High = v.Low, v.High
		}
	}
	return x
}

func (r *reader) quantities(o Origin, tag reflect.StructTag, raw any) Quantities {
	q := Quantities{Origin: o}
	if !o.Given {
		return q
	}
	list, ok := raw.([]any)
	if !ok {
		r.problem(o, fmt.Sprintf("%s where a list is wanted", kind(raw)), `for example ["100 pF", "220 pF"]`)
		return q
	}
	for _, x := range list {
		if v, ok := r.measure(o, tag, x); ok {
			q.SI = append(q.SI, v)
		}
	}
	return q
}

func (r *reader) ratio(o Origin, tag reflect.StructTag, raw any) Ratio {
	x := Ratio{Origin: o}
	if !o.Given {
		if d, ok := r.missing(o, tag); ok {
			x.Value, x.Assumed = bound(d, 0), true
		}
		return x
	}
	var v float64
	switch n := raw.(type) {
	case int64:
		v = float64(n)
	case float64:
		v = n
	default:
		r.problem(o, fmt.Sprintf("%s where a plain number is wanted", kind(raw)), fmt.Sprintf("for example %s = %s", last(o.Key), exampleNumber(tag)))
		return x
	}
	if !finite(v) {
		r.problem(o, "not a finite number", "plausible is "+tag.Get("min")+" to "+tag.Get("max"))
		return x
	}
	if r.bounded(o, tag, fmt.Sprint(raw), v, quantity.Unit{}) {
		x.Value = v
	}
	return x
}

func exampleNumber(tag reflect.StructTag) string {
	if d := tag.Get("default"); d != "" {
		return d
	}
	return strconv.FormatFloat(mid(tag), 'g', 2, 64)
}

func (r *reader) count(o Origin, tag reflect.StructTag, raw any) Count {
	c := Count{Origin: o}
	if !o.Given {
		if d, ok := r.missing(o, tag); ok {
			c.N, c.Assumed = int(bound(d, 0)), true
		}
		return c
	}
	n, ok := raw.(int64)
	if !ok {
		r.problem(o, fmt.Sprintf("%s where a whole number is wanted", kind(raw)), fmt.Sprintf("for example %s = %s", last(o.Key), exampleNumber(tag)))
		return c
	}
	if o.Key == "schema" && n > 1 {
		r.problem(o, fmt.Sprintf("version %d is newer than this program knows (1)", n), "use a newer anodebook, or write the spec for schema 1")
		return c
	}
	if r.bounded(o, tag, fmt.Sprint(n), float64(n), quantity.Unit{}) {
		c.N = int(n)
	}
	return c
}

func (r *reader) choice(o Origin, tag reflect.StructTag, raw any) Choice {
	c := Choice{Origin: o}
	if !o.Given {
		if d, ok := r.missing(o, tag); ok {
			c.Value, c.Assumed = d, true
		}
		return c
	}
	list := r.words(tag.Get("oneof"))
	s, ok := raw.(string)
	if !ok {
		r.problem(o, fmt.Sprintf("%s where one of %s is wanted", kind(raw), listing(list)), "")
		return c
	}
	c.Value = r.word(o, s, list)
	return c
}

// word finds s in the list, whatever its case.
func (r *reader) word(o Origin, s string, list []string) string {
	for _, w := range list {
		if strings.EqualFold(w, s) {
			return w
		}
	}
	hint := "one of " + listing(list)
	if w := suggest(s, list); w != "" {
		hint = fmt.Sprintf("did you mean %q? known: %s", w, strings.Join(list, ", "))
	}
	r.problem(o, fmt.Sprintf("%q is not known here", s), hint)
	return ""
}

func (r *reader) list(o Origin, tag reflect.StructTag, raw any) Words {
	w := Words{Origin: o}
	if !o.Given {
		r.missing(o, tag)
		return w
	}
	list, ok := raw.([]any)
	if !ok {
		r.problem(o, fmt.Sprintf("%s where a list is wanted", kind(raw)), exampleLine(o.Key, tag))
		return w
	}
	if len(list) == 0 {
		r.problem(o, "empty", exampleLine(o.Key, tag))
	}
	for _, x := range list {
		s, ok := x.(string)
		if !ok {
			r.problem(o, fmt.Sprintf("%s in a list of words", kind(x)), exampleLine(o.Key, tag))
			continue
		}
		if v := r.word(o, s, r.words(tag.Get("oneof"))); v != "" {
			w.Values = append(w.Values, v)
		}
	}
	return w
}

// kind words a TOML value for a message.
func kind(raw any) string {
	switch x := raw.(type) {
	case string:
		return fmt.Sprintf("%q is a text", x)
	case bool:
		return fmt.Sprintf("%v is a truth value", x)
	case int64:
		return fmt.Sprintf("%d is a bare number", x)
	case float64:
		return fmt.Sprintf("%v is a bare number", x)
	case []any:
		return "a list"
	case map[string]any:
		return "a table"
	}
	return "a date or time"
}

func contains(list []string, s string) bool {
	for _, w := range list {
		if w == s {
			return true
		}
	}
	return false
}
