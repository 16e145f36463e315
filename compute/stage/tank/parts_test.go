package tank

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/ledger"
	"anodebook/compute/physics/winding"
)

// Two sections: the high bands use one of them, which halves the minimum, so
// that the loaded Q is no longer held up; the low bands keep both.
func TestSections(t *testing.T) {
	a := usual()
	tune := "[tank.tune]\nrange = \"30 pF .. 300 pF\"\nlaw = \"capacitance\"\n"
	whole, _ := solve(t, starter+tune, a)
	d, _ := solve(t, starter+tune+"sections = 2\n", a)
	require.True(t, whole.Found("tank.10m.loaded_q_held"))
	assert.Equal(t, 1.0, d.Value("tank.10m.tune_sections"))
	assert.Equal(t, 2.0, d.Value("tank.40m.tune_sections"))
	assert.InEpsilon(t, 15e-12, d.Value("tank.10m.tune_minimum"), 1e-9)
	assert.Less(t, d.Value("tank.10m.loaded_q"), whole.Value("tank.10m.loaded_q"))
	assert.True(t, d.Found("tank.tune_sections"))
	assert.NotContains(t, d.Finding("tank.tune_sections").Text, "40m")
	// What the dial shows is what the sections in use have there.
	for _, b := range []string{"20m", "40m"} {
		low, high := d.Value("tank."+b+".tune_minimum"), d.Value("tank."+b+".tune_maximum")
		assert.InEpsilon(t, d.Value("tank."+b+".tune_capacitance"), low+d.Value("tank."+b+".tune_dial")*(high-low), 1e-9)
	}
}

// The three laws by their definitions: capacitance, wavelength (∝ √C) and
// frequency (∝ 1/√C) run straight over the dial; all agree at its ends.
func TestDialLaws(t *testing.T) {
	for _, law := range []struct {
		name string
		of   func(c float64) float64
	}{{"capacitance", func(c float64) float64 { return c }}, {"wavelength", math.Sqrt}, {"frequency",
		func(c float64) float64 { return 1 / math.Sqrt(c) }}} {
		d, _ := solve(t, starter+"[tank.tune]\nrange = \"20 pF .. 500 pF\"\nlaw = \""+law.name+"\"\n", usual())
		for _, b := range []string{"80m", "40m", "20m"} {
			c, dial := d.Value("tank."+b+".tune_capacitance"), d.Value("tank."+b+".tune_dial")
			assert.InEpsilon(t, law.of(c), law.of(20e-12)+dial*(law.of(500e-12)-law.of(20e-12)), 1e-9, law.name)
		}
		assert.InDelta(t, 0, lawWavelength.Eval(20, 20, 500), 1e-12)
		assert.InDelta(t, 1, lawFrequency.Eval(20, 500, 500), 1e-12)
	}
	points := []float64{20e-12, 60e-12, 200e-12, 500e-12}
	assert.InDelta(t, 1.0/3, dialOf(points, 60e-12), 1e-12)
	assert.InDelta(t, 0.5, dialOf(points, 130e-12), 1e-12)
	assert.Zero(t, dialOf(points, 10e-12))
	assert.Equal(t, 1.0, dialOf(points, 600e-12))
	d, _ := solve(t, starter+"[tank.tune]\nrange = \"20 pF .. 500 pF\"\n", usual())
	assert.False(t, d.Entered("tank.40m.tune_dial"), "nobody gave the law")
}

// Above the lowlands an air capacitor stands less, a vacuum capacitor not.
func TestAltitude(t *testing.T) {
	rating := func(kind, height string) float64 {
		d, _ := solve(t,
			starter+"[tank.tune]\nrange = \"15 pF .. 500 pF\"\nvoltage = \"4 kV\"\ndielectric = \""+kind+"\"\n[cooling]\naltitude = \""+height+"\"\n", usual())
		for _, r := range d.Ratings {
			if r.Part == "C1" && r.Quantity == "voltage" {
				return r.Rating
			}
		}
		return 0
	}
	assert.Equal(t, 4000.0, rating("air", "100 m"))
	assert.InEpsilon(t, 0.7421*4000, rating("air", "3000 m"), 0.001) // ISO 2533, published check 8.1
	assert.Equal(t, 4000.0, rating("vacuum", "3000 m"))
}

