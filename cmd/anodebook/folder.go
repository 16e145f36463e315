package main

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
)

// manifestName is the hidden file in which a notebook folder remembers what
// was written, so that nothing made or changed by a person is overwritten.
const manifestName = ".anodebook-files"

// replaceFolder writes files (path below dir → content) so that either all of
// them are in place or none: each is first written beside its place and then
// renamed. It refuses where a file of that name exists which anodebook did
// not write or which was changed since.
func replaceFolder(dir string, files map[string][]byte) (err error) {
	old, err := readManifest(dir)
	if err != nil {
		return err
	}
	names := make([]string, 0, len(files))
	for n := range files {
		names = append(names, n)
	}
	sort.Strings(names)
	var foreign []string
	for _, n := range names {
		have, err := os.ReadFile(filepath.Join(dir, n))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return err
		}
		if sum(have) != old[n] && !bytes.Equal(have, files[n]) {
			foreign = append(foreign, filepath.Join(dir, n))
		}
	}
	if len(foreign) > 0 {
		return hinted{fmt.Errorf("%s: made or changed by hand, not overwritten", strings.Join(foreign, ", ")),
			"move it away, or choose another folder with -o"}
	}
	var staged []string
	defer func() {
		for _, s := range staged {
			os.Remove(s)
		}
	}()
	var manifest bytes.Buffer
	for _, n := range names {
		fmt.Fprintf(&manifest, "%s  %s\n", sum(files[n]), n)
	}
	all := append(names, manifestName)
	content := func(n string) []byte {
		if n == manifestName {
			return manifest.Bytes()
		}
		return files[n]
	}
	for _, n := range all {
		path := filepath.Join(dir, n)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		f, err := os.CreateTemp(filepath.Dir(path), ".anodebook-*")
		if err != nil {
			return err
		}
		staged = append(staged, f.Name())
		_, err = f.Write(content(n))
		if e := f.Chmod(0o644); err == nil {
			err = e
		}
		if e := f.Close(); err == nil {
			err = e
		}
		if err != nil {
			return err
		}
	}
	for i, n := range all {
		if err := os.Rename(staged[i], filepath.Join(dir, n)); err != nil {
			return err
		}
	}
	staged = nil
	for n, s := range old { // what an earlier run wrote and this one does not
		if _, still := files[n]; still {
			continue
		}
		path := filepath.Join(dir, filepath.FromSlash(n))
		if have, err := os.ReadFile(path); err == nil && sum(have) == s {
			if err := os.Remove(path); err != nil {
				return err
			}
		}
	}
	return nil
}

func sum(b []byte) string { return fmt.Sprintf("%x", sha256.Sum256(b)) }

// readManifest reads what an earlier run wrote into dir; none is no error.
// Entries that would lead out of the folder are ignored.
func readManifest(dir string) (map[string]string, error) {
	out := map[string]string{}
	b, err := os.ReadFile(filepath.Join(dir, manifestName))
	if errors.Is(err, fs.ErrNotExist) {
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	for s := bufio.NewScanner(bytes.NewReader(b)); s.Scan(); {
		h, n, ok := strings.Cut(s.Text(), "  ")
		if ok && filepath.IsLocal(n) {
			out[n] = h
		}
	}
	return out, nil
}
