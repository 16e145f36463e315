// Package rules holds sets of radio rules as data: band edges, power limits,
// limits of harmonics and spurious emissions, and human exposure limits, with
// the citation of each; and the electrical-safety figures a report quotes.
//
// The sets are a help for design, never legal advice: rules change and
// licences differ, so every set carries its own advice to check them. SI
// units throughout; power densities are in W/m² (1 mW/cm² = 10 W/m²).
package rules

import (
	"embed"
	"fmt"
	"math"
	"sort"
	"strings"

	"github.com/BurntSushi/toml"

	"anodebook/spec/quantity"
)

//go:embed us.toml general.toml general-2020.toml duty.toml standards.toml
var files embed.FS

// Band is an amateur band under one set of rules.
type Band struct {
	Name     string    `toml:"name"`     // such as "80m"
	Low      float64   `toml:"low"`      // lower edge [Hz]
	High     float64   `toml:"high"`     // upper edge [Hz]
	Channels []float64 `toml:"channels"` // where only channels are allotted: dial frequencies, upper sideband [Hz]
	Note     string    `toml:"note"`
	Citation string    `toml:"citation"`
	Known    string    `toml:"known"` // a mark, see package source
	Date     Date      `toml:"date"`  // of the band edges

	Power         float64 `toml:"power"`       // limit [W]; 0: the set gives none
	PowerBasis    string  `toml:"power_basis"` // what the limit counts
	PowerCitation string  `toml:"power_citation"`
	PowerKnown    string  `toml:"power_known"` // "": as Known
	PowerDate     Date    `toml:"power_date"`

	// PowerReference is "" where the limit counts the power at the connector,
	// "dipole" or "isotropic" where it counts what is radiated over that.
	PowerReference string `toml:"power_reference"`
	// PowerWhere says for which part of the band Power holds; "": for all of it.
	PowerWhere string `toml:"power_where"`

	Parts  []Part `toml:"part"`   // where another limit holds
	Former []Part `toml:"former"` // rules that have ended
}

// Part is a part of a band with a power limit of its own, or what held in the
// band before.
type Part struct {
	Name      string    `toml:"name"`     // for IDs: "segment"
	Low       float64   `toml:"low"`      // lower edge [Hz]
	High      float64   `toml:"high"`     // upper edge [Hz]
	Channels  []float64 `toml:"channels"` // dial frequencies, upper sideband [Hz]
	Power     float64   `toml:"power"`    // limit [W]
	Basis     string    `toml:"power_basis"`
	Reference string    `toml:"power_reference"`
	Where     string    `toml:"power_where"`
	Citation  string    `toml:"power_citation"`
	Known     string    `toml:"known"`
	Date      Date      `toml:"date"`
}

// Centre returns the arithmetic middle of the band [Hz].
func (b Band) Centre() float64 { return (b.Low + b.High) / 2 }

// PowerLimit is the most power that a band, or a part of it, allows.
type PowerLimit struct {
	Watts    float64 // [W]
	Basis    string  // "PEP", "EIRP", …
	Citation string
	Part     string // name of the part of the band; "": the band, or all that no part covers
	Where    string // in words, where in the band it holds; "": all of it
	Known    string
	Date     Date
	// Reference is "" where the limit counts the power at the connector,
	// "dipole" (effective radiated) or "isotropic" where it counts the power
	// radiated over that antenna.
	Reference string
}

// spurious is one rule on unwanted emissions.
type spurious struct {
	FundamentalAbove    float64 `toml:"fundamental_above"`     // [Hz]
	FundamentalBelow    float64 `toml:"fundamental_below"`     // [Hz]
	ReferencePower      string  `toml:"reference_power"`       // "mean" or "peak envelope"
	Attenuation         float64 `toml:"attenuation"`           // [dB]
	PerDecade           float64 `toml:"per_decade"`            // more for each decade of power above 1 W [dB]
	MaximumAttenuation  float64 `toml:"maximum_attenuation"`   // cap [dB]; 0: none
	Absolute            float64 `toml:"absolute"`              // also no more than this power [W]; 0: none
	Exempt              float64 `toml:"exempt"`                // an emission this weak need not be weaker [W]; 0: none
	LowPower            float64 `toml:"low_power"`             // below this power [W] ...
	LowPowerAttenuation float64 `toml:"low_power_attenuation"` // ... this attenuation is enough [dB]
	LeastPower          float64 `toml:"least_power"`           // the rule holds only above it [W]
	GreatestPower       float64 `toml:"greatest_power"`        // the rule holds only up to it [W]; 0: any
	Citation            string  `toml:"citation"`
	Known               string  `toml:"known"`
	Date                Date    `toml:"date"`
}

