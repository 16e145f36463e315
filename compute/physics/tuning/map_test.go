package tuning

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/physics/tube"
)

// settings are n values around a centre, even by ratio from centre/span to
// centre·span.
func settings(centre, span float64, n int) []float64 {
	v := make([]float64, n)
	for k := range v {
		v[k] = centre * math.Pow(span, 2*float64(k)/float64(n-1)-1)
	}
	return v
}

// Power closes in every cell, from the supply and the exciter through tubes
// and tank to the connector, for every type, band and network.
func TestPowerCloses(t *testing.T) {
	cells := 0
	for _, s := range setups(t, false) {
		m, err := Map(s.Setup, settings(s.Tank.TuneCapacitance, 2, 15), settings(s.Tank.LoadCapacitance, 4, 15))
		require.NoError(t, err, s.name)
		for _, row := range m {
			for _, r := range row {
				cells++
				require.Less(t, math.Abs(r.Balance), 1e-6, "%s %+v", s.name, r)
				require.Less(t, r.DrivePower, 2*1.0001*s.Nominal.DrivePower, "%s: more than the source can give", s.name)
				require.True(t, r.TankEfficiency > 0 && r.TankEfficiency < 1)
				require.Less(t, r.PlateVoltageLow, s.PlateVoltage)
			}
		}
	}
	t.Logf("%d cells", cells)
}

// The nominal setting gives back the nominal point of the tubes, found by
// another solver on more samples.
func TestNominalReading(t *testing.T) {
	for _, s := range setups(t, true) {
		r, err := At(s.Setup, s.Tank.TuneCapacitance, s.Tank.LoadCapacitance)
		require.NoError(t, err)
		p := s.Nominal
		assert.InEpsilon(t, 2*p.Output*s.Tank.Efficiency, r.Output, 1e-3, s.name)
		assert.InEpsilon(t, 2*p.PlateCurrent(), r.PlateCurrent, 1e-3, s.name)
		assert.InEpsilon(t, 2*p.GridCurrent(), r.GridCurrent, 5e-3, s.name)
		assert.InEpsilon(t, 2*p.DrivePower, r.DrivePower, 1e-3, s.name)
		assert.InEpsilon(t, p.InputResistance/2, r.InputResistance, 1e-3, s.name)
		assert.InEpsilon(t, p.PlateDissipation, r.PlateDissipationEach, 3e-3, s.name)
		assert.InDelta(t, p.MinimumPlateVoltage, r.PlateVoltageLow, 1e-3*s.PlateVoltage, s.name)
		assert.InEpsilon(t, s.Tank.Efficiency, r.TankEfficiency, 1e-6)
		// and the setting is found again from the plate load
		tune, load, err := matched(s.Setup, p.PlateLoad/2)
		require.NoError(t, err)
		assert.InEpsilon(t, s.Tank.TuneCapacitance, tune, 1e-6, s.name)
		assert.InEpsilon(t, s.Tank.LoadCapacitance, load, 1e-6, s.name)
	}
}

// Warm starts give what a search from scratch gives.
func TestMapIsTheSameAsAt(t *testing.T) {
	s := pair(t, "3-500Z", 14.175e6)
	tunes, loads := settings(s.Tank.TuneCapacitance, 1.6, 9), settings(s.Tank.LoadCapacitance, 3, 7)
	m, err := Map(s, tunes, loads)
	require.NoError(t, err)
	again, err := Map(s, tunes, loads)
	require.NoError(t, err)
	assert.Equal(t, m, again)
	for i := range tunes {
		for j := range loads {
			r, err := At(s, tunes[i], loads[j])
			require.NoError(t, err)
			assert.Equal(t, tunes[i], m[i][j].Tune)
			assert.Equal(t, loads[j], m[i][j].Load)
			assert.InEpsilon(t, r.Output, m[i][j].Output, 1e-6)
			assert.InEpsilon(t, r.PlateCurrent, m[i][j].PlateCurrent, 1e-6)
			assert.InEpsilon(t, r.GridCurrent, m[i][j].GridCurrent, 1e-6)
			assert.Equal(t, r.Exceeds, m[i][j].Exceeds)
		}
	}
}

