package fourier

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Computed independently of this project by adaptive quadrature
// (published-checks §1.1 to §1.3): full flow angle [°], I0, I1, I2, I3, I1/I0,
// Imax/I0, efficiency at V1 = Vdc.
var pulseTables = map[float64][][8]float64{
	1: {
		{60, 0.11060, 0.21522, 0.19799, 0.17147, 1.94599, 9.04172, 0.9730},
		{90, 0.16491, 0.31016, 0.25616, 0.18113, 1.88076, 6.06374, 0.9404},
		{100, 0.18277, 0.33885, 0.26705, 0.17166, 1.85397, 5.47138, 0.9270},
		{120, 0.21800, 0.39100, 0.27566, 0.13783, 1.79362, 4.58725, 0.8968},
		{140, 0.25245, 0.43555, 0.26761, 0.09153, 1.72532, 3.96121, 0.8627},
		{160, 0.28595, 0.47197, 0.24527, 0.04259, 1.65051, 3.49709, 0.8253},
		{180, 0.31831, 0.50000, 0.21221, 0.00000, 1.57080, 3.14159, 0.7854},
		{200, 0.34929, 0.51974, 0.17269, -0.02999, 1.48798, 2.86294, 0.7440},
		{210, 0.36418, 0.52661, 0.15192, -0.03932, 1.44601, 2.74587, 0.7230},
		{240, 0.40600, 0.53633, 0.09189, -0.04594, 1.32102, 2.46306, 0.6605},
		{270, 0.44251, 0.53257, 0.04395, -0.03108, 1.20353, 2.25984, 0.6018},
		{300, 0.47204, 0.52045, 0.01422, -0.01231, 1.10254, 2.11845, 0.5513},
		{360, 0.50000, 0.50000, 0.00000, 0.00000, 1.00000, 2.00000, 0.5000},
	},
	1.5: {
		{60, 0.09761, 0.19083, 0.17810, 0.15831, 1.95502, 10.24491, 0.9775},
		{80, 0.12955, 0.24887, 0.21998, 0.17745, 1.92102, 7.71896, 0.9605},
		{90, 0.14533, 0.27625, 0.23619, 0.17915, 1.90079, 6.88068, 0.9504},
		{120, 0.19171, 0.35056, 0.26448, 0.15650, 1.82854, 5.21611, 0.9143},
		{140, 0.22162, 0.39273, 0.26672, 0.12472, 1.77207, 4.51215, 0.8860},
		{150, 0.23621, 0.41143, 0.26332, 0.10629, 1.74180, 4.23350, 0.8709},
		{160, 0.25052, 0.42850, 0.25725, 0.08732, 1.71042, 3.99167, 0.8552},
		{180, 0.27821, 0.45766, 0.23846, 0.05085, 1.64501, 3.59442, 0.8225},
		{200, 0.30446, 0.48027, 0.21331, 0.02044, 1.57743, 3.28447, 0.7887},
		{220, 0.32903, 0.49664, 0.18496, -0.00105, 1.50941, 3.03920, 0.7547},
		{270, 0.38111, 0.51454, 0.11876, -0.01747, 1.35011, 2.62390, 0.6751},
		{300, 0.40411, 0.51437, 0.09183, -0.01354, 1.27285, 2.47456, 0.6364},
		{360, 0.42441, 0.50930, 0.07276, -0.00808, 1.20000, 2.35619, 0.6000},
	},
	2: {
		{60, 0.08830, 0.17321, 0.16331, 0.14778, 1.96147, 11.32443, 0.9807},
		{80, 0.11713, 0.22633, 0.20382, 0.17017, 1.93238, 8.53779, 0.9662},
		{90, 0.13134, 0.25154, 0.22028, 0.17491, 1.91509, 7.61356, 0.9575},
		{100, 0.14541, 0.27571, 0.23402, 0.17548, 1.89609, 6.87710, 0.9480},
		{120, 0.17301, 0.32065, 0.25317, 0.16540, 1.85342, 5.78012, 0.9267},
		{150, 0.21276, 0.37863, 0.26176, 0.12992, 1.77962, 4.70017, 0.8898},
		{160, 0.22548, 0.39527, 0.25980, 0.11515, 1.75299, 4.43493, 0.8765},
		{180, 0.25000, 0.42441, 0.25000, 0.08488, 1.69765, 4.00000, 0.8488},
		{210, 0.28405, 0.45792, 0.22479, 0.04504, 1.61214, 3.52054, 0.8061},
		{220, 0.29455, 0.46650, 0.21478, 0.03453, 1.58374, 3.39497, 0.7919},
		{240, 0.31411, 0.48007, 0.19409, 0.01838, 1.52836, 3.18359, 0.7642},
		{270, 0.33928, 0.49269, 0.16509, 0.00515, 1.45215, 2.94742, 0.7261},
		{300, 0.35853, 0.49832, 0.14275, 0.00076, 1.38989, 2.78918, 0.6949},
		{360, 0.37500, 0.50000, 0.12500, 0.00000, 1.33333, 2.66667, 0.6667},
	},
}

