package report

import (
	"maps"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"anodebook/compute"
	"anodebook/spec"
	"anodebook/templates"

	"github.com/stretchr/testify/require"
)

// smallSpec is the least that gives a notebook.
const smallSpec = `[target]
output = "1000 W"
bands = ["80m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2800 V"
`

// design is that of a spec; measured parts lie where those of the examples do.
func design(t testing.TB, name, text string) *compute.Design {
	t.Helper()
	s, err := spec.Read(name, []byte(text), compute.Names())
	require.NoError(t, err)
	for n, m := range s.Measured {
		m.File.Content, err = os.ReadFile(filepath.Join("../examples", m.File.Name))
		require.NoError(t, err)
		s.Measured[n] = m
	}
	d, err := compute.Run(s)
	require.NoError(t, err, name)
	return d
}

// notebooks are the specs of the starter and of every example.
func notebooks(t testing.TB) map[string]string {
	t.Helper()
	starter, err := templates.FS.ReadFile("starter.toml")
	require.NoError(t, err)
	out := map[string]string{"starter.toml": string(starter)}
	list, err := filepath.Glob("../examples/*.toml")
	require.NoError(t, err)
	require.NotEmpty(t, list)
	for _, path := range list {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		out[filepath.Base(path)] = string(text)
	}
	return out
}

// shared is what tests only read: made once.
var shared struct {
	sync.Mutex
	designs map[string]*compute.Design
	built   map[*compute.Design]*Document
	texts   map[*compute.Design]map[string]string
}

// designs are those of the notebooks; the starter's is called starter. They are
// shared by all tests: nobody may change one.
func designs(t testing.TB) map[string]*compute.Design {
	t.Helper()
	shared.Lock()
	defer shared.Unlock()
	if shared.designs == nil {
		out := map[string]*compute.Design{}
		for name, text := range notebooks(t) {
			d := design(t, name, text)
			if name == "starter.toml" {
				name = "starter"
			}
			out[name] = d
		}
		shared.designs = out
	}
	return maps.Clone(shared.designs)
}

// built is the whole report of a design, made once: to be read only.
func built(d *compute.Design) (*Document, error) {
	shared.Lock()
	defer shared.Unlock()
	if doc := shared.built[d]; doc != nil {
		return doc, nil
	}
	doc, err := Build(d)
	if err != nil {
		return nil, err
	}
	if shared.built == nil {
		shared.built = map[*compute.Design]*Document{}
	}
	shared.built[d] = doc
	return doc, nil
}

// quoted writes a text as a string of the spec.
func quoted(s string) string {
	r := strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`)
	return `"` + r.Replace(s) + `"`
}
