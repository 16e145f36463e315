package ids

// What the stage readings enters, in order.
var readings = []Quantity{}

// What the stage readings may find, besides parts beyond their ratings.
var readingsFindings = []string{
	"readings.WHEN.agree",
	"readings.WHEN.cause",
	"readings.agree",
	"readings.cause",
}
