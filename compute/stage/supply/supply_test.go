package supply

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/rectifier"
	"anodebook/report/setting"
	"anodebook/spec"
)

// read reads the shortest spec with more keys of the supply, or tables, behind.
func read(t testing.TB, more string) *spec.Spec {
	t.Helper()
	return desktest.Read(t, desktest.Text("1000 W", "3-500Z", "2800 V", "80m", "20m")+more)
}

// solve runs the stage with invented tube currents (demo data).
func solve(t testing.TB, more string, plate, idle, twoTone float64) (*desktest.Desk, Result) {
	t.Helper()
	s := read(t, more)
	p, err := Prepare(s, s.Supply.PlateVoltage.SI, plate, 10)
	require.NoError(t, err)
	d, r, err := run(t, s, p, plate, idle, twoTone)
	require.NoError(t, err)
	return d, r
}

func run(t testing.TB, s *spec.Spec, p Plan, plate, idle, twoTone float64) (*desktest.Desk, Result, error) {
	t.Helper()
	d := desktest.On(t, s)
	v, err := p.Loaded(plate)
	if err != nil {
		return d, Result{}, err
	}
	r, err := Solve(d.Desk, Input{
		Plan:           p,
		PlateCurrent:   d.Figure("tubes.plate_current", "A", plate),
		IdleCurrent:    d.Figure("tubes.idle_current", "A", idle),
		ServiceCurrent: d.Figure("tubes.service_current", "A", twoTone),
		TwoToneCurrent: d.Figure("tubes.two_tone_current", "A", twoTone),
		PlateVoltage:   d.Figure("tubes.plate_voltage", "V", v),
		Glitch:         d.Figure("plate_feed.glitch_resistance", "Ω", 10),
		Multiplier:     9e6,
		PlatePull:      0.5,
	})
	return d, r, err
}

var contract = []string{"transformer_voltage", "source_resistance", "filter_capacitance", "mains_frequency", "no_load_voltage",
	"idle_voltage", "full_load_voltage",
	"ripple_peak_to_peak", "secondary_current_rms", "diode_peak_current", "bleeder_resistance", "stored_energy", "time_to_60v",
	"time_to_60v_one_bleeder_open", "surge_current"}

var specs = map[string]string{
	"sized":      "",
	"centre-tap": `rectifier = "centre-tap"`,
	"doubler":    `rectifier = "doubler"`,
	"leaky":      "[supply.transformer]\nshort_circuit_voltage = \"9 %\"",
	"choke":      "rectifier = \"choke-input\"\n[supply.transformer]\nleakage_inductance = \"60 mH\"",
	"swinging": "rectifier = \"choke-input-centre-tap\"\n[supply.choke]\ninductance = \"20 H\"\nloaded_inductance = \"5 " +
		"H\"\nresistance = \"60 ohm\"\ncurrent = \"1 A\"",
	"regulation": "[supply.transformer]\nregulation = \"8 %\"\npower = \"2 kVA\"\nprimary_voltage = \"230 V\"",
	"given": "[supply.transformer]\nvoltage = \"2300 V\"\nprimary_voltage = \"230 V\"\nprimary_resistance = \"0.3 " +
		"ohm\"\nsecondary_resistance = \"25 ohm\"\npower = \"1.5 kVA\"",
	"one side": "[supply.transformer]\nvoltage = \"2200 V\"\nsecondary_resistance = \"25 ohm\"",
	"one bank": "[supply.capacitors]\ncapacitance = \"30 uF\"\ncount = 1\nvoltage = \"5 kV\"\n[supply.bleeders]\nresistance = \"50 " +
		"kohm\"\ncount = 2\n[supply.step_start]\nresistance = \"20 ohm\"\ntime = \"1 s\"\npower = \"50 W\"",
}

