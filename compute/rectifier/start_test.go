package rectifier

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// simulator is a small circuit simulator, to judge Start by: nodal analysis of
// the whole circuit, backward Euler with a step of some microseconds, every
// diode a resistor that is small one way and large the other, found by trying.
// It knows nothing of conduction intervals, sides or overlap, and shares no
// code with the package.
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
					return 1 / 0.01, -p.drop / 0.01
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

// simulated builds the circuit of s for the simulator: the resistor and the
// shared part of the source resistance in the primary, all else where it is.
func simulated(s Start, flux func(float64) (float64, float64), h float64) (sim *simulator, resistor, bank *part) {
	sim = &simulator{h: h}
	p := s.Supply
	drop := p.DiodeDrop
	rectified := 9 // node behind the rectifier
	sim.add("source", 0, 1, 1e-3)
	resistor = sim.add("r", 1, 2, s.Resistor)
	diode := func(a, b int, drop float64) { sim.add("diode", a, b, 0).drop = drop }
	winding := func(from, to, between int, r float64) {
		if p.LeakageInductance == 0 {
			sim.add("r", from, to, r)
			return
		}
		sim.add("r", from, between, r)
		sim.add("l", between, to, p.LeakageInductance)
	}
	switch p.Circuit {
	case Bridge: // the other end of the winding is node 4, ground the negative rail
		sim.parts[0].a = 4
		winding(2, 3, 5, p.SourceResistance)
		diode(3, rectified, drop/2)
		diode(4, rectified, drop/2)
		diode(0, 3, drop/2)
		diode(0, 4, drop/2)
	case CentreTap:
		sim.add("r", 2, 3, s.Shared)
		sim.add("invert", 3, 4, 0)
		winding(3, 5, 7, p.SourceResistance-s.Shared)
		winding(4, 6, 8, p.SourceResistance-s.Shared)
		diode(5, rectified, drop)
		diode(6, rectified, drop)
	case Doubler: // winding between the middle of the bank and the diodes
		sim.parts[0].a = 4
		winding(2, 3, 5, p.SourceResistance)
		diode(3, rectified, drop)
		diode(0, 3, drop)
		sim.add("c", rectified, 4, p.Capacitance)
		sim.add("c", 4, 0, p.Capacitance)
	}
	out := rectified
	if p.ChokeInductance > 0 {
		sim.add("l", rectified, 10, p.ChokeInductance).flux = flux
		sim.add("r", 10, 11, p.ChokeResistance)
		out = 11
	}
	if p.Circuit != Doubler {
		sim.add("c", out, 0, p.Capacitance)
	}
	if p.LoadCurrent > 0 {
		sim.add("draw", out, 0, p.LoadCurrent)
	}
	bank = sim.add("r", out, 0, p.LoadResistance)
	for k := 1; k <= sim.nodes; k++ { // nodes that this circuit does not use
		sim.add("r", k, 0, 1e12)
	}
	return sim, resistor, bank
}

