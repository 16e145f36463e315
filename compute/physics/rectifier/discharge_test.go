package rectifier

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// 6.5a: OpenStax, College Physics, ch. 21; 6.5b to 6.5d: R·C·ln(V0/60).
func TestDischargeRows(t *testing.T) {
	assert.InEpsilon(t, 120, DischargeTime(80e-6, 250e3, 1, 0.0025), 2e-3)
	assert.InEpsilon(t, 20, DischargeTime(80e-6, 250e3, math.E, 1), 1e-12)
	for _, row := range []struct{ volts, ohms, farads, seconds, joules, watts float64 }{
		{3000, 100e3, 50e-6, 19.56, 225, 90},
		{3200, 50e3, 40e-6, 7.95, 204.8, 204.8},
		{4000, 150e3, 30e-6, 18.90, 240, 106.7},
	} {
		assert.InEpsilon(t, row.seconds, DischargeTime(row.farads, row.ohms, row.volts, 60), 1e-3)
		assert.InEpsilon(t, row.joules, StoredEnergy(row.farads, row.volts), 1e-3)
		assert.InEpsilon(t, row.watts, row.volts*row.volts/row.ohms, 1e-3)
	}
	assert.Zero(t, DischargeTime(1, 1, 50, 60))
	assert.True(t, math.IsInf(DischargeTime(1, math.Inf(1), 3000, 60), 1))
}

// opened returns how long terminals and worst capacitor take to 60 V.
func opened(t *testing.T, s CapacitorString, open int, from float64) (terminals, worst float64) {
	t.Helper()
	d, err := s.Opened(open, from)
	require.NoError(t, err)
	terminals, worst, err = d.Until(60)
	require.NoError(t, err)
	return terminals, worst
}

// A string with its own resistors, the voltmeter's string across all of it,
// and none, one, two or all resistors open, against a run by the trapezoid rule
// of each single capacitor: currents by Ohm and Kirchhoff, nothing of the modes.
func TestOpenEqualisersAgainstRun(t *testing.T) {
	for _, s := range []CapacitorString{
		{Count: 11, Capacitance: 390e-6, Equaliser: 47e3, Bleeder: 4e6},  // the usual case: the meter's string hardly helps
		{Count: 8, Capacitance: 330e-6, Equaliser: 1e6, Bleeder: 800e3},  // bleeders so high that the meter's string does most
		{Count: 2, Capacitance: 100e-6, Equaliser: 22e3, Bleeder: 300e3}, // a doubler
		{Count: 3, Capacitance: 100e-6, Equaliser: 22e3, Bleeder: 22e3},
	} {
		for open := 0; open <= min(2, s.Count); open++ {
			const from = 3300.0
			v := make([]float64, s.Count)
			for k := range v {
				v[k] = from / float64(s.Count)
			}
			rate := func(v []float64) []float64 {
				sum := 0.0
				for _, x := range v {
					sum += x
				}
				out := make([]float64, len(v))
				for k, x := range v {
					i := sum / s.Bleeder
					if k >= open {
						i += x / s.Equaliser
					}
					out[k] = -i / s.Capacitance
				}
				return out
			}
			terminals, worst := opened(t, s, open, from)
			end := 1.2 * math.Max(terminals, worst)
			h := end / 200e3
			lastTerminals, lastWorst := 0.0, 0.0
			for clock := 0.0; clock < end; clock += h {
				a := rate(v)
				half := make([]float64, len(v))
				for k := range v {
					half[k] = v[k] + h*a[k]
				}
				b := rate(half)
				sum, most := 0.0, 0.0
				for k := range v {
					v[k] += h * (a[k] + b[k]) / 2
					sum += v[k]
					most = math.Max(most, math.Abs(v[k]))
				}
				if math.Abs(sum) > 60 {
					lastTerminals = clock + h
				}
				if most > 60 {
					lastWorst = clock + h
				}
			}
			assert.InEpsilon(t, lastTerminals, terminals, 1e-3, "%d of %d open", open, s.Count)
			assert.InEpsilon(t, lastWorst, worst, 1e-3, "%d of %d open", open, s.Count)
		}
		none, _ := opened(t, s, 0, 3300)
		assert.InEpsilon(t, s.Resistance()*s.OutputCapacitance()*math.Log(3300.0/60), none, 1e-9,
			"all whole is one exponential of both paths")
	}
}

