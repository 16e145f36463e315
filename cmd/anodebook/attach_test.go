//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// measuredSpec has a measured part in the file NAME.
var measuredSpec = smallSpec + `[measured.tank]
file = "NAME"
of = "tank"
band = "80m"
`

// besideSecret makes the folder of a spec: in it good.EXT, and links that lead
// out of it to a secret file of the same content: absolute.EXT, relative.EXT
// and out/secret.EXT.
func besideSecret(t *testing.T, ext, content string) (dir string) {
	t.Helper()
	outside := t.TempDir()
	dir = filepath.Join(t.TempDir(), "spec")
	require.NoError(t, os.Mkdir(dir, 0o755))
	put(t, filepath.Join(dir, "good"+ext), content)
	secret := put(t, filepath.Join(outside, "secret"+ext), content)
	require.NoError(t, os.Symlink(secret, filepath.Join(dir, "absolute"+ext)))
	require.NoError(t, os.Symlink("../../"+filepath.Base(outside)+"/secret"+ext, filepath.Join(dir, "relative"+ext)))
	require.NoError(t, os.Symlink(outside, filepath.Join(dir, "out")))
	return dir
}

// TestMeasuredFilesStayInTheFolder tries every way out of the spec's folder.
func TestMeasuredFilesStayInTheFolder(t *testing.T) {
	const good = "# MHz S RI R 50\n3 0.9 0\n4.5 0.9 0\n"
	dir := besideSecret(t, ".s1p", good)
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "sub", "folder.s1p"), 0o755))
	put(t, filepath.Join(dir, "sub", "good.s1p"), good)
	put(t, filepath.Join(dir, "empty.s1p"), "")
	put(t, filepath.Join(dir, "bad.s1p"), "# MHz S RI R 50\n3 0.9 0\n2 0.9 0\n")
	put(t, filepath.Join(dir, "big.s1p"), strings.Repeat("!\n", 5<<20))
	require.NoError(t, os.Symlink("good.s1p", filepath.Join(dir, "inside.s1p")))
	require.NoError(t, os.Symlink("loop.s1p", filepath.Join(dir, "loop.s1p")))
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "pipe.s1p"), 0o644))
	for name, want := range map[string]string{
		"good.s1p": "", "sub/good.s1p": "", "./sub/../good.s1p": "", "inside.s1p": "",
		"absent.s1p":     `no file "absent.s1p" beside the spec`,
		"absolute.s1p":   "leads out of the spec's folder",
		"relative.s1p":   "leads out of the spec's folder",
		"out/secret.s1p": "leads out of the spec's folder",
		"loop.s1p":       "cannot be read",
		"pipe.s1p":       "is not a plain file",
		"sub/folder.s1p": "is not a plain file",
		"big.s1p":        "bytes; the limit is 4194304",
		"empty.s1p":      "anodebook: empty.s1p:1:1: no data",
		"bad.s1p":        "anodebook: bad.s1p:3:1: 2000000 Hz does not lie above",
		"../x.s1p":       "leads out of the spec's folder",
		"/etc/x.s1p":     "begins at the root of a disk",
	} {
		spec := put(t, filepath.Join(dir, "spec.toml"), strings.Replace(measuredSpec, "NAME", name, 1))
		code, stdout, stderr := program("", "check", spec)
		if want == "" {
			assert.Less(t, code, 2, name)
			testhelp.Contains(t, stdout, "measured.tank.deviation", name)
			assert.Empty(t, stderr, name)
			continue
		}
		assert.Equal(t, 2, code, name)
		testhelp.Contains(t, stderr, want, name)
		testhelp.Lacks(t, stderr, "0.9", name)
	}
}

func TestStandardInputHasNoFolder(t *testing.T) {
	t.Chdir(filepath.Join(root, "examples"))
	code, _, stderr := program(strings.Replace(measuredSpec, "NAME", "measured/tank-80m.s1p", 1), "write", "-", "-o", t.TempDir())
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "anodebook: standard-input:9:1: measured.tank.file: a spec from standard input has no folder")
	testhelp.Contains(t, stderr, "anodebook: hint: save the spec in a file")
}
