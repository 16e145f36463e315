package rectifier

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/mat"
)

// A supply with leakage inductance or a choke has currents that do not jump.
// Its state x holds, by layout (a filter voltage is that on the capacitor's
// plates, behind its own resistance):
//
//	oneWinding  winding current, filter voltage (doubler: both capacitors)
//	twoHalves   current of either half, filter voltage
//	chokeBridge winding current, choke current, filter voltage
//	chokeHalves current of either half, filter voltage
//
// As for the resistive circuits, time runs through one half of the mains
// period with the source at Vp·sin ωt >= 0, and when it ends the two sides
// change places.
type layout int

const (
	oneWinding layout = iota
	twoHalves
	chokeBridge
	chokeHalves
)

// vector is a state, matrix a linear map of states.
type (
	vector [3]float64
	matrix [3]vector
)

func (a *matrix) times(x vector) (y vector) {
	for r := range y {
		y[r] = a[r][0]*x[0] + a[r][1]*x[1] + a[r][2]*x[2]
	}
	return y
}

func (a *matrix) after(b *matrix) (c matrix) {
	for r := range c {
		for j := range c[r] {
			c[r][j] = a[r][0]*b[0][j] + a[r][1]*b[1][j] + a[r][2]*b[2][j]
		}
	}
	return c
}

// affine is a linear function of the state, c·x + k.
type affine struct {
	c vector
	k float64
}

func (a *affine) of(x *vector) float64 { return a.slope(x) + a.k }

// slope is the function's derivative where that of the state is x1.
func (a *affine) slope(x1 *vector) float64 { return a.c[0]*x1[0] + a.c[1]*x1[1] + a.c[2]*x1[2] }

// plus returns a + by·b.
func (a affine) plus(by float64, b affine) affine {
	for r := range a.c {
		a.c[r] += by * b.c[r]
	}
	a.k += by * b.k
	return a
}

func (a affine) times(by float64) affine { return affine{}.plus(by, a) }

// entry is one entry of the state.
func entry(row int) (a affine) { a.c[row] = 1; return a }

// branch is the filter in one switching state: current into each capacitor,
// voltage at the terminals of each, and what the load draws.
type branch struct {
	into, v      [2]affine
	output, load affine
}

// Which diodes carry current.
const (
	off     = iota
	onward  // those of the present half
	back    // those of the other half
	overlap // both: the current goes over from one side to the other
)

// linear is the circuit in one switching state: x' = A·x + f·sin ωt + k, with
// A taken apart into eigenvalues.
type linear struct {
	a      matrix
	f, k   vector
	lambda [3]complex128
	v      [3][3]complex128 // eigenvectors in columns
	vi     [3][3]complex128 // inverse of v
	zk     [3]complex128
	pa, pb [3]complex128 // particular solution pa·sin ωt + pb·cos ωt
	paired [3]bool       // conjugate of the one before
	rate   float64       // fastest eigenvalue [1/s]
	ring   float64       // fastest oscillation [rad/s]; 0: none
}

// inductive is a Supply reduced to its linear circuits.
type inductive struct {
	supply           Supply
	layout           layout
	doubler          bool
	w, vp, vd, half  float64
	rs, ls, rf, lf   float64
	c, g, i, esr     float64
	rw, rd, rdc, rc  float64 // shares of rs and rf: source and diodes in rs, diodes and choke in rf
	branches         [4]branch
	systems          [4]linear
	known            [4]bool
	events           [4][]event
	voltage, current float64 // scales below which nothing counts [V], [A]
	halves           int     // half periods followed so far
}

// settled is the share of a half period that the source takes to respond
// where no leakage is stated beside a choke: without any, the winding current
// would be an algebraic function during the overlap, and with this it follows
// within a millionth.
const settled = 1e-6

