package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"anodebook/compute"
	"anodebook/spec"
	"anodebook/spec/quantity"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const studies = fourFacts + `
[study.q]
kind  = "sweep"
sweep = "tank.loaded_q = 8 .. 16"
steps = 3
watch = "tubes.plate_current, supply.no_load_voltage"
[study.spread]
kind   = "tolerance"
builds = 12
distribution = "normal"
[study.spread.tolerance]
coils = "12 %"
`

// What a sweep prints for a value is what the design of that value has.
func TestStudySweepPrintsTheDesign(t *testing.T) {
	code, out, stderr := program(fourFacts, "study", "-", "--sweep", "tank.loaded_q=8..16", "--steps", "3", "--watch",
		"tubes.plate_current,tank.80m.efficiency")
	require.Equal(t, 0, code, stderr)
	assert.Empty(t, stderr, "no progress where nobody looks")
	s, err := spec.Read("x.toml", []byte(fourFacts+"\n[tank]\nloaded_q = 16\n"), compute.Names())
	require.NoError(t, err)
	d, err := compute.Run(s)
	require.NoError(t, err)
	var row []string
	for _, line := range strings.Split(out, "\n") {
		if w := strings.Fields(line); len(w) > 0 && w[0] == "16" {
			row = w
			break
		}
	}
	require.NotEmpty(t, row, out)
	assert.Equal(t, strings.Fields(quantity.Format(d.Book.Get("tubes.plate_current").Value, "A", 4)), row[1:3])
	assert.Equal(t, strings.Fields(quantity.Format(d.Book.Get("tank.80m.efficiency").Value, "%", 4)), row[3:5])
}

func TestStudyOfTheSpec(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "my.toml")
	put(t, path, studies)
	out := filepath.Join(dir, "out")
	code, text, stderr := program("", "study", path, "-o", out)
	require.Equal(t, 0, code, stderr)
	testhelp.Contains(t, text, "Sweep of tank.loaded_q")
	testhelp.Contains(t, text, "Tolerances: 12 builds")
	testhelp.Contains(t, text, "What to measure before buying")
	testhelp.Contains(t, text, "±12 %")
	testhelp.Lacks(t, text, "uniform")

	rows := sheet(t, filepath.Join(out, "q.csv"))
	require.Len(t, rows, 4)
	assert.Equal(t, []string{"tank.loaded_q", "tubes.plate_current", "supply.no_load_voltage", "exceeds", "impossible"}, rows[0])
	assert.Equal(t, "16", rows[3][0])
	assert.Equal(t, "kind", sheet(t, filepath.Join(out, "spread.csv"))[0][0])
	md, err := os.ReadFile(filepath.Join(out, "study.md"))
	require.NoError(t, err)
	for _, line := range strings.Split(string(md), "\n") { // every figure is there
		if _, rest, ok := strings.Cut(line, "]("); ok && strings.HasPrefix(line, "![") {
			_, err := os.Stat(filepath.Join(out, strings.TrimSuffix(rest, ")")))
			assert.NoError(t, err)
		}
	}
	testhelp.Contains(t, string(md), "![")

	code, one, _ := program("", "study", path, "spread")
	require.Equal(t, 0, code)
	testhelp.Contains(t, text, one, "a study by its name is the same as among all")
}

func sheet(t *testing.T, path string) [][]string {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	require.NoError(t, err)
	return rows
}

func TestStudyGridAndCorners(t *testing.T) {
	code, out, stderr := program(fourFacts, "study", "-", "--sweep", "tank.loaded_q=8..16", "--sweep", "tubes.count=1..3", "--steps",
		"3", "--watch", "tubes.plate_current")
	require.Equal(t, 0, code, stderr)
	testhelp.Contains(t, out, "tank.loaded_q ↓  tubes.count →  1")
	code, out, stderr = program(fourFacts, "study", "-", "--corners", "--tolerances",
		"coils=0 %, strays=0 %, capacitors=0%, resistors=0 %, transformer=0 %", "--watch", "supply.no_load_voltage")
	require.Equal(t, 0, code, stderr)
	testhelp.Contains(t, out, "Lowest and highest")
	testhelp.Contains(t, out, "supply.mains.voltage")
}

func TestStudyRefuses(t *testing.T) {
	for args, want := range map[string][2]string{
		"":                            {"no [study.NAME]", "--sweep"},
		"--sweep tank.loded_q=8..16":  {"tank.loded_q: no such key", "did you mean tank.loaded_q?"},
		"--sweep tank.loaded_q=1..16": {"1 is not plausible", "plausible is 4 to 40"},
		"--sweep tank.loaded_q=8..16 --watch tubes.plate_curent": {"the design has no result of that id",
			"did you mean tubes.plate_current?"},
		"--sweep tank.loaded_q=8..16 --sweep tank.coil_q=100..200 --sweep tubes.count=1..2": {"3 sweeps at once", "two for a grid"},
		"--sweep tank.loaded_q=8..16 --sweep tank.loaded_q=9..10": {"stands on both axes",
			"two different keys"},
		"--sweep tank.loaded_q=8..16 --steps 1":   {"1 steps", "2 to 400"},
		"--sweep tank.loaded_q=8..16 --tolerance": {"more than one kind", "[study.NAME]"},
		"--builds 10":                                      {"--builds without a study", "--tolerance"},
		"--corners --seed 3":                               {"only a tolerance run", "--tolerance"},
		"--tolerance --builds 0":                           {"0 builds", "1 to 1000000"},
		"--tolerance --tolerances coil=3%":                 {`no class of parts "coil"`, "capacitors"},
		"--tolerance --tolerances coils=3":                 {`"coils=3" is not a tolerance`, "coils=10 %"},
		"--tolerance --distribution gauss":                 {`no distribution "gauss"`, "uniform"},
		"spread --tolerance":                               {`"spread" beside a study from flags`, "by its name"},
		"--sweep supply.plate_voltage=2500..3000 --steps3": {"flag provided but not defined", "--help"},
	} {
		code, out, stderr := program(fourFacts, append([]string{"study", "-"}, strings.Fields(args)...)...)
		assert.Equal(t, 2, code, args)
		assert.Empty(t, out, args)
		testhelp.Contains(t, stderr, want[0], args)
		testhelp.Contains(t, stderr, want[1], args)
	}
	code, _, stderr := program(studies, "study", "-", "sprad")
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "did you mean spread?")
	code, _, stderr = program("", "study")
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "no spec named")
}

// Ctrl-C prints what is done and says how many.
func TestStudyInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var out, errs bytes.Buffer
	e := &environment{strings.NewReader(fourFacts), &out, &errs}
	fs := flag.NewFlagSet("study", flag.ContinueOnError)
	f := studyCommand.flags(fs).(*studyFlags)
	require.NoError(t, fs.Parse([]string{"--tolerance", "--builds", "5000"}))
	f.progress = func(done, total int) {
		if done == 15 {
			cancel()
		}
	}
	code, err := e.study(ctx, f, []string{"-"})
	require.NoError(t, err)
	assert.Equal(t, 1, code)
	testhelp.Contains(t, errs.String(), "interrupted")
	testhelp.Matches(t, `Interrupted: (1[5-9]|2\d) of 5000 builds`, out.String())
	testhelp.Contains(t, out.String(), "tubes.plate_current")
}

func TestBar(t *testing.T) {
	assert.Equal(t, "\r[####################....................] 5 of 10", bar(5, 10))
}
