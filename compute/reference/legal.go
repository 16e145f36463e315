package reference

import (
	"errors"
	"fmt"
	"math"

	"anodebook/compute/data/rules"
)

var errNotInCatalogue = errors.New("not in the catalogue")

func band(set string, pick func(rules.Band) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		s, err := rules.Lookup(set)
		if err != nil {
			return math.NaN(), err
		}
		b, err := s.Band(fmt.Sprintf("%.0fm", in["band"]))
		return pick(b), err
	}
}

func emission(set string, law func(rules.Set, float64) (rules.EmissionLimit, error), pick func(rules.EmissionLimit) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		s, err := rules.Lookup(set)
		if err != nil {
			return math.NaN(), err
		}
		l, err := law(s, in["power"])
		return pick(l), err
	}
}

func attenuation(l rules.EmissionLimit) float64 { return l.Attenuation }
func watts(l rules.EmissionLimit) float64       { return l.Power }

func exposure(controlled bool, pick func(rules.ExposureLimit) float64) evaluator {
	return exposureOf("us", controlled, pick)
}

func exposureOf(set string, controlled bool, pick func(rules.ExposureLimit) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		s, err := rules.Lookup(set)
		if err != nil {
			return math.NaN(), err
		}
		l, err := s.ExposureLimit(in["f"], controlled)
		return pick(l), err
	}
}

// segment is a figure of the part of 60 m with a power of its own.
func segment(pick func(rules.Part) float64) evaluator {
	return func(map[string]float64) (float64, error) {
		s, err := rules.Lookup("us")
		if err != nil {
			return math.NaN(), err
		}
		b, err := s.Band("60m")
		if err != nil || len(b.Parts) != 1 {
			return math.NaN(), errors.Join(err, errNotInCatalogue)
		}
		return pick(b.Parts[0]), nil
	}
}

// safeDistance is where the density from an average power and a gain falls to
// the limit, ground reflection included.
func safeDistance(controlled bool) evaluator {
	return func(in map[string]float64) (float64, error) {
		limit, err := exposure(controlled, density)(in)
		return rules.Distance(rules.EIRP(in["power"], 0, in["gain"]), limit, rules.GroundReflection), err
	}
}

func density(l rules.ExposureLimit) float64  { return l.PowerDensity }
func electric(l rules.ExposureLimit) float64 { return l.ElectricField }
func magnetic(l rules.ExposureLimit) float64 { return l.MagneticField }

func duty(mode string) evaluator {
	return func(map[string]float64) (float64, error) { return rules.DutyFactor(mode) }
}

func constant(v float64) evaluator {
	return func(map[string]float64) (float64, error) { return v, nil }
}

