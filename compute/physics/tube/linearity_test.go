package tube

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// columnPoint is a published column with the operating point found for it.
type columnPoint struct {
	typ    *Type
	column Column
	point  Point
}

// catalogueColumns are the columns of the fitted types, those of one family
// once.
func catalogueColumns(t testing.TB) (all []columnPoint) {
	t.Helper()
	for _, typ := range All() {
		if typ.Kind != Fitted || typ.Family != "" {
			continue
		}
		for _, c := range typ.ColumnsEach() {
			p, err := atColumn(typ.Model, c)
			require.NoError(t, err, "%s %s", typ.Name, c.Name)
			all = append(all, columnPoint{typ, c, p})
		}
	}
	return all
}

func nominal(t testing.TB) (*Type, Point) {
	typ, ok := Lookup("3-500Z")
	require.True(t, ok)
	p, err := ForPlateCurrentWithLoad(typ.Model, 2500, 0, 0.4, 3450)
	require.NoError(t, err)
	return typ, p
}

func TestEnvelopes(t *testing.T) {
	for _, e := range []Envelope{TwoToneEnvelope(8), TwoToneEnvelope(31), SpeechEnvelope(6), SpeechEnvelope(10), SpeechEnvelope(14),
		SingleToneEnvelope(0.5)} {
		sum := 0.0
		for i, w := range e.Weight {
			sum += w
			assert.True(t, w >= 0 && e.Level[i] >= 0 && e.Level[i] <= 1)
		}
		assert.InDelta(t, 1, sum, 1e-12, e.Name)
	}
	// two tones: mean power is half the peak envelope power
	assert.InDelta(t, 3.0103, TwoToneEnvelope(16).CrestFactor(), 1e-4)
	assert.InDelta(t, 10, SpeechEnvelope(10).CrestFactor(), 1e-6)
	assert.InDelta(t, 6, SpeechEnvelope(6).CrestFactor(), 1e-6)
	assert.InDelta(t, 3.0103, SingleToneEnvelope(0.5).CrestFactor(), 1e-4)
}

// The few levels of the envelopes give the means that many levels give.
func TestFewLevels(t *testing.T) {
	for _, x := range catalogueColumns(t) {
		typ, p := x.typ, x.point
		l := typ.Model.law()
		for level := 0.02; level <= 1; level += 0.07 {
			at := p.Conditions
			at.DriveVoltage *= level
			l.follow(&at, p, level)
			assert.InEpsilon(t, p.PlateLoad, At(typ.Model, at).PlateLoad, 1e-6, "%s at %.2f", typ.Name, level)
		}
		for _, crest := range []float64{6, 10, 14} {
			few, err := Average(typ.Model, p, SpeechEnvelope(crest))
			require.NoError(t, err)
			many, err := Average(typ.Model, p, speechEnvelope(crest, 120))
			require.NoError(t, err)
			assert.InEpsilon(t, many.PlateCurrent, few.PlateCurrent, 4e-4, "%s %v dB", typ.Name, crest)
			assert.InEpsilon(t, many.PlateCurrentSquare, few.PlateCurrentSquare, 4e-4, "%s %v dB", typ.Name, crest)
			assert.InEpsilon(t, many.PlateDissipation, few.PlateDissipation, 4e-4, "%s %v dB", typ.Name, crest)
			assert.InEpsilon(t, many.Output, few.Output, 4e-4, "%s %v dB", typ.Name, crest)
		}
		few, err := Average(typ.Model, p, TwoToneEnvelope(12))
		require.NoError(t, err)
		many, err := Average(typ.Model, p, TwoToneEnvelope(120))
		require.NoError(t, err)
		assert.InEpsilon(t, many.PlateCurrent, few.PlateCurrent, 5e-4, typ.Name)
		assert.InEpsilon(t, many.PlateDissipation, few.PlateDissipation, 5e-4, typ.Name)
		assert.InEpsilon(t, many.GridCurrent, few.GridCurrent, 1e-3, typ.Name)
	}
}

func TestAverages(t *testing.T) {
	typ, p := nominal(t)
	for _, e := range []Envelope{TwoToneEnvelope(24), SpeechEnvelope(10), SingleToneEnvelope(1)} {
		a, err := Average(typ.Model, p, e)
		require.NoError(t, err)
		in, out := a.PlateInput+a.DrivePower, a.Output+a.PlateDissipation+a.GridDissipation+a.BiasLoss
		assert.InEpsilon(t, in, out, 1e-9, e.Name)
	}
	whole, err := Average(typ.Model, p, SingleToneEnvelope(1))
	require.NoError(t, err)
	assert.InEpsilon(t, p.Output, whole.Output, 1e-8)
	two, err := Average(typ.Model, p, TwoToneEnvelope(24))
	require.NoError(t, err)
	// linear service: half the peak envelope power within the gain error, and
	// the published two-tone plate current 280 mA (data sheet, from memory)
	assert.InEpsilon(t, p.Output/2, two.Output, 0.12)
	assert.InEpsilon(t, 0.280, two.PlateCurrent, 0.05)
	speech, err := Average(typ.Model, p, SpeechEnvelope(10))
	require.NoError(t, err)
	assert.Less(t, speech.PlateCurrent, two.PlateCurrent)
	assert.Greater(t, speech.PlateCurrent, Idle(typ.Model, 2500, 0).PlateCurrent())
}

