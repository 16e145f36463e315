package ledger

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"anodebook/spec/quantity"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var laws = Source{Key: "laws", Title: "Circuit laws", Known: Derived}

// A formula whose two sides do not agree cannot be registered.
func TestDimensionsAreChecked(t *testing.T) {
	for _, c := range []struct {
		text    string
		cause   string
		symbols []string
	}{
		{"P = V * V", "the left side is a power", []string{"P [W] p", "V [V] v"}},
		{"P = V + I", "sum of a voltage and a current", []string{"P [W] p", "V [V] v", "I [A] i"}},
		{"P = V - I", "difference of a voltage and a current", []string{"P [W] p", "V [V] v", "I [A] i"}},
		{"R = I / V", "the left side is a resistance", []string{"R [Ω] r", "V [V] v", "I [A] i"}},
		{"f = 1 / sqrt(L * C)", "", []string{"f [Hz] f", "L [H] l", "C [F] c"}}, // 1/s and Hz agree
		{"f = 1 / (L * C)", "the left side is a frequency", []string{"f [Hz] f", "L [H] l", "C [F] c"}},
		{"V = sqrt(P) * sqrt(R)", "", []string{"V [V] v", "P [W] p", "R [Ω] r"}},
		{"V = sqrt(P * R) + 1", "sum of a voltage and a plain number", []string{"V [V] v", "P [W] p", "R [Ω] r"}},
		{"V = pow(U, 2)", "the left side is a voltage", []string{"V [V] v", "U [V] u"}},
		{"I = pow(V, 1.5)", "the left side is a current", []string{"I [A] i", "V [V] v"}},
		{"x = pow(V, 0.3)", "power 0.3 of a voltage", []string{"x [] x", "V [V] v"}},
		{"x = pow(V, n)", "must be written out", []string{"x [] x", "V [V] v", "n [] n"}},
		{"x = pow(2, V)", "exponent is a voltage", []string{"x [] x", "V [V] v"}},
		{"x = pow(V, 100)", "power 100", []string{"x [] x", "V [V] v"}},
		{"x = pow(a, b)", "", []string{"x [] x", "a [] a", "b [] b"}},
		{"R = pow(G, -1)", "", []string{"R [Ω] r", "G [S] g"}},
		{"x = exp(V)", "exp of a voltage", []string{"x [] x", "V [V] v"}},
		{"x = ln(P)", "ln of a power", []string{"x [] x", "P [W] p"}},
		{"x = log10(P / Q)", "", []string{"x [dB] x", "P [W] p", "Q [W] q"}},
		{"x = sin(f)", "sin of a frequency", []string{"x [] x", "f [Hz] f"}},
		{"x = cos(t)", "cos of a time", []string{"x [] x", "t [s] t"}},
		{"x = atan(X)", "atan of a resistance", []string{"x [] x", "X [Ω] x"}},
		{"x = ceil(V)", "ceil of a voltage", []string{"x [] x", "V [V] v"}},
		{"V = max(A, B)", "max of a voltage and a current", []string{"V [V] v", "A [V] a", "B [A] b"}},
		{"V = min(A, B, C)", "min of a voltage and a power", []string{"V [V] v", "A [V] a", "B [V] b", "C [W] c"}},
		{"V = abs(A)", "the left side is a voltage", []string{"V [V] v", "A [A] a"}},
		{"V = -A", "the left side is a voltage", []string{"V [V] v", "A [A] a"}},
		{"x = sqrt(sqrt(m))", "square root of", []string{"x [] x", "m [m] m"}},
		{"B = µ_0 * N * I", "the left side is a flux density", []string{"B [T] b", "N [] n", "I [A] i"}},
		{"B = µ_0 * N * I / l", "", []string{"B [T] b", "N [] n", "I [A] i", "l [m] l"}},
		{"E = C * pow(V, 2) / 2", "", []string{"E [J] e", "C [F] c", "V [V] v"}},
		{"E = C * V / 2", "the left side is an energy", []string{"E [J] e", "C [F] c", "V [V] v"}},
		{"t = R * C", "", []string{"t [s] t", "R [Ω] r", "C [F] c"}},
		{"t = R / C", "the left side is a time", []string{"t [s] t", "R [Ω] r", "C [F] c"}},
		{"q = m * c_p * dT", "the left side is a power", []string{"q [W] q", "m [kg] m", "c_p [J/(kg·K)] c", "dT [K] t"}},
		{"Q = 2 * π * f * L / R", "", []string{"Q [] q", "f [Hz] f", "L [H] l", "R [Ω] r"}},
	} {
		_, err := NewFormula(c.text, laws, c.symbols...)
		if c.cause == "" {
			assert.NoError(t, err, c.text)
			continue
		}
		require.Error(t, err, c.text)
		assert.Contains(t, err.Error(), c.cause)
		assert.Contains(t, err.Error(), c.text)
		assert.Panics(t, func() { MustFormula(c.text, laws, c.symbols...) }, c.text)
	}
}

