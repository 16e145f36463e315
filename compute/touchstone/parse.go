package touchstone

import (
	"bytes"
	"fmt"
	"math"
	"math/cmplx"
	"path"
	"strconv"
	"strings"
)

// Parse reads a file of version 1.x or 2.0 from its text. The name tells the
// number of ports of a version 1 file (.s1p, .s2p) and stands in messages.
// The error is Problems, each with its line and a hint.
func Parse(name string, text []byte) (*Data, error) {
	p := &parser{file: name, data: Data{Kind: Scattering, Reference: [2]float64{50, 50}}, unit: 1e9, form: MA, version: 1, swapped: true}
	if len(text) > MaxSize {
		p.problem(1, 1, fmt.Sprintf("%d bytes; the limit is %d", len(text), MaxSize), "measure fewer points: some hundred over the band are plenty")
		return nil, p.problems
	}
	switch ext := strings.ToLower(path.Ext(name)); ext {
	case ".s1p":
		p.named = 1
	case ".s2p":
		p.named = 2
	case ".ts":
	default:
		p.problem(1, 1, fmt.Sprintf("the ending %q does not tell a network of one or two ports", ext), "a name that ends in .s1p, .s2p or (version 2) .ts")
		return nil, p.problems
	}
	p.data.Ports = p.named
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	for len(text) > 0 && len(p.problems) < maxProblems && !p.ended {
		var line []byte
		if i := bytes.IndexAny(text, "\r\n"); i < 0 {
			line, text = text, nil
		} else {
			line = text[:i]
			if text[i] == '\r' && i+1 < len(text) && text[i+1] == '\n' {
				i++
			}
			text = text[i+1:]
		}
		p.line++
		if i := bytes.IndexByte(line, '!'); i >= 0 {
			line = line[:i]
		}
		p.take(string(line))
	}
	if len(p.problems) == 0 {
		p.finish()
	}
	if len(p.problems) > 0 {
		return nil, p.problems
	}
	return &p.data, nil
}

// Form is how complex numbers are written.
type Form byte

// The forms: magnitude and angle in degrees, decibels and angle, real and
// imaginary part.
const (
	MA Form = iota
	DB
	RI
)

type section byte

const (
	header section = iota
	references
	network
	noise
	information
)

type parser struct {
	file     string
	line     int
	problems Problems

	data    Data
	named   int // ports told by the name; 0 = not told
	version int
	begun   bool // something other than a comment was seen
	option  bool
	unit    float64
	form    Form
	in      section
	ended   bool

	ports, order, frequencies bool // keywords that were seen
	swapped                   bool // 21 stands before 12
	upper, lower              bool
	count                     int
	countLine                 int
	given                     []float64 // of [Reference]

	pending   []float64 // numbers of a frequency that is not complete
	started   int       // the line on which it began
	lastNoise float64
}

func (p *parser) problem(line, column int, what, hint string) {
	if len(p.problems) < maxProblems {
		p.problems = append(p.problems, Problem{p.file, line, column, what, hint})
	}
}

// word is a token with its column.
type word struct {
	text   string
	column int
}

func words(line string) []word {
	var out []word
	for i := 0; i < len(line); {
		if line[i] == ' ' || line[i] == '\t' || line[i] == '\f' || line[i] == '\v' {
			i++
			continue
		}
		j := i
		for j < len(line) && line[j] != ' ' && line[j] != '\t' && line[j] != '\f' && line[j] != '\v' {
			j++
		}
		out = append(out, word{line[i:j], i + 1})
		i = j
	}
	return out
}

// cut shortens text of the file for a message.
func cut(s string) string {
	if r := []rune(s); len(r) > 40 {
		s = string(r[:37]) + "…"
	}
	return strconv.Quote(s)
}

func (p *parser) take(line string) {
	ws := words(line)
	if len(ws) == 0 {
		return
	}
	first := ws[0]
	if p.in == information && !strings.EqualFold(strings.TrimSpace(line), "[End Information]") {
		return
	}
	switch {
	case first.text[0] == '[':
		p.keyword(line, first.column)
	case first.text[0] == '#':
		p.options(ws)
	default:
		p.numbers(ws)
	}
	p.begun = true
}

const optionHint = `such as "# MHz S MA R 50": unit, kind, form, and R with the reference resistance`

