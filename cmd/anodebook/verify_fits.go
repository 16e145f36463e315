package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"anodebook/compute/physics/tube"
	"anodebook/spec/quantity"
)

// fitParts say how far the static models can be trusted: every figure they were
// fitted to, what they predict unseen, and where they miss their aim and why.
func fitParts() ([]part, error) {
	table, err := fitTable()
	if err != nil {
		return nil, err
	}
	missed, err := missedTable()
	if err != nil {
		return nil, err
	}
	return []part{table, worstTable(), leftOutTable(), missed}, nil
}

// fitTable sets what the static models give beside every figure that they were
// fitted to and that is better than weakly known.
func fitTable() (part, error) {
	p := part{
		heading: "What the static tube models leave",
		text: []string{"One tube; figures read, or from memory and firm. A figure that sets the operating point is met by " +
			"construction and proves nothing."},
		header: []string{"type", "published column", "figure", "model", "published", "error", "how known", ""},
	}
	for _, t := range tube.All() {
		if t.Family != "" {
			p.rows = append(p.rows, []string{t.Name, "see " + t.Family})
			continue
		}
		if t.Kind == tube.NoModel {
			p.rows = append(p.rows, []string{t.Name, "no model: nothing published supports one"})
			continue
		}
		residuals, err := tube.Compare(t.Model, t.Columns, t.Idle)
		if err != nil {
			return p, fmt.Errorf("%s: %w", t.Name, err)
		}
		for _, r := range residuals {
			if r.Mark == tube.Weak {
				continue
			}
			note := ""
			if r.Pinned {
				note = "by construction"
			}
			unit := tube.ResidualUnit(r.Quantity)
			p.rows = append(p.rows, []string{t.Name, r.Column, r.Quantity, quantity.Format(r.Computed, unit, 4),
				quantity.Format(r.Published, unit, 3),
				percent(r.Error), string(r.Mark) + " " + r.Grade, note})
		}
	}
	return p, nil
}

func percent(x float64) string { return quantity.Signed(100*x, 1) + " %" }

// strict is the output at the published current into the published load.
const strict = "output into load"

// judged calls f with every firm, unpinned figure that a model is judged by,
// and with the strict output.
func judged(f func(t *tube.Type, r tube.Residual), of func(t *tube.Type) []tube.Residual) {
	for _, t := range tube.All() {
		if t.Family != "" {
			continue
		}
		for _, r := range of(t) {
			if _, ok := tube.Aim(r.Quantity); (ok || r.Quantity == strict) && r.Mark != tube.Weak && !r.Pinned {
				f(t, r)
			}
		}
	}
}

func fitErrors(t *tube.Type) []tube.Residual     { return t.Residuals }
func leftOutErrors(t *tube.Type) []tube.Residual { return t.LeftOut }

// grades are the classes of the worst errors: read or M1, M1-M2, M2.
var grades = [...]string{"read or M1", "M1-M2", "M2"}

func gradeOf(r tube.Residual) int {
	switch r.Grade {
	case "M1-M2":
		return 1
	case "M2":
		return 2
	}
	return 0
}

// worstTable gives the worst error of each quantity by how well it is known.
func worstTable() part {
	p := part{
		heading: "The worst errors of the static models",
		text: []string{"By how well a figure is known: read, or M1 (remembered alike from more than one printed place), M1-M2, M2 " +
			"(fair memory). Left out: the same figure predicted by a fit to the type's other columns.",
			"The output is taken at the published plate current and the swing of the published pair of output and load; into the " +
				"published load the error is about twice that, “output into load”, and has no aim: it shows the same contradiction of " +
				"plate current, output and load."},
		header: []string{"figure", "aim", "limit", grades[0], grades[1], grades[2], "left out"},
	}
	for _, q := range append([]string{strict}, tube.Quantities...) {
		worst := [4]float64{}
		name := [4]string{}
		note := func(i int, t *tube.Type, r tube.Residual) {
			if r.Quantity == q && math.Abs(r.Error) > math.Abs(worst[i]) {
				worst[i], name[i] = r.Error, t.Name+" "+r.Column
			}
		}
		judged(func(t *tube.Type, r tube.Residual) { note(gradeOf(r), t, r) }, fitErrors)
		judged(func(t *tube.Type, r tube.Residual) { note(3, t, r) }, leftOutErrors)
		row := []string{q, "—", "—"}
		if aim, ok := tube.Aim(q); ok {
			limit, _ := tube.Limit(q)
			row[1], row[2] = fmt.Sprintf("%.0f %%", 100*aim), fmt.Sprintf("%.1f %%", 100*limit)
		}
		for i := range worst {
			if name[i] == "" {
				row = append(row, "—")
				continue
			}
			row = append(row, fmt.Sprintf("%s (%s)", percent(worst[i]), name[i]))
		}
		p.rows = append(p.rows, row)
	}
	return p
}

