package ledger

import (
	"math"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Verdict is the outcome of holding a stress against a rating.
type Verdict string

// The verdicts.
const (
	Within        Verdict = "within"     // rating ≥ stress × required factor
	Thin          Verdict = "thin"       // rating ≥ stress, but less than the required factor
	ExceedsRating Verdict = "exceeds"    // rating < stress
	ToBuy         Verdict = "to buy"     // the part is not there yet; Rating is what to ask for
	NotStated     Verdict = "not stated" // the part is there, but nobody says what it can bear; Rating is what it must
)

// Rating holds what a part bears against what it can bear.
type Rating struct {
	Part           string // designator
	Name           string // the part in words
	Stage          string
	Band           string // band at which the stress is greatest; may be empty
	Quantity       string // "voltage", "current", "power", "kva", "temperature", "energy", "time" …
	Stress         float64
	Rating         float64
	Unit           string
	RequiredFactor float64 // rating must be at least stress × this
	Factor         Source  // where the required factor comes from
	Margin         float64 // rating / stress
	Verdict        Verdict
	StressID       string   // quantity that holds the stress; may be empty
	Why            Sentence // what the stress is, in words
	Advice         Sentence // what to do where it exceeds
	Key            string   // spec key that states the rating; empty: none does
}

// Rate fills in margin and verdict, adds the rating to the book and, where the
// part is overstressed or thin, the finding that says so. A Verdict of ToBuy
// or NotStated set by the caller stays.
func (b *Book) Rate(r Rating) Rating {
	if r.RequiredFactor == 0 {
		r.RequiredFactor = 1
	}
	r.Margin = math.Inf(1)
	if r.Stress > 0 {
		r.Margin = r.Rating / r.Stress
	} else {
		r.Margin = 999
	}
	if r.Margin > 999 {
		r.Margin = 999
	}
	const rounding = 1 - 1e-9
	if r.Verdict != ToBuy && r.Verdict != NotStated {
		switch {
		case r.Rating < r.Stress*rounding:
			r.Verdict = ExceedsRating
		case r.Rating < r.Stress*r.RequiredFactor*rounding:
			r.Verdict = Thin
		default:
			r.Verdict = Within
		}
	}
	b.Ratings = append(b.Ratings, r)
	if r.Verdict != ExceedsRating && r.Verdict != Thin {
		return r
	}
	f := Finding{
		ID: r.findingID(), Stage: r.Stage, Advice: r.Advice,
	}
	if r.StressID != "" {
		f.Quantities = []string{r.StressID}
	}
	at := Sentence{}
	if r.Band != "" {
		at = Say(" on {on}", OnBand("on", r.Band))
	}
	said := func(form string, more ...Bound) Sentence {
		return Say(form, append([]Bound{
			Called("name", capital(r.Name)), Called("designator", r.Part), In("at", at),
			Apart("stress", r.Stress, r.Rating, r.Unit), Apart("rating", r.Rating, r.Stress, r.Unit),
		}, more...)...)
	}
	wanted, kind := Of("wanted", r.Stress*r.RequiredFactor, r.Unit), Called("kind", r.kindWords())
	advice := Sentence{}
	switch {
	case r.Verdict == ExceedsRating && r.Quantity == "airflow":
		f.Severity = Exceeds
		f.Text = said("{name} ({designator}){at}: {stress} of air are needed, it moves {rating}.")
		advice = Say("Choose a part rated for at least {wanted}.", wanted)
	case r.Verdict == ExceedsRating:
		f.Severity = Exceeds
		f.Text = said("{name} ({designator}): the {kind}{at} reaches {stress}, its rating is {rating}.", kind)
		advice = Say("Choose a part rated for at least {wanted}.", wanted)
	default:
		f.Severity = Caution
		f.Text = said("{name} ({designator}): the {kind}{at} reaches {stress} of the rated {rating}; the margin is {margin} where "+
			"{factor} is wanted.",
			kind, Fixed("margin", r.Margin, 2), Fixed("factor", r.RequiredFactor, 2))
		advice = Say("A part rated for {wanted} keeps the margin.", wanted)
	}
	if f.Advice.Empty() {
		f.Advice = advice
	}
	b.Find(f)
	return r
}

// findingID names the finding of a rating: stage, part, and what stresses it.
func (r Rating) findingID() string {
	what := r.Quantity
	if r.StressID != "" {
		what = r.StressID[strings.LastIndexByte(r.StressID, '.')+1:]
	}
	id := r.Stage + "." + r.Part + "." + what
	if r.Band != "" {
		id += "." + r.Band
	}
	return id
}

// kindWords is the kind of stress as a sentence says it.
func (r Rating) kindWords() string {
	if r.Quantity == "kva" {
		return "apparent power"
	}
	return r.Quantity
}

func capital(s string) string {
	for i, c := range s {
		return string(unicode.ToUpper(c)) + s[i+utf8.RuneLen(c):]
	}
	return s
}
