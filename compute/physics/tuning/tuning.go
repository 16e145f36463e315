// Package tuning says what the meters show while the knobs of the output tank
// are turned: output, currents and dissipation over the settings of tune and
// load capacitor, the mistakes that cost tubes, and the way to full output.
//
// It assumes what packages tube and network assume; a drive source of fixed
// voltage and resistance at each cathode (E = 2·V_d behind the input resistance
// of the nominal point, so that the nominal drive power is all it can give);
// tubes that share evenly, so that each sees n times the impedance at the
// plates; a steady carrier; and parts that do not warm up, saturate or arc.
// The static law of the tube is fitted at published operating points: far from
// them, with the plate swinging below ground, it shows the direction and the
// order of magnitude, not the digit.
package tuning

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"

	"anodebook/compute/physics/network"
	"anodebook/compute/physics/tube"
	"anodebook/compute/physics/twoport"
	"anodebook/spec/quantity"
)

// Setup is an amplifier on one band.
type Setup struct {
	Model            tube.Model
	Tubes            int           // in parallel, >= 1
	PlateVoltage     float64       // DC [V], > 0; where SupplyResistance is given: without plate current
	SupplyResistance float64       // of the line along which the plate voltage falls with the current of all tubes [Ω], >= 0; 0 holds PlateVoltage
	Bias             float64       // cathode above ground [V]
	Nominal          tube.Point    // one tube: sets source and nominal plate load
	Tank             *network.Tank // is not changed
	Frequency        float64       // [Hz]; 0 = that of the tank's design
	Load             complex128    // at the connector [Ω], real part > 0; 0 = that of the tank's design
	Limits           Limits
	Drive            float64 // voltage of the source over nominal [1], > 0; 0 = 1
}

// Reading is what the meters show, and what no meter shows, at one setting.
type Reading struct {
	Tune, Load           float64    // capacitance set, all of it at each end of the coil [F]
	Output               float64    // at the connector [W]
	PlateCurrent         float64    // DC, all tubes [A]
	GridCurrent          float64    // DC, all tubes [A]
	PlateDissipationEach float64    // [W]
	GridDissipationEach  float64    // [W]
	DrivePower           float64    // taken by the cathodes of all tubes [W]
	PlateVoltageLow      float64    // lowest plate to ground in the cycle [V]; negative where the tank swings it below ground
	Balance              float64    // what is left of the energy balance from supply and drive to connector, over the sum of its terms [1]
	PlateVoltage         float64    // DC [V]
	InputResistance      float64    // of all cathodes in parallel, real part [Ω]
	PlateImpedance       complex128 // what the plates of all tubes see [Ω]
	TankEfficiency       float64    // at this setting, 0 to 1
	Exceeds              []string   // limits exceeded, in the order of Limits; do not write
}

// ErrNoOperatingPoint is wrapped by errors of At, Map, Situations and Path when
// the search at one setting did not end.
var ErrNoOperatingPoint = errors.New("no operating point was found")

// At returns the reading at one setting of tune and load capacitance [F, >= 0].
// Errors: a setup or setting out of range, ErrNoOperatingPoint (wrapped).
func At(s Setup, tune, load float64) (Reading, error) {
	b, err := newBench(s)
	if err != nil {
		return Reading{}, err
	}
	return b.read(tune, load)
}

// Map returns the readings over tunes and loads [F, >= 0]: element [i][j] is
// that of tunes[i] and loads[j]. The search at each setting starts from its
// neighbour; errors as At.
func Map(s Setup, tunes, loads []float64) ([][]Reading, error) {
	b, err := newBench(s)
	if err != nil {
		return nil, err
	}
	cells := make([]Reading, len(tunes)*len(loads))
	rows := make([][]Reading, len(tunes))
	for i := range rows {
		rows[i] = cells[i*len(loads) : (i+1)*len(loads) : (i+1)*len(loads)]
	}
	for j, load := range loads {
		for i := range tunes {
			if j%2 == 1 { // to and fro, so that every cell has a neighbour before it
				i = len(tunes) - 1 - i
			}
			if rows[i][j], err = b.read(tunes[i], load); err != nil {
				return nil, err
			}
		}
	}
	return rows, nil
}

// Span returns n settings each [F] of tune and load capacitor for a map about
// the tuned and loaded setting: the tune capacitor over 3/(ω·R) to either side,
// where the impedance at the plates has fallen to a third of the nominal load,
// the load capacitor from a third to three times, by ratio; n > 1.
// Errors: a setup out of range, *OutOfReachError.
func Span(s Setup, n int) (tunes, loads []float64, err error) {
	b, err := newBench(s)
	if err != nil {
		return nil, nil, err
	}
	if n < 2 {
		return nil, nil, fmt.Errorf("tuning: a map of %d settings", n)
	}
	tune, load, err := b.match(s.Nominal.PlateLoad / b.n)
	if err != nil {
		return nil, nil, err
	}
	low, high := b.around(tune, 3)
	for k := range n {
		t := float64(k) / float64(n-1)
		tunes = append(tunes, low+(high-low)*t)
		loads = append(loads, load*math.Pow(3, 2*t-1))
	}
	return tunes, loads, nil
}

