package custom

import (
	"fmt"
	"sync"

	"anodebook/compute/physics/tube"
)

// fitted is the outcome of a fit. It is shared: nobody writes to it.
type fitted struct {
	kind       tube.ModelKind
	model      tube.Model
	residuals  []tube.Residual
	parameters []tube.Parameter
}

// memory keeps the last fits by their figures: a study computes the same tube
// thousands of times. A fit depends on its figures alone, so the memory changes
// no result.
var memory struct {
	sync.Mutex
	byKey map[string]fitted
}

// memorySize is the number of fits kept before the memory is emptied.
const memorySize = 32

func remembered(key string) (fitted, bool) {
	memory.Lock()
	defer memory.Unlock()
	f, ok := memory.byKey[key]
	return f, ok
}

func remember(key string, f fitted) {
	memory.Lock()
	defer memory.Unlock()
	if memory.byKey == nil || len(memory.byKey) >= memorySize {
		memory.byKey = map[string]fitted{}
	}
	memory.byKey[key] = f
}

// values are the figures of columns without where they stand; a figure that is
// not known is -1.
func values(columns []tube.Column) [][9]float64 {
	out := make([][9]float64, len(columns))
	for i, c := range columns {
		for k, f := range [9]tube.Figure{c.PlateVoltage, c.Bias, c.PlateCurrent, c.GridCurrent, c.PlateLoad, c.Driving, c.DrivePower,
			c.Output, c.IdleCurrent} {
			out[i][k] = -1
			if f.Known {
				out[i][k] = f.Value
			}
		}
	}
	return out
}

// names are what the residuals call the columns.
func names(columns []tube.Column) []string {
	out := make([]string, len(columns))
	for i, c := range columns {
		out[i] = fmt.Sprintf("%q", c.Name)
	}
	return out
}

func idle(points []tube.IdlePoint) [][3]float64 {
	out := make([][3]float64, len(points))
	for i, p := range points {
		out[i] = [3]float64{p.PlateVoltage, p.Bias, p.Current.Value}
	}
	return out
}