func newInductive(s Supply) *inductive {
	m := &inductive{
		supply: s, w: 2 * math.Pi * s.MainsFrequency, vp: s.PeakVoltage(), vd: s.DiodeDrop, half: 0.5 / s.MainsFrequency,
		rw: s.SourceResistance, rd: s.DiodeResistance, rc: s.ChokeResistance, ls: s.LeakageInductance, lf: s.ChokeInductance,
		c: s.Capacitance, g: s.conductance(), i: s.LoadCurrent, esr: s.CapacitorResistance, doubler: s.Circuit.Banks() == 2,
	}
	halves := s.Circuit.Windings() == 2
	switch {
	case m.lf > 0 && halves:
		m.layout = chokeHalves
	case m.lf > 0:
		m.layout = chokeBridge
		// Each leg of the bridge carries half the sum or half the difference of
		// winding and choke current: a leg's resistance, half that of the path,
		// acts once in either.
		m.rd /= 2
		m.rdc = m.rd
	case halves:
		m.layout = twoHalves
	}
	m.rs, m.rf = m.rw+m.rd, m.rc+m.rdc
	for state := range m.branches {
		m.branches[state] = m.filter(state)
	}
	m.ls = math.Max(m.ls, settled*m.half*m.rs)
	m.voltage = 4e-15 * m.vp
	m.current = 1e-13 * m.vp / math.Hypot(m.rs, m.w*(m.ls+m.lf))
	m.switching()
	return m
}

func (m *inductive) branch(state int) *branch { return &m.branches[state] }

// filter returns the filter of a switching state.
func (m *inductive) filter(state int) (b branch) {
	forth, fro := state == onward || state == overlap, state == back || state == overlap
	switch m.layout {
	case oneWinding:
		if forth {
			b.into[0] = entry(0)
		}
		if fro && m.doubler {
			b.into[1] = entry(0).times(-1)
		} else if fro {
			b.into[0] = entry(0).times(-1)
		}
	case chokeBridge:
		if state != off {
			b.into[0] = entry(1)
		}
	default:
		for r, on := range [...]bool{forth, fro} {
			if on {
				b.into[0] = b.into[0].plus(1, entry(r))
			}
		}
	}
	if m.doubler {
		// V = u_1 + u_2 + r·(i_1 + i_2 - 2·load), load = g·V + I
		b.load = entry(1).plus(1, entry(2)).plus(m.esr, b.into[0]).plus(m.esr, b.into[1]).times(m.g)
		b.load.k += m.i
		b.load = b.load.times(1 / (1 + 2*m.g*m.esr))
		for r := range b.v {
			b.v[r] = entry(1+r).plus(m.esr, b.into[r]).plus(-m.esr, b.load)
		}
		b.output = b.v[0].plus(1, b.v[1])
		return b
	}
	row := 2
	if m.layout == oneWinding {
		row = 1
	}
	b.load = entry(row).plus(m.esr, b.into[0]).times(m.g)
	b.load.k += m.i
	b.load = b.load.times(1 / (1 + m.g*m.esr))
	b.output = entry(row).plus(m.esr, b.into[0]).plus(-m.esr, b.load)
	b.v = [2]affine{b.output, b.output}
	return b
}

