package network

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/physics/twoport"
)

func full() TankInput {
	return TankInput{Frequency: 3.65e6, PlateLoad: 1700, LoadedQ: 12, TubeCapacitance: 22e-12,
		ChokeInductance: 90e-6, ChokeCapacitance: 1.5e-12, Blocking: 1e-9, CoilQ: 300, SafetyChoke: 1e-3}
}

// Published check 3.3 through the exact design: without losses and strays it
// is the textbook pi.
func TestLosslessTankIsTheTextbookPi(t *testing.T) {
	for _, r := range []float64{1000, 2000, 4000} {
		for _, q := range []float64{10, 12, 15} {
			p, err := PiByInputQ(r, 50, q)
			require.NoError(t, err)
			tank, err := DesignTank(TankInput{Frequency: 7e6, PlateLoad: r, LoadedQ: q})
			require.NoError(t, err)
			assert.InEpsilon(t, farads(p.Input, 7e6), tank.TuneCapacitance, 1e-9)
			assert.InEpsilon(t, henries(p.Series, 7e6), tank.Inductance, 1e-9)
			assert.InEpsilon(t, farads(p.Output, 7e6), tank.LoadCapacitance, 1e-9)
			assert.InDelta(t, 1, tank.Efficiency, 1e-12)
		}
	}
}

// Published check 3.5: R1 = 2000, Q = 12, 0.1 %.
func TestComponentValues(t *testing.T) {
	for _, row := range [][8]float64{
		{1.85, 516.2, 16.162, 2787.7, 516.2, 19.645, 1947.5, 9.618},
		{3.6, 265.3, 8.305, 1432.6, 265.3, 10.095, 1000.8, 4.943},
		{14.15, 67.5, 2.113, 364.5, 67.5, 2.568, 254.6, 1.258},
		{28.5, 33.5, 1.049, 181.0, 33.5, 1.275, 126.4, 0.624},
	} {
		in := TankInput{Frequency: row[0] * 1e6, PlateLoad: 2000, LoadedQ: 12}
		pi, err := DesignTank(in)
		require.NoError(t, err)
		in.PiL, in.IntermediateResistance = true, 300
		pil, err := DesignTank(in)
		require.NoError(t, err)
		for i, got := range []float64{pi.TuneCapacitance * 1e12, pi.Inductance * 1e6, pi.LoadCapacitance * 1e12,
			pil.TuneCapacitance * 1e12, pil.Inductance * 1e6, pil.LoadCapacitance * 1e12, pil.OutputInductance * 1e6} {
			assert.InEpsilon(t, row[i+1], got, 0.001, "column %d at %g MHz", i, row[0])
		}
	}
}

// Published check 3.6: harmonic attenuation of the lossless network, last
// digit; headline of the Radio Handbook 35 and 50 dB within 3 dB.
func TestHarmonicAttenuation(t *testing.T) {
	for _, row := range [][6]float64{
		{1500, 8, 32.59, 44.30, 45.27, 61.18}, {1500, 10, 35.53, 47.41, 46.78, 62.61},
		{1500, 15, 39.92, 51.90, 49.61, 65.34}, {1500, 20, 42.70, 54.71, 51.71, 67.37},
		{2000, 8, 31.42, 42.84, 45.20, 61.18}, {2000, 12, 37.10, 48.99, 47.92, 63.76},
		{2000, 15, 39.55, 51.50, 49.47, 65.24}, {2000, 20, 42.41, 54.41, 51.53, 67.23},
		{3000, 8, 28.49, 38.26, 45.18, 61.27}, {3000, 10, 33.45, 44.89, 46.65, 62.64},
		{3000, 12, 36.19, 47.92, 47.86, 63.77}, {3000, 20, 41.99, 53.95, 51.36, 67.12},
	} {
		in := TankInput{Frequency: 7e6, PlateLoad: row[0], LoadedQ: row[1]}
		pi, err := DesignTank(in)
		require.NoError(t, err)
		in.PiL, in.IntermediateResistance = true, 300
		pil, err := DesignTank(in)
		require.NoError(t, err)
		for i, got := range []float64{pi.Response(14e6), pi.Response(21e6), pil.Response(14e6), pil.Response(21e6)} {
			assert.InDelta(t, row[i+2], -got, 0.0051)
		}
		if row[1] == 12 {
			assert.InDelta(t, 35, -pi.Response(14e6), 3)
			assert.InDelta(t, 50, -pil.Response(14e6), 3)
		}
	}
}

