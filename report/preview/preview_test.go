package preview

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"html"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
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

func TestOnlyThisComputerIsAnswered(t *testing.T) {
	spec := filepath.Join(t.TempDir(), "x.toml")
	put(t, spec, "one")
	at := serving(t, spec)
	u, err := url.Parse(at)
	require.NoError(t, err)
	assert.Equal(t, "127.0.0.1", u.Hostname())
	for host, want := range map[string]int{
		u.Host: 200, "localhost:" + u.Port(): 200, "LOCALHOST:" + u.Port(): 200,
		"127.0.0.1": 421, "localhost": 421, "127.0.0.1:1": 421, "example.org": 421, "example.org:" + u.Port(): 421,
		"127.0.0.1.example.org:" + u.Port(): 421, "localhost.:" + u.Port(): 421, "[::1]:" + u.Port(): 421, "0.0.0.0:" + u.Port(): 421,
		"user@127.0.0.1:" + u.Port(): 421,
	} {
		for _, path := range []string{"/", "/report/x.toml", "/events/absent", "/preview.js"} {
			q, err := http.NewRequest(http.MethodGet, at+path, nil)
			require.NoError(t, err)
			q.Host = host
			r, err := http.DefaultClient.Do(q)
			require.NoError(t, err)
			b, err := io.ReadAll(r.Body)
			require.NoError(t, err)
			r.Body.Close()
			if path == "/events/absent" && want == 200 {
				assert.Equal(t, 404, r.StatusCode)
				continue
			}
			if r.StatusCode == 400 && strings.Contains(host, "@") {
				continue // refused by the library already
			}
			assert.Equal(t, want, r.StatusCode, "%s%s", host, path)
			if want != 200 {
				assert.NotContains(t, string(b), "one")
			}
		}
	}
}

func TestListenIsLoopback(t *testing.T) {
	l, err := Listen(0)
	require.NoError(t, err)
	defer l.Close()
	assert.True(t, strings.HasPrefix(l.Addr().String(), "127.0.0.1:"))
}

func TestOnlyReading(t *testing.T) {
	spec := filepath.Join(t.TempDir(), "x.toml")
	put(t, spec, "one")
	at := serving(t, spec)
	for _, method := range []string{"POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECTED"} {
		q, err := http.NewRequest(method, at+"/", strings.NewReader("x"))
		require.NoError(t, err)
		r, err := http.DefaultClient.Do(q)
		require.NoError(t, err)
		r.Body.Close()
		assert.Equal(t, http.StatusMethodNotAllowed, r.StatusCode, method)
		assert.Equal(t, "GET, HEAD", r.Header.Get("Allow"))
		assert.Empty(t, r.Header.Get("Access-Control-Allow-Origin"))
	}
	for _, path := range []string{"/", "/report/x.toml", "/events/x.toml", "/events", "/preview.css"} {
		r, err := http.Head(at + path)
		require.NoError(t, err)
		b, err := io.ReadAll(r.Body)
		require.NoError(t, err)
		r.Body.Close()
		assert.Equal(t, 200, r.StatusCode, path)
		assert.Empty(t, b)
	}
	b, err := os.ReadFile(spec)
	require.NoError(t, err)
	assert.Equal(t, "one", string(b))
}

func TestNoWayToOtherFiles(t *testing.T) {
	dir := t.TempDir()
	put(t, filepath.Join(dir, "secret.txt"), "secret")
	put(t, filepath.Join(dir, "secret.toml"), "secret")
	put(t, filepath.Join(dir, ".hidden.toml"), "secret")
	inner := filepath.Join(dir, "specs")
	require.NoError(t, os.MkdirAll(filepath.Join(inner, "folder.toml"), 0o755))
	put(t, filepath.Join(inner, "x.toml"), "one")
	put(t, filepath.Join(inner, "notes.txt"), "secret")
	put(t, filepath.Join(inner, ".hidden.toml"), "secret")
	at := serving(t, inner)
	listen(t, at+"/events/x.toml").until(titled("one"))
	for _, start := range []string{"/report/", "/spec/", "/events/", "/"} {
		for _, name := range []string{"../secret.toml", "..%2fsecret.toml", "%2e%2e/secret.toml", "%2e%2e%2fsecret.toml", `..%5csecret.toml`, "..%00", "notes.txt", ".hidden.toml",
			"folder.toml", "folder.toml/", "x.toml/../../secret.toml", url.PathEscape(filepath.Join(dir, "secret.toml")), "static/preview.js", "X.TOML", "x.toml%00"} {
			code, body, _ := get(t, at+start+name)
			assert.Contains(t, []int{400, 404}, code, start+name)
			assert.NotContains(t, body, "secret\n", start+name)
			assert.NotEqual(t, "secret", body)
		}
	}
}

