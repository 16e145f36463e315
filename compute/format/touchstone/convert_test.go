package touchstone

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/physics/twoport"
)

// Definitions, by hand: a resistor, and what a one-port of S is as Z and Y.
func TestOnePort(t *testing.T) {
	one := func(k Kind, ref float64, v complex128) *Data {
		return &Data{Ports: 1, Kind: k, Reference: [2]float64{ref}, Points: []Point{{1e6, Matrix{{v}}}}}
	}
	to := func(d *Data, k Kind, ref ...float64) complex128 {
		out, err := d.To(k, ref...)
		require.NoError(t, err)
		assert.Zero(t, out.Points[0].Matrix[1][1])
		return out.Points[0].Matrix[0][0]
	}
	near(t, 1.0/3, to(one(Impedance, 50, 100), Scattering), 1e-15, "(100 − 50)/(100 + 50)")
	near(t, -1.0/3, to(one(Impedance, 50, 100), Scattering, 200), 1e-15)
	near(t, 0.01, to(one(Impedance, 50, 100), Admittance), 1e-15)
	near(t, 100, to(one(Scattering, 50, 1.0/3), Impedance), 1e-13)
	near(t, -1.0/3, to(one(Scattering, 50, 1.0/3), Scattering, 200), 1e-15)
	near(t, 0, to(one(Scattering, 50, -1), Impedance), 0, "a short")
	_, err := one(Scattering, 50, 1).To(Impedance)
	require.ErrorIs(t, err, ErrSingular, "an open circuit has no impedance")
	near(t, 0, to(one(Scattering, 50, 1), Admittance), 0)
	near(t, 1, to(one(Scattering, 50, 1), Scattering, 75), 1e-15, "open in every reference")
	_, err = one(Impedance, 50, 1).To(Hybrid)
	require.Error(t, err)
	_, err = one(Impedance, 50, 1).To(Scattering, -1)
	require.Error(t, err)
	_, err = one(Impedance, 50, 1).To(Scattering, 50, 50)
	require.Error(t, err)
}

// A series resistor of 50 Ω between 50 Ω has S21 = 2/3, S11 = 1/3 (any text);
// it has Y and no Z, a shunt resistor the reverse.
func TestTwoPortByHand(t *testing.T) {
	series := OfChain(1, 50, 0, 1, 50, 50)
	near(t, 1.0/3, series[0][0], 1e-15)
	near(t, 2.0/3, series[1][0], 1e-15)
	assert.Equal(t, series[1][0], series[0][1])
	d := &Data{Ports: 2, Kind: Scattering, Reference: [2]float64{50, 50}, Points: []Point{{1e6, series}}}
	_, err := d.To(Impedance)
	require.ErrorIs(t, err, ErrSingular)
	y, err := d.To(Admittance)
	require.NoError(t, err)
	near(t, -0.02, y.Points[0].Matrix[1][0], 1e-15)
	h, err := d.To(Hybrid)
	require.NoError(t, err)
	near(t, 50, h.Points[0].Matrix[0][0], 1e-13)
	near(t, -1, h.Points[0].Matrix[1][0], 1e-14)
	near(t, 1, h.Points[0].Matrix[0][1], 1e-14)
	near(t, 0, h.Points[0].Matrix[1][1], 1e-16)
	d.Points[0].Matrix = OfChain(1, 0, 0.02, 1, 50, 50)
	_, err = d.To(Admittance)
	require.ErrorIs(t, err, ErrSingular)
	g, err := d.To(Inverse)
	require.NoError(t, err)
	near(t, 0.02, g.Points[0].Matrix[0][0], 1e-15)
}

