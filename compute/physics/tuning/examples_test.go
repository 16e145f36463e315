package tuning_test

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/physics/tuning"
	"anodebook/spec"
)

// The examples' own tubes and tanks, every band.
func TestExamples(t *testing.T) {
	files, err := filepath.Glob("../../../examples/*.toml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		sp, err := spec.Load(f, compute.Names())
		require.NoError(t, err)
		d, err := compute.Run(sp)
		require.NoError(t, err)
		o := d.Operating
		for _, band := range d.Tank.Bands {
			s := tuning.Setup{Model: o.Model, Tubes: o.N, PlateVoltage: o.PlateVoltage.Value, Bias: o.BiasVoltage.Value,
				Nominal: o.Point, Tank: band.Tank, Limits: tuning.LimitsOf(o.Type, true)}
			where := filepath.Base(f) + " " + band.Name
			list, err := tuning.Situations(s)
			require.NoError(t, err, where)
			by := map[string]tuning.Reading{}
			for _, x := range list {
				assert.Less(t, math.Abs(x.Reading.Balance), 1e-6, where)
				if x.Reached {
					by[x.ID] = x.Reading
				}
			}
			n := by[tuning.Nominal]
			assert.InEpsilon(t, o.PlateCurrent.Value, n.PlateCurrent, 1e-3, where)
			assert.InEpsilon(t, o.PlateOutput.Value*band.Tank.Efficiency, n.Output, 1e-3, where)
			if r, ok := by[tuning.TooLight]; assert.True(t, ok, where) {
				assert.Greater(t, r.GridCurrent, n.GridCurrent, where)
				assert.Less(t, r.PlateCurrent, n.PlateCurrent, where)
			}
			if r, ok := by[tuning.TooHeavy]; ok {
				assert.Less(t, r.GridCurrent, n.GridCurrent, where)
				assert.Less(t, r.Output, n.Output, where)
				assert.Greater(t, r.PlateDissipationEach, n.PlateDissipationEach, where)
			}
			for _, id := range []string{tuning.OffBelow, tuning.OffAbove} {
				if r, ok := by[id]; ok {
					assert.Greater(t, r.PlateCurrent, by[tuning.PlateDip].PlateCurrent, where)
					assert.Greater(t, r.PlateDissipationEach, 1.3*n.PlateDissipationEach, where)
				}
			}
			over := by[tuning.Overdriven1]
			assert.Greater(t, over.GridCurrent/n.GridCurrent, over.Output/n.Output, where)
		}
	}
}
