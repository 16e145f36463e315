package spec

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"regexp"
	"strings"
	"unicode"

	"anodebook/spec/quantity"
)

// node is a piece of a JSON Schema.
type node = map[string]any

// SchemaDialect names the JSON Schema standard that the schemas follow.
const SchemaDialect = "https://json-schema.org/draft/2020-12/schema"

// Schema writes the JSON Schema of the format, made from the tags of the
// structs, for editors: it knows every key, what each means, its kind, its
// units and its words. It accepts every spec that Read accepts. What a schema
// cannot say (that a voltage is plausible, that two keys fit each other) only
// Read can find.
func Schema(names Names) ([]byte, error) {
	g := generator{&reader{names: names}, node{}}
	root := g.table(reflect.TypeFor[Spec](), "")
	root["$defs"] = g.shared
	root["$schema"] = SchemaDialect
	root["title"] = "anodebook spec"
	root["description"] = "Description of a grounded-grid linear amplifier. Quantities are texts with a unit, such as \"2.8 kV\"; " +
		"bare numbers are counts and ratios."
	return WriteSchema(root)
}

// WriteSchema writes a schema as the files of this project hold it: indented,
// with its keys in order and a line end behind it.
func WriteSchema(root any) ([]byte, error) {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(root); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

type generator struct {
	*reader
	shared node // what stands in several places, by name
}

// table is the schema of a struct.
func (g generator) table(t reflect.Type, path string) node {
	properties := node{}
	required := []string{}
	all := []any{}
	oneOf := false
	for i := range t.NumField() {
		f := t.Field(i)
		key := f.Tag.Get("key")
		if key == "" {
			continue
		}
		p := g.field(f.Type, f.Tag, join(path, key))
		properties[key] = p
		others, must := f.Tag.Lookup("required")
		switch {
		case !must && p["required"] != nil:
			required = append(required, key) // a table in which something must be written
		case must && others == "":
			required = append(required, key)
		case must:
			one := []any{node{"required": []string{key}}}
			for _, o := range strings.Fields(others) {
				one = append(one, node{"required": []string{last(o)}})
			}
			all = append(all, node{"oneOf": one})
			oneOf = true
		}
	}
	n := node{"type": "object", "properties": properties, "additionalProperties": false}
	if oneOf || len(required) > 0 { // even an empty list tells the table above that this one is needed
		n["required"] = required
	}
	for _, pair := range exclusive[path] {
		all = append(all, node{"not": node{"required": pair}})
	}
	if more, ok := conditions[path]; ok {
		all = append(all, more...)
	}
	if f, ok := t.FieldByName("Fitted"); ok && f.Type == reflect.TypeFor[Flag]() {
		all = append(all, node{
			"if":   node{"properties": node{"fitted": node{"const": false}}, "required": []string{"fitted"}},
			"then": node{"maxProperties": 1},
		})
	}
	if d, ok := dependent[path]; ok {
		n["dependentRequired"] = d
	}
	if len(all) > 0 {
		n["allOf"] = all
	}
	return n
}

// field is the schema of one key.
func (g generator) field(t reflect.Type, tag reflect.StructTag, path string) node {
	var n node
	switch reflect.New(t).Interface().(type) {
	case *Quantity:
		n = node{"type": "string", "pattern": "^" + amount(tag) + "$"}
	case *Range:
		n = node{"type": "string", "pattern": "^" + interval(tag) + "$"}
	case *Quantities:
		n = node{"type": "array", "items": node{"type": "string", "pattern": "^" + amount(tag) + "$"}}
	case *Ratio:
		n = node{"type": "number"}
		limits(n, tag)
	case *Count:
		n = node{"type": "integer"}
		limits(n, tag)
	case *Flag:
		n = node{"type": "boolean"}
	case *Text:
		n = node{"type": "string", "maxLength": 20000}
		if path == "tubes.custom.name" {
			n["pattern"] = tubeName.String()
		}
	case *Attachment:
		n = node{"type": "string", "maxLength": 400, "pattern": `^[^\\/\x00-\x1f\x7f][^\\\x00-\x1f\x7f]*$`}
		n["not"] = node{"pattern": `^(?:[A-Za-z]:|\.\.(?:/|$))`}
	case *Choice:
		n = words(g.words(tag.Get("oneof")))
	case *Words:
		n = node{"type": "array", "items": words(g.words(tag.Get("oneof"))), "minItems": 1, "uniqueItems": true}
	default:
		if t.Kind() != reflect.Map {
			n := g.table(t, path)
			plain := tag.Get("plain")
			if plain == "" {
				return n
			}
			n["type"] = []string{"string", "object"} // grid_trip = "0.25 A" is short for the table
			n["pattern"] = n["properties"].(node)[plain].(node)["pattern"]
			g.describe(n, tag)
			return n
		}
		e := g.field(t.Elem(), tag, path+".*")
		n = node{"type": "object"}
		if list := g.words(tag.Get("oneof")); len(list) > 0 && t.Elem().Kind() == reflect.Struct &&
			t.Elem().Field(0).Type != reflect.TypeFor[Origin]() {
			name := strings.ReplaceAll(path, ".", "_")
			g.shared[name] = e
			properties := node{}
			for _, w := range list {
				properties[w] = node{"$ref": "#/$defs/" + name}
			}
			n["properties"], n["additionalProperties"] = properties, false
		} else {
			n["additionalProperties"] = e
			if path == "measured" || path == "survey" || path == "study" {
				n["propertyNames"] = node{"pattern": partName.String()}
			}
			if path == "tubes.custom.column" {
				n["minProperties"] = 1
				n["propertyNames"] = node{"pattern": tubeName.String()}
			}
		}
	}
	g.describe(n, tag)
	return n
}

// describe puts into words what the key means, for the editor to show.
func (g generator) describe(n node, tag reflect.StructTag) {
	d := tag.Get("doc")
	if d == "" {
		return
	}
	d = strings.ToUpper(d[:1]) + d[1:] + "."
	if u := tag.Get("unit"); u != "" {
		want, _ := quantity.LookupUnit(u)
		d += fmt.Sprintf(" Such as %q; plausible is %s to %s: %s.", example(tag, want), tag.Get("min"), tag.Get("max"),
			tag.Get("because"))
	} else if b := tag.Get("because"); b != "" {
		d += fmt.Sprintf(" Plausible is %s to %s: %s.", tag.Get("min"), tag.Get("max"), b)
	}
	if v := tag.Get("default"); v != "" {
		d += fmt.Sprintf(" Assumed if not written: %s (%s).", v, tag.Get("why"))
	}
	n["description"] = d
}

// limits takes the bounds of a plain number.
func limits(n node, tag reflect.StructTag) {
	for word, limit := range map[string]string{"minimum": tag.Get("min"), "maximum": tag.Get("max")} {
		if limit != "" {
			n[word] = bound(limit, 0)
		}
	}
	if d := tag.Get("default"); d != "" {
		n["default"] = bound(d, 0)
	}
}

// words is one word of a list. Capitals do not count, as in Read; the list
// itself stands first, for the editor to complete from.
func words(list []string) node {
	var folded []string
	for _, w := range list {
		var b strings.Builder
		for _, r := range w {
			if l, u := unicode.ToLower(r), unicode.ToUpper(r); l != u {
				fmt.Fprintf(&b, "[%c%c]", u, l)
			} else {
				b.WriteString(regexp.QuoteMeta(string(r)))
			}
		}
		folded = append(folded, b.String())
	}
	return node{"type": "string", "anyOf": []any{node{"enum": list}, node{"pattern": "^(?:" + strings.Join(folded, "|") + ")$"}}}
}

const (
	spaces  = `[ \t]*`
	decimal = `(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?`
	digits  = decimal + `(?: +[0-9.eE+-]+/[0-9.eE+-]+|/[0-9.eE+-]+)?` // 1.5, 1/4, 1 1/4
	gauges  = `[aA][wW][gG]` + spaces + `#?` + spaces + `(?:[1-4]/0|[0-9]+)|#?` + spaces + `(?:[1-4]/0|[0-9]+)` + spaces +
		`[aA][wW][gG]`
)

// amount is the pattern of a number with a unit of the wanted kind.
func amount(tag reflect.StructTag) string {
	want, _ := quantity.LookupUnit(tag.Get("unit"))
	p := spaces + signs(tag, want) + digits + spaces + unitPattern(want) + spaces
	if want.Dimension == quantity.Length {
		p = "(?:" + p + "|" + spaces + "(?:" + gauges + ")" + spaces + ")"
	}
	return p
}

// interval is the pattern of a range, or of a single value.
func interval(tag reflect.StructTag) string {
	want, _ := quantity.LookupUnit(tag.Get("unit"))
	low := spaces + signs(tag, want) + digits + spaces + "(?:" + unitPattern(want) + ")?" + spaces
	return "(?:" + low + `\.\.)?` + amount(tag)
}

// signs is what may stand before the number; a minus only where values below
// zero are plausible.
func signs(tag reflect.StructTag, want quantity.Unit) string {
	if want.Offset != 0 || bound(tag.Get("min"), -1) < 0 {
		return `(?:±|\+/-|\+-|−)?` + spaces + `[+-]?`
	}
	return `(?:±|\+/-|\+-)?` + spaces + `\+?`
}

// unitPattern is every way to write a unit of that kind.
func unitPattern(want quantity.Unit) string {
	var parts []string
	for _, name := range quantity.UnitNames(want.Dimension) {
		u, _ := quantity.LookupUnit(name)
		if u.Kind() != want.Kind() || want.Symbol == "K" && u.Offset != 0 {
			continue
		}
		p := ""
		if u.Prefixed {
			p = "[pnuµμmkMG]?"
			if want.Dimension == quantity.Length {
				p = "[pnuµμmckMG]?"
			}
		}
		parts = append(parts, p+regexp.QuoteMeta(name))
	}
	return "(?:" + strings.Join(parts, "|") + ")"
}
