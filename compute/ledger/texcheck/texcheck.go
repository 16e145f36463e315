// Package texcheck redoes the sums that a notebook prints: it reads one
// printed substitution, "X = … = result" in TeX, evaluates the middle from
// nothing but what stands on the page, and compares it with the printed
// result. It is for tests, and shares no code with the ledger's evaluator; it
// assumes the subset of TeX that the ledger writes, and SI units with the
// prefixes that package quantity knows.
package texcheck

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"anodebook/spec/quantity"
)

// Verify takes one printed substitution without dollar signs and checks that
// the middle evaluates to the printed result within one unit of the result's
// last printed digit. The error tells both values [SI].
func Verify(line string) error {
	parts := strings.Split(line, " = ")
	if len(parts) != 3 {
		return fmt.Errorf("texcheck: %q has %d parts between equals signs, want 3", line, len(parts))
	}
	got, err := Evaluate(parts[1])
	if err != nil {
		return err
	}
	want, last, err := result(parts[2])
	if err != nil {
		return err
	}
	if !(math.Abs(got-want) <= last*(1+1e-9)) {
		return fmt.Errorf("texcheck: %q: the middle gives %v, printed is %v, the last digit weighs %v", line, got, want, last)
	}
	return nil
}

// Evaluate computes an expression from its TeX [SI].
func Evaluate(tex string) (float64, error) {
	r := &reader{s: tex}
	v := r.sum()
	r.space()
	if r.err == nil && r.i < len(r.s) {
		r.fail("nothing more")
	}
	return v, r.err
}

// result reads the printed result and the weight of its last digit [SI].
func result(tex string) (value, last float64, err error) {
	r := &reader{s: strings.TrimSpace(tex)}
	sign := 1.0
	if r.take("-") {
		sign = -1
	}
	text := r.digits()
	n, perr := strconv.ParseFloat(text, 64)
	if perr != nil {
		return 0, 0, fmt.Errorf("texcheck: result %q does not begin with a number", tex)
	}
	last = 1
	if _, decimals, ok := strings.Cut(text, "."); ok {
		last = math.Pow(10, -float64(len(decimals)))
	} else if zeros := len(text) - len(strings.TrimRight(text, "0")); len(text)-zeros > 0 && len(text) > 4 {
		last = math.Pow(10, float64(min(zeros, len(text)-4)))
	}
	n *= sign
	if r.take(`\cdot`) {
		p := r.tenPower()
		n, last = n*p, last*p
	}
	factor, offset := r.unit()
	r.space()
	if r.err == nil && r.i < len(r.s) {
		r.fail("the end of the result")
	}
	return n*factor + offset, last * factor, r.err
}

// reader is a recursive descent over the TeX.
type reader struct {
	s     string
	i     int
	depth int
	err   error
}

func (r *reader) fail(want string) float64 {
	if r.err == nil {
		r.err = fmt.Errorf("texcheck: %q: at byte %d: want %s", r.s, r.i, want)
	}
	return math.NaN()
}

// space passes blanks and thin spaces that separate nothing.
func (r *reader) space() {
	for r.i < len(r.s) && r.s[r.i] == ' ' {
		r.i++
	}
}

// take passes a word if it stands next; a control word must end there.
func (r *reader) take(word string) bool {
	r.space()
	if !strings.HasPrefix(r.s[r.i:], word) {
		return false
	}
	end := r.i + len(word)
	if letter(word[len(word)-1]) && word[0] == '\\' && end < len(r.s) && letter(r.s[end]) {
		return false
	}
	r.i = end
	return true
}

func letter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }

func (r *reader) need(word string) {
	if !r.take(word) {
		r.fail(strconv.Quote(word))
	}
}

// sum is terms with + and - between; a leading - belongs to its first term.
func (r *reader) sum() float64 {
	if r.depth++; r.depth > 200 {
		return r.fail("less nesting")
	}
	defer func() { r.depth-- }()
	v := 0.0
	if !r.negative() && r.take("-") {
		v = -r.product()
	} else {
		v = r.product()
	}
	for r.err == nil {
		switch {
		case r.take("+"):
			v += r.product()
		case r.take("-"):
			v -= r.product()
		default:
			return v
		}
	}
	return math.NaN()
}

// negative tells whether a negative number stands next: its sign touches the
// digits and belongs to the number, before any unit (-20 °C).
func (r *reader) negative() bool {
	r.space()
	return r.i+1 < len(r.s) && r.s[r.i] == '-' && r.s[r.i+1] >= '0' && r.s[r.i+1] <= '9'
}

func (r *reader) product() float64 {
	v := r.power()
	for r.err == nil && r.take(`\cdot`) {
		v *= r.power()
	}
	return v
}

