package twoport

import (
	"math"
	"math/cmplx"
)

// Drive says what is known of the source: exactly one of its constructors.
type Drive struct {
	kind  driveKind
	value complex128
}

type driveKind uint8

const (
	inputCurrent driveKind = iota
	loadVoltage
	loadPower
)

// InputCurrent is an ideal current source at the input, peak phasor [A].
func InputCurrent(i complex128) Drive { return Drive{kind: inputCurrent, value: i} }

// LoadVoltage is a known voltage at the load, peak phasor [V].
func LoadVoltage(v complex128) Drive { return Drive{kind: loadVoltage, value: v} }

// LoadPower is a known power in the load [W], ≥ 0; the load must have a
// resistive part. The load current then has phase zero.
func LoadPower(p float64) Drive { return Drive{kind: loadPower, value: complex(p, 0)} }

// ElementState is what one element sees. Phasors are peak values.
type ElementState struct {
	Voltage complex128 // across the element; of a line: at its input [V peak]
	Current complex128 // through the element; of a line: into its input [A peak]
	Output  complex128 // voltage to ground of the node after the element [V peak]
	Power   float64    // turned into heat in the element [W]
}

// Solution of a chain at one frequency. Phasors are peak values. A Solution
// may be used again for another call of Solve; its slice is kept.
type Solution struct {
	InputVoltage complex128 // [V peak]
	InputCurrent complex128 // into the chain [A peak]
	InputPower   float64    // into the chain [W]
	LoadVoltage  complex128 // [V peak]
	LoadCurrent  complex128 // [A peak]
	LoadPower    float64    // [W]

	Elements []ElementState // in the order of the chain
}

// Solve writes into s what the chain does at frequency [Hz] with the load [Ω]
// (infinite: open) and the drive. It does not allocate once s has been used
// with a chain of this length.
func (c *Chain) Solve(frequency float64, load complex128, drive Drive, s *Solution) {
	if cap(s.Elements) < len(c.Elements) {
		s.Elements = make([]ElementState, len(c.Elements))
	}
	s.Elements = s.Elements[:len(c.Elements)]
	vl, il := atLoad(load)
	v, i := c.walk(2*math.Pi*frequency, vl, il, s.Elements)
	k := drive.factor(v, i, vl, il)
	k2 := square(k)
	for n := range s.Elements {
		e := &s.Elements[n]
		e.Voltage *= k
		e.Current *= k
		e.Output *= k
		e.Power *= k2
	}
	s.InputVoltage, s.InputCurrent = v*k, i*k
	s.LoadVoltage, s.LoadCurrent = vl*k, il*k
	s.InputPower = power(s.InputVoltage, s.InputCurrent)
	s.LoadPower = power(s.LoadVoltage, s.LoadCurrent)
}

// factor is what the trial solution must be multiplied by to obey the drive.
func (d Drive) factor(v, i, vl, il complex128) complex128 {
	switch d.kind {
	case loadVoltage:
		return d.value / vl
	case loadPower:
		p := power(vl, il)
		return cmplx.Rect(math.Sqrt(real(d.value)/p), 0)
	}
	return d.value / i
}
