package compute_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/report/setting"
	"anodebook/spec"
	"anodebook/spec/quantity"
	"anodebook/spec/testhelp"
)

// randomDesigns computes n designs of random legal specs; those that cannot be
// built are left out.
func randomDesigns(t *testing.T, seed uint64, n int, use func(src string, s *spec.Spec, d *compute.Design)) {
	r := rand.New(rand.NewPCG(seed, 13))
	for made := 0; made < n; {
		src := randomSpec(r)
		s, err := spec.Read("random.toml", []byte(src), compute.Names())
		require.NoError(t, err, src)
		d, err := compute.Run(s)
		if err != nil {
			continue // TestRandomLegalSpecs looks at the error
		}
		made++
		use(src, s, d)
	}
}

var (
	pathForm  = regexp.MustCompile(`^[a-z][a-z0-9_]*(\.[A-Za-z0-9_]+)+$`)
	whereForm = regexp.MustCompile(`^random\.toml:\d+$`)
)

// TestEveryQuantityIsAccountedFor holds every number of random designs to what
// a reader may ask of it: a finite value, a known unit, a path, a name, and
// where it comes from.
func TestEveryQuantityIsAccountedFor(t *testing.T) {
	n := specsFor(10, 40)
	seen := 0
	randomDesigns(t, 3, n, func(src string, _ *spec.Spec, d *compute.Design) {
		for _, q := range d.Book.Quantities() {
			id := q.ID
			seen++
			require.False(t, math.IsNaN(q.Value) || math.IsInf(q.Value, 0), "%s\n%s", id, src)
			require.Regexp(t, pathForm, id)
			require.NotEmpty(t, strings.TrimSpace(q.Name), id)
			if q.Unit != "" {
				_, known := quantity.LookupUnit(q.Unit)
				require.True(t, known, "%s has the unit %q", id, q.Unit)
			}
			switch q.From {
			case ledger.FromSpec:
				require.Regexp(t, whereForm, q.Where, id)
			case ledger.FromComputed:
				require.NotNil(t, q.Step, id)
				require.NotEmpty(t, q.Step.Source.Title, id)
				require.True(t, q.Step.Formula != nil || !q.Step.Method.Empty(), id)
			case ledger.FromAssumed, ledger.FromCatalogue:
				require.NotEmpty(t, q.Where, id)
			default:
				t.Fatalf("%s comes from %q", id, q.From)
			}
			for _, bad := range []string{"NaN", "Inf", "%!"} {
				require.NotContains(t, q.Text(), bad, id)
			}
		}
		for _, x := range d.Book.Ratings {
			what := x.Part + " " + x.Quantity + "\n" + src
			for _, v := range []float64{x.Stress, x.Rating, x.Margin, x.RequiredFactor} {
				require.False(t, math.IsNaN(v) || math.IsInf(v, 0) || v < 0, what)
			}
			require.NotEmpty(t, x.Name, what)
			require.False(t, x.Why.Empty(), what)
			require.NotEmpty(t, x.Factor.Title, what)
		}
		for _, f := range setting.Plain(d.Book, "metric").Findings() {
			require.NotEmpty(t, f.Text, f.ID)
			require.NotEmpty(t, f.Advice, f.ID)
			for _, bad := range []string{"NaN", "Inf ", "%!", "<", "$", "`", "{", "}"} {
				require.NotContains(t, f.Text+" "+f.Advice, bad, f.ID)
			}
			for _, id := range f.Quantities {
				_, there := d.Book.Lookup(id)
				require.True(t, there, "%s names %s", f.ID, id)
			}
		}
	})
	t.Logf("%d quantities", seen)
	require.Greater(t, seen, 100*n)
}

