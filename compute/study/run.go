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
	findings []finding
}

// finding is what a study keeps of a finding of one computation.
type finding struct {
	severity ledger.Severity
	id       string
}

// usual are the results that matter most, watched unless the builder says
// otherwise; those that a design does not have are left out.
var usual = []string{
	"antenna.output_power", "tubes.plate_voltage", "tubes.plate_current", "tubes.grid_current", "tubes.plate_dissipation_each",
	"tubes.efficiency",
	"tubes.drive_power", "tubes.imd3", "antenna.tank_efficiency", "supply.no_load_voltage", "supply.ripple_peak_to_peak",
	"supply.stored_energy",
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
		o.findings = append(o.findings, finding{f.Severity, f.ID})
	}
	return o
}

// each computes n builds on several cores and hands every outcome over, one at
// a time, in the order in which they end, which is never the same twice. When
// the context ends, what has begun is finished and the rest left out.
func each(ctx context.Context, n int, o Options, one func(i int) outcome, take func(i int, got outcome)) (done int) {
	workers := o.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var next atomic.Int64
	var taking sync.Mutex
	var group sync.WaitGroup
	for range min(workers, n) {
		group.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				got := one(i)
				taking.Lock()
				take(i, got)
				done++
				k := done
				taking.Unlock()
				if o.Progress != nil {
					o.Progress(k, n)
				}
			}
		})
	}
	group.Wait()
	return done
}

// computed is one build for each.
func computed(build func(i int) (*spec.Spec, error), watch []Watched) func(i int) outcome {
	return func(i int) outcome {
		s, err := build(i)
		if err != nil {
			return outcome{done: true, err: err}
		}
		return evaluate(s, watch)
	}
}

// all computes a small number of specs and keeps every outcome.
func all(ctx context.Context, n int, o Options, build func(i int) (*spec.Spec, error), watch []Watched) []outcome {
	out := make([]outcome, n)
	each(ctx, n, o, computed(build, watch), func(i int, got outcome) { out[i] = got })
	return out
}