func TestPulseTables(t *testing.T) {
	for p, rows := range pulseTables {
		for _, r := range rows {
			c, err := Components(p, r[0]/2*math.Pi/180, 3)
			require.NoError(t, err)
			for n := range 4 {
				assert.InDelta(t, r[n+1], c[n], 1.1e-5, "p %g, %g°, I%d", p, r[0], n)
			}
			assert.InDelta(t, r[5], c[1]/c[0], 2e-5, "p %g, %g°", p, r[0])
			assert.InDelta(t, r[6], 1/c[0], 2e-4, "p %g, %g°", p, r[0])
			assert.InDelta(t, r[7], Efficiency(c[0], c[1], 1), 1e-4, "p %g, %g°", p, r[0])
		}
	}
}

func TestLinearClosedForm(t *testing.T) {
	for deg := 5.0; deg <= 180; deg += 2.5 {
		a := deg * math.Pi / 180
		i0, i1, i2 := Linear(a)
		c, err := Components(1, a, 2)
		require.NoError(t, err)
		assert.InDelta(t, i0, c[0], 1e-9)
		assert.InDelta(t, i1, c[1], 1e-9)
		assert.InDelta(t, i2, c[2], 1e-9)
		assert.InDelta(t, Efficiency(i0, i1, 1), LinearEfficiency(2*a), 1e-9)
	}
}

func TestPointChecks(t *testing.T) {
	at := func(p, deg float64, n int) []float64 {
		c, err := Components(p, deg/2*math.Pi/180, n)
		require.NoError(t, err)
		return c
	}
	half := at(1, 180, 4)
	// 1.4a ideal class B; 50 % at 360°
	assert.InDelta(t, math.Pi/4, Efficiency(half[0], half[1], 1), 1e-6)
	full := at(1, 360, 1)
	assert.InDelta(t, 0.5, Efficiency(full[0], full[1], 1), 1e-6)
	// 1.4b closed form of the efficiency
	for deg, want := range map[float64]float64{180: 0.7854, 120: 0.8968, 200: 0.7440, 360: 0.5} {
		assert.InDelta(t, want, LinearEfficiency(deg*math.Pi/180), 1e-4)
	}
	// 1.4c half sine
	for n, want := range []float64{1 / math.Pi, 0.5, 2 / (3 * math.Pi), 0, -2 / (15 * math.Pi)} {
		assert.InDelta(t, want, half[n], 1e-9)
	}
	// 1.4d finite anode minimum (Terman)
	for h, want := range map[float64]float64{0.9: 0.7069, 0.85: 0.6676, 0.8: 0.6283} {
		assert.InDelta(t, want, Efficiency(half[0], half[1], h), 1e-4)
	}
	// 1.4e class B of the 3/2 law: Gamma-function identity of the integral,
	// mean = Γ(p/2+1/2)/(2·sqrt(π)·Γ(p/2+1)), and I1 = 2·mean(p+1)
	mean := func(p float64) float64 { return math.Gamma(p/2+0.5) / (2 * math.Sqrt(math.Pi) * math.Gamma(p/2+1)) }
	for _, p := range []float64{0.5, 1, 1.5, 2, 2.5} {
		c := at(p, 180, 1)
		assert.InDelta(t, mean(p), c[0], 1e-9)
		assert.InDelta(t, 2*mean(p+1), c[1], 1e-9)
	}
	// 1.4f peak over average by efficiency class (Radio Handbook, from memory, 5 %)
	for deg, want := range map[float64]float64{120: 4.5, 140: 4.0, 160: 3.5, 180: 3.1} {
		assert.InEpsilon(t, want, 1/at(1, deg, 0)[0], 0.05)
	}
	// 1.4g narrow pulses: I1/I0 → 2, efficiency → 1
	for _, p := range []float64{1, 1.5, 2} {
		c := at(p, 0.5, 1)
		assert.InDelta(t, 2, c[1]/c[0], 1e-5)
		assert.InDelta(t, 1, Efficiency(c[0], c[1], 1), 1e-5)
	}
	// 1.4h second harmonic against the fundamental
	db := func(c []float64) float64 { return 20 * math.Log10(c[2]/c[1]) }
	assert.InDelta(t, -9.57, db(at(1, 200, 2)), 0.05)
	assert.InDelta(t, -7.44, db(half), 0.05)
	assert.InDelta(t, -7.05, db(at(1.5, 200, 2)), 0.05)
}

