package rules

import (
	"math"
	"sort"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/data/source"
)

func set(t *testing.T, name string) Set {
	t.Helper()
	s, err := Lookup(name)
	require.NoError(t, err)
	return s
}

func TestSets(t *testing.T) {
	assert.Equal(t, []string{"general", "general-2020", "us"}, Names())
	for _, name := range Names() {
		s := set(t, name)
		assert.Equal(t, name, s.Name)
		assert.NotEmpty(t, s.Title)
		assert.Contains(t, s.Advice, "check")
		last := 0.0
		for _, b := range s.Bands {
			assert.Less(t, last, b.Low, b.Name)
			assert.Less(t, b.Low, b.High, b.Name)
			assert.NotEmpty(t, b.Citation, b.Name)
			assert.NotPanics(t, func() { source.Mark(b.Known) }, b.Name)
			assert.Equal(t, b.Power > 0, b.PowerCitation != "", b.Name)
			last = b.High
		}
		for _, file := range []string{name + ".toml", "duty.toml", "standards.toml"} {
			text, err := files.ReadFile(file)
			require.NoError(t, err)
			var into any = &Set{}
			switch file {
			case "duty.toml":
				into = &duty
			case "standards.toml":
				into = &standards
			}
			meta, err := toml.Decode(string(text), into)
			require.NoError(t, err)
			assert.Empty(t, meta.Undecoded(), file)
		}
	}
	_, err := Lookup("moon")
	assert.ErrorContains(t, err, "general, general-2020, us")
}

// 9.1, kHz: US, Region 1.
func TestBandEdges(t *testing.T) {
	for name, row := range map[string][4]float64{
		"160m": {1800, 2000, 1810, 2000}, "80m": {3500, 4000, 3500, 3800}, "40m": {7000, 7300, 7000, 7200},
		"30m": {10100, 10150, 10100, 10150}, "20m": {14000, 14350, 14000, 14350}, "17m": {18068, 18168, 18068, 18168},
		"15m": {21000, 21450, 21000, 21450}, "12m": {24890, 24990, 24890, 24990}, "10m": {28000, 29700, 28000, 29700},
	} {
		us, err := set(t, "us").Band(name)
		require.NoError(t, err)
		general, err := set(t, "general").Band(name)
		require.NoError(t, err)
		assert.Equal(t, row, [4]float64{us.Low / 1e3, us.High / 1e3, general.Low / 1e3, general.High / 1e3}, name)
	}
	b, err := set(t, "us").Band("60m")
	require.NoError(t, err)
	assert.Equal(t, []float64{5330.5e3, 5346.5e3, 5371.5e3, 5403.5e3}, b.Channels)
	b, err = set(t, "general").Band("60m")
	require.NoError(t, err)
	assert.Equal(t, [2]float64{5351.5e3, 5366.5e3}, [2]float64{b.Low, b.High})
	b, err = set(t, "us").Band("80m")
	require.NoError(t, err)
	assert.Equal(t, 3.75e6, b.Centre())
	_, err = set(t, "us").Band("11m")
	assert.ErrorContains(t, err, "160m")
}

// 9a to 9c.
func TestPowerLimits(t *testing.T) {
	us := set(t, "us")
	for band, want := range map[string]float64{"160m": 1500, "80m": 1500, "60m": 100, "40m": 1500, "30m": 200, "20m": 1500,
		"10m": 1500} {
		limit, ok, err := us.PowerLimit(band)
		require.NoError(t, err)
		require.True(t, ok)
		assert.Equal(t, want, limit.Watts, band)
		assert.Contains(t, limit.Citation, "97.313")
	}
	limit, _, err := us.PowerLimit("60m")
	require.NoError(t, err)
	assert.Contains(t, limit.Basis, "effective radiated")
	assert.Equal(t, "dipole", limit.Reference)
	general := set(t, "general")
	_, ok, err := general.PowerLimit("80m")
	require.NoError(t, err)
	assert.False(t, ok)
	limit, ok, err = general.PowerLimit("60m")
	require.NoError(t, err)
	require.True(t, ok)
	assert.Equal(t, 15.0, limit.Watts)
	assert.Equal(t, "EIRP", limit.Basis)
	assert.Equal(t, "isotropic", limit.Reference)
	assert.Equal(t, "transcribed (2)", limit.Known)
	_, _, err = us.PowerLimit("11m")
	assert.Error(t, err)
}

