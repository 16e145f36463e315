package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"anodebook/compute/study"
	"anodebook/report/figure"
	"anodebook/spec/quantity"
)

// strongest is how many parts are named for each result.
const strongest = 4

// ToleranceStudy puts a tolerance run into words; name goes before the names of
// its figures.
func ToleranceStudy(name string, seed uint64, r *study.ToleranceResult) Study {
	s := Study{Title: "Tolerances: " + counted(r.Builds, "build")}
	s.Said = append(s.Said,
		fmt.Sprintf("The same amplifier, %s with parts as they come, seed %d. What the target asks for is met in every build: drive, "+
			"tune and load are set until the meters show it. Each build stands at a mains voltage of its own, without a further "+
			"spread on "+
			"top.", counted(r.Builds, "build"), seed))
	if r.Done < r.Builds {
		s.Said = append(s.Said, fmt.Sprintf("Interrupted: %d of %d builds were computed, and what follows is of these.", r.Done,
			r.Builds))
	}
	within := 0.0
	for _, x := range r.Spreads {
		within = math.Max(within, x.Within)
	}
	if within > 0 {
		s.Said = append(s.Said,
			fmt.Sprintf("So many builds are counted in narrow steps instead of being kept: a percentile is within %s of the exact "+
				"one; least and most are exact.", quantity.Format(within, "%", 1)))
	}
	s.Said = append(s.Said, failed(r.Failed, r.Done, "builds")...)
	s.Said = append(s.Said, always(r.Findings, r.Done, "builds")...)
	t := StudyTable{Title: "How the results spread", Head: []string{"result", "nominal", "5 %", "median", "95 %", "least", "most"}}
	s.Rows = [][]string{{"kind", "id", "unit", "nominal", "percentile_5", "median", "percentile_95", "least", "most", "share"}}
	for _, x := range r.Spreads {
		t.Rows = append(t.Rows, []string{x.ID, shown(x.Nominal, x.Unit), shown(x.Low, x.Unit), shown(x.Median, x.Unit),
			shown(x.High, x.Unit), shown(x.Least, x.Unit), shown(x.Most, x.Unit)})
		s.Rows = append(s.Rows, []string{"result", x.ID, x.Unit, raw(x.Nominal), raw(x.Low), raw(x.Median), raw(x.High), raw(x.Least),
			raw(x.Most), ""})
		if c, ok := spreadChart(x); ok {
			s.Figures = append(s.Figures, StudyFigure{fileName(name, x.ID), c})
		}
	}
	for _, f := range r.Findings {
		s.Rows = append(s.Rows, []string{"finding", f.ID, string(f.Worst), "", "", "", "", "", "",
			raw(float64(f.Count) / float64(max(1, r.Done)))})
	}
	s.Tables = append(s.Tables, t)
	s.Tables = append(s.Tables, findingTable(r.Findings, r.Done, "builds")...)
	var watched []study.Watched
	for _, x := range r.Spreads {
		watched = append(watched, x.Watched)
	}
	s.Tables = append(s.Tables, effectTables(r.Bench, watched, r.Effects)...)
	s.Tables = append(s.Tables, partsTable(r.Bench))
	return s
}

// failed words what could not be computed.
func failed(list []study.Failure, done int, of string) []string {
	var out []string
	for _, f := range list {
		out = append(out, fmt.Sprintf("%d of %d %s could not be computed, the first because: %s.", f.Count, done, of,
			strings.TrimSuffix(f.Why, ".")))
	}
	return out
}

// moved is how far a part moves a result at the end of its tolerance.
func moved(e study.Effect, unit string) string {
	if e.Level {
		return "±" + shown(e.Move, unit)
	}
	return fmt.Sprintf("±%s %%", quantity.Short(100*e.Move, 2))
}

// moves is how far one per cent of a part moves a result, in per cent.
func moves(slope float64) string {
	s := quantity.Short(slope, 2)
	if slope > 0 && s != "0" {
		s = "+" + s
	}
	return s + " %"
}

