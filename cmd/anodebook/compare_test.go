package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// init lets the test program stand in for the real one, where git or a shell
// runs it.
func init() {
	if os.Getenv("ANODEBOOK_TEST_RUNS_PROGRAM") == "yes" {
		os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
	}
}

// executable makes a program called anodebook in a folder and returns that
// folder.
func executable(t *testing.T) string {
	dir := t.TempDir()
	self, err := os.Executable()
	require.NoError(t, err)
	script := "#!/bin/sh\nANODEBOOK_TEST_RUNS_PROGRAM=yes exec '" + self + "' \"$@\"\n"
	require.NoError(t, os.WriteFile(filepath.Join(dir, "anodebook"), []byte(script), 0o755))
	return dir
}

// repo is a git repository in a fresh folder, independent of the settings of
// whoever runs the tests.
type repo struct {
	t   *testing.T
	dir string
	env []string
}

func newRepo(t *testing.T) *repo {
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("git is not installed")
	}
	home := t.TempDir()
	r := &repo{t, t.TempDir(), append(os.Environ(), "HOME="+home, "XDG_CONFIG_HOME="+home, "GIT_CONFIG_NOSYSTEM=1",
		"GIT_AUTHOR_NAME=nobody", "GIT_AUTHOR_EMAIL=nobody@invalid", "GIT_COMMITTER_NAME=nobody", "GIT_COMMITTER_EMAIL=nobody@invalid")}
	t.Setenv("HOME", home)
	t.Setenv("XDG_CONFIG_HOME", home)
	r.git("init", "-q", "-b", "main")
	return r
}

func (r *repo) command(name string, args ...string) (string, error) {
	c := exec.Command(name, args...)
	c.Dir, c.Env = r.dir, r.env
	out, err := c.CombinedOutput()
	return string(out), err
}

func (r *repo) git(args ...string) string {
	r.t.Helper()
	out, err := r.command("git", args...)
	require.NoError(r.t, err, "git %v: %s", args, out)
	return out
}

