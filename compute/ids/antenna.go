package ids

// What the stage antenna enters, in order.
var antenna = []Quantity{
	{"antenna.tank_efficiency", "", always},
	{"antenna.output_target", "W", "the output is what the spec asks for"},
	{"antenna.output_power", "W", always},
	{"antenna.swr", "", always},
	{"antenna.BAND.power_limit", "W", "the rule set has a legal limit for the band"},
	{"antenna.BAND.connector_power_limit", "W", "the band's limit counts radiated power"},
	{"antenna.BAND.power_limit_segment", "W", "the rule set has a second limit for a segment of the band"},
	{"antenna.BAND.connector_power_limit_segment", "W", "the rule set has a second limit for a segment of the band"},
}

// What the stage antenna may find, besides parts beyond their ratings.
var antennaFindings = []string{
	"antenna.BAND.band_rule",
	"antenna.BAND.legal_power",
	"antenna.BAND.legal_power_segment",
	"antenna.BAND.power_limit",
}