// counted is a number of things in words that a sentence can bear.
func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// effectTables rank the parts: over all results, and for each result.
func effectTables(b *study.Bench, watched []study.Watched, effects [][]study.Effect) []StudyTable {
	type best struct {
		part, result int
		share        float64 // of the movement of that result, 0 to 1
		effect       study.Effect
	}
	var all []best
	each := StudyTable{Title: "What moves each result most, each part at the end of its tolerance",
		Head: []string{"result", "part", "tolerance", "1 % of it moves the result by", "all of it by"}}
	for w, list := range effects {
		sum := 0.0
		for _, e := range list {
			sum += e.Move * e.Move
		}
		for n, e := range list {
			if e.Move < 1e-6 {
				break
			}
			v := b.Variations[e.Variation]
			share := e.Move * e.Move / sum
			i := slices.IndexFunc(all, func(x best) bool { return x.part == e.Variation })
			if i < 0 {
				all, i = append(all, best{part: e.Variation, share: -1}), len(all)
			}
			if share > all[i].share {
				all[i] = best{e.Variation, w, share, e}
			}
			if n < strongest && share > 0.001 {
				slope := moves(e.Slope)
				if e.Level {
					slope = shown(e.Slope/100, watched[w].Unit)
				}
				each.Rows = append(each.Rows, []string{watched[w].ID, v.Key, fmt.Sprintf("±%s %%", quantity.Short(100*v.Tolerance, 3)),
					slope, moved(e, watched[w].Unit)})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b best) int { return cmp.Compare(b.share, a.share) })
	rank := StudyTable{Title: "What to measure before buying: the parts that decide most",
		Head: []string{"part", "now known to", "decides most about", "and moves it by", "share of that result's movement"}}
	for _, x := range all {
		if x.share < 0.01 {
			break
		}
		v := b.Variations[x.part]
		rank.Rows = append(rank.Rows, []string{v.Key, fmt.Sprintf("±%s %%", quantity.Short(100*v.Tolerance, 3)), watched[x.result].ID,
			moved(x.effect, watched[x.result].Unit), fmt.Sprintf("%.0f %%", 100*x.share)})
	}
	var out []StudyTable
	for _, t := range []StudyTable{rank, each} {
		if len(t.Rows) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// partsTable says what was varied, how far, and who says so.
func partsTable(b *study.Bench) StudyTable {
	t := StudyTable{Title: "Parts, their tolerances and where these come from",
		Head: []string{"part", "class", "nominal", "tolerance", "distribution", "why", "how known"}}
	for _, v := range b.Variations {
		t.Rows = append(t.Rows, []string{v.Key, string(v.Class), shown(v.Nominal, v.Unit),
			fmt.Sprintf("±%s %%", quantity.Short(100*v.Tolerance, 3)), string(v.Distribution), v.Why, string(v.Known)})
	}
	return t
}

// spreadChart is the share of builds below each value; nothing where the
// result does not spread.
func spreadChart(x study.Spread) (figure.Chart, bool) {
	if len(x.Curve) < 2 || !(x.Most-x.Least > 1e-6*math.Max(math.Abs(x.Most), math.Abs(x.Least))) {
		return figure.Chart{}, false
	}
	l := figure.Line{}
	for _, p := range x.Curve {
		l.X, l.Y = append(l.X, p.Value), append(l.Y, p.Share)
	}
	return figure.Chart{
		Title: x.Name + ": share of builds at or below each value",
		Description: fmt.Sprintf("%s lies between %s and %s in nine builds of ten; half of them lie below %s. Nominal is %s.", x.Name,
			shown(x.Low, x.Unit), shown(x.High, x.Unit), shown(x.Median, x.Unit), shown(x.Nominal, x.Unit)),
		X: figure.Axis{Label: x.Name, Unit: x.Unit}, Y: figure.Axis{Label: "Share of builds", Unit: "%", Min: 0, Max: 1},
		Lines: []figure.Line{l},
		Bands: []figure.Band{{Name: "nine of ten", From: x.Low, To: x.High}},
	}, true
}

// CornersStudy puts the worst case into words.
func CornersStudy(r *study.CornerResult) Study {
	s := Study{Title: "Worst case"}
	s.Said = append(s.Said,
		fmt.Sprintf("The %d parts that decide most stand at the ends of their tolerances in every combination, %d in all; the others "+
			"stay nominal. For results that rise or fall steadily with every part the worst case is among them; hardly any real "+
			"amplifier "+
			"comes near it.", len(r.Parts), r.Corners))
	if r.Done < r.Corners {
		s.Said = append(s.Said, fmt.Sprintf("Interrupted: %d of %d combinations were computed.", r.Done, r.Corners))
	}
	s.Said = append(s.Said, failed(r.Failed, r.Done, "combinations")...)
	s.Said = append(s.Said, always(r.Findings, r.Done, "combinations")...)
	t := StudyTable{Title: "Lowest and highest", Head: []string{"result", "lowest", "nominal", "highest"}}
	key := StudyTable{Title: "The parts at these ends", Head: []string{"column", "part", "low (−)", "nominal", "high (+)"}}
	where := StudyTable{Title: "Where the parts stand then", Head: []string{"result"}}
	for j, k := range r.Parts {
		v := r.Bench.Variations[k]
		letter := string(rune('A' + j))
		key.Rows = append(key.Rows, []string{letter, v.Key, shown(v.Nominal*(1-v.Tolerance), v.Unit), shown(v.Nominal, v.Unit),
			shown(v.Nominal*(1+v.Tolerance), v.Unit)})
		where.Head = append(where.Head, letter)
	}
	s.Rows = [][]string{{"id", "unit", "lowest", "nominal", "highest"}}
	for _, x := range r.Extremes {
		t.Rows = append(t.Rows, []string{x.ID, shown(x.Low, x.Unit), shown(x.Nominal, x.Unit), shown(x.High, x.Unit)})
		s.Rows = append(s.Rows, []string{x.ID, x.Unit, raw(x.Low), raw(x.Nominal), raw(x.High)})
		if x.High-x.Low < 1e-6*math.Abs(x.Nominal) {
			continue // nothing moves it
		}
		for _, end := range []struct {
			word string
			at   []bool
		}{{"lowest", x.AtLow}, {"highest", x.AtHigh}} {
			row := []string{end.word + " " + x.ID}
			for _, up := range end.at {
				if up {
					row = append(row, "+")
				} else {
					row = append(row, "−")
				}
			}
			if end.at != nil {
				where.Rows = append(where.Rows, row)
			}
		}
	}
	s.Tables = append(s.Tables, t)
	if len(r.Parts) > 0 {
		s.Tables = append(s.Tables, key, where)
	}
	s.Tables = append(s.Tables, findingTable(r.Findings, r.Done, "combinations")...)
	s.Tables = append(s.Tables, partsTable(r.Bench))
	return s
}
