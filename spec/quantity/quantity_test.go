package quantity

import (
	"errors"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// close demands equality but for the rounding of a few operations.
func near(t *testing.T, want, got float64, msg ...any) {
	t.Helper()
	if want == 0 {
		assert.InDelta(t, 0, got, 1e-15, msg...)
		return
	}
	assert.InEpsilon(t, want, got, 1e-12, msg...)
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		si   float64
		dim  Dimension
	}{
		{"2.8 kV", 2800, Voltage}, {"2.8kV", 2800, Voltage}, {" 2.8  kV ", 2800, Voltage}, {"2.8\u00a0kV", 2800, Voltage},
		{"250 pF", 250e-12, Capacitance}, {".5 A", 0.5, Current}, {"5. A", 5, Current}, {"1e3 W", 1000, Power}, {"1E-3 W", 1e-3, Power},
		{"12 uH", 12e-6, Inductance}, {"12 µH", 12e-6, Inductance}, {"12 μH", 12e-6, Inductance}, // u, micro sign, Greek mu
		{"50 ohm", 50, Resistance}, {"50 Ω", 50, Resistance}, {"50 \u2126", 50, Resistance}, {"1 Mohm", 1e6, Resistance},
		{"3 mohm", 3e-3, Resistance}, {"4.7 kΩ", 4700, Resistance},
		{"3.6 MHz", 3.6e6, Frequency}, {"3 mHz", 3e-3, Frequency}, {"2 kVA", 2000, Power},
		{"1/4 in", 0.00635, Length}, {"1 1/2 in", 0.0381, Length}, {"3/16 inch", 0.0047625, Length}, {`2"`, 0.0508, Length},
		{`2 1/2 "`, 0.0635, Length}, {"-1 1/2 in", -0.0381, Length},
		{"1 ft", 0.3048, Length}, {"63 mm", 0.063, Length}, {"2 cm", 0.02, Length}, {"10 mil", 254e-6, Length},
		{"±5 %", 0.05, Pure}, {"± 5 %", 0.05, Pure}, {"+/-5 %", 0.05, Pure}, {"+/- 5%", 0.05, Pure}, {"+-5 %", 0.05, Pure},
		{"100 ppm", 1e-4, Pure},
		{"-3 V", -3, Voltage}, {"+3 V", 3, Voltage}, {"−3 V", -3, Voltage},
		{"15 ms", 0.015, Time}, {"2 min", 120, Time}, {"1.5 h", 5400, Time},
		{"6 dB", 6, Pure}, {"2.2 dBi", 2.2, Pure}, {"180 °", math.Pi, Pure}, {"90 deg", math.Pi / 2, Pure},
		{"2 W/m2", 2, PowerDensity}, {"1 mW/cm²", 10, PowerDensity}, {"20 mT", 0.02, FluxDensity}, {"1.2 kg/m3", 1.2, Density},
		{"0 V", 0, Voltage}, {"1_0 V"[:1] + " V", 1, Voltage},
	} {
		v, err := Parse(c.text)
		require.NoError(t, err, c.text)
		near(t, c.si, v.SI, c.text)
		assert.Equal(t, c.dim, v.Dimension, c.text)
		assert.NotEmpty(t, v.Unit, c.text)
	}
}

// Conversions of the units that are not SI, held against NIST SP 811 (2008),
// appendix B.8, and the definitions named there. From memory, but for what
// follows from 1 in = 25.4 mm exactly.
func TestConversions(t *testing.T) {
	for _, c := range []struct {
		text      string
		si, error float64
		from      string
	}{
		{"1 in", 0.0254, 1e-15, "exact, international inch of 1959"},
		{"1 ft", 0.3048, 1e-15, "exact"},
		{"1 mil", 2.54e-5, 1e-18, "exact"},
		{"1 CFM", 4.719474e-4, 5e-11, "SP 811 B.8: cubic foot per minute"},
		{"1 inH2O", 249.0889, 5e-5, "SP 811 B.8: inch of water, conventional"},
		{"32 °F", 273.15, 1e-9, "freezing point of water"},
		{"212 °F", 373.15, 1e-9, "boiling point of water"},
		{"-40 °F", 233.15, 1e-9, "where both scales meet"},
		{"-40 °C", 233.15, 1e-9, "where both scales meet"},
		{"0 degC", 273.15, 1e-9, "definition of the Celsius scale"},
		{"68 degF", 293.15, 1e-9, "20 °C"},
		{"3600 m3/h", 1, 1e-12, "definition"},
		{"60000 l/min", 1, 1e-12, "definition"},
		{"1 l/s", 1e-3, 1e-15, "definition"},
		{"0 dBd", 2.15, 1e-12, "a half-wave dipole, gain 1.64 over isotropic: 10 lg 1.64 = 2.15 dB"},
	} {
		v, err := Parse(c.text)
		require.NoError(t, err, c.text)
		assert.InDelta(t, c.si, v.SI, c.error, "%s (%s)", c.text, c.from)
	}
	assert.InDelta(t, 10*math.Log10(1.64), 2.15, 0.005)
	// the conventional inch of water is a column of water of 1000 kg/m³ under
	// standard gravity
	v, _ := Parse("1 inH2O")
	assert.InDelta(t, 1000*9.80665*0.0254, v.SI, 1e-4)
}

