package report

import (
	"html"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"

	"anodebook/spec/testhelp"
)

var (
	headLine  = regexp.MustCompile(`(?m)^#{1,6} .*$`)
	headTag   = regexp.MustCompile(`<h[1-6]>`)
	imageMark = regexp.MustCompile(`!\[[^\n]*?\]\(([^) ]+)`)
	imageTag  = regexp.MustCompile(`<img src="([^"]+)"`)
	texLine   = regexp.MustCompile(`(?m)^\$\$(.+)\$\$$`)
	texWord   = regexp.MustCompile(`\$([^$\n]+)\$`)
)

// TestMarkdownInAPlainViewer renders the Markdown of every form with goldmark
// and its tables alone: every heading is one, every picture is a file of the
// notebook, and every formula arrives as the TeX that was written. A viewer
// that takes the backslash off "\," or takes "_" for emphasis would show
// another number.
func TestMarkdownInAPlainViewer(t *testing.T) {
	viewer := goldmark.New(goldmark.WithExtensions(extension.Table))
	for name, d := range testhelp.Some(designs(t), 4) {
		files, err := FilesOf(d, Options{Forms: []Form{Article, Bench}})
		require.NoError(t, err, name)
		for _, form := range []string{"report.md", "article.md", "bench.md"} {
			md := string(files[form])
			var b strings.Builder
			require.NoError(t, viewer.Convert([]byte(md), &b))
			out := html.UnescapeString(b.String())
			assert.Equal(t, len(headLine.FindAllString(md, -1)), len(headTag.FindAllString(out, -1)), "%s %s", name, form)
			shown := imageTag.FindAllStringSubmatch(out, -1)
			assert.Equal(t, len(imageMark.FindAllString(md, -1)), len(shown), "%s %s", name, form)
			for _, m := range shown {
				assert.NotEmpty(t, files[m[1]], "%s %s: no file %s", name, form, m[1])
			}
			lines := texLine.FindAllStringSubmatch(md, -1)
			if form == "report.md" {
				assert.Greater(t, len(lines), 300, name)
			}
			for _, m := range append(lines, texWord.FindAllStringSubmatch(texLine.ReplaceAllString(md, ""), -1)...) {
				if !strings.Contains(out, "$"+m[1]+"$") {
					assert.Fail(t, "a formula does not survive", "%s %s: %s", name, form, m[1])
				}
			}
		}
	}
}

// TestEverySectionBeginsWithItsReason: a newcomer who opens a section reads
// first, in whole sentences, what the part is for.
func TestEverySectionBeginsWithItsReason(t *testing.T) {
	for name, d := range testhelp.Some(designs(t), 4) {
		doc, err := built(d)
		require.NoError(t, err)
		for _, head := range []string{"Tubes", "Bias", "Input network", "Filament", "Plate feed", "Parasitic suppressors", "Tank",
			"Transmit-receive switching",
			"High-voltage supply", "Metering and protection", "Cooling", "Exposure", "Clearance and creepage", "Tune-up", "Bring-up"} {
			_, after, ok := strings.Cut(string(doc.Markdown), "\n## "+head+"\n\n")
			require.True(t, ok, "%s: %s", name, head)
			first, _, _ := strings.Cut(after, "\n")
			testhelp.Matches(t, `^[A-Z][^|].*[.:]$`, first, "%s: %s", name, head)
			testhelp.MatchesNot(t, `^(>|\||!|#|-)`, first, "%s: %s", name, head)
			assert.GreaterOrEqual(t, strings.Count(first, ". ")+1, 2, "%s: %s: two sentences at least", name, head)
		}
	}
}