// bench is a setup made ready for many readings.
type bench struct {
	s          Setup
	n          float64
	cathode    *tube.ComplexLoad
	chain      twoport.Chain // of our own
	tune, load *twoport.Element
	solution   twoport.Solution
}

func newBench(s Setup) (*bench, error) {
	if s.Tank == nil {
		return nil, errors.New("tuning: a tank is needed")
	}
	if s.Frequency == 0 {
		s.Frequency = s.Tank.Input.Frequency
	}
	if s.Load == 0 {
		s.Load = complex(s.Tank.Input.LoadResistance, 0)
	}
	if s.Drive == 0 {
		s.Drive = 1
	}
	if s.Tubes < 1 {
		return nil, fmt.Errorf("tuning: %d tubes", s.Tubes)
	}
	if !(s.SupplyResistance >= 0) || math.IsInf(s.SupplyResistance, 0) {
		return nil, fmt.Errorf("tuning: a supply of %s Ω", quantity.Short(s.SupplyResistance, 6))
	}
	if !positive(s.Frequency, s.Drive, s.PlateVoltage, real(s.Load), s.Nominal.PlateLoad, s.Nominal.DriveVoltage,
		s.Nominal.InputResistance) || cmplx.IsInf(s.Load) || cmplx.IsNaN(s.Load) {
		return nil, errors.New("tuning: frequency, drive, plate voltage, the load's resistance and the nominal point's drive and load " +
			"must be positive and finite")
	}
	b := &bench{s: s, n: float64(s.Tubes)}
	b.chain.Elements = append(b.chain.Elements, s.Tank.Chain.Elements...)
	i, j := b.chain.Index(network.TuneCapacitor), b.chain.Index(network.LoadCapacitor)
	if i < 0 || j < i {
		return nil, errors.New("tuning: the tank has no tune and load capacitor")
	}
	b.tune, b.load = &b.chain.Elements[i], &b.chain.Elements[j]
	return b, b.drive(s.Drive)
}

// drive sets the source's voltage relative to nominal.
func (b *bench) drive(level float64) (err error) {
	b.s.Drive = level
	src := tube.MatchedSource(b.s.Nominal)
	src.Voltage *= level
	if b.cathode, err = tube.NewComplexLoad(b.s.Model, b.s.Bias, src); err != nil {
		return fmt.Errorf("tuning: %w", err)
	}
	return nil
}

func positive(v ...float64) bool {
	for _, x := range v {
		if !(x > 0) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

func (b *bench) read(tune, load float64) (Reading, error) {
	if !(tune >= 0 && load >= 0) || math.IsInf(tune+load, 0) {
		return Reading{}, fmt.Errorf("tuning: capacitances of %s F and %s F cannot be set", quantity.Short(tune, 6),
			quantity.Short(load, 6))
	}
	b.tune.Capacitance, b.load.Capacitance = tune, load
	z := b.chain.InputImpedance(b.s.Frequency, b.s.Load)
	d, err := b.settle(z)
	if err != nil {
		return Reading{}, fmt.Errorf("tuning: at %s pF tune, %s pF load and %s times the drive voltage: %w",
			quantity.Short(tune*1e12, 4), quantity.Short(load*1e12, 4), quantity.Short(b.s.Drive, 3), err)
	}
	b.chain.Solve(b.s.Frequency, b.s.Load, twoport.InputCurrent(complex(b.n, 0)*d.PlatePhasor), &b.solution)
	heat := 0.0
	for i := range b.solution.Elements {
		heat += b.solution.Elements[i].Power
	}
	r := Reading{
		Tune: tune, Load: load,
		Output:       b.solution.LoadPower,
		PlateCurrent: b.n * d.PlateCurrent, GridCurrent: b.n * d.GridCurrent,
		PlateDissipationEach: d.PlateDissipation, GridDissipationEach: d.GridDissipation,
		DrivePower: b.n * d.DrivePower, PlateVoltageLow: d.MinimumPlateVoltage,
		PlateVoltage: d.PlateVoltage, PlateImpedance: z, InputResistance: real(d.InputImpedance) / b.n,
	}
	in := r.PlateVoltage*r.PlateCurrent + r.DrivePower
	out := r.Output + heat + b.n*(d.PlateDissipation+d.GridDissipation+d.BiasLoss)
	r.Balance = (in - out) / (math.Abs(in) + math.Abs(out))
	if r.Output > 0 {
		r.TankEfficiency = r.Output / (r.Output + heat)
	}
	r.Exceeds = b.s.Limits.exceeded(&r, b.s.Tubes)
	return r, nil
}

// settle solves tubes and supply together with z at the plates of all tubes.
func (b *bench) settle(z complex128) (tube.Detuned, error) {
	d, err := b.cathode.SolveFed(tube.Feed{Voltage: b.s.PlateVoltage, Resistance: b.n * b.s.SupplyResistance}, complex(b.n, 0)*z)
	if err != nil {
		return d, fmt.Errorf("%w with a resistance of %s Ω and a reactance of %s Ω at the plates: %w", ErrNoOperatingPoint,
			quantity.Short(real(z), 4), quantity.Short(imag(z), 4), err)
	}
	return d, nil
}
