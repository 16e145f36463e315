package spec

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// least is the shortest spec.
const least = `[target]
output = "1000 W"
bands = ["80m", "10m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2800 V"
`

// with puts a line into a table of the shortest spec.
func with(table string, lines ...string) string {
	text := strings.Join(lines, "\n") + "\n"
	switch head := "[" + table + "]\n"; {
	case table == "":
		return text + least
	case strings.Contains(least, head):
		return strings.Replace(least, head, head+text, 1)
	default:
		return least + head + text
	}
}

// TestEveryKeyListedCanBeWritten writes each key with its example.
func TestEveryKeyListedCanBeWritten(t *testing.T) {
	keys := Keys(testNames)
	tables := map[string][]string{} // of tables with names: all that must stand together
	for _, k := range keys {
		if k.Named && k.Required || strings.HasPrefix(k.Table, "reading.") && (k.Name == "of" || k.Name == "value") ||
			strings.HasPrefix(k.Table, "measured.") && k.Name == "band" {
			tables[k.Table] = append(tables[k.Table], k.Name+" = "+k.Example)
		}
	}
	seen := map[string]bool{}
	for _, k := range keys {
		path := join(k.Table, k.Name)
		seen[path] = true
		t.Run(path, func(t *testing.T) {
			assert.NotEmpty(t, k.Doc)
			assert.Equal(t, k.Default == "", k.Why == "")
			if strings.Contains(least, "\n"+k.Name+" = ") && strings.Contains("target supply tubes", k.Table) {
				return // it is there already
			}
			line := k.Name + " = " + k.Example
			lines := tables[k.Table]
			if !contains(lines, line) {
				lines = append(append([]string{}, lines...), line)
			}
			_, err := Read("x.toml", []byte(with(k.Table, lines...)), testNames)
			if err == nil {
				return
			}
			for _, p := range err.(Problems) {
				text := p.What + " " + p.Hint
				together := strings.Contains(text, "written too") || strings.Contains(text, "delete") ||
					strings.HasPrefix(path, "tubes.custom") || strings.HasPrefix(p.What, "missing") ||
					strings.Contains(text, "network = ") || strings.Contains(text, "a ribbon has") ||
					strings.Contains(text, "has two inductances") || p.Key != path
				assert.True(t, together, "%s: %s (%s)", line, p.What, p.Hint)
			}
		})
	}
	for _, f := range fields(&Spec{}) {
		if !strings.Contains(f.key, "*") {
			assert.True(t, seen[f.key], "%s is not listed", f.key)
		}
	}
	require.Len(t, keys, len(fields(&Spec{})))
}
