package spec

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rewrite records the messages anew; every changed line is then read by a
// person before it is committed.
var rewrite = flag.Bool("rewrite", false, "rewrite testdata/bad/*.want")

// testNames stand in for the catalogue, so that a new tube changes no message.
var testNames = Names{
	Tubes: []string{"3-400Z", "3-500Z", "4-400A", "572B", "811A", "813", "8877", "3CX800A7", CustomType},
	Rules: []string{"us", "general"},
}

// shown writes an error as the program prints it.
func shown(err error) string {
	clean := func(s string) string {
		return strings.Map(func(r rune) rune {
			if r != '\n' && r != '\t' && (r < ' ' || r >= 0x7f && r < 0xa0) {
				return '�'
			}
			return r
		}, s)
	}
	var ps Problems
	if !errors.As(err, &ps) {
		return "anodebook: " + clean(err.Error()) + "\n"
	}
	var b strings.Builder
	for _, p := range ps {
		fmt.Fprintf(&b, "anodebook: %s\n", clean(p.Error()))
		if p.Hint != "" {
			fmt.Fprintf(&b, "anodebook: hint: %s\n", clean(p.Hint))
		}
	}
	return b.String()
}

func badSpecs(t testing.TB) []string {
	files, err := filepath.Glob("../testdata/bad/*.toml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 45)
	return files
}

func TestBadSpecs(t *testing.T) {
	for _, path := range badSpecs(t) {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".toml"), func(t *testing.T) {
			src, err := os.ReadFile(path)
			require.NoError(t, err)
			s, err := Read(filepath.Base(path), src, testNames)
			require.Error(t, err)
			require.Nil(t, s)
			got := shown(err)
			wantFile := strings.TrimSuffix(path, ".toml") + ".want"
			if *rewrite {
				require.NoError(t, os.WriteFile(wantFile, []byte(got), 0o644))
			}
			want, err := os.ReadFile(wantFile)
			require.NoError(t, err)
			assert.Equal(t, string(want), got)
		})
	}
}
