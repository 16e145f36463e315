package study

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/spec"

	"gonum.org/v1/gonum/stat"
)

// A tolerance run may have a million builds, so nothing is kept of each of
// them: what is told is counted while they are computed. Every count comes out
// the same in whatever order the builds end.

const (
	// MostExact is up to how many builds their values are kept, and the
	// percentiles are those of the values themselves.
	MostExact = 10_000
	// fineness is how many bits of a value its bin forgets: 13 of the 52 bits
	// of its fraction stay, so that a bin is at most 1/8192 of its values wide.
	fineness = 52 - 13
	// mostBins is how many bins a result may fill; beyond, each two become one.
	mostBins = 1 << 15
)

// BinError is how far a percentile of more than MostExact builds may lie from
// the value that it stands for: half a bin, as a share of the value. A result
// that spreads over more than four octaves has wider bins.
const BinError = 1.0 / (1 << 14)

// tally is how the values of one result are distributed.
type tally struct {
	n           int
	least, most float64
	exact       []float64     // while n ≤ MostExact
	bins        map[int64]int // afterwards: how many values lie in each
	coarse      int           // how often each two bins have become one
}

// add counts one value, which is finite.
func (t *tally) add(v float64) {
	if t.n == 0 {
		t.least, t.most = v, v
	}
	t.least, t.most = math.Min(t.least, v), math.Max(t.most, v)
	t.n++
	switch {
	case t.bins != nil:
		t.count(v)
	case t.n <= MostExact:
		t.exact = append(t.exact, v)
	default:
		t.bins = map[int64]int{}
		for _, x := range append(t.exact, v) {
			t.count(x)
		}
		t.exact = nil
	}
}

// count puts a value into its bin. How coarse the bins are in the end follows
// from the values alone: the number of bins filled never falls while values
// come, so the first coarseness at which all of them fit is the same in any
// order.
func (t *tally) count(v float64) {
	t.bins[bin(v)>>t.coarse]++
	for len(t.bins) > mostBins {
		t.coarse++
		merged := map[int64]int{}
		for b, n := range t.bins {
			merged[b>>1] += n
		}
		t.bins = merged
	}
}

// bin numbers the values in their order.
func bin(v float64) int64 {
	if v < 0 {
		return -1 - int64(math.Float64bits(-v)>>fineness)
	}
	return int64(math.Float64bits(math.Abs(v)) >> fineness)
}

// middle is the value in the middle of a bin.
func (t *tally) middle(b int64) float64 {
	first := b << t.coarse // the bins from first on, 1<<coarse of them
	last := first + 1<<t.coarse - 1
	value := func(b int64, end uint64) float64 {
		if b < 0 {
			return -math.Float64frombits(uint64(-1-b)<<fineness + (1<<fineness - end))
		}
		return math.Float64frombits(uint64(b)<<fineness + end)
	}
	low, high := value(first, 0), value(last, 1<<fineness)
	if low == 0 || high == 0 {
		return math.Max(t.least, math.Min(t.most, 0)) // nothing but zero is that small
	}
	return math.Max(t.least, math.Min(t.most, low+(high-low)/2))
}

// ranked returns the values of these ranks, 0 the least, ascending.
func (t *tally) ranked(ranks ...int) []float64 {
	var out []float64
	if t.bins == nil {
		slices.Sort(t.exact)
		for _, r := range ranks {
			out = append(out, t.exact[r])
		}
		return out
	}
	var order []int64
	for b := range t.bins {
		order = append(order, b)
	}
	slices.Sort(order)
	below, k := 0, -1
	for _, r := range ranks {
		switch {
		case r == 0:
			out = append(out, t.least)
			continue
		case r == t.n-1:
			out = append(out, t.most)
			continue
		}
		for below <= r {
			k++
			below += t.bins[order[k]]
		}
		out = append(out, t.middle(order[k]))
	}
	return out
}

// curvePoints is how many points of a distribution are kept for its figure.
const curvePoints = 200

