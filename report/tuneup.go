package report

import (
	"fmt"
	"strings"

	"anodebook/compute"
	"anodebook/compute/physics/tuning"
)

// TuneGroup is one band group as the template shows it.
type TuneGroup struct {
	compute.TuneGroup
	Name   string // "80, 40 and 20 m"
	Figure string // name of the figure; empty where there is no map
	Table  string
	Path   string
	Words  string // why there is no map
}

// TuneGroups lists the tuning maps of the design.
func (w *writer) TuneGroups() []TuneGroup {
	var out []TuneGroup
	for _, g := range w.TuneUp() {
		t := TuneGroup{TuneGroup: g, Name: groupName(g)}
		if g.Err != nil {
			t.Words = fmt.Sprintf("No tuning map can be drawn for %s: %v.", t.Name, g.Err)
		} else {
			t.Figure, t.Table, t.Path = "tuning-"+g.Band, situationTable(g), pathTable(g)
		}
		out = append(out, t)
	}
	return out
}

// situationTable lists what the meters show in each situation.
func situationTable(g compute.TuneGroup) string {
	var b strings.Builder
	b.WriteString("| what was done | output | plate current | grid current | plates, each | nearest limit " +
		"|\n|:--|--:|--:|--:|--:|:--|\n")
	for _, s := range g.Situations {
		if !s.Reached {
			fmt.Fprintf(&b, "| **%s.** %s | — | — | — | — | — |\n", s.Name, bandWords(s.Words))
			continue
		}
		r := s.Reading
		limit := "none is known"
		if s.FirstLimit != "" {
			limit = fmt.Sprintf("%s at %.0f %%", s.FirstLimit, 100*s.Factor)
			if s.Factor > 1 {
				limit = fmt.Sprintf("**%s at %.0f %%**; time allowed: %s", s.FirstLimit, 100*s.Factor, s.TimeAllowed)
			}
		}
		fmt.Fprintf(&b, "| **%s.** %s | %s | %s | %s | %s | %s |\n", s.Name, bandWords(s.Words), show(r.Output, "W"),
			show(r.PlateCurrent, "A"), show(r.GridCurrent, "A"), show(r.PlateDissipationEach, "W"), limit)
	}
	return b.String()
}

// pathTable lists the turns of the knobs on the way to full output.
func pathTable(g compute.TuneGroup) string {
	var b strings.Builder
	b.WriteString("| turn | drive | tune | load | output | plate current | grid current | |\n|:--|--:|--:|--:|--:|--:|--:|:--|\n")
	for _, s := range g.Path {
		r := s.Reading
		safe := "within the limits"
		if !r.Safe() {
			safe = "**beyond: " + strings.Join(r.Exceeds, ", ") + "**"
		}
		fmt.Fprintf(&b, "| %s | %.0f %% | %s | %s | %s | %s | %s | %s |\n", s.Knob, 100*s.Drive*s.Drive, show(r.Tune, "F"),
			show(r.Load, "F"), show(r.Output, "W"), show(r.PlateCurrent, "A"), show(r.GridCurrent, "A"), safe)
	}
	return b.String()
}

// Situation finds a situation of the first band group by its ID, for the
// words of the procedure.
func (w *writer) Situation(id string) (tuning.Situation, error) {
	for _, g := range w.TuneUp() {
		for _, s := range g.Situations {
			if s.ID == id {
				return s, nil
			}
		}
	}
	return tuning.Situation{}, fmt.Errorf("the report asks for the tuning situation %q, which does not exist", id)
}
