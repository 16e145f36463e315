package platefeed

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk"
	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/network"
	"anodebook/compute/physics/winding"
	"anodebook/report/setting"
)

var bands = []Band{{Name: "80m", Centre: 3.65e6}, {Name: "40m", Centre: 7.15e6}, {Name: "20m", Centre: 14.175e6},
	{Name: "15m", Centre: 21.225e6}, {Name: "10m", Centre: 28.85e6}}

// text is a kilowatt on five bands (demo data).
func text(more string) string {
	return desktest.Text("1000 W", "3-500Z", "2800 V", "80m", "40m", "20m", "15m", "10m") + more
}

const load = 2500.0

func input(t testing.TB, d *desktest.Desk) Input {
	t.Helper()
	q := func(id, unit string, v float64) *ledger.Quantity { return d.Figure("tubes."+id, unit, v) }
	choke, blocking := Values(d.Spec, load, bands[0].Centre)
	in := Input{
		PlateLoad: q("plate_load", "Ω", load), PlateVoltage: q("plate_voltage", "V", 2800), PlateCurrent: q("plate_current", "A", 0.6),
		PlateSwing: q("plate_swing", "V", math.Sqrt(2*1050*load)), NoLoadVoltage: 3200, Bands: bands,
		Output: q("output", "W", 1000), SWR: q("swr", "", 2),
	}
	// A bank of 40 µF at 3200 V with 4 Ω of its own, behind the glitch resistor.
	f := func(id, unit string, v float64) *ledger.Quantity { return d.Figure("supply."+id, unit, v) }
	loop := GlitchResistance(d.Spec) + 4
	in.FaultPeak, in.FaultResistance, in.FaultAction = f("fault_peak_current", "A", 3200/loop), f("fault_resistance", "Ω",
		loop), f("fault_action", "A²s", 20e-6*3200*3200/loop)
	in.Follow, in.Capacitance, in.CapacitorTolerance = f("fault_follow_current", "A", 40), f("filter_capacitance", "F",
		40e-6), f("capacitor_tolerance", "%", 0.2)
	for _, b := range bands {
		tank, err := network.DesignTank(network.TankInput{Frequency: b.Centre, PlateLoad: load, LoadedQ: 12, TubeCapacitance: 16e-12,
			ChokeInductance: choke, Blocking: blocking, CoilQ: 300})
		require.NoError(t, err)
		in.Networks = append(in.Networks, tank)
	}
	return in
}

func solve(t testing.TB, more string) (*desktest.Desk, Result) {
	t.Helper()
	d := desktest.New(t, text(more))
	r, err := Solve(d.Desk, input(t, d))
	require.NoError(t, err)
	return d, r
}

func TestValuesKeepTheRules(t *testing.T) {
	s := desktest.Read(t, text(""))
	for _, f := range []float64{1.9e6, 3.65e6, 7.15e6, 14.2e6, 29e6} {
		for _, r := range []float64{800, 1500, 2500, 4500, 9000} {
			l, c := Values(s, r, f)
			x := 2 * math.Pi * f * l
			assert.True(t, x >= ChokeRatio*r*(1-1e-9) || l == GreatestChoke, "choke %g H for %g Ω at %g Hz", l, r, f)
			assert.Less(t, x, ChokeRatio*r*1.26, "rounding up by more than one E12 step")
			assert.GreaterOrEqual(t, r*2*math.Pi*f*c, BlockingRatio*(1-1e-9))
			assert.Less(t, r*2*math.Pi*f*c, BlockingRatio*1.6, "rounding up by more than one E6 step")
		}
	}
	l, c := Values(s, 2500, 3.65e6)
	assert.InDelta(t, 220e-6, l, 1e-12)
	assert.InDelta(t, 1000e-12, c, 1e-18)

	s = desktest.Read(t,
		text("[plate_feed.choke]\ninductance = \"90 uH\"\n[plate_feed.blocking]\ncapacitance = \"500 pF\"\ncount = 2\n"))
	l, c = Values(s, 2500, 3.65e6)
	assert.InDelta(t, 90e-6, l, 1e-12)
	assert.InDelta(t, 1000e-12, c, 1e-18, "two pieces in parallel")
}

