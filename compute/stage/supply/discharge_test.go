package supply

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/report/setting"
)

// wired runs the stage with a voltmeter string of the resistance [Ω].
func wired(t *testing.T, more string, meter float64) (*desktest.Desk, Result) {
	t.Helper()
	s := read(t, more)
	p, err := Prepare(s, s.Supply.PlateVoltage.SI, 0.65, 10)
	require.NoError(t, err)
	d := desktest.On(t, s)
	v, err := p.Loaded(0.65)
	require.NoError(t, err)
	r, err := Solve(d.Desk, Input{
		Plan: p, PlateCurrent: d.Figure("tubes.plate_current", "A", 0.65), IdleCurrent: d.Figure("tubes.idle_current", "A", 0.2),
		ServiceCurrent: d.Figure("tubes.service_current", "A", 0.42), TwoToneCurrent: d.Figure("tubes.two_tone_current", "A", 0.42),
		PlateVoltage: d.Figure("tubes.plate_voltage", "V", v), Glitch: d.Figure("plate_feed.glitch_resistance", "Ω", 10),
		Multiplier: meter,
	})
	require.NoError(t, err)
	return d, r
}

// emptied steps a bank of n capacitors c through its bleeders r, of which the
// first few are open, and the voltmeter string m across all of it, each
// capacitor by itself, until terminals and capacitors are below 60 V.
func emptied(n, open int, c, r, m, from float64) (terminals, worst float64) {
	v := make([]float64, n)
	for k := range v {
		v[k] = from / float64(n)
	}
	h := math.Min(r*c, m*c/float64(n)) / 2000
	for clock := 0.0; ; clock += h {
		sum, most := 0.0, 0.0
		for _, x := range v {
			sum += x
			most = math.Max(most, math.Abs(x))
		}
		if sum > 60 {
			terminals = clock
		}
		if most > 60 {
			worst = clock
		}
		if sum <= 60 && most <= 60 {
			return terminals, worst
		}
		for k := range v {
			i := sum / m
			if k >= open {
				i += v[k] / r
			}
			v[k] -= h * i / c
		}
	}
}

// The bank after switch-off against a run of every single capacitor: whole, one
// and two bleeders open, with a voltmeter string that hardly counts and with
// one that does nearly all (bleeders of 1 MΩ, multiplier resistors of 200 kΩ).
func TestDischargeAgainstRun(t *testing.T) {
	for _, x := range []struct{ r, m float64 }{{47e3, 4e6}, {1e6, 7 * 200e3}} {
		d, r := wired(t, fmt.Sprintf("[supply.bleeders]\nresistance = \"%g ohm\"\n", x.r), x.m)
		n, c, from := int(d.Value("supply.capacitor_count")), d.Value("supply.capacitor_each"), d.Value("supply.no_load_voltage")
		whole, _ := emptied(n, 0, c, x.r, x.m, from)
		assert.InEpsilon(t, whole, d.Value("supply.time_to_60v"), 0.01)
		both := 1 / (1/(float64(n)*x.r) + 1/x.m)
		assert.InEpsilon(t, both*c/float64(n), d.Value("supply.discharge_time_constant"), 1e-9)
		assert.InEpsilon(t, 1.05*1.2*both*c/float64(n)*math.Log(from*1.05/60), d.Value("supply.time_to_60v_worst"), 1e-9,
			"5 % and 20 % high, mains 5 % high")
		terminals, worst := emptied(n, 1, c, x.r, x.m, from)
		assert.InEpsilon(t, math.Max(terminals, worst), d.Value("supply.time_to_60v_one_bleeder_open"), 0.01)
		assert.InEpsilon(t, terminals, d.Value("supply.terminals_to_60v_one_bleeder_open"), 0.01)
		terminals, worst = emptied(n, 2, c, x.r, x.m, from)
		assert.InEpsilon(t, math.Max(terminals, worst), d.Value("supply.time_to_60v_two_bleeders_open"), 0.01)
		half, _ := r.Discharge.OneOpen(d.Value("supply.half_time_one_bleeder_open"))
		assert.InEpsilon(t, from/2, half, 1e-6)
		// The figure's curves pass 60 V where the book says.
		assert.InEpsilon(t, 60, r.Discharge.Sound(r.TimeTo60V), 1e-6)
		a, b := r.Discharge.OneOpen(r.TimeOneOpen)
		assert.InEpsilon(t, 60, math.Max(a, b), 1e-6)
	}
}

