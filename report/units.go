package report

import (
	"anodebook/compute/ledger"
	"anodebook/report/setting"
)

// text writes a quantity for the prose and the tables in the unit that the
// trade reads off its instruments, with the builder's choice of lengths.
// Derivations and results.json stay in SI.
func (w *writer) text(q *ledger.Quantity) string { return w.set.Quantity(q, 0) }

// trade writes an SI value in the unit of the trade.
func (w *writer) trade(si float64, unit string) string {
	return setting.Trade(si, unit, 3, w.Spec.Notebook.Lengths.Value == "inch")
}