// Harmonic currents add their own decibels: half-sine pulse, check 1.4c and
// 1.4h (2/(3π) against ½: −7.44 dB).
func TestHarmonicsOfAPulse(t *testing.T) {
	tank, err := DesignTank(TankInput{Frequency: 7e6, PlateLoad: 2000, LoadedQ: 12})
	require.NoError(t, err)
	levels := tank.Harmonics([]float64{0.5, 2 / (3 * math.Pi), 0, -2 / (15 * math.Pi)})
	assert.Zero(t, levels[0])
	assert.InDelta(t, -37.10-7.44, levels[1], 0.02)
	assert.True(t, math.IsInf(levels[2], -1))
	assert.InDelta(t, tank.Response(28e6)+20*math.Log10(0.04244/0.5), levels[3], 0.01)
}

// Published check 3.7a: 1250 Ω, Q 12.5, 14 MHz: 113.7 pF of which 10 pF are
// the tube's (0.1 pF); at 28 MHz about 57 and 47 pF (0.3 pF).
func TestWorkedTank(t *testing.T) {
	in := TankInput{Frequency: 14e6, PlateLoad: 1250, LoadedQ: 12.5, TubeCapacitance: 10e-12}
	tank, err := DesignTank(in)
	require.NoError(t, err)
	assert.InDelta(t, 103.7, tank.TuneCapacitance*1e12, 0.1)
	in.Frequency = 28e6
	tank, err = DesignTank(in)
	require.NoError(t, err)
	assert.InDelta(t, 47, tank.TuneCapacitance*1e12, 0.3)
}

// Whatever stands in circuit, the plates see PlateLoad + j0 within 1e-6, the
// loss in the coil is I²·ωL/Q, and the power closes.
func TestPlatesSeeTheLoad(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	solved := 0
	for range 3000 {
		in := TankInput{
			Frequency: 1e6 * (1.8 + 28*r.Float64()), PlateLoad: 800 + 4000*r.Float64(), LoadedQ: 9 + 12*r.Float64(),
			TubeCapacitance: 1e-12 * (5 + 20*r.Float64()), ChokeInductance: 1e-6 * (40 + 150*r.Float64()),
			ChokeCapacitance: 2e-12 * r.Float64(), ChokeQ: 100, Blocking: 1e-9 * (0.5 + 2*r.Float64()),
			CoilQ: 100 + 300*r.Float64(), PiL: r.IntN(2) == 0, OutputCoilQ: 100 + 100*r.Float64(), SafetyChoke: 1e-3,
			MinimumTune: 15e-12,
		}
		tank, err := DesignTank(in)
		if err != nil {
			var none *NoMatchError
			require.ErrorAs(t, err, &none)
			continue
		}
		solved++
		require.InEpsilon(t, in.PlateLoad, tank.PlateResistance, 1e-6)
		require.InDelta(t, 0, tank.PlateReactance, 1e-6*in.PlateLoad)
		require.InEpsilon(t, tank.LoadedQ, 2*math.Pi*in.Frequency*in.PlateLoad*(in.TubeCapacitance+tank.TuneCapacitance), 1e-9)
		require.GreaterOrEqual(t, tank.TuneCapacitance, in.MinimumTune*(1-1e-12))
		require.Equal(t, tank.HeldAtMinimum, tank.LoadedQ > in.LoadedQ)

		stress := tank.Stress(1000)
		coil := stress[tank.Chain.Index(TankCoil)]
		require.InEpsilon(t, coil.CurrentRMS*coil.CurrentRMS*2*math.Pi*in.Frequency*tank.Inductance/in.CoilQ, coil.Power, 1e-9)
		heat := 0.0
		for _, s := range stress {
			heat += s.Power
		}
		require.InEpsilon(t, 1000/tank.Efficiency, 1000+heat, 1e-9)
	}
	assert.Greater(t, solved, 2000)
}

// The classical estimate of tank efficiency 1 − Q_L/Q_u holds within a few
// per cent of the loss for a pi whose output Q is small (any text; M). The
// output half adds to the stored energy, hence the one-sided margin.
func TestEfficiencyEstimate(t *testing.T) {
	tank, err := DesignTank(TankInput{Frequency: 7e6, PlateLoad: 3000, LoadedQ: 10, CoilQ: 300})
	require.NoError(t, err)
	loss := 1 - tank.Efficiency
	assert.Greater(t, loss, 10.0/300)
	assert.Less(t, loss, 1.25*10/300)
}

func TestMinimumTuneRaisesQ(t *testing.T) {
	in := TankInput{Frequency: 28.5e6, PlateLoad: 2000, LoadedQ: 12, TubeCapacitance: 12e-12, MinimumTune: 35e-12}
	tank, err := DesignTank(in)
	require.NoError(t, err)
	assert.True(t, tank.HeldAtMinimum)
	assert.InDelta(t, 35e-12, tank.TuneCapacitance, 1e-18)
	assert.InEpsilon(t, 2*math.Pi*28.5e6*2000*47e-12, tank.LoadedQ, 1e-12)
}