func TestBadFormulas(t *testing.T) {
	x := "x [] x"
	y := "y [] y"
	for _, c := range []struct {
		text, cause string
		symbols     []string
	}{
		{"x", "no equals sign", []string{x}},
		{"x = ", "expected operand", []string{x}},
		{"x = y +", "expected operand", []string{x, y}},
		{"x = (y", "expected ')'", []string{x, y}},
		{"x = y y", "expected", []string{x, y}},
		{"x = z", "symbol z is not explained", []string{x}},
		{"z = 1", "symbol z is not explained", []string{x}},
		{"x = 1", "symbol y is explained but not used", []string{x, y}},
		{"x = y", "explained twice", []string{x, y, "y [] again"}},
		{"x = x + 1", "stands on both sides", []string{x}},
		{"x = f(y)", "unknown function f", []string{x, y}},
		{"x = tan(y)", "unknown function tan", []string{x, y}},
		{"x = y.sqrt(y)", "only a named function", []string{x, y}},
		{"x = sqrt(y, y)", "wrong number of arguments", []string{x, y}},
		{"x = sqrt()", "wrong number of arguments", []string{x}},
		{"x = pow(y)", "wrong number of arguments", []string{x, y}},
		{"x = max(y)", "wrong number of arguments", []string{x, y}},
		{"x = y % 2", "operator % is not allowed", []string{x, y}},
		{"x = y << 2", "operator << is not allowed", []string{x, y}},
		{"x = y == 2", "operator == is not allowed", []string{x, y}},
		{"x = !y", "operator ! is not allowed", []string{x, y}},
		{"x = +y", "operator + is not allowed", []string{x, y}},
		{"x = &y", "operator & is not allowed", []string{x, y}},
		{"x = *y", "not allowed", []string{x, y}},
		{"x = y[0]", "not allowed", []string{x, y}},
		{"x = func() {}", "not allowed", []string{x}},
		{"x = []int{1}", "not allowed", []string{x}},
		{`x = "1"`, "only numbers", []string{x}},
		{"x = 2i", "only numbers", []string{x}},
		{"x = 'a'", "only numbers", []string{x}},
		{"x = 0x10", "not a number", []string{x}},
		{"x = 1", `want "name [unit] meaning"`, []string{"x"}},
		{"x = 1", `want "name [unit] meaning"`, []string{"x [V]"}},
		{"x = 1", `want "name [unit] meaning"`, []string{"x [V] "}},
		{"x = 1", `unknown unit "furlong"`, []string{"x [furlong] x"}},
		{"x = y", "has a prefix", []string{"x [mA] x", "y [mA] y"}},
	} {
		_, err := NewFormula(c.text, laws, c.symbols...)
		require.Error(t, err, c.text)
		assert.Contains(t, err.Error(), c.cause, c.text)
	}
	_, err := NewFormula("x = 1", Source{}, x)
	require.ErrorContains(t, err, "no source")
}

// ^ is no power, and the caret of the message stands under it, with letters of
// more than one byte before it too.
func TestCaret(t *testing.T) {
	for _, c := range []struct{ text, right string }{
		{"E = C * V^2 / 2", "C * V^2 / 2"}, {"η = π * V^2", "π * V^2"}, {"E =   V ^ 2", "V ^ 2"},
	} {
		_, err := NewFormula(c.text, laws, "E [J] e", "C [F] c", "V [V] v", "η [] e")
		require.Error(t, err)
		lines := strings.Split(err.Error(), "\n")
		require.Len(t, lines, 3)
		assert.Contains(t, lines[0], "^ is not a power: write pow(x, 2)")
		assert.Equal(t, "\t"+c.right, lines[1])
		at := strings.IndexRune(lines[2], '^')
		assert.Equal(t, '^', []rune(lines[1])[at], err.Error())
	}
	_, err := NewFormula("x = µ_0 + tan(1)", laws, "x [] x")
	require.Error(t, err)
	lines := strings.Split(err.Error(), "\n")
	assert.Equal(t, "\tµ_0 + tan(1)", lines[1])
	assert.Equal(t, "\t      ^", lines[2])
}

