package spec

import (
	"reflect"
	"strings"
	"testing"

	"anodebook/spec/quantity"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// field is one key of the format.
type field struct {
	key  string
	kind string // name of the Go type
	tag  reflect.StructTag
}

// fields lists every key of the format, depth first; a map stands for the key
// with * in place of the name.
func fields(s *Spec) []field {
	var out []field
	var walk func(t reflect.Type, tag reflect.StructTag, path string)
	walk = func(t reflect.Type, tag reflect.StructTag, path string) {
		switch {
		case t.Kind() == reflect.Map:
			walk(t.Elem(), tag, path+".*")
		case t.Kind() == reflect.Struct && t.NumField() > 0 && t.Field(0).Type == reflect.TypeOf(Origin{}):
			out = append(out, field{path, t.Name(), tag})
		case t.Kind() == reflect.Struct:
			for i := range t.NumField() {
				f := t.Field(i)
				if key := f.Tag.Get("key"); key != "" {
					walk(f.Type, f.Tag, join(path, key))
				}
			}
		default:
			out = append(out, field{path, "?" + t.String(), tag})
		}
	}
	walk(reflect.TypeOf(*s), "", "")
	return out
}

func TestTags(t *testing.T) {
	all := fields(&Spec{})
	require.Greater(t, len(all), 100)
	seen := map[string]bool{}
	for _, f := range all {
		t.Run(f.key, func(t *testing.T) {
			assert.False(t, seen[f.key], "twice")
			seen[f.key] = true
			for _, part := range strings.Split(f.key, ".") {
				if part != "*" {
					assert.Regexp(t, `^[a-z][a-z0-9_]*$`, part)
				}
			}
			assert.NotEmpty(t, f.tag.Get("doc"), "doc")
			def, hasDefault := f.tag.Lookup("default")
			if hasDefault {
				assert.NotEmpty(t, f.tag.Get("why"), "a default needs a reason")
				_, required := f.tag.Lookup("required")
				assert.False(t, required, "required and default")
			} else {
				assert.Empty(t, f.tag.Get("why"), "why without a default")
			}
			lo, hi := f.tag.Get("min"), f.tag.Get("max")
			switch f.kind {
			case "Quantity", "Range", "Quantities":
				want, ok := quantity.LookupUnit(f.tag.Get("unit"))
				require.True(t, ok, "unit")
				parse := func(s string) float64 {
					v, err := quantity.Parse(s)
					require.NoError(t, err, s)
					u, _ := quantity.LookupUnit(v.Unit)
					assert.Equal(t, want.Dimension, v.Dimension, s)
					assert.Equal(t, want.Kind(), u.Kind(), s)
					return v.SI
				}
				require.Less(t, parse(lo), parse(hi))
				assert.NotEmpty(t, f.tag.Get("because"), "bounds need a reason")
				if hasDefault {
					assert.GreaterOrEqual(t, parse(def), parse(lo))
					assert.LessOrEqual(t, parse(def), parse(hi))
					require.Equal(t, "Quantity", f.kind, "no other kind takes its default")
				}
				// the example in a message is itself acceptable
				ex := parse(example(f.tag, want))
				assert.GreaterOrEqual(t, ex, parse(lo))
				assert.LessOrEqual(t, ex, parse(hi))
			case "Ratio", "Count":
				assert.Empty(t, f.tag.Get("unit"))
				l, h := bound(lo, 1), bound(hi, 0)
				if f.key != "schema" {
					require.Less(t, l, h, "bounds")
				}
				if hasDefault {
					assert.GreaterOrEqual(t, bound(def, l-1), l)
					assert.LessOrEqual(t, bound(def, h+1), h)
				}
			case "Choice", "Words":
				one := f.tag.Get("oneof")
				require.NotEmpty(t, one)
				r := &reader{names: testNames}
				words := r.words(one)
				require.NotEmpty(t, words)
				if hasDefault {
					assert.Contains(t, words, def)
				}
				if f.key == "target.bands" {
					assert.Equal(t, BandNames, words)
				}
			case "Text", "Attachment", "Flag":
				assert.False(t, hasDefault)
			default:
				t.Fatalf("a field of kind %s is never read", f.kind)
			}
		})
	}
}

// Every field of every struct but the bookkeeping has a key.
func TestEveryFieldHasAKey(t *testing.T) {
	var walk func(reflect.Type)
	walk = func(rt reflect.Type) {
		for i := range rt.NumField() {
			f := rt.Field(i)
			if rt == reflect.TypeOf(Spec{}) && (f.Name == "File" || f.Name == "Assumptions") {
				continue
			}
			assert.NotEmpty(t, f.Tag.Get("key"), "%s.%s", rt.Name(), f.Name)
			ft := f.Type
			if ft.Kind() == reflect.Map {
				ft = ft.Elem()
			}
			if ft.Kind() == reflect.Struct && ft.Field(0).Type != reflect.TypeOf(Origin{}) {
				walk(ft)
			}
		}
	}
	walk(reflect.TypeOf(Spec{}))
}
