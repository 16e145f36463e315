package report

import (
	"fmt"
	"strings"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/spec/quantity"
)

// ReadingTable sets the measured values of a group beside the computed ones.
func (w *writer) ReadingTable(g compute.ReadingGroup) string {
	var b strings.Builder
	b.WriteString("| reading | of | measured | error | computed | deviation | how |\n|:--|:--|--:|--:|--:|--:|:--|\n")
	for i := range g.Readings {
		r := &g.Readings[i]
		within := ""
		if !r.Within() {
			within = "**"
		}
		stated := ""
		if !r.Stated {
			stated = " (taken)"
		}
		var how []string
		for _, t := range []string{r.Spec.How.Value, r.Spec.Conditions.Value, r.Spec.When.Value} {
			if strings.TrimSpace(t) != "" {
				how = append(how, escapePlain(strings.TrimSpace(t)))
			}
		}
		fmt.Fprintf(&b, "| %s | %s | %s | ±%s%s | %s | %s%s%s | %s |\n", escapePlain(r.Name), bandWords(capital(r.Quantity.Name)),
			w.trade(r.Value, r.Quantity.Unit), percent(r.Error), stated,
			w.link(r.Quantity, w.text(r.Quantity)), within, signed(r.Deviation()), within, strings.Join(how, "; "))
	}
	return b.String()
}

func percent(x float64) string { return strings.TrimSuffix(quantity.Fixed(100*x, 1), ".0") + " %" }

func signed(x float64) string {
	return strings.Replace(quantity.Signed(100*x, 1)+" %", "-", "−", 1)
}

// BeforeAfterTable sets readings of the same quantity before and after the
// restoration side by side; empty where there are not both. A short form shows
// only what was beyond the error of its instrument before.
func (w *writer) BeforeAfterTable() string {
	var before, after *compute.ReadingGroup
	for i := range w.Readings {
		switch g := &w.Readings[i]; g.Taken {
		case "before":
			before = g
		case "after":
			after = g
		}
	}
	if before == nil || after == nil {
		return ""
	}
	var b strings.Builder
	for _, x := range before.Readings {
		for _, y := range after.Readings {
			if x.ID == y.ID && !(w.short && x.Within()) {
				u := x.Quantity.Unit
				fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", bandWords(capital(x.Quantity.Name)), w.trade(x.Value, u),
					w.trade(y.Value, u), w.link(x.Quantity, w.text(x.Quantity)))
			}
		}
	}
	if b.Len() == 0 {
		return ""
	}
	return "| | before | after | computed |\n|:--|--:|--:|--:|\n" + b.String()
}

// CauseTable ranks the faults that could explain a group of readings.
func (w *writer) CauseTable(g compute.ReadingGroup) string {
	var b strings.Builder
	b.WriteString("| cause | fitted size | left over, on the whole | left over, the worst | |\n|:--|:--|--:|--:|:--|\n")
	fmt.Fprintf(&b, "| no fault | | %.1f | %.1f | |\n", g.NoFault, g.Farthest)
	for _, c := range g.Candidates {
		remark := ""
		if c.Alike {
			remark = "fits best, or as well as the best"
		}
		fmt.Fprintf(&b, "| %s | %s | %.1f | %.1f | %s |\n", c.Words, c.Size, c.Misfit, c.Worst, remark)
	}
	return b.String()
}

// PredictedTable sets the readings beside what they would be with the best
// causes in place.
func (w *writer) PredictedTable(g compute.ReadingGroup) string {
	if len(g.Candidates) == 0 {
		return ""
	}
	best := g.Alike()
	if len(best) > 3 {
		best = best[:3]
	}
	var b strings.Builder
	b.WriteString("| | measured | no fault |")
	rule := "|:--|--:|--:|"
	for _, c := range best {
		fmt.Fprintf(&b, " %s |", c.Words)
		rule += "--:|"
	}
	b.WriteString("\n" + rule + "\n")
	for i, m := range g.Fitted {
		q := w.Book.Get(m.ID)
		fmt.Fprintf(&b, "| %s | %s | %s |", bandWords(capital(q.Name)), quantity.Format(m.Value, q.Unit, 3), w.link(q, w.text(q)))
		for _, c := range best {
			fmt.Fprintf(&b, " %s |", quantity.Format(c.Predicted[i], q.Unit, 3))
		}
		b.WriteString("\n")
	}
	return b.String()
}

// TellApartWords says what to measure next where several causes fit alike.
func (w *writer) TellApartWords(g compute.ReadingGroup) string {
	alike := g.Alike()
	switch {
	case len(alike) < 2:
		return ""
	case g.Next == "":
		return fmt.Sprintf("The first %s cannot be told apart by these readings, nor by another that the model knows: prove each by "+
			"hand, the first one first.", countOf(len(alike)))
	}
	q := w.Book.Get(g.Next)
	return fmt.Sprintf("The first %s cannot be told apart by these readings. Measure next: %s (`%s`); it differs most between them.",
		countOf(len(alike)), lower(q.Name), q.ID)
}

