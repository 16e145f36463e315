package preview

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

func TestSavedSpecIsShownAnew(t *testing.T) {
	spec, at, l := following(t, "one")
	first := l.until(titled("one"))
	put(t, spec, "two")
	second := l.until(titled("two"))
	assert.NotEqual(t, first.Good, second.Good)
	_, body, _ := get(t, at+"/report/x.toml")
	testhelp.Contains(t, body, "two")

	// an editor that writes beside and renames over
	put(t, spec+"~", "six")
	require.NoError(t, os.Rename(spec+"~", spec))
	l.until(titled("six"))

	// the same length within the same moment, and back
	put(t, spec, "ten")
	l.until(titled("ten"))
	put(t, spec, "two")
	assert.Equal(t, second.Good, l.until(titled("two")).Good, "the same report has the same name")
}

func TestProblemsStandAboveTheLastGoodReport(t *testing.T) {
	spec, at, l := following(t, "one")
	good := l.until(titled("one"))
	for _, word := range []string{"bad <script>alert(1)</script>", "panic"} {
		put(t, spec, word)
		p := l.until(troubled)
		assert.Equal(t, good.Good, p.Good)
		assert.Equal(t, "Title one", p.Title)
		_, body, _ := get(t, at+"/report/x.toml")
		testhelp.Contains(t, body, "one", "the last good report stays")
		_, body, _ = get(t, at+"/")
		testhelp.Contains(t, body, "Below is the last good report")
		testhelp.Lacks(t, body, "<script>alert")
		testhelp.Lacks(t, body, "<b>bad")
		put(t, spec, "one")
		assert.Equal(t, good.Good, l.until(titled("one")).Good)
	}
	put(t, spec, "bad")
	p := l.until(troubled)
	assert.Equal(t, []Problem{{"x.toml:2:1: <b>bad</b>", "write <i>good</i>"}}, p.Problems)
	_, body, _ := get(t, at+"/")
	testhelp.Contains(t, body, "x.toml:2:1: &lt;b&gt;bad&lt;/b&gt;")
	testhelp.Contains(t, body, "write &lt;i&gt;good&lt;/i&gt;")
	require.NoError(t, os.Remove(spec))
	l.until(func(p page) bool { return troubled(p) && strings.Contains(p.Problems[0].What, "no such file") })
	put(t, spec, "back")
	l.until(titled("back"))
	put(t, spec, "")
	assert.Equal(t, "Title ", l.until(titled("")).Title, "an empty file is read in the end")
}

func TestSpecThatWasNeverGood(t *testing.T) {
	spec, at, l := following(t, "bad")
	p := l.until(troubled)
	assert.Empty(t, p.Good)
	code, body, _ := get(t, at+"/report/x.toml")
	assert.Equal(t, 200, code)
	testhelp.Contains(t, body, "no good report of x.toml yet")
	_, body, _ = get(t, at+"/")
	testhelp.Lacks(t, body, "last good report.", "there is none to speak of")
	put(t, spec, "one")
	l.until(titled("one"))
}

func TestNamedFilesAreWatched(t *testing.T) {
	spec, _, l := following(t, "needs measured.s1p")
	more := filepath.Join(filepath.Dir(spec), "measured.s1p")
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
	testhelp.Contains(t, body, "No file in this folder ends in .toml")
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
	testhelp.Contains(t, body, "Specs in my specs")
	testhelp.Contains(t, body, `href="/spec/a%20%3C1%3E.toml">a &lt;1&gt;.toml</a>`)
	testhelp.Contains(t, body, "0 exceeds, 1 caution, 2 note")
	testhelp.Lacks(t, body, "readme")
	assert.Less(t, strings.Index(body, "a &lt;1"), strings.Index(body, "b.toml"), "by name")
	code, frame, _ := get(t, at+"/spec/a%20%3C1%3E.toml")
	assert.Equal(t, 200, code)
	testhelp.Contains(t, frame, "Title one")
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
	spec, at := served(t, "start")
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
