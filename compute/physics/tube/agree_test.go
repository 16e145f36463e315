package tube

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The idle point on a falling line, by halving in the current, for every type
// and for lines from stiff to hopelessly soft.
func TestIdleOnALine(t *testing.T) {
	for _, typ := range All() {
		if typ.Kind == NoModel {
			continue
		}
		m, open := typ.Model, 2000.0
		for _, ohms := range []float64{0, 50, 500, 20e3} {
			for _, bias := range []float64{0, 5, 20} {
				line := func(i float64) float64 { return math.Max(0, open-ohms*i) }
				lo, hi := 0.0, 10.0
				for range 200 {
					i := (lo + hi) / 2
					if plate, _ := m.Currents(-bias, line(i)-bias); 2*plate > i {
						lo = i
					} else {
						hi = i
					}
				}
				for _, start := range []float64{100, 1900, 5000} {
					p, err := IdleOn(m, bias, 2, start, func(i float64) (float64, error) { return line(i), nil })
					require.NoError(t, err)
					assert.InDelta(t, line(lo), p.PlateVoltage, 1e-3, "%s %g Ω %g V from %g V", typ.Name, ohms, bias, start)
					assert.InDelta(t, lo, 2*p.PlateCurrent(), 1e-6+1e-4*lo, "%s %g Ω %g V from %g V", typ.Name, ohms, bias, start)
				}
			}
		}
	}
}

func TestAgreeTellsErrors(t *testing.T) {
	broken := errors.New("broken")
	_, err := Agree(1000, func(float64) (float64, error) { return 0, broken })
	assert.ErrorIs(t, err, broken)
	// a supply that gives out above some current is looked for below it
	v, err := Agree(3000, func(v float64) (float64, error) {
		if v > 1500 {
			return 0, broken
		}
		return 2000 - v, nil
	})
	require.NoError(t, err)
	assert.InDelta(t, 1000, v, 1e-3)
	_, err = Agree(1000, func(v float64) (float64, error) { return v + 1, nil })
	assert.Error(t, err, "a supply that runs away")
}

// The crest at another plate voltage: the load is kept, and so is the voltage
// of the source behind its resistance.
func TestAtPlateVoltage(t *testing.T) {
	typ, p := nominal(t)
	for _, rs := range []float64{0, p.InputResistance} {
		e := p.DriveVoltage + rs*(p.Plate[1]+p.Grid[1])
		for _, share := range []float64{0.9, 1, 1.03, 1.1} {
			q, err := AtPlateVoltage(typ.Model, p, rs, share*p.PlateVoltage)
			require.NoError(t, err)
			assert.InEpsilon(t, share*p.PlateVoltage, q.PlateVoltage, 1e-12)
			assert.InEpsilon(t, p.PlateLoad, q.PlateLoad, 1e-5, "%g Ω %g", rs, share)
			assert.InEpsilon(t, e, q.DriveVoltage+rs*(q.Plate[1]+q.Grid[1]), 1e-5, "%g Ω %g", rs, share)
			assert.Less(t, math.Abs(q.Balance()), 1e-9)
		}
	}
	_, err := AtPlateVoltage(typ.Model, p, 0, math.NaN())
	assert.Error(t, err)
}

// The worst third order over drives is the greatest of those that TwoTone finds
// at each drive by itself, the source turned down by as many decibels; the
// quick one lies near it.
func TestWorstThird(t *testing.T) {
	less := []float64{3, 6, 10}
	for _, typ := range All() {
		if typ.Kind == NoModel || typ.Family != "" {
			continue
		}
		for _, c := range typ.ColumnsEach() {
			p, err := atColumn(typ.Model, c)
			require.NoError(t, err)
			rs := p.InputResistance
			s, err := newSource(typ.Model, p, rs)
			require.NoError(t, err)
			x, err := TwoTone(typ.Model, p, rs)
			require.NoError(t, err)
			want := x.Order3
			for _, db := range less {
				x, err := TwoTone(typ.Model, At(typ.Model, s.at(math.Pow(10, -db/20))), rs)
				require.NoError(t, err)
				want = math.Max(want, x.Order3)
			}
			got, err := WorstThird(typ.Model, p, rs, less...)
			require.NoError(t, err)
			assert.InDelta(t, want, got, 0.15, "%s %s", typ.Name, c.Name)
			quick, err := QuickThird(typ.Model, p, rs, less...)
			require.NoError(t, err)
			if want > -45 {
				assert.InDelta(t, want, quick, 0.5, "%s %s", typ.Name, c.Name)
			}
		}
	}
}

// Means without what a single point is asked for are those of the whole point.
func TestMeansAreThoseOfThePoint(t *testing.T) {
	typ, p := nominal(t)
	l := typ.Model.law()
	f := l.means(&p.Conditions)
	for _, x := range [][2]float64{{p.Plate[0], f.plate}, {p.Plate[1], f.plate1}, {p.Grid[0], f.grid}, {p.Grid[1], f.grid1},
		{p.PlateDissipation, f.plateHeat}, {p.GridDissipation, f.gridHeat}} {
		assert.InEpsilon(t, x[0], x[1], 1e-12)
	}
}
