package network

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/data/preferred"
)

// Published check 3.2, last row: 50 to 135 Ω at 28.03 MHz with Q = 2.7 on the
// higher side, 0.5 %; and the same from the other end.
func TestInputPiAgainstTextbook(t *testing.T) {
	n, err := DesignInputPi(InputPiInput{Frequency: 28.03e6, LoadedQ: 2.7, CathodeResistance: 135})
	require.NoError(t, err)
	assert.InEpsilon(t, 163.4e-12, n.ShuntIn, 0.005)
	assert.InEpsilon(t, 382.7e-9, n.Inductance, 0.005)
	assert.InEpsilon(t, 113.6e-12, n.ShuntOut, 0.005)
	m, err := DesignInputPi(InputPiInput{Frequency: 28.03e6, LoadedQ: 2.7, SourceResistance: 135, CathodeResistance: 50})
	require.NoError(t, err)
	assert.InEpsilon(t, n.ShuntIn, m.ShuntOut, 1e-9)
	assert.InEpsilon(t, n.Inductance, m.Inductance, 1e-9)
}

// Any lossy input network, with or without a cable, is a match at its
// frequency (1e-6), and no more comes out than goes in.
func TestInputPiMatches(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	solved := 0
	for range 3000 {
		in := InputPiInput{Frequency: 1e6 * (1.8 + 28*r.Float64()), LoadedQ: 1 + 3*r.Float64(),
			CathodeResistance: 20 + 130*r.Float64(), CathodeCapacitance: 60e-12 * r.Float64(), CoilQ: 60 + 100*r.Float64()}
		if r.IntN(2) == 0 {
			in.CableImpedance, in.CableDelay, in.CableLoss = 50, 3e-9*r.Float64(), 0.05
		}
		n, err := DesignInputPi(in)
		if err != nil {
			var none *NoMatchError
			require.ErrorAs(t, err, &none)
			continue
		}
		solved++
		require.InDelta(t, 1, n.InputSWR, 1e-6)
		require.Less(t, n.Transmission, 1.0)
		require.Greater(t, n.Transmission, 0.8)
		require.Equal(t, n.Held, n.LoadedQ != in.LoadedQ)
		heat := 0.0
		for _, s := range n.Stress(100) {
			heat += s.Power
		}
		require.InDelta(t, 100*(1-n.Transmission), heat, 1e-6)
	}
	assert.Greater(t, solved, 2500)
}

// With capacitors off by a known amount the coil finds a better match than the
// design value would, and no neighbour is better still.
func TestStandardCapacitors(t *testing.T) {
	n, err := DesignInputPi(InputPiInput{Frequency: 3.65e6, LoadedQ: 2, CathodeResistance: 65, CathodeCapacitance: 20e-12, CoilQ: 100})
	require.NoError(t, err)
	s := n.With(preferred.E12.Nearest(n.ShuntIn), preferred.E12.Nearest(n.ShuntOut))
	fixed := *s
	for _, l := range []float64{n.Inductance, s.Inductance * 1.003, s.Inductance * 0.997} {
		fixed.Inductance = l
		fixed.build()
		assert.LessOrEqual(t, s.InputSWR, fixed.InputSWR+1e-9)
	}
	assert.Less(t, s.InputSWR, 1.3)
	assert.Greater(t, s.SWR(3.5e6, 65), s.InputSWR)
	assert.InDelta(t, s.InputSWR, s.SWR(3.65e6, 65), 1e-12)
	assert.Greater(t, s.SWR(3.65e6, 130), 1.5)

	same := n.With(n.ShuntIn, n.ShuntOut)
	assert.InEpsilon(t, n.Inductance, same.Inductance, 1e-4)
}

func TestInputPiErrors(t *testing.T) {
	_, err := DesignInputPi(InputPiInput{Frequency: 7e6, LoadedQ: 0.5, CathodeResistance: 100})
	var none *NoMatchError
	require.ErrorAs(t, err, &none)
	assert.InDelta(t, 1, none.LeastQ, 1e-6) // √(100/50 − 1), lossless L network
	for _, in := range []InputPiInput{{}, {Frequency: 7e6, LoadedQ: 1, CathodeResistance: math.Inf(1)},
		{Frequency: 7e6, LoadedQ: 1, CathodeResistance: 60, CoilQ: -1}} {
		_, err := DesignInputPi(in)
		assert.Error(t, err)
	}
}

func BenchmarkDesignInputPi(b *testing.B) {
	in := InputPiInput{Frequency: 3.65e6, LoadedQ: 2, CathodeResistance: 65, CathodeCapacitance: 20e-12, CoilQ: 100}
	for b.Loop() {
		if _, err := DesignInputPi(in); err != nil {
			b.Fatal(err)
		}
	}
}
