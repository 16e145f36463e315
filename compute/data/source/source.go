// Package source is the bibliography: every published source, rule of the
// trade or circuit law that a formula, a method or a rating leans on, each
// named once. Files follow the subjects.
package source

import (
	"fmt"
	"strconv"

	"anodebook/compute/ledger"
)

// What has no paper behind it.
var (
	CircuitLaws = ledger.Source{Key: "circuit-laws", Title: "Definitions and circuit laws (Ohm, Kirchhoff, energy)",
		Known: ledger.Derived}
	CommonPractice = ledger.Source{Key: "common-practice", Title: "Common practice of the trade, no published source",
		Known: ledger.CommonPractice}
)

// Mark turns the mark of a data file, "read", "memory" or "transcribed (n)"
// with n independent copies that agree, into how well the figure is known. Any
// other word is a slip in a data file that ships and stops the program; the
// tests of the data files read them all.
func Mark(word string) ledger.Known {
	switch word {
	case "read":
		return ledger.Published
	case "memory":
		return ledger.FromMemory
	}
	var copies int
	if _, err := fmt.Sscanf(word, "transcribed (%d)", &copies); err == nil && copies > 0 && word == fmt.Sprintf("transcribed (%d)",
		copies) {
		return ledger.Transcribed(copies)
	}
	panic("source: a data file knows a figure as " + strconv.Quote(word))
}
