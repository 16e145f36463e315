// Package source is the bibliography: every published source, rule of the
// trade or circuit law that a formula, a method or a rating leans on, each
// named once. Files follow the subjects.
package source

import "anodebook/compute/ledger"

// What has no paper behind it.
var (
	CircuitLaws    = ledger.Source{Key: "circuit-laws", Title: "Definitions and circuit laws (Ohm, Kirchhoff, energy)", Known: ledger.Derived}
	CommonPractice = ledger.Source{Key: "common-practice", Title: "Common practice of the trade, no published source", Known: ledger.CommonPractice}
)

// Mark turns the mark of a data file, "read" or "memory", into how well the
// figure is known.
func Mark(word string) ledger.Known {
	if word == "read" {
		return ledger.Published
	}
	return ledger.FromMemory
}
