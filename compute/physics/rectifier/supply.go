// Package rectifier finds what a high-voltage supply with capacitor or choke
// input does in time: its periodic steady state, its cold start, its answer to
// a load step, its fault current, and how it discharges afterwards.
//
// The transformer is an ideal sine source behind one resistance (windings and
// reflected mains lumped at the secondary; with a centre tap each half has all
// of it) and, where stated, its leakage inductance, that of each half for
// itself; a diode string is an ideal switch with a fixed drop and a
// resistance; a filter capacitor has an equivalent series resistance; a choke
// has the same inductance throughout a period; the load is a constant current
// beside a resistance. Between two switching instants the circuit is linear
// and is solved in closed form, so there is no time step and no step error:
// switching instants come from bracketed roots, and the steady state from
// Newton's method on capacitor voltages and inductor currents at the start of
// a half period ("shooting"). Without inductances there is one unknown for
// each capacitor and the sums are shorter: that case has code of its own.
//
// The classical graphical answer to the same circuits is O. H. Schade,
// "Analysis of Rectifier Operation", Proc. IRE 31 (July 1943) 341.
//
// All quantities are in SI units.
package rectifier

import (
	"errors"
	"fmt"
	"math"

	"anodebook/spec/quantity"
)

// Circuit is the rectifier connection.
type Circuit int

const (
	// Bridge is the full-wave bridge on one secondary. The zero value is no
	// circuit.
	Bridge Circuit = iota + 1
	// CentreTap is the full-wave rectifier on a centre-tapped secondary.
	CentreTap
	// Doubler is the symmetrical full-wave doubler: two equal capacitors in
	// series, each charged on its own half of the mains period.
	Doubler
)

// ErrOverload says that the constant-current part of the load is more than
// the supply can carry without its output falling to zero within the period.
var ErrOverload = errors.New("rectifier: the load current pulls the output voltage to zero")

// ErrNoConvergence says that no periodic steady state was found.
var ErrNoConvergence = errors.New("rectifier: no periodic steady state found")

// Supply is one rectifier supply with its load.
type Supply struct {
	Circuit Circuit
	// SecondaryVoltage is the no-load secondary voltage [V rms], > 0. For
	// CentreTap it is the voltage of one half.
	SecondaryVoltage float64
	// SourceResistance is everything in series with one current pulse, seen
	// at the secondary (for CentreTap at one half) [Ω], > 0.
	SourceResistance float64
	// DiodeDrop is the forward drop of one conducting path [V], >= 0: both
	// strings of a bridge together, one string otherwise.
	DiodeDrop float64
	// DiodeResistance is what the forward drop of that path adds for each
	// ampere [Ω], >= 0.
	DiodeResistance float64
	// MainsFrequency [Hz], > 0.
	MainsFrequency float64
	// LeakageInductance is that of the transformer, seen at the secondary (for
	// CentreTap at one half) [H], >= 0.
	LeakageInductance float64
	// ChokeInductance is that of a choke between rectifier and capacitor, >= 0;
	// 0 means capacitor input. Not with Doubler. [H]
	ChokeInductance float64
	// ChokeResistance is the choke's own [Ω], >= 0.
	ChokeResistance float64
	// Capacitance is the filter capacitance [F], > 0; for Doubler that of
	// each of the two capacitors.
	Capacitance float64
	// CapacitorResistance is the equivalent series resistance of Capacitance
	// [Ω], >= 0.
	CapacitorResistance float64
	// LoadResistance is the resistive part of the load across the whole
	// output (bleeders) [Ω]; 0 or +Inf means none.
	LoadResistance float64
	// LoadCurrent is the constant-current part of the load [A], >= 0.
	LoadCurrent float64
}

