package spec

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"anodebook/spec/quantity"
)

// Numeric is a key that holds one number: a quantity, a ratio or a count.
type Numeric struct {
	Key   string
	Value float64 // in SI base units; 0 where not Known
	Known bool    // written or assumed
	Given bool    // written
	Unit  string  // base unit; empty for a plain number
	Whole bool    // a count
}

// SettingError says why a key cannot take a value.
type SettingError struct {
	Key  string
	What string // lower case, no full stop
	Hint string // what to write instead; may be empty
}

// Error writes the error without its hint.
func (e *SettingError) Error() string { return e.Key + ": " + e.What }

// Clone copies the spec, so that Set leaves the original as it is.
func (s *Spec) Clone() *Spec {
	c := *s
	c.Assumptions = slices.Clone(s.Assumptions)
	return &c // Set copies the maps that it writes to
}

// Numeric tells what a key holds, named by its dotted path, such as
// tank.loaded_q or tank.band.10m.coil_q. The error is a *SettingError.
func (s *Spec) Numeric(key string) (Numeric, error) {
	n := Numeric{Key: key}
	err := s.visit(key, false, func(v reflect.Value, tag reflect.StructTag, o Origin) error {
		switch p := v.Addr().Interface().(type) {
		case *Quantity:
			u, _ := quantity.LookupUnit(tag.Get("unit"))
			n.Value, n.Known, n.Unit = p.SI, p.Known(), u.Symbol
		case *Ratio:
			n.Value, n.Known = p.Value, p.Given || p.Assumed
		case *Count:
			n.Value, n.Known, n.Whole = float64(p.N), p.Given || p.Assumed, true
		}
		n.Given = v.Field(0).Interface().(Origin).Given
		return nil
	})
	return n, err
}

// Set writes a value [SI] to a numeric key, as if it stood in the file: the
// same bounds hold, the key is no longer assumed, and a key that says the same
// in other words must not be written. The error is a *SettingError. What needs
// more than this key and its rivals is not looked at again.
func (s *Spec) Set(key string, value float64) error {
	return s.visit(key, true, func(v reflect.Value, tag reflect.StructTag, o Origin) error {
		want, _ := quantity.LookupUnit(tag.Get("unit"))
		if !finite(value) {
			return &SettingError{key, fmt.Sprint(value) + " is not a number to reckon with", ""}
		}
		if _, whole := v.Addr().Interface().(*Count); whole && value != math.Round(value) {
			return &SettingError{key, fmt.Sprintf("%s where a whole number is wanted", quantity.Short(value, 6)), ""}
		}
		if r := (&reader{spec: s}); !r.bounded(o, tag, "", value, want) {
			text := quantity.Short(value, 6)
			if want.Symbol != "" {
				text = plain(value, want.Symbol)
			}
			r.problems = nil
			r.bounded(o, tag, text, value, want)
			return &SettingError{key, r.problems[0].What, r.problems[0].Hint}
		}
		if table := s.unfitted(key); table != "" {
			return &SettingError{key, "fitted = false says that this part is not there", "take fitted = false out of [" + table + "]"}
		}
		if err := s.rivals(key); err != nil {
			return err
		}
		o.Given = true
		switch p := v.Addr().Interface().(type) {
		case *Quantity:
			*p = Quantity{Origin: o, SI: value}
		case *Ratio:
			*p = Ratio{Origin: o, Value: value}
		case *Count:
			*p = Count{Origin: o, N: int(value)}
		}
		s.forget(key)
		return nil
	})
}

// unfitted is the table of the part that a key belongs to and that is not
// there, or "".
func (s *Spec) unfitted(key string) string {
	v, path := reflect.ValueOf(s).Elem(), ""
	for _, part := range strings.Split(key, ".") {
		if v.Kind() != reflect.Struct {
			return ""
		}
		next := reflect.Value{}
		for i := range v.NumField() {
			switch f, x := v.Type().Field(i).Tag.Get("key"), v.Field(i).Interface(); {
			case f == "fitted":
				if flag, ok := x.(Flag); ok && flag.Denied() {
					return path
				}
			case f == part:
				next = v.Field(i)
			}
		}
		if !next.IsValid() {
			return ""
		}
		v, path = next, join(path, part)
	}
	return ""
}

