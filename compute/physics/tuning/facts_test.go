package tuning

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/physics/network"
	"anodebook/spec/testhelp"
)

// What every operator of a grounded-grid amplifier knows (common practice, and
// any handbook's chapter on tuning up), for every type with a model, every band
// from 160 to 10 m, pi and pi-L.
func TestFacts(t *testing.T) {
	reached, cannot := map[string]int{}, map[string]int{}
	above, below := 0, map[string]int{}
	for _, s := range setups(t, testhelp.Long()) {
		list, err := Situations(s.Setup)
		require.NoError(t, err, s.name)
		by := map[string]Situation{}
		for _, x := range list {
			require.Less(t, math.Abs(x.Reading.Balance), 1e-6, "%s %s", s.name, x.ID)
			by[x.ID] = x
			if x.Reached {
				reached[x.ID]++
			} else {
				cannot[x.ID]++
				assert.Zero(t, x.Reading.Output)
				assert.Contains(t, x.Words, "Cannot")
			}
		}
		n := by[Nominal].Reading
		unit := 1 / (2 * math.Pi * s.Tank.Input.Frequency * s.Nominal.PlateLoad / 2)

		// the plate current dips at resonance, with the output at its greatest
		dip, peak := by[PlateDip].Reading, by[OutputPeak].Reading
		assert.InDelta(t, n.Tune, dip.Tune, 0.25*unit, s.name)
		assert.InDelta(t, dip.Tune, peak.Tune, 0.15*unit, s.name)
		assert.LessOrEqual(t, dip.PlateCurrent, n.PlateCurrent*(1+1e-9), s.name)
		assert.GreaterOrEqual(t, peak.Output, n.Output*(1-1e-9), s.name)
		assert.InEpsilon(t, n.Output, peak.Output, 0.01, s.name)

		// too light a load: less plate current, more grid current, a cooler
		// plate, deeper swing
		light := by[TooLight].Reading
		require.True(t, by[TooLight].Reached, s.name)
		assert.InEpsilon(t, LoadingError*s.Nominal.PlateLoad/2, real(light.PlateImpedance), 1e-6)
		assert.InDelta(t, 0, imag(light.PlateImpedance), 1e-6*real(light.PlateImpedance))
		assert.Greater(t, light.Load, n.Load, "%s: lighter means more load capacitance", s.name)
		assert.Greater(t, light.GridCurrent, 1.15*n.GridCurrent, s.name)
		assert.Greater(t, light.GridDissipationEach, n.GridDissipationEach, s.name)
		assert.Less(t, light.PlateCurrent, n.PlateCurrent, s.name)
		assert.Less(t, light.PlateDissipationEach, n.PlateDissipationEach, s.name)
		assert.Less(t, light.PlateVoltageLow, n.PlateVoltageLow, s.name)

		// too heavy: the other way round, and less output
		if heavy := by[TooHeavy]; heavy.Reached {
			r := heavy.Reading
			assert.Less(t, r.Load, n.Load, s.name)
			assert.Less(t, r.GridCurrent, n.GridCurrent, s.name)
			assert.Greater(t, r.PlateCurrent, n.PlateCurrent, s.name)
			assert.Less(t, r.Output, n.Output, s.name)
			assert.Greater(t, r.PlateDissipationEach, 1.2*n.PlateDissipationEach, s.name)
		}

		// off resonance either way: more plate current, less grid current, far
		// more heat; far off above the rating
		for near, far := range map[string]string{OffBelow: FarBelow, OffAbove: FarAbove} {
			if off := by[near]; assert.True(t, off.Reached, "%s %s", s.name, near) {
				assert.InEpsilon(t, n.Output/2, off.Reading.Output, 1e-4)
				assert.Greater(t, off.Reading.PlateCurrent, dip.PlateCurrent, s.name)
				assert.Less(t, off.Reading.GridCurrent, n.GridCurrent, s.name)
				assert.Greater(t, off.Reading.PlateDissipationEach, 1.3*n.PlateDissipationEach, s.name)
			}
			if off := by[far]; off.Reached {
				assert.InEpsilon(t, n.Output/10, off.Reading.Output, 1e-4)
				assert.Greater(t, off.Reading.PlateDissipationEach, by[near].Reading.PlateDissipationEach, s.name)
				assert.Greater(t, off.Reading.PlateDissipationEach, 1.8*n.PlateDissipationEach, "%s %s", s.name, far)
				// Far off nearly all of the input, no smaller than at nominal,
				// becomes heat: above the rating wherever the nominal input is.
				// A tube worked far below its rating may bear it.
				if rating := s.Limits.PlateDissipation; s.PlateVoltage*n.PlateCurrent/2 > rating {
					above++
					assert.Contains(t, off.Reading.Exceeds, "plate dissipation", "%s %s", s.name, far)
					assert.Equal(t, "plate dissipation", off.FirstLimit, s.name)
					assert.Equal(t, timeUnknown, off.TimeAllowed)
				} else {
					below[s.typ.Name]++
				}
			}
		}
		assert.Less(t, by[OffBelow].Reading.Tune, n.Tune)
		assert.Greater(t, by[OffAbove].Reading.Tune, n.Tune)

		// overdrive raises grid current and grid heat faster than output
		one, three := by[Overdriven1].Reading, by[Overdriven3].Reading
		for _, r := range [][2]Reading{{n, one}, {one, three}} {
			gain := r[1].Output / r[0].Output
			assert.Greater(t, gain, 1.0, s.name)
			assert.Greater(t, r[1].GridCurrent/r[0].GridCurrent, gain, s.name)
			assert.Greater(t, r[1].GridDissipationEach/r[0].GridDissipationEach, gain, s.name)
		}
		// and drive in dB gives ever less output in dB
		assert.Less(t, 10*math.Log10(three.Output/n.Output), 3.0, s.name)

		// a tank tuned for a tenth of the drive is loaded far too lightly for
		// all of it: the grid pays
		reduced, tuned, full := by[Reduced].Reading, by[ReducedTuned].Reading, by[ReducedThenFull].Reading
		assert.GreaterOrEqual(t, tuned.Output, reduced.Output, s.name)
		assert.Greater(t, tuned.Load, n.Load, s.name)
		assert.Greater(t, full.GridCurrent, 1.3*n.GridCurrent, s.name)
		assert.Less(t, full.Output, n.Output, s.name)

		for _, x := range list {
			if x.Reached && x.Factor <= 1 {
				assert.True(t, x.Reading.Safe())
				assert.Equal(t, timeUnlimited, x.TimeAllowed)
			}
		}
	}
	t.Log("reached", reached, "cannot be set", cannot)
	t.Log("far off above the plate's rating:", above, "tubes worked below it:", below)
	if testhelp.Long() {
		assert.Equal(t, map[string]int{"8877": 36}, below, "the pair of the low-band example, nine bands, pi and pi-L, either side")
	}
	assert.LessOrEqual(t, cannot[TooHeavy], 10)
}

