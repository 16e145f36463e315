package ids

// What the stage suppressor enters, in order.
var suppressor = []Quantity{
	{"suppressor.highest_frequency", "Hz", always},
	{"suppressor.lead_inductance", "H", always},
	{"suppressor.output_capacitance", "F", always},
	{"suppressor.loop_capacitance", "F", always},
	{"suppressor.parasitic_frequency", "Hz", always},
	{"suppressor.loop_q_without", "", always},
	{"suppressor.circulating_current", "A", always},
	{"suppressor.lead_current_rms", "A", always},
	{"suppressor.input_capacitance", "F", always},
	{"suppressor.feedback_capacitance", "F", always},
	{"suppressor.grid_inductance", "H", always},
	{"suppressor.cathode_inductance", "H", always},
	{"suppressor.transconductance_idle", "S", always},
	{"suppressor.transconductance", "S", always},
	{"suppressor.grid_resonance", "Hz", always},
	{"suppressor.inductance", "H", always},
	{"suppressor.resistance", "Ω", always},
	{"suppressor.reactance", "Ω", always},
	{"suppressor.dissipation_each", "W", always},
	{"suppressor.damped_frequency", "Hz", always},
	{"suppressor.loop_q", "", always},
	{"suppressor.negative_resistance", "Ω", always},
	{"suppressor.negative_resistance_by_hand", "Ω", "the loop lies well below the grid's resonance"},
	{"suppressor.coil_reactance_damped", "Ω", always},
	{"suppressor.loop_resistance", "Ω", always},
	{"suppressor.negative_resistance_without", "Ω", always},
	{"suppressor.stability_margin_without", "", "the idling tube gives something back"},
	{"suppressor.stability_margin", "", "the tube gives something back"},
	{"suppressor.lead_length", "m", "the spec gives the plate lead's size, not its inductance"},
	{"suppressor.lead_diameter", "m", "the spec gives the plate lead's size, not its inductance"},
}

// What the stage suppressor may find, besides parts beyond their ratings.
var suppressorFindings = []string{
	"suppressor.estimate",
	"suppressor.grid_resonance",
	"suppressor.loop_q",
	"suppressor.loss",
	"suppressor.stability_margin",
}
