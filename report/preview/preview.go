// Package preview shows the reports of specs in a browser while the builder
// writes them: a small web server on the loopback address that renders a spec
// anew when it is saved. It assumes a browser that runs scripts and knows
// server-sent events; without scripts the pages show what there was when they
// were loaded.
//
// A report that cannot be made does not replace the last good one; what is
// wrong stands above it. The report itself runs no script and loads nothing:
// it lies in a sandboxed frame within a page of this package, which swaps it
// and keeps the place that the reader had reached.
//
// Nobody but this computer's user is meant to read along: the server listens
// on 127.0.0.1 only, answers only requests whose Host header names that
// address (a page elsewhere could otherwise reach it through a name of its own
// that resolves to 127.0.0.1), answers only GET and HEAD, and never opens a
// file because an address names it.
package preview

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path/filepath"
	"sort"
	"sync"
)

// Problem is one thing that keeps a report from being made.
type Problem struct {
	What string `json:"what"` // with file, line and column where they are known
	Hint string `json:"hint,omitempty"`
}

// Result is one rendering of a spec.
type Result struct {
	Title    string    // of the report; empty if there is none
	Counts   string    // findings, such as "0 exceeds, 2 caution, 5 note"
	HTML     []byte    // the report, one self-contained page; nil if there is none
	Problems []Problem // why there is none
	Files    []string  // paths of the files that the spec names and that were or would have been read
}

// Render makes the report of the spec at a path. It is never called twice at
// the same time.
type Render func(path string) Result

// page is what the browser is told about one spec.
type page struct {
	Name     string    `json:"name"`
	Title    string    `json:"title"`    // of the last good report
	Counts   string    `json:"counts"`   // of the last good report
	Good     string    `json:"good"`     // names the last good report by its content; empty: none yet
	Problems []Problem `json:"problems"` // empty if the last good report is that of the spec as it stands
	Pending  bool      `json:"pending"`  // not rendered yet
}

// entry is one spec.
type entry struct {
	page
	path string
	html []byte // last good report
}

// board holds the state of all specs and tells those who wait of each change.
type board struct {
	mu      sync.Mutex
	entries map[string]*entry // by name
	version int
	changed chan struct{} // closed at the next change
}

func newBoard() *board {
	return &board{entries: map[string]*entry{}, changed: make(chan struct{})}
}

// told marks a change; the lock is held.
func (b *board) told() {
	b.version++
	close(b.changed)
	b.changed = make(chan struct{})
}

// look returns the state of one spec, its last good report, and a channel that
// is closed at the next change of anything. False if there is no such spec.
func (b *board) look(name string) (page, []byte, <-chan struct{}, bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	e, ok := b.entries[name]
	if !ok {
		return page{}, nil, b.changed, false
	}
	return e.page, e.html, b.changed, true
}

// all returns the state of every spec by name, and the version of the whole.
func (b *board) all() ([]page, int, <-chan struct{}) {
	b.mu.Lock()
	defer b.mu.Unlock()
	list := make([]page, 0, len(b.entries))
	for _, e := range b.entries {
		list = append(list, e.page)
	}
	sort.Slice(list, func(i, j int) bool { return list[i].Name < list[j].Name })
	return list, b.version, b.changed
}

// set makes the board hold exactly the specs at these paths.
func (b *board) set(paths []string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	before := len(b.entries)
	keep := map[string]bool{}
	for _, p := range paths {
		name := filepath.Base(p)
		keep[name] = true
		if b.entries[name] == nil {
			b.entries[name] = &entry{page: page{Name: name, Pending: true}, path: p}
		}
	}
	changed := len(b.entries) > before
	for name := range b.entries {
		if !keep[name] {
			delete(b.entries, name)
			changed = true
		}
	}
	if changed {
		b.told()
	}
}

// put takes in a rendering; the last good report stays if it is none.
func (b *board) put(path string, r Result) {
	b.mu.Lock()
	defer b.mu.Unlock()
	e := b.entries[filepath.Base(path)]
	if e == nil {
		return
	}
	e.Pending = false
	e.Problems = r.Problems
	if r.HTML == nil {
		if len(e.Problems) == 0 {
			e.Problems = []Problem{{What: "no report was made"}}
		}
	} else {
		e.Title, e.Counts = r.Title, r.Counts
		if !bytes.Equal(e.html, r.HTML) {
			sum := sha256.Sum256(r.HTML)
			e.html, e.Good = r.HTML, hex.EncodeToString(sum[:8])
		}
	}
	b.told()
}

// safely renders, and makes a slip of the program itself a problem to be read:
// the server must not end while somebody works with it.
func safely(render Render, path string) (r Result) {
	defer func() {
		if p := recover(); p != nil {
			r.HTML = nil
			r.Problems = []Problem{{What: fmt.Sprintf("the program itself failed: %v", p),
				Hint: "anodebook write shows more; please report it with the spec"}}
		}
	}()
	return render(path)
}
