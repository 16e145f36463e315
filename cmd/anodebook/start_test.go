package main

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/spec"
	"anodebook/spec/testhelp"
)

// begun runs start and reads what comes out.
func begun(t *testing.T, args ...string) (string, *spec.Spec) {
	t.Helper()
	code, stdout, stderr := program("", append([]string{"start"}, args...)...)
	require.Equal(t, 0, code, stderr)
	s, err := spec.Read("out.toml", []byte(stdout), compute.Names())
	require.NoError(t, err)
	for i, line := range strings.Split(stdout, "\n") {
		assert.LessOrEqual(t, utf8.RuneCountInString(line), 100, "line %d: %s", i+1, line)
	}
	return stdout, s
}

// TestStartPassesCheckForEveryTube also holds the default output to what the
// type gives: no more than published for a pair, and no trifle.
func TestStartPassesCheckForEveryTube(t *testing.T) {
	for _, x := range tube.All() {
		t.Run(x.Name, func(t *testing.T) {
			if x.Kind == tube.NoModel {
				code, stdout, stderr := program("", "start", "--tube", x.Name)
				assert.Equal(t, 2, code)
				assert.Empty(t, stdout)
				testhelp.Contains(t, stderr, "anodebook: start: --tube: "+x.Name+" has no model")
				testhelp.Contains(t, stderr, "anodebook: hint: types with a model: ")
				return
			}
			file := filepath.Join(t.TempDir(), "new.toml")
			code, stdout, stderr := program("", "start", "--tube", x.Name, "-o", file)
			require.Equal(t, 0, code, stderr)
			assert.Empty(t, stderr)
			testhelp.Contains(t, stdout, "0 exceeds")
			code, stdout, stderr = program("", "check", file)
			assert.Equal(t, 0, code, stdout+stderr)
			s, err := spec.Load(file, compute.Names())
			require.NoError(t, err)
			assert.Equal(t, x.Name, s.Tubes.Type.Value)
			d, err := compute.Run(s)
			require.NoError(t, err)
			assert.NotEqual(t, ledger.Exceeds, d.Book.Worst())
			most, published := 0.0, false
			for _, c := range x.ColumnsEach() {
				if c.Output.Known {
					most, published = max(most, 2*c.Output.Value), true
				}
				published = published || c.PlateVoltage.Known
			}
			if published {
				assert.LessOrEqual(t, s.Target.Output.SI, most)
				found := x.Name == "3-500Z" // as in the starter
				for _, c := range x.ColumnsEach() {
					found = found || c.PlateVoltage.Value == s.Supply.PlateVoltage.SI
				}
				assert.True(t, found, "the plate voltage is that of a published column")
			}
			assert.GreaterOrEqual(t, s.Target.Output.SI, 100.0)
		})
	}
}

func TestStartWithoutFlagsIsTheStarter(t *testing.T) {
	_, s := begun(t)
	e := &environment{strings.NewReader(""), nil, nil}
	starter, err := e.load("")
	require.NoError(t, err)
	assert.Equal(t, starter.Target.Output.SI, s.Target.Output.SI)
	assert.Equal(t, starter.Target.Bands.Values, s.Target.Bands.Values)
	assert.Equal(t, starter.Tubes.Type.Value, s.Tubes.Type.Value)
	assert.Equal(t, starter.Supply.PlateVoltage.SI, s.Supply.PlateVoltage.SI)
	assert.Equal(t, starter.Assumptions, s.Assumptions, "nothing else is said")
}

func TestStartWithEveryFlag(t *testing.T) {
	title := strings.Repeat(`A "long" title with \ and µ, `, 9) + strings.Repeat("x", 200) + strings.Repeat(" ", 120) +
		"\t\x1b[31m\nend"
	text, s := begun(t, "--tube=8877", "--output", "1.2 kW", "--bands", "160m, 40m 10m", "--plate-voltage", "3.6 kV", "--rules",
		"general", "--lengths", "inch", "--title", title, "--restoration")
	assert.Equal(t, "8877", s.Tubes.Type.Value)
	assert.Equal(t, 1200.0, s.Target.Output.SI)
	assert.Equal(t, []string{"160m", "40m", "10m"}, s.Target.Bands.Values)
	assert.Equal(t, 3600.0, s.Supply.PlateVoltage.SI)
	assert.Equal(t, "general", s.Notebook.Rules.Value)
	assert.True(t, s.Notebook.Rules.Given)
	assert.Equal(t, "inch", s.Notebook.Lengths.Value)
	assert.Equal(t, title, s.Notebook.Title.Value, "to the letter")
	assert.Equal(t, "restoration", s.Notebook.Purpose.Value)
	testhelp.Contains(t, text, "A restoration: write what you found under [survey.NAME]")
	testhelp.Lacks(t, text, "\x1b")

	_, s = begun(t, "--output", "500W")
	assert.Equal(t, 1500.0, s.Supply.PlateVoltage.SI,
		"the lowest published column in which two 3-500Z give 500 W (2 × 330 W at 1500 V)")
	_, s = begun(t, "--plate-voltage", "2 kV", "--rules", "us")
	assert.LessOrEqual(t, s.Target.Output.SI, 1000.0, "published: 2 × 500 W at 2000 V")
	assert.Greater(t, s.Target.Output.SI, 800.0)
	assert.True(t, s.Notebook.Rules.Given, "what was said is written, though it is the default")
}

