//go:build unix

package main

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"anodebook/spec"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const photoSpec = `[target]
output = "1000 W"
bands = ["80m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2800 V"
[photo.front]
file = "NAME"
alt = "front panel"
section = "bring_up"
`

// TestPhotosStayInTheFolder tries every way out of the spec's folder, and
// files that are no picture.
func TestPhotosStayInTheFolder(t *testing.T) {
	outside := t.TempDir()
	dir := filepath.Join(t.TempDir(), "spec")
	var good bytes.Buffer
	require.NoError(t, png.Encode(&good, image.NewGray(image.Rect(0, 0, 40, 30))))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "photos"), 0o755))
	write := func(path string, b []byte) { require.NoError(t, os.WriteFile(path, b, 0o644)) }
	write(filepath.Join(outside, "secret.png"), good.Bytes())
	write(filepath.Join(dir, "photos", "good.png"), good.Bytes())
	write(filepath.Join(dir, "empty.png"), nil)
	write(filepath.Join(dir, "text.png"), []byte("secret"))
	write(filepath.Join(dir, "cut.png"), good.Bytes()[:50])
	write(filepath.Join(dir, "big.png"), make([]byte, spec.MaxPhoto+1))
	require.NoError(t, os.Symlink(filepath.Join(outside, "secret.png"), filepath.Join(dir, "absolute.png")))
	require.NoError(t, os.Symlink("../../"+filepath.Base(outside)+"/secret.png", filepath.Join(dir, "relative.png")))
	require.NoError(t, os.Symlink(outside, filepath.Join(dir, "out")))
	for name, want := range map[string]string{
		"photos/good.png": "",
		"absent.png":      `no file "absent.png" beside the spec`,
		"absolute.png":    "leads out of the spec's folder",
		"relative.png":    "leads out of the spec's folder",
		"out/secret.png":  "leads out of the spec's folder",
		"photos":          "is not a plain file",
		"big.png":         "bytes; the limit is 12582912",
		"empty.png":       "neither a JPEG nor a PNG picture",
		"text.png":        "neither a JPEG nor a PNG picture",
		"cut.png":         "a damaged picture",
	} {
		path := filepath.Join(dir, "spec.toml")
		write(path, []byte(strings.Replace(photoSpec, "NAME", name, 1)))
		notebook := filepath.Join(t.TempDir(), "notebook")
		code, stdout, stderr := program("", "write", path, "-o", notebook)
		if want == "" {
			assert.Equal(t, 0, code, stderr)
			made := folder(t, notebook)
			assert.True(t, strings.HasPrefix(made["photos/front.jpg"], "\xff\xd8\xff"))
			assert.True(t, strings.Contains(made["report.md"], `](photos/front.jpg "front panel")`))
			continue
		}
		assert.Equal(t, 2, code, name)
		assert.Empty(t, stdout, name)
		assert.Contains(t, stderr, "spec.toml:9:1: photo.front.file: ", name)
		assert.Contains(t, stderr, want, name)
		assert.NotContains(t, stderr, "secret\n", name)
		assert.NoDirExists(t, notebook)
	}
	code, _, stderr := program(strings.Replace(photoSpec, "NAME", "photos/good.png", 1), "check", "-")
	assert.Equal(t, 2, code)
	assert.Contains(t, stderr, "a spec from standard input has no folder")
}
