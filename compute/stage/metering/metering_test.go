package metering

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/report/setting"
)

type demo struct{ plate, grid, filter, noLoad, highest float64 }

var kilowatt = demo{0.65, 0.22, 2800, 3170, 3330}

func run(t *testing.T, more string, in demo) (*desktest.Desk, Result) {
	t.Helper()
	d := desktest.New(t, desktest.Text("800 W", "3-500Z", "2800 V", "40m")+more)
	q := d.Figure
	r, err := Solve(d.Desk, Input{
		PlateCurrent: q("tubes.plate_current", "A", in.plate), GridCurrent: q("tubes.grid_current", "A", in.grid),
		IdleCurrent:   q("tubes.idle_current", "A", in.plate/4),
		FilterVoltage: q("supply.full_load_voltage", "V", in.filter), NoLoadVoltage: q("supply.no_load_voltage", "V", in.noLoad),
		HighestVoltage: q("supply.highest_voltage", "V", in.highest),
		Fault:          q("supply.fault_peak_current", "A", in.highest/14), FaultLoop: q("supply.fault_resistance", "Ω", 14),
		StoredEnergy: q("supply.stored_energy", "J", 180),
	})
	require.NoError(t, err)
	return d, r
}

// At full scale shunt and movement carry just their shares: Kirchhoff.
func TestShunts(t *testing.T) {
	d, r := run(t, "", kilowatt)
	for _, c := range []struct{ scale, shunt float64 }{{r.PlateScale, r.PlateShunt}, {r.GridScale, r.GridShunt}} {
		across := 1e-3 * 100 // 1 mA through 100 Ω
		assert.InEpsilon(t, c.scale, 1e-3+across/c.shunt, 1e-12)
	}
	assert.Equal(t, 1.0, r.PlateScale)
	assert.Equal(t, 0.3, r.GridScale)
	// 0.1 V at full scale each, so 65 % and 73 % of it add up.
	assert.InEpsilon(t, 0.065+0.22/0.3*0.1, d.Value("metering.rail_voltage"), 1e-9)
	for _, id := range []string{"metering.plate_reading", "metering.grid_reading", "metering.voltmeter_reading"} {
		assert.InDelta(t, 0.7, d.Value(id), 0.15, id)
	}
}

func TestMultiplier(t *testing.T) {
	d, r := run(t, "", kilowatt)
	// 3330 V · 1.25 / 500 V = 8.3; 9 MΩ in all.
	assert.Equal(t, 9, r.Multipliers)
	assert.InEpsilon(t, 9e6, d.Value("metering.multiplier_resistance"), 1e-12)
	assert.InEpsilon(t, 9, d.Value("metering.multiplier_count"), 1e-12)
	n, total := String(d.Spec, 3330)
	assert.Equal(t, r.Multipliers, n)
	assert.InEpsilon(t, r.MultiplierTotal, total, 1e-12)
	// Above the critical resistance V²/P = 125 kΩ of a 2 W, 500 V part (10h of
	// the published checks) voltage decides, below it power does.
	s := d.Spec
	s.Margins.Power.Value, s.Margins.Voltage.Value = 1, 1
	for _, c := range []struct {
		each float64
		want int
	}{{130e3, 8}, {125e3, 8}, {31.25e3, 16}} {
		s.Metering.MultiplierValue.SI = c.each
		n, _ := String(s, 4000)
		assert.Equal(t, c.want, n, c.each)
	}
	// Every resistor keeps its ratings, whatever the voltage.
	for _, v := range []float64{700, 1500, 4000, 8500} {
		d, _ := run(t, "", demo{0.65, 0.2, v * 0.85, v * 0.95, v})
		for _, x := range d.Ratings {
			assert.NotEqual(t, ledger.ExceedsRating, x.Verdict, x.Part)
			assert.NotEqual(t, ledger.Thin, x.Verdict, x.Part)
		}
		f := d.Finding("metering.multiplier_open")
		assert.Equal(t, ledger.Caution, f.Severity)
	}
	// Ten resistors of 1 MΩ starve a 1 mA movement that the builder has.
	d, _ = run(t, "[metering]\nmovement = \"1 mA\"\n", kilowatt)
	assert.Equal(t, ledger.Caution, d.Severity("metering.voltmeter"))
}

func TestScales(t *testing.T) {
	for _, i := range []float64{0.05, 0.12, 0.4, 0.65, 0.8, 1.1, 2} {
		fs := Scale(i)
		assert.GreaterOrEqual(t, fs*0.8, i*(1-1e-9))
		assert.LessOrEqual(t, fs*0.45, i, "a scale that wastes half")
	}
	d, _ := run(t, "[metering]\nplate_scale = \"500 mA\"\n", kilowatt)
	f := d.Finding("metering.plate_scale")
	assert.Equal(t, ledger.Caution, f.Severity)
	// Movements that drop too much make the clamps conduct.
	d, _ = run(t, "[metering]\nmovement = \"1 mA\"\nmovement_resistance = \"1 kohm\"\n", kilowatt)
	assert.Equal(t, ledger.Caution, d.Severity("metering.rail"))
}