// 2.1: full angle, p, exact I0 I1 I2, 13-point I0 I1 I2, 11-point I0 I1 I2.
func TestHandFormulas(t *testing.T) {
	rows := [][11]float64{
		{120, 1.0, 0.21800, 0.39100, 0.27566, 0.21484, 0.38783, 0.27884, 0.21957, 0.39223, 0.27331},
		{160, 1.0, 0.28595, 0.47197, 0.24527, 0.28668, 0.47206, 0.24375, 0.28746, 0.47239, 0.24226},
		{180, 1.0, 0.31831, 0.50000, 0.21221, 0.31649, 0.50000, 0.21590, 0.31569, 0.50000, 0.21756},
		{200, 1.0, 0.34929, 0.51974, 0.17269, 0.34981, 0.51968, 0.17162, 0.35036, 0.51944, 0.17057},
		{220, 1.0, 0.37863, 0.53160, 0.13121, 0.37904, 0.53122, 0.13069, 0.37786, 0.53196, 0.13265},
		{120, 1.5, 0.19171, 0.35056, 0.26448, 0.19104, 0.34997, 0.26537, 0.19163, 0.35024, 0.26412},
		{140, 1.5, 0.22162, 0.39273, 0.26672, 0.22208, 0.39307, 0.26603, 0.22167, 0.39297, 0.26694},
		{180, 1.5, 0.27821, 0.45766, 0.23846, 0.27792, 0.45771, 0.23905, 0.27776, 0.45775, 0.23940},
		{200, 1.5, 0.30446, 0.48027, 0.21331, 0.30467, 0.48020, 0.21290, 0.30474, 0.48013, 0.21279},
	}
	for _, r := range rows {
		a, p := r[0]/2*math.Pi/180, r[1]
		pulse := func(deg float64) float64 {
			x := (math.Cos(deg*math.Pi/180) - math.Cos(a)) / (1 - math.Cos(a))
			return math.Pow(math.Max(x, 0), p)
		}
		var y13 [13]float64
		var y11 [11]float64
		for k := range y13 {
			y13[k] = pulse(15 * float64(k))
		}
		for k := range y11 {
			y11[k] = pulse(18 * float64(k))
		}
		e, err := Components(p, a, 2)
		require.NoError(t, err)
		h, g := Hand13(y13), Hand11(y11)
		got := []float64{e[0], e[1], e[2], h.Mean, h.First, h.Second, g.Mean, g.First, g.Second}
		for k, v := range got {
			assert.InDelta(t, r[k+2], v, 1e-5, "%g° p %g, column %d", r[0], p, k)
		}
	}
}

func TestHandExamples(t *testing.T) {
	// 2.2a half sine, 13 points
	// (ordinates unrounded: the printed four digits already move I1 by 1.4e-5)
	var y [13]float64
	for k := range 6 {
		y[k] = math.Cos(float64(k) * math.Pi / 12)
		assert.InDelta(t, []float64{1, 0.9659, 0.8660, 0.7071, 0.5, 0.2588}[k], y[k], 5e-5)
	}
	h := Hand13Printed(y)
	assert.InDelta(t, 0.31649, h.Mean, 1e-5)
	assert.InDelta(t, 0.49951, h.First, 1e-5)
	assert.InDelta(t, 0.5, Hand13(y).First, 1e-12)
	// 2.2b half sine, 11 points
	z := [11]float64{1, 0.9511, 0.8090, 0.5878, 0.3090}
	g := Hand11Printed(z)
	assert.InDelta(t, 0.31569, g.Mean, 1e-5)
	assert.InDelta(t, 0.50028, g.First, 1e-5)
	// 2.2d load line of Transmitting Tubes TT-5 (1962), p. 53, as quoted:
	// 3000 V, 300 V, 1 A, class B: 5400 Ω; companions P1 675 W, 0.3183 A, 0.7069
	c, err := Components(1, math.Pi/2, 1)
	require.NoError(t, err)
	swing := 3000.0 - 300
	assert.InDelta(t, 5400, swing/c[1], 1e-6)
	assert.InDelta(t, 675, swing*c[1]/2, 1e-6)
	assert.InDelta(t, 0.3183, c[0], 1e-4)
	assert.InDelta(t, 0.7069, Efficiency(c[0], c[1], swing/3000), 1e-4)
}

