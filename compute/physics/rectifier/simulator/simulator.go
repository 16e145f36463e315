// Package simulator is a small circuit simulator for rectifier supplies, for tests to
// judge the rest of the program by: nodal analysis of
// the whole circuit, backward Euler with a step of some microseconds, every
// diode a resistor that is small one way and large the other, found by trying.
// It knows nothing of conduction intervals, sides or overlap, and shares no
// code with what it judges. Only tests import it.
package simulator

import "math"

// Circuit is the words of the supply's circuits.
type Circuit int

// The rectifier connections.
const (
	Bridge Circuit = iota
	CentreTap
	Doubler
)

// Supply is a supply switched on with an empty bank, all values as they are in
// the circuit: what lies in the primary is seen at the secondary (for CentreTap
// at one half).
type Supply struct {
	Circuit          Circuit
	Secondary        float64                                     // rms, without load; each half of CentreTap [V]
	Frequency        float64                                     // [Hz]
	Phase            float64                                     // of the source at switch-on [rad]
	Resistor         float64                                     // step-start resistor in the primary [Ω], > 0
	Shared           float64                                     // mains and primary [Ω]
	Own              float64                                     // secondary, or each half [Ω], > 0
	Leakage          float64                                     // of the secondary, or each half [H]
	Drop             float64                                     // of one conducting path [V]
	DiodeResistance  float64                                     // of that path besides [Ω]
	Choke            float64                                     // [H]; 0: none
	Flux             func(current float64) (flux, slope float64) // of a swinging choke [Vs], [H]; nil: Choke
	ChokeResistance  float64                                     // [Ω], > 0 with a choke
	Capacitance      float64                                     // bank; each half of Doubler [F]
	SeriesResistance float64                                     // of that capacitance [Ω]
	LoadResistance   float64                                     // [Ω]
	LoadCurrent      float64                                     // [A]
}

// State is the supply at one instant.
type State struct {
	Voltage float64 // output [V]
	Current float64 // in the primary, seen at the secondary [A]
	Heat    float64 // in the step-start resistor so far [J]
	Peak    float64 // greatest Current so far [A]
}

// Run follows the supply for a time [s] in steps [s].
func Run(s Supply, time, step float64) State {
	sim, resistor, out := build(s, step)
	var last State
	for k := 1; float64(k)*step <= time*(1+1e-12); k++ {
		sim.step(math.Sqrt2 * s.Secondary * math.Sin(s.Phase+2*math.Pi*s.Frequency*float64(k)*step))
		last.Current, last.Voltage, last.Heat = resistor.i, out.v, resistor.heat
		last.Peak = math.Max(last.Peak, math.Abs(resistor.i))
	}
	return last
}

type simulator struct {
	nodes    int // 1 to nodes; 0 is ground
	parts    []*part
	inverter []*part // ideal transformers of ratio -1, with a current each
	h        float64
}

type part struct {
	kind    string // "r", "c", "l", "diode", "source", "invert", "draw"
	a, b    int
	value   float64
	drop    float64
	flux    func(i float64) (flux, slope float64) // of a choke
	on      bool
	i, v, λ float64
	heat    float64
}

func (s *simulator) add(kind string, a, b int, value float64) *part {
	p := &part{kind: kind, a: a, b: b, value: value}
	s.parts = append(s.parts, p)
	if kind == "invert" {
		s.inverter = append(s.inverter, p)
	}
	s.nodes = max(s.nodes, a, b)
	return p
}

// step goes one step on, with the given source voltage.
func (s *simulator) step(e float64) {
	n := s.nodes + len(s.inverter)
	guess := map[*part]float64{}
	for _, p := range s.parts {
		guess[p] = p.i
	}
	var x []float64
	for try := 0; try < 60; try++ {
		m := make([][]float64, n)
		for k := range m {
			m[k] = make([]float64, n+1)
		}
		put := func(row, col int, v float64) {
			if row > 0 && col > 0 {
				m[row-1][col-1] += v
			}
		}
		into := func(row int, v float64) {
			if row > 0 {
				m[row-1][n] += v
			}
		}
		conduct := func(p *part, g, i0 float64) { // current a→b = g·v + i0
			put(p.a, p.a, g)
			put(p.b, p.b, g)
			put(p.a, p.b, -g)
			put(p.b, p.a, -g)
			into(p.a, -i0)
			into(p.b, i0)
		}
		law := func(p *part) (g, i0 float64) {
			switch p.kind {
			case "r":
				return 1 / p.value, 0
			case "c":
				return p.value / s.h, -p.value / s.h * p.v
			case "l": // flux(i) - λ = h·v, linear about the guess
				flux, slope := p.value*guess[p], p.value
				if p.flux != nil {
					flux, slope = p.flux(guess[p])
				}
				return s.h / slope, guess[p] - (flux-p.λ)/slope
			case "diode":
				if p.on {
					return 1 / p.value, -p.drop / p.value
				}
				return 1e-9, 0
			case "source": // behind its resistance, plus at b
				return 1 / p.value, e / p.value
			case "draw":
				return 0, p.value
			}
			return 0, 0
		}
		for _, p := range s.parts {
			if p.kind == "invert" {
				continue
			}
			g, i0 := law(p)
			conduct(p, g, i0)
		}
		for k, p := range s.inverter { // v_b = -v_a; k flows out of b, and -k into a
			row := s.nodes + k + 1
			put(row, p.a, 1)
			put(row, p.b, 1)
			put(p.a, row, -1)
			put(p.b, row, -1)
		}
		x = eliminate(m)
		at := func(k int) float64 {
			if k == 0 {
				return 0
			}
			return x[k-1]
		}
		same := true
		for _, p := range s.parts {
			v := at(p.a) - at(p.b)
			switch p.kind {
			case "diode":
				if on := v > p.drop; on != p.on {
					p.on, same = on, false
				}
			case "l":
				g, i0 := law(p)
				i := g*v + i0
				if math.Abs(i-guess[p]) > 1e-9+1e-7*math.Abs(i) {
					same = false
				}
				guess[p] = i
			}
		}
		if !same {
			continue
		}
		for _, p := range s.parts {
			v := at(p.a) - at(p.b)
			g, i0 := law(p)
			p.i, p.v = g*v+i0, v
			if p.kind == "l" {
				p.λ += s.h * v
			}
			if p.kind == "r" {
				p.heat += s.h * p.i * p.i * p.value
			}
		}
		return
	}
	panic("the test's simulator found no state of its diodes")
}

