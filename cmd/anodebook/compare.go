package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"anodebook/compute"
	"anodebook/report/compare"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

var compareCommand = &command{
	name:    "compare",
	args:    "[OLD] NEW",
	summary: "what changed between two specs, and what follows from it",
	help: `Computes both sides and tells what changed in the spec, with line numbers, and
what follows: ratings that crossed, findings that came or went, results that
moved by more than the threshold, the most important first, and parts that are
other ones now. Order of keys, comments, other words for the same value and
tables under another name are no change of the results.

A side is a file, "-" for standard input, or REV:PATH for a file as a revision
of the git repository has it; PATH counts from the top of the repository, and
./PATH from the folder you stand in. One side alone is the file as it stands
against its last commit, or against the revision that --since names.

Exit code 0: the same results; 1: they differ; 2: a side cannot be read.

In a CI job, where main is the branch to compare with:
  base=$(git merge-base origin/main HEAD)
  anodebook compare --markdown --since "$base" my.toml > changes.md || test $? -eq 1
  anodebook check my.toml
The second line fails only for a side that cannot be read, the third for what
exceeds its rating; changes.md tells the reviewers what follows.`,
	example: `anodebook compare HEAD~1:my.toml HEAD:my.toml
anodebook compare --since HEAD~3 my.toml
anodebook compare --html before.toml after.toml > changes.html`,
	flags: func(fs *flag.FlagSet) any {
		f := &compareFlags{}
		fs.BoolVar(&f.markdown, "markdown", false, "write Markdown, for a pull request or a letter")
		fs.BoolVar(&f.html, "html", false, "write one self-contained page, with curves of both sides over each other")
		fs.StringVar(&f.out, "o", "", "write into `FILE`, which must not exist yet, instead of standard output")
		fs.StringVar(&f.since, "since", "", "compare the one file named with itself at revision `REV` (default HEAD)")
		fs.StringVar(&f.threshold, "threshold", fmt.Sprintf("%g %%", 100*compare.DefaultThreshold),
			"`CHANGE` from which on a result counts as moved")
		fs.BoolVar(&f.all, "all", false, "list every result that moved, not the foremost 25 only")
		return f
	},
	run: func(e *environment, flags any, args []string) (int, error) {
		return e.compare(flags.(*compareFlags), args)
	},
}

type compareFlags struct {
	markdown, html, all   bool
	out, since, threshold string
}

// foremost is how many of the results that moved are listed without --all.
const foremost = 25

func (e *environment) compare(f *compareFlags, args []string) (int, error) {
	threshold, err := f.share()
	if err != nil {
		return exitError, err
	}
	if f.markdown && f.html {
		return exitError, hinted{errors.New("compare: both --markdown and --html"), "one form at a time"}
	}
	if f.out != "" {
		if _, err := os.Lstat(f.out); err == nil {
			return exitError, alreadyThere(f.out)
		}
	}
	var read [2]func() (compare.Side, error)
	switch {
	case len(args) == 1 && args[0] != "-" && !isRevision(args[0]):
		rev := f.since
		if rev == "" {
			rev = "HEAD"
		}
		read[0] = func() (compare.Side, error) {
			return sideAt(filepath.Dir(args[0]), rev, "./"+filepath.Base(args[0]))
		}
		read[1] = func() (compare.Side, error) { return e.side(args[0]) }
	case len(args) == 2 && f.since == "":
		if args[0] == "-" && args[1] == "-" {
			return exitError, hinted{errors.New("compare: standard input cannot be both sides"), "save one of them in a file"}
		}
		for i := range read {
			read[i] = func() (compare.Side, error) { return e.side(args[i]) }
		}
	case f.since != "":
		return exitError, hinted{errors.New("compare: --since wants the name of one file"), "anodebook compare --since HEAD~1 my.toml"}
	default:
		return exitError, hinted{fmt.Errorf("compare: %d sides named", len(args)),
			"two files, or REV:PATH and a file, or one file that lies in a git repository: anodebook compare my.toml"}
	}
	var sides [2]compare.Side
	failed := false
	for i, r := range read {
		if sides[i], err = r(); err != nil { // the problems of both sides at once
			e.report(err)
			failed = true
		}
	}
	if failed {
		return exitError, nil
	}
	c := compare.Compare(sides[0], sides[1], threshold)
	if err := e.show(f, c); err != nil {
		return exitError, err
	}
	if c.Different() {
		return exitFinding, nil
	}
	return exitGood, nil
}

