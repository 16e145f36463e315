package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"anodebook/compute/ledger"
	"anodebook/compute/study"
	"anodebook/report/figure"
	"anodebook/spec/quantity"
)

// Study is a study in words: tables for terminal and Markdown, rows for a
// spreadsheet, and figures.
type Study struct {
	Title   string
	Said    []string // paragraphs above the tables
	Tables  []StudyTable
	Rows    [][]string // of the CSV file, heads first; numbers in SI base units
	Figures []StudyFigure
}

// StudyTable is one table of a study.
type StudyTable struct {
	Title string
	Head  []string
	Rows  [][]string
}

// StudyFigure is one figure of a study.
type StudyFigure struct {
	Name  string // of its file, without folder and ending
	Chart figure.Chart
}

// abreast is how many results stand side by side in a table of a sweep.
const abreast = 4

// SweepStudy puts a sweep into words; name goes before the names of its
// figures.
func SweepStudy(name string, r *study.SweepResult) Study {
	var keys []string
	for _, a := range r.Axes {
		keys = append(keys, a.Key)
	}
	s := Study{Title: "Sweep of " + strings.Join(keys, " and ")}
	a := r.Axes[0]
	said := fmt.Sprintf("%s goes from %s to %s", a.Key, plainly(a.Low, a.Unit), plainly(a.High, a.Unit))
	if len(r.Axes) == 2 {
		b := r.Axes[1]
		said += fmt.Sprintf(", and %s from %s to %s", b.Key, plainly(b.Low, b.Unit), plainly(b.High, b.Unit))
	}
	s.Said = append(s.Said,
		fmt.Sprintf("%s; everything else is as the spec says. Each of the %d designs is computed as a whole: what the spec leaves "+
			"open is chosen anew for it.", said, len(r.Points)))
	if r.Done < len(r.Points) {
		s.Said = append(s.Said, fmt.Sprintf("Interrupted: %d of %d designs were computed.", r.Done, len(r.Points)))
	}
	s.Said = append(s.Said, always(r.Findings, r.Done, "designs")...)
	if len(r.Axes) == 1 {
		s.Tables = append(s.Tables, sweepTables(r)...)
	} else {
		s.Tables = append(s.Tables, gridTables(r)...)
	}
	s.Tables = append(s.Tables, findingTable(r.Findings, r.Done, "designs")...)
	s.Rows = sweepRows(r)
	for i, w := range r.Watched {
		if c, ok := sweepChart(r, i); ok {
			s.Figures = append(s.Figures, StudyFigure{fileName(name, w.ID), c})
		}
	}
	return s
}

// shown is a value with unit, four digits.
func shown(si float64, unit string) string { return quantity.Format(si, unit, 4) }

// plainly is a value of an axis, without idle zeros.
func plainly(si float64, unit string) string {
	number, symbol := quantity.Split(si, unit, 4)
	if strings.Contains(number, ".") {
		number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
	}
	return strings.TrimSpace(number + "\u00a0" + symbol)
}

func fileName(name, id string) string {
	return name + "-" + strings.NewReplacer(".", "-", "_", "-").Replace(id)
}

// outcome is what a point shows instead of a value it does not have.
func (p pointOf) outcome() string {
	switch {
	case !p.Done:
		return "not reached"
	case p.Values == nil:
		return "impossible"
	}
	return ""
}

type pointOf struct{ study.Point }

func (p pointOf) value(i int, unit string) string {
	if o := p.outcome(); o != "" {
		return o
	}
	return shown(p.Values[i], unit)
}

func sweepTables(r *study.SweepResult) []StudyTable {
	var out []StudyTable
	a := r.Axes[0]
	for from := 0; from < len(r.Watched); from += abreast {
		part := r.Watched[from:min(from+abreast, len(r.Watched))]
		t := StudyTable{Title: "Results", Head: []string{a.Key}}
		for _, w := range part {
			t.Head = append(t.Head, w.ID)
		}
		for _, p := range r.Points {
			row := []string{plainly(p.At[0], a.Unit)}
			for k, w := range part {
				row = append(row, pointOf{p}.value(from+k, w.Unit))
			}
			t.Rows = append(t.Rows, row)
		}
		out = append(out, t)
	}
	t := StudyTable{Title: "What exceeds a rating or a limit, and what is impossible", Head: []string{a.Key, "what"}}
	for _, p := range r.Points {
		if what := strings.Join(p.Exceeds, ", ") + p.Why; what != "" {
			t.Rows = append(t.Rows, []string{plainly(p.At[0], a.Unit), what})
		}
	}
	if len(t.Rows) > 0 {
		out = append(out, t)
	}
	return out
}