// No spec makes the worse case look better: with one or two bleeders open it
// never takes less than with all of them. (Two orphans push twice the current
// through the voltmeter string, so that two open may take less than one.)
func TestOpenBleederIsNeverFaster(t *testing.T) {
	for _, ohms := range []float64{1e3, 22e3, 100e3, 1e6, 10e6} {
		for _, meter := range []float64{200e3, 2e6, 20e6} {
			for _, more := range []string{"", "rectifier = \"doubler\"\n",
				"[supply.capacitors]\ncapacitance = \"30 uF\"\ncount = 1\nvoltage = \"5 kV\"\n"} {
				d, r := wired(t, more+fmt.Sprintf("[supply.bleeders]\nresistance = \"%g ohm\"\n", ohms), meter)
				assert.GreaterOrEqual(t, r.TimeOneOpen, r.TimeTo60V*(1-1e-9), "%g Ω %g Ω %s", ohms, meter, more)
				if q, ok := d.Lookup("supply.time_to_60v_two_bleeders_open"); ok {
					assert.GreaterOrEqual(t, q.Value, r.TimeTo60V*(1-1e-9))
				}
				assert.GreaterOrEqual(t, r.TimeToWait, d.Value("supply.time_to_60v_worst")*(1-1e-9))
				assert.Zero(t, math.Mod(r.TimeToWait, 30))
			}
		}
	}
}

// Without the voltmeter's string it never falls, and the book says so.
func TestOneOpenWithoutMeter(t *testing.T) {
	d, r := wired(t, "", 0)
	assert.True(t, math.IsInf(r.TimeOneOpen, 1))
	_, ok := d.Lookup("supply.time_to_60v_one_bleeder_open")
	assert.False(t, ok)
	assert.Contains(t, d.Finding("supply.one_bleeder_open").Text, "stays in the bank for days")
	assert.InEpsilon(t, d.Value("supply.bleeder_resistance")*d.Value("supply.filter_capacitance"),
		d.Value("supply.discharge_time_constant"), 1e-12)
}

