// Package measured lays networks that were measured with an analyser over the
// computed ones: how far they differ over the band, and whether one change of
// one part, such as a stray capacitance, explains the difference.
//
// It assumes that the variable parts stood at their computed settings, that a
// one-port was measured with a resistor at the network's other end, and that
// the analyser was calibrated at the port. Everything is compared as
// scattering parameters, which are bounded, referred to the resistance that
// each port shall see.
package measured

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"sort"

	"anodebook/compute/desk"
	"anodebook/compute/format/touchstone"
	"anodebook/compute/physics/network"
	"anodebook/compute/physics/twoport"
	"anodebook/spec"
)

// Band is one band with its networks.
type Band struct {
	Name              string
	Low, High, Centre float64 // [Hz]
	Tank              *network.Tank
	Input             *network.InputPi
}

// Input is what the measurements are held against.
type Input struct {
	Bands             []Band
	PlateLoad         float64 // all tubes [Ω]
	CathodeResistance float64 // at full drive, all tubes [Ω]
	// ChokeImpedance of the plate choke from the plates at frequency [Hz] [Ω].
	ChokeImpedance func(frequency float64) complex128
}

// Row is one frequency of the table.
type Row struct {
	Where              string // "lower edge", "middle", "upper edge"
	Frequency          float64
	Measured, Computed touchstone.Matrix // S, of Part.Reference
}

// Cause is a change of one part and how much of the deviation it leaves.
type Cause struct {
	Name  string  // "capacitance_at_the_plates" …, as in the ID of the fitted change
	Words string  // what changed, "stray capacitance at the plates"
	Unit  string  // of Change: "F", or "%" of the part
	Value float64 // change [SI; a ratio for "%"]
	Left  float64 // share of the squared deviation that is left, 0 to 1
}

// Part is one measurement.
type Part struct {
	Name, File, Of, Port string
	Note                 spec.Text
	Band                 Band
	Ports                int
	Termination          float64    // at the far end of a one-port [Ω]; 0: none
	Reference            [2]float64 // that port 1 and 2 shall see [Ω]
	Absent               bool       // the file was not handed over

	Rows      []Row
	Low, High float64   // of the band, as far as it was measured [Hz]
	Deviation float64   // rms of |S measured − S computed| over the band
	Causes    []Cause   // best first
	Explained int       // so many of Causes explain the deviation and cannot be told apart
	Series    []float64 // measured series resonances of a plate choke [Hz]

	data  *touchstone.Data // S of Reference
	model func(frequency float64) touchstone.Matrix
	best  func(frequency float64) touchstone.Matrix // with the first of Causes
}

// Measured is S at frequency [Hz]; not ok outside what was measured.
func (p *Part) Measured(frequency float64) (touchstone.Matrix, bool) { return p.data.At(frequency) }

// Computed is S at frequency [Hz].
func (p *Part) Computed(frequency float64) touchstone.Matrix { return p.model(frequency) }

// Fitted is S at frequency [Hz] with the best of the causes; not ok where none
// explains the deviation.
func (p *Part) Fitted(frequency float64) (touchstone.Matrix, bool) {
	if p.Explained == 0 {
		return touchstone.Matrix{}, false
	}
	return p.best(frequency), true
}

// Span is the lowest and highest frequency that was measured [Hz].
func (p *Part) Span() (low, high float64) { return p.data.Span() }

// Impedance at port 1 of S11 [Ω]; infinite for an open circuit.
func (p *Part) Impedance(s touchstone.Matrix) complex128 {
	return complex(p.Reference[0], 0) * (1 + s[0][0]) / (1 - s[0][0])
}

// SWR of a reflection.
func SWR(reflection complex128) float64 {
	r := cmplx.Abs(reflection)
	if r >= 1 {
		return math.Inf(1)
	}
	return (1 + r) / (1 - r)
}

// Result is every measurement, by name.
type Result struct{ Parts []Part }

// Solve reads and compares what the spec names, and enters findings. The error
// is spec.Problems: files that cannot be read, each with its line.
func Solve(d *desk.Desk, in Input) (Result, error) {
	var r Result
	var problems spec.Problems
	names := make([]string, 0, len(d.Spec.Measured))
	for n := range d.Spec.Measured {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		p, err := read(n, d.Spec.Measured[n], in)
		var ps touchstone.Problems
		switch {
		case errors.As(err, &ps):
			for _, x := range ps {
				problems = append(problems, spec.Problem{File: x.File, Position: spec.Position{Line: x.Line, Column: x.Column},
					What: x.What, Hint: x.Hint})
			}
			continue
		case err != nil:
			o := d.Spec.Measured[n].File.Origin
			problems = append(problems, spec.Problem{File: d.Spec.File, Position: o.Position, Key: o.Key, What: err.Error()})
			continue
		}
		r.Parts = append(r.Parts, p)
	}
	if len(problems) > 0 {
		return r, problems
	}
	for i := range r.Parts {
		p := &r.Parts[i]
		if !p.Absent && p.High > p.Low {
			p.compare(in)
		}
		p.enter(d, in)
	}
	return r, nil
}

