package page_test

import (
	"strings"
	"testing"

	"anodebook/report/page"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPartsListRowsCanBeLinkedTo(t *testing.T) {
	const md = `# T

[the capacitor](#part-C1) and [another](#part-C9)

## Tank

| part | value |
|:--|:--|
| C1 | 250 pF |

## Parts list

| part | value |
|:--|:--|
| C1 | 250 pF |
| C1-80m | 200 pF |
| C1 | again |
| **RFC1** | 100 µH |
| a "<b>" part | |

| what | value |
|:--|:--|
| C2 | not a table of parts |

## Margins

| part | stress |
|:--|:--|
| C3 | 1 kV |
`
	html, err := page.Render([]byte(md), page.Assets{Title: "T"})
	require.NoError(t, err)
	s := string(html)
	for _, id := range []string{"part-C1", "part-C1-80m", "part-RFC1"} {
		assert.Equal(t, 1, strings.Count(s, ` id="`+id+`"`), id)
	}
	list := s[strings.Index(s, `id="parts-list"`):]
	assert.Regexp(t, `<tr id="part-C1">\s*<td>C1</td>\s*<td>250 pF`, list)
	assert.Equal(t, 3, strings.Count(s, ` id="part-`), "only rows of the parts list, each part once")
	assert.Equal(t, []string{"part-C9"}, page.Dangling(html))
}
