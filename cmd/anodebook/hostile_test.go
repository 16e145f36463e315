//go:build unix

package main

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec"
)

// smallSpec is the least that gives a notebook.
const smallSpec = `[target]
output = "1000 W"
bands = ["80m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2800 V"
`

// customSpec has a tube of the builder's own, without its name.
const customSpec = `[target]
output = "500 W"
bands = ["80m"]
[supply]
plate_voltage = "2000 V"
[tubes]
type = "custom"
[tubes.custom]
`

// binary builds the program once, for tests that must run it as a process of
// its own.
var binary = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "anodebook-test-")
	if err != nil {
		return "", err
	}
	name := filepath.Join(dir, "anodebook")
	out, err := exec.Command("go", "build", "-o", name, ".").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return name, nil
})

func built(t *testing.T) string {
	name, err := binary()
	require.NoError(t, err)
	return name
}

// visibleFiles are the files of a notebook without the hidden ones.
func visibleFiles(t *testing.T, dir string) map[string]string {
	out := folder(t, dir)
	for n := range out {
		if strings.HasPrefix(n, ".") {
			delete(out, n)
		}
	}
	return out
}

func hidden(t *testing.T, dir string) (names []string) {
	list, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range list {
		if strings.HasPrefix(e.Name(), ".") {
			names = append(names, e.Name())
		}
	}
	return names
}

// textKeys lists every key of the format that takes free text, by reflection;
// a table with a name of the builder's own has * for it.
func textKeys() []string {
	var out []string
	var walk func(t reflect.Type, path []string)
	walk = func(t reflect.Type, path []string) {
		switch {
		case t == reflect.TypeFor[spec.Text]():
			out = append(out, strings.Join(path, "."))
		case t.Kind() == reflect.Map:
			walk(t.Elem(), append(slices.Clone(path), "*"))
		case t.Kind() == reflect.Struct:
			for f := range t.Fields() {
				if key := f.Tag.Get("key"); key != "" {
					walk(f.Type, append(slices.Clone(path), key))
				}
			}
		}
	}
	walk(reflect.TypeFor[spec.Spec](), nil)
	return out
}