func TestParseErrors(t *testing.T) {
	for _, c := range []struct{ text, what, fix string }{
		{"", "empty", ""}, {"   ", "empty", ""},
		{"V", "does not begin with a number", ""}, {"kV 2", "does not begin with a number", ""}, {"- V", "does not begin", ""},
		{". V", "does not begin", ""},
		{"nan V", "does not begin with a number", ""}, {"inf V", "does not begin with a number", ""}, {"±", "does not begin", ""},
		{"1e999 V", "not a finite number", ""}, {"-1e999 V", "not a finite number", ""}, {"1e308 GV", "not a finite number", ""},
		{"2,8 kV", "decimal point", "2.8 kV"}, {"-2,8 kV", "decimal point", "-2.8 kV"}, {"0,25 mm", "decimal point", "0.25 mm"},
		{"1,000 W", "no comma", "1000 W"}, {"1,000,000 ohm", "no comma", "1000000 ohm"}, {"1,000.5 W", "no comma", "1000.5 W"},
		{"2 800 V", "digits", "2800 V"}, {"2'800 V", "digits", "2800 V"}, {"2_800 V", "digits", "2800 V"},
		{"1 000 000 ohm", "digits", "1000000 ohm"},
		{"5 volts", `unknown unit "volts"`, ""}, {"5 xV", "unknown unit", ""}, {"5 kin", "unknown unit", ""},
		{"5 k%", "unknown unit", ""}, {"5 cV", "unknown unit", ""}, {"5 V V", "unknown unit", ""},
		{"5 kkV", "unknown unit", ""}, {"1..2 V", "unknown unit", ""}, {"0x10 V", "unknown unit", ""},
		{"1/0 in", "not a fraction", ""}, {"1/ in", "not a fraction", ""}, {"1/x in", "not a fraction", ""},
		{"-20/+80 %", "not a fraction", ""}, {"1/-4 in", "not a fraction", ""},
	} {
		_, err := Parse(c.text)
		require.Error(t, err, c.text)
		assert.Contains(t, err.Error(), c.what, c.text)
		var m *Mistake
		if errors.As(err, &m) {
			assert.Equal(t, c.fix, m.Fix, c.text)
			if !strings.Contains(c.text, "±") {
				_, err := Parse(m.Fix)
				assert.NoError(t, err, "the fix must be right: %s", m.Fix)
			}
		} else {
			assert.Empty(t, c.fix, c.text)
		}
	}
	for _, bare := range []string{"2800", "1/4", "1 1/2", "±5", "-3.5", "1e3"} {
		v, err := Parse(bare)
		require.ErrorIs(t, err, ErrNoUnit, bare)
		assert.NotZero(t, v.SI, "the number is read all the same")
	}
}

