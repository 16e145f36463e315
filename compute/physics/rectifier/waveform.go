package rectifier

import (
	"fmt"
	"math"

	"anodebook/spec/quantity"
)

// Sample is the circuit at one instant.
type Sample struct {
	Time             float64 // [s]
	SourceVoltage    float64 // ideal secondary voltage, signed [V]
	Voltage          float64 // DC output [V]
	SecondaryCurrent float64 // signed [A]
	ChokeCurrent     float64 // 0 with capacitor input [A]
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
	half := 0.5 / r.Supply.MainsFrequency
	var sample func(float64) Sample
	if r.Supply.inductive() {
		m, p, x := newInductive(r.Supply), new(route), r.startInductive
		m.run(x, m.stateOf(&x), 0, half, p)
		sample = p.sample
	} else {
		m, p := newNetwork(r.Supply), new(path)
		m.run(r.start, 0, half, p)
		sample = p.sample
	}
	out := make([]Sample, 0, count+1)
	for k := 0; k < count; k++ {
		second := 2 * k / count
		s := sample(half * (2*float64(k)/float64(count) - float64(second)))
		s.Time += float64(second) * half
		if second == 1 {
			s.SourceVoltage, s.SecondaryCurrent = -s.SourceVoltage, -s.SecondaryCurrent
		}
		out = append(out, s)
	}
	last := out[0]
	last.Time = 2 * half
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
	return Sample{Time: t, SourceVoltage: q.e, Voltage: f.output, SecondaryCurrent: f.source}
}

// Stage is a stretch of a transient with everything constant.
type Stage struct {
	Duration         float64 // [s], > 0
	SeriesResistance float64 // added to the source resistance (step-start resistor, seen at the secondary) [Ω], >= 0
	LoadCurrent      float64 // constant-current load in place of the supply's own [A], >= 0
	LoadResistance   float64 // in place of the supply's own [Ω]; 0: the supply's own
	// ChokeInductance in place of the supply's own [H]; 0: the supply's own.
	// The current goes on without a jump, as in a choke whose core saturates.
	ChokeInductance float64
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
	// CurrentPeak is the largest secondary current [A].
	CurrentPeak float64
	// SeriesEnergy is the heat in the stages' series resistance [J].
	SeriesEnergy float64
	// SourceEnergy is drawn from the ideal secondary voltage [J]; SourceLoss,
	// DiodeLoss and OutputEnergy are where it goes [J], beside what the
	// capacitors store.
	SourceEnergy, SourceLoss, DiodeLoss, OutputEnergy float64
	// ChokeLoss and CapacitorLoss are the heat in the resistance of the choke
	// and of the filter capacitors [J].
	ChokeLoss, CapacitorLoss float64
	// Final is the DC output at the end [V].
	Final float64

	end [2]float64 // capacitor voltages, without inductances
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
	return s.follow(s.resting(Result{}), phase, stages, perHalf)
}

// LoadSteps starts from the steady state of the supply as given and follows
// it through the stages. Samples are taken perHalf times in each half-cycle.
func LoadSteps(s Supply, stages []Stage, perHalf int) (Transient, error) {
	r, err := SteadyState(s)
	if err != nil {
		return Transient{}, err
	}
	return s.follow(s.resting(r), 0, stages, perHalf)
}

// runner follows one supply, with or without inductances, through parts of
// half periods, and keeps its state in between.
type runner interface {
	set(staged Supply)       // go on with other values
	run(ta, tb float64)      // within one half period
	swap()                   // its end: the two sides change places
	output() float64         // voltage [V]
	sample(t float64) Sample // of the last run
	account(tr *Transient, series float64)
	extremes(f func(voltage, current float64))
}

// resting returns a runner at the start of r, or at rest.
func (s Supply) resting(r Result) runner {
	if s.inductive() {
		return &inductiveRunner{x: r.startInductive}
	}
	return &resistiveRunner{x: r.start}
}

type resistiveRunner struct {
	m *network
	p path
	x [2]float64
}

func (r *resistiveRunner) set(staged Supply)       { r.m = newNetwork(staged) }
func (r *resistiveRunner) run(ta, tb float64)      { r.x = r.m.run(r.x, ta, tb, &r.p) }
func (r *resistiveRunner) output() float64         { return r.x[0] + r.x[1] }
func (r *resistiveRunner) sample(t float64) Sample { return r.p.sample(t) }

func (r *resistiveRunner) swap() {
	if r.m.n == 2 {
		r.x[0], r.x[1] = r.x[1], r.x[0]
	}
}

func (r *resistiveRunner) extremes(f func(voltage, current float64)) {
	for k := 0; k < r.p.n; k++ {
		r.p.segments[k].extremes(r.p.peaks[k], func(c flows) { f(c.output, math.Abs(c.source)) })
	}
}

type inductiveRunner struct {
	m     *inductive
	p     route
	x     vector
	state int
}

func (r *inductiveRunner) set(staged Supply) {
	first := r.m == nil
	r.m = newInductive(staged)
	if first {
		r.state = r.m.stateOf(&r.x)
	}
}

