package bringup

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
)

// given are invented readings; bank and bleeder are those of the published
// example 3000 V, 100 kΩ, 50 µF: τ 5 s, 225 J, 19.56 s to 60 V.
var given = map[string]float64{
	"bleeders": 100e3, "multiplier": 10e6, "plate shunt": 0.1, "grid shunt": 0.5, "rail": 100, "no load": 3000, "highest": 3000,
	"idle":  2900,
	"mains": 0.05, "meter": 0.08, "tolerance": 0.2, "capacitance": 50e-6, "constant": 5, "worst": 19.56, "low": 10,
	"each": 500e-6, "count": 10, "scale": 4000, "grid trip": 0.2, "plate trip": 0.7, "half open": 4,
	"grid tune-up": 0.17, "plate tune-up": 0.66,
	"idle current": 0.12, "plate current": 0.6, "grid current": 0.15, "grid scale": 0.2, "movement": 0.02, "heater": 5, "allowed": 0.25,
}

func solve(t *testing.T, other map[string]float64, idleError float64) (*desktest.Desk, Result) {
	t.Helper()
	d := desktest.New(t, desktest.Text("800 W", "3-500Z", "2500 V", "40m"))
	q := func(name, unit string) *ledger.Quantity {
		v, ok := other[name]
		if !ok {
			v = given[name]
		}
		if math.IsNaN(v) { // not fitted
			return nil
		}
		return d.Figure("test."+name, unit, v)
	}
	r, err := Solve(d.Desk, Input{
		Bleeders: q("bleeders", "Ω"), Multiplier: q("multiplier", "Ω"), PlateShunt: q("plate shunt", "Ω"),
		GridShunt: q("grid shunt", "Ω"), Rail: q("rail", "Ω"),
		NoLoad: q("no load", "V"), Highest: q("highest", "V"), Idle: q("idle", "V"), MainsTolerance: q("mains", "%"),
		MeterError:         q("meter", "%"),
		CapacitorTolerance: q("tolerance", "%"), Capacitance: q("capacitance", "F"), TimeConstant: q("constant", "s"),
		TimeWorst: q("worst", "s"), Low: q("low", "V"),
		IdleCurrent: q("idle current", "A"), PlateCurrent: q("plate current", "A"), GridCurrent: q("grid current", "A"),
		GridScale:     q("grid scale", "A"),
		CapacitorEach: q("each", "F"), CapacitorCount: q("count", ""), CapacitorRating: 450, VoltageScale: q("scale", "V"),
		IdleLowMains: given["idle current"], IdleHighMains: given["idle current"],
		GridTuneUp: q("grid tune-up", "A"), PlateTuneUp: q("plate tune-up", "A"),
		GridTrip: q("grid trip", "A"), PlateTrip: q("plate trip", "A"), HalfOneOpen: q("half open", "s"),
		MovementError: q("movement", "%"), HeaterVoltage: q("heater", "V"), HeaterAllowed: q("allowed", "V"), ModelIdleError: idleError,
	})
	require.NoError(t, err)
	return d, r
}

// The published discharge example: 225 J; and a half-time is a time in which
// exp(-t/τ) is one half.
func TestPublishedBank(t *testing.T) {
	d, r := solve(t, map[string]float64{"tolerance": 0}, 0)
	assert.InDelta(t, 225, d.Value("bring_up.stick_energy"), 1e-9)
	d, _ = solve(t, nil, 0)
	assert.InDelta(t, 225*1.2, d.Value("bring_up.stick_energy"), 1e-9, "capacitance at its upper tolerance")
	assert.InEpsilon(t, 0.5, math.Exp(-d.Value("bring_up.half_time")/5), 1e-12)
	assert.Equal(t, 30.0, r.Wait, "19.56 s rounded up to half minutes")
	for worst, want := range map[float64]float64{30: 30, 30.1: 60, 60: 60, 60.1: 90} {
		_, r = solve(t, map[string]float64{"worst": worst}, 0)
		assert.Equal(t, want, r.Wait)
	}
}

