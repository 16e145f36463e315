package preview

import (
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

func TestOnlyThisComputerIsAnswered(t *testing.T) {
	_, at := served(t, "one")
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
				testhelp.Lacks(t, string(b), "one")
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
	spec, at := served(t, "one")
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
		for _, name := range []string{"../secret.toml", "..%2fsecret.toml", "%2e%2e/secret.toml", "%2e%2e%2fsecret.toml",
			`..%5csecret.toml`, "..%00", "notes.txt", ".hidden.toml",
			"folder.toml", "folder.toml/", "x.toml/../../secret.toml", url.PathEscape(filepath.Join(dir,
				"secret.toml")), "static/preview.js", "X.TOML", "x.toml%00"} {
			code, body, _ := get(t, at+start+name)
			testhelp.Contains(t, []int{400, 404}, code, start+name)
			testhelp.Lacks(t, body, "secret\n", start+name)
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
	testhelp.Lacks(t, policy, "unsafe")
	testhelp.Lacks(t, body, "<of>")
	testhelp.Contains(t, body, "Title one &amp; two")
	testhelp.Contains(t, body, `src="/report/`+strings.ReplaceAll(name, "&", "&amp;"))
	code, body, h = get(t, at+"/report/"+name)
	assert.Equal(t, 200, code)
	assert.Equal(t, "<!DOCTYPE html><p>one &amp; two", body)
	testhelp.Contains(t, h.Get("Content-Security-Policy"), "default-src 'none'")
	testhelp.Contains(t, h.Get("Content-Security-Policy"), "sandbox allow-same-origin")
	testhelp.Lacks(t, h.Get("Content-Security-Policy"), "script")
	assert.Equal(t, "no-store", h.Get("Cache-Control"))
	assert.Equal(t, "nosniff", h.Get("X-Content-Type-Options"))
}
