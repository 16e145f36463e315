package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

func TestDigestOfEveryExample(t *testing.T) {
	line := regexp.MustCompile(`^[a-z_]+\.[^ ]+ = .+$`)
	for _, path := range specs(t)[1:] {
		code, stdout, stderr := program("", "digest", path)
		require.Equal(t, 0, code, stderr)
		testhelp.Lacks(t, stdout, filepath.Base(path), "nothing of where it stood")
		_, results, ok := strings.Cut(stdout, "# results\n")
		require.True(t, ok)
		results, _, _ = strings.Cut(results, "\n\n")
		lines := strings.Split(results, "\n")
		assert.Greater(t, len(lines), 60, path)
		assert.True(t, slices.IsSorted(lines), path)
		seen := map[string]bool{}
		for _, l := range lines {
			testhelp.Matches(t, line, l)
			id, _, _ := strings.Cut(l, " = ")
			assert.False(t, seen[id], id)
			seen[id] = true
		}
		assert.True(t, seen["tubes.plate_current"] && seen["supply.full_load_voltage"] && seen["antenna.output_power"], path)
		_, all, _ := program("", "digest", "--all", path)
		assert.Greater(t, strings.Count(all, "\n"), 2*strings.Count(stdout, "\n"))
	}
}

// The order of keys and how values are written leave no trace but in the
// lines that repeat them.
func TestDigestIsStable(t *testing.T) {
	digest := func(text string) string {
		code, stdout, stderr := program(text, "digest", "-")
		require.Equal(t, 0, code, stderr)
		_, results, _ := strings.Cut(stdout, "# results\n")
		return results
	}
	assert.Equal(t, digest(fourFacts),
		digest("# another order\n[supply]\nplate_voltage = \"2.8 kV\"\n\n\n[tubes]\ntype = \"3-500Z\"\n[target]\nbands = [\"20m\", "+
			"\"80m\"]\noutput = \"1 kW\"\n"))
	code, stdout, stderr := program("[target]\n", "digest", "-")
	assert.Equal(t, 2, code)
	assert.Empty(t, stdout)
	testhelp.Contains(t, stderr, "target.output: missing")
	code, _, _ = program("", "digest")
	assert.Equal(t, 2, code)
	code, _, stderr = program("", "digest", "HEAD:x.toml")
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "digest does not")
}

