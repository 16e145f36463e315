package compare

import "strings"

// headline are the results that a builder looks at first, the foremost first.
var headline = []string{
	"antenna.output_power",
	"tubes.plate_dissipation_each", "tubes.grid_dissipation_each",
	"tubes.plate_current", "tubes.grid_current", "tubes.plate_voltage", "tubes.idle_current", "tubes.bias_voltage",
	"tubes.drive_power", "tubes.efficiency", "tubes.imd3", "tubes.imd5",
	"supply.full_load_voltage", "supply.idle_voltage", "supply.no_load_voltage", "supply.stored_energy", "supply.time_to_60v",
	"tubes.plate_load", "tubes.plate_swing", "tubes.minimum_plate_voltage", "tubes.plate_output",
	"tubes.cathode_drive_voltage", "tubes.input_resistance",
	"supply.time_to_60v_one_bleeder_open", "supply.surge_current", "supply.ripple_peak_to_peak", "supply.secondary_current_rms",
	"supply.diode_peak_current", "supply.transformer_voltage", "supply.source_resistance", "supply.filter_capacitance",
	"supply.bleeder_resistance",
	"cooling.airflow", "cooling.pressure",
	"filament.choke_inductance", "filament.choke_reactance_lowest_band", "filament.secondary_voltage", "filament.pin_voltage",
	"plate_feed.choke_inductance", "plate_feed.blocking_capacitance", "plate_feed.blocking_current_rms",
	"suppressor.inductance", "suppressor.resistance", "suppressor.dissipation_each",
	"metering.multiplier_resistance", "metering.multiplier_count", "metering.plate_shunt", "metering.grid_shunt",
}

// foremost is how many of them come before all others, however far those moved.
const foremost = 17

// perBand are the main results of each band, the foremost first; the band
// stands in place of the star.
var perBand = []string{
	"tank.*.tune_capacitance", "tank.*.inductance", "tank.*.load_capacitance", "tank.*.output_inductance",
	"tank.*.loaded_q", "tank.*.efficiency", "tank.*.tune_voltage_peak", "tank.*.coil_current_rms",
	"tank.*.harmonic2", "tank.*.harmonic3", "tank.*.bandwidth", "tank.*.plate_resistance",
	"input.*.swr", "input.*.swr_edge", "input.*.shunt_in", "input.*.series_inductance", "input.*.shunt_out",
	"exposure.*.distance_controlled", "exposure.*.distance_uncontrolled",
}

// place gives the rank of each main result.
var place = func() map[string]int {
	m := map[string]int{}
	for i, id := range headline {
		m[id] = i
	}
	for i, id := range perBand {
		m[id] = len(headline) + i
	}
	return m
}()

// pattern replaces the band within an ID by a star.
func pattern(id string) string {
	parts := strings.Split(id, ".")
	for i, p := range parts {
		if isBand(p) {
			parts[i] = "*"
		}
	}
	return strings.Join(parts, ".")
}

// isBand says that a part of an ID names a band, such as "80m".
func isBand(s string) bool {
	digits := strings.TrimSuffix(s, "m")
	return digits != s && digits != "" && len(digits) <= 3 && strings.Trim(digits, "0123456789") == ""
}

// Main says whether a quantity is one of the main results, by its ID, and at
// which place among them; 0 is the foremost.
func Main(id string) (int, bool) {
	n, ok := place[pattern(id)]
	return n, ok
}

// The classes of importance, the foremost first.
const (
	classStress   = iota // holds a part against its rating, and the verdict changed
	classHeadline        // what the builder looks at first
	classMain            // the other main results of the amplifier as a whole
	classBand            // the same on one band
	classRest            // every other result
	classStep            // what only stands in a derivation as a cross-check
)

// class sorts results by how much they matter to the builder.
func class(id string, crossed map[string]bool) int {
	n, main := Main(id)
	switch {
	case crossed[id]:
		return classStress
	case main && n < foremost:
		return classHeadline
	case main && n < len(headline):
		return classMain
	case main:
		return classBand
	case strings.HasSuffix(id, "_by_hand"), strings.HasSuffix(id, "_check"), strings.HasSuffix(id, "_by_balance"), strings.HasSuffix(id,
		"_coefficient"):
		return classStep
	}
	return classRest
}
