package study

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"anodebook/spec"
)

// Spread is how a watched result lies over the builds [SI].
type Spread struct {
	Watched
	Low, Median, High float64 // percentiles 5, 50 and 95
	Least, Most       float64
	Within            float64      // share of the value by which a percentile may be off; 0 up to MostExact builds
	Count             int          // builds that could be computed
	Curve             []CurvePoint // of the distribution, ascending; none below two builds
}

// CurvePoint is a value [SI] and the share of builds at or below it, 0 to 1.
type CurvePoint struct{ Value, Share float64 }

// Effect is what one part does to one result.
type Effect struct {
	Variation int     // index into Bench.Variations
	Slope     float64 // d ln result / d ln part [1]; of a level in dB, or a result that is not positive, d result / d ln part
	Move      float64 // |Slope| × tolerance: how far the result moves at the end of the tolerance
	Level     bool    // Slope and Move are in the unit of the result, not relative
}

// ToleranceResult is a finished or interrupted tolerance run.
type ToleranceResult struct {
	Bench    *Bench
	Builds   int // wanted
	Done     int // computed, failed ones counted
	Failed   []Failure
	Spreads  []Spread
	Findings []Share
	Effects  [][]Effect // per watched result, strongest first; empty where interrupted before
}

// draw is a factor for a part within its tolerance.
func draw(r *rand.Rand, v Variation) float64 {
	if v.Distribution == Uniform {
		return 1 + v.Tolerance*(2*r.Float64()-1)
	}
	for {
		if x := r.NormFloat64() / 2; math.Abs(x) <= 1 {
			return 1 + v.Tolerance*x
		}
	}
}

// Factors deals out the parts of one build: the factors on the nominal values
// of all variations. Every build has a stream of random numbers of its own, so
// that it is the same whoever computes it and whenever.
func (b *Bench) Factors(seed uint64, build int) []float64 {
	r := rand.New(rand.NewPCG(seed, uint64(build)))
	out := make([]float64, len(b.Variations))
	for i, v := range b.Variations {
		out[i] = draw(r, v)
	}
	return out
}

// Tolerance builds the amplifier many times and says how the watched results
// spread, how often each finding appears, and which part moves a result most.
// A build that cannot be computed is counted with its reason. The same seed
// gives the same result whatever the number of workers. Errors: an id of watch
// is not known.
func (b *Bench) Tolerance(ctx context.Context, builds int, seed uint64, watch []string, o Options) (*ToleranceResult, error) {
	watched, err := Watch(b.Nominal, watch)
	if err != nil {
		return nil, err
	}
	r := &ToleranceResult{Bench: b, Builds: builds, Effects: b.effects(ctx, watched, o.Workers)}
	r.count(ctx, watched, o, computed(func(i int) (*spec.Spec, error) {
		f := b.Factors(seed, i)
		return b.with(func(k int) float64 { return f[k] })
	}, watched))
	return r, nil
}

// count computes the builds and counts what they give; what it takes to do so
// does not grow with their number.
func (r *ToleranceResult) count(ctx context.Context, watched []Watched, o Options, one func(i int) outcome) {
	tallies, failed, found := make([]tally, len(watched)), failures{}, shares{}
	r.Done = each(ctx, r.Builds, o, one, func(i int, got outcome) {
		if got.err != nil {
			failed.add(i, got.err)
			return
		}
		for k := range tallies {
			tallies[k].add(got.values[k])
		}
		found.add(got.findings)
	})
	r.Failed, r.Findings = failed.list(), found.list(r.Bench.Nominal)
	for k, w := range watched {
		r.Spreads = append(r.Spreads, tallies[k].spread(w))
	}
}

// effects puts every part, one at a time, half its tolerance below and above
// its nominal value. An interrupted run has none.
func (b *Bench) effects(ctx context.Context, watched []Watched, workers int) [][]Effect {
	var moving []int // variations whose parts differ at all
	for k, v := range b.Variations {
		if v.Tolerance > 0 {
			moving = append(moving, k)
		}
	}
	n := len(moving)
	runs := all(ctx, 2*n, Options{Workers: workers}, func(i int) (*spec.Spec, error) {
		return b.with(func(k int) float64 {
			if k != moving[i/2] {
				return 1
			}
			return 1 + b.Variations[k].Tolerance*(float64(i%2)-0.5)
		})
	}, watched)
	out := make([][]Effect, len(watched))
	for w, x := range watched {
		for j, k := range moving {
			v, below, above := b.Variations[k], runs[2*j], runs[2*j+1]
			if !below.done || !above.done {
				return nil
			}
			if below.err != nil && above.err != nil {
				continue
			}
			lo, hi := x.Nominal, x.Nominal
			from, to := 0.0, 0.0 // logarithm of the part's factor
			if below.err == nil {
				lo, from = below.values[w], math.Log(1-v.Tolerance/2)
			}
			if above.err == nil {
				hi, to = above.values[w], math.Log(1+v.Tolerance/2)
			}
			e := Effect{Variation: k, Level: x.Unit == "dB" || lo <= 0 || hi <= 0}
			if e.Level {
				e.Slope = (hi - lo) / (to - from)
			} else {
				e.Slope = math.Log(hi/lo) / (to - from)
			}
			e.Move = math.Abs(e.Slope) * v.Tolerance
			out[w] = append(out[w], e)
		}
		slices.SortStableFunc(out[w], func(a, b Effect) int { return cmp.Compare(b.Move, a.Move) })
	}
	return out
}
