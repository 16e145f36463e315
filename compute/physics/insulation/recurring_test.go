package insulation

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/data/source"
)

// IEC 60664-1:2020 Table F.8, case A: kV, mm.
var recurringRows = [][2]float64{
	{0.4, 0.02}, {0.5, 0.04}, {0.6, 0.06}, {0.8, 0.13}, {1.0, 0.26}, {1.2, 0.42}, {1.5, 0.76}, {2, 1.27},
	{2.5, 1.8}, {3, 2.4}, {4, 3.8}, {5, 5.7}, {6, 7.9}, {8, 11}, {10, 15.2},
	{12, 19}, {15, 25}, {20, 34}, {25, 44}, {30, 55}, {40, 77}, {50, 100},
}

func TestRecurringClearance(t *testing.T) {
	for k, row := range recurringRows {
		d, err := RecurringClearance(row[0]*1e3, false)
		require.NoError(t, err)
		assert.InDelta(t, row[1]*mm, d, 1e-9)
		// Reinforced: the voltage counts 1.6 times, so that 1/1.6 of it asks for
		// the same distance, and a little more for the next row.
		d, err = RecurringClearance(row[0]*1e3/1.6, true)
		require.NoError(t, err)
		assert.InDelta(t, row[1]*mm, d, 1e-9)
		if k+1 < len(recurringRows) {
			for _, reinforced := range []bool{false, true} {
				v := row[0]*1e3 + 0.1
				if reinforced {
					v /= 1.6
				}
				d, err = RecurringClearance(v, reinforced)
				require.NoError(t, err)
				assert.InDelta(t, recurringRows[k+1][1]*mm, d, 1e-9, "next row up")
			}
		}
		// From 0.8 kV on it asks for more than the impulse table at pollution
		// degree 1, 0.1 mm at 0.8 and 0.15 mm at 1 kV; above, where both degrees
		// have the same figures, than F.2 itself.
		if row[0] >= 1.5 {
			f2, err := ImpulseClearance(row[0]*1e3, Inhomogeneous)
			require.NoError(t, err)
			assert.Greater(t, row[1]*mm, f2, "%v kV", row[0])
		}
		// The table after IEC 60950 asks for more still, as basic insulation.
		if row[0] <= 42 {
			basic, err := SecondaryClearance(row[0]*1e3, false)
			require.NoError(t, err)
			assert.Greater(t, basic, row[1]*mm)
		}
	}
	_, err := RecurringClearance(50.1e3, false)
	assert.ErrorIs(t, err, ErrRange)
	_, err = RecurringClearance(31.3e3, true)
	assert.ErrorIs(t, err, ErrRange)
	_, err = RecurringClearance(math.NaN(), false)
	assert.ErrorIs(t, err, ErrRange)
}

// IEC 60664-1 Table F.1, and the steps for reinforced insulation.
func TestImpulses(t *testing.T) {
	for _, row := range [][5]float64{
		{50, 330, 500, 800, 1500}, {100, 500, 800, 1500, 2500}, {150, 800, 1500, 2500, 4000}, {300, 1500, 2500, 4000, 6000},
		{600, 2500, 4000, 6000, 8000}, {1000, 4000, 6000, 8000, 12000}, {1500, 6000, 8000, 10000, 15000},
	} {
		for c := CategoryI; c <= CategoryIV; c++ {
			v, err := RatedImpulse(row[0], c)
			require.NoError(t, err)
			assert.Equal(t, row[1+c], v)
		}
	}
	v, err := RatedImpulse(150.1, CategoryII)
	require.NoError(t, err)
	assert.Equal(t, 2500.0, v)
	_, err = RatedImpulse(1501, CategoryII)
	assert.ErrorIs(t, err, ErrRange)
	_, err = RatedImpulse(100, CategoryIV+1)
	assert.Error(t, err)
	for impulse, want := range map[float64]float64{330: 500, 500: 800, 800: 1500, 1500: 2500, 2500: 4000, 4000: 6000, 6000: 8000,
		8000: 12000, 12000: 19200, 10000: 16000, 2000: 3200} {
		assert.InEpsilon(t, want, ReinforcedImpulse(impulse), 1e-12)
	}
}

// IEC 60664-4 Tables 1 and 2.
func TestRadioFrequency(t *testing.T) {
	for _, row := range [][2]float64{{600, 0.065}, {800, 0.18}, {1000, 0.5}, {1200, 1.4}, {1400, 2.35}, {1600, 4}, {1800, 6.7},
		{2000, 11}} {
		d, err := RadioClearance(row[0])
		require.NoError(t, err)
		assert.InDelta(t, row[1]*mm, d, 1e-9)
	}
	d, err := RadioClearance(1601)
	require.NoError(t, err)
	assert.InDelta(t, 6.7*mm, d, 1e-9)
	_, err = RadioClearance(2001)
	assert.ErrorIs(t, err, ErrRange)
	for _, row := range [][3]float64{{1, 300, 0.09}, {1, 700, 20}, {2, 200, 0.15}, {2, 500, 20}, {3, 100, 0.3}, {3, 200, 2.8},
		{3, 300, 20}, {2.1, 300, 20}, {1.9, 500, 20}, {0.5, 600, 5}} {
		d, err := RadioCreepage(row[1], row[0]*1e6)
		require.NoError(t, err)
		assert.InDelta(t, row[2]*mm, d, 1e-9, "%v", row)
	}
	for _, bad := range [][2]float64{{100, 3.01e6}, {301, 3e6}, {701, 1e6}, {100, 0}, {100, math.NaN()}} {
		_, err := RadioCreepage(bad[0], bad[1])
		assert.ErrorIs(t, err, ErrRange)
	}
}

// IEC 62368-1 Table 21: each row falls with frequency; ceramic that holds 10 kV
// at 50 Hz counts as 2.9 kV at 10 MHz.
func TestRadioStrengths(t *testing.T) {
	s := RadioStrengths()
	assert.NotPanics(t, func() { source.Mark(s.Known) })
	require.Len(t, s.Frequencies, 7)
	require.Len(t, s.Materials, 11)
	for _, m := range s.Materials {
		require.Len(t, m.Factors, 7, m.Name)
		for k, f := range m.Factors {
			assert.Positive(t, f)
			assert.LessOrEqual(t, f, 1.0)
			if k > 0 {
				assert.LessOrEqual(t, f, m.Factors[k-1], m.Name)
			}
		}
	}
	for _, c := range []struct {
		material     string
		megahertz, f float64
	}{{"ceramic", 10, 0.29}, {"ceramic", 5.01, 0.29}, {"ceramic", 5, 0.35}, {"PTFE", 1, 0.45}, {"phenolic", 1.01, 0.16},
		{"glass", 0.01, 0.37}} {
		f, err := s.At(c.material, c.megahertz*1e6)
		require.NoError(t, err)
		assert.Equal(t, c.f, f, "%v", c)
	}
	_, err := s.At("ceramic", 10.1e6)
	assert.ErrorIs(t, err, ErrRange)
	_, err = s.At("bread", 1e6)
	assert.Error(t, err)
}
