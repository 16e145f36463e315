package report

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"anodebook/compute"
	"anodebook/report/figure"
	"anodebook/spec/quantity"
)

// drawing is one figure with the name of its file.
type drawing struct {
	name  string
	chart func(*compute.Design) (figure.Chart, error)
}

// drawings are the figures of the notebook in the order of its sections. Each
// samples what the stages offer; none computes a result of its own.
var drawings = []drawing{
	{"cycle", cycleFigure},
	{"loadline", loadLineFigure},
	{"linearity", linearityFigure},
	{"distortion", distortionFigure},
	{"input", inputFigure},
	{"choke", chokeFigure},
	{"tank", tankFigure},
	{"harmonics", harmonicsFigure},
	{"tank-currents", tankCurrentsFigure},
	{"tank-voltages", tankVoltagesFigure},
	{"sequence", sequenceFigure},
	{"ripple", rippleFigure},
	{"turnon", turnOnFigure},
	{"loadstep", loadStepFigure},
	{"flashover", flashOverFigure},
	{"discharge", dischargeFigure},
}

// drawFigures draws every figure of the notebook as inline SVG, by path below
// its folder. The error names all figures that cannot be drawn.
func drawFigures(d *compute.Design) (map[string]string, error) {
	list := append(slices.Clone(drawings), append(tuningDrawings(d), measuredDrawings(d)...)...)
	svg, errs := make([]string, len(list)), make([]error, len(list))
	var all sync.WaitGroup
	for i, f := range list { // each writes to its own place
		all.Go(func() {
			c, err := f.chart(d)
			if err == nil {
				c.ID = "chart-" + f.name
				svg[i], err = c.Render()
			}
			if err != nil {
				errs[i] = fmt.Errorf("figure %s: %w", f.name, err)
			}
		})
	}
	all.Wait()
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	out := make(map[string]string, len(list))
	for i, f := range list {
		out["figures/"+f.name+".svg"] = svg[i]
	}
	return out, nil
}

// say is a value as the figures' words show it.
func say(si float64, unit string) string {
	return strings.Replace(quantity.Format(si, unit, 3), "-", "−", 1)
}

// text is a quantity of the book in words, as the tables show it.
func text(d *compute.Design, id string) string { return d.Book.Get(id).Text() }

// roundStep is the step of 1, 2 or 5 times a power of ten that divides a span
// into no more than parts.
func roundStep(span float64, parts int) float64 {
	least := span / float64(parts)
	e := math.Pow(10, math.Floor(math.Log10(least)))
	for _, m := range []float64{1, 2, 5} {
		if m*e >= least*(1-1e-9) {
			return m * e
		}
	}
	return 10 * e
}

// between is the k-th of n equal steps from low to high.
func between(low, high float64, k, n int) float64 {
	return low + (high-low)*float64(k)/float64(n)
}
