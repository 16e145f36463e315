package report

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"

	"anodebook/compute"
)

// PartsCSV writes the parts list for a spreadsheet: UTF-8 with a byte order
// mark, comma separated, CRLF line ends (RFC 4180). A cell that a spreadsheet
// could take for a formula is prefixed with an apostrophe.
func PartsCSV(d *compute.Design) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("\ufeff")
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	rows := [][]string{{"part", "pieces", "what", "value", "must stand", "at hand", "price each", "price", "note"}}
	var total float64
	for _, p := range d.Book.Parts {
		have := "no"
		if p.Given {
			have = "yes"
		}
		each, sum := "", ""
		if p.Price > 0 {
			each = strconv.FormatFloat(p.Price, 'f', 2, 64)
			sum = strconv.FormatFloat(p.Price*float64(p.Count), 'f', 2, 64)
			total += p.Price * float64(p.Count)
		}
		rows = append(rows, []string{p.Designator, strconv.Itoa(p.Count), p.Name, p.Value, p.Rating, have, each, sum, p.Note})
	}
	if total > 0 {
		rows = append(rows, []string{"", "", "total of the priced parts", "", "", "", "", strconv.FormatFloat(total, 'f', 2, 64), ""})
	}
	for _, row := range rows {
		for i, c := range row {
			if c != "" && strings.ContainsRune("=+-@\t\r", rune(c[0])) {
				row[i] = "'" + c
			}
		}
		if err := w.Write(row); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}
