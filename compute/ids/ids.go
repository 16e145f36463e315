// Package ids declares the names by which the parts of the program know each
// other: every quantity that a stage enters in the book, with its unit and when
// it exists, and every finding. One file stands for each stage.
//
// Tests hold the declarations against what the stages enter, and every name in
// the templates and in Go against the declarations. A quantity that is new
// fails them until its line stands here.
package ids

import (
	"regexp"
	"slices"
	"strings"

	"anodebook/spec"
)

// The words that stand in a path for what differs from design to design.
const (
	Band = "BAND" // each band of the design: "80m"
	Name = "NAME" // a name that the builder gave, such as that of a measurement
	When = "WHEN" // "before" or "after" the restoration
	// A part of a path that ends in Number stands for its numbered likes.
	Number = "_N"
)

// The conditions that tests know: what every design has, and what only a stage
// that is run alone must enter for itself.
const (
	always = ""
	alone  = "the stage is run without those before it"
)

// Quantity declares a quantity of the book.
type Quantity struct {
	Path string // "stage.name" or "stage.BAND.name"
	Unit string // as known to package quantity
	When string // in which designs it exists, in a few words; empty: in all
}

// Optional says that some designs do not have it.
func (q *Quantity) Optional() bool { return q.When != always }

// Alone says that no design has it, only a test of the stage.
func (q *Quantity) Alone() bool { return q.When == alone }

// Stage is the part of the path before the first dot.
func (q *Quantity) Stage() string { s, _, _ := strings.Cut(q.Path, "."); return s }

// Stage is one stage of the computation as its names know it.
type Stage struct {
	Name       string // the first part of its paths
	Quantities []Quantity
	Findings   []string // IDs, with BAND and NAME as in the paths
}

// Stages are all stages, in the order of the notebook.
var Stages = []Stage{
	{"tubes", tubes, tubesFindings},
	{"antenna", antenna, antennaFindings},
	{"bias", bias, biasFindings},
	{"input", input, inputFindings},
	{"filament", filament, filamentFindings},
	{"plate_feed", plateFeed, plateFeedFindings},
	{"suppressor", suppressor, suppressorFindings},
	{"tank", tank, tankFindings},
	{"switching", switching, switchingFindings},
	{"supply", supply, supplyFindings},
	{"metering", metering, meteringFindings},
	{"protection", protection, protectionFindings},
	{"cooling", cooling, coolingFindings},
	{"exposure", exposure, exposureFindings},
	{"clearance", clearance, clearanceFindings},
	{"tune_up", tuneUp, tuneUpFindings},
	{"bring_up", bringUp, bringUpFindings},
	{"measured", measured, measuredFindings},
	{"readings", readings, readingsFindings},
	{"survey", survey, surveyFindings},
}

// IsStage says whether a stage of that name exists.
func IsStage(name string) bool {
	return slices.ContainsFunc(Stages, func(s Stage) bool { return s.Name == name })
}

// Lookup finds the declaration of a quantity by its ID, "tank.80m.inductance",
// or by its path.
func Lookup(id string) (Quantity, bool) {
	for _, s := range Stages {
		if !strings.HasPrefix(id, s.Name+".") {
			continue
		}
		for _, q := range s.Quantities {
			if Matches(q.Path, id) {
				return q, true
			}
		}
	}
	return Quantity{}, false
}

// Finding finds the stage that makes a finding, by the finding's ID. A part that
// is beyond its rating, or near it, is a finding "stage.DESIGNATOR.quantity" or
// "stage.DESIGNATOR.quantity.BAND", which needs no line of its own.
func Finding(id string) (stage string, ok bool) {
	if p := strings.Split(id, "."); len(p) > 2 && designator.MatchString(p[1]) {
		if _, ok := Lookup(p[0] + "." + p[2]); ok {
			return p[0], true
		}
		if _, ok := Lookup(p[0] + "." + Band + "." + p[2]); ok {
			return p[0], true
		}
	}
	for _, s := range Stages {
		for _, f := range s.Findings {
			if Matches(f, id) {
				return s.Name, true
			}
		}
	}
	return "", false
}

// designator is that of a part, or what stands in its place: the outlet.
var designator = regexp.MustCompile(`^([A-Z]+[0-9]+[a-z]?(-(160|80|60|40|30|20|17|15|12|10)m)?|wall)$`)

// Matches says whether an ID is one of those that a path stands for. An ID that
// still has BAND, NAME or a star in it matches where it could become one.
func Matches(path, id string) bool {
	a, b := strings.Split(path, "."), strings.Split(id, ".")
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if !part(a[i], b[i]) {
			return false
		}
	}
	return true
}

// part matches one part of a path.
func part(want, have string) bool {
	switch want {
	case have:
		return true
	case Band:
		return have == "*" || slices.Contains(spec.BandNames, have)
	case Name:
		return have != ""
	case When:
		return have == "*" || have == "before" || have == "after"
	}
	if stem, ok := strings.CutSuffix(want, Number); ok {
		if n, ok := strings.CutPrefix(have, stem+"_"); ok && (n == "*" || n != "" && strings.Trim(n, "0123456789") == "") {
			return true
		}
	}
	return strings.Contains(have, "*") && glob(have, want)
}

// glob matches a pattern with stars.
func glob(pattern, s string) bool {
	head, tail, star := strings.Cut(pattern, "*")
	if !star {
		return pattern == s
	}
	if !strings.HasPrefix(s, head) {
		return false
	}
	for i := len(head); i <= len(s); i++ {
		if glob(tail, s[i:]) {
			return true
		}
	}
	return false
}
