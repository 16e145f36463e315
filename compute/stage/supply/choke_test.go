package supply

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/ledger"
	"anodebook/compute/physics/rectifier"
)

// A swinging choke holds its two stated values and lies between them.
func TestSwingingChoke(t *testing.T) {
	c := Choke{Light: 20, Loaded: 5, Current: 1}
	assert.InEpsilon(t, 20, c.Inductance(0), 1e-12)
	assert.InEpsilon(t, 20, c.Inductance(0.1), 1e-12)
	assert.InEpsilon(t, 10, c.Inductance(math.Sqrt(0.1)), 1e-12)
	assert.InEpsilon(t, 5, c.Inductance(1), 1e-12)
	assert.InEpsilon(t, 5, c.Inductance(3), 1e-12)
}

// Below the least load the choke's current stops and the voltage rises.
func TestChokeLeastLoad(t *testing.T) {
	_, r := solve(t, "rectifier = \"choke-input\"\n[supply.choke]\ninductance = \"8 H\"", 0.65, 0.3, 0.42)
	least := r.Plan.LeastLoad()
	require.Greater(t, least, 0.0)
	above, err := r.Plan.State(1.1*least, 1)
	require.NoError(t, err)
	assert.Greater(t, above.ChokeCurrentMinimum, 0.0)
	below, err := r.Plan.State(0.85*least, 1)
	require.NoError(t, err)
	assert.InDelta(t, 0, below.ChokeCurrentMinimum, 1e-9)
	assert.Greater(t, r.StandbyVoltage, 1.1*r.IdleVoltage)
	for _, c := range []struct {
		idle     float64
		severity ledger.Severity
	}{{1.2 * least, ledger.Note}, {0.5 * least, ledger.Caution}} {
		d, _ := solve(t, "rectifier = \"choke-input\"\n[supply.choke]\ninductance = \"8 H\"", 0.65, c.idle, 0.42)
		assert.Equal(t, c.severity, d.Severity("supply.choke_least_load"))
	}
}

// The hand formula for the ring at switch-on against the cold start in time.
func TestChokeOvershoot(t *testing.T) {
	_, r := solve(t, "rectifier = \"choke-input\"\n[supply.bleeders]\nresistance = \"1 Mohm\"", 0.65, 0.2, 0.42)
	p := r.Plan
	run, err := rectifier.ColdStart(p.Supply, 0, []rectifier.Stage{{Duration: 1}}, 0)
	require.NoError(t, err)
	top := 0.0
	for _, h := range run.HalfCycles {
		top = math.Max(top, h.VoltageMaximum)
	}
	p.Tolerance = 0
	assert.InEpsilon(t, top, p.overshoot(p.Supply.SourceResistance+p.Choke.Resistance), 0.05)
	assert.Less(t, run.CurrentPeak, 1.05*r.SurgeCurrent)
}

// powerFactor is the power that the transformer takes over the product of its
// rms voltage and current; both halves of a centre tap together.
func powerFactor(r rectifier.Result) float64 {
	return r.SourcePower / (r.Supply.SecondaryVoltage * r.SourceCurrent)
}

// Power factor and line currents: with an endless choke and no resistance the
// current is a square wave, 2√2/π = 0.900 (closed form).
func TestPowerFactor(t *testing.T) {
	s := rectifier.Supply{Circuit: rectifier.Bridge, SecondaryVoltage: 2500, SourceResistance: 0.1, MainsFrequency: 60,
		Capacitance: 100e-6, ChokeInductance: 1000, LoadCurrent: 0.6}
	r, err := rectifier.SteadyState(s)
	require.NoError(t, err)
	assert.InEpsilon(t, 2*math.Sqrt2/math.Pi, powerFactor(r), 1e-3)
	s.Circuit = rectifier.CentreTap
	r, err = rectifier.SteadyState(s)
	require.NoError(t, err)
	assert.InEpsilon(t, 2*math.Sqrt2/math.Pi, powerFactor(r), 1e-3)
	for name, more := range specs {
		d, res := solve(t, more, 0.65, 0.2, 0.42)
		for _, suffix := range []string{"", "_idle", "_service"} {
			pf := d.Value("supply.power_factor" + suffix)
			assert.Greater(t, pf, 0.3, name)
			assert.Less(t, pf, 0.95, name)
		}
		assert.InEpsilon(t, powerFactor(res.Full), d.Value("supply.power_factor"), 1e-9, name)
		assert.Greater(t, d.Value("supply.power_factor"), 0.9*d.Value("supply.power_factor_idle"), name)
		in := d.Value("supply.mains_power")
		assert.InEpsilon(t, res.Full.OutputPower+res.Full.SourceLoss+res.Full.ChokeLoss+res.Full.DiodeLoss+res.Full.CapacitorLoss, in,
			1e-5, name)
	}
	// The same amplifier on 120 V draws twice the current of 240 V.
	d, _ := solve(t, "", 0.65, 0.2, 0.42)
	assert.InEpsilon(t, 2*d.Value("supply.primary_current"), d.Value("supply.mains_current_on_120v"), 1e-9)
}

