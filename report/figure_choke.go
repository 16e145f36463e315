package report

import (
	"fmt"
	"math"
	"math/cmplx"
	"sort"
	"strings"

	"anodebook/compute"
	"anodebook/compute/stage/platefeed"
	"anodebook/report/figure"
)

// chokeFigure is what the plates see of the choke from below the lowest band
// to above the highest, with the bands shaded; beside the estimate the same
// curve with all resonances shifted to either end of their uncertainty.
func chokeFigure(d *compute.Design) (figure.Chart, error) {
	const steps = 240
	const floor = 10.0 // dips below it are drawn so far down [Ω]
	bands := d.Input.Bands
	low, high := math.Inf(1), 0.0
	c := figure.Chart{
		Title:  "Impedance of the plate choke against the bands",
		X:      figure.Axis{Label: "Frequency", Unit: "Hz", Log: true},
		Y:      figure.Axis{Label: "Magnitude of the impedance", Unit: "Ω", Log: true},
		Height: 330,
	}
	for i := range bands {
		low, high = math.Min(low, bands[i].Low), math.Max(high, bands[i].High)
		name := strings.TrimSuffix(bands[i].Name, "m")
		c.Bands = append(c.Bands, figure.Band{Name: name, From: bands[i].Low, To: bands[i].High})
	}
	c.X.Min, c.X.Max = 0.7*low, 1.3*high
	r := &d.PlateFeed
	curve := func(shift float64) (x, y []float64) {
		for k := 0; k <= steps; k++ {
			x = append(x, c.X.Min*math.Pow(c.X.Max/c.X.Min, float64(k)/steps))
		}
		for _, q := range r.Resonances { // so that no peak or dip falls between two steps
			if f := shift * q.Frequency; f > c.X.Min && f < c.X.Max {
				x = append(x, f)
			}
		}
		sort.Float64s(x)
		for _, f := range x {
			// a choke whose resonances lie higher by the shift, of the same inductance
			y = append(y, max(floor, shift*cmplx.Abs(r.ChokeImpedance(f/shift))))
		}
		return x, y
	}
	least, most := math.Inf(1), 0.0
	add := func(shift float64, l figure.Line) {
		l.X, l.Y = curve(shift)
		for _, v := range l.Y {
			least, most = math.Min(least, v), math.Max(most, v)
		}
		c.Lines = append(c.Lines, l)
	}
	add(1-r.Within, figure.Line{Style: figure.Faint})
	add(1+r.Within, figure.Line{Style: figure.Faint})
	add(1, figure.Line{Style: figure.First, Solid: true})
	load := d.Operating.PlateLoad.Value
	c.Levels = []figure.Level{{Name: "plate load", Y: load, Plain: true}}
	c.Y.Min, c.Y.Max = math.Pow(10, math.Floor(math.Log10(math.Min(least, load))+1e-9)), math.Pow(10, math.Ceil(math.Log10(most)))

	marks := figure.Points{Style: figure.Second}
	var words []string
	for _, x := range r.Resonances {
		if x.Frequency > c.X.Max {
			continue
		}
		within := "clear of the bands"
		if len(x.Bands) > 0 {
			within = "with " + strings.Join(names(x.Bands), ", ") + " inside its uncertainty"
		}
		words = append(words, fmt.Sprintf("%s at %s, %s", x.Kind, say(x.Frequency, "Hz"), within))
		if x.Kind == platefeed.Series {
			marks.X, marks.Y, marks.Texts = append(marks.X, x.Frequency), append(marks.Y,
				max(floor, cmplx.Abs(r.ChokeImpedance(x.Frequency)))), append(marks.Texts, "series")
		}
	}
	if len(marks.X) > 0 {
		c.Points = []figure.Points{marks}
	}
	c.Description = fmt.Sprintf("Estimated resonances, each ±%.0f %%: %s.", 100*r.Within, strings.Join(words, "; "))
	if len(words) == 0 {
		c.Description = "No resonance of the choke is estimated in the range shown."
	}
	return c, nil
}

// names are the bands as the reader calls them.
func names(bands []string) (out []string) {
	for _, b := range bands {
		out = append(out, bandName(b))
	}
	return out
}