func TestParseRange(t *testing.T) {
	for _, c := range []struct {
		text   string
		lo, hi float64
	}{
		{"25 .. 250 pF", 25e-12, 250e-12}, {"25..250pF", 25e-12, 250e-12}, {"25 pF .. 250 pF", 25e-12, 250e-12},
		{"25pF..0.25nF", 25e-12, 250e-12},
		{"250 pF", 250e-12, 250e-12}, {"250 .. 250 pF", 250e-12, 250e-12}, {"0.5 .. 1.5 nF", 0.5e-9, 1.5e-9},
	} {
		r, err := ParseRange(c.text)
		require.NoError(t, err, c.text)
		near(t, c.lo, r.Low, c.text)
		near(t, c.hi, r.High, c.text)
		assert.Equal(t, Capacitance, r.Dimension, c.text)
	}
	r, err := ParseRange("1/4 .. 1 1/2 in")
	require.NoError(t, err)
	near(t, 0.00635, r.Low)
	near(t, 0.0381, r.High)
	r, err = ParseRange("-20 .. 40 °C")
	require.NoError(t, err)
	near(t, 253.15, r.Low)
	near(t, 313.15, r.High)

	for _, c := range []struct{ text, what, fix string }{
		{"250 .. 25 pF", "lower end is above", "25 pF .. 250 pF"}, {"250 pF .. 25 pF", "lower end is above", "25 pF .. 250 pF"},
		{"25 pF .. 250 V", "different kinds", ""}, {"25 V .. 250 pF", "different kinds", ""},
		{"25 ..", "two ends", ""}, {".. 250 pF", "two ends", ""}, {"..", "two ends", ""},
		{"25-250 pF", "two dots", "25 .. 250 pF"}, {"25 – 250 pF", "two dots", "25 .. 250 pF"},
		{"25 to 250 pF", "two dots", "25 .. 250 pF"},
		{"25 ... 250 pF", "two dots", "25 .. 250 pF"}, {"25 … 250 pF", "two dots", "25 .. 250 pF"},
		{"1 uH - 28 uH", "two dots", "1 uH .. 28 uH"},
		{"a .. b pF", "does not begin", ""}, {"1 .. 2 .. 3 pF", "unknown unit", ""}, {"2,5 .. 3,5 pF", "decimal point", "3.5 pF"},
	} {
		_, err := ParseRange(c.text)
		require.Error(t, err, c.text)
		assert.Contains(t, err.Error(), c.what, c.text)
		var m *Mistake
		if errors.As(err, &m) && m.Fix != "" {
			assert.Equal(t, c.fix, m.Fix, c.text)
			_, err := ParseRange(m.Fix)
			assert.NoError(t, err, m.Fix)
		}
	}
	for _, bare := range []string{"25..250", "25 pF .. 250", "250"} {
		_, err := ParseRange(bare)
		require.ErrorIs(t, err, ErrNoUnit, bare)
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		si     float64
		unit   string
		digits int
		want   string
	}{
		{2800, "V", 3, "2800 V"}, {2800, "V", 4, "2800 V"}, {12345, "V", 3, "12.3 kV"}, {9999.9, "V", 4, "10.00 kV"},
		{1500, "W", 3, "1500 W"},
		{0.4, "A", 3, "400 mA"}, {0.9996, "A", 3, "1.00 A"}, {0.9994, "A", 3, "999 mA"}, {999.6e-6, "A", 3, "1.00 mA"},
		{250e-12, "F", 3, "250 pF"}, {1000e-12, "F", 3, "1.00 nF"}, {999.6e-12, "F", 3, "1.00 nF"}, {270e-6, "F", 3, "270 µF"},
		{4700e-6, "F", 3, "4700 µF"}, {1e-14, "F", 3, "0.0100 pF"},
		{12e-6, "H", 2, "12 µH"}, {3.6e6, "Hz", 3, "3.60 MHz"}, {1000, "Hz", 3, "1.00 kHz"}, {50, "ohm", 3, "50.0 Ω"},
		{4700, "Ω", 3, "4700 Ω"}, {47e3, "Ω", 3, "47.0 kΩ"}, {1e6, "Ω", 3, "1.00 MΩ"},
		{5400, "s", 3, "5400 s"}, {0.015, "s", 2, "15 ms"}, {1200, "m", 3, "1200 m"}, {0.063, "m", 2, "63 mm"},
		{298.15, "°C", 3, "25.0 °C"}, {273.15, "degF", 3, "32.0 °F"}, {50, "K", 2, "50 K"},
		{0.05, "%", 2, "5.0 %"}, {0, "%", 3, "0 %"}, {0, "V", 3, "0 V"}, {1, "", 3, "1.00"}, {123456, "", 3, "123000"},
		{-2800, "V", 3, "-2800 V"}, {-0.4, "A", 3, "-400 mA"}, {-1e-9, "dB", 3, "0.0 dB"}, {-35.26, "dB", 3, "-35.3 dB"},
		{2.15, "dBi", 3, "2.1 dBi"}, {4.15, "dBd", 3, "2.0 dBd"},
		{0.00471947443, "CFM", 3, "10.0 CFM"}, {0.0254, "in", 3, "1.00 in"}, {math.Pi, "°", 3, "180 °"},
		{math.NaN(), "V", 3, "— V"}, {math.Inf(1), "V", 3, "— V"}, {1, "furlong", 3, "1.00 ?furlong"},
	} {
		got := Format(c.si, c.unit, c.digits)
		if c.want == "2.1 dBi" { // the binary 2.15 lies to either side
			assert.Contains(t, []string{"2.1 dBi", "2.2 dBi"}, got)
			continue
		}
		assert.Equal(t, c.want, got, "%v %s", c.si, c.unit)
	}
}

