package report

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"anodebook/compute"
	"anodebook/compute/physics/tube"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	linked  = regexp.MustCompile(`\[([^\]]*)\]\([^)]*\)`)
	waiting = regexp.MustCompile(`(?i)\bwait(?:ing)?(?: another)? ([0-9][0-9.]* (?:s|min|h)\b)`)
)

// plainText is a document without links and hard spaces.
func plainText(d *Document) string {
	return strings.ReplaceAll(linked.ReplaceAllString(string(d.Markdown), "$1"), "\u00a0", " ")
}

// texts are the report, the cards and the article of a design, in plain words.
func texts(t *testing.T, d *compute.Design) map[string]string {
	t.Helper()
	whole, err := built(d)
	require.NoError(t, err)
	shared.Lock()
	defer shared.Unlock()
	if have := shared.texts[d]; have != nil {
		return have
	}
	out := map[string]string{"report": plainText(whole)}
	for _, f := range []Form{Bench, Article} {
		doc, err := Shorten(d, whole, f)
		require.NoError(t, err)
		out[string(f)] = plainText(doc)
	}
	if shared.texts == nil {
		shared.texts = map[*compute.Design]map[string]string{}
	}
	shared.texts[d] = out
	return out
}

// inOrder holds words to stand in a text one after the other.
func inOrder(t *testing.T, text string, words ...string) {
	t.Helper()
	at := 0
	for _, w := range words {
		i := strings.Index(text[at:], w)
		if !assert.GreaterOrEqual(t, i, 0, "%q, in its place", w) {
			return
		}
		at += i + len(w)
	}
}

// What is told to somebody alone in a workshop: one waiting time everywhere,
// one order of rescue, nothing read off a meter that cannot show it, no
// harmless light taken for a fault.
func TestWordsOfSafety(t *testing.T) {
	rescue := []string{"Somebody caught", "mains off at the panel", "without touching", "still charged", "second victim",
		"dry and insulating", "call the emergency number", "resuscitate"}
	for name, d := range testhelp.Some(designs(t), 4) {
		want := minutes(d.Book.Get("bring_up.wait").Value)
		for form, text := range texts(t, d) {
			found := waiting.FindAllStringSubmatch(text, -1)
			assert.NotEmpty(t, found, "%s %s", name, form)
			for _, m := range found {
				assert.Equal(t, want, m[1], "%s %s: %s", name, form, m[0])
			}
			for _, never := range []string{"blue glow", ", 60 V after", "help, then call", "several times over"} {
				testhelp.Lacks(t, text, never, "%s %s", name, form)
			}
			if form == string(Article) {
				continue
			}
			inOrder(t, text, rescue...)
			assert.Equal(t, strings.Count(text, rescue[0]), strings.Count(text, strings.TrimSpace(rescueText(t))),
				"%s %s: the same words wherever they stand", name, form)
			testhelp.Contains(t, text, "bleeder is open", "%s %s", name, form)
			testhelp.Matches(t, "(?is)return lead.{0,15} to the chassis first.{0,30}then.{0,60}prob", text, "%s %s", name, form)
		}
	}
}

// rescueText is the one sentence of rescue.
func rescueText(t *testing.T) string {
	t.Helper()
	tmpl, err := parsed()
	require.NoError(t, err)
	var b strings.Builder
	require.NoError(t, tmpl.ExecuteTemplate(&b, "rescue.md", nil))
	return b.String()
}

