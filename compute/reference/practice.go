package reference

import (
	"math"

	"anodebook/compute/network"
	"anodebook/compute/preferred"
	"anodebook/compute/rules"
	"anodebook/compute/tube"
	"anodebook/spec"
)

var preferredFunctions = map[string]evaluator{
	"preferred.nearest": func(in map[string]float64) (float64, error) {
		return preferred.Series(int(in["series"])).Nearest(in["value"]), nil
	},
	"preferred.down": func(in map[string]float64) (float64, error) {
		return preferred.Series(int(in["series"])).Down(in["value"]), nil
	},
	"preferred.value": func(in map[string]float64) (float64, error) {
		values := preferred.Series(int(in["series"])).Values()
		n := int(in["place"]) - 1
		if n < 0 || n >= len(values) {
			return math.NaN(), errNotInCatalogue
		}
		return float64(values[n]), nil
	},
}

// plainSpec is a spec that says no more than it must, so that every default
// shows.
const plainSpec = `[target]
output = "1000 W"
bands = ["80m", "40m", "20m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "3000 V"
`

// defaultOf is a default that the program fills into a spec.
func defaultOf(pick func(*spec.Spec) float64) evaluator {
	return func(map[string]float64) (float64, error) {
		s, err := spec.Read("practice.toml", []byte(plainSpec), spec.Names{Tubes: tube.Types(), Rules: rules.Names()})
		if err != nil {
			return math.NaN(), err
		}
		return pick(s), nil
	}
}

var practiceFunctions = map[string]evaluator{
	"practice.filament_voltage": func(map[string]float64) (float64, error) {
		t, _ := tube.Lookup("3-500Z")
		return t.Heater.Voltage.Value, nil
	},
	"practice.filament_current": func(in map[string]float64) (float64, error) {
		t, _ := tube.Lookup("3-500Z")
		return in["tubes"] * t.Heater.Current.Value, nil
	},
	// the highest plate voltage published for a linear column of the type
	"practice.plate_supply": func(map[string]float64) (float64, error) {
		t, _ := tube.Lookup("3-500Z")
		highest := 0.0
		for _, c := range t.Columns {
			highest = math.Max(highest, c.PlateVoltage.Value)
		}
		return highest, nil
	},
	"practice.output_line": func(map[string]float64) (float64, error) {
		t, err := network.DesignTank(network.TankInput{Frequency: 14e6, PlateLoad: 2000, LoadedQ: 12})
		if err != nil {
			return math.NaN(), err
		}
		return t.Input.LoadResistance, nil
	},
	"practice.input_line": func(map[string]float64) (float64, error) {
		n, err := network.DesignInputPi(network.InputPiInput{Frequency: 14e6, LoadedQ: 2, CathodeResistance: 60})
		if err != nil {
			return math.NaN(), err
		}
		return n.Input.SourceResistance, nil
	},
	"practice.multiplier":       defaultOf(func(s *spec.Spec) float64 { return s.Metering.MultiplierValue.SI }),
	"practice.multiplier_limit": defaultOf(func(s *spec.Spec) float64 { return s.Metering.MultiplierLimit.SI }),
}
