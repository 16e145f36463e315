package ids

// What the stage measured enters for each measurement of the spec, in order.
var measured = []Quantity{
	{"measured.NAME.series_resonance_N", "Hz", "the plate choke was measured and has so many series resonances"},
	{"measured.NAME.deviation", "", "the measurement covers part of the band"},
	{"measured.NAME.resistance", "Ω", "one port was measured in the middle of the band"},
	{"measured.NAME.reactance", "Ω", "one port was measured in the middle of the band"},
	{"measured.NAME.resistance_computed", "Ω", "one port was measured in the middle of the band"},
	{"measured.NAME.reactance_computed", "Ω", "one port was measured in the middle of the band"},
	{"measured.NAME.frequency", "Hz", "the port is that of plates or cathodes"},
	{"measured.NAME.susceptance", "S", "the port is that of plates or cathodes"},
	{"measured.NAME.susceptance_computed", "S", "the port is that of plates or cathodes"},
	{"measured.NAME.capacitance_by_hand", "F", "the port is that of plates or cathodes"},
	{"measured.NAME.plate_capacitance", "F", "this change explains a measured tank"},
	{"measured.NAME.coil_change", "%", "this change explains a measured tank or input network"},
	{"measured.NAME.load_capacitance", "F", "this change explains a measured tank"},
	{"measured.NAME.coil_loss", "Ω", "this change explains a measured tank or input network"},
	{"measured.NAME.output_coil_change", "%", "this change explains a measured pi-L tank"},
	{"measured.NAME.cathode_capacitance", "F", "this change explains a measured input network"},
	{"measured.NAME.input_capacitance", "F", "this change explains a measured input network"},
	{"measured.NAME.choke_change", "%", "this change explains a measured plate choke"},
	{"measured.NAME.resonance_shift", "%", "this change explains a measured plate choke"},
}

// What the stage measured may find.
var measuredFindings = []string{
	"measured.NAME.absent",
	"measured.NAME.bands",
	"measured.NAME.deviation",
	"measured.NAME.not_passive",
	"measured.NAME.series_resonance",
	"measured.NAME.span",
}
