package tube

import "math"

// withLoad returns the operating point with a fixed resistive plate load [Ω]
// at the cathode drive [V peak]: the plate swing follows from V_p1 = R·I_p1.
func withLoad(m Model, plateVoltage, bias, driveVoltage, load float64) (Point, error) {
	if err := m.Valid(); err != nil {
		return Point{}, err
	}
	if !usable(plateVoltage, load) || !(driveVoltage >= 0) || math.IsInf(driveVoltage, 0) || math.IsNaN(bias) || math.IsInf(bias, 0) {
		return Point{}, errConditions
	}
	l := m.law()
	c := Conditions{plateVoltage, bias, driveVoltage, 0}
	if driveVoltage > 0 {
		l.settle(&c, load, coarse)
		l.settle(&c, load, fine)
	}
	return At(m, c), nil
}

// withComplexLoad is one answer of a ComplexLoad, from a cold start.
func withComplexLoad(m Model, plateVoltage, bias float64, src Source, load complex128) (Detuned, error) {
	c, err := NewComplexLoad(m, bias, src)
	if err != nil {
		return Detuned{}, err
	}
	return c.Solve(plateVoltage, load)
}
