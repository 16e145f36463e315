package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/spec"
)

var startCommand = &command{
	name:    "start",
	args:    "[--tube T] [--output P] [--bands B] [--plate-voltage V] … [-o FILE]",
	summary: "begin a new spec, with every key explained",
	help: `Prints a new spec: the few facts that the flags give, and every other key of the
format as a comment that tells what it means, what is assumed and why. Without
flags and on a terminal the facts are asked for. What no flag says is taken from
the tube's published columns, so that nothing exceeds a rating or a limit.`,
	example: `anodebook start --tube 572B --output 450W --bands 80m,40m,20m -o my-amplifier.toml`,
	flags: func(fs *flag.FlagSet) any {
		f := &startFlags{facts: facts{}}
		for _, q := range questions {
			fs.Func(q.flag, q.use, func(text string) error {
				f.facts[q.key] = strings.TrimSpace(text)
				return nil
			})
		}
		fs.BoolFunc("restoration", "the amplifier is there and is restored", func(text string) error {
			switch text {
			case "true":
				f.facts[purposeKey] = "restoration"
			case "false":
			default:
				return fmt.Errorf("%q is neither true nor false", text)
			}
			return nil
		})
		fs.StringVar(&f.file, "o", "", "`FILE` to write; one that is there is never overwritten")
		return f
	},
	run: func(e *environment, flags any, args []string) (int, error) {
		f := flags.(*startFlags)
		if len(args) > 0 {
			return exitError, hinted{fmt.Errorf("start: %q is no flag", args[0]),
				"anodebook start --tube 572B --output 450W > my-amplifier.toml"}
		}
		if f.file != "" {
			if _, err := os.Lstat(f.file); err == nil {
				return exitError, taken(f.file)
			}
		}
		if len(f.facts) == 0 && terminal(e.stdin) {
			if err := interview(e.stdin, e.stderr, f.facts); err != nil {
				return exitError, err
			}
		}
		return e.start(f.facts, f.file)
	},
}

type startFlags struct {
	facts facts
	file  string
}

func taken(file string) error {
	return hinted{fmt.Errorf("start: %s is there already and is not overwritten", file), "choose another name, or remove it first"}
}

// start writes the spec of some facts to a file or, without a name, to the
// output.
func (e *environment) start(given facts, file string) (int, error) {
	if slips := given.slips(); len(slips) > 0 {
		for _, s := range slips {
			e.report(hinted{fmt.Errorf("start: %s", s.What), s.Hint})
		}
		return exitError, nil
	}
	whole, reasons, err := given.completed()
	if err != nil {
		return exitError, err
	}
	text := lesson(whole, reasons)
	s, err := spec.Read("new spec", []byte(text), compute.Names())
	if err != nil {
		return exitError, err
	}
	d, err := compute.Run(s)
	if err != nil {
		return exitError, hinted{fmt.Errorf("start: %w", err), "ask for less output, or another plate voltage or tube"}
	}
	if file == "" {
		if _, err := io.WriteString(e.stdout, text); err != nil {
			return exitError, err
		}
	} else if err := writeNew(file, []byte(text)); errors.Is(err, fs.ErrExist) {
		return exitError, taken(file)
	} else if err != nil {
		return exitError, err
	}
	if d.Book.Worst() == ledger.Exceeds {
		fmt.Fprintf(e.stderr, "anodebook: note: %s: anodebook check lists what\n", counts(d))
	}
	if file != "" {
		fmt.Fprintf(e.stdout, "%s: %s\n", oneLine(file), counts(d))
	}
	return exitGood, nil
}

// terminal says whether a person can answer there.
func terminal(r io.Reader) bool {
	f, ok := r.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	if err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return false
	}
	null, err := os.Stat(os.DevNull)
	return err != nil || !os.SameFile(info, null)
}
