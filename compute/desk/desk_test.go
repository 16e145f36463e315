package desk

import (
	"math"
	"sort"
	"testing"

	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
	"anodebook/spec"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const text = `[target]
output = "1000 W"
bands = ["80m"]
swr = 3
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2800 V"
[supply.capacitors]
count = 8
[tank.tune]
voltage = "4.5 kV"
[margins]
current = 1.5
`

func desk(t *testing.T) *Desk {
	t.Helper()
	s, err := spec.Read("my.toml", []byte(text), spec.Names{Tubes: []string{"3-500Z"}, Rules: []string{"us"}})
	require.NoError(t, err)
	return New(s)
}

func TestNewListsAssumptions(t *testing.T) {
	d := desk(t)
	require.Len(t, d.Assumptions, len(d.Spec.Assumptions))
	require.NotEmpty(t, d.Assumptions)
	for i, a := range d.Spec.Assumptions {
		assert.Equal(t, ledger.Assumption{Key: a.Key, Value: ledger.Literal(a.Value), Reason: ledger.Literal(a.Reason)},
			d.Assumptions[i])
	}
}

func TestTake(t *testing.T) {
	d := desk(t)
	n := len(d.Assumptions)
	q := d.Take("supply.plate_voltage", "plate voltage", "V", d.Spec.Supply.PlateVoltage)
	assert.Equal(t, ledger.FromSpec, q.From)
	assert.Equal(t, "my.toml:8", q.Where)
	assert.Equal(t, 2800.0, q.Value)
	q = d.Take("supply.mains_voltage", "mains", "V", d.Spec.Supply.Mains.Voltage)
	assert.Equal(t, ledger.FromAssumed, q.From)
	assert.Equal(t, "supply.mains.voltage", q.Where)
	assert.Equal(t, 240.0, q.Value)
	assert.Len(t, d.Assumptions, n, "a default of the spec is not listed twice")
	assert.Panics(t, func() { d.Take("tank.voltage", "v", "V", d.Spec.Tank.Load.Voltage) }, "neither given nor assumed")
}

func TestTakeOr(t *testing.T) {
	d := desk(t)
	n := len(d.Assumptions)
	q := d.TakeOr("tank.tune_rating", "rating", "V", d.Spec.Tank.Tune.Voltage, 1, ledger.Say("never used"))
	assert.Equal(t, 4500.0, q.Value)
	assert.Equal(t, ledger.FromSpec, q.From)
	assert.Len(t, d.Assumptions, n)
	q = d.TakeOr("tank.load_rating", "rating", "V", d.Spec.Tank.Load.Voltage, 1000, ledger.Say("it is usual"))
	assert.Equal(t, 1000.0, q.Value)
	assert.Equal(t, ledger.FromAssumed, q.From)
	assert.Equal(t, "tank.load.voltage", q.Where)
	require.Len(t, d.Assumptions, n+1)
	assert.Equal(t, ledger.Assumption{Key: "tank.load.voltage", Value: ledger.Say("{value}", ledger.Of("value", 1000, "V")),
		Reason: ledger.Say("it is usual")}, d.Assumptions[n])
}

func TestTakeRatioAndCount(t *testing.T) {
	d := desk(t)
	q := d.TakeRatio("target.swr", "SWR", d.Spec.Target.SWR)
	assert.Equal(t, 3.0, q.Value)
	assert.Equal(t, "my.toml:4", q.Where)
	q = d.TakeRatio("tank.loaded_q", "Q", d.Spec.Tank.LoadedQ)
	assert.Equal(t, 12.0, q.Value)
	assert.Equal(t, ledger.FromAssumed, q.From)
	q = d.TakeCount("supply.count", "capacitors", d.Spec.Supply.Capacitors.Count)
	assert.Equal(t, 8.0, q.Value)
	assert.Equal(t, ledger.FromSpec, q.From)
	q = d.TakeCount("tubes.count", "tubes", d.Spec.Tubes.Count)
	assert.Equal(t, 2.0, q.Value)
	assert.Equal(t, ledger.FromAssumed, q.From)
}

func TestCheck(t *testing.T) {
	d := desk(t)
	stress := d.Catalogue("tank.10m.voltage", "peak", -4000, "V", "x")
	hold := Hold{Part: "C1", Name: "tune capacitor", Kind: "voltage", Band: "10m", Stress: stress, Have: d.Spec.Tank.Tune.Voltage,
		Factor: d.Spec.Margins.Voltage}

	r := d.Check(hold) // 4500 / 4000 = 1.125, where 1.25 is wanted by default
	assert.Equal(t, ledger.Thin, r.Verdict)
	assert.Equal(t, 4000.0, r.Stress, "the sign of a stress does not matter")
	assert.Equal(t, 4500.0, r.Rating)
	assert.Equal(t, 1.25, r.RequiredFactor)
	assert.Equal(t, source.CommonPractice, r.Factor)
	assert.Equal(t, "tank", r.Stage)
	assert.Equal(t, "tank.10m.voltage", r.StressID)
	assert.Len(t, d.Findings, 1)

	hold.Factor = d.Spec.Margins.Current // given by the builder
	r = d.Check(hold)
	assert.Equal(t, 1.5, r.RequiredFactor)
	assert.Equal(t, "my.toml:14", r.Factor.Title)

	hold.Factor = spec.Ratio{}
	r = d.Check(hold)
	assert.Equal(t, 1.0, r.RequiredFactor)
	assert.Equal(t, ledger.Within, r.Verdict)

	hold.Have = spec.Quantity{} // nobody has it
	hold.Factor = d.Spec.Margins.Voltage
	hold.Standard = CapacitorVoltages
	r = d.Check(hold)
	assert.Equal(t, ledger.ToBuy, r.Verdict)
	assert.Equal(t, 5000.0, r.Rating, "4000 V × 1.25, the next that is sold")

	hold.Rating = 4200 // known from elsewhere
	r = d.Check(hold)
	assert.Equal(t, ledger.Thin, r.Verdict)
	assert.Equal(t, 4200.0, r.Rating)
	hold.Bought = true
	r = d.Check(hold)
	assert.Equal(t, ledger.ToBuy, r.Verdict)

	hold.Rating, hold.Bought, hold.Have = 1e6, false, spec.Quantity{SI: 3000, Origin: spec.Origin{Given: true}}
	r = d.Check(hold)
	assert.Equal(t, ledger.ExceedsRating, r.Verdict, "the builder's rating goes before any other")
	assert.Equal(t, ledger.Exceeds, d.Worst())
	assert.Len(t, d.Ratings, 7)
}

func TestNextUp(t *testing.T) {
	assert.Equal(t, 5000.0, NextUp(5000, CapacitorVoltages))
	assert.Equal(t, 5000.0, NextUp(5000*(1+1e-12), CapacitorVoltages), "a rounding error is no reason for the next size")
	assert.Equal(t, 6000.0, NextUp(5001, CapacitorVoltages))
	assert.InDelta(t, 42000, NextUp(41234, CapacitorVoltages), 1e-6, "above the list: two digits, upwards")
	assert.InDelta(t, 0.00013, NextUp(0.000123, nil), 1e-12)
	assert.Equal(t, 0.0, NextUp(0, nil))
	assert.Equal(t, 50.0, NextUp(0, CapacitorVoltages))
	for x := 1e-3; x < 1e6; x *= 1.37 {
		up := NextUp(x, nil)
		assert.GreaterOrEqual(t, up, x*(1-1e-9))
		assert.Less(t, up, x*1.1001)
		digits := up / math.Pow(10, math.Floor(math.Log10(up)+1e-9)-1)
		assert.InDelta(t, math.Round(digits), digits, 1e-6, "%v", x)
	}
	for _, list := range [][]float64{CapacitorVoltages, ResistorPowers, Currents} {
		assert.True(t, sort.Float64sAreSorted(list))
	}
}

func TestShow(t *testing.T) {
	assert.Equal(t, "2800 V", Show(2800, "V"))
	assert.Equal(t, "700 mA", Show(0.7, "A"))
	m := Derived("Ohm's law")
	assert.Equal(t, ledger.Say("Ohm's law"), m.Words)
	assert.Equal(t, source.CircuitLaws, m.Source)
}

// What the spec does not say of a part decides nothing about it: at hand it is
// not stated, else to buy, whether the figure came from a list or was chosen.
// A rating that is known decides as ever, whoever has the part.
func TestOwnedPartsAreNotToBuy(t *testing.T) {
	d := desk(t)
	stress := d.Catalogue("tank.10m.current", "rms", 10, "A", "x")
	given := spec.Quantity{SI: 20, Origin: spec.Origin{Key: "tank.tune.current", Given: true}}
	none := spec.Quantity{Origin: spec.Origin{Key: "tank.tune.current"}}
	for _, c := range []struct {
		have   spec.Quantity
		rating float64
		owned  bool
		bought bool
		want   ledger.Verdict
	}{
		{none, 0, false, false, ledger.ToBuy},
		{none, 0, true, false, ledger.NotStated},
		{none, 30, false, true, ledger.ToBuy},
		{none, 30, true, true, ledger.NotStated},
		{none, 30, true, false, ledger.Within},
		{given, 0, false, false, ledger.Within},
		{given, 0, true, false, ledger.Within},
		{given, 0, true, true, ledger.Within},
	} {
		r := d.Check(Hold{Part: "C1", Name: "tune capacitor", Kind: "current", Stress: stress, Have: c.have, Rating: c.rating,
			Owned: c.owned, Bought: c.bought, Standard: Currents})
		assert.Equal(t, c.want, r.Verdict, "%+v", c)
		assert.Equal(t, "tank.tune.current", r.Key)
		if r.Verdict == ledger.NotStated && c.rating == 0 {
			assert.Equal(t, 10.0, r.Rating, "what it must bear")
		}
	}
	assert.Empty(t, d.Findings)
}