func TestStartExplainsEveryKey(t *testing.T) {
	text, _ := begun(t)
	table := ""
	seen := map[string]string{} // comment by key
	comment := ""
	key := regexp.MustCompile(`^#?([a-zA-Z0-9_]+) += (.+)$`)
	for _, line := range strings.Split(text, "\n") {
		switch m := key.FindStringSubmatch(line); {
		case strings.HasPrefix(strings.TrimPrefix(line, "#"), "["):
			table, comment = strings.Trim(line, "#[]"), ""
		case m != nil:
			seen[table+"."+m[1]] = comment
			comment = ""
		case strings.HasPrefix(line, "# "):
			comment += line[1:]
		}
	}
	keys := spec.Keys(compute.Names())
	require.Greater(t, len(keys), 200)
	for _, k := range keys {
		got, ok := seen[k.Table+"."+k.Name]
		require.True(t, ok, "%s.%s", k.Table, k.Name)
		testhelp.Contains(t, got, k.Doc)
		if k.Default != "" {
			testhelp.Contains(t, got, "assumed: "+k.Why)
		}
	}
	// all of it without the marks is TOML, and taking the default of every key
	// changes nothing but what counts as assumed
	whole := regexp.MustCompile(`(?m)^#([a-z\[A-Z])`).ReplaceAllString(text, "$1")
	var tree map[string]any
	_, err := toml.Decode(whole, &tree)
	require.NoError(t, err)
	bare := regexp.MustCompile(`(?m)^#`)
	var lines []string
	assumed := map[string]bool{}
	for _, k := range keys {
		assumed[k.Table+"."+k.Name] = k.Default != ""
	}
	table = ""
	for _, line := range strings.Split(text, "\n") {
		if strings.HasPrefix(line, "[") || strings.HasPrefix(line, "#[") {
			table = strings.Trim(line, "#[]")
		}
		if m := key.FindStringSubmatch(line); m != nil && assumed[table+"."+m[1]] && !strings.Contains(table, "tubes.custom") &&
			m[1] != "intermediate_resistance" { // a pi-L has it, and the default is a pi
			line = bare.ReplaceAllString(line, "")
		}
		lines = append(lines, line)
	}
	s, err := spec.Read("defaults.toml", []byte(strings.Join(lines, "\n")), compute.Names())
	require.NoError(t, err)
	for _, a := range s.Assumptions {
		testhelp.Contains(t, []string{"tank.intermediate_resistance"}, a.Key)
	}
}

func TestStartRefuses(t *testing.T) {
	for _, c := range []struct {
		want, hint string
		args       []string
	}{
		{`--output: "5": a power needs a unit`, "for example", []string{"--output", "5"}},
		{`--output: "5 V" is a voltage; wanted is a power`, "", []string{"--output", "5 V"}},
		{`--plate-voltage: `, "V", []string{"--plate-voltage", "2 V"}},
		{`--tube: "3-500" is not known here`, "3-500Z", []string{"--tube", "3-500"}},
		{`--tube: a tube of your own is described in the spec itself`, "[tubes.custom]", []string{"--tube", "custom"}},
		{`--bands: "80" is not known here`, "80m", []string{"--bands", "80"}},
		{`--rules: "mars" is not known here`, "us", []string{"--rules", "mars"}},
		{`--lengths: `, "metric", []string{"--lengths", "feet"}},
		{`--lengths: empty`, "metric", []string{"--lengths", ""}},
		{`"notes" is no flag`, "", []string{"notes"}},
		{`neither true nor false`, "", []string{"--restoration=maybe"}},
		{`--lengths: `, "", []string{"--output", "5", "--lengths", "feet"}}, // all at once
	} {
		dir := t.TempDir()
		code, stdout, stderr := program("", append([]string{"start", "-o", filepath.Join(dir, "x.toml")}, c.args...)...)
		assert.Equal(t, 2, code, c.args)
		assert.Empty(t, stdout)
		testhelp.Contains(t, stderr, c.want)
		testhelp.Contains(t, stderr, "anodebook: hint: ", c.args)
		testhelp.Contains(t, stderr, c.hint)
		assert.Empty(t, folder(t, dir), "nothing is written")
	}
	_, _, stderr := program("", "start", "--output", "5", "--lengths", "feet")
	testhelp.Contains(t, stderr, "--output: ")
	testhelp.Contains(t, stderr, "--lengths: ")

	file := filepath.Join(t.TempDir(), "mine.toml")
	put(t, file, "mine")
	code, stdout, stderr := program("", "start", "-o", file)
	assert.Equal(t, 2, code)
	assert.Empty(t, stdout)
	testhelp.Contains(t, stderr, "is there already and is not overwritten")
	assert.ErrorIs(t, writeNew(file, []byte("x")), fs.ErrExist, "nor where it came meanwhile")
	b, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "mine", string(b))
}

