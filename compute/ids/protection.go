package ids

// What the stage protection enters, in order.
var protection = []Quantity{
	{"protection.plate_tune_up_factor", "", always},
	{"protection.plate_tune_up", "A", always},
	{"protection.plate_trip_wanted", "A", always},
	{"protection.tubes", "", "a plate rating or a plate-current or grid-current rating is known"},
	{"protection.plate_current_rating_each", "A", "a plate-current rating is known"},
	{"protection.plate_current_rating", "A", "a plate-current rating is known"},
	{"protection.plate_trip_within", "A", "a plate-current rating is known"},
	{"protection.plate_trip", "A", "there is a plate trip"},
	{"protection.plate_stop", "A", always},
	{"protection.grid_tune_up_factor", "", always},
	{"protection.grid_tune_up", "A", always},
	{"protection.grid_light", "A", "the tuning map shows a load too light"},
	{"protection.grid_light_ratio", "", always},
	{"protection.grid_trip_wanted", "A", always},
	{"protection.grid_current_rating_each", "A", "a grid-current rating is known"},
	{"protection.grid_current_rating", "A", "a grid-current rating is known"},
	{"protection.grid_trip_within", "A", "a grid-current rating is known"},
	{"protection.grid_trip", "A", "there is a grid trip"},
	{"protection.grid_stop", "A", always},
	{"protection.grid_trip_voltage", "V", "there is a grid trip"},
	{"protection.plate_rating_each", "W", "the plates are within their rating"},
	{"protection.output_least", "W", "the plates are within their rating"},
	{"protection.output_share_least", "%", "the plates are within their rating, and some output at that current exceeds it"},
}

// What the stage protection may find, besides parts beyond their ratings.
var protectionFindings = []string{
	"protection.grid_trip",
	"protection.interlock",
	"protection.plate_trip",
	"protection.trips",
}
