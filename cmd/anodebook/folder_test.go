//go:build unix

package main

import (
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// TestLinksInTheFolder tries links among the files of a notebook: nothing is
// written, read or removed through them.
func TestLinksInTheFolder(t *testing.T) {
	spec := saved(t, smallSpec)
	links := map[string]func(dir, outside string) error{
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
	}
	for _, what := range testhelp.Sample(slices.Sorted(maps.Keys(links)), 3) {
		prepare := links[what]
		t.Run(what, func(t *testing.T) {
			dir, outside := t.TempDir(), t.TempDir()
			victim := filepath.Join(outside, "victim")
			put(t, victim, "precious")
			require.NoError(t, prepare(dir, outside))
			before, err := os.ReadDir(dir)
			require.NoError(t, err)
			code, stdout, stderr := program("", "write", spec, "-o", dir)
			assert.Equal(t, 2, code)
			assert.Empty(t, stdout)
			testhelp.Contains(t, stderr, dir)
			assert.Equal(t, map[string]string{"victim": "precious"}, folder(t, outside))
			after, err := os.ReadDir(dir)
			require.NoError(t, err)
			assert.Len(t, after, len(before), "nothing of ours stays")
		})
	}

	// leftovers and lists that lead out
	dir, outside := t.TempDir(), t.TempDir()
	victim := filepath.Join(outside, "victim")
	put(t, victim, "precious")
	require.NoError(t, os.Symlink(outside, filepath.Join(dir, stagingName)))
	require.NoError(t, os.Symlink(outside, filepath.Join(dir, "old")))
	list := fmt.Sprintf("%s  ../%s/victim\n%[1]s  %s\n%[1]s  old/victim\n", sum([]byte("precious")), filepath.Base(outside), victim)
	put(t, filepath.Join(dir, manifestName), list)
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

// TestFullDisk writes onto a disk that has no room: the old notebook stays as
// it was.
func TestFullDisk(t *testing.T) {
	disk := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=6m", "none", disk).CombinedOutput(); err != nil {
		t.Skipf("no file system may be mounted here: %s", strings.TrimSpace(string(out)))
	}
	t.Cleanup(func() { assert.NoError(t, exec.Command("umount", disk).Run()) })
	spec := saved(t, smallSpec)
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
	for _, leave := range testhelp.Sample([]int{0, 8 << 10, 64 << 10, 300 << 10}, 1) {
		fill(leave)
		code, stdout, stderr := program("", "write", spec, "-o", out)
		assert.Equal(t, 2, code, leave)
		assert.Empty(t, stdout)
		testhelp.Contains(t, stderr, "no space left")
		assert.NoDirExists(t, out, "an empty folder is no notebook")
	}
	require.NoError(t, os.Remove(filepath.Join(disk, "fill")))
	code, _, stderr := program("", "write", spec, "-o", out)
	require.Equal(t, 0, code, stderr)
	old := folder(t, out)
	put(t, spec, strings.Replace(smallSpec, "80m", "40m", 1))
	for _, leave := range testhelp.Sample([]int{200 << 10, 0, 16 << 10}, 1) {
		fill(leave)
		code, _, stderr = program("", "write", spec, "-o", out)
		assert.Equal(t, 2, code, leave)
		testhelp.Contains(t, stderr, "no space left")
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
	spec := saved(t, smallSpec)
	file := filepath.Join(t.TempDir(), "file")
	put(t, file, "mine")
	places := []string{file, filepath.Join(file, "below"), strings.Repeat("x", 300), "nul\x00byte"}
	if runtime.GOOS == "linux" {
		places = append(places, "/proc/anodebook", "/proc/1", "/dev/null")
	}
	if os.Getuid() != 0 {
		locked := t.TempDir()
		require.NoError(t, os.Chmod(locked, 0o555))
		places = append(places, locked)
	}
	for _, place := range testhelp.Sample(places, 2) {
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
		testhelp.Contains(t, stderr, "read-only file system")
	}
}
