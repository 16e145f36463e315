package preferred

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// IEC 60063 as printed (published checks 10a, 10b, 10c).
func TestPrintedSeries(t *testing.T) {
	assert.Equal(t, []int{10, 22, 47}, E3.Values())
	assert.Equal(t, []int{10, 15, 22, 33, 47, 68}, E6.Values())
	assert.Equal(t, []int{10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82}, E12.Values())
	assert.Equal(t, []int{10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91}, E24.Values())
	// E48, printed list of IEC 60063.
	assert.Equal(t, []int{100, 105, 110, 115, 121, 127, 133, 140, 147, 154, 162, 169, 178, 187, 196, 205,
		215, 226, 237, 249, 261, 274, 287, 301, 316, 332, 348, 365, 383, 402, 422, 442,
		464, 487, 511, 536, 562, 590, 619, 649, 681, 715, 750, 787, 825, 866, 909, 953}, E48.Values())
}

// IEC 60063: each finer series holds the coarser one (E96 in E192, E48 in
// E96); 919 of E192 is printed 920 (published check 10d, from memory).
func TestFineSeries(t *testing.T) {
	assert.Len(t, E96.Values(), 96)
	assert.Len(t, E192.Values(), 192)
	assert.Subset(t, E96.Values(), E48.Values())
	assert.Subset(t, E192.Values(), E96.Values())
	assert.Contains(t, E192.Values(), 920)
	assert.NotContains(t, E192.Values(), 919)
	assert.Empty(t, Series(7).Values())
}

// Published check 10e: where E24 departs from the rounded geometric series.
func TestDeparturesOfE24(t *testing.T) {
	var printed, formula []int
	for i, v := range E24.Values() {
		if f := int(math.Round(10 * math.Pow(10, float64(i)/24))); f != v {
			printed, formula = append(printed, v), append(formula, f)
		}
	}
	assert.Equal(t, []int{27, 30, 33, 36, 39, 43, 47, 82}, printed)
	assert.Equal(t, []int{26, 29, 32, 35, 38, 42, 46, 83}, formula)
}

// Published check 10f.
func TestNearest(t *testing.T) {
	for _, c := range []struct {
		series         Series
		in, want       float64
		down, up, away float64
	}{
		{E12, 1234, 1200, 1200, 1500, 0.028},
		{E24, 1234, 1200, 1200, 1300, 0.028},
		{E96, 1234, 1240, 1210, 1240, 0.005},
		{E24, 51.1e3, 51e3, 51e3, 56e3, 0.002},
		{E96, 51.1e3, 51.1e3, 51.1e3, 51.1e3, 0},
		{E24, 3.48e3, 3.6e3, 3.3e3, 3.6e3, 0.0345},
		{E12, 9.9, 10, 8.2, 10, 0.0101}, // across the decade
		{E12, 82.5e-12, 82e-12, 82e-12, 100e-12, 0.0061},
	} {
		assert.Equal(t, c.want, c.series.Nearest(c.in), "%v of %g", c.series, c.in)
		assert.Equal(t, c.down, c.series.Down(c.in), "%v below %g", c.series, c.in)
		assert.Equal(t, c.up, c.series.Up(c.in), "%v above %g", c.series, c.in)
		assert.InDelta(t, c.away, math.Abs(c.want/c.in-1), 5e-4)
	}
}

// Every value is its own nearest, in every decade a builder meets, even after
// a rounding error.
func TestValuesAreFixedPoints(t *testing.T) {
	for _, s := range []Series{E3, E6, E12, E24, E48, E96, E192} {
		for e := -13; e < 8; e++ {
			for _, m := range s.Values() {
				v := float64(m) * math.Pow10(e)
				for _, got := range []float64{s.Nearest(v), s.Up(v * (1 + 1e-12)), s.Down(v * (1 - 1e-12))} {
					assert.InEpsilon(t, v, got, 1e-12)
				}
			}
		}
	}
}

func TestNoValue(t *testing.T) {
	for _, v := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		assert.True(t, math.IsNaN(E24.Nearest(v)), "%g", v)
	}
	assert.True(t, math.IsNaN(Series(5).Up(10)))
}

func BenchmarkNearest(b *testing.B) {
	for b.Loop() {
		E96.Nearest(51.17e3)
	}
}
