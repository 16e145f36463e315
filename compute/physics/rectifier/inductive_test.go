package rectifier

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// The integrator itself, on an equation with a known answer: the error must
// follow the tolerance.
func TestDormandPrince(t *testing.T) {
	for _, tolerance := range []float64{1e-5, 1e-8, 1e-11} {
		x, err := dormandPrince(func(_ float64, x []float64) []float64 { return []float64{x[1], -x[0]} }, []float64{0, 1}, 0, 10,
			tolerance, []float64{tolerance, tolerance}, 0, 1, nil)
		require.NoError(t, err)
		assert.InDelta(t, math.Sin(10), x[0], 100*tolerance)
		assert.InDelta(t, math.Cos(10), x[1], 100*tolerance)
	}
}

// rival integrates the same circuits with the plain integrator above. It
// knows no eigenvalues, no switching instants and no periodic state: currents
// that a diode would block are cut off after every step.
type rival struct {
	s     Supply
	steps int // per period
	x     []float64
	t     float64
}

func sign(x float64) float64 { return math.Copysign(1, x) }

func (r *rival) source(t float64) float64 {
	return r.s.PeakVoltage() * math.Sin(2*math.Pi*r.s.MainsFrequency*t)
}

// slopes of: winding current (centre tap: of both halves), choke current,
// capacitors; what a circuit lacks is left out.
func (r *rival) slopes(t float64, x []float64) []float64 {
	s := r.s
	e := r.source(t)
	g := s.conductance()
	d := make([]float64, len(x))
	ls, lf, rs, rf, vd := s.LeakageInductance, s.ChokeInductance, s.SourceResistance, s.ChokeResistance, s.DiodeDrop
	switch {
	case lf > 0 && ls == 0: // the rectifier's output is an algebraic function
		i, v := x[0], x[1]
		u := math.Max(math.Abs(e)-rs*i, 0)
		if s.Circuit == CentreTap {
			u = math.Max(math.Abs(e)-rs*i, -rs*i/2)
		}
		d[0] = (u - vd - rf*i - v) / lf
		if i <= 0 && d[0] < 0 {
			d[0] = 0
		}
		d[1] = (i - s.LoadCurrent - g*v) / s.Capacitance
	case lf > 0: // bridge
		is, i, v := x[0], x[1], x[2]
		series := (sign(is)*e - vd - (rs+rf)*i - v) / (ls + lf)
		terminals := sign(is)*e - rs*i - ls*series
		switch {
		case i <= 0:
			d[1] = math.Max(0, (math.Abs(e)-vd-v)/(ls+lf))
			d[0] = sign(e) * d[1]
		case math.Abs(is) >= i && terminals > 0:
			d[1] = series
			d[0] = sign(is) * series
		default:
			d[0] = (e - rs*is) / ls
			d[1] = (-vd - rf*i - v) / lf
		}
		d[2] = (i - s.LoadCurrent - g*v) / s.Capacitance
	case s.Circuit == CentreTap:
		v := x[2]
		for k, emf := range [2]float64{e, -e} {
			if d[k] = (emf - vd - rs*x[k] - v) / ls; x[k] <= 0 {
				d[k] = math.Max(0, d[k])
			}
		}
		d[2] = (x[0] + x[1] - s.LoadCurrent - g*v) / s.Capacitance
	default: // one winding
		i := x[0]
		forth, back := x[1], x[len(x)-1]
		switch {
		case i > 0:
			d[0] = (e - vd - rs*i - forth) / ls
		case i < 0:
			d[0] = (e + vd - rs*i + back) / ls
		default:
			d[0] = math.Max(0, e-vd-forth)/ls - math.Max(0, -e-vd-back)/ls
		}
		load := s.LoadCurrent + g*forth
		if s.Circuit == Doubler {
			load += g * back
			d[1] = (math.Max(i, 0) - load) / s.Capacitance
			d[2] = (math.Max(-i, 0) - load) / s.Capacitance
		} else {
			d[1] = (math.Abs(i) - load) / s.Capacitance
		}
	}
	return d
}

