package spec

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"

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
				r.problem(o, fmt.Sprintf("%s where a text is wanted", kind(raw)), fmt.Sprintf("text stands in quotes: %s = %s", last(path), quotedValue(raw)))
				return
			}
			if len(s) > 20000 {
				r.problem(o, fmt.Sprintf("a text of %d bytes; the limit is 20000", len(s)), "shorten it, or split it over several [note.…] tables")
				return
			}
			p.Value = s
		}
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
	if given && !isTable {
		r.problem(o, fmt.Sprintf("%s where a table is wanted", kind(raw)), fmt.Sprintf("write [%s] on a line of its own, and its keys below", path))
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
	wrong := func(what, hint string) (float64, bool) {
		if hint == "" {
			hint = fmt.Sprintf("%s is written like %q", want.Name(), example(tag, want))
		}
		r.problem(o, what, hint)
		return 0, false
	}
	text, isText := raw.(string)
	if !isText {
		switch raw.(type) {
		case int64, float64:
			return wrong(fmt.Sprintf("%s; %s needs a unit", kind(raw), want.Name()), own(fmt.Sprint(raw), tag, want))
		}
		return wrong(fmt.Sprintf("%s where %s is wanted", kind(raw), want.Name()), "")
	}
	v, err := quantity.Parse(text)
	var slip *quantity.Mistake
	var unknown *quantity.UnknownUnit
	switch {
	case errors.Is(err, quantity.ErrNoUnit):
		return wrong(fmt.Sprintf("%s: %s needs a unit", quote(text), want.Name()), own(text, tag, want))
	case errors.As(err, &slip):
		return wrong(slip.What, slipHint(slip))
	case errors.As(err, &unknown):
		if strings.HasPrefix(unknown.Name, "..") {
			return wrong(fmt.Sprintf("%s is a range; one value is wanted", quote(text)), "")
		}
		return wrong(err.Error(), meant(text, unknown.Name, want))
	case err != nil && want.Kind() == "%" && strings.ContainsAny(text, "+/"):
		return wrong(err.Error(), fmt.Sprintf("one number for both directions, the larger one, such as %q", example(tag, want)))
	case err != nil:
		return wrong(err.Error(), "")
	}
	got, _ := quantity.LookupUnit(v.Unit)
	switch {
	case v.Dimension != want.Dimension:
		return wrong(fmt.Sprintf("%s is %s; wanted is %s", quote(text), got.Name(), want.Name()), meant(text, v.Unit, want))
	case got.Kind() != want.Kind() && want.Kind() == "dBi":
		return wrong(fmt.Sprintf("%s does not say over what the antenna gains", quote(text)), fmt.Sprintf("%s over an isotropic radiator, or %s over a half-wave dipole", put(text, v.Unit, "dBi"), put(text, v.Unit, "dBd")))
	case got.Kind() != want.Kind():
		return wrong(fmt.Sprintf("%s is %s; wanted is %s", quote(text), got.Name(), want.Name()), "")
	case want.Symbol == "K" && got.Offset != 0:
		return wrong(fmt.Sprintf("%s is a temperature; wanted is a difference of temperatures", quote(text)),
			fmt.Sprintf("a difference is written in kelvin: %q", plain((v.SI-got.Offset)/want.Factor, "K")))
	}
	return v.SI, r.bounded(o, tag, text, v.SI, want)
}

// slipHint says what was probably meant.
func slipHint(m *quantity.Mistake) string {
	if m.Fix == "" {
		return ""
	}
	return fmt.Sprintf("was %q meant?", m.Fix)
}

// meant proposes the unit that was probably meant by the name of one.
func meant(text, name string, want quantity.Unit) string {
	if m := quantity.Meant(name, want); m != "" {
		return fmt.Sprintf("did you mean %s?", put(text, name, m))
	}
	return ""
}

// put writes text with another unit, in quotes.
func put(text, old, unit string) string {
	return strconv.Quote(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), old)) + " " + unit)
}

// example is a plausible value, as a builder would write it.
func example(tag reflect.StructTag, want quantity.Unit) string {
	if d := tag.Get("default"); d != "" && bound(d, 0) != 0 {
		return d
	}
	if want.Dimension == quantity.Flow || want.Kind() == "dB" && bound(tag.Get("max"), 1) > 0 {
		return want.Example()
	}
	return plain(mid(tag), want.Symbol)
}

