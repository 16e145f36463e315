// Package spectest makes random specs for tests: legal ones, each key at the
// ends of its bounds or anywhere between. It follows the tags of the format, so
// that a new key is in it by itself. It also knows what must not stand in a
// sentence that a builder reads.
package spectest

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/BurntSushi/toml"

	"anodebook/spec"
	"anodebook/spec/quantity"
)

// Key is one key that may be written, with the tags that say what may stand
// there.
type Key struct {
	Path string
	Type reflect.Type
	Tag  reflect.StructTag
}

// outside are tables that name files or designators, which a spec alone cannot
// have right.
var outside = []string{"measured", "photo", "prices", "schema"}

// Keys lists the keys of the format, tables with names of the builder's own
// once for each of these names.
func Keys() []Key {
	var out []Key
	var walk func(t reflect.Type, tag reflect.StructTag, path string)
	walk = func(t reflect.Type, tag reflect.StructTag, path string) {
		if slices.Contains(outside, path) {
			return
		}
		switch {
		case t.Kind() == reflect.Map:
			for _, name := range names(path) {
				walk(t.Elem(), tag, path+"."+name)
			}
		case t.NumField() > 0 && t.Field(0).Type == reflect.TypeFor[spec.Origin]():
			out = append(out, Key{path, t, tag})
		default:
			for i := range t.NumField() {
				if f := t.Field(i); f.Tag.Get("key") != "" {
					walk(f.Type, f.Tag, strings.TrimPrefix(path+"."+f.Tag.Get("key"), "."))
				}
			}
		}
	}
	walk(reflect.TypeFor[spec.Spec](), "", "")
	return out
}

// names are those given to the tables of a map.
func names(path string) []string {
	switch path {
	case "tank.band", "input.band":
		return spec.BandNames
	case "tubes.custom.column":
		return []string{"idle", "full", "other"}
	case "note":
		return []string{"tubes", "supply"}
	}
	return []string{"one", "two"}
}

// texts are what may stand for a text of this key.
func texts(path string) []string {
	switch path[strings.LastIndexByte(path, '.')+1:] {
	case "name":
		return []string{"surplus triode"}
	case "currency":
		return []string{"EUR"}
	case "of":
		return []string{"supply.idle_voltage", "tubes.plate_current", "tubes.grid_current", "supply.stored_energy",
			"tubes.idle_current", "antenna.output_power"}
	case "value":
		return []string{"3010 V", "500 mA", "0 A", "12 J", "1500 W"}
	case "sweep":
		return []string{"tank.loaded_q = 8 .. 16"}
	case "second_sweep":
		return []string{"tank.coil_q = 150 .. 400"}
	case "watch":
		return []string{"tubes.plate_current"}
	}
	return []string{"in the builder's own words"}
}

// Value is a random value for the key, as TOML has it: one time in two one of
// the ends of its bounds.
func (k Key) Value(r *rand.Rand, known spec.Names) any {
	bound := func(key string, none float64) float64 {
		text := k.Tag.Get(key)
		if text == "" {
			return none
		}
		v, err := quantity.Parse(text)
		if err != nil && !errors.Is(err, quantity.ErrNoUnit) {
			panic(k.Path + ": " + err.Error())
		}
		return v.SI
	}
	low, high := bound("min", 0), bound("max", 1000)
	number := func() float64 {
		switch r.IntN(4) {
		case 0:
			return low
		case 1:
			return high
		}
		if low > 0 {
			return low * math.Pow(high/low, r.Float64())
		}
		return low + (high-low)*r.Float64()
	}
	measure := func() string {
		v, unit := number(), k.Tag.Get("unit")
		if u, ok := quantity.LookupUnit(unit); ok {
			unit = u.Symbol
		}
		switch v {
		case low:
			return k.Tag.Get("min")
		case high:
			return k.Tag.Get("max")
		}
		return quantity.Format(v, unit, 6)
	}
	words := strings.Fields(k.Tag.Get("oneof"))
	switch k.Tag.Get("oneof") {
	case "@tubes":
		words = known.Tubes
	case "@rules":
		words = known.Rules
	case "@bands":
		words = spec.BandNames
	}
	switch k.Type {
	case reflect.TypeFor[spec.Quantity]():
		return measure()
	case reflect.TypeFor[spec.Quantities]():
		list := []any{}
		for range 1 + r.IntN(6) {
			list = append(list, measure())
		}
		return list
	case reflect.TypeFor[spec.Range]():
		a, b := measure(), measure()
		x, _ := quantity.Parse(a)
		y, _ := quantity.Parse(b)
		if x.SI > y.SI {
			a, b = b, a
		}
		return a + " .. " + b
	case reflect.TypeFor[spec.Ratio]():
		v, _ := strconv.ParseFloat(strconv.FormatFloat(number(), 'g', 4, 64), 64)
		return math.Max(low, math.Min(high, v))
	case reflect.TypeFor[spec.Count]():
		return int64(math.Round(number()))
	case reflect.TypeFor[spec.Flag]():
		return r.IntN(2) == 0
	case reflect.TypeFor[spec.Choice]():
		return words[r.IntN(len(words))]
	case reflect.TypeFor[spec.Words]():
		list := []any{}
		for _, w := range words {
			if r.IntN(3) == 0 {
				list = append(list, w)
			}
		}
		if len(list) == 0 {
			list = append(list, words[r.IntN(len(words))])
		}
		return list
	case reflect.TypeFor[spec.Text]():
		list := texts(k.Path)
		return list[r.IntN(len(list))]
	}
	panic("spectest: " + k.Path + " holds a " + k.Type.String() + ", which it does not know")
}

