package report

import (
	"encoding/json"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/report/setting"
)

// SchemaVersion is the version of results.json.
const SchemaVersion = 1

// jsonResults is results.json. The tags are its one description: doc says what
// a field means, oneof which words it may hold; JSON and ResultsSchema read
// them.
type jsonResults struct {
	Schema      int                     `json:"schema" doc:"version of this format; a program that knows only older ones must refuse the file"`
	Title       string                  `json:"title" doc:"title of the notebook"`
	Quantities  map[string]jsonQuantity `json:"quantities" doc:"every number, by its id: stage.name or stage.BAND.name"`
	Findings    []jsonFinding           `json:"findings" doc:"what the builder must know, gravest first"`
	Ratings     []jsonRating            `json:"ratings" doc:"what each part bears against what it can bear"`
	Parts       []jsonPart              `json:"parts" doc:"the parts list"`
	Assumptions []jsonAssumption        `json:"assumptions" doc:"what the spec does not say"`
	Checks      []jsonCheck             `json:"checks" doc:"published figures held against the same code"`
}

type jsonQuantity struct {
	Value float64       `json:"value" doc:"the number, unrounded, in the SI unit beside it"`
	Unit  string        `json:"unit" doc:"SI unit of value; empty for a plain number, which a percentage is too: 0.65, not 65"`
	Text  string        `json:"text" doc:"the number as it is shown, rounded"`
	Name  string        `json:"name" doc:"what it is, in words"`
	From  ledger.Origin `json:"from" oneof:"spec|assumed|catalogue|computed" doc:"where it came from"`
	Where string        `json:"where" doc:"file and line, key, source, or formula"`
}

type jsonFinding struct {
	Severity   ledger.Severity `json:"severity" oneof:"exceeds|caution|note" doc:"how grave"`
	ID         string          `json:"id" doc:"stage.what"`
	Stage      string          `json:"stage" doc:"stage that found it"`
	Text       string          `json:"text" doc:"the finding in words, with its numbers"`
	Quantities []string        `json:"quantities" doc:"ids of the quantities concerned"`
	Advice     string          `json:"advice" doc:"what to do about it"`
}

type jsonRating struct {
	Part           string         `json:"part" doc:"designator"`
	Name           string         `json:"name" doc:"the part in words"`
	Stage          string         `json:"stage" doc:"stage that holds it against its stress"`
	Band           string         `json:"band,omitempty" doc:"band at which the stress is greatest"`
	Quantity       string         `json:"quantity" doc:"kind of stress, such as voltage, current, power, kva, temperature, energy, time"`
	Unit           string         `json:"unit" doc:"unit of stress and rating"`
	Stress         float64        `json:"stress" doc:"what it must bear"`
	Rating         float64        `json:"rating" doc:"what it can bear; of a part to buy, what to ask for"`
	RequiredFactor float64        `json:"required_factor" doc:"rating over stress must be at least this"`
	Margin         float64        `json:"margin" doc:"rating over stress, 999 at most"`
	Verdict        ledger.Verdict `json:"verdict" oneof:"within|thin|exceeds|to buy|not stated" doc:"the outcome"`
	Of             string         `json:"of,omitempty" doc:"id of the quantity that is the stress"`
}

type jsonPart struct {
	Designator string  `json:"designator" doc:"as in the schematic"`
	Name       string  `json:"name" doc:"what it is, in words"`
	Value      string  `json:"value" doc:"printed value"`
	Rating     string  `json:"rating" doc:"what it must stand, printed"`
	Count      int     `json:"count" doc:"pieces"`
	Stage      string  `json:"stage" doc:"stage that it belongs to"`
	Have       bool    `json:"at_hand" doc:"the builder has it; otherwise it is to buy"`
	Price      float64 `json:"price,omitempty" doc:"of one piece, in the builder's own currency"`
	Note       string  `json:"note,omitempty" doc:"how to choose it, or a caution that belongs to it"`
	Drawn      *string `json:"drawn" oneof:"rf|supply|control" doc:"sheet of the circuit diagram that the part stands on; null: on none"`
}

type jsonAssumption struct {
	Key    string `json:"key" doc:"key of the spec that overrides it"`
	Value  string `json:"value" doc:"as one would write it there"`
	Reason string `json:"reason" doc:"why it is assumed"`
}

type jsonCheck struct {
	ID        string  `json:"id" doc:"name of the check"`
	What      string  `json:"what" doc:"what is compared"`
	Computed  float64 `json:"computed" doc:"what the code gives"`
	Published float64 `json:"published" doc:"what is printed in the source"`
	Unit      string  `json:"unit" doc:"unit of both"`
	Tolerance float64 `json:"tolerance" doc:"allowed relative or absolute difference"`
	Source    string  `json:"source" doc:"the publication"`
	Known     string  `json:"known" doc:"how the figure is known: read, remembered or recomputed"`
	Holds     bool    `json:"holds" doc:"computed and published agree within the tolerance"`
}

// JSON writes the results for programs. Keys come in a fixed order, numbers
// unrounded in SI base units.
func JSON(d *compute.Design) ([]byte, error) {
	out := jsonResults{Schema: SchemaVersion, Title: title(d), Quantities: map[string]jsonQuantity{},
		Findings: []jsonFinding{}, Ratings: []jsonRating{}, Parts: []jsonPart{}, Assumptions: []jsonAssumption{}, Checks: []jsonCheck{}}
	set := setting.Plain(d.Book, d.Spec.Notebook.Lengths.Value)
	for _, q := range d.Book.Quantities() {
		where := q.Where
		if q.Step != nil && q.Step.Formula == nil {
			where = set.Sentence(q.Step.Method)
		}
		out.Quantities[q.ID] = jsonQuantity{q.Value, siUnit(q.Unit), q.Text(), q.Name, q.From, where}
	}
	for _, f := range set.Findings() {
		ids := f.Quantities
		if ids == nil {
			ids = []string{}
		}
		out.Findings = append(out.Findings, jsonFinding{f.Severity, f.ID, f.Stage, f.Text, ids, f.Advice})
	}
	for _, r := range d.Book.Ratings {
		out.Ratings = append(out.Ratings, jsonRating{r.Part, r.Name, r.Stage, r.Band, r.Quantity, siUnit(r.Unit), r.Stress, r.Rating,
			r.RequiredFactor, r.Margin, r.Verdict, r.StressID})
	}
	circuit, err := DrawCircuit(d)
	if err != nil {
		return nil, err
	}
	for _, p := range set.Parts() {
		var drawn *string
		if on, ok := circuit.On[p.Designator]; ok {
			drawn = &on
		}
		out.Parts = append(out.Parts, jsonPart{p.Designator, p.Name, p.Value, p.Rating, p.Count, p.Stage, p.Given, p.Price, p.Note,
			drawn})
	}
	for _, a := range set.Assumptions() {
		out.Assumptions = append(out.Assumptions, jsonAssumption(a))
	}
	for _, c := range d.Checks() {
		out.Checks = append(out.Checks, jsonCheck{c.ID, c.What, c.Computed, c.Published, siUnit(c.Unit), c.Tolerance, c.Source,
			string(c.Known), c.Holds()})
	}
	b, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		return nil, err
	}
	return append(b, '\n'), nil
}

// siUnit is the unit in which a value stands in the results, whatever unit it
// is shown in.
func siUnit(shown string) string {
	switch shown {
	case "%", "ppm", "turns":
		return ""
	case "°":
		return "rad"
	case "°C":
		return "K"
	}
	return shown
}
