package rectifier

import "math"

// event is a linear function h = c·x + s·sin ωt + k of the state that ends a
// switching state when it rises through zero.
type event struct {
	c    vector
	s, k float64
	next int
}

func (v *event) value(m *inductive, p *instant) (h, h1 float64) {
	return v.c[0]*p.x[0] + v.c[1]*p.x[1] + v.c[2]*p.x[2] + v.s*p.e/m.vp + v.k,
		v.c[0]*p.x1[0] + v.c[1]*p.x1[1] + v.c[2]*p.x1[2] + v.s*p.e1/m.vp
}

// switching writes the list of what ends each switching state.
func (m *inductive) switching() {
	// below is the event that the source, sign·Vp·sin ωt, rises above the
	// capacitor and the drop of the diodes.
	below := func(v affine, sign float64, next int) event {
		v = v.times(-1)
		return event{v.c, sign * m.vp, v.k - m.vd, next}
	}
	unit := func(row int, sign float64) (c vector) { c[row] = sign; return c }
	idle := m.branch(off)
	m.events[off] = []event{below(idle.v[0], 1, onward), below(idle.v[1], -1, back)}
	total, r := m.ls+m.lf, m.rs+m.rf
	share := m.ls / total
	switch m.layout {
	case oneWinding:
		m.events[onward] = []event{{unit(0, -1), 0, 0, off}}
		m.events[back] = []event{{unit(0, 1), 0, 0, off}}
	case twoHalves:
		m.events[onward] = []event{{unit(0, -1), 0, 0, off}, below(m.branch(onward).output, -1, overlap)}
		m.events[back] = []event{{unit(1, -1), 0, 0, off}, below(m.branch(back).output, 1, overlap)}
		m.events[overlap] = []event{{unit(0, -1), 0, 0, back}, {unit(1, -1), 0, 0, onward}}
	case chokeBridge:
		// Voltage of the winding's terminals, e - rs·i - ls·i', changes sign.
		turn := func(state int, sign float64) event {
			a := entry(1).times(m.rs-share*r).plus(-share, m.branch(state).output)
			return event{a.c, -sign * m.vp * (1 - share), a.k - share*m.vd, overlap}
		}
		m.events[onward] = []event{turn(onward, 1), {unit(1, -1), 0, 0, off}}
		m.events[back] = []event{turn(back, -1), {unit(1, -1), 0, 0, off}}
		m.events[overlap] = []event{{vector{1, -1, 0}, 0, 0, onward}, {vector{-1, -1, 0}, 0, 0, back}}
	case chokeHalves:
		// The idle half's voltage rises above the rectifier's output,
		// e - vd - rs·i - ls·i'.
		turn := func(state, row int, sign float64) event {
			a := entry(row).times(m.rs-share*r).plus(-share, m.branch(state).output)
			return event{a.c, -sign * m.vp * (2 - share), a.k - share*m.vd, overlap}
		}
		m.events[onward] = []event{turn(onward, 0, 1), {unit(0, -1), 0, 0, off}}
		m.events[back] = []event{turn(back, 1, -1), {unit(1, -1), 0, 0, off}}
		m.events[overlap] = []event{{unit(0, -1), 0, 0, back}, {unit(1, -1), 0, 0, onward}}
	}
}

// stateOf finds which diodes carry the currents of x, and clears what is
// below notice.
func (m *inductive) stateOf(x *vector) int {
	if m.layout == chokeBridge {
		near := 1e-9*math.Abs(x[1]) + m.current
		switch {
		case x[1] <= m.current:
			x[0], x[1] = 0, 0
			return off
		case x[0] >= x[1]-near:
			x[0] = x[1]
			return onward
		case x[0] <= near-x[1]:
			x[0] = -x[1]
			return back
		}
		return overlap
	}
	if m.layout == oneWinding {
		switch {
		case x[0] > m.current:
			return onward
		case x[0] < -m.current:
			return back
		}
		x[0] = 0
		return off
	}
	state := off
	for r, s := range [...]int{onward, back} {
		if x[r] > m.current {
			state += s
		} else {
			x[r] = 0
		}
	}
	return state // onward + back = overlap
}

// route is the run of stretches through (part of) one half of a mains period.
type route struct {
	stretches [16]stretch
	ended     [16]*event // what ended each; nil: the half period
	n         int
}