// The limits, each tried on both sides by the worst time: 5 s of IEC 60204-1,
// the wait wanted of 60 s, and minutes.
func TestBleederLimits(t *testing.T) {
	given := specs["given"] + "\n" // a transformer whose voltage does not follow the bleeders
	base, _ := wired(t, given, 9e6)
	n, c, highest := base.Value("supply.capacitor_count"), base.Value("supply.filter_capacitance"), base.Value("supply.highest_voltage")
	each := func(seconds float64) float64 { // of the bleeders that take this time with 9 MΩ beside them
		return 1 / (1/(seconds/(1.05*1.2*c*math.Log(highest/60))) - 1/9e6) / n
	}
	for _, x := range []struct {
		seconds float64
		want    ledger.Severity
		remedy  bool
	}{{4.95, ledger.Note, false}, {5.05, ledger.Caution, false}, {59.5, ledger.Caution, false}, {60.5, ledger.Caution, true},
		{119.5, ledger.Caution, true},
		{120.5, ledger.Exceeds, true}, {600, ledger.Exceeds, true}} {
		d, _ := wired(t, given+fmt.Sprintf("[supply.bleeders]\nresistance = \"%.9g ohm\"\n", each(x.seconds)), 9e6)
		require.InEpsilon(t, x.seconds, d.Value("supply.time_to_60v_worst"), 1e-6)
		assert.Equal(t, x.want, d.Severity("supply.time_to_60v"), "%g s", x.seconds)
		advice := d.Finding("supply.time_to_60v").Advice
		assert.Equal(t, x.remedy, strings.Contains(advice, "Fewer ohms and more watts"), "%g s", x.seconds)
	}

	// The resistance that it names reaches 60 s by hand, takes the watts that
	// it names, and no longer exceeds once it is written into the spec.
	d, _ := wired(t, given+"[supply.bleeders]\nresistance = \"1 Mohm\"\npower = \"2 W\"\n", 9e6)
	r := d.Value("supply.bleeder_for_wait")
	n, c, highest = d.Value("supply.capacitor_count"), d.Value("supply.filter_capacitance"), d.Value("supply.highest_voltage")
	assert.LessOrEqual(t, 1.05*r*n*1.2*c*math.Log(highest/60), 60.0)
	assert.Greater(t, 1.05*r*n*1.2*c*math.Log(highest/60), 60/1.23, "no smaller than one step of E12 below")
	assert.Less(t, r, 1e6, "fewer ohms, never more")
	assert.InEpsilon(t, highest/n*highest/n/r, d.Value("supply.bleeder_for_wait_power"), 1e-9)
	rating := d.Value("supply.bleeder_for_wait_rating")
	assert.GreaterOrEqual(t, rating, 2*d.Value("supply.bleeder_for_wait_power"))
	after, _ := wired(t, given+fmt.Sprintf("[supply.bleeders]\nresistance = \"%g ohm\"\npower = \"%g W\"\n", r, rating), 9e6)
	assert.Equal(t, ledger.Caution, after.Severity("supply.time_to_60v"))
	assert.NotContains(t, after.Finding("supply.time_to_60v").Advice, "Fewer ohms", "the remedy needs no other")
	assert.Equal(t, ledger.Within, after.Verdict("R3", "power"))

	// Nothing anywhere calls for a 'larger' resistor.
	for _, spec := range []string{"", "[supply.bleeders]\nresistance = \"1 Mohm\"\n",
		"[supply.bleeders]\nresistance = \"5 kohm\"\npower = \"5 W\"\nvoltage = \"200 V\"\n"} {
		d, _ := wired(t, spec, 9e6)
		for _, f := range setting.Plain(d.Book, "metric").Findings() {
			assert.NotContains(t, f.Text+f.Advice, "larger resistor")
		}
	}
}

// Bleeders that the program chooses never make anybody wait longer than 60 s,
// however much capacitance the builder has.
func TestChosenBleedersReachTheWait(t *testing.T) {
	for _, farads := range []string{"10 uF", "330 uF", "3300 uF"} {
		d, _ := wired(t, "[supply.capacitors]\ncapacitance = \""+farads+"\"\n", 9e6)
		assert.LessOrEqual(t, d.Value("supply.time_to_60v_worst"), 60.0, farads)
		assert.NotEqual(t, ledger.Exceeds, d.Severity("supply.time_to_60v"), farads)
	}
}