// TestInjectionIntoEveryText puts HTML, Markdown and TeX into every text that
// the format has, into names of tables and into the name of the file, and
// reads every file of the notebook with all its forms, and the comparison.
func TestInjectionIntoEveryText(t *testing.T) {
	nasty := `<script>alert(1)</script><img src=x onerror=alert(2)></title></style>$\evil$ \$x$ $$y$$ | p | # h [l](javascript:alert(3)) ![i](http://example.invalid/x.png) **b** ` + "`c` ~~~" + ` {{.Title}} \input{x} {#id} %!d(x) =cmd() ` + "\u202e"
	block := "# Heading\n\nx\n=\n\ny\n-\n\n- # deep\n- > **Danger:** not ours\n\n```\nfence\n\n<div onclick=x>\n\n[r]: http://example.invalid\n\n$$z$$\n\n| t |\n|---|\n| 1 |\n\n" + nasty
	quote := func(s string) string {
		return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`).Replace(s) + `"`
	}
	example, err := os.ReadFile(filepath.Join(root, "examples", "custom-tube.toml"))
	require.NoError(t, err)
	src := string(example)
	// texts that must have a form are named here; every other gets the worst
	formed := map[string]string{"tubes.custom.name": `"surplus_triode_ 1/2 +-"`, "notebook.currency": quote("<b>|$x$ =1"), "reading.*.of": `"supply.idle_voltage"`, "reading.*.value": `"2500 V"`}
	names := map[string]string{"reading": `"strange |<b>$x$ # [l](javascript:x)"`, "survey": "coils", "measured": "tank", "photo": "front", "note": "tank"}
	more := map[string]string{
		"survey": "group = \"coils\"\ncondition = \"good\"\n", "photo": "file = \"p.png\"\nsection = \"tank\"\n",
		"measured": "file = \"tank.s1p\"\nof = \"tank\"\nband = \"80m\"\n",
	}
	tables := map[string]string{}
	used := 0
	for _, key := range textKeys() {
		if strings.HasPrefix(key, "study.*.") {
			continue // names of keys and results: anything else is refused
		}
		value, ok := formed[key]
		if !ok {
			value = quote(nasty)
			if strings.HasSuffix(key, ".story") || strings.HasSuffix(key, ".text") {
				value = quote(block)
			}
		}
		table, name := key[:strings.LastIndex(key, ".")], key[strings.LastIndex(key, ".")+1:]
		used++
		kind := strings.TrimSuffix(table, ".*")
		if kind == table { // a table of the example: change or add the key in it
			line := regexp.MustCompile(`(?ms)^(\[` + regexp.QuoteMeta(table) + `\]\n(?:[^\[\n][^\n]*\n|\n)*?)` + name + `\s*=\s*("""(?:.*?)"""|[^\n]*)\n`)
			if m := line.FindStringSubmatchIndex(src); m != nil {
				src = src[:m[3]] + name + " = " + value + "\n" + src[m[1]:]
			} else {
				require.Contains(t, src, "["+table+"]\n", key)
				src = strings.Replace(src, "["+table+"]\n", "["+table+"]\n"+name+" = "+value+"\n", 1)
			}
			continue
		}
		require.Contains(t, names, kind, "a new table with names: say in this test what it is called")
		tables[kind] += name + " = " + value + "\n"
	}
	require.GreaterOrEqual(t, used, 19, "fewer texts than the format has had")
	for _, kind := range []string{"reading", "survey", "measured", "photo", "note"} {
		require.NotEmpty(t, tables[kind], kind)
		src += "\n[" + kind + "." + names[kind] + "]\n" + more[kind] + tables[kind]
	}
	dir := t.TempDir()
	write := func(name string, b []byte) { require.NoError(t, os.WriteFile(filepath.Join(dir, name), b, 0o644)) }
	file := "a<b>|$x$ #[l](javascript:x)`;\n~.toml"
	write(file, []byte(src))
	write("plain.toml", example)
	write("p.png", smallPicture(t))
	tank, err := os.ReadFile(filepath.Join(root, "examples", "measured", "tank-80m.s1p"))
	require.NoError(t, err)
	write("tank.s1p", append([]byte("! "+strings.ReplaceAll(nasty, "!", ".")+"\n"), tank...))

	out := filepath.Join(dir, "out")
	code, stdout, stderr := program("", "write", filepath.Join(dir, file), "-o", out, "--form", "full,article,bench")
	require.Equal(t, 0, code, stderr)
	require.NotContains(t, stdout, "\u202e")
	made := visibleFiles(t, out)
	for _, view := range []string{"--html", "--markdown"} {
		code, stdout, stderr := program("", "compare", view, filepath.Join(dir, "plain.toml"), filepath.Join(dir, file))
		require.Less(t, code, 2, stderr)
		made["compare"+map[string]string{"--html": ".html", "--markdown": ".md"}[view]] = stdout
	}
	pages := 0
	for name, text := range made {
		switch filepath.Ext(name) {
		case ".html":
			pages++
			for _, bad := range []string{"<script", "<img src=x", "<div onclick", "<i>|", "<b>|", "a<b>", `="javascript:`, "raw HTML omitted", `src="http`, "<div\n"} {
				assert.NotContains(t, text, bad, name)
			}
			assert.Equal(t, 1, strings.Count(text, "<h1"), name)
			assert.NotContains(t, text, "</title></style>", name)
			assert.NotContains(t, text, ">Heading</h", name)
			assert.NotContains(t, text, ">deep</h", name)
			assert.Contains(t, text, "&lt;script&gt;", name)
		case ".svg":
			assert.NotContains(t, text, "<script", name)
			assert.NotContains(t, text, "<img", name)
		case ".csv":
			assert.NotRegexp(t, `(?m)(^|,)"?=cmd`, text, name)
		}
	}
	assert.Equal(t, 4, pages)
}

func smallPicture(t *testing.T) []byte {
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, image.NewGray(image.Rect(0, 0, 40, 30))))
	return b.Bytes()
}

