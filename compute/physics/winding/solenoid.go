// Package winding computes the coils and conductors of the amplifier: wire and
// tubing, single-layer solenoids with their self-capacitance and Q, toroids
// and rods.
//
// It assumes copper, round conductors, uniform pitch, no shield near the coil,
// and frequencies well below the coil's self-resonance. The diameter of a coil
// is the mean diameter (centre of wire to centre of wire), its length is
// turns × pitch. Everything is in SI units.
package winding

import (
	"fmt"
	"math"
	"sync"

	"gonum.org/v1/gonum/mathext"

	"anodebook/spec/quantity"
)

// Mu0 is the magnetic constant [H/m]; 4π·10⁻⁷ is exact to 1e-9.
const Mu0 = 4e-7 * math.Pi

// inch [m].
const inch = 0.0254

// Nagaoka is the end correction of a current-sheet solenoid for ratio =
// diameter/length ≥ 0: 1 for an endless coil. Closed form with complete
// elliptic integrals (Lorenz 1879, Nagaoka 1909):
// K = 4/(3π·k')·[(k'²/k²)·(K − E) + E − k].
func Nagaoka(ratio float64) float64 {
	if ratio < 1e-4 {
		return 1 - 4*ratio/(3*math.Pi) // first terms of the same function
	}
	h := math.Hypot(ratio, 1)
	k, k1 := ratio/h, 1/h
	ck, ce := mathext.CompleteK(k*k), mathext.CompleteE(k*k)
	return 4 / (3 * math.Pi * k1) * (k1*k1/(k*k)*(ck-ce) + ce - k)
}

// NagaokaLundin is the same function by R. Lundin's handbook formula, Proc.
// IEEE 73 (1985) 1428; within 3e-6 for 0.01 < ratio < 100.
func NagaokaLundin(ratio float64) float64 {
	f1 := func(z float64) float64 { return (1 + 0.383901*z + 0.017108*z*z) / (1 + 0.258952*z) }
	f2 := func(z float64) float64 { return 0.093842*z + 0.002029*z*z - 0.000801*z*z*z }
	if ratio <= 1 {
		return f1(ratio*ratio) - 4*ratio/(3*math.Pi)
	}
	y := 1 / ratio
	return 2 * y / math.Pi * ((math.Log(4*ratio)-0.5)*f1(y*y) + f2(y*y))
}

// CurrentSheet is the inductance [H] of a solenoid as a current sheet of mean
// diameter [m], length [m] and number of turns: μ0·K·π·D²/4·N²/l.
func CurrentSheet(diameter, length, turns float64) float64 {
	return Mu0 * Nagaoka(diameter/length) * math.Pi / 4 * diameter * diameter * turns * turns / length
}

// Wheeler is the hand formula of H. A. Wheeler, Proc. IRE 16 (Oct 1928) 1398,
// L[µH] = d²n²/(18d + 40l) in inches, for lengths [m] and result in [H];
// within 1 % for length > 0.4 diameter.
func Wheeler(diameter, length, turns float64) float64 {
	d, l := diameter/inch, length/inch
	return 1e-6 * d * d * turns * turns / (18*d + 40*l)
}

// RosaA is Rosa's correction for the self-inductance of round wire against the
// sheet's tape, for wire diameter/pitch 0 to 1: 5/4 − ln 2 + ln(d/p) (NBS
// Circular 74, table 11), current spread evenly over the wire.
func RosaA(wireOverPitch float64) float64 {
	return 1.25 - math.Ln2 + math.Log(wireOverPitch)
}

// tableOfB holds RosaB of 0 to 1024 turns.
var tableOfB = sync.OnceValue(func() []float64 {
	b := make([]float64, 1025)
	sum, first := 0.0, 0.0 // Σ t(n) and Σ n·t(n) for n < N
	for n := 1; n < len(b); n++ {
		b[n] = 2 / float64(n) * (float64(n)*sum - first)
		t := tapeTerm(float64(n))
		sum += t
		first += float64(n) * t
	}
	return b
})

// tapeTerm is ln n − ln(GMD/p) of two tapes of width p in line, n·p apart.
func tapeTerm(n float64) float64 {
	if n > 30 {
		m := 1 / (n * n)
		return m * (1.0/12 + m*(1.0/60+m*(1.0/168+m/360)))
	}
	ln := (n+1)*(n+1)/2*math.Log(n+1) - n*n*math.Log(n) - 1.5
	if n > 1 {
		ln += (n - 1) * (n - 1) / 2 * math.Log(n-1)
	}
	return math.Log(n) - ln
}

