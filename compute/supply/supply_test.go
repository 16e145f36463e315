package supply

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/rectifier"
	"anodebook/compute/rules"
	"anodebook/compute/tube"
	"anodebook/spec"
)

const shortest = `
[target]
output = "1000 W"
bands = ["80m", "20m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2800 V"
`

func read(t testing.TB, more string) *spec.Spec {
	t.Helper()
	s, err := spec.Read("test.toml", []byte(shortest+more), spec.Names{Tubes: tube.Types(), Rules: rules.Names()})
	require.NoError(t, err)
	return s
}

// solve runs the stage with invented tube currents (demo data).
func solve(t testing.TB, more string, plate, idle, twoTone float64) (*desk.Desk, Result) {
	t.Helper()
	s := read(t, more)
	p, err := Prepare(s, s.Supply.PlateVoltage.SI, plate, 10)
	require.NoError(t, err)
	d, r, err := run(s, p, plate, idle, twoTone)
	require.NoError(t, err)
	return d, r
}

func run(s *spec.Spec, p Plan, plate, idle, twoTone float64) (*desk.Desk, Result, error) {
	d := desk.New(s)
	v, err := p.Loaded(plate)
	if err != nil {
		return d, Result{}, err
	}
	r, err := Solve(d, Input{
		Plan:           p,
		PlateCurrent:   d.Catalogue("tubes.plate_current", "plate current", plate, "A", "test"),
		IdleCurrent:    d.Catalogue("tubes.idle_current", "idle current", idle, "A", "test"),
		TwoToneCurrent: d.Catalogue("tubes.two_tone_current", "two-tone current", twoTone, "A", "test"),
		PlateVoltage:   d.Catalogue("tubes.plate_voltage", "plate voltage", v, "V", "test"),
		Glitch:         d.Catalogue("plate_feed.glitch_resistance", "glitch resistor", 10, "Ω", "test"),
		Multiplier:     9e6,
	})
	return d, r, err
}

var contract = []string{"transformer_voltage", "source_resistance", "filter_capacitance", "mains_frequency", "no_load_voltage", "idle_voltage", "full_load_voltage",
	"ripple_peak_to_peak", "secondary_current_rms", "diode_peak_current", "bleeder_resistance", "stored_energy", "time_to_60v", "time_to_60v_one_bleeder_open", "surge_current"}

var specs = map[string]string{
	"sized":      "",
	"centre-tap": `rectifier = "centre-tap"`,
	"doubler":    `rectifier = "doubler"`,
	"regulation": "[supply.transformer]\nregulation = \"8 %\"\npower = \"2 kVA\"\nprimary_voltage = \"230 V\"",
	"given":      "[supply.transformer]\nvoltage = \"2300 V\"\nprimary_voltage = \"230 V\"\nprimary_resistance = \"0.3 ohm\"\nsecondary_resistance = \"25 ohm\"\npower = \"1.5 kVA\"",
	"one side":   "[supply.transformer]\nvoltage = \"2200 V\"\nsecondary_resistance = \"25 ohm\"",
	"one bank":   "[supply.capacitors]\ncapacitance = \"30 uF\"\ncount = 1\nvoltage = \"5 kV\"\n[supply.bleeders]\nresistance = \"50 kohm\"\ncount = 2\n[supply.step_start]\nresistance = \"20 ohm\"\ntime = \"1 s\"\npower = \"50 W\"",
}

func TestContract(t *testing.T) {
	for name, more := range specs {
		t.Run(name, func(t *testing.T) {
			d, r := solve(t, more, 0.65, 0.2, 0.42)
			for _, id := range contract {
				q, ok := d.Lookup("supply." + id)
				require.True(t, ok, id)
				assert.Greater(t, q.Value, 0.0, id)
			}
			// The book's formulas and the plan say the same.
			assert.InEpsilon(t, r.Plan.Supply.SourceResistance, d.Get("supply.source_resistance").Value, 1e-9)
			assert.InEpsilon(t, r.Plan.Supply.SecondaryVoltage, d.Get("supply.transformer_voltage").Value, 1e-9)
			assert.InEpsilon(t, r.Plan.Supply.OutputCapacitance(), d.Get("supply.filter_capacitance").Value, 1e-12)
			assert.InEpsilon(t, r.Plan.Supply.LoadResistance, d.Get("supply.bleeder_resistance").Value, 1e-12)
			assert.InEpsilon(t, r.Plan.Bank.OutputCapacitance(), d.Get("supply.filter_capacitance").Value, 1e-12)
			assert.InEpsilon(t, r.Full.LoadCurrent, d.Get("supply.load_current").Value, 1e-9)
			assert.InEpsilon(t, r.Full.DiodeCurrentMean, d.Get("supply.diode_mean_current").Value, 1e-6)
			assert.InEpsilon(t, r.Full.SecondaryVA, d.Get("supply.secondary_va").Value, 1e-9)
			assert.InEpsilon(t, r.Plan.Supply.DiodeReverseVoltage()*1.05, d.Get("supply.diode_reverse_voltage").Value, 1e-9)
			// Hand formulas stay near, on the side where they err.
			assert.Greater(t, d.Get("supply.ripple_by_hand").Value, d.Get("supply.ripple_peak_to_peak").Value)
			assert.Greater(t, d.Get("supply.full_load_voltage_by_hand").Value, r.FullLoadVoltage)
			assert.InEpsilon(t, d.Get("supply.full_load_voltage_by_hand").Value, r.FullLoadVoltage, 0.06)
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
				for _, f := range d.Sorted() {
					t.Logf("%s %s: %s | %s", f.Severity, f.ID, f.Text, f.Advice)
				}
				for _, r := range d.Ratings {
					t.Logf("%s %s %s %.4g/%.4g %s", r.Part, r.Name, r.Quantity, r.Stress, r.Rating, r.Verdict)
				}
				for _, p := range d.Parts {
					t.Logf("%+v", p)
				}
			}
		})
	}
}

var _ = math.Pi
var _ = rectifier.Bridge
var _ ledger.Finding
