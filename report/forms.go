package report

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/report/page"
	"anodebook/report/setting"
)

// Form is one of the shapes in which a notebook is written.
type Form string

// The forms.
const (
	Full    Form = "full"    // the whole report
	Article Form = "article" // two to three pages for a club newsletter
	Bench   Form = "bench"   // cards for bring-up and tune-up, each on a page of its own
)

// Forms lists the forms, the whole report first.
var Forms = []Form{Full, Article, Bench}

// Papers lists the papers that the style sheet can ask for.
var Papers = []string{"a4", "letter"}

// Options say how a notebook is written.
type Options struct {
	Forms []Form // short forms to write beside the report; Full may stand among them
	Paper string // one of Papers; empty leaves it to who prints
}

// name is the name of the form's files without their extension.
func (f Form) name() string {
	if f == Full || f == "" {
		return "report"
	}
	return string(f)
}

// formName is the form as the heading of the page says it.
var formName = map[Form]string{Article: "", Bench: ": bench cards"}

// Shorten writes a short form of a design whose whole report is made. It shows
// figures of the report and no derivation, so its numbers are plain text.
func Shorten(d *compute.Design, whole *Document, form Form) (*Document, error) {
	if form != Article && form != Bench {
		return nil, fmt.Errorf("report: no short form %q", form)
	}
	t, err := parsed()
	if err != nil {
		return nil, err
	}
	w := &writer{
		Design: d, explained: map[*ledger.Formula]string{}, sources: map[string]ledger.Source{}, methods: map[string]int{}, short: true,
		doc: &Document{Title: whole.Title + formName[form], Form: form, Paper: whole.Paper,
			Figures: maps.Clone(whole.Figures), Images: whole.Images, math: map[string]page.Formula{},
			anchors: map[string]string{}}, set: forReport(d),
	}
	if err = w.drawSheets(); err != nil {
		return nil, err
	}
	if t, err = t.Clone(); err != nil {
		return nil, err
	}
	var out strings.Builder
	if err := t.Funcs(w.functions()).ExecuteTemplate(&out, string(form)+".md", w); err != nil {
		return nil, err
	}
	w.doc.Markdown = []byte(typography(squeeze(out.String())))
	shown := map[string]bool{}
	for _, m := range shownFigure.FindAllSubmatch(w.doc.Markdown, -1) {
		shown[string(m[1])] = true
	}
	maps.DeleteFunc(w.doc.Figures, func(path, _ string) bool { return !shown[path] })
	for path, svg := range w.doc.Figures {
		w.doc.Figures[path] = unlinked(svg)
	}
	return w.doc, nil
}

var shownFigure = regexp.MustCompile(`\]\((figures/[^) ]+\.svg)\)`)

var partAnchor = regexp.MustCompile(`<a href="#part-[^"]*">|</a>`)

// unlinked takes the links to the parts list out of a circuit diagram.
func unlinked(svg string) string { return partAnchor.ReplaceAllString(svg, "") }

// twoColumns writes a table of quantities, two to a row; an ID that was not
// entered is left out where it ends in "?".
func (w *writer) twoColumns(ids ...string) (string, error) {
	var cells []string
	for _, id := range ids {
		q, err := w.number(id)
		if err != nil {
			return "", err
		}
		if q == nil {
			continue
		}
		cells = append(cells, fmt.Sprintf("%s | %s", bandWords(capital(q.Name)), w.link(q, w.text(q))))
	}
	if len(cells)%2 == 1 {
		cells = append(cells, " | ")
	}
	var b strings.Builder
	b.WriteString("| | | | |\n|:--|--:|:--|--:|\n")
	half := len(cells) / 2
	for i := range half {
		fmt.Fprintf(&b, "| %s | %s |\n", cells[i], cells[half+i])
	}
	return b.String(), nil
}

// BandList is the bands in words: "80, 40 and 10 m".
func (w *writer) BandList() string {
	var names []string
	for _, b := range w.Spec.Target.Bands.Values {
		names = append(names, strings.TrimSuffix(b, "m"))
	}
	return and(names) + " m"
}

// and joins words as a sentence does.
func and(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// learned is how many cautions the article tells of.
const learned = 5

// Learned tells the findings as an article does: all that exceeds, then the
// first caution of each stage, in prose.
func (w *writer) Learned() string {
	var exceeds, cautions []setting.Finding
	for _, f := range w.set.Findings() {
		switch f.Severity {
		case ledger.Exceeds:
			if n := len(exceeds); n == 0 || exceeds[n-1].Text != f.Text { // one stress, two limits
				exceeds = append(exceeds, f)
			}
		case ledger.Caution:
			cautions = append(cautions, f)
		}
	}
	var b strings.Builder
	switch len(exceeds) {
	case 0:
		b.WriteString("No part is asked for more than its rating, and no limit is passed.")
	case 1:
		b.WriteString("**The design must not be built as it stands:** one rating or limit is exceeded.")
	default:
		fmt.Fprintf(&b, "**The design must not be built as it stands:** %d ratings or limits are exceeded.", len(exceeds))
	}
	if len(exceeds) > 0 {
		b.WriteString("\n\n")
		for _, f := range exceeds {
			advice := f.Advice
			if len(exceeds) > 6 { // the notebook has the advice
				advice = ""
			}
			fmt.Fprintf(&b, "- %s\n", bandWords(strings.TrimSpace(f.Text+" "+advice)))
		}
		b.WriteString("\n")
	}
	told, stages := 0, map[string]bool{}
	var words []string
	for _, f := range cautions {
		if stages[f.Stage] || told == learned || len(exceeds) > 6 {
			continue
		}
		stages[f.Stage] = true
		told++
		words = append(words, fmt.Sprintf("**%s.** %s", sectionOf[f.Stage], bandWords(strings.TrimSpace(f.Text+" "+f.Advice))))
	}
	if told > 0 {
		fmt.Fprintf(&b, " The sums did turn up things that a builder would rather know before the first hole is drilled.\n\n%s\n",
			strings.Join(words, "\n\n"))
	}
	if rest := len(cautions) - told; rest > 0 {
		fmt.Fprintf(&b, "\n%s in the notebook, each with what to do about it.\n",
			plural(rest, "further caution stands", "further cautions stand"))
	}
	return b.String()
}

// ArticleSources lists where the figures of a short form come from.
func (w *writer) ArticleSources() string {
	var b strings.Builder
	for _, k := range slices.Sorted(maps.Keys(w.sources)) {
		s := w.sources[k]
		fmt.Fprintf(&b, "- %s (%s)\n", s.Title, s.Known)
	}
	return b.String()
}

// FirstMap is the first tuning map that could be drawn; its Figure is empty
// where there is none.
func (w *writer) FirstMap() TuneGroup {
	for _, g := range w.TuneGroups() {
		if g.Figure != "" {
			return g
		}
	}
	return TuneGroup{}
}

// TuneLog is an empty table of the bands, to be filled in by hand.
func (w *writer) TuneLog() string {
	var b strings.Builder
	b.WriteString("| band | tune, dial | load, dial | plate current | grid current | output | drive | date " +
		"|\n|:--|:--|:--|:--|:--|:--|:--|:--|\n")
	for _, band := range w.Spec.Target.Bands.Values {
		fmt.Fprintf(&b, "| %s | | | | | | | |\n", bandName(band))
	}
	return b.String()
}