// leftOutTable gives, per type, the worst errors for columns that the fit did
// not see beside those of the whole fit.
func leftOutTable() part {
	p := part{
		heading: "Columns left out and predicted by the others",
		text: []string{"Worst error of each figure over the type's columns: in the fit to all of them, and predicted by a fit " +
			"without the column and without the idle reading at its plate voltage. anodebook tubes TYPE shows each."},
		header: append([]string{"type", "columns", ""}, tube.Quantities...),
	}
	for _, t := range tube.All() {
		if t.Family != "" || len(t.LeftOut) == 0 {
			continue
		}
		for i, list := range [][]tube.Residual{t.Residuals, t.LeftOut} {
			row := []string{t.Name, fmt.Sprint(len(t.Columns)), []string{"fitted", "left out"}[i]}
			for _, q := range tube.Quantities {
				worst, any := 0.0, false
				for _, r := range list {
					if r.Quantity == q && r.Mark != tube.Weak && !r.Pinned {
						any = true
						if math.Abs(r.Error) > math.Abs(worst) {
							worst = r.Error
						}
					}
				}
				if any {
					row = append(row, percent(worst))
				} else {
					row = append(row, "—")
				}
			}
			p.rows = append(p.rows, row)
		}
	}
	var single []string
	for _, t := range tube.All() {
		if t.Family == "" && t.Kind != tube.NoModel && len(t.Columns) < 2 {
			single = append(single, t.Name)
		}
	}
	p.after = []string{"One column or none, so that nothing can be left out: " + strings.Join(single, ", ") + "."}
	return p
}

// missedTable lists the figures beyond their aim, with the reason.
func missedTable() (part, error) {
	p := part{
		heading: "Where a model misses its aim, and why",
		header:  []string{"type", "published column", "figure", "error", "aim", "grade", "why"},
	}
	var failed error
	judged(func(t *tube.Type, r tube.Residual) {
		aim, ok := tube.Aim(r.Quantity)
		if !ok || math.Abs(r.Error) <= aim {
			return
		}
		why, err := whyMissed(t, r)
		if err != nil {
			failed = err
		}
		p.rows = append(p.rows, []string{t.Name, r.Column, r.Quantity, percent(r.Error), fmt.Sprintf("%.0f %%", 100*aim), r.Grade, why})
	}, fitErrors)
	if len(p.rows) == 0 {
		p.text = []string{"None."}
	}
	return p, failed
}

// whyMissed names the contradiction: within the row for an output, between the
// columns for anything else.
func whyMissed(t *tube.Type, r tube.Residual) (string, error) {
	columns := t.ColumnsEach()
	i := slices.IndexFunc(columns, func(c tube.Column) bool { return c.Name == r.Column })
	var words []string
	if r.Quantity == "output" && i >= 0 {
		if published, ok := columns[i].FundamentalRatio(); ok {
			// output and load each carry half of the contradiction
			words = append(words,
				fmt.Sprintf("plate current, output and load imply a fundamental of %.3f times the mean; the pulse of this law has "+
					"%.3f there", published, published*(1+r.Error)))
			for k, c := range columns {
				if x, ok := c.FundamentalRatio(); ok && k != i {
					words = append(words, fmt.Sprintf("the column %s implies %.3f", c.Name, x))
				}
			}
		}
	}
	if i >= 0 && r.Quantity == "grid current" {
		for k, c := range columns {
			other, ok := find(t.Residuals, c.Name, r.Quantity)
			if k == i || !ok || other.Mark == tube.Weak {
				continue
			}
			words = append(words,
				fmt.Sprintf("against the column %s the published grid current is %.2f times for %.2f times the plate current, in the "+
					"model %.2f times; the error there is %s",
					c.Name, r.Published/other.Published, columns[i].PlateCurrent.Value/c.PlateCurrent.Value, r.Computed/other.Computed,
					percent(other.Error)))
		}
	}
	if len(words) == 0 {
		for _, o := range t.Residuals {
			if o.Quantity == r.Quantity && o.Column != r.Column && o.Mark != tube.Weak && o.Error*r.Error < 0 {
				words = append(words, fmt.Sprintf("%s pulls the other way (%s)", o.Column, percent(o.Error)))
			}
		}
	}
	if len(words) == 0 {
		return "", fmt.Errorf("%s %s %s: beyond its aim for no reason that the columns show", t.Name, r.Column, r.Quantity)
	}
	return strings.Join(words, "; "), nil
}

func find(list []tube.Residual, column, quantity string) (tube.Residual, bool) {
	for _, r := range list {
		if r.Column == column && r.Quantity == quantity {
			return r, true
		}
	}
	return tube.Residual{}, false
}
