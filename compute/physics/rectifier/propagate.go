package rectifier

// path is the run of segments through (part of) one half of a mains period.
type path struct {
	segments [8]segment
	peaks    [8]float64 // instant of the largest diode current, forward segments
	n        int
}

// run follows the circuit from state x at ta to tb, both within one half,
// and records the segments. It returns the state at tb.
func (m *network) run(x [2]float64, ta, tb float64, p *path) [2]float64 {
	p.n = 0
	t := ta
	state := m.stateAt(t, x)
	for p.n < len(p.segments) {
		s := m.begin(state, t, x)
		var next conduction
		peak := t
		s.t1 = tb
		switch state {
		case blocked:
			s.t1, next = s.nextTurnOn(tb)
		case forward:
			s.t1, peak = s.turnOff(tb)
		case crosswise:
			s.t1 = s.crosswiseTurnOff(tb)
		}
		if p.n == len(p.segments)-1 {
			s.t1 = tb
		}
		p.segments[p.n], p.peaks[p.n] = s, peak
		p.n++
		end := s.at(s.t1)
		x = end.x
		if s.t1 >= tb {
			break
		}
		t, state = s.t1, next
	}
	return x
}

// stateAt finds which diode conducts just after t.
func (m *network) stateAt(t float64, x [2]float64) conduction {
	s := m.begin(blocked, t, x)
	p := s.at(t)
	h, h1, _ := s.drive(&p, 0)
	if h > m.negligible || (h > -m.negligible && h1 > 0 && h >= 0) {
		return forward
	}
	if m.n == 2 {
		if h, _, _ = s.drive(&p, 1); h > m.negligible {
			return crosswise
		}
	}
	return blocked
}

// value is the drive of the diode of x[0] at t, and how fast it grows.
func (s *segment) value(t float64) (h, h1 float64) {
	p := s.at(t)
	h, h1, _ = s.drive(&p, 0)
	return h, h1
}

// cross is value of the diode of x[1].
func (s *segment) cross(t float64) (h, h1 float64) {
	p := s.at(t)
	h, h1, _ = s.drive(&p, 1)
	return h, h1
}

// slope is how fast the drive of the diode of x[0] grows, and how fast its growth does.
func (s *segment) slope(t float64) (h1, h2 float64) {
	p := s.at(t)
	_, h1, h2 = s.drive(&p, 0)
	return h1, h2
}

// nextTurnOn returns when a blocked circuit begins to conduct, or tb. While
// blocked the output sags along a convex curve and the half sine is concave,
// so their difference has one maximum.
func (s *segment) nextTurnOn(tb float64) (float64, conduction) {
	m := s.net
	quarter := m.half / 2
	if d, _ := s.slope(s.t0); d > 0 {
		top := tb
		if quarter > s.t0 && quarter < tb {
			top = quarter
		}
		if h, d := s.value(top); h <= m.negligible && top < tb && d > 0 {
			top = tb
		}
		if d, _ := s.slope(top); d < 0 && top > quarter {
			top = bracketedRoot(s.slope, s.t0, top, 1e-12*m.half)
		}
		if h, _ := s.value(top); h > m.negligible {
			start, _ := s.value(s.t0)
			if start >= 0 {
				return s.t0, forward
			}
			return bracketedRoot(s.value, s.t0, top, 1e-17*m.half), forward
		}
	}
	if m.n == 2 && tb > quarter {
		from := max(s.t0, quarter)
		h0, _ := s.cross(from)
		if h, _ := s.cross(tb); h > m.negligible && h0 < 0 {
			return bracketedRoot(s.cross, from, tb, 1e-17*m.half), crosswise
		}
	}
	return tb, blocked
}

// turnOff returns when the conducting diode of x[0] stops, or tb, and the
// instant of its largest current.
func (s *segment) turnOff(tb float64) (off, peak float64) {
	m := s.net
	// Where the current rises: at once, except after a switched resistance.
	rise := s.t0
	if d, _ := s.slope(rise); d <= 0 {
		rise = tb
		for k := 1; k < 16; k++ {
			t := s.t0 + (tb-s.t0)*float64(k)/16
			if d, _ := s.slope(t); d > 0 {
				rise = t
				break
			}
		}
	}
	peak = s.t0
	if rise < tb {
		crest := tb
		if d, _ := s.slope(tb); d < 0 {
			crest = bracketedRoot(s.slope, rise, tb, 1e-12*m.half)
		}
		h0, _ := s.value(s.t0)
		if h, _ := s.value(crest); h > h0 {
			peak = crest
		}
	}
	if h, _ := s.value(tb); h >= 0 {
		return tb, peak
	}
	if h, _ := s.value(peak); h <= 0 {
		return peak, peak
	}
	return bracketedRoot(s.value, peak, tb, 1e-17*m.half), peak
}

// crosswiseTurnOff returns when the diode of x[1] stops, or tb: it conducts
// across the zero of the source, when its capacitor is below zero.
func (s *segment) crosswiseTurnOff(tb float64) float64 {
	quarter := s.net.half / 2
	if s.t0 >= quarter {
		return tb
	}
	end := min(tb, quarter)
	if h, _ := s.cross(end); h >= 0 {
		return tb
	}
	return bracketedRoot(s.cross, s.t0, end, 1e-17*s.net.half)
}