// plain writes a number without idle zeros.
func plain(si float64, unit string) string {
	number, symbol := quantity.Split(si, unit, 4)
	if strings.Contains(number, ".") {
		number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
	}
	return strings.TrimSpace(number + " " + symbol)
}

// own puts a unit to the builder's own number: the one with which it is most
// plausible.
func own(number string, tag reflect.StructTag, want quantity.Unit) string {
	u := ownUnit(number, tag, want)
	if u == "" {
		return ""
	}
	return fmt.Sprintf("for example %q", strings.TrimSpace(number)+" "+u)
}

func ownUnit(number string, tag reflect.StructTag, want quantity.Unit) string {
	n, err := quantity.Parse(number)
	if !errors.Is(err, quantity.ErrNoUnit) {
		return ""
	}
	lo, hi := bound(tag.Get("min"), math.Inf(-1)), bound(tag.Get("max"), math.Inf(1))
	middle := math.Log(math.Abs(mid(tag)))
	best, distance := "", math.Inf(1)
	for i, p := range []string{"", "k", "m", "µ", "n", "p", "M"} {
		if i > 0 && !want.Prefixed {
			break
		}
		u, ok := quantity.LookupUnit(p + want.Symbol)
		if !ok {
			continue
		}
		v := n.SI*u.Factor + u.Offset
		if v < lo || v > hi {
			continue
		}
		if i == 0 && want.Dimension != quantity.Length || v == 0 {
			return u.Symbol // as it stands it is plausible
		}
		if d := math.Abs(math.Log(math.Abs(v)) - middle); d < distance {
			best, distance = u.Symbol, d
		}
	}
	return best
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
	shown := text // a plain number
	if tag.Get("unit") != "" {
		shown = quote(text)
	}
	if v < 0 && lo >= 0 && want.Offset == 0 {
		r.problem(o, shown+" is negative", hint)
		return false
	}
	// a slipped decimal point or prefix is the usual cause
	for _, f := range []float64{10, 1e-1, 1e-3, 1e3, 1e-6, 1e6} {
		if x := v * f; want.Offset == 0 && tag.Get("unit") != "" && want.Kind() == "" && x >= lo && x <= hi {
			hint += fmt.Sprintf("; was %q meant?", plain(x, want.Symbol))
			break
		}
	}
	r.problem(o, shown+" is not plausible", hint)
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
	if hi < 0 {
		return math.Round((lo + hi) / 2)
	}
	if lo <= 0 {
		return hi / 10
	}
	x := math.Sqrt(lo * hi)
	p := math.Pow(10, math.Floor(math.Log10(x)))
	return math.Round(x/p) * p
}

func (r *reader) interval(o Origin, tag reflect.StructTag, raw any) Range {
	x := Range{Origin: o}
	if !o.Given {
		return x
	}
	want, _ := quantity.LookupUnit(tag.Get("unit"))
	wrong := func(what, hint string) Range {
		if hint == "" {
			sample := "1 µH .. 28 µH"
			if want.Dimension == quantity.Capacitance {
				sample = "25 pF .. 250 pF"
			}
			hint = fmt.Sprintf("a range is written like %q", sample)
		}
		r.problem(o, what, hint)
		return x
	}
	text, ok := raw.(string)
	if !ok {
		switch raw.(type) {
		case int64, float64:
			return wrong(fmt.Sprintf("%s; %s needs a unit", kind(raw), want.Name()), "")
		}
		return wrong(fmt.Sprintf("%s where a range is wanted", kind(raw)), "")
	}
	v, err := quantity.ParseRange(text)
	var slip *quantity.Mistake
	var unknown *quantity.UnknownUnit
	switch {
	case errors.Is(err, quantity.ErrNoUnit):
		lo, hi, two := strings.Cut(text, "..")
		if !two {
			hi = lo
		}
		hint := ""
		if u := ownUnit(hi, tag, want); u != "" {
			hint = fmt.Sprintf("for example %q", strings.TrimSpace(hi)+" "+u)
			if two {
				hint = fmt.Sprintf("for example %q", strings.TrimSpace(lo)+" "+u+" .. "+strings.TrimSpace(hi)+" "+u)
			}
		}
		return wrong(fmt.Sprintf("%s: %s needs a unit", quote(text), want.Name()), hint)
	case errors.As(err, &slip):
		return wrong(slip.What, slipHint(slip))
	case errors.As(err, &unknown):
		return wrong(err.Error(), meant(text, unknown.Name, want))
	case err != nil:
		return wrong(err.Error(), "")
	case v.Dimension != want.Dimension:
		return wrong(fmt.Sprintf("%s is %s; wanted is %s", quote(text), v.Name(), want.Name()), "")
	}
	if r.bounded(o, tag, text, v.Low, want) && (v.High == v.Low || r.bounded(o, tag, text, v.High, want)) {
		x.Low, x.High = v.Low, v.High
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
		r.problem(o, fmt.Sprintf("%s where a plain number is wanted", kind(raw)), fmt.Sprintf("without quotes and unit, for example %s = %s", last(o.Key), exampleNumber(raw, tag, false)))
		return x
	}
	if !finite(v) {
		r.problem(o, fmt.Sprintf("%s is not a number to reckon with", strings.ToLower(fmt.Sprint(v))), "plausible is "+tag.Get("min")+" to "+tag.Get("max"))
		return x
	}
	if r.bounded(o, tag, fmt.Sprint(raw), v, quantity.Unit{}) {
		x.Value = v
	}
	return x
}

