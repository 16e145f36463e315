package report

import (
	"anodebook/compute/ledger"
	"anodebook/spec/quantity"
)

// text writes a quantity for the prose and the tables in the unit that the
// trade reads off its instruments, with the builder's choice of lengths.
// Derivations and results.json stay in SI.
func (w *writer) text(q *ledger.Quantity) string {
	if q.Least && w.Spec.Notebook.Lengths.Value == "inch" && q.Unit == "m" {
		unit := "in"
		if q.Value >= 1 {
			unit = "ft"
		}
		return quantity.Format(quantity.RoundUp(q.Value, unit, 3), unit, 3)
	}
	return w.trade(q.Value, q.Unit, q.Text())
}

// trade writes an SI value in a trade unit, or returns the text as it is.
func (w *writer) trade(si float64, unit, text string) string {
	inch := w.Spec.Notebook.Lengths.Value == "inch"
	in := func(metric, imperial string) string {
		if inch {
			return quantity.Format(si, imperial, 3)
		}
		return quantity.Format(si, metric, 3)
	}
	switch unit {
	case "m³/s":
		return in("m³/h", "CFM")
	case "Pa":
		if inch {
			return quantity.Format(si, "inH2O", 2)
		}
	case "m":
		switch {
		case inch && si < 1:
			return quantity.Format(si, "in", 3)
		case inch:
			return quantity.Format(si, "ft", 3)
		}
	}
	return text
}
