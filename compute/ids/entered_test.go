package ids_test

import (
	"fmt"
	"go/ast"
	"go/token"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/ids"
	"anodebook/spec"
	"anodebook/spec/spectest"
	"anodebook/spec/testhelp"
)

// run computes a spec; nil where it is no spec or nothing can be built of it.
func run(t *testing.T, name, text string) *compute.Design {
	t.Helper()
	s, err := spec.Read(name, []byte(text), compute.Names())
	if err != nil {
		return nil
	}
	for n, m := range s.Measured {
		m.File.Content, err = os.ReadFile(filepath.Join("../../examples", m.File.Name))
		if err != nil {
			return nil
		}
		s.Measured[n] = m
	}
	d, err := compute.Run(s)
	if err != nil {
		return nil
	}
	return d
}

// witnesses are the specs that between them have every quantity: the starter,
// the examples, and the small ones below testdata, each of which says in its
// first line what it is there for.
func witnesses(t *testing.T) map[string]*compute.Design {
	t.Helper()
	out := map[string]*compute.Design{}
	for _, pattern := range []string{"../../templates/starter.toml", "../../examples/*.toml", "testdata/*.toml"} {
		list, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, list, pattern)
		for _, path := range list {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			d := run(t, path, string(text))
			require.NotNil(t, d, "%s gives no design", path)
			out[path] = d
		}
	}
	return out
}

// undeclared says what of a design compute/ids does not know: the line to add.
func undeclared(d *compute.Design) []string {
	var out []string
	for _, q := range d.Book.Quantities() {
		path := band.ReplaceAllString(q.ID, "."+ids.Band+"$1")
		x, ok := ids.Lookup(q.ID)
		switch {
		case !ok:
			out = append(out,
				fmt.Sprintf("a stage enters %s, which compute/ids/%s.go does not declare: add {%q, %q, always}, or when it exists",
					q.ID, q.Stage(), path, q.Unit))
		case x.Unit != q.Unit && !(x.Unit == "turns" && q.Unit == ""):
			out = append(out, fmt.Sprintf("%s is entered in %q and declared in %q", q.ID, q.Unit, x.Unit))
		}
		if !ids.IsStage(q.Stage()) {
			out = append(out, fmt.Sprintf("%s is of no stage", q.ID))
		}
	}
	for _, f := range d.Book.Findings {
		stage, ok := ids.Finding(f.ID)
		switch {
		case !ok:
			out = append(out, fmt.Sprintf("a stage finds %s, which compute/ids/%s.go does not declare", f.ID, f.Stage))
		case stage != f.Stage:
			out = append(out, fmt.Sprintf("%s is found by the stage %s and declared for %s", f.ID, f.Stage, stage))
		}
		for _, id := range f.Quantities {
			if _, ok := d.Book.Lookup(id); !ok {
				out = append(out, fmt.Sprintf("the finding %s names the quantity %s, which this design does not have", f.ID, id))
			}
		}
	}
	for _, r := range d.Book.Ratings {
		if !ids.IsStage(r.Stage) {
			out = append(out, fmt.Sprintf("the rating of %s is of the stage %q, which there is not", r.Part, r.Stage))
		}
	}
	for _, p := range d.Book.Parts {
		if !ids.IsStage(p.Stage) {
			out = append(out, fmt.Sprintf("the part %s is of the stage %q, which there is not", p.Designator, p.Stage))
		}
	}
	return out
}

// missing says what of the quantities that every design has this one lacks.
func missing(d *compute.Design) []string {
	var out []string
	for _, s := range ids.Stages {
		for _, q := range s.Quantities {
			if q.Optional() {
				continue
			}
			for _, b := range d.Spec.Target.Bands.Values {
				id := strings.Replace(q.Path, "."+ids.Band+".", "."+b+".", 1)
				if _, ok := d.Book.Lookup(id); !ok {
					out = append(out, fmt.Sprintf("%s is declared for every design, and this one does not have it: say when it exists",
						id))
				}
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// TestStagesEnterWhatIsDeclared: over examples, small specs and random ones no
// stage enters or finds what is not declared, or in another unit, and none
// leaves out what every design has.
func TestStagesEnterWhatIsDeclared(t *testing.T) {
	told := map[string]bool{}
	hold := func(name string, d *compute.Design) {
		for _, p := range append(undeclared(d), missing(d)...) {
			if !told[p] { // once is enough
				told[p] = true
				t.Errorf("%s: %s", name, p)
			}
		}
	}
	all := witnesses(t)
	var bases []string
	for _, path := range slices.Sorted(maps.Keys(all)) {
		hold(path, all[path])
		if len(all[path].Spec.Measured) == 0 {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			bases = append(bases, string(text))
		}
	}
	n := testhelp.Trials(40, 300)
	r := rand.New(rand.NewPCG(12, 2))
	made := 0
	for range n {
		text, s := spectest.Extreme(r, bases[r.IntN(len(bases))], 0.02+0.1*r.Float64(), compute.Names())
		if s == nil {
			continue
		}
		if d := run(t, "random.toml", text); d != nil {
			made++
			hold("random spec", d)
		}
	}
	assert.Greater(t, made, n/4, "most random specs should be buildable")
}

// TestEveryQuantityIsEntered: each declared quantity is one of some witness.
func TestEveryQuantityIsEntered(t *testing.T) {
	has := map[string]int{}
	all := witnesses(t)
	for _, d := range all {
		seen := map[string]bool{}
		for _, q := range d.Book.Quantities() {
			if x, ok := ids.Lookup(q.ID); ok {
				seen[x.Path] = true
			}
		}
		for path := range seen {
			has[path]++
		}
	}
	for _, s := range ids.Stages {
		for _, q := range s.Quantities {
			if s.Name == "measured" && spelt(t, "compute/stage/measured", strings.TrimPrefix(q.Path, "measured.NAME.")) {
				continue // its own tests measure what is not in the examples
			}
			if has[q.Path] == 0 && !q.Alone() {
				t.Errorf("no example and no spec of testdata enters %s (%s): add a small one, or take the line out", q.Path, q.When)
			}
		}
	}
}

// spelt says whether a package spells a name, alone or as the end of a path.
func spelt(t *testing.T, dir, name string) bool {
	t.Helper()
	r := readPackages(t)[dir]
	require.NotNil(t, r, dir)
	stem := strings.TrimSuffix(name, ids.Number)
	found := false
	for _, f := range r.files {
		ast.Inspect(f, func(n ast.Node) bool {
			if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
				text := strings.Trim(lit.Value, "\"`")
				found = found || text == name || text == "."+name || stem != name && strings.Contains(text, "."+stem+"_%d")
			}
			return !found
		})
	}
	return found
}

// TestDeclarationsAreSane: each path once, under its own stage, in a unit that
// is known, with a condition in words.
func TestDeclarationsAreSane(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range ids.Stages {
		for _, q := range s.Quantities {
			assert.Equal(t, s.Name, q.Stage(), q.Path)
			assert.False(t, seen[q.Path], "%s is declared twice", q.Path)
			seen[q.Path] = true
			assert.NotContains(t, q.When, "TODO", q.Path)
		}
		found := map[string]bool{}
		for _, f := range s.Findings {
			assert.True(t, strings.HasPrefix(f, s.Name+"."), "%s is not of %s", f, s.Name)
			assert.False(t, found[f], "%s is declared twice", f)
			found[f] = true
		}
	}
}
