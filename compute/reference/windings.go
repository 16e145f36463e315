package reference

import (
	"math"

	"anodebook/compute/physics/winding"
)

// one makes an evaluator of a function of one input.
func one(name string, f func(float64) float64) evaluator {
	return func(in map[string]float64) (float64, error) { return f(in[name]), nil }
}

// coil is a solenoid of mean diameter, length, turns and wire.
func coil(in map[string]float64) winding.Solenoid {
	return winding.Solenoid{Diameter: in["diameter"], Pitch: in["length"] / in["turns"], Wire: in["wire"], Turns: in["turns"]}
}

func sheet(f func(diameter, length, turns float64) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		return f(in["diameter"], in["length"], in["turns"]), nil
	}
}

var coilFunctions = map[string]evaluator{
	"winding.nagaoka":       one("d_over_l", winding.Nagaoka),
	"winding.lundin":        one("d_over_l", winding.NagaokaLundin),
	"winding.wheeler":       sheet(winding.Wheeler),
	"winding.current_sheet": sheet(winding.CurrentSheet),
	"winding.wheeler_over_sheet": func(in map[string]float64) (float64, error) {
		l := in["l_over_d"] // metres, one metre of diameter
		return winding.Wheeler(1, l, 1) / winding.CurrentSheet(1, l, 1), nil
	},
	"winding.rosa_a":     one("d_over_p", winding.RosaA),
	"winding.rosa_b":     one("turns", winding.RosaB),
	"winding.inductance": func(in map[string]float64) (float64, error) { return coil(in).Inductance(), nil },
	"winding.self_capacitance": func(in map[string]float64) (float64, error) {
		return winding.SelfCapacitance(0.01, 0.01*in["l_over_d"]), nil // of one centimetre of diameter
	},
	"winding.proximity": func(in map[string]float64) (float64, error) {
		return winding.Proximity(in["l_over_d"], 1/in["p_over_d"]), nil
	},
	"winding.ideal_q": func(in map[string]float64) (float64, error) {
		// so many turns that they are fine against the coil: the rule knows no number of turns
		const turns = 1000
		s := winding.Solenoid{Diameter: in["diameter"], Pitch: in["length"] / turns, Wire: in["length"] / turns * in["d_over_p"],
			Turns: turns}
		return 2 * math.Pi * in["f"] * winding.CurrentSheet(s.Diameter, s.Length(), s.Turns) /
			(s.WireLength() * winding.SurfaceResistance(in["f"], 20) / (math.Pi * s.Wire) * winding.Proximity(s.Length()/s.Diameter,
				s.Wire/s.Pitch)), nil
	},
	"winding.psi": func(in map[string]float64) (float64, error) {
		s := winding.Solenoid{Diameter: 1, Pitch: in["l_over_d"] / 1000, Wire: in["l_over_d"] / 1000 * in["d_over_p"], Turns: 1000}
		return winding.MedhurstPsi(s.Length()/s.Diameter, s.Wire/s.Pitch), nil
	},
}

var wireFunctions = map[string]evaluator{
	"winding.resistivity": one("temperature", func(kelvin float64) float64 { return winding.Resistivity(kelvin - 273.15) }),
	"winding.resistivity_ratio": one("temperature", func(kelvin float64) float64 {
		return winding.Resistivity(kelvin-273.15) / winding.Resistivity(20)
	}),
	"winding.coefficient": func(map[string]float64) (float64, error) { return winding.CopperCoefficient, nil },
	"winding.density":     func(map[string]float64) (float64, error) { return winding.CopperDensity, nil },
	"winding.skin_depth":  one("f", func(f float64) float64 { return winding.SkinDepth(f, 20) }),
	"winding.surface":     one("f", func(f float64) float64 { return winding.SurfaceResistance(f, 20) }),
	"winding.awg":         one("gauge", func(n float64) float64 { return winding.AWG(int(n)) }),
	"winding.awg_mils":    one("gauge", func(n float64) float64 { return winding.CircularMils(winding.AWG(int(n))) }),
	"winding.awg_resist":  one("gauge", func(n float64) float64 { return winding.DCResistance(winding.AWG(int(n)), 20) }),
	"winding.round_wire":  func(in map[string]float64) (float64, error) { return roundWire(in), nil },
	"winding.round_excess": func(in map[string]float64) (float64, error) {
		return roundWire(in) / winding.DCResistance(in["wire"], 20), nil
	},
}

func roundWire(in map[string]float64) float64 {
	return winding.RoundWireResistance(in["wire"], in["f"], 20)
}

var coreFunctions = map[string]evaluator{
	"winding.iron_powder_turns": func(in map[string]float64) (float64, error) {
		return winding.TurnsOnCore(in["l"], winding.IronPowderIndex(in["al"])), nil
	},
	"winding.iron_powder_index": one("al", winding.IronPowderIndex),
	"winding.ferrite_index":     one("al", winding.FerriteIndex),
	"winding.ferrite_inductance": func(in map[string]float64) (float64, error) {
		return winding.FerriteIndex(in["al"]) * in["turns"] * in["turns"], nil
	},
	"winding.toroid_index": func(in map[string]float64) (float64, error) {
		return winding.ToroidIndex(in["mu"], in["outer"], in["inner"], in["height"]), nil
	},
	"winding.ellipsoid": one("l_over_d", winding.EllipsoidDemagnetising),
	"winding.rod":       func(in map[string]float64) (float64, error) { return winding.RodDemagnetising(in["l_over_d"]) },
	"winding.rod_permeability": func(in map[string]float64) (float64, error) {
		r := winding.Rod{Permeability: in["mu"], Diameter: 0.01, Length: 0.01 * in["l_over_d"]}
		return r.EffectivePermeability()
	},
}
