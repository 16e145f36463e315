package rectifier

import "math"

// inductive says that a current of the supply cannot jump.
func (s Supply) inductive() bool { return s.LeakageInductance > 0 || s.ChokeInductance > 0 }

// next returns the state one half period later, sides exchanged.
func (m *inductive) next(x vector, p *route) vector {
	m.halves++
	x, _ = m.run(x, m.stateOf(&x), 0, m.half, p)
	return m.swap(x)
}

// How often the search tries before it starts from elsewhere.
const (
	newtonSteps  = 60
	balanceHalfs = 8       // half periods after which a choke's current is taken as settled
	loadSteps    = 1.0 / 8 // of the load current, from none to all of it
	leastStep    = 1.0 / 100
)

// shoot finds the state that comes back after half a period: Newton's method
// from the likely place, then from where charge and load balance with currents
// that begin anew in every half period (a choke at light load), and then along
// the load current, from none to all of it. That no state was found at some
// share of it, with all steps up to it found, says that the output is pulled to
// zero there.
func (m *inductive) shoot() (vector, error) {
	top := m.vp - m.vd
	x := m.guess(top)
	if m.g == 0 && m.i == 0 {
		return x, nil
	}
	if x, err := m.newton(x); err != ErrNoConvergence {
		return x, err
	}
	x, ok := m.balance(top)
	if ok {
		if x, err := m.newton(x); err == nil {
			return x, nil
		}
	} else if m.i > 0 && m.layout == oneWinding { // direct current in a coil takes longer to settle: it proves nothing
		return x, ErrOverload
	}
	return m.alongLoad(top)
}

