package main

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"sort"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
)

const (
	// manifestName is the hidden file in which a notebook folder remembers
	// what was written, so that nothing made or changed by a person is
	// overwritten.
	manifestName = ".anodebook-files"
	// stagingName is the hidden folder in which files are written before they
	// take their places. Whatever lies in it was left by a run that was
	// killed.
	stagingName = ".anodebook-new"
)

// replaceFolder writes files (path below dir → content): all of them are
// written beside their places first, and renamed when the last one is whole.
// It refuses where a file of that name exists which anodebook did not write or
// which was changed since, and where a link leads out of the folder. One run
// at a time writes a folder, the others wait. A run that is killed leaves the
// old files or, in the moment of renaming, some old and some new ones, each of
// them whole; the next run knows both.
func replaceFolder(dir string, files map[string][]byte) (err error) {
	_, absent := os.Lstat(dir)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	defer func() {
		if err != nil && errors.Is(absent, fs.ErrNotExist) {
			os.Remove(dir) // only where nothing is in it
		}
	}()
	unlock, err := lockFolder(dir)
	if err != nil {
		return err
	}
	defer unlock()
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	w := folderWriter{root: root, dir: dir, files: files}
	for n := range files {
		w.names = append(w.names, n)
	}
	sort.Strings(w.names)
	if err := w.readManifest(); err != nil {
		return err
	}
	if err := w.refuse(); err != nil {
		return err
	}
	if err := root.RemoveAll(stagingName); err != nil {
		return err
	}
	defer root.RemoveAll(stagingName)
	if err := w.stage(); err != nil {
		return err
	}
	return w.place()
}

// folderWriter is one run of replaceFolder.
type folderWriter struct {
	root  *os.Root
	dir   string // as the user named it
	files map[string][]byte
	names []string            // of files, sorted
	known map[string][]string // sums of what earlier runs wrote, by name
	made  []string            // folders that this run made
}

// refuse says which files of a person's own stand in the way.
func (w *folderWriter) refuse() error {
	var foreign []string
	have, errs := make([]string, len(w.names)), make([]error, len(w.names))
	sideBySide(len(w.names), func(i int) { have[i], errs[i] = w.sum(w.names[i]) })
	for i, n := range w.names {
		if err := w.passable(path.Dir(n)); err != nil {
			return err
		}
		have, err := have[i], errs[i]
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case errors.Is(err, errNoFile):
			foreign = append(foreign, filepath.Join(w.dir, n))
		case err != nil:
			return err
		case !slices.Contains(w.known[n], have) && have != sum(w.files[n]):
			foreign = append(foreign, filepath.Join(w.dir, n))
		}
	}
	if len(foreign) > 0 {
		return hinted{fmt.Errorf("%s: made or changed by hand, not overwritten", strings.Join(foreign, ", ")),
			"move it away, or choose another folder with -o"}
	}
	return nil
}

// stage writes every file, and both manifests, into the hidden folder; the
// folders in which they will stand are made.
func (w *folderWriter) stage() (err error) {
	if err := w.root.Mkdir(stagingName, 0o755); err != nil {
		return err
	}
	defer func() {
		if err == nil {
			return
		}
		for _, d := range slices.Backward(w.made) {
			w.root.Remove(d)
		}
	}()
	for _, n := range w.names {
		if err := w.makeFolder(path.Dir(n)); err != nil {
			return err
		}
	}
	sums, errs := make([]string, len(w.names)), make([]error, len(w.names))
	sideBySide(len(w.names), func(i int) {
		file := w.files[w.names[i]]
		sums[i], errs[i] = sum(file), w.root.WriteFile(staged(i), file, 0o644)
	})
	if i := slices.IndexFunc(errs, func(err error) bool { return err != nil }); i >= 0 {
		return errs[i]
	}
	// The first names both what is there and what will be, and stands while
	// files change places; so a run killed then leaves nothing unknown.
	both, last := map[string][]string{}, map[string][]string{}
	for n, s := range w.known {
		both[n] = append(both[n], s...)
	}
	for i, n := range w.names {
		s := sums[i]
		last[n] = []string{s}
		if !slices.Contains(both[n], s) {
			both[n] = append(both[n], s)
		}
	}
	if err := w.root.WriteFile(staged(len(w.names)), manifest(both), 0o644); err != nil {
		return err
	}
	return w.root.WriteFile(staged(len(w.names)+1), manifest(last), 0o644)
}