// Extreme writes a legal spec and reads it. Base is the text of a legal spec to
// begin with; of the keys of the format about the given share is written, in
// place of what the base says. Keys that contradict each other are dropped,
// keys that are missing are added, until the spec is legal. Nil where that does
// not succeed.
func Extreme(r *rand.Rand, base string, share float64, known spec.Names) (text string, s *spec.Spec) {
	tree := map[string]any{}
	if _, err := toml.Decode(base, &tree); err != nil {
		panic(err)
	}
	keys := Keys()
	byPath := map[string]Key{}
	for _, k := range keys {
		byPath[k.Path] = k
	}
	for _, k := range keys {
		p := share
		if n := strings.Count(k.Path, "."); n > 2 || strings.HasPrefix(k.Path, "tubes.custom") ||
			strings.HasPrefix(k.Path, "input.band") || strings.HasPrefix(k.Path, "tank.band") {
			p /= 4 // ten bands must not drown the rest
		}
		if strings.HasSuffix(k.Path, ".fitted") {
			p /= 2
		}
		if r.Float64() < p {
			set(tree, k.Path, k.Value(r, known))
		}
	}
	for range 100 {
		text = write(tree)
		s, err := spec.Read("extreme.toml", []byte(text), known)
		if err == nil {
			return text, s
		}
		var problems spec.Problems
		if !errors.As(err, &problems) {
			panic(err)
		}
		for _, p := range problems {
			path := p.Key
			if k, ok := byPath[path]; ok && strings.HasPrefix(p.What, "missing") {
				set(tree, path, k.Value(r, known))
				continue
			}
			drop(tree, path)
		}
	}
	return text, nil
}

// set writes a key; a plain value in the way becomes a table.
func set(tree map[string]any, path string, value any) {
	parts := strings.Split(path, ".")
	for _, p := range parts[:len(parts)-1] {
		sub, ok := tree[p].(map[string]any)
		if !ok {
			sub = map[string]any{}
			tree[p] = sub
		}
		tree = sub
	}
	tree[parts[len(parts)-1]] = value
}

// drop takes a key or a table out, or what is above it where it is not there.
func drop(tree map[string]any, path string) {
	parts := strings.Split(path, ".")
	for i, p := range parts {
		sub, ok := tree[p].(map[string]any)
		if i == len(parts)-1 || !ok {
			delete(tree, p)
			return
		}
		tree = sub
	}
}

// write is the tree as TOML.
func write(tree map[string]any) string {
	var b bytes.Buffer
	if err := toml.NewEncoder(&b).Encode(tree); err != nil {
		panic(err)
	}
	return b.String()
}

// flaws are what no sentence may have. Where may says no, form does not match:
// the tests look at millions of sentences.
var flaws = []struct {
	what string
	may  func(sentence string) bool
	form *regexp.Regexp
}{
	{"an exponent", digitBefore("eE"), regexp.MustCompile(`\d[eE][+-]?\d`)},
	{"minus nothing", holds("-0", "−0"), regexp.MustCompile(`(^|[\s(±])[-−]0(\.0+)?($|[^\d.])`)},
	{"no number", holds("NaN", "Inf", "%!", "<nil>"), regexp.MustCompile(`\bNaN\b|\bInf\b|%!|<nil>`)},
	{"a dash for a number", holds("— "), regexp.MustCompile(`(^|[\s(])— (k|M|m|µ|n|p)?(V|A|W|VA|Ω|F|H|Hz|s|J|K|Pa|°C)\b`)},
	{"one of several", holds("1 "),
		regexp.MustCompile(`(^|[^\d.,/])1 (times|hours|minutes|seconds|days|builds|legs|pieces|turns|wires|resistors|capacitors|diodes|bleeders)\b`)},
	{"a count twice", func(s string) bool { return strings.Count(s, " ×") > 1 }, regexp.MustCompile(`\d+ × \d+ ×`)},
	{"a number beyond reason", digitBefore("0123456789"), regexp.MustCompile(`(^|[^\d.])\d{9,}`)},
}

// holds says whether one of the parts stands in a sentence.
func holds(parts ...string) func(string) bool {
	return func(s string) bool {
		return slices.ContainsFunc(parts, func(p string) bool { return strings.Contains(s, p) })
	}
}

// digitBefore says whether a digit stands before one of the bytes.
func digitBefore(set string) func(string) bool {
	return func(s string) bool {
		for i := 1; i < len(s); i++ {
			if d := s[i-1]; d >= '0' && d <= '9' && strings.IndexByte(set, s[i]) >= 0 {
				return true
			}
		}
		return false
	}
}

// quoted is the builder's own text in a message.
var quoted = regexp.MustCompile(`"[^"]*"|“[^”]*”`)

// Flaw says what is wrong with the numbers of a sentence, or "".
func Flaw(sentence string) string {
	bare := sentence
	if strings.ContainsAny(sentence, "\"“") {
		bare = quoted.ReplaceAllString(sentence, "…")
	}
	for _, f := range flaws {
		if !f.may(bare) {
			continue
		}
		if m := f.form.FindString(bare); m != "" {
			return fmt.Sprintf("%s, %q, in: %s", f.what, strings.TrimSpace(m), sentence)
		}
	}
	return ""
}
