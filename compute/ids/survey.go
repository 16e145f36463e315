package ids

// What the stage survey enters, in order.
var survey = []Quantity{}

// What the stage survey may find, besides parts beyond their ratings.
var surveyFindings = []string{
	"survey.NAME",
	"survey.missing",
}