// TestHostileSpecs reads specs that are no specs. Each ends with an error of
// the program's own form, and nothing is written.
func TestHostileSpecs(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		return path
	}
	require.NoError(t, os.Symlink("loop.toml", filepath.Join(dir, "loop.toml")))
	cases := map[string]string{
		write("ten-megabytes.toml", strings.Repeat("# ten bytes\n", 10<<20/12)):                                 "too large",
		write("deep.toml", "a = "+strings.Repeat("[", 100000)):                                                  "deep.toml:1:",
		write("huge.toml", strings.Replace(smallSpec, "1000 W", "1e999 W", 1)):                                  "target.output",
		write("digits.toml", strings.Replace(smallSpec, "1000 W", strings.Repeat("9", 5000), 1)):                "target.output",
		write("nan.toml", smallSpec+"[tank]\nloaded_q = nan\n"):                                                 "tank.loaded_q",
		write("infinite.toml", smallSpec+"[tank]\nloaded_q = inf\n"):                                            "tank.loaded_q",
		write("study.toml", smallSpec+"[study.x]\nkind = \"sweep\"\nsweep = \"<script>$x$ = 1 .. 2\"\n"):        "study.x.sweep",
		write("name.toml", customSpec+"name = \"<b>$x$\"\n"):                                                    "is not a name for a tube",
		write("negative.toml", smallSpec+"[tank]\nloaded_q = -1e308\n"):                                         "tank.loaded_q",
		write("count.toml", strings.Replace(smallSpec, "[supply]", "count = 9223372036854775807\n[supply]", 1)): "tubes.count",
		write("binary.toml", "\x7fELF\x00\x01\xff\xfe"):                                                         "",
		write("empty.toml", ""): "missing",
		write("outside.toml", strings.Replace(measuredSpec, "NAME", "../../etc/passwd.s1p", 1)): "leads out",
		filepath.Join(dir, "loop.toml"): "",
		dir:                             "folder",
	}
	if runtime.GOOS == "linux" {
		cases["/dev/zero"] = "too large"
		cases["/proc/self/mem"] = ""
	}
	for path, want := range cases {
		t.Run(filepath.Base(path), func(t *testing.T) {
			out := filepath.Join(t.TempDir(), "out")
			code, stdout, stderr := program("", "write", path, "-o", out)
			assert.Equal(t, 2, code)
			assert.Empty(t, stdout)
			assert.True(t, strings.HasPrefix(stderr, "anodebook: "), stderr)
			assert.Contains(t, stderr, want)
			assert.Less(t, len(stderr), 3000)
			assert.NoDirExists(t, out)
		})
	}
}

