package rules

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"

	"anodebook/spec/quantity"
)

// FreeSpaceImpedance is the wave impedance of free space [Ω].
const FreeSpaceImpedance = 376.730313

const (
	// FreeSpace counts the direct wave only.
	FreeSpace = 1.0
	// GroundReflection raises the field by 1.6 and the power density by 2.56
	// for a typical reflection from the ground (OET Bulletin 65, after EPA).
	GroundReflection = 2.56
	// IsotropicPerDipole is the gain of a half-wave dipole as OET Bulletin 65
	// rounds it: EIRP = 1.64·ERP.
	IsotropicPerDipole = 1.64
	// DipoleGain is the gain of a half-wave dipole [dBi], the reference of an
	// effective radiated power: ERP = power + gain − 2.15 dB.
	DipoleGain = 2.15
)

// ExposureLimit is a limit of human exposure at one frequency.
type ExposureLimit struct {
	ElectricField float64 // [V/m rms]
	MagneticField float64 // [A/m rms]
	PowerDensity  float64 // of a plane wave [W/m²]
	FromFields    bool    // PowerDensity follows from the stricter field limit, the source gives none
	Averaging     float64 // averaging time [s]
	Citation      string
	Known         string
	Date          Date
}

// ExposureLimit returns the limit at a frequency [Hz]: for people who know
// and control their exposure (controlled, occupational), or for anybody
// (uncontrolled, general public).
func (s Set) ExposureLimit(frequency float64, controlled bool) (ExposureLimit, error) {
	ranges := s.Exposure.Uncontrolled
	if controlled {
		ranges = s.Exposure.Controlled
	}
	for k, r := range ranges {
		if frequency < r.Low || frequency > r.High || (frequency == r.High && k < len(ranges)-1) {
			continue
		}
		if math.IsNaN(frequency) {
			break
		}
		known := s.Exposure.Known
		if !controlled && s.Exposure.Public != "" {
			known = s.Exposure.Public
		}
		l := ExposureLimit{
			ElectricField: r.Electric.at(frequency), MagneticField: r.Magnetic.at(frequency),
			Averaging: r.Averaging, Citation: s.Exposure.Citation, Known: known, Date: s.Exposure.Date,
		}
		if r.Density != nil {
			l.PowerDensity = r.Density.at(frequency)
		} else {
			l.FromFields = true
			l.PowerDensity = math.Min(l.ElectricField*l.ElectricField/FreeSpaceImpedance,
				l.MagneticField*l.MagneticField*FreeSpaceImpedance)
		}
		return l, nil
	}
	return ExposureLimit{}, fmt.Errorf("rules: %s covers no %s Hz here", s.Exposure.Citation, quantity.Short(frequency, 6))
}

// exemption is a range of frequencies with the power below which a station need
// not be evaluated: a law of the frequency [W/m²], times the square of the
// distance.
type exemption struct {
	Low    float64 `toml:"low"`  // [Hz]
	High   float64 `toml:"high"` // [Hz]
	Factor law     `toml:"factor"`
}

// ErrNoExemption says that a set has no rule that exempts weak stations from an
// evaluation, or none at the frequency.
var ErrNoExemption = errors.New("rules: no exemption from an evaluation")

// exemptFactor is the law at a frequency [Hz]: radiated power over the square
// of the distance [W/m²].
func (s Set) exemptFactor(frequency float64) (float64, error) {
	for k, r := range s.Exemption.Ranges {
		if frequency >= r.Low && (frequency < r.High || frequency == r.High && k == len(s.Exemption.Ranges)-1) {
			return r.Factor.at(frequency), nil
		}
	}
	return 0, fmt.Errorf("%w at %s Hz in %q", ErrNoExemption, quantity.Short(frequency, 6), s.Name)
}

// ReactiveNearField returns λ/2π [m] at a frequency [Hz] > 0.
func ReactiveNearField(frequency float64) float64 {
	return speedOfLight / (2 * math.Pi * frequency)
}

