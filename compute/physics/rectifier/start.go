package rectifier

import (
	"errors"
	"fmt"
	"math"

	"anodebook/spec/quantity"
)

// Start is a supply switched on with its bank empty, through a resistor in the
// primary that a contactor shorts later. Unlike ColdStart it knows a choke
// whose inductance follows its current, and which resistance a centre-tapped
// winding has in each half and which in the primary: in the primary only the
// difference of the two halves' currents flows.
//
// It steps through time (BDF2, gridStart steps in each half period, every step
// implicit in currents, voltages and in which diodes conduct), and agrees with
// integrations of far finer step within some tenths of a per cent.
type Start struct {
	Supply Supply
	// Resistor is the step-start resistor, seen at the secondary (for
	// CentreTap at one half) [Ω], >= 0.
	Resistor float64
	// Shared is the part of Supply.SourceResistance that lies in mains and
	// primary, seen at the secondary [Ω]. It matters only with CentreTap.
	Shared float64
	// Inductance returns the choke's inductance [H] at a current [A]: that
	// which opposes a change of it. nil: Supply.ChokeInductance throughout.
	Inductance func(current float64) float64
	// Phase of the source at switch-on [rad], 0 to below π.
	Phase float64
	// Close is when the contactor shorts the resistor [s], > 0; Until is when
	// the run ends [s], >= Close.
	Close, Until float64
	// Threshold ends the run when the output has risen to it [V]; 0: never.
	Threshold float64
}

// Started is what happens at switch-on.
type Started struct {
	HalfCycles []HalfCycle
	// Voltage is the output when the contactor closes, or when the threshold
	// is reached [V].
	Voltage float64
	// Reached is when the threshold was reached [s]; +Inf: it was not.
	Reached float64
	// Action is the square of the primary current, seen at the secondary, over
	// the time until the contactor closes, After that from then on [A²s].
	Action, After float64
	// Heat is that in the step-start resistor [J].
	Heat float64
	// PeakBefore and PeakAfter are the winding's peak currents [A] before and
	// after the contactor closes.
	PeakBefore, PeakAfter float64
	Final                 float64 // output at the end [V]
}

// FirstSurge returns the peak of the first half period that conducts [A].
func (s Started) FirstSurge() float64 { return Transient{HalfCycles: s.HalfCycles}.FirstSurge() }

const (
	gridStart   = 40   // steps in half a mains period
	stillHalves = 24   // half periods without change after which nothing moves any more
	stillness   = 1e-6 // change that counts as none, of the voltage without load
)

// Run follows the switch-on.
func (s Start) Run() (Started, error) {
	out := Started{Reached: math.Inf(1)}
	if err := s.Supply.Validate(); err != nil {
		return out, err
	}
	finite := func(x float64) bool { return x >= 0 && !math.IsInf(x, 0) }
	switch {
	case !finite(s.Resistor) || !finite(s.Shared) || s.Shared > s.Supply.SourceResistance*(1+1e-9):
		return out, fmt.Errorf("rectifier: step-start resistor %s Ω and shared resistance %s Ω must not be negative, the latter no "+
			"more than the source resistance", quantity.Short(s.Resistor, 6), quantity.Short(s.Shared, 6))
	case !(s.Phase >= 0 && s.Phase < math.Pi):
		return out, fmt.Errorf("rectifier: switch-on phase %s rad must be from 0 to below π", quantity.Short(s.Phase, 6))
	case !(s.Close > 0) || !(s.Until >= s.Close) || math.IsInf(s.Until, 0):
		return out, errors.New("rectifier: a switch-on needs a positive time until its contactor closes, and an end not before that")
	}
	m := newStarter(s)
	half := 0.5 / s.Supply.MainsFrequency
	now, local := 0.0, s.Phase/math.Pi*half
	closed, still, before := false, 0, 0.0
	cycle := emptyHalfCycle()
	var heat float64 // action within the present half period
	m.touch(local)
	last := m.d * m.d
	note := func() {
		v, i := m.output(), m.winding()
		cycle.VoltageMinimum, cycle.VoltageMaximum = min(cycle.VoltageMinimum, v), max(cycle.VoltageMaximum, v)
		cycle.CurrentPeak = max(cycle.CurrentPeak, i)
		if closed {
			out.PeakAfter = max(out.PeakAfter, i)
		} else {
			out.PeakBefore = max(out.PeakBefore, i)
		}
	}
	note()
	for now < s.Until {
		step := half / gridStart
		if gap := half - local; gap < 1.5*step { // to the end of the half period without a splinter
			step = gap
		}
		end := s.Until
		if !closed {
			end = s.Close
		}
		next := now + step
		if now+step*(1+1e-9) >= end {
			step, next = end-now, end
		}
		m.step(local+step, step)
		now, local = next, local+step
		square := m.d * m.d
		heat += step * (last + square) / 2
		last = square
		note()
		switch v := m.output(); {
		case s.Threshold > 0 && v >= s.Threshold:
			out.Reached, out.Voltage = now, v
			out.Action += heat
			return s.finish(out, m, cycle, now), nil
		case !closed && now >= s.Close:
			closed, out.Voltage = true, v
			out.Action += heat
			heat = 0
			m.shorten(local)
			last = m.d * m.d
			note()
		}
		if local < half*(1-1e-12) {
			continue
		}
		cycle.Time = now
		out.HalfCycles = append(out.HalfCycles, cycle)
		if !closed {
			if still++; math.Abs(cycle.VoltageMaximum-before) > stillness*m.vp {
				still = 0
			}
			before = cycle.VoltageMaximum
			if still >= stillHalves { // nothing moves: whole periods like the last until the contactor closes
				if s.Threshold > 0 {
					return s.finish(out, m, emptyHalfCycle(), now), nil
				}
				periods := math.Floor((s.Close-now)/(2*half) - 1)
				if periods > 0 {
					now += 2 * half * periods
					out.Action += 2 * heat * periods
				}
				still = math.MinInt32
			}
			out.Action += heat
		} else {
			out.After += heat
		}
		heat = 0
		cycle, local = emptyHalfCycle(), 0
		m.swap()
	}
	out.After += heat // nothing is left of it where the run ends with the contactor's closing
	return s.finish(out, m, cycle, now), nil
}