func (r *reader) power() float64 {
	v := r.atom()
	if r.err == nil && r.take("^{") {
		p := r.sum()
		r.need("}")
		v = math.Pow(v, p)
	}
	return v
}

func (r *reader) group() float64 {
	r.need("{")
	v := r.sum()
	r.need("}")
	return v
}

// arguments reads \left(a;\thinspace b\right).
func (r *reader) arguments() []float64 {
	r.need(`\left(`)
	a := []float64{r.sum()}
	for r.err == nil && r.take(`;\thinspace `) {
		a = append(a, r.sum())
	}
	r.need(`\right)`)
	return a
}

var calls = []struct {
	name string
	call func(a []float64) float64
}{
	{`\ln`, func(a []float64) float64 { return math.Log(a[0]) }},
	{`\log_{10}`, func(a []float64) float64 { return math.Log10(a[0]) }},
	{`\cos`, func(a []float64) float64 { return math.Cos(a[0]) }},
	{`\sin`, func(a []float64) float64 { return math.Sin(a[0]) }},
	{`\arctan`, func(a []float64) float64 { return math.Atan(a[0]) }},
	{`\exp`, func(a []float64) float64 { return math.Exp(a[0]) }},
	{`\min`, func(a []float64) float64 {
		m := a[0]
		for _, x := range a {
			m = math.Min(m, x)
		}
		return m
	}},
	{`\max`, func(a []float64) float64 {
		m := a[0]
		for _, x := range a {
			m = math.Max(m, x)
		}
		return m
	}},
}

func (r *reader) atom() float64 {
	switch {
	case r.take(`\frac`):
		a := r.group()
		return a / r.group()
	case r.take(`\sqrt`):
		return math.Sqrt(r.group())
	case r.take(`\left(`):
		v := r.sum()
		r.need(`\right)`)
		return v
	case r.take(`\left|`):
		v := r.sum()
		r.need(`\right|`)
		return math.Abs(v)
	case r.take(`\left\lceil`):
		v := r.sum()
		r.need(`\right\rceil`)
		return math.Ceil(v - 1e-9) // a whole number may miss itself by a rounding
	case r.take(`\pi`):
		return math.Pi
	case r.take(`\mu_0`):
		return 1.25663706212e-6 // CODATA 2018 [H/m]
	}
	for _, c := range calls {
		if r.take(c.name) {
			return c.call(r.arguments())
		}
	}
	sign := 1.0
	if r.negative() {
		sign = -1
		r.i++
	}
	text := r.digits()
	n, err := strconv.ParseFloat(text, 64)
	n *= sign
	if err != nil {
		return r.fail("a number, a fraction, a root, a function or a bracket")
	}
	if at := r.i; r.take(`\cdot`) && r.peek(`10^{`) {
		n *= r.tenPower() // 1.5 \cdot 10^{-7}: one number, so that a unit may follow
	} else {
		r.i = at
	}
	factor, offset := r.unit()
	return n*factor + offset
}

func (r *reader) peek(word string) bool {
	at := r.i
	ok := r.take(word)
	r.i = at
	return ok
}

func (r *reader) tenPower() float64 {
	r.need(`10^{`)
	end := strings.IndexByte(r.s[r.i:], '}')
	if end < 0 {
		return r.fail("}")
	}
	n, err := strconv.Atoi(strings.TrimSpace(r.s[r.i : r.i+end]))
	if err != nil {
		return r.fail("a whole exponent of ten")
	}
	r.i += end + 1
	return math.Pow(10, float64(n))
}

func (r *reader) digits() string {
	begin := r.i
	for r.i < len(r.s) && (r.s[r.i] >= '0' && r.s[r.i] <= '9' || r.s[r.i] == '.') {
		r.i++
	}
	return r.s[begin:r.i]
}

var plainUnit = strings.NewReplacer(`\Omega `, "Ω", `\Omega`, "Ω", `\mu `, "µ", `\mu`, "µ", `{}^{\circ}`, "°", `percent`, "%", "^2",
	"²", "^3", "³", `\cdot `, "·", `\cdot`, "·")

// unit reads "\thinspace\mathrm{…}" if it stands next.
func (r *reader) unit() (factor, offset float64) {
	if !r.take(`\thinspace\mathrm{`) {
		return 1, 0
	}
	begin, open := r.i, 1
	for r.i < len(r.s) && open > 0 {
		switch r.s[r.i] {
		case '{':
			open++
		case '}':
			open--
		}
		r.i++
	}
	if open > 0 {
		r.fail("the end of a unit")
		return 1, 0
	}
	name := plainUnit.Replace(r.s[begin : r.i-1])
	u, ok := quantity.LookupUnit(name)
	if !ok {
		r.fail("a known unit, not " + strconv.Quote(name))
		return 1, 0
	}
	return u.Factor, u.Offset
}
