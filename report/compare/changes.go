package compare

import (
	"slices"
	"strings"

	"anodebook/spec"
)

// Change is a key of the spec that says something else on the two sides.
type Change struct {
	Key              string // dotted; of a renamed table its new name
	Old, New         string // as written, in one line; empty: not there and nothing assumed
	OldLine, NewLine int    // 0: not written there
	// Renamed is the old name of a table whose contents stayed.
	Renamed string
	// Same says that the value stays: it was assumed and is now written, or the
	// other way round.
	Same bool
}

// changes compares the specs key by key, in the order of the lines. Order, comments, spacing and other
// words for the same value do not count; a table under another name is one
// change. The second result maps the old names of tables to the new ones.
func changes(before, after Side) ([]Change, map[string]string) {
	old, late := before.Design.Spec.Entries(before.Text), after.Design.Spec.Entries(after.Text)
	renamed := renames(old, late)
	byKey := map[string]spec.Entry{}
	for _, e := range old {
		e.Key = rename(e.Key, renamed)
		byKey[e.Key] = e
	}
	var out []Change
	for _, from := range sorted(renamed) {
		c := Change{Key: renamed[from], Renamed: from}
		c.OldLine, c.NewLine = firstLine(old, from), firstLine(late, renamed[from])
		out = append(out, c)
	}
	seen := map[string]bool{}
	for _, n := range late {
		o, there := byKey[n.Key]
		seen[n.Key] = true
		if there && o.Same(n) && o.Given == n.Given || !there && !n.Given {
			continue // assumptions that come or go follow from what is written
		}
		if there && !o.Given && !n.Given {
			continue
		}
		c := Change{Key: n.Key, New: n.Text, Same: there && o.Same(n)}
		if n.Given {
			c.NewLine = n.Line
		}
		if there {
			c.Old = o.Text
			if o.Given {
				c.OldLine = o.Line
			}
		}
		out = append(out, c)
	}
	for _, o := range old {
		if key := rename(o.Key, renamed); !seen[key] && o.Given {
			out = append(out, Change{Key: key, Old: o.Text, OldLine: o.Line})
		}
	}
	slices.SortStableFunc(out, func(a, b Change) int { return a.line() - b.line() })
	return out, renamed
}

// line is where the change stands: in the new spec, or else in the old one.
func (c Change) line() int {
	if c.NewLine > 0 {
		return c.NewLine
	}
	return c.OldLine
}

// renames finds tables with names of the builder's own that are called
// otherwise but say the very same.
func renames(old, late []spec.Entry) map[string]string {
	out := map[string]string{}
	for _, parent := range spec.NamedTables() {
		before, after := tables(old, parent), tables(late, parent)
		taken := map[string]bool{}
		for _, a := range sorted(before) {
			if _, still := after[a]; still {
				continue
			}
			for _, b := range sorted(after) {
				if _, was := before[b]; was || taken[b] {
					continue
				}
				if slices.EqualFunc(before[a], after[b], func(x, y spec.Entry) bool {
					return strings.TrimPrefix(x.Key, a) == strings.TrimPrefix(y.Key, b) && x.Same(y)
				}) {
					out[a], taken[b] = b, true
					break
				}
			}
		}
	}
	return out
}

// tables collects the entries of each table below parent.
func tables(list []spec.Entry, parent string) map[string][]spec.Entry {
	out := map[string][]spec.Entry{}
	for _, e := range list {
		rest, ok := strings.CutPrefix(e.Key, parent+".")
		if name, _, deep := strings.Cut(rest, "."); ok && deep {
			out[parent+"."+name] = append(out[parent+"."+name], e)
		}
	}
	return out
}

func firstLine(list []spec.Entry, table string) int {
	line := 0
	for _, e := range list {
		if strings.HasPrefix(e.Key, table+".") && e.Given && (line == 0 || e.Line < line) {
			line = e.Line
		}
	}
	return line
}

func sorted[T any](m map[string]T) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
