package report

import (
	"fmt"
	"math"

	"anodebook/compute"
	"anodebook/compute/physics/tube"
	"anodebook/report/figure"
	"anodebook/spec/quantity"
)

// cycleFigure is one cycle of one tube. The grid's voltage would be a flat
// line on the scale of the plate's, so it is drawn magnified by a round
// number; both scales have their zero at the same height.
func cycleFigure(d *compute.Design) (figure.Chart, error) {
	o := &d.Operating
	p := &o.Point
	w := tube.Waveforms(o.Model, p.Conditions, 145)
	top := 1.05 * (p.PlateVoltage + p.PlateSwing)
	magnify := 1.0
	for _, m := range []float64{2, 5, 10, 20, 50, 100} {
		if m*(p.DriveVoltage+math.Abs(p.BiasVoltage)) <= 0.3*top {
			magnify = m
		}
	}
	grid := make([]float64, len(w.GridVoltage))
	lowest := 0.0
	for i, v := range w.GridVoltage {
		grid[i] = magnify * v
		lowest = min(lowest, grid[i])
	}
	bottom := 1.1 * lowest
	name := "grid to cathode"
	if magnify > 1 {
		name += fmt.Sprintf(" × %s", quantity.Short(magnify, 6))
	}
	current := 1.6 * p.PeakPlateCurrent
	amperes := &figure.Axis{Label: "Current", Unit: "A", Min: current * bottom / top, Max: current, Ticks: []figure.Tick{}}
	step := roundStep(current, 6)
	for k := 0; float64(k)*step <= current; k++ {
		amperes.Ticks = append(amperes.Ticks, figure.Tick{At: float64(k) * step, Text: decimals(float64(k)*step, step)})
	}
	return figure.Chart{
		Title: "One cycle of one tube",
		Description: fmt.Sprintf("Plate voltage falls from %s to %s at the crest of the drive, where the grid is %s positive against "+
			"the cathode. There the plate current peaks at %s and the grid current at %s; the mean values are %s and %s. Cathode "+
			"current "+
			"flows during %s of the cycle.",
			say(p.PlateVoltage+p.PlateSwing, "V"), say(p.MinimumPlateVoltage, "V"), say(p.PeakGridVoltage, "V"),
			say(p.PeakPlateCurrent, "A"), say(p.PeakGridCurrent, "A"),
			say(p.PlateCurrent(), "A"), say(p.GridCurrent(), "A"), text(d, "tubes.conduction_angle")),
		X:       figure.Axis{Label: "Angle of the drive", Unit: "°", Min: -math.Pi, Max: math.Pi},
		Y:       figure.Axis{Label: "Voltage", Unit: "V", Min: bottom, Max: top},
		SecondY: amperes,
		Levels:  []figure.Level{{Y: 0, Plain: true}},
		Lines: []figure.Line{
			{Name: "plate voltage", X: w.Angle, Y: w.PlateVoltage, At: 0.17},
			{Name: name, X: w.Angle, Y: grid, At: 0.86},
			{Name: "plate current", X: w.Angle, Y: w.PlateCurrent, Second: true, At: 0.33},
			{Name: "grid current", X: w.Angle, Y: w.GridCurrent, Second: true, At: 0.63},
		},
	}, nil
}

// decimals writes v with as many decimals as a scale of that step needs.
func decimals(v, step float64) string {
	n := 0
	for s := step; s < 1-1e-9; s *= 10 {
		n++
	}
	if v == 0 {
		return "0"
	}
	return fmt.Sprintf("%.*f", n, v)
}

// loadLineFigure is the constant-current plane with the path of the cycle.
func loadLineFigure(d *compute.Design) (figure.Chart, error) {
	o := &d.Operating
	p, m := &o.Point, o.Model
	idle := [2]float64{o.Idle.PlateVoltage - o.Idle.BiasVoltage, -o.Idle.BiasVoltage}
	start := [2]float64{p.PlateVoltage - p.BiasVoltage, -p.BiasVoltage}
	crest := [2]float64{p.MinimumPlateToCathode, p.PeakGridVoltage}
	right := max(1.1*p.PlateVoltage, 1.05*o.Idle.PlateVoltage)
	top := 1.2 * p.PeakGridVoltage
	bottom := min(-1.3*p.BiasVoltage, 0) - 0.18*p.PeakGridVoltage
	plate, grid := currentFields(m, right, bottom, top, p.PeakPlateCurrent, p.PeakGridCurrent)
	return figure.Chart{
		Title: "Constant-current plane of one tube with the path of the cycle",
		Description: fmt.Sprintf("The path runs straight from the instant without drive, %s plate to cathode and %s grid to cathode, "+
			"to the crest. The idle point lies further right, at %s with %s of plate current: without drive the supply stands higher. "+
			"The "+
			"crest is at %s plate to cathode and %s grid to cathode with %s of plate current and %s of grid current.",
			say(start[0], "V"), say(start[1], "V"), say(idle[0], "V"), say(o.Idle.PlateCurrent(), "A"), say(crest[0], "V"),
			say(crest[1], "V"), say(p.PeakPlateCurrent, "A"), say(p.PeakGridCurrent, "A")),
		X:           figure.Axis{Label: "Plate to cathode", Unit: "V", Min: 0, Max: right},
		Y:           figure.Axis{Label: "Grid to cathode", Unit: "V", Min: bottom, Max: top},
		Field:       plate,
		SecondField: grid,
		Lines: []figure.Line{{X: []float64{start[0], crest[0]}, Y: []float64{start[1], crest[1]}, Style: figure.Fifth,
			Solid: true}},
		Points: []figure.Points{{
			X: []float64{crest[0], idle[0]}, Y: []float64{crest[1], idle[1]}, Style: figure.Fifth,
			Texts: []string{"crest", "idle"},
		}},
		Height: 340,
	}, nil
}

