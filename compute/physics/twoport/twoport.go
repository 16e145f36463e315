// Package twoport solves a ladder of lossy elements between a source and a
// load at one frequency: impedances, transfer, and the voltage, current and
// power of every element.
//
// It assumes sinusoidal steady state and linear elements. Phasors are peak
// values (not rms) with the time factor exp(+jωt), so the power of a phasor
// pair is ½·Re(V·I*). The order of a chain is from the source to the load.
package twoport

import (
	"math"
	"math/cmplx"
)

// Placement says how an element stands in the chain.
type Placement uint8

// The placements of an element.
const (
	Shunt  Placement = iota // from the node to ground
	Series                  // in the line
	Line                    // a length of transmission line
)

// Element is one branch of the chain. Its series arm is Resistance +
// Inductance (with Q) + Capacitance (with LossTangent), each left out when 0;
// across the arm lie ParallelCapacitance and ParallelResistance, each left out
// when 0. A shunt element without an arm is only what lies across; a series
// element without an arm is a wire. An exact lossless resonance of the arm in
// shunt, or of arm and parallel capacitance in series, gives infinities.
type Element struct {
	Name      string
	Placement Placement

	Resistance  float64 // of the arm: resistor, or capacitor's series resistance [Ω], ≥ 0
	Inductance  float64 // of the arm [H], ≥ 0; 0 = none
	Q           float64 // of the inductance, the same at every frequency; 0 = lossless
	Capacitance float64 // of the arm [F], ≥ 0; 0 = none
	LossTangent float64 // of the capacitance, tan δ, ≥ 0

	ParallelCapacitance float64 // across the arm, for example a coil's self-capacitance [F], ≥ 0
	ParallelResistance  float64 // across the arm, for example a suppressor's resistor [Ω]; 0 = none

	LineImpedance float64 // Line: characteristic impedance [Ω], > 0
	LineDelay     float64 // Line: length divided by the speed of the wave [s], ≥ 0
	LineLoss      float64 // Line: matched loss [dB], the same at every frequency, ≥ 0
}

// ShuntCapacitor is a capacitor to ground, value in [F], with its tan δ.
func ShuntCapacitor(name string, c, lossTangent float64) Element {
	return Element{Name: name, Placement: Shunt, Capacitance: c, LossTangent: lossTangent}
}

// SeriesCapacitor is a capacitor in the line, value in [F], with its tan δ.
func SeriesCapacitor(name string, c, lossTangent float64) Element {
	return Element{Name: name, Placement: Series, Capacitance: c, LossTangent: lossTangent}
}

// ShuntInductor is a coil to ground, value in [H]; q = 0 is lossless.
func ShuntInductor(name string, l, q float64) Element {
	return Element{Name: name, Placement: Shunt, Inductance: l, Q: q}
}

// SeriesInductor is a coil in the line, value in [H]; q = 0 is lossless.
func SeriesInductor(name string, l, q float64) Element {
	return Element{Name: name, Placement: Series, Inductance: l, Q: q}
}

// arm gives the impedance of the series arm [Ω] and whether there is one.
func (e *Element) arm(omega float64) (complex128, bool) {
	r, x := e.Resistance, 0.0
	present := r != 0
	if e.Inductance != 0 {
		present = true
		x = omega * e.Inductance
		if e.Q != 0 {
			r += x / e.Q
		}
	}
	if e.Capacitance != 0 {
		present = true
		b := omega * e.Capacitance
		d := e.LossTangent
		m := 1 / (b * (1 + d*d)) // 1/(b(d + j)) = (d − j)/(b(1 + d²))
		r += d * m
		x -= m
	}
	return complex(r, x), present
}

// Admittance of a shunt or series element by itself [S] at omega [rad/s].
// Infinite for a series element without an arm (a wire).
func (e *Element) Admittance(omega float64) complex128 {
	across := complex(0, omega*e.ParallelCapacitance)
	if e.ParallelResistance != 0 {
		across += complex(1/e.ParallelResistance, 0)
	}
	z, present := e.arm(omega)
	if !present {
		if e.Placement == Series {
			return cmplx.Inf()
		}
		return across
	}
	return inverse(z) + across
}

// Impedance of a shunt or series element by itself [Ω] at omega [rad/s].
// Infinite for a shunt element that is not there.
func (e *Element) Impedance(omega float64) complex128 {
	z, present := e.arm(omega)
	if e.ParallelCapacitance == 0 && e.ParallelResistance == 0 {
		if present || e.Placement == Series {
			return z
		}
		return cmplx.Inf()
	}
	if !present && e.Placement == Series {
		return 0
	}
	return inverse(e.Admittance(omega))
}