// The span of a map holds the safe region about the nominal setting, and what
// lies outside it.
func TestSpan(t *testing.T) {
	s := pair(t, "3-500Z", 14.175e6)
	tunes, loads, err := Span(s, 41)
	require.NoError(t, err)
	m, err := Map(s, tunes, loads)
	require.NoError(t, err)
	assert.True(t, m[20][20].Safe(), "nominal: %v", m[20][20].Exceeds)
	assert.InEpsilon(t, s.Tank.TuneCapacitance, tunes[20], 1e-6)
	assert.InEpsilon(t, s.Tank.LoadCapacitance, loads[20], 1e-6)
	assert.Contains(t, m[0][20].Exceeds, "plate dissipation")
	assert.Contains(t, m[40][20].Exceeds, "plate dissipation")
	assert.Contains(t, m[20][0].Exceeds, "plate dissipation")
	_, _, err = Span(s, 1)
	require.Error(t, err)
}

// Random settings anywhere a capacitor can stand, random antennas, drive and
// tube counts: every one is answered and closes.
func TestRandomSettings(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	list := setups(t, false)
	for range 3000 {
		s := list[r.IntN(len(list))]
		s.Drive = math.Pow(10, -1.5+2*r.Float64()) // -30 to +10 dB
		s.Tubes = 1 + r.IntN(4)
		s.Load = complex(50*math.Pow(10, 2*r.Float64()-1), 200*(2*r.Float64()-1))
		s.Frequency = s.Tank.Input.Frequency * (0.9 + 0.2*r.Float64())
		tune, load := 3e-9*math.Pow(r.Float64(), 3), 10e-9*math.Pow(r.Float64(), 3)
		x, err := At(s.Setup, tune, load)
		require.NoError(t, err, "%s %g %g drive %g load %v", s.name, tune, load, s.Drive, s.Load)
		require.Less(t, math.Abs(x.Balance), 1e-6, "%s %+v", s.name, x)
	}
}

func TestErrors(t *testing.T) {
	s := pair(t, "3-500Z", 14.175e6)
	for name, spoil := range map[string]func(*Setup){
		"no tank":        func(s *Setup) { s.Tank = nil },
		"no tubes":       func(s *Setup) { s.Tubes = 0 },
		"no voltage":     func(s *Setup) { s.PlateVoltage = 0 },
		"no nominal":     func(s *Setup) { s.Nominal = tube.Point{} },
		"no model":       func(s *Setup) { s.Model = tube.Model{} },
		"negative drive": func(s *Setup) { s.Drive = -1 },
		"open antenna":   func(s *Setup) { s.Load = complex(0, 100) },
		"negative":       func(s *Setup) { s.Frequency = -1 },
	} {
		x := s
		spoil(&x)
		_, err := At(x, 50e-12, 500e-12)
		require.Error(t, err, name)
		_, err = Map(x, []float64{50e-12}, []float64{500e-12})
		require.Error(t, err, name)
		if x.Drive >= 0 { // which Situations does not look at
			_, err = Situations(x)
			require.Error(t, err, name)
		}
		_, err = Path(x)
		require.Error(t, err, name)
	}
	_, err := At(s, -1e-12, 500e-12)
	require.Error(t, err)
	_, err = At(s, math.NaN(), 500e-12)
	require.Error(t, err)
	_, _, err = matched(s, 1)
	var out *OutOfReachError
	require.ErrorAs(t, err, &out)
	_, _, err = matched(s, 1e7)
	require.ErrorAs(t, err, &out)
}

