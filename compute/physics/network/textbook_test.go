package network

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/physics/twoport"
)

func farads(x, f float64) float64  { return 1 / (2 * math.Pi * f * x) }
func henries(x, f float64) float64 { return x / (2 * math.Pi * f) }

// Published check 3.1: table attributed to the 1947 ARRL Handbook, 14 MHz,
// Q = 10, 50 Ω. The print is rounded from a chart: 3 %, 8 % and 4 %; the
// formula columns hold to their last digit.
func TestPrintedPiTable(t *testing.T) {
	for _, row := range []struct{ r1, c1, c1f, c2, c2f, l, lf float64 }{
		{1000, 112, 113.7, 460, 457.6, 1.4, 1.352},
		{1500, 75, 75.8, 355, 349.8, 2.0, 1.948},
		{2000, 56, 56.8, 275, 280.8, 2.5, 2.529},
		{3000, 37, 37.9, 175, 187.9, 3.6, 3.656},
		{3500, 32, 32.5, 145, 151.3, 4.2, 4.202},
		{4500, 25, 25.3, 85, 79.5, 5.3, 5.242},
	} {
		p, err := PiByInputQ(row.r1, 50, 10)
		require.NoError(t, err)
		c1, c2, l := 1e12*farads(p.Input, 14e6), 1e12*farads(p.Output, 14e6), 1e6*henries(p.Series, 14e6)
		assert.InEpsilon(t, row.c1, c1, 0.03)
		assert.InEpsilon(t, row.c2, c2, 0.08)
		assert.InEpsilon(t, row.l, l, 0.04)
		assert.InDelta(t, row.c1f, c1, 0.051)
		assert.InDelta(t, row.c2f, c2, 0.051)
		assert.InDelta(t, row.lf, l, 0.00051)
	}
}

// Published check 3.2: one 'Q' of 2.7, three definitions, 50 to 135 Ω at
// 28.03 MHz, 0.5 %.
func TestDefinitionsOfQ(t *testing.T) {
	for _, row := range []struct {
		design    func(r1, r2, q float64) (Pi, error)
		c1, l, c2 float64 // pF, nH, pF
	}{
		{PiByInputQ, 306.6, 250.8, 194.5},
		{PiByTotalQ, 93.4, 457.3, 79.0},
		{PiByHigherSideQ, 163.4, 382.7, 113.6},
	} {
		p, err := row.design(50, 135, 2.7)
		require.NoError(t, err)
		f := 28.03e6
		assert.InEpsilon(t, row.c1, 1e12*farads(p.Input, f), 0.005)
		assert.InEpsilon(t, row.l, 1e9*henries(p.Series, f), 0.005)
		assert.InEpsilon(t, row.c2, 1e12*farads(p.Output, f), 0.005)
		z := piInput(p, 135)
		assert.InDelta(t, 50, real(z), 1e-6)
		assert.InDelta(t, 0, imag(z), 1e-6)
	}
	p, err := PiByTotalQ(100, 100, 4) // equal ends: two equal halves
	require.NoError(t, err)
	assert.InEpsilon(t, p.Input, p.Output, 1e-12)
	_, err = PiByTotalQ(2000, 50, 1)
	assert.Error(t, err)
}

// piInput is what a pi presents with r2 at its output, at 1 rad/s.
func piInput(p Pi, r2 float64) complex128 {
	c := twoport.Chain{Elements: []twoport.Element{
		twoport.ShuntCapacitor("", 1/p.Input, 0), twoport.SeriesInductor("", p.Series, 0), twoport.ShuntCapacitor("", 1/p.Output, 0)}}
	return c.InputImpedance(1/(2*math.Pi), complex(r2, 0))
}

// Published check 3.3 (and 3.7d, 3.7e): reactances, R2 = 50 Ω, to the last
// printed digit; each presents R1 + j0 within 1e-6.
func TestPiReactances(t *testing.T) {
	for _, row := range [][5]float64{
		{10, 1000, 100.000, 118.935, 24.845}, {10, 1500, 150.000, 171.362, 32.501},
		{10, 2500, 250.000, 272.524, 49.507}, {10, 3000, 300.000, 321.583, 60.486},
		{10, 4000, 400.000, 416.331, 97.590}, {10, 5000, 500.000, 500.000, 500.000},
		{12, 1000, 83.333, 100.000, 20.000}, {12, 1500, 125.000, 144.392, 25.538},
		{12, 2000, 166.667, 187.865, 30.861}, {12, 3000, 250.000, 272.901, 42.008},
		{12, 4000, 333.333, 355.900, 55.470}, {12, 5000, 416.667, 436.925, 74.536},
		{15, 1000, 66.667, 80.572, 15.579}, {15, 1500, 100.000, 116.522, 19.562},
		{15, 2000, 133.333, 151.826, 23.187}, {15, 2500, 166.667, 186.683, 26.650},
		{15, 3000, 200.000, 221.195, 30.060}, {15, 5000, 333.333, 356.692, 44.544},
	} {
		p, err := PiByInputQ(row[1], 50, row[0])
		require.NoError(t, err)
		assert.InDelta(t, row[2], p.Input, 5.1e-4)
		assert.InDelta(t, row[3], p.Series, 5.1e-4)
		assert.InDelta(t, row[4], p.Output, 5.1e-4)
		z := piInput(p, 50)
		assert.InDelta(t, row[1], real(z), 1e-6)
		assert.InDelta(t, 0, imag(z), 1e-6)
	}
	// 3.7d: at Q² + 1 = R1/R2 the output capacitor vanishes.
	p, err := PiByInputQ(5000, 50, math.Sqrt(99))
	require.NoError(t, err)
	assert.Greater(t, p.Output, 1e7)
	_, err = PiByInputQ(5000, 50, 9.9)
	assert.ErrorContains(t, err, "least Q is 9.95")
	// 3.7e
	p, err = PiByInputQ(1000, 50, 12)
	require.NoError(t, err)
	assert.InDelta(t, 83.3333333, p.Input, 1e-6)
	assert.InDelta(t, 100, p.Series, 1e-6)
	assert.InDelta(t, 20, p.Output, 1e-6)
}

