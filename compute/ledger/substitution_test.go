package ledger

import (
	"math"
	"math/rand/v2"
	"testing"

	"anodebook/compute/ledger/texcheck"
	"anodebook/spec/quantity"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// printed are formulas of every kind that a notebook prints, with the span in
// which each input lies.
var printed = []struct {
	text    string
	symbols []string
	span    [][2]float64 // in order of Formula.Inputs
}{
	{"R = V / I", []string{"R [Ω] r", "V [V] v", "I [A] i"}, [][2]float64{{1, 6000}, {1e-3, 2}}},
	{"X_C = 1 / (2 * π * f * C)", []string{"X_C [Ω] x", "f [Hz] f", "C [F] c"}, [][2]float64{{1.8e6, 30e6}, {1e-12, 1e-6}}},
	{"f = 1 / (2 * π * sqrt(L * C))", []string{"f [Hz] f", "L [H] l", "C [F] c"}, [][2]float64{{1e-8, 1e-3}, {1e-12, 1e-6}}},
	{"E = C * pow(V, 2) / 2", []string{"E [J] e", "C [F] c", "V [V] v"}, [][2]float64{{1e-6, 1e-3}, {10, 8000}}},
	{"I = k * pow(V_g + V_p / µ, 1.5) / pow(U, 1.5)", []string{"I [A] i", "k [A] k", "V_g [V] g", "V_p [V] p", "µ [] mu", "U [V] u"},
		[][2]float64{{1e-3, 1}, {-10, 100}, {2000, 4000}, {100, 200}, {1, 2}}},
	{"P = V * I - Q", []string{"P [W] p", "V [V] v", "I [A] i", "Q [W] q"},
		[][2]float64{{2000, 4000}, {0.5, 1}, {0, 1900}}}, // may nearly cancel
	{"a = 10 * log10(P / Q)", []string{"a [dB] a", "P [W] p", "Q [W] q"}, [][2]float64{{1, 2000}, {1, 2000}}},
	{"t = -R * C * ln(U / V)", []string{"t [s] t", "R [Ω] r", "C [F] c", "U [V] u", "V [V] v"},
		[][2]float64{{1e3, 1e6}, {1e-6, 1e-3}, {60, 61}, {100, 4000}}},
	{"η = P / (P + Q)", []string{"η [%] e", "P [W] p", "Q [W] q"}, [][2]float64{{10, 2000}, {0.1, 1000}}},
	{"ΔT = P / (c_p * ρ * q)", []string{"ΔT [K] d", "P [W] p", "c_p [J/(kg·K)] c", "ρ [kg/m³] r", "q [m³/s] q"},
		[][2]float64{{100, 2000}, {1000, 1010}, {0.8, 1.3}, {1e-3, 0.02}}},
	{"T = T_i + ΔT", []string{"T [°C] t", "T_i [°C] i", "ΔT [K] d"}, [][2]float64{{250, 330}, {1, 100}}},
	{"B = µ_0 * N * I / l", []string{"B [T] b", "N [] n", "I [A] i", "l [m] l"}, [][2]float64{{3, 60}, {0.1, 20}, {0.05, 0.3}}},
	{"N = ceil(V / U)", []string{"N [] n", "V [V] v", "U [V] u"}, [][2]float64{{1000, 20000}, {100, 1000}}},
	{"V = max(A, B) + abs(A - B)", []string{"V [V] v", "A [V] a", "B [V] b"}, [][2]float64{{-100, 6000}, {10, 6000}}},
	{"x = atan(X / R) + cos(φ) * exp(-y)", []string{"x [] x", "X [Ω] x", "R [Ω] r", "φ [] phi", "y [] y"},
		[][2]float64{{1, 1000}, {1, 1000}, {0, 1.5}, {0, 5}}},
	{"I_2t = pow(I, 2) * t", []string{"I_2t [A²s] i", "I [A] i", "t [s] t"}, [][2]float64{{1, 500}, {1e-3, 0.1}}},
	{"δ = sqrt(ρ / (π * f * µ_0))", []string{"δ [m] d", "ρ [Ω·m] r", "f [Hz] f"}, [][2]float64{{1.6e-8, 3e-8}, {1.8e6, 30e6}}},
	{"y = a * b", []string{"y [] y", "a [] a", "b [] b"}, [][2]float64{{1e-9, 1e-3},
		{1e-3, 1}}}, // down to where an exponent is printed
}

// A reader who redoes the sum from the printed page gets the printed result:
// each substitution is evaluated by texcheck, which knows only the page.
func TestPrintedSubstitutionsAddUp(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for _, c := range printed {
		t.Run(c.text, func(t *testing.T) {
			f, err := NewFormula(c.text, laws, c.symbols...)
			require.NoError(t, err)
			require.Len(t, c.span, len(f.Inputs))
			units := make([]string, len(f.Inputs))
			for i, s := range f.Inputs {
				units[i] = s.Unit
			}
			checked := 0
			for range 300 {
				in := make([]float64, len(f.Inputs))
				for i, s := range c.span {
					if s[0] > 0 {
						in[i] = s[0] * math.Pow(s[1]/s[0], r.Float64())
					} else {
						in[i] = s[0] + (s[1]-s[0])*r.Float64()
					}
				}
				v := f.Eval(in...)
				if math.IsNaN(v) || math.IsInf(v, 0) {
					continue
				}
				line := f.Substitute(in, units, v, f.Result.Unit)
				require.NoError(t, texcheck.Verify(line.TeX), "%v", in)
				checked++
			}
			require.Greater(t, checked, 250)
		})
	}
}

// Four digits are enough where nothing cancels, and no more are printed then.
func TestDigitsAreNotWasted(t *testing.T) {
	f := MustFormula("R = V / I", laws, "R [Ω] r", "V [V] v", "I [A] i")
	line := f.Substitute([]float64{2800, 0.7}, []string{"V", "A"}, 4000, "Ω")
	assert.Equal(t, `R = \frac{2800\thinspace\mathrm{V}}{700.0\thinspace\mathrm{mA}} = 4000\thinspace\mathrm{\Omega}`, line.TeX)
	assert.Equal(t,
		`<mrow><mi>R</mi><mo>=</mo><mfrac><mrow><mn>2800</mn><mspace width="0.17em"></mspace><mi mathvariant="normal">V</mi></mrow><mrow><mn>700.0</mn><mspace width="0.17em"></mspace><mi mathvariant="normal">mA</mi></mrow></mfrac><mo>=</mo><mrow><mn>4000</mn><mspace width="0.17em"></mspace><mi mathvariant="normal">Ω</mi></mrow></mrow>`, line.MathML)

	d := MustFormula("D = A - B", laws, "D [V] d", "A [V] a", "B [V] b")
	assert.Equal(t, 4, d.printedDigits([]float64{3000, 1000}, []string{"V", "V"}, 2000))
	assert.Greater(t, d.printedDigits([]float64{3000.1234, 3000}, []string{"V", "V"}, 0.1234), 6,
		"a small difference needs its operands in full")
	line = d.Substitute([]float64{-3, 2}, []string{"V", "V"}, -5, "V")
	assert.Equal(t, `D = \left(-3.000\thinspace\mathrm{V}\right) - 2.000\thinspace\mathrm{V} = -5.000\thinspace\mathrm{V}`, line.TeX)
}

// lastDigit is the weight of the last digit that is printed.
func TestLastDigit(t *testing.T) {
	for _, c := range []struct {
		v    float64
		unit string
		want float64
	}{
		{2800, "V", 1}, {12345, "V", 10}, {0.7, "A", 1e-4}, {250e-12, "F", 1e-13}, {0.05, "%", 1e-5}, {1.234e-7, "", 1e-10},
		{123456, "", 100}, {298.15, "°C", 0.01}, {-35.26, "dB", 0.01},
	} {
		assert.InEpsilon(t, c.want, lastDigit(c.v, c.unit), 1e-9, "%v %s: %s", c.v, c.unit, quantity.Format(c.v, c.unit, resultDigits))
	}
}