// Without clamp diodes a flash-over burns the shunts, and R8 is all that is
// left: 3330 V · 100 Ω / (100 + 14) Ω = 2921 V.
func TestClamps(t *testing.T) {
	d, _ := run(t, "[metering.clamps]\nfitted = false\n", kilowatt)
	assert.Equal(t, ledger.Exceeds, d.Severity("metering.clamps"))
	assert.InEpsilon(t, 3330*100.0/114, d.Value("metering.rail_voltage_fault"), 1e-9)
	assert.Contains(t, d.Finding("metering.clamps").Text, "2920 V")
	assert.Equal(t, ledger.Caution, d.Severity("metering.fault_path"), "the fault is still there")
	for _, part := range []string{"D3", "D6", "D7"} {
		assert.NotContains(t, d.Designators(), part)
	}
	// 237.9 A at the peak, 650 mA all the time: both sides of stress and margin.
	for rating, want := range map[string]ledger.Verdict{"237 A": ledger.ExceedsRating, "238 A": ledger.Thin, "297 A": ledger.Thin,
		"298 A": ledger.Within} {
		d, _ = run(t, "[metering.clamps]\nsurge_current = \""+rating+"\"\n", kilowatt)
		assert.Equal(t, want, d.Verdict("D3", "surge"), rating)
		assert.Equal(t, ledger.NotStated, d.Verdict("D3", "current"))
	}
	for rating, want := range map[string]ledger.Verdict{"0.64 A": ledger.ExceedsRating, "0.7 A": ledger.Thin, "0.82 A": ledger.Within} {
		d, _ = run(t, "[metering.clamps]\ncurrent = \""+rating+"\"\n", kilowatt)
		assert.Equal(t, want, d.Verdict("D3", "current"), rating)
	}
}

// The builder's own string: its count is what everything reckons with.
func TestOwnString(t *testing.T) {
	meter := func(keys string) *desktest.Desk {
		d, _ := run(t, "[metering]\n"+keys, kilowatt)
		return d
	}
	d := meter("multiplier_count = 12\nmultiplier_resistor = \"470 kohm\"\n")
	assert.InEpsilon(t, 12*470e3, d.Value("metering.multiplier_resistance"), 1e-12)
	assert.Equal(t, 12, d.Listed("R5").Count)
	n, total := String(d.Spec, 3330)
	assert.Equal(t, 12, n)
	assert.InEpsilon(t, 12*470e3, total, 1e-12)
	assert.False(t, d.Found("metering.multiplier_count"))
	// One resistor, two: the threshold of the finding.
	assert.Equal(t, ledger.Exceeds,
		meter("multiplier_count = 1\nmultiplier_resistor = \"10 Mohm\"\nmultiplier_voltage = \"5 kV\"\n").Severity("metering.multiplier_count"))
	assert.False(t,
		meter("multiplier_count = 2\nmultiplier_resistor = \"5 Mohm\"\nmultiplier_voltage = \"5 kV\"\n").Found("metering.multiplier_count"))
	// 3330 V / 6 = 555 V, / 7 = 476 V, / 8 = 416 V · 1.25 = 520 V, / 9 · 1.25 = 463 V of 500 V.
	for count, want := range map[string]ledger.Verdict{"6": ledger.ExceedsRating, "7": ledger.Thin, "8": ledger.Thin,
		"9": ledger.Within} {
		assert.Equal(t, want, meter("multiplier_count = "+count+"\n").Verdict("R5", "voltage"), count)
	}
	// The dial is off scale below the highest voltage.
	assert.Equal(t, ledger.Caution, meter("voltage_scale = \"3300 V\"\n").Severity("metering.voltage_scale"))
	assert.False(t, meter("voltage_scale = \"3350 V\"\n").Found("metering.voltage_scale"))
	// 10 · 1 MΩ · 0.5 mA = 5000 V, whatever else one would choose.
	d = meter("multiplier_count = 10\nmovement = \"0.5 mA\"\n")
	assert.InEpsilon(t, 5000, d.Value("metering.voltage_scale"), 1e-12)
	// The same with 4000 V on the dial reads 80 % of the truth.
	d = meter("multiplier_count = 10\nmovement = \"0.5 mA\"\nvoltage_scale = \"4000 V\"\n")
	assert.Equal(t, ledger.Exceeds, d.Severity("metering.voltage_scale"))
	assert.InEpsilon(t, 0.8, d.Value("metering.voltmeter_low"), 1e-12)
	assert.False(t, meter("multiplier_count = 10\nmovement = \"0.5 mA\"\nvoltage_scale = \"5000 V\"\n").Found("metering.voltage_scale"))
}

// What kills is said at the part.
func TestCautions(t *testing.T) {
	d, _ := run(t, "", kilowatt)
	notes := map[string]string{}
	for _, p := range setting.Plain(d.Book, "metric").Parts() {
		notes[p.Designator] = p.Note
	}
	assert.Contains(t, notes["R5"], "lethal")
	assert.Contains(t, notes["R6"], "floats the negative rail")
	assert.Contains(t, notes["D3"], "full supply voltage")
	assert.Contains(t, notes["M3"], "never trust a reading of zero")
	// The supply's own run: 3330 V into 14 Ω.
	assert.InEpsilon(t, 3330.0/14, d.Value("metering.fault_current"), 1e-9)
}

// The resistors of the string share the voltage, and their heat is that of the
// whole string across it: Kirchhoff and Joule.
func TestStringShares(t *testing.T) {
	d, _ := run(t, "", kilowatt)
	n, each := d.Value("metering.multiplier_count"), d.Value("metering.multiplier_voltage_each")
	assert.InEpsilon(t, kilowatt.highest, n*each, 1e-12)
	assert.InEpsilon(t, kilowatt.highest*kilowatt.highest/d.Value("metering.multiplier_resistance"),
		n*d.Value("metering.multiplier_power_each"), 1e-9)
}