// step goes on by one small step of the integrator and cuts off what the
// diodes block.
func (r *rival) step(t *testing.T) {
	h := 1 / r.s.MainsFrequency / float64(r.steps)
	absolute := make([]float64, len(r.x))
	for k := range absolute {
		absolute[k] = 1e-5
	}
	before := append([]float64(nil), r.x...)
	x, err := dormandPrince(r.slopes, r.x, r.t, r.t+h, 1e-6, absolute, h/100, h, nil)
	require.NoError(t, err)
	s := r.s
	switch {
	case s.ChokeInductance > 0 && s.LeakageInductance == 0:
		x[0] = math.Max(0, x[0])
	case s.ChokeInductance > 0:
		x[1] = math.Max(0, x[1])
		if math.Abs(x[0]) > x[1] {
			x[0] = sign(x[0]) * x[1]
		}
	case s.Circuit == CentreTap:
		x[0], x[1] = math.Max(0, x[0]), math.Max(0, x[1])
	case before[0]*x[0] < 0:
		x[0] = 0
	}
	r.x = x
	r.t += h
}

// figures are what both ways are compared by.
type figures struct{ voltage, rippleRMS, rippleMean, winding, choke float64 }

func (r *rival) figures(t *testing.T) figures {
	var f figures
	low, high, square := math.Inf(1), 0.0, 0.0
	for range r.steps {
		r.step(t)
		v := r.x[len(r.x)-1]
		if r.s.Circuit == Doubler {
			v += r.x[1]
		}
		n := float64(r.steps)
		f.voltage += v / n
		square += v * v / n
		low, high = math.Min(low, v), math.Max(high, v)
		i := r.x[0]
		if r.s.ChokeInductance > 0 {
			f.choke += r.x[len(r.x)-2] / n
			if r.s.LeakageInductance == 0 && r.s.Circuit == Bridge {
				i = math.Min(i, math.Abs(r.source(r.t))/r.s.SourceResistance)
			}
			if r.s.LeakageInductance == 0 && r.s.Circuit == CentreTap {
				d := 2 * r.source(r.t) / r.s.SourceResistance
				i = (i + math.Max(-i, math.Min(i, d))) / 2
			}
		}
		f.winding += i * i / n
	}
	f.winding = math.Sqrt(f.winding)
	f.rippleMean = high - low
	f.rippleRMS = math.Sqrt(square - f.voltage*f.voltage)
	return f
}

// station with inductances: the same invented kilowatt supply.
func inductiveCases() map[string]Supply {
	leak := func(s Supply, l float64) Supply { s.LeakageInductance = l; return s }
	choke := func(c Circuit, l, i float64) Supply {
		s := station(c)
		s.SecondaryVoltage *= 1.4
		if c == Doubler {
			panic("no choke")
		}
		s.ChokeInductance, s.ChokeResistance, s.LoadCurrent = l, 60, i
		return s
	}
	bare := leak(station(CentreTap), 0.05)
	bare.LoadResistance = 0 // currents that rest must not meet a capacitor that nothing drains
	return map[string]Supply{
		"centre tap, leakage, no bleeder":     bare,
		"bridge, leakage":                     leak(station(Bridge), 0.05),
		"bridge, much leakage":                leak(station(Bridge), 0.5),
		"centre tap, leakage":                 leak(station(CentreTap), 0.05),
		"doubler, leakage":                    leak(station(Doubler), 0.02),
		"doubler, much leakage":               leak(station(Doubler), 0.1),
		"choke, continuous":                   choke(Bridge, 10, 0.6),
		"choke, below its least load":         choke(Bridge, 3, 0.05),
		"choke after centre tap":              choke(CentreTap, 10, 0.6),
		"choke after centre tap, light load":  choke(CentreTap, 3, 0.05),
		"choke and leakage":                   leak(choke(Bridge, 8, 0.6), 0.2),
		"choke and leakage, below least load": leak(choke(Bridge, 2, 0.05), 0.2),
	}
}

