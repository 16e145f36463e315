package suppressor

import (
	"math"

	"anodebook/compute/physics/tube"
)

// Feedback is the small-signal circuit of one tube at VHF, seen from its plate:
// the grid reaches the chassis only through the inductance of its leads, and
// the plate drives it through the capacitance between them; below the grid's
// own resonance it swings against the plate, and the tube then gives power to
// the plate loop instead of taking it.
//
// Lumped and linear: no transit time (which lessens the transconductance and
// turns its phase above some hundred MHz), no grid current, no coupling from
// tube to tube. Right to a factor of two at best.
type Feedback struct {
	Transconductance  float64 // [S]
	Mu                float64 // amplification factor [1]
	GridInductance    float64 // grid to chassis [H]
	CathodeInductance float64 // cathode to chassis at VHF [H]
	PlateGrid         float64 // [F]
	GridCathode       float64 // [F]
	PlateCathode      float64 // [F]
}

// Impedance between plate and chassis [Ω] at a frequency [Hz]: grid and cathode
// as nodes of their own, solved exactly. A negative real part is what the tube
// gives back.
func (b Feedback) Impedance(frequency float64) complex128 {
	j := complex(0, 2*math.Pi*frequency)
	gp, gk, pk := j*complex(b.PlateGrid, 0), j*complex(b.GridCathode, 0), j*complex(b.PlateCathode, 0)
	yg, yk := 1/(j*complex(b.GridInductance, 0)), 1/(j*complex(b.CathodeInductance, 0))
	gm, gi := complex(b.Transconductance, 0), complex(b.Transconductance/b.Mu, 0)
	// with 1 V on the plate: what leaves each node adds up to nothing
	a11, a12, c1 := gp+gk+yg, -gk, gp
	a21, a22, c2 := -gk-gm, pk+gk+yk+gm+gi, pk+gi
	det := a11*a22 - a12*a21
	g, k := (c1*a22-a12*c2)/det, (a11*c2-c1*a21)/det
	return 1 / (gp*(1-g) + pk*(1-k) + gm*(g-k) + gi*(1-k))
}

// Margin is the resistance in the plate loop over what the tube gives back
// with the suppressor in the lead [1], and both [Ω]: below 1 the loop
// oscillates. Where the tube gives nothing back the margin is infinite.
func (l Loop) Margin(p Part, b Feedback) (margin, resistance, negative float64) {
	f, _ := l.With(p)
	return l.marginAt(f, p, b)
}

func (l Loop) marginAt(f float64, p Part, b Feedback) (margin, resistance, negative float64) {
	r, _ := p.Series(f)
	resistance = r + 2*math.Pi*f*l.Lead/l.BareQ
	negative = -real(b.Impedance(f))
	if negative <= 0 {
		return math.Inf(1), resistance, negative
	}
	return resistance / negative, resistance, negative
}

// transconductance of the plate current [S] at the voltages against the
// cathode [V]: the static model's slope, by central difference.
func transconductance(m tube.Model, grid, plate float64) float64 {
	const h = 0.05 // [V]
	above, _ := m.Currents(grid+h, plate)
	below, _ := m.Currents(grid-h, plate)
	return (above - below) / (2 * h)
}
