package source

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"anodebook/compute/ledger"
)

// The marks of data files; a slip must not pass as memory.
func TestMark(t *testing.T) {
	for word, want := range map[string]ledger.Known{
		"read": "published", "memory": "from memory", "transcribed (1)": "transcribed (1 copy)",
		"transcribed (5)": "transcribed (5 copies)",
	} {
		assert.Equal(t, want, Mark(word))
	}
	for _, slip := range []string{"", "transcribed", "transcribed (0)", "transcribed (-1)", "transcribed (2) or so", "from memory",
		"red"} {
		assert.Panics(t, func() { Mark(slip) }, slip)
	}
	assert.Equal(t, ledger.Transcribed(1).Grade(), ledger.Transcribed(7).Grade())
	assert.Contains(t, ledger.Grades(), ledger.Transcribed(3).Grade())
	assert.Equal(t, ledger.FromMemory, ledger.FromMemory.Grade())
}
