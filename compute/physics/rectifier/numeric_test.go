package rectifier

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// reference integrates the same circuit by fixed-step fourth-order
// Runge-Kutta: it shares no code with the package, only the circuit.
type reference struct {
	s    Supply
	x    [2]float64
	t    float64
	load func(t float64) float64
	rs   func(t float64) float64
}

func (r *reference) current(t float64, x [2]float64) (i1, i2, load float64) {
	e := r.s.PeakVoltage() * math.Sin(2*math.Pi*r.s.MainsFrequency*t)
	rs := r.rs(t)
	if r.s.Circuit == Doubler {
		i1 = math.Max(0, (e-r.s.DiodeDrop-x[0])/rs)
		i2 = math.Max(0, (-e-r.s.DiodeDrop-x[1])/rs)
	} else {
		i1 = math.Max(0, (math.Abs(e)-r.s.DiodeDrop-x[0])/rs)
	}
	load = r.load(t)
	if r.s.LoadResistance > 0 {
		load += (x[0] + x[1]) / r.s.LoadResistance
	}
	return i1, i2, load
}

func (r *reference) step(h float64) {
	f := func(t float64, x [2]float64) [2]float64 {
		i1, i2, load := r.current(t, x)
		d := [2]float64{(i1 - load) / r.s.Capacitance, 0}
		if r.s.Circuit == Doubler {
			d[1] = (i2 - load) / r.s.Capacitance
		}
		return d
	}
	add := func(x, d [2]float64, h float64) [2]float64 { return [2]float64{x[0] + h*d[0], x[1] + h*d[1]} }
	a := f(r.t, r.x)
	b := f(r.t+h/2, add(r.x, a, h/2))
	c := f(r.t+h/2, add(r.x, b, h/2))
	d := f(r.t+h, add(r.x, c, h))
	for k := range r.x {
		r.x[k] += h / 6 * (a[k] + 2*b[k] + 2*c[k] + d[k])
	}
	r.t += h
}

func newReference(s Supply) *reference {
	return &reference{s: s,
		load: func(float64) float64 { return s.LoadCurrent },
		rs:   func(float64) float64 { return s.SourceResistance }}
}

func TestSteadyStateAgainstRungeKutta(t *testing.T) {
	cases := []Supply{station(Bridge), station(CentreTap), station(Doubler)}
	for _, wCR := range []float64{0.3, 1, 3} { // a capacitor's voltage reverses
		s := unit(Doubler, wCR, 0.1)
		s.DiodeDrop = 0.01
		cases = append(cases, s, unit(Bridge, wCR, 0.1))
	}
	for _, s := range cases {
		c := s.Circuit
		ref := newReference(s)
		top := s.PeakVoltage() * 0.95
		ref.x[0] = top
		if c == Doubler {
			ref.x[1] = top
		}
		const steps = 4000
		h := 1 / s.MainsFrequency / steps
		for k := 0; k < 60*steps; k++ {
			ref.step(h)
		}
		var mean, square, peak, source, capacitor float64
		low, high := math.Inf(1), 0.0
		for k := 0; k < steps; k++ {
			v := ref.x[0] + ref.x[1]
			i1, i2, load := ref.current(ref.t, ref.x)
			mean += v / steps
			square += v * v / steps
			low, high = math.Min(low, v), math.Max(high, v)
			peak = math.Max(peak, i1)
			source += (i1 - i2) * (i1 - i2) / steps
			capacitor += (i1 - load) * (i1 - load) / steps
			ref.step(h)
		}
		r, err := SteadyState(s)
		require.NoError(t, err)
		winding := math.Sqrt(source)
		if c == CentreTap {
			winding /= math.Sqrt2
		}
		const tolerance = 2e-3
		assert.InEpsilon(t, mean, r.Voltage, tolerance, c.String())
		assert.InEpsilon(t, math.Sqrt(square-mean*mean), r.RippleRMS, tolerance, c.String())
		assert.InEpsilon(t, low, r.VoltageMinimum, tolerance, c.String())
		assert.InEpsilon(t, high, r.VoltageMaximum, tolerance, c.String())
		assert.InEpsilon(t, high-low, r.RipplePeak, tolerance, c.String())
		assert.InEpsilon(t, peak, r.SecondaryCurrentPeak, tolerance, c.String())
		assert.InEpsilon(t, winding, r.SecondaryCurrent, tolerance, c.String())
		assert.InEpsilon(t, math.Sqrt(capacitor), r.CapacitorCurrent, tolerance, c.String())
	}
}

