package rules

import (
	"fmt"
	"math"

	"anodebook/spec/quantity"
)

// Figures of electrical safety that a report quotes. They make no equipment
// safe: discharge, verify with a meter, and ground before touching, always.
const (
	// ResidualVoltage is what exposed live parts must have fallen to [V]
	// within ResidualTime of switching off (IEC 60204-1 cl. 6.2.4, read;
	// IEC 62368-1 calls 60 V DC the limit of ES1, from memory).
	ResidualVoltage = 60.0
	// ResidualTime [s]; where it cannot be met, a durable warning at the
	// enclosure must state the time (IEC 60204-1 cl. 6.2.4, read).
	ResidualTime = 5.0
	// ResidualPinTime is the time [s] for the pins of a plug (same clause).
	ResidualPinTime = 1.0
	// ExemptCharge is the stored charge [C] exempt from the rule (same clause).
	ExemptCharge = 60e-6
	// HazardousEnergy is the stored energy [J] at 2 V or more from which a
	// short is an energy hazard: burns and thrown metal (IEC 60950-1
	// cl. 1.2.8.10, from memory). It says nothing of shock: no scale of what
	// a body survives begins or ends there.
	HazardousEnergy = 20.0
	// WaitStep is what waiting times are rounded up to multiples of [s]
	// (common practice), so that one time stands everywhere.
	WaitStep = 30.0
	// WantedWait is what bleeders should bring a bank down in, tolerances and
	// the highest mains counted [s] (common practice).
	WantedWait = 60.0
	// LongestWait is what they must [s] (common practice): nobody waits for
	// minutes every time a cover comes off.
	LongestWait = 120.0
	// ContinuousLoadFactor is what conductors and breakers must carry of a
	// load that lasts three hours or more (NEC 210.19(A)(1), 210.20(A), read).
	ContinuousLoadFactor = 1.25
)

// HarmlessCapacitance returns the largest capacitance [F] that may stay
// charged behind accessible parts at a peak voltage [V]: 0.1 µF to 450 V,
// 45 µC to 15 kV, 350 mJ above; +Inf at 42.4 V and below.
// Source: IEC 60335-1 cl. 8.1.4 (read).
func HarmlessCapacitance(peak float64) (float64, error) {
	switch {
	case !(peak >= 0):
		return 0, fmt.Errorf("rules: a peak voltage of %s V", quantity.Short(peak, 6))
	case peak <= 42.4:
		return math.Inf(1), nil
	case peak <= 450:
		return 0.1e-6, nil
	case peak <= 15e3:
		return 45e-6 / peak, nil
	}
	return 2 * 0.350 / (peak * peak), nil
}
