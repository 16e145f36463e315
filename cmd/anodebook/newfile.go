package main

import (
	"cmp"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// writeNew writes a file that must not be there. It stands under its name
// whole or not at all: a run that is killed, or a disk that is full, leaves
// none, at worst a hidden file beside it.
func writeNew(name string, content []byte) error {
	if _, err := os.Lstat(name); err == nil {
		return &fs.PathError{Op: "write", Path: name, Err: fs.ErrExist}
	}
	f, err := os.CreateTemp(filepath.Dir(name), ".anodebook-*")
	if err != nil {
		return &fs.PathError{Op: "write", Path: name, Err: errors.Unwrap(err)}
	}
	defer os.Remove(f.Name())
	_, err = f.Write(content)
	if err := cmp.Or(err, f.Chmod(0o644), f.Close()); err != nil {
		return err
	}
	err = os.Link(f.Name(), name)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	// a file system without links: claim the name, then fill it
	claim, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if err := cmp.Or(claim.Close(), os.Rename(f.Name(), name)); err != nil {
		os.Remove(name)
		return err
	}
	return nil
}
