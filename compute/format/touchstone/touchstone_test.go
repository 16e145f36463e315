package touchstone

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
	d, err := Parse("a.s1p",
		[]byte("!1-port Z-parameter file, multiple frequency points\n# MHz Z MA R 75\n!freq magZ11 angZ11\n100 0.99 -4\n200 0.80 "+
			"-22\n300 0.707 -45\n400 0.40 -62\n500 0.01 -89\n"))
	require.NoError(t, err)
	require.Len(t, d.Points, 5)
	assert.Equal(t, 300e6, d.Points[2].Frequency)
	near(t, 75*degrees(0.707, -45), d.Points[2].Matrix[0][0], 1e-12, "normalised")
	// The bare "#" is GHz S MA R 50, and a two-port is written 11 21 12 22.
	d, err = Parse("b.s2p", []byte("#\n1.0000 0.3926 -0.1211 -0.0003 -0.0021 -0.0003 -0.0021 0.3926 -0.1211\n"))
	require.ErrorContains(t, err, "b.s2p:2:1: a magnitude of -0.0003 is negative")
	require.Nil(t, d)
	d, err = Parse("b.s2p",
		[]byte("# GHZ S RI R 50.0\n1.0000 0.3926 -0.1211 -0.0003 -0.0021 -0.0013 -0.0031 0.3926 -0.1211\n2.0000 0.3517 -0.3054 "+
			"-0.0096 -0.0298 -0.0096 -0.0298 0.3517 -0.3054\n"))
	require.NoError(t, err)
	near(t, complex(-0.0003, -0.0021), d.Points[0].Matrix[1][0], 0, "21 before 12")
	near(t, complex(-0.0013, -0.0031), d.Points[0].Matrix[0][1], 0)
	// Two-port with noise data, which begins where the frequency falls.
	d, err = Parse("c.s2p",
		[]byte("# GHz S MA R 50\n2 .95 -26 3.57 157 .04 76 .66 -14\n22 .60 -144 1.30 40 .14 40 .56 -85\n! NOISE PARAMETERS\n4 .7 .64 "+
			"69 .38\n18 2.7 .46 -33 .40\n"))
	require.NoError(t, err)
	require.Len(t, d.Points, 2)
	near(t, degrees(3.57, 157), d.Points[0].Matrix[1][0], 1e-12)
}

func TestVersion2(t *testing.T) {
	text := "! comment first\n[Version] 2.0\n# MHz Z RI R 50\n[Number of Ports] 2\n[Two-Port Data Order] 12_21\n[Number of " +
		"Frequencies] 2\n[Number of Noise Frequencies] 1\n[Reference]\n2600\n50 ! second\n[Matrix Format] Full\n[Begin " +
		"Information]\nanything 1 2 3\n[End Information]\n[Network Data]\n3.5 1 2 3 4\n 5 6 7 8\n4 1 2 3 4 5 6 7 8\n[Noise Data]\n4 1 " +
		"2 3 4\n[End]\nwhat follows is not read"
	d, err := Parse("a.ts", []byte(text))
	require.NoError(t, err)
	assert.Equal(t, [2]float64{2600, 50}, d.Reference)
	assert.Equal(t, Matrix{{1 + 2i, 3 + 4i}, {5 + 6i, 7 + 8i}}, d.Points[0].Matrix, "not normalised, 12 before 21, wrapped")
	d, err = Parse("a.s2p", []byte(strings.NewReplacer("12_21", "21_12").Replace(text)))
	require.NoError(t, err)
	assert.Equal(t, 5+6i, d.Points[0].Matrix[0][1])
	for format, want := range map[string]complex128{"Lower": 5 + 6i, "Upper": 5 + 6i} {
		d, err = Parse("a.s2p",
			[]byte("[Version] 2.0\n# Hz S RI\n[Number of Ports] 2\n[Two-Port Data Order] 12_21\n[Number of Frequencies] 1\n[Matrix "+
				"Format] "+format+"\n[Network Data]\n7 1 2\n5 6\n3 4\n[End]\n"))
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
		f := Format{Version: 1 + r.IntN(2), Form: Form(r.IntN(3)), Unit: math.Pow(1e3, float64(r.IntN(4))),
			Comments: []string{"made up"}}
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