// exampleNumber is a plausible plain number, the builder's own where he wrote
// one in quotes.
func exampleNumber(raw any, tag reflect.StructTag, whole bool) string {
	if s, ok := raw.(string); ok {
		head, _, _ := strings.Cut(strings.TrimSpace(s), " ")
		lo, hi := bound(tag.Get("min"), math.Inf(-1)), bound(tag.Get("max"), math.Inf(1))
		if v, err := strconv.ParseFloat(head, 64); err == nil && v >= lo && v <= hi && (!whole || v == math.Trunc(v)) {
			return head
		}
	}
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
		r.problem(o, fmt.Sprintf("%s where a whole number is wanted", kind(raw)), fmt.Sprintf("without quotes and unit, for example %s = %s", last(o.Key), exampleNumber(raw, tag, true)))
		return c
	}
	switch {
	case o.Key == "schema" && n > 1:
		r.problem(o, fmt.Sprintf("version %d of the format is newer than this program, which knows version 1", n), "use a newer anodebook, or write the spec for schema = 1")
		return c
	case o.Key == "schema" && n < 1:
		r.problem(o, fmt.Sprintf("there is no version %d of the format", n), "schema = 1")
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
		if n, isNumber := raw.(int64); isNumber && contains(list, fmt.Sprint(n)) {
			r.problem(o, fmt.Sprintf("%d stands without quotes", n), fmt.Sprintf("%s = \"%d\"", last(o.Key), n))
			return c
		}
		r.problem(o, kind(raw)+" where a word is wanted", "in quotes, one of "+listing(list))
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
	if w := suggest(s, list); w != "" && resembles(s, w) {
		hint = fmt.Sprintf("did you mean %q? known: %s", w, strings.Join(list, ", "))
	}
	r.problem(o, quote(s)+" is not known here", hint)
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
		r.problem(o, fmt.Sprintf("%s where a list is wanted", kind(raw)), "in square brackets, each word in quotes: "+exampleLine(o.Key, tag))
		return w
	}
	if len(list) == 0 {
		r.problem(o, "the list is empty", "for example "+exampleLine(o.Key, tag))
	}
	for _, x := range list {
		s, ok := x.(string)
		if !ok {
			r.problem(o, fmt.Sprintf("%s in a list of words", kind(x)), "each word in quotes: "+exampleLine(o.Key, tag))
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
		return quote(x) + " is a text"
	case bool:
		return fmt.Sprintf("%v is a yes or no", x)
	case int64:
		return fmt.Sprintf("%d is a bare number", x)
	case float64:
		return fmt.Sprintf("%v is a bare number", x)
	case []any:
		return "a list"
	case []map[string]any:
		return "a table in double brackets"
	case map[string]any:
		return "a table"
	}
	return "a date or time"
}

// quote writes text of the builder's own for a message, shortened where it is
// beyond all reason.
func quote(s string) string {
	if r := []rune(s); len(r) > 60 {
		s = string(r[:57]) + "…"
	}
	return `"` + s + `"`
}

// quotedValue is a value put in quotes.
func quotedValue(raw any) string {
	switch x := raw.(type) {
	case int64, float64, bool:
		return fmt.Sprintf("\"%v\"", x)
	case time.Time:
		return `"` + strings.TrimSuffix(x.Format("2006-01-02 15:04"), " 00:00") + `"`
	}
	return `"…"`
}

func contains(list []string, s string) bool {
	for _, w := range list {
		if w == s {
			return true
		}
	}
	return false
}