// EmissionLimit is what a harmonic or spurious emission may be.
type EmissionLimit struct {
	Attenuation    float64 // least, below the reference power [dB]
	Power          float64 // most [W]
	ReferencePower string  // "mean" or "peak envelope"
	Citation       string
	Known          string
	Date           Date
}

// law is value·(f/MHz)^power.
type law struct {
	AtOneMegahertz float64 `toml:"at_1mhz"`
	Power          float64 `toml:"power"`
}

func (l law) at(frequency float64) float64 {
	return l.AtOneMegahertz * math.Pow(frequency/1e6, l.Power)
}

type exposureRange struct {
	Low       float64 `toml:"low"`
	High      float64 `toml:"high"`
	Electric  law     `toml:"electric"`
	Magnetic  law     `toml:"magnetic"`
	Density   *law    `toml:"density"`
	Averaging float64 `toml:"averaging"`
}

// Set is one set of rules.
type Set struct {
	Name   string `toml:"name"`
	Title  string `toml:"title"`
	Like   string `toml:"like"`   // set whose bands and emission limits hold in this one; "": its own
	Advice string `toml:"advice"` // print it wherever the set is used
	Bands  []Band `toml:"band"`

	Spurious map[string]spurious `toml:"spurious"`
	Mains    Mains               `toml:"mains"`
	Exposure struct {
		Citation     string          `toml:"citation"`
		Known        string          `toml:"known"`
		Date         Date            `toml:"date"`
		Public       string          `toml:"known_uncontrolled"` // mark of the limits for anybody; "": as Known
		Controlled   []exposureRange `toml:"controlled"`
		Uncontrolled []exposureRange `toml:"uncontrolled"`
	} `toml:"exposure"`
	Exemption struct {
		Citation string      `toml:"citation"`
		Known    string      `toml:"known"`
		Date     Date        `toml:"date"`
		Ranges   []exemption `toml:"range"`
	} `toml:"exemption"`
}

var sets = func() map[string]Set {
	out := map[string]Set{}
	for _, name := range []string{"us", "general", "general-2020"} {
		var s Set
		decode(name+".toml", &s)
		out[name] = s
	}
	for name, s := range out {
		if like, ok := out[s.Like]; ok {
			s.Bands, s.Spurious, s.Mains = like.Bands, like.Spurious, like.Mains
			out[name] = s
		}
	}
	return out
}()

// decode reads an embedded file; the tests read them all, so it cannot fail
// in a program that was built.
func decode(name string, into any) {
	text, err := files.ReadFile(name)
	if err == nil {
		_, err = toml.Decode(string(text), into)
	}
	if err != nil {
		panic("rules: embedded " + name + ": " + err.Error())
	}
}

