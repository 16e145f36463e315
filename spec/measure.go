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
			return wrong(fmt.Sprintf("%s; %s needs a unit", kind(raw), want.Name()), own(bare(raw), tag, want))
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
		return wrong(fmt.Sprintf("%s does not say over what the antenna gains", quote(text)),
			fmt.Sprintf("%s over an isotropic radiator, or %s over a half-wave dipole", put(text, v.Unit, "dBi"),
				put(text, v.Unit, "dBd")))
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
