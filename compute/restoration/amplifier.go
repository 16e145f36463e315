// Package restoration says which fault explains the readings of an amplifier
// best: it puts each likely fault into the model, one at a time, fits the size
// of the fault to the readings, and ranks the faults by what is left over.
//
// It assumes what packages tuning, supply and tube assume; one fault at a time;
// an exciter whose drive is not turned up to make good for the fault; knobs
// left where they stand for the computed design, except that after a change of
// the load capacitor the tune capacitor is set to resonance again; and tubes
// that differ in perveance only, so that one of n with a share x of its
// perveance is the same as all of them with a share 1 − (1 − x)/n. Loss of
// emission at the crest alone is not in the model of the tube.
package restoration

import (
	"fmt"
	"math"

	"anodebook/compute/network"
	"anodebook/compute/supply"
	"anodebook/compute/tube"
	"anodebook/compute/tuning"
)

// amplifier is everything that a fault may change.
type amplifier struct {
	setup       tuning.Setup // Supply is left nil
	tune, load  float64      // settings [F]
	plan        supply.Plan
	multiplier  float64 // string of the voltmeter [Ω]; 0: none
	mains       float64 // over nominal [1]
	path        float64 // resistance between bank and plates beyond the glitch resistor [Ω]
	leakage     float64 // conductance across the bank [S]
	bleeders    float64 // resistance of the bleeders over nominal [1]
	oneOpen     bool    // one bleeder has failed open
	plateMeter  float64 // shown over true [1]
	gridMeter   float64 // shown over true [1]
	voltMeter   float64 // shown over true [1]
	idle, full  float64 // plate currents of the sound amplifier, all tubes [A]
	openSeconds float64 // until the terminals are down to 60 V with one bleeder open [s]
}

// The quantities that the faults are told apart by, in the order in which they
// are best measured: without power first.
var observables = []string{
	"supply.bleeder_resistance", "supply.filter_capacitance",
	"supply.mains_voltage", "filament.pin_voltage", "supply.transformer_voltage",
	"supply.no_load_voltage", "supply.standby_voltage", "supply.time_to_60v", "tubes.bias_voltage",
	"tubes.idle_current", "supply.idle_voltage",
	"tubes.plate_current", "tubes.grid_current", "tubes.drive_power", "antenna.output_power",
	"supply.full_load_voltage", "tubes.plate_voltage", "supply.ripple_peak_to_peak",
}

// Known says that the faults change, or are known not to change, the quantity.
func Known(id string) bool { return indexOf(id) >= 0 }

func indexOf(id string) int {
	for i, o := range observables {
		if o == id {
			return i
		}
	}
	return -1
}

// prediction holds what each of the observables reads, in their order.
type prediction []float64

// predict returns what the meters read.
func (a *amplifier) predict() (prediction, error) {
	p := a.plan
	g := 1/p.Supply.LoadResistance/a.bleeders + a.leakage
	if a.oneOpen {
		g = a.leakage
		if a.multiplier > 0 {
			g += 1 / a.multiplier
		}
	}
	p.Supply.LoadResistance = math.Inf(1)
	if g > 0 {
		p.Supply.LoadResistance = 1 / g
	}
	series := p.Glitch + a.path
	standby, err := p.State(0, a.mains)
	if err != nil {
		return nil, err
	}
	n := float64(a.setup.Tubes)
	idle, atIdle := a.idle, 0.0
	for range 3 { // a change of current hardly moves the voltage
		r, err := p.State(idle, a.mains)
		if err != nil {
			return nil, err
		}
		atIdle = r.Voltage
		idle = n * tube.Idle(a.setup.Model, atIdle-idle*series, a.setup.Bias).PlateCurrent()
	}
	loaded, err := p.State(a.full, a.mains)
	if err != nil {
		return nil, err
	}
	high, low := atIdle-idle*series, loaded.Voltage-a.full*series
	if math.Abs(a.full-idle) < 0.05*a.full {
		return nil, fmt.Errorf("restoration: idling at %.3g A, which is full output", idle)
	}
	s := a.setup
	s.PlateVoltage = low
	s.Supply = func(i float64) float64 { return high + (low-high)*(i-idle)/(a.full-idle) }
	r, err := tuning.At(s, a.tune, a.load)
	if err != nil {
		return nil, err
	}
	if loaded, err = p.State(r.PlateCurrent, a.mains); err != nil {
		return nil, err
	}
	wait := a.openSeconds
	if !a.oneOpen {
		wait = p.Supply.LoadResistance * p.Bank.OutputCapacitance() * math.Log(math.Max(p.Supply.NoLoadVoltage()*a.mains, 61)/60)
	}
	ohms := a.plan.Supply.LoadResistance * a.bleeders
	if a.oneOpen {
		ohms = 1e3 * a.plan.Supply.LoadResistance // open, as an ohmmeter shows it
	}
	secondary := p.Supply.SecondaryVoltage * a.mains
	return prediction{
		ohms, p.Bank.OutputCapacitance(),
		a.mains, a.mains, secondary,
		p.Supply.NoLoadVoltage() * a.mains * a.voltMeter, standby.Voltage * a.voltMeter, wait, a.setup.Bias,
		idle * a.plateMeter, atIdle * a.voltMeter,
		r.PlateCurrent * a.plateMeter, r.GridCurrent * a.gridMeter, r.DrivePower, r.Output,
		loaded.Voltage * a.voltMeter, r.PlateVoltage * a.voltMeter, loaded.RipplePeak,
	}, nil
}

// resonate sets the tune capacitor so that the plates see no reactance.
func (a *amplifier) resonate() {
	chain := a.setup.Tank.Chain
	chain.Elements = append(chain.Elements[:0:0], chain.Elements...)
	i, j := chain.Index(network.TuneCapacitor), chain.Index(network.LoadCapacitor)
	chain.Elements[j].Capacitance = a.load
	f, z := a.setup.Tank.Input.Frequency, complex(a.setup.Tank.Input.LoadResistance, 0)
	for range 12 {
		chain.Elements[i].Capacitance = a.tune
		step := imag(1/chain.InputImpedance(f, z)) / (2 * math.Pi * f)
		a.tune = math.Max(0, a.tune-step)
		if math.Abs(step) < 1e-16 {
			return
		}
	}
}
