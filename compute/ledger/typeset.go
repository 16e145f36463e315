package ledger

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"

	"anodebook/spec/quantity"
)

// Typeset holds a formula or a substitution in both notations.
type Typeset struct {
	TeX    string // without the dollar signs
	MathML string // without the <math> element
}

// notation writes one kind of markup; both kinds are driven by the same walk.
type notation interface {
	number(string) string
	measure(number, unit string) string
	symbol(string) string
	constant(string) string
	row(parts ...string) string
	operator(string) string
	fraction(a, b string) string
	root(a string) string
	power(a, b string) string
	parens(a string) string
	call(name string, args []string) string
}

// precedence of a node when written out: 1 sum, 2 product, 3 unary, 4 atom.
func precedence(n *node) int {
	switch n.op {
	case opAdd, opSubtract:
		return 1
	case opMultiply:
		return 2
	case opNegate:
		return 1
	}
	return 4
}

// leaf tells how a symbol is written: as itself, or as its number and unit.
type leaf func(w notation, n *node) string

func write(w notation, n *node, l leaf, quantities bool) string {
	sub := func(x *node, min int) string {
		s := write(w, x, l, quantities)
		if precedence(x) < min {
			return w.parens(s)
		}
		return s
	}
	switch n.op {
	case opNumber:
		return w.number(n.text)
	case opConstant:
		return w.constant(n.text)
	case opSymbol:
		return l(w, n)
	case opNegate:
		return w.row(w.operator("-"), sub(n.args[0], 2))
	case opAdd:
		return w.row(sub(n.args[0], 1), w.operator("+"), sub(n.args[1], 2))
	case opSubtract:
		return w.row(sub(n.args[0], 1), w.operator("-"), sub(n.args[1], 2))
	case opMultiply:
		return w.row(sub(n.args[0], 2), w.operator("*"), sub(n.args[1], 2))
	case opDivide:
		return w.fraction(write(w, n.args[0], l, quantities), write(w, n.args[1], l, quantities))
	}
	switch n.text {
	case "sqrt":
		return w.root(write(w, n.args[0], l, quantities))
	case "pow":
		base := write(w, n.args[0], l, quantities)
		a := n.args[0]
		plain := a.op == opConstant || a.op == opNumber && !strings.ContainsAny(a.text, "eE") || a.op == opSymbol && !quantities
		if !plain {
			base = w.parens(base)
		}
		return w.power(base, write(w, n.args[1], l, quantities))
	}
	var args []string
	for _, x := range n.args {
		args = append(args, write(w, x, l, quantities))
	}
	return w.call(n.text, args)
}

// Typeset writes the formula with its symbols.
func (f *Formula) Typeset() Typeset {
	name := func(w notation, n *node) string { return w.symbol(n.text) }
	one := func(w notation) string {
		return w.row(w.symbol(f.Result.Name), w.operator("="), write(w, f.root, name, false))
	}
	return Typeset{one(tex{}), one(mathml{})}
}

// split is quantity.Split, with counts written as counts.
func split(v float64, unit string, digits int) (number, symbol string) {
	if unit == "" && v == math.Trunc(v) && math.Abs(v) < 1e4 {
		return strconv.Itoa(int(v)), ""
	}
	return quantity.Split(v, unit, digits)
}

// show is quantity.Format, with counts written as counts.
func show(v float64, unit string, digits int) string {
	if number, symbol := split(v, unit, digits); symbol == "" {
		return number
	}
	return quantity.Format(v, unit, digits)
}

// Substitute writes the formula with numbers and units in place of its
// symbols, and the result.
func (f *Formula) Substitute(inputs []float64, units []string, result float64, resultUnit string) Typeset {
	digits := f.printedDigits(inputs, units, result)
	value := func(w notation, n *node) string {
		v, u := split(inputs[n.index], units[n.index], digits)
		s := w.measure(v, u)
		if strings.HasPrefix(v, "-") {
			s = w.parens(s)
		}
		return s
	}
	one := func(w notation) string {
		v, u := split(result, resultUnit, resultDigits)
		return w.row(w.symbol(f.Result.Name), w.operator("="), write(w, f.root, value, true), w.operator("="), w.measure(v, u))
	}
	return Typeset{one(tex{}), one(mathml{})}
}

var greek = map[string][2]string{ // name: TeX, character
	"η": {`\eta`, "η"}, "µ": {`\mu`, "µ"}, "ω": {`\omega`, "ω"}, "φ": {`\varphi`, "φ"},
	"ρ": {`\rho`, "ρ"}, "δ": {`\delta`, "δ"}, "ΔT": {`\Delta T`, "ΔT"}, "Δ": {`\Delta`, "Δ"},
	"τ": {`\tau`, "τ"}, "θ": {`\theta`, "θ"}, "λ": {`\lambda`, "λ"}, "σ": {`\sigma`, "σ"},
	"ΔV": {`\Delta V`, "ΔV"}, "Φ": {`\Phi`, "Φ"}, "γ": {`\gamma`, "γ"}, "Γ": {`\Gamma`, "Γ"},
}

type tex struct{}

// powerOfTen splits "1.5e-07" into mantissa and exponent.
func powerOfTen(s string) (mantissa, exponent string, ok bool) {
	mantissa, exponent, ok = strings.Cut(strings.ToLower(s), "e")
	if n, err := strconv.Atoi(exponent); err == nil {
		exponent = strconv.Itoa(n)
	}
	return mantissa, exponent, ok
}

