package page_test

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"testing"

	"anodebook/report/figure"
	"anodebook/report/page"

	"github.com/stretchr/testify/require"
)

// sample renders testdata/sample.md, which holds every element that the page
// knows. The values in it are invented.
func sample(t testing.TB) (markdown []byte, a page.Assets) {
	t.Helper()
	markdown, err := os.ReadFile("testdata/sample.md")
	require.NoError(t, err)
	var x, v, i []float64
	for k := 0; k <= 180; k++ {
		p := float64(k) * 2 * math.Pi / 180
		x = append(x, p)
		v = append(v, 2800-2450*math.Cos(p-math.Pi))
		i = append(i, math.Max(0, -1.4*math.Cos(p)))
	}
	cycle, err := figure.Chart{
		ID: "cycle", Title: "One cycle at the plates", Description: "Voltage and current over 360 degrees.",
		X: figure.Axis{Label: "Phase", Unit: "°"}, Y: figure.Axis{Label: "Plate voltage", Unit: "V"},
		SecondY: &figure.Axis{Label: "Plate current", Unit: "A"},
		Lines:   []figure.Line{{Name: "plate voltage", X: x, Y: v}, {Name: "current, both tubes", X: x, Y: i, Second: true}},
		Levels:  []figure.Level{{Name: "lowest plate voltage allowed", Y: 300}, {Name: "supply", Y: 2800, Plain: true}},
		Bands:   []figure.Band{{Name: "current flows", From: math.Pi / 2, To: 3 * math.Pi / 2}},
		Points:  []figure.Points{{X: []float64{math.Pi}, Y: []float64{350}, Texts: []string{"350 V"}, Style: figure.First}},
	}.Render()
	require.NoError(t, err)
	harmonics, err := figure.Chart{
		ID: "harmonics", Title: "Harmonics", Description: "Second to seventh harmonic in decibels.",
		X: figure.Axis{Label: "Harmonic", Min: 1.4, Max: 7.6,
			Ticks: []figure.Tick{{At: 2, Text: "2nd"}, {At: 3, Text: "3rd"}, {At: 4, Text: "4th"}, {At: 5, Text: "5th"},
				{At: 6, Text: "6th"}, {At: 7, Text: "7th"}}},
		Y: figure.Axis{Label: "Relative to the carrier", Unit: "dB", Min: -80, Max: -20}, Height: 260,
		Stems: []figure.Stems{{X: []float64{2, 3, 4, 5, 6, 7}, Y: []float64{-41, -47, -58, -61, -66, -72}, Base: -80,
			Texts: []string{"−41", "−47", "−58", "−61", "−66", "−72"}}},
		Levels: []figure.Level{{Name: "limit −43 dB", Y: -43}},
	}.Render()
	require.NoError(t, err)
	f := figure.Field{Tinted: true}
	for k := 0; k <= 24; k++ {
		f.X = append(f.X, 100e-12+float64(k)*10e-12)
		f.Y = append(f.Y, 600e-12+float64(k)*50e-12)
	}
	for _, y := range f.Y {
		var row []float64
		for _, x := range f.X {
			a, b := (x-210e-12)/60e-12, (y-1200e-12)/300e-12
			row = append(row, 1000*math.Exp(-(a*a+b*b+a*b)/2))
		}
		f.Z = append(f.Z, row)
	}
	for _, w := range []struct {
		z float64
		s string
	}{{200, "200 W"}, {400, "400 W"}, {600, "600 W"}, {800, "800 W"}, {950, "950 W"}} {
		f.Levels = append(f.Levels, figure.Contour{Z: w.z, Text: w.s})
	}
	tuning, err := figure.Chart{
		ID: "map", Title: "Tuning map", Description: "Output over both capacitors.",
		X: figure.Axis{Label: "Tune capacitance", Unit: "F"}, Y: figure.Axis{Label: "Load capacitance", Unit: "F"},
		Field: &f, Points: []figure.Points{{X: []float64{210e-12}, Y: []float64{1200e-12}, Texts: []string{"start here"},
			Style: figure.Second}},
	}.Render()
	require.NoError(t, err)
	picture := image.NewRGBA(image.Rect(0, 0, 64, 40))
	for y := range 40 {
		for x := range 64 {
			picture.Set(x, y, color.RGBA{uint8(90 + x), uint8(70 + y), 60, 255})
		}
	}
	var photo bytes.Buffer
	require.NoError(t, png.Encode(&photo, picture))
	row := `<mrow><msub><mi>R</mi><mi mathvariant="normal">L</mi></msub><mo>=</mo>`
	return markdown, page.Assets{
		Title: "Two tubes for a harbour shack", Footer: "Values here do not replace measurement.",
		Math: map[string]page.Formula{
			"R_L": {MathML: `<msub><mi>R</mi><mi mathvariant="normal">L</mi></msub>`},
			`R_L = \frac{V_p}{I_1}`: {MathML: row +
				`<mfrac><msub><mi>V</mi><mi>p</mi></msub><msub><mi>I</mi><mn>1</mn></msub></mfrac></mrow>`},
			`R_L = \frac{2450\,\mathrm{V}}{710\,\mathrm{mA}} = 3.45\,\mathrm{k\Omega}`: {
				MathML: row +
					`<mfrac><mrow><mn>2450</mn><mspace width="0.17em"></mspace><mi mathvariant="normal">V</mi></mrow><mrow><mn>710</mn><mspace width="0.17em"></mspace><mi mathvariant="normal">mA</mi></mrow></mfrac><mo>=</mo><mrow><mn>3.45</mn><mspace width="0.17em"></mspace><mi mathvariant="normal">kΩ</mi></mrow></mrow>`,
				Anchor: "step-tubes.plate_load"},
		},
		Figures: map[string]string{"figures/cycle.svg": cycle, "figures/harmonics.svg": harmonics, "figures/map.svg": tuning},
		Images:  map[string]page.Image{"photos/cabinet.png": {Type: "image/png", Bytes: photo.Bytes()}},
		Anchors: map[string]string{"tubes.plate_load": "step-tubes.plate_load"},
	}
}