// All operators and functions against Go's own arithmetic at random points.
func TestEvalAgainstGo(t *testing.T) {
	type in = []float64
	cases := []struct {
		text string
		want func(v in) float64
	}{
		{"x = a + b * c", func(v in) float64 { return v[0] + v[1]*v[2] }},
		{"x = (a + b) * c", func(v in) float64 { return (v[0] + v[1]) * v[2] }},
		{"x = a - b - c", func(v in) float64 { return v[0] - v[1] - v[2] }},
		{"x = a - (b - c)", func(v in) float64 { return v[0] - (v[1] - v[2]) }},
		{"x = a / b / c", func(v in) float64 { return v[0] / v[1] / v[2] }},
		{"x = a / (b / c)", func(v in) float64 { return v[0] / (v[1] / v[2]) }},
		{"x = a / b * c", func(v in) float64 { return v[0] / v[1] * v[2] }},
		{"x = -a * b + c", func(v in) float64 { return -v[0]*v[1] + v[2] }},
		{"x = -(a + b) - -c", func(v in) float64 { return -(v[0] + v[1]) + v[2] }},
		{"x = 1 / (2 * π * a * sqrt(b * c))", func(v in) float64 { return 1 / (2 * math.Pi * v[0] * math.Sqrt(v[1]*v[2])) }},
		{"x = pow(a, 1.5) + pow(b, -2) + pow(2, c)", func(v in) float64 {
			return math.Pow(v[0], 1.5) + math.Pow(v[1], -2) +
				math.Pow(2, v[2])
		}},
		{"x = exp(-a) * ln(b) + log10(c)", func(v in) float64 { return math.Exp(-v[0])*math.Log(v[1]) + math.Log10(v[2]) }},
		{"x = sin(a) * cos(b) + atan(c)", func(v in) float64 { return math.Sin(v[0])*math.Cos(v[1]) + math.Atan(v[2]) }},
		{"x = abs(a - b) + max(a, b, c) - min(a, b, c)", func(v in) float64 {
			return math.Abs(v[0]-v[1]) + math.Max(math.Max(v[0], v[1]), v[2]) - math.Min(math.Min(v[0], v[1]), v[2])
		}},
		{"x = ceil(a) + b * c", func(v in) float64 { return math.Ceil(v[0]) + v[1]*v[2] }},
		{"x = 1e-3 * a + 2.5E2 * b + c * .5", func(v in) float64 { return 1e-3*v[0] + 250*v[1] + v[2]/2 }},
	}
	r := rand.New(rand.NewPCG(7, 8))
	for _, c := range cases {
		f, err := NewFormula(c.text, laws, "x [] x", "a [] a", "b [] b", "c [] c")
		require.NoError(t, err)
		for range 200 {
			v := in{0.01 + 5*r.Float64(), 0.01 + 5*r.Float64(), 0.01 + 5*r.Float64()}
			named := map[string]float64{"a": v[0], "b": v[1], "c": v[2]}
			var ordered in // in order of first appearance
			for _, s := range f.Inputs {
				ordered = append(ordered, named[s.Name])
			}
			want := c.want(v)
			require.InDelta(t, want, f.Eval(ordered...), 1e-12*(1+math.Abs(want)), c.text)
		}
	}
	f := MustFormula("x = b - a", laws, "x [] x", "a [] a", "b [] b")
	assert.Equal(t, "b", f.Inputs[0].Name, "inputs stand in order of first appearance")
	assert.Equal(t, 2.0, f.Eval(5, 3))
	assert.Panics(t, func() { f.Eval(1) })
	assert.Equal(t, 3.0, MustFormula("n = ceil(a)", laws, "n [] n", "a [] a").Eval(3+1e-12), "a rounding error is not a part more")
	// CODATA 2018, as recommended values published by NIST
	assert.Equal(t, 1.25663706212e-6, constants["µ_0"].value)
	u, _ := quantity.LookupUnit("H/m")
	assert.Equal(t, u.Dimension, constants["µ_0"].dim)
}