// share reads the threshold.
func (f *compareFlags) share() (float64, error) {
	v, err := quantity.Parse(f.threshold)
	u, _ := quantity.LookupUnit(v.Unit)
	if err != nil || u.Kind() != "%" || v.SI < 0 || v.SI > 10 {
		return 0, hinted{fmt.Errorf("--threshold %q: wanted is a percentage from 0 to 1000 %%", f.threshold),
			`such as --threshold "2 %"`}
	}
	return v.SI, nil
}

func (e *environment) show(f *compareFlags, c *compare.Comparison) error {
	o := compare.Options{Limit: foremost}
	if f.all {
		o.Limit = 0
	}
	var content []byte
	switch {
	case f.html:
		html, err := c.HTML(o)
		if err != nil {
			return err
		}
		content = html
	case f.markdown:
		content = c.Markdown(o)
	default:
		var b strings.Builder
		if err := c.Terminal(&b, o); err != nil {
			return err
		}
		content = []byte(b.String())
	}
	if f.out == "" {
		_, err := e.stdout.Write(content)
		return err
	}
	err := writeNew(f.out, content)
	if errors.Is(err, fs.ErrExist) {
		return alreadyThere(f.out)
	}
	return err
}

func alreadyThere(file string) error {
	return hinted{fmt.Errorf("%s: exists, not overwritten", file), "move it away, or choose another name"}
}

// isRevision says that a side is written as REV:PATH. A file of that very
// name comes first.
func isRevision(name string) bool {
	if _, err := os.Stat(name); err == nil {
		return false
	}
	return strings.Contains(name, ":") && !filepath.IsAbs(name)
}

// side reads and computes one side.
func (e *environment) side(name string) (compare.Side, error) {
	if name != "-" && isRevision(name) {
		rev, file, _ := strings.Cut(name, ":")
		return sideAt(".", rev, file)
	}
	none := compare.Side{}
	if name == "-" {
		text, err := io.ReadAll(io.LimitReader(e.stdin, spec.MaxSize+1))
		if err != nil {
			return none, err
		}
		return sideOf("standard-input", text, func(string) ([]byte, string, string) {
			return nil, "a spec from standard input has no folder beside which the file could lie", "save the spec in a file and name " +
				"that"
		})
	}
	text, err := readSpec(name)
	if errors.Is(err, fs.ErrNotExist) {
		return none, hinted{err, "a side is a file, - for standard input, or REV:PATH of a git repository"}
	}
	if err != nil {
		return none, err
	}
	return sideOf(name, text, func(n string) ([]byte, string, string) { return readBeside(filepath.Dir(name), n) })
}

// readSpec reads the text of a spec file.
func readSpec(name string) ([]byte, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	if info.IsDir() {
		return nil, fmt.Errorf("%s: is a folder, not a spec file", name)
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, spec.MaxSize+1))
}

// sideAt reads and computes a file as a revision has it; folder lies in the
// repository.
func sideAt(folder, rev, name string) (compare.Side, error) {
	c, err := revision(folder, rev)
	if err != nil {
		return compare.Side{}, err
	}
	file, err := c.find(name)
	if err != nil {
		return compare.Side{}, err
	}
	text, err := c.read(file, spec.MaxSize)
	if err != nil {
		return compare.Side{}, err
	}
	return sideOf(rev+":"+file, text, func(n string) ([]byte, string, string) {
		content, err := c.read(path.Join(path.Dir(file), n), spec.MaxAttachment)
		if err != nil {
			return nil, err.Error(), "commit the measured file together with the spec"
		}
		return content, "", ""
	})
}

// sideOf computes a spec from its text.
func sideOf(name string, text []byte, beside func(string) ([]byte, string, string)) (compare.Side, error) {
	s, err := spec.Read(name, text, compute.Names())
	if err != nil {
		return compare.Side{}, err
	}
	if err := attachFrom(s, beside); err != nil {
		return compare.Side{}, err
	}
	d, err := compute.Run(s)
	if err != nil {
		return compare.Side{}, err
	}
	return compare.Side{Name: oneLine(name), Text: text, Design: d}, nil
}
