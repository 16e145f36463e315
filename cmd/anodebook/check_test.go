package main

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/physics/tube"
	"anodebook/spec/testhelp"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares with testdata/golden/name; a difference is a change to look
// at, never a proof of anything.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join(root, "testdata", "golden", name)
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		put(t, path, got)
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "run the test with -update to make it")
	assert.Equal(t, string(want), got)
}

func TestCheckOfEveryExample(t *testing.T) {
	for _, path := range specs(t)[1:] {
		name := strings.TrimSuffix(filepath.Base(path), ".toml")
		t.Run(name, func(t *testing.T) {
			code, stdout, stderr := program("", "check", path)
			assert.Empty(t, stderr)
			switch name {
			case "parts-box":
				assert.Equal(t, 1, code, "this example must come out with findings that exceed")
				assert.GreaterOrEqual(t, strings.Count(stdout, "\n  exceeds "), 5)
			case "review-friend": // the three mistakes that are planted in it, and no other
				assert.Equal(t, 1, code, "this example must come out with findings that exceed")
				assert.Equal(t, 3, strings.Count(stdout, "\n  exceeds "))
				for _, mistake := range []string{"supply.R3.bleeder_power_each", "plate_feed.C3.blocking_voltage",
					"tank.S1.switch_voltage_peak."} {
					testhelp.Contains(t, stdout, "\n  exceeds  "+mistake)
				}
			default:
				assert.Equal(t, 0, code, stdout)
			}
			golden(t, "check-"+name+".txt", strings.ReplaceAll(stdout, path, filepath.Base(path)))
		})
	}
}

func TestCheckReportsEveryUnreadableSpec(t *testing.T) {
	dir := t.TempDir()
	bad := filepath.Join(dir, "bad.toml")
	put(t, bad, "[tubes]\ntype = \"3-500Z\"\n")
	code, stdout, stderr := program("", "check", bad, filepath.Join(root, "examples", "club-station.toml"),
		filepath.Join(dir, "absent.toml"))
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "target.output: missing")
	testhelp.Contains(t, stderr, "absent.toml")
	testhelp.Contains(t, stdout, "club-station.toml", "a good spec beside a bad one is still checked")
}

func TestCommandsExplainThemselves(t *testing.T) {
	for _, c := range commands() {
		code, stdout, stderr := program("", c.name, "--help")
		assert.Equal(t, 0, code)
		assert.Empty(t, stderr)
		testhelp.Contains(t, stdout, "usage: anodebook "+c.name)
		testhelp.Contains(t, stdout, "example:\n  anodebook "+c.name)
	}
	code, stdout, _ := program("", "--help")
	assert.Equal(t, 0, code)
	for _, c := range commands() {
		testhelp.Contains(t, stdout, c.summary)
	}
	code, _, stderr := program("", "wirte")
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, `unknown command "wirte"`)
	code, _, stderr = program("", "check", "--nonsense", "x")
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "anodebook: hint: ")
	code, _, _ = program("")
	assert.Equal(t, 2, code)
}

func TestTubes(t *testing.T) {
	code, stdout, stderr := program("", "tubes")
	require.Equal(t, 0, code, stderr)
	for _, want := range []string{"3-500Z", "8877", "811A", "572B", "3CX800A7", "3-400Z"} {
		testhelp.Contains(t, stdout, want)
	}
	code, stdout, _ = program("", "tubes", "3-500z")
	assert.Equal(t, 0, code)
	testhelp.Contains(t, stdout, "published operating columns")
	testhelp.Contains(t, stdout, "static model (fit)")
	testhelp.Contains(t, stdout, "+", "errors carry their sign")
	code, _, stderr = program("", "tubes", "nonesuch")
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "not in the catalogue")
}

func TestTubesFilter(t *testing.T) {
	code, stdout, _ := program("", "tubes", "--min-output", "2 kW", "--max-voltage", "3 kV")
	assert.Equal(t, 0, code)
	testhelp.Contains(t, stdout, "8877", "two give 2 × 1520 W at 2500 V (published)")
	testhelp.Lacks(t, stdout, "811A", "two give 330 W")
	testhelp.Lacks(t, stdout, "3-500Z", "two give 2 × 750 W at 3000 V")
	_, stdout, _ = program("", "tubes", "--min-output", "100kW")
	testhelp.Contains(t, stdout, "no type of the catalogue")
	code, _, stderr := program("", "tubes", "--max-voltage", "3 A")
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "wanted is a voltage")
}

func TestTubeCurves(t *testing.T) {
	for _, x := range tube.All() {
		dir := filepath.Join(t.TempDir(), "curves")
		code, _, stderr := program("", "tubes", x.Name, "-o", dir)
		if x.Kind == tube.NoModel {
			assert.Equal(t, 2, code, x.Name)
			testhelp.Contains(t, stderr, "no curves", x.Name)
			assert.NoDirExists(t, dir)
			continue
		}
		require.Equal(t, 0, code, "%s: %s", x.Name, stderr)
		for _, name := range []string{"constant-current.svg", "plate-characteristics.svg"} {
			b, err := os.ReadFile(filepath.Join(dir, name))
			require.NoError(t, err)
			testhelp.Contains(t, string(b), "<svg")
			testhelp.Lacks(t, string(b), "NaN")
		}
	}
}