func TestReportAndPolicies(t *testing.T) {
	spec := filepath.Join(t.TempDir(), "Pair <of> 3-500Z & more.toml")
	put(t, spec, "one & two")
	at := serving(t, spec)
	name := url.PathEscape(filepath.Base(spec))
	listen(t, at+"/events/"+name).until(titled("one & two"))
	code, body, h := get(t, at+"/")
	assert.Equal(t, 200, code)
	policy := h.Get("Content-Security-Policy")
	assert.True(t, strings.HasPrefix(policy, "default-src 'none'; script-src 'self';"), policy)
	assert.NotContains(t, policy, "unsafe")
	assert.NotContains(t, body, "<of>")
	assert.Contains(t, body, "Title one &amp; two")
	assert.Contains(t, body, `src="/report/`+strings.ReplaceAll(name, "&", "&amp;"))
	code, body, h = get(t, at+"/report/"+name)
	assert.Equal(t, 200, code)
	assert.Equal(t, "<!DOCTYPE html><p>one &amp; two", body)
	assert.Contains(t, h.Get("Content-Security-Policy"), "default-src 'none'")
	assert.Contains(t, h.Get("Content-Security-Policy"), "sandbox allow-same-origin")
	assert.NotContains(t, h.Get("Content-Security-Policy"), "script")
	assert.Equal(t, "no-store", h.Get("Cache-Control"))
	assert.Equal(t, "nosniff", h.Get("X-Content-Type-Options"))
}

func TestSavedSpecIsShownAnew(t *testing.T) {
	dir := t.TempDir()
	spec := filepath.Join(dir, "x.toml")
	put(t, spec, "one")
	at := serving(t, spec)
	l := listen(t, at+"/events/x.toml")
	first := l.until(titled("one"))
	put(t, spec, "two")
	second := l.until(titled("two"))
	assert.NotEqual(t, first.Good, second.Good)
	_, body, _ := get(t, at+"/report/x.toml")
	assert.Contains(t, body, "two")

	// an editor that writes beside and renames over
	put(t, filepath.Join(dir, "x.toml~"), "six")
	require.NoError(t, os.Rename(filepath.Join(dir, "x.toml~"), spec))
	l.until(titled("six"))

	// the same length within the same moment, and back
	put(t, spec, "ten")
	l.until(titled("ten"))
	put(t, spec, "two")
	assert.Equal(t, second.Good, l.until(titled("two")).Good, "the same report has the same name")
}

func TestProblemsStandAboveTheLastGoodReport(t *testing.T) {
	spec := filepath.Join(t.TempDir(), "x.toml")
	put(t, spec, "one")
	at := serving(t, spec)
	l := listen(t, at+"/events/x.toml")
	good := l.until(titled("one"))
	for _, word := range []string{"bad <script>alert(1)</script>", "panic"} {
		put(t, spec, word)
		p := l.until(troubled)
		assert.Equal(t, good.Good, p.Good)
		assert.Equal(t, "Title one", p.Title)
		_, body, _ := get(t, at+"/report/x.toml")
		assert.Contains(t, body, "one", "the last good report stays")
		_, body, _ = get(t, at+"/")
		assert.Contains(t, body, "Below is the last good report")
		assert.NotContains(t, body, "<script>alert")
		assert.NotContains(t, body, "<b>bad")
		put(t, spec, "one")
		assert.Equal(t, good.Good, l.until(titled("one")).Good)
	}
	put(t, spec, "bad")
	p := l.until(troubled)
	assert.Equal(t, []Problem{{"x.toml:2:1: <b>bad</b>", "write <i>good</i>"}}, p.Problems)
	_, body, _ := get(t, at+"/")
	assert.Contains(t, body, "x.toml:2:1: &lt;b&gt;bad&lt;/b&gt;")
	assert.Contains(t, body, "write &lt;i&gt;good&lt;/i&gt;")
	require.NoError(t, os.Remove(spec))
	l.until(func(p page) bool { return troubled(p) && strings.Contains(p.Problems[0].What, "no such file") })
	put(t, spec, "back")
	l.until(titled("back"))
	put(t, spec, "")
	assert.Equal(t, "Title ", l.until(titled("")).Title, "an empty file is read in the end")
}

func TestSpecThatWasNeverGood(t *testing.T) {
	spec := filepath.Join(t.TempDir(), "x.toml")
	put(t, spec, "bad")
	at := serving(t, spec)
	l := listen(t, at+"/events/x.toml")
	p := l.until(troubled)
	assert.Empty(t, p.Good)
	code, body, _ := get(t, at+"/report/x.toml")
	assert.Equal(t, 200, code)
	assert.Contains(t, body, "no good report of x.toml yet")
	_, body, _ = get(t, at+"/")
	assert.NotContains(t, body, "last good report.", "there is none to speak of")
	put(t, spec, "one")
	l.until(titled("one"))
}