func TestStartSaysWhatExceeds(t *testing.T) {
	code, stdout, stderr := program("", "start", "--tube", "572B", "--output", "1500W", "--plate-voltage", "2700V")
	require.Equal(t, 0, code, stderr)
	assert.NotEmpty(t, stdout, "it is what was asked for")
	testhelp.Matches(t, `anodebook: note: [1-9]\d* exceeds`, stderr)
}

// answers runs the interview.
func answers(t *testing.T, lines ...string) (facts, string, error) {
	t.Helper()
	var screen bytes.Buffer
	f := facts{}
	err := interview(strings.NewReader(strings.Join(lines, "\n")+"\n"), &screen, f)
	return f, screen.String(), err
}

func TestInterview(t *testing.T) {
	// Enter, eight times: the starter
	f, screen, err := answers(t, "", "", "", "", "", "", "", "")
	require.NoError(t, err)
	base, err := starterFacts()
	require.NoError(t, err)
	assert.Equal(t, base, f)
	testhelp.Contains(t, screen, "tube type [3-500Z]: ")
	testhelp.Contains(t, screen, "peak envelope power at the antenna connector [1000 W]: ")

	// mistakes are told and asked again; what is proposed follows the tube
	f, screen, err = answers(t, "restauration", "restoration", "813", "572", "572B", "80m, 41m", "80m 40m", "", "600", "", "", "inch",
		`The "Old" One`)
	require.NoError(t, err)
	assert.Equal(t, facts{purposeKey: "restoration", tubeKey: "572B", bandsKey: "80m 40m", rulesKey: "us", outputKey: f[outputKey],
		voltageKey: "2400 V", lengthsKey: "inch", titleKey: `The "Old" One`}, f)
	assert.Less(t, siOf(f[outputKey]), 601.0, "published: 2 × 300 W")
	for _, want := range []string{"hint: ", `did you mean "restoration"?`, "813 has no model", `did you mean "572B"?`,
		`"41m" is not known here`, `"600": a power needs a unit`, "plate voltage under load [2400 V]: "} {
		testhelp.Contains(t, screen, want)
	}
	assert.Equal(t, 2, strings.Count(screen, "peak envelope power"), "asked again")
	_, stdout, _ := program("", "help", "start")
	testhelp.Contains(t, stdout, "--restoration")
	var out bytes.Buffer
	e := &environment{strings.NewReader(""), &out, &out}
	code, err := e.start(f, "")
	require.NoError(t, err)
	require.Equal(t, 0, code)
	s, err := spec.Read("x.toml", out.Bytes(), compute.Names())
	require.NoError(t, err)
	assert.Equal(t, `The "Old" One`, s.Notebook.Title.Value)

	// broken off
	_, _, err = answers(t, "", "572B")
	assert.ErrorContains(t, err, "broken off")
}

func TestOnlyATerminalIsAsked(t *testing.T) {
	assert.False(t, terminal(strings.NewReader("x")))
	null, err := os.Open(os.DevNull)
	require.NoError(t, err)
	defer null.Close()
	assert.False(t, terminal(null))
	file, err := os.Create(filepath.Join(t.TempDir(), "file"))
	require.NoError(t, err)
	defer file.Close()
	assert.False(t, terminal(file))
	r, w, err := os.Pipe()
	require.NoError(t, err)
	defer r.Close()
	defer w.Close()
	assert.False(t, terminal(r))
}