func TestContract(t *testing.T) {
	for name, more := range specs {
		t.Run(name, func(t *testing.T) {
			d, r := solve(t, more, 0.65, 0.2, 0.42)
			for _, id := range contract {
				assert.Greater(t, d.Value("supply."+id), 0.0, id)
			}
			// The book's formulas and the plan say the same.
			assert.InEpsilon(t, r.Plan.Supply.SourceResistance, d.Value("supply.source_resistance"), 1e-9)
			assert.InEpsilon(t, r.Plan.Supply.SecondaryVoltage, d.Value("supply.transformer_voltage"), 1e-9)
			assert.InEpsilon(t, r.Plan.Supply.OutputCapacitance(), d.Value("supply.filter_capacitance"), 1e-12)
			assert.InEpsilon(t, r.Plan.Supply.LoadResistance, d.Value("supply.bleeder_resistance"), 1e-12)
			assert.InEpsilon(t, r.Plan.Bank.OutputCapacitance(), d.Value("supply.filter_capacitance"), 1e-12)
			assert.InEpsilon(t, r.Full.LoadCurrent, d.Value("supply.load_current"), 1e-9)
			assert.InEpsilon(t, r.Full.DiodeCurrentMean, d.Value("supply.diode_mean_current"), 1e-6)
			windings := 1.0
			if r.Plan.Supply.Circuit == rectifier.CentreTap {
				windings = 2
			}
			assert.InEpsilon(t, windings*r.Full.Supply.SecondaryVoltage*r.Full.SecondaryCurrent, d.Value("supply.secondary_va"), 1e-9)
			assert.InEpsilon(t, r.Plan.Supply.DiodeReverseVoltage()*1.05, d.Value("supply.diode_reverse_voltage"), 1e-9)
			// Hand formulas stay near, on the side where they err.
			if r.Plan.Choke.Light > 0 {
				// Second harmonic only, and no series resistance in the capacitors.
				assert.InEpsilon(t, d.Value("supply.ripple_by_hand"), d.Value("supply.ripple_peak_to_peak"), 0.15)
				assert.InEpsilon(t, d.Value("supply.full_load_voltage_by_hand"), r.FullLoadVoltage, 0.02)
			} else {
				assert.Greater(t, d.Value("supply.ripple_by_hand"), d.Value("supply.ripple_peak_to_peak"))
				assert.Greater(t, d.Value("supply.full_load_voltage_by_hand"), r.FullLoadVoltage)
				assert.InEpsilon(t, d.Value("supply.full_load_voltage_by_hand"), r.FullLoadVoltage, 0.08)
			}
			if q, ok := d.Lookup("supply.secondary_current_by_hand"); ok {
				assert.InEpsilon(t, q.Value, r.Full.SecondaryCurrent, 0.35)
			}
			// Ordering of the voltages.
			assert.Greater(t, r.HighestVoltage, r.NoLoadVoltage)
			assert.Greater(t, r.NoLoadVoltage, r.StandbyVoltage)
			assert.Greater(t, r.StandbyVoltage, r.IdleVoltage)
			assert.Greater(t, r.IdleVoltage, r.FullLoadVoltage)
			assert.Greater(t, r.TimeOneOpen, 20*r.TimeTo60V)
			if s := d.Spec; !s.Supply.Transformer.Voltage.Given {
				v, err := r.Plan.Loaded(0.65)
				require.NoError(t, err)
				assert.InDelta(t, 2800, v, 1e-5)
			}
			for _, q := range d.Quantities() {
				if testing.Verbose() {
					t.Logf("%-46s %s", q.ID, q.Precise())
				}
			}
			if testing.Verbose() {
				for _, f := range setting.Plain(d.Book, "metric").Findings() {
					t.Logf("%s %s: %s | %s", f.Severity, f.ID, f.Text, f.Advice)
				}
				for _, r := range d.Ratings {
					t.Logf("%s %s %s %.4g/%.4g %s", r.Part, r.Name, r.Quantity, r.Stress, r.Rating, r.Verdict)
				}
				for _, p := range setting.Plain(d.Book, "metric").Parts() {
					t.Logf("%+v", p)
				}
			}
		})
	}
}

func TestEnergyCloses(t *testing.T) {
	_, r := solve(t, "", 0.65, 0.2, 0.42)
	for _, s := range []rectifier.Result{r.Standby, r.Idle, r.TwoTone, r.Full} {
		assert.InEpsilon(t, s.SourcePower, s.SourceLoss+s.DiodeLoss+s.CapacitorLoss+s.OutputPower, 1e-6)
	}
}