// TestLinksInTheFolder tries links among the files of a notebook: nothing is
// written, read or removed through them.
func TestLinksInTheFolder(t *testing.T) {
	spec := filepath.Join(t.TempDir(), "s.toml")
	require.NoError(t, os.WriteFile(spec, []byte(smallSpec), 0o644))
	for what, prepare := range map[string]func(dir, outside string) error{
		"a file": func(dir, out string) error {
			return os.Symlink(filepath.Join(out, "victim"), filepath.Join(dir, "report.html"))
		},
		"an absent file": func(dir, out string) error {
			return os.Symlink(filepath.Join(out, "new"), filepath.Join(dir, "report.md"))
		},
		"a folder": func(dir, out string) error { return os.Symlink(out, filepath.Join(dir, "figures")) },
		"the list of files": func(dir, out string) error {
			return os.Symlink(filepath.Join(out, "victim"), filepath.Join(dir, manifestName))
		},
		"a folder for a file": func(dir, _ string) error { return os.Mkdir(filepath.Join(dir, "parts.csv"), 0o755) },
		"a file for a folder": func(dir, _ string) error { return os.WriteFile(filepath.Join(dir, "figures"), nil, 0o644) },
		"a pipe":              func(dir, _ string) error { return syscall.Mkfifo(filepath.Join(dir, "results.json"), 0o644) },
		"a pipe for the list": func(dir, _ string) error { return syscall.Mkfifo(filepath.Join(dir, manifestName), 0o644) },
		"a loop for a folder": func(dir, _ string) error { return os.Symlink("figures", filepath.Join(dir, "figures")) },
	} {
		t.Run(what, func(t *testing.T) {
			dir, outside := t.TempDir(), t.TempDir()
			victim := filepath.Join(outside, "victim")
			require.NoError(t, os.WriteFile(victim, []byte("precious"), 0o644))
			require.NoError(t, prepare(dir, outside))
			before, err := os.ReadDir(dir)
			require.NoError(t, err)
			code, stdout, stderr := program("", "write", spec, "-o", dir)
			assert.Equal(t, 2, code)
			assert.Empty(t, stdout)
			assert.Contains(t, stderr, dir)
			assert.Equal(t, map[string]string{"victim": "precious"}, folder(t, outside))
			after, err := os.ReadDir(dir)
			require.NoError(t, err)
			assert.Len(t, after, len(before), "nothing of ours stays")
		})
	}

	// leftovers and lists that lead out
	dir, outside := t.TempDir(), t.TempDir()
	victim := filepath.Join(outside, "victim")
	require.NoError(t, os.WriteFile(victim, []byte("precious"), 0o644))
	require.NoError(t, os.Symlink(outside, filepath.Join(dir, stagingName)))
	require.NoError(t, os.Symlink(outside, filepath.Join(dir, "old")))
	list := fmt.Sprintf("%s  ../%s/victim\n%[1]s  %s\n%[1]s  old/victim\n", sum([]byte("precious")), filepath.Base(outside), victim)
	require.NoError(t, os.WriteFile(filepath.Join(dir, manifestName), []byte(list), 0o644))
	code, _, stderr := program("", "write", spec, "-o", dir)
	require.Equal(t, 0, code, stderr)
	assert.Equal(t, map[string]string{"victim": "precious"}, folder(t, outside))

	// a folder that is itself a link is what the user named
	real, link := t.TempDir(), filepath.Join(t.TempDir(), "link")
	require.NoError(t, os.Symlink(real, link))
	code, _, stderr = program("", "write", spec, "-o", link)
	require.Equal(t, 0, code, stderr)
	assert.FileExists(t, filepath.Join(real, "report.html"))
}

// TestTwoWritersAtOnce lets programs write two specs into one folder at the
// same time: every one ends well, and the notebook is that of one spec.
func TestTwoWritersAtOnce(t *testing.T) {
	program := built(t)
	dir := t.TempDir()
	texts := []string{smallSpec, strings.Replace(smallSpec, "80m", "20m", 1)}
	var want []map[string]string
	for i, text := range texts {
		path := filepath.Join(dir, fmt.Sprintf("%d.toml", i), "s.toml")
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		out := filepath.Join(dir, fmt.Sprint("alone", i))
		c := exec.Command(program, "write", "s.toml", "-o", out)
		c.Dir = filepath.Dir(path)
		b, err := c.CombinedOutput()
		require.NoError(t, err, string(b))
		want = append(want, visibleFiles(t, out))
	}
	require.NotEqual(t, want[0], want[1])
	shared := filepath.Join(dir, "shared")
	for range 3 {
		var wait sync.WaitGroup
		for i := range 4 {
			wait.Go(func() {
				c := exec.Command(program, "write", "s.toml", "-o", shared)
				c.Dir = filepath.Join(dir, fmt.Sprintf("%d.toml", i%2))
				b, err := c.CombinedOutput()
				assert.NoError(t, err, string(b))
			})
		}
		wait.Wait()
		got := visibleFiles(t, shared)
		if !reflect.DeepEqual(got, want[0]) {
			require.Equal(t, want[1], got, "neither the one notebook nor the other")
		}
		require.Equal(t, []string{manifestName}, hidden(t, shared))
	}
}

