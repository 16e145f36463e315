package ledger

import (
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/scanner"
	"go/token"
	"math"
	"strconv"
	"strings"

	"anodebook/spec/quantity"
)

// node is one node of a formula's tree. The same tree is checked for
// dimensions, evaluated and typeset.
type node struct {
	op    op
	num   float64 // opNumber
	text  string  // opNumber: as written; opSymbol, opConstant, opCall: the name
	index int     // opSymbol: position in Formula.inputs
	args  []*node
}

type op int

const (
	opNumber op = iota
	opSymbol
	opConstant
	opNegate
	opAdd
	opSubtract
	opMultiply
	opDivide
	opCall
)

// constant is a constant of nature or of mathematics that a formula may name.
type constant struct {
	value float64
	dim   quantity.Dimension
	tex   string
	mathm string
}

// The magnetic and electric constants are the CODATA 2018 values.
var constants = map[string]constant{
	"π":   {math.Pi, quantity.Pure, `\pi`, "π"},
	"µ_0": {1.25663706212e-6, quantity.Permeability, `\mu_0`, "µ"},
}

type function struct {
	args int // -1: two or more
	eval func(a []float64) float64
}

var functions = map[string]function{
	"sqrt":  {1, func(a []float64) float64 { return math.Sqrt(a[0]) }},
	"pow":   {2, func(a []float64) float64 { return math.Pow(a[0], a[1]) }},
	"exp":   {1, func(a []float64) float64 { return math.Exp(a[0]) }},
	"ln":    {1, func(a []float64) float64 { return math.Log(a[0]) }},
	"log10": {1, func(a []float64) float64 { return math.Log10(a[0]) }},
	"cos":   {1, func(a []float64) float64 { return math.Cos(a[0]) }},
	"sin":   {1, func(a []float64) float64 { return math.Sin(a[0]) }},
	"atan":  {1, func(a []float64) float64 { return math.Atan(a[0]) }},
	"abs":   {1, func(a []float64) float64 { return math.Abs(a[0]) }},
	"max": {-1, func(a []float64) float64 {
		m := a[0]
		for _, x := range a[1:] {
			m = math.Max(m, x)
		}
		return m
	}},
	"min": {-1, func(a []float64) float64 {
		m := a[0]
		for _, x := range a[1:] {
			m = math.Min(m, x)
		}
		return m
	}},
	"ceil": {1, func(a []float64) float64 { return math.Ceil(a[0] - 1e-9) }},
}

// parse reads a right-hand side. inputs collects the symbols in order of first
// appearance.
func parse(text string, inputs *[]string) (*node, error) {
	e, err := parser.ParseExpr(text)
	if err != nil {
		// the scanner's list carries columns; the first is the cause
		var list scanner.ErrorList
		if errors.As(err, &list) && len(list) > 0 {
			return nil, caret(text, list[0].Pos.Column-1, list[0].Msg)
		}
		return nil, err
	}
	return convert(e, text, inputs)
}

func caret(text string, at int, msg string) error {
	if at < 0 || at > len(text) {
		at = 0
	}
	pad := len([]rune(text[:at]))
	return fmt.Errorf("%s\n\t%s\n\t%s^", msg, text, strings.Repeat(" ", pad))
}

func convert(e ast.Expr, text string, inputs *[]string) (*node, error) {
	fail := func(p token.Pos, format string, a ...any) (*node, error) {
		return nil, caret(text, int(p)-1, fmt.Sprintf(format, a...))
	}
	switch e := e.(type) {
	case *ast.ParenExpr:
		return convert(e.X, text, inputs)
	case *ast.BasicLit:
		if e.Kind != token.INT && e.Kind != token.FLOAT {
			return fail(e.Pos(), "only numbers may be written out")
		}
		v, err := strconv.ParseFloat(e.Value, 64)
		if err != nil {
			return fail(e.Pos(), "not a number")
		}
		return &node{op: opNumber, num: v, text: e.Value}, nil
	case *ast.Ident:
		if _, ok := constants[e.Name]; ok {
			return &node{op: opConstant, text: e.Name}, nil
		}
		i := 0
		for i < len(*inputs) && (*inputs)[i] != e.Name {
			i++
		}
		if i == len(*inputs) {
			*inputs = append(*inputs, e.Name)
		}
		return &node{op: opSymbol, text: e.Name, index: i}, nil
	case *ast.UnaryExpr:
		if e.Op != token.SUB {
			return fail(e.Pos(), "operator %s is not allowed", e.Op)
		}
		x, err := convert(e.X, text, inputs)
		if err != nil {
			return nil, err
		}
		return &node{op: opNegate, args: []*node{x}}, nil
	case *ast.BinaryExpr:
		ops := map[token.Token]op{token.ADD: opAdd, token.SUB: opSubtract, token.MUL: opMultiply, token.QUO: opDivide}
		o, ok := ops[e.Op]
		if e.Op == token.XOR {
			return fail(e.OpPos, "^ is not a power: write pow(x, 2)")
		}
		if !ok {
			return fail(e.OpPos, "operator %s is not allowed", e.Op)
		}
		x, err := convert(e.X, text, inputs)
		if err != nil {
			return nil, err
		}
		y, err := convert(e.Y, text, inputs)
		if err != nil {
			return nil, err
		}
		return &node{op: o, args: []*node{x, y}}, nil
	case *ast.CallExpr:
		id, ok := e.Fun.(*ast.Ident)
		if !ok {
			return fail(e.Pos(), "only a named function may be called")
		}
		f, ok := functions[id.Name]
		if !ok {
			return fail(e.Pos(), "unknown function %s", id.Name)
		}
		if f.args >= 0 && len(e.Args) != f.args || f.args < 0 && len(e.Args) < 2 {
			return fail(e.Pos(), "%s: wrong number of arguments", id.Name)
		}
		n := &node{op: opCall, text: id.Name}
		for _, a := range e.Args {
			x, err := convert(a, text, inputs)
			if err != nil {
				return nil, err
			}
			n.args = append(n.args, x)
		}
		return n, nil
	}
	return fail(e.Pos(), "this kind of expression is not allowed")
}

