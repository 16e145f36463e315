package network

import (
	"fmt"
	"math"
	"math/cmplx"

	"anodebook/compute/physics/twoport"
	"anodebook/spec/quantity"
)

// Names of the elements in an input network's chain, from the exciter on.
const (
	InputShunt         = "input capacitor"
	InputCoil          = "input coil"
	CathodeShunt       = "cathode capacitor"
	CathodeCable       = "cable to the sockets"
	CathodeCapacitance = "cathode capacitance"
)

// InputPiInput is what must be known to design the pi between the exciter and
// the cathodes. Loaded Q is R/X_C on the side with the higher resistance, all
// of that side's capacitance counted.
type InputPiInput struct {
	Frequency float64 // [Hz], > 0
	LoadedQ   float64 // on the side of the higher resistance, > 0; 1 to 3 is usual (common practice)

	SourceResistance   float64 // [Ω]; 0 = 50 Ω
	CathodeResistance  float64 // parallel resistance at the cathodes, all tubes together [Ω], > 0
	CathodeCapacitance float64 // parallel capacitance there [F], ≥ 0
	CoilQ              float64 // unloaded Q of the coil; 0 = lossless

	CableImpedance float64 // of a cable between network and sockets [Ω]; 0 = none
	CableDelay     float64 // its length / speed of the wave [s]
	CableLoss      float64 // its matched loss [dB]
}

// InputPi is a designed input network.
type InputPi struct {
	Input InputPiInput // as given, with defaults filled in

	LoadedQ      float64 // that results
	Held         bool    // the cathode capacitance alone exceeds what LoadedQ asks for, so that Q rose
	ShuntIn      float64 // capacitance at the exciter's side [F]
	Inductance   float64 // [H]
	ShuntOut     float64 // capacitance at the cathodes' side, on top of CathodeCapacitance [F]
	Chain        twoport.Chain
	InputSWR     float64 // at the design frequency, with the values above
	Transmission float64 // power at the cathodes / power into the network, 0 to 1
}

// DesignInputPi finds the three parts that make the exciter see its own
// resistance at the design frequency. Exact and in closed form. Errors: a
// value out of range, *NoMatchError.
func DesignInputPi(in InputPiInput) (*InputPi, error) {
	if in.SourceResistance == 0 {
		in.SourceResistance = 50
	}
	for _, v := range []float64{in.Frequency, in.LoadedQ, in.SourceResistance, in.CathodeResistance} {
		if !(v > 0) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("input network: a frequency, loaded Q or resistance of %s is out of range", quantity.Short(v, 6))
		}
	}
	for _, v := range []float64{in.CathodeCapacitance, in.CoilQ, in.CableImpedance, in.CableDelay, in.CableLoss} {
		if !(v >= 0) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("input network: a capacitance, coil Q or cable figure of %s is out of range", quantity.Short(v, 6))
		}
	}
	omega := 2 * math.Pi * in.Frequency
	tail := twoport.Chain{Elements: in.tail(nil)}
	y := 1 / tail.InputImpedance(in.Frequency, complex(in.CathodeResistance, 0))
	n := &InputPi{Input: in, LoadedQ: in.LoadedQ}
	works := func(q float64) bool { return n.solve(omega, q, y) }
	if !works(in.LoadedQ) {
		return nil, noMatch(in.LoadedQ, works)
	}
	n.build()
	return n, nil
}

// solve fills in the three values for one loaded Q.
func (n *InputPi) solve(omega, q float64, y complex128) bool {
	in := &n.Input
	loss := 0.0
	if in.CoilQ > 0 {
		loss = 1 / in.CoilQ
	}
	rs, rl := in.SourceResistance, 1/real(y)
	n.LoadedQ, n.Held = q, false
	if rl < rs {
		var ok bool
		n.ShuntIn = q / (omega * rs)
		n.Inductance, n.ShuntOut, ok = shuntAndSeries(omega, 1/complex(1/rs, -q/rs), y, in.CoilQ, 0)
		return ok
	}
	n.ShuntOut = (q*real(y) - imag(y)) / omega
	if n.ShuntOut < 0 {
		n.ShuntOut, n.LoadedQ, n.Held = 0, imag(y)*rl, true
	}
	z := 1 / complex(1/rl, n.LoadedQ/rl)
	// With X the coil's reactance Z = z + X/Q_u + jX, and Re(1/Z) = 1/R_s.
	r, xz := real(z), imag(z)
	x, _, ok := quadratic(1+loss*loss, 2*r*loss+2*xz-rs*loss, r*r+xz*xz-rs*r)
	b := -imag(1 / complex(r+x*loss, xz+x))
	n.Inductance, n.ShuntIn = x/omega, b/omega
	return ok && x > 0 && b >= 0
}

