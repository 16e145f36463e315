package study

import (
	"context"
	"fmt"
	"math"
	"slices"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/spec"
)

// Axis is a key and the values through which it goes.
type Axis struct {
	spec.Sweep
	Values []float64 // [SI]
}

// Steps divides a sweep into n values in equal steps, n > 1, both ends counted;
// a count takes whole numbers only, each once.
func Steps(w spec.Sweep, n int) Axis {
	a := Axis{Sweep: w}
	for i := range n {
		v := w.Low + (w.High-w.Low)*float64(i)/float64(n-1)
		if i == n-1 {
			v = w.High
		}
		if w.Whole {
			v = math.Round(v)
		}
		if !slices.Contains(a.Values, v) {
			a.Values = append(a.Values, v)
		}
	}
	return a
}

// Point is one computation of a sweep.
type Point struct {
	At      []float64 // values of the axes [SI]
	Values  []float64 // of the watched results [SI]; nil where the design failed or was not reached
	Exceeds []string  // ids of the findings that exceed a rating or a limit
	Why     string    // why the design failed, or empty
	Done    bool
}

// SweepResult is a finished or interrupted sweep.
type SweepResult struct {
	Axes     []Axis
	Watched  []Watched
	Points   []Point // the last axis runs fastest
	Done     int
	Findings []Share
}

// Sweep computes the spec for every value of one axis, or every pair of two.
// A point whose design is impossible says so; the others stand. Errors: the
// spec itself cannot be computed, or an id of watch is not known.
func Sweep(ctx context.Context, s *spec.Spec, axes []Axis, watch []string, o Options) (*SweepResult, error) {
	if len(axes) < 1 || len(axes) > 2 {
		return nil, fmt.Errorf("a sweep has one key or two, not %d", len(axes))
	}
	if len(axes) == 2 && axes[0].Key == axes[1].Key {
		return nil, &spec.SettingError{Key: axes[0].Key, What: "stands on both axes of the sweep",
			Hint: "two different keys, or one sweep"}
	}
	s = s.Clone()
	s.Reading, s.Measured, s.Survey, s.Prices = nil, nil, nil, nil
	d, err := compute.Run(s)
	if err != nil {
		return nil, err
	}
	r := &SweepResult{Axes: axes}
	if r.Watched, err = Watch(d, watch); err != nil {
		return nil, err
	}
	for _, x := range axes[0].Values {
		if len(axes) == 1 {
			r.Points = append(r.Points, Point{At: []float64{x}})
			continue
		}
		for _, y := range axes[1].Values {
			r.Points = append(r.Points, Point{At: []float64{x, y}})
		}
	}
	found := shares{}
	r.Done = each(ctx, len(r.Points), o, computed(func(i int) (*spec.Spec, error) {
		c := s.Clone()
		for k, a := range axes {
			if err := c.Set(a.Key, r.Points[i].At[k]); err != nil {
				return nil, err
			}
		}
		return c, nil
	}, r.Watched), func(i int, got outcome) {
		p := &r.Points[i]
		p.Done, p.Values = true, got.values
		if got.err != nil {
			p.Why, p.Values = why(got.err), nil
		}
		for _, f := range got.findings {
			if f.severity == ledger.Exceeds && !slices.Contains(p.Exceeds, f.id) {
				p.Exceeds = append(p.Exceeds, f.id)
			}
		}
		found.add(got.findings)
	})
	r.Findings = found.list(d)
	return r, nil
}
