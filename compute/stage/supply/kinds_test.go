package supply

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/ledger"
	"anodebook/compute/physics/rectifier"
	"anodebook/report/setting"
	"anodebook/spec"
)

// words are those of the spec itself, read from its tag.
func words(t testing.TB) []string {
	t.Helper()
	f, ok := reflect.TypeFor[spec.Supply]().FieldByName("Rectifier")
	require.True(t, ok)
	w := strings.Fields(f.Tag.Get("oneof"))
	require.NotEmpty(t, w)
	return w
}

// What each word means, written by hand: any textbook's table of rectifiers.
// Crest and reverse voltage are over the crest of one winding, the leg's mean
// current over the direct current out.
var byHand = map[string]struct {
	name                        string
	choke                       bool
	legs, path, windings, banks int
	crest, reverse, share       float64
	winding                     float64 // rms over the direct current, by the makers' rule or with an endless choke; 0: no rule
	halves                      bool
}{
	"bridge":                 {"full-wave bridge", false, 4, 2, 1, 1, 1, 1, 0.5, 1.61, false},
	"centre-tap":             {"full-wave centre-tap", false, 2, 1, 2, 1, 1, 2, 0.5, 1.00, true},
	"doubler":                {"full-wave doubler", false, 2, 1, 1, 2, 2, 2, 1, 0, false},
	"choke-input":            {"full-wave bridge", true, 4, 2, 1, 1, 1, 1, 0.5, 1, false},
	"choke-input-centre-tap": {"full-wave centre-tap", true, 2, 1, 2, 1, 1, 2, 0.5, 0.7071, true},
}

// Every word of the spec is a kind, every kind a word of the spec, and each is
// what the table above says: in the circuit, in the book, in the parts list.
func TestEveryRectifierWord(t *testing.T) {
	require.Len(t, rectifier.Kinds, len(words(t)))
	require.Len(t, byHand, len(words(t)))
	for _, word := range words(t) {
		want, ok := byHand[word]
		require.True(t, ok, word)
		k, err := rectifier.KindOf(word)
		require.NoError(t, err)
		c := k.Circuit
		assert.Equal(t, word, k.Word)
		assert.Equal(t, want.name, c.String(), word)
		assert.Equal(t, want.choke, k.Choke, word)
		assert.Equal(t, want.legs, c.Legs(), word)
		assert.Equal(t, want.path, c.PathLegs(), word)
		assert.Equal(t, want.windings, c.Windings(), word)
		assert.Equal(t, want.banks, c.Banks(), word)
		assert.Equal(t, want.share, c.LegShare(), word)
		one := rectifier.Supply{Circuit: c, SecondaryVoltage: 1000, DiodeDrop: 10, Capacitance: 60e-6}
		assert.InDelta(t, want.crest*1414.2136, one.CrestVoltage(), 1e-3, word)
		assert.InDelta(t, want.crest*1404.2136, one.NoLoadVoltage(), 1e-3, word)
		assert.InDelta(t, want.reverse*1414.2136, one.DiodeReverseVoltage(), 1e-3, word)
		assert.InDelta(t, 60e-6/float64(want.banks), one.OutputCapacitance(), 1e-12, word)

		s := read(t, fmt.Sprintf("rectifier = %q\n", word))
		assert.Equal(t, want.choke, s.Supply.ChokeInput(), word)

		d, r := solve(t, fmt.Sprintf("rectifier = %q\n[supply.diodes]\ncount = 20\n", word), 0.65, 0.2, 0.42)
		q := d.Of("supply.")
		v := q("transformer_voltage")
		assert.Equal(t, k, r.Plan.Kind, word)
		assert.InEpsilon(t, want.crest*math.Sqrt2*v, q("no_load_voltage"), 1e-9, word)
		assert.InEpsilon(t, 1.05*want.reverse*math.Sqrt2*v, q("diode_reverse_voltage"), 1e-9, word)
		assert.InEpsilon(t, want.share*q("load_current"), q("diode_mean_current"), 1e-9, word)
		assert.InEpsilon(t, float64(want.windings)*v*q("secondary_current_rms"), q("secondary_va"), 1e-9, word)
		assert.InEpsilon(t, float64(want.path)*20*0.8, q("diode_drop"), 1e-9, word)
		assert.InEpsilon(t, float64(want.path)*20*0.04, q("diode_resistance"), 1e-9, word)
		for _, p := range setting.Plain(d.Book, "metric").Parts() {
			switch p.Designator {
			case "D2":
				assert.Equal(t, want.legs*20, p.Count, word)
				assert.Contains(t, p.Name, want.name, word)
			case "T1":
				assert.Equal(t, want.halves, strings.Contains(p.Value, "centre-tapped"), word)
			case "L3":
				assert.True(t, want.choke, word)
			}
		}
		_, ok = d.Lookup("supply.choke_inductance")
		assert.Equal(t, want.choke, ok, word)
		if half, ok := d.Lookup("supply.half_winding_va"); assert.Equal(t, want.halves, ok, word) && ok {
			assert.InEpsilon(t, q("secondary_va")/2, half.Value, 1e-9, word)
		}
		if rule, ok := d.Lookup("supply.secondary_current_by_hand"); assert.Equal(t, want.winding > 0, ok, word) && ok {
			assert.InEpsilon(t, want.winding*q("load_current"), rule.Value, 1e-4, word)
		}
		// The halves take turns: the primary carries both, but where both
		// conduct at once (never with a capacitor input without leakage) they
		// cancel in it.
		first := q("primary_current") / q("turns_ratio") / q("secondary_current_rms")
		if want.halves {
			assert.InEpsilon(t, math.Sqrt2, first, 0.01, word)
		} else {
			assert.InEpsilon(t, 1, first, 1e-9, word)
		}
		_, err = r.TurnOn()
		assert.NoError(t, err, word)
	}
}

