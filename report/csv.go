package report

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"

	"anodebook/compute"
	"anodebook/report/setting"
)

// PartsCSV writes the parts list for a spreadsheet: UTF-8 with a byte order
// mark, comma separated, CRLF line ends (RFC 4180). A cell that a spreadsheet
// could take for a formula is prefixed with an apostrophe.
func PartsCSV(d *compute.Design) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("\ufeff")
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	in := currency(d)
	rows := [][]string{{"part", "pieces", "what", "value", "must stand", "at hand", "price each" + in, "price" + in, "note"}}
	for _, p := range setting.Plain(d.Book, d.Spec.Notebook.Lengths.Value).Parts() {
		have := "no"
		if p.Given {
			have = "yes"
		}
		each, all := "", ""
		if p.Price > 0 {
			each, all = cents(p.Price), cents(priceOf(p.Part))
		}
		rows = append(rows, []string{p.Designator, strconv.Itoa(p.Count), p.Name, p.Value, p.Rating, have, each, all, p.Note})
	}
	if s := addUp(d); s.priced > 0 {
		rows = append(rows, []string{"", "", "total of the priced parts", "", "", "", "", cents(s.all), ""},
			[]string{"", "", "of which still to buy", "", "", "", "", cents(s.toBuy), ""})
	}
	for _, row := range rows {
		for i, c := range row {
			if lead := strings.TrimLeft(c, " "); lead != "" && strings.ContainsRune("=+-@\t\r\n", rune(lead[0])) {
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

func cents(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) }
