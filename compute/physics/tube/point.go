package tube

import "math"

// Samples is the number of points of the cycle the operating point is computed
// from (trapezoidal rule, which on a whole period is a discrete Fourier sum).
const Samples = 256

// Harmonics is the number of Fourier components kept, the mean included.
const Harmonics = 8

// Conditions are the four voltages that fix an operating point.
type Conditions struct {
	PlateVoltage float64 // V_b, DC, plate to ground [V]
	BiasVoltage  float64 // V_bias, DC, cathode above ground [V]
	DriveVoltage float64 // V_d, cathode to ground [V peak]
	PlateSwing   float64 // V_p1, plate to ground [V peak]
}

// Point is the operating point of one tube.
type Point struct {
	Conditions

	Plate [Harmonics]float64 // plate current: mean, then peak amplitude of each harmonic [A]
	Grid  [Harmonics]float64 // grid current, likewise [A]

	PeakPlateCurrent   float64 // greatest instantaneous plate current [A]
	PeakGridCurrent    float64 // greatest instantaneous grid current [A]
	PeakCathodeCurrent float64 // greatest instantaneous cathode current [A]
	ConductionAngle    float64 // flow angle of the cathode current above 1 % of its peak, 2a [rad]

	PlateInput       float64 // V_b·I_p0 [W]
	DrivePower       float64 // V_d·(I_p1+I_g1)/2 [W]
	Output           float64 // V_p1·I_p1/2, fed-through drive included [W]
	FedThrough       float64 // V_d·I_p1/2, the part of the drive that arrives in the output [W]
	PlateDissipation float64 // mean of v_pk·ip [W]
	GridDissipation  float64 // mean of v_gk·ig [W]
	BiasLoss         float64 // V_bias·I_k0, heat in the bias source [W]

	PlateLoad       float64 // V_p1/I_p1 [Ω]; 0 without fundamental current
	InputResistance float64 // V_d/(I_p1+I_g1) [Ω]; 0 without fundamental current

	MinimumPlateVoltage   float64 // V_b − V_p1, plate to ground at the crest [V]
	MinimumPlateToCathode float64 // plate to cathode at the crest: V_b − V_p1 + PeakGridVoltage [V]
	PeakGridVoltage       float64 // V_d − V_bias, greatest grid-to-cathode voltage [V]
}

// PlateCurrent returns the DC plate current [A].
func (p Point) PlateCurrent() float64 { return p.Plate[0] }

// GridCurrent returns the DC grid current [A].
func (p Point) GridCurrent() float64 { return p.Grid[0] }

// CathodeCurrent returns the DC cathode current [A].
func (p Point) CathodeCurrent() float64 { return p.Plate[0] + p.Grid[0] }

// Balance returns what is left of the energy balance
//
//	V_b·I_p0 + P_drive = P_out + P_plate + P_grid + V_bias·I_k0
//
// as a fraction of the sum of its terms [1]. It is rounding error only.
func (p Point) Balance() float64 {
	in := p.PlateInput + p.DrivePower
	out := p.Output + p.PlateDissipation + p.GridDissipation + p.BiasLoss
	scale := math.Abs(p.PlateInput) + math.Abs(p.DrivePower) + math.Abs(p.Output) +
		math.Abs(p.PlateDissipation) + math.Abs(p.GridDissipation) + math.Abs(p.BiasLoss)
	if scale == 0 {
		return 0
	}
	return (in - out) / scale
}

// cosines holds 1 and 2·cos(nθ) of every sample of the half cycle.
var cosines = func() (t [Samples/2 + 1][Harmonics]float64) {
	for k := range t {
		t[k][0] = 1
		for n := 1; n < Harmonics; n++ {
			t[k][n] = 2 * math.Cos(2*math.Pi*float64(n*k%Samples)/Samples)
		}
	}
	return t
}()

