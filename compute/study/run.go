// Package study asks of a design what a single run cannot tell: how results
// move as a key goes through an interval, how they spread over many builds with
// parts as they come, which part moves them most, and what the worst case is.
//
// It assumes that parts differ independently of each other; that what the
// target asks for is met in every build, as by an operator who drives, tunes
// and loads until the meters show it; and that what the nominal design chose to
// buy (transformer, bank, bleeders, bias, scales) is bought once and held.
package study

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/spec"
)

// Options say how to run, never what comes out.
type Options struct {
	Workers  int                   // computations at the same time; 0: as many as there are cores
	Progress func(done, total int) // called after each computation, from any goroutine; may be nil
}

// Watched is a result that a study follows.
type Watched struct {
	ID, Name, Unit string
	Nominal        float64 // in the nominal design, SI
}

// outcome is what one computation gave.
type outcome struct {
	done     bool
	err      error
	values   []float64 // of the watched results; nil where err is not nil
	findings []ledger.Finding
}

// usual are the results that matter most, watched unless the builder says
// otherwise; those that a design does not have are left out.
var usual = []string{
	"antenna.output_power", "tubes.plate_voltage", "tubes.plate_current", "tubes.grid_current", "tubes.plate_dissipation_each", "tubes.efficiency",
	"tubes.drive_power", "tubes.imd3", "antenna.tank_efficiency", "supply.no_load_voltage", "supply.ripple_peak_to_peak", "supply.stored_energy",
}

// Watch looks up the results to be followed; without ids the usual ones. The
// error is a *spec.SettingError with what was probably meant.
func Watch(d *compute.Design, ids []string) ([]Watched, error) {
	own := len(ids) > 0
	if !own {
		ids = usual
	}
	var out []Watched
	for _, id := range ids {
		q, ok := d.Book.Lookup(id)
		switch {
		case ok && !slices.ContainsFunc(out, func(w Watched) bool { return w.ID == id }):
			out = append(out, Watched{q.ID, q.Name, q.Unit, q.Value})
		case !ok && own:
			var all []string
			for _, q := range d.Book.Quantities() {
				all = append(all, q.ID)
			}
			e := &spec.SettingError{Key: id, What: "the design has no result of that id", Hint: "results.json lists all of them"}
			if near := spec.Suggest(id, all); near != "" {
				e.Hint = fmt.Sprintf("did you mean %s?", near)
			}
			return nil, e
		}
	}
	return out, nil
}

// evaluate computes one spec; a panic of a stage is an error of this one build.
func evaluate(s *spec.Spec, watch []Watched) (o outcome) {
	o.done = true
	defer func() {
		if p := recover(); p != nil {
			o.err = fmt.Errorf("the computation broke off: %v", p)
		}
	}()
	d, err := compute.Run(s)
	if err != nil {
		o.err = err
		return o
	}
	o.values = make([]float64, len(watch))
	for i, w := range watch {
		q, ok := d.Book.Lookup(w.ID)
		if !ok {
			o.err = fmt.Errorf("this build has no %s", w.ID)
			return o
		}
		o.values[i] = q.Value
	}
	for _, f := range d.Book.Findings {
		o.findings = append(o.findings, ledger.Finding{Severity: f.Severity, ID: f.ID})
	}
	return o
}

// all computes n specs on several cores, each into its own place, so that the
// order in which they end does not matter. When the context ends, what has
// begun is finished and the rest left out.
func all(ctx context.Context, n int, o Options, build func(i int) (*spec.Spec, error), watch []Watched) []outcome {
	out := make([]outcome, n)
	workers := o.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var next, done atomic.Int64
	var group sync.WaitGroup
	for range min(workers, n) {
		group.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				if s, err := build(i); err != nil {
					out[i] = outcome{done: true, err: err}
				} else {
					out[i] = evaluate(s, watch)
				}
				if k := done.Add(1); o.Progress != nil {
					o.Progress(int(k), n)
				}
			}
		})
	}
	group.Wait()
	return out
}

// why words the error of a single build without its place in the file.
func why(err error) string {
	var ps spec.Problems
	if errors.As(err, &ps) && len(ps) > 0 {
		return ps[0].Key + ": " + ps[0].What
	}
	return err.Error()
}

// Failure is why computations failed, and how many for that reason.
type Failure struct {
	Why   string // of the first of them
	Count int
}

// failures counts the errors by what they are about, most frequent first.
func failures(runs []outcome) []Failure {
	var out []Failure
	at := map[string]int{}
	for _, r := range runs {
		if !r.done || r.err == nil {
			continue
		}
		key := "other"
		var ps spec.Problems
		var se *spec.SettingError
		switch {
		case errors.As(r.err, &ps) && len(ps) > 0:
			key = ps[0].Key
		case errors.As(r.err, &se):
			key = "set " + se.Key
		}
		if _, ok := at[key]; !ok {
			at[key] = len(out)
			out = append(out, Failure{Why: why(r.err)})
		}
		out[at[key]].Count++
	}
	slices.SortStableFunc(out, func(a, b Failure) int { return b.Count - a.Count })
	return out
}

// Share is how often a finding appears.
type Share struct {
	ID      string
	Worst   ledger.Severity // the gravest in any build
	Count   int             // computations in which it appears
	Exceeds int             // of these, in which a rating or a limit is exceeded
	Nominal bool            // it stands in the nominal design too
}

// shares counts findings: gravest first, then the most frequent, then by id.
func shares(runs []outcome, nominal *compute.Design) []Share {
	rank := map[ledger.Severity]int{ledger.Exceeds: 0, ledger.Caution: 1, ledger.Note: 2}
	at := map[string]*Share{}
	var list []*Share
	for _, r := range runs {
		worst := map[string]ledger.Severity{}
		for _, f := range r.findings {
			if w, ok := worst[f.ID]; !ok || rank[f.Severity] < rank[w] {
				worst[f.ID] = f.Severity
			}
			if at[f.ID] == nil {
				at[f.ID] = &Share{ID: f.ID, Worst: f.Severity}
				list = append(list, at[f.ID])
			}
		}
		for id, w := range worst { // each adds to its own share: the order does not matter
			s := at[id]
			s.Count++
			if w == ledger.Exceeds {
				s.Exceeds++
			}
			if rank[w] < rank[s.Worst] {
				s.Worst = w
			}
		}
	}
	for _, f := range nominal.Book.Findings {
		if s := at[f.ID]; s != nil {
			s.Nominal = true
		}
	}
	slices.SortFunc(list, func(a, b *Share) int {
		switch {
		case rank[a.Worst] != rank[b.Worst]:
			return rank[a.Worst] - rank[b.Worst]
		case a.Count != b.Count:
			return b.Count - a.Count
		case a.ID < b.ID:
			return -1
		}
		return 1
	})
	out := make([]Share, len(list))
	for i, s := range list {
		out[i] = *s
	}
	return out
}