func TestLimits(t *testing.T) {
	s := read(t, "")
	for _, bad := range [][3]float64{{0, 1, 10}, {2800, 0, 10}, {2800, 1, -1}, {math.NaN(), 1, 1}} {
		_, err := Prepare(s, bad[0], bad[1], bad[2])
		assert.Error(t, err)
	}
	// More plate current, less plate voltage; the drop in the glitch resistor
	// counts in full.
	p, err := Prepare(s, 2800, 0.65, 10)
	require.NoError(t, err)
	last := math.Inf(1)
	for _, i := range []float64{0, 0.1, 0.3, 0.65, 1} {
		v, err := p.Loaded(i)
		require.NoError(t, err)
		assert.Less(t, v, last)
		last = v
	}
	p.Glitch = 30
	v, err := p.Loaded(0.65)
	require.NoError(t, err)
	assert.InDelta(t, 2800-0.65*20, v, 1e-5)
	_, err = p.Loaded(1000)
	assert.ErrorContains(t, err, "the supply breaks down at the 1.00 kA that the tubes draw")

	// A transformer far too weak is refused in the builder's words.
	weak := read(t, "[supply.transformer]\nvoltage = \"400 V\"\nsecondary_resistance = \"2 kohm\"\n")
	_, err = Prepare(weak, 2800, 5, 10)
	assert.ErrorContains(t, err, "with a secondary resistance of 2000 Ω the supply breaks down at the 5.00 A")
}

func TestWindings(t *testing.T) {
	// 230 V : 2300 V on 240 V mains; 25 Ω + (0.3 Ω + 0.15 Ω)·10².
	d, r := solve(t, specs["given"], 0.65, 0.2, 0.42)
	assert.InEpsilon(t, 2400, d.Value("supply.transformer_voltage"), 1e-12)
	assert.InEpsilon(t, 25+45, r.Plan.Supply.SourceResistance, 1e-9)
	// The worst of eight, its resistor 5 % high and the others 5 % low.
	assert.InEpsilon(t, 52.5/(52.5+7*47.5), worstShare(8, 0.05), 1e-12)
	// 8 % at 2 kVA: V·0.08/1.08 over 2000/V.
	d, _ = solve(t, specs["regulation"], 0.65, 0.2, 0.42)
	v := d.Value("supply.transformer_voltage")
	assert.InEpsilon(t, 0.08/1.08*v*v/2000, d.Value("supply.winding_resistance"), 1e-9)
}

func TestOverstressIsFound(t *testing.T) {
	d, _ := solve(t, `[supply.transformer]
voltage = "2300 V"
regulation = "6 %"
power = "500 VA"
[supply.capacitors]
capacitance = "330 uF"
count = 7
voltage = "450 V"
ripple_current = "0.3 A"
[supply.bleeders]
resistance = "15 kohm"
power = "5 W"
voltage = "350 V"
[supply.diodes]
count = 3
current = "0.3 A"
surge_current = "5 A"
[supply.step_start]
resistance = "20 ohm"
power = "2 W"
[supply.mains]
circuit = "8 A"
`, 0.65, 0.2, 0.42)
	for _, at := range [][2]string{{"T1", "kva"}, {"C7", "voltage"}, {"C7", "surge"}, {"C7", "current"}, {"R3", "power"},
		{"R3", "voltage"}, {"D2", "voltage"}, {"D2", "current"}, {"R4", "energy"}, {"wall", "current"}} {
		assert.Equal(t, ledger.ExceedsRating, d.Verdict(at[0], at[1]), "%v", at)
	}
	assert.True(t, d.Found("supply.surge"), "direct surge above the diodes' rating")
	// Bleeders that take longer than 5 s.
	for _, id := range []string{"supply.stored_energy", "supply.time_to_60v", "supply.one_bleeder_open"} {
		assert.Equal(t, ledger.Caution, d.Severity(id), id)
	}
	assert.Contains(t, d.Finding("supply.time_to_60v").Advice, "the meter decides, not the clock")

	// Bleeders of 2 kΩ: fast enough for the standard, and the finding is a note.
	d, r := solve(t, "[supply.bleeders]\nresistance = \"2 kohm\"\n", 0.65, 0.2, 0.42)
	require.Less(t, r.TimeTo60V, 5.0)
	assert.Equal(t, ledger.Note, d.Severity("supply.time_to_60v"))

	// Bleeders that share nothing are named.
	d, _ = solve(t, "[supply.bleeders]\nresistance = \"50 kohm\"\ncount = 2\n", 0.65, 0.2, 0.42)
	assert.True(t, d.Found("supply.no_equalisers"))
}