// 9d to 9h.
func TestEmissionLimits(t *testing.T) {
	us, general := set(t, "us"), set(t, "general")
	l, err := us.HarmonicLimit(1500)
	require.NoError(t, err)
	assert.Equal(t, 43.0, l.Attenuation)
	assert.InDelta(t, 75.2e-3, l.Power, 0.05e-3)
	assert.Equal(t, "mean", l.ReferencePower)

	l, err = us.OlderHarmonicLimit(1500)
	require.NoError(t, err)
	assert.InDelta(t, 44.8, l.Attenuation, 0.05)
	assert.InDelta(t, 50e-3, l.Power, 1e-9)
	l, err = us.OlderHarmonicLimit(100)
	require.NoError(t, err)
	assert.InDelta(t, 40, l.Attenuation, 1e-9)
	l, err = us.OlderHarmonicLimit(4)
	require.NoError(t, err)
	assert.InDelta(t, 30, l.Attenuation, 1e-9)

	l, err = us.VHFHarmonicLimit(100)
	require.NoError(t, err)
	assert.Equal(t, 60.0, l.Attenuation)
	// Up to 25 W: at most 25 µW and at least 40 dB, but nothing is asked of
	// what is weaker than 10 µW. By hand: 25 W/25 µW and 1 W/25 µW are 60 and
	// 46.02 dB; 0.25 W/25 µW and 0.1 W/10 µW 40 dB; 50 mW/10 µW 36.99 dB; of
	// 10 µW and less nothing.
	for power, want := range map[float64]float64{25: 60, 1: 46.0206, 0.25: 40, 0.2: 40, 0.1: 40, 0.05: 36.9897, 10e-6: 0, 1e-6: 0} {
		l, err = us.VHFHarmonicLimit(power)
		require.NoError(t, err)
		assert.InDelta(t, want, l.Attenuation, 1e-4, "%g W", power)
	}
	l, err = us.VHFHarmonicLimit(25.001)
	require.NoError(t, err)
	assert.Equal(t, 60.0, l.Attenuation)
	_, err = us.VHFHarmonicLimit(0)
	assert.Error(t, err)

	for power, want := range map[float64]float64{1: 43, 5: 50, 100: 50, 1500: 50, 2: 46.01} {
		l, err = general.HarmonicLimit(power)
		require.NoError(t, err)
		assert.InDelta(t, want, l.Attenuation, 0.05, "%g W", power) // printed to 0.1 dB
		assert.Equal(t, "peak envelope", l.ReferencePower)
	}
	_, err = general.OlderHarmonicLimit(100)
	assert.Error(t, err)
	_, err = us.HarmonicLimit(0)
	assert.Error(t, err)

	for f, want := range map[float64]float64{150e3: 10e3, 29e6: 10e3, 30e6: 100e3, 1e9: 100e3} {
		b, err := ReferenceBandwidth(f)
		require.NoError(t, err)
		assert.Equal(t, want, b)
	}
	_, err = ReferenceBandwidth(2e9)
	assert.Error(t, err)
}

func exposure(t *testing.T, s Set, megahertz float64, controlled bool) ExposureLimit {
	t.Helper()
	l, err := s.ExposureLimit(megahertz*1e6, controlled)
	require.NoError(t, err)
	return l
}