// A separate coil for the high bands: its turns and the tank coil's together
// make the inductance, taps run on from the plate end, and the parts list and
// the winding list have both.
func TestHighCoil(t *testing.T) {
	d, r := solve(t,
		starter+"[tank.high_coil]\ndiameter = \"40 mm\"\nconductor = \"1/4 in\"\npitch = \"10 mm\"\n[tank.coil]\nmaterial = "+
			"\"silver-plated\"\n", usual())
	require.Len(t, r.Coils, 2)
	assert.Equal(t, []string{"L1H", "L1"}, []string{r.Coils[0].Designator, r.Coils[1].Designator})
	high := d.Value("tank.high_coil_inductance")
	assert.InEpsilon(t, d.Value("tank.20m.inductance"), high, 1e-6)
	assert.InEpsilon(t, r.Coils[0].Winding.Inductance(), high, 1e-9)
	for _, b := range r.Bands {
		assert.Equal(t, b.Centre > 13e6, b.OnHighCoil, b.Name)
		l := d.Value("tank." + b.Name + ".inductance")
		s := r.Coils[1].Winding
		if b.OnHighCoil {
			s, l = r.Coils[0].Winding, l+0
		} else {
			l -= high
		}
		assert.InEpsilon(t, l, s.Split(b.Turns).Shorted(), 1e-6, b.Name)
	}
	assert.NotEmpty(t, d.Listed("L1H").Note)
	assert.Contains(t, d.Listed("L1H").Value, "silver-plated")
	// The contact nearest the plates is that of 10 m; on 160 m it bears nearly
	// the whole voltage of both coils.
	v, whole := d.Value("tank.160m.switch_voltage_peak"), d.Value("tank.160m.coil_voltage_peak_swr")
	assert.True(t, v > 0.9*whole && v < whole)
	assert.False(t, d.Entered("tank.10m.switch_voltage_peak"))
}

// The builder's own coil: turns that do not reach the lowest band exceed;
// enough turns give taps for all; a measured inductance that does not go with
// the turns is named.
func TestCoilAtHand(t *testing.T) {
	d, _ := solve(t, starter+"[tank.coil]\nturns = 16\ndiameter = \"63 mm\"\n", usual())
	assert.Equal(t, ledger.Exceeds, d.Severity("tank.160m.coil_range"))
	assert.False(t, d.Found("tank.40m.coil_range"))
	d, r := solve(t, starter+"[tank.coil]\nturns = 60\ninductance = \"40 uH\"\n", usual())
	assert.False(t, d.Found("tank.160m.coil_range"))
	assert.True(t, d.Found("tank.coil_measured"))
	assert.True(t, d.Listed("L1").Given)
	for i := 1; i < len(r.Bands); i++ {
		assert.Less(t, r.Bands[i].Turns, r.Bands[i-1].Turns)
	}
	d, _ = solve(t,
		starter+"[tank.coil]\nribbon_width = \"12 mm\"\nribbon_thickness = \"1.5 mm\"\nribbon = \"edgewise\"\npitch = \"5 mm\"\n",
		usual())
	assert.Contains(t, d.Listed("L1").Value, "on edge")
	assert.Greater(t, d.Value("tank.coil_turns"), 5.0)
}

// Open turns step the voltage up; shorted ones carry a current.
func TestUnusedTurns(t *testing.T) {
	short, _ := solve(t, starter, usual())
	open, _ := solve(t, starter+"[tank.switch]\nunused_turns = \"open\"\nvoltage = \"3 kV\"\n", usual())
	i, used := short.Value("tank.40m.shorted_current_rms"), short.Value("tank.40m.coil_current_rms_swr")
	assert.True(t, i > 0 && i < used)
	assert.False(t, open.Entered("tank.40m.shorted_current_rms"))
	assert.Greater(t, open.Value("tank.10m.unused_voltage_peak"), 0.0)
	assert.Less(t, open.Value("tank.40m.coil_turns"), short.Value("tank.40m.coil_turns"), "shorted turns take inductance away")
	found := false
	for _, r := range open.Ratings {
		found = found || r.Part == "S1" && strings.Contains(r.Why.Form(), "open turns")
	}
	assert.True(t, found)
	assert.Contains(t, open.Listed("S1").Name, "open")
}

