package reference

import (
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/physics/network"
	"anodebook/compute/physics/tube"
	"anodebook/compute/physics/twoport"
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

var practiceFunctions = map[string]evaluator{
	"practice.filament_voltage": func(map[string]float64) (float64, error) {
		t, _ := tube.Lookup("3-500Z")
		return t.Heater.Voltage.Value, nil
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
	"twoport.capacitor_current": func(in map[string]float64) (float64, error) { return in["v"] * capacitorSusceptance(in), nil },
	"twoport.capacitor_power": func(in map[string]float64) (float64, error) {
		return in["v"] * in["v"] * capacitorSusceptance(in), nil
	},
	"practice.input_line": func(map[string]float64) (float64, error) {
		n, err := network.DesignInputPi(network.InputPiInput{Frequency: 14e6, LoadedQ: 2, CathodeResistance: 60})
		if err != nil {
			return math.NaN(), err
		}
		return n.Input.SourceResistance, nil
	},
}

// capacitorSusceptance is that of a lossless capacitor in the ladder [S].
func capacitorSusceptance(in map[string]float64) float64 {
	e := twoport.ShuntCapacitor("C", in["c"], 0)
	return imag(e.Admittance(2 * math.Pi * in["f"]))
}