func TestNamedFilesAreWatched(t *testing.T) {
	dir := t.TempDir()
	spec, more := filepath.Join(dir, "x.toml"), filepath.Join(dir, "measured.s1p")
	put(t, spec, "needs measured.s1p")
	at := serving(t, spec)
	l := listen(t, at+"/events/x.toml")
	l.until(troubled)
	put(t, more, "first")
	l.until(titled("first"))
	put(t, more, "second")
	l.until(titled("second"))
	put(t, spec, "alone")
	l.until(titled("alone"))
}

func TestFolderHasAnIndex(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "my specs")
	require.NoError(t, os.Mkdir(dir, 0o755))
	at := serving(t, dir)
	_, body, _ := get(t, at+"/")
	assert.Contains(t, body, "No file in this folder ends in .toml")
	put(t, filepath.Join(dir, "b.toml"), "bad")
	put(t, filepath.Join(dir, "a <1>.toml"), "one")
	put(t, filepath.Join(dir, "readme.txt"), "no spec")
	all := listen(t, at+"/events")
	until := func(want func(body string) bool) string {
		t.Helper()
		late := time.After(deadline)
		for {
			if _, body, _ = get(t, at+"/"); want(body) {
				return body
			}
			select {
			case <-all.lines:
			case <-late:
				require.Fail(t, "the index stays as it is", body)
			}
		}
	}
	body = until(func(b string) bool {
		return strings.Contains(b, "Title one") && strings.Contains(b, "cannot be used: 1 problem<")
	})
	assert.Contains(t, body, "Specs in my specs")
	assert.Contains(t, body, `href="/spec/a%20%3C1%3E.toml">a &lt;1&gt;.toml</a>`)
	assert.Contains(t, body, "0 exceeds, 1 caution, 2 note")
	assert.NotContains(t, body, "readme")
	assert.Less(t, strings.Index(body, "a &lt;1"), strings.Index(body, "b.toml"), "by name")
	code, frame, _ := get(t, at+"/spec/a%20%3C1%3E.toml")
	assert.Equal(t, 200, code)
	assert.Contains(t, frame, "Title one")
	put(t, filepath.Join(dir, "b.toml"), "mended")
	until(func(b string) bool { return strings.Contains(b, "Title mended") })
	gone := listen(t, at+"/events/b.toml")
	require.NoError(t, os.Remove(filepath.Join(dir, "b.toml")))
	until(func(b string) bool { return !strings.Contains(b, "b.toml") })
	code, _, _ = get(t, at+"/spec/b.toml")
	assert.Equal(t, 404, code)
	for range gone.lines { // ends with the spec
	}
}

func TestManyReadersAtOnce(t *testing.T) {
	spec := filepath.Join(t.TempDir(), "x.toml")
	put(t, spec, "start")
	at := serving(t, spec)
	var wg sync.WaitGroup
	ready := make(chan bool, 20)
	for range 20 {
		l := listen(t, at+"/events/x.toml")
		wg.Go(func() {
			l.until(titled("start"))
			ready <- true
			l.until(titled("end"))
		})
		wg.Go(func() {
			for range 20 {
				code, _, _ := get(t, at+"/report/x.toml")
				assert.Equal(t, 200, code)
			}
		})
	}
	for range 20 {
		select {
		case <-ready:
		case <-time.After(deadline):
			require.Fail(t, "somebody was not told")
		}
	}
	for i := range 5 {
		put(t, spec, fmt.Sprint("word", i))
	}
	put(t, spec, "end")
	wg.Wait()
}

func TestEndWithReadersConnected(t *testing.T) {
	spec := filepath.Join(t.TempDir(), "x.toml")
	put(t, spec, "one")
	s, err := New(spec, fake, nil)
	require.NoError(t, err)
	port, err := Listen(0)
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, port) }()
	l := listen(t, "http://"+port.Addr().String()+"/events/x.toml")
	l.until(titled("one"))
	stop()
	select {
	case err := <-ended:
		require.NoError(t, err)
	case <-time.After(deadline):
		require.Fail(t, "it does not end")
	}
	for range l.lines { // closed by the server
	}
	_, err = http.Get("http://" + port.Addr().String() + "/")
	assert.Error(t, err, "nobody answers any more")
}

func TestNeitherFileNorFolder(t *testing.T) {
	_, err := New(filepath.Join(t.TempDir(), "absent.toml"), fake, nil)
	assert.ErrorIs(t, err, os.ErrNotExist)
	_, err = New(os.DevNull, fake, nil)
	assert.ErrorContains(t, err, "neither a file nor a folder")
}
