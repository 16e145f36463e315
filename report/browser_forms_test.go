//go:build browser

package report

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"anodebook/report/browser"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tenBands is the spec with the most rows on the tune-up card.
var tenBands = strings.Replace(smallSpec, `"80m"`, `"160m", "80m", "60m", "40m", "30m", "20m", "17m", "15m", "12m", "10m"`, 1)

var pdfPages = regexp.MustCompile(`Pages: +(\d+)`)

// TestShortFormsInBrowser prints the short forms of every example: the article
// takes two or three sheets, each bench card one; and looks at them on a phone.
func TestShortFormsInBrowser(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil && os.Getenv("BROWSER_REQUIRED") == "" {
		t.Skip("no pdftotext on the PATH")
	}
	all := designs(t)
	all["ten-bands.toml"] = design(t, "ten-bands.toml", tenBands)
	b := browser.Open(t)
	for name, d := range all {
		for _, form := range []Form{Article, Bench} {
			doc := short(t, d, form)
			html, err := doc.HTML()
			require.NoError(t, err)
			for _, width := range []int{1280, 390} {
				b.Show(html, width, "light")
				assert.Empty(t, b.Overflow(), "%s %s %d", name, form, width)
				assert.Empty(t, b.Contrast(), "%s %s %d", name, form, width)
				assert.Empty(t, b.Console(), "%s %s %d", name, form, width)
			}
			for _, a4 := range []bool{true, false} {
				pdf := b.PDF(a4)
				b.Save(strings.TrimSuffix(name, ".toml")+"-"+string(form)+".pdf", pdf)
				file := filepath.Join(t.TempDir(), "form.pdf")
				require.NoError(t, os.WriteFile(file, pdf, 0o600))
				info, err := exec.Command("pdfinfo", file).Output()
				require.NoError(t, err)
				m := pdfPages.FindSubmatch(info)
				require.NotNil(t, m)
				pages, err := strconv.Atoi(string(m[1]))
				require.NoError(t, err)
				if form == Article {
					assert.GreaterOrEqual(t, pages, 2, "%s, A4 %v", name, a4)
					assert.LessOrEqual(t, pages, 3, "%s, A4 %v", name, a4)
					continue
				}
				text, err := exec.Command("pdftotext", "-layout", file, "-").Output()
				require.NoError(t, err)
				sheets := strings.Split(strings.TrimSuffix(string(text), "\f"), "\f")
				if assert.Len(t, sheets, 4, "%s, A4 %v", name, a4) {
					for i, card := range [][2]string{{"Bench card", "Somebody caught"},
						{"Bring-up card 1", "Switch off and time the fall"}, {"Bring-up card 2", "After five minutes"},
						{"Tune-up card", "tune, dial"}} {
						testhelp.Contains(t, sheets[i], card[0], "%s, A4 %v", name, a4)
						testhelp.Contains(t, sheets[i], card[1], "%s, A4 %v", name, a4)
					}
				}
			}
		}
	}
}
