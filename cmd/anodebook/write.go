package main

import (
	"flag"
	"fmt"
	"path/filepath"
	"strings"

	"anodebook/compute/ledger"
	"anodebook/report"
)

var writeCommand = &command{
	name:    "write",
	args:    "[SPEC] [-o DIR]",
	summary: "write the build report of a spec",
	help: `Computes the spec and writes the notebook into a folder: report.html (one
self-contained page), report.md with figures/*.svg, parts.csv and results.json.
Without SPEC the embedded starter spec is used; "-" reads standard input.

Files that were changed by hand since anodebook wrote them are never
overwritten. A design with findings is written all the same: see "check" for
an exit code that tells.`,
	example: "anodebook write examples/club-station.toml -o club",
	flags: func(fs *flag.FlagSet) any {
		f := &writeFlags{}
		fs.StringVar(&f.dir, "o", "", "`DIR` to write into (default: the spec's name with -notebook)")
		return f
	},
	run: func(e *environment, flags any, args []string) (int, error) {
		path := ""
		if len(args) > 1 {
			return exitError, hinted{fmt.Errorf("write: %d specs named, one at a time", len(args)), "anodebook write " + args[0]}
		}
		if len(args) == 1 {
			path = args[0]
		}
		dir := flags.(*writeFlags).dir
		if dir == "" {
			dir = folderFor(path)
		}
		return e.write(path, dir)
	},
}

type writeFlags struct{ dir string }

// folderFor names the default output folder.
func folderFor(path string) string {
	switch path {
	case "":
		path = starterName
	case "-":
		path = "amplifier"
	}
	return strings.TrimSuffix(filepath.Base(path), ".toml") + "-notebook"
}

func (e *environment) write(path, dir string) (int, error) {
	d, err := e.design(path)
	if err != nil {
		return exitError, err
	}
	files, err := report.Files(d)
	if err != nil {
		return exitError, err
	}
	if err := replaceFolder(dir, files); err != nil {
		return exitError, err
	}
	count := map[ledger.Severity]int{}
	for _, f := range d.Book.Findings {
		count[f.Severity]++
	}
	fmt.Fprintf(e.stdout, "%s: %d exceeds, %d caution, %d note\n", filepath.Join(dir, "report.html"),
		count[ledger.Exceeds], count[ledger.Caution], count[ledger.Note])
	return exitGood, nil
}
