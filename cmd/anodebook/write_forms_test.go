package main

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

func TestShortFormsComeBesideTheReport(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "notebook")
	code, stdout, stderr := program("", "write", "-o", dir, "--form", "article,bench", "--paper", "Letter")
	require.Equal(t, 0, code, stderr)
	testhelp.Contains(t, stdout, filepath.Join(dir, "article.html"))
	testhelp.Contains(t, stdout, filepath.Join(dir, "bench.html"))
	made := folder(t, dir)
	for _, name := range []string{"report.html", "report.md", "article.html", "article.md", "bench.html", "bench.md"} {
		assert.NotEmpty(t, made[name], name)
		if strings.HasSuffix(name, ".html") {
			assert.True(t, strings.Contains(made[name], "size: letter"), name)
		}
	}
	assert.False(t, strings.Contains(made["article.md"], "](#"), "a number must not link to a derivation that is elsewhere")

	code, stdout, stderr = program("", "write", "-o", dir, "--form", "full")
	require.Equal(t, 0, code, stderr)
	testhelp.Lacks(t, stdout, "article")
	made = folder(t, dir)
	assert.Empty(t, made["article.html"], "a form of an earlier run may not stay beside a newer report")
	assert.Empty(t, made["bench.md"])
	assert.False(t, strings.Contains(made["report.html"], "size: letter"))
}

func TestLengthsOfTheCommandLineComeFirst(t *testing.T) {
	read := func(args ...string) map[string]string {
		dir := t.TempDir()
		code, _, stderr := program("", append([]string{"write", "-o", dir}, args...)...)
		require.Equal(t, 0, code, stderr)
		return folder(t, dir)
	}
	const assumed = "`notebook.lengths`"
	row := func(files map[string]string) string {
		_, rest, _ := strings.Cut(files["report.md"], "| Air needed for all tubes | ")
		line, _, _ := strings.Cut(rest, "\n")
		return line
	}
	metric, inch := read(), read("--lengths", "inch")
	testhelp.Contains(t, row(metric), "m³/h")
	testhelp.Contains(t, row(inch), "CFM")
	assert.True(t, strings.Contains(metric["report.md"], assumed), "metric is assumed where nobody says")
	assert.False(t, strings.Contains(inch["report.md"], assumed), "said on the command line, not assumed")
	same := read("--lengths", "metric", "--form", "full")
	assert.Equal(t, metric["parts.csv"], same["parts.csv"])
	assert.False(t, strings.Contains(same["report.md"], assumed))
}

func TestWriteRefusesUnknownWords(t *testing.T) {
	for _, c := range [][]string{
		{"--form", "poster", `no form "poster"`, "article or bench"},
		{"--form", "article,", `no form ""`, "article or bench"},
		{"--lengths", "yards", `no unit of lengths "yards"`, "--lengths inch"},
		{"--paper", "foolscap", `no paper "foolscap"`, "--paper a4"},
	} {
		dir := filepath.Join(t.TempDir(), "out")
		code, stdout, stderr := program("", "write", "-o", dir, c[0], c[1])
		assert.Equal(t, 2, code, c)
		assert.Empty(t, stdout, c)
		testhelp.Contains(t, stderr, "anodebook: write: "+c[2])
		testhelp.Contains(t, stderr, "anodebook: hint: ")
		testhelp.Contains(t, stderr, c[3])
		assert.NoDirExists(t, dir)
	}
}
