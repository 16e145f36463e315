package suppressor

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/rules"
	"anodebook/compute/tube"
	"anodebook/spec"
)

func solve(t testing.TB, typ, more string) (*desk.Desk, Result) {
	s, err := spec.Read("test.toml", []byte(`
[target]
output = "1000 W"
bands = ["80m", "10m"]
[tubes]
type = "`+typ+`"
[supply]
plate_voltage = "2800 V"
`+more), spec.Names{Tubes: tube.Types(), Rules: rules.Names()})
	require.NoError(t, err)
	d := desk.New(s)
	tt, ok := tube.Lookup(typ)
	require.True(t, ok)
	r, err := Solve(d, Input{Type: tt, Tubes: 2, HighestFrequency: 28.85e6, HighestBand: "10m",
		PlateCurrentFundamentalEach: d.Catalogue("tubes.i1", "I1", 0.46, "A", "test"),
		PlateSwing:                  d.Catalogue("tubes.plate_swing", "swing", 2290, "V", "test"),
		TuneCapacitance:             d.Catalogue("tank.10m.tune_capacitance", "tune", 20e-12, "F", "test")})
	require.NoError(t, err)
	return d, r
}

// The series equivalent against complex arithmetic.
func TestSeriesEquivalent(t *testing.T) {
	for _, p := range []Part{{60e-9, 47}, {100e-9, 100}, {300e-9, 10}} {
		for _, f := range []float64{3e6, 29e6, 150e6} {
			jx := complex(0, 2*math.Pi*f*p.Inductance)
			z := jx * complex(p.Resistance, 0) / (jx + complex(p.Resistance, 0))
			r, x := p.Series(f)
			assert.Less(t, cmplx.Abs(z-complex(r, x)), 1e-9)
		}
	}
}

func TestLoopLimits(t *testing.T) {
	l := Loop{Lead: 120e-9, Capacitance: 3.4e-12, BareQ: 100}
	f, q := l.With(Part{1e-15, 50})
	assert.InEpsilon(t, l.Bare(), f, 1e-6, "no coil: the bare loop")
	assert.InEpsilon(t, 100, q, 1e-3)
	f, _ = l.With(Part{80e-9, 1e9})
	assert.InEpsilon(t, 1/(2*math.Pi*math.Sqrt(200e-9*3.4e-12)), f, 1e-6, "no resistor: the coil adds to the lead")
	f, _ = l.With(Part{1, 40})
	assert.InEpsilon(t, l.Bare(), f, 1e-3, "a huge coil: the resistor alone")
	// at resonance the reactances cancel
	p := Part{80e-9, 68}
	f, _ = l.With(p)
	_, x := p.Series(f)
	assert.InDelta(t, 1/(2*math.Pi*f*l.Capacitance), 2*math.Pi*f*l.Lead+x, 1e-3)
}

// No pair of the grid does better than the chosen one.
func TestChooseIsTheBest(t *testing.T) {
	l := Loop{Lead: 120e-9, Capacitance: 3.4e-12, BareQ: BareQ}
	best := l.Choose(Part{}, 1.2, 28.85e6, TargetQ)
	_, q := l.With(best)
	require.LessOrEqual(t, q, TargetQ)
	for n := 20; n <= 300; n += 5 {
		for _, r := range []float64{22, 27, 33, 39, 47, 56, 68, 82, 100} {
			p := Part{float64(n) * 1e-9, r}
			if _, q := l.With(p); q <= TargetQ {
				assert.GreaterOrEqual(t, p.Loss(1.2, 28.85e6), best.Loss(1.2, 28.85e6)*(1-1e-12), "%v", p)
			}
		}
	}
	assert.Equal(t, 68.0, l.Choose(Part{Resistance: 68}, 1.2, 28.85e6, TargetQ).Resistance)
	assert.Equal(t, 90e-9, l.Choose(Part{Inductance: 90e-9}, 1.2, 28.85e6, TargetQ).Inductance)
}

func TestSolve(t *testing.T) {
	d, r := solve(t, "3-500Z", "")
	for _, id := range []string{"suppressor.inductance", "suppressor.resistance", "suppressor.dissipation_each", "suppressor.parasitic_frequency", "suppressor.loop_q", "suppressor.loop_q_without"} {
		_, ok := d.Lookup(id)
		assert.True(t, ok, id)
	}
	assert.LessOrEqual(t, r.LoopQ, TargetQ)
	assert.InEpsilon(t, r.Part.Loss(r.LeadCurrentRMS, 28.85e6), r.DissipationEach, 1e-9, "formula and method agree")
	// 120 nH with 4.1 pF in series with 20 pF
	assert.InEpsilon(t, 249e6, r.ParasiticFrequency, 0.01)
	// the circulating current leads the plate current by a quarter cycle
	ic := 2 * math.Pi * 28.85e6 * 4.1e-12 * 2290
	assert.InEpsilon(t, math.Hypot(0.46, ic)/math.Sqrt2, r.LeadCurrentRMS, 1e-9)
	for _, x := range d.Ratings {
		assert.GreaterOrEqual(t, x.Rating, 2*x.Stress*(1-1e-9), "the resistor runs at half its rating at most")
	}
	assert.Len(t, d.Parts, 2)
}

func TestGivenPartIsHeldAgainstItsStress(t *testing.T) {
	d, r := solve(t, "3-500Z", "[suppressor]\ninductance = \"300 nH\"\nresistance = \"47 ohm\"\npower = \"2 W\"\n")
	assert.InEpsilon(t, 300e-9, r.Part.Inductance, 1e-12)
	assert.InEpsilon(t, 47.0, r.Part.Resistance, 1e-12)
	require.Len(t, d.Ratings, 1)
	assert.Equal(t, ledger.ExceedsRating, d.Ratings[0].Verdict)
	d, _ = solve(t, "3-500Z", "[suppressor]\ninductance = \"10 nH\"\nresistance = \"47 ohm\"\n")
	var found bool
	for _, f := range d.Findings {
		found = found || f.ID == "suppressor.loop_q"
	}
	assert.True(t, found, "a coil too small leaves the loop undamped")
}

func TestEveryTypeSolves(t *testing.T) {
	for _, typ := range tube.Types() {
		_, r := solve(t, typ, "")
		assert.Greater(t, r.DissipationEach, 0.0, typ)
	}
}

func BenchmarkChoose(b *testing.B) {
	l := Loop{Lead: 120e-9, Capacitance: 3.4e-12, BareQ: BareQ}
	for b.Loop() {
		l.Choose(Part{}, 1.2, 28.85e6, TargetQ)
	}
}