func gridTables(r *study.SweepResult) []StudyTable {
	var out []StudyTable
	a, b := r.Axes[0], r.Axes[1]
	table := func(title string, cell func(p study.Point) string) {
		t := StudyTable{Title: title, Head: []string{a.Key + " ↓  " + b.Key + " →"}}
		for _, y := range b.Values {
			t.Head = append(t.Head, plainly(y, b.Unit))
		}
		for i, x := range a.Values {
			row := []string{plainly(x, a.Unit)}
			for k := range b.Values {
				row = append(row, cell(r.Points[i*len(b.Values)+k]))
			}
			t.Rows = append(t.Rows, row)
		}
		out = append(out, t)
	}
	for i, w := range r.Watched {
		table(w.ID+": "+lowerFirst(w.Name), func(p study.Point) string { return pointOf{p}.value(i, w.Unit) })
	}
	table("How many findings exceed a rating or a limit", func(p study.Point) string {
		if o := (pointOf{p}).outcome(); o != "" {
			return o
		}
		return strconv.Itoa(len(p.Exceeds))
	})
	return out
}

func lowerFirst(s string) string {
	if len(s) > 1 && s[1] >= 'A' && s[1] <= 'Z' {
		return s // an abbreviation
	}
	return strings.ToLower(s[:min(1, len(s))]) + s[min(1, len(s)):]
}

// always says which findings appear everywhere and so in the nominal design.
func always(list []study.Share, n int, of string) []string {
	var grave []string
	notes := 0
	for _, f := range list {
		switch {
		case !everywhere(f, n):
		case f.Worst == ledger.Note:
			notes++
		default:
			grave = append(grave, f.ID)
		}
	}
	if n == 0 || len(grave)+notes == 0 {
		return nil
	}
	slices.Sort(grave)
	return []string{fmt.Sprintf("In all %s, as in the nominal design: %d notes, and %s. anodebook check tells what they mean.", of,
		notes, strings.Join(append(grave, "nothing graver")[:max(1, len(grave))], ", "))}
}

// everywhere says that a finding is the same wherever one looks.
func everywhere(f study.Share, n int) bool {
	return f.Count == n && f.Nominal && (f.Exceeds == 0 || f.Exceeds == n)
}

