package reference

import (
	"math"

	"anodebook/compute/physics/rectifier"
)

// supply is the rectifier of the inputs: either in the dimensionless terms of
// the charts, ωCR (wcr) and Rs/R (rs), with 1 V peak, 1 Ω and ω = 1/s; or in
// volts and ohms.
func supply(c rectifier.Circuit, in map[string]float64) rectifier.Supply {
	if wcr, ok := in["wcr"]; ok {
		return rectifier.Supply{
			Circuit: c, SecondaryVoltage: 1 / math.Sqrt2, SourceResistance: in["rs"],
			MainsFrequency: 1 / (2 * math.Pi), Capacitance: wcr, LoadResistance: 1,
		}
	}
	return rectifier.Supply{
		Circuit: c, SecondaryVoltage: in["secondary"], SourceResistance: in["source"],
		MainsFrequency: in["mains"], Capacitance: in["capacitance"], LoadResistance: in["load"],
	}
}

// figures of the periodic steady state by name.
var supplyFigures = map[string]func(rectifier.Result) float64{
	"voltage":         func(r rectifier.Result) float64 { return r.Voltage },
	"current":         func(r rectifier.Result) float64 { return r.LoadCurrent },
	"ripple":          func(r rectifier.Result) float64 { return r.RippleRMS / r.Voltage },
	"peak_to_peak":    func(r rectifier.Result) float64 { return r.RipplePeak },
	"winding":         func(r rectifier.Result) float64 { return r.SecondaryCurrent / r.LoadCurrent },
	"peak":            func(r rectifier.Result) float64 { return r.SecondaryCurrentPeak / r.LoadCurrent },
	"diode":           func(r rectifier.Result) float64 { return r.DiodeCurrentRMS / r.DiodeCurrentMean },
	"conduction":      func(r rectifier.Result) float64 { return r.ConductionAngle },
	"winding_current": func(r rectifier.Result) float64 { return r.SecondaryCurrent },
	"peak_current":    func(r rectifier.Result) float64 { return r.SecondaryCurrentPeak },
}

var asymptoteFigures = map[string]func(rectifier.Asymptote) float64{
	"angle":   func(a rectifier.Asymptote) float64 { return a.HalfAngle },
	"voltage": func(a rectifier.Asymptote) float64 { return a.VoltageRatio },
	"winding": func(a rectifier.Asymptote) float64 { return a.WindingRMS },
	"peak":    func(a rectifier.Asymptote) float64 { return a.DiodePeak },
}

var rectifierFunctions = func() map[string]evaluator {
	out := map[string]evaluator{
		"rectifier.centre_tap.winding": steady(rectifier.CentreTap, supplyFigures["winding"]),
		"rectifier.centre_tap.no_load": noLoad(rectifier.CentreTap),
		"rectifier.bridge.no_load":     noLoad(rectifier.Bridge),
		"rectifier.doubler.diode_load": steady(rectifier.Doubler,
			func(r rectifier.Result) float64 { return r.DiodeCurrentRMS / r.LoadCurrent }),
		"rectifier.half_wave.infinite": func(in map[string]float64) (float64, error) {
			a, err := rectifier.InfiniteCapacitanceHalfWave(in["rs"])
			return a.WindingRMS, err
		},
		"rectifier.doubler.infinite": func(in map[string]float64) (float64, error) {
			a, err := rectifier.InfiniteCapacitance(rectifier.Doubler, in["rs"])
			return a.VoltageRatio, err
		},
		"rectifier.ripple_estimate": func(in map[string]float64) (float64, error) {
			return rectifier.RippleEstimate(in["current"], in["mains"], in["capacitance"]), nil
		},
		"rectifier.discharge": func(in map[string]float64) (float64, error) {
			return rectifier.DischargeTime(in["capacitance"], in["bleeder"], in["from"], in["to"]), nil
		},
		"rectifier.energy": func(in map[string]float64) (float64, error) {
			return rectifier.StoredEnergy(in["capacitance"], in["from"]), nil
		},
		"rectifier.choke_input.bridge":     chokeInput(rectifier.Bridge),
		"rectifier.choke_input.centre_tap": chokeInput(rectifier.CentreTap),
		"rectifier.resistive_mean":         one("secondary", rectifier.ResistiveMean),
	}
	for name, f := range asymptoteFigures {
		out["rectifier.infinite."+name] = func(in map[string]float64) (float64, error) {
			a, err := rectifier.InfiniteCapacitance(rectifier.Bridge, in["rs"])
			if err != nil {
				return math.NaN(), err
			}
			return f(a), nil
		}
	}
	for name, f := range supplyFigures {
		out["rectifier.bridge."+name] = steady(rectifier.Bridge, f)
	}
	for _, name := range []string{"voltage", "ripple", "peak_to_peak", "peak", "winding", "winding_current", "peak_current"} {
		out["rectifier.doubler."+name] = steady(rectifier.Doubler, supplyFigures[name])
	}
	return out
}()

func steady(c rectifier.Circuit, figure func(rectifier.Result) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		r, err := rectifier.SteadyState(supply(c, in))
		if err != nil {
			return math.NaN(), err
		}
		return figure(r), nil
	}
}

func noLoad(c rectifier.Circuit) evaluator {
	return func(in map[string]float64) (float64, error) { return supply(c, in).NoLoadVoltage(), nil }
}

// chokeInput is the mean output behind a choke of twice its critical
// inductance, in time.
func chokeInput(c rectifier.Circuit) evaluator {
	return func(in map[string]float64) (float64, error) {
		s := rectifier.Supply{
			Circuit: c, SecondaryVoltage: in["secondary"], SourceResistance: 0.01, MainsFrequency: 60,
			Capacitance: 100e-6, LoadResistance: 2000, ChokeInductance: 2 * rectifier.CriticalInductance(2000, 60),
		}
		r, err := rectifier.SteadyState(s)
		return r.Voltage, err
	}
}