// Loading lighter and lighter, retuned: grid current only rises, plate current
// and plate dissipation only fall; the output first rises, to a maximum a
// little above the nominal load where the plate runs out of voltage, then falls.
func TestLighterAndLighter(t *testing.T) {
	for _, s := range setups(t, false) {
		b, err := newBench(s.Setup)
		require.NoError(t, err)
		var last, nominal Reading
		top, at := 0.0, 0.0
		for k := 1.0; k < 3.001; k += 0.02 {
			tune, load, err := b.match(k * s.Nominal.PlateLoad / 2)
			require.NoError(t, err, s.name)
			r, err := b.read(tune, load)
			require.NoError(t, err, s.name)
			if k == 1 {
				nominal = r
			} else {
				require.Greater(t, r.GridCurrent, last.GridCurrent, "%s at %.2f", s.name, k)
				require.Less(t, r.PlateCurrent, last.PlateCurrent, "%s at %.2f", s.name, k)
				require.Greater(t, r.Load, last.Load, "%s at %.2f", s.name, k)
			}
			if r.Output > top {
				top, at = r.Output, k
			}
			last = r
		}
		assert.True(t, at > 1.03 && at < 1.5, "%s: the greatest output lies at %.2f times the nominal load", s.name, at)
		assert.Less(t, last.Output, 0.75*nominal.Output, s.name)
		assert.Less(t, top, 1.15*nominal.Output, "%s: little is to be won", s.name)
		if s.Tank.Input.Frequency == 3.75e6 && !s.Tank.Input.PiL {
			t.Logf("%s: greatest output, %.1f %% above nominal, at %.2f times the nominal load", s.typ.Name, 100*(top/nominal.Output-1),
				at)
		}
	}
}

