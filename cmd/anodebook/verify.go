package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"anodebook/compute/ledger"
	"anodebook/compute/reference"
)

var verifyCommand = &command{
	name:    "verify",
	args:    "[--markdown]",
	summary: "hold the program against published figures",
	help: `Computes every published figure that the program knows and prints it beside the
published one, with the deviation, the tolerance and how well the figure is
known: published (read in a copy or reprint), recomputed (with a general-purpose
numeric library, independently of this program), transcribed (read in copies
that others made of the source; how many agree), from memory (of the source
named), common practice. The sources are listed once, at the end.

After them comes what the static tube models leave of the published operating
columns they were fitted to, what they predict for columns left out of the fit,
and which figures miss their aim, with the contradiction behind it.
Exit code 0: every check holds; 1: one falls out of its tolerance.`,
	example: "anodebook verify --markdown > checks.md",
	flags: func(fs *flag.FlagSet) any {
		return fs.Bool("markdown", false, "print a Markdown document")
	},
	run: func(e *environment, flags any, args []string) (int, error) {
		if len(args) > 0 {
			return exitError, hinted{errors.New("verify: takes no arguments"), "anodebook verify"}
		}
		fits, err := fitParts()
		if err != nil {
			return exitError, err
		}
		results := reference.RunAll()
		if err := verification(results, fits).write(e.stdout, *flags.(*bool)); err != nil {
			return exitError, err
		}
		for _, r := range results {
			if !r.Holds() {
				return exitFinding, nil
			}
		}
		return exitGood, nil
	},
}

// part is a heading, text, and a table below it.
type part struct {
	heading string
	text    []string
	header  []string
	rows    [][]string
	after   []string
}

// listing is what verify prints.
type listing struct {
	title string
	parts []part
}

// verification lists the results by subject, then the fits, then the sources.
func verification(results []reference.Result, fits []part) listing {
	l := listing{title: "Published figures against the program"}
	type cited struct {
		title string
		known ledger.Known
	}
	var sources []cited
	known := map[ledger.Known]int{}
	var out []string
	l.parts = append(l.parts, part{})
	for _, r := range results {
		p := &l.parts[len(l.parts)-1]
		if r.Subject != p.heading {
			l.parts = append(l.parts, part{
				heading: r.Subject,
				header:  []string{"check", "computed", "published", "deviation", "tolerance", "how known", "source", "verdict", "what"},
			})
			p = &l.parts[len(l.parts)-1]
		}
		c := cited{r.Source, r.Known}
		n := slices.Index(sources, c)
		if n < 0 {
			n, sources = len(sources), append(sources, c)
		}
		known[r.Known.Grade()]++
		verdict := "ok"
		if !r.Holds() {
			verdict = "OUT"
			out = append(out, fmt.Sprintf("OUT: %s: %s", r.ID, r.What))
		}
		p.rows = append(p.rows, []string{r.ID, r.ComputedText(), r.PublishedText(), r.DeviationText(), r.ToleranceText(),
			string(r.Known), fmt.Sprintf("[%d]", n+1), verdict, r.What})
		if why := "Tolerance: " + r.Why + "."; !slices.Contains(p.after, why) {
			p.after = append(p.after, why)
		}
	}
	l.parts = append(l.parts, fits...)
	list := part{heading: "Sources", header: []string{"no.", "how known", "source"}}
	for i, s := range sources {
		list.rows = append(list.rows, []string{fmt.Sprintf("[%d]", i+1), string(s.known), s.title})
	}
	l.parts = append(l.parts, list)

	var marks []string
	for _, k := range ledger.Grades() {
		if known[k] > 0 {
			marks = append(marks, fmt.Sprintf("%d %s", known[k], k))
		}
	}
	summary := fmt.Sprintf("%d checks: %d hold, %d out of tolerance; %s.", len(results), len(results)-len(out), len(out),
		strings.Join(marks, ", "))
	l.parts = append(l.parts, part{heading: "Summary", text: append([]string{summary}, out...)})
	return l
}

// write prints the listing as aligned text or as Markdown.
func (l listing) write(w io.Writer, markdown bool) error {
	var b strings.Builder
	if markdown {
		fmt.Fprintf(&b, "# %s\n", l.title)
	} else {
		fmt.Fprintln(&b, l.title)
	}
	for _, p := range l.parts {
		if len(p.rows) == 0 && len(p.text) == 0 {
			continue
		}
		if markdown {
			p.markdown(&b)
			continue
		}
		if err := p.plain(&b); err != nil {
			return err
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (p part) plain(b *strings.Builder) error {
	fmt.Fprintf(b, "\n%s\n", p.heading)
	for _, line := range p.text {
		fmt.Fprintf(b, "  %s\n", line)
	}
	if len(p.rows) > 0 {
		t := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
		for _, row := range append([][]string{p.header}, p.rows...) {
			fmt.Fprintf(t, "  %s\n", strings.TrimRight(strings.Join(row, "\t"), "\t"))
		}
		if err := t.Flush(); err != nil {
			return err
		}
	}
	for _, line := range p.after {
		fmt.Fprintf(b, "  %s\n", line)
	}
	return nil
}

func (p part) markdown(b *strings.Builder) {
	fmt.Fprintf(b, "\n## %s\n", p.heading)
	for _, line := range p.text {
		fmt.Fprintf(b, "\n%s\n", markdownText(line))
	}
	if len(p.rows) > 0 {
		fmt.Fprintf(b, "\n| %s |\n|%s\n", strings.Join(p.header, " | "), strings.Repeat(" --- |", len(p.header)))
		for _, row := range p.rows {
			cells := make([]string, len(p.header))
			for i := range row {
				cells[i] = markdownText(row[i])
			}
			fmt.Fprintf(b, "| %s |\n", strings.Join(cells, " | "))
		}
	}
	for _, line := range p.after {
		fmt.Fprintf(b, "\n%s\n", markdownText(line))
	}
}

// markdownText keeps marks of Markdown in a text from being taken as such.
var markdownText = strings.NewReplacer(`\`, `\\`, "|", `\|`, "*", `\*`, "_", `\_`, "<", `\<`, "[", `\[`, "`", "\\`").Replace
