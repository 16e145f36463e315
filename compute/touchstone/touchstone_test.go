package touchstone

import (
	"bytes"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/twoport"
)

func degrees(mag, angle float64) complex128 { return cmplx.Rect(mag, angle*math.Pi/180) }

func near(t *testing.T, want, got complex128, tolerance float64, what ...any) {
	t.Helper()
	assert.InDelta(t, 0, cmplx.Abs(got-want), tolerance*math.Max(1, cmplx.Abs(want)), "%v: want %v, got %v", what, want, got)
}

// Examples of the specification, from memory: the option line alone decides
// what the numbers are, and version 1 holds Z and Y normalised to R.
func TestExamplesOfTheStandard(t *testing.T) {
	// "1-port Z-parameter file, multiple frequency points": MHz, Z, MA, R 75.
	d, err := Parse("a.s1p", []byte("!1-port Z-parameter file, multiple frequency points\n# MHz Z MA R 75\n!freq magZ11 angZ11\n100 0.99 -4\n200 0.80 -22\n300 0.707 -45\n400 0.40 -62\n500 0.01 -89\n"))
	require.NoError(t, err)
	require.Len(t, d.Points, 5)
	assert.Equal(t, 300e6, d.Points[2].Frequency)
	near(t, 75*degrees(0.707, -45), d.Points[2].Matrix[0][0], 1e-12, "normalised")
	// The bare "#" is GHz S MA R 50, and a two-port is written 11 21 12 22.
	d, err = Parse("b.s2p", []byte("#\n1.0000 0.3926 -0.1211 -0.0003 -0.0021 -0.0003 -0.0021 0.3926 -0.1211\n"))
	require.ErrorContains(t, err, "b.s2p:2:1: a magnitude of -0.0003 is negative")
	require.Nil(t, d)
	d, err = Parse("b.s2p", []byte("# GHZ S RI R 50.0\n1.0000 0.3926 -0.1211 -0.0003 -0.0021 -0.0013 -0.0031 0.3926 -0.1211\n2.0000 0.3517 -0.3054 -0.0096 -0.0298 -0.0096 -0.0298 0.3517 -0.3054\n"))
	require.NoError(t, err)
	near(t, complex(-0.0003, -0.0021), d.Points[0].Matrix[1][0], 0, "21 before 12")
	near(t, complex(-0.0013, -0.0031), d.Points[0].Matrix[0][1], 0)
	// Two-port with noise data, which begins where the frequency falls.
	d, err = Parse("c.s2p", []byte("# GHz S MA R 50\n2 .95 -26 3.57 157 .04 76 .66 -14\n22 .60 -144 1.30 40 .14 40 .56 -85\n! NOISE PARAMETERS\n4 .7 .64 69 .38\n18 2.7 .46 -33 .40\n"))
	require.NoError(t, err)
	require.Len(t, d.Points, 2)
	near(t, degrees(3.57, 157), d.Points[0].Matrix[1][0], 1e-12)
}

func TestVersion2(t *testing.T) {
	text := "! comment first\n[Version] 2.0\n# MHz Z RI R 50\n[Number of Ports] 2\n[Two-Port Data Order] 12_21\n[Number of Frequencies] 2\n[Number of Noise Frequencies] 1\n[Reference]\n2600\n50 ! second\n[Matrix Format] Full\n[Begin Information]\nanything 1 2 3\n[End Information]\n[Network Data]\n3.5 1 2 3 4\n 5 6 7 8\n4 1 2 3 4 5 6 7 8\n[Noise Data]\n4 1 2 3 4\n[End]\nwhat follows is not read"
	d, err := Parse("a.ts", []byte(text))
	require.NoError(t, err)
	assert.Equal(t, [2]float64{2600, 50}, d.Reference)
	assert.Equal(t, Matrix{{1 + 2i, 3 + 4i}, {5 + 6i, 7 + 8i}}, d.Points[0].Matrix, "not normalised, 12 before 21, wrapped")
	d, err = Parse("a.s2p", []byte(strings.NewReplacer("12_21", "21_12").Replace(text)))
	require.NoError(t, err)
	assert.Equal(t, 5+6i, d.Points[0].Matrix[0][1])
	for format, want := range map[string]complex128{"Lower": 5 + 6i, "Upper": 5 + 6i} {
		d, err = Parse("a.s2p", []byte("[Version] 2.0\n# Hz S RI\n[Number of Ports] 2\n[Two-Port Data Order] 12_21\n[Number of Frequencies] 1\n[Matrix Format] "+format+"\n[Network Data]\n7 1 2\n5 6\n3 4\n[End]\n"))
		require.NoError(t, err)
		assert.Equal(t, Matrix{{1 + 2i, want}, {want, 3 + 4i}}, d.Points[0].Matrix, "reciprocal")
	}
}