// What the bank is chosen with is what the margins are checked with.
func TestBankKeepsTheMargin(t *testing.T) {
	count := 0
	for _, m := range []string{"1.25", "1.6", "2"} {
		d, r := solve(t, "[margins]\nvoltage = "+m, 0.65, 0.2, 0.42)
		x := d.Rating("C7", "voltage")
		assert.NotEqual(t, ledger.ExceedsRating, x.Verdict)
		assert.GreaterOrEqual(t, x.Rating, x.Stress*x.RequiredFactor*(1-1e-9), m)
		assert.Greater(t, r.Plan.Bank.Count, count)
		count = r.Plan.Bank.Count
	}
}

// Energy of the flash-over: what the bank held is in the loop's resistances.
func TestFlashOver(t *testing.T) {
	d, r := solve(t, "", 0.65, 0.2, 0.42)
	held := rectifier.StoredEnergy(d.Value("supply.filter_capacitance"), r.HighestVoltage)
	assert.InEpsilon(t, held, d.Value("supply.fault_glitch_energy")+d.Value("supply.fault_bank_energy"), 1e-6)
	assert.Less(t, d.Value("supply.fault_peak_current"), r.HighestVoltage/10) // plate_feed.fault_current is at most that
	assert.InEpsilon(t, r.HighestVoltage/d.Value("supply.fault_resistance"), d.Value("supply.fault_peak_current"), 0.03)
}

func TestDiodeEqualisers(t *testing.T) {
	d, _ := solve(t, "", 0.65, 0.2, 0.42)
	assert.Equal(t, ledger.Note, d.Severity("supply.diode_equalisers"))
	d, _ = solve(t, "[supply.diodes]\ncount = 5", 0.65, 0.2, 0.42)
	assert.Equal(t, ledger.Caution, d.Severity("supply.diode_equalisers"))
	// With that resistor across each, the worst diode is just at its rating:
	// its neighbours' resistors carry ΔI more.
	n, v1, vr := 5.0, 1000.0, d.Value("supply.diode_reverse_voltage")
	re := d.Value("supply.diode_equaliser")
	assert.InEpsilon(t, vr, v1+(n-1)*(v1-re*100e-6), 1e-9)
}

// The key goes down and up: before it the idling state, at the end of it the
// one of full output, and the idling state again.
func TestKeyDown(t *testing.T) {
	for name, more := range specs {
		_, r := solve(t, more, 0.65, 0.2, 0.42)
		run, periods, err := r.KeyDown()
		require.NoError(t, err, name)
		within := func(want rectifier.Result, got rectifier.HalfCycle, share float64) {
			assert.InEpsilon(t, want.VoltageMaximum, got.VoltageMaximum, share, name)
			assert.InEpsilon(t, want.VoltageMinimum, got.VoltageMinimum, share, name)
		}
		n := len(run.HalfCycles)
		require.Equal(t, 2*(2+2*periods), n, name)
		within(r.Idle, run.HalfCycles[1], 1e-7)
		within(r.Full, run.HalfCycles[3+2*periods], 0.01)
		within(r.Idle, run.HalfCycles[n-1], 0.02)
		least := math.Inf(1)
		for _, h := range run.HalfCycles {
			least = math.Min(least, h.VoltageMinimum)
		}
		assert.LessOrEqual(t, least, r.Full.VoltageMinimum*1.001, name)
	}
}
