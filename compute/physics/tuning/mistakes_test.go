package tuning

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The cheap mistakes are those of the full list, and a lost antenna is a
// reading like any other; energy closes in every one of them.
func TestMistakesAreThoseOfTheMap(t *testing.T) {
	for _, name := range []string{"3-500Z", "8877", "811A"} {
		s := pair(t, name, 3.75e6)
		s.PlateVoltage, s.SupplyResistance = s.PlateVoltage+150*2*s.Nominal.PlateCurrent(), 150
		full, err := Situations(s)
		require.NoError(t, err)
		of := map[string]Situation{}
		for _, x := range full {
			of[x.ID] = x
		}
		list, err := Mistakes(s)
		require.NoError(t, err)
		require.Len(t, list, 8)
		for _, x := range list {
			require.True(t, x.Reached, x.ID)
			assert.InDelta(t, 0, x.Reading.Balance, 1e-3, x.ID)
			want := of[x.ID].Reading
			switch x.ID {
			case AntennaOpen, AntennaShort:
				lost := s
				lost.Load = 50 * lostAntenna
				if x.ID == AntennaShort {
					lost.Load = 50 / lostAntenna
				}
				want, err = At(lost, x.Reading.Tune, x.Reading.Load)
				require.NoError(t, err)
				assert.Less(t, x.Reading.Output, 0.02*list[0].Reading.Output)
			case OffBelow, OffAbove:
				assert.InEpsilon(t, 0.5*list[0].Reading.Output, x.Reading.Output, 1.1e-3)
			}
			assert.InEpsilon(t, want.PlateCurrent, x.Reading.PlateCurrent, 1e-3, "%s %s", name, x.ID)
			assert.InEpsilon(t, want.GridCurrent, x.Reading.GridCurrent, 5e-3, "%s %s", name, x.ID)
			assert.InEpsilon(t, want.PlateDissipationEach, x.Reading.PlateDissipationEach, 5e-3, "%s %s", name, x.ID)
		}
		rows, err := Rows(s, 0.1, 1)
		require.NoError(t, err)
		assert.InEpsilon(t, of[Reduced].Reading.PlateCurrent, rows[0].PlateCurrent, 1e-6)
		assert.InEpsilon(t, of[Nominal].Reading.Output, rows[1].Output, 1e-6)
	}
}

func BenchmarkMistakes(b *testing.B) {
	s := pair(b, "3-500Z", 14.175e6)
	for b.Loop() {
		if _, err := Mistakes(s); err != nil {
			b.Fatal(err)
		}
	}
}
