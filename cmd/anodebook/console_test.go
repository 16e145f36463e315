package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// hostileName is a file name that clears the screen, sets a title, turns the
// direction of writing, and forges a line.
const hostileName = "a\x1b[2J\x1b]0;x\x07\u202eb\u009bm\nanodebook: all is well\x7f"

// isClean says that nothing but printing characters and ends of lines reached
// the terminal.
func isClean(t *testing.T, what, text string) {
	t.Helper()
	for _, bad := range []string{"\x1b", "\x07", "\x7f", "\r", "\u009b", "\u202e", "\u2028"} {
		testhelp.Lacks(t, text, bad, what)
	}
	for line := range strings.Lines(text) {
		assert.False(t, strings.HasPrefix(line, "anodebook: all is well"), "%s: a forged line in %q", what, text)
	}
}

// TestNoEscapesReachTheTerminal hands every command a path, and the words of a
// spec, that try to steer the terminal.
func TestNoEscapesReachTheTerminal(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	name := hostileName + ".toml"
	if err := os.WriteFile(name, []byte(smallSpec), 0o644); err != nil {
		t.Skip("this file system has no such names")
	}
	put(t, "good.toml", smallSpec)
	// escapes of TOML in keys, words, values and names of tables
	put(t, "bad.toml",
		"[\"\\u001b[2J\"]\n\"\\u001b]0;x\\u0007\\nanodebook: all is well\" = 1\n[target]\noutput = \"1\\u009bm \\u202e W\\nanodebook: "+
			"all is well\"\n"+
			"bands = [\"\\u001b[31m\"]\n[tubes]\ntype = \"\\u001b[2J\"\n[study.\"\\u001b[2J\"]\nkind = \"\\u001b\"\n")
	for _, args := range [][]string{
		{"check", name}, {"check", "no" + name}, {"check", "bad.toml"},
		{"write", name}, {"write", name, "-o", "out" + hostileName, "--form", "article,bench"}, {"write", "bad.toml"},
		{"write", "good.toml", "--form", hostileName},
		{"compare", name, "good.toml"}, {"compare", "good.toml", "bad.toml"}, {"compare", "--markdown", name, "good.toml"},
		{"compare", "HEAD:" + hostileName, "good.toml"},
		{"digest", name}, {"digest", "--textconv", "bad.toml"}, {"digest", "no" + name},
		{"study", "bad.toml"}, {"study", name, hostileName}, {"study", name, "--sweep", hostileName},
		{"study", name, "--sweep", "tank.loaded_q=10..12", "--steps", "2", "--watch", "tubes.plate_current", "-o", "study" +
			hostileName},
		{"start", hostileName}, {"start", "-o", name}, {"start", "--tube", hostileName}, {"start", "--title", hostileName},
		{"tubes", hostileName}, {"tubes", "3-500Z", "-o", filepath.Join("good.toml", hostileName)},
		{"preview", "no" + name}, {"schema", "-o", name}, {"verify", hostileName}, {hostileName}, {"check", "--" + hostileName},
	} {
		_, stdout, stderr := program("", args...)
		isClean(t, fmt.Sprintf("%.40q", args), stdout)
		isClean(t, fmt.Sprintf("%.40q", args), stderr)
		assert.NotEmpty(t, stdout+stderr, "%q", args)
	}
	e := &environment{strings.NewReader(""), nil, nil}
	for _, p := range e.rendered("bad.toml").Problems {
		var b bytes.Buffer
		(&environment{nil, nil, &b}).complain(p.What, p.Hint)
		isClean(t, "preview", b.String())
	}
}

// TestConsoleKeepsText hands text over in every cut: nothing but the control
// characters changes.
func TestConsoleKeepsText(t *testing.T) {
	const text, want = "8 × 1 MΩ, 10 µF\t–\nß€𝄞\x1b[2J\xff end", "8 × 1 MΩ, 10 µF\t–\nß€𝄞�[2J� end"
	for cut := range len(text) {
		for again := cut; again < len(text); again++ {
			var b bytes.Buffer
			c := &console{to: &b}
			for _, part := range []string{text[:cut], text[cut:again], text[again:]} {
				n, err := c.Write([]byte(part))
				require.NoError(t, err)
				require.Equal(t, len(part), n)
			}
			require.NoError(t, c.end())
			require.Equal(t, want, b.String(), "cut at %d and %d", cut, again)
		}
	}
}

