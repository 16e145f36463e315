package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// shipped are the schemas beside the examples, by the flag that prints them.
var shipped = map[string][]string{
	"anodebook.schema.json": {"schema"},
	"results.schema.json":   {"schema", "--results"},
}

// The schemas that are shipped are those that the program prints. After a new
// key: go test ./cmd/anodebook -run Schema -update.
func TestShippedSchemas(t *testing.T) {
	for name, args := range shipped {
		code, stdout, stderr := program("", args...)
		require.Equal(t, 0, code, stderr)
		path := filepath.Join(root, "examples", name)
		if *update {
			put(t, path, stdout)
		}
		have, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.True(t, string(have) == stdout, "%s is not what anodebook %s prints: go test ./cmd/anodebook -run Schema -update", path,
			strings.Join(args, " "))
	}
	code, _, stderr := program("", "schema", "x")
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "nothing is to be named")
}

// results.json of every example passes its schema; one of a newer version, or
// with a word or a field that the schema does not know, does not.
func TestResultsPassTheirSchema(t *testing.T) {
	_, text, _ := program("", "schema", "--results")
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("results.json", doc))
	s, err := c.Compile("results.json")
	require.NoError(t, err)
	for _, path := range testhelp.Sample(specs(t)[1:], 3) {
		dir := t.TempDir()
		code, _, stderr := program("", "write", path, "-o", dir)
		require.Equal(t, 0, code, stderr)
		results, err := os.ReadFile(filepath.Join(dir, "results.json"))
		require.NoError(t, err)
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(results))
		require.NoError(t, err)
		require.NoError(t, s.Validate(v), path)
		for old, wrong := range map[string]string{
			`"schema": 1`:             `"schema": 2`,
			`"severity": "caution"`:   `"severity": "grave"`,
			`"from": "computed"`:      `"from": "somewhere"`,
			`"unit": "V"`:             `"volts": "V"`,
			`"verdict": "within"`:     `"verdict": "perhaps"`,
			`"required_factor": 1.25`: `"required_factor": "1.25"`,
		} {
			bad := bytes.Replace(results, []byte(old), []byte(wrong), 1)
			require.NotEqual(t, string(results), string(bad), old)
			v, err := jsonschema.UnmarshalJSON(bytes.NewReader(bad))
			require.NoError(t, err)
			assert.Error(t, s.Validate(v), wrong)
		}
	}
}

func TestNewerSpecIsRefused(t *testing.T) {
	for _, command := range []string{"check", "digest", "write"} {
		code, stdout, stderr := program("schema = 2\n"+fourFacts, command, "-")
		assert.Equal(t, 2, code)
		assert.Empty(t, stdout)
		testhelp.Contains(t, stderr,
			"standard-input:1:1: schema: version 2 of the format is newer than this program, which knows version 1")
		testhelp.Contains(t, stderr, "hint: use a newer anodebook")
	}
	code, _, stderr := program("schema = 1\n"+fourFacts, "digest", "-")
	assert.Equal(t, 0, code, stderr)
}
