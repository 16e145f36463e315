package tube

// Shares are two tubes side by side on the same voltages, one strong, one weak.
type Shares struct {
	Strong, Weak Point
	PlateShare   float64 // of the strong tube in the DC plate current of both [1]
	IdleShare    float64 // of the strong tube in the idle current of both [1]
}

// Mismatched returns how two tubes share when their perveances differ by
// mismatch [1, 0…1]: (1 + mismatch/2)·K beside (1 − mismatch/2)·K.
func Mismatched(m Model, c Conditions, mismatch float64) Shares {
	strong, weak := m.Scaled(1+mismatch/2), m.Scaled(1-mismatch/2)
	s := Shares{Strong: At(strong, c), Weak: At(weak, c)}
	s.PlateShare = ratio(s.Strong.Plate[0], s.Strong.Plate[0]+s.Weak.Plate[0])
	a, b := Idle(strong, c.PlateVoltage, c.BiasVoltage), Idle(weak, c.PlateVoltage, c.BiasVoltage)
	s.IdleShare = ratio(a.Plate[0], a.Plate[0]+b.Plate[0])
	return s
}