// run follows the circuit from state x at ta to tb, both within one half.
func (m *inductive) run(x vector, state int, ta, tb float64, p *route) (vector, int) {
	p.n = 0
	t := ta
	for p.n < len(p.stretches) {
		s := m.begin(state, t, x)
		var v *event
		s.t1 = tb
		if p.n < len(p.stretches)-1 {
			if state == off {
				s.t1, v = s.turnOn(tb)
			} else {
				s.t1, v = s.switchOver(tb)
			}
		}
		p.stretches[p.n], p.ended[p.n] = s, v
		p.n++
		q := s.at(s.t1)
		x = q.x
		if v == nil {
			break
		}
		t, state = s.t1, v.next
		if v.next == off { // the current is zero now, whatever rounding says
			x[0] = 0
			if m.layout != oneWinding {
				x[1] = 0
			}
			for k := range m.events[off] { // straight over to the other side
				if w := &m.events[off][k]; w.next != s.state {
					if h, _ := w.value(m, &instant{e: q.e, x: x}); h > m.voltage {
						state = w.next
					}
				}
			}
		}
	}
	return x, state
}

// turnOn returns when a blocked circuit begins to conduct. While blocked the
// output sags along a convex curve and the half sine is concave, so that
// their difference has one maximum.
func (s *stretch) turnOn(tb float64) (float64, *event) {
	m := s.m
	found, at := (*event)(nil), tb
	for k := range m.events[off] {
		v := &m.events[off][k]
		value := func(t float64) (float64, float64) {
			p := s.at(t)
			return v.value(m, &p)
		}
		slope := func(t float64) (float64, float64) {
			p := s.at(t)
			_, h1 := v.value(m, &p)
			x2 := s.second(&p)
			return h1, v.c[0]*x2[0] + v.c[1]*x2[1] + v.c[2]*x2[2] - v.s*m.w*m.w*p.e/m.vp
		}
		from, to := s.t0, tb
		if h, h1 := value(from); h > m.voltage || h >= 0 && h1 > 0 {
			return from, v
		}
		top := to
		if v.s > 0 { // this half's own side
			if d, _ := slope(from); d <= 0 {
				continue
			}
			if d, _ := slope(to); d < 0 {
				top = bracketedRoot(slope, from, to, 1e-12*m.half)
			}
		}
		if h, _ := value(top); h <= m.voltage {
			continue
		}
		if t := bracketedRoot(value, from, top, 1e-17*m.half); t < at {
			found, at = v, t
		}
	}
	return at, found
}

// gridSteps is how often a half period is looked at for the end of a
// switching state; what ends one lasts far longer than a step. Where leakage
// and capacitor ring against each other, each turn of the ring is looked at
// ringSteps times, since the current may touch zero in any of them.
const (
	gridSteps = 24
	ringSteps = 12
	mostSteps = 1000
)

// switchOver returns the first instant at which one of the state's events
// rises through zero.
func (s *stretch) switchOver(tb float64) (float64, *event) {
	m := s.m
	list := m.events[s.state]
	n := int(math.Ceil(math.Min((tb-s.t0)*math.Max(gridSteps/m.half, ringSteps*s.l.ring/(2*math.Pi)), mostSteps))) + 1
	before := s.t0
	for k := 1; k <= n; k++ {
		t := s.t0 + (tb-s.t0)*float64(k)/float64(n)
		p := s.at(t)
		at, found := t, (*event)(nil)
		for j := range list {
			v := &list[j]
			if h, _ := v.value(m, &p); h <= 0 {
				continue
			}
			value := func(t float64) (float64, float64) {
				p := s.at(t)
				return v.value(m, &p)
			}
			lo, live := before, true
			if before == s.t0 {
				// Just switched: the function starts at or near zero and dips
				// before it rises.
				lo, live = t, false
				for range 45 {
					lo = s.t0 + (lo-s.t0)/2
					if h, _ := value(lo); h < 0 {
						live = true
						break
					}
				}
			}
			root := s.t0
			if live {
				root = bracketedRoot(value, lo, t, 1e-17*m.half)
			}
			if found == nil || root < at {
				at, found = root, v
			}
		}
		if found != nil {
			return at, found
		}
		before = t
	}
	return tb, nil
}

// sensitivity returns d x(end) / d x(start) along the route, the shift of the
// switching instants included.
func (p *route) sensitivity() matrix {
	j := p.stretches[0].transition()
	for k := 1; k < p.n; k++ {
		last, next := &p.stretches[k-1], &p.stretches[k]
		v := p.ended[k-1]
		a, b := last.at(last.t1), next.at(next.t0)
		if _, h1 := v.value(last.m, &a); h1 != 0 {
			var jump matrix
			for r := range jump {
				jump[r][r] = 1
				for c := range jump[r] {
					jump[r][c] += (b.x1[r] - a.x1[r]) * v.c[c] / h1
				}
			}
			j = jump.after(&j)
		}
		t := next.transition()
		j = t.after(&j)
	}
	return j
}
