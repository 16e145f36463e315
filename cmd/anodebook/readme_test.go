package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/spec"
)

var shellBlock = regexp.MustCompile("(?s)```sh\n(.*?)```")

// surroundings is what stands before a command, such as LONG=1.
var surroundings = regexp.MustCompile(`^([A-Z]+=\S+ )+`)

// TestEveryCommandOfTheReadmeWorks runs each command that the documents show.
// The test command itself is what runs this test; that CI uses the same one is
// checked instead.
func TestEveryCommandOfTheReadmeWorks(t *testing.T) {
	here, err := filepath.Abs(root)
	require.NoError(t, err)
	for _, doc := range []string{"README.md", "DEVELOPERS.md"} {
		text, err := os.ReadFile(filepath.Join(root, doc))
		require.NoError(t, err)
		count := 0
		for _, block := range shellBlock.FindAllStringSubmatch(string(text), -1) {
			for _, line := range strings.Split(strings.TrimSpace(block[1]), "\n") {
				line = strings.TrimSpace(strings.TrimPrefix(line, "$ "))
				if line == "" || strings.HasPrefix(line, "#") {
					continue
				}
				count++
				t.Run(line, func(t *testing.T) { documented(t, here, line) })
			}
		}
		assert.Positive(t, count, "%s shows no command", doc)
	}
}

func documented(t *testing.T, here, line string) {
	line = surroundings.ReplaceAllString(line, "")
	words := strings.Fields(line)
	switch {
	case strings.HasPrefix(line, "go run ./cmd/anodebook "), words[0] == "anodebook":
		args := words[1:]
		if words[0] == "go" {
			args = words[3:]
		}
		t.Chdir(t.TempDir())
		for i, a := range args {
			if strings.HasSuffix(a, ".toml") {
				args[i] = filepath.Join(here, a)
			}
		}
		code, stdout, stderr := program("", args...)
		assert.Equal(t, 0, code, stderr)
		assert.NotEmpty(t, stdout)
	case strings.HasPrefix(line, "go test "), strings.HasPrefix(line, "go generate "), strings.HasPrefix(line,
		"go build "), strings.HasPrefix(line, "bash .ci/"), strings.HasPrefix(line, ".ci/"):
		ci, err := os.ReadFile(filepath.Join(here, ".ci", "run"))
		require.NoError(t, err)
		known := strings.Contains(string(ci), line) || line == "bash .ci/run" ||
			strings.HasPrefix(line, "go test ./...") && strings.Contains(string(ci), "go test -race -timeout 20m ./...") ||
			inCI(string(ci), line)
		assert.True(t, known, "%q is shown to readers but CI does not run it", line)
	default:
		t.Errorf("nobody tests the command %q", line)
	}
}

// inCI says whether a documented go command stands in the CI script in the
// same words, its flags in any order; where the output goes is CI's own affair.
func inCI(ci, line string) bool {
	for _, have := range strings.Split(ci, "\n") {
		all := true
		words := strings.Fields(line)
		for i, w := range words {
			all = all && (strings.Contains(have, w) || i > 0 && words[i-1] == "-o")
		}
		if all {
			return true
		}
	}
	return false
}

// TestEverySpecOfTheReadmeIsLegal reads the pieces of a spec that the README
// shows, each below the first, which is whole.
func TestEverySpecOfTheReadmeIsLegal(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(root, "README.md"))
	require.NoError(t, err)
	blocks := regexp.MustCompile("(?s)```toml\n(.*?)```").FindAllStringSubmatch(string(text), -1)
	require.Greater(t, len(blocks), 3)
	for i, b := range blocks {
		source := b[1]
		if i > 0 {
			source = blocks[0][1] + source
		}
		s, err := spec.Read("readme.toml", []byte(source), compute.Names())
		require.NoError(t, err, b[1])
		if len(s.Photo) == 0 {
			_, err = compute.Run(s)
			assert.NoError(t, err, b[1])
		}
	}
}