// spread is what is told of the distribution.
func (t *tally) spread(w Watched) Spread {
	s := Spread{Watched: w, Count: t.n, Low: math.NaN(), Median: math.NaN(), High: math.NaN(), Least: math.NaN(), Most: math.NaN()}
	if t.n == 0 {
		return s
	}
	s.Least, s.Most = t.least, t.most
	rank := func(p float64) int { return max(0, int(math.Ceil(p*float64(t.n)))-1) } // as stat.Empirical has it
	if t.bins == nil {
		slices.Sort(t.exact)
		s.Low = stat.Quantile(0.05, stat.Empirical, t.exact, nil)
		s.Median = stat.Quantile(0.50, stat.Empirical, t.exact, nil)
		s.High = stat.Quantile(0.95, stat.Empirical, t.exact, nil)
	} else {
		s.Within = BinError * float64(int(1)<<t.coarse)
		p := t.ranked(rank(0.05), rank(0.50), rank(0.95))
		s.Low, s.Median, s.High = p[0], p[1], p[2]
	}
	if points := min(t.n, curvePoints); points > 1 {
		var ranks []int
		for k := range points {
			ranks = append(ranks, k*(t.n-1)/(points-1))
		}
		for k, v := range t.ranked(ranks...) {
			s.Curve = append(s.Curve, CurvePoint{v, float64(ranks[k]+1) / float64(t.n)})
		}
	}
	return s
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

// failures counts errors by what they are about.
type failures map[string]*failure

type failure struct {
	Failure
	first int // number of the computation that Why is of
}

func (f failures) add(i int, err error) {
	key := "other"
	var ps spec.Problems
	var se *spec.SettingError
	switch {
	case errors.As(err, &ps) && len(ps) > 0:
		key = ps[0].Key
	case errors.As(err, &se):
		key = "set " + se.Key
	}
	x := f[key]
	if x == nil {
		x = &failure{first: i, Failure: Failure{Why: why(err)}}
		f[key] = x
	}
	if i < x.first {
		x.first, x.Why = i, why(err)
	}
	x.Count++
}

// list has the most frequent first, and of these the one that came first.
func (f failures) list() []Failure {
	var all []*failure
	for _, x := range f {
		all = append(all, x)
	}
	slices.SortFunc(all, func(a, b *failure) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.first, b.first), cmp.Compare(a.Why, b.Why))
	})
	var out []Failure
	for _, x := range all {
		out = append(out, x.Failure)
	}
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

// shares counts findings.
type shares map[string]*Share

var gravity = map[ledger.Severity]int{ledger.Exceeds: 0, ledger.Caution: 1, ledger.Note: 2}

// add counts the findings of one computation.
func (c shares) add(found []finding) {
	worst := map[string]ledger.Severity{}
	for _, f := range found {
		if w, ok := worst[f.id]; !ok || gravity[f.severity] < gravity[w] {
			worst[f.id] = f.severity
		}
	}
	for id, w := range worst { // each adds to its own share: the order does not matter
		s := c[id]
		if s == nil {
			s = &Share{ID: id, Worst: w}
			c[id] = s
		}
		s.Count++
		if w == ledger.Exceeds {
			s.Exceeds++
		}
		if gravity[w] < gravity[s.Worst] {
			s.Worst = w
		}
	}
}

// list has the gravest first, then the most frequent, then by id.
func (c shares) list(nominal *compute.Design) []Share {
	for _, f := range nominal.Book.Findings {
		if s := c[f.ID]; s != nil {
			s.Nominal = true
		}
	}
	out := make([]Share, 0, len(c))
	for _, s := range c {
		out = append(out, *s)
	}
	slices.SortFunc(out, func(a, b Share) int {
		return cmp.Or(cmp.Compare(gravity[a.Worst], gravity[b.Worst]), cmp.Compare(b.Count, a.Count), cmp.Compare(a.ID, b.ID))
	})
	return out
}
