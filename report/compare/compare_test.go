package compare

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/report/page"
	"anodebook/spec"
	"anodebook/spec/testhelp"
)

const short4 = `[target]
output = "1000 W"
bands = ["80m", "20m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2800 V"
`

func made(t testing.TB, name, text string) Side {
	s, err := spec.Read(name, []byte(text), compute.Names())
	require.NoError(t, err)
	d, err := compute.Run(s)
	require.NoError(t, err)
	return Side{name, []byte(text), d}
}

func find(t *testing.T, c *Comparison, id string) Result {
	for _, r := range c.Results {
		if r.ID == id {
			return r
		}
	}
	t.Fatalf("%s did not move", id)
	return Result{}
}

// Other words for the same amplifier are no difference.
func TestSameResultsInOtherWords(t *testing.T) {
	for what, text := range map[string]string{
		"the very same": short4,
		"another order": "[supply]\nplate_voltage = \"2800 V\"\n[tubes]\ntype = \"3-500Z\"\n[target]\nbands = [\"20m\", " +
			"\"80m\"]\noutput = \"1000 W\"\n",
		"other units": strings.NewReplacer("2800 V", "2.8 kV", "1000 W", "1 kW").Replace(short4),
		"dotted keys": "target.output = \"1000 W\"\ntarget.bands = [\"80m\",\"20m\"]\ntubes.type = " +
			"\"3-500z\"\nsupply.plate_voltage = \"2800 V\"\n",
		"comments, CRLF": strings.ReplaceAll("# first\n\n"+short4+"# last\n", "\n", "\r\n"),
	} {
		c := Compare(made(t, "old.toml", short4), made(t, "new.toml", text), 0)
		assert.False(t, c.Different(), what)
		assert.Empty(t, c.Spec, what)
		testhelp.Contains(t, string(c.Markdown(Options{})), "The results are the same.", what)
	}
}

func TestDefaultWrittenOutIsNoDifference(t *testing.T) {
	c := Compare(made(t, "a", short4), made(t, "b", strings.Replace(short4, "[tubes]\n", "[tubes]\ncount = 2\n", 1)), 0)
	assert.False(t, c.Different())
	require.Len(t, c.Spec, 1)
	assert.Equal(t, Change{Key: "tubes.count", Old: "2", New: "2", NewLine: 5, Same: true}, c.Spec[0])
}

func TestRenamedTable(t *testing.T) {
	const reading = "[reading.%s]\nof = \"supply.idle_voltage\"\nvalue = \"3010 V\"\n"
	a := made(t, "a", short4+fmt.Sprintf(reading, "first"))
	c := Compare(a, made(t, "b", fmt.Sprintf(reading, "again")+short4), 0)
	assert.False(t, c.Different())
	require.Len(t, c.Spec, 1)
	assert.Equal(t, Change{Key: "reading.again", Renamed: "reading.first", OldLine: 9, NewLine: 2}, c.Spec[0])
	other := Compare(a, made(t, "b", short4+strings.Replace(fmt.Sprintf(reading, "again"), "3010", "3020", 1)), 0)
	assert.Len(t, other.Spec, 4, "a table with other contents is not the same table")
}

// More output: by energy, all of the amplifier moves the way it must.
func TestWhatFollows(t *testing.T) {
	c := Compare(made(t, "a", short4), made(t, "b", strings.Replace(short4, "1000 W", "1300 W", 1)), DefaultThreshold)
	require.True(t, c.Different())
	require.Len(t, c.Spec, 1)
	assert.Equal(t, Change{Key: "target.output", Old: `"1000 W"`, New: `"1300 W"`, OldLine: 2, NewLine: 2}, c.Spec[0])
	out := find(t, c, "antenna.output_power")
	assert.InDelta(t, math.Log(1.3), out.Move, 1e-6)
	assert.Equal(t, "+30 %", out.Percent())
	assert.Equal(t, "1000 W", out.OldText())
	assert.Equal(t, "1300 W", out.NewText())
	assert.Positive(t, find(t, c, "tubes.plate_current").Move)
	assert.Positive(t, find(t, c, "tubes.plate_dissipation_each").Move)
	assert.Negative(t, find(t, c, "tubes.plate_load").Move)
	last := 0
	for i, r := range c.Results {
		require.LessOrEqual(t, last, r.class, "the classes stand in their order")
		if i > 0 && r.class == last {
			require.LessOrEqual(t, math.Abs(r.Move), math.Abs(c.Results[i-1].Move)+1e-12, r.ID)
		}
		last = r.class
		require.Greater(t, math.Abs(r.Move), math.Log1p(DefaultThreshold)-1e-9)
	}
	assert.NotEmpty(t, c.Parts)
	for _, r := range c.Results {
		q, _ := c.Old.Design.Book.Lookup(r.ID)
		assert.Equal(t, q.Value, r.Old)
	}
}

