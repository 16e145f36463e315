package report

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/spec/spectest"
)

// TestNotebooksAtTheirBounds writes all forms of amplifiers with some keys at
// the ends of their bounds: the templates know every word, and no line has a
// number that is none.
func TestNotebooksAtTheirBounds(t *testing.T) {
	const base = "[target]\noutput = \"1000 W\"\nbands = [\"80m\", \"10m\"]\n[tubes]\ntype = \"3-500Z\"\n[supply]\nplate_voltage = " +
		"\"2800 V\"\n"
	const want = 4
	made := 0
	for i := 0; made < want && i < 60; i++ {
		r := rand.New(rand.NewPCG(29, uint64(i)))
		text, s := spectest.Extreme(r, base, 0.02, compute.Names())
		if s == nil {
			continue
		}
		d, err := compute.Run(s)
		if err != nil {
			continue // TestSpecsAtTheirBounds looks at the error
		}
		made++
		files, err := FilesOf(d, Options{Forms: []Form{Full, "article", "bench"}})
		require.NoError(t, err, text)
		for name, content := range files {
			if !strings.HasSuffix(name, ".md") {
				continue
			}
			for line := range strings.Lines(string(content)) {
				if strings.ContainsAny(line, `$\`) || strings.Contains(line, "](") || strings.Contains(line, "| exposure.") {
					continue // formulas, links
				}
				assert.Empty(t, spectest.Flaw(line), "spec %d, %s\n%s", i, name, text)
			}
		}
	}
	assert.Equal(t, want, made)
}