// Formulas typeset by hand.
func TestTypesetByHand(t *testing.T) {
	for _, c := range []struct{ text, tex, mathml string }{
		{"x = a + b * c", `x = a + b \cdot c`,
			`<mrow><mi>x</mi><mo>=</mo><mrow><mi>a</mi><mo>+</mo><mrow><mi>b</mi><mo>·</mo><mi>c</mi></mrow></mrow></mrow>`},
		{"x = (a + b) * c", `x = \left(a + b\right) \cdot c`,
			`<mrow><mi>x</mi><mo>=</mo><mrow><mrow><mo>(</mo><mrow><mi>a</mi><mo>+</mo><mi>b</mi></mrow><mo>)</mo></mrow><mo>·</mo><mi>c</mi></mrow></mrow>`},
		{"x = a - (b - c)", `x = a - \left(b - c\right)`, ""},
		{"x = a - b - c", `x = a - b - c`, ""},
		{"x = a - (b + c)", `x = a - \left(b + c\right)`, ""},
		{"x = a - b * c", `x = a - b \cdot c`, ""},
		{"x = a * (b * c)", `x = a \cdot b \cdot c`, ""},
		{"x = a / (b + c)", `x = \frac{a}{b + c}`,
			`<mrow><mi>x</mi><mo>=</mo><mfrac><mi>a</mi><mrow><mi>b</mi><mo>+</mo><mi>c</mi></mrow></mfrac></mrow>`},
		{"x = a / b * c", `x = \frac{a}{b} \cdot c`, ""},
		{"x = a / b / c", `x = \frac{\frac{a}{b}}{c}`, ""},
		{"x = -a + b - c", `x = - a + b - c`, ""},
		{"x = -(a + b) * c", `x = \left(- \left(a + b\right)\right) \cdot c`, ""},
		{"x = a + -b * c", `x = a + \left(- b\right) \cdot c`, ""},
		{"x = a * -b - c", `x = a \cdot \left(- b\right) - c`, ""},
		{"x = pow(a, 2) + pow(b + c, 2)", `x = a^{2} + \left(b + c\right)^{2}`,
			`<mrow><mi>x</mi><mo>=</mo><mrow><msup><mi>a</mi><mn>2</mn></msup><mo>+</mo><msup><mrow><mo>(</mo><mrow><mi>b</mi><mo>+</mo><mi>c</mi></mrow><mo>)</mo></mrow><mn>2</mn></msup></mrow></mrow>`},
		{"x = pow(a / b, 1.5) * c", `x = \left(\frac{a}{b}\right)^{1.5} \cdot c`, ""},
		{"x = pow(-a, 2) * b * c", `x = \left(- a\right)^{2} \cdot b \cdot c`, ""},
		{"x = pow(sqrt(a), 3) * b * c", `x = \left(\sqrt{a}\right)^{3} \cdot b \cdot c`, ""},
		{"x = pow(pow(a, 2), b) * c", `x = \left(a^{2}\right)^{b} \cdot c`, ""},
		{"x = pow(a, -b) * c", `x = a^{- b} \cdot c`, ""},
		{"x = pow(2, a) * pow(π, b) * c", `x = 2^{a} \cdot \pi^{b} \cdot c`, ""},
		{"x = 1 / (2 * π * sqrt(a * b)) + c", `x = \frac{1}{2 \cdot \pi \cdot \sqrt{a \cdot b}} + c`,
			`<mrow><mi>x</mi><mo>=</mo><mrow><mfrac><mn>1</mn><mrow><mrow><mn>2</mn><mo>·</mo><mi>π</mi></mrow><mo>·</mo><msqrt><mrow><mi>a</mi><mo>·</mo><mi>b</mi></mrow></msqrt></mrow></mfrac><mo>+</mo><mi>c</mi></mrow></mrow>`},
		{"x = 10 * log10(a / b) + c", `x = 10 \cdot \log_{10}\left(\frac{a}{b}\right) + c`, ""},
		{"x = max(a, b, c)", `x = \max\left(a;\thinspace b;\thinspace c\right)`,
			`<mrow><mi>x</mi><mo>=</mo><mrow><mi>max</mi><mo>(</mo><mi>a</mi><mo>;</mo><mi>b</mi><mo>;</mo><mi>c</mi><mo>)</mo></mrow></mrow>`},
		{"x = abs(a - b) + ceil(c)", `x = \left|a - b\right| + \left\lceil c\right\rceil`, ""},
		{"x = atan(a) + sin(b) - exp(c)", `x = \arctan\left(a\right) + \sin\left(b\right) - \exp\left(c\right)`, ""},
		{"x = 1.5e-6 * a * b * c", `x = 1.5 \cdot 10^{-6} \cdot a \cdot b \cdot c`,
			`<mrow><mi>x</mi><mo>=</mo><mrow><mrow><mrow><mrow><mn>1.5</mn><mo>·</mo><msup><mn>10</mn><mn>−6</mn></msup></mrow><mo>·</mo><mi>a</mi></mrow><mo>·</mo><mi>b</mi></mrow><mo>·</mo><mi>c</mi></mrow></mrow>`},
		{"x = pow(1e3, a) * b * c", `x = \left(1 \cdot 10^{3}\right)^{a} \cdot b \cdot c`, ""},
	} {
		symbols := []string{"x [] x"}
		for _, n := range []string{"a", "b", "c"} {
			if strings.ContainsRune(strings.NewReplacer("abs", "", "atan", "", "ceil", "", "max", "").Replace(c.text), rune(n[0])) {
				symbols = append(symbols, n+" [] "+n)
			}
		}
		f, err := NewFormula(c.text, laws, symbols...)
		require.NoError(t, err, c.text)
		got := f.Typeset()
		assert.Equal(t, c.tex, got.TeX, c.text)
		if c.mathml != "" {
			assert.Equal(t, c.mathml, got.MathML, c.text)
		}
	}
}

