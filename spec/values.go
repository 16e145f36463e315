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
		r.problem(o, fmt.Sprintf("%s where a plain number is wanted", kind(raw)),
			fmt.Sprintf("without quotes and unit, for example %s = %s", last(o.Key), exampleNumber(raw, tag, false)))
		return x
	}
	if !finite(v) {
		r.problem(o, bare(v)+" is not a number to reckon with", "plausible is "+tag.Get("min")+" to "+tag.Get("max"))
		return x
	}
	if r.bounded(o, tag, bare(raw), v, quantity.Unit{}) {
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
	if whole {
		return strconv.Itoa(int(math.Round(mid(tag))))
	}
	return quantity.Short(mid(tag), 2)
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
		r.problem(o, fmt.Sprintf("%s where a whole number is wanted", kind(raw)),
			fmt.Sprintf("without quotes and unit, for example %s = %s", last(o.Key), exampleNumber(raw, tag, true)))
		return c
	}
	switch {
	case o.Key == "schema" && n > 1:
		r.problem(o, fmt.Sprintf("version %d of the format is newer than this program, which knows version 1", n),
			"use a newer anodebook, or write the spec for schema = 1")
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
			c.Value = d
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
		r.problem(o, fmt.Sprintf("%s where a list is wanted", kind(raw)),
			"in square brackets, each word in quotes: "+exampleLine(o.Key, tag))
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
		return bare(x) + " is a bare number"
	case []any:
		return "a list"
	case []map[string]any:
		return "a table in double brackets"
	case map[string]any:
		return "a table"
	}
	return "a date or time"
}

// bare writes a plain number of a spec as a builder would.
func bare(raw any) string {
	if x, ok := raw.(float64); ok {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return strings.ToLower(fmt.Sprint(x))
		}
		return quantity.Short(x, 15)
	}
	return fmt.Sprint(raw)
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
	case float64:
		return `"` + bare(x) + `"`
	case int64, bool:
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
