package preferred

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// By hand, 10 Ω on the body of 50 W: 102 - 15 = 87 mm of winding on 14.3 mm.
// d³ = 2 · 0.49e-6 · 0.0143 · 0.087 / 10 = 1.2192e-10 m³, d = 0.4959 mm.
// 87 / 0.9918 = 87.7 turns of 44.9 mm are 3.941 m; 0.1931 mm² make 10.0 Ω and
// 0.7612 cm³, 6.775 g; 6.775e-3 · 410 · 250 = 694 J. End to end 87 · 40 = 3480 V.
func TestPulseByHand(t *testing.T) {
	b := Bodies[1]
	require.Equal(t, 50.0, b.Power)
	assert.InEpsilon(t, 694, b.PulseEnergy(10), 2e-3)
	assert.InEpsilon(t, 3480, b.PulseVoltage(), 1e-9)
	// Thick wire would take more than the maker's 5 s allow: 25 J for each watt.
	assert.Equal(t, 1250.0, b.PulseEnergy(1))
	assert.Zero(t, b.PulseEnergy(0))
}

// Only what is sold, and each of the three needs decides on its own, on both
// sides of its threshold.
func TestWirewound(t *testing.T) {
	choose := func(r, p, e, v float64) (power float64, count int) {
		b, n, ok := Wirewound(r, p, e, v)
		require.True(t, ok)
		return b.Power, n
	}
	for _, c := range []struct {
		r, p, e, v float64
		power      float64
		count      int
	}{
		{10, 25, 1, 1, 25, 1}, {10, 25.1, 1, 1, 50, 1}, {10, 100, 1, 1, 100, 1}, {10, 226, 1, 1, 225, 2},
		{10, 1, 690, 1, 50, 1}, {10, 1, 700, 1, 100, 1},
		{10, 1, 1, 3470, 50, 1}, {10, 1, 1, 3490, 100, 1}, {10, 1, 1, 10070, 225, 1}, {10, 1, 1, 10090, 100, 2},
	} {
		power, n := choose(c.r, c.p, c.e, c.v)
		assert.Equal(t, c.power, power, "%v", c)
		assert.Equal(t, c.count, n, "%v", c)
	}
	_, _, ok := Wirewound(10, 1, 1e7, 1)
	assert.False(t, ok)
	assert.Equal(t, 50.0, BodyOf(99).Power)
	assert.Equal(t, 100.0, BodyOf(100).Power)
	assert.Equal(t, 10.0, BodyOf(10).Power)
	assert.Less(t, BodyOf(10).PulseEnergy(10), BodyOf(25).PulseEnergy(10)/2)
}