const speedOfLight = 299792458 // [m/s], exact

// ExemptPower returns the greatest effective radiated power over a half-wave
// dipole [W] that needs no evaluation at a frequency [Hz] and a distance [m]; 0
// nearer than λ/2π, where the rule exempts nothing. Error: ErrNoExemption.
// Source: 47 CFR 1.1307(b)(3)(i)(C), Table 1.
func (s Set) ExemptPower(frequency, distance float64) (float64, error) {
	k, err := s.exemptFactor(frequency)
	if err != nil || !(distance >= ReactiveNearField(frequency)) {
		return 0, err
	}
	return k * distance * distance, nil
}

// ExemptDistance returns the distance [m] from which on an effective radiated
// power [W] needs no evaluation at a frequency [Hz]: the inverse of
// ExemptPower, never nearer than λ/2π. Error: ErrNoExemption.
func (s Set) ExemptDistance(erp, frequency float64) (float64, error) {
	k, err := s.exemptFactor(frequency)
	if err != nil {
		return 0, err
	}
	return math.Max(math.Sqrt(erp/k), ReactiveNearField(frequency)), nil
}

// ERP returns the power radiated relative to a half-wave dipole [W] from the
// power at the transmitter [W], the loss of the feed line [dB] and the
// antenna's gain over isotropic [dBi].
func ERP(power, lineLoss, gain float64) float64 {
	return EIRP(power, lineLoss, gain-DipoleGain)
}

// EIRP returns the power radiated relative to an isotropic antenna [W] from
// the power at the transmitter [W], the loss of the feed line [dB] and the
// antenna's gain [dBi].
func EIRP(power, lineLoss, gain float64) float64 {
	return power * math.Pow(10, (gain-lineLoss)/10)
}

// AveragePower returns the power averaged over the time of exposure [W] from
// the peak envelope power [W], the duty factor of the emission and the share
// of the time spent transmitting, both 0 to 1.
func AveragePower(peakEnvelope, dutyFactor, transmitting float64) float64 {
	return peakEnvelope * dutyFactor * transmitting
}

// PowerDensity returns the far-field power density [W/m²] of an average EIRP
// [W] at a distance [m], with a reflection factor (FreeSpace or
// GroundReflection): EIRP·k/(4π·R²). Source: OET Bulletin 65 (97-01).
func PowerDensity(eirpAverage, distance, reflection float64) float64 {
	return eirpAverage * reflection / (4 * math.Pi * distance * distance)
}

// Distance returns the distance [m] at which an average EIRP [W] falls to a
// power density limit [W/m²]: the inverse of PowerDensity. Nearer than about
// λ/2π the far field it assumes does not exist yet, and the true field may be
// stronger: state that beside the result.
func Distance(eirpAverage, limit, reflection float64) float64 {
	return math.Sqrt(eirpAverage * reflection / (4 * math.Pi * limit))
}

var duty = func() (d struct {
	Citation string             `toml:"citation"`
	Known    string             `toml:"known"`
	Date     Date               `toml:"date"`
	Factor   map[string]float64 `toml:"factor"`
}) {
	decode("duty.toml", &d)
	return d
}()

// DutyFactor returns the mean over the peak envelope power of an emission
// while transmitting: "carrier" (FSK, FM, AM carrier), "processed-voice",
// "cw", "voice".
// Source: OET Bulletin 65 Supplement B and worksheets after it.
func DutyFactor(mode string) (float64, error) {
	f, ok := duty.Factor[mode]
	if !ok {
		return 0, fmt.Errorf("rules: no duty factor for %q; there are %s", mode, strings.Join(Modes(), ", "))
	}
	return f, nil
}

// Modes returns the emissions that DutyFactor knows, sorted.
func Modes() []string {
	names := make([]string, 0, len(duty.Factor))
	for name := range duty.Factor {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}