// system returns the linear circuit of a switching state.
func (m *inductive) system(state int) *linear {
	l := &m.systems[state]
	if m.known[state] {
		return l
	}
	m.known[state] = true
	forth, fro := state == onward || state == overlap, state == back || state == overlap
	b := &m.branches[state]
	// set writes a row: x' = (voltage across it + sine·sin ωt) / inductance.
	set := func(row int, across affine, sine, inductance float64) {
		across = across.times(1 / inductance)
		l.a[row], l.k[row], l.f[row] = across.c, across.k, sine/inductance
	}
	falls := func(row int, resistance, drop float64, v affine) affine { // -R·i - drop - v
		a := entry(row).times(-resistance).plus(-1, v)
		a.k -= drop
		return a
	}
	total, r := m.ls+m.lf, m.rs+m.rf
	switch m.layout {
	case oneWinding:
		if forth {
			set(0, falls(0, m.rs, m.vd, b.v[0]), m.vp, m.ls)
		}
		if fro {
			set(0, falls(0, m.rs, -m.vd, b.v[1].times(-1)), m.vp, m.ls)
		}
	case twoHalves:
		if forth {
			set(0, falls(0, m.rs, m.vd, b.output), m.vp, m.ls)
		}
		if fro {
			set(1, falls(1, m.rs, m.vd, b.output), -m.vp, m.ls)
		}
	case chokeBridge:
		series := falls(1, r, m.vd, b.output)
		switch state {
		case onward:
			set(1, series, m.vp, total)
			set(0, series, m.vp, total)
		case back:
			set(1, series, -m.vp, total)
			set(0, series.times(-1), m.vp, total)
		case overlap:
			set(0, entry(0).times(-m.rs), m.vp, m.ls)
			set(1, falls(1, m.rf, m.vd, b.output), 0, m.lf)
		}
	case chokeHalves:
		switch state {
		case onward:
			set(0, falls(0, r, m.vd, b.output), m.vp, total)
		case back:
			set(1, falls(1, r, m.vd, b.output), -m.vp, total)
		case overlap: // sum and difference of the two halves' currents
			both := m.lf + m.ls/2
			sum := entry(0).plus(1, entry(1)).times(-(m.rs/2 + m.rf)).plus(-1, b.output)
			sum.k -= m.vd
			difference := entry(0).plus(-1, entry(1)).times(-m.rs / m.ls)
			set(0, sum.times(1/both).plus(1, difference), 2*m.vp/m.ls, 2)
			set(1, sum.times(1/both).plus(-1, difference), -2*m.vp/m.ls, 2)
		}
	}
	for r := range b.into { // capacitor rows
		row := 2
		if m.layout == oneWinding {
			row = 1 + r
		}
		if r == 0 || m.doubler {
			set(row, b.into[r].plus(-1, b.load), 0, m.c)
		}
	}
	l.decompose(m.w)
	return l
}

// decompose finds eigenvalues and eigenvectors and the particular solutions.
func (l *linear) decompose(w float64) {
	a := l.a
	for try := 0; ; try++ {
		flat := make([]float64, 0, 9)
		for r := range a {
			flat = append(flat, a[r][:]...)
		}
		var e mat.Eigen
		e.Factorize(mat.NewDense(3, 3, flat), mat.EigenRight)
		var vectors mat.CDense
		e.VectorsTo(&vectors)
		for j, x := range e.Values(nil) {
			l.lambda[j] = x
			l.rate = math.Max(l.rate, cmplx.Abs(x))
			l.ring = math.Max(l.ring, math.Abs(imag(x)))
			for r := range l.v {
				l.v[r][j] = vectors.At(r, j)
			}
		}
		det := l.invert()
		if cmplx.Abs(det) > 1e-7 || try == 3 {
			break
		}
		// Critical damping: two eigenvectors fall together. A change of the
		// damping far below any component's tolerance parts them.
		for r := range a {
			a[r][r] *= 1 + 1e-8*float64(1+r)
		}
	}
	for j := 0; j < 3; j++ {
		l.paired[j] = j > 0 && imag(l.lambda[j]) != 0 && !l.paired[j-1] && l.lambda[j] == cmplx.Conj(l.lambda[j-1])
		var f complex128
		for r := range l.f {
			f += l.vi[j][r] * complex(l.f[r], 0)
			l.zk[j] += l.vi[j][r] * complex(l.k[r], 0)
		}
		d := l.lambda[j]*l.lambda[j] + complex(w*w, 0)
		l.pa[j], l.pb[j] = -f*l.lambda[j]/d, -f*complex(w, 0)/d
	}
}