func (s Start) finish(out Started, m *starter, cycle HalfCycle, now float64) Started {
	if !math.IsInf(cycle.VoltageMaximum, -1) {
		cycle.Time = now
		out.HalfCycles = append(out.HalfCycles, cycle)
	}
	out.Heat, out.Final = out.Action*s.Resistor, m.output()
	return out
}

// history is a state variable at the present and the last instant.
type history struct{ now, was float64 }

// starter is the circuit of a Start. Its currents are i, out of the rectifier,
// and d, what the primary sees: the winding's current, or the difference of
// the currents in the two halves.
type starter struct {
	w, vp, vd       float64
	rt, rc          float64 // in the way of one side's current; the choke's own [Ω]
	a, b, ls        float64 // d answers to a·e - b·d while both sides conduct
	ro, lo          float64 // what those two put in the way of i
	c, g, load, esr float64 // esr: of the capacitor [Ω]
	resistor        float64
	doubled, choked bool
	halves          bool
	inductance      func(float64) float64
	i, v, v2, di    history // v2: the doubler's other capacitor; di: d
	d               float64
	side            float64 // +1 or -1: which one conducts
	before          float64 // the last step [s]; 0: none

	alpha, recent, older float64 // x' is alpha·x - recent·x.now + older·x.was
}

func newStarter(s Start) *starter {
	p := s.Supply
	rd := p.DiodeResistance
	m := &starter{
		w: 2 * math.Pi * p.MainsFrequency, vp: p.PeakVoltage(), vd: p.DiodeDrop,
		rt: p.SourceResistance + s.Resistor + rd, esr: p.CapacitorResistance, rc: p.ChokeResistance, ls: p.LeakageInductance,
		c: p.Capacitance, g: p.conductance(), load: p.LoadCurrent, resistor: s.Resistor,
		doubled: p.Circuit.Banks() == 2, choked: p.ChokeInductance > 0, halves: p.Circuit.Windings() == 2,
		inductance: s.Inductance,
	}
	if m.inductance == nil {
		m.inductance = func(float64) float64 { return p.ChokeInductance }
	}
	switch p.Circuit {
	case Bridge, Doubler: // while both sides conduct, half of the diodes' resistance lies beside the other half
		m.a, m.b, m.ro = 1, m.rt-rd/2, rd/2
	case CentreTap:
		own := p.SourceResistance - s.Shared + rd
		m.a, m.b = 2, 2*(s.Shared+s.Resistor)+own
		m.ro, m.lo = own/2, m.ls/2
	default:
		panic("rectifier: no switch-on is known of the " + p.Circuit.String()) // Validate has refused what is no circuit
	}
	m.side = 1
	return m
}

// shorten takes the resistor out of the circuit.
func (m *starter) shorten(local float64) {
	m.rt -= m.resistor
	m.b -= m.a * m.resistor
	m.resistor = 0
	m.before = 0
	m.touch(local)
}

// touch finds the current at once where nothing keeps it from jumping.
func (m *starter) touch(local float64) {
	if m.choked || m.ls > 0 {
		return
	}
	e := m.vp * math.Sin(m.w*local)
	i := math.Max(0, (e-m.vd-m.v.now+m.esr*m.drawn())/(m.rt+m.esr))
	m.i, m.di, m.d, m.side = history{i, i}, history{i, i}, i, 1
}