// Published check 3.4: pi-L over 300 Ω, to the last printed digit.
func TestPiLReactances(t *testing.T) {
	for _, row := range [][6]float64{
		{10, 1500, 150.000, 213.591, 45.332, 111.803}, {10, 2000, 200.000, 272.508, 50.019, 111.803},
		{10, 2500, 250.000, 330.066, 53.853, 111.803}, {10, 4000, 400.000, 497.591, 62.497, 111.803},
		{12, 1500, 125.000, 178.878, 39.853, 111.803}, {12, 2500, 208.333, 276.719, 47.727, 111.803},
		{12, 3000, 250.000, 324.295, 50.759, 111.803}, {12, 4000, 333.333, 417.723, 55.777, 111.803},
	} {
		p, err := PiLByInputQ(row[1], 50, 300, row[0])
		require.NoError(t, err)
		assert.InDelta(t, row[2], p.Input, 5.1e-4)
		assert.InDelta(t, row[3], p.Series, 5.1e-4)
		assert.InDelta(t, row[4], p.Middle, 5.1e-4)
		assert.InDelta(t, row[5], p.OutputSeries, 5.1e-4)
	}
	_, err := PiLByInputQ(2000, 50, 40, 12)
	assert.Error(t, err)
	_, err = PiLByInputQ(50000, 50, 300, 3)
	assert.Error(t, err)
}

// Published check 13.1: SWR table, 0.01 dB and last digit.
func TestSWRTable(t *testing.T) {
	for _, row := range [][5]float64{
		{1.1, 0.0476, 26.444, 0.23, 0.0099}, {1.2, 0.0909, 20.828, 0.83, 0.0360}, {1.3, 0.1304, 17.692, 1.70, 0.0745},
		{1.5, 0.2000, 13.979, 4.00, 0.1773}, {1.7, 0.2593, 11.725, 6.72, 0.3022}, {2.0, 0.3333, 9.542, 11.11, 0.5115},
		{2.5, 0.4286, 7.360, 18.37, 0.8814}, {3.0, 0.5000, 6.021, 25.00, 1.2494}, {4.0, 0.6000, 4.437, 36.00, 1.9382},
		{5.0, 0.6667, 3.522, 44.44, 2.5527}, {6.0, 0.7143, 2.923, 51.02, 3.0998}, {10.0, 0.8182, 1.743, 66.94, 4.8073},
	} {
		assert.InDelta(t, row[1], ReflectionOfSWR(row[0]), 5.1e-5)
		assert.InDelta(t, row[2], ReturnLoss(row[0]), 5.1e-4)
		assert.InDelta(t, row[3], 100*ReflectedPower(row[0]), 5.1e-3)
		assert.InDelta(t, row[4], MismatchLoss(row[0]), 5.1e-5)
		// Any phase of that SWR has that SWR; a resistor of 50·s too.
		assert.InEpsilon(t, row[0], SWR(complex(50*row[0], 0), 50), 1e-12)
		g := cmplx.Rect(row[1], 1.234)
		assert.InEpsilon(t, row[0], SWR(50*(1+g)/(1-g), 50), 1e-3)
	}
	assert.True(t, math.IsInf(SWR(100i, 50), 1))
}

// Published checks 13.2a to c.
func TestLNetworks(t *testing.T) {
	for _, row := range [][6]float64{ // low, high, Q, series, shunt, tolerance
		{75, 1000, 3.512, 263.39, 284.75, 0.01}, {50, 200, 1.7321, 86.60, 115.47, 0.01},
		{50, 1000, 4.3589, 217.94, 229.42, 0.01}, {50, 2000, 6.2450, 312.25, 320.26, 0.01}, {50, 300, 2.2361, 111.80, 134.16, 0.01},
	} {
		l, err := MatchL(row[0], row[1])
		require.NoError(t, err)
		assert.InDelta(t, row[2], l.Q, 5.1e-4)
		assert.InDelta(t, row[3], l.Series, row[5])
		assert.InDelta(t, row[4], l.Shunt, row[5])
	}
	l, _ := MatchL(75, 1000) // as printed: +j263, −j284
	assert.InDelta(t, 263, l.Series, 0.5)
	assert.InDelta(t, 284, l.Shunt, 1)
	_, err := MatchL(100, 50)
	assert.Error(t, err)
}

// Published checks 3.7b (last digit) and 3.7c (1 V).
func TestResonanceAndVoltage(t *testing.T) {
	for _, row := range [][3]float64{{1.8, 7818, 0.6}, {3.5, 2068, 0.6}, {7, 516.9, 0.06}, {10, 253.3, 0.06}, {14, 129.2, 0.06},
		{21, 57.44, 0.006}, {28, 32.31, 0.006}} {
		assert.InDelta(t, row[1], 1e18*ResonantProduct(row[0]*1e6), row[2])
	}
	assert.InDelta(t, 1732, PeakVoltage(1500, 1000), 1)
	assert.InDelta(t, 2107, PeakVoltage(3000, 740), 1)
	assert.InDelta(t, 2449.5, PeakVoltage(1500, 2000), 1)
}
