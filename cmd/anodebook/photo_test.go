//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"anodebook/spec"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// photoSpec has a photograph in the file NAME.
var photoSpec = smallSpec + `[photo.front]
file = "NAME"
alt = "front panel"
section = "bring_up"
`

// TestPhotosStayInTheFolder tries every way out of the spec's folder, and
// files that are no picture.
func TestPhotosStayInTheFolder(t *testing.T) {
	good := string(smallPicture(t))
	dir := besideSecret(t, ".png", good)
	require.NoError(t, os.Mkdir(filepath.Join(dir, "photos"), 0o755))
	put(t, filepath.Join(dir, "photos", "good.png"), good)
	put(t, filepath.Join(dir, "empty.png"), "")
	put(t, filepath.Join(dir, "text.png"), "secret")
	put(t, filepath.Join(dir, "cut.png"), good[:50])
	put(t, filepath.Join(dir, "big.png"), strings.Repeat("\x00", spec.MaxPhoto+1))
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
		path := put(t, filepath.Join(dir, "spec.toml"), strings.Replace(photoSpec, "NAME", name, 1))
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
		testhelp.Contains(t, stderr, "spec.toml:9:1: photo.front.file: ", name)
		testhelp.Contains(t, stderr, want, name)
		testhelp.Lacks(t, stderr, "secret\n", name)
		assert.NoDirExists(t, notebook)
	}
	code, _, stderr := program(strings.Replace(photoSpec, "NAME", "photos/good.png", 1), "check", "-")
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "a spec from standard input has no folder")
}