// read parses a file and finds what it is to be held against.
func read(name string, m spec.Measured, in Input) (Part, error) {
	p := Part{Name: name, File: m.File.Name, Of: m.Of.Value, Port: m.Port.Value, Note: m.Note, Ports: 1, Absent: m.File.Content == nil}
	p.Band = in.Bands[0]
	for _, b := range in.Bands {
		if b.Name == m.Band.Value || m.Band.Value == "" && b.Low < p.Band.Low {
			p.Band = b
		}
	}
	if p.Absent {
		return p, nil
	}
	data, err := touchstone.Parse(p.File, m.File.Content)
	if err != nil {
		return p, err
	}
	p.Ports = data.Ports
	plates, cathodes, middle := in.PlateLoad, in.CathodeResistance, p.Band.Centre
	switch p.Of {
	case "tank":
		p.Reference = [2]float64{plates, p.Band.Tank.Input.LoadResistance}
	case "input":
		p.Reference = [2]float64{p.Band.Input.Input.SourceResistance, cathodes}
	default:
		p.Reference[0] = min(max(1, cmplx.Abs(in.ChokeImpedance(middle))), 1e6)
		if data.Ports == 2 {
			// In series between the ports: −1/Y21 is the choke whatever strays
			// lie from its ends to ground.
			if data, err = through(data); err != nil {
				return p, fmt.Errorf("%s: no choke between the ports: %w", p.File, err)
			}
			p.Ports = 1
		}
	}
	if p.Port == "antenna" || p.Port == "cathodes" {
		p.Reference[0], p.Reference[1] = p.Reference[1], p.Reference[0]
	}
	if p.Ports == 1 && p.Of != "plate_choke" {
		p.Termination = p.Reference[1]
		if m.Termination.Known() {
			p.Termination = m.Termination.SI
		}
	}
	if p.Of == "plate_choke" {
		p.series(data, in)
	}
	if p.data, err = data.To(touchstone.Scattering, p.Reference[:p.Ports]...); err != nil {
		return p, fmt.Errorf("%s: %w", p.File, err)
	}
	low, high := p.data.Span()
	p.Low, p.High = math.Max(low, p.Band.Low), math.Min(high, p.Band.High)
	p.model = p.of(in, change{})
	return p, nil
}

// through is the impedance in series between two ports.
func through(d *touchstone.Data) (*touchstone.Data, error) {
	y, err := d.To(touchstone.Admittance)
	if err != nil {
		return nil, err
	}
	out := &touchstone.Data{Ports: 1, Kind: touchstone.Admittance, Reference: [2]float64{50}, Points: y.Points}
	for i := range out.Points {
		out.Points[i].Matrix = touchstone.Matrix{{-out.Points[i].Matrix[1][0]}}
	}
	return out, nil
}

// series finds where the choke is a short: its reactance rises through zero
// at less than the plate load.
func (p *Part) series(data *touchstone.Data, in Input) {
	z, err := data.To(touchstone.Impedance)
	if err != nil {
		return
	}
	for i := 1; i < len(z.Points); i++ {
		a, b := z.Points[i-1], z.Points[i]
		za, zb := a.Matrix[0][0], b.Matrix[0][0]
		if imag(za) < 0 && imag(zb) >= 0 {
			t := imag(za) / (imag(za) - imag(zb))
			if r := real(za) + t*real(zb-za); r < in.PlateLoad {
				p.Series = append(p.Series, a.Frequency+t*(b.Frequency-a.Frequency))
			}
		}
	}
}

// change alters one part of the computed network.
type change struct {
	element string  // name in the chain; "" for none
	add     float64 // [F] across it, or to it
	factor  float64 // times (1 + factor)
	loss    float64 // its Q divided by (1 + loss)
	shift   float64 // plate choke: resonances higher by (1 + shift)
}

// of makes the computed S with one part changed.
func (p *Part) of(in Input, c change) func(float64) touchstone.Matrix {
	if p.Of == "plate_choke" {
		return func(f float64) touchstone.Matrix {
			k := 1 + c.shift
			z := in.ChokeImpedance(f/k) * complex(k*(1+c.factor), 0)
			if c.add != 0 {
				z = 1 / (1/z + complex(0, 2*math.Pi*f*c.add))
			}
			return touchstone.Matrix{{network.Reflection(z, p.Reference[0])}}
		}
	}
	var chain *twoport.Chain
	if p.Of == "tank" {
		chain = &p.Band.Tank.Chain
	} else {
		chain = &p.Band.Input.Chain
	}
	list := make([]twoport.Element, len(chain.Elements))
	back := p.Port == "antenna" || p.Port == "cathodes"
	for i, e := range chain.Elements {
		if e.Name == c.element {
			if e.Placement == twoport.Shunt {
				e.ParallelCapacitance += c.add
			}
			e.Inductance *= 1 + c.factor
			e.Q /= 1 + c.loss
		}
		if back {
			list[len(list)-1-i] = e
		} else {
			list[i] = e
		}
	}
	altered := twoport.Chain{Elements: list}
	if p.Ports == 1 {
		end := complex(p.Termination, 0)
		return func(f float64) touchstone.Matrix {
			return touchstone.Matrix{{network.Reflection(altered.InputImpedance(f, end), p.Reference[0])}}
		}
	}
	return func(f float64) touchstone.Matrix {
		m := altered.Matrix(f)
		return touchstone.OfChain(m.A, m.B, m.C, m.D, p.Reference[0], p.Reference[1])
	}
}
