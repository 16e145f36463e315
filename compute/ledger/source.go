package ledger

import "strings"

// Known says how well a figure is known to the people who wrote it down.
type Known string

// The marks of a source, from strongest to weakest.
const (
	Published      Known = "published"       // read in a copy or reprint of the source
	Recomputed     Known = "recomputed"      // from memory, and reproduced by an independent computation
	FromMemory     Known = "from memory"     // of a published source that nobody here saw on paper
	CommonPractice Known = "common practice" // a rule of the trade with no published source behind it
	Derived        Known = "derived"         // follows from definitions or circuit laws alone
)

// Source tells where a formula or a figure comes from.
type Source struct {
	Key   string // short, stable, unique: "terman-1943"
	Title string // as in a list of sources
	Known Known
}

// Short names the source in a few words, for a citation in a text.
func (s Source) Short() string {
	switch s.Known {
	case CommonPractice, Derived:
		return strings.ReplaceAll(s.Key, "-", " ")
	}
	title, _, _ := strings.Cut(s.Title, ",")
	if len(title) > 48 {
		title = strings.ReplaceAll(s.Key, "-", " ")
	}
	return title
}