func randomMatrix(r *rand.Rand, ports int) (m Matrix) {
	for i := range ports {
		for k := range ports {
			m[i][k] = complex(2*r.Float64()-1, 2*r.Float64()-1) * 0.6
		}
	}
	return m
}

// Whatever is written is read as the same numbers: every kind, form, unit,
// version and number of ports.
func TestRoundTrip(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	for range 300 {
		d := &Data{Ports: 1 + r.IntN(2), Kind: Scattering, Reference: [2]float64{50, 50}}
		f := Format{Version: 1 + r.IntN(2), Form: Form(r.IntN(3)), Unit: math.Pow(1e3, float64(r.IntN(4))), Comments: []string{"made up"}}
		if r.IntN(2) == 0 {
			d.Reference = [2]float64{1 + 4000*r.Float64(), 1 + 4000*r.Float64()}
			if f.Version == 1 {
				d.Reference[1] = d.Reference[0]
			}
		}
		kinds := []Kind{Scattering, Impedance, Admittance, Hybrid, Inverse}
		d.Kind = kinds[r.IntN(1+2*d.Ports)]
		if d.Kind == Hybrid && d.Ports == 1 {
			d.Kind = Impedance
		}
		at := 0.0
		for range 1 + r.IntN(9) {
			at += 1e6 * (0.1 + r.Float64())
			d.Points = append(d.Points, Point{at, randomMatrix(r, d.Ports)})
		}
		text, err := d.Write(f)
		require.NoError(t, err)
		back, err := Parse([]string{"", "x.s1p", "x.s2p"}[d.Ports], text)
		require.NoError(t, err, "%s", text)
		require.Equal(t, d.Kind, back.Kind)
		require.Equal(t, d.Reference[:d.Ports], back.Reference[:d.Ports])
		require.Len(t, back.Points, len(d.Points))
		for i, p := range d.Points {
			require.InEpsilon(t, p.Frequency, back.Points[i].Frequency, 1e-14)
			for a := range d.Ports {
				for b := range d.Ports {
					near(t, p.Matrix[a][b], back.Points[i].Matrix[a][b], 1e-12)
				}
			}
		}
		again, err := d.Write(f)
		require.NoError(t, err)
		require.Equal(t, text, again)
	}
}

// Definitions, by hand: a resistor, and what a one-port of S is as Z and Y.
func TestOnePort(t *testing.T) {
	one := func(k Kind, ref float64, v complex128) *Data {
		return &Data{Ports: 1, Kind: k, Reference: [2]float64{ref}, Points: []Point{{1e6, Matrix{{v}}}}}
	}
	to := func(d *Data, k Kind, ref ...float64) complex128 {
		out, err := d.To(k, ref...)
		require.NoError(t, err)
		assert.Zero(t, out.Points[0].Matrix[1][1])
		return out.Points[0].Matrix[0][0]
	}
	near(t, 1.0/3, to(one(Impedance, 50, 100), Scattering), 1e-15, "(100 − 50)/(100 + 50)")
	near(t, -1.0/3, to(one(Impedance, 50, 100), Scattering, 200), 1e-15)
	near(t, 0.01, to(one(Impedance, 50, 100), Admittance), 1e-15)
	near(t, 100, to(one(Scattering, 50, 1.0/3), Impedance), 1e-13)
	near(t, -1.0/3, to(one(Scattering, 50, 1.0/3), Scattering, 200), 1e-15)
	near(t, 0, to(one(Scattering, 50, -1), Impedance), 0, "a short")
	_, err := one(Scattering, 50, 1).To(Impedance)
	require.ErrorIs(t, err, ErrSingular, "an open circuit has no impedance")
	near(t, 0, to(one(Scattering, 50, 1), Admittance), 0)
	near(t, 1, to(one(Scattering, 50, 1), Scattering, 75), 1e-15, "open in every reference")
	_, err = one(Impedance, 50, 1).To(Hybrid)
	require.Error(t, err)
	_, err = one(Impedance, 50, 1).To(Scattering, -1)
	require.Error(t, err)
	_, err = one(Impedance, 50, 1).To(Scattering, 50, 50)
	require.Error(t, err)
}