func TestContractIDs(t *testing.T) {
	d, r := solve(t, "")
	for _, id := range []string{"plate_feed.choke_inductance", "plate_feed.blocking_capacitance", "plate_feed.blocking_current_rms"} {
		assert.True(t, d.Entered(id), id)
	}
	for _, p := range setting.Plain(d.Book, "metric").Parts() {
		assert.True(t, strings.Contains(p.Note, "DANGER"), "%s carries no caution", p.Designator)
	}
	assert.ElementsMatch(t, []string{"RFC1", "C4", "C3", "F2", "R1", "RFC2"}, d.Designators())
	assert.Len(t, r.Bands, len(bands))
}

// Current through the blocking capacitor by hand: the plates' current of
// V/R_p into the tank, less what tube capacitance and choke take in quadrature.
func TestBlockingCurrentByHand(t *testing.T) {
	d, r := solve(t, "")
	in := input(t, desktest.New(t, text("")))
	for i, b := range bands {
		tank := in.Networks[i]
		power := 1000 / tank.Efficiency
		v := math.Sqrt(power * load)
		omega := 2 * math.Pi * b.Centre
		reactive := v * (omega*16e-12 - 1/(omega*r.ChokeInductance))
		assert.InEpsilon(t, math.Hypot(v/load, reactive), r.Bands[i].BlockingCurrentRMS, 1e-6, b.Name)
		assert.Greater(t, r.Bands[i].BlockingCurrentRMSAtSWR, r.Bands[i].BlockingCurrentRMS)
	}
	assert.InEpsilon(t, r.Bands[4].BlockingCurrentRMS, d.Value("plate_feed.blocking_current_rms"), 1e-9)
}

// The helical line's quarter wave and Medhurst's self-capacitance are two
// independent estimates of the first parallel resonance.
func TestResonanceAgreesWithMedhurst(t *testing.T) {
	for _, l := range []float64{50e-6, 90e-6, 220e-6, 470e-6} {
		for _, form := range []float64{19e-3, 25e-3, 32e-3} {
			w, err := wind(l, form, 0.5e-3, grading{})
			require.NoError(t, err)
			medhurst := 1 / (2 * math.Pi * math.Sqrt(l*w.SelfCapacitance))
			assert.InEpsilon(t, medhurst, w.Line.Resonance(1), ResonanceError, "%g H on %g m", l, form)
		}
	}
}

// By hand the printed resonance is where the two reactances are equal.
func TestResonanceByHand(t *testing.T) {
	d, _ := solve(t, "")
	q := d.Of("plate_feed.")
	omega := 2 * math.Pi * q("choke_self_resonance_by_hand")
	assert.InEpsilon(t, omega*q("choke_inductance"), 1/(omega*q("choke_self_capacitance")), 1e-9)
}

func TestHelixLimits(t *testing.T) {
	// a straight wire: the wave runs at the speed of light
	assert.InDelta(t, 1, HelixVelocity(1e-3, 1, 10e6), 1e-4)
	// where the helix is slow, the resonances go as (number of quarters)^0.8
	coil := winding.Solenoid{Diameter: 25e-3, Pitch: 0.5e-3, Wire: 0.45e-3, Turns: 200}
	line := Line{{coil, coil.Inductance()}}
	for n := 2; n < 8; n++ {
		assert.InEpsilon(t, math.Pow(float64(n), 0.8), line.Resonance(n)/line.Resonance(1), 2e-3)
	}
}