// 2.2c: a synthetic triode in class AB2, computed independently.
func TestSyntheticTriode(t *testing.T) {
	i := func(th float64) float64 {
		c := math.Cos(th)
		return 8e-4 * math.Pow(math.Max(0, 115*c+(3000-2700*c)/100), 1.5)
	}
	var y [13]float64
	var z [11]float64
	for k := range y {
		y[k] = i(float64(k) * math.Pi / 12)
	}
	for k := range z {
		z[k] = i(float64(k) * math.Pi / 10)
	}
	for k, want := range []float64{1.0254, 0.9866, 0.8757, 0.7085, 0.5093, 0.3067, 0.1315, 0.0155, 0, 0, 0, 0, 0} {
		assert.InDelta(t, want, y[k], 1e-4)
	}
	// the same pulse in closed terms: 30 + 88 cos θ, cut off at cos a = −30/88
	c, err := Components(1.5, math.Acos(-30.0/88), 3)
	require.NoError(t, err)
	crest := 8e-4 * math.Pow(118, 1.5)
	h, g := Hand13(y), Hand11(z)
	for n, want := range []float64{0.33724, 0.50919, 0.18987, -0.00096} {
		assert.InDelta(t, want, crest*c[n], 2e-5)
	}
	for n, want := range []float64{0.33721, 0.50918, 0.18997, -0.00097} {
		assert.InDelta(t, want, []float64{h.Mean, h.First, h.Second, h.Third}[n], 2e-5)
	}
	for n, want := range []float64{0.33692, 0.50942, 0.19038, -0.00158} {
		assert.InDelta(t, want, []float64{g.Mean, g.First, g.Second, g.Third}[n], 2e-5)
	}
}

// §14: load-resistance and peak-pulse practice.
func TestLoadPractice(t *testing.T) {
	b, err := Components(1, math.Pi/2, 1)
	require.NoError(t, err)
	ab, err := Components(1, 100*math.Pi/180, 1)
	require.NoError(t, err)
	for k, h := range []float64{1, 0.9, 0.85, 0.8} {
		assert.InDelta(t, []float64{1.571, 1.745, 1.848, 1.963}[k], LoadFactor(b[0], b[1], h), 6e-4, "14e, h %g", h)
		assert.InDelta(t, []float64{1.488, 1.653, 1.751, 1.860}[k], LoadFactor(ab[0], ab[1], h), 6e-4, "14f, h %g", h)
	}
	for p, row := range map[float64][4]float64{1: {3.142, 2.863, 2.692, 2.641}, 1.5: {3.594, 3.285, 3.095, 3.039}} {
		for k, deg := range []float64{180, 200, 215, 220} {
			c, err := Components(p, deg/2*math.Pi/180, 0)
			require.NoError(t, err)
			assert.InDelta(t, row[k], 1/c[0], 6e-4, "14j, p %g, %g°", p, deg)
		}
	}
	// 14a, 14c: the trade's K per class brackets the theory
	assert.InDelta(t, 1.57, LoadFactor(b[0], b[1], 1), 0.005)
	assert.InDelta(t, 1.5, LoadFactor(ab[0], ab[1], 1), 0.015)
	narrow, err := Components(1, 0.2, 1)
	require.NoError(t, err)
	assert.InDelta(t, 2, LoadFactor(narrow[0], narrow[1], 1), 0.01)
}

func TestBadPulse(t *testing.T) {
	for _, c := range [][2]float64{{1, 0}, {1, -1}, {1, 4}, {0, 1}, {math.NaN(), 1}, {1, math.NaN()}} {
		_, err := Components(c[0], c[1], 1)
		assert.ErrorIs(t, err, ErrPulse)
	}
}

func BenchmarkComponents(b *testing.B) {
	for b.Loop() {
		if _, err := Components(1.5, 1.7, 7); err != nil {
			b.Fatal(err)
		}
	}
}