// A series resistor of 50 Ω between 50 Ω has S21 = 2/3, S11 = 1/3 (any text);
// it has Y and no Z, a shunt resistor the reverse.
func TestTwoPortByHand(t *testing.T) {
	series := OfChain(1, 50, 0, 1, 50, 50)
	near(t, 1.0/3, series[0][0], 1e-15)
	near(t, 2.0/3, series[1][0], 1e-15)
	assert.Equal(t, series[1][0], series[0][1])
	d := &Data{Ports: 2, Kind: Scattering, Reference: [2]float64{50, 50}, Points: []Point{{1e6, series}}}
	_, err := d.To(Impedance)
	require.ErrorIs(t, err, ErrSingular)
	y, err := d.To(Admittance)
	require.NoError(t, err)
	near(t, -0.02, y.Points[0].Matrix[1][0], 1e-15)
	h, err := d.To(Hybrid)
	require.NoError(t, err)
	near(t, 50, h.Points[0].Matrix[0][0], 1e-13)
	near(t, -1, h.Points[0].Matrix[1][0], 1e-14)
	near(t, 1, h.Points[0].Matrix[0][1], 1e-14)
	near(t, 0, h.Points[0].Matrix[1][1], 1e-16)
	d.Points[0].Matrix = OfChain(1, 0, 0.02, 1, 50, 50)
	_, err = d.To(Admittance)
	require.ErrorIs(t, err, ErrSingular)
	g, err := d.To(Inverse)
	require.NoError(t, err)
	near(t, 0.02, g.Points[0].Matrix[0][0], 1e-15)
}

// Identities over random networks: there and back, by way of another kind and
// of other references, is where it began; Z·Y = 1, H·G = 1; an S of unequal
// references is the textbook's from Z.
func TestConversionIdentities(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 3))
	kinds := []Kind{Scattering, Impedance, Admittance, Hybrid, Inverse}
	for range 500 {
		ref := [2]float64{5 + 3000*r.Float64(), 5 + 3000*r.Float64()}
		d := &Data{Ports: 2, Kind: Scattering, Reference: ref, Points: []Point{{1e6, randomMatrix(r, 2)}}}
		a, b := kinds[r.IntN(5)], kinds[r.IntN(5)]
		other := []float64{10 + 900*r.Float64(), 10 + 900*r.Float64()}
		x, err := d.To(a)
		require.NoError(t, err)
		x, err = x.To(b, other...)
		require.NoError(t, err)
		x, err = x.To(Scattering, ref[0], ref[1])
		require.NoError(t, err)
		for i := range 2 {
			for k := range 2 {
				near(t, d.Points[0].Matrix[i][k], x.Points[0].Matrix[i][k], 1e-7, a, b)
			}
		}
		inverse := func(a, b Kind) {
			p, err := d.To(a)
			require.NoError(t, err)
			q, err := d.To(b)
			require.NoError(t, err)
			one := p.Points[0].Matrix.times(q.Points[0].Matrix)
			near(t, 1, one[0][0], 1e-8)
			near(t, 1, one[1][1], 1e-8)
		}
		inverse(Impedance, Admittance)
		inverse(Hybrid, Inverse)
		// S11 from Z with unequal references, as the textbooks print it.
		z, err := d.To(Impedance)
		require.NoError(t, err)
		m := z.Points[0].Matrix
		z1, z2 := complex(ref[0], 0), complex(ref[1], 0)
		det := (m[0][0]+z1)*(m[1][1]+z2) - m[0][1]*m[1][0]
		near(t, ((m[0][0]-z1)*(m[1][1]+z2)-m[0][1]*m[1][0])/det, d.Points[0].Matrix[0][0], 1e-8)
		near(t, 2*m[1][0]*complex(math.Sqrt(ref[0]*ref[1]), 0)/det, d.Points[0].Matrix[1][0], 1e-8)
	}
}

