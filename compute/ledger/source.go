package ledger

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