// The dead end is closed: after a second wait above 60 V comes the stick, which
// is sized for a full bank and held on each capacitor for its own time.
func TestNoDeadEndAboveSixtyVolts(t *testing.T) {
	for name, d := range testhelp.Some(designs(t), 4) {
		q := func(id string) float64 { return d.Book.Get(id).Value }
		text := texts(t, d)["report"]
		safety := text[strings.Index(text, "## Safety"):]
		inOrder(t, safety, "Above 60 V: wait "+minutes(q("bring_up.wait"))+" once more",
			"Still above 60 V after the second wait, a bleeder is open", "take the stick, which is sized for a full bank")
		r, c, each := q("bring_up.stick_resistance"), q("supply.filter_capacitance"), q("supply.capacitor_each")
		tolerance, highest := q("supply.capacitor_tolerance"), q("supply.highest_voltage")
		assert.Equal(t, q("metering.multiplier_resistance"), q("supply.voltmeter_string"),
			"%s: the discharge counts the string that is built", name)
		assert.GreaterOrEqual(t, q("bring_up.stick_energy"), (1+tolerance)*c*highest*highest/2*(1-1e-9), name)
		left := func(volts, farads, seconds float64) float64 {
			return volts * math.Exp(-seconds/(r*(1+tolerance)*farads))
		}
		assert.LessOrEqual(t, left(highest, c, q("bring_up.stick_hold")), 60.0, name)
		assert.LessOrEqual(t, left(q("bring_up.capacitor_worst_voltage"), each, q("bring_up.stick_hold_each")), 60.0, name)
		for _, id := range []string{"bring_up.stick_hold", "bring_up.stick_hold_each"} {
			testhelp.Contains(t, safety, fmt.Sprintf("%.0f s or longer", math.Ceil(math.Max(3, q(id)))), "%s %s", name, id)
		}
	}
}

// Windows and stop values are one in the report, on the bench card and on the
// cards, wherever a reading stands.
func TestOneWindowEverywhere(t *testing.T) {
	for name, d := range testhelp.Some(designs(t), 4) {
		seen := map[string]string{}
		all := texts(t, d)
		for _, form := range []string{"report", "bench"} {
			for _, line := range strings.Split(all[form], "\n") {
				cells := strings.Split(strings.Trim(line, "| "), "|")
				if len(cells) < 4 || !strings.HasPrefix(line, "| ") {
					continue
				}
				reading := strings.TrimSpace(cells[0])
				for _, rows := range windows {
					for _, r := range rows {
						if r.name != reading {
							continue
						}
						now := strings.TrimSpace(cells[1]) + "; " + strings.TrimSpace(cells[2]) + "; " + strings.TrimSpace(cells[3])
						if was, ok := seen[reading]; ok {
							assert.Equal(t, was, now, "%s %s: %s", name, form, reading)
						}
						seen[reading] = now
					}
				}
			}
		}
		assert.GreaterOrEqual(t, len(seen), 11, name)
		plate, grid := d.Book.Get("protection.plate_stop"), d.Book.Get("protection.grid_stop")
		testhelp.Contains(t, seen["plate current, full output"], plate.Text(), name)
		testhelp.Contains(t, all["bench"], "when the grid meter passes "+grid.Text()+", when the plate meter passes "+plate.Text(),
			name)
		for id, limit := range map[string]float64{"plate": d.Type.Limits.PlateCurrent.Value, "grid": d.Type.Limits.GridCurrent.Value} {
			stop := d.Book.Get("protection." + id + "_stop").Value
			assert.LessOrEqual(t, stop, d.Book.Get("protection."+id+"_trip").Value, name)
			if limit > 0 {
				assert.LessOrEqual(t, stop, limit*float64(d.Spec.Tubes.Count.N), name)
			}
		}
	}
}

// The order of the steps: insulation before mains, trips before any key-down,
// the first high voltage without tubes, the fall timed before a hand goes in.
func TestOrderOfSteps(t *testing.T) {
	all := texts(t, designs(t)["starter"])
	for _, form := range []string{"report", "bench"} {
		text := all[form]
		if form == "report" {
			text = text[strings.Index(text, "## Bring-up"):]
		}
		inOrder(t, text, "1. Plug out, tubes out", "2. Insulation", "500 V", "1.00 MΩ", "from memory", "3. Plug in with a lamp",
			"4. Prove the trips", "Across R7", "Across R6",
			"5. First high voltage, tubes out", "6. Switch off and time the fall", "7. Plug out", "8. Plug out, hook on: tubes in",
			"9.", "haze", "10.", "11. Key the amplifier without drive", "14. Drive, an eighth first")
	}
}

