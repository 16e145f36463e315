package compute_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/report/setting"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// extreme writes specs of keys at the bounds of what may be written.
type extreme struct {
	keys  []spec.Key
	types []string
}

func newExtreme() *extreme {
	x := &extreme{}
	for _, k := range spec.Keys(compute.Names()) {
		top, _, _ := strings.Cut(k.Table, ".")
		switch top { // words and files, and a tube of one's own, say nothing here
		case "", "prices", "reading", "survey", "measured", "study", "note", "photo", "have", "comment":
			continue
		}
		if strings.HasPrefix(k.Table, "tubes.custom") || k.Table == "notebook" && k.Name != "rules" || k.Table == "tubes" &&
			k.Name == "type" || k.Table == "target" && k.Name == "bands" {
			continue
		}
		x.keys = append(x.keys, k)
	}
	for _, t := range tube.All() {
		if t.Kind != tube.NoModel {
			x.types = append(x.types, t.Name)
		}
	}
	return x
}

// value is a value of a key: at one of its bounds more often than between.
func (x *extreme) value(r *rand.Rand, k spec.Key) (string, bool) {
	if words, ok := strings.CutPrefix(k.Bounds, "one of: "); ok {
		list := strings.Split(words, ", ")
		return fmt.Sprintf("%q", list[r.IntN(len(list))]), true
	}
	if k.Bounds == "true or false" {
		return []string{"true", "false"}[r.IntN(2)], true
	}
	lo, hi, ok := strings.Cut(k.Bounds, " to ")
	if !ok || strings.HasPrefix(k.Example, "[") {
		return "", false
	}
	text := lo
	switch r.IntN(5) {
	case 0, 1:
		text = hi
	case 2: // between, in the middle of the ratio, in the unit of the upper bound
		low, e1 := quantity.Parse(lo)
		high, e2 := quantity.Parse(hi)
		if e1 == nil && e2 == nil && low.SI > 0 {
			v := low.SI * math.Pow(high.SI/low.SI, r.Float64())
			_, unit, _ := strings.Cut(hi, " ")
			one, err := quantity.Parse("1 " + unit)
			if err == nil && one.SI > 0 && !strings.Contains(unit, "°") {
				text = fmt.Sprintf("%.4f %s", v/one.SI, unit)
				if v/one.SI < 0.01 {
					text = lo
				}
			}
		}
	}
	switch {
	case strings.Contains(k.Example, " .. "):
		if r.IntN(2) == 0 {
			return fmt.Sprintf("%q", lo+" .. "+hi), true
		}
		return fmt.Sprintf("%q", text), true
	case strings.HasPrefix(k.Example, `"`):
		return fmt.Sprintf("%q", text), true
	}
	return text, true // a plain number
}

// legal writes a legal spec: keys that a reader refuses beside the others are
// taken out again.
func (x *extreme) legal(t *testing.T, r *rand.Rand) (string, *spec.Spec) {
	set := map[string]map[string]string{}
	put := func(table, name, value string) {
		if set[table] == nil {
			set[table] = map[string]string{}
		}
		set[table][name] = value
	}
	kind, _ := tube.Lookup(x.types[r.IntN(len(x.types))])
	put("tubes", "type", fmt.Sprintf("%q", kind.Name))
	put("target", "bands", [...]string{`["80m"]`, `["160m", "10m"]`, `["40m", "10m"]`, `["10m"]`}[r.IntN(4)])
	volts, watts := kind.Limits.PlateVoltage.Value, kind.Limits.PlateDissipation.Value
	if volts == 0 {
		volts = 2000
	}
	put("supply", "plate_voltage", fmt.Sprintf("\"%.0f V\"", math.Max(400, math.Min(8000, volts*(0.4+0.6*r.Float64())))))
	put("target", "output", fmt.Sprintf("\"%.0f W\"", math.Max(20, math.Min(5000, 2*watts*(0.1+1.5*r.Float64())))))
	for range 1 + r.IntN(14) {
		k := x.keys[r.IntN(len(x.keys))]
		v, ok := x.value(r, k)
		if !ok {
			continue
		}
		if k.Table == "target" && (k.Name == "output" || k.Name == "plate_current" || k.Name == "drive") {
			for _, n := range []string{"output", "plate_current", "drive"} {
				delete(set["target"], n)
			}
		}
		put(k.Table, k.Name, v)
	}
	for range 12 {
		src := write(set)
		s, err := spec.Read("random.toml", []byte(src), compute.Names())
		if err == nil {
			return src, s
		}
		var ps spec.Problems
		require.True(t, errors.As(err, &ps), src)
		before := len(src)
		for _, p := range ps {
			table, name := "", p.Key
			if i := strings.LastIndex(p.Key, "."); i >= 0 {
				table, name = p.Key[:i], p.Key[i+1:]
			}
			delete(set[table], name)
		}
		if len(write(set)) == before {
			break
		}
	}
	return "", nil
}