// The other way round everything is told the other way round.
func TestBothWays(t *testing.T) {
	a, b := made(t, "a", short4), made(t, "b", strings.NewReplacer("1000 W", "1450 W", `"20m"`, `"20m", "10m"`).Replace(short4))
	there, back := Compare(a, b, 0.02), Compare(b, a, 0.02)
	assert.Equal(t, len(there.Come), len(back.Gone))
	assert.Equal(t, len(there.Gone), len(back.Come))
	assert.Equal(t, there.OnlyNew, back.OnlyOld)
	testhelp.Contains(t, fmt.Sprint(there.OnlyNew), "tank.10m")
	assert.Equal(t, len(there.Parts), len(back.Parts))
	assert.Equal(t, len(there.Ratings), len(back.Ratings))
	moves := map[string]float64{}
	for _, r := range there.Results {
		moves[r.ID] = r.Move
	}
	for _, r := range back.Results {
		if m, ok := moves[r.ID]; ok && math.Abs(m) > 0.03 {
			assert.InDelta(t, -m, r.Move, 1e-9, r.ID)
		}
	}
}

func TestRatingThatCrosses(t *testing.T) {
	with := func(v string) Side {
		return made(t, v, short4+"[tank.tune]\nrange = \"20 .. 250 pF\"\nvoltage = \""+v+"\"\n")
	}
	c := Compare(with("6 kV"), with("2 kV"), DefaultThreshold)
	require.Len(t, c.Ratings, 1)
	x := c.Ratings[0]
	assert.Equal(t, "C1", x.Part)
	assert.Equal(t, ledger.Within, x.OldVerdict)
	assert.Equal(t, ledger.ExceedsRating, x.NewVerdict)
	require.NotEmpty(t, c.Come)
	assert.Equal(t, ledger.Exceeds, c.Come[0].Severity)
	var found bool
	for _, r := range c.Results {
		found = found || r.class == classStress
	}
	assert.False(t, found, "the stress is the same, only the rating is another")
	back := Compare(with("2 kV"), with("6 kV"), DefaultThreshold).Ratings[0]
	assert.Equal(t, [2]ledger.Verdict{ledger.ExceedsRating, ledger.Within}, [2]ledger.Verdict{back.OldVerdict, back.NewVerdict})
}

func TestThreshold(t *testing.T) {
	// at this bias no harmonic of the plate current lies near its zero
	biased := short4 + "[bias]\nvoltage = \"9 V\"\n"
	a, b := made(t, "a", biased), made(t, "b", strings.Replace(biased, "1000 W", "1004 W", 1))
	c := Compare(a, b, 0.05)
	assert.Empty(t, c.Results)
	assert.Positive(t, c.Below)
	assert.False(t, c.Different(), "0.4 % of power moves nothing by 5 %")
	testhelp.Contains(t, string(c.Markdown(Options{})), "The results are the same within 5\u00a0%.")
	assert.True(t, Compare(a, b, 0).Different())
}

func TestDistance(t *testing.T) {
	for _, x := range []struct {
		a, b float64
		unit string
		want float64
	}{
		{1, 1, "V", 0}, {1, math.E, "V", 1}, {math.E, 1, "V", -1}, {-1, -2, "A", -math.Ln2},
		{-30, -24, "dB", 6.0 / 20 * math.Ln10}, {273.15, 373.15, "°C", math.Ln2},
		{0, 1, "W", math.Log(100)}, {1, 0, "W", -math.Log(100)}, {-1, 1, "V", math.Log(100)},
	} {
		assert.InDelta(t, x.want, distance(x.a, x.b, x.unit), 1e-12, "%v", x)
	}
}

