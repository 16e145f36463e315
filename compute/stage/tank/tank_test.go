package tank

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/data/source"
	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/network"
	"anodebook/compute/physics/tube"
	"anodebook/report/setting"
	"anodebook/spec"
)

// starter is a kilowatt on all bands (demo data).
var starter = desktest.Text("1000 W", "3-500Z", "2800 V", "160m", "80m", "40m", "30m", "20m", "17m", "15m", "12m", "10m")

// amplifier is the tank's surroundings in a test.
type amplifier struct {
	load, output    float64
	choke, blocking float64
	limit           float64
	currents        []float64
}

func usual() amplifier {
	return amplifier{load: 2200, output: 1080, choke: 120e-6, blocking: 1e-9, limit: 43,
		currents: []float64{1, 0.42, 0.05, 0.06, 0.03, 0.01, 0.01}}
}

func solve(t testing.TB, text string, a amplifier) (*desktest.Desk, Result) {
	t.Helper()
	return solveSpec(t, desktest.Read(t, text), a)
}

func solveSpec(t testing.TB, s *spec.Spec, a amplifier) (*desktest.Desk, Result) {
	t.Helper()
	bands, err := Bands(s)
	require.NoError(t, err)
	kind := desktest.Tube(t, s.Tubes.Type.Value)
	d := desktest.On(t, s)
	nets, err := Networks(s, bands, PlateCapacitance(s, kind, s.Tubes.Count.N), a.load, Feed{a.choke, a.blocking})
	require.NoError(t, err)
	r, err := Solve(d.Desk, Input{
		Bands: bands, Networks: nets, Type: kind,
		PlateLoad: d.Figure("test.load", "Ω", a.load), PlateVoltage: d.Figure("test.voltage", "V", 2800),
		PlateOutput: d.Figure("test.power", "W", a.output), Output: d.Figure("test.output", "W", s.Target.Output.SI),
		AnodeCurrents: a.currents, SWR: d.TakeRatio("test.swr", "SWR", s.Target.SWR),
		ChokeInductance: d.Figure("test.choke", "H", a.choke), Blocking: d.Figure("test.blocking", "F", a.blocking),
		HarmonicLimit: a.limit, HarmonicSource: source.CommonPractice,
	})
	require.NoError(t, err)
	return d, r
}

// Power at the plates is power at the connector and heat in the coils.
func TestPowerCloses(t *testing.T) {
	for _, kind := range []string{"pi", "pi-L"} {
		d, r := solve(t, starter+"[tank]\nnetwork = \""+kind+"\"\n", usual())
		for _, b := range r.Bands {
			sum := d.Value("tank." + b.Name + ".output_power")
			for _, part := range []string{"coil", "tune", "load"} {
				sum += d.Value("tank." + b.Name + "." + part + "_heat")
			}
			if kind == "pi-L" {
				sum += d.Value("tank." + b.Name + ".output_coil_heat")
			}
			require.InEpsilon(t, 1080, sum, 1e-9, b.Name)
		}
	}
}

// At an SWR s every voltage and current grows, at most by 2s/(s+1): the
// forward wave stays, the reflected adds ρ of it at the load.
func TestStressAtSWR(t *testing.T) {
	d, r := solve(t, starter, usual())
	for _, b := range r.Bands {
		for _, what := range []string{"tune_voltage_peak", "coil_current_rms", "load_voltage_peak"} {
			flat, worst := d.Value("tank."+b.Name+"."+what), d.Value("tank."+b.Name+"."+what+"_swr")
			assert.Greater(t, worst, flat)
		}
		assert.InEpsilon(t, 4.0/3, d.Value("tank."+b.Name+".load_voltage_peak_swr")/d.Value("tank."+b.Name+".load_voltage_peak"), 1e-9)
	}
}

func TestHeldAtMinimum(t *testing.T) {
	a := usual()
	a.load = 3500
	d, r := solve(t, starter+"[tank.tune]\nrange = \"25 pF .. 250 pF\"\nlaw = \"capacitance\"\n", a)
	ten := r.Bands[len(r.Bands)-1]
	require.Equal(t, "10m", ten.Name)
	f := d.Finding("tank.10m.loaded_q_held")
	assert.Equal(t, ledger.Caution, f.Severity)
	assert.Contains(t, f.Text, fmt.Sprintf("%.3g instead of 12", ten.Tank.LoadedQ))
	assert.InEpsilon(t, 25e-12, d.Value("tank.10m.tune_capacitance"), 1e-9)
	assert.False(t, d.Found("tank.80m.loaded_q_held"))
	assert.InDelta(t, 0, d.Value("tank.10m.tune_dial"), 1e-9)
	// 160 m needs more than the capacitor has.
	assert.True(t, d.Found("tank.160m.tune_padder"))
	p := d.Value("tank.160m.tune_padder")
	dial := d.Value("tank.160m.tune_dial")
	assert.InEpsilon(t, d.Value("tank.160m.tune_capacitance"), p+25e-12+dial*225e-12, 1e-9)
	assert.True(t, dial > 0 && dial < 1)
}

