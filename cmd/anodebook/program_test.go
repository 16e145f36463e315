package main

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// fourFacts is the shortest spec: it states what every spec must.
const fourFacts = `[target]
output = "1000 W"
bands = ["80m", "20m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2800 V"
`

// smallSpec is the least that gives a notebook: fourFacts on one band.
var smallSpec = strings.Replace(fourFacts, `"80m", "20m"`, `"80m"`, 1)

// program runs the whole program in process.
func program(stdin string, args ...string) (code int, stdout, stderr string) {
	var out, errs bytes.Buffer
	code = run(args, strings.NewReader(stdin), &out, &errs)
	return code, out.String(), errs.String()
}

// root is the top of the repository, seen from this package.
const root = "../.."

// specs are the starter and every example.
func specs(t *testing.T) []string {
	t.Helper()
	list, err := filepath.Glob(filepath.Join(root, "examples", "*.toml"))
	require.NoError(t, err)
	require.NotEmpty(t, list)
	return append([]string{""}, list...)
}

// folder are the files of a folder and below, by their names from there.
func folder(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		b, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		out[filepath.ToSlash(rel)] = string(b)
		return err
	}))
	return out
}

// visibleFiles are the files of a notebook without the hidden ones.
func visibleFiles(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := folder(t, dir)
	for n := range out {
		if strings.HasPrefix(n, ".") {
			delete(out, n)
		}
	}
	return out
}

// put writes a file and returns its path.
func put(t testing.TB, path, text string) string {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

// saved writes a spec to a folder of its own and returns its path.
func saved(t testing.TB, text string) string {
	t.Helper()
	return put(t, filepath.Join(t.TempDir(), "s.toml"), text)
}

// smallPicture is a grey PNG of 40 × 30.
func smallPicture(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, image.NewGray(image.Rect(0, 0, 40, 30))))
	return b.Bytes()
}
