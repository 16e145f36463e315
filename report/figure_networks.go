package report

import (
	"fmt"
	"math"
	"strings"

	"anodebook/compute"
	"anodebook/compute/physics/network"
	"anodebook/compute/stage/tank"
	"anodebook/report/figure"
	"anodebook/spec/quantity"
)

var ordinals = []string{"", "1st", "2nd", "3rd", "4th", "5th", "6th", "7th"}

// inputFigure is the input SWR over each band, the bands laid over one
// another, and over them the worst of all bands that capacitors within their
// tolerance may leave.
func inputFigure(d *compute.Design) (figure.Chart, error) {
	const steps = 20
	c := figure.Chart{
		Title: "Input SWR over each band",
		X:     figure.Axis{Label: "Place in the band, from its lower to its upper edge", Unit: "%", Min: 0, Max: 1},
		Y:     figure.Axis{Label: "SWR at the input"},
	}
	limit := 1.5
	top := limit
	var words []string
	worst := figure.Line{Name: "worst within tolerance", Style: figure.Faint, At: 0.5, X: make([]float64, steps+1),
		Y: make([]float64, steps+1)}
	for i := range d.Input.Bands {
		b := &d.Input.Bands[i]
		x, y := make([]float64, steps+1), make([]float64, steps+1)
		for k := range x {
			f := between(b.Low, b.High, k, steps)
			x[k] = between(0, 1, k, steps)
			y[k] = d.Input.SWR(i, f)
			worst.X[k], worst.Y[k] = x[k], max(worst.Y[k], d.Input.WorstSWR(i, f))
			top = max(top, y[k], worst.Y[k])
		}
		c.Lines = append(c.Lines, figure.Line{Name: bandName(b.Name), X: x, Y: y})
		words = append(words,
			fmt.Sprintf("%s: %.2f in the middle, %.2f at the edges, up to %.2f and %.2f with capacitors at the ends of their tolerance",
				bandName(b.Name), b.SWR, b.EdgeSWR, b.ToleranceSWR, b.ToleranceEdgeSWR))
	}
	c.Lines = append(c.Lines, worst)
	step := roundStep(top-1, 5)
	c.Y.Min, c.Y.Max = 1, 1+step*math.Ceil((top-1)/step+0.15)
	c.Levels = []figure.Level{{Name: "SWR 1.5", Y: limit}}
	c.Description = "At full drive, with the parts as chosen. " + strings.Join(words, "; ") + "."
	return c, nil
}

// tankFigure is the response of every band's tank.
func tankFigure(d *compute.Design) (figure.Chart, error) {
	bands := d.Tank.Bands
	lowest, highest := &bands[0], &bands[0]
	for i := range bands {
		b := &bands[i]
		if b.Centre < lowest.Centre {
			lowest = b
		}
		if b.Centre > highest.Centre {
			highest = b
		}
	}
	c := figure.Chart{
		Title: "Response of the tank on each band",
		X:     figure.Axis{Label: "Frequency", Unit: "Hz", Log: true, Min: 0.5 * lowest.Centre, Max: 8 * highest.Centre},
		Y:     figure.Axis{Label: "Output against that in the middle of the band", Unit: "dB"},
	}
	ratios := responseRatios()
	low, high := 0.0, 0.0
	for i := range bands {
		b := &bands[i]
		l := figure.Line{Style: figure.Faint}
		if b == lowest {
			l.Style = figure.First
		}
		for _, r := range ratios {
			y := b.Response(r * b.Centre)
			l.X, l.Y = append(l.X, r*b.Centre), append(l.Y, y)
			low, high = min(low, y), max(high, y)
		}
		c.Lines = append(c.Lines, l)
	}
	peaks := figure.Points{Style: figure.Sixth}
	for _, b := range apart(bands, math.Pow(10, 0.13)) {
		peaks.X, peaks.Y, peaks.Texts = append(peaks.X, b.Centre), append(peaks.Y, 0), append(peaks.Texts, bandName(b.Name))
	}
	marks := figure.Points{Style: figure.First}
	var words []string
	for n := 2; n < len(ordinals); n++ {
		f := float64(n) * lowest.Centre
		r := lowest.Response(f)
		marks.X, marks.Y, marks.Texts = append(marks.X, f), append(marks.Y, r), append(marks.Texts, ordinals[n])
		words = append(words, fmt.Sprintf("%s %s", ordinals[n], say(r, "dB")))
	}
	c.Points = []figure.Points{peaks, marks}
	c.Y.Min, c.Y.Max = 10*math.Floor(low/10), high+12
	c.Description = fmt.Sprintf("From half to eight times the frequency of each band, the plates taken as a current source into 50 Ω. "+
		"On %s the tank passes the harmonics with: %s. The figures hold for the network alone; what the tubes put in is another figure.",
		bandName(lowest.Name), strings.Join(words, ", "))
	return c, nil
}

