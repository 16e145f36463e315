package ids

// What the stage cooling enters, in order.
var cooling = []Quantity{
	{"cooling.altitude", "m", always},
	{"cooling.inlet_temperature", "°C", always},
	{"cooling.air_density", "kg/m³", always},
	{"cooling.specific_heat", "J/(kg·K)", always},
	{"cooling.tubes", "", always},
	{"cooling.heater_voltage", "V", always},
	{"cooling.heater_current_each", "A", always},
	{"cooling.heat", "W", always},
	{"cooling.published_airflow_each", "m³/s", "an air requirement of the type is published"},
	{"cooling.published_pressure", "Pa", "an air requirement of the type is published"},
	{"cooling.altitude_factor", "", "an air requirement of the type is published"},
	{"cooling.airflow", "m³/s", always},
	{"cooling.pressure", "Pa", "an air requirement of the type is published"},
	{"cooling.rise", "K", "there is a blower, or may be one"},
	{"cooling.exit_temperature", "°C", "there is a blower, or may be one"},
	{"cooling.after_run", "s", "there is a blower, or may be one"},
	{"cooling.bench_inlet", "°C", "a temperature limit of seal or cooler is published"},
	{"cooling.base_temperature_limit", "°C", "the limit of the base seals is published"},
	{"cooling.base_reading_limit", "°C", "the limit of the base seals is published"},
	{"cooling.base_room", "K", "the seal's limit is published and air flows by it"},
	{"cooling.plate_temperature_limit", "°C", "the limit of plate seal or cooler is published"},
	{"cooling.plate_reading_limit", "°C", "the limit of plate seal or cooler is published"},
	{"cooling.plate_room", "K", "the seal's limit is published and air flows by it"},
	{"cooling.blower_airflow", "m³/s", "the spec gives the blower's airflow"},
	{"cooling.blower_data_pressure", "Pa", "the spec gives the blower's pressure"},
	{"cooling.airflow_moved", "m³/s", "the spec says what the blower moves"},
	{"cooling.blower_pressure", "Pa", "the spec gives one point of the blower's curve, by its data sheet"},
	{"cooling.rise_wanted", "K", "no air requirement of the type is published"},
	{"cooling.blower_free_airflow", "m³/s", "the spec gives the blower's free airflow"},
	{"cooling.blower_shut_off_pressure", "Pa", "the spec gives the pressure with the outlet closed"},
}

// What the stage cooling may find, besides parts beyond their ratings.
var coolingFindings = []string{
	"cooling.after_run",
	"cooling.base_seal",
	"cooling.beyond_sheet",
	"cooling.blower",
	"cooling.blower_pressure",
	"cooling.conduction",
	"cooling.no_published_air",
	"cooling.plate_seal",
	"cooling.radiation",
	"cooling.seal_limit",
}
