package rectifier

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// elements integrates a supply from its parts: node voltages, every diode
// string for itself, each winding with its own resistance and leakage. Each
// step is one of the backward Euler method, in which a coil and a capacitor are
// a resistance and a source; a diode is a knee and a slope when it conducts and
// a gigohm when it does not. It knows no switching states, no half periods and
// nothing of the code under test: only the circuit.
type elements struct {
	s       Supply
	h       float64
	nodes   int
	windage []winding // secondary windings
	diodes  [][2]int  // from, to
	banks   [][2]int  // positive, negative
	choke   [2]int
	output  int
	inverse map[int][][]float64 // by which diodes conduct

	t       float64
	current []float64 // of windings and choke
	plates  []float64 // of the capacitors
	on      int
	v       []float64
}

type winding struct {
	to, from int
	sign     float64
}

func newElements(s Supply, steps int) *elements {
	e := &elements{s: s, h: 1 / s.MainsFrequency / float64(steps), inverse: map[int][][]float64{}}
	// Node 0 is the negative end of the bank.
	const a, b, p = 1, 2, 3
	q := p
	e.nodes = 4
	if s.ChokeInductance > 0 {
		q = 4
		e.nodes = 5
		e.choke = [2]int{p, q}
	}
	e.output = q
	switch s.Circuit {
	case Bridge:
		e.windage = []winding{{a, b, 1}}
		e.diodes = [][2]int{{a, p}, {b, p}, {0, a}, {0, b}}
		e.banks = [][2]int{{q, 0}}
	case CentreTap:
		e.windage = []winding{{a, 0, 1}, {b, 0, -1}}
		e.diodes = [][2]int{{a, p}, {b, p}}
		e.banks = [][2]int{{q, 0}}
	case Doubler: // b is the joint of the capacitors
		e.windage = []winding{{a, b, 1}}
		e.diodes = [][2]int{{a, q}, {0, a}}
		e.banks = [][2]int{{q, b}, {b, 0}}
	default:
		panic("unknown")
	}
	e.current = make([]float64, len(e.windage)+1)
	e.plates = make([]float64, len(e.banks))
	return e
}

// path returns knee and slope of one string.
func (e *elements) path() (knee, slope float64) {
	n := 1.0
	if e.s.Circuit == Bridge {
		n = 2
	}
	return e.s.DiodeDrop / n, math.Max(e.s.DiodeResistance/n, 1e-3)
}

const blockedOhms = 1e9

// matrix returns the inverse of the nodal equations with these diodes on.
func (e *elements) matrix(on int) [][]float64 {
	if m := e.inverse[on]; m != nil {
		return m
	}
	n := e.nodes - 1
	m := make([][]float64, n)
	for r := range m {
		m[r] = make([]float64, 2*n)
		m[r][n+r] = 1
		m[r][r] = 1e-12
	}
	stamp := func(x, y int, g float64) {
		for _, c := range [...][2]int{{x, x}, {y, y}} {
			if c[0] > 0 {
				m[c[0]-1][c[1]-1] += g
			}
		}
		if x > 0 && y > 0 {
			m[x-1][y-1] -= g
			m[y-1][x-1] -= g
		}
	}
	for _, w := range e.windage {
		stamp(w.to, w.from, 1/(e.s.SourceResistance+e.s.LeakageInductance/e.h))
	}
	if e.choke[1] > 0 {
		stamp(e.choke[0], e.choke[1], 1/(e.s.ChokeResistance+e.s.ChokeInductance/e.h))
	}
	_, slope := e.path()
	for k, d := range e.diodes {
		g := 1 / blockedOhms
		if on>>k&1 == 1 {
			g = 1 / slope
		}
		stamp(d[0], d[1], g)
	}
	for _, b := range e.banks {
		stamp(b[0], b[1], 1/(e.s.CapacitorResistance+e.h/e.s.Capacitance))
	}
	if e.s.LoadResistance > 0 {
		stamp(e.output, 0, 1/e.s.LoadResistance)
	}
	for c := 0; c < n; c++ { // Gauss and Jordan
		pivot := c
		for r := c + 1; r < n; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[pivot][c]) {
				pivot = r
			}
		}
		m[c], m[pivot] = m[pivot], m[c]
		d := m[c][c]
		for k := range m[c] {
			m[c][k] /= d
		}
		for r := range m {
			if f := m[r][c]; r != c && f != 0 {
				for k := range m[r] {
					m[r][k] -= f * m[c][k]
				}
			}
		}
	}
	out := make([][]float64, n)
	for r := range out {
		out[r] = m[r][n:]
	}
	e.inverse[on] = out
	return out
}