// With a supply that sags, voltage and current lie on its line.
func TestSupplyLine(t *testing.T) {
	s := pair(t, "3-500Z", 3.75e6)
	held, err := At(s, s.Tank.TuneCapacitance*1.2, s.Tank.LoadCapacitance)
	require.NoError(t, err)
	nominal, err := At(s, s.Tank.TuneCapacitance, s.Tank.LoadCapacitance)
	require.NoError(t, err)
	for _, resistance := range []float64{0, 50, 300, 1500} {
		v0 := s.PlateVoltage + resistance*nominal.PlateCurrent
		s := s
		s.PlateVoltage, s.SupplyResistance = v0, resistance
		m, err := Map(s, settings(s.Tank.TuneCapacitance, 1.5, 11), settings(s.Tank.LoadCapacitance, 3, 11))
		require.NoError(t, err)
		for _, row := range m {
			for _, r := range row {
				require.InDelta(t, v0-resistance*r.PlateCurrent, r.PlateVoltage, 1e-8*r.PlateVoltage)
				require.Less(t, math.Abs(r.Balance), 1e-6)
			}
		}
		off, err := At(s, s.Tank.TuneCapacitance*1.2, s.Tank.LoadCapacitance)
		require.NoError(t, err)
		if resistance > 0 {
			assert.Less(t, off.PlateDissipationEach, held.PlateDissipationEach, "sag takes some of the heat away")
		} else {
			assert.InEpsilon(t, held.PlateDissipationEach, off.PlateDissipationEach, 1e-6)
		}
	}
}

func TestLimits(t *testing.T) {
	l := Limits{PlateDissipation: 100, GridCurrent: 0.1}
	r := Reading{PlateDissipationEach: 90, GridCurrent: 0.3, PlateCurrent: 5, GridDissipationEach: 7}
	assert.Equal(t, []string{"grid current"}, l.exceeded(&r, 2))
	assert.Nil(t, l.exceeded(&r, 4))
	name, factor := l.First(r, 2)
	assert.Equal(t, "grid current", name)
	assert.InDelta(t, 1.5, factor, 1e-12)
	name, factor = l.First(r, 4)
	assert.Equal(t, "plate dissipation", name)
	assert.InDelta(t, 0.9, factor, 1e-12)
	name, _ = Limits{}.First(r, 2)
	assert.Empty(t, name)
}

func BenchmarkAt(b *testing.B) {
	s := pair(b, "3-500Z", 14.175e6)
	for b.Loop() {
		if _, err := At(s, 1.1*s.Tank.TuneCapacitance, 1.2*s.Tank.LoadCapacitance); err != nil {
			b.Fatal(err)
		}
	}
}

func benchmarkMap(b *testing.B, s Setup) {
	tunes, loads := settings(s.Tank.TuneCapacitance, 1.6, 41), settings(s.Tank.LoadCapacitance, 3, 41)
	for b.Loop() {
		if _, err := Map(s, tunes, loads); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/41/41, "ns/cell")
}

func BenchmarkMap41(b *testing.B) { benchmarkMap(b, pair(b, "3-500Z", 14.175e6)) }

func BenchmarkMap41Ceramic(b *testing.B) { benchmarkMap(b, pair(b, "8877", 3.75e6)) }

func BenchmarkMap41Supply(b *testing.B) {
	s := pair(b, "3-500Z", 14.175e6)
	s.PlateVoltage, s.SupplyResistance = s.PlateVoltage+150*2*s.Nominal.PlateCurrent(), 150
	benchmarkMap(b, s)
}

func BenchmarkSituations(b *testing.B) {
	s := pair(b, "3-500Z", 14.175e6)
	for b.Loop() {
		if _, err := Situations(s); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPath(b *testing.B) {
	s := pair(b, "3-500Z", 14.175e6)
	for b.Loop() {
		if _, err := Path(s); err != nil {
			b.Fatal(err)
		}
	}
}

// matched tunes and loads a setup anew.
func matched(s Setup, resistance float64) (tune, load float64, err error) {
	b, err := newBench(s)
	if err != nil {
		return 0, 0, err
	}
	return b.match(resistance)
}