// fitted = false: no part, no resistance, an 'exceeds', and the voltmeter
// string alone in every time.
func TestNoBleeders(t *testing.T) {
	for _, circuit := range []string{"bridge", "centre-tap", "doubler", "choke-input", "choke-input-centre-tap"} {
		d, r := wired(t, "rectifier = \""+circuit+"\"\n[supply.bleeders]\nfitted = false\n", 9e6)
		assert.Equal(t, ledger.Exceeds, d.Severity("supply.no_bleeders"), circuit)
		assert.False(t, d.Found("supply.one_bleeder_open"))
		assert.False(t, d.Found("supply.time_to_60v"))
		for _, p := range setting.Plain(d.Book, "metric").Parts() {
			assert.NotEqual(t, "R3", p.Designator, circuit)
		}
		for _, x := range d.Ratings {
			assert.NotEqual(t, "R3", x.Part, circuit)
		}
		for _, id := range []string{"bleeder_count", "bleeder_each", "bleeder_resistance", "bleeder_power",
			"time_to_60v_one_bleeder_open"} {
			_, ok := d.Lookup("supply." + id)
			assert.False(t, ok, "%s: supply.%s", circuit, id)
		}
		c := d.Value("supply.filter_capacitance")
		assert.InEpsilon(t, 9e6*c*math.Log(r.NoLoadVoltage/60), d.Value("supply.time_to_60v"), 1e-9, circuit)
		assert.InEpsilon(t, 1.05*9e6*1.2*c*math.Log(r.HighestVoltage/60), d.Value("supply.time_to_60v_worst"), 1e-9, circuit)
		assert.InEpsilon(t, 0.65, d.Value("supply.load_current"), 1e-12, "nothing beside the tubes")
		advice := d.Finding("supply.no_bleeders").Advice
		assert.Contains(t, advice, d.Get("supply.bleeder_for_wait").Text())
	}
	d, r := wired(t, "[supply.bleeders]\nfitted = false\n", 0)
	assert.True(t, math.IsInf(r.TimeToWait, 1))
	assert.Contains(t, d.Finding("supply.no_bleeders").Text, "for days")
}

// Every bank of these voltages carries the shock warning. The 20 J of
// IEC 60950-1 add the energy hazard and nothing else: tried on both sides.
func TestStoredEnergy(t *testing.T) {
	one := func(farads float64) *desktest.Desk {
		d, _ := wired(t,
			fmt.Sprintf("[supply.capacitors]\ncapacitance = \"%.9g uF\"\ncount = 1\nvoltage = \"5 kV\"\n[supply.bleeders]\ncount = 1\n",
				farads*1e6), 9e6)
		return d
	}
	volts := one(10e-6).Value("supply.no_load_voltage")
	for _, x := range []struct {
		joules float64
		hazard bool
	}{{19.5, false}, {20.5, true}} {
		c := 2 * x.joules / (volts * volts)
		d := one(c)
		for range 3 { // the transformer is sized for the ripple that the capacitance leaves
			c *= x.joules / d.Value("supply.stored_energy")
			d = one(c)
		}
		require.InEpsilon(t, x.joules, d.Value("supply.stored_energy"), 5e-3)
		f := d.Finding("supply.stored_energy")
		assert.Equal(t, ledger.Caution, f.Severity)
		assert.Contains(t, f.Text, "can kill")
		assert.Equal(t, x.hazard, strings.Contains(f.Text, "IEC 60950-1"), "%g J", x.joules)
		assert.NotContains(t, f.Text, "times the")
	}
}

// A bleeder that opens while the supply is on: the capacitor's voltage stepped
// with the others on a stiff supply.
func TestOrphanClimbs(t *testing.T) {
	d, r := wired(t, "", 9e6)
	n, ohms, c := int(d.Value("supply.capacitor_count")), d.Value("supply.bleeder_each"), d.Value("supply.capacitor_each")
	full, limit := d.Value("supply.highest_voltage"), d.Value("supply.capacitor_surge_rating")
	u, w, clock, h := full/float64(n), full/float64(n), 0.0, ohms*c/1e5
	for w < limit {
		i := float64(n-1) / float64(n) * u / ohms // the charging current that keeps the sum at the supply's voltage
		u, w = u+h*(i-u/ohms)/c, w+h*i/c
		clock += h
		require.InEpsilon(t, full, float64(n-1)*u+w, 1e-9)
	}
	assert.InEpsilon(t, clock, d.Value("supply.one_bleeder_open_climb"), 1e-3)
	assert.Zero(t, r.Plan.climb(full, full/float64(n)-1), "there already")
	assert.True(t, math.IsInf(r.Plan.climb(full, full), 1))
}