func write(set map[string]map[string]string) string {
	var b strings.Builder
	for _, table := range sortedKeys(set) {
		fmt.Fprintf(&b, "[%s]\n", table)
		for _, k := range sortedKeys(set[table]) {
			fmt.Fprintf(&b, "%s = %s\n", k, set[table][k])
		}
	}
	return b.String()
}

func sortedKeys[V any](m map[string]V) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// unprintable is what no sentence may hold: an exponent, a number that is none,
// a zero below zero, a format gone wrong.
var unprintable = regexp.MustCompile(`\d[eE][+-]\d|NaN|\bInf\b|[+-]Inf|%!|(?:^|[\s(])[-−]0(?:\.0+)?(?:\s|$|[,;])`)

// sentences are all that a design says in words.
func sentences(d *compute.Design) []string {
	var list []string
	for _, f := range setting.Plain(d.Book, "metric").Findings() {
		list = append(list, f.ID+": "+f.Text, f.ID+": "+f.Advice)
	}
	for _, p := range setting.Plain(d.Book, "metric").Parts() {
		list = append(list, p.Designator+": "+p.Name+"; "+p.Value+"; "+p.Rating, p.Designator+": "+p.Note)
	}
	for _, a := range setting.Plain(d.Book, "metric").Assumptions() {
		list = append(list, a.Key+": "+a.Value+": "+a.Reason)
	}
	for _, x := range d.Book.Ratings {
		list = append(list, x.Part+": "+x.Name+"; "+setting.Plain(d.Book, "metric").Sentence(x.Why)+"; "+setting.Plain(d.Book,
			"metric").Sentence(x.Advice))
	}
	return list
}

// TestExtremeLegalSpecs runs legal specs with values at the bounds of their
// keys: each gives a design, or problems that name a key and its line, within
// two seconds and in words that can be read.
func TestExtremeLegalSpecs(t *testing.T) {
	n, patience := specsFor(30, 150), 2*time.Second
	x := newExtreme()
	seed := uint64(23)
	if s := os.Getenv("EXTREME_SEED"); s != "" {
		fmt.Sscan(s, &seed)
	}
	r := rand.New(rand.NewPCG(seed, 29))
	solved, tried := 0, 0
	for i := 0; tried < n && i < 20*n; i++ {
		src, s := x.legal(t, r)
		if s == nil {
			continue
		}
		tried++
		began := time.Now()
		d, err := compute.Run(s)
		if took := time.Since(began); took > patience { // others share the machine: once more
			began = time.Now()
			_, _ = compute.Run(s)
			took = min(took, time.Since(began))
			assert.Less(t, took, patience, "spec %d took %v\n%s", i, took, src)
		}
		if err != nil {
			var ps spec.Problems
			if assert.True(t, errors.As(err, &ps), "spec %d: %v is no problem of the spec\n%s", i, err, src) {
				for _, p := range ps {
					assert.NotEmpty(t, p.Hint, src)
					assert.NotEmpty(t, p.Key, src)
					assert.Positive(t, p.Line, "%v\n%s", p, src)
					assert.NotContains(t, p.What, "breaks the program", src)
					assert.NotContains(t, p.What, "no finite value", src)
					assert.NotRegexp(t, unprintable, p.What+" "+p.Hint, src)
				}
			}
			continue
		}
		solved++
		for _, text := range sentences(d) {
			assert.NotRegexp(t, unprintable, text, "%s", src)
		}
		for _, v := range d.Book.Ratings {
			assert.False(t, math.IsNaN(v.Margin) || v.Rating < 0, "%s %s\n%s", v.Part, v.Quantity, src)
		}
		assert.NotEqual(t, ledger.Severity(""), d.Book.Worst())
	}
	t.Logf("%d of %d extreme specs gave a design", solved, tried)
	assert.Greater(t, solved, tried/4)
}
