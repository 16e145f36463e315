package rectifier

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Any sane supply has a steady state whose energy and charge balance, and
// which running on for a few periods does not change.
func TestRandomSupplies(t *testing.T) {
	random := rand.New(rand.NewPCG(1943, 341))
	decades := func(lo, hi float64) float64 {
		return lo * math.Pow(hi/lo, random.Float64())
	}
	solved := 0
	for k := 0; k < 3000; k++ {
		s := Supply{
			Circuit: 1 + Circuit(random.IntN(3)), SecondaryVoltage: decades(5, 5000),
			MainsFrequency: []float64{50, 60, 400}[random.IntN(3)],
		}
		load := decades(1, 1e6) // output resistance
		s.SourceResistance = load * decades(1e-5, 1)
		s.Capacitance = decades(0.2, 5000) / (2 * math.Pi * s.MainsFrequency * load)
		s.DiodeDrop = s.SecondaryVoltage * 0.05 * random.Float64()
		if k%3 > 0 {
			s.DiodeResistance = s.SourceResistance * random.Float64()
			s.CapacitorResistance = load * decades(1e-5, 0.1)
		}
		constant := float64(random.IntN(3)) / 2
		s.LoadCurrent = constant * s.SecondaryVoltage / load
		if constant < 1 {
			s.LoadResistance = load / (1 - constant)
		}
		r, err := SteadyState(s)
		if errors.Is(err, ErrOverload) && s.LoadCurrent > 0 {
			continue
		}
		require.NoError(t, err, "%+v", s)
		solved++
		require.InEpsilon(t, r.SourcePower, r.SourceLoss+r.DiodeLoss+r.CapacitorLoss+r.OutputPower, 1e-9, "%+v", s)
		require.InEpsilon(t, r.LoadCurrent, r.Voltage*s.conductance()+s.LoadCurrent, 1e-9, "%+v", s)
		if k%20 == 0 {
			tr, err := LoadSteps(s, []Stage{{Duration: 4 / s.MainsFrequency, LoadCurrent: s.LoadCurrent}}, 0)
			require.NoError(t, err, "%+v", s)
			require.InDelta(t, r.start[0], tr.end[0], 1e-9*s.SecondaryVoltage, "%+v", s)
			require.InDelta(t, r.start[1], tr.end[1], 1e-9*s.SecondaryVoltage, "%+v", s)
		}
	}
	require.Greater(t, solved, 2000)
}

func BenchmarkColdStart(b *testing.B) {
	s := station(Bridge)
	s.LoadCurrent = 0
	stages := []Stage{{Duration: 1, SeriesResistance: 500}, {Duration: 0.5}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ColdStart(s, math.Pi/2, stages, 20); err != nil {
			b.Fatal(err)
		}
	}
}
