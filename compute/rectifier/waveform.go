package rectifier

import (
	"fmt"
	"math"
)

// Sample is the circuit at one instant.
type Sample struct {
	Time             float64 // [s]
	SourceVoltage    float64 // ideal secondary voltage, signed [V]
	Voltage          float64 // DC output [V]
	SecondaryCurrent float64 // signed [A]
	LoadCurrent      float64 // [A]
}

// Waveform returns count+1 equally spaced samples (count >= 2, even) of one
// mains period, beginning where the source rises through zero.
func (r Result) Waveform(count int) ([]Sample, error) {
	if count < 2 || count%2 != 0 {
		return nil, fmt.Errorf("rectifier: a waveform needs an even number of samples, not %d", count)
	}
	if err := r.Supply.Validate(); err != nil {
		return nil, err
	}
	m := newNetwork(r.Supply)
	var p path
	m.run(r.start, 0, m.half, &p)
	out := make([]Sample, 0, count+1)
	for k := 0; k < count; k++ {
		half := 2 * k / count
		local := m.half * (2*float64(k)/float64(count) - float64(half))
		s := p.sample(local)
		s.Time += float64(half) * m.half
		if half == 1 {
			s.SourceVoltage, s.SecondaryCurrent = -s.SourceVoltage, -s.SecondaryCurrent
		}
		out = append(out, s)
	}
	last := out[0]
	last.Time = 2 * m.half
	return append(out, last), nil
}

// sample evaluates the path at local time t.
func (p *path) sample(t float64) Sample {
	k := 0
	for k < p.n-1 && t >= p.segments[k].t1 {
		k++
	}
	s := &p.segments[k]
	q := s.at(t)
	f := s.flows(&q)
	return Sample{Time: t, SourceVoltage: q.e, Voltage: f.output, SecondaryCurrent: f.source, LoadCurrent: f.load}
}

// Stage is a stretch of a transient with everything constant.
type Stage struct {
	Duration         float64 // [s], > 0
	SeriesResistance float64 // added to the source resistance (step-start resistor, seen at the secondary) [Ω], >= 0
	LoadCurrent      float64 // constant-current load in place of the supply's own [A], >= 0
	LoadResistance   float64 // in place of the supply's own [Ω]; 0: the supply's own
}

// HalfCycle is one half of a mains period within a transient.
type HalfCycle struct {
	Time           float64 // at its end [s]
	VoltageMinimum float64 // lowest DC output within it [V]
	VoltageMaximum float64 // highest DC output within it [V]
	CurrentPeak    float64 // largest secondary current [A]
}

// Transient is what Run returns.
type Transient struct {
	Samples    []Sample
	HalfCycles []HalfCycle
	// CurrentPeak is the largest secondary current [A], and CurrentPeakTime
	// its instant [s].
	CurrentPeak, CurrentPeakTime float64
	// SeriesEnergy is the heat in the stages' series resistance [J].
	SeriesEnergy float64
	// SourceEnergy is drawn from the ideal secondary voltage [J]; SourceLoss,
	// DiodeLoss and OutputEnergy are where it goes [J], beside what the
	// capacitors store.
	SourceEnergy, SourceLoss, DiodeLoss, OutputEnergy float64
	// Final is the DC output at the end [V].
	Final float64

	end [2]float64
}

// FirstSurge returns the secondary peak current of the first half-cycle that
// conducts [A], 0 if none does.
func (t Transient) FirstSurge() float64 {
	for _, h := range t.HalfCycles {
		if h.CurrentPeak > 0 {
			return h.CurrentPeak
		}
	}
	return 0
}

// ColdStart follows the supply from discharged capacitors, switched on at the
// given phase of the source (0: rising through zero; π/2: at its peak, the
// worst case for a capacitor with little resistance). Samples are taken
// perHalf times in each half-cycle (0: none).
func ColdStart(s Supply, phase float64, stages []Stage, perHalf int) (Transient, error) {
	return s.follow([2]float64{}, phase, stages, perHalf)
}

// LoadSteps starts from the steady state of the supply as given and follows
// it through the stages. Samples are taken perHalf times in each half-cycle.
func LoadSteps(s Supply, stages []Stage, perHalf int) (Transient, error) {
	r, err := SteadyState(s)
	if err != nil {
		return Transient{}, err
	}
	return s.follow(r.start, 0, stages, perHalf)
}

func (s Supply) stage(g Stage) Supply {
	s.SourceResistance += g.SeriesResistance
	s.LoadCurrent = g.LoadCurrent
	if g.LoadResistance > 0 {
		s.LoadResistance = g.LoadResistance
	}
	return s
}

