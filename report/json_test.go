package report

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/quantity"
)

// In results.json value and unit belong together: a unit of the file is an SI
// unit without factor and offset, so that no program has to guess.
func TestResultsAreInSIUnits(t *testing.T) {
	for name, d := range designs(t) {
		b, err := JSON(d)
		require.NoError(t, err)
		var r struct {
			Quantities map[string]struct {
				Value float64
				Unit  string
			}
		}
		require.NoError(t, json.Unmarshal(b, &r))
		for id, q := range r.Quantities {
			if q.Unit == "rad" {
				continue
			}
			u, ok := quantity.LookupUnit(q.Unit)
			require.True(t, ok, "%s: %s in %q", name, id, q.Unit)
			if u.Kind() != "dB" {
				assert.Equal(t, 1.0, u.Factor, "%s: %s in %q", name, id, q.Unit)
				assert.Zero(t, u.Offset, "%s: %s in %q", name, id, q.Unit)
			}
		}
		assert.Equal(t, "", r.Quantities["tubes.efficiency"].Unit)
		assert.Less(t, r.Quantities["tubes.efficiency"].Value, 1.0)
		assert.Equal(t, "K", r.Quantities["cooling.inlet_temperature"].Unit)
		assert.Greater(t, r.Quantities["cooling.inlet_temperature"].Value, 250.0)
	}
}