// Nothing stands for a rectifier that nobody knows: no word, no circuit, no
// formula by default.
func TestNoRectifierByDefault(t *testing.T) {
	for _, word := range []string{"", "bridges", "half-wave", "choke-input-bridge", "choke"} {
		_, err := rectifier.KindOf(word)
		assert.Error(t, err, word)
		s := read(t, "")
		s.Supply.Rectifier.Value = word
		_, err = Prepare(s, 2800, 0.6, 10)
		assert.ErrorContains(t, err, "no rectifier is called", word)
	}
	for _, c := range []rectifier.Circuit{0, -1, 4} {
		assert.Panics(t, func() { c.Legs() })
		assert.Panics(t, func() { crestOf(c) })
		assert.Panics(t, func() { legFormulas(c) })
		assert.Panics(t, func() { windingBy(rectifier.Kind{Circuit: c}) })
		assert.Panics(t, func() { _ = rectifier.Supply{Circuit: c}.CrestVoltage() })
	}
	assert.Panics(t, func() { windingBy(rectifier.Kind{Circuit: rectifier.Doubler, Choke: true}) })
}

// A stack of high voltage is many chips: one for each started 1500 V.
func TestChipsOfADiode(t *testing.T) {
	for rated, want := range map[float64]int{50: 1, 1000: 1, 1500: 1, 1501: 2, 3000: 2, 15000: 10} {
		assert.Equal(t, want, chips(rated), rated)
	}
	d, _ := solve(t, "[supply.diodes]\nvoltage = \"12 kV\"\ncount = 1\n", 0.65, 0.2, 0.42)
	assert.InEpsilon(t, 2*8*0.8, d.Value("supply.diode_drop"), 1e-12) // two legs of a bridge, eight chips each
}

// Series resistance of the bank: a loss factor of 0.1 at twice the mains
// frequency, 0.1/(2·π·120 Hz·330 µF) = 0.402 Ω, eleven of them in series.
func TestBankSeriesResistance(t *testing.T) {
	d, r := solve(t, "[supply.capacitors]\ncapacitance = \"330 uF\"\ncount = 11\n", 0.65, 0.2, 0.42)
	assert.InDelta(t, 0.402, d.Value("supply.capacitor_resistance_each"), 5e-4)
	assert.InEpsilon(t, 11*0.40191, d.Value("supply.bank_series_resistance"), 1e-4)
	assert.InEpsilon(t, d.Value("supply.bank_series_resistance"), r.Plan.Supply.CapacitorResistance, 1e-9)
	given := "rectifier = \"doubler\"\n[supply.capacitors]\ncapacitance = \"330 uF\"\ncount = 4\nseries_resistance = \"0.5 ohm\"\n"
	d, r = solve(t, given, 0.65, 0.2, 0.42)
	assert.InEpsilon(t, 8*0.5, d.Value("supply.bank_series_resistance"), 1e-12)
	assert.InEpsilon(t, 4*0.5, r.Plan.Supply.CapacitorResistance, 1e-12) // each half charges for itself
}

// Ten diodes of 1000 V in each leg behind a centre tap of 3050 V each half, as
// somebody might take over from a bridge: 2·√2·3050 V·1.05, a fifth more on the
// worst diode, is 1087 V on each. Its margin is 0.92, not the 1.84 of a bridge.
func TestTenDiodesBehindACentreTap(t *testing.T) {
	for word, want := range map[string]float64{
		"bridge": 1.840, "centre-tap": 0.920, "doubler": 0.920, "choke-input": 1.840, "choke-input-centre-tap": 0.920,
	} {
		require.Contains(t, words(t), word)
		more := fmt.Sprintf("rectifier = %q\n[supply.transformer]\nvoltage = \"3050 V\"\n[supply.diodes]\ncount = 10\n", word)
		d, _ := solve(t, more, 0.5, 0.15, 0.35)
		r := d.Rating("D2", "voltage")
		assert.InDelta(t, want, r.Margin, 5e-4, word)
		assert.Equal(t, want < 1, r.Verdict == ledger.ExceedsRating, word)
	}
}
