package rectifier

import (
	"fmt"
	"math"
)

// Windings describes a transformer by what an ohmmeter and its turns ratio
// tell.
type Windings struct {
	PrimaryResistance   float64 // winding in use [Ω], >= 0
	SecondaryResistance float64 // secondary; for CentreTap of one half [Ω], >= 0
	Ratio               float64 // no-load secondary (half) voltage over primary voltage, > 0
	MainsResistance     float64 // the line up to the primary [Ω], >= 0
	SeriesResistance    float64 // anything else in the current pulse at the secondary, diodes included [Ω], >= 0
}

// SourceResistance returns the total resistance at the secondary [Ω]:
// R_sec + (R_pri + R_mains)·ratio² + R_series.
func (w Windings) SourceResistance() float64 {
	return w.SecondaryResistance + (w.PrimaryResistance+w.MainsResistance)*w.Ratio*w.Ratio + w.SeriesResistance
}

// RegulationResistance returns the resistance at the secondary [Ω] that a
// transformer's regulation figure means: (V_no-load - V_full)/V_full =
// regulation at its rated resistive current [A rms], with the no-load
// voltage [V rms].
func RegulationResistance(regulation, noLoadVoltage, ratedCurrent float64) float64 {
	return regulation / (1 + regulation) * noLoadVoltage / ratedCurrent
}

// Sizing says what is known of the source when the secondary voltage is
// sought. Exactly one of the three must be positive.
type Sizing struct {
	SourceResistance float64 // [Ω]
	// LoadFraction is the source resistance as a fraction of the loaded
	// output resistance Vdc/Idc: Rs/R of Schade's charts.
	LoadFraction float64
	// Regulation is that of a transformer rated for just the rms current
	// that this load makes it carry (see RegulationResistance).
	Regulation float64
}

// Size finds the secondary voltage that gives the wanted mean DC output
// voltage [V] under the load of s, and the supply and steady state with it.
// s.SecondaryVoltage and s.SourceResistance are ignored.
func Size(s Supply, wanted float64, known Sizing) (Supply, Result, error) {
	count := 0
	for _, x := range [...]float64{known.SourceResistance, known.LoadFraction, known.Regulation} {
		if x > 0 {
			count++
		}
	}
	if !(wanted > 0) || math.IsInf(wanted, 0) || count != 1 {
		return s, Result{}, fmt.Errorf("rectifier: sizing needs a positive voltage and one of source resistance, load fraction and regulation")
	}
	load := s.LoadCurrent + wanted*s.conductance()
	if !(load > 0) {
		return s, Result{}, fmt.Errorf("rectifier: sizing needs a load")
	}
	switch {
	case known.SourceResistance > 0:
		s.SourceResistance = known.SourceResistance
	case known.LoadFraction > 0:
		s.SourceResistance = known.LoadFraction * wanted / load
	default:
		s.SourceResistance = 0.02 * wanted / load
	}
	s.SecondaryVoltage = wanted / math.Sqrt2
	if s.Circuit == Doubler {
		s.SecondaryVoltage /= 2
	}
	s, r, err := s.size(wanted)
	if err != nil || known.Regulation <= 0 {
		return s, r, err
	}
	// Fixed point of Rs → RegulationResistance(…, Irms(Rs)), by secants.
	var lastX, lastG float64
	for k := 0; k < 60; k++ {
		x := s.SourceResistance
		next := RegulationResistance(known.Regulation, s.SecondaryVoltage, r.SecondaryCurrent)
		g := next - x
		if math.Abs(g) < 1e-11*x {
			return s, r, nil
		}
		if k > 0 && g != lastG {
			if step := -g * (x - lastX) / (g - lastG); x+step > 0.5*min(x, next) && x+step < 2*max(x, next) {
				next = x + step
			}
		}
		lastX, lastG = x, g
		s.SourceResistance = next
		if s, r, err = s.size(wanted); err != nil {
			return s, r, err
		}
	}
	return s, r, ErrNoConvergence
}

// size finds the secondary voltage for a fixed source resistance, by secants
// from the voltage already in s, if any. The output rises steadily with it,
// so the bracketed false-position search behind them cannot miss.
func (s Supply) size(wanted float64) (Supply, Result, error) {
	factor := math.Sqrt2
	if s.Circuit == Doubler {
		factor *= 2
	}
	try := func(v float64) (Result, float64, error) {
		s.SecondaryVoltage = v
		if v*math.Sqrt2 <= s.DiodeDrop {
			return Result{}, -wanted, nil
		}
		r, err := SteadyState(s)
		if err == ErrOverload {
			return r, -wanted, nil
		}
		return r, r.Voltage - wanted, err
	}
	if v := s.SecondaryVoltage; v > 0 {
		var lastV, lastF float64
		for k := 0; k < 8; k++ {
			r, f, err := try(v)
			if err != nil || f == -wanted {
				break
			}
			if math.Abs(f) < 1e-11*wanted {
				return s, r, nil
			}
			step := -f * v / (f + wanted)
			if k > 0 {
				step = -f * (v - lastV) / (f - lastF)
			}
			lastV, lastF = v, f
			if v += step; !(v > 0.5*lastV && v < 2*lastV) {
				break
			}
		}
	}
	lo, flo := 0.0, -wanted
	hi := wanted / factor
	r, fhi, err := try(hi)
	for k := 0; err == nil && fhi < 0; k++ {
		if k == 60 {
			return s, r, ErrNoConvergence
		}
		lo, flo = hi, fhi
		hi *= 1.3
		r, fhi, err = try(hi)
	}
	for k := 0; err == nil && k < 100; k++ {
		v := lo + (hi-lo)*flo/(flo-fhi)
		if !(v > lo && v < hi) {
			v = 0.5 * (lo + hi)
		}
		var f float64
		if r, f, err = try(v); math.Abs(f) < 1e-11*wanted {
			break
		}
		if f < 0 { // Illinois: halve the weight of an end that stays
			lo, flo = v, f
			fhi /= 2
		} else {
			hi, fhi = v, f
			flo /= 2
		}
		if hi-lo < 1e-14*hi {
			break
		}
	}
	return s, r, err
}