// 9.2: 47 CFR 1.1310 Table 1, mW/cm², and 9.3f.
func TestExposureLimits(t *testing.T) {
	us := set(t, "us")
	for _, row := range [][3]float64{
		{1.9, 100.0000, 49.8615}, {3.5, 73.4694, 14.6939}, {3.75, 64.0000, 12.8000}, {7.0, 18.3673, 3.6735},
		{7.15, 17.6048, 3.5210}, {10.1, 8.8227, 1.7645}, {14.0, 4.5918, 0.9184}, {14.175, 4.4792, 0.8958},
		{18.1, 2.7472, 0.5494}, {21.0, 2.0408, 0.4082}, {24.9, 1.4516, 0.2903}, {28.0, 1.1480, 0.2296}, {29.7, 1.0203, 0.2041},
	} {
		assert.InDelta(t, row[1], exposure(t, us, row[0], true).PowerDensity/10, 6e-5)
		assert.InDelta(t, row[2], exposure(t, us, row[0], false).PowerDensity/10, 6e-5)
	}
	// Each row of the table: MHz, E, H, S in mW/cm², minutes.
	for controlled, rows := range map[bool][][5]float64{
		true:  {{1, 614, 1.63, 100, 6}, {2, 614, 1.63, 100, 6}, {5, 1842. / 5, 4.89 / 5, 900. / 25, 6}, {50, 61.4, 0.163, 1.0, 6}},
		false: {{1, 614, 1.63, 100, 30}, {2, 412, 1.095, 45, 30}, {5, 824. / 5, 2.19 / 5, 180. / 25, 30}, {50, 27.5, 0.073, 0.2, 30}},
	} {
		for _, row := range rows {
			l := exposure(t, us, row[0], controlled)
			assert.InEpsilon(t, row[1], l.ElectricField, 1e-9)
			assert.InEpsilon(t, row[2], l.MagneticField, 1e-9)
			assert.InEpsilon(t, row[3]*10, l.PowerDensity, 1e-9)
			assert.InEpsilon(t, row[4]*60, l.Averaging, 1e-9)
			// The three are one plane wave, as the rule rounds them.
			assert.InEpsilon(t, l.PowerDensity, l.ElectricField*l.ElectricField/FreeSpaceImpedance, 0.01)
			assert.InEpsilon(t, l.PowerDensity, l.MagneticField*l.MagneticField*FreeSpaceImpedance, 0.01)
		}
	}
	l := exposure(t, us, 14, true)
	assert.InDelta(t, 131.57, l.ElectricField, 0.01)
	assert.InDelta(t, 0.3493, l.MagneticField, 1e-4)
	assert.InDelta(t, 4.5918, l.ElectricField*l.ElectricField/3770, 1e-3)
	assert.InEpsilon(t, 4.599, 37.7*l.MagneticField*l.MagneticField, 2e-3)
	for _, bad := range []float64{0.1e6, 400e6, math.NaN()} {
		_, err := us.ExposureLimit(bad, true)
		assert.Error(t, err)
	}
}

// ICNIRP 1998 (from memory): its laws must join at 10 MHz, and its power
// densities there are 10 and 2 W/m².
func TestInternationalExposure(t *testing.T) {
	s := set(t, "general")
	for controlled, want := range map[bool]float64{true: 10, false: 2} {
		above := exposure(t, s, 10, controlled)
		below := exposure(t, s, 9.999999, controlled)
		assert.False(t, above.FromFields)
		assert.True(t, below.FromFields)
		assert.Equal(t, "memory", above.Known)
		assert.InDelta(t, want, above.PowerDensity, 1e-12)
		assert.InEpsilon(t, above.PowerDensity, below.PowerDensity, 0.04)
		assert.InEpsilon(t, above.ElectricField, below.ElectricField, 0.02)
		assert.InEpsilon(t, above.MagneticField, below.MagneticField, 1e-6)
	}
	assert.InEpsilon(t, 87/math.Sqrt(7), exposure(t, s, 7, false).ElectricField, 1e-9)
}

