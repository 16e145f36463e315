package winding

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const foot = 0.3048

// Published checks 5a to 5g.
func TestCopper(t *testing.T) {
	assert.InEpsilon(t, 1.7241e-8, Resistivity(20), 1e-4)
	// Mass resistivity of the standard, 0.15328 Ω·g/m².
	assert.InDelta(t, 0.15328, CopperResistivity*CopperDensity*1000, 1e-5)
	assert.InDelta(t, 1.00393, Resistivity(21)/Resistivity(20), 1e-5)
	assert.InEpsilon(t, 8.5e-3, SkinDepth(60, 20), 0.01)
	assert.InEpsilon(t, 2.609e-7, SurfaceResistance(1, 20), 0.001)
	assert.InDelta(t, 1.2358, Resistivity(80)/Resistivity(20), 1e-4)
}

// Published check 5.1: last printed digit.
func TestSkinDepth(t *testing.T) {
	for _, row := range [][2]float64{{0.01, 660.855}, {0.1, 208.981}, {1, 66.085}, {1.8, 49.257}, {3.5, 35.324}, {10, 20.898},
		{14, 17.662}, {28, 12.489}, {29.7, 12.126}} {
		assert.InDelta(t, row[1], 1e6*SkinDepth(row[0]*1e6, 20), 6e-4)
	}
}

// Published check 5.2: ASTM B258 anchors, computed columns to their last
// digit, the printed table to 0.1 % (0.3 % of resistance: three or four digits).
func TestAWG(t *testing.T) {
	assert.InDelta(t, 0.46*inch, AWG(-3), 1e-12)
	assert.InDelta(t, 0.005*inch, AWG(36), 1e-15)
	for _, row := range [][6]float64{ // n, in, mm, cmil, Ω/1000 ft, Ω/km
		{-3, 0.46000, 11.6840, 211600.0, 0.0490, 0.161}, {0, 0.32486, 8.2515, 105534.5, 0.0983, 0.322},
		{4, 0.20431, 5.1894, 41741.3, 0.2485, 0.815}, {6, 0.16202, 4.1154, 26251.4, 0.3951, 1.296},
		{8, 0.12849, 3.2636, 16509.7, 0.6282, 2.061}, {10, 0.10190, 2.5882, 10383.0, 0.9989, 3.277},
		{12, 0.08081, 2.0525, 6529.9, 1.5883, 5.211}, {16, 0.05082, 1.2908, 2582.7, 4.0156, 13.174},
		{18, 0.04030, 1.0237, 1624.3, 6.3850, 20.948}, {20, 0.03196, 0.8118, 1021.5, 10.1526, 33.309},
		{24, 0.02010, 0.5106, 404.0, 25.6688, 84.215}, {26, 0.01594, 0.4049, 254.1, 40.8149, 133.907},
		{28, 0.01264, 0.3211, 159.8, 64.8983, 212.921}, {30, 0.01003, 0.2546, 100.5, 103.1923, 338.557},
		{36, 0.00500, 0.1270, 25.0, 414.8486, 1361.052}, {40, 0.00314, 0.0799, 9.9, 1048.8610, 3441.145},
	} {
		d := AWG(int(row[0]))
		assert.InDelta(t, row[1], d/inch, 6e-6)
		assert.InDelta(t, row[2], d*1e3, 6e-5)
		assert.InDelta(t, row[3], CircularMils(d), 0.06)
		assert.InDelta(t, row[4], DCResistance(d, 20)*1000*foot, 6e-5+2e-5*row[4])
		assert.InDelta(t, row[5], DCResistance(d, 20)*1000, 6e-4+2e-5*row[5])
	}
	for _, row := range [][3]float64{{-3, 0.46, 0.049}, {6, 0.16202, 0.3951}, {8, 0.12849, 0.6282}, {10, 0.10189, 0.9989},
		{12, 0.0808, 1.588}, {14, 0.06408, 2.525}, {16, 0.05082, 4.016}, {18, 0.0403, 6.385}, {20, 0.03196, 10.15}, {22, 0.02535,
			16.14}, {24, 0.0201, 25.67}, {30, 0.01002, 103.2}} {
		assert.InEpsilon(t, row[1], AWG(int(row[0]))/inch, 0.001)
		assert.InEpsilon(t, row[2], DCResistance(AWG(int(row[0])), 20)*1000*foot, 0.001)
	}
}

