package spec

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"anodebook/spec/quantity"
)

// Key is one key of the format, as its tags describe it.
type Key struct {
	Table    string // dotted path of its table; empty for a key outside all tables
	Name     string // the key itself
	Doc      string // what it means
	Bounds   string // "20 W to 5 kW", "one of: pi, pi-L", or empty
	Default  string // what is assumed where it is absent, as TOML; empty: nothing is
	Why      string // reason of the default
	Example  string // a value that may be written, as TOML
	Required bool   // must be written in its table
	Named    bool   // the table, or the key, has a name of the builder's own; a plausible one stands here
}

// Keys lists every key of the format in its order.
func Keys(names Names) []Key {
	r := &reader{names: names}
	var out []Key
	var walk func(t reflect.Type, tag reflect.StructTag, table, name string, named bool)
	walk = func(t reflect.Type, tag reflect.StructTag, table, name string, named bool) {
		switch {
		case t.Kind() == reflect.Map:
			walk(t.Elem(), tag, join(table, name), sampleName(join(table, name)), true)
		case t.NumField() > 0 && t.Field(0).Type == reflect.TypeFor[Origin]():
			_, required := tag.Lookup("required")
			k := Key{Table: table, Name: name, Doc: tag.Get("doc"), Why: tag.Get("why"), Required: required, Named: named}
			k.Bounds, k.Example = r.sample(t, tag, join(table, name))
			if _, ok := tag.Lookup("default"); ok {
				k.Default = k.Example
			}
			out = append(out, k)
		default:
			for i := range t.NumField() {
				f := t.Field(i)
				if key := f.Tag.Get("key"); key != "" {
					walk(f.Type, f.Tag, join(table, name), key, named)
				}
			}
		}
	}
	walk(reflect.TypeFor[Spec](), "", "", "", false)
	return out
}

// sampleName is a name that a builder may give to a table or a key of this
// table.
func sampleName(table string) string {
	switch table {
	case "tank.band", "input.band":
		return "10m"
	case "prices":
		return "C1"
	case "reading":
		return "idle_voltage"
	case "survey":
		return "plate_transformer"
	case "measured":
		return "tank_80m"
	case "study":
		return "loaded_q"
	case "note":
		return "tubes"
	case "photo":
		return "rf_deck"
	}
	return "a"
}

// sample tells what may be written, and writes an example: the default if
// there is one.
func (r *reader) sample(t reflect.Type, tag reflect.StructTag, path string) (bounds, value string) {
	def := tag.Get("default")
	unit, measured := quantity.LookupUnit(tag.Get("unit"))
	if lo, hi := tag.Get("min"), tag.Get("max"); lo != "" && lo != hi {
		bounds = lo + " to " + hi
	}
	one := func() string {
		if def != "" {
			return def
		}
		return example(tag, unit)
	}
	switch t {
	case reflect.TypeFor[Quantity]():
		return bounds, strconv.Quote(one())
	case reflect.TypeFor[Quantities](), reflect.TypeFor[Range]():
		m := mid(tag)
		low, high := plain(math.Max(m/2, bound(tag.Get("min"), 0)), unit.Symbol), plain(math.Min(2*m, bound(tag.Get("max"), 2*m)),
			unit.Symbol)
		if t == reflect.TypeFor[Quantities]() {
			return bounds, fmt.Sprintf("[%q, %q]", low, high)
		}
		return bounds, strconv.Quote(low + " .. " + high)
	case reflect.TypeFor[Ratio](), reflect.TypeFor[Count]():
		switch {
		case def != "":
		case strings.HasPrefix(path, "prices.") || strings.HasSuffix(path, ".cost"):
			def = "25"
		default:
			def = exampleNumber(nil, tag, t == reflect.TypeFor[Count]())
		}
		if t == reflect.TypeFor[Count]() && !measured {
			if v, err := strconv.ParseFloat(def, 64); err == nil {
				def = strconv.Itoa(int(math.Round(v)))
			}
		}
		return bounds, def
	case reflect.TypeFor[Flag]():
		return "true or false", "false"
	case reflect.TypeFor[Choice](), reflect.TypeFor[Words]():
		words := r.words(tag.Get("oneof"))
		if def == "" {
			def = words[0]
		}
		if def == "160m" {
			def = "80m" // far more common
		}
		bounds = "one of: " + strings.Join(words, ", ")
		if t == reflect.TypeFor[Words]() {
			return strings.Replace(bounds, "one of", "any of", 1), fmt.Sprintf("[%q]", def)
		}
		return bounds, strconv.Quote(def)
	}
	switch path {
	case "notebook.currency":
		return "", `"EUR"`
	case "reading.idle_voltage.of":
		return "", `"supply.idle_voltage"`
	case "study.loaded_q.sweep":
		return "", `"tank.loaded_q = 8 .. 16"`
	case "study.loaded_q.second_sweep":
		return "", `"tank.coil_q = 150 .. 400"`
	case "study.loaded_q.watch":
		return "", `"tubes.plate_current, tubes.plate_dissipation_each"`
	case "reading.idle_voltage.value":
		return "", `"3010 V"`
	}
	if t == reflect.TypeFor[Attachment]() {
		if strings.HasPrefix(path, "photo.") {
			return "", `"photos/rf-deck.jpg"`
		}
		return "", `"measured/tank-80m.s1p"`
	}
	return "", `"in your own words"`
}
