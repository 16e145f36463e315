package tube

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The solved voltages put through the static law on 4096 points of the cycle
// give the solved currents, as long as the plate stays above the cathode.
func TestComplexLoadOnFineSamples(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	worst := 0.0
	for _, x := range catalogueColumns(t) {
		typ, c, p := x.typ, x.column, x.point
		for range 20 {
			z := complex(p.PlateLoad, 0) / complex(1/(0.3+r.Float64()), 4*r.Float64()-2)
			d, err := withComplexLoad(typ.Model, c.PlateVoltage.Value, c.Bias.Value, MatchedSource(p), z)
			require.NoError(t, err)
			if d.MinimumPlateVoltage < 0.02*c.PlateVoltage.Value {
				continue
			}
			const n = 4096
			var ip, ig float64
			var ip1 complex128
			for k := range n {
				s, x := math.Sincos(2 * math.Pi * float64(k) / n)
				vg := d.DriveVoltage*x - c.Bias.Value
				i, g := typ.Model.Currents(vg, c.PlateVoltage.Value-real(d.Swing)*x+imag(d.Swing)*s+vg)
				ip += i / n
				ig += g / n
				ip1 += complex(2*i/n, 0) * complex(x, -s)
			}
			assert.InEpsilon(t, ip, d.PlateCurrent, 5e-4, typ.Name)
			assert.InDelta(t, ig, d.GridCurrent, 5e-4*(ip+ig), typ.Name)
			assert.InDelta(t, 0, cmplx.Abs(ip1*z-d.Swing), 1e-3*c.PlateVoltage.Value, typ.Name)
			worst = math.Max(worst, cmplx.Abs(ip1*z-d.Swing)/c.PlateVoltage.Value)
		}
	}
	t.Logf("swing against load times current: %.1e of the plate voltage at most", worst)
	assert.Positive(t, worst)
}

// A warm start ends where a cold one does.
func TestComplexLoadWarm(t *testing.T) {
	typ, p := nominal(t)
	w, err := NewComplexLoad(typ.Model, 0, MatchedSource(p))
	require.NoError(t, err)
	for k := range 200 {
		z := complex(p.PlateLoad, 0) / complex(0.4+1.5*math.Abs(math.Sin(float64(k))), 3*math.Sin(7*float64(k)))
		v := 2500 + 300*math.Sin(3*float64(k))
		a, err := w.Solve(v, z)
		require.NoError(t, err)
		b, err := withComplexLoad(typ.Model, v, 0, MatchedSource(p), z)
		require.NoError(t, err)
		assert.InDelta(t, 0, cmplx.Abs(a.Swing-b.Swing), 1e-6*v)
		assert.InEpsilon(t, b.PlateDissipation, a.PlateDissipation, 1e-6)
	}
	_, err = w.Solve(0, 3000)
	require.Error(t, err)
	_, err = w.Solve(2500, complex(-1, 100))
	require.Error(t, err)
	_, err = NewComplexLoad(typ.Model, 0, Source{})
	require.Error(t, err)
	_, err = NewComplexLoad(Model{}, 0, MatchedSource(p))
	require.Error(t, err)
}

func BenchmarkComplexLoadWarm(b *testing.B) {
	typ, p := nominal(b)
	w, err := NewComplexLoad(typ.Model, 0, MatchedSource(p))
	require.NoError(b, err)
	k := 0
	for b.Loop() {
		k++
		if _, err := w.Solve(2500, complex(3000, 1000+float64(k%20)*20)); err != nil {
			b.Fatal(err)
		}
	}
}
