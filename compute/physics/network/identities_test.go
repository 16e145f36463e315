package network

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// someTank is a tank with every loss and every part in circuit.
func someTank(r *rand.Rand) TankInput {
	return TankInput{
		Frequency: 1.8e6 * math.Pow(16, r.Float64()), PlateLoad: 800 + 3000*r.Float64(), LoadedQ: 10 + 8*r.Float64(),
		TubeCapacitance: 4e-12 * r.Float64(), ChokeInductance: 100e-6 + 100e-6*r.Float64(), Blocking: 1e-9 + 1e-9*r.Float64(),
		CoilQ: 150 + 300*r.Float64(), TuneQ: 300 + 4000*r.Float64(), LoadQ: 300 + 4000*r.Float64(),
		PiL: r.IntN(2) == 1, OutputCoilQ: 100 + 200*r.Float64(),
	}
}

// With lossy coils and capacitors the plates see their load, power in is power
// out and heat (1e-9), and the chain is reciprocal.
func TestLossyTank(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	for range 400 {
		in := someTank(r)
		tank, err := DesignTank(in)
		require.NoError(t, err)
		require.InEpsilon(t, in.PlateLoad, tank.PlateResistance, 1e-9)
		require.InDelta(t, 0, tank.PlateReactance, 1e-9*in.PlateLoad)
		list := tank.Stress(1000)
		heat := 0.0
		for _, s := range list {
			heat += s.Power
		}
		require.InEpsilon(t, 1000/tank.Efficiency, 1000+heat, 1e-9)
		c := list[tank.Chain.Index(TuneCapacitor)]
		require.InEpsilon(t, c.VoltageRMS*c.CurrentRMS/in.TuneQ, c.Power, 1e-5) // 1 + tan²δ is left out
		m := tank.Chain.Matrix(in.Frequency)
		require.InDelta(t, 0, cmplx.Abs(m.A*m.D-m.B*m.C-1), 1e-9)
	}
}

// Lossless limit: losses that go to nothing leave the lossless network, all
// power arrives, and the efficiency is one less by the losses' sum.
func TestLosslessLimit(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 9))
	for range 100 {
		in := someTank(r)
		in.CoilQ, in.TuneQ, in.LoadQ, in.OutputCoilQ = 0, 0, 0, 0
		ideal, err := DesignTank(in)
		require.NoError(t, err)
		require.InDelta(t, 1, ideal.Efficiency, 1e-9)
		const q = 1e8
		in.CoilQ, in.TuneQ, in.LoadQ, in.OutputCoilQ = q, q, q, q
		tank, err := DesignTank(in)
		require.NoError(t, err)
		assert.InEpsilon(t, ideal.Inductance, tank.Inductance, 1e-5)
		assert.InEpsilon(t, ideal.LoadCapacitance, tank.LoadCapacitance, 1e-5)
		assert.InDelta(t, 1, tank.Efficiency, 100/q)
	}
}

// A pi-L whose L section shrinks to nothing is the pi.
func TestPiLDegeneratesToPi(t *testing.T) {
	in := TankInput{Frequency: 7.1e6, PlateLoad: 2000, LoadedQ: 12, CoilQ: 300, TuneQ: 2000, LoadQ: 1500, Blocking: 1e-9,
		ChokeInductance: 1e-4}
	pi, err := DesignTank(in)
	require.NoError(t, err)
	in.PiL, in.OutputCoilQ, in.IntermediateResistance = true, 0, 50*(1+1e-10)
	pil, err := DesignTank(in)
	require.NoError(t, err)
	assert.Less(t, pil.OutputInductance*2*math.Pi*7.1e6, 1e-3)
	assert.InEpsilon(t, pi.Inductance, pil.Inductance, 1e-5)
	assert.InEpsilon(t, pi.LoadCapacitance, pil.LoadCapacitance, 1e-4)
	assert.InEpsilon(t, pi.TuneCapacitance, pil.TuneCapacitance, 1e-12)
	assert.InDelta(t, pi.Response(14.2e6), pil.Response(14.2e6), 1e-3)
}

// Nothing jumps over a band: the settings change evenly with frequency.
func TestSettingsAreContinuous(t *testing.T) {
	in := full()
	in.TuneQ, in.LoadQ, in.PiL, in.OutputCoilQ = 2000, 1000, true, 200
	var before *Tank
	for f := 3.5e6; f <= 4.0e6; f += 1e3 {
		in.Frequency = f
		now, err := DesignTank(in)
		require.NoError(t, err)
		if before != nil {
			assert.InEpsilon(t, before.Inductance, now.Inductance, 1e-3)
			assert.InEpsilon(t, before.TuneCapacitance, now.TuneCapacitance, 1e-3)
			assert.InEpsilon(t, before.LoadCapacitance, now.LoadCapacitance, 1e-3)
			assert.InEpsilon(t, before.Efficiency, now.Efficiency, 1e-4)
		}
		before = now
	}
}