// responseRatios are the frequencies at which a response is drawn, relative to
// the band: from 0.5 to 8, close together about 1 where the curve is sharp.
func responseRatios() []float64 {
	const below, above, sharp = 14, 34, 0.04
	var out []float64
	for k := -below; k <= above; k++ {
		reach, n := math.Asinh(math.Log(8)/sharp), above
		if k < 0 {
			reach, n = math.Asinh(math.Log(2)/sharp), below
		}
		out = append(out, math.Exp(sharp*math.Sinh(reach*float64(k)/float64(n))))
	}
	return out
}

// apart picks the bands whose names have room side by side: the lowest, then
// each that is at least a ratio above the last, the highest in any case.
func apart(bands []tank.BandResult, ratio float64) (out []*tank.BandResult) {
	sorted := make([]*tank.BandResult, len(bands))
	for i := range bands {
		k := i
		for ; k > 0 && sorted[k-1].Centre > bands[i].Centre; k-- {
			sorted[k] = sorted[k-1]
		}
		sorted[k] = &bands[i]
	}
	last := sorted[len(sorted)-1]
	for _, b := range sorted {
		if len(out) == 0 || b.Centre >= ratio*out[len(out)-1].Centre && last.Centre >= ratio*b.Centre {
			out = append(out, b)
		}
	}
	if out[len(out)-1] != last {
		out = append(out, last)
	}
	return out
}

// harmonicsFigure is the strongest of each harmonic at the connector, on
// whichever band.
func harmonicsFigure(d *compute.Design) (figure.Chart, error) {
	const none = -120 // a harmonic without current [dB]
	limit, err := d.Rules.HarmonicLimit(d.Operating.Output.Value)
	if err != nil {
		return figure.Chart{}, err
	}
	c := figure.Chart{
		Title:  "Harmonics at the antenna connector",
		X:      figure.Axis{Label: "Harmonic", Min: 1.4, Max: 7.6, Ticks: []figure.Tick{}},
		Y:      figure.Axis{Label: "Against the fundamental", Unit: "dB"},
		Levels: []figure.Level{{Name: "limit " + say(-limit.Attenuation, "dB"), Y: -limit.Attenuation}},
		Height: 270,
	}
	stems := figure.Stems{Width: 22}
	low, high := -limit.Attenuation, -limit.Attenuation
	var words []string
	for n := 2; n < len(ordinals); n++ {
		level, band := math.Inf(-1), d.Tank.Bands[0].Name
		for i := range d.Tank.Bands {
			if h := d.Tank.Bands[i].Harmonics[n-2]; h > level {
				level, band = h, d.Tank.Bands[i].Name
			}
		}
		level = max(level, none)
		c.X.Ticks = append(c.X.Ticks, figure.Tick{At: float64(n), Text: ordinals[n]})
		stems.X, stems.Y = append(stems.X, float64(n)), append(stems.Y, level)
		stems.Texts = append(stems.Texts, fmt.Sprintf("−%.0f, %s", -level, bandName(band)))
		words = append(words, fmt.Sprintf("%s %s on %s", ordinals[n], say(level, "dB"), bandName(band)))
		low, high = min(low, level), max(high, level)
	}
	c.Y.Min, c.Y.Max = 10*math.Floor((low-6)/10), min(0, 10*math.Ceil((high+6)/10))
	stems.Base = c.Y.Min
	c.Stems = []figure.Stems{stems}
	c.Description = fmt.Sprintf("Worst band of each: %s. The rule set asks for %s or less.", strings.Join(words, ", "),
		say(-limit.Attenuation, "dB"))
	return c, nil
}