// Published check 5.3: exact Bessel solution and the thin-layer formula, 0.1 %
// asked, last printed digit met.
func TestRoundWire(t *testing.T) {
	for _, row := range [][5]float64{
		{1.0, 1.8, 5.335, 117.107, 117.190}, {1.0, 7.0, 10.263, 225.308, 225.346}, {1.0, 14.0, 14.408, 316.288, 316.315},
		{1.0, 28.0, 20.270, 444.975, 444.993},
		{2.053, 1.8, 10.674, 55.596, 55.605}, {2.053, 7.0, 20.800, 108.337, 108.341}, {2.053, 28.0, 41.347, 215.354, 215.356},
		{2.588, 1.8, 13.389, 43.883, 43.887}, {2.588, 7.0, 26.155, 85.724, 85.726}, {2.588, 14.0, 36.883, 120.888, 120.890},
		{2.588, 28.0, 52.057, 170.620, 170.621},
		{4.7625, 1.8, 24.424, 23.639, 23.639}, {4.7625, 7.0, 47.918, 46.378, 46.378}, {4.7625, 14.0, 67.662, 65.487, 65.488},
		{4.7625, 28.0, 95.585, 92.512, 92.512},
		{6.35, 1.8, 32.480, 17.683, 17.683}, {6.35, 14.0, 90.132, 49.070, 49.070}, {6.35, 28.0, 127.362, 69.339, 69.339},
	} {
		d, f := row[0]/1e3, row[1]*1e6
		r := RoundWireResistance(d, f, 20)
		assert.InDelta(t, row[2], r/DCResistance(d, 20), 6e-4)
		assert.InDelta(t, row[3], r*1e3, 6e-4)
		delta := SkinDepth(f, 20)
		assert.InDelta(t, row[4], 1e3*CopperResistivity/(math.Pi*(d-delta)*delta), 6e-4)
	}
	// Low frequency: DC, with the first term of the series 1 + (a/δ)⁴/48.
	d := 1e-3
	for _, f := range []float64{1, 100, 1000, 3000} {
		a := d / 2 / SkinDepth(f, 20)
		assert.InDelta(t, 1+math.Pow(a, 4)/48, RoundWireResistance(d, f, 20)/DCResistance(d, 20), 1e-4)
	}
	assert.Equal(t, DCResistance(d, 20), RoundWireResistance(d, 0, 20))
	// Where recurrence and series meet.
	below, above := besselRatio(complex(42.4, 42.4)), besselRatio(complex(42.45, 42.45))
	assert.InDelta(t, real(below), real(above), 1e-5)
	assert.InDelta(t, imag(below), imag(above), 1e-5)
}

// A 1/4 in tube with a wall above 5 δ is a solid wire at RF (note of 5.3); a
// wall much thinner than δ is a sheet with its DC resistance.
func TestTube(t *testing.T) {
	assert.InDelta(t, 49.070e-3, TubeResistance(6.35e-3, 0.8e-3, 14e6, 20), 5e-6)
	wall := 1e-6
	sheet := CopperResistivity / (math.Pi * (6.35e-3 - wall) * wall)
	assert.InEpsilon(t, sheet, TubeResistance(6.35e-3, wall, 1e5, 20), 0.01)
}

func TestMetricWires(t *testing.T) {
	list := MetricWires()
	for i := 1; i < len(list); i++ {
		// R20 steps by 10^(1/20) = 1.122, rounded values 1.09 to 1.15.
		require.InDelta(t, 1.122, list[i]/list[i-1], 0.03)
	}
	assert.Contains(t, list, 2.0/1000)
}

// Ends included, ascending, and no other: the gauges that ASTM B258 gives 1.024
// and 5.189 mm (nos. 18 and 4), and the R20 wires from 1 to 5 mm.
func TestAssortment(t *testing.T) {
	gauges := Assortment(true, 18, 4, 1e-3, 5e-3)
	require.Len(t, gauges, 8)
	assert.InDelta(t, 1.024e-3, gauges[0], 1e-6)
	assert.InDelta(t, 5.189e-3, gauges[7], 1e-6)
	metric := Assortment(false, 18, 4, 1e-3, 5e-3)
	require.Len(t, metric, 15)
	assert.InDelta(t, 1e-3, metric[0], 1e-9)
	assert.InDelta(t, 5e-3, metric[14], 1e-9)
	assert.IsIncreasing(t, gauges)
	assert.IsIncreasing(t, metric)
}
