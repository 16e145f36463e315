package spec

import (
	"slices"
	"strings"
)

// NoteSections are the sections of the report that a note can stand in, in
// their order.
var NoteSections = []string{"safety", "tubes", "bias", "input", "filament", "plate_feed", "suppressor", "tank", "switching", "supply", "metering", "cooling",
	"exposure", "clearance", "tune_up", "bring_up", "measured", "readings", "survey"}

// notes checks that each note has its section: the builder's words are never
// dropped without a word.
func (r *reader) notes() {
	written := map[string]bool{"measured": len(r.spec.Measured) > 0, "readings": len(r.spec.Reading) > 0, "survey": len(r.spec.Survey) > 0}
	table := map[string]string{"measured": "measured", "readings": "reading", "survey": "survey"}
	for _, name := range sortedKeys(r.spec.Note) {
		key := "note." + name
		o := Origin{Key: key, Position: r.at[key]}
		if !slices.Contains(NoteSections, name) {
			hint := "a note stands in one of: " + strings.Join(NoteSections, ", ")
			if near := suggest(name, NoteSections); near != "" {
				hint = "did you mean [note." + near + "]?"
			}
			r.problem(o, "the report has no section "+quote(name), hint)
			continue
		}
		if has, depends := written[name]; depends && !has {
			r.problem(o, "the report has no section "+name+" without a table ["+table[name]+".NAME]", "put the note into another section, or write such a table")
		}
	}
}