// rivals says whether another key is written that says the same.
func (s *Spec) rivals(key string) error {
	table := strings.TrimSuffix(key, "."+last(key))
	groups := exclusive[table]
	if table == "target" {
		groups = [][]string{{"output", "plate_current", "drive"}}
	}
	for _, group := range groups {
		if !contains(group, last(key)) {
			continue
		}
		for _, other := range group {
			full := join(table, other)
			if other == last(key) {
				continue
			}
			if n, err := s.Numeric(full); err == nil && n.Given {
				return &SettingError{key, full + " is written too, and it says the same in other words", "vary " + full +
					", or delete it from the spec"}
			}
		}
	}
	return nil
}

// errNoKey says that a path leads nowhere.
var errNoKey = errors.New("no such key")

// visit finds a numeric key and hands it over; with write the maps on the way
// are copied first.
func (s *Spec) visit(key string, write bool, do func(v reflect.Value, tag reflect.StructTag, o Origin) error) error {
	err := s.descend(reflect.ValueOf(s).Elem(), "", strings.Split(key, "."), "", write, do)
	switch {
	case err == errNoKey || key == "schema":
		e := &SettingError{Key: key, What: "no such key"}
		if near := suggest(key, s.numericKeys()); near != "" {
			e.Hint = fmt.Sprintf("did you mean %s?", near)
		} else {
			e.Hint = "a key by its dotted path, such as tank.loaded_q or supply.mains.voltage"
		}
		return e
	case err == nil && strings.HasPrefix(key, "tubes.custom.") && s.Tubes.Type.Value != CustomType:
		return &SettingError{key, fmt.Sprintf("nothing reads this key: tubes.type is %q", s.Tubes.Type.Value), ""}
	}
	return err
}

func (s *Spec) descend(v reflect.Value, tag reflect.StructTag, parts []string, path string, write bool,
	do func(reflect.Value, reflect.StructTag, Origin) error) error {
	switch {
	case v.Kind() == reflect.Map:
		if len(parts) == 0 {
			return errNoKey
		}
		name, full := parts[0], join(path, parts[0])
		e := reflect.New(v.Type().Elem()).Elem()
		have := v.MapIndex(reflect.ValueOf(name))
		switch {
		case have.IsValid():
			e.Set(have)
		case tag.Get("oneof") == "@bands" && contains(s.Target.Bands.Values, name):
			(&reader{spec: s}).field(e, tag, map[string]any{}, true, full) // as if the table stood there, empty
		default:
			return errNoKey
		}
		if err := s.descend(e, tag, parts[1:], full, write, do); err != nil || !write {
			return err
		}
		m := reflect.MakeMap(v.Type())
		for it := v.MapRange(); it.Next(); {
			m.SetMapIndex(it.Key(), it.Value())
		}
		m.SetMapIndex(reflect.ValueOf(name), e)
		v.Set(m)
		return nil
	case v.Kind() != reflect.Struct:
		return errNoKey
	case v.NumField() > 0 && v.Type().Field(0).Type == reflect.TypeFor[Origin]():
		if len(parts) > 0 {
			return errNoKey
		}
		switch v.Addr().Interface().(type) {
		case *Quantity, *Ratio, *Count:
			o := v.Field(0).Interface().(Origin)
			o.Key = path
			return do(v, tag, o)
		case *Range, *Quantities:
			return &SettingError{path, "holds more than one number", "only a key with one number can be varied"}
		}
		return &SettingError{path, "is not a number", "only a key with one number can be varied"}
	}
	if plain := tag.Get("plain"); plain != "" && len(parts) == 0 {
		parts = []string{plain}
	}
	if len(parts) == 0 {
		return &SettingError{path, "is a table", "a key of that table, by its dotted path"}
	}
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if f.Tag.Get("key") == parts[0] {
			return s.descend(v.Field(i), f.Tag, parts[1:], join(path, parts[0]), write, do)
		}
	}
	return errNoKey
}

