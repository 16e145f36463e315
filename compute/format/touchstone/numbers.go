package touchstone

import (
	"fmt"
	"math"
	"math/cmplx"
	"strconv"
	"strings"

	"anodebook/spec/quantity"
)

func (p *parser) number(w word) (float64, bool) {
	for i := range len(w.text) {
		if c := w.text[i]; !(c >= '0' && c <= '9') && strings.IndexByte("+-.eE", c) < 0 {
			hint := "numbers are written like 3.75, -0.5 or 1.2e-3; a comment begins with !"
			if c == ',' {
				hint = "a decimal point, and blanks between the numbers"
			}
			p.problem(p.line, w.column, cut(w.text)+" is not a number", hint)
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(w.text, 64)
	switch {
	case err != nil && math.IsInf(v, 0), err == nil && math.Abs(v) > MaxHertz:
		p.problem(p.line, w.column, cut(w.text)+" is beyond all reason", "")
		return 0, false
	case err != nil:
		p.problem(p.line, w.column, cut(w.text)+" is not a number", "numbers are written like 3.75, -0.5 or 1.2e-3")
		return 0, false
	}
	return v, true
}

// numbers takes a line of data.
func (p *parser) numbers(ws []word) {
	var buf [16]float64
	values := buf[:0]
	for _, w := range ws {
		v, ok := p.number(w)
		if !ok {
			p.pending = p.pending[:0]
			return
		}
		values = append(values, v)
	}
	switch {
	case p.in == references:
		p.given = append(p.given, values...)
		return
	case p.in == noise:
		p.noise(values)
		return
	case p.in == header && p.version == 2:
		p.problem(p.line, ws[0].column, "numbers before [Network Data]", "the keyword stands on a line of its own before the data")
		p.in = network
		return
	case p.in == header:
		if !p.option {
			p.problem(p.line, ws[0].column, "numbers before the option line", optionHint)
			p.option = true
		}
		p.in = network
		if !p.kindFits() {
			return
		}
	}
	if p.data.Ports == 0 {
		return // told by another problem
	}
	if p.version == 1 && p.data.Ports == 2 && len(p.pending) == 0 && len(values) == 5 && len(p.data.Points) > 0 &&
		values[0]*p.unit <= p.data.Points[len(p.data.Points)-1].Frequency {
		p.in = noise
		p.noise(values)
		return
	}
	if len(p.pending) == 0 {
		p.started = p.line
	}
	p.pending = append(p.pending, values...)
	need := 1 + 2*p.data.Ports*p.data.Ports
	if p.data.Ports == 2 && (p.upper || p.lower) {
		need = 7
	}
	if len(p.pending) < need {
		return
	}
	if len(p.pending) > need {
		p.problem(p.started, 1, fmt.Sprintf("%d numbers where %d belong to one frequency", len(p.pending), need),
			fmt.Sprintf("the frequency and %d pairs for %d port(s); the next frequency begins on a new line", need/2, p.data.Ports))
	} else {
		p.point()
	}
	p.pending = p.pending[:0]
}

// noise checks that what follows the network data is noise data indeed.
func (p *parser) noise(values []float64) {
	if len(values) != 5 || values[0] < p.lastNoise {
		p.problem(p.line, 1, "neither network data nor noise data",
			"the frequencies of a network ascend; noise data has five numbers on a line")
		return
	}
	p.lastNoise = values[0]
}

// point turns the pending numbers into a point.
func (p *parser) point() {
	f := p.pending[0] * p.unit
	n := len(p.data.Points)
	switch {
	case f < 0:
		p.problem(p.started, 1, fmt.Sprintf("a frequency of %s Hz is negative", quantity.Short(f, 6)), "")
		return
	case f > MaxHertz:
		p.problem(p.started, 1, fmt.Sprintf("a frequency of %s Hz is beyond all reason", quantity.Short(f, 6)),
			"the option line names the unit; without one it is GHz")
		return
	case n > 0 && f <= p.data.Points[n-1].Frequency:
		p.problem(p.started, 1, fmt.Sprintf("%s Hz does not lie above the frequency before, %s Hz", quantity.Short(f, 12),
			quantity.Short(p.data.Points[n-1].Frequency, 12)), "sort the lines by ascending frequency, each frequency once")
		return
	case n == MaxPoints:
		p.problem(p.started, 1, fmt.Sprintf("more than %d frequencies", MaxPoints), "some hundred over the band are plenty")
		p.ended = true
		return
	}
	var v [4]complex128
	for i := 1; i < len(p.pending); i += 2 {
		c, ok := p.complex(p.pending[i], p.pending[i+1])
		if !ok {
			return
		}
		v[i/2] = c
	}
	m := Matrix{{v[0]}}
	switch {
	case p.data.Ports == 1:
	case p.lower, p.upper: // the other half is the same
		m = Matrix{{v[0], v[1]}, {v[1], v[2]}}
	case p.swapped:
		m = Matrix{{v[0], v[2]}, {v[1], v[3]}}
	default:
		m = Matrix{{v[0], v[1]}, {v[2], v[3]}}
	}
	if p.version == 1 {
		m = m.scale(p.data.Kind, p.data.Reference[0])
	}
	p.data.Points = append(p.data.Points, Point{f, m})
}

func (p *parser) complex(a, b float64) (complex128, bool) {
	v := complex(a, b)
	switch p.form {
	case MA:
		if a < 0 {
			p.problem(p.started, 1, fmt.Sprintf("a magnitude of %s is negative", quantity.Short(a, 6)),
				"is the data in decibels (DB) or as real and imaginary part (RI)? The option line says MA")
			return 0, false
		}
		v = cmplx.Rect(a, math.Remainder(b, 360)*math.Pi/180)
	case DB:
		v = cmplx.Rect(math.Pow(10, math.Min(a, 1e3)/20), math.Remainder(b, 360)*math.Pi/180)
	}
	if !(cmplx.Abs(v) <= MaxValue) {
		p.problem(p.started, 1, fmt.Sprintf("a parameter of %s, %s is beyond all reason", quantity.Short(a, 6), quantity.Short(b, 6)),
			"")
		return 0, false
	}
	return v, true
}

func (p *parser) kindFits() bool {
	if p.data.Ports == 1 && (p.data.Kind == Hybrid || p.data.Kind == Inverse) {
		p.problem(p.line, 1, fmt.Sprintf("%c parameters of a one-port do not exist", p.data.Kind), "S, Z or Y")
		return false
	}
	return true
}
