package report

import (
	"encoding/json"

	"anodebook/compute"
	"anodebook/compute/ledger"
)

// SchemaVersion is the version of results.json.
const SchemaVersion = 1

type jsonQuantity struct {
	Value float64       `json:"value"`
	Unit  string        `json:"unit"`
	Text  string        `json:"text"`
	Name  string        `json:"name"`
	From  ledger.Origin `json:"from"`
	Where string        `json:"where"`
}

type jsonFinding struct {
	Severity   ledger.Severity `json:"severity"`
	ID         string          `json:"id"`
	Stage      string          `json:"stage"`
	Text       string          `json:"text"`
	Quantities []string        `json:"quantities"`
	Advice     string          `json:"advice"`
}

type jsonRating struct {
	Part           string         `json:"part"`
	Name           string         `json:"name"`
	Stage          string         `json:"stage"`
	Band           string         `json:"band,omitempty"`
	Quantity       string         `json:"quantity"`
	Unit           string         `json:"unit"`
	Stress         float64        `json:"stress"`
	Rating         float64        `json:"rating"`
	RequiredFactor float64        `json:"required_factor"`
	Margin         float64        `json:"margin"`
	Verdict        ledger.Verdict `json:"verdict"`
	Of             string         `json:"of,omitempty"`
}

type jsonPart struct {
	Designator string  `json:"designator"`
	Name       string  `json:"name"`
	Value      string  `json:"value"`
	Rating     string  `json:"rating"`
	Count      int     `json:"count"`
	Stage      string  `json:"stage"`
	Have       bool    `json:"at_hand"`
	Price      float64 `json:"price,omitempty"`
	Note       string  `json:"note,omitempty"`
}

type jsonAssumption struct {
	Key    string `json:"key"`
	Value  string `json:"value"`
	Reason string `json:"reason"`
}

type jsonCheck struct {
	ID        string  `json:"id"`
	What      string  `json:"what"`
	Computed  float64 `json:"computed"`
	Published float64 `json:"published"`
	Unit      string  `json:"unit"`
	Tolerance float64 `json:"tolerance"`
	Source    string  `json:"source"`
	Known     string  `json:"known"`
	Holds     bool    `json:"holds"`
}

// JSON writes the results for programs. Keys come in a fixed order, numbers
// unrounded in SI base units.
func JSON(d *compute.Design) ([]byte, error) {
	out := struct {
		Schema      int                     `json:"schema"`
		Title       string                  `json:"title"`
		Quantities  map[string]jsonQuantity `json:"quantities"`
		Findings    []jsonFinding           `json:"findings"`
		Ratings     []jsonRating            `json:"ratings"`
		Parts       []jsonPart              `json:"parts"`
		Assumptions []jsonAssumption        `json:"assumptions"`
		Checks      []jsonCheck             `json:"checks"`
	}{Schema: SchemaVersion, Title: title(d), Quantities: map[string]jsonQuantity{},
		Findings: []jsonFinding{}, Ratings: []jsonRating{}, Parts: []jsonPart{}, Assumptions: []jsonAssumption{}, Checks: []jsonCheck{}}
	for _, q := range d.Book.Quantities() {
		out.Quantities[q.ID] = jsonQuantity{q.Value, q.Unit, q.Text(), q.Name, q.From, q.Where}
	}
	for _, f := range d.Book.Sorted() {
		ids := f.Quantities
		if ids == nil {
			ids = []string{}
		}
		out.Findings = append(out.Findings, jsonFinding{f.Severity, f.ID, f.Stage, f.Text, ids, f.Advice})
	}
	for _, r := range d.Book.Ratings {
		out.Ratings = append(out.Ratings, jsonRating{r.Part, r.Name, r.Stage, r.Band, r.Quantity, r.Unit, r.Stress, r.Rating, r.RequiredFactor, r.Margin, r.Verdict, r.StressID})
	}
	for _, p := range d.Book.Parts {
		out.Parts = append(out.Parts, jsonPart{p.Designator, p.Name, p.Value, p.Rating, p.Count, p.Stage, p.Given, p.Price, p.Note})
	}
	for _, a := range d.Book.Assumptions {
		out.Assumptions = append(out.Assumptions, jsonAssumption(a))
	}
	for _, c := range d.Checks() {
		out.Checks = append(out.Checks, jsonCheck{c.ID, c.What, c.Computed, c.Published, c.Unit, c.Tolerance, c.Source, string(c.Known), c.Holds()})
	}
	b, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		return nil, err
	}
	return append(b, '\n'), nil
}
