package compare

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"anodebook/compute/ledger"
	"anodebook/report/page"
	"anodebook/spec/quantity"
)

// Options are what a rendering leaves out.
type Options struct {
	// Limit is how many of the results that moved are listed, the foremost
	// first; the others are counted. 0 lists all.
	Limit int
}

// shown splits the results into those listed and the number of the others.
func (c *Comparison) shown(o Options) ([]Result, int) {
	if o.Limit <= 0 || len(c.Results) <= o.Limit {
		return c.Results, 0
	}
	return c.Results[:o.Limit], len(c.Results) - o.Limit
}

// threshold in words.
func (c *Comparison) threshold() string {
	return quantity.Short(100*c.Threshold, 3) + "\u00a0%"
}

// summary is the comparison in one sentence.
func (c *Comparison) summary() string {
	if !c.Different() {
		s := "The results are the same"
		if c.Below > 0 {
			s += fmt.Sprintf(" within %s", c.threshold())
		}
		return s + "."
	}
	moved := "no result"
	if n := len(c.Results); n > 0 {
		moved = count(n, "result")
	}
	return fmt.Sprintf("%s moved by more than %s; %s crossed; %s new, %s gone; %s.",
		moved, c.threshold(), count(len(c.Ratings), "rating"), count(len(c.Come), "finding"), fmt.Sprint(len(c.Gone)),
		count(len(c.Parts), "change")+" in the parts list")
}