func TestSeriesResonanceIsFlagged(t *testing.T) {
	coil := winding.Solenoid{Diameter: 25e-3, Pitch: 0.5e-3, Wire: 0.45e-3, Turns: 200}
	line := Line{{coil, coil.Inductance()}}
	f := line.Resonance(2)
	list := resonances(line, ResonanceError, []Band{{Name: "in", Centre: f * 1.1}, {Name: "out", Centre: f * 0.7},
		{Name: "edge", Centre: f * 0.7, Low: f * 0.6, High: f * 0.81}})
	require.Equal(t, Series, list[1].Kind)
	assert.Equal(t, []string{"in", "edge"}, list[1].Bands)

	d, _ := solve(t, "")
	assert.Contains(t, d.Finding("plate_feed.choke_resonance").Advice, "before applying high voltage")
}

func TestWeakBlockingCapacitorIsFound(t *testing.T) {
	d, _ := solve(t, "[plate_feed.blocking]\ncapacitance = \"1000 pF\"\nvoltage = \"3 kV\"\ncurrent = \"1 A\"\n")
	assert.Equal(t, ledger.ExceedsRating, d.Verdict("C3", "voltage"))
	assert.Equal(t, ledger.ExceedsRating, d.Verdict("C3", "current"))
	assert.Equal(t, ledger.NotStated, d.Verdict("C3", "kva"))
}

// The supply stage takes the glitch resistor before this stage runs.
func TestGlitchIsEnteredOnce(t *testing.T) {
	d := desktest.New(t, text(""))
	q := Glitch(d.Desk)
	assert.Equal(t, GlitchResistance(d.Spec), q.Value)
	r, err := Solve(d.Desk, input(t, d))
	require.NoError(t, err)
	assert.Equal(t, q.Value, r.GlitchResistance)
}

// The report shows the choke that the tanks were designed with.
func TestValuesOfTheTank(t *testing.T) {
	d := desktest.New(t, text(""))
	in := input(t, d)
	in.Networks[0].Input.ChokeInductance, in.Networks[0].Input.Blocking = 180e-6, 1.5e-9
	r, err := Solve(d.Desk, in)
	require.NoError(t, err)
	assert.Equal(t, 180e-6, r.ChokeInductance)
	assert.Equal(t, 1.5e-9, r.BlockingCapacitance)
	bad := desktest.New(t, text(""))
	in = input(t, bad)
	in.Networks[0].Input.Blocking = 0
	_, err = Solve(bad.Desk, in)
	require.Error(t, err)
}

func TestWireShedsItsHeat(t *testing.T) {
	s := desktest.Read(t, text(""))
	for _, i := range []float64{0.2, 0.8, 1.6} {
		for _, rf := range []float64{0, 0.3} {
			w, err := ChooseWinding(s, 220e-6, Currents{i, rf, 3.65e6})
			require.NoError(t, err)
			assert.LessOrEqual(t, i*i*w.Resistance+rf*rf*w.Coil.Resistance(3.65e6, copperCelsius), surfaceHeat*w.Surface())
			assert.Greater(t, w.Coil.Resistance(3.65e6, copperCelsius), w.Resistance)
		}
		w, err := ChooseWinding(s, 220e-6, Currents{Direct: i})
		require.NoError(t, err)
		assert.InEpsilon(t, 220e-6, w.Coil.Inductance(), 1e-6)
	}
}

func BenchmarkSolve(b *testing.B) {
	s := desktest.Read(b, text(""))
	in := input(b, desktest.On(b, s))
	for b.Loop() {
		if _, err := Solve(desk.New(s), in); err != nil {
			b.Fatal(err)
		}
	}
}

// At the crest the blocking capacitor stands the direct voltage and the radio
// frequency across it together: never less than the supply without load.
func TestBlockingCapacitorStandsBoth(t *testing.T) {
	d, _ := solve(t, "")
	rf, all := d.Value("plate_feed.blocking_voltage_rf"), d.Value("plate_feed.blocking_voltage")
	require.Positive(t, rf)
	assert.InEpsilon(t, 3200+rf, all, 1e-12)
}
