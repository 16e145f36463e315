package compute_test

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"anodebook/compute"
	"anodebook/report/setting"
	"anodebook/spec"
	"anodebook/spec/spectest"
)

var shown = flag.Int("spec", -1, "print this one of the extreme specs")

// atBounds is spec number i: most are a random amplifier with some keys of the
// format at the ends of their bounds, the others have little else.
func atBounds(i int) (string, *spec.Spec) {
	r := rand.New(rand.NewPCG(28, uint64(i)))
	base, share := "", 0.0
	switch i % 10 {
	case 0:
		share = 0.5
	case 1:
		share = 0.15
	case 2, 3:
		base, share = randomSpec(r), 0.06
	default:
		base, share = randomSpec(r), 0.012
	}
	return spectest.Extreme(r, base, share, compute.Names())
}

// boundsRun is what became of one extreme spec.
type boundsRun struct {
	illegal, solved bool
	flaws           []string
	took            time.Duration
}

// runAtBounds computes one and looks at every sentence.
func runAtBounds(i int) (x boundsRun) {
	_, s := atBounds(i)
	if s == nil {
		return boundsRun{illegal: true}
	}
	begin := threadTime()
	bad := func(what string, words ...any) {
		x.flaws = append(x.flaws, fmt.Sprintf("spec %d: %s", i, fmt.Sprintf(what, words...)))
	}
	defer func() {
		x.took = threadTime() - begin
		if p := recover(); p != nil {
			at := strings.Split(string(debug.Stack()), "\n")
			where := ""
			for _, line := range at {
				if strings.Contains(line, "/compute/") && !strings.Contains(line, "/ledger/") && !strings.Contains(line, "_test.go") {
					where = strings.TrimSpace(line)
					break
				}
			}
			bad("panic: %v at %s", p, where)
		}
		if *shown == i {
			text, _ := atBounds(i)
			fmt.Println(text)
		}
	}()
	look := func(of string, sentences ...string) {
		for _, w := range sentences {
			if f := spectest.Flaw(w); f != "" {
				bad("%s has %s", of, f)
			}
		}
	}
	d, err := compute.Run(s)
	if err != nil {
		var ps spec.Problems
		if !errors.As(err, &ps) {
			bad("%v is no problem of the spec", err)
			look("the error", err.Error())
			return x
		}
		for _, p := range ps {
			if p.Line == 0 || p.Hint == "" || p.Key == "" {
				bad("no line, no hint or no key with: %s", p.Error())
			}
			if strings.Contains(p.What, "breaks the program") || strings.Contains(p.What, "no finite value") {
				bad("nobody knows why: %s", p.Error())
			}
			look("a problem", p.What, p.Hint)
		}
		return x
	}
	x.solved = true
	text := setting.Plain(d.Book, "metric")
	for _, f := range text.Findings() {
		look("finding "+f.ID, f.Text, f.Advice)
	}
	for _, a := range text.Assumptions() {
		look("assumption "+a.Key, a.Value, a.Reason)
	}
	for _, p := range text.Parts() {
		look("part "+p.Designator, p.Name, p.Value, p.Rating, p.Note, fmt.Sprintf("%d × %s", max(2, p.Count), p.Value))
	}
	for _, q := range d.Book.Ratings {
		why := text.Sentence(q.Why)
		look("rating of "+q.Part, q.Name, why, text.Sentence(q.Advice))
		if math.IsNaN(q.Margin) || q.Rating < 0 {
			bad("rating of %s, %s: %v against %v", q.Part, why, q.Margin, q.Rating)
		}
	}
	if d.Book.Worst() == "" {
		bad("no verdict")
	}
	for _, q := range d.Book.Quantities() {
		look("quantity "+q.ID, q.Name)
		if f := spectest.Flaw(q.Text()); f != "" && q.Unit != "" && q.ID != "exposure.speed_of_light" { // a ratio may be great
			bad("quantity %s has %s", q.ID, f)
		}
	}
	for _, l := range d.Interlocks {
		look("interlock "+l.Part, l.Senses, l.Stops, l.Reset, l.Leaves)
	}
	return x
}

// TestSpecsAtTheirBounds computes legal specs whose values stand at the ends of the
// bounds of every key: no panic, no wait, no number in a sentence that is none.
// The time is that of the processor, so that a busy machine fails nobody.
func TestSpecsAtTheirBounds(t *testing.T) {
	n, patience := specsFor(30, 300), 30*time.Second // a race detector makes everything ten times slower
	if *hunt > 0 {
		patience = 2 * time.Second
	}
	runs := make([]boundsRun, n)
	var next atomic.Int64
	var group sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			runtime.LockOSThread()
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				runs[i] = runAtBounds(i)
			}
		})
	}
	group.Wait()
	solved, illegal, slowest, slow := 0, 0, 0, 0
	flaws := 0
	for i, x := range runs {
		switch {
		case x.illegal:
			illegal++
		case x.solved:
			solved++
		}
		if x.took > runs[slowest].took {
			slowest = i
		}
		if x.took > 2*time.Second {
			slow++
			t.Logf("spec %d took %v", i, x.took.Round(time.Millisecond))
		}
		assert.LessOrEqual(t, x.took, patience, "spec %d", i)
		for _, f := range x.flaws {
			if flaws++; flaws <= 200 {
				t.Error(f)
			}
		}
	}
	t.Logf("%d specs: %d gave a design, %d were not made legal; the slowest is %d with %v, %d above 2 s; %d flaws", n, solved, illegal,
		slowest, runs[slowest].took.Round(time.Millisecond), slow, flaws)
	assert.Greater(t, solved, n/4, "many of them should be buildable")
	assert.Less(t, illegal, n/10, "nearly all of them should be made legal")
}