func count(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// lines names the places of a change: "line 4", "line 4 → 7".
func (c Change) lines() string {
	switch {
	case c.OldLine > 0 && c.NewLine > 0 && c.OldLine != c.NewLine:
		return fmt.Sprintf("%d\u00a0→\u00a0%d", c.OldLine, c.NewLine)
	case c.NewLine > 0:
		return fmt.Sprint(c.NewLine)
	}
	return fmt.Sprint(c.OldLine)
}

// sides are the two values in words, and a remark.
func (c Change) sides() (before, after, remark string) {
	value := func(text string, line int) string {
		switch {
		case text == "" && line == 0:
			return "not written"
		case text == "":
			return "empty"
		case line == 0:
			return short(text) + " (assumed)"
		}
		return short(text)
	}
	if c.Renamed != "" {
		return c.Renamed, c.Key, "another name, the same contents"
	}
	if c.Same {
		remark = "the same value"
	}
	return value(c.Old, c.OldLine), value(c.New, c.NewLine), remark
}

// short cuts a text of the builder's that is too long for a table.
func short(s string) string {
	const most = 80
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return strings.TrimRight(string([]rune(s)[:most-1]), `\`) + "…"
}

func (c Crossing) what() string {
	s := fmt.Sprintf("%s (%s), %s", c.Name, c.Part, c.Quantity)
	if c.Band != "" {
		s += " on " + c.Band
	}
	return s
}

func side(v ledger.Verdict, stress, rating, margin float64, unit string) string {
	if v == "" {
		return "not held against a rating"
	}
	return fmt.Sprintf("%s: %s of %s, margin %s", v, quantity.Format(stress, unit, 3), quantity.Format(rating, unit, 3),
		quantity.Significant(margin, 3))
}

func (c Crossing) sides() (before, after string) {
	return side(c.OldVerdict, c.OldStress, c.OldRating, c.OldMargin, c.Unit), side(c.NewVerdict, c.NewStress, c.NewRating, c.NewMargin,
		c.Unit)
}

// name is what the part is called, on the new side where it is there.
func (p Part) name() string {
	if p.New != nil {
		return p.New.Name
	}
	return p.Old.Name
}

// sides are what differs of the part, in words.
func (p Part) sides() (before, after string) {
	if p.Old == nil {
		return "not needed", text(p.New, false, true)
	}
	if p.New == nil {
		return text(p.Old, false, true), "not needed"
	}
	o, n := *p.Old, *p.New
	if o.Value == n.Value && o.Rating != n.Rating {
		o.Value, n.Value = "", ""
	}
	if o.Rating == n.Rating && o.Value != n.Value {
		o.Rating, n.Rating = "", ""
	}
	named, counted := o.Name != n.Name, o.Count != n.Count
	return text(&o, named, counted), text(&n, named, counted)
}

func groupWords(gs []Group) string {
	var parts []string
	for _, g := range gs {
		parts = append(parts, fmt.Sprintf("%s (%d)", g.Name, g.Count))
	}
	return strings.Join(parts, ", ")
}

// Terminal writes the comparison as plain text. It is a stranger's text in
// part: the caller keeps control characters off the terminal.
func (c *Comparison) Terminal(w io.Writer, o Options) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s → %s\n%s\n", c.Old.Name, c.New.Name, c.summary())
	if len(c.Spec) > 0 {
		b.WriteString("\nspec\n")
		for _, x := range c.Spec {
			before, after, remark := x.sides()
			if remark != "" {
				remark = "  (" + remark + ")"
			}
			fmt.Fprintf(&b, "  line %-9s %s: %s → %s%s\n", x.lines(), x.Key, before, after, remark)
		}
	}
	if len(c.Ratings) > 0 {
		b.WriteString("\nratings that crossed\n")
		for _, x := range c.Ratings {
			before, after := x.sides()
			fmt.Fprintf(&b, "  %s\n    before  %s\n    now     %s\n", x.what(), before, after)
		}
	}
	findings := func(title string, list []Finding) {
		if len(list) == 0 {
			return
		}
		fmt.Fprintf(&b, "\n%s\n", title)
		for _, f := range list {
			fmt.Fprintf(&b, "  %-8s %s%s: %s\n", f.Severity, f.ID, f.was(), f.Text)
		}
	}
	findings("findings that are new", c.Come)
	findings("findings of another severity", c.Weightier)
	findings("findings that are gone", c.Gone)
	if list, rest := c.shown(o); len(list) > 0 {
		fmt.Fprintf(&b, "\nresults that moved by more than %s, the most important first\n", c.threshold())
		wide := 0
		for _, r := range list {
			wide = max(wide, utf8.RuneCountInString(r.ID))
		}
		for _, r := range list {
			fmt.Fprintf(&b, "  %10s  %s%s  %s → %s\n", r.Percent(), r.ID, strings.Repeat(" ", wide-utf8.RuneCountInString(r.ID)),
				r.OldText(), r.NewText())
		}
		if rest > 0 {
			fmt.Fprintf(&b, "  and %d more: --all lists them\n", rest)
		}
	}
	if len(c.OnlyOld) > 0 {
		fmt.Fprintf(&b, "\nresults that are gone: %s\n", groupWords(c.OnlyOld))
	}
	if len(c.OnlyNew) > 0 {
		fmt.Fprintf(&b, "\nresults that are new: %s\n", groupWords(c.OnlyNew))
	}
	if len(c.Parts) > 0 {
		b.WriteString("\nparts that change\n")
		for _, p := range c.Parts {
			before, after := p.sides()
			fmt.Fprintf(&b, "  %s, %s\n    before  %s\n    now     %s\n", p.Designator, p.name(), before, after)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// Markdown writes the comparison for a pull request or a letter.
func (c *Comparison) Markdown(o Options) []byte { return c.markdown(o, "") }

// markdown puts figures, already written as Markdown, after the summary.
func (c *Comparison) markdown(o Options, figures string) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "# What changes in %s\n\nFrom %s to %s. %s\n", plain(title(c)), plain(c.Old.Name), plain(c.New.Name),
		plain(c.summary()))
	if len(c.Spec) > 0 {
		b.WriteString("\n## The spec\n\n| line | key | before | now |\n|:--|:--|:--|:--|\n")
		for _, x := range c.Spec {
			before, after, remark := x.sides()
			if remark != "" {
				after += ": " + remark
			}
			row(&b, x.lines(), x.Key, before, after)
		}
	}
	if len(c.Ratings) > 0 {
		b.WriteString("\n## Ratings that crossed\n\n| part | before | now |\n|:--|:--|:--|\n")
		for _, x := range c.Ratings {
			before, after := x.sides()
			row(&b, x.what(), before, after)
		}
	}
	findings := func(title string, list []Finding, advice bool) {
		if len(list) == 0 {
			return
		}
		fmt.Fprintf(&b, "\n## %s\n\n", title)
		for _, f := range list {
			fmt.Fprintf(&b, "- **%s**%s: %s", f.Severity, f.was(), plain(f.Text))
			if advice && f.Advice != "" {
				b.WriteString(" " + plain(f.Advice))
			}
			b.WriteString("\n")
		}
	}
	findings("Findings that are new", c.Come, true)
	findings("Findings of another severity", c.Weightier, true)
	findings("Findings that are gone", c.Gone, false)
	if list, rest := c.shown(o); len(list) > 0 {
		fmt.Fprintf(&b,
			"\n## Results that moved\n\nBy more than %s, the most important first.\n\n| result | before | now | change "+
				"|\n|:--|--:|--:|--:|\n", plain(c.threshold()))
		for _, r := range list {
			name := plain(r.Name) + " (" + plain(r.ID) + ")"
			fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", name, plain(r.OldText()), plain(r.NewText()), plain(r.Percent()))
		}
		if rest > 0 {
			fmt.Fprintf(&b, "\n%d more moved, less important or less far.\n", rest)
		}
	}
	for _, g := range []struct {
		title string
		list  []Group
	}{{"Results that are gone", c.OnlyOld}, {"Results that are new", c.OnlyNew}} {
		if len(g.list) > 0 {
			fmt.Fprintf(&b, "\n## %s\n\n%s.\n", g.title, plain(groupWords(g.list)))
		}
	}
	if len(c.Parts) > 0 {
		b.WriteString("\n## Parts that change\n\n| part | before | now |\n|:--|:--|:--|\n")
		for _, p := range c.Parts {
			before, after := p.sides()
			row(&b, p.Designator+", "+p.name(), before, after)
		}
	}
	b.WriteString(figures)
	b.WriteString("\nThe figures are estimates to be proved on the bench; local codes, the licence and qualified people come first.\n")
	return []byte(b.String())
}

func row(b *strings.Builder, cells ...string) {
	for _, c := range cells {
		b.WriteString("| " + plain(c) + " ")
	}
	b.WriteString("|\n")
}

// plain makes a text safe inside Markdown: every ASCII punctuation mark that
// could mean something there is escaped and line ends become spaces.
func plain(s string) string {
	var b strings.Builder
	for _, r := range strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r != '\u00a0' && unicode.IsSpace(r) }), " ") {
		switch {
		case r < ' ' || r >= 0x7f && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069:
			r = '\ufffd'
		case strings.ContainsRune("\\`*_{}[]<>#!|$~&@", r):
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}

func title(c *Comparison) string {
	for _, s := range []Side{c.New, c.Old} {
		if t := strings.Join(strings.Fields(s.Design.Spec.Notebook.Title.Value), " "); t != "" {
			return t
		}
	}
	return "the amplifier"
}

// HTML writes the comparison as one self-contained page, with curves of both
// sides laid over each other.
func (c *Comparison) HTML(o Options) ([]byte, error) {
	figures, words, err := c.figures()
	if err != nil {
		return nil, err
	}
	return page.Render(c.markdown(o, words), page.Assets{
		Title: "What changes in " + title(c), Language: "en", Figures: figures,
		Footer: "Made by anodebook from the two specs alone.",
	})
}
