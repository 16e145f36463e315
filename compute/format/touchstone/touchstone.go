// Package touchstone reads and writes Touchstone files, versions 1.1 and 2.0:
// the open text format of network analysers for the parameters of a network
// over frequency. It handles text only, never files.
//
// It assumes networks of one or two ports, real and positive reference
// resistances, and frequencies that ascend. In memory Z, Y, H and G parameters
// are always in ohms, siemens and ratios; that version 1 files hold them
// normalised to the reference is dealt with in reading and writing. Noise
// data, reference impedances that are complex, mixed modes and more than two
// ports are not for this package: the first is skipped, the rest is refused.
//
// The format follows the IBIS Open Forum's "Touchstone File Format
// Specification", version 2.0 (2009), rules and examples from memory.
package touchstone

import (
	"fmt"
	"math"
	"math/cmplx"
	"sort"

	"anodebook/spec/quantity"
)

// Limits on what is read.
const (
	MaxSize   = 4 << 20 // of a file [bytes]
	MaxPoints = 100_000 // frequencies in a file
	MaxValue  = 1e12    // magnitude of a parameter, as in the file
	MaxHertz  = 1e15    // greatest frequency [Hz]
	MaxOhms   = 1e9     // greatest reference resistance [Ω]; the least is 1/MaxOhms

	maxProblems = 20 // reported of one file
)

// Kind is the kind of network parameters.
type Kind byte

// The kinds. H and G are of two-ports only.
const (
	Scattering Kind = 'S'
	Impedance  Kind = 'Z' // [Ω]
	Admittance Kind = 'Y' // [S]
	Hybrid     Kind = 'H' // h11 [Ω], h12 and h21 ratios, h22 [S]
	Inverse    Kind = 'G' // g11 [S], g12 and g21 ratios, g22 [Ω]
)

// Matrix holds the parameters at one frequency, [row][column]; a one-port uses
// [0][0] alone.
type Matrix [2][2]complex128

// Point is the network at one frequency.
type Point struct {
	Frequency float64 // [Hz], ≥ 0
	Matrix    Matrix
}

// Data is a network over frequency.
type Data struct {
	Ports     int        // 1 or 2
	Kind      Kind       // of the matrices
	Reference [2]float64 // resistance of each port [Ω], > 0; what S refers to
	Points    []Point    // frequencies strictly ascending
}

// Problem is one thing wrong with a file.
type Problem struct {
	File         string
	Line, Column int // from 1
	What         string
	Hint         string // what to write instead; may be empty
}

// Error writes the problem without its hint.
func (p Problem) Error() string { return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, p.What) }

// Problems is what is wrong with a file, in its order; no more than the first
// twenty.
type Problems []Problem

// Error joins the problems, one to a line.
func (ps Problems) Error() string {
	s := ""
	for i, p := range ps {
		if i > 0 {
			s += "\n"
		}
		s += p.Error()
	}
	return s
}

// Span is the lowest and highest frequency [Hz].
func (d *Data) Span() (low, high float64) {
	return d.Points[0].Frequency, d.Points[len(d.Points)-1].Frequency
}

// At is the network at frequency [Hz]: real and imaginary parts linear between
// the neighbouring points. ok is false outside the span of the data: nothing
// is extrapolated.
func (d *Data) At(frequency float64) (m Matrix, ok bool) {
	n := len(d.Points)
	i := sort.Search(n, func(i int) bool { return d.Points[i].Frequency >= frequency })
	if i == n || math.IsNaN(frequency) {
		return m, false
	}
	b := &d.Points[i]
	if b.Frequency == frequency {
		return b.Matrix, true
	}
	if i == 0 {
		return m, false
	}
	a := &d.Points[i-1]
	t := complex((frequency-a.Frequency)/(b.Frequency-a.Frequency), 0)
	for r := range m {
		for c := range m[r] {
			m[r][c] = a.Matrix[r][c] + t*(b.Matrix[r][c]-a.Matrix[r][c])
		}
	}
	return m, true
}

// check says what keeps the data from being written or converted.
func (d *Data) check() error {
	if d.Ports != 1 && d.Ports != 2 {
		return fmt.Errorf("touchstone: %d ports; one or two are possible", d.Ports)
	}
	switch d.Kind {
	case Scattering, Impedance, Admittance:
	case Hybrid, Inverse:
		if d.Ports == 1 {
			return fmt.Errorf("touchstone: %c parameters are of two-ports only", d.Kind)
		}
	default:
		return fmt.Errorf("touchstone: unknown kind of parameters %q", rune(d.Kind))
	}
	for _, r := range d.Reference[:d.Ports] {
		if !(r >= 1/MaxOhms && r <= MaxOhms) {
			return fmt.Errorf("touchstone: a reference resistance of %s Ω", quantity.Short(r, 6))
		}
	}
	last := -1.0
	for i := range d.Points {
		p := &d.Points[i]
		if !(p.Frequency > last && p.Frequency <= MaxHertz) {
			return fmt.Errorf("touchstone: the frequencies do not ascend at %s Hz", quantity.Short(p.Frequency, 6))
		}
		last = p.Frequency
		for r := range d.Ports {
			for c := range d.Ports {
				if v := p.Matrix[r][c]; cmplx.IsNaN(v) || cmplx.IsInf(v) {
					return fmt.Errorf("touchstone: a parameter at %s Hz is not finite", quantity.Short(p.Frequency, 6))
				}
			}
		}
	}
	return nil
}
