package reference

import (
	"math"

	"anodebook/compute/physics/network"
)

// A pi is designed by one of the definitions of loaded Q.
type piDesign func(r1, r2, q float64) (network.Pi, error)

func pi(design piDesign, pick func(p network.Pi, in map[string]float64) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		p, err := design(in["r1"], in["r2"], in["q"])
		if err != nil {
			return math.NaN(), err
		}
		return pick(p, in), nil
	}
}

func piL(pick func(network.PiL) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		p, err := network.PiLByInputQ(in["r1"], in["r2"], in["intermediate"], in["q"])
		if err != nil {
			return math.NaN(), err
		}
		return pick(p), nil
	}
}

// omega turns the frequency of the inputs into rad/s.
func omega(in map[string]float64) float64 { return 2 * math.Pi * in["f"] }

// The three values of a pi, from its reactances.
func piC1(p network.Pi, in map[string]float64) float64 { return 1 / (omega(in) * p.Input) }
func piLs(p network.Pi, in map[string]float64) float64 { return p.Series / omega(in) }
func piC2(p network.Pi, in map[string]float64) float64 { return 1 / (omega(in) * p.Output) }

// tank designs a lossless tank; an intermediate resistance makes it a pi-L.
func tank(pick func(t *network.Tank, in map[string]float64) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		t, err := network.DesignTank(network.TankInput{
			Frequency: in["f"], PlateLoad: in["r1"], LoadedQ: in["q"], LoadResistance: in["r2"],
			TubeCapacitance: in["tube"], PiL: in["intermediate"] > 0, IntermediateResistance: in["intermediate"],
		})
		if err != nil {
			return math.NaN(), err
		}
		return pick(t, in), nil
	}
}

func matchL(pick func(network.LNetwork) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		n, err := network.MatchL(in["low"], in["high"])
		if err != nil {
			return math.NaN(), err
		}
		return pick(n), nil
	}
}

func swr(f func(float64) float64) evaluator {
	return func(in map[string]float64) (float64, error) { return f(in["swr"]), nil }
}

var networkFunctions = map[string]evaluator{
	"network.pi_input":  pi(network.PiByInputQ, func(p network.Pi, _ map[string]float64) float64 { return p.Input }),
	"network.pi_series": pi(network.PiByInputQ, func(p network.Pi, _ map[string]float64) float64 { return p.Series }),
	"network.pi_output": pi(network.PiByInputQ, func(p network.Pi, _ map[string]float64) float64 { return p.Output }),

	"network.pi_by_input_q.c1":  pi(network.PiByInputQ, piC1),
	"network.pi_by_input_q.l":   pi(network.PiByInputQ, piLs),
	"network.pi_by_input_q.c2":  pi(network.PiByInputQ, piC2),
	"network.pi_by_total_q.c1":  pi(network.PiByTotalQ, piC1),
	"network.pi_by_total_q.l":   pi(network.PiByTotalQ, piLs),
	"network.pi_by_total_q.c2":  pi(network.PiByTotalQ, piC2),
	"network.pi_by_higher_q.c1": pi(network.PiByHigherSideQ, piC1),
	"network.pi_by_higher_q.l":  pi(network.PiByHigherSideQ, piLs),
	"network.pi_by_higher_q.c2": pi(network.PiByHigherSideQ, piC2),

	"network.pi_l_input":  piL(func(p network.PiL) float64 { return p.Input }),
	"network.pi_l_series": piL(func(p network.PiL) float64 { return p.Series }),
	"network.pi_l_middle": piL(func(p network.PiL) float64 { return p.Middle }),
	"network.pi_l_output": piL(func(p network.PiL) float64 { return p.OutputSeries }),

	"network.tank_tune":   tank(func(t *network.Tank, _ map[string]float64) float64 { return t.TuneCapacitance }),
	"network.tank_coil":   tank(func(t *network.Tank, _ map[string]float64) float64 { return t.Inductance }),
	"network.tank_load":   tank(func(t *network.Tank, _ map[string]float64) float64 { return t.LoadCapacitance }),
	"network.tank_output": tank(func(t *network.Tank, _ map[string]float64) float64 { return t.OutputInductance }),
	"network.tank_attenuation": tank(func(t *network.Tank, in map[string]float64) float64 {
		return -t.Response(in["harmonic"] * in["f"])
	}),

	"network.resonant_product": func(in map[string]float64) (float64, error) {
		return network.ResonantProduct(in["f"]) * 1e18, nil // µH·pF
	},
	"network.peak_voltage": func(in map[string]float64) (float64, error) {
		return network.PeakVoltage(in["power"], in["r"]), nil
	},
	"network.reflection":      swr(network.ReflectionOfSWR),
	"network.return_loss":     swr(network.ReturnLoss),
	"network.reflected_power": swr(network.ReflectedPower),
	"network.mismatch_loss":   swr(network.MismatchLoss),
	"network.l_q":             matchL(func(n network.LNetwork) float64 { return n.Q }),
	"network.l_series":        matchL(func(n network.LNetwork) float64 { return n.Series }),
	"network.l_shunt":         matchL(func(n network.LNetwork) float64 { return n.Shunt }),
}