// formatUnits are the units a notebook prints in.
var formatUnits = []string{"V", "A", "W", "VA", "Ω", "F", "H", "Hz", "J", "s", "m", "K", "Pa", "T", "m³/s", "kg/m³", "m²", "A²s", "%",
	"", "°C", "°F", "in", "CFM", "inH2O", "S", "C", "W/m²", "V/m", "min", "ft"}

// What is printed reads back as the number within half of its last digit, and
// printing it again gives the same text.
func TestFormatRoundTrip(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 40000 {
		unit := formatUnits[r.IntN(len(formatUnits))]
		digits := 1 + r.IntN(8)
		u, _ := LookupUnit(unit)
		shown := math.Pow(10, -5+r.Float64()*11) // in the unit itself
		if u.Prefixed {
			shown = math.Pow(10, -13+r.Float64()*24)
		}
		if r.IntN(4) == 0 {
			shown = -shown
		}
		si := shown*u.Factor + u.Offset
		text := Format(si, unit, digits)
		v, err := Parse(text)
		if unit != "" {
			require.NoError(t, err, text)
			require.Equal(t, u.Dimension, v.Dimension, text)
		}
		half := 0.5 * math.Pow(10, math.Floor(math.Log10(math.Abs(shown)))-float64(digits)+1) * u.Factor
		require.InDelta(t, si, v.SI, half*1.0000001+math.Abs(u.Offset)*1e-12, "%v %s, %d digits: %s", si, unit, digits, text)
		if u.Offset == 0 {
			require.Equal(t, text, Format(v.SI, unit, digits), "%v", si)
		}
	}
}

// No printed number has four digits or more before the point where a prefix
// takes three, but for the trade's own exceptions; and no trailing unit is
// wrong by a thousand.
func TestPrefixFollowsPrintedForm(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 20000 {
		for _, unit := range []string{"A", "Hz", "H", "Pa", "T"} {
			v := math.Pow(10, -11+r.Float64()*22)
			if r.IntN(3) == 0 { // close below a power of a thousand
				v = math.Pow(1000, float64(r.IntN(6)-3)) * (1 - r.Float64()*1e-3)
			}
			number, symbol := Split(v, unit, 3)
			whole, _, _ := strings.Cut(number, ".")
			if v < 1e12 {
				require.LessOrEqual(t, len(whole), 3, "%v: %s %s", v, number, symbol)
			}
			require.NotEqual(t, "0", whole, "%v: %s %s", v, number, symbol)
		}
		v := math.Pow(10, 4+r.Float64()*5)
		number, _ := Split(v, "V", 3)
		whole, _, _ := strings.Cut(number, ".")
		require.LessOrEqual(t, len(whole), 3, "%v: %s", v, number)
	}
}

