package quantity

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// Value is a number in SI base units together with its dimension.
type Value struct {
	SI float64
	Dimension
	Unit string // as written, such as "kV"; empty for a bare number
}

// Range is an interval in SI base units; a single value has Low = High.
type Range struct {
	Low, High float64
	Dimension
}

// ErrNoUnit says that a number came without a unit.
var ErrNoUnit = errors.New("no unit")

// Parse reads a number with a unit: "2.8 kV", "1/4 in", "1 1/2 in", "±5 %", and
// a wire's diameter as its gauge: "12 AWG".
// The sign ± is dropped. The error says what is wrong; it never mentions a
// position.
func Parse(text string) (Value, error) {
	s := strings.TrimSpace(text)
	if s == "" {
		return Value{}, errors.New("empty: no number and no unit")
	}
	s = unsigned(s)
	if v, ok, err := wireGauge(s); ok {
		return v, err
	}
	n, rest, err := number(s)
	if err != nil {
		return Value{}, fmt.Errorf("%s: %w", quoted(text), err)
	}
	name := strings.TrimSpace(rest)
	u, ok := LookupUnit(name)
	if !ok {
		if m := slip(s); m != nil {
			return Value{}, m
		}
		return Value{}, &UnknownUnit{text, name}
	}
	v := n*u.Factor + u.Offset
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return Value{}, fmt.Errorf("%s: not a finite number", quoted(text))
	}
	if name == "" {
		return Value{SI: v}, ErrNoUnit
	}
	return Value{SI: v, Dimension: u.Dimension, Unit: name}, nil
}

// unsigned drops the sign of a tolerance, and writes a typographic minus as
// the plain one.
func unsigned(s string) string {
	for _, sign := range []string{"±", "+/-", "+-"} {
		if rest, ok := strings.CutPrefix(s, sign); ok {
			return strings.TrimSpace(rest)
		}
	}
	if rest, ok := strings.CutPrefix(s, "−"); ok {
		return "-" + rest
	}
	return s
}

// number takes a decimal number or a (mixed) fraction off the front of s.
func number(s string) (float64, string, error) {
	a, rest, err := decimal(s)
	if err != nil {
		return 0, s, err
	}
	if strings.HasPrefix(rest, "/") {
		b, r, err := decimal(rest[1:])
		if err != nil || b == 0 || !digit(rest[1:]) {
			return 0, s, errors.New("not a fraction")
		}
		return a / b, r, nil
	}
	// a mixed fraction: "1 1/4"
	if t := strings.TrimLeft(rest, " "); t != rest && t != "" && unicode.IsDigit(rune(t[0])) {
		b, r, err := decimal(t)
		if err == nil && strings.HasPrefix(r, "/") {
			c, r, err := decimal(r[1:])
			if err == nil && c > 0 {
				return a + math.Copysign(b/c, a), r, nil
			}
		}
	}
	return a, rest, nil
}

func digit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

// decimal takes a decimal number off the front of s.
func decimal(s string) (float64, string, error) {
	i := 0
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		i++
	}
	for i < len(s) && (s[i] >= '0' && s[i] <= '9' || s[i] == '.') {
		// "25..250": two dots are a range, never part of a number
		if s[i] == '.' && i+1 < len(s) && s[i+1] == '.' {
			break
		}
		i++
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if j < len(s) && (s[j] == '-' || s[j] == '+') {
			j++
		}
		if j < len(s) && s[j] >= '0' && s[j] <= '9' {
			for j < len(s) && s[j] >= '0' && s[j] <= '9' {
				j++
			}
			i = j
		}
	}
	v, err := strconv.ParseFloat(s[:i], 64)
	if err != nil {
		if i > 0 && errors.Is(err, strconv.ErrRange) {
			return 0, s, errors.New("not a finite number")
		}
		return 0, s, errors.New("does not begin with a number")
	}
	return v, s[i:], nil
}

// ParseRange reads "25 .. 250 pF", "25 pF .. 250 pF" or a single value. A unit
// on the upper end serves the lower one too.
func ParseRange(text string) (Range, error) {
	if m := notRange.FindStringSubmatch(strings.TrimSpace(text)); m != nil {
		if _, err := Parse(text); err != nil {
			return Range{}, &Mistake{quoted(text) + ": two dots stand between the ends of a range", strings.TrimSpace(m[1]) + " .. " +
				m[2]}
		}
	}
	lo, hi, found := strings.Cut(text, "..")
	if !found {
		v, err := Parse(text)
		return Range{v.SI, v.SI, v.Dimension}, err
	}
	if strings.TrimSpace(lo) == "" || strings.TrimSpace(hi) == "" {
		return Range{}, fmt.Errorf("%s: a range has two ends", quoted(text))
	}
	h, err := Parse(hi)
	if err != nil {
		return Range{Low: h.SI, High: h.SI}, err
	}
	l, err := Parse(lo)
	if errors.Is(err, ErrNoUnit) {
		l, err = Parse(strings.TrimSpace(lo) + " " + h.Unit)
	}
	if err != nil {
		return Range{}, err
	}
	if l.Dimension != h.Dimension {
		return Range{}, fmt.Errorf("%s: the two ends are of different kinds, %s and %s", quoted(text), l.Name(), h.Name())
	}
	if l.SI > h.SI {
		turned := strings.TrimSpace(hi) + " .. " + strings.TrimSpace(lo)
		if _, err := Parse(lo); errors.Is(err, ErrNoUnit) {
			turned += " " + h.Unit
		}
		return Range{}, &Mistake{quoted(text) + ": the lower end is above the upper one", turned}
	}
	return Range{l.SI, h.SI, l.Dimension}, nil
}