// The target is 0.2 % on every figure.
func TestInductiveAgainstDormandPrince(t *testing.T) {
	worst := 0.0
	for name, s := range testhelp.Some(inductiveCases(), 2) {
		t.Run(name, func(t *testing.T) {
			r, err := SteadyState(s)
			require.NoError(t, err)
			v := r.startInductive
			ref := &rival{s: s, steps: 1000}
			switch {
			case s.ChokeInductance > 0 && s.LeakageInductance == 0:
				ref.x = []float64{v[1], 1.02 * v[2]}
				if s.Circuit == CentreTap {
					ref.x[0] = v[0] + v[1]
				}
			case s.ChokeInductance > 0, s.Circuit != Bridge:
				ref.x = []float64{v[0], v[1], 1.02 * v[2]}
			default:
				ref.x = []float64{v[0], 1.02 * v[1]}
			}
			periods := 20
			if s.ChokeInductance > 0 {
				periods = 120
			}
			for range periods * ref.steps {
				ref.step(t)
			}
			want := ref.figures(t)
			check := func(what string, want, got float64) {
				worst = math.Max(worst, math.Abs(got/want-1))
				assert.InEpsilon(t, want, got, 0.002, what)
			}
			check("mean voltage", want.voltage, r.Voltage)
			check("ripple rms", want.rippleRMS, r.RippleRMS)
			check("ripple peak to peak", want.rippleMean, r.RipplePeak)
			check("winding current", want.winding, r.SecondaryCurrent)
			if s.ChokeInductance > 0 {
				check("choke current", want.choke, r.LoadCurrent)
			}
		})
	}
	t.Logf("greatest difference %.3g %%", 100*worst)
}

// Energy closes, the charge of a period returns, and the waveform agrees.
func TestInductiveBalances(t *testing.T) {
	for name, s := range inductiveCases() {
		for _, drop := range []float64{0, 6} {
			s.DiodeDrop = drop
			r, err := SteadyState(s)
			require.NoError(t, err, name)
			assert.InEpsilon(t, r.SourcePower, r.SourceLoss+r.DiodeLoss+r.CapacitorLoss+r.ChokeLoss+r.OutputPower, 1e-6, name)
			mean := r.LoadCurrent / 2
			if s.Circuit == Doubler {
				mean = r.LoadCurrent
			}
			assert.InEpsilon(t, mean, r.DiodeCurrentMean, 1e-6, name)
			w, err := r.Waveform(400)
			require.NoError(t, err)
			v := 0.0
			for _, p := range w[1:] {
				v += p.Voltage / 400
				assert.GreaterOrEqual(t, p.Voltage, r.VoltageMinimum*(1-1e-9), name)
				assert.LessOrEqual(t, p.Voltage, r.VoltageMaximum*(1+1e-9), name)
				assert.LessOrEqual(t, math.Abs(p.SecondaryCurrent), r.SecondaryCurrentPeak*(1+1e-9), name)
			}
			assert.InEpsilon(t, r.Voltage, v, 1e-4, name)
		}
	}
}

// With ever less leakage the circuit becomes the resistive one.
func TestVanishingLeakage(t *testing.T) {
	for _, c := range circuits {
		s := station(c)
		want, err := SteadyState(s)
		require.NoError(t, err)
		s.LeakageInductance = 1e-7
		got, err := SteadyState(s)
		require.NoError(t, err)
		assert.InEpsilon(t, want.Voltage, got.Voltage, 1e-5, c.String())
		assert.InEpsilon(t, want.RipplePeak, got.RipplePeak, 1e-4, c.String())
		assert.InEpsilon(t, want.SecondaryCurrent, got.SecondaryCurrent, 1e-4, c.String())
		assert.InEpsilon(t, want.ConductionAngle, got.ConductionAngle, 1e-3, c.String())
	}
}

