package rectifier

import "math"

// The state x holds the voltage on the plates of the filter capacitor, or for
// the doubler of both: x[0] belongs to the diode that the present half of the mains
// period can turn on, x[1] to the other. Time t runs from 0 to half a mains
// period within each half, with the source at Vp·sin ωt >= 0; when a half
// ends, the doubler's two capacitors change places.

// conduction is the switching state.
type conduction int

const (
	blocked   conduction = iota // no diode conducts
	forward                     // the diode of x[0] conducts
	crosswise                   // the diode of x[1] conducts (doubler, x[1] below zero)
)

// mode is one eigenmode of the linear circuit: z' = λz + f·sin ωt + k. What
// the terminals see of it is ζ = part·z + terms·sin ωt + termk.
type mode struct {
	lambda, f, k       float64
	a, b               float64 // particular solution a·sin ωt + b·cos ωt
	part, terms, termk float64
	q                  [2]float64
}

// network is a Supply reduced to its linear circuits.
type network struct {
	n              int // states
	w, vp, vd      float64
	rs, c, g, i    float64 // rs: with the diodes
	rw, rd, esr    float64 // source alone, diodes, capacitor
	half           float64 // half a mains period [s]
	modes          [3][2]mode
	negligible     float64 // voltage that no longer counts [V]
	fastest        float64 // largest rate of any mode [1/s]
	pathsPerOutput float64
}

func newNetwork(s Supply) *network {
	m := &network{
		n: 1, w: 2 * math.Pi * s.MainsFrequency, vp: s.PeakVoltage(), vd: s.DiodeDrop,
		rs: s.SourceResistance + s.DiodeResistance, c: s.Capacitance, g: s.conductance(), i: s.LoadCurrent,
		rw: s.SourceResistance, rd: s.DiodeResistance, esr: s.CapacitorResistance,
		half: 0.5 / s.MainsFrequency, pathsPerOutput: float64(s.Circuit.Banks()),
	}
	m.n = s.Circuit.Banks()
	m.negligible = 4e-15 * m.vp
	gs := 1 / m.rs
	for c := blocked; c <= crosswise; c++ {
		m.modes[c] = m.eigenmodes(c, gs)
	}
	m.fastest = -math.Min(m.modes[forward][0].lambda, m.modes[forward][1].lambda)
	return m
}

// eigenmodes diagonalises C·x' = -M·v + u(t), M symmetric, with the terminals
// at v = x + r·C·x' behind the capacitors' own resistance r. Mode by mode, with
// M's eigenvalue μ, that is C·z' = (u - μ·z)/(1 + r·μ) and ζ = (z + r·u)/(1 + r·μ).
func (m *network) eigenmodes(c conduction, gs float64) [2]mode {
	var out [2]mode
	if c == blocked {
		gs = 0
	}
	if m.n == 1 {
		out[0] = mode{lambda: gs + m.g, q: [2]float64{1, 0}}
	} else {
		// M = g·[1 1; 1 1] + gs on the conducting diagonal.
		var big, small float64
		root := math.Hypot(gs, 2*m.g)
		big = (gs + 2*m.g + root) / 2
		if big > 0 {
			small = gs * m.g / big
		}
		angle := math.Pi / 4 // of the eigenvector of big
		if root > 0 {
			angle = math.Atan2(2*m.g, gs) / 2
		}
		sin, cos := math.Sincos(angle)
		if c == crosswise {
			sin, cos = cos, sin
		}
		out[0] = mode{lambda: big, q: [2]float64{cos, sin}}
		out[1] = mode{lambda: small, q: [2]float64{-sin, cos}}
	}
	var sine, constant [2]float64
	for j := 0; j < m.n; j++ {
		constant[j] = -m.i
	}
	switch c {
	case forward:
		sine[0] = gs * m.vp
		constant[0] -= gs * m.vd
	case crosswise:
		if m.n == 2 {
			sine[1] = -gs * m.vp
			constant[1] -= gs * m.vd
		}
	}
	for j := 0; j < m.n; j++ {
		o := &out[j]
		f, k := o.q[0]*sine[0]+o.q[1]*sine[1], o.q[0]*constant[0]+o.q[1]*constant[1]
		o.part = 1 / (1 + m.esr*o.lambda)
		o.terms, o.termk = o.part*m.esr*f, o.part*m.esr*k
		o.lambda *= -o.part / m.c
		o.f, o.k = o.part*f/m.c, o.part*k/m.c
		d := o.lambda*o.lambda + m.w*m.w
		o.a = -o.f * o.lambda / d
		o.b = -o.f * m.w / d
	}
	return out
}