// numericKeys lists the keys that Set can write to: those of the format, with
// the bands and names of this spec.
func (s *Spec) numericKeys() []string {
	var out []string
	var walk func(v reflect.Value, tag reflect.StructTag, path string)
	walk = func(v reflect.Value, tag reflect.StructTag, path string) {
		switch {
		case v.Kind() == reflect.Map:
			names := []string{}
			for _, k := range v.MapKeys() {
				names = append(names, k.String())
			}
			slices.Sort(names)
			if tag.Get("oneof") == "@bands" {
				names = s.Target.Bands.Values
			}
			for _, n := range names {
				walk(reflect.New(v.Type().Elem()).Elem(), tag, join(path, n))
			}
		case v.Kind() == reflect.Struct && v.NumField() > 0 && v.Type().Field(0).Type == reflect.TypeFor[Origin]():
			switch v.Interface().(type) {
			case Quantity, Ratio, Count:
				out = append(out, path)
			}
		case v.Kind() == reflect.Struct:
			for i := range v.NumField() {
				if f := v.Type().Field(i); f.Tag.Get("key") != "" {
					walk(v.Field(i), f.Tag, join(path, f.Tag.Get("key")))
				}
			}
		}
	}
	walk(reflect.ValueOf(s).Elem(), "", "")
	return out
}

// Sweep is a numeric key and the interval through which it goes.
type Sweep struct {
	Numeric
	Low, High float64 // [SI]; both plausible values of the key
}

// ParseSweep reads a sweep, "tank.loaded_q = 8 .. 16" or
// "supply.plate_voltage=2500V..3000V". The error is a *SettingError.
func (s *Spec) ParseSweep(text string) (Sweep, error) {
	key, interval, ok := strings.Cut(text, "=")
	key, interval = strings.TrimSpace(key), strings.TrimSpace(interval)
	if !ok {
		return Sweep{}, &SettingError{key, "no interval to sweep", "KEY = LOW .. HIGH, such as tank.loaded_q = 8 .. 16"}
	}
	n, err := s.Numeric(key)
	if err != nil {
		return Sweep{}, err
	}
	w := Sweep{Numeric: n}
	v, err := quantity.ParseRange(interval)
	want, _ := quantity.LookupUnit(n.Unit)
	plainNumber := errors.Is(err, quantity.ErrNoUnit) && n.Unit == ""
	switch {
	case plainNumber:
		lo, hi, two := strings.Cut(interval, "..")
		a, errA := quantity.Parse(strings.TrimSpace(lo))
		b, errB := quantity.Parse(strings.TrimSpace(hi))
		if !two || !errors.Is(errA, quantity.ErrNoUnit) || !errors.Is(errB, quantity.ErrNoUnit) {
			return w, &SettingError{key, quote(interval) + " is not an interval", "such as 8 .. 16"}
		}
		w.Low, w.High = a.SI, b.SI
	case errors.Is(err, quantity.ErrNoUnit):
		return w, &SettingError{key, fmt.Sprintf("%s: %s needs a unit", quote(interval), want.Name()), "such as " + want.Example() +
			" .. " + want.Example()}
	case err != nil:
		return w, &SettingError{key, err.Error(), "KEY = LOW .. HIGH, such as tank.loaded_q = 8 .. 16"}
	case n.Unit == "":
		return w, &SettingError{key, quote(interval) + " has a unit; a plain number is wanted", "such as 8 .. 16"}
	default:
		if v.Dimension != want.Dimension {
			return w, &SettingError{key, fmt.Sprintf("%s is %s; wanted is %s", quote(interval), v.Name(), want.Name()), ""}
		}
		w.Low, w.High = v.Low, v.High
	}
	if w.Low >= w.High {
		return w, &SettingError{key, quote(interval) + " does not rise", "the lower end first: LOW .. HIGH"}
	}
	trial := s.Clone()
	for _, x := range []float64{w.Low, w.High} {
		if err := trial.Set(key, x); err != nil {
			return w, err
		}
	}
	return w, nil
}
