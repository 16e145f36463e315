package tuning

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The greatest of curves whose crest is known is found, in few tries where the
// curve is smooth.
func TestPeak(t *testing.T) {
	for _, x := range []struct {
		name      string
		low, high float64
		crest     float64
		most      int // tries
		curve     func(x float64) float64
	}{
		{"parabola", 1, 3, 1.7, 4, func(x float64) float64 { return -(x - 1.7) * (x - 1.7) }},
		{"cosine", 5, 8, 2 * math.Pi, 9, math.Cos},
		{"resonance", 50, 180, 100, 14, func(x float64) float64 { u := 6 * (x/100 - 100/x); return 1 / (1 + u*u) }},
		{"roof", 1, 2, 1.3, 45, func(x float64) float64 { return -math.Abs(x - 1.3) }},
		{"steps of noise", 1, 2, 1.5, 45, func(x float64) float64 { return math.Round(-1e9*(x-1.5)*(x-1.5)) / 1e9 }},
		{"crest at the low end", 2, 3, 2, 40, func(x float64) float64 { return -x }},
		{"crest at the high end", 2, 3, 3, 40, func(x float64) float64 { return x }},
	} {
		mid := (x.low + x.high) / 2
		low, top, high := setting{x.low, x.curve(x.low)}, setting{mid, x.curve(mid)}, setting{x.high, x.curve(x.high)}
		switch {
		case low.figure > top.figure:
			top = low
		case high.figure > top.figure:
			top = high
		}
		tries := 0
		got, err := peak(low, top, high, 1e-4, func(y float64) (float64, error) {
			tries++
			require.True(t, y >= x.low && y <= x.high, "%s: tried %g outside", x.name, y)
			return x.curve(y), nil
		})
		require.NoError(t, err, x.name)
		assert.InEpsilon(t, x.crest, got, 1e-4, x.name)
		assert.LessOrEqual(t, tries, x.most, x.name)
	}
	wrong := errors.New("arc")
	_, err := peak(setting{1, 0}, setting{2, 1}, setting{3, 0}, 1e-4, func(float64) (float64, error) { return 0, wrong })
	require.ErrorIs(t, err, wrong)
}