func countOf(n int) string {
	if n <= 4 {
		return countWord(n)
	}
	return fmt.Sprint(n)
}

// SurveyTable lists what was found of each group of parts.
func (w *writer) SurveyTable() string {
	var b strings.Builder
	b.WriteString("| what | condition | found | work | cost | verdict |\n|:--|:--|:--|:--|--:|:--|\n")
	for _, e := range w.Survey.Entries {
		condition := e.Condition.Value
		if condition == "unobtainable" || condition == "unknown" {
			condition = "**" + condition + "**"
		}
		cost := "—"
		if e.Cost.Given {
			cost = money(e.Cost.Value)
		}
		work := escapePlain(e.Work.Value)
		if e.Finished() {
			work = strings.TrimSpace(work + " (done)")
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s |\n", surveyName(e.Group.Value), condition, escapePlain(e.Found.Value), work,
			cost, escapePlain(e.Verdict.Value))
	}
	fmt.Fprintf(&b, "| **all of it** | | | | **%s** | |\n", money(w.Survey.Work))
	return b.String()
}

func surveyName(g string) string {
	if g == "whole" {
		return "the amplifier as bought"
	}
	return g
}

// money writes a sum in the builder's own currency, cents only where there
// are any.
func money(v float64) string { return strings.TrimSuffix(fmt.Sprintf("%.2f", v), ".00") }

// SurveyCostWords adds up what the survey and the priced parts cost.
func (w *writer) SurveyCostWords() string {
	s := &w.Survey
	out := fmt.Sprintf("The survey's own costs add up to %s", money(s.Work))
	if s.Parts > 0 {
		out += fmt.Sprintf(", the parts priced under `[prices]` to %s: **%s in all**", money(s.Parts), money(s.Total()))
	}
	if in := currency(w.Design); in != "" {
		out += ", in " + escapePlain(in) + "."
	} else {
		out += ", in the builder's own currency."
	}
	var unpriced []string
	for _, e := range s.Entries {
		if c := e.Condition.Value; !e.Cost.Given && c != "good" && c != "usable" && !e.Finished() {
			unpriced = append(unpriced, e.Group.Value)
		}
	}
	if len(unpriced) > 0 {
		out += fmt.Sprintf(" No cost stands beside %s: the sum is too low unless the priced parts cover it.", groupList(unpriced))
	}
	return out
}

// SurveyVerdict weighs a used amplifier in one paragraph.
func (w *writer) SurveyVerdict() string {
	s := &w.Survey
	gone, unknown, repair := s.In("unobtainable"), s.In("unknown"), s.In("repairable")
	var b strings.Builder
	exceeding := 0
	for _, f := range w.Book.Findings {
		if f.Severity == ledger.Exceeds {
			exceeding++
		}
	}
	switch {
	case len(gone) > 0:
		fmt.Fprintf(&b,
			"**Not without a plan for what cannot be had.** %s cannot be replaced as found: unless another part is designed in, this "+
				"is a source of parts and not an amplifier.", capital(groupList(gone)))
	case len(unknown)+len(s.Missing) > 0:
		fmt.Fprintf(&b, "**Not before the rest is looked at.** Nobody knows the state of %s.", groupList(append(unknown, s.Missing...)))
	case len(repair) > 0:
		fmt.Fprintf(&b, "**Worth it if the price leaves room for the work.** To be repaired before it is switched on: %s.",
			groupList(repair))
	case w.Spec.Notebook.Purpose.Value == "restoration":
		b.WriteString("**Restored, so far as it was looked at.** Nothing surveyed still needs repair or cannot be had.")
	default:
		b.WriteString("**Sound, so far as it was looked at.** Nothing surveyed needs repair or cannot be had.")
	}
	if len(gone) > 0 && len(unknown)+len(s.Missing) > 0 {
		fmt.Fprintf(&b, " Nobody knows the state of %s.", groupList(append(unknown, s.Missing...)))
	}
	if len(repair) > 0 && len(gone)+len(unknown)+len(s.Missing) > 0 {
		fmt.Fprintf(&b, " To be repaired before it is switched on: %s.", groupList(repair))
	}
	if exceeding > 0 {
		fmt.Fprintf(&b, " As specified, %s a rating or a limit, whatever its condition; the verdict at the top lists them.",
			strings.ToLower(plural(exceeding, "stress exceeds", "stresses exceed")))
	}
	fmt.Fprintf(&b, " With what is priced so far it comes to %s.", money(s.Total()))
	return b.String()
}

func groupList(groups []string) string {
	var names []string
	seen := map[string]bool{}
	for _, g := range groups {
		if !seen[g] {
			seen[g] = true
			names = append(names, "the "+strings.TrimPrefix(surveyName(g), "the "))
		}
	}
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}
