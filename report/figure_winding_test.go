package report

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// The drawing of the coils is well-formed, names every band that has a tap
// once, and is there exactly where there is something to wind.
func TestWindingFigure(t *testing.T) {
	drawn := 0
	for name, d := range designs(t) {
		svg := windingFigure(d)
		if len(d.Tank.Coils) == 0 {
			assert.Empty(t, svg, name)
			continue
		}
		drawn++
		for _, bad := range []string{"NaN", "Inf", "?"} {
			testhelp.Lacks(t, svg, bad, name)
		}
		decoder := xml.NewDecoder(strings.NewReader(svg))
		for {
			_, err := decoder.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err, name)
		}
		for _, c := range d.Tank.Coils {
			for _, tap := range c.Taps {
				assert.Equal(t, 1, strings.Count(svg, ">"+bandName(tap.Band)+": "), "%s: %s on %s", name, tap.Band, c.Designator)
			}
		}
	}
	assert.Greater(t, drawn, 2)
}

// Taps stand to scale; no name covers another, and no line to a lower name
// crosses a higher one.
func TestTapMarks(t *testing.T) {
	for name, d := range designs(t) {
		for i := range d.Tank.Coils {
			c := &d.Tank.Coils[i]
			marks := tapMarks(c, 10, 1000)
			for _, m := range marks {
				assert.InDelta(t, m.turns*c.Winding.Pitch, (m.x-10)/1000, 1e-12, name)
				for _, o := range marks {
					if o == m {
						continue
					}
					overlap := math.Min(m.x+m.width, o.x+o.width) > math.Max(m.x, o.x)
					assert.False(t, overlap && m.row == o.row, "%s: %s over %s", name, m.text, o.text)
					crossed := o.row > m.row && o.x > m.x && o.x < m.x+m.width
					assert.False(t, crossed, "%s: the line to %s crosses %s", name, o.text, m.text)
				}
			}
		}
	}
}

// What the stress figures draw is what the book has.
func TestStressFigures(t *testing.T) {
	for name, d := range designs(t) {
		c, err := tankCurrentsFigure(d)
		require.NoError(t, err, name)
		v, err := tankVoltagesFigure(d)
		require.NoError(t, err, name)
		worst := v.Points[0].Y
		for i, b := range d.Tank.Bands {
			get := func(id string) float64 { return d.Book.Get("tank." + b.Name + "." + id).Value }
			assert.InEpsilon(t, get("coil_current_rms"), c.Stems[0].Y[i], 1e-9, name)
			assert.InEpsilon(t, get("tune_current_rms"), c.Stems[1].Y[i], 1e-9, name)
			assert.InEpsilon(t, get("tune_voltage_peak"), v.Stems[0].Y[i], 1e-9, name)
			assert.InEpsilon(t, get("tune_voltage_peak_swr"), worst[i], 1e-9, name)
		}
	}
}
