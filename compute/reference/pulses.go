package reference

import (
	"math"

	"anodebook/compute/physics/fourier"
	"anodebook/compute/physics/tube"
)

// component is the n-th harmonic of a pulse with exponent p and full flow
// angle flow.
func component(n int) evaluator {
	return func(in map[string]float64) (float64, error) {
		c, err := fourier.Components(in["p"], in["flow"]/2, n)
		if err != nil {
			return math.NaN(), err
		}
		return c[n], nil
	}
}

// pulse hands mean and fundamental of the pulse to f.
func pulse(f func(mean, first float64, in map[string]float64) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		c, err := fourier.Components(in["p"], in["flow"]/2, 1)
		if err != nil {
			return math.NaN(), err
		}
		return f(c[0], c[1], in), nil
	}
}

// linear picks from the closed form of the truncated cosine.
func linear(pick func(mean, first, second float64) float64) evaluator {
	return func(in map[string]float64) (float64, error) { return pick(fourier.Linear(in["flow"] / 2)), nil }
}

// ordinate is the pulse at an angle from its crest [rad]: what one would read
// off the printed pulse.
func ordinate(in map[string]float64, angle float64) float64 {
	a := in["flow"] / 2
	x := (math.Cos(angle) - math.Cos(a)) / (1 - math.Cos(a))
	if angle >= a || x <= 0 {
		return 0
	}
	return math.Pow(x, in["p"])
}

// hand13 is the 13-point analysis of a pulse.
func hand13(pick func(fourier.Hand) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		var y [13]float64
		for i := range y {
			y[i] = ordinate(in, float64(i)*math.Pi/12)
		}
		return pick(fourier.Hand13(y)), nil
	}
}

// hand11 is the 11-point analysis of a pulse.
func hand11(pick func(fourier.Hand) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		var y [11]float64
		for i := range y {
			y[i] = ordinate(in, float64(i)*math.Pi/10)
		}
		return pick(fourier.Hand11(y)), nil
	}
}

// letters are the names of the ordinates in the hand method, crest first.
const letters = "ABCDEFGHJKLMN"

// printed13 analyses the ordinates A to N.
func printed13(analyse func([13]float64) fourier.Hand, pick func(fourier.Hand) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		var y [13]float64
		for i := range y {
			y[i] = in[letters[i:i+1]]
		}
		return pick(analyse(y)), nil
	}
}

func mean(h fourier.Hand) float64   { return h.Mean }
func first(h fourier.Hand) float64  { return h.First }
func second(h fourier.Hand) float64 { return h.Second }
func third(h fourier.Hand) float64  { return h.Third }

var fourierFunctions = map[string]evaluator{
	"fourier.mean":           component(0),
	"fourier.first":          component(1),
	"fourier.second":         component(2),
	"fourier.third":          component(3),
	"fourier.linear_mean":    linear(func(m, _, _ float64) float64 { return m }),
	"fourier.linear_first":   linear(func(_, f, _ float64) float64 { return f }),
	"fourier.linear_second":  linear(func(_, _, s float64) float64 { return s }),
	"fourier.peak_over_mean": pulse(func(m, _ float64, _ map[string]float64) float64 { return 1 / m }),
	"fourier.efficiency": pulse(func(m, f float64, in map[string]float64) float64 {
		return fourier.Efficiency(m, f, in["ratio"])
	}),
	"fourier.load_factor": pulse(func(m, f float64, in map[string]float64) float64 {
		return fourier.LoadFactor(m, f, in["ratio"])
	}),
	"fourier.linear_efficiency": func(in map[string]float64) (float64, error) {
		return fourier.LinearEfficiency(in["flow"]), nil
	},
	"fourier.second_below_first": func(in map[string]float64) (float64, error) {
		c, err := fourier.Components(in["p"], in["flow"]/2, 2)
		if err != nil {
			return math.NaN(), err
		}
		return 20 * math.Log10(math.Abs(c[2]/c[1])), nil
	},
	"fourier.hand13_mean":         hand13(mean),
	"fourier.hand13_first":        hand13(first),
	"fourier.hand13_second":       hand13(second),
	"fourier.hand11_mean":         hand11(mean),
	"fourier.hand11_first":        hand11(first),
	"fourier.hand11_second":       hand11(second),
	"fourier.ordinates13_mean":    printed13(fourier.Hand13, mean),
	"fourier.ordinates13_first":   printed13(fourier.Hand13, first),
	"fourier.ordinates13_second":  printed13(fourier.Hand13, second),
	"fourier.ordinates13_third":   printed13(fourier.Hand13, third),
	"fourier.ordinates13_printed": printed13(fourier.Hand13Printed, first),
	"fourier.ordinates11_mean":    printed11(mean),
	"fourier.ordinates11_printed": printed11(first),
	"tube.two_tone_crest":         func(in map[string]float64) (float64, error) { return twoTone(in).CrestFactor(), nil },
	"tube.two_tone_mean_current":  twoToneMean,
	"tube.intermodulation_below_pep": func(in map[string]float64) (float64, error) {
		third, _, _ := tube.Products{Order3: in["below_tone"], Tone: in["tone"], PeakEnvelope: in["peak"]}.BelowPEP()
		return third, nil
	},
}

// printed11 analyses the ordinates A to L with the printed multipliers.
func printed11(pick func(fourier.Hand) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		var y [11]float64
		for i := range y {
			y[i] = in[letters[i:i+1]]
		}
		return pick(fourier.Hand11Printed(y)), nil
	}
}

func twoTone(in map[string]float64) tube.Envelope { return tube.TwoToneEnvelope(int(in["levels"])) }

// twoToneMean is the mean of the envelope over its peak: the direct current of
// an ideal class B stage with two tones over that with one.
func twoToneMean(in map[string]float64) (float64, error) {
	e := twoTone(in)
	sum := 0.0
	for i, level := range e.Level {
		sum += level * e.Weight[i]
	}
	return sum, nil
}

// reading is a figure of the 3-500Z at a given plate current and lowest plate
// voltage.
func reading(pick func(tube.Point) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		t, _ := tube.Lookup("3-500Z")
		p, err := tube.ForPlateCurrent(t.Model, in["plate_voltage"], in["bias"], in["plate_current"], in["plate_floor"])
		if err != nil {
			return math.NaN(), err
		}
		return pick(p), nil
	}
}

var tubeFunctions = map[string]evaluator{
	"tube.3-500z.grid_current":         reading(tube.Point.GridCurrent),
	"tube.3-500z.peak_grid_voltage":    reading(func(p tube.Point) float64 { return p.PeakGridVoltage }),
	"tube.3-500z.grid_dissipation":     reading(func(p tube.Point) float64 { return p.GridDissipation }),
	"tube.3-500z.peak_plate_current":   reading(func(p tube.Point) float64 { return p.PeakPlateCurrent }),
	"tube.3-500z.peak_cathode_current": reading(func(p tube.Point) float64 { return p.PeakCathodeCurrent }),
	"tube.3-500z.conduction_angle":     reading(func(p tube.Point) float64 { return p.ConductionAngle }),
}
