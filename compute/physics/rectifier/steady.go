package rectifier

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Result is the periodic steady state of a Supply. Currents are those of the
// secondary side; "mean" and "rms" are over a whole mains period.
type Result struct {
	Supply Supply

	Voltage        float64 // mean DC output [V]
	VoltageMinimum float64 // [V]
	VoltageMaximum float64 // [V]
	RipplePeak     float64 // ripple, peak to peak [V]
	RippleRMS      float64 // ripple about the mean [V rms]
	LoadCurrent    float64 // mean current into the whole load, bleeders included [A]

	SecondaryCurrent     float64 // winding current; for CentreTap of each half [A rms]
	SourceCurrent        float64 // what the ideal secondary drives; for CentreTap both halves together, seen at one [A rms]
	SecondaryCurrentPeak float64 // winding and diode peak [A]
	DiodeCurrentMean     float64 // each diode [A]
	DiodeCurrentRMS      float64 // each diode [A rms]
	ConductionAngle      float64 // of one diode, per mains period [rad]
	CapacitorCurrent     float64 // ripple current of each capacitor [A rms]

	// The choke's current; all 0 with capacitor input.
	ChokeCurrent        float64 // [A rms]
	ChokeCurrentMinimum float64 // 0: the current stops in every half period [A]
	ChokeCurrentMaximum float64 // [A]
	ChokeLoss           float64 // [W]

	SourcePower float64 // drawn from the ideal secondary voltage [W]
	SourceLoss  float64 // in the source resistance [W]
	DiodeLoss   float64 // [W]
	// CapacitorLoss is the heat in the capacitors' own resistance [W].
	CapacitorLoss float64
	OutputPower   float64 // into the whole load [W]

	start          [2]float64 // capacitor voltages at the zero crossing of the source
	startInductive vector     // the same of a supply with inductances
}

// SteadyState solves the periodic steady state. It returns ErrOverload when
// the constant current pulls the output to zero, ErrNoConvergence when the
// shooting method fails, or the error of Validate.
func SteadyState(s Supply) (Result, error) {
	if err := s.Validate(); err != nil {
		return Result{}, err
	}
	if s.LoadCurrent > s.mostCurrent() {
		return Result{}, ErrOverload
	}
	if s.inductive() {
		m := newInductive(s)
		x, err := m.shoot()
		if err != nil {
			return Result{}, err
		}
		return s.finished(m.measure(x))
	}
	m := newNetwork(s)
	x, err := m.shoot()
	if err != nil {
		return Result{}, err
	}
	return s.finished(m.measure(x))
}

// mostCurrent returns a direct current [A] that the supply cannot exceed with
// its output above zero: while a diode conducts, the source's voltage is the
// sum of those across resistance, inductance and filter; across an inductance
// nothing is left of it over a period, and the filter's is not negative. Where
// both sides conduct at once behind a choke, only part of the resistance counts.
func (s Supply) mostCurrent() float64 {
	r := s.SourceResistance + s.DiodeResistance
	if s.ChokeInductance > 0 {
		r = r/2 + s.ChokeResistance
	}
	return ResistiveMean(s.SecondaryVoltage) / r
}

// finished completes what was measured over the half period; ErrOverload where
// the constant current pulled the output below zero.
func (s Supply) finished(r Result) (Result, error) {
	r.Supply = s
	r.finish()
	if r.VoltageMinimum < -1e-9*s.PeakVoltage() && s.LoadCurrent > 0 {
		return Result{}, ErrOverload
	}
	return r, nil
}

// next returns the state one half period later, with the doubler's
// capacitors exchanged.
func (m *network) next(x [2]float64, p *path) [2]float64 {
	x = m.run(x, 0, m.half, p)
	if m.n == 2 {
		x[0], x[1] = x[1], x[0]
	}
	return x
}

// sensitivity returns d next(x) / dx along the path just run.
func (m *network) sensitivity(p *path) [2][2]float64 {
	j := p.segments[0].transition()
	for k := 1; k < p.n; k++ {
		a := p.segments[k].transition()
		var b [2][2]float64
		for r := range b {
			for c := range b[r] {
				b[r][c] = a[r][0]*j[0][c] + a[r][1]*j[1][c]
			}
		}
		j = b
	}
	if m.n == 2 {
		j[0], j[1] = j[1], j[0]
	}
	return j
}

