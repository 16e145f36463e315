//go:build unix

package main

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