// TestFullDisk writes onto a disk that has no room: the old notebook stays as
// it was.
func TestFullDisk(t *testing.T) {
	disk := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=6m", "none", disk).CombinedOutput(); err != nil {
		t.Skipf("no file system may be mounted here: %s", strings.TrimSpace(string(out)))
	}
	t.Cleanup(func() { assert.NoError(t, exec.Command("umount", disk).Run()) })
	spec := filepath.Join(t.TempDir(), "s.toml")
	require.NoError(t, os.WriteFile(spec, []byte(smallSpec), 0o644))
	out := filepath.Join(disk, "out")
	fill := func(leave int) {
		f, err := os.Create(filepath.Join(disk, "fill"))
		require.NoError(t, err)
		defer f.Close()
		for err == nil {
			_, err = f.Write(make([]byte, 4096))
		}
		require.ErrorIs(t, err, syscall.ENOSPC)
		info, err := f.Stat()
		require.NoError(t, err)
		require.NoError(t, f.Truncate(info.Size()-int64(leave)))
	}
	for _, leave := range []int{0, 8 << 10, 64 << 10, 300 << 10} {
		fill(leave)
		code, stdout, stderr := program("", "write", spec, "-o", out)
		assert.Equal(t, 2, code, leave)
		assert.Empty(t, stdout)
		assert.Contains(t, stderr, "no space left")
		assert.NoDirExists(t, out, "an empty folder is no notebook")
	}
	require.NoError(t, os.Remove(filepath.Join(disk, "fill")))
	code, _, stderr := program("", "write", spec, "-o", out)
	require.Equal(t, 0, code, stderr)
	old := folder(t, out)
	require.NoError(t, os.WriteFile(spec, []byte(strings.Replace(smallSpec, "80m", "40m", 1)), 0o644))
	for _, leave := range []int{0, 16 << 10, 200 << 10} {
		fill(leave)
		code, _, stderr = program("", "write", spec, "-o", out)
		assert.Equal(t, 2, code, leave)
		assert.Contains(t, stderr, "no space left")
		assert.Equal(t, old, folder(t, out), "the old notebook is whole, and nothing half stays")
	}
	require.NoError(t, os.Remove(filepath.Join(disk, "fill")))
	code, _, stderr = program("", "write", spec, "-o", out)
	require.Equal(t, 0, code, stderr)
	assert.NotEqual(t, old, folder(t, out))
}

// TestFolderThatCannotBeWritten names places where nobody can write, not even
// root, and a file that cannot be made.
func TestFolderThatCannotBeWritten(t *testing.T) {
	spec := filepath.Join(t.TempDir(), "s.toml")
	require.NoError(t, os.WriteFile(spec, []byte(smallSpec), 0o644))
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, []byte("mine"), 0o644))
	places := []string{file, filepath.Join(file, "below"), strings.Repeat("x", 300), "nul\x00byte"}
	if runtime.GOOS == "linux" {
		places = append(places, "/proc/anodebook", "/proc/1", "/dev/null")
	}
	if os.Getuid() != 0 {
		locked := t.TempDir()
		require.NoError(t, os.Chmod(locked, 0o555))
		places = append(places, locked)
	}
	for _, place := range places {
		code, stdout, stderr := program("", "write", spec, "-o", place)
		assert.Equal(t, 2, code, "%q", place)
		assert.Empty(t, stdout)
		assert.True(t, strings.HasPrefix(stderr, "anodebook: "), stderr)
	}
	b, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "mine", string(b))
}

// TestReadOnlyDisk writes onto a file system that is mounted read-only.
func TestReadOnlyDisk(t *testing.T) {
	disk := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "ro", "none", disk).CombinedOutput(); err != nil {
		t.Skipf("no file system may be mounted here: %s", strings.TrimSpace(string(out)))
	}
	t.Cleanup(func() { assert.NoError(t, exec.Command("umount", disk).Run()) })
	for _, place := range []string{disk, filepath.Join(disk, "out")} {
		code, stdout, stderr := program("", "write", "-o", place)
		assert.Equal(t, 2, code)
		assert.Empty(t, stdout)
		assert.Contains(t, stderr, "read-only file system")
	}
}

