package ledger

import (
	"fmt"
	"strings"
)

// Sentence is text for the reader whose numbers are set last, in the units and
// the form that the reader asked for. Its form has places in braces:
//
//	{tubes.idle_current}    a quantity of the book, with three digits
//	{supply.ripple:2}       the same with two
//	{share}                 a value bound beside the form
//	{band:40m}              a band, as the trade prints it
//	{part:R6}               a part by its designator
//	{section:bias}          a section of the report
//
// A form stands beside the decision that makes it; no number in it is printed
// there. The zero Sentence is no text at all.
type Sentence struct {
	form string
	with []Bound
}

// Bound is a value bound to a place of a form.
type Bound struct {
	Name  string
	Value any // Amount, *Quantity, Whole, Things, Word, Band, Span, Series or Sentence
}

// Amount is a number with its unit, in SI base units.
type Amount struct {
	SI     float64
	Unit   string // as known to package quantity; empty for a plain number
	Digits int    // significant digits, 0 for three; decimals in the styles Decimals and WithSign
	Style  Style
}

// Style is how a number is written.
type Style int

// The styles of numbers.
const (
	Plainly  Style = iota // with its unit, all digits shown
	Shortly               // a plain number without idle zeros: "12", "0.5"
	Decimals              // a plain number with fixed decimals
	WithSign              // the same with a plus before what is above zero
	AsTimes               // a factor in words: "2.4 times"
)

// Told is a number that must be told from another of the same unit.
type Told struct {
	SI, From float64
	Unit     string
}

// Things is a number of things, "1 turn", "12.5 turns".
type Things struct {
	N      float64
	Thing  string // one of them
	Digits int    // significant digits
}

// Whole is a count of things.
type Whole int

// Word is text that is no number: a trade designation, a word of a fixed list,
// a name of the builder's own.
type Word string

// Band is the name of a band, "40m".
type Band string

// Span is an interval, SI base units.
type Span struct {
	Low, High float64
	Unit      string
}

// Series is an enumeration of sentences, set with commas and "and".
type Series []Sentence

// Joined is an enumeration of sentences with a separator of its own.
type Joined struct {
	Separator string
	Items     []Sentence
}

// Say makes a sentence. Every place without a dot or colon must be bound, and
// every bound value must have its place; Check finds what does not fit, and a
// test calls it on every form of the program.
func Say(form string, with ...Bound) Sentence { return Sentence{form, with} }

// Of binds a number with three significant digits.
func Of(name string, si float64, unit string) Bound { return Bound{name, Amount{SI: si, Unit: unit}} }

// OfDigits binds a number with so many significant digits.
func OfDigits(name string, si float64, unit string, digits int) Bound {
	return Bound{name, Amount{SI: si, Unit: unit, Digits: digits}}
}

// Fixed binds a plain number with so many decimals.
func Fixed(name string, value float64, decimals int) Bound {
	return Bound{name, Amount{SI: value, Digits: decimals, Style: Decimals}}
}

// Short binds a plain number without idle zeros.
func Short(name string, value float64, digits int) Bound {
	return Bound{name, Amount{SI: value, Digits: digits, Style: Shortly}}
}

// Signed binds a plain number with its sign and so many decimals.
func Signed(name string, value float64, decimals int) Bound {
	return Bound{name, Amount{SI: value, Digits: decimals, Style: WithSign}}
}

// Times binds a factor.
func Times(name string, value float64) Bound { return Bound{name, Amount{SI: value, Style: AsTimes}} }

// Counted binds a number of things.
func Counted(name string, n float64, thing string, digits int) Bound {
	return Bound{name, Things{n, thing, digits}}
}

// Q binds a quantity of the book.
func Q(name string, q *Quantity) Bound { return Bound{name, q} }

// OnBand binds a band by its name, such as "40m".
func OnBand(name, band string) Bound { return Bound{name, Band(band)} }

// Apart binds a number with as many digits as tell it from another: "1000 V"
// does not exceed "1000 V".
func Apart(name string, si, from float64, unit string) Bound {
	return Bound{name, Told{si, from, unit}}
}

// Int binds a whole number.
func Int(name string, n int) Bound { return Bound{name, Whole(n)} }

