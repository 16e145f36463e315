package compute

import (
	"errors"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk"
	"anodebook/report/setting"
	"anodebook/spec"
)

const thousand = "[target]\noutput = \"1000 W\"\nbands = [\"80m\", \"20m\"]\n[tubes]\ntype = \"3-500Z\"\n[supply]\nplate_voltage = " +
	"\"2800 V\"\n"

// problemOf is what a spec that cannot be computed is told.
func problemOf(t *testing.T, src string) spec.Problem {
	t.Helper()
	s, err := spec.Read("test.toml", []byte(src), Names())
	require.NoError(t, err, src)
	_, err = Run(s)
	var ps spec.Problems
	require.True(t, errors.As(err, &ps), "%v\n%s", err, src)
	require.NotEmpty(t, ps)
	assert.Positive(t, ps[0].Line, src)
	assert.NotEmpty(t, ps[0].Hint, src)
	return ps[0]
}

// What the tank eats is laid at the door of the tank's own key, not at that of
// the tubes: by the rule of thumb a coil passes 1 − Q_loaded/Q_coil, nothing
// where both are 30; 5 pF have 8.7 kΩ on 80 m, three times the plate load.
func TestTheTankIsTheCulprit(t *testing.T) {
	for _, x := range []struct{ key, more string }{
		{"tank.coil_q", "[tank]\ncoil_q = 30\nloaded_q = 30\n"},
		{"tank.coil_q", "[tank]\ncoil_q = 30\nloaded_q = 29\n"},
		{"tank.band.20m.coil_q", "[tank.band.20m]\ncoil_q = 20\nloaded_q = 25\n"},
		{"plate_feed.blocking.capacitance", "[plate_feed.blocking]\ncapacitance = \"5 pF\"\n"},
		{"tank.tune.range", "[tank.tune]\nrange = \"2000 pF .. 4000 pF\"\n[tank]\ncoil_q = 290\n"},
	} {
		p := problemOf(t, thousand+x.more)
		assert.Equal(t, x.key, p.Key, p.What)
		assert.Contains(t, p.What, "here", p.What)
		assert.NotContains(t, p.What, "3-500Z", "the tubes are not to blame")
	}
	// tubes that are really too small are still named
	p := problemOf(t,
		"[target]\noutput = \"4000 W\"\nbands = [\"80m\"]\n[tubes]\ntype = \"811A\"\n[supply]\nplate_voltage = \"1200 V\"\n")
	assert.Equal(t, "target.output", p.Key)
	assert.Contains(t, p.What, "811A")
}

// A tank that works and wastes a fifth gets a finding that names the key; the
// threshold holds on both sides.
func TestWastefulTank(t *testing.T) {
	finding := func(coil float64) (advice string, efficiency float64) {
		d := text(t, thousand+fmt.Sprintf("[tank]\ncoil_q = %g\n", coil))
		for _, f := range setting.Plain(d.Book, "metric").Findings() {
			if f.ID == "tank.efficiency" {
				advice = f.Advice
			}
		}
		return advice, d.Book.Get("antenna.tank_efficiency").Value
	}
	// find the coil at which the tank passes 80 %
	lo, hi := 40.0, 200.0
	for range 25 {
		mid := (lo + hi) / 2
		if _, e := finding(mid); e < 0.8 {
			lo = mid
		} else {
			hi = mid
		}
	}
	below, e := finding(0.99 * lo)
	assert.Less(t, e, 0.8)
	assert.Contains(t, below, "Change tank.coil_q")
	above, e := finding(1.01 * hi)
	assert.GreaterOrEqual(t, e, 0.8)
	assert.Empty(t, above)
	// where the loaded Q costs more than the coil: 1 − 12/120 is above 1 − 40/300
	d := text(t, thousand+"[tank]\ncoil_q = 120\nloaded_q = 40\n")
	for _, f := range setting.Plain(d.Book, "metric").Findings() {
		if f.ID == "tank.efficiency" {
			assert.Contains(t, f.Advice, "Change tank.loaded_q, now 40: with the usual 12")
		}
	}
	assert.True(t, has(d, "tank.efficiency"))
}

// The usual values that the culprit is looked for with are those of the format.
func TestUsualTankValues(t *testing.T) {
	s, err := spec.Read("test.toml", []byte(thousand), Names())
	require.NoError(t, err)
	all, err := spec.Read("test.toml",
		[]byte(thousand+"[tank]\nnetwork = \"pi-L\"\ncoil_q = 25\nloaded_q = 30\noutput_coil_q = 25\nstray_capacitance = \"50 "+
			"pF\"\nintermediate_resistance = \"70 ohm\"\n[tank.tune]\nq = 60\n[tank.load]\nq = 60\n"), Names())
	require.NoError(t, err)
	list := suspects(all)
	require.Len(t, list, 7)
	for _, x := range list {
		c := all.Clone()
		x.reset(c)
		want, err := s.Numeric(x.origin.Key)
		require.NoError(t, err)
		got, err := c.Numeric(x.origin.Key)
		require.NoError(t, err)
		assert.InEpsilon(t, want.Value, got.Value, 1e-12, x.origin.Key)
	}
}

// A number that is none is told as a problem of the written key nearest to it.
func TestGuardNamesTheKey(t *testing.T) {
	s, err := spec.Read("test.toml", []byte(thousand+"[metering]\nmovement = \"10 mA\"\ngrid_scale = \"1 A\"\n"), Names())
	require.NoError(t, err)
	_, err = guarded(s, func() (*Design, error) {
		d, err := solve(s)
		require.NoError(t, err)
		b := d.Book
		i := b.Get("metering.movement")
		b.Solved("metering.broken", "Reading that cannot be", i.Value/(i.Value-i.Value), "A", desk.Derived("A test."), i)
		return d, nil
	})
	var ps spec.Problems
	require.True(t, errors.As(err, &ps))
	assert.Equal(t, "metering.movement", ps[0].Key)
	assert.Equal(t, 9, ps[0].Line)
	assert.Contains(t, ps[0].What, "the reading that cannot be has no finite value (metering.broken)")

	_, err = guarded(s, func() (*Design, error) {
		var none []int
		return nil, fmt.Errorf("%d", none[len(s.File)])
	})
	require.True(t, errors.As(err, &ps), "a slip of the program is no stack trace either")
	assert.Contains(t, ps[0].What, "fault of the program")
	assert.Positive(t, ps[0].Line)

	_, err = guarded(s, func() (*Design, error) { return nil, errors.New("metering: something about a meter") })
	require.True(t, errors.As(err, &ps))
	assert.Equal(t, "target.output", ps[0].Key, "an error without a place")
	_, err = guarded(s, func() (*Design, error) { return nil, errors.New("metering.grid_scale: no") })
	require.True(t, errors.As(err, &ps))
	assert.Equal(t, "metering.grid_scale", ps[0].Key, "an error that begins with its key")
	assert.Equal(t, "no", ps[0].What)
}
