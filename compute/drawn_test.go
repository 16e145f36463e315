package compute_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/report"
	"anodebook/report/setting"
	"anodebook/spec"
)

// drawable calls use for every example, and for n random specs with parts that
// the usual generator leaves out.
func drawable(t *testing.T, n int, use func(name, src string, d *compute.Design)) {
	t.Helper()
	files, err := filepath.Glob("../examples/*.toml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, path := range files {
		s, err := spec.Load(path, compute.Names())
		require.NoError(t, err)
		for name, m := range s.Measured {
			m.File.Content, err = os.ReadFile(filepath.Join("../examples", m.File.Name))
			require.NoError(t, err)
			s.Measured[name] = m
		}
		d, err := compute.Run(s)
		require.NoError(t, err, path)
		use(filepath.Base(path), path, d)
	}
	r := rand.New(rand.NewPCG(27, 11))
	for i := 0; i < n; {
		src := withParts(r, randomSpec(r))
		s, err := spec.Read("random.toml", []byte(src), compute.Names())
		if err != nil { // two of the tables do not go together
			continue
		}
		d, err := compute.Run(s)
		if err != nil {
			continue
		}
		use(fmt.Sprint("random ", i), src, d)
		i++
	}
}

// withParts adds tables that bring parts of their own, or take some away.
func withParts(r *rand.Rand, src string) string {
	pick := func(words ...string) string { return words[r.IntN(len(words))] }
	src += pick("", "", "[tank.coil]\nkind = \"roller\"\nrange = \"0.3 .. 18 uH\"\n", "[tank.coil]\nturns = 24\n",
		"[tank.high_coil]\nform_diameter = \"50 mm\"\n", "[tank.high_coil]\ninductance = \"1.2 uH\"\n")
	src += pick("", "", "[plate_feed.second_choke]\ninductance = \"140 uH\"\n")
	src += pick("", "[cooling]\nairflow = \"60 CFM\"\n")
	src += pick("", "[metering]\nmovement = \"200 uA\"\nmovement_resistance = \"800 ohm\"\n",
		"[metering]\nmultiplier_resistor = \"10 Mohm\"\nmovement = \"50 uA\"\n")
	src = strings.Replace(src, "[input]\n", "[input]\n"+pick("", "", "attenuator = \"3 dB\"\n"), 1)
	for _, key := range fitted {
		if r.IntN(6) == 0 {
			src += "[" + key + "]\nfitted = false\n"
		}
	}
	return src
}

// fitted are the tables whose part may be missing.
var fitted = []string{"supply.bleeders", "supply.step_start", "plate_feed.bypass", "plate_feed.glitch_resistor",
	"plate_feed.safety_choke", "metering.clamps", "protection.grid_trip", "protection.plate_trip", "protection.hv_fuse",
	"protection.mains_fuse", "protection.interlock", "cooling.blower"}

var (
	lettering = regexp.MustCompile(`<(?:a href="#part-([^"]*)"|g)><title>([^<]*)</title>`)
	viewBox   = regexp.MustCompile(`viewBox="\S+ \S+ (\S+) (\S+)"`)
	notDrawn  = regexp.MustCompile(`^In the parts list, not drawn: ([^.]*)\.`)
	figures   = regexp.MustCompile(`(\d+(?:\.\d+)?) (µF|nF|pF|H|mH|µH|nH|MΩ|kΩ|mΩ|Ω|kV|V|mA|A|kW|W|ms|s|m³/s|dB)(?:[ ,:;).]|$)`)
)

// numbersOf are the numbers of a text with their units, without idle zeros.
func numbersOf(t *testing.T, text string) (list []string) {
	for _, m := range figures.FindAllStringSubmatch(strings.ReplaceAll(text, "\u00a0", " "), -1) {
		v, err := strconv.ParseFloat(m[1], 64)
		require.NoError(t, err)
		list = append(list, strconv.FormatFloat(v, 'g', -1, 64)+" "+m[2])
	}
	return list
}