func TestPercent(t *testing.T) {
	for want, r := range map[string]Result{
		"+5 %": {Old: 100, New: 105, Unit: "V"}, "−50 %": {Old: 2, New: 1, Unit: "V"}, "× 3": {Old: 1, New: 3, Unit: "V"},
		"+1.2 dB": {Old: -31.2, New: -30, Unit: "dB"}, "−20 K": {Old: 320, New: 300, Unit: "°C"},
		"from zero": {New: 1, Unit: "V"}, "to zero": {Old: 1, Unit: "V"}, "other sign": {Old: 1, New: -1, Unit: "V"},
	} {
		assert.Equal(t, strings.NewReplacer(".0 ", " ", ".00", "").Replace(r.Percent()), want)
	}
}

func TestAlike(t *testing.T) {
	c := &Comparison{Threshold: 0.01}
	assert.True(t, c.alike("4.51 kV, 20 A", "4.50 kV, 20 A"))
	assert.False(t, c.alike("4.61 kV, 20 A", "4.50 kV, 20 A"))
	assert.True(t, c.alike("999 pF", "1.00 nF"), "another prefix, the same value")
	assert.False(t, c.alike("4.50 kV", "4.50 kΩ"))
	assert.False(t, c.alike("11 × 390 µF in series", "12 × 390 µF in series"))
	assert.False(t, c.alike("zener", "diodes"))
}

// A spec is a stranger's text: nothing of it may act in Markdown or HTML.
func TestStrangersText(t *testing.T) {
	const nasty = `"| <script>x</script> [a](javascript:b) ![i](j) ` + "`c`" + ` $d$ @somebody **e** </table>"`
	a := made(t, "a|b<c>.toml", "[notebook]\ntitle = "+nasty+"\nbuilder = \"x\"\n"+short4)
	b := made(t, "new", "[notebook]\ntitle = "+nasty+"\nbuilder = "+nasty+"\n"+strings.Replace(short4, "1000", "1100", 1))
	c := Compare(a, b, 0.01)
	html, err := c.HTML(Options{})
	require.NoError(t, err)
	for _, bad := range []string{"<script>x", "javascript:b\"", "<em>", "<code>c", "<math", "href=\"http"} {
		testhelp.Lacks(t, string(html), bad)
	}
	for _, line := range strings.Split(string(c.Markdown(Options{})), "\n") {
		if strings.HasPrefix(line, "| 3 | notebook.builder") {
			assert.Equal(t, 5, strings.Count(strings.ReplaceAll(line, `\|`, ""), "|"), line)
		}
	}
	testhelp.Contains(t, string(c.Markdown(Options{})), "notebook.builder")
}

// The page of every pair of examples holds together and shows both sides.
func TestPageOfTheExamples(t *testing.T) {
	read := func(name string) Side {
		text, err := os.ReadFile("../../examples/" + name)
		require.NoError(t, err)
		return made(t, name, string(text))
	}
	base := read("club-station.toml")
	for _, name := range []string{"small-supply.toml", "ceramic-pair.toml", "low-bands.toml", "parts-box.toml"} {
		c := Compare(base, read(name), DefaultThreshold)
		html, err := c.HTML(Options{Limit: 25})
		require.NoError(t, err, name)
		assert.Empty(t, page.Dangling(html), name)
		assert.Equal(t, 3, strings.Count(string(html), "<svg"), name)
		testhelp.Lacks(t, string(html), "NaN", name)
		testhelp.Lacks(t, string(html), "%!", name)
		again, err := Compare(base, read(name), DefaultThreshold).HTML(Options{Limit: 25})
		require.NoError(t, err)
		assert.Equal(t, string(html), string(again), "the same bytes each time")
	}
}

// Every ID that is called a main result exists in one of the examples.
func TestMainResultsExist(t *testing.T) {
	seen := map[string]bool{}
	for _, name := range []string{"club-station.toml", "low-bands.toml", "ceramic-pair.toml"} {
		text, err := os.ReadFile("../../examples/" + name)
		require.NoError(t, err)
		for _, q := range made(t, name, string(text)).Design.Book.Quantities() {
			seen[pattern(q.ID)] = true
		}
	}
	for id := range place {
		assert.True(t, seen[id], id)
	}
}

func BenchmarkCompare(b *testing.B) {
	x, y := made(b, "a", short4), made(b, "b", strings.Replace(short4, "1000 W", "1300 W", 1))
	for b.Loop() {
		Compare(x, y, DefaultThreshold)
	}
}