func TestSignificant(t *testing.T) {
	for _, c := range []struct {
		v      float64
		digits int
		want   string
	}{
		{0, 3, "0"}, {1, 3, "1.00"}, {9.999, 3, "10.0"}, {99.95, 3, "100"}, {999.5, 3, "1000"}, {0.00012345, 3, "0.000123"},
		{1e-6, 2, "0.0000010"},
		{123456, 2, "120000"}, {-0.5, 1, "-0.5"}, {1e15, 3, "1000000000000000"}, {1e-7, 3, "0.000000100"},
		{-4.468e12, 4, "-4468000000000"},
		{1e-12, 2, "0.0000000000010"}, {9.9e-13, 2, "0"}, {-9.9e-13, 2, "0"}, {9.9e20, 2, "990000000000000000000"}, {1e21, 3, "—"},
		{math.Copysign(0, -1), 3, "0"}, {math.NaN(), 3, "—"}, {math.Inf(-1), 3, "—"},
	} {
		if c.want == "100" { // 99.95 is a hair off in binary
			assert.Contains(t, []string{"100", "99.9", "100."}, Significant(c.v, c.digits))
			continue
		}
		if c.want == "1000" {
			assert.Contains(t, []string{"1000", "999"}, Significant(c.v, c.digits))
			continue
		}
		assert.Equal(t, c.want, Significant(c.v, c.digits))
	}
	r := rand.New(rand.NewPCG(5, 6))
	for range 10000 {
		v := math.Pow(10, -6+r.Float64()*20)
		d := 1 + r.IntN(6)
		s := Significant(v, d)
		back, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		require.InEpsilon(t, v, back, 0.5001*math.Pow(10, float64(1-d)), "%v %d %s", v, d, s)
		if strings.Contains(s, ".") {
			digits := strings.TrimLeft(strings.Replace(s, ".", "", 1), "0")
			require.Len(t, digits, d, "%v: %s", v, s)
		}
	}
}

// TestWordsForNumbers: what stands in sentences has neither exponents nor "-0",
// nor zeros that say nothing.
func TestWordsForNumbers(t *testing.T) {
	for _, c := range []struct {
		v    float64
		want string
	}{{12, "12"}, {0.5, "0.5"}, {1234, "1230"}, {1e6, "1000000"}, {0, "0"}, {-0.25, "-0.25"}, {1e-7, "0.0000001"}, {10, "10"}, {1e-300,
		"0"}, {1e300, "—"}} {
		assert.Equal(t, c.want, Short(c.v, 3))
	}
	for _, c := range []struct {
		v             float64
		decimals      int
		fixed, signed string
	}{
		{-0.04, 1, "0.0", "0.0"}, {0.04, 1, "0.0", "0.0"}, {-0.05001, 1, "-0.1", "-0.1"}, {0.05001, 1, "0.1", "+0.1"},
		{-0.4, 0, "0", "0"}, {12.34, 1, "12.3", "+12.3"},
		{math.Copysign(0, -1), 2, "0.00", "0.00"}, {math.NaN(), 1, "—", "—"}, {1e22, 1, "—", "—"}, {math.Inf(-1), 1, "—", "—"},
	} {
		assert.Equal(t, c.fixed, Fixed(c.v, c.decimals), "%v", c.v)
		assert.Equal(t, c.signed, Signed(c.v, c.decimals), "%v", c.v)
	}
	for v, want := range map[float64]string{1: "1.0 times", 0.96: "0.96 times", 2.44: "2.4 times", 12.6: "13 times", 126: "130 times",
		1e7: "10000000 times"} {
		assert.Equal(t, want, Times(v))
	}
	for v, want := range map[float64]string{1: "1 turn", 0.9999: "1 turn", 1.5: "1.5 turns", 0: "0 turns", 12: "12 turns",
		1234: "1230 turns"} {
		assert.Equal(t, want, Counted(v, "turn", 3))
	}
	// at every magnitude, in every unit
	for e := -320; e <= 308; e++ {
		for _, unit := range formatUnits {
			for _, m := range []float64{1, -9.9996} {
				v := m * math.Pow(10, float64(e))
				for _, digits := range []int{1, 3, 6} {
					s := Format(v, unit, digits)
					require.NotRegexp(t, `\de[+-]?\d|NaN|Inf|^-0(\.0*)?( |$)`, s, "%v %s", v, unit)
				}
			}
		}
	}
}

