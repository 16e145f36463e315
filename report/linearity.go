package report

import (
	"fmt"
	"strings"

	"anodebook/compute"
	"anodebook/compute/stage/operating"
	"anodebook/report/figure"
	"anodebook/spec/quantity"
)

// decibels writes a level for a table, with a true minus sign.
func decibels(v float64) string {
	return strings.Replace(quantity.Fixed(v, 1)+"\u00a0dB", "-", "−", 1)
}

// BiasStudy lists the distortion against the idle current.
func (w *writer) BiasStudy() string {
	rows := w.BiasRows()
	if len(rows) == 0 {
		return "No other bias reaches the output wanted."
	}
	var b strings.Builder
	b.WriteString("| bias | idle, all tubes | idle heat, each | drive | 3rd order | 5th | 7th | 3rd, worst of −10 to 0 dB " +
		"|\n|--:|--:|--:|--:|--:|--:|--:|--:|\n")
	for _, r := range rows {
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s | %s | %s |\n", show(r.Bias, "V"), show(r.IdleCurrent, "A"),
			show(r.IdleDissipationEach, "W"), show(r.DrivePower, "W"),
			decibels(r.Products.Order3), decibels(r.Products.Order5), decibels(r.Products.Order7), decibels(r.Worst3))
	}
	best := operating.Cleanest(rows)
	fmt.Fprintf(&b,
		"\nOver all these drives the third-order product stays lowest, at most %s, with %s of idle current (bias %s, %s of idle heat "+
			"in "+
			"each tube). At full drive alone less idle current can look cleaner, because the curvature near cut-off and the "+
			"compression at "+
			"the crest then cancel; speech does not stay at full drive.",
		decibels(best.Worst3), show(best.IdleCurrent, "A"), show(best.Bias, "V"), show(best.IdleDissipationEach, "W"))
	if q := w.Spec.Target.Distortion; q.Given {
		if row, ok := operating.LeastIdle(rows, q.SI); ok {
			fmt.Fprintf(&b, " The %s wanted (`target.distortion`) need no more than %s of idle current, a bias of %s.", decibels(q.SI),
				show(row.IdleCurrent, "A"), show(row.Bias, "V"))
		} else {
			fmt.Fprintf(&b,
				" The %s wanted (`target.distortion`) are not reached with any of these: ask for less output or a lighter load.",
				decibels(q.SI))
		}
	}
	return b.String()
}

// DriveStudy lists output, compression and distortion against the drive.
func (w *writer) DriveStudy() string {
	var b strings.Builder
	b.WriteString("| drive | output of the plates | gain, against the lowest drive | 3rd order | 5th | 7th " +
		"|\n|--:|--:|--:|--:|--:|--:|\n")
	for _, r := range w.Operating.DriveRows() {
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s |\n", decibels(r.Level), show(r.Output, "W"), decibels(r.Compression),
			decibels(r.Products.Order3), decibels(r.Products.Order5), decibels(r.Products.Order7))
	}
	return b.String()
}

// DistortionTable sets published two-tone figures beside computed ones.
func (w *writer) DistortionTable() string {
	rows := w.Operating.PublishedDistortion()
	if len(rows) == 0 {
		return "No third-order figure with its load is published for this type, so nothing here can be held against one."
	}
	var b strings.Builder
	b.WriteString("| column | published | cathode voltage held | matched source | how known |\n|:--|--:|--:|--:|:--|\n")
	worst := 0.0
	for _, r := range rows {
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s |\n", r.Column, decibels(r.Published), decibels(r.Held), decibels(r.Matched), r.Mark)
		worst = max(worst, abs(r.Matched-r.Published))
	}
	fmt.Fprintf(&b,
		"\nPublished and computed differ by up to %.0f dB: a static curve fitted to currents and power does not fix its small "+
			"curvatures, and the maker's test bench had a source, a supply and a load of its own. Take the figures for comparing bias "+
			"and "+
			"drive, not for a promise.", worst)
	return b.String()
}

func abs(x float64) float64 { return max(x, -x) }

// distortionFigure is the two-tone distortion against the idle current.
func distortionFigure(d *compute.Design) (figure.Chart, error) {
	rows := d.BiasRows()
	c := figure.Chart{
		Title:       "Two-tone distortion and idle current",
		Description: "Third, fifth and seventh order products below one tone against the idle current of all tubes, the output held.",
		X:           figure.Axis{Label: "Idle current, all tubes", Unit: "A"},
		Y:           figure.Axis{Label: "Below one tone", Unit: "dB"},
	}
	lines := [3]figure.Line{{Name: "3rd order"}, {Name: "5th"}, {Name: "7th"}}
	for _, r := range rows {
		for i, v := range [3]float64{r.Products.Order3, r.Products.Order5, r.Products.Order7} {
			lines[i].X = append(lines[i].X, r.IdleCurrent)
			lines[i].Y = append(lines[i].Y, max(v, -80))
		}
	}
	if len(rows) > 1 {
		best := operating.Cleanest(rows)
		c.Description += fmt.Sprintf(" Over drives from a tenth to full the third order stays lowest, at most %s, at %s.",
			decibels(best.Worst3), quantity.Format(best.IdleCurrent, "A", 3))
		worst := figure.Line{Name: "3rd, worst drive"}
		for _, r := range rows {
			worst.X, worst.Y = append(worst.X, r.IdleCurrent), append(worst.Y, r.Worst3)
		}
		c.Lines = append(lines[:], worst)
	}
	c.Points = []figure.Points{{Name: "this design", X: []float64{d.Book.Get("tubes.idle_current").Value},
		Y: []float64{d.Book.Get("tubes.imd3").Value}, Style: figure.Fifth}}
	return c, nil
}
