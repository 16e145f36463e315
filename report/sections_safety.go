package report

import (
	"fmt"
	"strings"

	"anodebook/compute/data/source"
	"anodebook/compute/stage/clearance"
	"anodebook/spec/quantity"
)

// ClearanceTable lists the nodes with the distances they want and the tables
// that decided.
func (w *writer) ClearanceTable() string {
	var b strings.Builder
	given := false
	for _, n := range w.Clearance.Nodes {
		given = given || n.Given > 0
	}
	b.WriteString("| node | voltage, peak | air, to grounded metal | air, to a hand | along an insulator, to grounded metal | along an " +
		"insulator, to a hand | decided by |")
	rule := "\n|:--|--:|--:|--:|--:|--:|:--|"
	if given {
		b.WriteString(" given |")
		rule += "--:|"
	}
	b.WriteString(rule + "\n")
	for _, n := range w.Clearance.Nodes {
		id := "clearance." + n.Key
		cell := func(name string, v float64, unit string) string {
			q, ok := w.Book.Lookup(id + name)
			if !ok {
				return w.trade(v, unit)
			}
			return w.link(q, w.text(q))
		}
		by := fmt.Sprintf("%s, %s", clearance.Table(n.ByMetal), n.ByMetal.Known)
		if n.ByHand != n.ByMetal {
			by += fmt.Sprintf("; to a hand %s, %s", clearance.Table(n.ByHand), n.ByHand.Known)
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s | %s |", n.Name, cell("_voltage", n.Voltage, "V"),
			cell("_clearance", n.Clearance, "m"),
			cell("_clearance_reinforced", n.Guard, "m"), cell("_creepage", n.Creepage, "m"), cell("_creepage_reinforced", n.Along, "m"),
			by)
		if given {
			have := "—"
			if n.Given > 0 {
				have = w.trade(n.Given, "m")
			}
			fmt.Fprintf(&b, " %s |", have)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// shownStrengths are the columns of the table of electric strength that a page
// has room for [Hz].
var shownStrengths = []float64{1e6, 3e6, 5e6, 10e6}

// StrengthTable sets what solid insulators lose at radio frequency.
func (w *writer) StrengthTable() (string, error) {
	s := w.Clearance.Strength
	var b strings.Builder
	b.WriteString("| insulator | 1 MHz | 3 MHz | 5 MHz | 10 MHz |\n|:--|--:|--:|--:|--:|\n")
	for _, m := range s.Materials {
		fmt.Fprintf(&b, "| %s |", m.Name)
		for _, f := range shownStrengths {
			k, err := s.At(m.Name, f)
			if err != nil {
				return "", err
			}
			fmt.Fprintf(&b, " %.2f |", k)
		}
		b.WriteString("\n")
	}
	return b.String(), nil
}

// InterlockTable lists what watches and what it stops.
func (w *writer) InterlockTable() string {
	var b strings.Builder
	b.WriteString("| part | watches | stops | comes back | what stays dangerous |\n|:--|:--|:--|:--|:--|\n")
	for _, i := range w.Interlocks {
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s |\n", i.Part, i.Senses, i.Stops, i.Reset, i.Leaves)
	}
	return b.String()
}

// OtherLimits sets the distances for anybody under the other rule sets beside
// those of the spec's own.
func (w *writer) OtherLimits() (string, error) {
	columns := []string{"distance_uncontrolled=" + escapePlain(w.Rules.Name)}
	for _, q := range w.Book.Quantities() { // the names of the sets stand in the quantities themselves
		name, ok := strings.CutPrefix(q.ID, "exposure."+w.Spec.Target.Bands.Values[0]+".distance_")
		if ok && name != "controlled" && name != "uncontrolled" {
			columns = append(columns, "distance_"+name+"="+strings.ReplaceAll(name, "_", "-"))
		}
	}
	return w.perBand("exposure", columns...)
}

// RuleDates lists the rules that the report rests on with their dates.
func (w *writer) RuleDates() string {
	var b strings.Builder
	b.WriteString("| settles | rule | date | how known |\n|:--|:--|:--|:--|\n")
	for _, r := range w.Exposure.Dates {
		fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", r.What, r.Citation, r.Date.Text(), source.Mark(r.Known))
	}
	return b.String()
}

// InMinutes writes a time as one says it, linked to where it comes from.
func (w *writer) InMinutes(id string) (string, error) {
	q, err := w.number(id)
	if err != nil {
		return "", err
	}
	return w.link(q, strings.Replace(quantity.Format(q.Value, "min", 2), ".0", "", 1)), nil
}
