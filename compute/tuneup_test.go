package compute_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/physics/tuning"
	"anodebook/spec"
)

// load computes a spec file.
func load(t testing.TB, path string) *compute.Design {
	src, err := os.ReadFile(path)
	require.NoError(t, err)
	s, err := spec.Read(filepath.Base(path), src, compute.Names())
	require.NoError(t, err)
	d, err := compute.Run(s)
	require.NoError(t, err)
	return d
}

// TestTuneUpSaysWhatEveryOperatorKnows holds the maps of the examples against
// the facts of the trade: common practice, no source.
func TestTuneUpSaysWhatEveryOperatorKnows(t *testing.T) {
	paths, err := filepath.Glob("../examples/*.toml")
	require.NoError(t, err)
	for _, path := range append(paths, "../templates/starter.toml") {
		d := load(t, path)
		bands := 0
		for _, g := range d.TuneUp() {
			require.NoError(t, g.Err, path)
			bands += len(g.Bands)
			at := map[string]tuning.Reading{}
			for _, s := range g.Situations {
				if s.Reached {
					at[s.ID] = s.Reading
				}
				assert.Less(t, math.Abs(s.Reading.Balance), 1e-6, "%s %s", path, s.ID)
			}
			n := at["nominal"]
			assert.InEpsilon(t, d.Book.Get("tubes.plate_current").Value, n.PlateCurrent, 1e-3,
				"the map begins at the operating point of the book")
			assert.InEpsilon(t, d.Book.Get("tubes.grid_current").Value, n.GridCurrent, 1e-2)
			assert.InEpsilon(t, d.Book.Get("tank."+g.Band+".output_power").Value, n.Output, 1e-2)
			if light, ok := at["loading_too_light"]; ok {
				assert.Greater(t, light.GridCurrent, n.GridCurrent, path)
				assert.Less(t, light.PlateCurrent, n.PlateCurrent, path)
			}
			if heavy, ok := at["loading_too_heavy"]; ok {
				assert.Less(t, heavy.GridCurrent, n.GridCurrent, path)
				assert.Less(t, heavy.Output, n.Output, path)
				assert.Greater(t, heavy.PlateDissipationEach, n.PlateDissipationEach, path)
			}
			for _, id := range []string{"off_resonance_less_capacitance", "off_resonance_more_capacitance"} {
				if off, ok := at[id]; ok {
					assert.Greater(t, off.PlateDissipationEach, 1.3*n.PlateDissipationEach, path)
					assert.Greater(t, off.PlateCurrent, n.PlateCurrent, path)
				}
			}
			over := at["overdriven_3_db"]
			assert.Greater(t, over.GridCurrent/n.GridCurrent, over.Output/n.Output, path)
			for _, row := range g.Map {
				for _, r := range row {
					assert.Less(t, math.Abs(r.Balance), 1e-6, path)
				}
			}
		}
		assert.Equal(t, len(d.Spec.Target.Bands.Values), bands, "every band is in one group")
	}
}

// BenchmarkTuneUp is the tune-up of the starter, all band groups.
func BenchmarkTuneUp(b *testing.B) {
	for b.Loop() {
		b.StopTimer()
		d := load(b, "../templates/starter.toml")
		b.StartTimer()
		d.TuneUp()
	}
}
