package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"reflect"
	"syscall"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/report"
	"anodebook/report/preview"
	"anodebook/spec"
)

var previewCommand = &command{
	name:    "preview",
	args:    "SPEC|DIR [--port N]",
	summary: "show the report at a loopback address, anew when the spec is saved",
	help: `Serves the report to a browser on this computer, and to nobody else, and prints
the address to open; no browser is started. When the spec, or a file that it
names, is saved, the page shows the new report at the place where it was
scrolled to. What is wrong with a spec stands above the last good report. A
folder gives a page that lists its specs. Ctrl-C ends it.`,
	example: "anodebook preview examples/club-station.toml",
	flags: func(fs *flag.FlagSet) any {
		return fs.Uint("port", 0, "`N` to listen on (default: any that is free)")
	},
	run: func(e *environment, flags any, args []string) (int, error) {
		const hint = "anodebook preview my-amplifier.toml"
		switch {
		case len(args) == 0:
			return exitError, hinted{errors.New("preview: no spec named"), hint}
		case len(args) > 1:
			return exitError, hinted{fmt.Errorf("preview: %d specs named, one at a time", len(args)),
				"to see several, put them into one folder and name that"}
		case args[0] == "-":
			return exitError, hinted{errors.New("preview: standard input is never saved anew"), hint}
		}
		port := *flags.(*uint)
		if port > 65535 {
			return exitError, hinted{fmt.Errorf("preview: no port %d", port), "ports go up to 65535; 0 takes one that is free"}
		}
		ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
		defer stop()
		context.AfterFunc(ctx, stop) // a second Ctrl-C ends the program whatever it is at
		return exitGood, e.preview(ctx, args[0], int(port))
	},
}

// preview serves until the context ends.
func (e *environment) preview(ctx context.Context, path string, port int) error {
	s, err := preview.New(path, e.rendered, func(path string, r preview.Result) {
		for _, p := range r.Problems {
			e.complain(p.What, p.Hint)
		}
		if len(r.Problems) == 0 {
			fmt.Fprintf(e.stdout, "%s: %s\n", oneLine(path), r.Counts)
		}
	})
	if err != nil {
		return err
	}
	l, err := preview.Listen(port)
	if err != nil {
		return hinted{fmt.Errorf("preview: %w", err), "another port may be free: --port 0 finds one"}
	}
	if _, err := fmt.Fprintf(e.stdout, "http://%s/ shows %s; Ctrl-C ends it\n", l.Addr(), oneLine(path)); err != nil {
		l.Close()
		return err // nobody would know the address
	}
	return s.Serve(ctx, l)
}

// rendered makes the report of a spec for the preview.
func (e *environment) rendered(path string) (r preview.Result) {
	fail := func(err error) preview.Result {
		r.Problems = problemsOf(err)
		return r
	}
	// A pipe would hold up every later report until somebody writes into it.
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return fail(fmt.Errorf("%s: is not a plain file", path))
	}
	s, err := e.load(path)
	if s != nil {
		r.Files = attached(s, filepath.Dir(path))
	}
	if err != nil {
		return fail(err)
	}
	d, err := compute.Run(s)
	if err != nil {
		return fail(err)
	}
	doc, err := report.Build(d)
	if err != nil {
		return fail(err)
	}
	if r.HTML, err = doc.HTML(); err != nil {
		return fail(err)
	}
	r.Title, r.Counts = doc.Title, counts(d)
	return r
}

// counts says how many findings of each kind a design has.
func counts(d *compute.Design) string {
	count := map[ledger.Severity]int{}
	for _, f := range d.Book.Findings {
		count[f.Severity]++
	}
	return fmt.Sprintf("%d exceeds, %d caution, %d note", count[ledger.Exceeds], count[ledger.Caution], count[ledger.Note])
}

// problemsOf takes an error apart.
func problemsOf(err error) []preview.Problem {
	var ps spec.Problems
	if errors.As(err, &ps) {
		var out []preview.Problem
		first, more := ps.Shown()
		for _, p := range first {
			out = append(out, preview.Problem{What: p.Error(), Hint: p.Hint})
		}
		if more > 0 {
			out = append(out, preview.Problem{What: spec.More(more)})
		}
		return out
	}
	p := preview.Problem{What: err.Error()}
	var h hinted
	if errors.As(err, &h) {
		p.Hint = h.hint
	}
	return []preview.Problem{p}
}

// attached lists the files that a spec names, whatever for, as paths.
func attached(s *spec.Spec, folder string) []string {
	var out []string
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Struct:
			if a, ok := v.Interface().(spec.Attachment); ok {
				if a.Name != "" {
					out = append(out, filepath.Join(folder, filepath.FromSlash(a.Name)))
				}
				return
			}
			for i := range v.NumField() {
				walk(v.Field(i))
			}
		case reflect.Map:
			for _, k := range v.MapKeys() {
				walk(v.MapIndex(k))
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		}
	}
	walk(reflect.ValueOf(*s))
	return out
}
