package compute_test

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/report/setting"
	"anodebook/spec"
	"anodebook/spec/testhelp"
)

var hunt = flag.Int("specs", 0, "so many random specs in each test that takes them")

// specsFor is how many random specs to try: few, with LONG=1 all, or as many
// as the command line asks for.
func specsFor(few, all int) int {
	if *hunt > 0 {
		return *hunt
	}
	return testhelp.Trials(few, all)
}

// randomSpec writes a legal spec: every value within its bounds, whatever the
// sense of it.
func randomSpec(r *rand.Rand) string {
	pick := func(words ...string) string { return words[r.IntN(len(words))] }
	between := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, r.Float64()) }
	maybe := func(share float64, line string) string {
		if r.Float64() < share {
			return line + "\n"
		}
		return ""
	}
	var types []string
	for _, t := range tube.All() {
		if t.Kind != tube.NoModel {
			types = append(types, t.Name)
		}
	}
	var bands []string
	for _, b := range spec.BandNames {
		if r.Float64() < 0.4 {
			bands = append(bands, `"`+b+`"`)
		}
	}
	if len(bands) == 0 {
		bands = []string{`"40m"`}
	}
	t, _ := tube.Lookup(types[r.IntN(len(types))])
	top := 2000.0
	if t.Limits.PlateVoltage.Known {
		top = t.Limits.PlateVoltage.Value
	}
	volts := math.Max(400, math.Min(8000, top*(0.4+0.8*r.Float64())))
	count := 1 + r.IntN(4)
	watts := 200.0
	if t.Limits.PlateDissipation.Known {
		watts = t.Limits.PlateDissipation.Value
	}
	network := pick("pi", "pi-L")
	var b strings.Builder
	fmt.Fprintf(&b, "[notebook]\nrules = %q\n[target]\nbands = [%s]\nswr = %.2f\nduty = %q\n", pick("us", "general"),
		strings.Join(bands, ", "), 1+3*r.Float64(), pick("voice", "cw", "data"))
	switch r.IntN(6) {
	case 0:
		fmt.Fprintf(&b, "plate_current = \"%.4g A\"\n", math.Max(0.02, math.Min(5, float64(count)*between(0.05, 0.8))))
	case 1:
		fmt.Fprintf(&b, "drive = \"%.4g W\"\n", math.Min(500, float64(count)*between(1, 60)))
	default:
		fmt.Fprintf(&b, "output = \"%.4g W\"\n", math.Max(20, math.Min(5000, float64(count)*watts*between(0.2, 2.5))))
	}
	fmt.Fprintf(&b, "[tubes]\ntype = %q\ncount = %d\n", t.Name, count)
	b.WriteString(maybe(0.2, fmt.Sprintf("plate_floor = \"%.4g V\"", math.Max(50, volts*(0.05+0.4*r.Float64())))))
	switch r.IntN(4) {
	case 0:
		fmt.Fprintf(&b, "[bias]\nvoltage = \"%.3g V\"\n", 30*r.Float64())
	case 1:
		fmt.Fprintf(&b, "[bias]\nidle_current = \"%.3g mA\"\n", math.Max(1, float64(count)*between(2, 150)))
	}
	fmt.Fprintf(&b, "[tank]\nnetwork = %q\nloaded_q = %.3g\ncoil_q = %.3g\nstray_capacitance = \"%.3g pF\"\n", network, between(4, 30),
		between(30, 900), between(1, 60))
	b.WriteString(maybe(0.4, fmt.Sprintf("[tank.tune]\nrange = \"%.3g .. %.3g pF\"", between(3, 60), between(80, 800))))
	b.WriteString(maybe(0.4, fmt.Sprintf("[tank.load]\nrange = \"%.3g .. %.3g pF\"", between(10, 100), between(200, 4000))))
	fmt.Fprintf(&b, "[input]\nloaded_q = %.3g\n", between(0.5, 6))
	fmt.Fprintf(&b, "[supply]\nplate_voltage = \"%.5g V\"\nrectifier = %q\n", volts, pick("bridge", "centre-tap", "doubler"))
	if r.Float64() < 0.4 {
		fmt.Fprintf(&b, "[supply.transformer]\nvoltage = \"%.5g V\"\nregulation = \"%.3g %%\"\n",
			math.Max(100, math.Min(8000, volts/1.3*between(0.7, 1.3))), between(1, 20))
	}
	b.WriteString(maybe(0.4, fmt.Sprintf("[supply.capacitors]\ncapacitance = \"%.3g uF\"\ncount = %d\nvoltage = \"450 V\"",
		between(20, 800), 1+r.IntN(16))))
	b.WriteString(maybe(0.3, fmt.Sprintf("[supply.mains]\nvoltage = \"%s\"\nfrequency = \"%s\"", pick("120 V", "230 V", "240 V"),
		pick("50 Hz", "60 Hz"))))
	return b.String()
}