// What the control sheet allows at each step. With the primary off, or brought
// up slowly, the bank does not reach the voltage at which K3 closes: K9 drops K7
// within a second or two, and no key line closes. So K9 is proved in step 3, its
// lead is off from step 5 to step 10, and the trips are proved by their contacts
// with the plug out.
func TestStepsAgreeWithControlSheet(t *testing.T) {
	for name, d := range designs(t) {
		all := texts(t, d)
		text := all["bench"]
		step := func(n int) string {
			from := strings.Index(text, fmt.Sprintf("\n%d. ", n))
			require.Positive(t, from)
			rest := text[from+1:]
			return rest[:strings.Index(rest, "\n")]
		}
		// what the chain of K7 opens comes back by the start button alone
		watches := all["report"]
		listed := map[string]bool{}
		for _, p := range d.Book.Parts {
			listed[p.Designator] = true
		}
		assert.Equal(t, listed["S6"], strings.Contains(watches, "the high voltage by the start button"), name)
		assert.Equal(t, listed["K4"], strings.Contains(watches, "by the start button, once the time is over"), name)
		assert.Contains(t, text, "high voltage (S7)", name)
		assert.Contains(t, step(3), "S7 pulls K7 in", name)
		for part, words := range map[string]string{"S5": "a cover is lifted", "S6": "the air is blocked",
			"K4": "before K4 has run", "K6": "while K6 is tripped", "K9": "while K9 is tripped"} {
			assert.Equal(t, listed[part], strings.Contains(step(3), words), "%s: %s", name, part)
		}
		if listed["K5"] || listed["K6"] {
			assert.Contains(t, step(4), "Plug out, hook on: the control supply at J3 alone", name)
			assert.NotContains(t, step(4), "Key line closed", name)
		}
		assert.Equal(t, listed["K9"], strings.Contains(step(3), "K9 drops K7 after"), name)
		assert.Equal(t, listed["K9"], strings.Contains(step(5), "take a lead off the coil of K9"), name)
		assert.Equal(t, listed["K9"], strings.Contains(step(10), "put the lead of K9 back. With the primary still off"), name)
		assert.Equal(t, listed["K4"], strings.Contains(step(5), "S7 once K4 has run"), name)
		for _, n := range []int{5, 9, 10} {
			assert.Contains(t, step(n), "S7", "%s: step %d", name, n)
		}
	}
}

// Outside plates never show colour, some plates inside glass may: the cards say
// what holds for the type.
func TestColourOfPlatesOnCards(t *testing.T) {
	for name, d := range testhelp.Some(designs(t), 4) {
		text := texts(t, d)["bench"]
		testhelp.Contains(t, text, d.Type.Plate.Stop(), name)
		if d.Type.Plate.Kind == tube.ExternalPlate {
			testhelp.Lacks(t, text, "brighter than", name)
			testhelp.Contains(t, text, "never show colour", name)
			testhelp.Lacks(t, text, "haze", "%s: nobody sees into a ceramic tube", name)
		}
	}
}

const bareSpec = `
[target]
output = "1000 W"
bands = ["40m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2800 V"
[supply.bleeders]
fitted = false
`

// A supply without bleeders is said to have none in every text, and none is
// drawn or listed.
func TestNoBleedersInTheReport(t *testing.T) {
	d := design(t, "bare.toml", bareSpec)
	all := texts(t, d)
	testhelp.Contains(t, all["report"], "This supply has no bleeders")
	testhelp.Lacks(t, all["report"], "whole bleeders bring the bank")
	for path, svg := range func() map[string]string { w, err := built(d); require.NoError(t, err); return w.Figures }() {
		testhelp.Lacks(t, svg, ">R3", path)
	}
	testhelp.Lacks(t, all["report"], "| R3")
}
