package main

import (
	"errors"
	"flag"
	"fmt"
	"strings"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/report/setting"
)

var checkCommand = &command{
	name:    "check",
	args:    "SPEC…",
	summary: "list what exceeds, what is thin and what to note; write nothing",
	help: `Computes each spec and lists its findings, gravest first. Nothing is written.
Where the spec has readings ([reading.NAME]), the likeliest fault behind their
deviations is among the findings; where it has a survey ([survey.NAME]), so is
what is dangerous or cannot be had.
Exit code 0: nothing exceeds; 1: something exceeds its rating or a limit;
2: a spec cannot be read.`,
	example: "anodebook check examples/club-station.toml",
	flags: func(fs *flag.FlagSet) any {
		return fs.Bool("quiet", false, "list only what exceeds")
	},
	run: func(e *environment, flags any, args []string) (int, error) {
		if len(args) == 0 {
			return exitError, hinted{errors.New("check: no spec named"), "anodebook check my-amplifier.toml"}
		}
		quiet := *flags.(*bool)
		code := exitGood
		for _, path := range args {
			d, err := e.design(path)
			if err != nil {
				e.report(err)
				code = exitError
				continue
			}
			e.list(path, d, quiet)
			if d.Book.Worst() == ledger.Exceeds && code == exitGood {
				code = exitFinding
			}
		}
		return code, nil
	},
}

// list prints the findings of one design.
func (e *environment) list(path string, d *compute.Design, quiet bool) {
	count := map[ledger.Severity]int{}
	for _, f := range d.Book.Findings {
		count[f.Severity]++
	}
	fmt.Fprintf(e.stdout, "%s: %d exceeds, %d caution, %d note\n", oneLine(path), count[ledger.Exceeds], count[ledger.Caution],
		count[ledger.Note])
	for _, f := range setting.Plain(d.Book, d.Spec.Notebook.Lengths.Value).Findings() {
		if quiet && f.Severity != ledger.Exceeds {
			continue
		}
		fmt.Fprintf(e.stdout, "  %-8s %s: %s\n", f.Severity, f.ID, oneLine(f.Text))
		if f.Advice != "" {
			fmt.Fprintf(e.stdout, "  %-8s %s\n", "", oneLine(strings.TrimSpace(f.Advice)))
		}
	}
}
