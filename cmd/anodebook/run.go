package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"runtime/debug"
	"strings"

	"anodebook/spec"
)

// Exit codes, as promised in the help.
const (
	exitGood    = 0 // done, and nothing exceeds
	exitFinding = 1 // something exceeds a rating or a limit, or a check falls out
	exitError   = 2 // the input cannot be read, or the output cannot be written
)

// environment is what a command works with.
type environment struct {
	stdin  io.Reader
	stdout io.Writer
	stderr io.Writer
}

// command is one command of the program.
type command struct {
	name    string
	args    string // as in the usage line
	summary string
	help    string // paragraphs below the usage line
	example string
	flags   func(*flag.FlagSet) any // registers flags, returns where they are kept
	run     func(e *environment, flags any, args []string) (int, error)
}

// commands in the order in which help lists them. A new command is one file
// and one line here.
func commands() []*command {
	return []*command{startCommand, writeCommand, checkCommand, compareCommand, digestCommand, tubesCommand, previewCommand,
		studyCommand, verifyCommand, schemaCommand}
}

// hinted is an error with a hint for the user.
type hinted struct {
	error
	hint string
}

// run is the whole program; it returns the exit code. What cannot be written to
// standard output is an error of every command.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	out, errs := &console{to: stdout}, &console{to: stderr}
	e := &environment{stdin, out, errs}
	code := e.dispatch(args)
	if err := out.end(); err != nil {
		e.report(hinted{fmt.Errorf("standard output cannot be written: %w", err), "what was printed is not all there is"})
		code = exitError
	}
	errs.end()
	return code
}

// dispatch runs the command that the first argument names.
func (e *environment) dispatch(args []string) int {
	stdout, stderr := e.stdout, e.stderr
	if len(args) == 0 {
		overview(stderr)
		return exitError
	}
	switch args[0] {
	case "help", "--help", "-help", "-h":
		if len(args) > 1 {
			return e.dispatch([]string{args[1], "--help"})
		}
		overview(stdout)
		return exitGood
	case "version", "--version":
		fmt.Fprintln(stdout, "anodebook", version())
		return exitGood
	}
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
		if c.name != args[0] {
			continue
		}
		code, err := e.call(c, args[1:])
		var output *outputError
		if errors.As(err, &output) { // run tells it
			return exitError
		}
		if err != nil {
			e.report(err)
			return exitError
		}
		return code
	}
	e.report(hinted{fmt.Errorf("unknown command %q", args[0]), "the commands are " + strings.Join(names, ", ")})
	return exitError
}

// call parses flags, which may stand before or after the arguments, and runs
// the command.
func (e *environment) call(c *command, args []string) (int, error) {
	fs := flag.NewFlagSet(c.name, flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	var values any
	if c.flags != nil {
		values = c.flags(fs)
	}
	var rest []string
	for {
		if err := fs.Parse(args); err != nil {
			if errors.Is(err, flag.ErrHelp) {
				c.usage(e.stdout, fs)
				return exitGood, nil
			}
			return exitError, hinted{err, "anodebook " + c.name + " --help lists the flags"}
		}
		args = fs.Args()
		if len(args) == 0 {
			break
		}
		rest, args = append(rest, args[0]), args[1:]
	}
	return c.run(e, values, rest)
}

func overview(w io.Writer) {
	fmt.Fprint(w, `anodebook turns a short description of a grounded-grid linear amplifier into a
complete build notebook: every stage worked out, parts held against their
ratings, and the dangers named where they are.

usage: anodebook COMMAND [flags] [arguments]

`)
	for _, c := range commands() {
		fmt.Fprintf(w, "  %-8s %s\n", c.name, c.summary)
	}
	fmt.Fprint(w, `
anodebook COMMAND --help tells more and gives an example.
Exit codes: 0 good, 1 something exceeds a rating or a limit, or differs, 2 unreadable input.
`)
}

func (c *command) usage(w io.Writer, fs *flag.FlagSet) {
	fmt.Fprintf(w, "usage: anodebook %s %s\n\n%s\n", c.name, c.args, strings.TrimSpace(c.help))
	first := true
	fs.VisitAll(func(f *flag.Flag) {
		if first {
			fmt.Fprint(w, "\nflags:\n")
			first = false
		}
		name, use := flag.UnquoteUsage(f)
		dash := "--"
		if len(f.Name) == 1 {
			dash = "-"
		}
		fmt.Fprintf(w, "  %-20s %s\n", strings.TrimSpace(dash+f.Name+" "+name), use)
	})
	fmt.Fprintf(w, "\nexample:\n  %s\n", strings.ReplaceAll(strings.TrimSpace(c.example), "\n", "\n  "))
}

// report writes an error in the program's own form, every problem with its
// hint.
func (e *environment) report(err error) {
	var ps spec.Problems
	if errors.As(err, &ps) {
		first, more := ps.Shown()
		for _, p := range first {
			e.complain(p.Error(), p.Hint)
		}
		if more > 0 {
			e.complain(spec.More(more), "")
		}
		return
	}
	hint := ""
	var h hinted
	if errors.As(err, &h) {
		hint = h.hint
	}
	e.complain(err.Error(), hint)
}

// complain writes one error, and its hint unless that is empty.
func (e *environment) complain(what, hint string) {
	fmt.Fprintf(e.stderr, "anodebook: %s\n", oneLine(what))
	if hint != "" {
		fmt.Fprintf(e.stderr, "anodebook: hint: %s\n", oneLine(hint))
	}
}

// stamped is the version that the release build sets with -ldflags.
var stamped string

func version() string {
	if stamped != "" {
		return stamped
	}
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		return info.Main.Version
	}
	return "(devel)"
}
