package network

import (
	"math"
	"math/cmplx"

	"anodebook/compute/physics/twoport"
)

// Stress is what one element of a network carries at the stated power.
type Stress struct {
	Name        string
	VoltagePeak float64 // across the element, RF only [V peak]
	VoltageRMS  float64 // [V rms]
	CurrentPeak float64 // through the element [A peak]
	CurrentRMS  float64 // [A rms]
	Power       float64 // heat in the element [W]
}

func (s *Stress) raise(e twoport.ElementState) {
	s.VoltagePeak = math.Max(s.VoltagePeak, cmplx.Abs(e.Voltage))
	s.CurrentPeak = math.Max(s.CurrentPeak, cmplx.Abs(e.Current))
	s.VoltageRMS, s.CurrentRMS = s.VoltagePeak/math.Sqrt2, s.CurrentPeak/math.Sqrt2
	s.Power = math.Max(s.Power, e.Power)
}

// Stress gives what every element carries with power [W] (for PEP: the crest
// of the envelope) into the rated load, in the order of the chain.
func (t *Tank) Stress(power float64) []Stress {
	return t.StressAtSWR(power, 1)
}

// StressAtSWR gives the greatest voltage, current and heat of each element
// when the load has the SWR at the worst phase for that figure. Held constant:
// the settings of the tank, the frequency, and the forward power [W] on the
// line at the connector. What a real tube can still deliver into the detuned
// load is less, so the figures are an upper bound for a tank that is not
// retuned; they exceed what the supply allows first of all at the plates.
// Worst figures of different elements belong to different phases.
//
// Exact: with a given forward wave every phasor of the chain is a + b·Γ, whose
// magnitude over all phases of Γ is at most |a| + |b|·|Γ|.
func (t *Tank) StressAtSWR(forward, swr float64) []Stress {
	list := make([]Stress, len(t.Chain.Elements))
	r := complex(t.Input.LoadResistance, 0)
	wave := complex(PeakVoltage(forward, t.Input.LoadResistance), 0)
	rho := ReflectionOfSWR(max(swr, 1))
	var flat, third twoport.Solution
	t.Chain.Solve(t.Input.Frequency, r, twoport.LoadVoltage(wave), &flat)
	const g = 1.0 / 3 // any other reflection coefficient serves: a load of 2R
	t.Chain.Solve(t.Input.Frequency, 2*r, twoport.LoadVoltage(wave*(1+g)), &third)
	worst := func(a, b complex128) float64 { return cmplx.Abs(a) + rho*cmplx.Abs((b-a)/g) }
	for i := range list {
		a, b := &flat.Elements[i], &third.Elements[i]
		s := &list[i]
		s.Name = t.Chain.Elements[i].Name
		s.VoltagePeak, s.CurrentPeak = worst(a.Voltage, b.Voltage), worst(a.Current, b.Current)
		s.VoltageRMS, s.CurrentRMS = s.VoltagePeak/math.Sqrt2, s.CurrentPeak/math.Sqrt2
		if a.Power > 0 {
			s.Power = a.Power * math.Pow(s.CurrentPeak/cmplx.Abs(a.Current), 2)
		}
	}
	return list
}

// Bandwidth is the span [Hz] around the design frequency in which the plates
// see an SWR of at most swr (reference: the plate load) with the tank left
// alone. The package's convention for 'before retuning' is 1.5; there is no
// standard for it (common practice). ok is false if an edge is not found
// within a factor of two of the frequency.
func (t *Tank) Bandwidth(swr float64) (low, high float64, ok bool) {
	at := func(f float64) float64 {
		return SWR(t.Chain.InputImpedance(f, complex(t.Input.LoadResistance, 0)), t.Input.PlateLoad)
	}
	// Steps that grow by half until the SWR is passed, then false position with
	// the Illinois rule.
	edge := func(factor float64) (float64, bool) {
		inside, below := t.Input.Frequency, at(t.Input.Frequency)-swr
		outside, above := inside, below
		if below > 0 {
			return inside, false
		}
		for step := math.Log(factor); ; step *= 1.5 {
			outside = inside * math.Exp(step)
			if outside > 2*t.Input.Frequency || outside < t.Input.Frequency/2 {
				return outside, false
			}
			if above = at(outside) - swr; above > 0 {
				break
			}
			inside, below = outside, above
		}
		side := 0 // of the last point: a stale end's weight is halved
		for range 60 {
			f := (inside*above - outside*below) / (above - below)
			switch y := at(f) - swr; {
			case math.Abs(y) < 1e-10:
				return f, true
			case y > 0:
				outside, above = f, y
				if side > 0 {
					below /= 2
				}
				side = 1
			default:
				inside, below = f, y
				if side < 0 {
					above /= 2
				}
				side = -1
			}
		}
		return inside, true
	}
	low, okLow := edge(1 / 1.003)
	high, okHigh := edge(1.003)
	return low, high, okLow && okHigh
}

// RetuneSWR is the plates' SWR up to which a tank is left alone, used for the
// bandwidth before retuning (convention of this package).
const RetuneSWR = 1.5

// Response is the transfer impedance at frequency [Hz] relative to that at the
// design frequency [dB], with the rated load at every frequency: negative
// where the tank attenuates.
func (t *Tank) Response(frequency float64) float64 {
	load := complex(t.Input.LoadResistance, 0)
	return 20 * math.Log10(cmplx.Abs(t.Chain.TransferImpedance(frequency, load)/
		t.Chain.TransferImpedance(t.Input.Frequency, load)))
}

// Harmonics gives the level of each harmonic in the rated load [dB relative to
// the fundamental] from the amplitudes of the anode current [A peak, sign
// ignored], the fundamental first. The tubes are taken as current sources and
// the load as the same resistance at every frequency. A harmonic without
// current gives −Inf; element 0 is 0 dB.
func (t *Tank) Harmonics(currents []float64) []float64 {
	levels := make([]float64, len(currents))
	for i, c := range currents {
		if i > 0 {
			levels[i] = t.Response(t.Input.Frequency*float64(i+1)) + 20*math.Log10(math.Abs(c/currents[0]))
		}
	}
	return levels
}
