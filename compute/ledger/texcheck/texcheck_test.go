package texcheck

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Sums worked by hand.
func TestEvaluate(t *testing.T) {
	for tex, want := range map[string]float64{
		`3`:                            3,
		`2 + 3 \cdot 4`:                14,
		`10 - 3 - 2`:                   5,
		`- 3 + 5`:                      2,
		`- 3 \cdot 2`:                  -6,
		`2 \cdot \left(3 + 4\right)`:   14,
		`\frac{6}{3} \cdot 2`:          4,
		`\frac{1 + 2}{\frac{3}{4}}`:    4,
		`\sqrt{16}`:                    4,
		`3^{2}`:                        9,
		`\left(\frac{1}{2}\right)^{2}`: 0.25,
		`2 \cdot 3^{2}`:                18,
		`\left(-3\thinspace\mathrm{V}\right)^{2}`: 9,
		`2^{-1}`:                                0.5,
		`1.5 \cdot 10^{-7}\thinspace\mathrm{F}`: 1.5e-7,
		`\left(2 \cdot 10^{3}\right)^{2}`:       4e6,
		`2 \cdot 10`:                            20,
		`2.8\thinspace\mathrm{kV}`:              2800,
		`4.7\thinspace\mathrm{k\Omega}`:         4700,
		`12\thinspace\mathrm{\mu H}`:            12e-6,
		`25\thinspace\mathrm{{}^{\circ}C}`:      298.15,
		`\left(-20\thinspace\mathrm{{}^{\circ}C}\right) + 5\thinspace\mathrm{K}`: 258.15,
		`5\thinspace\mathrm{percent}`:                                            0.05,
		`2\thinspace\mathrm{m^3/s} + 1\thinspace\mathrm{m^3/s}`:                  3,
		`1006\thinspace\mathrm{J/(kg\cdot K)}`:                                   1006,
		`\left|2 - 5\right|`:                                                     3,
		`\left\lceil 2.1\right\rceil`:                                            3,
		`\left\lceil 2\right\rceil`:                                              2,
		`\min\left(3;\thinspace 1;\thinspace 2\right)`:                           1,
		`\max\left(3;\thinspace 1 + 4\right)`:                                    5,
		`\log_{10}\left(1000\right)`:                                             3,
		`\ln\left(\exp\left(2\right)\right)`:                                     2,
		`\arctan\left(1\right) \cdot 4 - \pi`:                                    0,
		`\sin\left(0\right) + \cos\left(0\right)`:                                1,
		`\frac{\mu_0}{1.25663706212 \cdot 10^{-6}}`:                              1,
	} {
		got, err := Evaluate(tex)
		require.NoError(t, err, tex)
		assert.InDelta(t, want, got, 1e-12*(1+abs(want)), tex)
	}
}

func abs(x float64) float64 { return max(x, -x) }

func TestVerify(t *testing.T) {
	for _, good := range []string{
		`R = \frac{2800\thinspace\mathrm{V}}{700.0\thinspace\mathrm{mA}} = 4000\thinspace\mathrm{\Omega}`,
		`X_C = \frac{1}{2 \cdot \pi \cdot 3.600\thinspace\mathrm{MHz} \cdot 250.0\thinspace\mathrm{pF}} = 176.8\thinspace\mathrm{\Omega}`, // 176.84 Ω
		`N = 123456 = 123500`, `N = 12344 = 12340`, `N = 0.00012344 = 0.0001234`, `N = 1.2344 \cdot 10^{-7} = 1.234 \cdot 10^{-7}`,
		`N = - 5 = -5.000`,
	} {
		assert.NoError(t, Verify(good))
	}
	for _, bad := range []string{
		`R = \frac{2800\thinspace\mathrm{V}}{700.0\thinspace\mathrm{mA}} = 4002\thinspace\mathrm{\Omega}`,
		`R = \frac{2800\thinspace\mathrm{V}}{700.0\thinspace\mathrm{mA}} = 4000\thinspace\mathrm{k\Omega}`,
		`R = \frac{2800\thinspace\mathrm{V}}{700.0\thinspace\mathrm{A}} = 4000\thinspace\mathrm{\Omega}`,
		`X_C = \frac{1}{2 \cdot \pi \cdot 3.600\thinspace\mathrm{MHz} \cdot 250.0\thinspace\mathrm{pF}} = 177.0\thinspace\mathrm{\Omega}`,
		`N = 123456 = 123700`, `N = 1 = -1`, `N = 5 = 5.2`, `N = 1.2344 \cdot 10^{-7} = 1.234 \cdot 10^{-8}`,
		`N = 5`, `N = 5 = x`, `N = x = 5`, `N = \frac{1} = 5`, `N = 5\thinspace\mathrm{furlong} = 5`, `N = 5\thinspace\mathrm{V = 5`,
		`N = \left(5 = 5`, `N = \frac{0}{0} = 0`, `N = 5 5 = 5`, `N = 5 \pi = 15.71`, `N = 5 = 5 5`, `N = 2 \cdot 10^{x} = 2`,
	} {
		assert.Error(t, Verify(bad), bad)
	}
}

func FuzzEvaluate(f *testing.F) {
	for _, s := range []string{`\frac{1}{2}^{3}`, `\left(1;\thinspace 2\right)`, `1 \cdot 10^{`, `{`, `\left(\left(\left(`, `- - 1`,
		`1\thinspace\mathrm{{}^{\circ}C}`, `\min\left(1\right)`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		_, _ = Evaluate(s)
		_ = Verify("X = " + s + " = " + s)
	})
}
