package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// TestCompareSaysWhatIsMissing goes through what can be missing behind
// REV:path; each has a sentence and a hint of its own.
func TestCompareSaysWhatIsMissing(t *testing.T) {
	r := newRepo(t)
	r.commit("my.toml", fourFacts)
	r.commit("my.toml", strings.Replace(fourFacts, "1000 W", "1100 W", 1))
	said := map[string]string{}
	says := func(dir, side string, want ...string) {
		t.Helper()
		t.Chdir(dir)
		code, stdout, stderr := program("", "compare", side, filepath.Join(r.dir, "my.toml"))
		assert.Equal(t, 2, code, side)
		assert.Empty(t, stdout, side)
		for _, w := range want {
			testhelp.Contains(t, stderr, w, side)
		}
		assert.Equal(t, 2, strings.Count(stderr, "\n"), "one sentence and one hint: %s", stderr)
		testhelp.Lacks(t, stderr, "fatal:")
		said[stderr] = side
	}
	object := func(dir, name string) string {
		h := strings.TrimSpace(r.git("-C", dir, "rev-parse", name))
		return filepath.Join(dir, ".git", "objects", h[:2], h[2:])
	}

	says(r.dir, "nonesuch:my.toml", `"nonesuch": git knows no such revision`)
	says(r.dir, "HEAD:other.toml", `there is no file "other.toml" in HEAD`)
	says(t.TempDir(), "HEAD:my.toml", "is in no git repository")

	empty := newRepo(t)
	says(empty.dir, "HEAD:my.toml", "the repository has no commit yet")

	cut := t.TempDir()
	r.git("clone", "-q", "--depth", "1", "file://"+filepath.ToSlash(r.dir), cut)
	says(cut, "HEAD~1:my.toml", "this clone is shallow", "git fetch --unshallow")
	t.Chdir(cut)
	code, _, stderr := program("", "compare", "HEAD:my.toml", "my.toml")
	assert.Equal(t, 0, code, "what the shallow clone has is read: %s", stderr)

	for _, lost := range []struct{ name, want string }{
		{"HEAD:my.toml", `the content of "my.toml" in HEAD is missing from the repository`},
		{"HEAD^{tree}", `a folder of "my.toml" in HEAD is missing from the repository`},
		{"HEAD", `the commit of "HEAD" is missing from the repository`},
	} {
		path := object(r.dir, lost.name)
		require.NoError(t, os.Rename(path, path+".away"), lost.name)
		says(r.dir, "HEAD:my.toml", lost.want, "git fsck")
		require.NoError(t, os.Rename(path+".away", path))
	}

	r.git("config", "uploadpack.allowFilter", "true")
	part := t.TempDir()
	r.git("clone", "-q", "--filter=blob:none", "--no-checkout", "file://"+filepath.ToSlash(r.dir), part)
	says(part, "HEAD:my.toml", `the content of "my.toml" in HEAD is not in this clone, which is a partial one`)

	assert.Len(t, said, 9, fmt.Sprint("no sentence twice: ", said))
}
