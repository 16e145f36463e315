package study

import (
	"cmp"
	"context"
	"math"
	"slices"

	"anodebook/spec"
)

// MaxCornered is the greatest number of parts that stand at their ends: 256
// computations.
const MaxCornered = 8

// Extreme is a watched result at its lowest and its highest corner [SI].
type Extreme struct {
	Watched
	Low, High     float64
	AtLow, AtHigh []bool // of each part of CornerResult.Parts: true above, false below its nominal value
}

// CornerResult is a search for the worst case.
type CornerResult struct {
	Bench    *Bench
	Parts    []int // indices into Bench.Variations, the most effective first
	Corners  int   // wanted
	Done     int   // computed, failed ones counted
	Failed   []Failure
	Extremes []Extreme
	Findings []Share
	Effects  [][]Effect
}

// Corners puts the parts that matter most to the watched results, at most
// MaxCornered, to the ends of their tolerances in every combination; the other
// parts stay nominal. For results that rise or fall steadily with every part
// the worst case is among the corners. Errors: an id of watch is not known.
func (b *Bench) Corners(ctx context.Context, watch []string, o Options) (*CornerResult, error) {
	watched, err := Watch(b.Nominal, watch)
	if err != nil {
		return nil, err
	}
	r := &CornerResult{Bench: b, Effects: b.effects(ctx, watched, o.Workers)}
	// of each result, the share of its movement that each part causes
	weight := make([]float64, len(b.Variations))
	for _, list := range r.Effects {
		sum := 0.0
		for _, e := range list {
			sum += e.Move * e.Move
		}
		for _, e := range list {
			if sum > 0 && e.Move > 1e-9 {
				weight[e.Variation] = math.Max(weight[e.Variation], e.Move*e.Move/sum)
			}
		}
	}
	for k, w := range weight {
		if w > 0 {
			r.Parts = append(r.Parts, k)
		}
	}
	slices.SortStableFunc(r.Parts, func(a, b int) int { return cmp.Compare(weight[b], weight[a]) })
	r.Parts = r.Parts[:min(len(r.Parts), MaxCornered)]
	r.Corners = 1 << len(r.Parts)
	runs := all(ctx, r.Corners, o, func(i int) (*spec.Spec, error) {
		return b.with(func(k int) float64 {
			j := slices.Index(r.Parts, k)
			switch {
			case j < 0:
				return 1
			case i>>j&1 == 1:
				return 1 + b.Variations[k].Tolerance
			}
			return 1 - b.Variations[k].Tolerance
		})
	}, watched)
	signs := func(i int) []bool {
		out := make([]bool, len(r.Parts))
		for j := range out {
			out[j] = i>>j&1 == 1
		}
		return out
	}
	for w, x := range watched {
		e := Extreme{Watched: x, Low: math.NaN(), High: math.NaN()}
		for i, run := range runs {
			if !run.done || run.err != nil {
				continue
			}
			if v := run.values[w]; e.AtLow == nil || v < e.Low {
				e.Low, e.AtLow = v, signs(i)
			}
			if v := run.values[w]; e.AtHigh == nil || v > e.High {
				e.High, e.AtHigh = v, signs(i)
			}
		}
		r.Extremes = append(r.Extremes, e)
	}
	failed, found := failures{}, shares{}
	for i, run := range runs {
		if !run.done {
			continue
		}
		r.Done++
		if run.err != nil {
			failed.add(i, run.err)
		}
		found.add(run.findings)
	}
	r.Failed, r.Findings = failed.list(), found.list(b.Nominal)
	return r, nil
}