// segment is the exact solution of one switching state from t0 to t1.
type segment struct {
	net    *network
	state  conduction
	t0, t1 float64
	z0     [2]float64 // modal amplitude less particular solution at t0
}

func (m *network) begin(state conduction, t0 float64, x [2]float64) segment {
	s := segment{net: m, state: state, t0: t0}
	sin, cos := math.Sincos(m.w * t0)
	for j := 0; j < m.n; j++ {
		o := &m.modes[state][j]
		s.z0[j] = o.q[0]*x[0] + o.q[1]*x[1] - (o.a*sin + o.b*cos)
	}
	return s
}

// point is the circuit at one instant: the source, the state, and the voltages
// at the terminals of the capacitors with their first two derivatives.
type point struct {
	e, e1, e2 float64
	x         [2]float64
	v, v1, v2 [2]float64
}

// at evaluates the segment's solution at time t.
func (s *segment) at(t float64) point {
	m := s.net
	sin, cos := math.Sincos(m.w * t)
	var p point
	p.e, p.e1, p.e2 = m.vp*sin, m.vp*m.w*cos, -m.vp*m.w*m.w*sin
	tau := t - s.t0
	for j := 0; j < m.n; j++ {
		o := &m.modes[s.state][j]
		grow := math.Expm1(o.lambda * tau)
		drift := tau
		if o.lambda != 0 {
			drift = grow / o.lambda
		}
		z := s.z0[j] + s.z0[j]*grow + o.k*drift + o.a*sin + o.b*cos
		z1 := o.lambda*z + o.f*sin + o.k
		z2 := o.lambda*z1 + o.f*m.w*cos
		y := o.part*z + o.terms*sin + o.termk
		y1 := o.part*z1 + o.terms*m.w*cos
		y2 := o.part*z2 - o.terms*m.w*m.w*sin
		for r := 0; r < m.n; r++ {
			p.x[r] += o.q[r] * z
			p.v[r] += o.q[r] * y
			p.v1[r] += o.q[r] * y1
			p.v2[r] += o.q[r] * y2
		}
	}
	return p
}

// drive returns the voltage that would push current through the diode of
// x[0] (which = 0) or x[1], and its first two derivatives.
func (s *segment) drive(p *point, which int) (h, h1, h2 float64) {
	if which == 0 {
		return p.e - s.net.vd - p.v[0], p.e1 - p.v1[0], p.e2 - p.v2[0]
	}
	return -p.e - s.net.vd - p.v[1], -p.e1 - p.v1[1], -p.e2 - p.v2[1]
}

// flows are the currents and the output voltage at one instant.
type flows struct {
	source   float64 // out of the secondary, in the local half's direction
	output   float64 // output voltage
	slope    float64 // its derivative
	load     float64
	diode    [2]float64
	capacity [2]float64 // capacitor currents
}

func (s *segment) flows(p *point) flows {
	m := s.net
	var f flows
	switch s.state {
	case forward:
		f.diode[0] = (p.e - m.vd - p.v[0]) / m.rs
	case crosswise:
		f.diode[1] = (-p.e - m.vd - p.v[1]) / m.rs
	}
	f.source = f.diode[0] - f.diode[1]
	f.output = p.v[0] + p.v[1]
	f.slope = p.v1[0] + p.v1[1]
	f.load = m.g*f.output + m.i
	for j := 0; j < m.n; j++ {
		f.capacity[j] = f.diode[j] - f.load
	}
	return f
}

// transition returns d x(t1) / d x(t0). Switching adds nothing to it: the
// right-hand side is continuous where a diode's current is zero.
func (s *segment) transition() [2][2]float64 {
	var out [2][2]float64
	for j := 0; j < s.net.n; j++ {
		o := &s.net.modes[s.state][j]
		e := math.Exp(o.lambda * (s.t1 - s.t0))
		for r := 0; r < s.net.n; r++ {
			for c := 0; c < s.net.n; c++ {
				out[r][c] += o.q[r] * e * o.q[c]
			}
		}
	}
	return out
}