// currentFields are plate and grid current over the plane of plate and grid
// voltage against the cathode, with contours up to half again the peaks.
func currentFields(m tube.Model, right, bottom, top, peakPlate, peakGrid float64) (plate, grid *figure.Field) {
	const columns, rows = 44, 32
	x, y := make([]float64, columns+1), make([]float64, rows+1)
	for j := range x { // closer together where the plate is low and the lines bend
		x[j] = right * math.Pow(float64(j)/columns, 1.6)
	}
	for i := range y {
		y[i] = between(bottom, top, i, rows)
	}
	ip, ig := make([][]float64, rows+1), make([][]float64, rows+1)
	for i := range y {
		ip[i], ig[i] = make([]float64, columns+1), make([]float64, columns+1)
		for j := range x {
			ip[i][j], ig[i][j] = m.Currents(y[i], x[j])
		}
	}
	levels := func(peak float64, parts int, small bool) (out []figure.Contour) {
		step := roundStep(1.3*peak, parts)
		if small {
			out = append(out, figure.Contour{Z: step / 5, Text: quantity.Format(step/5, "A", 2)})
		}
		for k := 1; float64(k)*step < 1.5*peak; k++ {
			v := float64(k) * step
			out = append(out, figure.Contour{Z: v, Text: quantity.Format(v, "A", 2)})
		}
		return out
	}
	return &figure.Field{X: x, Y: y, Z: ip, Levels: levels(peakPlate, 7, true)},
		&figure.Field{X: x, Y: y, Z: ig, Levels: levels(peakGrid, 4, false), Style: figure.Second}
}

// linearityFigure is the transfer curve against the straight line through full
// output, and what the gain does along it.
func linearityFigure(d *compute.Design) (figure.Chart, error) {
	o := &d.Operating
	sweep, err := tube.Sweep(o.Model, o.Point, o.Point.InputResistance, 1.2, 18)
	if err != nil {
		return figure.Chart{}, err
	}
	var level, swing, above, gain []float64
	for _, s := range sweep {
		level, swing = append(level, s.Level), append(swing, s.Point.PlateSwing)
		if s.Level > 0 {
			above, gain = append(above, s.Level), append(gain, s.Compression)
		}
	}
	worst := gain[0]
	for _, g := range gain {
		if math.Abs(g) > math.Abs(worst) {
			worst = g
		}
	}
	span := roundStep(math.Abs(worst), 3) * 3
	end := sweep[len(sweep)-1].Level
	return figure.Chart{
		Title: "Output against drive",
		Description: fmt.Sprintf("Plate swing against the drive voltage of the source, both up to 120 %% of full drive, beside a "+
			"straight line through full output at %s. The gain against that at full drive departs from 0 dB by %s at most. Two tones "+
			"give "+
			"third-order products of %s and fifth-order products of %s, against one tone.",
			say(o.Point.PlateSwing, "V"), say(worst, "dB"), text(d, "tubes.imd3"), text(d, "tubes.imd5")),
		X:       figure.Axis{Label: "Drive voltage, share of full drive", Unit: "%", Min: 0, Max: end},
		Y:       figure.Axis{Label: "Plate swing, peak", Unit: "V"},
		SecondY: &figure.Axis{Label: "Gain against full drive", Unit: "dB", Min: -span, Max: span},
		Lines: []figure.Line{
			{Name: "straight line", X: []float64{0, end}, Y: []float64{0, end * o.Point.PlateSwing}, Style: figure.Faint, At: 0.3},
			{Name: "plate swing", X: level, Y: swing, Style: figure.First, At: 0.7},
			{Name: "gain", X: above, Y: gain, Style: figure.Second, Second: true, At: 0.35},
		},
		Points: []figure.Points{{X: []float64{1}, Y: []float64{o.Point.PlateSwing}, Texts: []string{"full output"},
			Style: figure.First}},
		Height: 280,
	}, nil
}
