//go:build unix

package main

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/report/preview"
	"anodebook/spec/testhelp"
)

// TestCtrlCEndsThePreview sends the signal that a terminal sends.
func TestCtrlCEndsThePreview(t *testing.T) {
	stdout, stderr := &screen{}, &screen{}
	code := make(chan int, 1)
	go func() {
		code <- run([]string{"preview", filepath.Join(root, "examples", "club-station.toml")}, strings.NewReader(""), stdout, stderr)
	}()
	stdout.shows(t, `exceeds, \d+ caution`)
	require.NoError(t, syscall.Kill(syscall.Getpid(), syscall.SIGINT))
	select {
	case c := <-code:
		assert.Equal(t, 0, c, stderr.String())
	case <-time.After(slow):
		require.Fail(t, "the preview does not end")
	}
}

// TestCtrlCEndsAtAPipe: a pipe that nobody writes into holds neither the
// preview nor a study up, whether it is named or takes the place of the spec.
func TestCtrlCEndsAtAPipe(t *testing.T) {
	anodebook := built(t)
	pipe := filepath.Join(t.TempDir(), "pipe.toml")
	require.NoError(t, syscall.Mkfifo(pipe, 0o644))
	folder := t.TempDir()
	name := put(t, filepath.Join(folder, "s.toml"), smallSpec)

	start := func(args ...string) (*exec.Cmd, *screen, chan error) {
		c, out := exec.Command(anodebook, args...), &screen{}
		c.Stdout, c.Stderr = out, out
		require.NoError(t, c.Start())
		ended := make(chan error, 1)
		go func() { ended <- c.Wait() }()
		return c, out, ended
	}
	ends := func(c *exec.Cmd, ended chan error, what string) {
		t.Helper()
		select {
		case <-ended:
		case <-time.After(slow):
			_ = c.Process.Kill()
			assert.Fail(t, "it does not end", what)
		}
	}

	c, out, ended := start("preview", pipe)
	ends(c, ended, "preview of a pipe")
	assert.Equal(t, 2, c.ProcessState.ExitCode())
	testhelp.Contains(t, out.String(), "is neither a file nor a folder")

	c, out, ended = start("preview", folder)
	out.shows(t, `exceeds, \d+ caution`)
	require.NoError(t, os.Remove(name))
	require.NoError(t, syscall.Mkfifo(name, 0o644))
	time.Sleep(300 * time.Millisecond)
	require.NoError(t, c.Process.Signal(os.Interrupt))
	ends(c, ended, "preview of a folder")
	assert.Equal(t, 0, c.ProcessState.ExitCode(), out.String())

	require.NoError(t, os.Remove(name))
	put(t, name, smallSpec)
	c, out, ended = start("preview", name)
	out.shows(t, `exceeds, \d+ caution`)
	require.NoError(t, os.Remove(name))
	require.NoError(t, syscall.Mkfifo(name, 0o644))
	out.shows(t, "is not a plain file")
	require.NoError(t, c.Process.Signal(os.Interrupt))
	ends(c, ended, "preview of a spec that became a pipe")
	assert.Equal(t, 0, c.ProcessState.ExitCode(), out.String())

	for _, args := range [][]string{{"study", pipe, "--tolerance"}, {"check", pipe}, {"compare", pipe, pipe}} {
		c, _, ended = start(args...)
		time.Sleep(300 * time.Millisecond) // it waits for somebody to write
		require.NoError(t, c.Process.Signal(os.Interrupt))
		ends(c, ended, args[0])
	}
}

// TestServeEndsWhileAReportIsMade: the wait for a report that never comes ends
// with the preview.
func TestServeEndsWhileAReportIsMade(t *testing.T) {
	held := make(chan struct{})
	defer close(held)
	s, err := preview.New(saved(t, smallSpec), func(string) preview.Result { <-held; return preview.Result{} }, nil)
	require.NoError(t, err)
	l, err := preview.Listen(0)
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, l) }()
	stop()
	select {
	case err := <-ended:
		assert.NoError(t, err)
	case <-time.After(slow):
		require.Fail(t, "it does not end")
	}
}