func TestPadder(t *testing.T) {
	v, own, ok := padder(20e-12, 250e-12, 280e-12, 330e-12, nil)
	require.True(t, ok)
	assert.False(t, own)
	assert.True(t, 330e-12-v <= 250e-12*(1+1e-6) && 280e-12-v >= 20e-12*(1-1e-6))
	v, own, ok = padder(20e-12, 250e-12, 280e-12, 330e-12, []float64{50e-12, 60e-12})
	assert.True(t, ok && own)
	assert.InEpsilon(t, 110e-12, v, 1e-9)
	_, _, ok = padder(20e-12, 60e-12, 100e-12, 200e-12, nil)
	assert.False(t, ok, "the band is wider than the capacitor")
}

// A loaded Q of 5 cannot bring 3000 Ω to 50 Ω: Q² + 1 < 60 (published check
// 3, condition of the formulas). The plate choke takes R_p/X_choke of the Q
// away again; the design keeps 2 % clear of the edge.
func TestUnreachableQ(t *testing.T) {
	a := usual()
	a.load = 3000
	d, r := solve(t, starter+"[tank]\nloaded_q = 5\n", a)
	f := d.Finding("tank.80m.loaded_q_reach")
	choke := 3000 / (2 * math.Pi * r.Bands[1].Centre * a.choke)
	assert.InEpsilon(t, 1.02*(math.Sqrt(3000.0/50-1)+choke), r.Bands[1].Tank.LoadedQ, 0.02) // the coil's loss moves the edge a little
	assert.Contains(t, f.Advice, "tank.loaded_q")
}

func TestHarmonicLimit(t *testing.T) {
	a := usual()
	d, _ := solve(t, starter, a)
	assert.False(t, d.Found("tank.20m.harmonics"))
	a.limit = 70
	d, _ = solve(t, starter, a)
	assert.Equal(t, ledger.Exceeds, d.Severity("tank.20m.harmonics"))
	// With equal currents the level is the network's alone; published check
	// 3.6 has 36 to 38 dB at the second and 48 to 49 dB at the third harmonic
	// for Q = 12 and 2000 to 3000 Ω (lossless; choke and blocking change it
	// little).
	a.currents = []float64{1, 1, 1, 1, 1, 1, 1}
	d, _ = solve(t, starter, a)
	assert.InDelta(t, -37, d.Value("tank.20m.harmonic2"), 1.5)
	assert.InDelta(t, -48.5, d.Value("tank.20m.harmonic3"), 1.5)
	// No current, no harmonic.
	a.currents = []float64{1, 0, 0, 0, 0, 0, 0}
	d, _ = solve(t, starter, a)
	assert.Less(t, d.Value("tank.20m.harmonic2"), -200.0)
}

func TestRatingsOfTheBuildersParts(t *testing.T) {
	d, _ := solve(t, starter+`
[tank.tune]
range = "15 pF .. 500 pF"
voltage = "1.5 kV"
[tank.load]
range = "50 pF .. 4000 pF"
spacing = "0.8 mm"
[tank.switch]
voltage = "10 kV"
current = "40 A"
`, usual())
	verdict := map[string]ledger.Verdict{}
	for _, r := range d.Ratings {
		verdict[r.Part+" "+r.Quantity] = r.Verdict
	}
	assert.Equal(t, ledger.ExceedsRating, verdict["C1 voltage"])
	assert.Equal(t, ledger.Within, verdict["C2 voltage"])
	assert.Equal(t, ledger.Within, verdict["S1 voltage"])
	assert.Equal(t, ledger.ToBuy, verdict["L1 current"])
	for _, p := range setting.Plain(d.Book, "metric").Parts() {
		if p.Designator == "C1" || p.Designator == "L1" || p.Designator == "S1" {
			assert.NotEmpty(t, p.Note, p.Designator)
		}
	}
}