// The chain of package twoport and S agree: what port 1 sees with port 2
// closed by its reference is (1 + S11)/(1 − S11)·R1, and power balances in a
// lossless network.
func TestOfChainAgainstTwoport(t *testing.T) {
	c := twoport.Chain{Elements: []twoport.Element{twoport.ShuntCapacitor("a", 180e-12, 0), twoport.SeriesInductor("b", 9e-6, 0), twoport.ShuntCapacitor("c", 1e-9, 0)}}
	for f := 1e6; f < 30e6; f *= 1.1 {
		m := c.Matrix(f)
		s := OfChain(m.A, m.B, m.C, m.D, 2600, 50)
		z := c.InputImpedance(f, 50)
		near(t, (z-2600)/(z+2600), s[0][0], 1e-10)
		assert.InDelta(t, 1, math.Pow(cmplx.Abs(s[0][0]), 2)+math.Pow(cmplx.Abs(s[1][0]), 2), 1e-9)
		near(t, s[1][0], s[0][1], 1e-12, "reciprocal")
	}
}

func TestInterpolation(t *testing.T) {
	d := &Data{Ports: 1, Kind: Impedance, Reference: [2]float64{50}, Points: []Point{{1e6, Matrix{{10}}}, {3e6, Matrix{{20 + 8i}}}, {4e6, Matrix{{1}}}}}
	for f, want := range map[float64]complex128{1e6: 10, 1.5e6: 12.5 + 2i, 3e6: 20 + 8i, 4e6: 1} {
		m, ok := d.At(f)
		require.True(t, ok)
		near(t, want, m[0][0], 1e-14)
	}
	for _, f := range []float64{0, 0.999e6, 4.001e6, math.Inf(1), math.NaN()} {
		_, ok := d.At(f)
		assert.False(t, ok, "%g: nothing is extrapolated", f)
	}
}