// Names returns the names of the rule sets, sorted.
func Names() []string {
	names := make([]string, 0, len(sets))
	for name := range sets {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}

// Lookup returns a rule set by name.
func Lookup(name string) (Set, error) {
	s, ok := sets[name]
	if !ok {
		return Set{}, fmt.Errorf("rules: no rule set %q; there are %s", name, strings.Join(Names(), ", "))
	}
	return s, nil
}

// Band returns a band by name, such as "80m".
func (s Set) Band(name string) (Band, error) {
	names := make([]string, len(s.Bands))
	for k, b := range s.Bands {
		if b.Name == name {
			return b, nil
		}
		names[k] = b.Name
	}
	return Band{}, fmt.Errorf("rules: no band %q in %q; there are %s", name, s.Name, strings.Join(names, ", "))
}

// PowerLimit returns the limit of a band, the highest where its parts differ;
// ok is false when the set leaves it to the licence.
func (s Set) PowerLimit(band string) (limit PowerLimit, ok bool, err error) {
	list, err := s.PowerLimits(band)
	for _, l := range list {
		if l.Watts > limit.Watts {
			limit, ok = l, true
		}
	}
	return limit, ok, err
}

// PowerLimits returns the limits of a band, one for each part of it that has
// its own, the band's first; none where the set leaves it to the licence.
func (s Set) PowerLimits(band string) ([]PowerLimit, error) {
	b, err := s.Band(band)
	if err != nil {
		return nil, err
	}
	var list []PowerLimit
	if b.Power > 0 {
		known := b.PowerKnown
		if known == "" {
			known = b.Known
		}
		list = append(list, PowerLimit{Watts: b.Power, Basis: b.PowerBasis, Citation: b.PowerCitation, Where: b.PowerWhere,
			Known: known, Date: b.PowerDate, Reference: b.PowerReference})
	}
	for _, p := range b.Parts {
		list = append(list, p.limit())
	}
	return list, nil
}

func (p Part) limit() PowerLimit {
	return PowerLimit{Watts: p.Power, Basis: p.Basis, Citation: p.Citation, Part: p.Name, Where: p.Where, Known: p.Known, Date: p.Date,
		Reference: p.Reference}
}

// HarmonicLimit returns the limit of harmonics and spurious emissions of an
// HF transmitter installed now, for a power [W] of the kind that the result's
// ReferencePower names.
func (s Set) HarmonicLimit(power float64) (EmissionLimit, error) {
	return s.emissionLimit("current", power)
}

// OlderHarmonicLimit is HarmonicLimit for equipment installed under an older
// rule that still holds for it, where the set has one.
func (s Set) OlderHarmonicLimit(power float64) (EmissionLimit, error) {
	return s.emissionLimit("older", power)
}

// VHFHarmonicLimit is HarmonicLimit for a fundamental of 30 MHz to 225 MHz,
// where the set has such a rule: up to 25 W it asks for less attenuation, and
// none of an emission that is weak enough.
func (s Set) VHFHarmonicLimit(power float64) (EmissionLimit, error) {
	if r, ok := s.Spurious["vhf_low"]; ok && power <= r.GreatestPower {
		return s.emissionLimit("vhf_low", power)
	}
	return s.emissionLimit("vhf", power)
}

func (s Set) emissionLimit(name string, power float64) (EmissionLimit, error) {
	r, ok := s.Spurious[name]
	if !ok {
		return EmissionLimit{}, fmt.Errorf("rules: %q has no rule %q on spurious emissions", s.Name, name)
	}
	if !(power > 0) || math.IsInf(power, 0) || power <= r.LeastPower {
		return EmissionLimit{}, fmt.Errorf("rules: %s does not cover a power of %s W", r.Citation, quantity.Short(power, 6))
	}
	a := r.Attenuation + r.PerDecade*math.Log10(power)
	if r.MaximumAttenuation > 0 {
		a = math.Min(a, r.MaximumAttenuation)
	}
	if power < r.LowPower {
		a = r.LowPowerAttenuation
	}
	if r.Absolute > 0 {
		a = math.Max(a, 10*math.Log10(power/r.Absolute))
	}
	if r.Exempt > 0 {
		a = math.Max(0, math.Min(a, 10*math.Log10(power/r.Exempt)))
	}
	return EmissionLimit{
		Attenuation: a, Power: power * math.Pow(10, -a/10),
		ReferencePower: r.ReferencePower, Citation: r.Citation, Known: r.Known, Date: r.Date,
	}, nil
}

// ReferenceBandwidth returns the bandwidth in which a spurious emission at a
// frequency [Hz] is measured [Hz]: 10 kHz from 150 kHz to 30 MHz, 100 kHz
// from there to 1 GHz. Source: Radio Regulations Appendix 3 (read).
func ReferenceBandwidth(frequency float64) (float64, error) {
	switch {
	case frequency >= 150e3 && frequency < 30e6:
		return 10e3, nil
	case frequency >= 30e6 && frequency <= 1e9:
		return 100e3, nil
	}
	return 0, fmt.Errorf("rules: no reference bandwidth for %s Hz here", quantity.Short(frequency, 6))
}
