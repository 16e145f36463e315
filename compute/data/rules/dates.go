package rules

import (
	"slices"
	"strings"
)

// Date is from when to when a rule holds, or which edition it is of. A data
// file says Unknown where nobody here knows; leaving it out is a slip that a
// test finds.
type Date struct {
	Since   string `toml:"since"`   // in force since, such as "13 February 2026"
	Until   string `toml:"until"`   // last day of a rule that has ended
	Edition string `toml:"edition"` // of a standard or a guideline
	Unknown bool   `toml:"unknown"`
	Known   string `toml:"known"` // mark of the date itself; "": as the rule's
}

// Text says the date in words. The zero Date, which no rule that ships has,
// gives the empty text.
func (d Date) Text() string {
	var words []string
	if d.Since != "" {
		words = append(words, "in force since "+d.Since)
	}
	if d.Until != "" {
		words = append(words, "in force until "+d.Until)
	}
	if d.Edition != "" {
		words = append(words, "edition "+d.Edition)
	}
	if d.Unknown {
		words = append(words, "date not known")
	}
	text := strings.Join(words, ", ")
	if d.Known == "memory" {
		text += " (the date from memory)"
	}
	return text
}

// Dated is a rule as a list of rules prints it.
type Dated struct {
	What     string // what it settles
	Citation string
	Date     Date
	Known    string // mark, see package source
}

// Dated lists the rules of the set that a station on these bands meets, and
// with every band whose rule has changed what held before. Rules of the same
// kind, citation and date stand together. Errors: a band that the set lacks.
func (s Set) Dated(bands []string) ([]Dated, error) {
	var list []Dated
	add := func(what, citation string, date Date, known string) {
		list = append(list, Dated{what, citation, date, known})
	}
	var edges, powers []Band
	for _, name := range bands {
		b, err := s.Band(name)
		if err != nil {
			return nil, err
		}
		edges = append(edges, b)
		if b.Power > 0 {
			powers = append(powers, b)
		}
	}
	for _, g := range together(edges, func(b Band) string { return b.Citation + b.Date.Text() + b.Known }) {
		add("band edges, "+metres(g), g[0].Citation, g[0].Date, g[0].Known)
	}
	for _, g := range together(powers, func(b Band) string { return b.PowerCitation + b.PowerDate.Text() + b.PowerWhere }) {
		known := g[0].PowerKnown
		if known == "" {
			known = g[0].Known
		}
		add("power, "+where(metres(g), g[0].PowerWhere), g[0].PowerCitation, g[0].PowerDate, known)
	}
	for _, b := range edges {
		for _, p := range b.Parts {
			add("power, "+where(metres([]Band{b}), p.Where), p.Citation, p.Date, p.Known)
		}
		for _, p := range b.Former {
			add("ended: power, "+where(metres([]Band{b}), p.Where), p.Citation, p.Date, p.Known)
		}
	}
	if r, ok := s.Spurious["current"]; ok {
		add("harmonics and spurious emissions", r.Citation, r.Date, r.Known)
	}
	public := s.Exposure.Public
	if public == "" || public == s.Exposure.Known {
		add("exposure", s.Exposure.Citation, s.Exposure.Date, s.Exposure.Known)
	} else {
		add("exposure, people who know and control theirs", s.Exposure.Citation, s.Exposure.Date, s.Exposure.Known)
		add("exposure, anybody", s.Exposure.Citation, s.Exposure.Date, public)
	}
	if e := s.Exemption; len(e.Ranges) > 0 {
		add("exemption from an evaluation of exposure", e.Citation, e.Date, e.Known)
	}
	add("duty factors of emissions", duty.Citation, duty.Date, duty.Known)
	return list, nil
}

func where(band, part string) string {
	if part == "" {
		return band
	}
	return band + " " + part
}

// together gathers what has the same key, in the order of first appearance.
func together(list []Band, key func(Band) string) (groups [][]Band) {
	var keys []string
	for _, b := range list {
		k := slices.Index(keys, key(b))
		if k < 0 {
			k, keys, groups = len(keys), append(keys, key(b)), append(groups, nil)
		}
		groups[k] = append(groups[k], b)
	}
	return groups
}

// metres names bands as a sentence does: "80, 40 and 20 m".
func metres(bands []Band) string {
	var names []string
	for _, b := range bands {
		names = append(names, strings.TrimSuffix(b.Name, "m"))
	}
	if n := len(names) - 1; n > 0 {
		return strings.Join(names[:n], ", ") + " and " + names[n] + " m"
	}
	return names[0] + " m"
}

// standards are the standards and codes that the figures of safety come from.
var standards = func() (f struct {
	List []struct {
		Name     string `toml:"name"`
		What     string `toml:"what"`
		Citation string `toml:"citation"`
		Known    string `toml:"known"`
		Date     Date   `toml:"date"`
	} `toml:"standard"`
}) {
	decode("standards.toml", &f)
	return f
}()

// Standards lists the standards and codes that the electrical-safety figures
// of a report come from.
func Standards() []Dated {
	list := make([]Dated, 0, len(standards.List))
	for _, s := range standards.List {
		list = append(list, Dated{s.What, s.Citation, s.Date, s.Known})
	}
	return list
}
