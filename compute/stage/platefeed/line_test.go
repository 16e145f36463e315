package platefeed

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/physics/winding"
)

// Far below its resonances a choke is ωL and the resistance of its wire,
// whether even, graded or two in series.
func TestLineIsTheChokeAtLowFrequency(t *testing.T) {
	even, err := wind(220e-6, 25e-3, 0.5e-3, grading{})
	require.NoError(t, err)
	spaced, err := wind(90e-6, 25e-3, 0.5e-3, grading{0.3, 3})
	require.NoError(t, err)
	both := append(append(Line{}, even.Line...), spaced.Line...)
	for _, l := range []Line{even.Line, spaced.Line, both} {
		const f = 2e3
		z := l.Impedance(f, 0)
		assert.InEpsilon(t, 2*math.Pi*f*l.Inductance(), imag(z), 1e-3)
		r := 0.0
		for _, s := range l {
			r += s.Coil.Resistance(f, copperCelsius)
		}
		assert.InEpsilon(t, r, real(z), 2e-3)
	}
	assert.InEpsilon(t, 220e-6, even.Line.Inductance(), 1e-9)
	assert.InEpsilon(t, 90e-6, spaced.Line.Inductance(), 1e-9)
}

// At each resonance the reactance of the whole line changes its sign: through
// zero at a series resonance, where |Z| is a few tens of ohms, through a peak
// at a parallel one. The phase rises all the way (Foster).
func TestImpedanceTurnsOverAtTheResonances(t *testing.T) {
	a, err := wind(90e-6, 25e-3, 0.5e-3, grading{0.4, 2})
	require.NoError(t, err)
	b, err := wind(50e-6, 19e-3, 0.5e-3, grading{})
	require.NoError(t, err)
	for _, l := range []Line{b.Line, a.Line, append(append(Line{}, b.Line...), a.Line...)} {
		before := 0.0
		for n := 1; n <= 6; n++ {
			f := l.Resonance(n)
			require.Greater(t, f, before)
			before = f
			below, at, above := l.Impedance(f*0.97, 0), l.Impedance(f, 0), l.Impedance(f*1.03, 0)
			if n%2 == 1 {
				assert.True(t, imag(below) > 0 && imag(above) < 0, "parallel no. %d", n)
				assert.Greater(t, cmplx.Abs(at), cmplx.Abs(below))
			} else {
				assert.True(t, imag(below) < 0 && imag(above) > 0, "series no. %d", n)
				assert.Less(t, cmplx.Abs(at), cmplx.Abs(below)/3)
			}
			assert.Greater(t, real(at), 0.0, "a winding takes power, it gives none")
		}
		last := 0.0
		for f := 1e6; f < 60e6; f *= 1.01 {
			p := l.Phase(f)
			require.Greater(t, p, last)
			last = p
		}
	}
}

// A winding cut in two equal halves of the same pitch is the whole winding
// again: its inductance within what Rosa's correction for the turns is worth,
// its resonances exactly.
func TestGradedOfOnePitchIsEven(t *testing.T) {
	whole := winding.Solenoid{Diameter: 25e-3, Pitch: 0.6e-3, Wire: 0.5e-3, Turns: 160}
	half := whole
	half.Turns = 80
	cut := graded(half, half)
	assert.InEpsilon(t, whole.Inductance(), cut.Inductance(), 1e-3)
	line := Line{{whole, cut.Inductance()}}
	for n := 1; n < 7; n++ {
		assert.InEpsilon(t, line.Resonance(n), cut.Resonance(n), 1e-9)
	}
	// spacing a part of the turns lengthens the winding and takes inductance away
	apart := half
	apart.Pitch *= 2
	assert.Less(t, graded(half, apart).Inductance(), cut.Inductance())
}

// Two chokes in series: the tank gets the sum, each is wound, each is a part
// with its caution, and the estimate is called less certain.
func TestSecondChoke(t *testing.T) {
	d, r := solve(t,
		"[plate_feed.choke]\ninductance = \"90 uH\"\nspaced_share = \"30 %\"\n[plate_feed.second_choke]\ninductance = \"130 "+
			"uH\"\nform_diameter = \"20 mm\"\n")
	assert.InDelta(t, 220e-6, r.ChokeInductance, 1e-12)
	assert.InDelta(t, 220e-6, r.Line.Inductance(), 1e-10)
	assert.Len(t, r.Line, 3)
	assert.Equal(t, GradedError, r.Within)
	assert.InDelta(t, 90e-6, d.Value("plate_feed.first_choke_inductance"), 1e-12)
	assert.InEpsilon(t, r.Winding.Turns*0.3, r.Winding.Line[1].Coil.Turns, 1e-9)
	assert.Contains(t, d.Listed("RFC4").Note, "DANGER")
	assert.Contains(t, d.Finding("plate_feed.choke_resonance").Text, "±30 %")
	// without a word on the first, it makes up what the rule wants
	l, _ := Values(desktest.Read(t, text("[plate_feed.second_choke]\ninductance = \"130 uH\"\n")), load, bands[0].Centre)
	assert.GreaterOrEqual(t, 2*math.Pi*bands[0].Centre*l, ChokeRatio*load*(1-1e-9))
	assert.Less(t, l, 240e-6)
}

// The table of each band: the formula's reactance, and the current that the
// swing drives through it.
func TestBandTable(t *testing.T) {
	d, r := solve(t, "")
	for _, b := range r.Bands {
		assert.InEpsilon(t, 2*math.Pi*b.Centre*220e-6, d.Value("plate_feed."+b.Name+".choke_reactance"), 1e-9)
		assert.InEpsilon(t, b.ChokeCurrentRMS*b.ChokeReactance*math.Sqrt2, d.Value("tubes.plate_swing"), 1e-9)
		assert.Equal(t, cmplx.Abs(r.ChokeImpedance(b.Centre)), d.Value("plate_feed."+b.Name+".choke_impedance"))
	}
}

func BenchmarkImpedance(b *testing.B) {
	w, err := wind(220e-6, 25e-3, 0.5e-3, grading{0.3, 2})
	require.NoError(b, err)
	for b.Loop() {
		w.Line.Impedance(14e6, 0)
	}
}
