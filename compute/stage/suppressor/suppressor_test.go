package suppressor

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
)

func solve(t testing.TB, typ, more string) (*desktest.Desk, Result) {
	t.Helper()
	d := desktest.New(t, desktest.Text("1000 W", typ, "2800 V", "80m", "10m")+more)
	r, err := Solve(d.Desk, Input{Type: desktest.Tube(t, typ), Tubes: 2, HighestFrequency: 28.85e6, HighestBand: "10m",
		PlateCurrentFundamentalEach: d.Figure("tubes.i1", "A", 0.46),
		PlateSwing:                  d.Figure("tubes.plate_swing", "V", 2290),
		Crest:                       Voltages{Grid: 60, Plate: 570}, Idle: Voltages{Plate: 2800},
		TuneCapacitance: d.Figure("tank.10m.tune_capacitance", "F", 20e-12)})
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
	best := l.Choose(Part{}, 1.2, 28.85e6, Target{Q: TargetQ})
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
	assert.Equal(t, 68.0, l.Choose(Part{Resistance: 68}, 1.2, 28.85e6, Target{Q: TargetQ}).Resistance)
	assert.Equal(t, 90e-9, l.Choose(Part{Inductance: 90e-9}, 1.2, 28.85e6, Target{Q: TargetQ}).Inductance)
}

// Without transconductance the tube is its capacitances: it neither takes nor
// gives; with leads of no length they are those from the plate.
func TestFeedbackWithoutTransconductance(t *testing.T) {
	b := Feedback{Mu: 100, GridInductance: 5e-9, CathodeInductance: 20e-9, PlateGrid: 4e-12, GridCathode: 8e-12, PlateCathode: 0.1e-12}
	for _, f := range []float64{30e6, 150e6, 400e6} {
		assert.InDelta(t, 0, real(b.Impedance(f)), 1e-9)
		short := b
		short.GridInductance, short.CathodeInductance = 1e-18, 1e-18
		assert.InEpsilon(t, -1/(2*math.Pi*f*4.1e-12), imag(short.Impedance(f)), 1e-6)
	}
}

// Well below the grid's resonance the exact nodes give the hand formula; the
// tube gives power back below it and takes power above.
func TestNegativeResistance(t *testing.T) {
	b := Feedback{Transconductance: 1e-3, Mu: 1e6, GridInductance: 10e-9, CathodeInductance: 1e-15, PlateGrid: 4e-12,
		GridCathode: 8e-12}
	fg := gridResonance.Eval(b.GridInductance, b.PlateGrid, b.GridCathode)
	assert.InEpsilon(t, 459.4e6, fg, 1e-3) // 10 nH with 12 pF
	f := 0.05 * fg
	hand := negativeByHand.Eval(b.Transconductance, b.GridInductance, b.PlateGrid, f, fg)
	assert.InEpsilon(t, hand, -real(b.Impedance(f)), 0.01)
	assert.InEpsilon(t, 1e-3*10e-9/4e-12, hand, 0.01) // 2.5 Ω
	assert.Greater(t, real(b.Impedance(1.5*fg)), 0.0)
	// cathode leads work against it: what they lift the cathode by lessens the drive
	damped := b
	damped.CathodeInductance, damped.PlateCathode = 30e-9, 0.3e-12
	assert.Less(t, -real(damped.Impedance(f)), -real(b.Impedance(f)))
}

// Glass triodes of this class are known to need suppressors (common practice):
// the estimate must say that the bare loop of an idling tube is unstable, and
// that a longer grid lead costs margin.
func TestStabilityMargin(t *testing.T) {
	d, r := solve(t, "3-500Z", "")
	assert.Less(t, d.Value("suppressor.stability_margin_without"), 1.0)
	assert.GreaterOrEqual(t, r.Margin, TargetMargin)
	assert.InEpsilon(t, r.Margin, d.Value("suppressor.stability_margin"), 1e-9)
	m, res, neg := r.Loop.Margin(r.Part, Feedback{Transconductance: d.Value("suppressor.transconductance"), Mu: 145,
		GridInductance: 5e-9, CathodeInductance: cathodeLead,
		PlateGrid: d.Value("suppressor.output_capacitance"), GridCathode: d.Value("suppressor.input_capacitance"),
		PlateCathode: d.Value("suppressor.feedback_capacitance")})
	assert.InEpsilon(t, r.Margin, m, 0.02)
	assert.InEpsilon(t, res, d.Value("suppressor.loop_resistance"), 1e-9, "formula and method agree")
	assert.InEpsilon(t, neg, d.Value("suppressor.negative_resistance"), 0.02)
	const given = "inductance = \"60 nH\"\nresistance = \"47 ohm\"\n"
	long, worse := solve(t, "3-500Z", "[suppressor]\ngrid_inductance = \"12 nH\"\n"+given)
	assert.Less(t, worse.Margin, r.Margin)
	assert.True(t, long.Found("suppressor.stability_margin"))
	assert.False(t, d.Found("suppressor.grid_resonance"))
	longer, _ := solve(t, "3-500Z", "[suppressor]\ngrid_inductance = \"20 nH\"\n"+given)
	assert.True(t, longer.Found("suppressor.grid_resonance"))
}

// The rule of the trade is about 1 nH per millimetre, 20 nH per inch, for
// thin wire (common practice); a thicker lead has less.
func TestLeadFromItsLength(t *testing.T) {
	d, r := solve(t, "3-500Z", "[suppressor]\nlead_length = \"1 in\"\nlead_diameter = \"1 mm\"\n")
	assert.InEpsilon(t, 20e-9, d.Value("suppressor.lead_inductance"), 0.15)
	assert.Equal(t, d.Value("suppressor.lead_inductance"), r.Loop.Lead)
	d, _ = solve(t, "3-500Z", "[suppressor]\nlead_length = \"120 mm\"\n")
	assert.InEpsilon(t, 120e-9, d.Value("suppressor.lead_inductance"), 0.35)
	assert.Less(t, d.Value("suppressor.lead_inductance"), 120e-9)
	_, r = solve(t, "3-500Z", "")
	assert.InEpsilon(t, 120e-9, r.Loop.Lead, 1e-12)
}

func TestSolve(t *testing.T) {
	d, r := solve(t, "3-500Z", "")
	for _, id := range []string{"suppressor.inductance", "suppressor.resistance", "suppressor.dissipation_each",
		"suppressor.parasitic_frequency", "suppressor.loop_q", "suppressor.loop_q_without"} {
		assert.True(t, d.Entered(id), id)
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
	assert.True(t, d.Found("suppressor.loop_q"), "a coil too small leaves the loop undamped")
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
		l.Choose(Part{}, 1.2, 28.85e6, Target{Q: TargetQ})
	}
}
