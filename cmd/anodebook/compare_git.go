package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// A repository is asked through the git program, without a shell. Revisions
// and paths are strangers' text: a revision is first turned into the name of a
// commit, a path is looked up as it stands, and what is read is named by its
// hash. `git cat-file` and not `git show` reads it, because the latter would
// run the very text conversion that calls this program.

// gitTimeout is how long one call of git may take.
const gitTimeout = 30 * time.Second

var (
	revisionText = regexp.MustCompile(`^[A-Za-z0-9_@{}^~./+=#%,-]{1,200}$`)
	objectName   = regexp.MustCompile(`^(?:[0-9a-f]{40}|[0-9a-f]{64})$`)
)

// commit is a revision of the repository that a folder belongs to.
type commit struct {
	folder string // where git runs
	rev    string // as the user wrote it
	hash   string
}

// revision finds a commit.
func revision(folder, rev string) (*commit, error) {
	switch {
	case strings.HasPrefix(rev, "-"):
		return nil, hinted{fmt.Errorf("%q: a revision does not begin with -", rev),
			"HEAD, HEAD~1, a branch, a tag or the hash of a commit"}
	case strings.Contains(rev, ".."):
		return nil, hinted{fmt.Errorf("%q: that is a range; a side is one revision", rev), "anodebook compare OLD:my.toml NEW:my.toml"}
	case !revisionText.MatchString(rev):
		return nil, hinted{fmt.Errorf("%q is not the name of a revision", rev), "HEAD, HEAD~1, a branch, a tag or the hash of a commit"}
	}
	out, err := git(folder, 200, "rev-parse", "--verify", "--quiet", rev+"^{commit}")
	if err != nil {
		return nil, noRevision(folder, rev, err)
	}
	hash := strings.TrimSpace(string(out))
	if !objectName.MatchString(hash) {
		return nil, fmt.Errorf("%q: git names no commit", rev)
	}
	return &commit{folder, rev, hash}, nil
}

// noRevision says why git has no such commit: each reason wants another remedy.
func noRevision(folder, rev string, err error) error {
	const names = "HEAD, HEAD~1, a branch, a tag or the hash of a commit"
	var missing *exec.Error
	if errors.As(err, &missing) {
		return hinted{errors.New("revisions are read through git, which is not installed here"),
			"save the older text in a file and name that"}
	}
	if _, err := git(folder, 4096, "rev-parse", "--git-dir"); err != nil {
		if strings.Contains(err.Error(), "not a git repository") {
			return hinted{fmt.Errorf("%q: %s is in no git repository", rev, there(folder)),
				"go into the folder of the repository, or name two files"}
		}
		return hinted{fmt.Errorf("%q: the git repository cannot be read: %w", rev, err), "git status in that folder says the same"}
	}
	if out, err := git(folder, 200, "rev-parse", "--verify", "--quiet", rev); err == nil {
		hash := strings.TrimSpace(string(out))
		kind, err := git(folder, 200, "cat-file", "-t", hash)
		if err != nil {
			return missingObject(folder, fmt.Sprintf("the commit of %q", rev))
		}
		return hinted{fmt.Errorf("%q names a %s, not a commit", rev, strings.TrimSpace(string(kind))), names}
	}
	if out, err := git(folder, 200, "rev-list", "-n", "1", "--all"); err == nil && len(out) == 0 {
		return hinted{fmt.Errorf("%q: the repository has no commit yet", rev), "git commit makes the first one"}
	}
	if shallow(folder) {
		return hinted{fmt.Errorf("%q: this clone is shallow, and its history ends before that revision or knows none of that name",
			rev),
			"git fetch --unshallow brings the whole history"}
	}
	return hinted{fmt.Errorf("%q: git knows no such revision", rev), "git log --oneline lists them"}
}

// there is the folder for a sentence.
func there(folder string) string {
	if folder == "." {
		return "this folder"
	}
	return folder
}

// shallow says that the history of the clone was cut off.
func shallow(folder string) bool {
	out, err := git(folder, 200, "rev-parse", "--is-shallow-repository")
	return err == nil && strings.TrimSpace(string(out)) == "true"
}

// missingObject says that git knows of an object which is not in the clone.
func missingObject(folder, what string) error {
	if out, err := git(folder, 4096, "config", "--get-regexp", `^remote\..*\.(promisor|partialclonefilter)$`); err == nil &&
		len(out) > 0 {
		return hinted{fmt.Errorf("%s is not in this clone, which is a partial one", what),
			"git fetches it when you check that revision out; then compare again"}
	}
	return hinted{fmt.Errorf("%s is missing from the repository: its object is lost or damaged", what),
		"git fsck lists what is missing; git fetch from a whole clone brings it back"}
}