func TestColdStartAgainstRungeKutta(t *testing.T) {
	for _, c := range circuits {
		for _, phase := range []float64{0, math.Pi / 2, 4} {
			s := station(c)
			s.LoadCurrent = 0
			const bypass, end = 0.1234, 0.3
			stages := []Stage{{Duration: bypass, SeriesResistance: 400}, {Duration: end - bypass, LoadCurrent: 0}}
			tr, err := ColdStart(s, phase, stages, 50)
			require.NoError(t, err)

			ref := newReference(s)
			w := 2 * math.Pi * s.MainsFrequency
			ref.t = phase / w
			ref.rs = func(t float64) float64 {
				if t-phase/w < bypass {
					return s.SourceResistance + 400
				}
				return s.SourceResistance
			}
			h := 1 / s.MainsFrequency / 20000
			peak, first := 0.0, 0.0
			for ref.t-phase/w < end {
				i1, i2, _ := ref.current(ref.t, ref.x)
				peak = math.Max(peak, math.Max(i1, i2))
				if ref.t*2*s.MainsFrequency < math.Floor(phase/math.Pi)+1 {
					first = math.Max(first, math.Max(i1, i2))
				}
				ref.step(h)
			}
			assert.InEpsilon(t, ref.x[0]+ref.x[1], tr.Final, 1e-3, "%v %g", c, phase)
			assert.InEpsilon(t, peak, tr.CurrentPeak, 2e-3, "%v %g", c, phase)
			assert.InEpsilon(t, first, tr.FirstSurge(), 2e-3, "%v %g", c, phase)

			stored := s.Capacitance / 2 * (tr.end[0]*tr.end[0] + tr.end[1]*tr.end[1])
			assert.InEpsilon(t, tr.SourceEnergy,
				tr.SeriesEnergy+tr.SourceLoss+tr.DiodeLoss+tr.CapacitorLoss+tr.OutputEnergy+stored, 1e-9, "%v %g", c, phase)
			for k := 1; k < len(tr.Samples); k++ {
				require.InDelta(t, 1/s.MainsFrequency/100, tr.Samples[k].Time-tr.Samples[k-1].Time, 1e-9)
			}
		}
	}
}

func TestStepStartTamesTheSurge(t *testing.T) {
	s := station(Bridge)
	s.LoadCurrent = 0
	bare, err := ColdStart(s, math.Pi/2, []Stage{{Duration: 0.2}}, 0)
	require.NoError(t, err)
	soft, err := ColdStart(s, math.Pi/2, []Stage{{Duration: 2, SeriesResistance: 500}, {Duration: 0.2}}, 0)
	require.NoError(t, err)
	// Switched on at the peak into an empty capacitor: Ohm's law.
	assert.InEpsilon(t, (s.PeakVoltage()-s.DiodeDrop)/s.SourceResistance, bare.FirstSurge(), 1e-9)
	assert.InEpsilon(t, (s.PeakVoltage()-s.DiodeDrop)/(s.SourceResistance+500), soft.FirstSurge(), 1e-9)
	assert.Less(t, soft.CurrentPeak, 0.2*bare.CurrentPeak)
	assert.Greater(t, soft.SeriesEnergy, 0.5*StoredEnergy(s.Capacitance, soft.Final))
}

func TestLoadStepsReturnToSteadyState(t *testing.T) {
	for _, c := range circuits {
		idle, full := station(c), station(c)
		idle.LoadCurrent = 0.2
		tr, err := LoadSteps(idle, []Stage{
			{Duration: 0.05, LoadCurrent: 0.2}, {Duration: 3.0021, LoadCurrent: 0.8}, {Duration: 3, LoadCurrent: 0.2},
		}, 20)
		require.NoError(t, err)
		a, err := SteadyState(idle)
		require.NoError(t, err)
		b, err := SteadyState(full)
		require.NoError(t, err)
		at := func(time float64) HalfCycle {
			for _, h := range tr.HalfCycles {
				if h.Time >= time {
					return h
				}
			}
			t.Fatal("too short")
			return HalfCycle{}
		}
		for _, check := range []struct {
			time float64
			r    Result
		}{{0.02, a}, {2.9, b}, {5.9, a}} {
			h := at(check.time)
			assert.InEpsilon(t, check.r.VoltageMinimum, h.VoltageMinimum, 1e-6, "%v %g", c, check.time)
			assert.InEpsilon(t, check.r.VoltageMaximum, h.VoltageMaximum, 1e-6, "%v %g", c, check.time)
			assert.InEpsilon(t, check.r.SecondaryCurrentPeak, h.CurrentPeak, 1e-6, "%v %g", c, check.time)
		}
	}
}
