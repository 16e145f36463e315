package spec

import (
	"fmt"
	"sort"
	"strings"

	"github.com/agnivade/levenshtein"
)

// Problem is one thing wrong with a spec.
type Problem struct {
	File string
	Position
	Key  string
	What string // what is wrong, lower case, no full stop
	Hint string // what to write instead; may be empty
}

// Error writes the problem without its hint, on one line whatever the builder
// wrote: "file:line:col: key: what".
func (p Problem) Error() string {
	s := fmt.Sprintf("%s:%d:%d: ", p.File, p.Line, p.Column)
	if p.Key != "" {
		key := p.Key
		if r := []rune(key); len(r) > 80 {
			key = string(r[:77]) + "…"
		}
		s += key + ": "
	}
	return strings.ReplaceAll(s+p.What, "\n", "\ufffd")
}

// Problems is all that is wrong with a spec, in the order of the file.
type Problems []Problem

// MostShown is how many problems of one file are told. Where there are more,
// one slip of the pen is usually behind them, and nobody reads the rest.
const MostShown = 50

// Shown are the problems to be told, and how many more there are.
func (ps Problems) Shown() (first Problems, more int) {
	n := min(len(ps), MostShown)
	return ps[:n], len(ps) - n
}

// More is the line after the last problem that is told.
func More(n int) string { return fmt.Sprintf("and %d more; mend the first ones, then look again", n) }

// Error joins the problems to be told, one to a line.
func (ps Problems) Error() string {
	var lines []string
	first, more := ps.Shown()
	for _, p := range first {
		lines = append(lines, p.Error())
	}
	if more > 0 {
		lines = append(lines, More(more))
	}
	return strings.Join(lines, "\n")
}

// sorted orders the problems as the file does; those of one place keep the
// order of the format.
func (ps Problems) sorted() Problems {
	sort.SliceStable(ps, func(i, j int) bool {
		a, b := ps[i], ps[j]
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Column < b.Column
	})
	return ps
}

// suggest finds the word of a list that was probably meant, or "".
func suggest(word string, list []string) string {
	best, cost := "", 1+len([]rune(word))/3
	lower := strings.ToLower(strings.ReplaceAll(word, "-", "_"))
	for _, w := range list {
		l := strings.ToLower(strings.ReplaceAll(w, "-", "_"))
		if d := levenshtein.ComputeDistance(lower, l); d < cost || d == cost && best == "" {
			best, cost = w, d
		}
	}
	return best
}

// resembles says that a suggestion is more than a word of the same length:
// where both begin with a number, the number must agree but for one digit
// that is missing or a wrong separator.
func resembles(word, found string) bool {
	digits := func(s string) string {
		return strings.Map(func(r rune) rune {
			if r < '0' || r > '9' {
				return -1
			}
			return r
		}, s)
	}
	d := digits(word)
	return d == "" || d == digits(found)
}

// listing joins words for a message, with "or" before the last.
func listing(words []string) string {
	switch len(words) {
	case 0:
		return "nothing"
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