// emptied steps a capacitor through a resistor and returns what is left [V].
func emptied(ohms, farads, volts, seconds float64) float64 {
	const steps = 200000
	h := seconds / steps
	for range steps {
		half := volts - h/2*volts/(ohms*farads)
		volts -= h * half / (ohms * farads)
	}
	return volts
}

// Bank and single capacitor, each at its upper tolerance and from its worst
// voltage, are stepped through the stick for as long as it says: both are then
// at the low voltage. The time for the bank would leave the capacitor charged.
func TestStick(t *testing.T) {
	for _, x := range []struct{ each, count, highest float64 }{{390e-6, 11, 3323}, {330e-6, 10, 3400}, {3300e-6, 8, 2900},
		{47e-6, 12, 4200}, {30e-6, 1, 3500}} {
		d, r := solve(t, map[string]float64{"each": x.each, "count": x.count, "capacitance": x.each / x.count, "highest": x.highest}, 0)
		bank, each, worst := d.Value("bring_up.stick_hold"), d.Value("bring_up.stick_hold_each"), d.Value("bring_up.capacitor_worst_voltage")
		assert.InEpsilon(t, 10, emptied(r.StickResistance, 1.2*x.each/x.count, x.highest, bank), 1e-3)
		assert.InEpsilon(t, 10, emptied(r.StickResistance, 1.2*x.each, worst, each), 1e-3)
		assert.GreaterOrEqual(t, worst, 2*x.highest/x.count*boolean(x.count > 1), "an orphan is above its share")
		assert.LessOrEqual(t, worst, x.highest)
		if x.count > 1 {
			assert.Greater(t, emptied(r.StickResistance, 1.2*x.each, worst, bank), 60.0,
				"the bank's time is not enough for a capacitor")
		} else {
			assert.InEpsilon(t, bank, each, 1e-12, "the one capacitor is the bank")
		}
		assert.GreaterOrEqual(t, r.StickResistance, float64(stickLeast))
		if r.StickResistance > stickLeast {
			assert.LessOrEqual(t, math.Max(bank, each), stickTime)
		}
		assert.InEpsilon(t, 1.2*x.each*worst*worst/2, d.Value("bring_up.stick_energy_each"), 1e-9)
		assert.GreaterOrEqual(t, 25*d.Value("bring_up.stick_power"),
			2*(d.Value("bring_up.stick_energy")+boolean(x.count > 1)*d.Value("bring_up.stick_energy_each")),
			"five times the rating for 5 s, twice")
		assert.InEpsilon(t, x.highest/r.StickResistance, d.Value("bring_up.stick_current"), 1e-9)
	}
	// One can of a string of eleven by hand: τ = 12 kΩ × 390 µF = 4.68 s, so
	// 2.47 s leave 288 V·exp(-2.47/4.68) = 170 V, and 60 V take 4.68 s·ln(288/60) = 7.34 s.
	assert.InDelta(t, 2.47, stickTimeIs.Eval(12e3, 0, 390e-6, 288, 170), 0.01)
	assert.InDelta(t, 7.34, stickTimeIs.Eval(12e3, 0, 390e-6, 288, 60), 0.01)
}

