package compare

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"anodebook/compute/ledger"
	"anodebook/report/setting"
	"anodebook/spec/quantity"
)

// Part is a line of the parts list that came, went or changed. Old or New is
// nil where a side has no such part.
type Part struct {
	Designator string
	Old, New   *setting.Part
}

// Text writes name, value, rating and count of a part.
func Text(p *setting.Part) string { return text(p, true, true) }

func text(p *setting.Part, named, counted bool) string {
	var words []string
	for i, t := range []string{p.Name, p.Value, p.Rating} {
		if t != "" && (i > 0 || named) {
			words = append(words, t)
		}
	}
	s := strings.Join(words, ", ")
	switch {
	case p.Count > 1 && counted && s == "":
		s = fmt.Sprintf("%d pieces", p.Count)
	case p.Count > 1 && counted:
		s = fmt.Sprintf("%d × %s", p.Count, s)
	}
	switch {
	case p.Given && s != "":
		return s + " (at hand)"
	case p.Given:
		return "at hand"
	case s == "":
		return "to buy"
	}
	return s
}

// setter sets a side in the units of the new one, so that only what differs
// differs in print.
func (c *Comparison) setter(s Side) *setting.Setter {
	return setting.Plain(s.Design.Book, c.New.Design.Spec.Notebook.Lengths.Value)
}

func (c *Comparison) parts() {
	old := map[string]*setting.Part{}
	nth := map[string]int{}
	id := func(p *setting.Part) string { // a designator may stand twice
		nth[p.Designator]++
		return fmt.Sprintf("%s\x00%d", p.Designator, nth[p.Designator])
	}
	var order []string
	before, after := c.setter(c.Old).Parts(), c.setter(c.New).Parts()
	for i := range before {
		p := &before[i]
		k := id(p)
		old[k] = p
		order = append(order, k)
	}
	clear(nth)
	seen := map[string]bool{}
	for i := range after {
		n := &after[i]
		k := id(n)
		seen[k] = true
		o := old[k]
		if o != nil && o.Count == n.Count && o.Given == n.Given && c.alike(o.Name, n.Name) && c.alike(o.Value, n.Value) &&
			c.alike(o.Rating, n.Rating) {
			continue
		}
		c.Parts = append(c.Parts, Part{n.Designator, o, n})
	}
	for _, k := range order {
		if !seen[k] {
			c.Parts = append(c.Parts, Part{old[k].Designator, old[k], nil})
		}
	}
}

var number = regexp.MustCompile(`\d+(?:\.\d+)?(?: (?:[a-zA-ZΩµ°²³/]+))?`)

// alike says that two printed texts differ in nothing but numbers, and in
// those by no more than the threshold.
func (c *Comparison) alike(a, b string) bool {
	if a == b {
		return true
	}
	x, y := number.FindAllString(a, -1), number.FindAllString(b, -1)
	if len(x) != len(y) || number.ReplaceAllString(a, "#") != number.ReplaceAllString(b, "#") {
		return false
	}
	for i := range x {
		if x[i] == y[i] {
			continue
		}
		va, ua := value(x[i])
		vb, ub := value(y[i])
		if ua != ub || math.Abs(vb-va) > c.Threshold*math.Max(math.Abs(va), math.Abs(vb)) {
			return false
		}
	}
	return true
}

// value reads a printed number and, where a unit follows, the unit's kind;
// any other word stands for itself.
func value(s string) (float64, string) {
	if v, err := quantity.Parse(s); err == nil {
		return v.SI, v.Name()
	}
	n, word, _ := strings.Cut(s, " ")
	v, _ := quantity.Parse(n)
	return v.SI, word
}

// ratings finds those whose verdict became graver or milder. The band at which a stress is
// greatest may be another one: the rating is still the same.
func (c *Comparison) ratings() {
	type key struct {
		stage, part, name, quantity, stress string
		n                                   int
	}
	collect := func(list []ledger.Rating) ([]key, map[key]ledger.Rating) {
		m := map[key]ledger.Rating{}
		var order []key
		for _, r := range list {
			k := key{r.Stage, r.Part, r.Name, r.Quantity, pattern(r.StressID), 0}
			for m[k].Part != "" {
				k.n++
			}
			m[k] = r
			order = append(order, k)
		}
		return order, m
	}
	oldOrder, old := collect(c.Old.Design.Book.Ratings)
	newOrder, late := collect(c.New.Design.Book.Ratings)
	add := func(o, n ledger.Rating) {
		r := n
		if r.Part == "" {
			r = o
		}
		c.Ratings = append(c.Ratings, Crossing{
			Part: r.Part, Name: r.Name, Quantity: r.Quantity, Band: r.Band, Unit: r.Unit,
			OldVerdict: o.Verdict, NewVerdict: n.Verdict, OldStress: o.Stress, NewStress: n.Stress,
			OldRating: o.Rating, NewRating: n.Rating, OldMargin: o.Margin, NewMargin: n.Margin,
		})
	}
	for _, k := range newOrder {
		o, n := old[k], late[k]
		if gravity[o.Verdict] != gravity[n.Verdict] {
			add(o, n)
		}
	}
	for _, k := range oldOrder {
		if _, still := late[k]; !still && gravity[old[k].Verdict] > 0 {
			add(old[k], ledger.Rating{})
		}
	}
}

// findings sorts them into gone, come and weightier. A finding whose numbers
// changed is the same finding; so is one that moved to another band.
func (c *Comparison) findings(renamed map[string]string) {
	old, late := c.setter(c.Old).Findings(), c.setter(c.New).Findings()
	usedOld, usedNew := make([]bool, len(old)), make([]bool, len(late))
	match := func(same func(o, n setting.Finding) bool) {
		for j, n := range late {
			for i, o := range old {
				if usedOld[i] || usedNew[j] || !same(o, n) {
					continue
				}
				usedOld[i], usedNew[j] = true, true
				if o.Severity != n.Severity {
					c.Weightier = append(c.Weightier, Finding{n, o.Severity})
				}
			}
		}
	}
	match(func(o, n setting.Finding) bool { return rename(o.ID, renamed) == n.ID && o.Text == n.Text })
	match(func(o, n setting.Finding) bool { return rename(o.ID, renamed) == n.ID })
	match(func(o, n setting.Finding) bool { return pattern(rename(o.ID, renamed)) == pattern(n.ID) })
	for i, o := range old {
		if !usedOld[i] {
			c.Gone = append(c.Gone, Finding{Finding: o})
		}
	}
	for j, n := range late {
		if !usedNew[j] {
			c.Come = append(c.Come, Finding{Finding: n})
		}
	}
}