// Every designator of the parts list is drawn or stands in the list below the
// sheets, and nothing is drawn that the parts list does not have; results.json
// says the same. What is lettered beside a symbol is what the parts list says:
// its figures, in both places, compared as numbers. And every sheet is legible
// on paper: 7 pt are 7/72 in = 2.469 mm; the lettering is 14 units high; of a
// landscape A4 sheet (297 mm by 210 mm) the style sheet leaves 277 mm by 184 mm.
func TestEveryPartIsDrawnOrListed(t *testing.T) {
	const widest, highest = 14 * 277 / 2.4694, 14 * 184 / 2.4694
	sheets := map[string]bool{}
	drawable(t, specsFor(20, 200), func(name, src string, d *compute.Design) {
		c, err := report.DrawCircuit(d)
		require.NoError(t, err, "%s\n%s", name, src)
		listed := map[string]bool{}
		m := notDrawn.FindStringSubmatch(c.NotDrawn())
		require.NotNil(t, m, c.NotDrawn())
		if m[1] != "nothing" {
			for _, x := range strings.Split(m[1], ", ") {
				listed[x] = true
			}
		}
		b, err := report.JSON(d)
		require.NoError(t, err)
		var out struct {
			Parts []struct {
				Designator string
				Drawn      *string
			}
		}
		require.NoError(t, json.Unmarshal(b, &out))
		rows := map[string]setting.Part{}
		for i, p := range setting.Plain(d.Book, "metric").Parts() {
			rows[p.Designator] = p
			on, drawn := c.On[p.Designator]
			assert.NotEqual(t, drawn, listed[p.Designator], "%s: %s\n%s", name, p.Designator, src)
			if drawn {
				assert.Equal(t, on, *out.Parts[i].Drawn)
				assert.Contains(t, []string{"rf", "supply", "control"}, on)
			} else {
				assert.Nil(t, out.Parts[i].Drawn)
			}
		}
		lettered := map[string][]string{}
		for _, s := range c.Sheets {
			sheets[s.Name] = true
			for _, l := range lettering.FindAllStringSubmatch(s.SVG, -1) {
				if !assert.NotEmpty(t, l[1], "%s: %q is drawn and not in the parts list\n%s", name, l[2], src) {
					continue
				}
				p, ok := rows[l[1]]
				require.True(t, ok, "%s: %s", name, l[1])
				said := numbersOf(t, p.Value+" ; "+p.Rating)
				for _, n := range numbersOf(t, l[2]) {
					assert.Contains(t, said, n, "%s: %q beside the symbol, %q in the parts list", name, l[2], p.Value)
				}
				lettered[l[1]] = append(lettered[l[1]], numbersOf(t, l[2])...)
			}
			size := viewBox.FindStringSubmatch(s.SVG)
			w, _ := strconv.ParseFloat(size[1], 64)
			h, _ := strconv.ParseFloat(size[2], 64)
			assert.LessOrEqual(t, w, widest, "%s: %s is too wide\n%s", name, s.Name, src)
			assert.LessOrEqual(t, h, highest, "%s: %s is too high\n%s", name, s.Name, src)
		}
		for row := range c.On {
			if said := numbersOf(t, rows[row].Value); len(said) > 0 {
				assert.Contains(t, lettered[row], said[0], "%s: %s is %q in the parts list", name, row, rows[row].Value)
			}
		}
		for _, key := range fitted {
			for _, part := range withoutParts[key] {
				if strings.Contains(src, "["+key+"]\nfitted = false") {
					assert.NotContains(t, rows, part, "%s is not fitted", key)
				}
			}
		}
	})
	assert.Len(t, sheets, 3)
}

