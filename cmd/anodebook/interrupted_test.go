//go:build unix

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

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

// hidden are the names of a folder that begin with a dot.
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
		put(t, path, text)
		out := filepath.Join(dir, fmt.Sprint("alone", i))
		c := exec.Command(program, "write", "s.toml", "-o", out)
		c.Dir = filepath.Dir(path)
		b, err := c.CombinedOutput()
		require.NoError(t, err, string(b))
		want = append(want, visibleFiles(t, out))
	}
	require.NotEqual(t, want[0], want[1])
	shared := filepath.Join(dir, "shared")
	for range testhelp.Trials(1, 3) {
		var wait sync.WaitGroup
		for i := range testhelp.Trials(2, 4) {
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
		put(t, path, text)
		code, _, stderr := program("", "write", path, "-o", out)
		require.Equal(t, 0, code, stderr)
		want[i] = visibleFiles(t, out)
	}
	now := 1 // which notebook stands
	kill := func(when func(start time.Time) bool) (killed bool) {
		next := 1 - now
		put(t, path, texts[next])
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
	for i := range testhelp.Trials(2, 12) { // after so many files are written beside their places
		if kill(func(time.Time) bool { return stagedNow() > 2*i }) {
			during++
		}
	}
	for range testhelp.Trials(1, 8) { // while they change places
		most := 0
		if kill(func(time.Time) bool { n := stagedNow(); most = max(most, n); return most > 4 && n < most }) {
			during++
		}
	}
	for i := range testhelp.Trials(1, 6) { // and at any other moment
		kill(func(start time.Time) bool { return time.Since(start) > time.Duration(i)*25*time.Millisecond })
	}
	t.Logf("%d runs were killed while they wrote", during)
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