// The knobs' settings at the band edges give the plate load with the same coil.
func TestEdges(t *testing.T) {
	_, r := solve(t, starter, usual())
	for _, b := range r.Bands {
		require.Len(t, b.Edges, 2, b.Name)
		assert.Greater(t, b.Edges[0].Tune, b.Edges[1].Tune)
		for _, e := range b.Edges {
			x := *b.Tank
			x.Chain.Elements = append(x.Chain.Elements[:0:0], b.Tank.Chain.Elements...)
			x.Chain.Elements[x.Chain.Index(network.TuneCapacitor)].Capacitance = e.Tune
			x.Chain.Elements[x.Chain.Index(network.LoadCapacitor)].Capacitance = e.Load
			z := x.Chain.InputImpedance(e.Frequency, 50)
			assert.InEpsilon(t, 2200, real(z), 2e-3)
			assert.InDelta(t, 0, imag(z), 2200*2e-3)
		}
	}
}

func TestNetworksRefuse(t *testing.T) {
	s := desktest.Read(t, starter)
	bands, err := Bands(s)
	require.NoError(t, err)
	_, err = Networks(s, bands, 16e-12, 2000, Feed{0, 1e-9})
	assert.ErrorContains(t, err, "plate choke")
	_, err = Networks(s, bands, 400e-12, 4000, Feed{1e-4, 1e-9})
	assert.ErrorContains(t, err, "no output network")
}

func TestRoller(t *testing.T) {
	d, r := solve(t, starter+"[tank.coil]\nkind = \"roller\"\nrange = \"0.7 uH .. 15 uH\"\ncurrent = \"10 A\"\n", usual())
	assert.Zero(t, r.CoilTurns)
	assert.Equal(t, ledger.Exceeds, d.Severity("tank.160m.roller_range"))
	assert.False(t, d.Found("tank.40m.roller_range"))
}

func BenchmarkNetworks(b *testing.B) {
	s := desktest.Read(b, starter)
	bands, _ := Bands(s)
	for b.Loop() {
		_, _ = Networks(s, bands, 16e-12, 2200, Feed{1.2e-4, 1e-9})
	}
}

func BenchmarkSolve(b *testing.B) {
	s := desktest.Read(b, starter)
	for b.Loop() {
		solveSpec(b, s, usual())
	}
}

// Every type of the catalogue, loads from 600 to 6000 Ω, odd capacitors: an
// answer or a plain refusal, never a number that is none (the book panics on
// NaN and infinity).
func TestEveryType(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for n := range 300 {
		kinds := tube.Types()
		text := strings.Replace(starter, "3-500Z", kinds[n%len(kinds)], 1) +
			fmt.Sprintf("[tank]\nnetwork = %q\nloaded_q = %.2f\ncoil_q = %.0f\n[tank.tune]\nrange = \"%.0f pF .. %.0f pF\"\nlaw = "+
				"\"wavelength\"\npadders = [\"100 pF\", \"220 pF\"]\n[tank.load]\nrange = \"%.0f pF .. %.0f pF\"\n",
				[]string{"pi", "pi-L"}[n%2], 5+20*r.Float64(), 60+400*r.Float64(), 3+30*r.Float64(), 40+500*r.Float64(),
				10+300*r.Float64(),
				400+3000*r.Float64())
		s := desktest.Read(t, text)
		bands, err := Bands(s)
		require.NoError(t, err)
		kind, _ := tube.Lookup(s.Tubes.Type.Value)
		a := usual()
		a.load = 600 * math.Pow(10, r.Float64())
		if _, err := Networks(s, bands, PlateCapacitance(s, kind, 2), a.load, Feed{a.choke, a.blocking}); err != nil {
			assert.ErrorContains(t, err, "no output network")
			continue
		}
		d, _ := solveSpec(t, s, a)
		for _, b := range bands {
			require.InEpsilon(t, a.load, d.Value("tank."+b.Name+".plate_resistance"), 1e-6)
			if q, ok := d.Lookup("tank." + b.Name + ".tune_dial"); ok {
				require.True(t, q.Value > -1e-5 && q.Value < 1+1e-5, "%s: dial %g", text, q.Value)
			}
		}
	}
}

// A published worked tank (published-checks 3.7a): 1250 Ω and Q 12.5 at 14 MHz
// want 113.7 pF in all, and the tubes bring some of it along: two 3-500Z of
// 4.1 pF each (data sheet) and the strays.
func TestTubesBringTheirCapacitanceAlong(t *testing.T) {
	a := usual()
	a.load = 1250
	d, _ := solve(t, starter+"[tank]\nloaded_q = 12.5\n", a)
	assert.InEpsilon(t, 2*4.1e-12+d.Value("tank.stray_capacitance"), d.Value("tank.tube_capacitance"), 1e-9)
	all := d.Value("tank.20m.tune_capacitance") + d.Value("tank.tube_capacitance")
	assert.InDelta(t, 113.7e-12, all*d.Value("tank.20m.frequency")/14e6, 0.1e-12)
}
