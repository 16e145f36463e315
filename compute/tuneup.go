package compute

import (
	"math"
	"sync"

	"anodebook/compute/physics/tuning"
	"anodebook/compute/stage/operating"
	"anodebook/compute/stage/tank"
)

// TuneGroup is what the meters show while the knobs are turned, for bands
// whose tanks behave alike: the same loaded Q gives the same readings, only
// the capacitances differ.
type TuneGroup struct {
	Bands      []string // lowest first
	Band       string   // the one that was computed
	Setup      tuning.Setup
	Situations []tuning.Situation
	Path       []tuning.Step
	Tunes      []float64          // axis of the map [F]
	Loads      []float64          // axis of the map [F]
	Map        [][]tuning.Reading // [i][j] = Tunes[i], Loads[j]
	Err        error              // why there is no map, worded for the builder
}

// mapPoints is the number of settings of each knob in the map.
const mapPoints = 25

// alikeQ is how far the loaded Q of two bands may differ within a group [1].
const alikeQ = 0.25

// TuneUp returns the tune-up of every band group. It is computed when first
// asked for: it costs more than all the rest of the design.
func (d *Design) TuneUp() []TuneGroup {
	d.tuneOnce.Do(func() {
		for i := range d.Tank.Bands {
			b := &d.Tank.Bands[i]
			found := false
			for k := range d.tuneUp {
				g := &d.tuneUp[k]
				if !found && math.Abs(b.Tank.LoadedQ/g.Setup.Tank.LoadedQ-1) < alikeQ {
					g.Bands, found = append(g.Bands, b.Name), true
				}
			}
			if !found {
				d.tuneUp = append(d.tuneUp, TuneGroup{Bands: []string{b.Name}, Band: b.Name, Setup: d.setup(b)})
			}
		}
		var all sync.WaitGroup
		for k := range d.tuneUp { // each group writes to its own place
			all.Go(d.tuneUp[k].solve)
		}
		all.Wait()
	})
	return d.tuneUp
}

// BiasRows is the distortion against the idle current, computed when first
// asked for.
func (d *Design) BiasRows() []operating.BiasRow {
	d.biasOnce.Do(func() { d.biasRows = d.Operating.BiasRows() })
	return d.biasRows
}

// setup is the amplifier on one band, its plate voltage following the plate
// current along the line from idling to full output.
func (d *Design) setup(b *tank.BandResult) tuning.Setup {
	o := &d.Operating
	idle, full := o.IdleCurrent.Value, o.PlateCurrent.Value
	glitch := d.Supply.Plan.Glitch
	high, low := d.Supply.IdleVoltage-idle*glitch, o.PlateVoltage.Value
	open, resistance := low, 0.0 // held, where no falling line can be drawn
	if full > idle && high > low {
		resistance = (high - low) / (full - idle)
		open = high + resistance*idle
	}
	return tuning.Setup{
		Model: o.Model, Tubes: o.N, PlateVoltage: open, SupplyResistance: resistance, Bias: o.BiasVoltage.Value, Nominal: o.Point,
		Tank:   b.Tank,
		Limits: tuning.LimitsOf(d.Type, d.Cooling.Forced),
	}
}

func (g *TuneGroup) solve() {
	if g.Situations, g.Err = tuning.Situations(g.Setup); g.Err != nil {
		return
	}
	if g.Path, g.Err = tuning.Path(g.Setup); g.Err != nil {
		return
	}
	if g.Tunes, g.Loads, g.Err = tuning.Span(g.Setup, mapPoints); g.Err != nil {
		return
	}
	g.Map, g.Err = tuning.Map(g.Setup, g.Tunes, g.Loads)
}