// A choke above its critical inductance gives the mean of the rectified sine
// less the resistive drop, 2√2/π·V - I·R; far below, the output rises towards
// the crest. The border is R/(6π·f) within the harmonics beyond the second
// (any rectifier text).
func TestCriticalInductance(t *testing.T) {
	s := Supply{Circuit: Bridge, SecondaryVoltage: 2000, SourceResistance: 0.01, MainsFrequency: 60, Capacitance: 200e-6,
		ChokeInductance: 10, ChokeResistance: 0.01}
	critical := func(load float64) float64 { return CriticalInductance(load, s.MainsFrequency) }
	for _, load := range []float64{2000, 5000, 20000} {
		s.LoadResistance = load
		s.ChokeInductance = 1.1 * critical(load)
		above, err := SteadyState(s)
		require.NoError(t, err)
		assert.Greater(t, above.ChokeCurrentMinimum, 0.0)
		assert.InEpsilon(t, ResistiveMean(2000), above.Voltage, 1e-3)
		s.ChokeInductance = 0.9 * critical(load)
		below, err := SteadyState(s)
		require.NoError(t, err)
		assert.InDelta(t, 0, below.ChokeCurrentMinimum, 1e-9)
		assert.Greater(t, below.Voltage, above.Voltage)
		s.ChokeInductance = 0.01 * critical(load)
		far, err := SteadyState(s)
		require.NoError(t, err)
		assert.Greater(t, far.Voltage, 0.8*math.Sqrt2*2000)
	}
}

func TestInductiveRandomSupplies(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 8))
	between := func(a, b float64) float64 { return a * math.Pow(b/a, random.Float64()) }
	for k := range 400 {
		s := Supply{Circuit: 1 + Circuit(k%3), SecondaryVoltage: between(300, 4000), MainsFrequency: 50 + 10*float64(k/3%2),
			Capacitance: between(5e-6, 500e-6)}
		s.SourceResistance = between(0.002, 0.1) * s.SecondaryVoltage
		full := 0.6 * s.SecondaryVoltage
		s.LoadResistance = s.SecondaryVoltage / between(0.01, 0.1)
		s.LoadCurrent = between(0.01, 0.5) * full / 1000
		if k%5 > 0 {
			s.DiodeDrop, s.DiodeResistance = 0.01*s.SecondaryVoltage, between(0.01, 1)*s.SourceResistance
			s.CapacitorResistance = between(1e-5, 0.02) * s.SecondaryVoltage
		}
		if k%2 == 0 && s.Circuit != Doubler {
			s.ChokeInductance, s.ChokeResistance = between(0.5, 40), between(10, 100)
		}
		if s.ChokeInductance == 0 || k%4 == 0 {
			s.LeakageInductance = between(0.0005, 0.2) * s.SourceResistance / 100
		}
		name := fmt.Sprintf("%d %+v", k, s)
		r, err := SteadyState(s)
		if err == ErrOverload {
			continue
		}
		require.NoError(t, err, name)
		assert.InEpsilon(t, r.SourcePower, r.SourceLoss+r.DiodeLoss+r.CapacitorLoss+r.ChokeLoss+r.OutputPower, 1e-5, name)
		assert.Less(t, r.Voltage, 1.05*s.NoLoadVoltage(), name)
		again, err := LoadSteps(s, []Stage{{Duration: 5 / s.MainsFrequency, LoadCurrent: s.LoadCurrent}}, 0)
		require.NoError(t, err, name)
		last := again.HalfCycles[len(again.HalfCycles)-1]
		assert.InDelta(t, r.VoltageMaximum, last.VoltageMaximum, 1e-6*r.Voltage, name)
		assert.InDelta(t, r.VoltageMinimum, last.VoltageMinimum, 1e-6*r.Voltage, name)
	}
}

func BenchmarkInductiveSteadyState(b *testing.B) {
	cases := inductiveCases()
	for _, name := range []string{"bridge, leakage", "doubler, leakage", "choke, continuous", "choke, below its least load",
		"choke and leakage"} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := SteadyState(cases[name]); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