func (e *elements) at(node int) float64 {
	if node == 0 {
		return 0
	}
	return e.v[node-1]
}

// step goes on by one step and returns the currents of the windings, of the
// diodes, of the choke and into the banks.
func (e *elements) step() (windings, diodes []float64, choke float64, banks []float64) {
	s := e.s
	e.t += e.h
	emf := s.PeakVoltage() * math.Sin(2*math.Pi*s.MainsFrequency*e.t)
	knee, slope := e.path()
	n := e.nodes - 1
	for try := 0; ; try++ {
		j := make([]float64, n+1) // into the nodes; j[0] is ground
		push := func(to, from int, i float64) { j[to] += i; j[from] -= i }
		for k, w := range e.windage {
			push(w.to, w.from, (w.sign*emf+s.LeakageInductance/e.h*e.current[k])/(s.SourceResistance+s.LeakageInductance/e.h))
		}
		if e.choke[1] > 0 {
			push(e.choke[1], e.choke[0], s.ChokeInductance/e.h*e.current[len(e.windage)]/(s.ChokeResistance+s.ChokeInductance/e.h))
		}
		for k, d := range e.diodes {
			if e.on>>k&1 == 1 {
				push(d[0], d[1], knee/slope)
			}
		}
		for k, b := range e.banks {
			push(b[0], b[1], e.plates[k]/(s.CapacitorResistance+e.h/s.Capacitance))
		}
		push(0, e.output, s.LoadCurrent)
		inverse := e.matrix(e.on)
		e.v = make([]float64, n)
		for r := range e.v {
			for c := range e.v {
				e.v[r] += inverse[r][c] * j[c+1]
			}
		}
		next := 0
		for k, d := range e.diodes {
			if e.at(d[0])-e.at(d[1]) > knee {
				next |= 1 << k
			}
		}
		if next == e.on || try == 12 {
			break
		}
		e.on = next
	}
	for k, w := range e.windage {
		i := (w.sign*emf + s.LeakageInductance/e.h*e.current[k] - (e.at(w.to) - e.at(w.from))) / (s.SourceResistance +
			s.LeakageInductance/e.h)
		e.current[k] = i
		windings = append(windings, i)
	}
	for k, d := range e.diodes {
		i := 0.0
		if e.on>>k&1 == 1 {
			i = (e.at(d[0]) - e.at(d[1]) - knee) / slope
		}
		diodes = append(diodes, i)
	}
	if e.choke[1] > 0 {
		k := len(e.windage)
		choke = (e.at(e.choke[0]) - e.at(e.choke[1]) + s.ChokeInductance/e.h*e.current[k]) / (s.ChokeResistance + s.ChokeInductance/e.h)
		e.current[k] = choke
	}
	for k, b := range e.banks {
		i := (e.at(b[0]) - e.at(b[1]) - e.plates[k]) / (s.CapacitorResistance + e.h/s.Capacitance)
		e.plates[k] += i * e.h / s.Capacitance
		banks = append(banks, i)
	}
	return windings, diodes, choke, banks
}

// measured are the figures of one period.
type measured struct{ voltage, ripple, rippleRMS, winding, source, peak, diodeMean, diodeRMS, choke, bank, lost float64 }

func (e *elements) period(steps int) (m measured) {
	low, high, square := math.Inf(1), math.Inf(-1), 0.0
	for range steps {
		w, d, choke, b := e.step()
		v := e.at(e.output)
		low, high = math.Min(low, v), math.Max(high, v)
		m.voltage += v
		square += v * v
		m.winding += w[0] * w[0]
		all := w[0]
		if len(w) > 1 {
			all -= w[1]
		}
		m.source += all * all
		m.diodeMean += d[0]
		m.diodeRMS += d[0] * d[0]
		m.choke += choke * choke
		m.bank += b[0] * b[0]
		for _, i := range w {
			m.peak = math.Max(m.peak, math.Abs(i))
		}
		knee, slope := e.path()
		for _, i := range d {
			m.lost += knee*i + slope*i*i
		}
	}
	n := float64(steps)
	m.voltage /= n
	m.ripple = high - low
	m.rippleRMS = math.Sqrt(square/n - m.voltage*m.voltage)
	for _, x := range []*float64{&m.winding, &m.source, &m.diodeRMS, &m.choke, &m.bank} {
		*x = math.Sqrt(*x / n)
	}
	m.diodeMean /= n
	m.lost /= n
	return m
}

