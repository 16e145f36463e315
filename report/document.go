// Package report writes the notebook: one Markdown document made from the
// computed design by templates, and from it the HTML page, the figures, the
// parts list and the machine-readable results. It computes nothing that a
// reader would call a result.
package report

import (
	"fmt"
	"maps"
	"strings"
	"sync"
	"text/template"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/report/page"
	"anodebook/report/setting"
	"anodebook/templates"
)

// Document is the report in its one form, with all that its renderings need.
type Document struct {
	Title    string
	Form     Form   // empty: the whole report
	Paper    string // one of Papers, or empty
	Markdown []byte
	Figures  map[string]string       // SVG by path, "figures/cycle.svg"
	Images   map[string]page.Image   // photographs by path, "photos/front.jpg"
	math     map[string]page.Formula // by TeX
	anchors  map[string]string       // by quantity ID
}

// HTML renders the document as one self-contained page.
func (d *Document) HTML() ([]byte, error) {
	return page.Render(d.Markdown, page.Assets{
		Title: d.Title, Language: "en", Math: d.math, Figures: d.Figures, Images: d.Images, Anchors: d.anchors,
		Form: string(d.Form), Paper: d.Paper,
		Footer: "Made by anodebook from the spec alone. The figures are estimates to be proved on the bench; local codes, the licence " +
			"and qualified people come first.",
	})
}

// writer collects what the templates write.
type writer struct {
	*compute.Design
	doc       *Document
	explained map[*ledger.Formula]string // derivation in which a formula was last shown in full
	methods   map[string]int             // number under which a method was described
	sources   map[string]ledger.Source
	given     map[place][]*ledger.Quantity // what goes into each derivation; nil before sort
	steps     map[place][]*ledger.Step     // in order
	sheets    []Schematic
	drawn     Circuit
	asked     []string      // figures that the text shows
	written   func() string // the text so far
	set       *setting.Setter
	short     bool // a short form: it has no derivations to link to
}

var parsed = sync.OnceValues(func() (*template.Template, error) {
	return template.New("report").Funcs((&writer{}).functions()).ParseFS(templates.FS, "report/*.md")
})

// Build writes the report of a design.
func Build(d *compute.Design) (*Document, error) {
	t, err := parsed()
	if err != nil {
		return nil, err
	}
	w := &writer{
		Design: d, explained: map[*ledger.Formula]string{}, sources: map[string]ledger.Source{}, methods: map[string]int{},
		doc: &Document{Title: title(d), math: map[string]page.Formula{}, anchors: map[string]string{}}, set: forReport(d),
	}
	// The figures are drawn while the text is written; the text only names them.
	drawn := make(chan error, 1)
	var figures map[string]string
	go func() {
		var err error
		figures, err = drawFigures(d)
		drawn <- err
	}()
	w.doc.Figures = map[string]string{}
	if err = w.drawSheets(); err != nil {
		return nil, err
	}
	w.drawWinding()
	t, err = t.Clone()
	if err != nil {
		return nil, err
	}
	var out strings.Builder
	out.Grow(768 << 10) // what five bands need, so that it need not grow by copies
	w.written = out.String
	if err := t.Funcs(w.functions()).ExecuteTemplate(&out, "report.md", w); err != nil {
		return nil, err
	}
	w.doc.Markdown = []byte(typography(squeeze(out.String())))
	if err := <-drawn; err != nil {
		return nil, err
	}
	maps.Copy(w.doc.Figures, figures)
	if err := w.missingFigures(); err != nil {
		return nil, err
	}
	if w.doc.Images, err = developPhotos(d); err != nil {
		return nil, err
	}
	return w.doc, nil
}

func title(d *compute.Design) string {
	if t := d.Spec.Notebook.Title.Value; t != "" {
		return strings.Join(strings.Fields(t), " ")
	}
	return fmt.Sprintf("%s with %s %s", article(d), countWord(d.Spec.Tubes.Count.N), d.Type.Name)
}

func article(*compute.Design) string { return "A grounded-grid amplifier" }

func countWord(n int) string {
	if n >= 1 && n <= 4 {
		return []string{"one", "two", "three", "four"}[n-1]
	}
	return fmt.Sprint(n)
}

// squeeze leaves no more than one empty line anywhere and ends with one line
// end, whatever the templates' white space.
func squeeze(s string) string {
	lines := strings.Split(s, "\n")
	out := lines[:0]
	blank := true
	for _, l := range lines {
		l = strings.TrimRight(l, " \t")
		if l == "" && blank {
			continue
		}
		blank = l == ""
		out = append(out, l)
	}
	return strings.TrimRight(strings.Join(out, "\n"), "\n") + "\n"
}