// TestKilledHalfWay kills the program at many moments. Whatever it left: every
// file is whole, of the old notebook or the new one, what is half written does
// not stand under a name of the notebook, and the next run makes all of it
// good.
func TestKilledHalfWay(t *testing.T) {
	binary := built(t)
	dir := t.TempDir()
	texts := [2]string{smallSpec, strings.Replace(strings.Replace(smallSpec, "80m", "20m", 1), "1000 W", "900 W", 1)}
	var want [2]map[string]string
	path, out := filepath.Join(dir, "s.toml"), filepath.Join(dir, "out")
	for i, text := range texts {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		code, _, stderr := program("", "write", path, "-o", out)
		require.Equal(t, 0, code, stderr)
		want[i] = visibleFiles(t, out)
	}
	now := 1 // which notebook stands
	kill := func(when func(start time.Time) bool) (killed bool) {
		next := 1 - now
		require.NoError(t, os.WriteFile(path, []byte(texts[next]), 0o644))
		c := exec.Command(binary, "write", path, "-o", out)
		require.NoError(t, c.Start())
		ended := make(chan error, 1)
		go func() { ended <- c.Wait() }()
		start := time.Now()
		var err error
		running := true
		for running && !when(start) {
			select {
			case err = <-ended:
				running = false
			default:
			}
		}
		if running {
			_ = c.Process.Kill() // it may have ended
			err = <-ended
		}
		got := visibleFiles(t, out)
		for n, text := range got {
			old, inOld := want[now][n]
			new, inNew := want[next][n]
			require.True(t, inOld || inNew, "%s is of neither notebook", n)
			require.True(t, inOld && text == old || inNew && text == new, "%s is neither the old file nor the new one", n)
		}
		for n := range want[now] {
			if _, still := want[next][n]; still {
				require.Contains(t, got, n)
			}
		}
		code, _, stderr := program("", "write", path, "-o", out)
		require.Equal(t, 0, code, "the next run takes over: %s", stderr)
		require.Equal(t, want[next], visibleFiles(t, out))
		require.Equal(t, []string{manifestName}, hidden(t, out))
		now = next
		return err != nil
	}
	stagedNow := func() int {
		list, _ := os.ReadDir(filepath.Join(out, stagingName))
		return len(list)
	}
	during := 0
	for i := range 12 { // after so many files are written beside their places
		if kill(func(time.Time) bool { return stagedNow() > 2*i }) {
			during++
		}
	}
	for range 8 { // while they change places
		most := 0
		if kill(func(time.Time) bool { n := stagedNow(); most = max(most, n); return most > 4 && n < most }) {
			during++
		}
	}
	for i := range 6 { // and at any other moment
		kill(func(start time.Time) bool { return time.Since(start) > time.Duration(i)*25*time.Millisecond })
	}
	t.Logf("%d of 20 runs were killed while they wrote", during)
	require.Positive(t, during, "no run was killed while it wrote")
}

// TestStoppedBetweenRenames stands for a run that was killed at each single
// step of putting files into their places.
func TestStoppedBetweenRenames(t *testing.T) {
	old := map[string][]byte{"a": []byte("old a"), "d/b": []byte("old b"), "gone": []byte("old gone")}
	new := map[string][]byte{"a": []byte("new a"), "d/b": []byte("new b"), "e/c": []byte("new c")}
	third := map[string][]byte{"a": []byte("third a"), "x": []byte("third x")}
	for steps := range 6 {
		dir := t.TempDir()
		require.NoError(t, replaceFolder(dir, old))
		root, err := os.OpenRoot(dir)
		require.NoError(t, err)
		w := folderWriter{root: root, dir: dir, files: new, names: []string{"a", "d/b", "e/c"}}
		require.NoError(t, w.readManifest())
		require.NoError(t, w.refuse())
		require.NoError(t, w.stage())
		order := []struct{ from, to string }{{staged(3), manifestName}, {staged(0), "a"}, {staged(1), "d/b"}, {staged(2), "e/c"}}
		for _, s := range order[:min(steps, 4)] {
			require.NoError(t, root.Rename(s.from, s.to))
		}
		if steps == 5 {
			require.NoError(t, root.Remove("gone"))
		}
		root.Close()
		require.NoError(t, replaceFolder(dir, third), "after %d steps", steps)
		assert.Equal(t, map[string]string{"a": "third a", "x": "third x"}, visibleFiles(t, dir), "after %d steps", steps)
	}
}
