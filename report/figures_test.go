package report

import (
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

var svgID = regexp.MustCompile(` id="([^"]+)"`)

func TestFigures(t *testing.T) {
	for name, d := range testhelp.Some(designs(t), 4) {
		t.Run(name, func(t *testing.T) {
			figures, err := drawFigures(d)
			require.NoError(t, err)
			require.Len(t, figures, len(drawings)+len(tuningDrawings(d))+len(measuredDrawings(d)))
			seen := map[string]bool{}
			for path, svg := range figures {
				assert.True(t, strings.HasPrefix(svg, "<svg "), path)
				for _, bad := range []string{"NaN", "Inf", "∞", "?"} {
					testhelp.Lacks(t, svg, bad, path)
				}
				decoder := xml.NewDecoder(strings.NewReader(svg))
				for {
					_, err := decoder.Token()
					if errors.Is(err, io.EOF) {
						break
					}
					require.NoError(t, err, path)
				}
				for _, id := range svgID.FindAllStringSubmatch(svg, -1) {
					assert.False(t, seen[id[1]], "id %s stands in two figures", id[1])
					seen[id[1]] = true
				}
				testhelp.Matches(t, `<title [^>]*>[^<]+</title><desc [^>]*>[^<]*\d[^<]*</desc>`, svg, path)
			}
			again, err := drawFigures(d)
			require.NoError(t, err)
			assert.Equal(t, figures, again)
		})
	}
}

// TestFiguresTellTheBook holds what the figures say in words and labels
// against the book, and what they draw against the results.
func TestFiguresTellTheBook(t *testing.T) {
	for name, d := range testhelp.Some(designs(t), 4) {
		o := &d.Operating
		c, err := cycleFigure(d)
		require.NoError(t, err, name)
		least, most := c.Lines[0].Y[0], 0.0
		for i, v := range c.Lines[0].Y {
			least, most = min(least, v), max(most, c.Lines[2].Y[i])
		}
		assert.InEpsilon(t, o.PlateVoltage.Value-o.PlateSwing.Value, least, 1e-9, "%s: lowest plate voltage drawn", name)
		assert.InEpsilon(t, o.Point.PeakPlateCurrent, most, 1e-3, "%s: highest plate current drawn", name)

		l, err := loadLineFigure(d)
		require.NoError(t, err, name)
		ip, ig := o.Model.Currents(l.Points[0].Y[0], l.Points[0].X[0])
		assert.InEpsilon(t, o.Point.PeakPlateCurrent, ip, 1e-3, "%s: plate current at the crest marked", name)
		assert.InEpsilon(t, o.Point.PeakGridCurrent, ig, 1e-3, "%s: grid current at the crest marked", name)
		idle, _ := o.Model.Currents(l.Points[0].Y[1], l.Points[0].X[1])
		assert.InEpsilon(t, o.IdleCurrent.Value/float64(o.N), idle, 1e-9, "%s: idle current at the point marked", name)

		h, err := harmonicsFigure(d)
		require.NoError(t, err, name)
		for i, y := range h.Stems[0].Y {
			for _, b := range d.Spec.Target.Bands.Values {
				q, ok := d.Book.Lookup("tank." + b + ".harmonic" + string(rune('2'+i)))
				require.True(t, ok)
				assert.LessOrEqual(t, q.Value, y+1e-9, "%s: %s is worse than the figure's bar", name, q.ID)
			}
		}

		r, err := rippleFigure(d)
		require.NoError(t, err, name)
		low, high := r.Lines[0].Y[0], r.Lines[0].Y[0]
		for _, v := range r.Lines[0].Y {
			low, high = min(low, v), max(high, v)
		}
		assert.InEpsilon(t, d.Book.Get("supply.ripple_peak_to_peak").Value, high-low, 0.03, "%s: ripple drawn", name)

		g, err := dischargeFigure(d)
		require.NoError(t, err, name)
		x, y := g.Lines[0].X, g.Lines[0].Y
		for k := 1; k < len(x); k++ {
			if y[k] <= 60 {
				assert.True(t, x[k-1] <= d.Supply.TimeTo60V && d.Supply.TimeTo60V <= x[k]*(1+1e-9),
					"%s: the line passes 60 V near %g s, the book says %g s", name, x[k], d.Supply.TimeTo60V)
				break
			}
		}
	}
}

func BenchmarkFigures(b *testing.B) {
	d := designs(b)["starter"]
	b.ResetTimer()
	for b.Loop() {
		if _, err := drawFigures(d); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFigure(b *testing.B) {
	d := designs(b)["starter"]
	for _, f := range drawings {
		b.Run(f.name, func(b *testing.B) {
			for b.Loop() {
				c, err := f.chart(d)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := c.Render(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
