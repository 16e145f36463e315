package report

import (
	"fmt"

	"anodebook/compute"
	"anodebook/report/figure"
)

// tuningDrawings are the maps of all band groups that have one.
func tuningDrawings(d *compute.Design) []drawing {
	var out []drawing
	for _, g := range d.TuneUp() {
		if g.Err == nil {
			out = append(out, drawing{"tuning-" + g.Band, func(*compute.Design) (figure.Chart, error) { return tuningFigure(g), nil }})
		}
	}
	return out
}

// tuningFigure is the map of one band group: output over the settings of tune
// and load, where the first limit is reached, and the way of a tune-up.
func tuningFigure(g compute.TuneGroup) figure.Chart {
	full := g.Situations[0].Reading
	out := figure.Field{X: g.Tunes, Y: g.Loads, Tinted: true}
	limits := figure.Field{X: g.Tunes, Y: g.Loads, Style: figure.Second}
	for j := range g.Loads {
		power, stress := make([]float64, len(g.Tunes)), make([]float64, len(g.Tunes))
		for i := range g.Tunes {
			r := g.Map[i][j]
			power[i] = r.Output
			_, stress[i] = g.Setup.Limits.First(r, g.Setup.Tubes)
		}
		out.Z, limits.Z = append(out.Z, power), append(limits.Z, stress)
	}
	for _, share := range []float64{0.25, 0.5, 0.75, 0.9, 1} {
		out.Levels = append(out.Levels, figure.Contour{Z: share * full.Output, Text: fmt.Sprintf("%.0f %%", 100*share)})
	}
	limits.Levels = []figure.Contour{{Z: 1, Text: "first limit"}}
	c := figure.Chart{
		Title: "Tuning map, " + groupName(g),
		Description: fmt.Sprintf("Output over tune and load capacitance at full drive on %s, as a share of %s. The nominal setting is "+
			"%s and %s; there the plate current is %s and the grid current %s. Beyond the dashed line a limit of the tubes is "+
			"exceeded. A "+
			"tune-up that begins far off at reduced drive ends at %s.",
			groupName(g), say(full.Output, "W"), say(full.Tune, "F"), say(full.Load, "F"), say(full.PlateCurrent, "A"),
			say(full.GridCurrent, "A"), say(g.Path[len(g.Path)-1].Reading.Output, "W")),
		X:     figure.Axis{Label: "Tune capacitance", Unit: "F", Min: g.Tunes[0], Max: g.Tunes[len(g.Tunes)-1]},
		Y:     figure.Axis{Label: "Load capacitance", Unit: "F", Min: g.Loads[0], Max: g.Loads[len(g.Loads)-1]},
		Field: &out, SecondField: &limits, Height: 380,
	}
	var way figure.Line
	way.Name, way.Style, way.At = "tune-up", figure.Fourth, 0.15
	for _, s := range g.Path {
		x, y := s.Reading.Tune, s.Reading.Load
		if x < c.X.Min || x > c.X.Max || y < c.Y.Min || y > c.Y.Max {
			continue
		}
		way.X, way.Y = append(way.X, x), append(way.Y, y)
	}
	if len(way.X) > 1 {
		c.Lines = []figure.Line{way}
	}
	c.Points = []figure.Points{{Name: "nominal", X: []float64{full.Tune}, Y: []float64{full.Load}, Style: figure.Fifth}}
	return c
}

// groupName names the bands of a group, "80, 40 and 20 m".
func groupName(g compute.TuneGroup) string {
	out := ""
	for i, b := range g.Bands {
		n := b[:len(b)-1]
		switch {
		case i == 0:
		case i == len(g.Bands)-1:
			out += " and "
		default:
			out += ", "
		}
		out += n
	}
	return out + "\u00a0m"
}