func TestUnits(t *testing.T) {
	for n, u := range units {
		assert.Greater(t, u.Factor, 0.0, n)
		own, ok := LookupUnit(u.Symbol)
		require.True(t, ok, n)
		assert.Equal(t, u.Dimension, own.Dimension, n)
		near(t, u.Factor, own.Factor, n)
		assert.False(t, u.Prefixed && u.Offset != 0, "%s: a prefix and an offset do not go together", n)
		assert.NotEmpty(t, u.Name(), n)
		if ex := u.Example(); ex != "" && n != "" {
			v, err := Parse(ex)
			require.NoError(t, err, ex)
			assert.Equal(t, u.Dimension, v.Dimension, ex)
			got, _ := LookupUnit(v.Unit)
			assert.Equal(t, u.Kind(), got.Kind(), ex)
		}
		// a prefixed reading of one unit's name never means another unit
		for p, f := range prefixes {
			rest, ok := strings.CutPrefix(n, p)
			if v, known := units[rest]; p != "" && ok && known && v.Prefixed && rest != "" {
				assert.False(t, v.Dimension == u.Dimension && math.Abs(v.Factor*f/u.Factor-1) > 1e-9, "%q is %s and %s%s", n, u.Symbol,
					p, rest)
			}
		}
	}
	assert.Equal(t, []string{"A"}, UnitNames(Current))
	assert.Contains(t, UnitNames(Length), "in")
	assert.NotContains(t, UnitNames(Pure), "")
}

func TestMeant(t *testing.T) {
	for _, c := range []struct{ name, like, want string }{
		{"kv", "V", "kV"}, {"KV", "V", "kV"}, {"volts", "V", "V"}, {"Volt", "V", "V"}, {"kilovolts", "V", "kV"}, {"v", "V", "V"},
		{"amps", "A", "A"}, {"ma", "A", "mA"}, {"milliamps", "A", "mA"}, {"MA.", "A", ""}, {"watts", "W", "W"}, {"KW", "W", "kW"},
		{"kilowatt", "W", "kW"},
		{"PF", "F", "pF"}, {"uf", "F", "uF"}, {"mfd", "F", "uF"}, {"mmfd", "F", "pF"}, {"microfarads", "F", "uF"},
		{"henries", "H", "H"}, {"UH", "H", "uH"},
		{"mhz", "Hz", "MHz"}, {"Mc", "Hz", "MHz"}, {"khz", "Hz", "kHz"}, {"cycles", "Hz", "Hz"}, {"K", "ohm", "kohm"},
		{"ohms", "ohm", "ohm"}, {"kohms", "ohm", ""}, {"megohms", "ohm", ""},
		{"C", "°C", "°C"}, {"celsius", "°C", "°C"}, {"F", "°C", "°F"}, {"percent", "%", "%"}, {"db", "dB", "dB"}, {"dbi", "dBi", "dBi"},
		{"MM", "m", "mm"}, {"millimeters", "m", "mm"}, {"inches", "m", "in"}, {"″", "m", "in"}, {"secs", "s", "s"}, {"msec", "s", "ms"},
		{"bananas", "V", ""}, {"W", "V", ""}, {"%", "dB", ""}, {"dB", "%", ""},
	} {
		like, ok := LookupUnit(c.like)
		require.True(t, ok)
		got := Meant(c.name, like)
		if c.want == "" && got != "" { // finding more is no fault, finding another kind is
			u, ok := LookupUnit(got)
			require.True(t, ok)
			assert.Equal(t, like.Dimension, u.Dimension)
			continue
		}
		if c.name == "inches" {
			assert.Contains(t, []string{"in", "inch", "inches"}, got)
			continue
		}
		assert.Equal(t, c.want, got, c.name)
	}
}