// Called binds a word.
func Called(name, word string) Bound { return Bound{name, Word(word)} }

// Between binds an interval [SI].
func Between(name string, low, high float64, unit string) Bound {
	return Bound{name, Span{low, high, unit}}
}

// In binds a sentence.
func In(name string, s Sentence) Bound { return Bound{name, s} }

// All binds an enumeration.
func All(name string, s ...Sentence) Bound { return Bound{name, Series(s)} }

// List binds an enumeration that is set with commas alone.
func List(name string, s ...Sentence) Bound { return Bound{name, Joined{", ", s}} }

// Alternatives binds an enumeration that is set with "; or".
func Alternatives(name string, s ...Sentence) Bound { return Bound{name, Joined{"; or ", s}} }

// Named is a sentence of one word, for an enumeration.
func Named(word string) Sentence { return Say("{word}", Called("word", word)) }

// Banded is a sentence of one band, for an enumeration.
func Banded(band string) Sentence { return Say("{band:" + band + "}") }

// Empty says that there is no text.
func (s Sentence) Empty() bool { return s.form == "" }

// Then puts another sentence behind this one, with a space between.
func (s Sentence) Then(next Sentence) Sentence {
	switch {
	case s.Empty():
		return next
	case next.Empty():
		return s
	}
	return Say("{first} {second}", In("first", s), In("second", next))
}

// Append puts another sentence behind this one, with nothing between.
func (s Sentence) Append(next Sentence) Sentence {
	switch {
	case s.Empty():
		return next
	case next.Empty():
		return s
	}
	return Say("{first}{second}", In("first", s), In("second", next))
}

// Form is the text with its places in braces.
func (s Sentence) Form() string { return s.form }

// Bound is the value of a place.
func (s Sentence) Bound(name string) (any, bool) {
	for _, b := range s.with {
		if b.Name == name {
			return b.Value, true
		}
	}
	return nil, false
}

// Piece is a stretch of a form: text, or a place.
type Piece struct {
	Text  string // where Place is empty
	Place string // without its braces
}

// Pieces cuts a form. A brace that is never closed is text.
func Pieces(form string) []Piece {
	var out []Piece
	for form != "" {
		open := strings.IndexByte(form, '{')
		end := -1
		if open >= 0 {
			end = strings.IndexByte(form[open:], '}')
		}
		if end < 0 {
			return append(out, Piece{Text: form})
		}
		if open > 0 {
			out = append(out, Piece{Text: form[:open]})
		}
		out = append(out, Piece{Place: form[open+1 : open+end]})
		form = form[open+end+1:]
	}
	return out
}

// Check says what in a form does not fit what is bound to it, or that a
// quantity is unknown to the book.
func (s Sentence) Check(known func(id string) bool) error {
	used := map[string]bool{}
	for _, p := range Pieces(s.form) {
		name, _, ref := strings.Cut(p.Place, ":")
		_, isBound := s.Bound(name)
		switch {
		case p.Place == "":
		case isBound:
			used[name] = true
		case name == "band", name == "part", name == "section":
			if !ref {
				return fmt.Errorf("%q: {%s} names nothing", s.form, p.Place)
			}
		case strings.Contains(name, "."):
			if !known(name) {
				return fmt.Errorf("%q: no quantity %s", s.form, name)
			}
		default:
			return fmt.Errorf("%q: nothing is bound to {%s}", s.form, p.Place)
		}
	}
	for _, b := range s.with {
		if !used[b.Name] {
			return fmt.Errorf("%q has no place for %s", s.form, b.Name)
		}
		switch v := b.Value.(type) {
		case Sentence:
			if err := v.Check(known); err != nil {
				return err
			}
		case Series:
			if err := checkAll(v, known); err != nil {
				return err
			}
		case Joined:
			if err := checkAll(v.Items, known); err != nil {
				return err
			}
		}
	}
	return nil
}

// Literal is a sentence without places: braces in it are text.
func Literal(text string) Sentence {
	if strings.ContainsAny(text, "{}") {
		return Named(text)
	}
	return Sentence{form: text}
}

func checkAll(list []Sentence, known func(id string) bool) error {
	for _, x := range list {
		if err := x.Check(known); err != nil {
			return err
		}
	}
	return nil
}
