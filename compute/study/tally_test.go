package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"anodebook/compute/ledger"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tallied counts values.
func tallied(values []float64) *tally {
	t := &tally{}
	for _, v := range values {
		t.add(v)
	}
	return t
}

// TestTallyAgainstSorting holds percentiles against those of the sorted values
// themselves, the smallest value with at least that share at or below it, on
// both sides of the number up to which values are kept.
func TestTallyAgainstSorting(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for name, draw := range map[string]func() float64{
		"plate current": func() float64 { return 0.58 * (1 + 0.05*r.NormFloat64()) },
		"decibels":      func() float64 { return -35 + 2*r.NormFloat64() },
		"about zero":    func() float64 { return r.NormFloat64() },
		"one value":     func() float64 { return 2800 },
		"two values":    func() float64 { return float64(r.IntN(2)) },
		"nine decades":  func() float64 { return math.Pow(10, 9*r.Float64()-4) },
		"tiny":          func() float64 { return 1e-12 * (1 + r.Float64()) },
	} {
		for _, n := range []int{1, 2, 19, 20, 21, MostExact - 1, MostExact, MostExact + 1, 100_000} {
			values := make([]float64, n)
			for i := range values {
				values[i] = draw()
			}
			got := tallied(values).spread(Watched{})
			r.Shuffle(n, func(i, j int) { values[i], values[j] = values[j], values[i] })
			assert.Equal(t, got, tallied(values).spread(Watched{}), "%s, %d: the order of the builds matters", name, n)
			slices.Sort(values)
			assert.Equal(t, n, got.Count)
			assert.Equal(t, values[0], got.Least, name)
			assert.Equal(t, values[n-1], got.Most, name)
			if n <= MostExact {
				assert.Zero(t, got.Within, "%s, %d", name, n)
			} else {
				assert.Greater(t, got.Within, 0.0, "%s, %d", name, n)
			}
			if name == "plate current" && n > MostExact {
				assert.LessOrEqual(t, got.Within, 0.0001, "a usual result keeps fine bins")
			}
			for p, x := range map[float64]float64{0.05: got.Low, 0.5: got.Median, 0.95: got.High} {
				rank := int(math.Ceil(p * float64(n))) // counted from 1
				want := values[rank-1]
				assert.InDelta(t, want, x, got.Within*math.Abs(want), "%s, %d, %g", name, n, p)
			}
			for _, c := range got.Curve {
				rank := int(math.Round(c.Share*float64(n))) - 1
				assert.InDelta(t, values[rank], c.Value, got.Within*math.Abs(values[rank]), "%s, %d", name, n)
			}
			if n > 1 {
				assert.Len(t, got.Curve, min(n, 200))
			}
		}
	}
}

// TestBinsKeepTheOrder: a greater value never lies in a lower bin, and the
// middle of its bin is as near as is said.
func TestBinsKeepTheOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 1))
	tl := &tally{least: math.Inf(-1), most: math.Inf(1)}
	for range 20_000 {
		a := math.Pow(10, 40*r.Float64()-20) * float64(1-2*r.IntN(2))
		b := a * (1 + 0.01*r.NormFloat64())
		if a > b {
			a, b = b, a
		}
		require.LessOrEqual(t, bin(a), bin(b), "%g %g", a, b)
		require.InEpsilon(t, a, tl.middle(bin(a)), BinError, "%g", a)
	}
	require.Equal(t, bin(0), bin(math.Copysign(0, -1)))
	require.Less(t, bin(-1e-300), bin(0))
}

// fakeBuild is a build that costs nothing: twelve results, forty findings of
// which some come and go, and every thousandth cannot be.
func fakeBuild(i int) outcome {
	r := rand.New(rand.NewPCG(9, uint64(i)))
	if i%1000 == 999 {
		return outcome{done: true, err: fmt.Errorf("build %d: %w", i, errors.ErrUnsupported)}
	}
	o := outcome{done: true, values: make([]float64, 12)}
	for k := range o.values {
		o.values[k] = float64(k+1) * (1 + 0.1*r.NormFloat64())
	}
	for k := range 40 {
		if k < 30 || r.IntN(2) == 0 {
			o.findings = append(o.findings, finding{ledger.Caution, fmt.Sprintf("stage.finding_%d", k)})
		}
	}
	return o
}

// TestMemoryDoesNotGrowWithTheBuilds counts a thousand builds and a hundred
// thousand, and looks at what is held at every tenth of the way. A kept build
// would take 12 values of 8 bytes and some forty findings: 100,000 of them at
// least 10 MB for the values alone, and over 100 MB with the findings.
func TestMemoryDoesNotGrowWithTheBuilds(t *testing.T) {
	bench := lay(t, fourFacts, Tolerances{})
	watched := make([]Watched, 12)
	held := func(builds int) (most uint64, r *ToleranceResult) {
		r = &ToleranceResult{Bench: bench, Builds: builds}
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		before := m.HeapAlloc
		r.count(context.Background(), watched, Options{Workers: 1, Progress: func(done, total int) {
			if done%(total/10) == 0 {
				runtime.GC()
				runtime.ReadMemStats(&m)
				if m.HeapAlloc > before {
					most = max(most, m.HeapAlloc-before)
				}
			}
		}}, fakeBuild)
		return most, r
	}
	builds := testhelp.Trials(20_000, 100_000)
	few, _ := held(1000)
	many, r := held(builds)
	t.Logf("%d kB for a thousand builds, %d kB for %d", few>>10, many>>10, builds)
	assert.Less(t, many, uint64(16<<20), "twelve results of at most 32,768 bins each")
	assert.Equal(t, builds, r.Done)
	require.Len(t, r.Failed, 1)
	assert.Equal(t, builds/1000, r.Failed[0].Count)
	assert.Contains(t, r.Failed[0].Why, "build 999:")
	require.Len(t, r.Findings, 40)
	for _, f := range r.Findings[:30] {
		assert.Equal(t, builds-builds/1000, f.Count)
	}
	// a normal distribution: 5 and 95 % lie 1.6449 standard deviations off; the
	// quantile of n builds has a standard deviation of sqrt(p(1-p)/n)/density,
	// with the density there 0.1031/σ
	for k, s := range r.Spreads {
		allow := 4 * math.Sqrt(0.05*0.95/float64(builds-builds/1000)) / 0.1031 * 0.1 * float64(k+1)
		assert.InDelta(t, float64(k+1)*(1-0.16449), s.Low, allow)
		assert.InDelta(t, float64(k+1)*(1+0.16449), s.High, allow)
		assert.InDelta(t, float64(k+1), s.Median, allow)
	}
}

// TestAnyOrderOfManyBuilds counts more builds than are kept, by one worker and
// by four: the same result to the last bit.
func TestAnyOrderOfManyBuilds(t *testing.T) {
	bench := lay(t, fourFacts, Tolerances{})
	count := func(workers int) *ToleranceResult {
		r := &ToleranceResult{Bench: bench, Builds: 15_000}
		r.count(context.Background(), make([]Watched, 12), Options{Workers: workers}, fakeBuild)
		return r
	}
	one := count(1)
	assert.Equal(t, one, count(4))
	assert.Equal(t, one, count(4))
}