// fullDevice takes some bytes and then no more.
type fullDevice struct{ room int }

func (f *fullDevice) Write(p []byte) (int, error) {
	if len(p) > f.room {
		n := f.room
		f.room = 0
		return n, errors.New("no space left on device")
	}
	f.room -= len(p)
	return len(p), nil
}

// TestFullDevice lets every command that prints print into a device that is
// full at once, or after some bytes: exit code 2 and one plain sentence.
func TestFullDevice(t *testing.T) {
	spec := saved(t, smallSpec)
	other := saved(t, strings.Replace(smallSpec, "1000 W", "1100 W", 1))
	for _, args := range [][]string{
		{"check", spec}, {"check", "--quiet", spec, other}, {"write", spec, "-o", filepath.Join(t.TempDir(), "out")},
		{"compare", spec, other}, {"compare", "--html", spec, other},
		{"digest", spec}, {"digest", "--textconv", spec}, {"tubes"}, {"tubes", "3-500Z"}, {"verify"}, {"schema"}, {"start"},
		{"version"}, {"help"}, {"help", "check"},
		{"study", spec, "--sweep", "tank.loaded_q=10..12", "--steps", "2", "--watch", "tubes.plate_current"}, {"preview", spec},
	} {
		for _, room := range testhelp.Sample([]int{10, 0}, 1) {
			var errs bytes.Buffer
			code := run(args, strings.NewReader(""), &fullDevice{room}, &errs)
			assert.Equal(t, 2, code, "%v, room for %d", args, room)
			assert.Equal(t, 1, strings.Count(errs.String(), "no space left on device"), "%v, room for %d: %s", args, room,
				errs.String())
		}
		if args[0] != "preview" { // which would wait for Ctrl-C
			code, stdout, _ := program("", args...)
			assert.NotEqual(t, 2, code, "%v", args)
			assert.Greater(t, len(stdout), 10, "%v", args)
		}
	}
}

// TestFlawsAreCapped gives a spec more flaws than anybody reads: the first
// fifty are told, each with its line, and then how many more there are.
func TestFlawsAreCapped(t *testing.T) {
	flaws := func(n int) string {
		var b strings.Builder
		b.WriteString(smallSpec + "[bias]\n") // seven lines and this one
		for i := range n {
			fmt.Fprintf(&b, "flaw_%d = 1\n", i)
		}
		return saved(t, b.String())
	}
	for _, c := range []struct{ flaws, told, more int }{{49, 49, 0}, {50, 50, 0}, {51, 50, 1},
		{testhelp.Trials(2000, 20000), 50, testhelp.Trials(1950, 19950)}} {
		path := flaws(c.flaws)
		for _, args := range [][]string{{"check", path}, {"write", path}, {"compare", path, path}, {"study", path},
			{"digest", "--textconv", path}} {
			_, stdout, stderr := program("", args...)
			out := stderr
			sides := 1
			switch args[0] {
			case "digest":
				out, _, _ = strings.Cut(stdout, "# its text")
			case "compare":
				sides = 2
			}
			assert.Equal(t, c.told*sides, strings.Count(out, "unknown key"), "%v with %d", args, c.flaws)
			if c.more > 0 {
				assert.Equal(t, sides, strings.Count(out, fmt.Sprintf("and %d more", c.more)), "%v with %d", args, c.flaws)
			} else {
				testhelp.Lacks(t, out, " more;", "%v with %d", args, c.flaws)
			}
			if args[0] == "check" {
				testhelp.Contains(t, out, fmt.Sprintf(":%d:1: bias.flaw_0: unknown key", 9))
			}
		}
		r := (&environment{}).rendered(path)
		assert.Len(t, r.Problems, c.told+min(c.more, 1))
	}
}
