package rectifier

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/mat"
)

// A supply with leakage inductance or a choke has currents that do not jump.
// Its state x holds, by layout:
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
}

// inductive is a Supply reduced to its linear circuits.
type inductive struct {
	layout           layout
	doubler          bool
	w, vp, vd, half  float64
	rs, ls, rf, lf   float64
	c, g, i          float64
	systems          [4]linear
	known            [4]bool
	events           [4][]event
	voltage, current float64 // scales below which nothing counts [V], [A]
}

// settled is the share of a half period that the source takes to respond
// where no leakage is stated beside a choke: without any, the winding current
// would be an algebraic function during the overlap, and with this it follows
// within a millionth.
const settled = 1e-6

func newInductive(s Supply) *inductive {
	m := &inductive{
		w: 2 * math.Pi * s.MainsFrequency, vp: s.PeakVoltage(), vd: s.DiodeDrop, half: 0.5 / s.MainsFrequency,
		rs: s.SourceResistance, ls: s.LeakageInductance, rf: s.ChokeResistance, lf: s.ChokeInductance,
		c: s.Capacitance, g: s.conductance(), i: s.LoadCurrent, doubler: s.Circuit == Doubler,
	}
	switch {
	case m.lf > 0 && s.Circuit == CentreTap:
		m.layout = chokeHalves
	case m.lf > 0:
		m.layout = chokeBridge
	case s.Circuit == CentreTap:
		m.layout = twoHalves
	}
	m.ls = math.Max(m.ls, settled*m.half*m.rs)
	m.voltage = 4e-15 * m.vp
	m.current = 1e-13 * m.vp / math.Hypot(m.rs, m.w*(m.ls+m.lf))
	m.switching()
	return m
}

// system returns the linear circuit of a switching state.
func (m *inductive) system(state int) *linear {
	l := &m.systems[state]
	if m.known[state] {
		return l
	}
	m.known[state] = true
	load := func(row int, others ...int) { // capacitor row: -(g·V + I)/C
		for _, c := range append(others, row) {
			l.a[row][c] -= m.g / m.c
		}
		l.k[row] -= m.i / m.c
	}
	forth, fro := state == onward || state == overlap, state == back || state == overlap
	switch m.layout {
	case oneWinding:
		load(1)
		if m.doubler {
			l.a[1][2] -= m.g / m.c
			load(2, 1)
		}
		if forth {
			l.a[0] = vector{-m.rs / m.ls, -1 / m.ls, 0}
			l.f[0], l.k[0] = m.vp/m.ls, -m.vd/m.ls
			l.a[1][0] = 1 / m.c
		}
		if fro {
			other := 1
			if m.doubler {
				other = 2
			}
			l.a[0][0], l.a[0][other] = -m.rs/m.ls, 1/m.ls
			l.f[0], l.k[0] = m.vp/m.ls, m.vd/m.ls
			l.a[other][0] = -1 / m.c
		}
	case twoHalves:
		load(2)
		if forth {
			l.a[2][0] = 1 / m.c
			l.a[0] = vector{-m.rs / m.ls, 0, -1 / m.ls}
			l.f[0], l.k[0] = m.vp/m.ls, -m.vd/m.ls
		}
		if fro {
			l.a[2][1] = 1 / m.c
			l.a[1] = vector{0, -m.rs / m.ls, -1 / m.ls}
			l.f[1], l.k[1] = -m.vp/m.ls, -m.vd/m.ls
		}
	case chokeBridge:
		load(2)
		total, r := m.ls+m.lf, m.rs+m.rf
		if state != off {
			l.a[2][1] = 1 / m.c
		}
		sign := 1.0
		switch state {
		case back:
			sign = -1
			fallthrough
		case onward:
			l.a[1] = vector{0, -r / total, -1 / total}
			l.f[1], l.k[1] = sign*m.vp/total, -m.vd/total
			l.a[0] = vector{0, -sign * r / total, -sign / total}
			l.f[0], l.k[0] = m.vp/total, -sign*m.vd/total
		case overlap:
			l.a[0][0], l.f[0] = -m.rs/m.ls, m.vp/m.ls
			l.a[1] = vector{0, -m.rf / m.lf, -1 / m.lf}
			l.k[1] = -m.vd / m.lf
		}
	case chokeHalves:
		load(2)
		if forth {
			l.a[2][0] = 1 / m.c
		}
		if fro {
			l.a[2][1] = 1 / m.c
		}
		total, r := m.ls+m.lf, m.rs+m.rf
		switch state {
		case onward:
			l.a[0] = vector{-r / total, 0, -1 / total}
			l.f[0], l.k[0] = m.vp/total, -m.vd/total
		case back:
			l.a[1] = vector{0, -r / total, -1 / total}
			l.f[1], l.k[1] = -m.vp/total, -m.vd/total
		case overlap: // sum and difference of the two halves' currents
			both := m.lf + m.ls/2
			s, d := -(m.rs/2+m.rf)/both, -m.rs/m.ls
			l.a[0] = vector{(s + d) / 2, (s - d) / 2, -1 / (2 * both)}
			l.a[1] = vector{(s - d) / 2, (s + d) / 2, -1 / (2 * both)}
			l.f[0], l.f[1] = m.vp/m.ls, -m.vp/m.ls
			l.k[0], l.k[1] = -m.vd/(2*both), -m.vd/(2*both)
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
