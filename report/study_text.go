package report

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"unicode/utf8"
)

// Widths of a study on a terminal, in characters.
const (
	lineWidth = 100
	cellWidth = 36 // a longer cell goes on below
)

// Text writes the study for a terminal, as aligned columns.
func (s *Study) Text(w io.Writer) error {
	fmt.Fprintf(w, "%s\n", s.Title)
	for _, p := range s.Said {
		fmt.Fprintf(w, "%s\n", strings.Join(broken(p, lineWidth), "\n"))
	}
	for _, t := range s.Tables {
		fmt.Fprintf(w, "\n%s\n", t.Title)
		var table strings.Builder
		out := tabwriter.NewWriter(&table, 0, 0, 2, ' ', 0)
		for _, row := range append([][]string{t.Head}, t.Rows...) {
			below := make([][]string, len(row))
			height := 1
			for i, c := range row {
				below[i] = broken(c, cellWidth)
				height = max(height, len(below[i]))
			}
			for k := range height {
				line := make([]string, len(row))
				for i, c := range below {
					if k < len(c) {
						line[i] = c[k]
					}
				}
				fmt.Fprintf(out, "  %s\n", strings.Join(line, "\t"))
			}
		}
		if err := out.Flush(); err != nil {
			return err
		}
		for line := range strings.Lines(table.String()) {
			if _, err := fmt.Fprintln(w, strings.TrimRight(line, " \n")); err != nil {
				return err
			}
		}
	}
	return nil
}

// broken is a text in lines of no more than so many characters, where its
// words allow it.
func broken(text string, most int) (lines []string) {
	if utf8.RuneCountInString(text) <= most {
		return []string{text}
	}
	line := ""
	for _, word := range strings.Fields(text) {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= most:
			line += " " + word
		default:
			lines, line = append(lines, line), word
		}
	}
	return append(lines, line)
}
