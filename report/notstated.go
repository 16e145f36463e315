package report

import (
	"fmt"
	"strings"

	"anodebook/compute/ledger"
)

// NotStated says what the verdict "not stated" means, and for each rating that
// has it what the part must bear, how to find out what it can, and where to
// write that. It is empty where no rating has it.
func (w *writer) NotStated() string {
	var rows []ledger.Rating
	for _, r := range w.Book.Ratings {
		if r.Verdict == ledger.NotStated {
			rows = append(rows, r)
		}
	}
	if len(rows) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString("*Not stated* means that the part is at hand, but the spec does not say what it can bear: " +
		"its column *rating* holds what it must bear at least, and nothing was proved. " +
		"Find the rating and write it into the spec before the part goes in. " +
		"A part whose rating cannot be found does not belong where high voltage or the whole RF current is.\n\n" +
		"| part | must bear | how to find its rating | key |\n|:--|--:|:--|:--|\n")
	for _, r := range rows {
		key := "none: compare it by hand"
		if r.Key != "" {
			key = "`" + r.Key + "`"
		}
		must := r.Stress * r.RequiredFactor
		fmt.Fprintf(&b, "| %s %s, %s | %s | %s | %s |\n", r.Part, r.Name, ratingWords(r.Quantity),
			w.trade(must, r.Unit), howToFind(r), key)
	}
	return b.String()
}

// ratingWords names a kind of rating as a builder reads it.
func ratingWords(kind string) string {
	if kind == "kva" {
		return "apparent power"
	}
	return kind
}

// howToFind says how the builder of a part at hand finds what it can bear.
// Common practice.
func howToFind(r ledger.Rating) string {
	letters := strings.TrimRight(strings.SplitN(r.Part, "-", 2)[0], "0123456789abH")
	is := func(designators ...string) bool {
		for _, d := range designators {
			if r.Part == d || letters == d {
				return true
			}
		}
		return false
	}
	const sheet = "by its type number in the maker's data sheet"
	switch r.Quantity {
	case "voltage":
		switch {
		case is("C1", "C2"):
			return "Printed on a vacuum capacitor. Of an air capacitor measure the gap between the plates and write it as `spacing`."
		case is("K", "S"):
			return "Read the body, then look it up " + sheet +
				". The figure for open contacts at radio frequency counts, not that for mains."
		case is("RFC"):
			return "Nothing is printed on it. Take the insulation of the wire and the gaps of the winding, " +
				"as its maker or your own winding sheet gives them."
		case is("R"):
			return "Look up the limiting voltage " + sheet + "; it follows the length of the body. Watts alone do not say it."
		}
		return "Read it on the body, or look it up " + sheet + ". No meter shows it: without marking replace the part."
	case "current":
		switch {
		case is("L", "RFC"):
			return "Measure the diameter of the conductor, and compare with the coil that is computed here."
		case is("C7"):
			return "Look up the ripple current " + sheet + "."
		case is("C"):
			return "Look up the RF current " + sheet + ", at the band named. A rating in volts says nothing about it."
		case is("T"):
			return "Read the name plate. Without one measure the diameter of the secondary's wire, load it, " +
				"and watch its temperature for an hour."
		}
		return "Read the body, then look it up " + sheet + ". A mains current is no RF current."
	case "kva":
		if is("T") {
			return "Read the name plate. Without one compare weight and core section with a transformer of known rating, " +
				"and measure its temperature after an hour of full load."
		}
		return "Look up the reactive power " + sheet + "."
	case "power":
		return "Read it on the body. Without marking compare length and diameter with a resistor of the same make whose rating is " +
			"known."
	case "energy":
		return "Look up the energy of a single pulse " + sheet + "; the watts printed on the body are not it."
	case "surge":
		return "Look up the surge rating " + sheet + "."
	case "airflow", "pressure":
		return "Look up the blower's curve " + sheet + ", or measure the pressure in the plenum with a water manometer."
	}
	return "Look it up " + sheet + "."
}