// RosaB is Rosa's correction for the mutual inductance of the turns, for a
// number of turns ≥ 1 (0 below), from the geometric mean distances themselves
// (NBS Circular 74, table 12, runs up to 0.0011 high from 20 turns on);
// between whole turns by straight line.
func RosaB(turns float64) float64 {
	b := tableOfB()
	if turns <= 1 {
		return 0
	}
	if last := float64(len(b) - 1); turns >= last {
		// N·(limit − B) grows as ln N/6: carry it on from the table's end.
		limit := math.Log(2*math.Pi) - 1.5
		return limit - ((limit-b[len(b)-1])*last+math.Log(turns/last)/6)/turns
	}
	n := math.Floor(turns)
	low := b[int(n)]
	return low + (turns-n)*(b[int(n)+1]-low)
}

// Solenoid is a single-layer coil.
type Solenoid struct {
	Diameter float64 // mean, centre to centre of the wire [m], > 0
	Pitch    float64 // centre to centre of neighbouring turns [m], ≥ Wire
	Wire     float64 // diameter of the conductor, bare [m], > 0
	Turns    float64 // > 0, parts of a turn allowed
}

// Length of the winding: turns × pitch [m].
func (s Solenoid) Length() float64 { return s.Turns * s.Pitch }

// Inductance by the current sheet with Rosa's corrections for round wire [H]:
// L_sheet − μ0·(D/2)·N·(A + B). Against a sum over coaxial rings it holds to
// 0.3 % for ten turns or more, 0.7 % for six turns of wide pitch.
func (s Solenoid) Inductance() float64 {
	return CurrentSheet(s.Diameter, s.Length(), s.Turns) -
		Mu0*s.Diameter/2*s.Turns*(RosaA(s.Wire/s.Pitch)+RosaB(s.Turns))
}

// WireLength is the conductor in the winding, leads not counted [m].
func (s Solenoid) WireLength() float64 {
	return s.Turns * math.Hypot(math.Pi*s.Diameter, s.Pitch)
}

// TurnsFor is the coil with the number of turns that gives the inductance [H],
// diameter [m] being the mean. An error is returned for sizes out of range and
// where less than one turn or more than 2000 turns would be needed.
func TurnsFor(inductance, diameter, pitch, wire float64) (Solenoid, error) {
	s := Solenoid{Diameter: diameter, Pitch: pitch, Wire: wire}
	if !(inductance > 0 && diameter > 0 && wire > 0) || pitch < wire*(1-1e-9) || math.IsInf(inductance+diameter+pitch, 0) ||
		math.IsNaN(pitch) {
		return s, fmt.Errorf("coil: inductance, diameter and wire must be above zero and the pitch not below the wire's diameter")
	}
	at := func(n float64) float64 { s.Turns = n; return s.Inductance() }
	low, high := 1.0, 2000.0
	if at(low) > inductance {
		return s, fmt.Errorf("coil: %s needs less than one turn of %s diameter",
			quantity.Format(inductance, "H", 3), quantity.Format(diameter, "m", 3))
	}
	if at(high) < inductance {
		return s, fmt.Errorf("coil: %s needs more than %.0f turns of %s diameter",
			quantity.Format(inductance, "H", 3), high, quantity.Format(diameter, "m", 3))
	}
	// Regula falsi in ln L against ln N, which is nearly straight, with
	// bisection as the guard.
	fl, fh := math.Log(at(low)/inductance), math.Log(at(high)/inductance)
	for range 100 {
		w := fl / (fl - fh)
		n := low * math.Pow(high/low, math.Min(math.Max(w, 0.02), 0.98))
		f := math.Log(at(n) / inductance)
		if math.Abs(f) < 1e-12 {
			break
		}
		if f < 0 {
			low, fl = n, f
		} else {
			high, fh = n, f
		}
		if high-low < 1e-12*high {
			break
		}
		if m := (low + high) / 2; high/low > 1.5 {
			if f = math.Log(at(m) / inductance); f < 0 {
				low, fl = m, f
			} else {
				high, fh = m, f
			}
		}
	}
	return s, nil
}