func (s Supply) follow(x [2]float64, phase float64, stages []Stage, perHalf int) (Transient, error) {
	var tr Transient
	if err := s.Validate(); err != nil {
		return tr, err
	}
	if !(phase >= 0 && phase < 2*math.Pi) {
		return tr, fmt.Errorf("rectifier: switch-on phase %g rad must be from 0 to below 2π", phase)
	}
	if perHalf < 0 {
		return tr, fmt.Errorf("rectifier: %d samples per half-cycle", perHalf)
	}
	half := 0.5 / s.MainsFrequency
	local := phase / math.Pi * half
	odd := false
	if local >= half {
		local -= half
		odd = true
		x[0], x[1] = x[1], x[0]
	}
	began := local // local time at which this half-cycle's record began
	now := 0.0
	cycle := emptyHalfCycle()
	for index, g := range stages {
		if !(g.Duration > 0) || math.IsInf(g.Duration, 0) || g.SeriesResistance < 0 {
			return tr, fmt.Errorf("rectifier: stage %d needs a positive duration and a series resistance that is not negative", index+1)
		}
		staged := s.stage(g)
		if err := staged.Validate(); err != nil {
			return tr, fmt.Errorf("stage %d: %w", index+1, err)
		}
		m := newNetwork(staged)
		m.half = half
		left := g.Duration
		for left > 0 {
			to := local + left
			finished := to >= half*(1-1e-12)
			if finished {
				to = half
			}
			var p path
			if to > local {
				x = m.run(x, local, to, &p)
				tr.account(m, &p, g.SeriesResistance)
				tr.record(&p, now-local, odd, perHalf, half, &cycle)
			}
			if m.i > 0 && x[0]+x[1] < -1e-9*m.vp {
				return tr, ErrOverload
			}
			left -= to - local
			now += to - local
			local = to
			if finished {
				cycle.Time = now
				tr.HalfCycles = append(tr.HalfCycles, cycle)
				cycle = emptyHalfCycle()
				local, began, odd = 0, 0, !odd
				if m.n == 2 {
					x[0], x[1] = x[1], x[0]
				}
			}
			if left < 1e-12*half {
				left = 0
			}
		}
	}
	if local > began {
		cycle.Time = now
		tr.HalfCycles = append(tr.HalfCycles, cycle)
	}
	tr.Final, tr.end = x[0]+x[1], x
	return tr, nil
}

func emptyHalfCycle() HalfCycle {
	return HalfCycle{VoltageMinimum: math.Inf(1), VoltageMaximum: math.Inf(-1)}
}

// record takes the samples on the grid of half/perHalf and the envelope.
func (tr *Transient) record(p *path, offset float64, odd bool, perHalf int, half float64, h *HalfCycle) {
	first, last := p.segments[0].t0, p.segments[p.n-1].t1
	if perHalf > 0 {
		step := half / float64(perHalf)
		for k := int(math.Ceil(first/step - 1e-9)); k < perHalf && float64(k)*step < last; k++ {
			s := p.sample(float64(k) * step)
			s.Time += offset
			if odd {
				s.SourceVoltage, s.SecondaryCurrent = -s.SourceVoltage, -s.SecondaryCurrent
			}
			tr.Samples = append(tr.Samples, s)
		}
	}
	for k := 0; k < p.n; k++ {
		p.segments[k].extremes(p.peaks[k], func(t float64, f flows) {
			h.VoltageMinimum = min(h.VoltageMinimum, f.output)
			h.VoltageMaximum = max(h.VoltageMaximum, f.output)
			i := math.Abs(f.source)
			h.CurrentPeak = max(h.CurrentPeak, i)
			if i > tr.CurrentPeak {
				tr.CurrentPeak, tr.CurrentPeakTime = i, t+offset
			}
		})
	}
}

// account adds the energies of one path.
func (tr *Transient) account(m *network, p *path, series float64) {
	for k := 0; k < p.n; k++ {
		s := &p.segments[k]
		s.panels(func(q *point, w float64) {
			f := s.flows(q)
			i2 := w * f.source * f.source
			tr.SeriesEnergy += i2 * series
			tr.SourceLoss += i2 * (m.rs - series)
			tr.SourceEnergy += w * q.e * f.source
			tr.DiodeLoss += w * m.vd * (f.diode[0] + f.diode[1])
			tr.OutputEnergy += w * f.output * f.load
		})
	}
}