// Validate reports the first quantity that is out of its range.
func (s Supply) Validate() error {
	if !s.Circuit.known() {
		return fmt.Errorf("rectifier: unknown circuit %d", int(s.Circuit))
	}
	positive := func(x float64) bool { return x > 0 && !math.IsInf(x, 0) }
	notNegative := func(x float64) bool { return x >= 0 && !math.IsInf(x, 0) }
	switch {
	case !positive(s.SecondaryVoltage):
		return fmt.Errorf("rectifier: secondary voltage %s V must be positive", quantity.Short(s.SecondaryVoltage, 6))
	case !positive(s.SourceResistance):
		return fmt.Errorf("rectifier: source resistance %s Ω must be positive", quantity.Short(s.SourceResistance, 6))
	case !positive(s.MainsFrequency):
		return fmt.Errorf("rectifier: mains frequency %s Hz must be positive", quantity.Short(s.MainsFrequency, 6))
	case !positive(s.Capacitance):
		return fmt.Errorf("rectifier: filter capacitance %s F must be positive", quantity.Short(s.Capacitance, 6))
	case !notNegative(s.DiodeDrop) || s.DiodeDrop >= s.PeakVoltage():
		return fmt.Errorf("rectifier: diode drop %s V must be from 0 to below the secondary peak", quantity.Short(s.DiodeDrop, 6))
	case !notNegative(s.DiodeResistance) || !notNegative(s.CapacitorResistance):
		return fmt.Errorf("rectifier: diode resistance %s Ω and capacitor resistance %s Ω must not be negative",
			quantity.Short(s.DiodeResistance, 6), quantity.Short(s.CapacitorResistance, 6))
	case !notNegative(s.LoadCurrent):
		return fmt.Errorf("rectifier: load current %s A must not be negative", quantity.Short(s.LoadCurrent, 6))
	case !notNegative(s.LeakageInductance) || !notNegative(s.ChokeInductance) || !notNegative(s.ChokeResistance):
		return fmt.Errorf("rectifier: leakage inductance %s H, choke inductance %s H and choke resistance %s Ω must not be negative",
			quantity.Short(s.LeakageInductance, 6), quantity.Short(s.ChokeInductance, 6), quantity.Short(s.ChokeResistance, 6))
	case s.ChokeInductance > 0 && s.Circuit.Banks() == 2:
		return errors.New("rectifier: a doubler has no choke input")
	case !(s.LoadResistance >= 0):
		return fmt.Errorf("rectifier: load resistance %s Ω must not be negative", quantity.Short(s.LoadResistance, 6))
	}
	return nil
}

// PeakVoltage returns the peak of the no-load secondary voltage [V]; for
// CentreTap of one half.
func (s Supply) PeakVoltage() float64 { return math.Sqrt2 * s.SecondaryVoltage }

// NoLoadVoltage returns the DC output with no load at all [V]: the secondary
// peak less the diode drop, twice that for Doubler.
func (s Supply) NoLoadVoltage() float64 {
	return s.Circuit.facts().crest * (s.PeakVoltage() - s.DiodeDrop)
}

// CrestVoltage returns the DC output with no load at all and no drop in the
// diodes [V]: what filter and insulation must stand, since the drop of a diode
// vanishes with its current.
func (s Supply) CrestVoltage() float64 { return s.Circuit.facts().crest * s.PeakVoltage() }

// DiodeReverseVoltage returns the largest reverse voltage across one diode
// string with a resistive or light load [V peak]: the secondary peak for
// Bridge, twice the peak (of one half) for CentreTap and Doubler. Mains
// over-voltage and transients come on top.
func (s Supply) DiodeReverseVoltage() float64 {
	return s.Circuit.facts().reverse * s.PeakVoltage()
}

// OutputCapacitance returns the capacitance seen at the DC output [F]: half
// of one capacitor for Doubler.
func (s Supply) OutputCapacitance() float64 {
	return s.Capacitance / float64(s.Circuit.facts().banks)
}

// conductance returns the load conductance [S].
func (s Supply) conductance() float64 {
	if s.LoadResistance == 0 {
		return 0
	}
	return 1 / s.LoadResistance
}

// RegulationResistance returns the resistance at the secondary [Ω] that a
// transformer's regulation figure means: (V_no-load - V_full)/V_full =
// regulation at its rated resistive current [A rms], with the no-load
// voltage [V rms].
func RegulationResistance(regulation, noLoadVoltage, ratedCurrent float64) float64 {
	return regulation / (1 + regulation) * noLoadVoltage / ratedCurrent
}
