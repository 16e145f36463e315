package switching

import (
	"math"
	"sort"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
)

func solve(t testing.TB, swr float64, more string) (*desktest.Desk, Result) {
	t.Helper()
	d := desktest.New(t, desktest.Text("1000 W", "3-500Z", "2800 V", "80m", "10m")+more)
	r, err := Solve(d.Desk, Input{Output: d.Figure("antenna.output_power", "W", 1000), SWR: d.Figure("antenna.swr", "", swr)})
	require.NoError(t, err)
	return d, r
}

// At an SWR of s a line that carries the net power P has Vmax/Vmin = s,
// Vmax·Vmin = 2·P·Z0 and Imax = Vmax/Z0 (any text on lines).
func TestLineIdentities(t *testing.T) {
	for _, s := range []float64{1, 1.5, 2, 3, 5} {
		_, r := solve(t, s, "")
		rho := (s - 1) / (s + 1)
		forward := 1000 / (1 - rho*rho)
		vmax := math.Sqrt(2*forward*50) * (1 + rho)
		assert.InEpsilon(t, vmax, r.AntennaVoltagePeak, 1e-9)
		assert.InEpsilon(t, vmax/50/math.Sqrt2, r.AntennaCurrent, 1e-9)
	}
	_, r := solve(t, 1, "")
	assert.InDelta(t, 4.4721, r.AntennaCurrent, 1e-4, "1 kW in 50 Ω: 4.47 A")
	assert.InDelta(t, 316.23, r.AntennaVoltagePeak, 1e-2, "1 kW in 50 Ω: 316 V peak")
}

func TestWeakRelayIsFound(t *testing.T) {
	d, _ := solve(t, 3, "[switching]\ncontact_current = \"5 A\"\ncontact_voltage = \"500 V\"\n")
	assert.Equal(t, ledger.ExceedsRating, d.Verdict("K1", "current"))
	assert.Equal(t, ledger.ExceedsRating, d.Verdict("K1", "voltage"))
	assert.Equal(t, ledger.ToBuy, d.Verdict("K2", "current"))
}

func TestSequence(t *testing.T) {
	d, r := solve(t, 2, "[switching]\noperate_time = \"6 ms\"\nrelease_time = \"4 ms\"\n")
	for _, way := range []bool{true, false} {
		var times []float64
		for _, e := range r.Sequence {
			if e.Transmit == way {
				times = append(times, e.Time)
			}
		}
		assert.True(t, sort.Float64sAreSorted(times))
		assert.Zero(t, times[0])
		if way {
			assert.InDelta(t, 17e-3, times[len(times)-1], 1e-12, "6 + 6 + 5 ms")
			assert.InDelta(t, r.TransmitDelay, times[len(times)-1], 1e-12)
		} else {
			assert.InDelta(t, r.ReceiveDelay, times[len(times)-1], 1e-12)
		}
	}
	f := d.Finding("switching.hot_switching")
	assert.Equal(t, ledger.Caution, f.Severity)
	assert.Contains(t, f.Text, "17.0 ms")
}

// The decay of the coil current, integrated step by step: L·di/dt = −R·i − V_c.
func TestClampDelay(t *testing.T) {
	d, _ := solve(t, 2, "")
	for id, clamp := range map[string]float64{"switching.release_delay_diode": diodeVoltage, "switching.release_delay_zener": 24} {
		i, tm, dt := 1.0, 0.0, 1e-8
		for i > releaseShare {
			i -= dt / timeConstant * (i + clamp/24)
			tm += dt
		}
		assert.InEpsilon(t, tm, d.Value(id), 1e-3, id)
	}
	assert.Greater(t, d.Value("switching.release_delay_diode"), 2*d.Value("switching.release_delay_zener"))
}

// Relays of 6 ms have both settled 12 ms after the key line: an exciter that
// gives RF before that switches hot, one that leaves less than the guard time
// is thin.
func TestExciterDelay(t *testing.T) {
	for delay, want := range map[string]ledger.Severity{"5 ms": ledger.Exceeds, "14 ms": ledger.Caution, "17 ms": ledger.Note} {
		d, r := solve(t, 2, "[switching]\noperate_time = \"6 ms\"\nrelease_time = \"4 ms\"\nexciter_delay = \""+delay+"\"\n")
		assert.InDelta(t, r.Drive-12e-3, r.HotSwitchMargin, 1e-12)
		assert.Equal(t, want, d.Severity("switching.exciter_delay"), delay)
	}
	_, r := solve(t, 2, "")
	assert.InDelta(t, guard, r.HotSwitchMargin, 1e-12, "what the sequence itself keeps")
	assert.InDelta(t, r.ReceiveDelay, r.ReleaseMargin+r.Times.Release, 1e-12, "K1 begins to move one release time before reception")
}
