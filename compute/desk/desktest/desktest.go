// Package desktest sets the desk for the tests of the stages and answers what
// a stage has put on it: numbers, findings, verdicts on ratings and lines of
// the parts list. Only tests import it. It assumes that a test needs each
// answer: where there is none, the test stops there with a message; the
// methods that may answer "none" say so.
package desktest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"anodebook/compute/data/rules"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/report/setting"
	"anodebook/spec"
)

// Text is the shortest spec: the four facts that every spec states, written
// with their units ("1000 W", "2800 V"). It ends inside the table [supply], so
// that keys of the supply, or other tables, can be written behind it.
func Text(output, tubes, plateVoltage string, bands ...string) string {
	return fmt.Sprintf("[target]\noutput = %q\nbands = [\"%s\"]\n[tubes]\ntype = %q\n[supply]\nplate_voltage = %q\n", output,
		strings.Join(bands, `", "`), tubes, plateVoltage)
}

// Read reads a spec that knows all types and rule sets, as test.toml.
func Read(t testing.TB, text string) *spec.Spec {
	t.Helper()
	s, err := spec.Read("test.toml", []byte(text), spec.Names{Tubes: tube.Types(), Rules: rules.Names()})
	require.NoError(t, err, text)
	return s
}

// Tube is a type of the catalogue.
func Tube(t testing.TB, name string) *tube.Type {
	t.Helper()
	kind, ok := tube.Lookup(name)
	require.True(t, ok, name)
	return kind
}

// Desk is a desk that can be asked what lies on it.
type Desk struct {
	*desk.Desk
	t testing.TB
}

// New is a desk with an empty book beside the spec of the text.
func New(t testing.TB, text string) *Desk {
	t.Helper()
	return On(t, Read(t, text))
}

// On is a desk with an empty book beside a spec.
func On(t testing.TB, s *spec.Spec) *Desk { return &Desk{desk.New(s), t} }

// Figure enters an invented figure of the test, SI, as a result of an earlier
// stage; its ID is its name too.
func (d *Desk) Figure(id, unit string, value float64) *ledger.Quantity {
	return d.Catalogue(id, id, value, unit, "test")
}

// Value is the value of a quantity, SI.
func (d *Desk) Value(id string) float64 {
	d.t.Helper()
	q, ok := d.Lookup(id)
	require.True(d.t, ok, "no quantity %s", id)
	return q.Value
}

// Of returns the values of the quantities whose IDs begin with a prefix.
func (d *Desk) Of(prefix string) func(name string) float64 {
	return func(name string) float64 {
		d.t.Helper()
		return d.Value(prefix + name)
	}
}

// Entered reports whether there is a quantity of that ID.
func (d *Desk) Entered(id string) bool {
	_, ok := d.Lookup(id)
	return ok
}

// Finding is the finding of that ID as the terminal prints it, in metric units.
func (d *Desk) Finding(id string) setting.Finding {
	d.t.Helper()
	all := setting.Plain(d.Book, "metric").Findings()
	for _, f := range all {
		if f.ID == id {
			return f
		}
	}
	require.Fail(d.t, "no finding "+id, "%v", all)
	return setting.Finding{}
}

// Severity is that of a finding; empty: there is no such finding.
func (d *Desk) Severity(id string) ledger.Severity { return d.Severities()[id] }

// Severities are those of all findings, by ID.
func (d *Desk) Severities() map[string]ledger.Severity {
	all := map[string]ledger.Severity{}
	for _, f := range d.Findings {
		if _, ok := all[f.ID]; !ok {
			all[f.ID] = f.Severity
		}
	}
	return all
}

// Found reports whether there is a finding of that ID.
func (d *Desk) Found(id string) bool { return d.Severity(id) != "" }

// Rating is the first rating of a quantity ("voltage", "current" …) of a part.
func (d *Desk) Rating(part, quantity string) ledger.Rating {
	d.t.Helper()
	for _, r := range d.Ratings {
		if r.Part == part && r.Quantity == quantity {
			return r
		}
	}
	require.Fail(d.t, "no rating of "+part+" "+quantity)
	return ledger.Rating{}
}

// Verdict is that of a Rating.
func (d *Desk) Verdict(part, quantity string) ledger.Verdict {
	d.t.Helper()
	return d.Rating(part, quantity).Verdict
}

// Listed is the line of the parts list with a designator.
func (d *Desk) Listed(designator string) setting.Part {
	d.t.Helper()
	for _, p := range setting.Plain(d.Book, "metric").Parts() {
		if p.Designator == designator {
			return p
		}
	}
	require.Fail(d.t, "no part "+designator)
	return setting.Part{}
}

// Designators are those of the parts list, in its order.
func (d *Desk) Designators() []string {
	var all []string
	for _, p := range d.Parts {
		all = append(all, p.Designator)
	}
	return all
}
