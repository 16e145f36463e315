package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"path/filepath"

	"anodebook/compute"
	"anodebook/report/compare"
	"anodebook/spec"
)

var digestCommand = &command{
	name:    "digest",
	args:    "SPEC",
	summary: "the main results as lines of text, made for git diff",
	help: `Prints what the spec says and its main results, findings, ratings and parts,
one to a line, sorted, with three digits: "tubes.plate_current = 581 mA". The
same design gives the same text, whatever the order of its keys.

With three lines git diff and git log -p show what follows from a change, and
not only its text:
  echo 'my.toml diff=anodebook' >> .gitattributes
  git config diff.anodebook.textconv 'anodebook digest --textconv'
  git config diff.anodebook.xfuncname '^# (.*)$'
git diff --no-textconv shows the text of the spec itself. Comments and the order
of keys do not appear in a digest, nor do networks that were measured: git hands
over the spec alone, without the files beside it.

--textconv is for git only: a spec that cannot be read gives its problems and
its text instead, and exit code 0, because git diff stops at any other code.
Without it the exit code is 0, or 2 for a spec that cannot be read.`,
	example: "anodebook digest examples/club-station.toml",
	flags: func(fs *flag.FlagSet) any {
		f := &digestFlags{}
		fs.BoolVar(&f.textconv, "textconv", false, "never fail: for git's diff.NAME.textconv")
		fs.BoolVar(&f.all, "all", false, "print every computed result, not the main ones only")
		return f
	},
	run: func(e *environment, flags any, args []string) (int, error) {
		f := flags.(*digestFlags)
		if len(args) != 1 {
			return exitError, hinted{fmt.Errorf("digest: %d specs named, wanted is one", len(args)),
				"anodebook digest my-amplifier.toml"}
		}
		if f.textconv {
			e.textconv(args[0], f.all)
			return exitGood, nil
		}
		side, err := e.fileSide(args[0])
		if err != nil {
			return exitError, err
		}
		_, err = io.WriteString(e.stdout, compare.Digest(side, f.all))
		return exitGood, err
	},
}

type digestFlags struct{ textconv, all bool }

// fileSide reads and computes a file or standard input; a colon in its name
// means nothing here.
func (e *environment) fileSide(name string) (compare.Side, error) {
	if name != "-" && isRevision(name) {
		return compare.Side{}, hinted{fmt.Errorf("%s: no such file", name), "anodebook compare reads revisions, digest does not"}
	}
	return e.side(name)
}

// textconv prints a digest for git, which hands over a copy of the file under
// a name of its own; so the name is not told, and files beside it are not read,
// lest the copy and the file itself differ by them alone.
func (e *environment) textconv(path string, all bool) {
	var text []byte
	digest, err := func() (string, error) {
		var err error
		if text, err = readSpec(path); err != nil {
			return "", errors.New("the file cannot be read")
		}
		s, err := spec.Read("spec", text, compute.Names())
		if err != nil {
			return "", err
		}
		bare := *s
		bare.Measured = nil
		d, err := compute.Run(&bare)
		if err != nil {
			return "", err
		}
		d.Spec = s
		digest := compare.Digest(compare.Side{Name: filepath.Base(path), Text: text, Design: d}, all)
		return digest, nil
	}()
	if err != nil {
		digest = compare.Unreadable(err, text)
	}
	fmt.Fprint(e.stdout, digest)
}
