package preview

import (
	"bufio"
	"context"
	"encoding/json"
	"html"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// deadline is generous: it only says that the thing happens at all. How fast it
// is, a benchmark tells.
const deadline = 20 * time.Second

// fake renders a spec that is a word: "bad" makes a problem, "panic" a slip of
// the program, "needs NAME" a report of a second file, anything else a report
// of that word.
func fake(path string) (r Result) {
	b, err := os.ReadFile(path)
	if err != nil {
		return Result{Problems: []Problem{{What: err.Error()}}}
	}
	word := strings.TrimSpace(string(b))
	if name, ok := strings.CutPrefix(word, "needs "); ok {
		file := filepath.Join(filepath.Dir(path), name)
		r.Files = []string{file}
		more, err := os.ReadFile(file)
		if err != nil {
			r.Problems = []Problem{{What: name + " is missing"}}
			return r
		}
		word = string(more)
	}
	switch {
	case strings.HasPrefix(word, "bad"):
		r.Problems = []Problem{{What: "x.toml:2:1: <b>" + word + "</b>", Hint: "write <i>good</i>"}}
	case word == "panic":
		panic("index out of range")
	default:
		r.Title, r.Counts, r.HTML = "Title "+word, "0 exceeds, 1 caution, 2 note", []byte("<!DOCTYPE html><p>"+html.EscapeString(word))
	}
	return r
}

// serving starts a server that ends with the test and returns its address.
func serving(t testing.TB, path string) string {
	t.Helper()
	return servingWith(t, path, fake)
}

func servingWith(t testing.TB, path string, render Render) string {
	t.Helper()
	s, err := New(path, render, nil)
	require.NoError(t, err)
	l, err := Listen(0)
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, l) }()
	t.Cleanup(func() {
		stop()
		select {
		case err := <-ended:
			assert.NoError(t, err)
		case <-time.After(deadline):
			t.Error("the server does not end")
		}
	})
	return "http://" + l.Addr().String()
}

// served starts a server of a spec of one word.
func served(t testing.TB, word string) (spec, at string) {
	t.Helper()
	spec = filepath.Join(t.TempDir(), "x.toml")
	put(t, spec, word)
	return spec, serving(t, spec)
}

// following is served, with the events of the spec.
func following(t testing.TB, word string) (spec, at string, l *listener) {
	t.Helper()
	spec, at = served(t, word)
	return spec, at, listen(t, at+"/events/x.toml")
}

func put(t testing.TB, path, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
}

func get(t testing.TB, address string) (int, string, http.Header) {
	t.Helper()
	r, err := (&http.Client{Timeout: deadline}).Get(address) // events never end
	require.NoError(t, err)
	defer r.Body.Close()
	b, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	return r.StatusCode, string(b), r.Header
}

// listener follows the events of a spec.
type listener struct {
	t     testing.TB
	body  io.ReadCloser
	lines chan string
}

func listen(t testing.TB, address string) *listener {
	t.Helper()
	ctx, stop := context.WithTimeout(context.Background(), 4*deadline)
	t.Cleanup(stop)
	q, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
	require.NoError(t, err)
	r, err := http.DefaultClient.Do(q)
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, r.StatusCode)
	require.Contains(t, r.Header.Get("Content-Type"), "text/event-stream")
	t.Cleanup(func() { r.Body.Close() })
	l := &listener{t, r.Body, make(chan string, 100)}
	go func() {
		defer close(l.lines)
		in := bufio.NewScanner(r.Body)
		for in.Scan() {
			if data, ok := strings.CutPrefix(in.Text(), "data: "); ok {
				l.lines <- data
			}
		}
	}()
	return l
}

// until returns the first state that is as wanted.
func (l *listener) until(want func(page) bool) page {
	l.t.Helper()
	late := time.After(deadline)
	for {
		select {
		case data, ok := <-l.lines:
			require.True(l.t, ok, "the events end")
			var p page
			require.NoError(l.t, json.Unmarshal([]byte(data), &p))
			if want(p) {
				return p
			}
		case <-late:
			require.Fail(l.t, "no such state was told")
		}
	}
}

func titled(word string) func(page) bool {
	return func(p page) bool { return p.Title == "Title "+word && len(p.Problems) == 0 }
}

func troubled(p page) bool { return len(p.Problems) > 0 }