func (r *repo) write(name, text string) string {
	path := filepath.Join(r.dir, name)
	require.NoError(r.t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(r.t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

func (r *repo) commit(name, text string) {
	r.write(name, text)
	r.git("add", "--", name)
	r.git("commit", "-q", "-m", "change "+name)
}

func TestCompareFiles(t *testing.T) {
	for _, path := range specs(t)[1:] {
		code, stdout, stderr := program("", "compare", path, path)
		assert.Equal(t, 0, code, path)
		testhelp.Contains(t, stdout, "The results are the same.")
		assert.Empty(t, stderr)
	}
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a.toml"), filepath.Join(dir, "b.toml")
	put(t, a, fourFacts)
	more := strings.Replace(fourFacts, "1000 W", "1300 W", 1)
	put(t, b, more)
	code, stdout, stderr := program("", "compare", a, b)
	assert.Equal(t, 1, code)
	assert.Empty(t, stderr)
	testhelp.Contains(t, stdout, `line 2         target.output: "1000 W" → "1300 W"`)
	testhelp.Matches(t, `\+30 %  antenna\.output_power +1000 W → 1300 W`, stdout)
	testhelp.Contains(t, stdout, "more: --all lists them")
	_, all, _ := program("", "compare", "--all", a, b)
	testhelp.Lacks(t, all, "--all lists them")
	assert.Greater(t, len(all), len(stdout))

	code, stdin, _ := program(more, "compare", a, "-")
	assert.Equal(t, 1, code)
	assert.Equal(t, strings.Replace(stdout, b, "standard-input", 1), stdin)

	code, md, _ := program("", "compare", "--markdown", a, b)
	assert.Equal(t, 1, code)
	assert.True(t, strings.HasPrefix(md, "# What changes in the amplifier\n"))
	testhelp.Contains(t, md, `| 2 | target.output | "1000 W" | "1300 W" |`)

	page := filepath.Join(dir, "page.html")
	code, stdout, _ = program("", "compare", "--html", "-o", page, a, b)
	assert.Equal(t, 1, code)
	assert.Empty(t, stdout)
	html, err := os.ReadFile(page)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(html), "<!DOCTYPE html>"))
	assert.Equal(t, 3, strings.Count(string(html), "<svg"))
	code, _, stderr = program("", "compare", "--html", "-o", page, a, b)
	assert.Equal(t, 2, code, "a file that exists stays as it is")
	testhelp.Contains(t, stderr, "exists, not overwritten")
}

func TestCompareErrors(t *testing.T) {
	dir := t.TempDir()
	good, bad := filepath.Join(dir, "good.toml"), filepath.Join(dir, "bad.toml")
	put(t, good, fourFacts)
	put(t, bad, "[tubes]\n")
	t.Chdir(dir)
	for _, x := range []struct {
		args []string
		want string
	}{
		{nil, "0 sides named"},
		{[]string{"a", "b", "c"}, "3 sides named"},
		{[]string{"-", "-"}, "standard input cannot be both sides"},
		{[]string{good, "absent.toml"}, "a side is a file, - for standard input, or REV:PATH"},
		{[]string{good, bad}, "target.output: missing"},
		{[]string{bad, "absent.toml"}, "absent.toml"},
		{[]string{"bad.toml", "absent.toml"}, "bad.toml:1:1: target.bands: missing"},
		{[]string{good, dir}, "is a folder"},
		{[]string{"--markdown", "--html", good, good}, "both --markdown and --html"},
		{[]string{"--threshold", "2", good, good}, `such as --threshold "2 %"`},
		{[]string{"--threshold", "2 V", good, good}, "wanted is a percentage"},
		{[]string{"--threshold", "-1 %", good, good}, "wanted is a percentage"},
		{[]string{"--since", "HEAD", good, good}, "--since wants the name of one file"},
		{[]string{"HEAD:good.toml", good}, "is in no git repository"},
		{[]string{good}, "is in no git repository"},
	} {
		code, stdout, stderr := program(fourFacts, append([]string{"compare"}, x.args...)...)
		assert.Equal(t, 2, code, "%v", x.args)
		assert.Empty(t, stdout, "%v", x.args)
		testhelp.Contains(t, stderr, x.want, "%v", x.args)
	}
}

func TestCompareRevisions(t *testing.T) {
	r := newRepo(t)
	r.commit("amp/my.toml", fourFacts)
	r.git("tag", "-a", "first", "-m", "first")
	r.commit("amp/my.toml", strings.Replace(fourFacts, "1000 W", "1200 W", 1))
	path := r.write("amp/my.toml", strings.Replace(fourFacts, "1000 W", "1400 W", 1))
	t.Chdir(r.dir)
	is := func(code int, want string, args ...string) {
		t.Helper()
		got, stdout, stderr := program("", append([]string{"compare"}, args...)...)
		assert.Equal(t, code, got, "%v: %s", args, stderr)
		testhelp.Contains(t, stdout+stderr, want, "%v", args)
	}
	is(1, "1000 W → 1200 W", "HEAD~1:amp/my.toml", "HEAD:amp/my.toml")
	is(1, "1000 W → 1200 W", "first:./amp/my.toml", "main:amp/my.toml")
	is(1, "1000 W → 1400 W", "first:amp/my.toml", "amp/my.toml")
	is(1, "1200 W → 1400 W", "amp/my.toml")
	is(1, "1200 W → 1400 W", path)
	is(1, "1000 W → 1400 W", "--since", "HEAD~1", "amp/my.toml")
	is(0, "The results are the same.", "HEAD:amp/my.toml", "main:amp/my.toml")
	t.Chdir(filepath.Join(r.dir, "amp"))
	is(1, "1000 W → 1400 W", "first:./my.toml", "my.toml")
	is(1, "1200 W → 1400 W", "my.toml")
	is(2, "the path counts from the top of the repository", "first:my.toml", "my.toml")
	is(2, "git knows no such revision", "HEAD~9:amp/my.toml", "my.toml")
}

// A revision and a path are strangers' text: nothing of it may become an
// option of git, lead out of the repository or run anything.
func TestCompareRefusesBadRevisions(t *testing.T) {
	r := newRepo(t)
	outside := filepath.Join(t.TempDir(), "secret.toml")
	put(t, outside, "a_secret = 1\n")
	r.commit("my.toml", fourFacts)
	require.NoError(t, os.Symlink(outside, filepath.Join(r.dir, "link.toml")))
	r.git("add", "--", "link.toml")
	r.git("commit", "-q", "-m", "a link")
	r.commit("sub/other.toml", fourFacts)
	r.commit("big.toml", strings.Repeat("# filler\n", 1<<17))
	r.commit("odd name;$(touch ran).toml", fourFacts)
	t.Chdir(r.dir)
	for side, want := range map[string]string{
		"-p:my.toml":                    "flag provided but not defined",
		"--output=x:my.toml":            "flag provided but not defined",
		"HEAD..main:my.toml":            "that is a range",
		"HEAD $(touch ran):my.toml":     "is not the name of a revision",
		"HEAD;touch ran:my.toml":        "is not the name of a revision",
		":my.toml":                      "is not the name of a revision",
		"nonesuch:my.toml":              "git knows no such revision",
		"HEAD^{tree}:my.toml":           "names a tree, not a commit",
		"HEAD:absent.toml":              `no file "absent.toml" in HEAD`,
		"HEAD:../x.toml":                "leads out of the repository",
		"HEAD:./../x.toml":              "leads out of the repository",
		"HEAD:/etc/passwd":              "is not a path within a repository",
		"HEAD:":                         "is not a path within a repository",
		"HEAD:a\nb":                     "is not a path within a repository",
		"HEAD:link.toml":                "is not a plain file",
		"HEAD:sub":                      "is not a plain file",
		"HEAD:big.toml":                 "bytes; the limit is",
		"HEAD::(glob)*.toml":            "no file",
		"HEAD:*.toml":                   "no file",
		"HEAD:--output=ran":             "no file",
		"HEAD:odd name;$(touch x).toml": "no file",
	} {
		code, stdout, stderr := program("", "compare", side, "my.toml")
		assert.Equal(t, 2, code, side)
		assert.Empty(t, stdout, side)
		testhelp.Contains(t, stderr, want, side)
		testhelp.Lacks(t, stderr, "a_secret", side)
	}
	code, stdout, stderr := program("", "compare", "HEAD:odd name;$(touch ran).toml", "my.toml")
	assert.Equal(t, 0, code, stderr)
	testhelp.Contains(t, stdout, "The results are the same.")
	code, _, stderr = program("", "compare", "--since", "-x", "my.toml")
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "a revision does not begin with -")
	for _, name := range []string{"ran", "x"} {
		assert.NoFileExists(t, filepath.Join(r.dir, name))
	}
}

