package preview

import (
	"context"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"time"
)

// The watch looks at the files instead of being told: looking at a dozen of
// them takes microseconds, it works alike on every system and on shared
// folders, and an editor that saves by renaming needs no special care.
const (
	look      = 5 * time.Millisecond   // between two looks at the files
	settle    = 5 * time.Millisecond   // a file must stay unchanged before it is read
	patience  = 150 * time.Millisecond // the same for a file that is missing or empty: it is probably being saved
	roomEvery = 250 * time.Millisecond // between two looks at which specs a folder holds
	manyFiles = 100                    // from here on the looks are further apart
)

// stamp tells one state of a file from another.
type stamp struct {
	there bool
	size  int64
	time  time.Time
	info  os.FileInfo
}

func stampOf(path string) stamp {
	info, err := os.Stat(path)
	if err != nil {
		return stamp{}
	}
	return stamp{true, info.Size(), info.ModTime(), info}
}

func (s stamp) same(o stamp) bool {
	if s.there != o.there || s.size != o.size || !s.time.Equal(o.time) {
		return false
	}
	return !s.there || os.SameFile(s.info, o.info)
}

// watched is a spec under watch.
type watched struct {
	path   string
	stamps map[string]stamp // of the spec and of the files that it names
	since  time.Time        // of the change that waits to be read; zero: none
	wait   time.Duration
}

// look says whether the spec must be read again now.
func (w *watched) look(now time.Time) bool {
	for path, old := range w.stamps {
		s := stampOf(path)
		if s.same(old) {
			continue
		}
		w.stamps[path] = s
		w.since, w.wait = now, settle
		if !s.there || s.size == 0 {
			w.wait = patience
		}
	}
	if w.since.IsZero() || now.Sub(w.since) < w.wait {
		return false
	}
	w.since = time.Time{}
	return true
}

// read renders the spec. The stamps are taken before, so that what is saved
// meanwhile is seen.
func (w *watched) read(render Render) Result {
	for path := range w.stamps {
		w.stamps[path] = stampOf(path)
	}
	r := safely(render, w.path)
	next := map[string]stamp{w.path: w.stamps[w.path]}
	for _, f := range r.Files {
		if s, ok := w.stamps[f]; ok {
			next[f] = s
		} else {
			next[f] = stampOf(f)
		}
	}
	w.stamps = next
	return r
}

// specsIn lists the specs of a folder, by name.
func specsIn(folder string) []string {
	list, err := os.ReadDir(folder)
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range list {
		if strings.HasPrefix(e.Name(), ".") || filepath.Ext(e.Name()) != ".toml" {
			continue
		}
		path := filepath.Join(folder, e.Name())
		if info, err := os.Stat(path); err == nil && info.Mode().IsRegular() {
			out = append(out, path)
		}
	}
	sort.Strings(out)
	return out
}

// watch renders every spec once and then whenever it or a file that it names
// changes, until the context ends.
func (s *Server) watch(ctx context.Context) {
	under := map[string]*watched{}
	var room time.Time // of the last look at the folder
	for {
		now := time.Now()
		if s.folder && now.Sub(room) >= roomEvery {
			room = now
			s.board.set(specsIn(s.path))
		}
		paths := s.board.paths()
		files := 0
		for name := range under {
			if _, ok := paths[name]; !ok {
				delete(under, name)
			}
		}
		for _, name := range sortedNames(paths) {
			w, known := under[name]
			if !known {
				w = &watched{path: paths[name], stamps: map[string]stamp{paths[name]: {}}}
				under[name] = w
			}
			files += len(w.stamps)
			if known && !w.look(now) {
				continue
			}
			r := w.read(s.render)
			s.board.put(w.path, r)
			if s.tell != nil {
				s.tell(w.path, r)
			}
			if ctx.Err() != nil {
				return
			}
		}
		pause := look * time.Duration(1+files/manyFiles)
		select {
		case <-ctx.Done():
			return
		case <-time.After(pause):
		}
	}
}

func (b *board) paths() map[string]string {
	b.mu.Lock()
	defer b.mu.Unlock()
	out := make(map[string]string, len(b.entries))
	for name, e := range b.entries {
		out[name] = e.path
	}
	return out
}

func sortedNames(m map[string]string) []string {
	out := make([]string, 0, len(m))
	for n := range m {
		out = append(out, n)
	}
	sort.Strings(out)
	return out
}
