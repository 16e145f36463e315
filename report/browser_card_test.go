//go:build browser

package report

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"anodebook/report/browser"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestBenchCardIsOnePage prints the starter's report, and the one with the
// most to say, on both papers: the bench card must be alone on exactly one
// page, whole.
func TestBenchCardIsOnePage(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil && os.Getenv("BROWSER_REQUIRED") == "" {
		t.Skip("no pdftotext on the PATH")
	}
	all := designs(t)
	for _, name := range []string{"starter", "parts-box.toml"} {
		doc, err := built(all[name])
		require.NoError(t, err)
		html, err := doc.HTML()
		require.NoError(t, err)
		b := browser.Open(t)
		b.Show(html, 1280, "light")
		for _, a4 := range []bool{true, false} {
			file := filepath.Join(t.TempDir(), "report.pdf")
			require.NoError(t, os.WriteFile(file, b.PDF(a4), 0o600))
			out, err := exec.Command("pdftotext", "-layout", file, "-").Output()
			require.NoError(t, err)
			with := 0
			for _, sheet := range strings.Split(string(out), "\f") {
				if !strings.Contains(sheet, "before a cover comes off") {
					continue
				}
				with++
				for _, want := range []string{"Bench card", "ground hook", "fall to half", "Somebody caught", "come first."} {
					testhelp.Contains(t, sheet, want, "%s, A4 %v", name, a4)
				}
				for _, other := range []string{"Parts list", "Derivation:"} {
					testhelp.Lacks(t, sheet, other, "%s, A4 %v", name, a4)
				}
			}
			assert.Equal(t, 1, with, "%s, A4 %v", name, a4)
		}
	}
}
