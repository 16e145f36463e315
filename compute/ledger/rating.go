package ledger

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"anodebook/spec/quantity"
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
	StressID       string // quantity that holds the stress; may be empty
	Why            string // what the stress is, in words
	Advice         string // what to do where it exceeds
	Key            string // spec key that states the rating; empty: none does
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
	at := ""
	if r.Band != "" {
		at = " on " + r.Band
	}
	unit := r.Unit
	if unit == "m³/s" { // nobody reads a blower in it
		unit = "m³/h"
	}
	stress, rating := quantity.Format(r.Stress, unit, 3), quantity.Format(r.Rating, unit, 3)
	for digits := 4; stress == rating && r.Stress != r.Rating && digits < 10; digits++ { // "1000 V" does not exceed "1000 V"
		stress, rating = quantity.Format(r.Stress, unit, digits), quantity.Format(r.Rating, unit, digits)
	}
	if r.Verdict == ExceedsRating && r.Quantity == "airflow" {
		f.Severity = Exceeds
		f.Text = fmt.Sprintf("%s (%s)%s: %s of air are needed, it moves %s.", capital(r.Name), r.Part, at, stress, rating)
	} else if r.Verdict == ExceedsRating {
		f.Severity = Exceeds
		f.Text = fmt.Sprintf("%s (%s): the %s%s reaches %s, its rating is %s.", capital(r.Name), r.Part, r.kindWords(), at, stress, rating)
	}
	if r.Verdict == ExceedsRating {
		if f.Advice == "" {
			f.Advice = fmt.Sprintf("Choose a part rated for at least %s.", quantity.Format(r.Stress*r.RequiredFactor, r.Unit, 3))
		}
	} else {
		f.Severity = Caution
		f.Text = fmt.Sprintf("%s (%s): the %s%s reaches %s of the rated %s; the margin is %.2f where %.2f is wanted.", capital(r.Name), r.Part, r.kindWords(), at, stress, rating, r.Margin, r.RequiredFactor)
		if f.Advice == "" {
			f.Advice = fmt.Sprintf("A part rated for %s keeps the margin.", quantity.Format(r.Stress*r.RequiredFactor, r.Unit, 3))
		}
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