// At returns the operating point at the given voltages.
func At(m Model, c Conditions) Point {
	p := Point{Conditions: c}
	l := m.law()
	var cathode [Samples/2 + 1]float64
	for k, x := range fine.cos {
		vg := c.DriveVoltage*x - c.BiasVoltage
		vp := c.PlateVoltage - c.PlateSwing*x + vg
		s := l.at(vg, vp)
		if s.ip == 0 && s.ig == 0 {
			continue
		}
		w := fine.inner
		if k == 0 || k == Samples/2 {
			w = fine.ends
		}
		ip, ig := s.ip*w, s.ig*w
		p.PlateDissipation += vp * ip
		row := &cosines[k]
		for n, y := range row {
			p.Plate[n] += ip * y
		}
		if ig > 0 {
			p.GridDissipation += vg * ig
			for n, y := range row {
				p.Grid[n] += ig * y
			}
		}
		ik := s.ip + s.ig
		cathode[k] = ik
		if s.ip > p.PeakPlateCurrent {
			p.PeakPlateCurrent = s.ip
		}
		if s.ig > p.PeakGridCurrent {
			p.PeakGridCurrent = s.ig
		}
		if ik > p.PeakCathodeCurrent {
			p.PeakCathodeCurrent = ik
		}
	}
	conducting := 0.0
	for k, i := range cathode {
		if i > 0.01*p.PeakCathodeCurrent {
			conducting += fine.weight(k)
		}
	}
	p.ConductionAngle = 2 * math.Pi * conducting
	p.derive()
	return p
}

// derive fills in what follows from the voltages and Fourier components.
func (p *Point) derive() {
	c := p.Conditions
	p.PlateInput = c.PlateVoltage * p.Plate[0]
	p.DrivePower = c.DriveVoltage * (p.Plate[1] + p.Grid[1]) / 2
	p.Output = c.PlateSwing * p.Plate[1] / 2
	p.FedThrough = c.DriveVoltage * p.Plate[1] / 2
	p.BiasLoss = c.BiasVoltage * p.CathodeCurrent()
	p.PlateLoad = ratio(c.PlateSwing, p.Plate[1])
	p.InputResistance = ratio(c.DriveVoltage, p.Plate[1]+p.Grid[1])
	p.MinimumPlateVoltage = c.PlateVoltage - c.PlateSwing
	p.PeakGridVoltage = c.DriveVoltage - c.BiasVoltage
	p.MinimumPlateToCathode = p.MinimumPlateVoltage + p.PeakGridVoltage
}

// Idle returns the operating point without drive.
func Idle(m Model, plateVoltage, bias float64) Point {
	return At(m, Conditions{PlateVoltage: plateVoltage, BiasVoltage: bias})
}

// BiasForIdle returns the bias [V] that sets the idle plate current [A] at the
// plate voltage [V]. It is negative where the tube needs a positive grid.
func BiasForIdle(m Model, plateVoltage, idleCurrent float64) float64 {
	// without grid current: v_gk = −bias, v_pk = V_b − bias, v = −bias(1+1/µ) + V_b/µ
	bias := -m.GridVoltage(idleCurrent, plateVoltage) / (1 + 1/m.Mu)
	if bias >= 0 {
		return bias
	}
	f := func(b float64) float64 { return Idle(m, plateVoltage, b).Plate[0] - idleCurrent }
	lo, hi := bias, 0.0
	for i := 0; i < 60 && f(lo) < 0; i++ {
		lo *= 2
	}
	for range 100 {
		mid := (lo + hi) / 2
		if f(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// Waveform holds one cycle for a figure, from −180° to +180° of the drive.
type Waveform struct {
	Angle        []float64 // θ [rad]
	GridVoltage  []float64 // grid to cathode [V]
	PlateVoltage []float64 // plate to ground [V]
	PlateCurrent []float64 // [A]
	GridCurrent  []float64 // [A]
}

// Waveforms returns n points (n > 1, both ends included) of the cycle.
func Waveforms(m Model, c Conditions, n int) Waveform {
	w := Waveform{
		Angle: make([]float64, n), GridVoltage: make([]float64, n), PlateVoltage: make([]float64, n),
		PlateCurrent: make([]float64, n), GridCurrent: make([]float64, n),
	}
	for k := range n {
		t := math.Pi * (2*float64(k)/float64(n-1) - 1)
		w.Angle[k] = t
		w.GridVoltage[k] = c.DriveVoltage*math.Cos(t) - c.BiasVoltage
		w.PlateVoltage[k] = c.PlateVoltage - c.PlateSwing*math.Cos(t)
		w.PlateCurrent[k], w.GridCurrent[k] = m.Currents(w.GridVoltage[k], w.PlateVoltage[k]+w.GridVoltage[k])
	}
	return w
}

func ratio(a, b float64) float64 {
	if b == 0 {
		return 0
	}
	return a / b
}
