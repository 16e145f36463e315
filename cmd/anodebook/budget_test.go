//go:build linux && !race

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// A run of write stays below 150 MB, the largest example included.
func TestWriteBudget(t *testing.T) {
	for _, path := range testhelp.Sample(specs(t), 2) {
		args := "write -o " + filepath.Join(t.TempDir(), "notebook")
		if path != "" {
			args += " " + path
		}
		c := exec.Command(os.Args[0])
		c.Env = append(os.Environ(), asProcess+"="+args)
		out, err := c.CombinedOutput()
		require.NoError(t, err, string(out))
		peak := c.ProcessState.SysUsage().(*syscall.Rusage).Maxrss // [KiB]
		assert.Less(t, peak, int64(150_000), path)
		t.Logf("%d MB %s", peak/1000, path)
	}
}
