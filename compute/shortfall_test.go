package compute

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec"
)

const shortOf = `
[target]
output = "1000 W"
bands = ["80m", "20m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2800 V"
rectifier = %q
%s`

// What cannot supply the current is named with key and line and with what it
// could give: one sentence, no exponent, nothing negative, no voltage that
// nobody would wind.
func TestWhatCannotSupplyIsNamed(t *testing.T) {
	transformer := func(volts int, keys ...string) string {
		t := "[supply.transformer]\n"
		if volts > 0 {
			t += fmt.Sprintf("voltage = \"%d V\"\n", volts)
		}
		return t + strings.Join(keys, "\n") + "\n"
	}
	const (
		secondary = "supply.transformer.secondary_resistance"
		leakage   = "supply.transformer.leakage_inductance"
		primary   = "supply.transformer.primary_resistance"
		glitch    = "plate_feed.glitch_resistor.resistance"
		mains     = "supply.mains.resistance"
		twenty    = `secondary_resistance = "20 ohm"`
		whatever  = "whatever the transformer's voltage"
	)
	resistor := func(ohms string) string { return "[plate_feed.glitch_resistor]\nresistance = \"" + ohms + "\"" }
	thin := "[supply.mains]\nvoltage = \"120 V\"\nresistance = \"5 ohm\""
	type row struct{ rectifier, more, key, line, says string }
	rows := []row{
		{"bridge", transformer(2300, twenty) + resistor("1 Mohm"), glitch, "resistance",
			"glitch resistor of 1.00 MΩ the plates get nothing"},
		{"bridge", transformer(2300, twenty) + resistor("4 kohm"), glitch, "resistance",
			"glitch resistor of 4000 Ω the plates get only"},
		{"bridge", resistor("1 Mohm"), glitch, "resistance", "at most 2.80 mA could flow"}, // 2800 V / 1 MΩ
		{"bridge", transformer(2300, `secondary_resistance = "2 kohm"`), secondary, "secondary_", "at most"},
		{"bridge", transformer(2300, `leakage_inductance = "100 mH"`, `secondary_resistance = "2 kohm"`), secondary, "secondary_",
			"at most"},
		{"bridge", transformer(0, `secondary_resistance = "2 kohm"`), secondary, "secondary_", "losing three fifths"},
		{"bridge", transformer(2300, `leakage_inductance = "5 H"`, twenty), leakage, "leakage_", "only"},
		{"bridge", transformer(2300, `regulation = "25 %"`, `power = "50 VA"`), "supply.transformer.regulation", "regulation",
			"at most"},
		{"choke-input-centre-tap", transformer(3300, `short_circuit_voltage = "30 %"`, `regulation = "1 %"`, `power = "50 VA"`),
			"supply.transformer.short_circuit_voltage", "short_circuit_voltage", "at most"},
		{"bridge", transformer(2300, twenty) + thin, mains, "resistance", "mains resistance of 5.00 Ω"},
		{"bridge", thin, mains, "resistance", whatever},
		{"bridge", "[supply.capacitors]\ncapacitance = \"1 uF\"\ncount = 8", "supply.capacitors.capacitance", "capacitance",
			"at most 331 mA"}, // 2π·60 Hz·0.125 µF·2.5·2806 V
		{"bridge", transformer(2300, twenty) + "[supply.capacitors]\ncapacitance = \"1 uF\"\ncount = 8",
			"supply.capacitors.capacitance",
			"capacitance", "at most 153 mA"}, // 2π·60 Hz·0.125 µF·√2·2300 V
		{"choke-input", transformer(3300, twenty) + "[supply.choke]\nresistance = \"2 kohm\"",
			"supply.choke.resistance", "resistance", "of 2000 Ω"},
	}
	for _, word := range []string{"bridge", "centre-tap", "doubler", "choke-input", "choke-input-centre-tap"} {
		rows = append(rows,
			row{word, transformer(2300, `primary_resistance = "50 ohm"`), primary, "primary_", "at most"},
			row{word, transformer(0, `primary_resistance = "50 ohm"`), primary, "primary_", whatever})
	}
	odd := regexp.MustCompile(`\d[eE][+-]?\d|-\d|NaN|Inf`)
	for _, r := range rows {
		name := r.rectifier + " " + strings.ReplaceAll(r.more, "\n", " ")
		text := fmt.Sprintf(shortOf, r.rectifier, r.more)
		s, err := spec.Read("test.toml", []byte(text), Names())
		require.NoError(t, err, name)
		_, err = Run(s)
		var ps spec.Problems
		if !assert.True(t, errors.As(err, &ps), "%s: %v", name, err) {
			continue
		}
		require.Len(t, ps, 1, name)
		assert.Equal(t, r.key, ps[0].Key, "%s: %v", name, ps[0])
		assert.True(t, strings.HasPrefix(strings.Split(text, "\n")[ps[0].Line-1], r.line), "%s: line %d", name, ps[0].Line)
		assert.Contains(t, ps[0].What, r.says, name)
		assert.NotRegexp(t, odd, ps[0].What, name)
		assert.NotEmpty(t, ps[0].Hint, name)
		if testing.Verbose() {
			t.Logf("%s\n    %v\n    %s", name, ps[0], ps[0].Hint)
		}
	}
}

// A bridge behind a resistance R and an ideal transformer of free ratio, bank
// without ripple: with V = √2·V_s·cos φ and I = 2·√2·V_s/(π·R_s)·(sin φ -
// φ·cos φ) the power is greatest where cos φ·(sin φ - φ·cos φ) is, whatever the
// ratio. Windings and bleeders take their part of it.
func TestMostPowerThroughTheMains(t *testing.T) {
	best := 0.0
	for phi := 0.0; phi < math.Pi/2; phi += 1e-4 {
		best = math.Max(best, 4/math.Pi*math.Cos(phi)*(math.Sin(phi)-phi*math.Cos(phi)))
	}
	require.InDelta(t, 0.2307, best, 2e-4)
	thin := "[supply.mains]\nvoltage = \"120 V\"\nresistance = \"5 ohm\"\n[supply.transformer]\nregulation = \"0.5 %\"\n" +
		"[supply.bleeders]\nresistance = \"10 Mohm\"\n"
	s, err := spec.Read("test.toml", fmt.Appendf(nil, shortOf, "bridge", thin), Names())
	require.NoError(t, err)
	_, err = Run(s)
	require.Error(t, err)
	m := regexp.MustCompile(`\((\d+) W of direct current\)`).FindStringSubmatch(err.Error())
	require.Len(t, m, 2, err.Error())
	watts, err := strconv.ParseFloat(m[1], 64)
	require.NoError(t, err)
	assert.InEpsilon(t, best*120*120/5, watts, 0.04)
}
