package setting

import "anodebook/compute/ledger"

// Plain returns the setter for text without markup: terminal, JSON, CSV,
// comparison.
func Plain(b *ledger.Book, lengths string) *Setter { return &Setter{Book: b, Inch: lengths == "inch"} }

// Finding is a finding in print.
type Finding struct {
	Severity   ledger.Severity
	ID, Stage  string
	Text       string   // one or two sentences
	Quantities []string // IDs
	Advice     string   // what to do about it; may be empty
}

// Findings sets the findings of the book, gravest first.
func (s *Setter) Findings() []Finding {
	sorted := s.Book.Sorted()
	out := make([]Finding, len(sorted))
	for i, f := range sorted {
		out[i] = Finding{f.Severity, f.ID, f.Stage, s.Sentence(f.Text), f.Quantities, s.Sentence(f.Advice)}
	}
	return out
}

// Part is a line of the parts list in print; its texts stand in place of the
// sentences of the part.
type Part struct {
	ledger.Part
	Value, Rating, Note string
}

// Parts sets the parts list.
func (s *Setter) Parts() []Part {
	out := make([]Part, len(s.Book.Parts))
	for i, p := range s.Book.Parts {
		out[i] = Part{p, s.Sentence(p.Value), s.Sentence(p.Rating), s.Sentence(p.Note)}
	}
	return out
}

// Assumption is an assumption in print.
type Assumption struct{ Key, Value, Reason string }

// Assumptions sets what the spec does not say.
func (s *Setter) Assumptions() []Assumption {
	out := make([]Assumption, len(s.Book.Assumptions))
	for i, a := range s.Book.Assumptions {
		out[i] = Assumption{a.Key, s.Sentence(a.Value), s.Sentence(a.Reason)}
	}
	return out
}
