package report

import (
	"encoding/csv"
	"strconv"
	"strings"
	"testing"

	"anodebook/compute"
	"anodebook/report/setting"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const pricedSpec = "[notebook]\ncurrency = \"=|EUR\"\n" + smallSpec + `[supply.capacitors]
capacitance = "270 uF"
voltage = "450 V"
count = 9
[prices]
C7 = 11.25
T1 = 180
V1 = 0
`

func priced(t *testing.T) *compute.Design { return design(t, "priced.toml", pricedSpec) }

// TestPartsListForASpreadsheet reads parts.csv as RFC 4180 says and adds its
// prices up anew.
func TestPartsListForASpreadsheet(t *testing.T) {
	all := designs(t)
	all["priced"] = priced(t)
	for name, d := range all {
		b, err := PartsCSV(d)
		require.NoError(t, err)
		text, marked := strings.CutPrefix(string(b), "\ufeff")
		assert.True(t, marked, name)
		assert.Equal(t, strings.Count(text, "\n"), strings.Count(text, "\r\n"), "%s: a bare line end", name)
		r := csv.NewReader(strings.NewReader(text))
		rows, err := r.ReadAll() // refuses rows of another length
		require.NoError(t, err, name)
		require.Len(t, rows[0], 9)
		var total, toBuy float64
		sums := map[string]string{}
		parts := 0
		for _, row := range rows[1:] {
			for _, c := range row {
				testhelp.MatchesNot(t, `^ *[=+@\-\t\r\n]`, c, "%s: a spreadsheet would compute this", name)
			}
			if row[0] == "" {
				sums[row[2]] = row[7]
				continue
			}
			parts++
			n, err := strconv.Atoi(row[1])
			require.NoError(t, err, name)
			if row[6] == "" {
				assert.Empty(t, row[7])
				continue
			}
			each, err := strconv.ParseFloat(row[6], 64)
			require.NoError(t, err)
			price, err := strconv.ParseFloat(row[7], 64)
			require.NoError(t, err)
			assert.InDelta(t, float64(n)*each, price, 0.005)
			total += price
			if row[5] == "no" {
				toBuy += price
			}
		}
		assert.Equal(t, len(d.Book.Parts), parts, name)
		if total > 0 {
			assert.Equal(t, map[string]string{"total of the priced parts": cents(total), "of which still to buy": cents(toBuy)}, sums,
				name)
		} else {
			assert.Empty(t, sums, name)
		}
	}
}

func TestPricesInTheReport(t *testing.T) {
	d := priced(t)
	pieces := 0.0
	for _, p := range setting.Plain(d.Book, "metric").Parts() {
		if p.Designator == "C7" {
			pieces = float64(p.Count)
		}
	}
	require.Greater(t, pieces, 1.0)
	s := addUp(d)
	assert.InDelta(t, 11.25*pieces+180, s.all, 1e-9)
	assert.InDelta(t, 180, s.toBuy, 1e-9, "the capacitors are at hand")
	assert.Equal(t, 2, s.priced, "a price of 0 is none")
	doc, err := built(d)
	require.NoError(t, err)
	_, md, _ := strings.Cut(string(doc.Markdown), "## Parts list")
	md, _, _ = strings.Cut(md, "## Margins")
	testhelp.Contains(t, md, "| part | pieces | what | value | must stand | note | price |")
	testhelp.Contains(t, md, "come to "+cents(s.all)+"\u00a0\\=\\|EUR**, of which 180.00\u00a0\\=\\|EUR is still to be spent. ")
	plain, err := built(designs(t)["starter"])
	require.NoError(t, err)
	_, md, _ = strings.Cut(string(plain.Markdown), "## Parts list")
	md, _, _ = strings.Cut(md, "## Margins")
	testhelp.Lacks(t, md, "price", "nobody gave one")
}