func boolean(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// What the worst voltage of one capacitor is, on either side of each bound.
func TestWorstCapacitor(t *testing.T) {
	worst := func(count, highest float64) float64 {
		d, _ := solve(t, map[string]float64{"count": count, "highest": highest}, 0)
		return d.Value("bring_up.capacitor_worst_voltage")
	}
	assert.InDelta(t, 675, worst(10, 3300), 1e-9, "1.5 times 450 V")
	assert.InDelta(t, 800, worst(10, 4000), 1e-9, "twice the share of one that is over its rating already")
	assert.InDelta(t, 660, worst(2, 660), 1e-9, "never more than the bank")
	assert.InDelta(t, 3300, worst(1, 3300), 1e-9)
}

// With one bleeder open the fall to half is told from the sound one or it is
// not, and the notebook says which: both sides of the latest time.
func TestHalfTimeTells(t *testing.T) {
	d, _ := solve(t, nil, 0)
	late := 5 * math.Ln2 * 1.2 * 1.1
	assert.InEpsilon(t, late, d.Value("bring_up.half_time_latest"), 1e-12)
	for open, want := range map[float64]bool{late * 0.999: true, late * 1.001: false} {
		d, _ = solve(t, map[string]float64{"half open": open}, 0)
		assert.Equal(t, want, strings.Contains(d.Finding("bring_up.half_time").Text, "the first fall proves no bleeder"))
		assert.InDelta(t, 300, d.Value("bring_up.capacitor_share"), 1e-9)
	}
	d, _ = solve(t, map[string]float64{"half open": math.NaN(), "bleeders": math.NaN()}, 0)
	assert.NotContains(t, d.Finding("bring_up.half_time").Text, "one bleeder open")
	assert.InDelta(t, 10e6, d.Value("bring_up.plate_to_chassis"), 1e-6, "no bleeders: the ohmmeter sees the voltmeter string")
}

// The proof of the trips: no earlier than a correct tune-up reaches, nor ten per
// cent below; no later than three per cent above; none where there is no trip.
func TestTripProof(t *testing.T) {
	d, _ := solve(t, nil, 0)
	for id, want := range map[string]float64{"grid_trip_low": 0.18, "grid_trip_high": 0.206, "plate_trip_low": 0.66,
		"plate_trip_high": 0.721} {
		assert.InDelta(t, want, d.Value("bring_up."+id), 1e-12, id)
	}
	assert.InDelta(t, 80, d.Value("bring_up.meter_hides"), 1e-9, "2 % of 4000 V: 60 V cannot be read off it")
	d, _ = solve(t, map[string]float64{"grid trip": math.NaN()}, 0)
	_, ok := d.Lookup("bring_up.grid_trip_low")
	assert.False(t, ok)
	assert.InDelta(t, 0.66, d.Value("bring_up.plate_trip_low"), 1e-12)
	for tuneUp, want := range map[float64]float64{0.62: 0.63, 0.63: 0.63, 0.64: 0.64, 0.699: 0.699, 0.7: 0.63, 0.8: 0.63} {
		d, _ = solve(t, map[string]float64{"plate tune-up": tuneUp}, 0)
		assert.InDelta(t, want, d.Value("bring_up.plate_trip_low"), 1e-12, "a trip of 0.7 A, a tune-up that reaches %v A", tuneUp)
	}
}

func TestWindows(t *testing.T) {
	d, _ := solve(t, nil, 0)
	assert.InDelta(t, 100e3*10e6/10.1e6, d.Value("bring_up.plate_to_chassis"), 1e-6)
	assert.InDelta(t, 1/(1/0.6+1.0/100), d.Value("bring_up.rail_to_chassis"), 1e-12)
	assert.InDelta(t, 4.75, d.Value("bring_up.heater_low"), 1e-12)
	assert.InDelta(t, 5.25, d.Value("bring_up.heater_high"), 1e-12)
	assert.InDelta(t, 0.8*0.12, d.Value("bring_up.idle_current_low"), 1e-12)
	assert.InDelta(t, 0.004, d.Value("bring_up.grid_stop"), 1e-12)
	assert.Less(t, d.Value("bring_up.no_load_voltage_low"), 3000.0)
	assert.Greater(t, d.Value("bring_up.no_load_voltage_high"), 3000*1.05)
	wide, _ := solve(t, nil, 0.35)
	assert.InDelta(t, 1.35*0.12, wide.Value("bring_up.idle_current_high"), 1e-12, "a model that knows no better widens the window")
}