// balance returns the state at which the bank gains as much charge in a half
// period as it loses, with the voltage held while the currents settle; false if
// it loses charge even at no voltage.
func (m *inductive) balance(top float64) (vector, bool) {
	var p route
	gain := func(v float64) (vector, float64) {
		x := m.level(v)
		for range balanceHalfs {
			y := m.next(x, &p)
			before := x
			for r := range x {
				if m.isCurrent(r) {
					x[r] = y[r]
				}
			}
			if x == before {
				break
			}
		}
		y := m.next(x, &p)
		return x, m.stored(y) - m.stored(x)
	}
	if _, f := gain(0); f < 0 {
		return m.level(0), false
	}
	lo, hi := 0.0, top
	for range 30 {
		mid := (lo + hi) / 2
		if _, f := gain(mid); f > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	x, _ := gain((lo + hi) / 2)
	return x, true
}

// level is a state without currents, each capacitor at a voltage [V].
func (m *inductive) level(v float64) vector {
	switch {
	case m.layout != oneWinding:
		return vector{0, 0, v}
	case m.doubler:
		return vector{0, v, v}
	}
	return vector{0, v, 0}
}

// alongLoad goes from a light load to that of the supply.
func (m *inductive) alongLoad(top float64) (vector, error) {
	s := m.supply
	all := s.LoadCurrent
	with := func(share float64, from vector) (vector, error) {
		s.LoadCurrent = share * all
		part := newInductive(s)
		defer func() { m.halves += part.halves }()
		return part.newton(from)
	}
	s.LoadCurrent = 0
	x, _ := newInductive(s).balance(top)
	x, err := with(0, x)
	if err != nil || all == 0 {
		return x, ErrNoConvergence
	}
	before, last := x, 0.0
	for done, step := 0.0, loadSteps; done < 1; {
		to := math.Min(1, done+step)
		from := x
		if done > last {
			for r := range from { // straight on
				from[r] += (x[r] - before[r]) * (to - done) / (done - last)
			}
		}
		y, err := with(to, from)
		if err != nil {
			y, err = with(to, x)
		}
		if err != nil || m.stored(y) < 0 {
			if step /= 2; step < leastStep {
				return x, ErrOverload
			}
			continue
		}
		before, last, x, done = x, done, y, to
		step *= 1.5
	}
	return x, nil
}

// newton searches from x. ErrOverload says that running on from there drags
// the output far below zero, ErrNoConvergence that the search led nowhere.
func (m *inductive) newton(x vector) (vector, error) {
	top := m.vp - m.vd
	var p route
	impedance := math.Hypot(m.rs, m.w*(m.ls+m.lf)) // weighs currents against voltages
	size := func(f vector) float64 {
		s := 0.0
		for r, d := range f {
			if m.isCurrent(r) {
				d *= impedance
			}
			s += d * d
		}
		return math.Sqrt(s)
	}
	best, bestX, stalled := math.Inf(1), x, 0
	for k := 0; k < newtonSteps; k++ {
		y := m.next(x, &p)
		f := vector{y[0] - x[0], y[1] - x[1], y[2] - x[2]}
		now := size(f)
		if now < 0.99*best {
			best, bestX, stalled = now, x, 0
		} else if stalled++; best < 1e-11*top || stalled > 12 && best < 1e-9*top {
			break
		}
		if now <= 1e-14*top {
			break
		}
		j := m.swapped(p.sensitivity())
		z := y
		if d, ok := solveNewton(&j, f); ok && (stalled < 3 || k%7 != 0) {
			n := vector{x[0] + d[0], x[1] + d[1], x[2] + d[2]}
			if m.sane(n, top) {
				z = n
			}
		}
		if m.stored(y) < -top {
			return x, ErrOverload
		}
		x = z
	}
	if best <= 1e-9*top {
		return bestX, nil
	}
	return x, ErrNoConvergence
}

// swapped returns swap·j: swap is linear, so it acts on each column.
func (m *inductive) swapped(j matrix) matrix {
	for c := range j {
		y := m.swap(vector{j[0][c], j[1][c], j[2][c]})
		j[0][c], j[1][c], j[2][c] = y[0], y[1], y[2]
	}
	return j
}

// solveNewton solves (j - 1)·d = -f.
func solveNewton(j *matrix, f vector) (d vector, ok bool) {
	a := *j
	for r := range a {
		a[r][r]--
		d[r] = -f[r]
	}
	for c := range a {
		pivot := c
		for r := c + 1; r < 3; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[pivot][c]) {
				pivot = r
			}
		}
		a[c], a[pivot], d[c], d[pivot] = a[pivot], a[c], d[pivot], d[c]
		if a[c][c] == 0 {
			continue // a state that this circuit does not have
		}
		for r := range a {
			if r != c && a[r][c] != 0 {
				q := a[r][c] / a[c][c]
				for k := c; k < 3; k++ {
					a[r][k] -= q * a[c][k]
				}
				d[r] -= q * d[c]
			}
		}
	}
	for r := range d {
		if a[r][r] != 0 {
			d[r] /= a[r][r]
		} else {
			d[r] = 0
		}
		if math.IsNaN(d[r]) || math.IsInf(d[r], 0) {
			return d, false
		}
	}
	return d, true
}

func (m *inductive) isCurrent(row int) bool {
	return row == 0 || row == 1 && m.layout != oneWinding
}

// stored returns the voltage on the plates of the filter capacitor, or of both
// [V]: the output voltage but for their own resistance.
func (m *inductive) stored(x vector) float64 {
	switch {
	case m.layout != oneWinding:
		return x[2]
	case m.doubler:
		return x[1] + x[2]
	}
	return x[1]
}

func (m *inductive) sane(x vector, top float64) bool {
	for r := range x {
		if !m.isCurrent(r) && !(x[r] > -top && x[r] < 2*top) {
			return false
		}
	}
	v := m.stored(x)
	if m.layout == chokeBridge && x[1] < 0 || m.layout == chokeHalves && x[0]+x[1] < 0 {
		return false
	}
	return v >= 0
}

