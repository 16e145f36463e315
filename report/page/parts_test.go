package page

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/yuin/goldmark/text"
)

// A document in parts reads as in one piece, whatever is open where a part
// ends.
func TestPartsAreOnePiece(t *testing.T) {
	var b strings.Builder
	b.WriteString("# Title\n\n*Story*\n\n")
	ends := []string{"A last line", "- a list\n  - in a list", "> a quotation\nthat goes on", "| a | b |\n|:--|--:|\n| 1 | 2 |",
		"term\n: what it means", "```\ncode\n```", "1. one\n2. two"}
	for i := range 200 {
		fmt.Fprintf(&b, "## Part %d\n\n%s\n\n### Below\n\nWith a [link](#part-%d), `code`, **strong** words &amp; an entity.\n\n%s\n\n",
			i, strings.Repeat("Some text with numbers 1 2 3. ", 30), i, ends[i%len(ends)])
		if i%3 == 0 { // the next heading follows at once
			b.WriteString("end\n")
		}
	}
	markdown := []byte(b.String())
	require.Greater(t, len(markdown), 5*partSize)
	var whole bytes.Buffer
	require.NoError(t, converter.Renderer().Render(&whole, markdown, converter.Parser().Parse(text.NewReader(markdown))))
	pieces, err := renderParts(parse(markdown), markdown)
	require.NoError(t, err)
	parts := string(bytes.Join(pieces, nil))
	assert.Equal(t, whole.String(), parts)
	assert.Equal(t, 200, strings.Count(parts, "<h2"))
}