// ICNIRP 2020 (from memory): the laws below 30 MHz must join the figures above
// it, 27.7 V/m and 0.073 A/m, 61 V/m and 0.16 A/m, within their rounding; and
// bands and emission limits are those of the set "general".
func TestNewerInternationalExposure(t *testing.T) {
	s, older := set(t, "general-2020"), set(t, "general")
	assert.Equal(t, older.Bands, s.Bands)
	assert.Equal(t, older.Spurious, s.Spurious)
	for controlled, want := range map[bool][2]float64{true: {61, 0.16}, false: {27.7, 0.073}} {
		below, above := exposure(t, s, 29.999999, controlled), exposure(t, s, 30.000001, controlled)
		assert.InEpsilon(t, want[0], below.ElectricField, 0.01)
		assert.InEpsilon(t, want[1], below.MagneticField, 0.03)
		assert.InEpsilon(t, above.PowerDensity, below.PowerDensity, 0.05)
		assert.Equal(t, map[bool]string{true: "memory", false: "transcribed (1)"}[controlled], below.Known)
	}
}

// 9.3a to 9.3e.
func TestExposureDistance(t *testing.T) {
	for erp, want := range map[float64]float64{44.25: 3.85, 15.3: 1.33, 30.6: 2.66} {
		s := PowerDensity(erp*IsotropicPerDipole, 19.6, GroundReflection)
		assert.InDelta(t, want, s*100, 0.01, "µW/cm²") // 1 W/m² = 100 µW/cm²
	}
	assert.InDelta(t, 33.4, 100*GroundReflection*IsotropicPerDipole/(4*math.Pi), 0.05)
	assert.InDelta(t, 0.2037, PowerDensity(1000, 10, GroundReflection)/10, 1e-4)
	assert.InDelta(t, 0.0796, PowerDensity(1000, 10, FreeSpace)/10, 1e-4)

	us := set(t, "us")
	eirp := EIRP(1500, 0, 2.2)
	for _, row := range [][3]float64{{3.75, 0.89, 1.99}, {7.15, 1.70, 3.80}, {14.175, 3.36, 7.52}, {28.5, 6.77, 15.13}} {
		near := Distance(eirp, exposure(t, us, row[0], true).PowerDensity, GroundReflection)
		far := Distance(eirp, exposure(t, us, row[0], false).PowerDensity, GroundReflection)
		assert.InDelta(t, row[1], near, 0.005*row[1]+0.001)
		assert.InDelta(t, row[2], far, 0.005*row[2])
		assert.InEpsilon(t, exposure(t, us, row[0], false).PowerDensity, PowerDensity(eirp, far, GroundReflection), 1e-12)
	}

	atAntenna := EIRP(1500, 0.8, 0)
	assert.InDelta(t, 1248, atAntenna, 1)
	cw, err := DutyFactor("cw")
	require.NoError(t, err)
	assert.InDelta(t, 250, AveragePower(atAntenna, cw, 0.5), 1)

	for mode, want := range map[string]float64{"carrier": 1, "processed-voice": 0.5, "cw": 0.4, "voice": 0.2} {
		f, err := DutyFactor(mode)
		require.NoError(t, err)
		assert.Equal(t, want, f)
	}
	assert.Equal(t, []string{"carrier", "cw", "processed-voice", "voice"}, Modes())
	_, err = DutyFactor("smoke")
	assert.ErrorContains(t, err, "processed-voice")
}

// 12a to 12c, 12j.
func TestStoredCharge(t *testing.T) {
	assert.Equal(t, 60.0, ResidualVoltage)
	assert.Equal(t, 5.0, ResidualTime)
	c, err := HarmlessCapacitance(3000)
	require.NoError(t, err)
	assert.InDelta(t, 15.0e-9, c, 1e-12)
	assert.InDelta(t, 20.0e-9, ExemptCharge/3000, 1e-12)
	assert.InDelta(t, 77.8e-9, 2*0.350/3000/3000, 0.05e-9)
	assert.InDelta(t, 4.44e-6, 2*HazardousEnergy/3000/3000, 0.005e-6)
	for peak, want := range map[float64]float64{100: 0.1e-6, 450: 0.1e-6, 451: 45e-6 / 451, 20e3: 0.7 / 4e8} {
		c, err = HarmlessCapacitance(peak)
		require.NoError(t, err)
		assert.InEpsilon(t, want, c, 1e-12)
	}
	c, err = HarmlessCapacitance(42)
	require.NoError(t, err)
	assert.True(t, math.IsInf(c, 1))
	_, err = HarmlessCapacitance(-1)
	assert.Error(t, err)
}