// In textconv mode nothing at all may fail, and the text of a file that cannot
// be computed is still there to compare.
func TestDigestNeverFailsInTextconvMode(t *testing.T) {
	dir := t.TempDir()
	files, err := filepath.Glob(filepath.Join(root, "testdata", "bad", "*.toml"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	write := func(name, text string) {
		path := filepath.Join(dir, name)
		put(t, path, text)
		files = append(files, path)
	}
	write("empty.toml", "")
	write("noise.toml", "\xff\xfe\x00\x1b[2J\r\n")
	write("huge.toml", strings.Repeat("x", 3<<20))
	files = append(files, filepath.Join(dir, "absent.toml"), dir)
	for _, path := range files {
		code, stdout, stderr := program("", "digest", "--textconv", path)
		assert.Equal(t, 0, code, path)
		assert.Empty(t, stderr, path)
		assert.True(t, strings.HasPrefix(stdout, "# anodebook cannot compute this spec\n"), path)
		testhelp.Lacks(t, stdout, "\x1b", path)
		testhelp.Lacks(t, stdout, dir, "git's own name of the copy would differ each time")
	}
	text, err := os.ReadFile(filepath.Join(root, "testdata", "bad", "missing-tube.toml"))
	require.NoError(t, err)
	_, stdout, _ := program("", "digest", "--textconv", filepath.Join(root, "testdata", "bad", "missing-tube.toml"))
	testhelp.Contains(t, stdout, "\n# its text\n"+string(text))
	testhelp.Contains(t, stdout, "tubes.type: missing")
}

// The three lines of the help, in a real repository.
func TestDigestInGit(t *testing.T) {
	r := newRepo(t)
	r.env = append(r.env, "PATH="+executable(t)+string(os.PathListSeparator)+os.Getenv("PATH"))
	r.commit("my.toml", fourFacts)
	r.commit("my.toml", strings.Replace(fourFacts, "1000 W", "1200 W", 1))
	setup := 0
	for _, line := range strings.Split(digestCommand.help, "\n") {
		if line = strings.TrimSpace(line); strings.HasPrefix(line, "echo ") || strings.HasPrefix(line, "git config ") {
			out, err := r.command("sh", "-c", line)
			require.NoError(t, err, out)
			setup++
		}
	}
	require.Equal(t, 3, setup)

	// only the order changed: the digest is the same
	r.write("my.toml",
		"# mine\n[supply]\nplate_voltage = \"2800 V\"\n[tubes]\ntype = \"3-500Z\"\n[target]\nbands = [\"80m\", \"20m\"]\noutput = "+
			"\"1200 W\"\n")
	testhelp.Lacks(t, r.git("diff", "my.toml"), "\n@@")
	testhelp.Contains(t, r.git("diff", "--no-textconv", "my.toml"), "+# mine")

	r.write("my.toml", strings.Replace(fourFacts, "1000 W", "1400 W", 1))
	diff := r.git("diff", "my.toml")
	testhelp.Contains(t, diff, "-spec.target.output = \"1200 W\"\n+spec.target.output = \"1400 W\"")
	testhelp.Contains(t, diff, "-antenna.output_power = 1200 W\n+antenna.output_power = 1400 W")
	testhelp.Matches(t, `(?m)^-tubes\.plate_current = \d+ mA$`, diff)
	testhelp.Matches(t, `(?m)^@@ .* @@ (results|findings|ratings|parts)$`, diff, "the section stands in the head of a hunk")

	log := r.git("log", "-p", "my.toml")
	testhelp.Contains(t, log, "-antenna.output_power = 1000 W\n+antenna.output_power = 1200 W")

	// a spec that cannot be read stops neither
	r.commit("my.toml", strings.Replace(fourFacts, "1000 W", "1000", 1))
	testhelp.Contains(t, r.git("log", "-p", "-1", "my.toml"), "+# anodebook cannot compute this spec\n")
	r.write("my.toml", "no toml at all\n")
	testhelp.Contains(t, r.git("diff", "my.toml"), "+no toml at all")
}

// The lines for a CI job in the help of compare, in a real repository.
func TestCompareInCI(t *testing.T) {
	_, lines, ok := strings.Cut(compareCommand.help, "the branch to compare with:\n")
	require.True(t, ok)
	lines, _, ok = strings.Cut(lines, "The second line")
	require.True(t, ok)
	job := func(text string) (string, string, error) {
		r := newRepo(t)
		r.env = append(r.env, "PATH="+executable(t)+string(os.PathListSeparator)+os.Getenv("PATH"))
		r.commit("my.toml", fourFacts)
		r.git("update-ref", "refs/remotes/origin/main", "HEAD")
		r.git("checkout", "-q", "-b", "change")
		r.commit("my.toml", text)
		out, err := r.command("sh", "-e", "-c", lines)
		changes, _ := os.ReadFile(filepath.Join(r.dir, "changes.md"))
		return out, string(changes), err
	}
	out, changes, err := job(strings.Replace(fourFacts, "1000 W", "1100 W", 1))
	require.NoError(t, err, out)
	testhelp.Contains(t, changes, `| 2 | target.output | "1000 W" | "1100 W" |`)
	out, changes, err = job(fourFacts + "[tank.tune]\nrange = \"20 .. 250 pF\"\nvoltage = \"1 kV\"\n")
	assert.Error(t, err, "a part beyond its rating fails the job")
	testhelp.Contains(t, out, "exceeds")
	testhelp.Contains(t, changes, "**exceeds**")
	out, _, err = job("nonsense\n")
	assert.Error(t, err)
	testhelp.Contains(t, out, "my.toml:1:")
}