// A swinging choke whose inductance falls with a power of the current between
// two points, and its flux, the integral, by hand.
func swinging(light, loaded, rated float64) (inductance func(float64) float64, flux func(float64) (float64, float64)) {
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

// Start against the simulator: voltage when the contactor closes, heat in the
// resistor, greatest current, within 1 %.
func TestStartAgainstSimulator(t *testing.T) {
	swing, flux := swinging(36, 8, 0.7)
	bridge := Supply{Circuit: Bridge, SecondaryVoltage: 3000, SourceResistance: 80, DiodeDrop: 12, MainsFrequency: 50, Capacitance: 22e-6,
		LoadResistance: 330e3, ChokeInductance: 8, ChokeResistance: 48}
	halves := bridge
	halves.Circuit, halves.DiodeDrop = CentreTap, 6
	direct := Supply{Circuit: Bridge, SecondaryVoltage: 2200, SourceResistance: 60, DiodeDrop: 8, MainsFrequency: 60, Capacitance: 40e-6, LoadResistance: 100e3}
	with := func(s Supply, f func(*Supply)) Supply { f(&s); return s }
	leaky := func(s *Supply) { s.LeakageInductance = 0.4 }
	for name, c := range map[string]struct {
		s    Start
		flux func(float64) (float64, float64)
	}{
		"choke bridge":                      {s: Start{Supply: bridge, Resistor: 3000, Close: 0.4}},
		"choke bridge, little resistance":   {s: Start{Supply: bridge, Resistor: 300, Close: 0.25}},
		"choke bridge, leakage":             {s: Start{Supply: with(bridge, leaky), Resistor: 3000, Close: 0.4}},
		"choke bridge, drawn upon":          {s: Start{Supply: with(bridge, func(s *Supply) { s.LoadResistance = 8e3 }), Resistor: 3000, Close: 0.4}},
		"choke bridge, swinging":            {s: Start{Supply: bridge, Resistor: 4000, Close: 0.4, Inductance: swing}, flux: flux},
		"choke halves":                      {s: Start{Supply: halves, Shared: 30, Resistor: 3000, Close: 0.4}},
		"choke halves, switched on at zero": {s: Start{Supply: halves, Shared: 30, Resistor: 3000, Close: 0.4, Phase: 1e-9}},
		"choke halves, leakage":             {s: Start{Supply: with(halves, leaky), Shared: 30, Resistor: 3000, Close: 0.4}},
		"choke halves, swinging, leakage":   {s: Start{Supply: with(halves, leaky), Shared: 30, Resistor: 5800, Close: 0.5, Inductance: swing}, flux: flux},
		"bridge":                            {s: Start{Supply: direct, Resistor: 1500, Close: 0.3}},
		"bridge, leakage":                   {s: Start{Supply: with(direct, func(s *Supply) { s.LeakageInductance = 0.1 }), Resistor: 1500, Close: 0.3}},
		"centre tap":                        {s: Start{Supply: with(direct, func(s *Supply) { s.Circuit = CentreTap }), Shared: 20, Resistor: 1500, Close: 0.3}},
		"doubler":                           {s: Start{Supply: with(direct, func(s *Supply) { s.Circuit, s.SecondaryVoltage = Doubler, 1100 }), Resistor: 300, Close: 0.3}},
	} {
		t.Run(name, func(t *testing.T) {
			s := c.s
			if s.Phase == 0 {
				s.Phase = math.Pi / 2
			}
			s.Until = s.Close
			got, err := s.Run()
			require.NoError(t, err)
			const h = 10e-6
			sim, resistor, bank := simulated(s, c.flux, h)
			peak := 0.0
			for k := 1; float64(k)*h <= s.Close+1e-12; k++ {
				sim.step(math.Sqrt2 * s.Supply.SecondaryVoltage * math.Sin(s.Phase+2*math.Pi*s.Supply.MainsFrequency*float64(k)*h))
				peak = math.Max(peak, math.Abs(resistor.i))
			}
			t.Log(fmt.Sprintf("%.1f V %.2f J %.4f A; here %.1f V %.2f J %.4f A", bank.v, resistor.heat, peak, got.Voltage, got.Heat, got.PeakBefore))
			assert.InEpsilon(t, bank.v, got.Voltage, 0.01)
			assert.InEpsilon(t, resistor.heat, got.Heat, 0.01)
		})
	}
}

func BenchmarkStart(b *testing.B) {
	swing, _ := swinging(36, 8, 0.7)
	s := Supply{Circuit: CentreTap, SecondaryVoltage: 3000, SourceResistance: 80, DiodeDrop: 6, MainsFrequency: 50, Capacitance: 22e-6, LoadResistance: 330e3, ChokeInductance: 8, ChokeResistance: 48}
	start := Start{Supply: s, Shared: 30, Resistor: 5800, Close: 0.5, Until: 0.5, Phase: math.Pi / 2}
	direct := start
	direct.Supply.ChokeInductance = 0
	swings := start
	swings.Inductance = swing
	for name, s := range map[string]Start{"choke": start, "swinging choke": swings, "capacitor": direct} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := s.Run(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
