package quantity

import (
	"math"
	"strconv"
	"strings"
)

var engineering = []struct {
	symbol string
	factor float64
}{{"p", 1e-12}, {"n", 1e-9}, {"µ", 1e-6}, {"m", 1e-3}, {"", 1}, {"k", 1e3}, {"M", 1e6}, {"G", 1e9}}

// Format writes an SI value in the unit named, with the given number of
// significant digits and an engineering prefix where the unit takes one. The
// prefix follows the printed form, so "1000 V" never appears for 1.000 kV.
// An unknown unit is a programming error and shows as "?".
func Format(si float64, unit string, digits int) string {
	number, symbol := Split(si, unit, digits)
	if symbol == "" {
		return number
	}
	if symbol == "°" || symbol == "%" && unit == "%" {
		return number + " " + symbol
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
		return unminusZero(strconv.FormatFloat(v, 'f', decimals, 64)), u.Symbol
	}
	if !u.Prefixed || v == 0 {
		return Significant(v, digits), u.Symbol
	}
	// Round first, choose the prefix afterwards.
	r := round(v, digits)
	best := engineering[0]
	for _, p := range engineering {
		if math.Abs(r) >= p.factor*(1-1e-12) {
			best = p
		}
	}
	switch { // the trade does not say these
	case u.Dimension == Capacitance && best.symbol == "m":
		best.symbol, best.factor = "µ", 1e-6
	case u.Dimension == Time && best.factor > 1:
		best.symbol, best.factor = "", 1
	case u.Dimension == Length && best.factor > 1:
		best.symbol, best.factor = "", 1
	case best.symbol == "k" && (u.Symbol == "W" || u.Symbol == "VA" || u.Symbol == "V" || u.Symbol == "Ω" || u.Symbol == "J") && math.Abs(r) < 1e4:
		// 1500 W and 2800 V are how the trade writes them
		best.symbol, best.factor = "", 1
	}
	return Significant(v/best.factor, digits), best.symbol + u.Symbol
}

func round(v float64, digits int) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	return r
}

// Significant writes v with the given number of significant digits and never
// an exponent for magnitudes from 1e-6 to 1e15. Digits to the left of the
// decimal point are always written in full, rounded to the number of digits.
func Significant(v float64, digits int) string {
	if v == 0 {
		return "0"
	}
	a := math.Abs(v)
	if a < 1e-6 || a >= 1e15 {
		return strconv.FormatFloat(v, 'g', digits, 64)
	}
	r := round(v, digits)
	exp := int(math.Floor(math.Log10(math.Abs(r)) + 1e-12))
	decimals := digits - 1 - exp
	if decimals < 0 {
		decimals = 0
	}
	return unminusZero(strconv.FormatFloat(r, 'f', decimals, 64))
}

func unminusZero(s string) string {
	if strings.HasPrefix(s, "-") && strings.Trim(s, "-0.") == "" {
		return s[1:]
	}
	return s
}
