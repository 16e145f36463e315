package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"anodebook/compute/physics/tube"
	"anodebook/report/figure"
	"anodebook/spec/quantity"
)

// TubeCurves draws the fitted characteristics of one type as SVG files, by
// name: the constant-current plane and the plate characteristics, with the
// published columns' crests and idle points on them. A type without a model
// has none; the error says so.
func TubeCurves(t *tube.Type) (map[string][]byte, error) {
	if t.Kind == tube.NoModel {
		return nil, fmt.Errorf("nothing published supports a static model of the %s, so there are no curves to draw", t.Name)
	}
	crests, highest := crestsOf(t)
	if len(crests) == 0 {
		return nil, fmt.Errorf("no operating column or idle point of the %s is known, so the curves would have no scale", t.Name)
	}
	out := map[string][]byte{}
	for name, c := range map[string]figure.Chart{
		"constant-current.svg":      constantCurrentChart(t, crests, highest),
		"plate-characteristics.svg": plateChart(t, crests, highest),
	} {
		svg, err := c.Render()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		out[name] = []byte(figure.Standalone(svg))
	}
	return out, nil
}

// crest is the highest point of a published column's cycle.
type crest struct {
	name  string
	point tube.Point
}

// crestsOf brings the model to every published column that gives a plate
// current, and returns the highest plate voltage among columns and idle points.
func crestsOf(t *tube.Type) (out []crest, highest float64) {
	for _, c := range t.ColumnsEach() {
		highest = math.Max(highest, c.PlateVoltage.Value)
		var p tube.Point
		var err error
		if c.PlateLoad.Known {
			p, err = tube.ForPlateCurrentWithLoad(t.Model, c.PlateVoltage.Value, c.Bias.Value, c.PlateCurrent.Value, c.PlateLoad.Value)
		} else {
			p, err = tube.ForPlateCurrent(t.Model, c.PlateVoltage.Value, c.Bias.Value, c.PlateCurrent.Value,
				tube.DefaultPlateFloor(c.PlateVoltage.Value))
		}
		if err == nil {
			out = append(out, crest{c.Name, p})
		}
	}
	for _, i := range t.Idle {
		highest = math.Max(highest, i.PlateVoltage)
	}
	if highest == 0 {
		highest = t.Limits.PlateVoltage.Value
	}
	if rated := t.Limits.PlateCurrent; len(out) == 0 && highest > 0 && rated.Known { // an estimate: its rating gives the scale
		bias := max(0, tube.BiasForIdle(t.Model, highest, rated.Value/10))
		if p, err := tube.ForPlateCurrent(t.Model, highest, bias, rated.Value, tube.DefaultPlateFloor(highest)); err == nil {
			out = append(out, crest{"rated plate current", p})
		}
	}
	return out, highest
}

func greatest(crests []crest, f func(tube.Point) float64) (v float64) {
	for _, c := range crests {
		v = math.Max(v, f(c.point))
	}
	return v
}

func constantCurrentChart(t *tube.Type, crests []crest, highest float64) figure.Chart {
	ip := greatest(crests, func(p tube.Point) float64 { return p.PeakPlateCurrent })
	ig := greatest(crests, func(p tube.Point) float64 { return p.PeakGridCurrent })
	top := 1.25 * greatest(crests, func(p tube.Point) float64 { return p.PeakGridVoltage })
	bottom := -0.25 * top
	for _, i := range t.Idle {
		bottom = math.Min(bottom, -1.3*i.Bias)
	}
	right := 1.1 * highest
	plate, grid := currentFields(t.Model, right, bottom, top, ip, ig)
	marks := figure.Points{Style: figure.Fifth}
	for _, c := range crests {
		marks.X, marks.Y = append(marks.X, c.point.MinimumPlateToCathode), append(marks.Y, c.point.PeakGridVoltage)
		marks.Texts = append(marks.Texts, c.name)
	}
	idle := figure.Points{Style: figure.Fourth}
	for _, i := range t.Idle {
		idle.X, idle.Y, idle.Texts = append(idle.X, i.PlateVoltage-i.Bias), append(idle.Y, -i.Bias), append(idle.Texts,
			quantity.Format(i.Current.Value, "A", 2))
	}
	return figure.Chart{
		ID: "constant-current", Title: "Constant-current characteristics, " + t.Name,
		Description: fmt.Sprintf("Fitted plate current (solid) and grid current (dashed) of one %s over plate and grid voltage "+
			"against the cathode, with the crests of the published columns and the published idle points. Model: %s.", t.Name,
			modelWords(t)),
		X:     figure.Axis{Label: "Plate to cathode", Unit: "V", Min: 0, Max: right},
		Y:     figure.Axis{Label: "Grid to cathode", Unit: "V", Min: bottom, Max: top},
		Field: plate, SecondField: grid, Points: drawn(marks, idle), Height: 380,
	}
}

// drawn leaves out the sets of points that are empty.
func drawn(sets ...figure.Points) []figure.Points {
	return slices.DeleteFunc(sets, func(p figure.Points) bool { return len(p.X) == 0 })
}

func plateChart(t *tube.Type, crests []crest, highest float64) figure.Chart {
	top := greatest(crests, func(p tube.Point) float64 { return p.PeakGridVoltage })
	peak := greatest(crests, func(p tube.Point) float64 { return p.PeakPlateCurrent })
	right := 1.1 * highest
	step := roundStep(1.1*top, 5)
	c := figure.Chart{
		ID: "plate-characteristics", Title: "Plate characteristics, " + t.Name,
		Description: fmt.Sprintf("Fitted plate current of one %s against plate voltage, both against the cathode, for grid voltages "+
			"in steps of %s. Model: %s.", t.Name, say(step, "V"), modelWords(t)),
		X: figure.Axis{Label: "Plate to cathode", Unit: "V", Min: 0, Max: right},
		Y: figure.Axis{Label: "Plate current", Unit: "A", Min: 0, Max: 1.2 * peak}, Height: 380,
	}
	for v := -step; v <= 1.1*top; v += step {
		l := figure.Line{Name: strings.Replace(quantity.Signed(v, 0)+" V", "-", "−", 1), Solid: true, Style: figure.First, At: 1}
		if math.Abs(v) < step/2 {
			l.Name = "0 V"
		}
		for k := 0; k <= 60; k++ {
			x := right * math.Pow(float64(k)/60, 1.6)
			i, _ := t.Model.Currents(v, x)
			if i > 1.2*peak {
				break
			}
			l.X, l.Y = append(l.X, x), append(l.Y, i)
		}
		if len(l.X) > 1 {
			c.Lines = append(c.Lines, l)
		}
	}
	if w := t.Limits.PlateDissipation; w.Known {
		l := figure.Line{Name: "rated dissipation", Style: figure.Second}
		for k := 0; k <= 60; k++ {
			if x := right * (0.05 + 0.95*float64(k)/60); w.Value/x <= 1.2*peak {
				l.X, l.Y = append(l.X, x), append(l.Y, w.Value/x)
			}
		}
		c.Lines = append(c.Lines, l)
	}
	return c
}

func modelWords(t *tube.Type) string {
	m := t.Model
	return fmt.Sprintf("K %s, µ %s, x %s, D %s, s %s V (%s)", quantity.Short(m.K, 4), quantity.Short(m.Mu, 4),
		quantity.Short(m.Exponent, 4), quantity.Short(m.Division, 4), quantity.Short(m.Softness, 3), t.Kind)
}
