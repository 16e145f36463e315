package report

import (
	"fmt"
	"slices"
	"strings"

	"anodebook/compute/ledger"
	"anodebook/report/page"
	"anodebook/spec"
)

// heading of the derivation that a quantity belongs to.
func derivationHeading(stage, band string) string {
	name := stageNames[stage]
	if name == "" {
		name = strings.ReplaceAll(stage, "_", " ")
	}
	if band != "" {
		return fmt.Sprintf("Derivation: %s on %s m", name, strings.TrimSuffix(band, "m"))
	}
	return "Derivation: " + name
}

// stageNames are the stages in words, as in the headings of the derivations.
var stageNames = map[string]string{
	"tubes": "tubes", "input": "input network", "filament": "filament", "bias": "bias", "tank": "tank",
	"plate_feed": "plate feed", "suppressor": "parasitic suppressors", "switching": "transmit-receive switching",
	"supply": "high-voltage supply", "metering": "metering", "protection": "protection", "cooling": "cooling",
	"exposure": "exposure", "clearance": "clearance and creepage", "bring_up": "bring-up", "tune_up": "tune-up", "antenna": "output",
	"measured": "measured parts",
}

// bandWords writes the bands of a text as the trade prints them: "80 m". An
// expression would be the slowest part of a derivation.
func bandWords(s string) string {
	var b strings.Builder
	from := 0 // what is before is written
	for at := 1; at < len(s); at++ {
		if s[at] != 'm' || !digit(s[at-1]) || at+1 < len(s) && isWord(s[at+1]) {
			continue
		}
		start := at
		for start > 0 && digit(s[start-1]) {
			start--
		}
		if (start == 0 || !isWord(s[start-1])) && slices.Contains(spec.BandNames, s[start:at+1]) {
			b.WriteString(s[from:at])
			b.WriteString("\u00a0")
			from = at
		}
	}
	if from == 0 {
		return s
	}
	b.WriteString(s[from:])
	return b.String()
}

// isWord is a letter, digit or low line of ASCII.
func isWord(c byte) bool {
	return digit(c) || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '_'
}

func bandName(b string) string { return strings.TrimSuffix(b, "m") + "\u00a0m" }

// splitID gives stage and band of a quantity ID.
func splitID(id string) (stage, band string) {
	stage, rest, _ := strings.Cut(id, ".")
	if b, name, ok := strings.Cut(rest, "."); ok && !strings.Contains(name, ".") && slices.Contains(spec.BandNames, b) {
		band = b
	}
	return stage, band
}

// link writes a quantity as a link to its derivation or its origin.
func (w *writer) link(q *ledger.Quantity, text string) string {
	if w.short {
		if q.Step != nil {
			w.sources[q.Step.Source.Key] = q.Step.Source
		}
		return text
	}
	stage, band := splitID(q.ID)
	switch {
	case q.Step != nil:
		return fmt.Sprintf(`[%s](#%s "%s")`, text, page.Slug(derivationHeading(stage, band)), q.ID)
	case q.From == ledger.FromAssumed:
		return fmt.Sprintf(`[%s](#assumptions "%s")`, text, q.ID)
	}
	return text
}

// place is where a quantity belongs.
type place struct{ stage, band string }

// sort puts quantities and steps where their derivations find them.
func (w *writer) sort() {
	if w.given != nil {
		return
	}
	w.given, w.steps = map[place][]*ledger.Quantity{}, map[place][]*ledger.Step{}
	for _, q := range w.Book.Quantities() {
		if q.Step == nil {
			s, b := splitID(q.ID)
			w.given[place{s, b}] = append(w.given[place{s, b}], q)
		}
	}
	for _, x := range w.Book.Steps {
		s, b := splitID(x.ID)
		w.steps[place{s, b}] = append(w.steps[place{s, b}], x)
	}
}

// derivation writes all steps of one stage, or of one band of it.
func (w *writer) derivation(stage, band string) (string, error) {
	var b strings.Builder
	w.sort()
	given := w.given[place{stage, band}]
	fmt.Fprintf(&b, "#### %s\n\n", derivationHeading(stage, band))
	if len(given) > 0 {
		b.WriteString("What goes in:\n\n| quantity | value | from |\n|:--|--:|:--|\n")
		for _, q := range given {
			fmt.Fprintf(&b, "| %s | %s | %s |\n", bandWords(capital(q.Name)), q.Precise(), w.origin(q))
		}
		b.WriteString("\n")
	}
	var rows []*ledger.Step // by methods that were described before
	flush := func() {
		w.knownMethods(&b, rows)
		rows = nil
	}
	for _, s := range w.steps[place{stage, band}] {
		if s.Formula == nil && w.methods[w.set.Sentence(s.Method)] > 0 {
			rows = append(rows, s)
			continue
		}
		flush()
		w.step(&b, s)
	}
	flush()
	return b.String(), nil
}

