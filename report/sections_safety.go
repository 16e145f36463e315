package report

import (
	"fmt"
	"strings"

	"anodebook/spec/quantity"
)

// ClearanceTable lists the nodes with the distances they want.
func (w *writer) ClearanceTable() string {
	var b strings.Builder
	given := false
	for _, n := range w.Clearance.Nodes {
		given = given || n.Given > 0
	}
	b.WriteString("| node | voltage, peak | to grounded metal | to a hand | along an insulator | table |")
	rule := "\n|:--|--:|--:|--:|--:|:--|"
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
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s, %s |", n.Name, cell("_voltage", n.Voltage, "V"), cell("_clearance", n.Clearance, "m"),
			cell("_clearance_reinforced", n.Guard, "m"), cell("_creepage", n.Creepage, "m"), n.Standard, n.Known)
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

// OneOpenWait says for the bench card how long the bank stays charged with one
// bleeder open.
func (w *writer) OneOpenWait() string {
	q, ok := w.Book.Lookup("supply.time_to_60v_one_bleeder_open")
	if !ok {
		return "for ever"
	}
	return w.link(q, minutes(q.Value))
}

// minutes writes a long time as one says it.
func minutes(s float64) string {
	switch {
	case s < 120:
		return quantity.Format(s, "s", 2)
	case s < 2*3600:
		return fmt.Sprintf("%.0f min", s/60)
	}
	return fmt.Sprintf("%.1f h", s/3600)
}