func TestCapacitorString(t *testing.T) {
	s := CapacitorString{Count: 8, Capacitance: 400e-6, Equaliser: 50e3, Bleeder: math.Inf(1)}
	assert.InEpsilon(t, 400e3, s.Resistance(), 1e-12)
	assert.InEpsilon(t, 50e-6, s.OutputCapacitance(), 1e-12)
	assert.InEpsilon(t, 20*math.Log(50), DischargeTime(s.OutputCapacitance(), s.Resistance(), 3000, 60), 1e-12)

	// Without another path the orphaned capacitor keeps its 375 V for ever.
	terminals, worst := opened(t, s, 1, 3000)
	assert.True(t, math.IsInf(terminals, 1))
	assert.True(t, math.IsInf(worst, 1))

	// With one, compare against a fine Euler run of the same string.
	s.Bleeder = 200e3
	terminals, worst = opened(t, s, 1, 3000)
	u, w, clock := 375.0, 375.0, 0.0
	const h = 1e-3
	lastTerminals, lastWorst := 0.0, 0.0
	for clock < 3000 {
		i := (7*u + w) / s.Bleeder
		u, w = u-h*(u/s.Equaliser+i)/s.Capacitance, w-h*i/s.Capacitance
		clock += h
		if math.Abs(7*u+w) > 60 {
			lastTerminals = clock
		}
		if math.Max(math.Abs(u), math.Abs(w)) > 60 {
			lastWorst = clock
		}
	}
	assert.InEpsilon(t, lastTerminals, terminals, 1e-3)
	assert.InEpsilon(t, lastWorst, worst, 1e-3)
	assert.Greater(t, terminals, DischargeTime(s.OutputCapacitance(), s.Resistance(), 3000, 60))

	// One capacitor with only the external bleeder is a plain RC.
	one := CapacitorString{Count: 1, Capacitance: 50e-6, Equaliser: 50e3, Bleeder: 100e3}
	terminals, worst = opened(t, one, 1, 3000)
	assert.InEpsilon(t, DischargeTime(50e-6, 100e3, 3000, 60), terminals, 1e-9)
	assert.InEpsilon(t, terminals, worst, 1e-9)

	_, err := CapacitorString{}.Opened(1, 1)
	assert.Error(t, err)
	for _, open := range []int{-1, 9} {
		_, err = s.Opened(open, 1)
		assert.Error(t, err, "%d of 8", open)
	}
	whole, err := s.Opened(0, 1)
	require.NoError(t, err)
	_, _, err = whole.Until(0)
	assert.Error(t, err)
}

func TestRegulationResistance(t *testing.T) {
	// 5 % regulation at 2 A: 2100 V falls to 2000 V through 50 Ω.
	assert.InEpsilon(t, 50, RegulationResistance(0.05, 2100, 2), 1e-12)
}

// The two capacitors of a doubler stand in series at the output: both charged
// to half of it hold the energy of the capacitance seen there.
func TestDoublerCapacitorsStandInSeries(t *testing.T) {
	s := Supply{Circuit: Doubler, Capacitance: 100e-6}
	assert.InEpsilon(t, 2*StoredEnergy(100e-6, 1500), StoredEnergy(s.OutputCapacitance(), 3000), 1e-12)
	assert.InEpsilon(t, 50e-6, s.OutputCapacitance(), 1e-12)
	s.Circuit = Bridge
	assert.Equal(t, 100e-6, s.OutputCapacitance())
}