// A tune-up ends on the ridge of the map: no turn of one knob gives more, the
// tubes are worked at resonance, and every turn at one drive raised the output.
func TestPath(t *testing.T) {
	for _, s := range setups(t, false) {
		steps, err := Path(s.Setup)
		require.NoError(t, err, s.name)
		require.Equal(t, "start", steps[0].Knob)
		// decibels of power: the square of the drive voltage
		require.InDelta(t, ReducedDrive, 10*math.Log10(steps[0].Drive*steps[0].Drive), 1e-9)
		raised := 0
		for k, x := range steps {
			if k == 0 {
				continue
			}
			before := steps[k-1].Reading
			switch x.Knob {
			case "tune":
				assert.Equal(t, before.Load, x.Reading.Load)
			case "load":
				assert.Equal(t, before.Tune, x.Reading.Tune)
			case "drive":
				raised++
				assert.Equal(t, before.Tune, x.Reading.Tune)
				assert.Equal(t, before.Load, x.Reading.Load)
			default:
				t.Fatal(x.Knob)
			}
			if x.Drive == steps[k-1].Drive {
				assert.GreaterOrEqual(t, x.Reading.Output, before.Output*(1-1e-3), "%s step %d", s.name, k)
			}
		}
		require.Equal(t, 1, raised)
		end := steps[len(steps)-1]
		assert.Equal(t, 1.0, end.Drive)
		for _, f := range []float64{0.97, 1.03} {
			r, err := At(s.Setup, end.Reading.Tune*f, end.Reading.Load)
			require.NoError(t, err)
			assert.Less(t, r.Output, end.Reading.Output*1.002, s.name)
			r, err = At(s.Setup, end.Reading.Tune, end.Reading.Load*f)
			require.NoError(t, err)
			assert.Less(t, r.Output, end.Reading.Output*1.002, s.name)
		}
		// near the nominal setting, whose output it reaches
		z := end.Reading.PlateImpedance * complex(2/s.Nominal.PlateLoad, 0)
		nominal, err := At(s.Setup, s.Tank.TuneCapacitance, s.Tank.LoadCapacitance)
		require.NoError(t, err)
		t.Logf("%s: %d steps, ends with %.2f of nominal output at z = %.2f, exceeds %v", s.name, len(steps),
			end.Reading.Output/nominal.Output, z, end.Reading.Exceeds)
		assert.InDelta(t, 1.2, real(z), 0.35, s.name)
		assert.Greater(t, end.Reading.Output, 0.99*nominal.Output, s.name)
	}
}

// The lossless limit: with a resistive load the tubes cannot tell a tank from a
// resistor, and detuning with the tune capacitor is a reactance in parallel.
func TestTuneCapacitorIsParallelReactance(t *testing.T) {
	s := pair(t, "3-500Z", 7.15e6)
	in := s.Tank.Input
	in.Blocking, in.CoilQ = 0, 0
	tank, err := network.DesignTank(in)
	require.NoError(t, err)
	s.Tank = tank
	b, err := newBench(s)
	require.NoError(t, err)
	for _, q := range []float64{-2, -0.5, 0, 0.5, 2} {
		r, err := b.read(tank.TuneCapacitance+q*b.unit(), tank.LoadCapacitance)
		require.NoError(t, err)
		want := complex(in.PlateLoad, 0) / complex(1, q)
		assert.InEpsilon(t, real(want), real(r.PlateImpedance), 1e-6)
		if q != 0 {
			assert.InEpsilon(t, imag(want), imag(r.PlateImpedance), 1e-6)
		}
		assert.InDelta(t, 1, r.TankEfficiency, 1e-9)
	}
}