// wordCases are the five rectifiers with all that the parts bring along: drop
// and slope of some diodes in series, the capacitors' own resistance, leakage
// of each winding or none.
func wordCases() map[string]Supply {
	out := map[string]Supply{}
	for _, k := range Kinds {
		for _, leakage := range []float64{0, 0.06} {
			s := station(k.Circuit)
			drop := 6 * float64(k.Circuit.PathLegs())
			s.DiodeDrop, s.DiodeResistance = drop, 0.3*float64(k.Circuit.PathLegs())
			s.CapacitorResistance = 4
			s.LeakageInductance = leakage
			if k.Circuit == Doubler {
				s.CapacitorResistance, s.LeakageInductance = 2, leakage/4
			}
			if k.Choke {
				s.SecondaryVoltage *= 1.4
				s.ChokeInductance, s.ChokeResistance, s.LoadCurrent = 6, 60, 0.6
			}
			out[fmt.Sprintf("%s, leakage %g H", k.Word, leakage)] = s
		}
	}
	// A choke below its critical inductance, much leakage, much resistance in
	// the capacitors: the corners.
	for _, word := range []string{"choke-input", "choke-input-centre-tap"} {
		s := out[word+", leakage 0.06 H"]
		s.ChokeInductance, s.LoadCurrent = 2, 0.05
		out[word+", below its least load"] = s
		s.LoadCurrent, s.LeakageInductance, s.ChokeInductance, s.CapacitorResistance = 0.6, 0.5, 8, 40
		out[word+", much leakage"] = s
	}
	s := out["centre-tap, leakage 0.06 H"]
	s.LeakageInductance, s.CapacitorResistance = 0.5, 40
	out["centre-tap, much leakage"] = s
	s = out["doubler, leakage 0.06 H"]
	s.CapacitorResistance, s.DiodeResistance = 20, 5
	out["doubler, much resistance"] = s
	return out
}

// Every rectifier word against the integration of its elements; the target is
// 0.5 % on every figure.
func TestEveryRectifierAgainstItsElements(t *testing.T) {
	worst, where := 0.0, ""
	for name, s := range testhelp.Some(wordCases(), 6) {
		r, err := SteadyState(s)
		require.NoError(t, err, name)
		const steps = 6000
		e := newElements(s, steps)
		// From near the end: the bank 2 % high, the choke at its mean current.
		for k := range e.plates {
			e.plates[k] = 1.02 * r.Voltage / float64(len(e.plates))
		}
		periods := 25
		if s.ChokeInductance > 0 {
			e.current[len(e.windage)] = r.LoadCurrent
			periods = 90
		}
		for range periods * steps {
			e.step()
		}
		want := e.period(steps)
		check := func(what string, want, got float64) {
			if d := math.Abs(got/want - 1); d > worst {
				worst, where = d, name+": "+what
			}
			assert.InEpsilon(t, want, got, 0.005, "%s: %s", name, what)
		}
		check("mean voltage", want.voltage, r.Voltage)
		check("ripple, peak to peak", want.ripple, r.RipplePeak)
		check("ripple, rms", want.rippleRMS, r.RippleRMS)
		check("winding, rms", want.winding, r.SecondaryCurrent)
		check("both windings, rms", want.source, r.SourceCurrent)
		check("peak", want.peak, r.SecondaryCurrentPeak)
		check("diode, mean", want.diodeMean, r.DiodeCurrentMean)
		check("diode, rms", want.diodeRMS, r.DiodeCurrentRMS)
		check("capacitor, rms", want.bank, r.CapacitorCurrent)
		check("heat of the diodes", want.lost, r.DiodeLoss)
		if s.ChokeInductance > 0 {
			check("choke, rms", want.choke, r.ChokeCurrent)
		}
	}
	t.Logf("greatest difference %.3g %% (%s)", 100*worst, where)
}
