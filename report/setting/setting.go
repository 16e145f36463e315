// Package setting turns the sentences of the computation, whose numbers are
// still numbers, into text in the units and the form that the reader asked
// for. It is the only place that formats a number for a reader; terminal,
// Markdown, HTML, JSON and comparison differ only in their Setter.
package setting

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"anodebook/compute/ledger"
	"anodebook/spec/quantity"
)

// Setter sets sentences for one kind of reader.
type Setter struct {
	Book *ledger.Book
	Inch bool // lengths in inches and feet, air in cubic feet per minute
	// Linked writes a quantity of the book whose text is given, such as with a
	// link to its derivation; nil leaves the text.
	Linked func(q *ledger.Quantity, text string) string
	// Section writes the name of a section; nil leaves the name.
	Section func(name string) string
	// Word writes text of a catalogue or the builder's own; nil leaves it.
	Word func(string) string
}

// Sentence sets a sentence. A place that names nothing known is set as it
// stands, in braces: tests look for those.
func (s *Setter) Sentence(x ledger.Sentence) string {
	if x.Empty() {
		return ""
	}
	if strings.IndexByte(x.Form(), '{') < 0 {
		return x.Form()
	}
	var b strings.Builder
	for _, p := range ledger.Pieces(x.Form()) {
		if p.Place == "" {
			b.WriteString(p.Text)
			continue
		}
		b.WriteString(s.place(x, p.Place))
	}
	return b.String()
}

func (s *Setter) place(x ledger.Sentence, place string) string {
	name, arg, _ := strings.Cut(place, ":")
	if v, ok := x.Bound(name); ok {
		if a, isAmount := v.(ledger.Amount); isAmount && arg != "" {
			a.Digits = digits(arg)
			v = a
		}
		return s.value(v)
	}
	switch name {
	case "band":
		return Band(arg)
	case "part":
		return arg
	case "section":
		if s.Section != nil {
			return s.Section(arg)
		}
		return arg
	}
	q, ok := s.lookup(name)
	if !ok {
		return "{" + place + "}"
	}
	return s.quantity(q, digits(arg))
}

func (s *Setter) quantity(q *ledger.Quantity, digits int) string {
	text := s.Quantity(q, digits)
	if s.Linked != nil {
		return s.Linked(q, text)
	}
	return text
}

// Quantity sets a quantity with so many digits, 0 for three. The least that is
// safe is rounded up, in whatever unit it is shown.
func (s *Setter) Quantity(q *ledger.Quantity, digits int) string {
	if digits == 0 {
		digits = 3
	}
	unit := tradeUnit(q.Value, q.Unit, s.Inch)
	si := q.Value
	if q.Least {
		si = quantity.RoundUp(si, unit, digits)
	}
	return Trade(si, q.Unit, digits, s.Inch)
}

func (s *Setter) lookup(id string) (*ledger.Quantity, bool) {
	if s.Book == nil {
		return nil, false
	}
	return s.Book.Lookup(id)
}

func digits(arg string) int {
	n, _ := strconv.Atoi(arg)
	return n
}

func (s *Setter) value(v any) string {
	switch v := v.(type) {
	case ledger.Amount:
		return s.Amount(v)
	case *ledger.Quantity:
		return s.quantity(v, 0)
	case ledger.Band:
		return Band(string(v))
	case ledger.Whole:
		return strconv.Itoa(int(v))
	case ledger.Word:
		if s.Word != nil {
			return s.Word(string(v))
		}
		return string(v)
	case ledger.Told:
		for digits := 3; ; digits++ {
			text := Trade(v.SI, v.Unit, digits, s.Inch)
			if v.SI == v.From || digits == 9 || text != Trade(v.From, v.Unit, digits, s.Inch) {
				return text
			}
		}
	case ledger.Things:
		return quantity.Counted(v.N, v.Thing, v.Digits)
	case ledger.Span:
		low := s.Amount(ledger.Amount{SI: v.Low, Unit: v.Unit})
		high := s.Amount(ledger.Amount{SI: v.High, Unit: v.Unit})
		return low + " to " + high
	case ledger.Sentence:
		return s.Sentence(v)
	case ledger.Series:
		return Enumerate(s.all(v))
	case ledger.Joined:
		return strings.Join(s.all(v.Items), v.Separator)
	}
	panic(fmt.Sprintf("setting: a value of type %T", v))
}

func (s *Setter) all(list []ledger.Sentence) []string {
	parts := make([]string, len(list))
	for i, x := range list {
		parts[i] = s.Sentence(x)
	}
	return parts
}

// Enumerate writes "a", "a and b" or "a, b and c".
func Enumerate(parts []string) string {
	switch n := len(parts); n {
	case 0:
		return ""
	case 1:
		return parts[0]
	default:
		return strings.Join(parts[:n-1], ", ") + " and " + parts[n-1]
	}
}

// Band writes a band as the trade prints it, "40 m" with a space that does not
// break.
func Band(name string) string { return strings.TrimSuffix(name, "m") + "\u00a0m" }

// Amount sets a number in the unit of the trade.
func (s *Setter) Amount(a ledger.Amount) string {
	n := a.Digits
	if n == 0 {
		n = 3
	}
	switch a.Style {
	case ledger.Plainly:
		return Trade(a.SI, a.Unit, n, s.Inch)
	case ledger.Shortly:
		return quantity.Short(a.SI, n)
	case ledger.Decimals:
		return quantity.Fixed(a.SI, a.Digits)
	case ledger.WithSign:
		return quantity.Signed(a.SI, a.Digits)
	case ledger.AsTimes:
		return quantity.Times(a.SI)
	}
	panic(fmt.Sprintf("setting: no style %d", a.Style))
}

// Trade writes an SI value in the unit that the trade uses for it: air per
// hour or per minute, lengths in inches and feet where the builder wants them,
// pressure in inches of water.
func Trade(si float64, unit string, digits int, inch bool) string {
	if unit == "" && si == math.Trunc(si) && math.Abs(si) < 1e4 {
		return strconv.FormatFloat(si, 'f', 0, 64) // a count
	}
	shown := tradeUnit(si, unit, inch)
	if shown == "inH2O" {
		digits = max(2, digits-1)
	}
	return quantity.Format(si, shown, digits)
}

// tradeUnit is the unit in which the trade reads a value.
func tradeUnit(si float64, unit string, inch bool) string {
	switch {
	case unit == "m³/s" && inch:
		return "CFM"
	case unit == "m³/s":
		return "m³/h"
	case unit == "Pa" && inch:
		return "inH2O"
	case unit == "m" && inch && si < 1:
		return "in"
	case unit == "m" && inch:
		return "ft"
	}
	return unit
}
