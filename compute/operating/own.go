package operating

import (
	"fmt"
	"math"
	"strings"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/tube"
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
	left := ""
	if len(open) > 0 {
		left = fmt.Sprintf(" They do not fix %s, for which usual values stand in.", strings.Join(open, " and "))
	}
	before := "Before full output compare plate and grid current with this notebook at a quarter and at half of the drive; stop where they part."
	how := "fitted here, by weighted least squares, to the builder's own columns of the " + t.Name
	switch {
	case len(t.Columns) == 0:
		how = "estimate for the " + t.Name + " from the builder's amplification factor and idle reading"
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.model.estimate", Stage: "tubes",
			Text: fmt.Sprintf("The static model of the %s rests on its amplification factor and an idle reading alone: it says little about grid current and drive, and every figure may be off by a quarter.", t.Name), Advice: before + " Add the readings as a column under [tubes.custom.column]."})
	case t.Kind == tube.Estimate:
		how = "estimate for the " + t.Name + " from the builder's amplification factor and a single column, by least squares with usual values for the rest"
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.model.estimate", Stage: "tubes",
			Text: fmt.Sprintf("The static model of the %s rests on its amplification factor and a single column.%s Away from that column figures may be off by a quarter.", t.Name, left), Advice: before + " Add them as a second column under [tubes.custom.column]."})
	default:
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.model.own", Stage: "tubes",
			Text: fmt.Sprintf("The static model of the %s is fitted to %d columns of the builder's own, which nobody else has checked.%s", t.Name, len(t.Columns), left), Advice: before})
	}
	worst := tube.Residual{}
	for _, x := range t.Residuals {
		// the load and the output into it tell the same as the output, twice
		if !x.Pinned && x.Quantity != "drive power" && x.Quantity != "plate load" && x.Quantity != "output into load" && math.Abs(x.Error) > math.Abs(worst.Error) {
			worst = x
		}
	}
	if math.Abs(worst.Error) > ownMisfit {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.model.misfit", Stage: "tubes",
			Text: fmt.Sprintf("The model misses the %s of “%s” by %.0f %%: %s in the spec, %s computed. The figures contradict each other, or one is misread.",
				worst.Quantity, worst.Column, 100*math.Abs(worst.Error), desk.Show(worst.Published, tube.ResidualUnit(worst.Quantity)), desk.Show(worst.Computed, tube.ResidualUnit(worst.Quantity))),
			Advice: "Check that every figure is for one tube and that plate current, load and output belong together; leave out what is doubtful."})
	}
	return how
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