// A tube whose transfer is exactly known: with the soft cut-off far away, the
// plate without influence and exponent 2 in class A, V_p1 is linear; the
// products vanish.
func TestLinearTubeHasNoProducts(t *testing.T) {
	m := Model{K: 1e-5, Mu: 1e9, Exponent: 2, Division: 1e9, Softness: 0.01}
	p, err := withLoad(m, 5000, -200, 150, 2000)
	require.NoError(t, err)
	r, err := TwoTone(m, p, 0)
	require.NoError(t, err)
	assert.Less(t, r.Order3, -150.0)
	assert.Less(t, r.Order5, -150.0)
	sweep, err := Sweep(m, p, 0, 1, 10)
	require.NoError(t, err)
	for _, s := range sweep[1:] {
		assert.InDelta(t, 0, s.Compression, 1e-6)
	}
}

// Cubic law in class A: ik = K·(B + A·cos)^3 has the fundamental
// 3K·B²·A + (3/4)·K·A³; the third order against a tone follows in closed form.
func TestCubicTubeProducts(t *testing.T) {
	const bigB, k, load = 300.0, 1e-8, 500.0
	m := Model{K: k, Mu: 1e9, Exponent: 3, Division: 1e9, Softness: 0.01}
	for _, amp := range []float64{50, 150, 290} {
		p, err := withLoad(m, 5000, -bigB, amp, load)
		require.NoError(t, err)
		assert.InEpsilon(t, load*k*(3*bigB*bigB*amp+0.75*amp*amp*amp), p.PlateSwing, 1e-6)
		r, err := TwoTone(m, p, 0)
		require.NoError(t, err)
		// cos³φ = (3cosφ + cos3φ)/4
		c3 := 0.75 * amp * amp * amp / 4
		c1 := 3*bigB*bigB*amp + 0.75*amp*amp*amp*3/4
		assert.InDelta(t, 20*math.Log10(c3/c1), r.Order3, 1e-4)
		o3, _, _ := r.BelowPEP()
		assert.InDelta(t, r.Order3-6.02, o3, 1.5)
	}
}

// The published third-order figures (-33 to -46 dB below one tone at most,
// from memory) hold supply, bias and drive effects that the static curve has
// not; computed products must come out in the range of such tubes.
func TestProductsOfCatalogueTubes(t *testing.T) {
	for _, x := range catalogueColumns(t) {
		typ, c, p := x.typ, x.column, x.point
		a, err := TwoTone(typ.Model, p, 0)
		require.NoError(t, err)
		b, err := TwoTone(typ.Model, p, p.InputResistance)
		require.NoError(t, err)
		t.Logf("%-10s %-7s IMD3/5/7 %6.1f %6.1f %6.1f dB held cathode voltage; %6.1f %6.1f %6.1f dB matched source (published %g)",
			typ.Name, c.Name, a.Order3, a.Order5, a.Order7, b.Order3, b.Order5, b.Order7, c.Intermod3.Value)
		assert.True(t, a.Order3 < -18 && a.Order3 > -80, "%s %s: %g dB", typ.Name, c.Name, a.Order3)
		assert.True(t, b.Order3 < -18, "%s %s: %g dB", typ.Name, c.Name, b.Order3)
	}
}

func TestSweep(t *testing.T) {
	typ, p := nominal(t)
	for _, rs := range []float64{0, 50, p.InputResistance} {
		s, err := Sweep(typ.Model, p, rs, 1.3, 26)
		require.NoError(t, err)
		assert.InEpsilon(t, p.Output, s[20].Point.Output, 1e-8)
		assert.InDelta(t, 0, s[20].Compression, 1e-7)
		for k := 1; k < len(s); k++ {
			assert.Greater(t, s[k].Point.Output, s[k-1].Point.Output)
			e := s[k].Point.DriveVoltage + rs*(s[k].Point.Plate[1]+s[k].Point.Grid[1])
			e0 := p.DriveVoltage + rs*(p.Plate[1]+p.Grid[1])
			assert.InEpsilon(t, s[k].Level*e0, e, 1e-9)
		}
		assert.Less(t, s[26].Compression, 0.0, "overdriven: the gain falls")
	}
}

func TestComplexLoadAgrees(t *testing.T) {
	typ, p := nominal(t)
	d, err := withComplexLoad(typ.Model, 2500, 0, MatchedSource(p), complex(p.PlateLoad, 0))
	require.NoError(t, err)
	assert.InEpsilon(t, p.Output, d.Output, 1e-3)
	assert.InEpsilon(t, p.DriveVoltage, d.DriveVoltage, 1e-3)
	assert.InEpsilon(t, p.PlateCurrent(), d.PlateCurrent, 1e-3)
	assert.InEpsilon(t, p.GridCurrent(), d.GridCurrent, 5e-3)
	assert.InEpsilon(t, p.PlateDissipation, d.PlateDissipation, 2e-3)
	assert.InDelta(t, 0, imag(d.InputImpedance), 1e-6)
}

