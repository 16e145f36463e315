//go:build browser

package browser

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// The checks must find what they look for.
func TestChecksFindFaults(t *testing.T) {
	b := Open(t)
	b.Show([]byte(`<!DOCTYPE html><meta name="viewport" content="width=device-width"><title>x</title>
		<p style="color:#999">pale words</p><p>good words</p><svg><text y="20" fill="#ccc">pale drawing</text></svg>
		<div style="width:600px">wide</div><img src="http://127.0.0.1:9/x.png"><script>console.log("said")</script>`), 390, "light")
	assert.Equal(t, []string{"P 2.85 pale words", "text 1.61 pale drawing"}, b.Contrast())
	require.NotEmpty(t, b.Overflow())
	testhelp.Contains(t, b.Overflow()[1], "DIV. 6")
	assert.Len(t, b.Requests(), 2)
	assert.Equal(t, []string{`log: "said"`}, b.Console())
	assert.Equal(t, "%PDF-", string(b.PDF(true)[:5]))
	assert.Equal(t, "\x89PNG", string(b.Screenshot()[:4]))
}