// Every bad file gives the message beside it, and no file is accepted by
// mistake.
func TestBadFiles(t *testing.T) {
	v2 := "[Version] 2.0\n# MHz S RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 1\n[Network Data]\n3 1 2\n[End]\n"
	_, err := Parse("a.s1p", []byte(v2))
	require.NoError(t, err)
	cases := []struct{ name, text, want string }{
		{"a.s3p", "# MHz", `a.s3p:1:1: the ending ".s3p" does not tell`},
		{"a.txt", "", `the ending ".txt"`},
		{"a.s1p", "", "a.s1p:1:1: no data"},
		{"a.s1p", "! only comments\n\n", "a.s1p:2:1: no data"},
		{"a.s1p", "1 2 3\n", "a.s1p:1:1: numbers before the option line"},
		{"a.s1p", "# MHz S RI R 50\n1 0.5 nan\n", `a.s1p:2:7: "nan" is not a number`},
		{"a.s1p", "# MHz S RI R 50\n1 Inf 0\n", `a.s1p:2:3: "Inf" is not a number`},
		{"a.s1p", "# MHz S RI R 50\n1 1e999 0\n", `a.s1p:2:3: "1e999" is beyond all reason`},
		{"a.s1p", "# MHz S RI R 50\n1 1e14 0\n", `a parameter of 1e+14, 0 is beyond all reason`},
		{"a.s1p", "# MHz S DB R 50\n1 99999 0\n", `beyond all reason`},
		{"a.s1p", "# MHz S RI R 50\n1 0x1p4 0\n", `"0x1p4" is not a number`},
		{"a.s1p", "# MHz S RI R 50\n1 1_0 0\n", `"1_0" is not a number`},
		{"a.s1p", "# MHz S RI R 50\n1,5 1 0\n", `"1,5" is not a number`},
		{"a.s1p", "# MHz S RI R 50\n-1 1 0\n", "a.s1p:2:1: a frequency of -1e+06 Hz is negative"},
		{"a.s1p", "# GHz S RI R 50\n1e9 1 0\n", "beyond all reason"},
		{"a.s1p", "# MHz S RI R 50\n2 1 0\n1 1 0\n", "a.s1p:3:1: 1e+06 Hz does not lie above the frequency before, 2e+06 Hz"},
		{"a.s1p", "# MHz S RI R 50\n2 1 0\n2 1 0\n", "does not lie above"},
		{"a.s1p", "# MHz S RI R 50\n2 1\n3 1 0\n", "a.s1p:2:1: 5 numbers where 3 belong"},
		{"a.s1p", "# MHz S RI R 50\n2 1\n", "a.s1p:2:1: only 2 numbers for the last frequency"},
		{"a.s2p", "# MHz S RI R 50\n2 1 0\n", "only 3 numbers"},
		{"a.s2p", "# MHz S RI R 50\n2 1 0 1 0 1 0 1 0\n1 1 0 1 0 1 0 1 0\n", "a.s2p:3:1: 1e+06 Hz does not lie above"},
		{"a.s2p", "# MHz S RI R 50\n2 1 0 1 0 1 0 1 0\n1 1 0 1 0\n1 0 1 0\n", "a.s2p:4:1: neither network data nor noise data"},
		{"a.s1p", "# MHz S RI R -50\n1 1 0\n", `"-50" is no reference resistance`},
		{"a.s1p", "# MHz S RI R 0\n1 1 0\n", `"0" is no reference resistance`},
		{"a.s1p", "# MHz S RI R\n1 1 0\n", "R without a resistance"},
		{"a.s1p", "# THz S RI R 50\n1 1 0\n", `a.s1p:1:3: "THz" is not known in an option line`},
		{"a.s1p", "# MHz H RI R 50\n1 1 0\n", "H parameters of a one-port do not exist"},
		{"a.s1p", "[Network Data]\n", "a keyword in a file of version 1"},
		{"a.s1p", strings.Replace(v2, "2.0", "3.0", 1), `"3.0" is not a version`},
		{"a.s1p", "# MHz\n[Version] 2.0\n", "[Version] is not the first line"},
		{"a.s1p", strings.Replace(v2, "[End]\n", "", 1), "no [End]"},
		{"a.s1p", strings.Replace(v2, "Frequencies] 1", "Frequencies] 2", 1), "a.s1p:4:1: 2 frequencies are announced, 1 are there"},
		{"a.s1p", strings.Replace(v2, "Frequencies] 1", "Frequencies] 99999999999999999999", 1), "frequencies"},
		{"a.s2p", v2, "1 port(s), but the name of the file tells 2"},
		{"a.s1p", strings.Replace(v2, "Ports] 1", "Ports] 40", 1), `"40" ports`},
		{"a.ts", strings.Replace(v2, "Ports] 1", "Ports] 2", 1), "no [Two-Port Data Order]"},
		{"a.s1p", strings.Replace(v2, "[Network", "[Reference] 50 50\n[Network", 1), "2 reference resistances for 1 port"},
		{"a.s1p", strings.Replace(v2, "[Network", "[Reference]\n-3\n[Network", 1), "-3 is no reference resistance"},
		{"a.s1p", strings.Replace(v2, "[Network Data]\n", "", 1), "numbers before [Network Data]"},
		{"a.s1p", strings.Replace(v2, "[Network", "[Nonsense] 1\n[Network", 1), "[nonsense] is not a keyword"},
		{"a.s1p", strings.Replace(v2, "[Network", "[Mixed-Mode Order] D\n[Network", 1), "mixed modes are not read"},
		{"a.s1p", strings.Replace(v2, "[End]", "[Matrix Format] Full\n[End]", 1), "stands behind the data"},
		{"a.s1p", strings.Replace(v2, "[End]", "[End", 1), "without its closing bracket"},
		{"a.s1p", strings.Replace(v2, "# MHz S RI R 50\n", "", 1), "no option line"},
	}
	for _, c := range cases {
		d, err := Parse(c.name, []byte(c.text))
		require.Error(t, err, c.text)
		assert.Nil(t, d)
		assert.Contains(t, err.Error(), c.want, c.text)
		var ps Problems
		require.ErrorAs(t, err, &ps)
		assert.LessOrEqual(t, len(ps), maxProblems)
	}
}