// tankPart is an element of the tank in the figures of its stress.
type tankPart struct {
	name, element string
	style         figure.Style
}

var (
	tankCarriers = []tankPart{{"L1", network.TankCoil, figure.First}, {"C1", network.TuneCapacitor, figure.Second},
		{"C2", network.LoadCapacitor, figure.Third}, {"L2", network.OutputCoil, figure.Fourth}}
	tankBearers = []tankPart{{"C1", network.TuneCapacitor, figure.Second}, {"L1", network.TankCoil, figure.First},
		{"C2", network.LoadCapacitor, figure.Third}}
)

// tankCurrentsFigure is the current of every tank element on each band.
func tankCurrentsFigure(d *compute.Design) (figure.Chart, error) {
	return stressFigure(d, "Currents in the tank on each band", "RF current, rms", "A", tankCarriers,
		func(s network.Stress) float64 { return s.CurrentRMS })
}

// tankVoltagesFigure is the voltage across every tank element on each band.
func tankVoltagesFigure(d *compute.Design) (figure.Chart, error) {
	return stressFigure(d, "Voltages in the tank on each band", "RF voltage, peak", "V", tankBearers,
		func(s network.Stress) float64 { return s.VoltagePeak })
}

// stressFigure draws a bar for each element on each band at PEP into 50 Ω, and
// over it a mark for the worst phase of the SWR.
func stressFigure(d *compute.Design, title, label, unit string, list []tankPart, of func(network.Stress) float64) (figure.Chart,
	error) {
	var parts []tankPart
	for _, p := range list {
		if _, _, ok := d.Tank.Bands[0].Stress(p.element); ok {
			parts = append(parts, p)
		}
	}
	n := len(d.Tank.Bands)
	c := figure.Chart{
		Title: title, Height: 290,
		X: figure.Axis{Label: "Band", Min: -0.5, Max: float64(n) - 0.5, Ticks: []figure.Tick{}},
		Y: figure.Axis{Label: label, Unit: unit},
	}
	for i := range d.Tank.Bands {
		c.X.Ticks = append(c.X.Ticks, figure.Tick{At: float64(i), Text: bandName(d.Tank.Bands[i].Name)})
	}
	top := 0.0
	worst := figure.Points{Style: figure.Sixth}
	var words []string
	for k, p := range parts {
		step := 0.8 / float64(len(parts))
		bars := figure.Stems{Style: p.style, Width: min(16, 380*step/float64(n)*0.85)}
		flatMost, swrMost, band := 0.0, 0.0, ""
		for i := range d.Tank.Bands {
			b := &d.Tank.Bands[i]
			flat, bad, _ := b.Stress(p.element)
			x := float64(i) + step*(float64(k)-float64(len(parts)-1)/2)
			bars.X, bars.Y = append(bars.X, x), append(bars.Y, of(flat))
			name := ""
			if i == 0 {
				name = p.name
			}
			bars.Texts = append(bars.Texts, "")
			worst.X, worst.Y, worst.Texts = append(worst.X, x), append(worst.Y, of(bad)), append(worst.Texts, name)
			top = max(top, of(bad))
			if of(bad) > swrMost {
				flatMost, swrMost, band = of(flat), of(bad), b.Name
			}
		}
		c.Stems = append(c.Stems, bars)
		words = append(words, fmt.Sprintf("%s most on %s with %s, %s at the worst phase of the SWR", p.name, bandName(band),
			say(flatMost, unit), say(swrMost, unit)))
	}
	c.Points = []figure.Points{worst}
	step := roundStep(top, 5)
	c.Y.Max = step * math.Ceil(top/step*1.08)
	c.Description = fmt.Sprintf("Bars: at PEP into 50 Ω; marks: at the worst phase of an SWR of %s. %s. On every band the bars are, "+
		"from the left, %s.", quantity.Short(d.Spec.Target.SWR.Value, 3),
		strings.Join(words, "; "), partNames(parts))
	return c, nil
}

// partNames lists designators for a sentence.
func partNames(parts []tankPart) string {
	var names []string
	for _, p := range parts {
		names = append(names, p.name)
	}
	return strings.Join(names, ", ")
}
