package report

import (
	"fmt"
	"strings"

	"anodebook/compute"
	"anodebook/compute/ledger"
)

// sum is what the priced parts cost, in the builder's own currency.
type sum struct {
	all, toBuy       float64
	priced, unpriced int // rows of the parts list
}

// priceOf is what all pieces of a row cost; 0 where nobody said.
func priceOf(p ledger.Part) float64 { return p.Price * float64(p.Count) }

func addUp(d *compute.Design) sum {
	var s sum
	for _, p := range d.Book.Parts {
		if p.Price == 0 {
			s.unpriced++
			continue
		}
		s.priced++
		s.all += priceOf(p)
		if !p.Given {
			s.toBuy += priceOf(p)
		}
	}
	return s
}

// currency is the builder's word for money with a space before it, or nothing.
func currency(d *compute.Design) string {
	if c := strings.TrimSpace(d.Spec.Notebook.Currency.Value); c != "" {
		return " " + c
	}
	return ""
}

// PriceWords says what the priced parts come to; nothing where no part has a
// price.
func (w *writer) PriceWords() string {
	s, in := addUp(w.Design), escapePlain(currency(w.Design))
	if s.priced == 0 {
		return ""
	}
	if in != "" {
		in = "\u00a0" + in
	}
	out := fmt.Sprintf("**The priced parts come to %.2f%s**", s.all, in)
	switch {
	case s.toBuy == s.all:
		out += ", all of it still to be spent"
	case s.toBuy > 0:
		out += fmt.Sprintf(", of which %.2f%s is still to be spent", s.toBuy, in)
	default:
		out += ", all of them at hand"
	}
	switch s.unpriced {
	case 0:
		return out + "."
	case 1:
		return out + ". One row has no price under `[prices]` and is not in the sum."
	}
	return out + fmt.Sprintf(". %d rows have no price under `[prices]` and are not in the sum.", s.unpriced)
}
