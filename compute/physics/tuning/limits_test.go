package tuning

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/physics/tube"
)

// A 4-400A with both grids at ground: the control grid takes 65 % of their heat
// and may have 10 W, the screen 35 % and 35 W: 10/0.65 = 15.4 W together, not
// 10 W. The control grid is the first of the two. A triode keeps its own rating.
func TestLimitsOfBothGrids(t *testing.T) {
	tetrode, ok := tube.Lookup("4-400A")
	require.True(t, ok)
	assert.InDelta(t, 15.385, LimitsOf(tetrode, true).GridDissipation, 1e-3)
	triode, ok := tube.Lookup("3-500Z")
	require.True(t, ok)
	assert.Equal(t, 20.0, LimitsOf(triode, true).GridDissipation)
	// A screen of 3.5 W would be the first: 3.5/0.35 = 10 W.
	weak := *tetrode
	weak.Limits.ScreenDissipation.Value = 3.5
	assert.InDelta(t, 10, LimitsOf(&weak, true).GridDissipation, 1e-9)
	weak.Limits.ScreenDissipation.Value = 5.5
	assert.InDelta(t, 15.385, LimitsOf(&weak, true).GridDissipation, 1e-3)
}
