package operating

import (
	"math"
	"strings"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
)

// ownMisfit is the error of a figure of the builder's own beyond which its
// column is called doubtful [1]: no catalogue type misses a firm figure by more.
const ownMisfit = 0.17

// ownModel says what the model of the builder's own tube rests on, and returns
// where its parameters come from.
func (r *Result) ownModel(d *desk.Desk) string {
	t := r.Type
	var open []string
	for _, p := range t.Parameters {
		if p.Share < 0.25 {
			open = append(open, p.Name)
		}
	}
	left := ledger.Sentence{}
	if len(open) > 0 {
		left = ledger.Say(" They do not fix {join}, for which usual values stand in.",
			ledger.Called("join", strings.Join(open, " and ")))
	}
	before := "Before full output compare plate and grid current with this notebook at a quarter and at half of the drive; stop where " +
		"they part."
	how := "fitted here, by weighted least squares, to the builder's own columns of the " + t.Name
	switch {
	case len(t.Columns) == 0:
		how = "estimate for the " + t.Name + " from the builder's amplification factor and idle reading"
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.model.estimate", Stage: "tubes",
			Text: ledger.Say("The static model of the {t} rests on its amplification factor and an idle reading alone: it says little "+
				"about grid current and drive, and every figure may be off by a quarter.",
				ledger.Called("t", t.Name)), Advice: ledger.Say("{before} Add the readings as a column under [tubes.custom.column].",
				ledger.Called("before", before))})
	case t.Kind == tube.Estimate:
		how = "estimate for the " + t.Name +
			" from the builder's amplification factor and a single column, by least squares with usual values for the rest"
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.model.estimate", Stage: "tubes",
			Text: ledger.Say("The static model of the {t} rests on its amplification factor and a single column.{left} Away from that "+
				"column figures may be off by a quarter.", ledger.Called("t", t.Name),
				ledger.In("left", left)), Advice: ledger.Say("{before} Add them as a second column under [tubes.custom.column].",
				ledger.Called("before", before))})
	default:
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.model.own", Stage: "tubes",
			Text: ledger.Say("The static model of the {t} is fitted to {columns} columns of the builder's own, which nobody else has "+
				"checked.{left}", ledger.Called("t", t.Name), ledger.Int("columns", len(t.Columns)),
				ledger.In("left", left)), Advice: ledger.Literal(before)})
	}
	worst := tube.Residual{}
	for _, x := range t.Residuals {
		// the load and the output into it tell the same as the output, twice
		if !x.Pinned && x.Quantity != "drive power" && x.Quantity != "plate load" && x.Quantity != "output into load" &&
			math.Abs(x.Error) > math.Abs(worst.Error) {
			worst = x
		}
	}
	if math.Abs(worst.Error) > ownMisfit {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.model.misfit", Stage: "tubes",
			Text: ledger.Say("The model misses the {quantity} of “{column}” by {error} %: {published} in the spec, {computed} "+
				"computed. The figures contradict each other, or one is misread.", ledger.Called("quantity", worst.Quantity),
				ledger.Called("column", worst.Column), ledger.Fixed("error", 100*math.Abs(worst.Error), 0),
				ledger.Of("published", worst.Published, tube.ResidualUnit(worst.Quantity)),
				ledger.Of("computed", worst.Computed, tube.ResidualUnit(worst.Quantity))),
			Advice: ledger.Say("Check that every figure is for one tube and that plate current, load and output belong together; " +
				"leave out what is doubtful.")})
	}
	return how
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
