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

	"anodebook/compute/physics/network"
	"anodebook/compute/physics/tube"
	"anodebook/compute/physics/tuning"
	"anodebook/compute/stage/supply"
	"anodebook/spec/quantity"
)

// amplifier is everything that a fault may change.
type amplifier struct {
	setup       tuning.Setup // its supply is left out of account
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
	known       *line   // of the sound amplifier
	knownFor    supplied
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

// line is the filter voltage and the ripple of a supply over the plate current:
// straight between standby, idling and full output, and beyond.
type line struct {
	current, voltage, ripple [3]float64
}

// at interpolates a column of the line.
func (l *line) at(y *[3]float64, current float64) float64 {
	k := 0
	if current > l.current[1] {
		k = 1
	}
	return y[k] + (y[k+1]-y[k])*(current-l.current[k])/(l.current[k+1]-l.current[k])
}

// supplied is what the line of a supply follows from.
type supplied struct {
	secondary, source, capacitance, conductance, mains float64
}

func (a *amplifier) supplied() supplied {
	g := 1/a.plan.Supply.LoadResistance/a.bleeders + a.leakage
	if a.oneOpen {
		g = a.leakage
		if a.multiplier > 0 {
			g += 1 / a.multiplier
		}
	}
	s := &a.plan.Supply
	return supplied{s.SecondaryVoltage, s.SourceResistance, s.Capacitance, g, a.mains}
}

// supply returns the line, that of the sound amplifier where nothing of the
// supply has changed.
func (a *amplifier) supply(s supplied) (*line, error) {
	if a.known != nil && s == a.knownFor {
		return a.known, nil
	}
	p := a.plan
	p.Supply.LoadResistance = math.Inf(1)
	if s.conductance > 0 {
		p.Supply.LoadResistance = 1 / s.conductance
	}
	l := &line{current: [3]float64{0, a.idle, a.full}}
	for k, i := range l.current {
		r, err := p.State(i, a.mains)
		if err != nil {
			return nil, err
		}
		l.voltage[k], l.ripple[k] = r.Voltage, r.RipplePeak
	}
	return l, nil
}

// settle remembers the line of the amplifier as it is.
func (a *amplifier) settle() (err error) {
	if !(a.idle > 0.001*a.full && a.idle < 0.95*a.full) {
		return fmt.Errorf("restoration: idling at %s A and %s A at full output, no line can be drawn", quantity.Short(a.idle, 3),
			quantity.Short(a.full, 3))
	}
	a.knownFor = a.supplied()
	a.known, err = a.supply(a.knownFor)
	return err
}

// predict returns what the meters read.
func (a *amplifier) predict() (prediction, error) {
	from := a.supplied()
	l, err := a.supply(from)
	if err != nil {
		return nil, err
	}
	series := a.plan.Glitch + a.path
	n := float64(a.setup.Tubes)
	rest, err := tube.IdleOn(a.setup.Model, a.setup.Bias, n, l.at(&l.voltage, a.idle)-a.idle*series, func(i float64) (float64, error) {
		return math.Max(0, l.at(&l.voltage, i)-i*series), nil
	})
	if err != nil {
		return nil, err
	}
	idle := n * rest.PlateCurrent()
	s := a.setup
	var r tuning.Reading
	for k := 1; k >= 0; k-- { // the straight between idling and full output, else that below
		resistance := (l.voltage[k] - l.voltage[k+1]) / (l.current[k+1] - l.current[k])
		s.PlateVoltage, s.SupplyResistance = l.voltage[k]+resistance*l.current[k], resistance+series
		if r, err = tuning.At(s, a.tune, a.load); err != nil {
			return nil, err
		}
		if r.PlateCurrent >= l.current[k] {
			break
		}
	}
	noLoad := a.plan.Supply.CrestVoltage() * a.mains
	wait, ohms := a.openSeconds, 1e3*a.plan.Supply.LoadResistance // open, as an ohmmeter shows it
	if !a.oneOpen {
		path := from.conductance
		if a.multiplier > 0 {
			path += 1 / a.multiplier
		}
		wait = a.plan.Bank.OutputCapacitance() / path * math.Log(math.Max(noLoad, 61)/60)
		ohms = a.plan.Supply.LoadResistance * a.bleeders
	}
	if a.plan.Bleeders == 0 {
		ohms = 0 // there is nothing to measure
	}
	return prediction{
		ohms, a.plan.Bank.OutputCapacitance(),
		a.mains, a.mains, a.plan.Supply.SecondaryVoltage * a.mains,
		noLoad * a.voltMeter, l.voltage[0] * a.voltMeter, wait, a.setup.Bias,
		idle * a.plateMeter, l.at(&l.voltage, idle) * a.voltMeter,
		r.PlateCurrent * a.plateMeter, r.GridCurrent * a.gridMeter, r.DrivePower, r.Output,
		l.at(&l.voltage, r.PlateCurrent) * a.voltMeter, r.PlateVoltage * a.voltMeter, l.at(&l.ripple, r.PlateCurrent),
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
