package measured

import (
	"math"
	"math/cmplx"
	"sort"

	"anodebook/compute/format/touchstone"
	"anodebook/compute/physics/network"
)

const (
	gridPoints  = 15
	explains    = 0.10 // a cause may leave so much of the squared deviation
	trusted     = 0.03 // and so much rms deviation, about what an analyser and its leads are off by (common practice)
	apart       = 3.0  // the runner-up must leave so many times more, else both are named
	Uncertainty = 0.02 // rms deviation of reflection that an analyser may have by itself (common practice)
)

// hypothesis is a change of one part by x units.
type hypothesis struct {
	name, words, unit string
	step              float64 // of the unit, for the derivative
	change            func(x float64) change
}

// hypotheses lists what may be different in what was measured.
func (p *Part) hypotheses(in Input) []hypothesis {
	add := func(name, words, element string) hypothesis {
		return hypothesis{name, words, "F", 1e-12, func(x float64) change { return change{element: element, add: x} }}
	}
	coil := func(name, words, element string) hypothesis {
		return hypothesis{name, words, "%", 1e-3, func(x float64) change { return change{element: element, factor: x} }}
	}
	loss := func(name, words, element string) hypothesis {
		return hypothesis{name, words, "%", 1e-2, func(x float64) change { return change{element: element, loss: x} }}
	}
	switch p.Of {
	case "tank":
		plates := network.TubeCapacitance
		if p.Band.Tank.Chain.Index(plates) < 0 {
			plates = network.TuneCapacitor
		}
		list := []hypothesis{
			add("plate_capacitance", "capacitance at the plates and the tune capacitor", plates),
			coil("coil_change", "inductance of the tank coil, a tap off its place", network.TankCoil),
			add("load_capacitance", "capacitance at the load capacitor", network.LoadCapacitor),
			loss("coil_loss", "loss of the tank coil", network.TankCoil),
		}
		if p.Band.Tank.Input.PiL {
			list = append(list, coil("output_coil_change", "inductance of the output coil", network.OutputCoil))
		}
		return list
	case "input":
		return []hypothesis{
			add("cathode_capacitance", "capacitance at the cathodes", network.CathodeShunt),
			coil("coil_change", "inductance of the input coil, its slug off its place", network.InputCoil),
			add("input_capacitance", "capacitance on the exciter's side", network.InputShunt),
			loss("coil_loss", "loss of the input coil", network.InputCoil),
		}
	}
	return []hypothesis{
		{"choke_change", "inductance of the plate choke", "%", 1e-3, func(x float64) change { return change{factor: x} }},
		{"choke_capacitance", "capacitance across the plate choke", "F", 1e-13, func(x float64) change { return change{add: x} }},
		{"resonance_shift", "frequency of the resonances of the plate choke", "%", 1e-3,
			func(x float64) change { return change{shift: x} }},
	}
}

// compare fills in rows, deviation and causes.
func (p *Part) compare(in Input) {
	for _, x := range []struct {
		where string
		f     float64
	}{{"lower edge", p.Band.Low}, {"middle", p.Band.Centre}, {"upper edge", p.Band.High}} {
		if m, ok := p.data.At(x.f); ok {
			p.Rows = append(p.Rows, Row{x.where, x.f, m, p.model(x.f)})
		}
	}
	grid := make([]float64, gridPoints)
	want := make([]touchstone.Matrix, gridPoints)
	for i := range grid {
		grid[i] = p.Low + (p.High-p.Low)*float64(i)/(gridPoints-1)
		want[i], _ = p.data.At(math.Min(grid[i], p.High))
	}
	n := p.Ports * p.Ports * gridPoints
	residual := func(model func(float64) touchstone.Matrix, out []complex128) (sum float64) {
		k := 0
		for i, f := range grid {
			m := model(f)
			for a := range p.Ports {
				for b := range p.Ports {
					out[k] = want[i][a][b] - m[a][b]
					sum += real(out[k])*real(out[k]) + imag(out[k])*imag(out[k])
					k++
				}
			}
		}
		return sum
	}
	start, at, beside := make([]complex128, n), make([]complex128, n), make([]complex128, n)
	total := residual(p.model, start)
	p.Deviation = math.Sqrt(total / float64(n))
	if p.Deviation <= Uncertainty {
		return
	}
	least := math.Inf(1)
	for _, h := range p.hypotheses(in) {
		// Gauss–Newton in one unknown, the step halved until it helps.
		x, best := 0.0, total
		copy(at, start)
		for range 20 {
			residual(p.of(in, h.change(x+h.step)), beside)
			var up, down float64
			for k := range at {
				slope := (at[k] - beside[k]) / complex(h.step, 0)
				up += real(at[k])*real(slope) + imag(at[k])*imag(slope)
				down += real(slope)*real(slope) + imag(slope)*imag(slope)
			}
			if !(down > 0) {
				break
			}
			step, better := up/down, false
			if h.unit == "%" { // a part cannot shrink to nothing
				step = math.Max(step, -0.5*(1+x))
			}
			for range 12 {
				if s := residual(p.of(in, h.change(x+step)), beside); s < best {
					better = best-s > 1e-9*best
					x, best = x+step, s
					at, beside = beside, at
					break
				}
				step /= 2
			}
			if !better {
				break
			}
		}
		if finite(x) {
			p.Causes = append(p.Causes, Cause{h.name, h.words, h.unit, x, best / total})
			if best < least {
				least, p.best = best, p.of(in, h.change(x))
			}
		}
	}
	sort.SliceStable(p.Causes, func(i, k int) bool { return p.Causes[i].Left < p.Causes[k].Left })
	for i, c := range p.Causes {
		if c.Left > explains || p.Deviation*math.Sqrt(c.Left) > trusted || i > 0 && c.Left > apart*p.Causes[0].Left {
			break
		}
		p.Explained++
	}
}

func finite(x float64) bool { return !cmplx.IsNaN(complex(x, 0)) && !cmplx.IsInf(complex(x, 0)) }