// The roller: all its turns are the end of its range, and the counter rises
// with the inductance.
func TestRollerTurns(t *testing.T) {
	d, r := solve(t,
		starter+"[tank.coil]\nkind = \"roller\"\nrange = \"0.2 uH .. 28 uH\"\nturns = 30\ndiameter = \"50 mm\"\nconductor = \"12 "+
			"AWG\"\npitch = \"4 mm\"\n", usual())
	for i := range r.Bands {
		b := &r.Bands[i]
		require.Greater(t, b.Turns, 1.0, b.Name)
		s := winding.Solenoid{Diameter: 50e-3, Pitch: 4e-3, Wire: winding.AWG(12), Turns: 30}
		k := 28e-6 / s.Inductance()
		s.Turns = b.Turns
		assert.InEpsilon(t, b.Tank.Inductance, k*s.Inductance(), 1e-6)
	}
	assert.Contains(t, d.Listed("L1").Note, "Turns from the fixed end")
}

// The output coil on a ring: A_L·N², flux by hand, room in the hole.
func TestRing(t *testing.T) {
	text := starter +
		"[tank]\nnetwork = \"pi-L\"\n[tank.output_coil]\ncore_index = \"12 nH\"\ncore_outer = \"2 in\"\ncore_inner = \"1.25 " +
		"in\"\ncore_height = \"0.55 in\"\ncores = 2\nconductor = \"12 AWG\"\n"
	d, _ := solve(t, text, usual())
	n := d.Value("tank.40m.output_coil_turns")
	assert.Equal(t, math.Round(n), n)
	assert.InEpsilon(t, 24e-9*n*n, d.Value("tank.40m.output_coil_wound"), 1e-9)
	assert.InEpsilon(t, d.Value("tank.40m.output_inductance"), 24e-9*n*n, 0.25)
	v := d.Value("tank.40m.output_coil_voltage_peak")
	// The trade's form of the same: B[G] = V_rms·10⁸/(4.44·f·N·A[cm²]).
	area := 2 * 0.375 * 0.55 * 2.54 * 2.54
	gauss := v / math.Sqrt2 * 1e8 / (4.44 * d.Value("tank.40m.frequency") * n * area)
	assert.InEpsilon(t, gauss*1e-4, d.Value("tank.40m.output_coil_flux"), 0.001)
	assert.Contains(t, d.Listed("L2").Value, "2 rings stacked")
	d, _ = solve(t, strings.Replace(text, "12 AWG", "8 mm", 1), usual())
	assert.True(t, d.Found("tank.output_coil_room"))
	d, r := solve(t, starter+"[tank]\nnetwork = \"pi-L\"\n[tank.output_coil]\ndiameter = \"40 mm\"\n", usual())
	assert.Equal(t, "L2", r.Coils[len(r.Coils)-1].Designator)
	assert.Contains(t, d.Listed("L2").Value, "wire")
}

// What the filter must add is what lacks to the limit, at the worst harmonic.
func TestFilter(t *testing.T) {
	a := usual()
	a.limit = 60
	d, r := solve(t, starter, a)
	for _, b := range r.Bands {
		worst := math.Inf(-1)
		for _, h := range b.Harmonics {
			worst = math.Max(worst, h)
		}
		assert.InDelta(t, worst+60, d.Value("tank."+b.Name+".filter_attenuation"), 1e-9)
	}
	f := d.Finding("tank.80m.harmonics")
	assert.Contains(t, f.Advice, "dB at 7.5")
	assert.Contains(t, f.Advice, "cuts off above 30 MHz does nothing")
}

// At both edges and in the middle the settings run on without a jump: between
// them lies the middle's.
func TestBandEdgeContinuity(t *testing.T) {
	d, r := solve(t, starter, usual())
	for _, b := range r.Bands {
		for _, what := range []string{"tune_capacitance", "load_capacitance"} {
			id := "tank." + b.Name + "." + what
			low, middle, high := d.Value(id+"_low"), d.Value(id), d.Value(id+"_high")
			assert.True(t, low >= middle && middle >= high, "%s: %g %g %g", id, low, middle, high)
			assert.InEpsilon(t, (low+high)/2, middle, 0.03, id)
		}
	}
}
