package compute

import (
	"sort"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/spec"
)

// Surveyed is what was found of one group of parts.
type Surveyed struct {
	Name string
	spec.Survey
}

// Finished says that the work on it is done.
func (e *Surveyed) Finished() bool { return e.Done.Value == "yes" }

// Survey is the survey of a used amplifier.
type Survey struct {
	Entries []Surveyed // as they stand in the spec
	Missing []string   // groups that decide and that nobody has looked at
	Work    float64    // cost of what the survey lists, in the builder's own currency
	Parts   float64    // cost of the priced parts, in the builder's own currency
}

// Total is the cost of work and parts, in the builder's own currency.
func (s *Survey) Total() float64 { return s.Work + s.Parts }

// In lists the groups found in one condition, those with their work done left
// out.
func (s *Survey) In(condition string) []string {
	var out []string
	for _, e := range s.Entries {
		if e.Condition.Value == condition && !e.Finished() {
			out = append(out, e.Group.Value)
		}
	}
	return out
}

// decides are the groups on which a used amplifier stands or falls (common
// practice), hardest to replace first.
var decides = []string{"transformer", "tubes", "switch", "sockets", "capacitors", "chokes"}

// groupDanger says what can happen where a group is not sound.
var groupDanger = map[string]string{
	"capacitors": "An old electrolytic may short or burst when the supply comes up, and one without its bleeder stays charged. An " +
		"oil capacitor made before about 1980 may hold polychlorinated biphenyls: do not open a leaking one, and ask the local " +
		"authority " +
		"how it is disposed of.",
	"resistors": "A bleeder that is open leaves kilovolts in the bank for days: measure each one, plug out, bank discharged and " +
		"grounded, before the first switch-on.",
	"transformer": "Old insulation may break down to the core and make the chassis live: have it tested for insulation, winding to " +
		"winding and winding to core, before mains is put on, and bring it up slowly behind a fuse, from outside the cabinet.",
	"rectifier": "A shorted diode string puts alternating voltage on the filter capacitors, which burst.",
	"wiring":    "Insulation that cracks or has gone hard no longer holds the voltage: replace the wire, do not tape it.",
	"mains": "Mains plug, cord, fuse, switch and protective earth protect whoever touches the cabinet: they come first, to the " +
		"local code, by somebody licensed where the law asks for it.",
	"interlocks": "Without interlock and crowbar an open cover lets a hand into kilovolts; even with them, the grounding stick comes " +
		"first. Nothing is switched on before they work.",
	"chokes": "A filter or plate choke that breaks down to its core puts the plate supply on the chassis; the safety choke at " +
		"the antenna connector is what blows the fuse when the blocking capacitor shorts: prove it with an ohmmeter.",
	"blower": "Without its air a tube cracks within seconds and its seals with it.",
	"meters": "A high-voltage meter that reads low makes a charged bank look harmless.",
	"relays": "An antenna relay that sticks puts full output into the exciter, or leaves the tank without load.",
}

// severe are the groups whose faults endanger people and not parts alone.
var severe = map[string]bool{"capacitors": true, "resistors": true, "transformer": true, "wiring": true, "mains": true,
	"interlocks": true, "chokes": true, "meters": true}

// survey adds up the survey and says what is dangerous or cannot be had.
func (d *Design) survey(k *desk.Desk) {
	s := d.Spec
	if len(s.Survey) == 0 {
		return
	}
	out := &d.Survey
	seen := map[string]bool{}
	for name, e := range s.Survey {
		out.Entries = append(out.Entries, Surveyed{Name: name, Survey: e})
		seen[e.Group.Value] = true
	}
	sort.Slice(out.Entries, func(i, j int) bool {
		a, b := out.Entries[i], out.Entries[j]
		if a.Group.Line != b.Group.Line {
			return a.Group.Line < b.Group.Line
		}
		return a.Name < b.Name
	})
	for _, p := range k.Parts {
		out.Parts += p.Price * float64(p.Count)
	}
	for _, g := range decides {
		if !seen[g] {
			out.Missing = append(out.Missing, g)
		}
	}
	for _, e := range out.Entries {
		out.Work += e.Cost.Value
		if e.Finished() {
			continue
		}
		group, danger := e.Group.Value, groupDanger[e.Group.Value]
		f := ledger.Finding{Severity: ledger.Caution, ID: "survey." + e.Name, Stage: "survey",
			Advice: ledger.Literal(danger)}
		switch e.Condition.Value {
		case "unobtainable":
			f.Text = ledger.Say("Survey, {group}: worn out or missing, and no replacement is to be had.", ledger.Called("group", group))
			if danger == "" {
				f.Advice = ledger.Say("Do not count on finding one: design for a part that is made today, or take the amplifier for " +
					"its other parts.")
			}
		case "unknown":
			if danger == "" {
				continue
			}
			f.Text = ledger.Say("Survey, {group}: its condition is not known yet.", ledger.Called("group", group))
		case "repairable":
			if danger == "" {
				continue
			}
			f.Text = ledger.Say("Survey, {group}: must be repaired before the amplifier is switched on.", ledger.Called("group", group))
		case "usable":
			if !severe[group] {
				continue
			}
			f.Severity, f.Text = ledger.Note, ledger.Say("Survey, {group}: usable, not good.", ledger.Called("group", group))
		default:
			continue
		}
		k.Find(f)
	}
	if len(out.Missing) > 0 {
		k.Find(ledger.Finding{Severity: ledger.Caution, ID: "survey.missing", Stage: "survey",
			Text: ledger.Say("The survey says nothing of: {missing}.", ledger.Called("missing", join(out.Missing))),
			Advice: ledger.Say("These decide whether a used amplifier is worth its price: look at them before paying, plug out and " +
				"bank discharged and grounded, with the seller's consent.")})
	}
}

// join lists words for a sentence.
func join(words []string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		out := words[0]
		for _, w := range words[1 : n-1] {
			out += ", " + w
		}
		return out + " and " + words[n-1]
	}
}
