package ids

// What the stage tune_up enters, in order.
var tuneUp = []Quantity{
	{"tune_up.grid_room", "A", "the steps of a tune-up can be computed"},
	{"tune_up.plate_current_eighth", "A", "the steps of a tune-up can be computed"},
	{"tune_up.grid_current_eighth", "A", "the steps of a tune-up can be computed"},
	{"tune_up.output_eighth", "W", "the steps of a tune-up can be computed"},
	{"tune_up.plate_current_quarter", "A", "the steps of a tune-up can be computed"},
	{"tune_up.grid_current_quarter", "A", "the steps of a tune-up can be computed"},
	{"tune_up.output_quarter", "W", "the steps of a tune-up can be computed"},
	{"tune_up.plate_current_half", "A", "the steps of a tune-up can be computed"},
	{"tune_up.grid_current_half", "A", "the steps of a tune-up can be computed"},
	{"tune_up.output_half", "W", "the steps of a tune-up can be computed"},
}

// What the stage tune_up may find, besides parts beyond their ratings.
var tuneUpFindings = []string{}