// Whatever the stage chooses by itself must stand what it finds.
func TestChoicesHold(t *testing.T) {
	for _, c := range []string{"bridge", "centre-tap", "doubler", "choke-input", "choke-input-centre-tap"} {
		for _, volts := range []float64{600, 1500, 2800, 4500, 7000} {
			for _, amps := range []float64{0.1, 0.8, 2} {
				s := read(t, fmt.Sprintf("rectifier = %q\n", c))
				s.Supply.PlateVoltage.SI = volts
				p, err := Prepare(s, volts, amps, 10)
				require.NoError(t, err, "%s %g V %g A", c, volts, amps)
				v, err := p.Loaded(amps)
				require.NoError(t, err)
				require.InEpsilon(t, volts, v, 1e-8)
				d, r, err := run(t, s, p, amps, amps/4, amps*0.64)
				require.NoError(t, err)
				for _, x := range d.Ratings {
					assert.GreaterOrEqual(t, x.Rating, x.Stress*x.RequiredFactor*(1-1e-9), "%s %g V %g A: %s %s", c, volts, amps,
						x.Part, x.Quantity)
				}
				assert.Less(t, r.Full.RipplePeak, 0.05*r.FullLoadVoltage)
				assert.Less(t, d.Value("supply.bleeder_power"), 0.08*volts*amps,
					"5 %, the mains, and a step of E12; or what the longest wait asks for")
			}
		}
	}
}

func BenchmarkPrepareSolve(b *testing.B) {
	s := read(b, "")
	b.ReportAllocs()
	for b.Loop() {
		p, err := Prepare(s, 2800, 0.65, 10)
		if err != nil {
			b.Fatal(err)
		}
		if _, _, err := run(b, s, p, 0.65, 0.2, 0.42); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLoaded(b *testing.B) {
	p, err := Prepare(read(b, ""), 2800, 0.65, 10)
	require.NoError(b, err)
	for b.Loop() {
		if _, err := p.Loaded(0.6); err != nil {
			b.Fatal(err)
		}
	}
}

// Ripple on the plates modulates the amplitude: either sideband
// of a modulation m has m²/4 of the carrier's power, -6.02 dB at 100 % (any
// text on amplitude modulation); m is half the ripple, peak to peak, times the
// pull, 0.5 here.
func TestHumIsAmplitudeModulation(t *testing.T) {
	d, _ := solve(t, "", 0.6, 0.15, 0.4)
	q := d.Of("supply.")
	m := 0.5 * q("ripple_peak_to_peak") / 2 / q("full_load_voltage")
	assert.InDelta(t, 10*math.Log10(m*m/4), q("hum_sidebands"), 1e-6)
}

// Capacitors in series carry the same charge: with the worst at the lower and
// all others at the upper end of the tolerance their voltages add up to the
// bank's.
func TestWorstCapacitorSharesTheCharge(t *testing.T) {
	d, _ := solve(t, "", 0.6, 0.15, 0.4)
	q := d.Of("supply.")
	tolerance, n := q("capacitor_tolerance"), q("capacitor_count")
	require.Greater(t, n, 2.0)
	worst := q("capacitor_voltage_switch_on")
	others := worst * (1 - tolerance) / (1 + tolerance)
	assert.InEpsilon(t, q("highest_voltage"), worst+(n-1)*others, 1e-9)
	assert.Greater(t, worst, others)
}
