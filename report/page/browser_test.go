//go:build browser

package page_test

import (
	"fmt"
	"testing"

	"anodebook/report/browser"
	"anodebook/report/page"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSampleInBrowser(t *testing.T) {
	md, a := sample(t)
	html, err := page.Render(md, a)
	require.NoError(t, err)
	b := browser.Open(t)
	b.Save("sample.html", html)
	for _, width := range []int{1280, 390} {
		for _, scheme := range []string{"light", "dark"} {
			b.Show(html, width, scheme)
			b.Save(fmt.Sprintf("sample-%d-%s.png", width, scheme), b.Screenshot())
			browser.Eval[browser.Void](b, `document.querySelectorAll("details.derivation").forEach(d => d.open = true)`)
			b.Save(fmt.Sprintf("sample-%d-%s-open.png", width, scheme), b.Screenshot())
			assert.Empty(t, b.Overflow(), "%d %s", width, scheme)
			assert.Empty(t, b.Contrast(), "%d %s", width, scheme)
			assert.Empty(t, b.Console(), "%d %s", width, scheme)
			assert.Len(t, b.Requests(), 1, "only the page itself is loaded: %v", b.Requests())
		}
	}
	// a link to a step opens the folded derivation that holds it
	b.Show(html, 1280, "light")
	assert.False(t, browser.Eval[bool](b, `document.querySelector("details.derivation").open`))
	browser.Eval[browser.Void](b, `document.querySelector("a.quantity").click()`)
	assert.True(t, browser.Eval[bool](b, `document.querySelector("details.derivation").open`))
	b.Show(html, 1280, "dark")
	b.Save("sample-a4.pdf", b.PDF(true))
	b.Save("sample-letter.pdf", b.PDF(false))
}
