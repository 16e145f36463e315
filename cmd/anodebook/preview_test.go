package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec"
	"anodebook/spec/testhelp"
	"anodebook/templates"
)

// slow is how long a test waits for what must happen in the end.
const slow = 60 * time.Second

// screen is a terminal that several may write to.
type screen struct {
	mu  sync.Mutex
	out bytes.Buffer
}

func (s *screen) Write(b []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.out.Write(b)
}

func (s *screen) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.out.String()
}

// shows waits until the screen matches and returns the match.
func (s *screen) shows(t testing.TB, pattern string) []string {
	t.Helper()
	re, late := regexp.MustCompile(pattern), time.Now().Add(slow)
	for {
		if m := re.FindStringSubmatch(s.String()); m != nil {
			return m
		}
		if time.Now().After(late) {
			require.Fail(t, "not on the screen: "+pattern, s.String())
		}
		time.Sleep(5 * time.Millisecond)
	}
}

// previewing runs the preview until the test ends; it returns its address.
func previewing(t testing.TB, path string) (address string, stdout, stderr *screen) {
	t.Helper()
	stdout, stderr = &screen{}, &screen{}
	e := &environment{strings.NewReader(""), stdout, stderr}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- e.preview(ctx, path, 0) }()
	t.Cleanup(func() {
		stop()
		select {
		case err := <-ended:
			assert.NoError(t, err)
		case <-time.After(slow):
			t.Error("the preview does not end")
		}
	})
	return stdout.shows(t, `(http://127\.0\.0\.1:\d+/) shows .*; Ctrl-C ends it`)[1], stdout, stderr
}

func fetch(t testing.TB, address string) string {
	t.Helper()
	r, err := http.Get(address)
	require.NoError(t, err)
	defer r.Body.Close()
	require.Equal(t, 200, r.StatusCode)
	b, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	return string(b)
}

// starter writes the starter spec, with one replacement, to a file.
func starterTo(t testing.TB, path, old, new string) {
	t.Helper()
	src, err := templates.FS.ReadFile("starter.toml")
	require.NoError(t, err)
	require.Contains(t, string(src), old)
	put(t, path, strings.Replace(string(src), old, new, 1))
}

func TestPreviewFollowsTheSpec(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shack.toml")
	starterTo(t, path, "", "")
	at, stdout, stderr := previewing(t, path)
	stdout.shows(t, `shack\.toml: \d+ exceeds, \d+ caution, \d+ note`)
	first := fetch(t, at+"report/shack.toml")

	dir := filepath.Join(t.TempDir(), "out")
	code, _, errs := program("", "write", path, "-o", dir)
	require.Equal(t, 0, code, errs)
	written, err := os.ReadFile(filepath.Join(dir, "report.html"))
	require.NoError(t, err)
	assert.True(t, string(written) == first, "the report is the one that write writes")

	starterTo(t, path, `"2800 V"`, `"2800"`)
	stderr.shows(t, `anodebook: .*shack\.toml:12:1: supply\.plate_voltage: .*\nanodebook: hint: .*2800 V`)
	assert.True(t, first == fetch(t, at+"report/shack.toml"), "the last good report stays")
	outer := fetch(t, at)
	testhelp.Contains(t, outer, "shack.toml:12:1: supply.plate_voltage")
	testhelp.Contains(t, outer, `class="hint"`)

	starterTo(t, path, `"2800 V"`, `"2750 V"`)
	require.Eventually(t, func() bool { return fetch(t, at+"report/shack.toml") != first }, slow, 20*time.Millisecond)
	testhelp.Contains(t, fetch(t, at+"report/shack.toml"), "2750\u00a0V")
	testhelp.Lacks(t, fetch(t, at), "supply.plate_voltage:")
}

