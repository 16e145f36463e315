package reference

import (
	"anodebook/compute/physics/air"
	"anodebook/compute/physics/insulation"
	"anodebook/compute/physics/tube"
)

// metres makes an evaluator of a table of distances over a voltage.
func metres(f func(volts float64) (float64, error)) evaluator {
	return func(in map[string]float64) (float64, error) {
		return f(in["voltage"])
	}
}

func board(c insulation.BoardConductor) evaluator {
	return func(in map[string]float64) (float64, error) { return insulation.BoardSpacing(in["voltage"], c) }
}

func ratedImpulse(c insulation.Overvoltage) evaluator {
	return func(in map[string]float64) (float64, error) { return insulation.RatedImpulse(in["voltage"], c) }
}

var insulationFunctions = map[string]evaluator{
	"insulation.recurring":            metres(func(v float64) (float64, error) { return insulation.RecurringClearance(v, false) }),
	"insulation.recurring_reinforced": metres(func(v float64) (float64, error) { return insulation.RecurringClearance(v, true) }),
	"insulation.rated_impulse_1":      ratedImpulse(insulation.CategoryI),
	"insulation.rated_impulse_2":      ratedImpulse(insulation.CategoryII),
	"insulation.rated_impulse_3":      ratedImpulse(insulation.CategoryIII),
	"insulation.rated_impulse_4":      ratedImpulse(insulation.CategoryIV),
	"insulation.radio":                metres(insulation.RadioClearance),
	"insulation.radio_creepage": func(in map[string]float64) (float64, error) {
		return insulation.RadioCreepage(in["voltage"], in["f"])
	},
	"insulation.clearance":  metres(func(v float64) (float64, error) { return insulation.SecondaryClearance(v, false) }),
	"insulation.reinforced": metres(func(v float64) (float64, error) { return insulation.SecondaryClearance(v, true) }),
	"insulation.impulse_point": metres(func(v float64) (float64, error) {
		return insulation.ImpulseClearance(v, insulation.Inhomogeneous)
	}),
	"insulation.impulse_uniform": metres(func(v float64) (float64, error) {
		return insulation.ImpulseClearance(v, insulation.Homogeneous)
	}),
	"insulation.creepage_1":          metres(func(v float64) (float64, error) { return insulation.Creepage(v, insulation.GroupI) }),
	"insulation.creepage_2":          metres(func(v float64) (float64, error) { return insulation.Creepage(v, insulation.GroupII) }),
	"insulation.creepage_3":          metres(func(v float64) (float64, error) { return insulation.Creepage(v, insulation.GroupIII) }),
	"insulation.creepage_clean":      metres(insulation.CleanCreepage),
	"insulation.needle_gap":          metres(insulation.NeedleGap),
	"insulation.sphere_gap":          metres(insulation.SphereGap),
	"insulation.capacitor_spacing":   metres(insulation.CapacitorSpacing),
	"insulation.cautious_capacitor":  one("voltage", insulation.CautiousCapacitorSpacing),
	"insulation.board_uncoated":      board(insulation.ExternalUncoated),
	"insulation.board_uncoated_high": board(insulation.ExternalUncoatedHigh),
	"insulation.board_lead":          board(insulation.LeadUncoated),
	"insulation.altitude": func(in map[string]float64) (float64, error) {
		return insulation.AltitudeFactor(in["altitude"])
	},
	"insulation.power_conversion": func(in map[string]float64) (float64, error) {
		return insulation.PowerConversionSpacing(in["voltage"])
	},
	"insulation.standard_sphere": func(in map[string]float64) (float64, error) {
		lowest, highest, err := insulation.StandardSphereGap(in["gap"])
		return (lowest + highest) / 2, err
	},
	"insulation.uniform": func(in map[string]float64) (float64, error) {
		return insulation.UniformBreakdown(in["gap"], 1)
	},
}

func standard(pick func(air.State) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		s, err := air.Standard(in["altitude"])
		return pick(s), err
	}
}

var airFunctions = map[string]evaluator{
	"air.temperature": standard(func(s air.State) float64 { return s.Temperature }),
	"air.pressure":    standard(func(s air.State) float64 { return s.Pressure }),
	"air.density":     standard(func(s air.State) float64 { return s.Density }),
	"air.altitude":    func(in map[string]float64) (float64, error) { return air.AltitudeFactor(in["altitude"]) },
	"air.hand_flow": func(in map[string]float64) (float64, error) {
		return air.HandFlow(in["power"], in["rise"]*1.8, in["density"]/air.PoundPerCubicFoot,
			in["heat"]/air.BTUPerPoundDegreeF) * air.CubicFootPerMinute, nil
	},
	"air.flow": func(in map[string]float64) (float64, error) {
		s, err := air.Inlet(0, in["inlet"])
		return air.Flow(in["power"], in["rise"], s.Density), err
	},
	"air.relative_density": func(in map[string]float64) (float64, error) {
		return air.RelativeDensity(in["torr"]*air.Torr, in["temperature"], in["reference"]), nil
	},
	"air.btu_per_hour":  func(map[string]float64) (float64, error) { return 1 / air.BTUPerHour, nil },
	"air.horsepower":    func(map[string]float64) (float64, error) { return air.Horsepower, nil },
	"air.psi_in_feet":   func(map[string]float64) (float64, error) { return air.PoundPerSquareInch / air.FootOfWater, nil },
	"air.8877_flow":     at8877(func(r air.Requirement) float64 { return r.Flow }),
	"air.8877_pressure": at8877(func(r air.Requirement) float64 { return r.Pressure }),
}

// at8877 scales the published sea-level airflow of the 8877 to an altitude, at
// the inlet temperature it was published for.
func at8877(pick func(air.Requirement) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		t, _ := tube.Lookup("8877")
		for _, a := range t.Cooling.Air {
			if a.Dissipation.Value == in["dissipation"] && a.Altitude.Value == 0 {
				r, err := air.Requirement{Flow: a.Flow.Value, Pressure: a.Pressure.Value}.AtAltitude(in["altitude"], 298.15, 298.15)
				return pick(r), err
			}
		}
		return 0, errNotInCatalogue
	}
}
