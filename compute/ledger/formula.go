// Package ledger is the notebook's account of every number: formulas that are
// written once as text and from that one text checked for dimensions,
// evaluated and typeset; the steps that used them; where each number came
// from; and what was found: ratings, findings, assumptions and parts. It
// assumes SI base units throughout.
package ledger

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"anodebook/spec/quantity"
)

// Formula is a formula as printed in a book: its text, what its symbols mean,
// and its source.
type Formula struct {
	Text   string   // such as "X_C = 1 / (2 * π * f * C)"
	Result Symbol   // the left-hand side
	Inputs []Symbol // in order of first appearance
	Source Source
	root   *node
	dims   []quantity.Dimension
}

// Symbol is one letter of a formula.
type Symbol struct {
	Name string // as in the text, such as "V_p1"
	Unit string // a unit known to package quantity; it fixes the dimension
	Mean string // what it stands for, in words
}

// NewFormula parses and checks a formula. Each symbol line has the form
// "V_p1 [V] plate voltage swing, peak". The error names the place and the
// cause: bad syntax, an unexplained symbol, or dimensions that do not agree.
func NewFormula(text string, source Source, symbols ...string) (*Formula, error) {
	left, right, ok := strings.Cut(text, "=")
	if !ok {
		return nil, fmt.Errorf("formula %q: no equals sign", text)
	}
	left = strings.TrimSpace(left)
	table := map[string]Symbol{}
	for _, line := range symbols {
		name, rest, ok1 := strings.Cut(strings.TrimSpace(line), " [")
		unit, mean, ok2 := strings.Cut(rest, "] ")
		if !ok1 || !ok2 || mean == "" {
			return nil, fmt.Errorf("formula %q: symbol %q: want \"name [unit] meaning\"", text, line)
		}
		u, ok := quantity.LookupUnit(unit)
		if !ok {
			return nil, fmt.Errorf("formula %q: symbol %s: unknown unit %q", text, name, unit)
		}
		if u.Prefixed && u.Factor != 1 {
			return nil, fmt.Errorf("formula %q: symbol %s: %q has a prefix; formulas are written in base units", text, name, unit)
		}
		if _, twice := table[name]; twice {
			return nil, fmt.Errorf("formula %q: symbol %s is explained twice", text, name)
		}
		table[name] = Symbol{name, unit, mean}
	}
	var names []string
	root, err := parse(strings.TrimSpace(right), &names)
	if err != nil {
		return nil, fmt.Errorf("formula %q: %w", text, err)
	}
	f := &Formula{Text: text, Source: source, root: root}
	f.Result, ok = table[left]
	if !ok {
		return nil, fmt.Errorf("formula %q: symbol %s is not explained", text, left)
	}
	used := map[string]bool{left: true}
	for _, n := range names {
		if n == left {
			return nil, fmt.Errorf("formula %q: %s stands on both sides", text, n)
		}
		s, ok := table[n]
		if !ok {
			return nil, fmt.Errorf("formula %q: symbol %s is not explained", text, n)
		}
		u, _ := quantity.LookupUnit(s.Unit)
		f.Inputs = append(f.Inputs, s)
		f.dims = append(f.dims, u.Dimension)
		used[n] = true
	}
	for _, line := range symbols {
		if n, _, _ := strings.Cut(strings.TrimSpace(line), " ["); !used[n] {
			return nil, fmt.Errorf("formula %q: symbol %s is explained but not used", text, n)
		}
	}
	got, err := root.dimension(f.dims)
	if err != nil {
		return nil, fmt.Errorf("formula %q: %w", text, err)
	}
	if want, _ := quantity.LookupUnit(f.Result.Unit); got != want.Dimension {
		return nil, fmt.Errorf("formula %q: the left side is %s, the right side %s (%s)", text, want.Name(), got.Name(), got)
	}
	if source.Title == "" {
		return nil, fmt.Errorf("formula %q: no source", text)
	}
	return f, nil
}

// MustFormula is NewFormula for package-level variables: a formula that does
// not check is a programming error and stops the program at start.
func MustFormula(text string, source Source, symbols ...string) *Formula {
	f, err := NewFormula(text, source, symbols...)
	if err != nil {
		panic(err)
	}
	return f
}

// Eval computes the formula for inputs in SI base units, in the order of
// Formula.Inputs.
func (f *Formula) Eval(inputs ...float64) float64 {
	if len(inputs) != len(f.Inputs) {
		panic(fmt.Sprintf("formula %q: %d inputs given, %d wanted", f.Text, len(inputs), len(f.Inputs)))
	}
	return f.root.eval(inputs)
}

// resultDigits is how many significant digits a step's result is printed with:
// one more than the trade reads off an instrument.
const resultDigits = 4

// printedDigits finds the fewest digits, from resultDigits up, with which the
// inputs must be printed so that a reader who redoes the sum from the printed
// page gets the printed result.
func (f *Formula) printedDigits(inputs []float64, units []string, result float64) int {
	rounded := make([]float64, len(inputs))
	for d := resultDigits; d < 12; d++ {
		for i, v := range inputs {
			rounded[i] = reread(v, units[i], d)
		}
		got := f.root.eval(rounded)
		if math.Abs(got-result) <= 0.3*lastDigit(result, f.Result.Unit) {
			return d
		}
	}
	return 12
}

// reread returns v as a reader would take it from the page.
func reread(v float64, unit string, digits int) float64 {
	q, err := quantity.Parse(quantity.Format(v, unit, digits))
	if err != nil && q.SI == 0 {
		return v
	}
	return q.SI
}

// lastDigit is the weight of the last digit that Format prints of a result.
func lastDigit(v float64, unit string) float64 {
	if v == 0 {
		return 1e-12
	}
	number, symbol := quantity.Split(v, unit, resultDigits)
	u, ok := quantity.LookupUnit(symbol)
	if !ok {
		u.Factor = 1
	}
	number, power, scientific := strings.Cut(number, "e")
	_, decimals, _ := strings.Cut(number, ".")
	if scientific {
		p, _ := strconv.Atoi(power)
		return math.Pow(10, float64(p-len(decimals))) * u.Factor
	}
	weight := math.Pow(10, -float64(len(decimals)))
	if len(decimals) == 0 {
		weight = math.Max(1, math.Pow(10, float64(len(strings.TrimLeft(number, "-"))-resultDigits)))
	}
	return weight * u.Factor
}
