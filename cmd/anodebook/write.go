package main

import (
	"flag"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/report"
	"anodebook/spec"
)

var writeCommand = &command{
	name:    "write",
	args:    "[SPEC] [-o DIR] [--form FORM] [--lengths UNIT] [--paper SIZE]",
	summary: "write the build report of a spec",
	help: `Computes the spec and writes the notebook into a folder: report.html (one
self-contained page), report.md with figures/*.svg, parts.csv and results.json.
Without SPEC the embedded starter spec is used; "-" reads standard input.

A short form comes beside the report, so that both are always of one spec:
article.html and article.md, two to three pages for a club newsletter;
bench.html and bench.md, cards for bring-up and tune-up, each on a page of its
own, to print and to fill in. Several are named with commas between them.

Files that were changed by hand since anodebook wrote them are never
overwritten. A design with findings is written all the same: see "check" for
an exit code that tells.`,
	example: "anodebook write examples/club-station.toml -o club\nanodebook write examples/club-station.toml --form article,bench " +
		"--paper a4",
	flags: func(fs *flag.FlagSet) any {
		f := &writeFlags{}
		fs.StringVar(&f.dir, "o", "", "`DIR` to write into (default: the spec's name with -notebook)")
		fs.StringVar(&f.form, "form", "full", "`FORM` to write beside the report: article, bench; full is the report alone")
		fs.StringVar(&f.lengths, "lengths", "", "`UNIT` of lengths and wire: inch or metric (default: as the spec says)")
		fs.StringVar(&f.paper, "paper", "", "`SIZE` of the printed sheet: a4 or letter (default: the printer's)")
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
		f := flags.(*writeFlags)
		if f.dir == "" {
			f.dir = folderFor(path)
		}
		return e.write(path, f)
	},
}

type writeFlags struct{ dir, form, lengths, paper string }

// options checks the flags' words.
func (f *writeFlags) options() (report.Options, error) {
	o := report.Options{Paper: strings.ToLower(f.paper)}
	if o.Paper != "" && !slices.Contains(report.Papers, o.Paper) {
		return o, hinted{fmt.Errorf("write: no paper %q", f.paper), "--paper " + strings.Join(report.Papers, " or --paper ")}
	}
	if f.lengths != "" && f.lengths != "inch" && f.lengths != "metric" {
		return o, hinted{fmt.Errorf("write: no unit of lengths %q", f.lengths), "--lengths inch or --lengths metric"}
	}
	for _, word := range strings.Split(f.form, ",") {
		form := report.Form(strings.TrimSpace(word))
		if !slices.Contains(report.Forms, form) {
			return o, hinted{fmt.Errorf("write: no form %q", form),
				"--form full, article or bench, or several with commas between them"}
		}
		if !slices.Contains(o.Forms, form) {
			o.Forms = append(o.Forms, form)
		}
	}
	return o, nil
}

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

func (e *environment) write(path string, f *writeFlags) (int, error) {
	o, err := f.options()
	if err != nil {
		return exitError, err
	}
	go report.Prepare() // on the other core while the spec is read and computed
	s, err := e.load(path)
	if err != nil {
		return exitError, err
	}
	if f.lengths != "" {
		chooseLengths(s, f.lengths)
	}
	d, err := compute.Run(s)
	if err != nil {
		return exitError, err
	}
	files, err := report.FilesOf(d, o)
	if err != nil {
		return exitError, err
	}
	if err := replaceFolder(f.dir, files); err != nil {
		return exitError, err
	}
	count := map[ledger.Severity]int{}
	for _, f := range d.Book.Findings {
		count[f.Severity]++
	}
	fmt.Fprintf(e.stdout, "%s: %d exceeds, %d caution, %d note\n", oneLine(filepath.Join(f.dir, "report.html")),
		count[ledger.Exceeds], count[ledger.Caution], count[ledger.Note])
	for _, form := range o.Forms {
		if form != report.Full {
			fmt.Fprintln(e.stdout, oneLine(filepath.Join(f.dir, string(form)+".html")))
		}
	}
	return exitGood, nil
}

// chooseLengths puts the command line's unit of lengths before the spec's; it
// is no longer an assumption then.
func chooseLengths(s *spec.Spec, unit string) {
	s.Notebook.Lengths.Value = unit
	s.Assumptions = slices.DeleteFunc(s.Assumptions, func(a spec.Assumption) bool { return a.Key == "notebook.lengths" })
}
