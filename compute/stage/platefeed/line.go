package platefeed

import (
	"math"
	"math/cmplx"

	"anodebook/compute/physics/winding"
)

// Section is an evenly wound piece of a choke, taken as a helical line.
type Section struct {
	Coil       winding.Solenoid
	Inductance float64 // [H], with its share of the mutual inductance to its neighbour on the same form
}

// Line is a choke, or two in series, as helical lines from the grounded cold
// end to the plates.
//
// It assumes that a wave runs along each section with the velocity of Kandoian
// and Sichak, and gives the section the wave impedance with which its reactance
// at low frequency is ωL exactly: Z_0 = L·v/l. Sections on one form couple
// beyond their joint; that coupling is in their inductances, not in the waves.
type Line []Section

// Inductance of all sections [H].
func (l Line) Inductance() float64 {
	sum := 0.0
	for _, s := range l {
		sum += s.Inductance
	}
	return sum
}

// wave is the wave impedance [Ω] and the electrical length [rad] of a section
// at frequency [Hz].
func (s Section) wave(frequency float64) (impedance, angle float64) {
	v := HelixVelocity(s.Coil.Diameter, s.Coil.Pitch, frequency) * speedOfLight
	return s.Inductance * v / s.Coil.Length(), 2 * math.Pi * frequency * s.Coil.Length() / v
}

// Phase is the electrical length [rad] from the grounded cold end to the
// plates at frequency [Hz], the steps of wave impedance counted in: without
// loss the impedance seen is j·Z_0·tan of it. It rises with the frequency
// (Foster), so that each resonance is one quarter wave on.
func (l Line) Phase(frequency float64) float64 {
	phase, before := 0.0, 0.0
	for i, s := range l {
		z, angle := s.wave(frequency)
		if i > 0 { // the same reactance on the new wave impedance, same quarter
			turns := math.Round(phase / math.Pi)
			phase = turns*math.Pi + math.Atan(before/z*math.Tan(phase-turns*math.Pi))
		}
		phase, before = phase+angle, z
	}
	return phase
}

// Resonance is the frequency [Hz] at which the line is so many quarter waves
// long: odd numbers are parallel resonances seen from the plates, even ones
// series resonances.
func (l Line) Resonance(quarters int) float64 {
	target := float64(quarters) * math.Pi / 2
	low, high := 0.0, math.Inf(1)
	f := 10e6
	for range 80 {
		phase := l.Phase(f)
		if math.Abs(phase-target) < 1e-10*target {
			break
		}
		if phase < target {
			low = f
		} else {
			high = f
		}
		next := f * math.Pow(target/phase, 0.8) // exact for one slow helix, where the phase goes as f^1.25
		if next <= low || next >= high {
			next = (low + high) / 2
			if math.IsInf(high, 1) {
				next = 2 * low
			}
		}
		f = next
	}
	return f
}

// Impedance seen from the plates [Ω] at frequency [Hz] with the cold end at
// ground through the impedance cold [Ω]. The loss is that of the wire with
// skin and proximity effect after Medhurst; form, enamel and radiation add to
// it, so that real peaks are lower and real dips shallower.
func (l Line) Impedance(frequency float64, cold complex128) complex128 {
	z := cold
	for _, s := range l {
		z0, angle := s.wave(frequency)
		// series resistance along the line: both wave constants times √(1 + R/(jωL))
		loss := cmplx.Sqrt(complex(1, -s.Coil.Resistance(frequency, copperCelsius)/(2*math.Pi*frequency*s.Inductance)))
		tanh := cmplx.Tanh(complex(0, angle) * loss)
		w := complex(z0, 0) * loss
		z = w * (z + w*tanh) / (w + z*tanh)
	}
	return z
}

// graded is a single layer whose turns at one end are wound apart: the close
// part and the spaced part with their inductances, half of twice their mutual
// inductance with each. The mutual inductance is that of current sheets,
// N_1·N_2/(l_1·l_2) times half of what the joined sheet of one turn per metre
// has more than its two parts (exact for current sheets end to end).
func graded(close, spaced winding.Solenoid) Line {
	unit := func(length float64) float64 { return winding.CurrentSheet(close.Diameter, length, length) }
	a, b := close.Length(), spaced.Length()
	mutual := close.Turns / a * spaced.Turns / b * (unit(a+b) - unit(a) - unit(b)) / 2
	return Line{{close, close.Inductance() + mutual}, {spaced, spaced.Inductance() + mutual}}
}

// gradedTurns winds the inductance [H] with so large a share of the turns at
// the given pitch [m]; the rest is wound at the pitch of close. The error is
// that of winding.TurnsFor.
func gradedTurns(inductance, diameter, closePitch, wire, share, spacedPitch float64) (Line, error) {
	even, err := winding.TurnsFor(inductance, diameter, closePitch, wire)
	if err != nil {
		return nil, err
	}
	at := func(turns float64) Line {
		c, s := even, even
		c.Turns, s.Turns, s.Pitch = turns*(1-share), turns*share, spacedPitch
		return graded(c, s)
	}
	turns := even.Turns
	for range 60 { // inductance goes nearly as the turns to the power 1 to 2
		have := at(turns).Inductance()
		if math.Abs(have-inductance) < 1e-12*inductance {
			break
		}
		turns *= math.Pow(inductance/have, 0.7)
	}
	return at(turns), nil
}