// invert finds the inverse of the eigenvectors and returns their determinant.
func (l *linear) invert() complex128 {
	v := &l.v
	minor := func(r, c int) complex128 {
		r1, r2, c1, c2 := (r+1)%3, (r+2)%3, (c+1)%3, (c+2)%3
		return v[r1][c1]*v[r2][c2] - v[r1][c2]*v[r2][c1]
	}
	det := v[0][0]*minor(0, 0) + v[0][1]*minor(0, 1) + v[0][2]*minor(0, 2)
	for r := range l.vi {
		for c := range l.vi[r] {
			l.vi[r][c] = minor(c, r) / det
		}
	}
	return det
}

// stretch is the exact solution of one switching state from t0 to t1.
type stretch struct {
	m      *inductive
	l      *linear
	state  int
	t0, t1 float64
	z0     [3]complex128 // modal amplitude less particular solution at t0
}

func (m *inductive) begin(state int, t0 float64, x vector) stretch {
	s := stretch{m: m, l: m.system(state), state: state, t0: t0}
	sin, cos := math.Sincos(m.w * t0)
	for j := range s.z0 {
		var z complex128
		for r := range x {
			z += s.l.vi[j][r] * complex(x[r], 0)
		}
		s.z0[j] = z - s.l.pa[j]*complex(sin, 0) - s.l.pb[j]*complex(cos, 0)
	}
	return s
}

// expm1 returns exp(z) - 1 without cancellation near zero.
func expm1(z complex128) complex128 {
	if imag(z) == 0 {
		return complex(math.Expm1(real(z)), 0)
	}
	e := math.Expm1(real(z))
	sin, cos := math.Sincos(imag(z))
	half := math.Sin(imag(z) / 2)
	return complex(e*cos-2*half*half, (e+1)*sin)
}

// instant is the circuit at one time: the source, and the state with its
// derivative.
type instant struct {
	e, e1 float64
	x, x1 vector
}

// at evaluates the solution at time t.
func (s *stretch) at(t float64) instant {
	m, l := s.m, s.l
	sin, cos := math.Sincos(m.w * t)
	p := instant{e: m.vp * sin, e1: m.vp * m.w * cos}
	tau := t - s.t0
	for j := range s.z0 {
		if l.paired[j] {
			continue
		}
		grow := expm1(l.lambda[j] * complex(tau, 0))
		drift := complex(tau, 0)
		if l.lambda[j] != 0 {
			drift = grow / l.lambda[j]
		}
		z := s.z0[j] + s.z0[j]*grow + l.zk[j]*drift + l.pa[j]*complex(sin, 0) + l.pb[j]*complex(cos, 0)
		if j < 2 && l.paired[j+1] {
			z *= 2
		}
		for r := range p.x {
			p.x[r] += real(l.v[r][j] * z)
		}
	}
	p.x1 = l.a.times(p.x)
	for r := range p.x1 {
		p.x1[r] += l.f[r]*sin + l.k[r]
	}
	return p
}

// second returns the second derivative of the state.
func (s *stretch) second(p *instant) vector {
	x2 := s.l.a.times(p.x1)
	for r := range x2 {
		x2[r] += s.l.f[r] * p.e1 / s.m.vp
	}
	return x2
}

// transition returns d x(t1) / d x(t0) within the stretch.
func (s *stretch) transition() (out matrix) {
	for j := range s.l.lambda {
		e := cmplx.Exp(s.l.lambda[j] * complex(s.t1-s.t0, 0))
		for r := range out {
			for c := range out[r] {
				out[r][c] += real(s.l.v[r][j] * e * s.l.vi[j][c])
			}
		}
	}
	return out
}

// swap exchanges the two sides at the end of a half period.
func (m *inductive) swap(x vector) vector {
	switch m.layout {
	case oneWinding:
		if m.doubler {
			return vector{-x[0], x[2], x[1]}
		}
		return vector{-x[0], x[1], x[2]}
	case chokeBridge:
		return vector{-x[0], x[1], x[2]}
	}
	return vector{x[1], x[0], x[2]}
}

// mirrored returns the switching state seen from the other half.
func mirrored(state int) int {
	switch state {
	case onward:
		return back
	case back:
		return onward
	}
	return state
}
