package quantity

import (
	"bytes"
	"math"
	"strconv"
	"strings"
)

// engineering are the prefixes, by their power of ten over three.
var engineering = [...]string{"p", "n", "µ", "m", "", "k", "M", "G"}

const (
	pico = -4 // of the first
	one  = 4  // place of no prefix
)

// Format writes an SI value in the unit named, with the given number of
// significant digits and an engineering prefix where the unit takes one. The
// prefix follows the printed form, so "1000 V" never appears for 1.000 kV.
// An unknown unit is a programming error and shows as "?".
func Format(si float64, unit string, digits int) string {
	number, symbol := Split(si, unit, digits)
	if symbol == "" {
		return number
	}
	return number + " " + symbol
}

// Split is Format in two parts: the printed number and the printed unit.
func Split(si float64, unit string, digits int) (number, symbol string) {
	u, ok := LookupUnit(unit)
	if !ok {
		return Significant(si, digits), "?" + unit
	}
	if digits < 1 {
		digits = 1
	}
	v := (si - u.Offset) / u.Factor
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "—", u.Symbol
	}
	if unit == "dB" || unit == "dBi" || unit == "dBd" {
		decimals := digits - 2
		if decimals < 1 {
			decimals = 1
		}
		return Fixed(v, decimals), u.Symbol
	}
	if !u.Prefixed || v == 0 {
		return Significant(v, digits), u.Symbol
	}
	// Round first, choose the prefix afterwards.
	n := roundTo(v, digits)
	k := 0
	for k+1 < len(engineering) && n.exponent >= 3*(k+1+pico) {
		k++
	}
	switch { // the trade does not say these
	case u.Dimension == Capacitance && engineering[k] == "m":
		k = one - 2
	case u.Dimension == Time && k > one, u.Dimension == Length && k > one:
		k = one
	case engineering[k] == "k" && (u.Symbol == "W" || u.Symbol == "VA" || u.Symbol == "V" || u.Symbol == "Ω" || u.Symbol == "J") &&
		n.exponent < 4:
		// 1500 W and 2800 V are how the trade writes them
		k = one
	}
	n.exponent -= 3 * (k + pico)
	return n.String(), engineering[k] + u.Symbol
}

// rounded is a number of so many significant digits.
type rounded struct {
	negative bool
	digits   string
	exponent int // of the first digit
}

// roundTo rounds v, which is finite.
func roundTo(v float64, digits int) rounded {
	var buf [32]byte
	b := strconv.AppendFloat(buf[:0], math.Abs(v), 'e', digits-1, 64) // "d.ddde+dd"
	e := bytes.IndexByte(b, 'e')
	exponent, _ := strconv.Atoi(string(b[e+1:]))
	if e > 1 {
		b = append(b[:1], b[2:e]...)
	} else {
		b = b[:e]
	}
	return rounded{v < 0, string(b), exponent}
}

// least and most are the powers of ten between which a number is written; what
// is smaller is nothing, what is larger no number of any amplifier.
const (
	least = -12
	most  = 21
)

// String writes no exponent and no "-0".
func (n rounded) String() string {
	s := n.digits
	switch e := n.exponent; {
	case e < least || strings.Trim(s, "0") == "":
		return "0"
	case e >= most:
		return "—"
	case e < 0:
		s = "0." + strings.Repeat("0", -e-1) + s
	case e < len(s)-1:
		s = s[:e+1] + "." + s[e+1:]
	default:
		s += strings.Repeat("0", e-len(s)+1)
	}
	if n.negative {
		return "-" + s
	}
	return s
}

// Significant writes v with the given number of significant digits, 1 to 17,
// and never an exponent. Digits to the left of the decimal point are always
// written in full, rounded to the number of digits. What is below 1e-12 is 0;
// what no amplifier has, 1e21 and above or no number at all, is a dash.
func Significant(v float64, digits int) string {
	switch {
	case v == 0:
		return "0"
	case math.IsNaN(v) || math.IsInf(v, 0):
		return "—"
	}
	return roundTo(v, digits).String()
}

// Short is Significant without idle zeros behind the decimal point: "12" and
// "0.5" for three digits.
func Short(v float64, digits int) string {
	s := Significant(v, digits)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// Fixed writes v with so many decimals, and never "-0".
func Fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.Abs(v) >= 1e21 {
		return "—"
	}
	return unminusZero(strconv.FormatFloat(v, 'f', decimals, 64))
}

// Signed is Fixed with a sign before every number that does not round to zero.
func Signed(v float64, decimals int) string {
	s := Fixed(v, decimals)
	if v > 0 && strings.Trim(s, "0.") != "" && s != "—" {
		s = "+" + s
	}
	return s
}

// Counted words a number of things to so many digits: "1 turn", "12.5 turns".
func Counted(v float64, thing string, digits int) string {
	s := Short(v, digits)
	if s != "1" {
		thing += "s"
	}
	return s + " " + thing
}

// Times words a factor to two significant digits: "2.4 times", "13 times".
func Times(v float64) string { return Significant(v, 2) + " times" }

func unminusZero(s string) string {
	if strings.HasPrefix(s, "-") && strings.Trim(s, "-0.") == "" {
		return s[1:]
	}
	return s
}

// RoundUp returns the SI value [SI] that a value is raised to by rounding it up
// to so many significant digits in a unit: what Format then prints is never
// less than the value. Values that stand on a digit but for a rounding error
// stay; so do those that are not above zero, and units that nobody knows.
func RoundUp(si float64, unit string, digits int) float64 {
	return roundAway(si, unit, digits, math.Ceil, -1e-9)
}

// RoundDown is RoundUp the other way: what Format then prints is never more
// than the value.
func RoundDown(si float64, unit string, digits int) float64 {
	return roundAway(si, unit, digits, math.Floor, 1e-9)
}

func roundAway(si float64, unit string, digits int, to func(float64) float64, slack float64) float64 {
	u, ok := LookupUnit(unit)
	if !ok || !(si > 0) || math.IsInf(si, 0) || u.Offset != 0 || digits < 1 {
		return si
	}
	v := si / u.Factor
	exponent := digits - 1 - int(math.Floor(math.Log10(v)))
	scale := math.Pow(10, math.Abs(float64(exponent))) // whole powers of ten are exact
	if exponent < 0 {
		return to(v/scale+slack) * scale * u.Factor
	}
	return to(v*scale+slack) / scale * u.Factor
}