// inverse is 1/z without the run-time call of a complex division.
func inverse(z complex128) complex128 {
	r, x := real(z), imag(z)
	m := 1 / (r*r + x*x)
	return complex(r*m, -x*m)
}

// line gives the hyperbolic cosine and sine of a line's γl, and its impedance.
func (e *Element) line(omega float64) (ch, sh, z0 complex128) {
	const nepersPerDecibel = math.Ln10 / 20
	g := complex(e.LineLoss*nepersPerDecibel, omega*e.LineDelay)
	return cmplx.Cosh(g), cmplx.Sinh(g), complex(e.LineImpedance, 0)
}

// Matrix is a chain (ABCD) matrix: V1 = A·V2 + B·I2, I1 = C·V2 + D·I2, with
// I2 flowing out of the output. A and D are ratios, B is in [Ω], C in [S].
type Matrix struct{ A, B, C, D complex128 }

// Matrix of the element at omega [rad/s].
func (e *Element) Matrix(omega float64) Matrix {
	switch e.Placement {
	case Line:
		ch, sh, z0 := e.line(omega)
		return Matrix{ch, z0 * sh, sh / z0, ch}
	case Series:
		return Matrix{1, e.Impedance(omega), 0, 1}
	}
	return Matrix{1, 0, e.Admittance(omega), 1}
}

// Times is the matrix of m followed by n.
func (m Matrix) Times(n Matrix) Matrix {
	return Matrix{
		m.A*n.A + m.B*n.C, m.A*n.B + m.B*n.D,
		m.C*n.A + m.D*n.C, m.C*n.B + m.D*n.D,
	}
}

// Chain is a ladder of elements from the source to the load.
type Chain struct{ Elements []Element }

// Index of the element with the name, −1 if there is none.
func (c *Chain) Index(name string) int {
	for i := range c.Elements {
		if c.Elements[i].Name == name {
			return i
		}
	}
	return -1
}

// Matrix of the whole chain at frequency [Hz].
func (c *Chain) Matrix(frequency float64) Matrix {
	omega := 2 * math.Pi * frequency
	m := Matrix{1, 0, 0, 1}
	for i := range c.Elements {
		m = m.Times(c.Elements[i].Matrix(omega))
	}
	return m
}

// walk carries the voltage and current at the load back to the input and, if
// states is not nil, writes down those of each element.
func (c *Chain) walk(omega float64, v, i complex128, states []ElementState) (complex128, complex128) {
	for n := len(c.Elements) - 1; n >= 0; n-- {
		e := &c.Elements[n]
		var s ElementState
		s.Output = v
		switch e.Placement {
		case Shunt:
			y := e.Admittance(omega)
			s.Voltage, s.Current = v, v*y
			s.Power = square(v) * real(y) / 2
			i += s.Current
		case Series:
			z := e.Impedance(omega)
			s.Voltage, s.Current = i*z, i
			s.Power = square(i) * real(z) / 2
			v += s.Voltage
		case Line:
			ch, sh, z0 := e.line(omega)
			out := power(v, i)
			v, i = v*ch+i*z0*sh, v*sh/z0+i*ch
			s.Voltage, s.Current = v, i
			s.Power = power(v, i) - out
		}
		if states != nil {
			states[n] = s
		}
	}
	return v, i
}

// atLoad gives a voltage and current that obey the load, of no set size.
func atLoad(load complex128) (v, i complex128) {
	if cmplx.IsInf(load) {
		return 1, 0
	}
	return load, 1
}

// InputImpedance at frequency [Hz] with the load [Ω] (infinite: open) [Ω].
func (c *Chain) InputImpedance(frequency float64, load complex128) complex128 {
	v, i := atLoad(load)
	v, i = c.walk(2*math.Pi*frequency, v, i, nil)
	return v / i
}

// TransferImpedance is the load voltage divided by the current that a current
// source drives into the input, at frequency [Hz] with the load [Ω] [Ω].
func (c *Chain) TransferImpedance(frequency float64, load complex128) complex128 {
	out, i := atLoad(load)
	_, i = c.walk(2*math.Pi*frequency, out, i, nil)
	return out / i
}

func square(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }

func power(v, i complex128) float64 {
	return (real(v)*real(i) + imag(v)*imag(i)) / 2
}