// findingTable is the share in which each finding appears, but for those that
// are everywhere.
func findingTable(list []study.Share, n int, of string) []StudyTable {
	t := StudyTable{Title: "How often a finding appears that does not appear always",
		Head: []string{"finding", "gravest", "share of " + of, "exceeds in", "in the nominal design"}}
	for _, f := range list {
		if everywhere(f, n) {
			continue
		}
		nominal := "no"
		if f.Nominal {
			nominal = "yes"
		}
		t.Rows = append(t.Rows, []string{f.ID, string(f.Worst), shareOf(f.Count, n), shareOf(f.Exceeds, n), nominal})
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []StudyTable{t}
}

// shareOf is a share that is 0 or 100 % only where it is exactly that.
func shareOf(part, whole int) string {
	if whole == 0 {
		return "—"
	}
	x := 100 * float64(part) / float64(whole)
	switch {
	case part == 0:
		return "0"
	case part == whole:
		return "100 %"
	case x < 0.1:
		return "< 0.1 %"
	case x > 99.9:
		return "> 99.9 %"
	}
	return fmt.Sprintf("%.1f %%", x)
}

func raw(x float64) string {
	if math.IsNaN(x) {
		return ""
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

func sweepRows(r *study.SweepResult) [][]string {
	head := []string{}
	for _, a := range r.Axes {
		head = append(head, a.Key)
	}
	for _, w := range r.Watched {
		head = append(head, w.ID)
	}
	rows := [][]string{append(head, "exceeds", "impossible")}
	for _, p := range r.Points {
		if !p.Done {
			continue
		}
		row := []string{}
		for _, x := range p.At {
			row = append(row, raw(x))
		}
		for i := range r.Watched {
			if p.Values == nil {
				row = append(row, "")
			} else {
				row = append(row, raw(p.Values[i]))
			}
		}
		rows = append(rows, append(row, strings.Join(p.Exceeds, " "), p.Why))
	}
	return rows
}

// sweepChart draws a result over the first axis, a line for each of at most
// six values of the second; nothing where the result stands still.
func sweepChart(r *study.SweepResult, i int) (figure.Chart, bool) {
	a, w := r.Axes[0], r.Watched[i]
	c := figure.Chart{Title: w.Name + " over " + a.Key, X: figure.Axis{Label: a.Key, Unit: a.Unit},
		Y: figure.Axis{Label: w.Name, Unit: w.Unit}}
	columns, step := []int{0}, 1
	if len(r.Axes) == 2 {
		step = len(r.Axes[1].Values)
		columns = nil
		shownLines := min(6, step)
		for k := range shownLines {
			column := k * (step - 1) / max(1, shownLines-1)
			columns = append(columns, column)
		}
	}
	least, most := math.Inf(1), math.Inf(-1)
	for _, k := range columns {
		l := figure.Line{}
		if len(r.Axes) == 2 {
			l.Name = plainly(r.Axes[1].Values[k], r.Axes[1].Unit)
		}
		for n, x := range a.Values {
			if p := r.Points[n*step+k]; p.Values != nil {
				l.X, l.Y = append(l.X, x), append(l.Y, p.Values[i])
				least, most = math.Min(least, p.Values[i]), math.Max(most, p.Values[i])
			}
		}
		if len(l.X) > 1 {
			c.Lines = append(c.Lines, l)
		}
	}
	if len(c.Lines) == 0 || !(most-least > 1e-6*math.Max(math.Abs(most), math.Abs(least))) {
		return c, false
	}
	c.Description = fmt.Sprintf("%s lies between %s and %s while %s goes from %s to %s.", w.Name, shown(least, w.Unit),
		shown(most, w.Unit), a.Key, plainly(a.Low, a.Unit), plainly(a.High, a.Unit))
	if len(r.Axes) == 2 {
		c.Description += " Each line is one value of " + r.Axes[1].Key + "."
	}
	return c, true
}

// StudyFiles are study.md, one CSV file for each study and the figures, by path
// below their folder. names are the names of the studies, for the files.
func StudyFiles(title string, names []string, list []Study) (map[string][]byte, error) {
	files := map[string][]byte{}
	var md strings.Builder
	fmt.Fprintf(&md, "# %s\n", cell(title))
	for i, s := range list {
		fmt.Fprintf(&md, "\n## %s\n", cell(s.Title))
		for _, p := range s.Said {
			fmt.Fprintf(&md, "\n%s\n", cell(p))
		}
		for _, t := range s.Tables {
			fmt.Fprintf(&md, "\n### %s\n\n| %s |\n|%s\n", cell(t.Title), strings.Join(cells(t.Head), " | "),
				strings.Repeat(" :-- |", len(t.Head)))
			for _, row := range t.Rows {
				fmt.Fprintf(&md, "| %s |\n", strings.Join(cells(row), " | "))
			}
		}
		for _, f := range s.Figures {
			f.Chart.ID = "chart-" + f.Name
			svg, err := f.Chart.Render()
			if err != nil {
				return nil, fmt.Errorf("figure %s: %w", f.Name, err)
			}
			path := "figures/" + f.Name + ".svg"
			files[path] = []byte(figure.Standalone(svg))
			fmt.Fprintf(&md, "\n![%s](%s)\n\n*%s*\n", cell(f.Chart.Title), path, cell(f.Chart.Description))
		}
		var sheet bytes.Buffer
		c := csv.NewWriter(&sheet)
		if err := c.WriteAll(s.Rows); err != nil {
			return nil, err
		}
		files[names[i]+".csv"] = sheet.Bytes()
	}
	files["study.md"] = []byte(md.String())
	return files, nil
}

// cell is text that Markdown shows as it stands.
func cell(s string) string {
	return strings.NewReplacer("\\", "\\\\", "|", "\\|", "*", "\\*", "_", "\\_", "<", "&lt;", "[", "\\[", "`", "\\`", "\n",
		" ").Replace(s)
}

func cells(list []string) []string {
	out := slices.Clone(list)
	for i := range out {
		out[i] = cell(out[i])
	}
	return out
}
