package spec

// notes checks that each note has its section: the builder's words are never
// dropped without a word. The names themselves are read against the list of
// [note.NAME].
func (r *reader) notes() {
	for _, x := range []struct {
		section, table string
		written        int
	}{{"measured", "measured", len(r.spec.Measured)},
		{"readings", "reading", len(r.spec.Reading)}, {"survey", "survey", len(r.spec.Survey)}} {
		if n, ok := r.spec.Note[x.section]; ok && x.written == 0 {
			o := n.Text.Origin
			if o.Key == "" {
				o = Origin{Key: "note." + x.section, Position: r.at["note."+x.section]}
			}
			r.problem(o, "the report has no section "+x.section+" without a table ["+x.table+".NAME]",
				"put the note into another section, or write such a table")
		}
	}
}