func (r *inductiveRunner) run(ta, tb float64)      { r.x, r.state = r.m.run(r.x, r.state, ta, tb, &r.p) }
func (r *inductiveRunner) output() float64         { return r.m.branch(r.state).output.of(&r.x) }
func (r *inductiveRunner) sample(t float64) Sample { return r.p.sample(t) }
func (r *inductiveRunner) swap()                   { r.x, r.state = r.m.swap(r.x), mirrored(r.state) }

func (r *inductiveRunner) extremes(f func(voltage, current float64)) {
	for k := 0; k < r.p.n; k++ {
		r.p.stretches[k].extremes(func(c *currents) {
			f(c.output, math.Max(math.Abs(c.winding[0]), math.Abs(c.winding[1])))
		})
	}
}

func (r *inductiveRunner) account(tr *Transient, series float64) {
	for k := 0; k < r.p.n; k++ {
		r.p.stretches[k].panels(func(q *instant, f *currents, w float64) {
			i2 := w * (f.winding[0]*f.winding[0] + f.winding[1]*f.winding[1])
			tr.SeriesEnergy += i2 * series
			tr.SourceLoss += i2 * (r.m.rw - series)
			tr.SourceEnergy += w * q.e * f.secondary()
			tr.DiodeLoss += w*r.m.vd*(f.diode[0]+f.diode[1]) + i2*r.m.rd + w*r.m.rdc*f.choke*f.choke
			tr.ChokeLoss += w * r.m.rc * f.choke * f.choke
			tr.CapacitorLoss += w * r.m.esr * (f.bank[0]*f.bank[0] + f.bank[1]*f.bank[1])
			tr.OutputEnergy += w * f.output * f.load
		})
	}
}

func (s Supply) stage(g Stage) Supply {
	s.SourceResistance += g.SeriesResistance
	s.LoadCurrent = g.LoadCurrent
	if g.LoadResistance > 0 {
		s.LoadResistance = g.LoadResistance
	}
	if g.ChokeInductance > 0 && s.ChokeInductance > 0 {
		s.ChokeInductance = g.ChokeInductance
	}
	return s
}

func (s Supply) follow(r runner, phase float64, stages []Stage, perHalf int) (Transient, error) {
	var tr Transient
	if err := s.Validate(); err != nil {
		return tr, err
	}
	if !(phase >= 0 && phase < 2*math.Pi) {
		return tr, fmt.Errorf("rectifier: switch-on phase %s rad must be from 0 to below 2π", quantity.Short(phase, 6))
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
		r.set(staged)
		left := g.Duration
		for left > 0 {
			to := local + left
			finished := to >= half*(1-1e-12)
			if finished {
				to = half
			}
			if to > local {
				r.run(local, to)
				r.account(&tr, g.SeriesResistance)
				tr.record(r, local, to, now-local, odd, perHalf, half, &cycle)
			}
			if staged.LoadCurrent > 0 && r.output() < -1e-9*staged.PeakVoltage() {
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
				r.swap()
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
	tr.Final = r.output()
	if q, ok := r.(*resistiveRunner); ok {
		tr.end = q.x
	}
	return tr, nil
}

func emptyHalfCycle() HalfCycle {
	return HalfCycle{VoltageMinimum: math.Inf(1), VoltageMaximum: math.Inf(-1)}
}

// record takes the samples on the grid of half/perHalf and the envelope.
func (tr *Transient) record(r runner, first, last, offset float64, odd bool, perHalf int, half float64, h *HalfCycle) {
	if perHalf > 0 {
		step := half / float64(perHalf)
		for k := int(math.Ceil(first/step - 1e-9)); k < perHalf && float64(k)*step < last; k++ {
			s := r.sample(float64(k) * step)
			s.Time += offset
			if odd {
				s.SourceVoltage, s.SecondaryCurrent = -s.SourceVoltage, -s.SecondaryCurrent
			}
			tr.Samples = append(tr.Samples, s)
		}
	}
	r.extremes(func(voltage, current float64) {
		h.VoltageMinimum = min(h.VoltageMinimum, voltage)
		h.VoltageMaximum = max(h.VoltageMaximum, voltage)
		h.CurrentPeak = max(h.CurrentPeak, current)
		if current > tr.CurrentPeak {
			tr.CurrentPeak = current
		}
	})
}

func (r *resistiveRunner) account(tr *Transient, series float64) {
	for k := 0; k < r.p.n; k++ {
		s := &r.p.segments[k]
		s.panels(func(q *point, w float64) {
			f := s.flows(q)
			i2 := w * f.source * f.source
			tr.SeriesEnergy += i2 * series
			tr.SourceLoss += i2 * (r.m.rw - series)
			tr.SourceEnergy += w * q.e * f.source
			tr.DiodeLoss += w*r.m.vd*(f.diode[0]+f.diode[1]) + i2*r.m.rd
			tr.CapacitorLoss += w * r.m.esr * (f.capacity[0]*f.capacity[0] + f.capacity[1]*f.capacity[1])
			tr.OutputEnergy += w * f.output * f.load
		})
	}
}
