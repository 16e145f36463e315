package compare

import (
	"fmt"
	"math"
	"strings"

	"anodebook/compute"
	"anodebook/compute/physics/tube"
	"anodebook/report/figure"
	"anodebook/spec/quantity"
)

// figures draws the curves of both sides over each other: SVG by path, and the
// Markdown that shows them.
func (c *Comparison) figures() (map[string]string, string, error) {
	out := map[string]string{}
	var words strings.Builder
	words.WriteString("\n## Curves\n\nThe thin grey lines are the amplifier as it was, the coloured ones as it is now.\n")
	for _, f := range []struct {
		name string
		draw func(old, late *compute.Design) (figure.Chart, bool, error)
	}{{"cycle", cycle}, {"tank", tank}, {"ripple", ripple}} {
		chart, ok, err := f.draw(c.Old.Design, c.New.Design)
		if err != nil {
			return nil, "", fmt.Errorf("figure %s: %w", f.name, err)
		}
		if !ok {
			continue
		}
		chart.ID = "chart-" + f.name
		svg, err := chart.Render()
		if err != nil {
			return nil, "", fmt.Errorf("figure %s: %w", f.name, err)
		}
		path := "figures/" + f.name + ".svg"
		out[path] = svg
		fmt.Fprintf(&words, "\n![%s](%s)\n", plain(chart.Title+". "+chart.Description), path)
	}
	return out, words.String(), nil
}

// cycle is plate voltage and plate current of one tube over a cycle.
func cycle(old, late *compute.Design) (figure.Chart, bool, error) {
	c := figure.Chart{
		Title:   "One cycle of one tube",
		X:       figure.Axis{Label: "Angle of the drive", Unit: "°", Min: -math.Pi, Max: math.Pi},
		Y:       figure.Axis{Label: "Plate voltage", Unit: "V"},
		SecondY: &figure.Axis{Label: "Plate current", Unit: "A"},
	}
	var said []string
	for i, d := range []*compute.Design{old, late} {
		p := &d.Operating.Point
		w := tube.Waveforms(d.Operating.Model, p.Conditions, 145)
		volts := figure.Line{X: w.Angle, Y: w.PlateVoltage, Style: figure.Faint}
		amperes := figure.Line{X: w.Angle, Y: w.PlateCurrent, Style: figure.Faint, Second: true}
		if i == 1 {
			volts.Name, volts.Style, volts.At = "plate voltage", figure.First, 0.17
			amperes.Name, amperes.Style, amperes.At = "plate current", figure.Second, 0.45
		}
		c.Y.Max = max(c.Y.Max, 1.1*(p.PlateVoltage+p.PlateSwing))
		c.SecondY.Max = max(c.SecondY.Max, 1.6*p.PeakPlateCurrent)
		c.Lines = append(c.Lines, volts, amperes)
		said = append(said, fmt.Sprintf("the plate voltage falls to %s and the plate current peaks at %s",
			say(p.MinimumPlateVoltage, "V"), say(p.PeakPlateCurrent, "A")))
	}
	c.Description = "Before, " + said[0] + "; now, " + said[1] + "."
	return c, true, nil
}

// tank is the response of the lowest band that both sides have.
func tank(old, late *compute.Design) (figure.Chart, bool, error) {
	bands := map[string]int{}
	for i := range old.Tank.Bands {
		bands[old.Tank.Bands[i].Name] = i
	}
	at := -1
	for i := range late.Tank.Bands {
		b := &late.Tank.Bands[i]
		if _, both := bands[b.Name]; both && (at < 0 || b.Centre < late.Tank.Bands[at].Centre) {
			at = i
		}
	}
	if at < 0 {
		return figure.Chart{}, false, nil
	}
	name, centre := late.Tank.Bands[at].Name, late.Tank.Bands[at].Centre
	c := figure.Chart{
		Title: "Response of the tank on " + name,
		X:     figure.Axis{Label: "Frequency", Unit: "Hz", Log: true, Min: 0.5 * centre, Max: 8 * centre},
		Y:     figure.Axis{Label: "Output against that in the middle of the band", Unit: "dB"},
	}
	low, high := 0.0, 0.0
	var said []string
	for i, d := range []*compute.Design{old, late} {
		k := at
		if i == 0 {
			k = bands[name]
		}
		b := &d.Tank.Bands[k]
		l := figure.Line{Style: figure.Faint}
		if i == 1 {
			l.Name, l.Style, l.At = "now", figure.First, 0.6
		}
		const below, above, sharp = 20, 60, 0.04 // closer together where the curve is sharp
		for k := -below; k <= above; k++ {
			reach, n := math.Asinh(math.Log(8)/sharp), above
			if k < 0 {
				reach, n = math.Asinh(math.Log(2)/sharp), below
			}
			f := centre * math.Exp(sharp*math.Sinh(reach*float64(k)/float64(n)))
			y := b.Response(f)
			l.X, l.Y = append(l.X, f), append(l.Y, y)
			low, high = min(low, y), max(high, y)
		}
		c.Lines = append(c.Lines, l)
		said = append(said, fmt.Sprintf("the second harmonic passes with %s, the third with %s", say(b.Response(2*centre), "dB"),
			say(b.Response(3*centre), "dB")))
	}
	c.Y.Min, c.Y.Max = 10*math.Floor(low/10), high+6
	c.Description = "The plates taken as a current source. Before, " + said[0] + "; now, " + said[1] + "."
	return c, true, nil
}

// ripple is the filter voltage over one mains period at full output.
func ripple(old, late *compute.Design) (figure.Chart, bool, error) {
	c := figure.Chart{
		Title: "Filter voltage over one mains period at full output",
		X:     figure.Axis{Label: "Time", Unit: "s"},
		Y:     figure.Axis{Label: "Filter voltage", Unit: "V"},
	}
	var said []string
	for i, d := range []*compute.Design{old, late} {
		samples, err := d.Supply.Ripple(120)
		if err != nil {
			return c, false, err
		}
		l := figure.Line{Style: figure.Faint}
		if i == 1 {
			l.Name, l.Style, l.At = "now", figure.First, 0.3
		}
		for _, s := range samples {
			l.X, l.Y = append(l.X, s.Time), append(l.Y, s.Voltage)
		}
		c.X.Max = max(c.X.Max, l.X[len(l.X)-1])
		c.Lines = append(c.Lines, l)
		said = append(said, fmt.Sprintf("%s in the mean with %s of ripple", d.Book.Get("supply.full_load_voltage").Text(),
			d.Book.Get("supply.ripple_peak_to_peak").Text()))
	}
	c.Description = "Before, " + said[0] + ", peak to peak; now, " + said[1] + "."
	return c, true, nil
}

// say is a value as the figures' words show it.
func say(si float64, unit string) string {
	return strings.Replace(quantity.Format(si, unit, 3), "-", "−", 1)
}