// Lossless, the least Q is √(R1/R2 − 1) (published check 3.7d).
func TestLeastQ(t *testing.T) {
	_, err := DesignTank(TankInput{Frequency: 7e6, PlateLoad: 5000, LoadedQ: 8})
	var none *NoMatchError
	require.True(t, errors.As(err, &none))
	assert.InDelta(t, math.Sqrt(99), none.LeastQ, 1e-6)
	assert.EqualError(t, err, "a loaded Q of 8 cannot be matched, the least that works is 9.95")

	_, err = DesignTank(TankInput{Frequency: 7e6, PlateLoad: 2000, LoadedQ: 60, CoilQ: 40})
	require.True(t, errors.As(err, &none))
	assert.Greater(t, none.MostQ, 20.0)
	assert.Less(t, none.MostQ, 40.0)
}

func TestTankErrors(t *testing.T) {
	for _, in := range []TankInput{
		{}, {Frequency: 7e6, PlateLoad: -1, LoadedQ: 12}, {Frequency: math.NaN(), PlateLoad: 1, LoadedQ: 1},
		{Frequency: 7e6, PlateLoad: 2000, LoadedQ: 12, CoilQ: -3},
		{Frequency: 7e6, PlateLoad: 2000, LoadedQ: 12, PiL: true, IntermediateResistance: 40},
	} {
		_, err := DesignTank(in)
		assert.Error(t, err)
	}
}

// The intermediate resistance is what the load capacitor's node sees.
func TestIntermediateResistance(t *testing.T) {
	in := full()
	in.PiL, in.OutputCoilQ = true, 150
	tank, err := DesignTank(in)
	require.NoError(t, err)
	assert.InDelta(t, DefaultIntermediate(1700, 50), tank.Input.IntermediateResistance, 1e-12)
	tail := twoport.Chain{Elements: tank.Chain.Elements[tank.Chain.Index(OutputCoil):]}
	y := 1 / tail.InputImpedance(in.Frequency, 50)
	assert.InEpsilon(t, tank.Input.IntermediateResistance, 1/real(y), 1e-9)
}

// With forward power held, the connector's voltage at the worst phase is
// (1 + ρ) times that at a matched load, and nothing is below the matched value.
func TestStressAtSWR(t *testing.T) {
	tank, err := DesignTank(full())
	require.NoError(t, err)
	flat, worst := tank.Stress(1500), tank.StressAtSWR(1500, 2)
	out := tank.Chain.Index(LoadCapacitor)
	assert.InEpsilon(t, PeakVoltage(1500, 50), flat[out].VoltagePeak, 1e-9)
	assert.InEpsilon(t, PeakVoltage(1500, 50)*4/3, worst[out].VoltagePeak, 1e-3)
	for i := range flat {
		assert.GreaterOrEqual(t, worst[i].VoltagePeak, flat[i].VoltagePeak, flat[i].Name)
		assert.InEpsilon(t, worst[i].CurrentPeak, worst[i].CurrentRMS*math.Sqrt2, 1e-12)
	}
	// The plates' voltage: √(2·P/η·R_p).
	assert.InEpsilon(t, PeakVoltage(1500/tank.Efficiency, 1700), flat[0].VoltagePeak, 1e-9)
}

// At the edges of the band of use the SWR is the one asked for; a higher
// loaded Q makes it narrower.
func TestBandwidth(t *testing.T) {
	width := func(q float64) float64 {
		in := full()
		in.LoadedQ = q
		tank, err := DesignTank(in)
		require.NoError(t, err)
		low, high, ok := tank.Bandwidth(RetuneSWR)
		require.True(t, ok)
		assert.InDelta(t, RetuneSWR, SWR(tank.Chain.InputImpedance(low, 50), 1700), 1e-3)
		assert.InDelta(t, RetuneSWR, SWR(tank.Chain.InputImpedance(high, 50), 1700), 1e-3)
		assert.Less(t, low, in.Frequency)
		assert.Greater(t, high, in.Frequency)
		return high - low
	}
	assert.Greater(t, width(10), width(20))
}

func BenchmarkDesignTank(b *testing.B) {
	in := full()
	in.PiL, in.OutputCoilQ = true, 150
	b.ReportAllocs()
	for b.Loop() {
		if _, err := DesignTank(in); err != nil {
			b.Fatal(err)
		}
	}
}
