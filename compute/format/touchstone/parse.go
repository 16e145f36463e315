package touchstone

import (
	"bytes"
	"fmt"
	"path"
	"strconv"
	"strings"
)

// Parse reads a file of version 1.x or 2.0 from its text. The name tells the
// number of ports of a version 1 file (.s1p, .s2p) and stands in messages.
// The error is Problems, each with its line and a hint.
func Parse(name string, text []byte) (*Data, error) {
	p := &parser{file: name, data: Data{Kind: Scattering, Reference: [2]float64{50, 50}}, unit: 1e9, form: MA, version: 1,
		swapped: true}
	if len(text) > MaxSize {
		p.problem(1, 1, fmt.Sprintf("%d bytes; the limit is %d", len(text), MaxSize),
			"measure fewer points: some hundred over the band are plenty")
		return nil, p.problems
	}
	switch ext := strings.ToLower(path.Ext(name)); ext {
	case ".s1p":
		p.named = 1
	case ".s2p":
		p.named = 2
	case ".ts":
	default:
		p.problem(1, 1, fmt.Sprintf("the ending %q does not tell a network of one or two ports", ext),
			"a name that ends in .s1p, .s2p or (version 2) .ts")
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

// finish checks what can only be known at the end.
func (p *parser) finish() {
	at := max(p.line, 1)
	switch {
	case len(p.pending) > 0:
		p.problem(p.started, 1, fmt.Sprintf("only %d numbers for the last frequency", len(p.pending)),
			"the file was cut off, or a number is missing")
	case len(p.data.Points) == 0:
		p.problem(at, 1, "no data", "after the option line, one line for each frequency")
	case p.version == 2 && !p.ended:
		p.problem(at, 1, "no [End]", "a file of version 2 ends with it; this one may have been cut off")
	case p.version == 2 && p.count != len(p.data.Points):
		p.problem(p.countLine, 1, fmt.Sprintf("%d frequencies are announced, %d are there", p.count, len(p.data.Points)),
			"the file was cut off, or the number is wrong")
	}
}