func (in *InputPiInput) tail(list []twoport.Element) []twoport.Element {
	if in.CableImpedance > 0 {
		list = append(list, twoport.Element{Name: CathodeCable, Placement: twoport.Line,
			LineImpedance: in.CableImpedance, LineDelay: in.CableDelay, LineLoss: in.CableLoss})
	}
	return append(list, twoport.ShuntCapacitor(CathodeCapacitance, in.CathodeCapacitance, 0))
}

// build makes the chain from the values and works out what follows from it.
func (n *InputPi) build() {
	list := make([]twoport.Element, 0, 5)
	list = append(list,
		twoport.ShuntCapacitor(InputShunt, n.ShuntIn, 0),
		twoport.SeriesInductor(InputCoil, n.Inductance, n.Input.CoilQ),
		twoport.ShuntCapacitor(CathodeShunt, n.ShuntOut, 0))
	n.Chain = twoport.Chain{Elements: n.Input.tail(list)}
	f, load := n.Input.Frequency, complex(n.Input.CathodeResistance, 0)
	z := n.Chain.InputImpedance(f, load)
	n.InputSWR = SWR(z, n.Input.SourceResistance)
	transfer := cmplx.Abs(n.Chain.TransferImpedance(f, load))
	n.Transmission = transfer * transfer / n.Input.CathodeResistance / real(z)
}

// SWR at the exciter's side at frequency [Hz], with the network as it stands
// and the cathodes at resistance [Ω] (it moves with the drive level).
func (n *InputPi) SWR(frequency, resistance float64) float64 {
	return SWR(n.Chain.InputImpedance(frequency, complex(resistance, 0)), n.Input.SourceResistance)
}

// Stress gives what each element carries with drive power [W] into the
// network, in the order of the chain.
func (n *InputPi) Stress(power float64) []Stress {
	var s twoport.Solution
	n.Chain.Solve(n.Input.Frequency, complex(n.Input.CathodeResistance, 0), twoport.LoadPower(power*n.Transmission), &s)
	list := make([]Stress, len(s.Elements))
	for i, e := range s.Elements {
		list[i].Name = n.Chain.Elements[i].Name
		list[i].raise(e)
	}
	return list
}

// With is the same network with other capacitances [F] and the slug of the
// coil turned to the least SWR at the design frequency.
func (n *InputPi) With(shuntIn, shuntOut float64) *InputPi {
	m := *n
	m.ShuntIn, m.ShuntOut = shuntIn, shuntOut
	m.Inductance = m.bestCoil(n.Input.Frequency)
	m.build()
	return &m
}

// bestCoil is the inductance [H] with the least SWR at frequency [Hz], all
// else as it stands: golden section over what the design value spans.
func (n *InputPi) bestCoil(frequency float64) float64 {
	m := *n
	m.build()
	coil := &m.Chain.Elements[1]
	mismatch := func(l float64) float64 {
		coil.Inductance = l
		return cmplx.Abs(Reflection(m.Chain.InputImpedance(frequency, complex(m.Input.CathodeResistance, 0)), m.Input.SourceResistance))
	}
	const golden = 0.6180339887498949
	low, high := n.Inductance/4, n.Inductance*4
	a, b := high-golden*(high-low), low+golden*(high-low)
	fa, fb := mismatch(a), mismatch(b)
	for high-low > 1e-9*high {
		if fa < fb {
			high, b, fb = b, a, fa
			a = high - golden*(high-low)
			fa = mismatch(a)
		} else {
			low, a, fa = a, b, fb
			b = low + golden*(high-low)
			fb = mismatch(b)
		}
	}
	return (low + high) / 2
}
