//go:build !race

package rectifier

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A periodic steady state takes next to nothing from the heap.
func TestSteadyStateBudget(t *testing.T) {
	for _, c := range circuits {
		s := station(c)
		assert.LessOrEqual(t, testing.AllocsPerRun(20, func() {
			_, err := SteadyState(s)
			require.NoError(t, err)
		}), 6.0, c.String())
	}
}