func TestComplexLoadBalance(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	failed, total := 0, 0
	for _, typ := range All() {
		if typ.Kind != Fitted || typ.Family != "" {
			continue
		}
		c := typ.ColumnsEach()[0]
		p, err := atColumn(typ.Model, c)
		require.NoError(t, err)
		for range 300 {
			z := complex(p.PlateLoad, 0) * complex(0.02+2.5*r.Float64(), 4*(2*r.Float64()-1))
			total++
			d, err := withComplexLoad(typ.Model, c.PlateVoltage.Value, c.Bias.Value, MatchedSource(p), z)
			if err != nil {
				failed++
				t.Logf("%s: load %v of %g", typ.Name, z, p.PlateLoad)
				continue
			}
			assert.Less(t, math.Abs(d.Balance), 1e-9)
			// the load's and the source's own laws
			i := cmplx.Abs(d.PlatePhasor)
			assert.InDelta(t, real(z)*i*i/2, d.Output, 1e-3*p.Output)
			e := complex(d.DriveVoltage, 0) + complex(p.InputResistance, 0)*d.CathodePhasor
			assert.InEpsilon(t, 2*p.DriveVoltage, cmplx.Abs(e), 1e-3)
			assert.Less(t, d.DrivePower, 1.0001*p.DrivePower, "no more than the available power")
		}
	}
	assert.Zero(t, failed, "of %d loads", total)
}

// What every operator knows: see physics of tuning and loading.
func TestTuningFacts(t *testing.T) {
	for _, name := range []string{"3-500Z", "8877", "811A", "3CX800A7"} {
		typ, _ := Lookup(name)
		c := typ.ColumnsEach()[0]
		vb, bias := c.PlateVoltage.Value, c.Bias.Value
		p, err := ForOutput(typ.Model, vb, bias, c.Output.Value, DefaultPlateFloor(vb))
		require.NoError(t, err)
		at := func(z complex128) Detuned {
			d, err := withComplexLoad(typ.Model, vb, bias, MatchedSource(p), z*complex(p.PlateLoad, 0))
			require.NoError(t, err)
			return d
		}
		mid, light, lighter, heavy := at(1), at(1.15), at(2.2), at(0.7)
		assert.Greater(t, light.GridCurrent, mid.GridCurrent, name)
		assert.Less(t, light.PlateCurrent, mid.PlateCurrent, name)
		assert.Less(t, lighter.Output, mid.Output, "%s: far too light a load loses output", name)
		assert.Less(t, heavy.GridCurrent, mid.GridCurrent, name)
		assert.Less(t, heavy.Output, mid.Output, name)
		assert.Greater(t, heavy.PlateDissipation, mid.PlateDissipation, name)
		for _, q := range []float64{2, -2} {
			// a parallel circuit out of tune: Z = R/(1 + jq)
			off := at(1 / complex(1, q))
			assert.Greater(t, off.PlateCurrent, mid.PlateCurrent, name)
			assert.Less(t, off.Output, mid.Output, name)
			assert.Greater(t, off.PlateDissipation, 1.3*mid.PlateDissipation, name)
		}
	}
}

func BenchmarkTwoTone(b *testing.B) {
	typ, p := nominal(b)
	for b.Loop() {
		if _, err := TwoTone(typ.Model, p, 100); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWithComplexLoad(b *testing.B) {
	typ, p := nominal(b)
	for b.Loop() {
		if _, err := withComplexLoad(typ.Model, 2500, 0, MatchedSource(p), complex(3000, 1000)); err != nil {
			b.Fatal(err)
		}
	}
}

// Against many times as many points of the envelope.
func TestTwoToneConverged(t *testing.T) {
	many := newLegendre(150)
	for _, typ := range All() {
		if typ.Kind == NoModel || typ.Family != "" {
			continue
		}
		for _, c := range typ.ColumnsEach() {
			p, err := atColumn(typ.Model, c)
			require.NoError(t, err)
			for _, rs := range []float64{0, p.InputResistance} {
				s, err := newSource(typ.Model, p, rs)
				require.NoError(t, err)
				slow, fast := s.products(many, many, 1), s.products(aboveOnset, belowOnset, 1)
				for _, o := range [][2]float64{{slow.Order3, fast.Order3}, {slow.Order5, fast.Order5}, {slow.Order7, fast.Order7}} {
					if o[0] > -50 {
						assert.InDelta(t, o[0], o[1], 0.05, "%s %s %.0f", typ.Name, c.Name, rs)
					} else {
						assert.InDelta(t, math.Pow(10, o[0]/20), math.Pow(10, o[1]/20), 2e-5, "%s %s %.0f: %v %v", typ.Name, c.Name, rs,
							slow, fast)
					}
				}
			}
		}
	}
}
