package ids

// What the stage switching enters, in order.
var switching = []Quantity{
	{"switching.line_impedance", "Ω", always},
	{"switching.antenna_current", "A", always},
	{"switching.antenna_voltage_peak", "V", always},
	{"switching.drive_power", "W", always},
	{"switching.input_current", "A", always},
	{"switching.input_voltage_peak", "V", always},
	{"switching.open_voltage_peak", "V", always},
	{"switching.operate_time", "s", always},
	{"switching.release_time", "s", always},
	{"switching.coil_voltage", "V", always},
	{"switching.coil_current", "A", always},
	{"switching.guard_time", "s", always},
	{"switching.coil_time_constant", "s", always},
	{"switching.release_share", "", always},
	{"switching.diode_voltage", "V", always},
	{"switching.release_delay_diode", "s", always},
	{"switching.release_delay_zener", "s", always},
	{"switching.keying_voltage", "V", always},
	{"switching.snubber_resistance", "Ω", always},
	{"switching.snubber_capacitance", "F", always},
	{"switching.transmit_delay", "s", always},
	{"switching.receive_delay", "s", always},
	{"switching.hot_switch_margin", "s", always},
	{"switching.release_margin", "s", always},
	{"switching.exciter_delay", "s", "the spec gives the exciter's delay"},
}

// What the stage switching may find, besides parts beyond their ratings.
var switchingFindings = []string{
	"switching.coil_suppression",
	"switching.exciter_delay",
	"switching.hot_switching",
}