func TestPreviewOfAFolder(t *testing.T) {
	dir := t.TempDir()
	list := []string{"club-station.toml", "parts-box.toml", "small-supply.toml"}
	for _, name := range list {
		b, err := os.ReadFile(filepath.Join(root, "examples", name))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), b, 0o644))
	}
	at, stdout, _ := previewing(t, dir)
	for _, path := range list {
		stdout.shows(t, regexp.QuoteMeta(filepath.Base(path))+`: \d+ exceeds`)
	}
	index := fetch(t, at)
	for _, path := range list {
		testhelp.Contains(t, index, `href="/spec/`+filepath.Base(path)+`"`)
	}
	testhelp.Lacks(t, index, "cannot be used")
	assert.Equal(t, len(list), strings.Count(index, " exceeds, "))
}

func TestPreviewKnowsTheFilesThatASpecNames(t *testing.T) {
	path := filepath.Join(root, "examples", "measured-tank.toml")
	e := &environment{strings.NewReader(""), io.Discard, io.Discard}
	s, err := e.load(path)
	require.NoError(t, err)
	files := attached(s, filepath.Dir(path))
	require.NotEmpty(t, files)
	for _, f := range files {
		assert.FileExists(t, f)
	}
	assert.Equal(t, files, e.rendered(path).Files)

	// a missing one is watched too: it may come
	copied := filepath.Join(t.TempDir(), "copy.toml")
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(copied, b, 0o644))
	r := e.rendered(copied)
	assert.Nil(t, r.HTML)
	assert.Len(t, r.Files, len(files))
	require.NotEmpty(t, r.Problems)
	testhelp.Contains(t, r.Problems[0].What, "beside the spec")
	assert.NotEmpty(t, r.Problems[0].Hint)
	assert.Empty(t, attached(&spec.Spec{}, "x"))
}

func TestPreviewRefuses(t *testing.T) {
	absent := filepath.Join(t.TempDir(), "absent.toml")
	for want, args := range map[string][]string{
		"no spec named":   {},
		"2 specs named":   {"a.toml", "b.toml"},
		"standard input":  {"-"},
		"no port 65536":   {absent, "--port", "65536"},
		"absent.toml":     {absent},
		"invalid value":   {absent, "--port", "-1"},
		"neither a file ": {os.DevNull},
	} {
		code, stdout, stderr := program("", append([]string{"preview"}, args...)...)
		assert.Equal(t, 2, code, want)
		assert.Empty(t, stdout)
		testhelp.Contains(t, stderr, want)
	}
	at, _, _ := previewing(t, filepath.Join(root, "examples", "club-station.toml"))
	port := strings.TrimSuffix(at[strings.LastIndexByte(at, ':')+1:], "/")
	code, _, stderr := program("", "preview", filepath.Join(root, "examples", "club-station.toml"), "--port", port)
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "anodebook: hint: another port may be free")
}

// BenchmarkPreview is the way from saving the starter spec, its text changed,
// to the browser's being told that the new report is there to be fetched, and
// fetching it. Target: under 100 ms.
func BenchmarkPreview(b *testing.B) {
	defer debug.SetGCPercent(debug.SetGCPercent(100))
	shortLived()
	path := filepath.Join(b.TempDir(), "shack.toml")
	starterTo(b, path, "", "")
	at, stdout, _ := previewing(b, path)
	stdout.shows(b, `shack\.toml: \d+ exceeds`)
	r, err := http.Get(at + "events/shack.toml")
	require.NoError(b, err)
	defer r.Body.Close()
	in := bufio.NewReader(r.Body)
	next := func() (state struct{ Good string }) {
		for {
			line, err := in.ReadString('\n')
			require.NoError(b, err)
			if data, ok := strings.CutPrefix(line, "data: "); ok {
				require.NoError(b, json.Unmarshal([]byte(data), &state))
				return state
			}
		}
	}
	last := next().Good
	volts := []string{`"2750 V"`, `"2800 V"`}
	for i := 0; b.Loop(); i++ {
		starterTo(b, path, `"2800 V"`, volts[i%2])
		good := next().Good
		require.NotEqual(b, last, good)
		last = good
		require.NotEmpty(b, fetch(b, at+"report/shack.toml"))
	}
}