func (tex) number(s string) string {
	if m, e, ok := powerOfTen(s); ok {
		return m + ` \cdot 10^{` + e + `}`
	}
	return s
}

// measure writes no backslash before a mark, as in "\,": a Markdown viewer
// takes it off before the formula is set, and 2800 V would read "2800,V".
func (w tex) measure(v, u string) string {
	v = w.number(strings.ReplaceAll(v, "−", "-"))
	if u == "" {
		return v
	}
	return v + `\thinspace\mathrm{` + strings.TrimSpace(texUnits.Replace(u)) + `}`
}

var texUnits = strings.NewReplacer("Ω", `\Omega `, "µ", `\mu `, "°", `{}^{\circ}`, "%", `percent`, "²", "^2", "³", "^3", "·", `\cdot `)

func (tex) symbol(s string) string {
	base, sub, has := strings.Cut(s, "_")
	if g, ok := greek[base]; ok {
		base = g[0]
	} else if len([]rune(base)) > 1 {
		base = `\mathrm{` + base + `}`
	}
	if has {
		return base + `_{\mathrm{` + strings.ReplaceAll(sub, "_", ",") + `}}`
	}
	return base
}
func (tex) constant(s string) string { return constants[s].tex }
func (tex) row(p ...string) string   { return strings.Join(p, " ") }
func (tex) operator(s string) string {
	if s == "*" {
		return `\cdot`
	}
	return s
}
func (tex) fraction(a, b string) string { return `\frac{` + a + `}{` + b + `}` }
func (tex) root(a string) string        { return `\sqrt{` + a + `}` }
func (tex) power(a, b string) string    { return a + `^{` + b + `}` }
func (tex) parens(a string) string      { return `\left(` + a + `\right)` }
func (tex) call(name string, args []string) string {
	n := map[string]string{"ln": `\ln`, "log10": `\log_{10}`, "cos": `\cos`, "sin": `\sin`, "atan": `\arctan`, "exp": `\exp`,
		"min": `\min`, "max": `\max`}[name]
	switch name {
	case "abs":
		return `\left|` + args[0] + `\right|`
	case "ceil":
		return `\left\lceil ` + args[0] + `\right\rceil`
	}
	return n + `\left(` + strings.Join(args, `;\thinspace `) + `\right)`
}

type mathml struct{}

func (mathml) number(s string) string {
	s = strings.ReplaceAll(s, "-", "−")
	if m, e, ok := powerOfTen(strings.ReplaceAll(s, "−", "-")); ok {
		return "<mrow><mn>" + strings.ReplaceAll(m, "-", "−") + "</mn><mo>·</mo><msup><mn>10</mn><mn>" +
			strings.ReplaceAll(e, "-", "−") + "</mn></msup></mrow>"
	}
	return "<mn>" + s + "</mn>"
}
func (w mathml) measure(v, u string) string {
	s := w.number(v)
	if u == "" {
		return s
	}
	return `<mrow>` + s + `<mspace width="0.17em"></mspace><mi mathvariant="normal">` + html.EscapeString(u) + `</mi></mrow>`
}
func (mathml) symbol(s string) string {
	base, sub, has := strings.Cut(s, "_")
	b := "<mi>" + html.EscapeString(base) + "</mi>"
	if has {
		return "<msub>" + b + `<mi mathvariant="normal">` + html.EscapeString(strings.ReplaceAll(sub, "_", ",")) + "</mi></msub>"
	}
	return b
}
func (m mathml) constant(s string) string { return m.symbol(s) }
func (mathml) row(p ...string) string     { return "<mrow>" + strings.Join(p, "") + "</mrow>" }
func (mathml) operator(s string) string {
	switch s {
	case "*":
		return "<mo>·</mo>"
	case "-":
		return "<mo>−</mo>"
	}
	return "<mo>" + s + "</mo>"
}
func (mathml) fraction(a, b string) string { return "<mfrac>" + a + b + "</mfrac>" }
func (mathml) root(a string) string        { return "<msqrt>" + a + "</msqrt>" }
func (mathml) power(a, b string) string    { return "<msup>" + a + b + "</msup>" }
func (mathml) parens(a string) string {
	return "<mrow><mo>(</mo>" + a + "<mo>)</mo></mrow>"
}
func (mathml) call(name string, args []string) string {
	switch name {
	case "abs":
		return "<mrow><mo>|</mo>" + args[0] + "<mo>|</mo></mrow>"
	case "ceil":
		return "<mrow><mo>⌈</mo>" + args[0] + "<mo>⌉</mo></mrow>"
	case "log10":
		return "<mrow><msub><mi>log</mi><mn>10</mn></msub><mo>(</mo>" + strings.Join(args, "<mo>;</mo>") + "<mo>)</mo></mrow>"
	case "atan":
		name = "arctan"
	}
	return fmt.Sprintf("<mrow><mi>%s</mi><mo>(</mo>%s<mo>)</mo></mrow>", name, strings.Join(args, "<mo>;</mo>"))
}

// TypesetSymbol writes one symbol by itself.
func TypesetSymbol(name string) Typeset {
	return Typeset{tex{}.symbol(name), mathml{}.symbol(name)}
}