func TestTypesetSymbol(t *testing.T) {
	for _, c := range []struct{ name, tex, mathml string }{
		{"R", `R`, `<mi>R</mi>`},
		{"V_p1", `V_{\mathrm{p1}}`, `<msub><mi>V</mi><mi mathvariant="normal">p1</mi></msub>`},
		{"η", `\eta`, `<mi>η</mi>`},
		{"η_tank", `\eta_{\mathrm{tank}}`, `<msub><mi>η</mi><mi mathvariant="normal">tank</mi></msub>`},
		{"SWR", `\mathrm{SWR}`, `<mi>SWR</mi>`},
		{"ΔT", `\Delta T`, `<mi>ΔT</mi>`},
		{"C_tube_each", `C_{\mathrm{tube,each}}`, `<msub><mi>C</mi><mi mathvariant="normal">tube,each</mi></msub>`},
	} {
		got := TypesetSymbol(c.name)
		assert.Equal(t, c.tex, got.TeX)
		assert.Equal(t, c.mathml, got.MathML)
	}
}

func FuzzFormula(f *testing.F) {
	for _, s := range []string{"a + b", "pow(a, 2) * b", "sqrt(a)^2", "((a", "1e999 * a * b", "max(a, b, 1e-9)", "-a - -b", "a.b",
		"func(){}()", "π*µ_0", "a /* x */ + b", "a // b", "`a`", "0b1", "1_0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, right string) {
		if len(right) > 2000 {
			return
		}
		for _, symbols := range [][]string{{"x [] x", "a [] a", "b [] b"}, {"x [] x", "a [] a"}, {"x [V] x", "a [V] a"}} {
			formula, err := NewFormula("x = "+right, laws, symbols...)
			if err != nil {
				if strings.Contains(err.Error(), "runtime error") {
					t.Fatal(err)
				}
				continue
			}
			in := []float64{1.5, 2.5}[:len(formula.Inputs)]
			v := formula.Eval(in...)
			units := make([]string, len(in))
			typeset := formula.Typeset()
			if strings.Count(typeset.TeX, "{") != strings.Count(typeset.TeX, "}") {
				t.Fatalf("%q: %s", right, typeset.TeX)
			}
			if !math.IsNaN(v) && !math.IsInf(v, 0) {
				formula.Substitute(in, units, v, formula.Result.Unit)
			}
		}
	})
}