// options reads the option line; only the first one counts.
func (p *parser) options(ws []word) {
	if p.option {
		return
	}
	p.option = true
	if len(p.data.Points)+len(p.pending) > 0 {
		p.problem(p.line, ws[0].column, "the option line stands behind data", "it comes before the first number")
		return
	}
	if ws[0].text = ws[0].text[1:]; ws[0].text == "" {
		ws = ws[1:]
	}
	for i := 0; i < len(ws); i++ {
		switch w := strings.ToUpper(ws[i].text); w {
		case "HZ", "KHZ", "MHZ", "GHZ":
			p.unit = map[string]float64{"HZ": 1, "KHZ": 1e3, "MHZ": 1e6, "GHZ": 1e9}[w]
		case "S", "Y", "Z", "H", "G":
			p.data.Kind = Kind(w[0])
		case "MA":
			p.form = MA
		case "DB":
			p.form = DB
		case "RI":
			p.form = RI
		case "R":
			if i++; i == len(ws) {
				p.problem(p.line, ws[i-1].column, "R without a resistance", optionHint)
				return
			}
			if r, ok := p.resistance(ws[i]); ok {
				p.data.Reference = [2]float64{r, r}
			}
		default:
			p.problem(p.line, ws[i].column, cut(ws[i].text)+" is not known in an option line", optionHint)
		}
	}
}

func (p *parser) resistance(w word) (float64, bool) {
	r, ok := p.number(w)
	if ok && !(r >= 1/MaxOhms && r <= MaxOhms) {
		p.problem(p.line, w.column, cut(w.text)+" is no reference resistance", "a positive number of ohms, such as 50")
		return 0, false
	}
	return r, ok
}

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
		p.problem(p.line, 1, "neither network data nor noise data", "the frequencies of a network ascend; noise data has five numbers on a line")
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
		p.problem(p.started, 1, fmt.Sprintf("a frequency of %g Hz is negative", f), "")
		return
	case f > MaxHertz:
		p.problem(p.started, 1, fmt.Sprintf("a frequency of %g Hz is beyond all reason", f), "the option line names the unit; without one it is GHz")
		return
	case n > 0 && f <= p.data.Points[n-1].Frequency:
		p.problem(p.started, 1, fmt.Sprintf("%g Hz does not lie above the frequency before, %g Hz", f, p.data.Points[n-1].Frequency), "sort the lines by ascending frequency, each frequency once")
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
			p.problem(p.started, 1, fmt.Sprintf("a magnitude of %g is negative", a), "is the data in decibels (DB) or as real and imaginary part (RI)? The option line says MA")
			return 0, false
		}
		v = cmplx.Rect(a, math.Remainder(b, 360)*math.Pi/180)
	case DB:
		v = cmplx.Rect(math.Pow(10, math.Min(a, 1e3)/20), math.Remainder(b, 360)*math.Pi/180)
	}
	if !(cmplx.Abs(v) <= MaxValue) {
		p.problem(p.started, 1, fmt.Sprintf("a parameter of %g, %g is beyond all reason", a, b), "")
		return 0, false
	}
	return v, true
}

// scale takes parameters normalised to r [Ω], as version 1 holds them, to ohms
// and siemens; the other way with 1/r.
func (m Matrix) scale(kind Kind, r float64) Matrix {
	z, y := complex(r, 0), complex(1/r, 0)
	switch kind {
	case Impedance:
		return m.rows(r, r)
	case Admittance:
		return m.rows(1/r, 1/r)
	case Hybrid:
		m[0][0], m[1][1] = m[0][0]*z, m[1][1]*y
	case Inverse:
		m[0][0], m[1][1] = m[0][0]*y, m[1][1]*z
	}
	return m
}

func (p *parser) kindFits() bool {
	if p.data.Ports == 1 && (p.data.Kind == Hybrid || p.data.Kind == Inverse) {
		p.problem(p.line, 1, fmt.Sprintf("%c parameters of a one-port do not exist", p.data.Kind), "S, Z or Y")
		return false
	}
	return true
}

// finish checks what can only be known at the end.
func (p *parser) finish() {
	at := max(p.line, 1)
	switch {
	case len(p.pending) > 0:
		p.problem(p.started, 1, fmt.Sprintf("only %d numbers for the last frequency", len(p.pending)), "the file was cut off, or a number is missing")
	case len(p.data.Points) == 0:
		p.problem(at, 1, "no data", "after the option line, one line for each frequency")
	case p.version == 2 && !p.ended:
		p.problem(at, 1, "no [End]", "a file of version 2 ends with it; this one may have been cut off")
	case p.version == 2 && p.count != len(p.data.Points):
		p.problem(p.countLine, 1, fmt.Sprintf("%d frequencies are announced, %d are there", p.count, len(p.data.Points)), "the file was cut off, or the number is wrong")
	}
}
