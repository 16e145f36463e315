//go:build browser

package preview

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/report"
	"anodebook/report/browser"
	"anodebook/spec"
	"anodebook/spec/testhelp"
)

// real makes the report as the program does.
func real(path string) (r Result) {
	fail := func(err error) Result {
		return Result{Problems: []Problem{{What: err.Error(), Hint: "a <hint> & more"}}}
	}
	s, err := spec.Load(path, compute.Names())
	if err != nil {
		return fail(err)
	}
	d, err := compute.Run(s)
	if err != nil {
		return fail(err)
	}
	doc, err := report.Build(d)
	if err != nil {
		return fail(err)
	}
	if r.HTML, err = doc.HTML(); err != nil {
		return fail(err)
	}
	r.Title = doc.Title
	return r
}

const club = `[notebook]
title = "Club amplifier%s"
[target]
output = "%s"
bands = ["80m", "40m", "20m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2800 V"
`

// eventually waits until an expression is true in the page; while the page goes
// to another address it is not yet.
func eventually(t *testing.T, b *browser.Browser, expression string) {
	t.Helper()
	for late := time.Now().Add(deadline); ; time.Sleep(10 * time.Millisecond) {
		is, err := browser.Try[bool](b, expression)
		if err == nil && is {
			return
		}
		require.True(t, time.Now().Before(late), "%s: %v", expression, err)
	}
}

const inside = `document.querySelector("iframe").contentWindow`

// shown is true once the frame holds a whole report with these words in its
// head.
func shown(words string) string {
	return fmt.Sprintf(`document.querySelectorAll("iframe").length === 1 && (%s.document?.querySelector("h1")?.textContent ?? "").includes(%q)`, inside, words)
}

func TestPreviewInBrowser(t *testing.T) {
	path := filepath.Join(t.TempDir(), "club.toml")
	put(t, path, fmt.Sprintf(club, "", "1000 W"))
	at := servingWith(t, path, real)
	b := browser.Open(t)
	b.Visit(at+"/", 1280, "light")
	browser.Eval[browser.Void](b,
		`window.broken = []; document.addEventListener("securitypolicyviolation", e => broken.push(e.violatedDirective + " " + e.blockedURI))`)
	eventually(t, b, shown("Club amplifier"))
	assert.True(t, browser.Eval[bool](b, `document.querySelector("#box").hidden`))

	// the reader has unfolded a derivation and scrolled into the middle
	browser.Eval[browser.Void](b, inside+`.document.querySelectorAll("details.derivation")[1].open = true`)
	browser.Eval[browser.Void](b, inside+`.scrollTo({ top: 7000, behavior: "instant" })`)
	require.Equal(t, 7000.0, browser.Eval[float64](b, inside+`.scrollY`))

	// a change that moves nothing: the same place to the pixel
	put(t, path, fmt.Sprintf(club, " II", "1000 W"))
	eventually(t, b, shown("Club amplifier II"))
	assert.InDelta(t, 7000, browser.Eval[float64](b, inside+`.scrollY`), 1)
	assert.True(t, browser.Eval[bool](b, inside+`.document.querySelectorAll("details.derivation")[1].open`),
		"what was unfolded stays so")
	assert.False(t, browser.Eval[bool](b, inside+`.document.querySelectorAll("details.derivation")[0].open`))

	// a spec that cannot be used: the box comes, the report stays where it is
	put(t, path, fmt.Sprintf(club, " <b>III</b>", "1000"))
	eventually(t, b, `!document.querySelector("#box").hidden`)
	text := browser.Eval[string](b, `document.querySelector("#box").textContent`)
	testhelp.Contains(t, text, "club.toml:4:1: target.output:")
	testhelp.Contains(t, text, "a <hint> & more")
	testhelp.Contains(t, text, "Below is the last good report")
	assert.True(t, browser.Eval[bool](b, shown("Club amplifier II")))
	assert.InDelta(t, 7000, browser.Eval[float64](b, inside+`.scrollY`), 1)
	assert.Empty(t, b.Overflow())
	assert.Empty(t, b.Contrast())
	b.Save("preview-problem.png", b.Screenshot())

	// text put in further up does not move what is read
	browser.Eval[browser.Void](b,
		`window.edge = () => { const w = `+inside+`; return w.document.getElementById("tank").getBoundingClientRect().top }`)
	browser.Eval[browser.Void](b, inside+`.scrollBy({ top: edge() + 40, behavior: "instant" })`)
	before := browser.Eval[float64](b, `edge()`)
	require.InDelta(t, -40, before, 1)
	put(t, path, strings.Replace(fmt.Sprintf(club, " IV", "1000 W"), "[target]",
		"[note.tubes]\ntext = \"\"\"\n"+strings.Repeat("A long note about the tubes.\n\n", 60)+"\"\"\"\n[target]", 1))
	eventually(t, b, shown("Club amplifier IV"))
	assert.True(t, browser.Eval[bool](b, `document.querySelector("#box").hidden`))
	assert.InDelta(t, before, browser.Eval[float64](b, `edge()`), 2)

	assert.Empty(t, b.Console())
	assert.Empty(t, browser.Eval[[]string](b, `broken`))
	for _, r := range b.Requests() {
		assert.True(t, strings.HasPrefix(r, at+"/"), "nothing is loaded from elsewhere: %s", r)
	}

	// a phone, in the dark, with an error from the start
	put(t, path, "output = 5\n")
	b.Visit(at+"/", 390, "dark")
	eventually(t, b, `!document.querySelector("#box").hidden && document.querySelectorAll("#problems li").length > 0`)
	assert.Empty(t, b.Overflow())
	assert.Empty(t, b.Contrast())
	b.Save("preview-phone.png", b.Screenshot())
}

func TestIndexInBrowser(t *testing.T) {
	dir := t.TempDir()
	put(t, filepath.Join(dir, "a.toml"), "one")
	at := serving(t, dir)
	b := browser.Open(t)
	b.Visit(at+"/", 390, "dark")
	eventually(t, b, `document.body?.textContent.includes("Title one") === true`)
	put(t, filepath.Join(dir, "b with a very long name that does not fit a phone.toml"), "bad")
	eventually(t, b, `document.body?.textContent.includes("cannot be used: 1 problem") === true`)
	assert.Empty(t, b.Overflow())
	assert.Empty(t, b.Contrast())
	assert.Empty(t, b.Console())
	b.Save("preview-index.png", b.Screenshot())
	browser.Eval[browser.Void](b, `document.querySelector("td a").click()`)
	eventually(t, b, `document.querySelector("iframe") !== null && `+inside+`.document.body?.textContent.includes("one") === true`)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "a.toml"), []byte("two"), 0o644))
	eventually(t, b, inside+`.document.body?.textContent.includes("two") === true`)
	assert.Equal(t, "Title two", browser.Eval[string](b, `document.title`))
}
