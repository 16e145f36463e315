package main

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of many that write the same new file one does, whole; nothing stays behind.
func TestWriteNew(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "changes.md")
	const writers = 12
	errs := make([]error, writers)
	var all sync.WaitGroup
	for i := range writers {
		all.Go(func() { errs[i] = writeNew(name, bytes.Repeat([]byte{byte('a' + i)}, 300_000)) })
	}
	all.Wait()
	winner := -1
	for i, err := range errs {
		if err == nil {
			require.Equal(t, -1, winner, "two have written it")
			winner = i
			continue
		}
		assert.ErrorIs(t, err, fs.ErrExist)
	}
	require.NotEqual(t, -1, winner)
	got, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.Equal(t, bytes.Repeat([]byte{byte('a' + winner)}, 300_000), got)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, left, 1)

	require.ErrorIs(t, writeNew(dir, nil), fs.ErrExist, "a folder")
	if os.Symlink("nowhere", filepath.Join(dir, "link")) == nil {
		require.ErrorIs(t, writeNew(filepath.Join(dir, "link"), nil), fs.ErrExist, "a link that leads nowhere")
	}
	err = writeNew(filepath.Join(dir, "none", "x.md"), nil)
	require.ErrorIs(t, err, fs.ErrNotExist)
	var path *fs.PathError
	require.True(t, errors.As(err, &path))
	assert.Equal(t, filepath.Join(dir, "none", "x.md"), path.Path, "the name that was asked for")
}
