package spec

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCurrency(t *testing.T) {
	const rest = "\n[target]\noutput = \"1000 W\"\nbands = [\"80m\"]\n[tubes]\ntype = \"3-500Z\"\n[supply]\nplate_voltage = \"2800 " +
		"V\"\n"
	for written, good := range map[string]bool{"EUR": true, "£": true, "pieces of eight": true, " ": false, "E\\nUR": false,
		strings.Repeat("x", 21): false} {
		_, err := Read("x.toml", []byte("[notebook]\ncurrency = \""+written+"\""+rest), testNames)
		if good {
			assert.NoError(t, err, written)
			continue
		}
		require.Error(t, err, written)
		assert.Contains(t, err.Error(), "x.toml:2:1: notebook.currency: ")
		assert.Contains(t, err.Error(), "is not a word for a currency")
	}
}
