package tube

import (
	"math"

	"anodebook/compute/physics/fourier"
)

// HandTable is the 13-point analysis of an operating point, as one would do it
// with a pencil on the constant-current chart: ordinates every 15° from the
// crest to 180°, the printed two-digit multipliers, and the figures that
// follow, beside those of the numerical operating point.
type HandTable struct {
	Angle        [13]float64 // θ [rad]
	GridVoltage  [13]float64 // grid to cathode [V]
	PlateVoltage [13]float64 // plate to cathode [V]
	PlateCurrent [13]float64 // [A]
	GridCurrent  [13]float64 // [A]

	Plate, Grid fourier.Hand // by hand, printed multipliers [A]

	Output          float64 // V_p1·I_p1/2 by hand [W]
	DrivePower      float64 // V_d·(I_p1+I_g1)/2 by hand [W]
	PlateLoad       float64 // by hand [Ω]
	InputResistance float64 // by hand [Ω]

	Point Point // the numerical operating point
}

// Hand returns the 13-point analysis at the given voltages.
func Hand(m Model, c Conditions) HandTable {
	h := HandTable{Point: At(m, c)}
	for k := range h.Angle {
		t := float64(k) * math.Pi / 12
		x := math.Cos(t)
		h.Angle[k] = t
		h.GridVoltage[k] = c.DriveVoltage*x - c.BiasVoltage
		h.PlateVoltage[k] = c.PlateVoltage - c.PlateSwing*x + h.GridVoltage[k]
		h.PlateCurrent[k], h.GridCurrent[k] = m.Currents(h.GridVoltage[k], h.PlateVoltage[k])
	}
	h.Plate, h.Grid = fourier.Hand13Printed(h.PlateCurrent), fourier.Hand13Printed(h.GridCurrent)
	h.Output = c.PlateSwing * h.Plate.First / 2
	h.DrivePower = c.DriveVoltage * (h.Plate.First + h.Grid.First) / 2
	h.PlateLoad = ratio(c.PlateSwing, h.Plate.First)
	h.InputResistance = ratio(c.DriveVoltage, h.Plate.First+h.Grid.First)
	return h
}
