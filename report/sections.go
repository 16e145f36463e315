package report

import (
	"fmt"
	"math"
	"strings"

	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/report/page"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// Heading is the title of the notebook, escaped.
func (w *writer) Heading() string { return escapePlain(title(w.Design)) }

// Subtitle is the line below the title.
func (w *writer) Subtitle() string {
	n := w.Spec.Notebook
	kind := map[string]string{"plan": "A plan", "restoration": "A restoration", "review": "A review"}[n.Purpose.Value]
	out := fmt.Sprintf("%s: %s %s, %s at the antenna connector", kind, countWord(w.Spec.Tubes.Count.N), w.Type.Name,
		w.Book.Get("antenna.output_power").Text())
	for _, t := range []spec.Text{n.Builder, n.Place, n.Date} {
		if t.Value != "" {
			out += "; " + escapePlain(t.Value)
		}
	}
	return out
}

// VerdictWords says in one paragraph what the notebook thinks of the design.
func (w *writer) VerdictWords() string {
	count := map[ledger.Severity]int{}
	for _, f := range w.Book.Findings {
		count[f.Severity]++
	}
	verdicts := map[ledger.Verdict]int{}
	for _, r := range w.Book.Ratings {
		verdicts[r.Verdict]++
	}
	var s string
	switch {
	case count[ledger.Exceeds] > 0:
		s = fmt.Sprintf("**Not as it stands.** %s a rating or a limit; each is listed below with what to do about it.",
			plural(count[ledger.Exceeds], "stress exceeds", "stresses exceed"))
	case count[ledger.Caution] > 0:
		s = fmt.Sprintf("**It can be built, with care.** Nothing exceeds a rating or a limit; %s attention.",
			plural(count[ledger.Caution], "point wants", "points want"))
	default:
		s = "**It can be built.** Nothing exceeds a rating or a limit, and every margin that could be judged is kept."
	}
	if n := verdicts[ledger.ToBuy]; n > 0 {
		s += fmt.Sprintf(" %s still to buy: the parts list says what to ask for.",
			plural(n, "rating is that of a part", "ratings are those of parts"))
	}
	if n := verdicts[ledger.NotStated]; n > 0 {
		s += fmt.Sprintf(" %s not stated, so nothing was held against %s: under [Margins](#margins) stands what the part must bear "+
			"and how to find out.",
			plural(n, "rating of a part at hand is", "ratings of parts at hand are"),
			map[bool]string{true: "it", false: "them"}[n == 1])
	}
	return s
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "One " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// VerdictList lists what exceeds and what wants attention, with links to the
// sections.
func (w *writer) VerdictList() string {
	var b strings.Builder
	for _, f := range w.set.Findings() {
		if f.Severity == ledger.Note {
			continue
		}
		where := ""
		if h, ok := sectionOf[f.Stage]; ok {
			where = fmt.Sprintf(" ([%s](#%s))", lower(h), page.Slug(h))
		}
		fmt.Fprintf(&b, "- **%s.** %s%s\n", capital(string(f.Severity)), bandWords(f.Text), where)
	}
	return b.String()
}

// sectionOf is the heading of the section that a stage's findings belong to.
var sectionOf = map[string]string{
	"tubes": "Tubes", "antenna": "Exposure", "bias": "Bias", "input": "Input network", "filament": "Filament",
	"plate_feed": "Plate feed",
	"suppressor": "Parasitic suppressors", "tank": "Tank", "switching": "Transmit-receive switching", "supply": "High-voltage supply",
	"metering": "Metering and protection", "protection": "Metering and protection", "cooling": "Cooling", "exposure": "Exposure",
	"clearance": "Clearance and creepage", "measured": "Measured parts", "readings": "Readings", "survey": "Survey",
	"bring_up": "Bring-up", "tune_up": "Tune-up",
}

// WarmUpWords names the warm-up time.
func (w *writer) WarmUpWords() string {
	if f := w.Type.Heater.WarmUp; f.Known && f.Value > 0 {
		return quantity.Format(f.Value, "s", 3) + " of warm-up"
	}
	return "a minute of warm-up"
}

// HandTable is the 13-point analysis of one tube.
func (w *writer) HandTable() string {
	h := w.Operating.Hand
	var b strings.Builder
	b.WriteString("| angle | grid to cathode | plate to cathode | plate current | grid current |\n|--:|--:|--:|--:|--:|\n")
	for i := range h.Angle {
		fmt.Fprintf(&b, "| %.0f° | %s | %s | %s | %s |\n", h.Angle[i]*180/math.Pi, show(h.GridVoltage[i], "V"),
			show(h.PlateVoltage[i], "V"), milli(h.PlateCurrent[i]), milli(h.GridCurrent[i]))
	}
	p := h.Point
	b.WriteString("\n| of one tube | by hand | numerically |\n|:--|--:|--:|\n")
	for _, r := range []struct {
		name        string
		hand, exact float64
		unit        string
	}{
		{"plate current", h.Plate.Mean, p.PlateCurrent(), "A"},
		{"fundamental plate current, peak", h.Plate.First, p.Plate[1], "A"},
		{"second harmonic of the plate current, peak", h.Plate.Second, p.Plate[2], "A"},
		{"grid current", h.Grid.Mean, p.GridCurrent(), "A"},
		{"output", h.Output, p.Output, "W"},
		{"drive power", h.DrivePower, p.DrivePower, "W"},
		{"plate load", h.PlateLoad, p.PlateLoad, "Ω"},
		{"input resistance", h.InputResistance, p.InputResistance, "Ω"},
	} {
		fmt.Fprintf(&b, "| %s | %s | %s |\n", r.name, quantity.Format(r.hand, r.unit, 4), quantity.Format(r.exact, r.unit, 4))
	}
	return b.String()
}

func show(v float64, unit string) string { return quantity.Format(v, unit, 3) }

// milli writes a current in mA, which is how the ordinates are read off.
func milli(v float64) string {
	if math.Abs(v) < 5e-5 {
		return "0"
	}
	return fmt.Sprintf("%.0f mA", v*1e3)
}

// ResidualTable holds the model against the published columns of the type.
func (w *writer) ResidualTable() string {
	var b strings.Builder
	b.WriteString("| column | quantity | published | model | error | how known |\n|:--|:--|--:|--:|--:|:--|\n")
	n := 0
	for _, r := range w.Type.Residuals {
		if r.Pinned {
			continue
		}
		n++
		u := tube.ResidualUnit(r.Quantity)
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s %% | %s |\n", r.Column, r.Quantity, quantity.Format(r.Published, u, 3),
			quantity.Format(r.Computed, u, 3), quantity.Signed(100*r.Error, 1), r.Mark)
	}
	if n == 0 {
		return "Nothing published is left to hold the model against: it is an estimate."
	}
	return b.String()
}

// BiasTable lists what is known about the bias.
func (w *writer) BiasTable() (string, error) {
	ids := []string{"tubes.bias_voltage", "tubes.plate_voltage_idle", "tubes.idle_current", "tubes.idle_share",
		"tubes.idle_dissipation_each"}
	for _, q := range w.Book.Quantities() {
		if q.Stage() == "bias" && q.From == ledger.FromComputed {
			ids = append(ids, q.ID)
		}
	}
	return w.table(ids...)
}

// CheckTable lists the reference checks that touch the design.
func (w *writer) CheckTable() string {
	var b strings.Builder
	b.WriteString("| check | computed | published | within | how known | source |\n|:--|--:|--:|--:|:--|:--|\n")
	for _, c := range w.Checks() {
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s |\n", c.What, c.ComputedText(), c.PublishedText(), c.ToleranceText(), c.Known,
			c.Source)
	}
	return b.String()
}

// SequenceTable lists the steps of keying and unkeying with their times.
func (w *writer) SequenceTable() string {
	var b strings.Builder
	b.WriteString("| time | on the way to | what happens |\n|--:|:--|:--|\n")
	for _, e := range w.Switching.Sequence {
		way := "receive"
		if e.Transmit {
			way = "transmit"
		}
		fmt.Fprintf(&b, "| %s | %s | %s |\n", quantity.Format(e.Time, "s", 3), way, e.What)
	}
	return b.String()
}