// eliminate solves a linear system, right-hand side in the last column.
func eliminate(m [][]float64) []float64 {
	n := len(m)
	for c := range n {
		p := c
		for r := c + 1; r < n; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[p][c]) {
				p = r
			}
		}
		m[c], m[p] = m[p], m[c]
		for r := c + 1; r < n; r++ {
			if m[r][c] != 0 {
				f := m[r][c] / m[c][c]
				for k := c; k <= n; k++ {
					m[r][k] -= f * m[c][k]
				}
			}
		}
	}
	x := make([]float64, n)
	for r := n - 1; r >= 0; r-- {
		x[r] = m[r][n]
		for k := r + 1; k < n; k++ {
			x[r] -= m[r][k] * x[k]
		}
		x[r] /= m[r][r]
	}
	return x
}

// build puts the supply together; out is the load.
func build(s Supply, h float64) (sim *simulator, resistor, out *part) {
	sim = &simulator{h: h}
	const behind, end, bank = 9, 11, 12 // nodes: behind the rectifier, output, the bank behind its own resistance
	source := sim.add("source", 0, 1, 1e-3)
	resistor = sim.add("r", 1, 2, s.Resistor)
	diode := func(a, b int, share float64) { // of the path's drop and resistance
		sim.add("diode", a, b, 0.01+share*s.DiodeResistance).drop = share * s.Drop
	}
	winding := func(from, to, between int, r float64) {
		if s.Leakage == 0 {
			sim.add("r", from, to, r)
			return
		}
		sim.add("r", from, between, r)
		sim.add("l", between, to, s.Leakage)
	}
	output := behind
	if s.Choke > 0 {
		sim.add("l", behind, 10, s.Choke).flux = s.Flux
		sim.add("r", 10, end, s.ChokeResistance)
		output = end
	}
	capacitor := func(a, b, between int) {
		if s.SeriesResistance == 0 {
			sim.add("c", a, b, s.Capacitance)
			return
		}
		sim.add("r", a, between, s.SeriesResistance)
		sim.add("c", between, b, s.Capacitance)
	}
	switch s.Circuit {
	case Bridge: // the other end of the winding is node 4, ground the negative rail
		source.a = 4
		winding(2, 3, 5, s.Shared+s.Own)
		diode(3, behind, 0.5)
		diode(4, behind, 0.5)
		diode(0, 3, 0.5)
		diode(0, 4, 0.5)
		capacitor(output, 0, bank)
	case CentreTap:
		sim.add("r", 2, 3, s.Shared)
		sim.add("invert", 3, 4, 0)
		winding(3, 5, 7, s.Own)
		winding(4, 6, 8, s.Own)
		diode(5, behind, 1)
		diode(6, behind, 1)
		capacitor(output, 0, bank)
	case Doubler: // winding between the middle of the bank and the diodes
		source.a = 4
		winding(2, 3, 5, s.Shared+s.Own)
		diode(3, behind, 1)
		diode(0, 3, 1)
		capacitor(output, 4, bank)
		capacitor(4, 0, bank+1)
	}
	if s.LoadCurrent > 0 {
		sim.add("draw", output, 0, s.LoadCurrent)
	}
	out = sim.add("r", output, 0, s.LoadResistance)
	for k := 1; k <= sim.nodes; k++ { // nodes that this circuit does not use
		sim.add("r", k, 0, 1e12)
	}
	return sim, resistor, out
}

// Swinging is a choke whose inductance falls with a power of the current from a
// tenth of a rated current to that, and its flux, the integral, by hand.
func Swinging(light, loaded, rated float64) (inductance func(float64) float64, flux func(float64) (float64, float64)) {
	low := 0.1 * rated
	p := math.Log(loaded/light) / math.Log(10)
	inductance = func(i float64) float64 {
		switch {
		case i <= low:
			return light
		case i >= rated:
			return loaded
		}
		return light * math.Pow(i/low, p)
	}
	between := func(i float64) float64 { return light * low / (p + 1) * (math.Pow(i/low, p+1) - 1) }
	return inductance, func(i float64) (float64, float64) {
		switch {
		case i <= low:
			return light * i, light
		case i >= rated:
			return light*low + between(rated) + loaded*(i-rated), loaded
		}
		return light*low + between(i), inductance(i)
	}
}
