package spec

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/quantity"
)

// compiled is the schema of the format, checked against the standard's own
// schema of schemas.
func compiled(t testing.TB, names Names) *jsonschema.Schema {
	text, err := Schema(names)
	require.NoError(t, err)
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(string(text)))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	require.NoError(t, c.AddResource("spec.json", doc))
	s, err := c.Compile("spec.json")
	require.NoError(t, err)
	return s
}

// asJSON turns TOML into what a schema is held against.
func asJSON(src []byte) (any, error) {
	tree := map[string]any{}
	if _, err := toml.Decode(strings.TrimPrefix(string(src), "\ufeff"), &tree); err != nil {
		return nil, err
	}
	text, err := json.Marshal(tree)
	if err != nil {
		return nil, err
	}
	return jsonschema.UnmarshalJSON(strings.NewReader(string(text)))
}

// schemaNames are words enough for the examples.
var schemaNames = Names{Tubes: testNames.Tubes, Rules: testNames.Rules}

func TestSchemaPassesEveryGoodSpec(t *testing.T) {
	s := compiled(t, schemaNames)
	files, err := filepath.Glob("../examples/*.toml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, path := range append(files, "../templates/starter.toml") {
		src, err := os.ReadFile(path)
		require.NoError(t, err)
		_, err = Read(path, src, schemaNames)
		require.NoError(t, err)
		v, err := asJSON(src)
		require.NoError(t, err)
		assert.NoError(t, s.Validate(v), path)
	}
}

const (
	inText  = "the number stands in a text, and a schema compares no numbers in texts"
	twoKeys = "two values must fit each other, and a schema compares no values"
)

// beyondSchema are the bad specs that no JSON Schema can catch, with the
// reason. Those that are not TOML, or hold what JSON does not know (nan, inf),
// are refused before any schema and are not listed.
var beyondSchema = map[string]string{
	"absurd-prefix": inText, "absurd-tiny": inText, "absurd-voltage": inText, "overflow": inText, "zero": inText,
	"crlf": inText, "multi-line-text": inText, "range-reversed": inText,
	"band-override-not-listed": "a table's name must stand in another table's list",
	"note-without-survey":      "one table asks for another, of any name",
	"bias-no-device":           twoKeys, "custom-column-swapped": twoKeys, "plate-floor": twoKeys,
	"ring-inside-out": twoKeys, "swinging-choke": twoKeys, "blower-curve-rises": twoKeys,
}

func TestSchemaCatchesBadSpecs(t *testing.T) {
	s := compiled(t, testNames)
	files := badSpecs(t)
	left := map[string]bool{}
	for name := range beyondSchema {
		left[name] = true
	}
	for _, path := range files {
		name := strings.TrimSuffix(filepath.Base(path), ".toml")
		src, err := os.ReadFile(path)
		require.NoError(t, err)
		delete(left, name)
		v, err := asJSON(src)
		if err != nil {
			_, listed := beyondSchema[name]
			assert.False(t, listed, "%s is refused before any schema: %v", name, err)
			_, err = Read(path, src, testNames)
			assert.Error(t, err, name)
			continue
		}
		if reason, beyond := beyondSchema[name]; beyond {
			assert.NoError(t, s.Validate(v), "%s is caught all the same (%s)", name, reason)
			continue
		}
		assert.Error(t, s.Validate(v), "%s: say it in the schema, or list it with the reason", name)
	}
	assert.Empty(t, left, "listed, but there is no such bad spec")
}

// The schema accepts what Read accepts: for every key with a unit, every way
// to write that unit and every form of a number.
func TestSchemaAcceptsWhatReadAccepts(t *testing.T) {
	s := compiled(t, testNames)
	r := &reader{spec: &Spec{}, names: testNames}
	count := 0
	for _, f := range fields(&Spec{}) {
		if f.kind != "Quantity" {
			continue
		}
		want, _ := quantity.LookupUnit(f.tag.Get("unit"))
		var texts []string
		for _, u := range quantity.UnitNames(want.Dimension) {
			for _, p := range []string{"", "p", "n", "u", "µ", "μ", "m", "c", "k", "M", "G"} {
				unit, ok := quantity.LookupUnit(p + u)
				if !ok {
					continue
				}
				x := mid(f.tag)
				if unit.Factor != 0 {
					x = (x - unit.Offset) / unit.Factor
				}
				texts = append(texts, fmt.Sprintf("%g %s%s", x, p, u), fmt.Sprintf(" %.12g%s%s ", x, p, u))
			}
		}
		for _, b := range []string{f.tag.Get("min"), f.tag.Get("max"), f.tag.Get("default")} {
			if b != "" {
				texts = append(texts, b, "±"+b, "+/- "+b, "+"+b, strings.Replace(b, "-", "−", 1))
			}
		}
		texts = append(texts, "1/4 in", "1 1/2 in", "0.5/2 m", ".5 m", "5. m", "12 AWG", "awg #10", "2/0 AWG", "3e-1 m", "2 V", "", "x")
		sub := at(s, strings.Split(f.key, "."))
		require.NotNil(t, sub, f.key)
		for _, text := range texts {
			r.problems = nil
			_, ok := r.measure(Origin{Key: f.key, Given: true}, f.tag, text)
			err := sub.Validate(text)
			if ok {
				count++
				assert.NoError(t, err, "%s = %q", f.key, text)
			}
		}
	}
	assert.Greater(t, count, 2000)
}

// at is the schema of a key.
func at(s *jsonschema.Schema, path []string) *jsonschema.Schema {
	for _, key := range path {
		next := s.Properties[key]
		if key == "*" {
			next, _ = s.AdditionalProperties.(*jsonschema.Schema)
			for _, p := range s.Properties { // the same for each band
				next = p.Ref
			}
		}
		if next == nil {
			return nil
		}
		s = next
	}
	return s
}

// Every key of the structs stands in the schema with its description, and the
// rules beside the tags name keys that exist.
func TestSchemaKnowsEveryKey(t *testing.T) {
	s := compiled(t, testNames)
	known := map[string]bool{}
	for _, f := range fields(&Spec{}) {
		sub := at(s, strings.Split(f.key, "."))
		if assert.NotNil(t, sub, f.key) {
			assert.NotEmpty(t, sub.Description, f.key)
		}
		known[f.key] = true
	}
	for path, pairs := range exclusive {
		for _, p := range pairs {
			for _, key := range p {
				assert.True(t, known[path+"."+key], path+"."+key)
			}
		}
	}
	for path, m := range dependent {
		for key, others := range m {
			for _, k := range append([]string{key}, others...) {
				assert.True(t, known[path+"."+k], path+"."+k)
			}
		}
	}
	for path := range conditions {
		assert.NotNil(t, at(s, strings.Split(path, ".")), path)
	}
	a, err := Schema(testNames)
	require.NoError(t, err)
	b, err := Schema(testNames)
	require.NoError(t, err)
	assert.Equal(t, string(a), string(b))
	var tree map[string]any
	require.NoError(t, json.Unmarshal(a, &tree))
	assert.Equal(t, SchemaDialect, tree["$schema"])
	assert.Equal(t, reflect.ValueOf([]any{"supply", "target", "tubes"}).Interface(), sortedAny(tree["required"]))
}

func sortedAny(v any) []any {
	list, _ := v.([]any)
	for i := range list {
		for j := i + 1; j < len(list); j++ {
			if list[j].(string) < list[i].(string) {
				list[i], list[j] = list[j], list[i]
			}
		}
	}
	return list
}