// guess returns where the search begins: near the crest with a capacitor
// input, near the mean of the rectified sine with a choke.
func (m *inductive) guess(top float64) vector {
	if m.g == 0 && m.i == 0 {
		return m.level(top)
	}
	v := 2 / math.Pi * top
	i := m.i + v*m.g
	v = math.Max(v-i*(m.rs+m.rf), 0.2*top)
	switch m.layout {
	case chokeBridge:
		return vector{-i, i, v}
	case chokeHalves:
		return vector{0, i, v}
	case twoHalves:
		return vector{0, 0, 0.9 * top}
	}
	if m.doubler {
		return vector{0, 0.5 * top, 0.7 * top}
	}
	return vector{0, 0.9 * top, 0}
}

// currents are those of the circuit at one instant.
type currents struct {
	winding [2]float64 // one winding; or both halves
	diode   [2]float64 // of this half's side and of the other's
	choke   float64    // 0 without a choke
	bank    [2]float64 // into the filter capacitor, or into both of the doubler
	output  float64    // output voltage [V]
	load    float64
}

func (m *inductive) currents(p *instant, state int) (f currents) {
	b := m.branch(state)
	f.output = b.output.of(&p.x)
	f.load = b.load.of(&p.x)
	switch m.layout {
	case oneWinding:
		f.winding[0] = p.x[0]
		f.diode = [2]float64{math.Max(p.x[0], 0), math.Max(-p.x[0], 0)}
	case chokeBridge:
		f.winding[0], f.choke = p.x[0], p.x[1]
		f.diode = [2]float64{(p.x[1] + p.x[0]) / 2, (p.x[1] - p.x[0]) / 2}
	default:
		f.winding = [2]float64{p.x[0], -p.x[1]}
		f.diode = [2]float64{p.x[0], p.x[1]}
		if m.layout == chokeHalves {
			f.choke = p.x[0] + p.x[1]
		}
	}
	f.bank[0] = f.diode[0] + f.diode[1] - f.load
	if m.doubler {
		f.bank = [2]float64{f.diode[0] - f.load, f.diode[1] - f.load}
	}
	return f
}

// secondary returns the current that the source drives [A].
func (f *currents) secondary() float64 { return f.winding[0] + f.winding[1] }

// panels calls f with nodes and weights of an integral over the stretch.
func (s *stretch) panels(f func(p *instant, c *currents, weight float64)) {
	var p instant
	var c currents
	length := s.t1 - s.t0
	a := 0.0
	for k := 0; a < length; k++ {
		b := length
		switch {
		case s.state == off:
		case s.l.ring*length > 8: // a panel for each turn and a bit
			b = min(length, a+max(8/s.l.ring, length/64))
		case k < len(layers):
			b = min(length, layers[k]/s.l.rate)
		}
		for j, x := range gaussX {
			p = s.at(s.t0 + a + (b-a)*x)
			c = s.m.currents(&p, s.state)
			f(&p, &c, gaussW[j]*(b-a))
		}
		a = b
	}
}

// extremes calls f at the ends of the stretch and wherever the output voltage
// or the source's current turns within it.
func (s *stretch) extremes(f func(*currents)) {
	m := s.m
	var c currents
	at := func(t float64) {
		p := s.at(t)
		c = m.currents(&p, s.state)
		f(&c)
	}
	steps := 12
	if s.l.ring > 0 { // each turn of a ring has two of them
		steps = max(steps, int(math.Ceil(math.Min(mostSteps, ringSteps*s.l.ring*(s.t1-s.t0)/(2*math.Pi)))))
	}
	derivative := func(which int) func(t float64) (float64, float64) {
		return func(t float64) (float64, float64) {
			p := s.at(t)
			x2 := s.second(&p)
			if which == 0 {
				v := &m.branch(s.state).output
				return v.slope(&p.x1), v.slope(&x2)
			}
			a, b := instant{x: p.x1}, instant{x: x2}
			c, d := m.currents(&a, s.state), m.currents(&b, s.state)
			if which == 1 {
				return c.secondary(), d.secondary()
			}
			return c.choke, d.choke
		}
	}
	kinds := 2
	if m.lf > 0 {
		kinds = 3
	}
	at(s.t0)
	at(s.t1)
	if s.state == off {
		return
	}
	var before [3]float64
	for k := 0; k <= steps; k++ {
		t := s.t0 + (s.t1-s.t0)*float64(k)/float64(steps)
		for j := range kinds {
			g := derivative(j)
			d, _ := g(t)
			if k > 0 && before[j]*d < 0 {
				at(bracketedRoot(g, t-(s.t1-s.t0)/float64(steps), t, 1e-12*m.half))
			}
			before[j] = d
		}
	}
}

