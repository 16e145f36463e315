package compute

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"

	"anodebook/compute/ledger"
	"anodebook/spec"
)

// flags are the keys "fitted" of the whole format, found by reflection.
func flags(t reflect.Type, path string) (list []string) {
	if t.Kind() == reflect.Map {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct {
		return nil
	}
	for i := range t.NumField() {
		f := t.Field(i)
		key := f.Tag.Get("key")
		switch {
		case f.Type == reflect.TypeFor[spec.Flag]() && key == "fitted":
			list = append(list, path)
		case key != "":
			full := key
			if path != "" {
				full = path + "." + key
			}
			list = append(list, flags(f.Type, full)...)
		}
	}
	return list
}

// Whatever part the format can deny has a row here, and that row takes its own
// parts off the list and no other.
func TestEveryDeniablePartLeavesTheList(t *testing.T) {
	var keys []string
	for _, f := range fittings {
		keys = append(keys, f.key)
		b := ledger.NewBook()
		for _, p := range append([]string{"C1"}, f.parts...) {
			b.Part(ledger.Part{Designator: p})
		}
		s := &spec.Spec{}
		leaveOut(s, b)
		assert.Len(t, b.Parts, 1+len(f.parts), "%s: not written is no denial", f.key)
		deny(s, f.key)
		assert.True(t, f.flag(s).Denied(), f.key)
		leaveOut(s, b)
		assert.Len(t, b.Parts, 1, f.key)
	}
	assert.ElementsMatch(t, flags(reflect.TypeFor[spec.Spec](), ""), keys)
}

// deny writes fitted = false into the table that a dotted key names.
func deny(s *spec.Spec, key string) {
	v := reflect.ValueOf(s).Elem()
	for key != "" {
		for i := range v.NumField() {
			k := v.Type().Field(i).Tag.Get("key")
			if k != "" && (key == k || len(key) > len(k) && key[:len(k)+1] == k+".") {
				v, key = v.Field(i), key[min(len(key), len(k)+1):]
				break
			}
		}
	}
	v.FieldByName("Fitted").Set(reflect.ValueOf(spec.Flag{Origin: spec.Origin{Given: true}}))
}