var ruleFunctions = map[string]evaluator{
	"rules.us.low":       band("us", func(b rules.Band) float64 { return b.Low }),
	"rules.us.high":      band("us", func(b rules.Band) float64 { return b.High }),
	"rules.general.low":  band("general", func(b rules.Band) float64 { return b.Low }),
	"rules.general.high": band("general", func(b rules.Band) float64 { return b.High }),
	"rules.us.power": func(in map[string]float64) (float64, error) {
		s, err := rules.Lookup("us")
		if err != nil {
			return math.NaN(), err
		}
		l, ok, err := s.PowerLimit(fmt.Sprintf("%.0fm", in["band"]))
		if err == nil && !ok {
			err = errNotInCatalogue
		}
		return l.Watts, err
	},
	"rules.us.power_segment": segment(func(p rules.Part) float64 { return p.Power }),
	"rules.us.segment_low":   segment(func(p rules.Part) float64 { return p.Low }),
	"rules.us.segment_high":  segment(func(p rules.Part) float64 { return p.High }),
	"rules.us.segment_eirp":  segment(func(p rules.Part) float64 { return p.Power * rules.IsotropicPerDipole }),
	"rules.us.dial": func(in map[string]float64) (float64, error) {
		s, err := rules.Lookup("us")
		if err != nil {
			return math.NaN(), err
		}
		b, err := s.Band("60m")
		n := int(in["channel"])
		if err != nil || n < 1 || n > len(b.Channels) {
			return math.NaN(), errors.Join(err, errNotInCatalogue)
		}
		return b.Channels[n-1], nil
	},
	"rules.near_field": one("f", rules.ReactiveNearField),
	"rules.exempt_distance": func(in map[string]float64) (float64, error) {
		s, err := rules.Lookup("us")
		if err != nil {
			return math.NaN(), err
		}
		return s.ExemptDistance(in["erp"], in["f"])
	},
	"rules.exposure.public_2020_e":  exposureOf("general-2020", false, electric),
	"rules.exposure.public_2020_h":  exposureOf("general-2020", false, magnetic),
	"rules.us.spurious_power":       emission("us", rules.Set.HarmonicLimit, watts),
	"rules.us.spurious":             emission("us", rules.Set.HarmonicLimit, attenuation),
	"rules.us.spurious_older":       emission("us", rules.Set.OlderHarmonicLimit, attenuation),
	"rules.us.spurious_vhf":         emission("us", rules.Set.VHFHarmonicLimit, attenuation),
	"rules.general.spurious":        emission("general", rules.Set.HarmonicLimit, attenuation),
	"rules.reference_bandwidth":     func(in map[string]float64) (float64, error) { return rules.ReferenceBandwidth(in["f"]) },
	"rules.exposure.controlled":     exposure(true, density),
	"rules.exposure.uncontrolled":   exposure(false, density),
	"rules.exposure.controlled_e":   exposure(true, electric),
	"rules.exposure.controlled_h":   exposure(true, magnetic),
	"rules.exposure.uncontrolled_e": exposure(false, electric),
	"rules.exposure.uncontrolled_h": exposure(false, magnetic),
	"rules.exposure.from_electric": exposure(true, func(l rules.ExposureLimit) float64 {
		return l.ElectricField * l.ElectricField / rules.FreeSpaceImpedance
	}),
	"rules.exposure.from_magnetic": exposure(true, func(l rules.ExposureLimit) float64 {
		return l.MagneticField * l.MagneticField * rules.FreeSpaceImpedance
	}),
	"rules.distance.controlled":   safeDistance(true),
	"rules.distance.uncontrolled": safeDistance(false),
	"rules.density_erp": func(in map[string]float64) (float64, error) {
		return rules.PowerDensity(rules.IsotropicPerDipole*in["erp"], in["distance"], rules.GroundReflection), nil
	},
	"rules.density_reflected": func(in map[string]float64) (float64, error) {
		return rules.PowerDensity(in["eirp"], in["distance"], rules.GroundReflection), nil
	},
	"rules.density_free": func(in map[string]float64) (float64, error) {
		return rules.PowerDensity(in["eirp"], in["distance"], rules.FreeSpace), nil
	},
	"rules.at_antenna": func(in map[string]float64) (float64, error) { return rules.EIRP(in["power"], in["loss"], 0), nil },
	"rules.average": func(in map[string]float64) (float64, error) {
		return rules.AveragePower(rules.EIRP(in["power"], in["loss"], 0), in["duty"], in["share"]), nil
	},
	"rules.duty.carrier":         duty("carrier"),
	"rules.duty.processed_voice": duty("processed-voice"),
	"rules.duty.cw":              duty("cw"),
	"rules.duty.voice":           duty("voice"),

	"rules.residual_voltage":     constant(rules.ResidualVoltage),
	"rules.residual_time":        constant(rules.ResidualTime),
	"rules.residual_pin_time":    constant(rules.ResidualPinTime),
	"rules.exempt_charge":        constant(rules.ExemptCharge),
	"rules.hazardous_energy":     constant(rules.HazardousEnergy),
	"rules.continuous_factor":    constant(rules.ContinuousLoadFactor),
	"rules.harmless_capacitance": func(in map[string]float64) (float64, error) { return rules.HarmlessCapacitance(in["voltage"]) },
	"rules.continuous_rating":    one("breaker", rules.ContinuousRating),
	"rules.continuous_power": func(in map[string]float64) (float64, error) {
		return in["mains"] * rules.ContinuousRating(in["breaker"]), nil
	},
	"rules.branch_gauge": func(in map[string]float64) (float64, error) {
		c, err := usMains().BranchCircuit(in["current"], false)
		return float64(c.Gauge), err
	},
	"rules.branch_breaker": func(in map[string]float64) (float64, error) {
		c, err := usMains().BranchCircuit(in["current"], true)
		return c.Breaker, err
	},
}

// usMains is the mains practice of the set "us", which the tests read.
func usMains() rules.Mains {
	s, _ := rules.Lookup("us")
	return s.Mains
}