// find turns a path as the user wrote it into one from the top of the
// repository: as git means it, a path that begins with ./ or ../ counts from
// the folder, any other from the top.
func (c *commit) find(name string) (string, error) {
	bad := strings.ContainsFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f || r == 0xfffd })
	if name == "" || bad || len(name) > 1000 || strings.HasPrefix(name, "/") {
		return "", hinted{fmt.Errorf("%q is not a path within a repository", name), c.rev +
			":path/to/my.toml, counted from the top of the repository"}
	}
	if name == "." || strings.HasPrefix(name, "./") || strings.HasPrefix(name, "../") {
		prefix, err := git(c.folder, 4096, "rev-parse", "--show-prefix")
		if err != nil {
			return "", err
		}
		name = strings.TrimSuffix(string(prefix), "\n") + name
	}
	name = path.Clean(name)
	if name == ".." || strings.HasPrefix(name, "../") {
		return "", fmt.Errorf("%q leads out of the repository", name)
	}
	return name, nil
}

// read reads a plain file of the commit; name counts from the top of the
// repository.
func (c *commit) read(name string, limit int64) ([]byte, error) {
	out, err := git(c.folder, 8192, "ls-tree", "-z", "--full-tree", c.hash, "--", name)
	if err != nil {
		return nil, missingObject(c.folder, fmt.Sprintf("a folder of %q in %s", name, c.rev))
	}
	// one entry: "mode type hash\tpath\0"
	head, file, ok := strings.Cut(strings.TrimSuffix(string(out), "\x00"), "\t")
	field := strings.Fields(head)
	if !ok || len(field) != 3 || file != name {
		return nil, hinted{fmt.Errorf("there is no file %q in %s", name, c.rev),
			fmt.Sprintf("the path counts from the top of the repository; %s:./%s counts from the folder you stand in", c.rev,
				path.Base(name))}
	}
	mode, kind, hash := field[0], field[1], field[2]
	if kind != "blob" || mode != "100644" && mode != "100755" || !objectName.MatchString(hash) {
		return nil, fmt.Errorf("%q in %s is not a plain file", name, c.rev)
	}
	lost := func() error { return missingObject(c.folder, fmt.Sprintf("the content of %q in %s", name, c.rev)) }
	out, err = git(c.folder, 200, "cat-file", "-s", hash)
	if err != nil {
		return nil, lost()
	}
	text := strings.TrimSpace(string(out))
	if size, err := strconv.ParseInt(text, 10, 64); err != nil || size > limit {
		return nil, fmt.Errorf("%q in %s has %s bytes; the limit is %d", name, c.rev, text, limit)
	}
	content, err := git(c.folder, limit, "cat-file", "blob", hash)
	switch {
	case err != nil:
		return nil, lost()
	case content == nil:
		content = []byte{}
	}
	return content, nil
}

// git runs git in a folder and returns what it prints, at most limit bytes. It
// sees of the environment only where to find itself, its settings and its
// system; it neither asks for passwords nor fetches anything.
func git(folder string, limit int64, args ...string) ([]byte, error) {
	ctx, cancel := context.WithTimeout(context.Background(), gitTimeout)
	defer cancel()
	cmd := exec.CommandContext(ctx, "git", append([]string{"--no-pager", "-C", folder}, args...)...)
	cmd.Env = []string{"LC_ALL=C", "GIT_TERMINAL_PROMPT=0", "GIT_OPTIONAL_LOCKS=0", "GIT_NO_LAZY_FETCH=1", "GIT_LITERAL_PATHSPECS=1"}
	for _, name := range []string{"PATH", "HOME", "XDG_CONFIG_HOME", "SYSTEMROOT", "USERPROFILE"} {
		if v, ok := os.LookupEnv(name); ok {
			cmd.Env = append(cmd.Env, name+"="+v)
		}
	}
	out, errs := &capped{limit: limit}, &capped{limit: 4096}
	cmd.Stdout, cmd.Stderr = out, errs
	if err := cmd.Run(); err != nil {
		if out.over {
			return nil, fmt.Errorf("git %s prints more than %d bytes", args[0], limit)
		}
		if line, _, _ := strings.Cut(strings.TrimSpace(errs.String()), "\n"); line != "" {
			return nil, fmt.Errorf("git %s: %s", args[0], line)
		}
		return nil, fmt.Errorf("git %s: %w", args[0], err)
	}
	return out.Bytes(), nil
}

// capped keeps at most limit bytes and fails beyond.
type capped struct {
	bytes.Buffer
	limit int64
	over  bool
}

func (c *capped) Write(p []byte) (int, error) {
	if int64(c.Len()+len(p)) > c.limit {
		c.over = true
		return 0, errors.New("too much")
	}
	return c.Buffer.Write(p)
}
