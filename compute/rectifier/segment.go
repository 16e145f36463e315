package rectifier

import "math"

// The state x holds the voltage of the filter capacitor, or for the doubler
// of both: x[0] belongs to the diode that the present half of the mains
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

// mode is one eigenmode of the linear circuit: z' = λz + f·sin ωt + k.
type mode struct {
	lambda, f, k float64
	a, b         float64 // particular solution a·sin ωt + b·cos ωt
	q            [2]float64
}

// network is a Supply reduced to its linear circuits.
type network struct {
	n              int // states
	w, vp, vd      float64
	rs, c, g, i    float64
	half           float64 // half a mains period [s]
	modes          [3][2]mode
	negligible     float64 // voltage that no longer counts [V]
	fastest        float64 // largest rate of any mode [1/s]
	pathsPerOutput float64
}

func newNetwork(s Supply) *network {
	m := &network{
		n: 1, w: 2 * math.Pi * s.MainsFrequency, vp: s.PeakVoltage(), vd: s.DiodeDrop,
		rs: s.SourceResistance, c: s.Capacitance, g: s.conductance(), i: s.LoadCurrent,
		half: 0.5 / s.MainsFrequency, pathsPerOutput: 1,
	}
	if s.Circuit == Doubler {
		m.n, m.pathsPerOutput = 2, 2
	}
	m.negligible = 4e-15 * m.vp
	gs := 1 / m.rs
	for c := blocked; c <= crosswise; c++ {
		m.modes[c] = m.eigenmodes(c, gs)
	}
	m.fastest = -math.Min(m.modes[forward][0].lambda, m.modes[forward][1].lambda)
	return m
}

// eigenmodes diagonalises C·x' = -M·x + u(t), M symmetric.
func (m *network) eigenmodes(c conduction, gs float64) [2]mode {
	var out [2]mode
	if c == blocked {
		gs = 0
	}
	if m.n == 1 {
		out[0] = mode{lambda: -(gs + m.g) / m.c, q: [2]float64{1, 0}}
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
		out[0] = mode{lambda: -big / m.c, q: [2]float64{cos, sin}}
		out[1] = mode{lambda: -small / m.c, q: [2]float64{-sin, cos}}
	}
	var sine, constant [2]float64
	for j := 0; j < m.n; j++ {
		constant[j] = -m.i / m.c
	}
	switch c {
	case forward:
		sine[0] = gs * m.vp / m.c
		constant[0] -= gs * m.vd / m.c
	case crosswise:
		if m.n == 2 {
			sine[1] = -gs * m.vp / m.c
			constant[1] -= gs * m.vd / m.c
		}
	}
	for j := 0; j < m.n; j++ {
		o := &out[j]
		o.f = o.q[0]*sine[0] + o.q[1]*sine[1]
		o.k = o.q[0]*constant[0] + o.q[1]*constant[1]
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

// point is the circuit at one instant: the source, and the state with its
// first two derivatives.
type point struct {
	e, e1, e2 float64
	x, x1, x2 [2]float64
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
		for r := 0; r < m.n; r++ {
			p.x[r] += o.q[r] * z
			p.x1[r] += o.q[r] * z1
			p.x2[r] += o.q[r] * z2
		}
	}
	return p
}

// drive returns the voltage that would push current through the diode of
// x[0] (which = 0) or x[1], and its first two derivatives.
func (s *segment) drive(p *point, which int) (h, h1, h2 float64) {
	if which == 0 {
		return p.e - s.net.vd - p.x[0], p.e1 - p.x1[0], p.e2 - p.x2[0]
	}
	return -p.e - s.net.vd - p.x[1], -p.e1 - p.x1[1], -p.e2 - p.x2[1]
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
		f.diode[0] = (p.e - m.vd - p.x[0]) / m.rs
	case crosswise:
		f.diode[1] = (-p.e - m.vd - p.x[1]) / m.rs
	}
	f.source = f.diode[0] - f.diode[1]
	f.output = p.x[0] + p.x[1]
	f.slope = p.x1[0] + p.x1[1]
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