func TestHostileSizes(t *testing.T) {
	_, err := Parse("a.s1p", bytes.Repeat([]byte("1 2 3\n"), 10<<20/6))
	require.ErrorContains(t, err, "bytes; the limit is")
	var many bytes.Buffer
	many.WriteString("# Hz S RI R 50\n")
	for i := range MaxPoints + 5 {
		fmt.Fprintf(&many, "%d 0 0\n", i)
	}
	_, err = Parse("a.s1p", many.Bytes())
	require.ErrorContains(t, err, fmt.Sprintf("a.s1p:%d:1: more than %d frequencies", MaxPoints+2, MaxPoints))
	_, err = Parse("a.s1p", []byte("# Hz S RI R 50\n"+strings.Repeat("x ", 1<<20)))
	require.ErrorContains(t, err, `"x" is not a number`)
	_, err = Parse("a.s1p", []byte("# Hz S RI R 50\n"+strings.Repeat("1 ", 1<<20)))
	require.ErrorContains(t, err, "numbers where 3 belong")
	_, err = Parse("a.s1p", []byte("# Hz S RI R 50\n"+strings.Repeat("x\n", 1<<20)))
	assert.Len(t, err, maxProblems, "no flood of messages")
}

func TestWriteRefuses(t *testing.T) {
	good := func() *Data {
		return &Data{Ports: 2, Kind: Scattering, Reference: [2]float64{50, 50}, Points: []Point{{1, Matrix{{1, 1}, {1, 1}}}}}
	}
	_, err := good().Write(Format{})
	require.NoError(t, err)
	for what, spoil := range map[string]func(*Data, *Format){
		"references": func(d *Data, f *Format) { d.Reference[1] = 75 },
		"NaN":        func(d *Data, f *Format) { d.Points[0].Matrix[0][0] = cmplx.NaN() },
		"infinite":   func(d *Data, f *Format) { d.Points[0].Matrix[1][1] = cmplx.Inf() },
		"order":      func(d *Data, f *Format) { d.Points = append(d.Points, d.Points[0]) },
		"negative":   func(d *Data, f *Format) { d.Points[0].Frequency = -1 },
		"empty":      func(d *Data, f *Format) { d.Points = nil },
		"ports":      func(d *Data, f *Format) { d.Ports = 3 },
		"comment":    func(d *Data, f *Format) { f.Comments = []string{"a\n# GHz"} },
		"signs":      func(d *Data, f *Format) { f.Comments = []string{"50 Ω"} },
		"unit":       func(d *Data, f *Format) { f.Unit = 7 },
		"decibels":   func(d *Data, f *Format) { f.Form = DB; d.Points[0].Matrix[0][1] = 0 },
		"kind":       func(d *Data, f *Format) { d.Kind = 'X' },
	} {
		d, f := good(), Format{}
		spoil(d, &f)
		_, err := d.Write(f)
		require.Error(t, err, what)
	}
}

// FuzzParse: no text makes the parser fail in any other way than by Problems,
// and what it accepts can be written and is read again as the same.
func FuzzParse(f *testing.F) {
	files, err := filepath.Glob("../../testdata/touchstone/*.s?p")
	require.NoError(f, err)
	require.NotEmpty(f, files)
	for _, path := range files {
		b, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(b, strings.HasSuffix(path, "s2p"))
	}
	f.Fuzz(func(t *testing.T, text []byte, two bool) {
		name := "f.s1p"
		if two {
			name = "f.s2p"
		}
		d, err := Parse(name, text)
		if err != nil {
			var ps Problems
			require.ErrorAs(t, err, &ps)
			require.NotEmpty(t, ps)
			for _, p := range ps {
				require.Positive(t, p.Line)
				require.Positive(t, p.Column)
				require.NotEmpty(t, p.What)
			}
			return
		}
		out, err := d.Write(Format{Version: 2, Form: RI})
		require.NoError(t, err)
		back, err := Parse(name, out)
		require.NoError(t, err, "%s", out)
		require.Equal(t, d, back)
		low, high := d.Span()
		_, ok := d.At(low + (high-low)/2)
		require.True(t, ok)
		if s, err := d.To(Scattering, []float64{50, 50}[:d.Ports]...); err == nil {
			require.Len(t, s.Points, len(d.Points))
		}
	})
}

func BenchmarkWrite(b *testing.B) {
	d := &Data{Ports: 2, Kind: Scattering, Reference: [2]float64{50, 50}}
	r := rand.New(rand.NewPCG(1, 1))
	for i := range 130 {
		d.Points = append(d.Points, Point{1e6 + 1e4*float64(i), randomMatrix(r, 2)})
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := d.Write(Format{Digits: 7, Form: RI}); err != nil {
			b.Fatal(err)
		}
	}
}
