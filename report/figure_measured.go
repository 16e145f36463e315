package report

import (
	"fmt"
	"math"
	"math/cmplx"

	"anodebook/compute"
	"anodebook/compute/format/touchstone"
	"anodebook/compute/stage/measured"
	"anodebook/report/figure"
)

// measuredDrawings are the overlays of all measurements that reach the band.
func measuredDrawings(d *compute.Design) []drawing {
	var out []drawing
	for i := range d.Measured.Parts {
		p := &d.Measured.Parts[i]
		if measuredDrawn(p) {
			out = append(out, drawing{"measured-" + p.Name, func(*compute.Design) (figure.Chart, error) {
				return measuredFigure(p),
					nil
			}})
		}
	}
	return out
}

// measuredDrawn says whether there is an overlay of the measurement.
func measuredDrawn(p *measured.Part) bool { return !p.Absent && p.High > p.Low }

// measuredFigure lays the measured over the computed curve: SWR of a one-port,
// attenuation of a two-port, magnitude of a choke's impedance.
func measuredFigure(p *measured.Part) figure.Chart {
	const steps, top = 120, 5.0
	low, high := p.Span()
	c := figure.Chart{
		Title: "Measured and computed: " + measuredWhat(p),
		X:     figure.Axis{Label: "Frequency", Unit: "Hz"},
		Bands: []figure.Band{{Name: bandName(p.Band.Name), From: p.Band.Low, To: p.Band.High}},
	}
	value := func(m touchstone.Matrix) float64 { return math.Min(measured.SWR(m[0][0]), top) }
	what := fmt.Sprintf("SWR at port 1, referred to %s", say(p.Reference[0], "Ω"))
	c.Y = figure.Axis{Label: what, Min: 1, Max: top}
	switch {
	case p.Of == "plate_choke":
		value = func(m touchstone.Matrix) float64 { return math.Min(math.Max(cmplx.Abs(p.Impedance(m)), 1), 1e6) }
		what = "Magnitude of the impedance"
		c.X.Log = high > 4*low
		c.Y = figure.Axis{Label: what, Unit: "Ω", Log: true}
	case p.Ports == 2:
		value = func(m touchstone.Matrix) float64 { return math.Min(measured.Attenuation(m), 100) }
		what = "Attenuation from port to port"
		c.Y = figure.Axis{Label: what, Unit: "dB"}
	}
	if p.Of != "plate_choke" {
		low, high = math.Max(low, 0.93*p.Band.Low), math.Min(high, 1.07*p.Band.High)
	}
	low = math.Max(low, 1e3)
	computed, saw, fitted := figure.Line{Name: "computed", At: 0.75}, figure.Line{Name: "measured",
		At: 0.2}, figure.Line{Name: "computed with the change", Style: figure.Faint, At: 0.5}
	for k := range steps + 1 {
		f := between(low, high, k, steps)
		if c.X.Log {
			f = low * math.Pow(high/low, float64(k)/steps)
		}
		f = math.Min(math.Max(f, low), high)
		m, ok := p.Measured(f)
		if !ok {
			continue
		}
		saw.X, saw.Y = append(saw.X, f), append(saw.Y, value(m))
		computed.X, computed.Y = append(computed.X, f), append(computed.Y, value(p.Computed(f)))
		if m, ok := p.Fitted(f); ok {
			fitted.X, fitted.Y = append(fitted.X, f), append(fitted.Y, value(m))
		}
	}
	c.Lines = []figure.Line{computed, saw}
	if len(fitted.X) > 0 {
		c.Lines = append(c.Lines, fitted)
	}
	c.Description = fmt.Sprintf("%s over frequency, from %s to %s.", what, say(low, "Hz"), say(high, "Hz"))
	for _, r := range p.Rows {
		unit, end := "", "; "
		switch {
		case p.Of == "plate_choke":
			unit = "Ω"
		case p.Ports == 2:
			unit = "dB"
		}
		c.Description += fmt.Sprintf(" %s of the band: measured %s, computed %s%s", capital(r.Where), say(value(r.Measured), unit),
			say(value(r.Computed), unit), end)
	}
	return c
}