// TestRandomLegalSpecs runs random legal specs: each gives a design without a
// number that is none, or problems of the spec that say what to change. The
// book itself refuses NaN and infinity by a panic.
func TestRandomLegalSpecs(t *testing.T) {
	n := specsFor(60, 300)
	r := rand.New(rand.NewPCG(7, 11))
	solved := 0
	for i := range n {
		src := randomSpec(r)
		s, err := spec.Read("random.toml", []byte(src), compute.Names())
		require.NoError(t, err, src)
		d, err := compute.Run(s)
		if err != nil {
			var ps spec.Problems
			if assert.True(t, errors.As(err, &ps), "spec %d: %v is no problem of the spec\n%s", i, err, src) {
				assert.NotEmpty(t, ps[0].Hint, src)
				assert.Positive(t, ps[0].Line, src)
				assert.NotContains(t, ps[0].What, "breaks the program", src)
				assert.NotContains(t, ps[0].What, "no finite value", src)
			}
			continue
		}
		solved++
		for _, x := range d.Book.Ratings {
			assert.GreaterOrEqual(t, x.Rating, 0.0, "spec %d: %s %s\n%s", i, x.Part, x.Quantity, src)
			assert.False(t, math.IsNaN(x.Margin), src)
		}
		seen := map[string]bool{}
		for _, f := range setting.Plain(d.Book, "metric").Findings() {
			assert.False(t, seen[f.ID], "spec %d: finding %s twice\n%s", i, f.ID, src)
			seen[f.ID] = true
		}
		for _, band := range d.Tank.Bands {
			assert.InEpsilon(t, d.Book.Get("tubes.plate_load").Value, d.Book.Get("tank."+band.Name+".plate_resistance").Value, 1e-6,
				src)
		}
		assert.Less(t, math.Abs(d.Book.Get("tubes.energy_balance").Value), 1e-9, src)
	}
	t.Logf("%d of %d specs gave a design", solved, n)
	assert.Greater(t, solved, n/3, "most random specs should be buildable")
}

// TestLowerRatingNeverHelps lowers the rating of a part step by step: once it
// is exceeded it stays so.
func TestLowerRatingNeverHelps(t *testing.T) {
	was := ledger.Within
	rank := map[ledger.Verdict]int{ledger.Within: 0, ledger.Thin: 1, ledger.ExceedsRating: 2}
	for _, volts := range []int{9000, 5000, 4000, 3500, 3200, 3000, 2500, 1500, 500} {
		src := fmt.Sprintf("[target]\noutput = \"1000 W\"\nbands = [\"80m\", \"10m\"]\n[tubes]\ntype = "+
			"\"3-500Z\"\n[supply]\nplate_voltage = \"2800 V\"\n[tank.tune]\nvoltage = \"%d V\"\n", volts)
		s, err := spec.Read("t.toml", []byte(src), compute.Names())
		require.NoError(t, err)
		d, err := compute.Run(s)
		require.NoError(t, err)
		for _, x := range d.Book.Ratings {
			if x.Part == "C1" && x.Quantity == "voltage" {
				assert.GreaterOrEqual(t, rank[x.Verdict], rank[was], "%d V", volts)
				was = x.Verdict
			}
		}
	}
	assert.Equal(t, ledger.ExceedsRating, was)
}