// shoot finds the state that comes back after half a period.
func (m *network) shoot() ([2]float64, error) {
	top := m.vp - m.vd
	if m.g == 0 && m.i == 0 {
		if m.n == 1 {
			return [2]float64{top, 0}, nil
		}
		return [2]float64{top, top}, nil
	}
	if m.n == 1 {
		return m.shootOne(top)
	}
	return m.shootTwo(top)
}

func (m *network) shootOne(top float64) ([2]float64, error) {
	var p path
	var x [2]float64
	lo, hi := 0.0, top
	v := 0.9 * top
	done := 4e-15 * top
	best, bestV := math.Inf(1), v
	for k := 0; k < 80; k++ {
		x[0] = v
		f := m.next(x, &p)[0] - v
		if math.Abs(f) < best {
			best, bestV = math.Abs(f), v
		} else if best < 1e-12*top {
			break
		}
		if math.Abs(f) <= done {
			break
		}
		if f > 0 {
			lo = v
		} else {
			hi = v
		}
		d := m.sensitivity(&p)[0][0] - 1
		n := v - f/d
		if !(n > lo && n < hi) {
			n = 0.5 * (lo + hi)
		}
		if n == v {
			break
		}
		v = n
	}
	if best > 1e-9*top {
		if hi < 1e-6*top {
			if m.i > 0 {
				return x, ErrOverload
			}
			return [2]float64{}, nil // the output follows the source to zero
		}
		return x, ErrNoConvergence
	}
	return [2]float64{bestV, 0}, nil
}

func (m *network) shootTwo(top float64) ([2]float64, error) {
	x, err := m.newtonTwo([2]float64{0.5 * top, 0.7 * top}, top)
	if err != ErrNoConvergence {
		return x, err
	}
	// Where charge and load balance with both capacitors at one voltage.
	var p path
	gain := func(v float64) float64 {
		y := m.next([2]float64{v, v}, &p)
		return y[0] + y[1] - 2*v
	}
	if m.i > 0 && gain(0) < 0 {
		return x, ErrOverload
	}
	lo, hi := 0.0, top
	for range 30 {
		if v := (lo + hi) / 2; gain(v) > 0 {
			lo = v
		} else {
			hi = v
		}
	}
	if x, err = m.newtonTwo([2]float64{lo, hi}, top); err != ErrNoConvergence {
		return x, err
	}
	for range newtonSteps * newtonSteps { // see whether the load simply drags the output down
		if x = m.next(x, &p); m.i > 0 && x[0]+x[1] < 0 {
			return x, ErrOverload
		}
	}
	return m.newtonTwo(x, top)
}

func (m *network) newtonTwo(x [2]float64, top float64) ([2]float64, error) {
	var p path
	best, bestX := math.Inf(1), x
	for k := 0; k < newtonSteps; k++ {
		y := m.next(x, &p)
		f0, f1 := y[0]-x[0], y[1]-x[1]
		size := math.Hypot(f0, f1)
		if size < best {
			best, bestX = size, x
		} else if best < 1e-12*top {
			break
		}
		if size <= 4e-15*top {
			break
		}
		j := m.sensitivity(&p)
		a, b, c, d := j[0][0]-1, j[0][1], j[1][0], j[1][1]-1
		det := a*d - b*c
		n := [2]float64{x[0] - (d*f0-b*f1)/det, x[1] - (a*f1-c*f0)/det}
		sane := true
		for r := range n {
			sane = sane && n[r] > -top && n[r] < 1.5*top
		}
		if !sane || n[0]+n[1] < 0 {
			if y[0]+y[1] < -top {
				return x, ErrOverload
			}
			n = y // one half period forward always leads towards the cycle
		}
		x = n
	}
	if best <= 1e-9*top {
		return bestX, nil
	}
	return x, ErrNoConvergence
}

// Sixteen-point Gauss-Legendre rule on [0, 1].
var gaussX, gaussW = func() (x, w [16]float64) {
	quad.Legendre{}.FixedLocations(x[:], w[:], 0, 1)
	return x, w
}()