// dimension checks a tree and returns its dimension; dims holds those of the
// inputs.
func (n *node) dimension(dims []quantity.Dimension) (quantity.Dimension, error) {
	var a []quantity.Dimension
	for _, x := range n.args {
		d, err := x.dimension(dims)
		if err != nil {
			return d, err
		}
		a = append(a, d)
	}
	same := func() (quantity.Dimension, error) {
		for _, d := range a[1:] {
			if d != a[0] {
				return a[0], fmt.Errorf("%s of %s and %s", map[op]string{opAdd: "sum", opSubtract: "difference", opCall: n.text}[n.op],
					a[0].Name(), d.Name())
			}
		}
		return a[0], nil
	}
	switch n.op {
	case opNumber:
		return quantity.Pure, nil
	case opConstant:
		return constants[n.text].dim, nil
	case opSymbol:
		return dims[n.index], nil
	case opNegate:
		return a[0], nil
	case opAdd, opSubtract:
		return same()
	case opMultiply:
		return a[0].Mul(a[1]), nil
	case opDivide:
		return a[0].Div(a[1]), nil
	}
	switch n.text {
	case "sqrt":
		d, ok := a[0].Pow(1)
		if !ok {
			return d, fmt.Errorf("square root of %s", a[0].Name())
		}
		return d, nil
	case "pow":
		if a[1] != quantity.Pure {
			return a[1], fmt.Errorf("exponent is %s", a[1].Name())
		}
		if a[0] == quantity.Pure {
			return a[0], nil
		}
		exponent := n.args[1].num
		if e := n.args[1]; e.op == opNegate && e.args[0].op == opNumber {
			exponent = -e.args[0].num
		} else if e.op != opNumber {
			return a[0], fmt.Errorf("the exponent of %s must be written out", a[0].Name())
		}
		h := exponent * 2
		if h != math.Trunc(h) || math.Abs(h) > 24 {
			return a[0], fmt.Errorf("power %v of %s", exponent, a[0].Name())
		}
		d, ok := a[0].Pow(int(h))
		if !ok {
			return d, fmt.Errorf("power %v of %s", exponent, a[0].Name())
		}
		return d, nil
	case "min", "max":
		return same()
	case "abs":
		return a[0], nil
	}
	if a[0] != quantity.Pure {
		return a[0], fmt.Errorf("%s of %s", n.text, a[0].Name())
	}
	return quantity.Pure, nil
}

// eval computes a tree; in holds the inputs in SI base units.
func (n *node) eval(in []float64) float64 {
	switch n.op {
	case opNumber:
		return n.num
	case opConstant:
		return constants[n.text].value
	case opSymbol:
		return in[n.index]
	case opNegate:
		return -n.args[0].eval(in)
	case opAdd:
		return sum(n.args[0].eval(in), n.args[1].eval(in))
	case opSubtract:
		return sum(n.args[0].eval(in), -n.args[1].eval(in))
	case opMultiply:
		return n.args[0].eval(in) * n.args[1].eval(in)
	case opDivide:
		return n.args[0].eval(in) / n.args[1].eval(in)
	}
	var buf [4]float64
	a := buf[:0]
	for _, x := range n.args {
		a = append(a, x.eval(in))
	}
	return functions[n.text].eval(a)
}

// sum adds two numbers; what is left when they cancel to the last few bits is
// rounding error, not a result, and counts as zero.
func sum(a, b float64) float64 {
	s := a + b
	if math.Abs(s) < 8e-16*(math.Abs(a)+math.Abs(b)) {
		return 0
	}
	return s
}
