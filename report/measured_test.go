package report

import (
	"math/cmplx"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/format/touchstone"
	"anodebook/spec"
	"anodebook/spec/testhelp"
)

// TestNetworkFilesTellTheDesign reads back what is written: renormalised to
// the plate load and 50 Ω the tank matches in the middle of the band, loses
// what the book says, and passes the harmonics as the book says.
func TestNetworkFilesTellTheDesign(t *testing.T) {
	for name, d := range designs(t) {
		files, err := networkFiles(d)
		require.NoError(t, err, name)
		require.Len(t, files, 2*len(d.Tank.Bands))
		again, err := networkFiles(d)
		require.NoError(t, err)
		assert.Equal(t, files, again)
		for i := range d.Tank.Bands {
			b := &d.Tank.Bands[i]
			path := "networks/tank-" + b.Name + ".s2p"
			data, err := touchstone.Parse(path, files[path])
			require.NoError(t, err)
			low, high := data.Span()
			assert.InEpsilon(t, b.Centre/2, low, 1e-6)
			assert.InEpsilon(t, b.Centre*8, high, 1e-6)
			s, err := data.To(touchstone.Scattering, d.Operating.PlateLoad.Value, 50)
			require.NoError(t, err)
			m, ok := s.At(b.Centre)
			require.True(t, ok, "the middle of the band is one of the points")
			p := d.Book.Get("tank." + b.Name + ".plate_resistance").Value
			x := d.Book.Get("tank." + b.Name + ".plate_reactance").Value
			load := d.Operating.PlateLoad.Value
			want := (complex(p, x) - complex(load, 0)) / (complex(p, x) + complex(load, 0))
			assert.InDelta(t, 0, cmplx.Abs(m[0][0]-want), 2e-3, "%s %s", name, b.Name)
			if cmplx.Abs(want) < 1e-6 {
				assert.InDelta(t, d.Book.Get("tank."+b.Name+".efficiency").Value,
					real(m[1][0])*real(m[1][0])+imag(m[1][0])*imag(m[1][0]), 2e-3, "%s %s", name, b.Name)
			}
			in := &d.Input.Bands[i]
			path = "networks/input-" + in.Name + ".s2p"
			data, err = touchstone.Parse(path, files[path])
			require.NoError(t, err)
			s, err = data.To(touchstone.Scattering, 50, in.Network.Input.CathodeResistance)
			require.NoError(t, err)
			m, ok = s.At(in.Centre)
			require.True(t, ok)
			r := cmplx.Abs(m[0][0])
			assert.InEpsilon(t, in.SWR, (1+r)/(1-r), 1e-3, "%s %s", name, in.Name)
		}
	}
}

func TestMeasuredSection(t *testing.T) {
	all := designs(t)
	doc, err := built(all["measured-tank.toml"])
	require.NoError(t, err)
	text := strings.ReplaceAll(string(doc.Markdown), "\u00a0", " ")
	for _, want := range []string{"## Measured parts", "### Measured: tank_80m", "figures/measured-tank_80m.svg",
		"more capacitance at the plates", "| middle | 3.750 MHz |", "Invented data"} {
		assert.True(t, strings.Contains(text, want), want)
	}
	svg := doc.Figures["figures/measured-tank_80m.svg"]
	for _, want := range []string{"measured", "computed", "SWR"} {
		testhelp.Contains(t, svg, want)
	}
	doc, err = built(all["starter"])
	require.NoError(t, err)
	testhelp.Lacks(t, string(doc.Markdown), "Measured parts")
	testhelp.Contains(t, string(doc.Markdown), "networks/tank-80m.s2p")
}

// TestMeasuredOfEveryKind is a design made from the spec's text alone,
// and every kind of measurement beside it.
func TestMeasuredOfEveryKind(t *testing.T) {
	src := strings.Replace(smallSpec, `"80m"`, `"80m", "40m"`, 1) +
		"[measured.absent]\nfile = \"a|<b>$x$.s1p\"\nof = \"tank\"\nband = \"80m\"\n[measured.two]\nfile = \"two.s2p\"\nof = " +
		"\"tank\"\nband = \"80m\"\n" +
		"[measured.pi]\nfile = \"pi.s2p\"\nof = \"input\"\nband = \"40m\"\nnote = \"<script>| **x**\"\n[measured.choke]\nfile = " +
		"\"choke.s1p\"\nof = \"plate_choke\"\n[measured.elsewhere]\nfile = \"e.s1p\"\nof = \"input\"\nband = \"40m\"\n"
	s, err := spec.Read("test.toml", []byte(src), compute.Names())
	require.NoError(t, err)
	d, err := compute.Run(s)
	require.NoError(t, err)
	files, err := networkFiles(d)
	require.NoError(t, err)
	give := func(name, text string) {
		m := s.Measured[name]
		m.File.Content = []byte(text)
		s.Measured[name] = m
	}
	give("two", string(files["networks/tank-80m.s2p"]))
	give("pi", string(files["networks/input-40m.s2p"]))
	give("choke", "# MHz Z RI R 50\n1 0.1 30\n3 0.5 80\n3.6 0.2 -1\n3.7 0.2 1\n8 0.3 60\n30 1 900\n")
	give("elsewhere", "# MHz S RI\n20 0 0\n21 0 0\n")
	d, err = compute.Run(s)
	require.NoError(t, err)
	doc, err := built(d)
	require.NoError(t, err)
	text := strings.ReplaceAll(string(doc.Markdown), "\u00a0", " ")
	assert.Equal(t, 2, strings.Count(text, "built as computed"), "what is written and read again is no deviation")
	assert.True(t, strings.Contains(text, "within 5 % of a band: there it shorts the tank and burns"),
		"within 5 % of a band: there it shorts the tank and burns")
	assert.True(t, strings.Contains(text, "nothing is extrapolated"), "nothing is extrapolated")
	assert.True(t, strings.Contains(text, "was not read"), "was not read")
	testhelp.Lacks(t, text, "<script>")
	testhelp.Lacks(t, text, "NaN")
	_, err = doc.HTML()
	require.NoError(t, err)
}

func BenchmarkNetworkFiles(b *testing.B) {
	d := designs(b)["starter"]
	b.ResetTimer()
	for b.Loop() {
		if _, err := networkFiles(d); err != nil {
			b.Fatal(err)
		}
	}
}
