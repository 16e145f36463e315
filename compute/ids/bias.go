package ids

// What the stage bias enters, in order.
var bias = []Quantity{
	{"bias.device_current", "A", always},
	{"bias.dissipation", "W", always},
	{"bias.dissipation_idle", "W", always},
	{"bias.zener_rise_share", "%", "a zener makes the bias and the tubes idle below full current"},
	{"bias.voltage_rise", "V", "a zener makes the bias and the tubes idle below full current"},
	{"bias.junction_temperature", "°C", "a zener or transistor makes the bias"},
	{"bias.cabinet_temperature", "°C", "a zener or transistor makes the bias"},
	{"bias.junction_to_case", "K/W", "a zener or transistor makes the bias"},
	{"bias.case_to_sink", "K/W", "a zener or transistor makes the bias"},
	{"bias.heat_sink", "K/W", "a zener or transistor makes the bias"},
	{"bias.cutoff_resistor", "Ω", always},
	{"bias.standby_current", "A", always},
	{"bias.standby_voltage", "V", always},
	{"bias.cutoff_power", "W", always},
	{"bias.open_voltage", "V", always},
	{"bias.shorted_voltage", "V", "a device makes the bias"},
	{"bias.tubes", "", "a device makes the bias"},
	{"bias.shorted_current", "A", "a device makes the bias"},
	{"bias.shorted_dissipation_each", "W", "a device makes the bias"},
	{"bias.diode_count", "", "a diode string makes the bias"},
	{"bias.diode_forward_voltage", "V", "a diode string makes the bias"},
	{"bias.string_voltage", "V", "a diode string makes the bias"},
	{"bias.base_emitter_voltage", "V", "a transistor makes the bias"},
	{"bias.reference_voltage", "V", "a transistor makes the bias"},
	{"bias.current_gain", "", "a transistor makes the bias"},
	{"bias.base_current", "A", "a transistor makes the bias"},
}

// What the stage bias may find, besides parts beyond their ratings.
var biasFindings = []string{
	"bias.device",
	"bias.device_voltage",
	"bias.failure",
	"bias.heat_sink",
	"bias.standby",
}