// 12n to 12q, and the ratings of NEC 210.3: 15, 20, 30, 40, 50 A. A load at
// four fifths still fits, and a hair more needs the next size.
func TestBranchCircuits(t *testing.T) {
	us, err := Lookup("us")
	require.NoError(t, err)
	m := us.Mains
	assert.Equal(t, []float64{15, 20, 30, 40, 50}, m.Ratings())
	for breaker, want := range map[float64]float64{15: 12, 20: 16, 30: 24, 40: 32, 50: 40} {
		assert.InDelta(t, want, ContinuousRating(breaker), 1e-9)
		c, err := m.BranchCircuit(want, true)
		require.NoError(t, err)
		assert.Equal(t, breaker, c.Breaker)
		c, err = m.BranchCircuit(breaker, false)
		require.NoError(t, err)
		assert.Equal(t, breaker, c.Breaker)
		c, err = m.BranchCircuit(want+0.01, true)
		if breaker == 50 {
			assert.Error(t, err)
		} else {
			require.NoError(t, err)
			assert.Greater(t, c.Breaker, breaker)
		}
	}
	for _, row := range [][4]float64{{15, 120, 1800, 1440}, {20, 120, 2400, 1920}, {20, 240, 4800, 3840}, {30, 240, 7200, 5760}} {
		assert.InDelta(t, row[2], row[0]*row[1], 1e-9)
		assert.InDelta(t, row[3], ContinuousRating(row[0])*row[1], 1e-9)
	}
	for current, gauge := range map[float64]int{15: 14, 20: 12, 30: 10} {
		c, err := m.BranchCircuit(current, false)
		require.NoError(t, err)
		assert.Equal(t, gauge, c.Gauge)
	}
	_, err = m.BranchCircuit(-1, false)
	assert.Error(t, err)
	for _, not := range []float64{25, 35, 45, 16, 60} {
		assert.False(t, m.Exists(not), not)
	}
	general, err := Lookup("general")
	require.NoError(t, err)
	assert.Equal(t, []float64{6, 10, 13, 16, 20, 25, 32, 40, 50, 63}, general.Mains.Ratings())
}

// Every set has mains sizes that rise, with a citation and a mark each; a cord
// that belongs on a circuit is never lighter than what its breaker protects.
func TestMainsOfEverySet(t *testing.T) {
	known := []string{"read", "transcribed (2)", "memory", "practice"}
	for _, name := range Names() {
		s, err := Lookup(name)
		require.NoError(t, err)
		m := s.Mains
		for _, list := range [][]float64{m.Ratings(), m.Fuses, m.Cords} {
			require.NotEmpty(t, list, name)
			assert.True(t, sort.Float64sAreSorted(list), name)
		}
		for _, text := range []string{m.Title, m.CircuitsCitation, m.FusesCitation, m.CordsCitation, m.ContinuousCitation,
			m.InstantaneousCitation} {
			assert.NotEmpty(t, text, name)
		}
		for _, k := range []string{m.FusesKnown, m.CordsKnown, m.ContinuousKnown, m.InstantaneousKnown} {
			assert.Contains(t, known, k, name)
		}
		assert.Equal(t, ContinuousLoadFactor, m.Continuous, name)
		for _, c := range m.Circuits {
			assert.Contains(t, known, c.Known, name)
			assert.LessOrEqual(t, c.LeastCord, c.Plug, name)
			assert.LessOrEqual(t, c.Plug, c.Breaker, name)
			assert.True(t, c.Gauge > 0 || c.Section > 0, name)
			_, ok := Most(m.Cords, c.Breaker)
			assert.True(t, ok, name)
		}
	}
	size, ok := Most([]float64{6, 10, 16}, 15.99)
	assert.True(t, ok)
	assert.Equal(t, 10.0, size)
	_, ok = Most([]float64{6, 10, 16}, 5.99)
	assert.False(t, ok)
}
