package preview

import (
	"fmt"
	"path/filepath"
	"testing"
)

// BenchmarkNotice is the way from a save to the reader's being told, with a
// report that costs nothing to make: what this package adds to the rendering.
func BenchmarkNotice(b *testing.B) {
	spec := filepath.Join(b.TempDir(), "x.toml")
	put(b, spec, "start")
	l := listen(b, servingWith(b, spec, fake)+"/events/x.toml")
	l.until(titled("start"))
	i := 0
	for b.Loop() {
		i++
		word := fmt.Sprint("save", i)
		put(b, spec, word)
		l.until(titled(word))
	}
}