// rated lists, by reflection, the keys of the spec that are the rating of a
// part, with their bounds.
func rated(s *spec.Spec) map[string]func() (q *spec.Quantity, low, high float64) {
	named := regexp.MustCompile(`^(?:.*_)?(?:voltage|current|power|energy|kva|temperature)$`)
	doc := regexp.MustCompile(`\b(?:rating|rated|may dissipate)\b`)
	out := map[string]func() (*spec.Quantity, float64, float64){}
	var walk func(v reflect.Value, path string)
	walk = func(v reflect.Value, path string) {
		for f, x := range v.Fields() {
			key := f.Tag.Get("key")
			if key == "" {
				continue
			}
			p := strings.TrimPrefix(path+"."+key, ".")
			q, is := x.Addr().Interface().(*spec.Quantity)
			switch {
			case is && named.MatchString(key) && doc.MatchString(f.Tag.Get("doc")) && !strings.HasPrefix(p, "tubes.custom."):
				out[p] = func() (*spec.Quantity, float64, float64) {
					low, err := quantity.Parse(f.Tag.Get("min"))
					if err != nil {
						panic(err)
					}
					high, err := quantity.Parse(f.Tag.Get("max"))
					if err != nil {
						panic(err)
					}
					return q, low.SI, high.SI
				}
			case !is && x.Kind() == reflect.Struct:
				walk(x, p)
			}
		}
	}
	walk(reflect.ValueOf(s).Elem(), "")
	return out
}

// designs are keys that name a rating and are more than that: they say which
// part it is, so that another value is another design.
var designs = map[string]string{
	"supply.transformer.short_circuit_voltage": "a property of the transformer, measured at its rated current",
	"supply.transformer.power":                 "resistances and leakage of the windings are estimated from the size",
	"protection.mains_fuse.current":            "a smaller fuse lets less through to the cord",
	"metering.multiplier_power":                "the string has as many resistors as this asks for",
	"protection.hv_fuse.current":               "a larger fuse lets more through, a smaller one opens for nothing",
}

// TestLowerRatingNeverRemovesAFinding lowers every rating that a spec can
// state, one at a time, from the highest to the lowest that may be written: a
// finding that something exceeds stays, the margin never grows and the number
// of overstressed ratings never falls.
func TestLowerRatingNeverRemovesAFinding(t *testing.T) {
	n := max(testhelp.Trials(1, 4), *hunt/200)
	steps := testhelp.Trials(3, 7)
	keys, moved := 0, map[string]bool{}
	randomDesigns(t, 5, n, func(src string, s *spec.Spec, _ *compute.Design) {
		all := rated(s)
		keys = len(all)
		for key := range designs {
			require.Contains(t, all, key, "named as an exception, but it is no rating")
		}
		for key, bounds := range all {
			if designs[key] != "" || key == "supply.capacitors.voltage" && !s.Supply.Capacitors.Count.Given {
				continue // without a count there are as many capacitors as the rating asks for
			}
			q, low, high := bounds()
			before := *q
			was, margins, count := map[string]bool{}, map[string]float64{}, 0
			for i := range steps {
				q.SI = high * math.Pow(low/high, float64(i)/float64(steps-1))
				q.Given, q.Assumed = true, false
				d, err := compute.Run(s)
				if err != nil {
					continue // a design that cannot be built has no findings
				}
				now := map[string]bool{}
				for _, f := range setting.Plain(d.Book, "metric").Findings() {
					if f.Severity == ledger.Exceeds {
						now[f.ID] = true
					}
				}
				for id := range was {
					assert.True(t, now[id], "%s = %g removes %s\n%s", key, q.SI, id, src)
				}
				over, times := 0, map[string]int{}
				for _, x := range d.Book.Ratings {
					if x.Verdict == ledger.ExceedsRating {
						over++
					}
					id := strings.Join([]string{x.Part, x.Quantity, x.Name, x.StressID, x.Why.Form()}, ", ")
					times[id]++
					if times[id] > 1 { // such as one rating for each band
						id += fmt.Sprintf(" (%d)", times[id])
					}
					if m, ok := margins[id]; ok {
						assert.LessOrEqual(t, x.Margin, m*(1+1e-6), "%s = %g: %s\n%s", key, q.SI, id, src)
						if x.Margin < m*(1-1e-6) {
							moved[key] = true
						}
					}
					margins[id] = x.Margin
				}
				assert.GreaterOrEqual(t, over, count, "%s = %g\n%s", key, q.SI, src)
				was, count = now, over
			}
			*q = before
		}
	})
	t.Logf("%d of %d ratings move a margin: %v", len(moved), keys, moved)
	require.Greater(t, keys, 15)
	require.Greater(t, len(moved), keys/2, "most ratings should be held against something")
}