func TestDimensions(t *testing.T) {
	assert.Equal(t, Power, Voltage.Mul(Current))
	assert.Equal(t, Resistance, Voltage.Div(Current))
	assert.Equal(t, Conductance, Pure.Div(Resistance))
	assert.Equal(t, Charge, Current.Mul(Time))
	assert.Equal(t, Capacitance, Charge.Div(Voltage))
	assert.Equal(t, Inductance, Voltage.Mul(Time).Div(Current))
	assert.Equal(t, Energy, Power.Mul(Time))
	assert.Equal(t, Frequency, Pure.Div(Time))
	assert.Equal(t, Pressure, Energy.Div(Volume))
	assert.Equal(t, Flow, Volume.Div(Time))
	assert.Equal(t, Density, Mass.Div(Volume))
	assert.Equal(t, PowerDensity, Power.Div(Area))
	assert.Equal(t, FluxDensity, Voltage.Mul(Time).Div(Area))
	assert.Equal(t, Resistivity, Resistance.Mul(Length))
	assert.Equal(t, Permeability, Inductance.Div(Length))
	assert.Equal(t, HeatCapacity, Energy.Div(Mass).Div(Temperature))
	assert.Equal(t, ThermalResist, Temperature.Div(Power))
	assert.Equal(t, ElectricField, Voltage.Div(Length))
	assert.Equal(t, ResistPerLength, Resistance.Div(Length))
	assert.Equal(t, Action, Current.Mul(Current).Mul(Time))

	lc, ok := Inductance.Mul(Capacitance).Pow(1) // square root
	require.True(t, ok)
	assert.Equal(t, Time, lc)
	half, ok := Length.Pow(1)
	require.True(t, ok, "half a metre's exponent can be held")
	assert.Equal(t, "m^(1/2)", half.String())
	_, ok = half.Pow(1)
	assert.False(t, ok, "a quarter cannot")
	for d, n := range dimensionNames {
		assert.Equal(t, n[0], d.Name())
		v, err := Parse(n[1])
		if d == Pure {
			require.ErrorIs(t, err, ErrNoUnit)
			continue
		}
		require.NoError(t, err, n[1])
		assert.Equal(t, d, v.Dimension, n[1])
		assert.Equal(t, n[1], d.Example())
	}
	assert.Equal(t, "kg m^2 s^-3 A^-1", Voltage.String())
	assert.Equal(t, "1", Pure.String())
	assert.Equal(t, "a quantity in m^8", Area.Mul(Area).Mul(Area).Mul(Area).Name())
	assert.Empty(t, Area.Mul(Area).Example())
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"2.8 kV", "1/4 in", "1 1/2 in", "±5 %", "25 .. 250 pF", "2,8 kV", "1e999 V", "-1e-320 pF", "5 °F", "",
		"..", "1//2 in", "9 9/9 \"", "0x1p-2 V", "+-", "1 000 V", "٣ V", "1 ²V"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := Parse(s)
		if err == nil {
			if math.IsNaN(v.SI) || math.IsInf(v.SI, 0) {
				t.Fatalf("%q is %v", s, v.SI)
			}
			u, ok := LookupUnit(v.Unit)
			if !ok || u.Dimension != v.Dimension || v.Unit == "" {
				t.Fatalf("%q has unit %q", s, v.Unit)
			}
			Meant(v.Unit, u)
		} else if len([]rune(err.Error())) > 400 {
			t.Fatalf("%q: a message of %d bytes", s, len(err.Error()))
		}
		r, err := ParseRange(s)
		if err == nil && !(r.Low <= r.High) {
			t.Fatalf("%q is a range from %v to %v", s, r.Low, r.High)
		}
		var m *Mistake
		if errors.As(err, &m) && m.Fix == s {
			t.Fatalf("%q is its own correction", s)
		}
	})
}

// By hand: never less than the value, or never more, and what stands on a
// digit stays there.
func TestRoundUpAndDown(t *testing.T) {
	for _, c := range []struct {
		si       float64
		unit     string
		up, down string
	}{
		{1.004, "m", "1.01 m", "1.00 m"}, {1.000001, "m", "1.01 m", "1.00 m"}, {1, "m", "1.00 m", "1.00 m"},
		{0.9999, "m", "1.00 m", "999 mm"},
		{0.0084, "m", "8.40 mm", "8.40 mm"}, {0.008401, "m", "8.41 mm", "8.40 mm"}, {1234, "m", "1240 m", "1230 m"},
		{0.0254 * 0.331, "in", "0.331 in", "0.331 in"}, {0.0254 * 0.3311, "in", "0.332 in", "0.331 in"},
		{0.3048 * 10.01, "ft", "10.1 ft", "10.0 ft"},
	} {
		up, down := RoundUp(c.si, c.unit, 3), RoundDown(c.si, c.unit, 3)
		assert.Equal(t, c.up, Format(up, c.unit, 3))
		assert.Equal(t, c.down, Format(down, c.unit, 3))
		assert.GreaterOrEqual(t, up, c.si*(1-1e-9))
		assert.LessOrEqual(t, down, c.si*(1+1e-9))
	}
	assert.Zero(t, RoundUp(0, "m", 3))
	assert.Equal(t, -2.345, RoundUp(-2.345, "m", 3))
	assert.True(t, math.IsInf(RoundUp(math.Inf(1), "m", 3), 1))
}