// makeFolder makes a folder below the notebook's.
func (w *folderWriter) makeFolder(name string) error {
	if name == "." {
		return nil
	}
	if err := w.makeFolder(path.Dir(name)); err != nil {
		return err
	}
	err := w.root.Mkdir(name, 0o755)
	if err == nil {
		w.made = append(w.made, name)
		return nil
	}
	if errors.Is(err, fs.ErrExist) {
		return nil // refuse has seen that it is a folder
	}
	return err
}

// passable says that a folder below the notebook's may be made, or stands
// there already.
func (w *folderWriter) passable(name string) error {
	if name == "." {
		return nil
	}
	if err := w.passable(path.Dir(name)); err != nil {
		return err
	}
	info, err := w.root.Stat(name)
	if err == nil && info.IsDir() {
		return nil
	}
	if _, linked := w.root.Lstat(name); errors.Is(linked, fs.ErrNotExist) {
		return nil
	}
	return hinted{fmt.Errorf("%s: a folder is wanted there, and it is a file or a link that leads nowhere or out",
		filepath.Join(w.dir, name)),
		"move it away, or choose another folder with -o"}
}

// place renames what was staged, and removes what an earlier run wrote and
// this one does not.
func (w *folderWriter) place() error {
	if err := w.root.Rename(staged(len(w.names)), manifestName); err != nil {
		return err
	}
	for i, n := range w.names {
		if err := w.root.Rename(staged(i), n); err != nil {
			return err
		}
	}
	for n, known := range w.known {
		if _, still := w.files[n]; still {
			continue
		}
		if have, err := w.sum(n); err == nil && slices.Contains(known, have) {
			if err := w.root.Remove(n); err != nil {
				return err
			}
		}
	}
	return w.root.Rename(staged(len(w.names)+1), manifestName)
}

// sideBySide does n things on all cores.
func sideBySide(n int, do func(i int)) {
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	all.Wait()
}

func staged(i int) string { return stagingName + "/" + strconv.Itoa(i) }

func sum(b []byte) string { return fmt.Sprintf("%x", sha256.Sum256(b)) }

// errNoFile says that what stands under a name is a folder, a link, a pipe.
var errNoFile = errors.New("not a plain file")

// sum is the sum of a plain file; a link is none, wherever it leads.
func (w *folderWriter) sum(name string) (string, error) {
	f, err := w.open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return fmt.Sprintf("%x", h.Sum(nil)), nil
}

func (w *folderWriter) open(name string) (*os.File, error) {
	info, err := w.root.Lstat(name)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errNoFile
	}
	return w.root.Open(name)
}

// readManifest reads what earlier runs wrote; none is no error. Entries that
// would lead out of the folder are ignored.
func (w *folderWriter) readManifest() error {
	w.known = map[string][]string{}
	f, err := w.open(manifestName)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("%s: %w", filepath.Join(w.dir, manifestName), err)
	}
	defer f.Close()
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		h, n, ok := strings.Cut(lines.Text(), "  ")
		if ok && filepath.IsLocal(n) {
			w.known[n] = append(w.known[n], h)
		}
	}
	return nil // a line too long to be ours ends the list
}

// manifest writes sums and names, sorted.
func manifest(sums map[string][]string) []byte {
	var names []string
	for n := range sums {
		names = append(names, n)
	}
	sort.Strings(names)
	var b bytes.Buffer
	for _, n := range names {
		for _, s := range sums[n] {
			fmt.Fprintf(&b, "%s  %s\n", s, n)
		}
	}
	return b.Bytes()
}