// withoutParts are the designators that must be gone where a table says fitted
// = false, as a builder counts them.
var withoutParts = map[string][]string{
	"supply.bleeders": {"R3"}, "supply.step_start": {"R4", "K3", "K9"}, "plate_feed.bypass": {"C4"},
	"plate_feed.glitch_resistor": {"R1"},
	"plate_feed.safety_choke":    {"RFC2"}, "metering.clamps": {"D6", "D7"}, "protection.grid_trip": {"K5"},
	"protection.plate_trip": {"K6"},
	"protection.hv_fuse":    {"F2"}, "protection.mains_fuse": {"F1"}, "protection.interlock": {"S5"}, "cooling.blower": {"B1"},
}

// A part that is not fitted is neither listed nor drawn; with everything fitted
// each of them is both.
func TestNotFittedIsNeitherListedNorDrawn(t *testing.T) {
	const base = "[target]\noutput = \"1000 W\"\nbands = [\"80m\"]\n[tubes]\ntype = \"3-500Z\"\n[supply]\nplate_voltage = \"2800 V\"\n"
	run := func(more string) (map[string]bool, string) {
		s, err := spec.Read("t.toml", []byte(base+more), compute.Names())
		require.NoError(t, err)
		d, err := compute.Run(s)
		require.NoError(t, err)
		c, err := report.DrawCircuit(d)
		require.NoError(t, err, more)
		rows, all := map[string]bool{}, ""
		for _, p := range setting.Plain(d.Book, "metric").Parts() {
			rows[p.Designator] = true
		}
		for _, s := range c.Sheets {
			all += s.SVG
		}
		return rows, all
	}
	rows, svg := run("[cooling]\nairflow = \"60 CFM\"\n")
	for _, key := range fitted {
		without, bare := run("[" + key + "]\nfitted = false\n")
		require.NotEmpty(t, withoutParts[key])
		for _, part := range withoutParts[key] {
			assert.True(t, rows[part], "%s is in the parts list of the whole amplifier", part)
			assert.Contains(t, svg, `href="#part-`+part+`"`, "and on its sheets")
			assert.False(t, without[part], "%s without %s", part, key)
			assert.NotContains(t, bare, `href="#part-`+part+`"`, key)
		}
	}
}

// Two coils in series are two coils on the sheet: the club station's tank has
// one of its own for the high bands.
func TestSplitTankIsDrawn(t *testing.T) {
	s, err := spec.Load("../examples/club-station.toml", compute.Names())
	require.NoError(t, err)
	d, err := compute.Run(s)
	require.NoError(t, err)
	c, err := report.DrawCircuit(d)
	require.NoError(t, err)
	assert.Equal(t, "rf", c.On["L1H"])
	assert.Equal(t, "rf", c.On["L1"])
	for _, part := range []string{"R9", "D6", "D7"} {
		assert.Equal(t, "supply", c.On[part])
	}
	for _, part := range []string{"P1", "F1", "S2", "S5", "S6", "B1", "R4", "K1", "K2", "K3", "K5", "K6", "K7", "K9", "J4", "D4",
		"A1"} {
		assert.Equal(t, "control", c.On[part], part)
	}
}

// A part at hand whose rating nobody gives is not stated, one that is not there
// is to buy: the parts list and the margins never disagree about which.
func TestVerdictsFollowThePartsList(t *testing.T) {
	seen := map[ledger.Verdict]int{}
	drawable(t, specsFor(20, 200), func(name, src string, d *compute.Design) {
		given := map[string]bool{}
		for _, p := range setting.Plain(d.Book, "metric").Parts() {
			given[p.Designator] = p.Given
		}
		for _, x := range d.Book.Ratings {
			seen[x.Verdict]++
			switch x.Verdict {
			case ledger.ToBuy:
				assert.False(t, given[x.Part], "%s: %s %s is to buy, and at hand\n%s", name, x.Part, x.Quantity, src)
			case ledger.NotStated:
				assert.True(t, given[x.Part], "%s: %s %s is not stated, and to buy\n%s", name, x.Part, x.Quantity, src)
			}
		}
	})
	assert.Positive(t, seen[ledger.ToBuy])
	assert.Positive(t, seen[ledger.NotStated])
}
