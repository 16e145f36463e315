package report

import (
	"reflect"
	"strings"

	"anodebook/spec"
)

// ResultsSchema writes the JSON Schema of results.json, made from the structs
// that write it. A file of another version does not pass.
func ResultsSchema() ([]byte, error) {
	root := schemaOf(reflect.TypeFor[jsonResults](), "")
	root["$schema"] = spec.SchemaDialect
	root["title"] = "anodebook results"
	root["description"] = "Results of a grounded-grid linear amplifier, for other programs. Numbers are in SI base units, totals for " +
		"all tubes unless the id ends in _each."
	root["properties"].(map[string]any)["schema"].(map[string]any)["const"] = SchemaVersion
	return spec.WriteSchema(root)
}

func schemaOf(t reflect.Type, oneof string) map[string]any {
	switch t.Kind() {
	case reflect.Pointer:
		p := schemaOf(t.Elem(), oneof)
		p["type"] = []any{p["type"], "null"}
		if words, ok := p["enum"].([]string); ok {
			list := []any{}
			for _, w := range words {
				list = append(list, w)
			}
			p["enum"] = append(list, nil)
		}
		return p
	case reflect.Struct:
		properties := map[string]any{}
		required := []string{}
		for i := range t.NumField() {
			f := t.Field(i)
			name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
			p := schemaOf(f.Type, f.Tag.Get("oneof"))
			p["description"] = f.Tag.Get("doc")
			properties[name] = p
			if options != "omitempty" {
				required = append(required, name)
			}
		}
		return map[string]any{"type": "object", "properties": properties, "required": required, "additionalProperties": false}
	case reflect.Map:
		return map[string]any{"type": "object", "additionalProperties": schemaOf(t.Elem(), "")}
	case reflect.Slice:
		return map[string]any{"type": "array", "items": schemaOf(t.Elem(), "")}
	case reflect.Float64:
		return map[string]any{"type": "number"}
	case reflect.Int:
		return map[string]any{"type": "integer"}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	}
	if oneof != "" {
		return map[string]any{"type": "string", "enum": strings.Split(oneof, "|")}
	}
	return map[string]any{"type": "string"}
}
