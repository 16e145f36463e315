package ledger

import (
	"fmt"
	"strings"
)

// Known says how well a figure is known to the people who wrote it down.
type Known string

// The marks of a source, from strongest to weakest; Transcribed makes the one
// between Recomputed and FromMemory.
const (
	Published      Known = "published"       // read in a copy or reprint of the source
	Recomputed     Known = "recomputed"      // from memory, and reproduced by an independent computation
	FromMemory     Known = "from memory"     // of a published source that nobody here saw on paper
	CommonPractice Known = "common practice" // a rule of the trade with no published source behind it
	Derived        Known = "derived"         // follows from definitions or circuit laws alone
)

// transcription is the grade of every transcribed figure.
const transcription Known = "transcribed"

// Transcribed is the mark of a figure that somebody else copied out of the
// source named and that was read here in the copy; so many independent copies
// agree [1 and up]. One copy is little better than memory, two are more.
func Transcribed(copies int) Known {
	if copies == 1 {
		return transcription + " (1 copy)"
	}
	return transcription + Known(fmt.Sprintf(" (%d copies)", copies))
}

// Grade is the mark without the number of copies.
func (k Known) Grade() Known {
	if strings.HasPrefix(string(k), string(transcription)) {
		return transcription
	}
	return k
}

// Grades are the marks without numbers of copies, from strongest to weakest.
func Grades() []Known {
	return []Known{Published, Recomputed, transcription, FromMemory, CommonPractice, Derived}
}

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
