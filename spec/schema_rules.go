package spec

// What needs more than one key of a table and what JSON Schema can say, beside
// the tags: the same that the together functions check.

// exclusive lists keys of a table of which only one may be written.
var exclusive = map[string][][]string{
	"bias":       {{"voltage", "idle_current"}},
	"suppressor": {{"lead_length", "lead_inductance"}},
	"supply.transformer": {{"regulation", "primary_resistance"}, {"regulation", "secondary_resistance"},
		{"leakage_inductance", "short_circuit_voltage"}},
	"tank.coil": {{"ribbon_width", "conductor"}},
	"tank.tune": {{"law", "dial"}},
	"tank.load": {{"law", "dial"}},
}

// dependent lists keys of a table that stand only beside others.
var dependent = map[string]map[string][]string{
	"supply.choke": {"loaded_inductance": {"inductance"}},
	"cooling":      {"pressure": {"airflow"}},
	"tank.coil":    {"ribbon_width": {"ribbon_thickness"}, "ribbon_thickness": {"ribbon_width"}, "ribbon": {"ribbon_width"}},
	"tubes.custom.column.*": {
		"plate_current": {"output"}, "grid_current": {"plate_current"}, "plate_load": {"plate_current"},
		"driving_impedance": {"plate_current"}, "drive_power": {"plate_current"}, "output": {"plate_current"},
	},
}

// conditions are what else a table must fulfil.
var conditions = map[string][]any{
	"tubes": {node{
		"if":   node{"properties": node{"type": words([]string{CustomType})}, "required": []string{"type"}},
		"then": node{"required": []string{"custom"}},
		"else": node{"not": node{"required": []string{"custom"}}},
	}},
	"tubes.custom": {node{"required": []string{"name", "amplification_factor", "cathode", "heater_voltage", "heater_current",
		"max_plate_dissipation", "column"}}},
	"tubes.custom.column.*": {
		node{"required": []string{"plate_voltage"}},
		node{"anyOf": []any{node{"required": []string{"plate_current"}}, node{"required": []string{"idle_current"}}}},
	},
	"tank": {
		node{
			"if":   node{"properties": node{"network": words([]string{"pi-L"})}, "required": []string{"network"}},
			"then": node{},
			"else": node{"properties": node{"output_coil": node{"maxProperties": 0}},
				"not": node{"required": []string{"intermediate_resistance"}}},
		},
	},
	"supply": {node{
		"if":   node{"properties": node{"rectifier": words(chokeInputs)}, "required": []string{"rectifier"}},
		"then": node{}, "else": node{"properties": node{"choke": node{"maxProperties": 0}}},
	}},
	"cooling": {node{
		"if": node{"properties": node{"blower": node{"properties": node{"fitted": node{"const": false}},
			"required": []string{"fitted"}}}, "required": []string{"blower"}},
		"then": node{"properties": node{"airflow": false, "pressure": false, "after_run": false}},
	}},
	"reading.*": {node{"required": []string{"of", "value"}}},
	"measured.*": {
		node{
			"if":   node{"properties": node{"of": words([]string{"plate_choke"})}, "required": []string{"of"}},
			"then": node{"not": node{"required": []string{"termination"}}}, "else": node{"required": []string{"band"}},
		},
		port("tank"), port("input"), port("plate_choke"),
	},
}

// port says at which ends of a part an analyser can be.
func port(of string) node {
	return node{
		"if":   node{"properties": node{"of": words([]string{of})}, "required": []string{"of"}},
		"then": node{"properties": node{"port": words(ports[of])}},
	}
}