// Identities over random networks: there and back, by way of another kind and
// of other references, is where it began; Z·Y = 1, H·G = 1; an S of unequal
// references is the textbook's from Z.
func TestConversionIdentities(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 3))
	kinds := []Kind{Scattering, Impedance, Admittance, Hybrid, Inverse}
	for range 500 {
		ref := [2]float64{5 + 3000*r.Float64(), 5 + 3000*r.Float64()}
		d := &Data{Ports: 2, Kind: Scattering, Reference: ref, Points: []Point{{1e6, randomMatrix(r, 2)}}}
		a, b := kinds[r.IntN(5)], kinds[r.IntN(5)]
		other := []float64{10 + 900*r.Float64(), 10 + 900*r.Float64()}
		x, err := d.To(a)
		require.NoError(t, err)
		x, err = x.To(b, other...)
		require.NoError(t, err)
		x, err = x.To(Scattering, ref[0], ref[1])
		require.NoError(t, err)
		for i := range 2 {
			for k := range 2 {
				near(t, d.Points[0].Matrix[i][k], x.Points[0].Matrix[i][k], 1e-7, a, b)
			}
		}
		inverse := func(a, b Kind) {
			p, err := d.To(a)
			require.NoError(t, err)
			q, err := d.To(b)
			require.NoError(t, err)
			one := p.Points[0].Matrix.times(q.Points[0].Matrix)
			near(t, 1, one[0][0], 1e-8)
			near(t, 1, one[1][1], 1e-8)
		}
		inverse(Impedance, Admittance)
		inverse(Hybrid, Inverse)
		// S11 from Z with unequal references, as the textbooks print it.
		z, err := d.To(Impedance)
		require.NoError(t, err)
		m := z.Points[0].Matrix
		z1, z2 := complex(ref[0], 0), complex(ref[1], 0)
		det := (m[0][0]+z1)*(m[1][1]+z2) - m[0][1]*m[1][0]
		near(t, ((m[0][0]-z1)*(m[1][1]+z2)-m[0][1]*m[1][0])/det, d.Points[0].Matrix[0][0], 1e-8)
		near(t, 2*m[1][0]*complex(math.Sqrt(ref[0]*ref[1]), 0)/det, d.Points[0].Matrix[1][0], 1e-8)
	}
}

// The chain of package twoport and S agree: what port 1 sees with port 2
// closed by its reference is (1 + S11)/(1 − S11)·R1, and power balances in a
// lossless network.
func TestOfChainAgainstTwoport(t *testing.T) {
	c := twoport.Chain{Elements: []twoport.Element{twoport.ShuntCapacitor("a", 180e-12, 0), twoport.SeriesInductor("b", 9e-6, 0),
		twoport.ShuntCapacitor("c", 1e-9, 0)}}
	for f := 1e6; f < 30e6; f *= 1.1 {
		m := c.Matrix(f)
		s := OfChain(m.A, m.B, m.C, m.D, 2600, 50)
		z := c.InputImpedance(f, 50)
		near(t, (z-2600)/(z+2600), s[0][0], 1e-10)
		assert.InDelta(t, 1, math.Pow(cmplx.Abs(s[0][0]), 2)+math.Pow(cmplx.Abs(s[1][0]), 2), 1e-9)
		near(t, s[1][0], s[0][1], 1e-12, "reciprocal")
	}
}

func TestInterpolation(t *testing.T) {
	d := &Data{Ports: 1, Kind: Impedance, Reference: [2]float64{50},
		Points: []Point{{1e6, Matrix{{10}}}, {3e6, Matrix{{20 + 8i}}}, {4e6, Matrix{{1}}}}}
	for f, want := range map[float64]complex128{1e6: 10, 1.5e6: 12.5 + 2i, 3e6: 20 + 8i, 4e6: 1} {
		m, ok := d.At(f)
		require.True(t, ok)
		near(t, want, m[0][0], 1e-14)
	}
	for _, f := range []float64{0, 0.999e6, 4.001e6, math.Inf(1), math.NaN()} {
		_, ok := d.At(f)
		assert.False(t, ok, "%g: nothing is extrapolated", f)
	}
}
