package bringup

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
)

// given are invented readings; bank and bleeder are those of the published
// example 3000 V, 100 kΩ, 50 µF: τ 5 s, 225 J, 19.56 s to 60 V.
var given = map[string]float64{
	"bleeders": 100e3, "multiplier": 10e6, "plate shunt": 0.1, "grid shunt": 0.5, "rail": 100, "no load": 3000, "highest": 3000, "idle": 2900,
	"mains": 0.05, "meter": 0.08, "tolerance": 0.2, "capacitance": 50e-6, "constant": 5, "worst": 19.56, "low": 10,
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
		return d.Figure("test."+name, unit, v)
	}
	r, err := Solve(d.Desk, Input{
		Bleeders: q("bleeders", "Ω"), Multiplier: q("multiplier", "Ω"), PlateShunt: q("plate shunt", "Ω"), GridShunt: q("grid shunt", "Ω"), Rail: q("rail", "Ω"),
		NoLoad: q("no load", "V"), Highest: q("highest", "V"), Idle: q("idle", "V"), MainsTolerance: q("mains", "%"), MeterError: q("meter", "%"),
		CapacitorTolerance: q("tolerance", "%"), Capacitance: q("capacitance", "F"), TimeConstant: q("constant", "s"), TimeWorst: q("worst", "s"), Low: q("low", "V"),
		IdleCurrent: q("idle current", "A"), PlateCurrent: q("plate current", "A"), GridCurrent: q("grid current", "A"), GridScale: q("grid scale", "A"),
		MovementError: q("movement", "%"), HeaterVoltage: q("heater", "V"), HeaterAllowed: q("allowed", "V"), ModelIdleError: idleError,
	})
	require.NoError(t, err)
	return d, r
}

// The published discharge example: 225 J; and a half-time is a time in which
// exp(-t/τ) is one half.
func TestPublishedBank(t *testing.T) {
	d, r := solve(t, nil, 0)
	assert.InDelta(t, 225, d.Value("bring_up.stick_energy"), 1e-9)
	assert.InEpsilon(t, 0.5, math.Exp(-d.Value("bring_up.half_time")/5), 1e-12)
	assert.Equal(t, 30.0, r.Wait, "19.56 s rounded up to half minutes")
	_, r = solve(t, map[string]float64{"worst": 30.1}, 0)
	assert.Equal(t, 60.0, r.Wait)
}

// The stick empties the bank to the low voltage in the time it says, and in no
// more than was wanted.
func TestStick(t *testing.T) {
	for _, c := range []float64{10e-6, 50e-6, 200e-6, 2e-3} {
		d, r := solve(t, map[string]float64{"capacitance": c}, 0)
		hold := d.Value("bring_up.stick_hold")
		assert.InEpsilon(t, 10, 3000*math.Exp(-hold/(r.StickResistance*c)), 1e-9)
		assert.GreaterOrEqual(t, r.StickResistance, float64(stickLeast))
		if r.StickResistance > stickLeast {
			assert.LessOrEqual(t, hold, stickTime)
		}
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