// knownMethods writes steps whose methods were described before, as a table.
func (w *writer) knownMethods(b *strings.Builder, steps []*ledger.Step) {
	if len(steps) == 0 {
		return
	}
	b.WriteString("| quantity | value | by | from |\n|:--|--:|:--|:--|\n")
	last := ""
	for _, s := range steps {
		w.sources[s.Source.Key] = s.Source
		from := w.inputs(s)
		shown := from
		if from != "" && from == last {
			shown = "the same"
		}
		last = from
		fmt.Fprintf(b, "| %s | %s | method %d | %s |\n", bandWords(capital(s.Result.Name)), s.Result.Precise(),
			w.methods[w.set.Sentence(s.Method)], shown)
	}
	b.WriteString("\n")
}

// inputs lists what went into a step, with links.
func (w *writer) inputs(s *ledger.Step) string {
	var parts []string
	for _, q := range s.Inputs {
		parts = append(parts, bandWords(lower(q.Name))+" "+w.link(q, q.Precise()))
	}
	return strings.Join(parts, "; ")
}

// origin tells where a number that was not computed comes from.
func (w *writer) origin(q *ledger.Quantity) string {
	switch q.From {
	case ledger.FromSpec:
		return "spec, " + escapePlain(q.Where)
	case ledger.FromAssumed:
		return "[assumed](#assumptions), `" + q.Where + "`"
	case ledger.FromCatalogue:
		return "catalogue: " + escapePlain(q.Where)
	}
	return "computed"
}

func (w *writer) step(b *strings.Builder, s *ledger.Step) {
	w.sources[s.Source.Key] = s.Source
	if s.Formula == nil {
		w.methods[w.set.Sentence(s.Method)] = len(w.methods) + 1
		fmt.Fprintf(b, "**%s: %s.** *Method %d.* %s", bandWords(capital(s.Result.Name)), s.Result.Precise(),
			w.methods[w.set.Sentence(s.Method)], bandWords(w.set.Sentence(s.Method)))
		if len(s.Inputs) > 0 {
			fmt.Fprintf(b, " From %s.", w.inputs(s))
		}
		fmt.Fprintf(b, " %s\n\n", w.cite(s.Source))
		return
	}
	stage, _ := splitID(s.ID)
	full := w.explained[s.Formula] != stage
	fmt.Fprintf(b, "**%s.**", bandWords(capital(s.Result.Name)))
	if full {
		w.explained[s.Formula] = stage
		t := s.Formula.Typeset()
		fmt.Fprintf(b, " %s\n\n%s\n\nwhere ", w.cite(s.Source), w.display(t, ""))
		for i, sym := range s.Formula.Inputs {
			if i > 0 {
				b.WriteString("; ")
			}
			fmt.Fprintf(b, "%s is %s", w.inline(symbolOf(sym.Name)), sym.Mean)
		}
		fmt.Fprintf(b, ":\n\n")
	} else {
		b.WriteString("\n\n")
	}
	anchor := "step-" + s.ID
	t := s.Substitute()
	fmt.Fprintf(b, "%s\n\n", w.display(t, anchor))
	w.doc.anchors[s.Result.ID] = anchor
	if !s.Note.Empty() {
		fmt.Fprintf(b, "%s\n\n", w.set.Sentence(s.Note))
	}
}

func symbolOf(name string) ledger.Typeset { return ledger.TypesetSymbol(name) }

// display registers a formula and writes it as a block.
func (w *writer) display(t ledger.Typeset, anchor string) string {
	f := w.doc.math[t.TeX]
	f.MathML = t.MathML
	if anchor != "" {
		if f.Anchor != "" {
			f.Anchor += " "
		}
		f.Anchor += anchor
	}
	w.doc.math[t.TeX] = f
	return "$$" + t.TeX + "$$"
}

// inline registers a formula and writes it within a line.
func (w *writer) inline(t ledger.Typeset) string {
	f := w.doc.math[t.TeX]
	f.MathML = t.MathML
	w.doc.math[t.TeX] = f
	return "$" + t.TeX + "$"
}

// cite names the source of a step, short, with a link to the list of sources.
func (w *writer) cite(s ledger.Source) string {
	w.sources[s.Key] = s
	return fmt.Sprintf("([%s](#sources))", s.Short())
}

func capital(s string) string {
	for i, r := range s {
		return strings.ToUpper(string(r)) + s[i+len(string(r)):]
	}
	return s
}

// lower puts a name into the middle of a sentence, leaving abbreviations and
// symbols as they are.
func lower(s string) string {
	r := []rune(s)
	if len(r) > 1 && r[0] >= 'A' && r[0] <= 'Z' && r[1] >= 'a' && r[1] <= 'z' {
		return strings.ToLower(string(r[0])) + string(r[1:])
	}
	return s
}