// git is asked without the settings that a caller may have left in the
// environment.
func TestCompareKeepsItsOwnRepository(t *testing.T) {
	r, other := newRepo(t), t.TempDir()
	r.commit("my.toml", fourFacts)
	t.Setenv("GIT_DIR", filepath.Join(other, "nowhere"))
	t.Setenv("GIT_WORK_TREE", other)
	t.Chdir(r.dir)
	code, stdout, stderr := program("", "compare", "my.toml")
	assert.Equal(t, 0, code, stderr)
	testhelp.Contains(t, stdout, "The results are the same.")
}

// Measured files come from the same revision as the spec that names them.
func TestCompareReadsMeasuredFilesOfTheRevision(t *testing.T) {
	r := newRepo(t)
	example, err := os.ReadFile(filepath.Join(root, "examples", "measured-tank.toml"))
	require.NoError(t, err)
	files, err := filepath.Glob(filepath.Join(root, "examples", "measured", "*"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	r.write("amp/tank.toml", string(example))
	for _, f := range files {
		b, err := os.ReadFile(f)
		require.NoError(t, err)
		r.write("amp/measured/"+filepath.Base(f), string(b))
	}
	r.git("add", "--", "amp")
	r.git("commit", "-q", "-m", "tank")
	t.Chdir(r.dir)
	code, stdout, stderr := program("", "compare", "amp/tank.toml")
	assert.Equal(t, 0, code, stdout+stderr)
	r.git("rm", "-q", "-r", "--cached", "amp/measured")
	r.git("commit", "-q", "-m", "forget the file")
	code, _, stderr = program("", "compare", "amp/tank.toml")
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "commit the measured file together with the spec")
	code, _, stderr = program("", "compare", "--since", "HEAD~1", "amp/tank.toml")
	assert.Equal(t, 0, code, stderr)
}

// What the README tells of git and of CI is what the help tells, and the help
// is tried in a real repository.
func TestReadmeRepeatsTheHelp(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join(root, "README.md"))
	require.NoError(t, err)
	count := 0
	for _, c := range []*command{compareCommand, digestCommand} {
		for _, line := range strings.Split(c.help, "\n") {
			if strings.HasPrefix(line, "  ") {
				count++
				testhelp.Contains(t, string(readme), strings.TrimSpace(line)+"\n")
			}
		}
	}
	assert.Equal(t, 6, count)
	testhelp.Contains(t, schemaCommand.help, "#:schema ./anodebook.schema.json")
	testhelp.Contains(t, string(readme), "#:schema ./anodebook.schema.json\n")
}
