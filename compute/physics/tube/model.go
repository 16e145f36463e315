package tube

import (
	"errors"
	"math"
)

// Model is the static characteristic of one tube in five numbers
//
//	u     = s·ln(1 + exp((v_gk + v_pk/µ)/s))
//	ik    = K·u^x
//	ig/ip = sqrt(v_gk/v_pk)/D for v_gk > 0, otherwise no grid current
//	ip+ig = ik
//
// The first two lines are the Langmuir–Child law of an equivalent diode with a
// free exponent and a soft cut-off, the third the square-root current division
// of the classical texts (Spangenberg, Vacuum Tubes, 1948, ch. 9).
type Model struct {
	K        float64 // perveance [A/V^x], one tube, > 0
	Mu       float64 // amplification factor of the equivalent diode [1], > 0
	Exponent float64 // x [1], 1.5 by theory, 1.2 to 1.8 when fitted
	Division float64 // D [1]: the plate's share of the current where v_gk = v_pk is D/(1+D)
	Softness float64 // s, the voltage over which the cut-off is rounded [V], > 0
}

// Valid returns an error when a parameter is not a positive, finite number.
func (m Model) Valid() error {
	for _, v := range [...]float64{m.K, m.Mu, m.Exponent, m.Division, m.Softness} {
		if !(v > 0) || math.IsInf(v, 0) {
			return errors.New("tube model: K, µ, exponent, division and softness must all be positive and finite")
		}
	}
	return nil
}

// Scaled returns the model with the perveance multiplied by factor [1]: n
// tubes side by side (factor n), or a tube that is stronger or weaker.
func (m Model) Scaled(factor float64) Model {
	m.K *= factor
	return m
}

// Currents returns plate and grid current [A] at the grid-to-cathode and
// plate-to-cathode voltages [V]. Any finite input is answered: with the plate
// at or below the cathode no plate current flows, and the whole cathode
// current goes to a positive grid.
func (m Model) Currents(gridToCathode, plateToCathode float64) (plate, grid float64) {
	l := m.law()
	s := l.at(gridToCathode, plateToCathode)
	return s.ip, s.ig
}

// CathodeCurrent returns plate plus grid current [A]; voltages as Currents.
func (m Model) CathodeCurrent(gridToCathode, plateToCathode float64) float64 {
	ip, ig := m.Currents(gridToCathode, plateToCathode)
	return ip + ig
}

// GridVoltage returns the grid-to-cathode voltage [V] at which the cathode
// current is the given one [A, > 0] with plateToCathode [V, >= 0] on the plate.
func (m Model) GridVoltage(cathodeCurrent, plateToCathode float64) float64 {
	u := math.Pow(cathodeCurrent/m.K, 1/m.Exponent)
	// invert the soft cut-off: z = ln(exp(u/s) - 1)
	z := u / m.Softness
	v := u
	if z < 30 {
		v = m.Softness * math.Log(math.Expm1(z))
	}
	return v - plateToCathode/m.Mu
}

// law is a Model with its reciprocals taken once.
type law struct {
	k, x, kS, perMu, perS, perD float64 // kS is K·s^x
	threeHalves                 bool
}

func (m Model) law() law {
	return law{m.K, m.Exponent, m.K * math.Pow(m.Softness, m.Exponent), 1 / m.Mu, 1 / m.Softness, 1 / m.Division, m.Exponent == 1.5}
}

// static holds both currents [A] and their slopes [A/V] against v_gk and v_pk.
type static struct {
	ip, ig, ipG, ipP, igG, igP float64
}

func (l *law) at(vg, vp float64) (r static) {
	lift := vp
	if vp <= 0 {
		if vg <= 0 {
			return r
		}
		lift = 0
	}
	v := vg + lift*l.perMu
	z := v * l.perS
	// ik and its slope against v
	var ik, kG float64
	switch {
	case z < -24: // below 1e-15 of the current at the knee
		return r
	case z < softLow: // ln(1+e^z) = e^z within 6e-8
		ik = l.kS * math.Exp(l.x*z)
		kG = l.x * ik * l.perS
	case z < softHigh:
		y, slope := logSoftplus(z)
		ik = l.kS * math.Exp(l.x*y)
		kG = l.x * ik * l.perS * slope
	default: // u = v within 2e-9·s
		if l.threeHalves {
			ik = l.k * v * math.Sqrt(v)
		} else {
			ik = l.k * math.Exp(l.x*math.Log(v))
		}
		kG = l.x * ik / v
	}
	kP := kG * l.perMu
	switch {
	case vp <= 0:
		return static{ig: ik, igG: kG}
	case vg <= 0:
		return static{ip: ik, ipG: kG, ipP: kP}
	}
	q := math.Sqrt(vg/vp) * l.perD
	share := 1 / (1 + q) // of the plate
	ip := ik * share
	// d(share)/dq = -share²; dq/dvg = q/(2 vg), dq/dvp = -q/(2 vp)
	w := ip * share * q * 0.5
	ipG := kG*share - w/vg
	ipP := kP*share + w/vp
	return static{ip, ik - ip, ipG, ipP, kG - ipG, kP - ipP}
}
