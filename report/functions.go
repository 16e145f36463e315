package report

import (
	"fmt"
	"slices"
	"sort"
	"strings"
	"text/template"

	"anodebook/compute/ledger"
	"anodebook/report/setting"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// functions are what the templates may call. Every number that a template
// shows comes through one of them.
func (w *writer) functions() template.FuncMap {
	return template.FuncMap{
		"q":          w.q,
		"have":       func(id string) bool { _, ok := w.Book.Lookup(id); return ok },
		"value":      func(id string) float64 { return w.Book.Get(id).Value },
		"show":       func(v float64, unit string) string { return quantity.Format(v, unit, 3) },
		"table":      w.table,
		"twoColumns": w.twoColumns,
		"perBand":    w.perBand,
		"derivation": w.derivation,
		"derivations": func(stage string) (string, error) {
			return w.bandDerivations(stage)
		},
		"ratings":     w.ratings,
		"findings":    w.findings,
		"parts":       w.parts,
		"note":        w.note,
		"photos":      w.photos,
		"figure":      w.figure,
		"plain":       func(t spec.Text) string { return escapePlain(t.Value) },
		"prose":       func(t spec.Text) string { return escapeProse(t.Value) },
		"bandName":    bandName,
		"bands":       func() []string { return w.Spec.Target.Bands.Values },
		"assumptions": w.assumptions,
		"sources":     w.sourceList,
		"symbols":     w.symbolList,
		"capital":     capital,
		"lower":       lower,
		"add":         func(a, b int) int { return a + b },
		"count":       countWord,
		"list":        func(a ...any) []any { return a },
	}
}

// q shows a quantity with three significant digits, linked to where it comes
// from.
func (w *writer) q(id string) (string, error) {
	q, ok := w.Book.Lookup(id)
	if !ok {
		return "", missing(id)
	}
	return w.link(q, w.text(q)), nil
}

func missing(id string) error {
	return fmt.Errorf("the report asks for the quantity %s, which no stage entered", id)
}

// number returns a quantity that a table names; one that was not entered is nil
// where its ID ends in "?", else an error.
func (w *writer) number(id string) (*ledger.Quantity, error) {
	id, optional := strings.CutSuffix(id, "?")
	if q, ok := w.Book.Lookup(id); ok || optional {
		return q, nil
	}
	return nil, missing(id)
}

// table writes a two-column table of quantities; an ID that was not entered is
// left out where it ends in "?".
func (w *writer) table(ids ...string) (string, error) {
	var b strings.Builder
	b.WriteString("| | |\n|:--|--:|\n")
	for _, id := range ids {
		q, err := w.number(id)
		if err != nil {
			return "", err
		}
		if q == nil {
			continue
		}
		fmt.Fprintf(&b, "| %s | %s |\n", bandWords(capital(q.Name)), w.link(q, w.text(q)))
	}
	return b.String(), nil
}

// perBand writes a table with a row for each band and a column for each
// quantity "stage.BAND.name"; columns are given as "name=Heading", and as
// "name?=Heading" where some bands, or all, may lack it. A column that no band
// has is left out.
func (w *writer) perBand(stage string, columns ...string) (string, error) {
	var b strings.Builder
	b.WriteString("| band |")
	rule := "|:--|"
	columns = slices.DeleteFunc(slices.Clone(columns), func(c string) bool {
		name, _, _ := strings.Cut(c, "=")
		return strings.HasSuffix(name, "?") && !slices.ContainsFunc(w.Spec.Target.Bands.Values, func(band string) bool {
			_, ok := w.Book.Lookup(stage + "." + band + "." + strings.TrimSuffix(name, "?"))
			return ok
		})
	})
	for _, c := range columns {
		_, head, ok := strings.Cut(c, "=")
		if !ok {
			return "", fmt.Errorf("column %q has no heading", c)
		}
		fmt.Fprintf(&b, " %s |", head)
		rule += "--:|"
	}
	b.WriteString("\n" + rule + "\n")
	for _, band := range w.Spec.Target.Bands.Values {
		fmt.Fprintf(&b, "| %s |", bandName(band))
		for _, c := range columns {
			name, _, _ := strings.Cut(c, "=")
			q, err := w.number(stage + "." + band + "." + name)
			if err != nil {
				return "", err
			}
			if q == nil {
				b.WriteString(" — |")
				continue
			}
			fmt.Fprintf(&b, " %s |", w.link(q, w.text(q)))
		}
		b.WriteString("\n")
	}
	return b.String(), nil
}

// bandDerivations writes the derivation of every band of a stage.
func (w *writer) bandDerivations(stage string) (string, error) {
	var b strings.Builder
	for _, band := range w.Spec.Target.Bands.Values {
		s, err := w.derivation(stage, band)
		if err != nil {
			return "", err
		}
		b.WriteString(s)
	}
	return b.String(), nil
}

// matches says whether a stage name is among those asked for; none asked for
// means all.
func matches(stage string, stages []string) bool {
	for _, s := range stages {
		if s == stage {
			return true
		}
	}
	return len(stages) == 0
}

// ratings writes the table of parts held against their stresses.
func (w *writer) ratings(stages ...string) string {
	var rows []ledger.Rating
	for _, r := range w.Book.Ratings {
		if matches(r.Stage, stages) {
			rows = append(rows, r)
		}
	}
	if len(rows) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString("| part | what | stress | rating | margin | wanted | verdict |\n|:--|:--|--:|--:|--:|--:|:--|\n")
	for _, r := range rows {
		what := r.Quantity
		if !r.Why.Empty() {
			what = w.set.Sentence(r.Why)
		}
		if r.Band != "" {
			what += ", " + bandName(r.Band)
		}
		stress := w.trade(r.Stress, r.Unit)
		if q, ok := w.Book.Lookup(r.StressID); ok {
			stress = w.link(q, stress)
		}
		margin := fmt.Sprintf("%.2f", r.Margin)
		if r.Margin >= 100 {
			margin = "> 100"
		}
		if r.Verdict == ledger.NotStated { // nothing was held against anything
			margin = "—"
		}
		fmt.Fprintf(&b, "| %s %s | %s | %s | %s | %s | %.2f | %s |\n", r.Part, r.Name, what, stress,
			w.trade(r.Rating, r.Unit), margin, r.RequiredFactor, verdict(r.Verdict))
	}
	return b.String()
}

func verdict(v ledger.Verdict) string {
	switch v {
	case ledger.ExceedsRating, ledger.Thin:
		return "**" + string(v) + "**"
	}
	return string(v)
}

// findings writes the findings of some stages as warnings.
func (w *writer) findings(stages ...string) string {
	var b strings.Builder
	for _, f := range w.set.Findings() {
		if !matches(f.Stage, stages) {
			continue
		}
		head := map[ledger.Severity]string{ledger.Exceeds: "Danger:", ledger.Caution: "Caution:", ledger.Note: "Note:"}[f.Severity]
		fmt.Fprintf(&b, "> **%s** %s", head, bandWords(f.Text))
		if f.Advice != "" {
			fmt.Fprintf(&b, " %s", bandWords(f.Advice))
		}
		b.WriteString("\n\n")
	}
	return b.String()
}

// parts writes the parts list of some stages.
func (w *writer) parts(stages ...string) string {
	var rows []setting.Part
	for _, p := range w.set.Parts() {
		if matches(p.Stage, stages) {
			rows = append(rows, p)
		}
	}
	if len(rows) == 0 {
		return ""
	}
	var b strings.Builder
	priced := len(stages) == 0 && addUp(w.Design).priced > 0 // in the list of all parts
	head, rule := "| part | pieces | what | value | must stand | note |", "|:--|--:|:--|:--|:--|:--|"
	if priced {
		head, rule = head+" price |", rule+"--:|"
	}
	b.WriteString(head + "\n" + rule + "\n")
	for _, p := range rows {
		have := "to buy"
		if p.Given {
			have = "at hand"
		}
		note := p.Note
		if note != "" {
			note = "; " + note
		}
		fmt.Fprintf(&b, "| %s | %d | %s | %s | %s | %s%s |", p.Designator, p.Count, bandWords(p.Name), bandWords(p.Value), p.Rating,
			have, bandWords(note))
		if priced {
			price := "—"
			if p.Price > 0 {
				price = fmt.Sprintf("%.2f", priceOf(p.Part))
			}
			fmt.Fprintf(&b, " %s |", price)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// note places the builder's own words and pictures in a section.
func (w *writer) note(section string) string {
	n, ok := w.Spec.Note[section]
	if !ok || n.Text.Value == "" {
		return w.photos(section)
	}
	return escapeProse(n.Text.Value) + "\n" + w.photos(section)
}

// figure places a figure, which may still be in the drawing.
func (w *writer) figure(name, caption string) string {
	path := "figures/" + name + ".svg"
	w.asked = append(w.asked, path)
	return fmt.Sprintf("![%s](%s)", caption, path)
}

// missingFigures says which of the figures that the text shows do not exist.
func (w *writer) missingFigures() error {
	for _, path := range w.asked {
		if _, ok := w.doc.Figures[path]; !ok {
			return fmt.Errorf("no figure %s", path)
		}
	}
	return nil
}

// assumptions lists what the spec does not say.
func (w *writer) assumptions() string {
	var b strings.Builder
	b.WriteString("| key | value taken | why |\n|:--|:--|:--|\n")
	for _, a := range w.set.Assumptions() {
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", a.Key, escapePlain(a.Value), a.Reason)
	}
	return b.String()
}

// sourceList lists the sources that the derivations above have cited.
func (w *writer) sourceList() string {
	var keys []string
	for k := range w.sources {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	var b strings.Builder
	b.WriteString("| source | how known |\n|:--|:--|\n")
	for _, k := range keys {
		s := w.sources[k]
		fmt.Fprintf(&b, "| %s | %s |\n", s.Title, s.Known)
	}
	return b.String()
}

// symbolList explains every symbol of the formulas that were shown.
func (w *writer) symbolList() string {
	type row struct{ name, unit, mean string }
	seen := map[string]bool{}
	var rows []row
	for _, s := range w.Book.Steps {
		if s.Formula == nil || w.explained[s.Formula] == "" {
			continue
		}
		for _, sym := range append([]ledger.Symbol{s.Formula.Result}, s.Formula.Inputs...) {
			k := sym.Name + "\x00" + sym.Mean
			if !seen[k] {
				seen[k] = true
				rows = append(rows, row{sym.Name, sym.Unit, sym.Mean})
			}
		}
	}
	sort.SliceStable(rows, func(i, j int) bool {
		a, b := strings.ToLower(rows[i].name), strings.ToLower(rows[j].name)
		if a != b {
			return a < b
		}
		if rows[i].name != rows[j].name {
			return rows[i].name < rows[j].name
		}
		if rows[i].unit != rows[j].unit {
			return rows[i].unit < rows[j].unit
		}
		return rows[i].mean < rows[j].mean
	})
	merged := rows[:0] // a letter that means several things in one unit has one row
	for _, r := range rows {
		if n := len(merged); n > 0 && merged[n-1].name == r.name && merged[n-1].unit == r.unit {
			merged[n-1].mean += "; " + r.mean
			continue
		}
		merged = append(merged, r)
	}
	var b strings.Builder
	b.WriteString("| symbol | meaning | unit |\n|:--|:--|:--|\n")
	for _, r := range merged {
		unit := r.unit
		if unit == "" {
			unit = "1"
		}
		fmt.Fprintf(&b, "| %s | %s | %s |\n", w.inline(ledger.TypesetSymbol(r.name)), r.mean, unit)
	}
	return b.String()
}
