//go:build unix

package main

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// customSpec has a tube of the builder's own, without its name.
const customSpec = `[target]
output = "500 W"
bands = ["80m"]
[supply]
plate_voltage = "2000 V"
[tubes]
type = "custom"
[tubes.custom]
`

// TestHostileSpecs reads specs that are no specs. Each ends with an error of
// the program's own form, and nothing is written.
func TestHostileSpecs(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string { return put(t, filepath.Join(dir, name), text) }
	require.NoError(t, os.Symlink("loop.toml", filepath.Join(dir, "loop.toml")))
	cases := map[string]string{
		write("ten-megabytes.toml", strings.Repeat("# ten bytes\n", 10<<20/12)):                          "too large",
		write("deep.toml", "a = "+strings.Repeat("[", 100000)):                                           "deep.toml:1:",
		write("huge.toml", strings.Replace(smallSpec, "1000 W", "1e999 W", 1)):                           "target.output",
		write("digits.toml", strings.Replace(smallSpec, "1000 W", strings.Repeat("9", 5000), 1)):         "target.output",
		write("nan.toml", smallSpec+"[tank]\nloaded_q = nan\n"):                                          "tank.loaded_q",
		write("infinite.toml", smallSpec+"[tank]\nloaded_q = inf\n"):                                     "tank.loaded_q",
		write("study.toml", smallSpec+"[study.x]\nkind = \"sweep\"\nsweep = \"<script>$x$ = 1 .. 2\"\n"): "study.x.sweep",
		write("name.toml",
			customSpec+"name = \"<b>$x$\"\n"): "is not a name for a tube",
		write("negative.toml", smallSpec+"[tank]\nloaded_q = -1e308\n"):                                         "tank.loaded_q",
		write("count.toml", strings.Replace(smallSpec, "[supply]", "count = 9223372036854775807\n[supply]", 1)): "tubes.count",
		write("binary.toml", "\x7fELF\x00\x01\xff\xfe"):                                                         "",
		write("empty.toml", ""): "missing",
		write("outside.toml", strings.Replace(measuredSpec, "NAME", "../../etc/passwd.s1p", 1)): "leads out",
		filepath.Join(dir, "loop.toml"): "",
		dir:                             "folder",
	}
	if runtime.GOOS == "linux" {
		cases["/dev/zero"] = "too large"
		cases["/proc/self/mem"] = ""
	}
	for path, want := range cases {
		t.Run(filepath.Base(path), func(t *testing.T) {
			out := filepath.Join(t.TempDir(), "out")
			code, stdout, stderr := program("", "write", path, "-o", out)
			assert.Equal(t, 2, code)
			assert.Empty(t, stdout)
			assert.True(t, strings.HasPrefix(stderr, "anodebook: "), stderr)
			testhelp.Contains(t, stderr, want)
			assert.Less(t, len(stderr), 3000)
			assert.NoDirExists(t, out)
		})
	}
}