// output returns the voltage at the terminals [V]: that of the capacitors, and
// what their resistance adds.
func (m *starter) output() float64 {
	if m.doubled {
		return m.v.now + m.v2.now + m.esr*(m.i.now-2*m.drawn())
	}
	return m.v.now + m.esr*(m.i.now-m.drawn())
}

// drawn returns what the load draws [A].
func (m *starter) drawn() float64 {
	if m.doubled {
		return m.load + m.g*(m.v.now+m.v2.now)
	}
	return m.load + m.g*m.v.now
}

// winding returns the greatest current in a winding [A].
func (m *starter) winding() float64 {
	if m.halves {
		return (m.i.now + math.Abs(m.d)) / 2
	}
	return math.Abs(m.d)
}

// swap ends a half period: the source begins again at zero, upwards.
func (m *starter) swap() {
	m.side, m.d = -m.side, -m.d
	m.di.now, m.di.was = -m.di.now, -m.di.was
	if m.doubled {
		m.v, m.v2 = m.v2, m.v
	}
}

// past is what the history takes off alpha·x to make x'.
func (m *starter) past(x history) float64 { return m.recent*x.now - m.older*x.was }

// step goes on by h [s] to the local time t, at which all is found.
func (m *starter) step(t, h float64) {
	// x' is alpha·x less what the history gives. Steps of unequal length, and
	// the first, are backward Euler.
	m.alpha, m.recent, m.older = 1/h, 1/h, 0
	if math.Abs(h-m.before) < 1e-6*h {
		m.alpha, m.recent, m.older = 1.5/h, 2/h, 0.5/h
	}
	m.before = h
	e := m.vp * math.Sin(m.w*t)
	var i, d float64
	if m.choked {
		i, d = m.throughChoke(e)
	} else {
		i, d = m.direct(e)
	}
	one, other := i, 0.0
	if m.doubled && m.side < 0 {
		one, other = 0, i
	}
	v := m.charged(m.v, one, m.v2)
	if m.doubled {
		m.v2 = history{m.charged(m.v2, other, m.v), m.v2.now}
	}
	m.v = history{v, m.v.now}
	m.i, m.di, m.d = history{i, m.i.now}, history{d, m.di.now}, d
}

// charged returns the voltage of a capacitor that takes a current i.
func (m *starter) charged(x history, i float64, other history) float64 {
	load := m.load
	if m.doubled {
		load += m.g * (2*other.now - other.was)
	}
	return (i - load + m.c*m.past(x)) / (m.c*m.alpha + m.g)
}

// direct finds the current without a choke: of one side, and of the other
// where it has come to an end.
func (m *starter) direct(e float64) (i, d float64) {
	hold := m.past(m.i)
	if m.i.now <= 0 || m.ls == 0 {
		m.side = 1
		if e < 0 {
			m.side = -1
		}
		hold = math.Max(0, hold)
	}
	for range 2 {
		v, other := m.v, m.v2
		if m.doubled && m.side < 0 {
			v, other = m.v2, m.v
		}
		v0, q := m.charged(v, 0, other), 1/(m.c*m.alpha+m.g)
		i = (m.side*e - m.vd - v0 + m.esr*m.drawn() + m.ls*hold) / (m.ls*m.alpha + m.rt + m.esr + q)
		if i > 0 {
			return i, m.side * i
		}
		m.side, hold = -m.side, 0
	}
	return 0, 0
}

// throughChoke finds the currents with a choke: of one side alone, or of both
// while the choke draws more than the source gives.
func (m *starter) throughChoke(e float64) (i, d float64) {
	l := m.inductance(math.Max(0, 2*m.i.now-m.i.was))
	v0, q, hold := m.charged(m.v, 0, m.v2)-m.esr*m.drawn(), 1/(m.c*m.alpha+m.g)+m.esr, m.past(m.i)
	if m.i.now <= 0 { // it stopped, whatever the step before that would have it do
		hold = 0
	}
	d = (m.a*e + m.ls*m.past(m.di)) / (m.ls*m.alpha + m.b)
	m.side = math.Copysign(1, d)
	i = (m.side*e - m.vd - v0 + (l+m.ls)*hold) / ((l+m.ls)*m.alpha + m.rt + m.rc + q)
	if i > math.Abs(d) {
		i = (-m.vd - v0 + (l+m.lo)*hold) / ((l+m.lo)*m.alpha + m.ro + m.rc + q)
		if i > 0 {
			return i, math.Copysign(math.Min(i, math.Abs(d)), d)
		}
		return 0, 0
	}
	if i > 0 {
		return i, m.side * i
	}
	return 0, 0
}