// panels calls f with the nodes and weights that integrate over segment s:
// the first panels are short enough to follow the fastest exponential of the
// circuit while it still lives.
func (s *segment) panels(f func(p *point, weight float64)) {
	length := s.t1 - s.t0
	rate := 0.0
	if s.state != blocked {
		rate = s.net.fastest
	}
	a := 0.0
	var p point // one for all: given to f it does not stay on the stack
	for k := 0; a < length; k++ {
		b := length
		if rate > 0 && k < len(layers) {
			b = min(length, layers[k]/rate)
		}
		for j, x := range gaussX {
			p = s.at(s.t0 + a + (b-a)*x)
			f(&p, gaussW[j]*(b-a))
		}
		a = b
	}
}

// extremes calls f at every instant of segment s at which the output voltage
// or the secondary current may be largest or smallest: the ends, the current
// peak, and where the output turns because the capacitors' charge does.
func (s *segment) extremes(peak float64, f func(flows)) {
	at := func(t float64) flows {
		p := s.at(t)
		return s.flows(&p)
	}
	first, last := at(s.t0), at(s.t1)
	f(first)
	f(last)
	if s.state == blocked {
		return
	}
	crest := at(peak)
	f(crest)
	slope := func(t float64) (float64, float64) {
		p := s.at(t)
		return p.v1[0] + p.v1[1], p.v2[0] + p.v2[1]
	}
	if first.slope*crest.slope < 0 {
		t := bracketedRoot(slope, s.t0, peak, 1e-12*s.net.half)
		f(at(t))
	}
	if crest.slope*last.slope < 0 {
		t := bracketedRoot(slope, peak, s.t1, 1e-12*s.net.half)
		f(at(t))
	}
}

var layers = [...]float64{6, 12, 20, 40}

// measure integrates over half a mains period starting from x.
func (m *network) measure(x [2]float64) Result {
	var p path
	m.run(x, 0, m.half, &p)
	r := Result{start: x, VoltageMinimum: math.Inf(1), VoltageMaximum: math.Inf(-1)}
	reference := x[0] + x[1]
	var mean, square, source2, diode, diode2, capacity2, emf, output, load float64
	extreme := func(f flows) {
		r.VoltageMinimum = min(r.VoltageMinimum, f.output)
		r.VoltageMaximum = max(r.VoltageMaximum, f.output)
		r.SecondaryCurrentPeak = max(r.SecondaryCurrentPeak, math.Abs(f.source))
	}
	for k := 0; k < p.n; k++ {
		s := &p.segments[k]
		s.panels(func(q *point, w float64) {
			f := s.flows(q)
			u := f.output - reference
			mean += w * u
			square += w * u * u
			source2 += w * f.source * f.source
			diode += w * (f.diode[0] + f.diode[1])
			diode2 += w * (f.diode[0]*f.diode[0] + f.diode[1]*f.diode[1])
			capacity2 += w * (f.capacity[0]*f.capacity[0] + f.capacity[1]*f.capacity[1])
			emf += w * q.e * f.source
			output += w * f.output * f.load
			load += w * f.load
		})
		s.extremes(p.peaks[k], extreme)
		if s.state == blocked {
			continue
		}
		r.ConductionAngle += m.w * (s.t1 - s.t0)
	}
	// Per mains period: two halves for the sums over all diodes.
	h := m.half
	mean /= h
	r.Voltage = reference + mean
	r.RippleRMS = math.Sqrt(max(0, square/h-mean*mean))
	r.LoadCurrent = load / h
	r.SecondaryCurrent = math.Sqrt(source2 / h)
	r.DiodeCurrentMean = diode / (2 * h)
	r.DiodeCurrentRMS = math.Sqrt(diode2 / (2 * h))
	r.CapacitorCurrent = math.Sqrt(capacity2 / h / m.pathsPerOutput)
	r.SourcePower = emf / h
	r.SourceCurrent = r.SecondaryCurrent
	r.SourceLoss = source2 / h * m.rw
	r.DiodeLoss = diode/h*m.vd + source2/h*m.rd
	r.CapacitorLoss = capacity2 / h * m.esr
	r.OutputPower = output / h
	return r
}

// finish derives what follows from the integrals and the circuit.
func (r *Result) finish() {
	r.RipplePeak = r.VoltageMaximum - r.VoltageMinimum
	r.SecondaryCurrent /= math.Sqrt(float64(r.Supply.Circuit.Windings()))
}