// measure integrates over half a mains period starting from x.
func (m *inductive) measure(x vector) Result {
	var p route
	from := x
	m.run(x, m.stateOf(&x), 0, m.half, &p)
	r := Result{startInductive: from, VoltageMinimum: math.Inf(1), VoltageMaximum: math.Inf(-1), ChokeCurrentMinimum: math.Inf(1)}
	reference := m.stored(from)
	var mean, square, source2, winding2, diode, diode2, bank2, emf, output, load, choke2 float64
	for k := 0; k < p.n; k++ {
		s := &p.stretches[k]
		s.panels(func(q *instant, f *currents, w float64) {
			u := f.output - reference
			mean += w * u
			square += w * u * u
			source2 += w * f.secondary() * f.secondary()
			winding2 += w * (f.winding[0]*f.winding[0] + f.winding[1]*f.winding[1])
			diode += w * (f.diode[0] + f.diode[1])
			diode2 += w * (f.diode[0]*f.diode[0] + f.diode[1]*f.diode[1])
			bank2 += w * (f.bank[0]*f.bank[0] + f.bank[1]*f.bank[1])
			emf += w * q.e * f.secondary()
			output += w * f.output * f.load
			load += w * f.load
			choke2 += w * f.choke * f.choke
		})
		s.extremes(func(f *currents) {
			r.VoltageMinimum = min(r.VoltageMinimum, f.output)
			r.VoltageMaximum = max(r.VoltageMaximum, f.output)
			r.SecondaryCurrentPeak = max(r.SecondaryCurrentPeak, math.Abs(f.winding[0]), math.Abs(f.winding[1]))
			r.ChokeCurrentMinimum = min(r.ChokeCurrentMinimum, f.choke)
			r.ChokeCurrentMaximum = max(r.ChokeCurrentMaximum, f.choke)
		})
		switch s.state {
		case off:
		case overlap:
			r.ConductionAngle += 2 * m.w * (s.t1 - s.t0)
		default:
			r.ConductionAngle += m.w * (s.t1 - s.t0)
		}
	}
	if m.lf == 0 {
		r.ChokeCurrentMinimum = 0
	}
	h := m.half
	mean /= h
	r.Voltage = reference + mean
	r.RippleRMS = math.Sqrt(max(0, square/h-mean*mean))
	r.LoadCurrent = load / h
	r.SecondaryCurrent = math.Sqrt(winding2 / h)
	r.DiodeCurrentMean = diode / (2 * h)
	r.DiodeCurrentRMS = math.Sqrt(diode2 / (2 * h))
	paths := 1.0
	if m.doubler {
		paths = 2
	}
	r.CapacitorCurrent = math.Sqrt(bank2 / h / paths)
	r.SourcePower = emf / h
	r.SourceCurrent = math.Sqrt(source2 / h)
	r.SourceLoss = winding2 / h * m.rw
	r.DiodeLoss = diode/h*m.vd + winding2/h*m.rd + choke2/h*m.rdc
	r.CapacitorLoss = bank2 / h * m.esr
	r.ChokeCurrent = math.Sqrt(choke2 / h)
	r.ChokeLoss = choke2 / h * m.rc
	r.OutputPower = output / h
	return r
}

// sample evaluates the route at local time t.
func (p *route) sample(t float64) Sample {
	k := 0
	for k < p.n-1 && t >= p.stretches[k].t1 {
		k++
	}
	s := &p.stretches[k]
	q := s.at(t)
	f := s.m.currents(&q, s.state)
	return Sample{Time: t, SourceVoltage: q.e, Voltage: f.output, SecondaryCurrent: f.secondary(), ChokeCurrent: f.choke}
}
