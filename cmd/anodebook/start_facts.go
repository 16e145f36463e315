package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/spec"
	"anodebook/spec/quantity"
	"anodebook/templates"
)

const (
	titleKey   = "notebook.title"
	purposeKey = "notebook.purpose"
	lengthsKey = "notebook.lengths"
	rulesKey   = "notebook.rules"
	outputKey  = "target.output"
	bandsKey   = "target.bands"
	tubeKey    = "tubes.type"
	voltageKey = "supply.plate_voltage"
)

// question is one fact with which a spec begins.
type question struct{ key, flag, use, ask string }

// questions in the order in which they are asked: the tube first, because
// what is proposed for the rest follows from it.
var questions = []question{
	{tubeKey, "tube", "trade designation `T` of the tube (anodebook tubes lists them)", "tube type"},
	{bandsKey, "bands", "bands `B` to cover, such as 80m,40m,20m", "bands to cover"},
	{rulesKey, "rules", "rule set `R` for bands, power and exposure", "rule set for bands, power and exposure"},
	{outputKey, "output", "peak envelope power `P` at the antenna connector, such as 800W",
		"peak envelope power at the antenna connector"},
	{voltageKey, "plate-voltage", "plate voltage `V` under load, such as 2.5kV", "plate voltage under load"},
	{lengthsKey, "lengths", "`UNITS` of lengths and wire: metric or inch", "units of lengths and wire, metric or inch"},
	{titleKey, "title", "`TITLE` of the notebook", "title of the notebook"},
}

// purposeQuestion is asked in the interview only; the flag is --restoration.
var purposeQuestion = question{purposeKey, "restoration", "", "a plan, a restoration or a review"}

// facts are the beginnings of a spec by key, as text; bands are set apart by
// commas or spaces.
type facts map[string]string

// starterFacts are those of the starter spec, and the defaults of the format
// for what it does not say.
func starterFacts() (facts, error) {
	src, err := templates.FS.ReadFile("starter.toml")
	if err != nil {
		return nil, err
	}
	s, err := spec.Read(starterName, src, compute.Names())
	if err != nil {
		return nil, err
	}
	return facts{
		tubeKey: s.Tubes.Type.Value, bandsKey: strings.Join(s.Target.Bands.Values, ", "),
		outputKey: plainly(s.Target.Output.SI, "W"), voltageKey: plainly(s.Supply.PlateVoltage.SI, "V"),
		rulesKey: s.Notebook.Rules.Value, lengthsKey: s.Notebook.Lengths.Value, purposeKey: s.Notebook.Purpose.Value,
	}, nil
}

// toml writes a fact as a value of the spec.
func (f facts) toml(key string) string {
	if key != bandsKey {
		return tomlText(f[key])
	}
	var list []string
	for _, b := range strings.FieldsFunc(f[key], func(c rune) bool { return c == ',' || c == ' ' }) {
		list = append(list, tomlText(b))
	}
	return "[" + strings.Join(list, ", ") + "]"
}

// short is the shortest spec of the facts.
func (f facts) short() string {
	var b strings.Builder
	table := ""
	for _, key := range []string{titleKey, purposeKey, lengthsKey, rulesKey, outputKey, bandsKey, tubeKey, voltageKey} {
		if f[key] == "" {
			continue
		}
		t, name, _ := strings.Cut(key, ".")
		if t != table {
			table = t
			fmt.Fprintf(&b, "[%s]\n", t)
		}
		fmt.Fprintf(&b, "%s = %s\n", name, f.toml(key))
	}
	return b.String()
}

// slips is what is wrong with the facts, as the spec code says it, with the
// flag in place of the key.
func (f facts) slips() (out []spec.Problem) {
	base, err := starterFacts()
	if err != nil {
		return []spec.Problem{{What: err.Error()}}
	}
	for _, q := range append(slices.Clone(questions), purposeQuestion) {
		text, given := f[q.key]
		if !given {
			continue
		}
		p, wrong := slip(base, q, text)
		if wrong {
			p.What = "--" + q.flag + ": " + p.What
			out = append(out, p)
		}
	}
	return out
}

// slip says what is wrong with one answer.
func slip(base facts, q question, text string) (spec.Problem, bool) {
	if text == "" && q.key != titleKey {
		return spec.Problem{What: "empty", Hint: "leave it out, or say for example " + base[q.key]}, true
	}
	if q.key == tubeKey && text == spec.CustomType {
		return spec.Problem{What: "a tube of your own is described in the spec itself",
			Hint: "begin with a type of the catalogue, then change it to the table [tubes.custom]"}, true
	}
	try := facts{}
	for k, v := range base {
		try[k] = v
	}
	try[q.key] = text
	_, err := spec.Read("answer", []byte(try.short()), compute.Names())
	var ps spec.Problems
	if errors.As(err, &ps) {
		for _, p := range ps {
			if p.Key == q.key {
				return p, true
			}
		}
	}
	if err != nil {
		return spec.Problem{What: err.Error()}, true
	}
	if q.key == tubeKey {
		if t, ok := tube.Lookup(text); !ok || t.Kind == tube.NoModel {
			return spec.Problem{What: text + " has no model: the catalogue knows no published figures to found one on",
				Hint: "types with a model: " + strings.Join(modelled(), ", ")}, true
		}
	}
	return spec.Problem{}, false
}

// modelled lists the types that can be computed.
func modelled() (out []string) {
	for _, t := range tube.All() {
		if t.Kind != tube.NoModel {
			out = append(out, t.Name)
		}
	}
	return out
}

// completed fills in what is not given, and says why by key.
func (f facts) completed() (facts, map[string]string, error) {
	base, err := starterFacts()
	if err != nil {
		return nil, nil, err
	}
	out, why := facts{}, map[string]string{}
	for k, v := range f {
		out[k] = v
	}
	for _, k := range []string{tubeKey, bandsKey} {
		if out[k] == "" {
			out[k] = base[k]
		}
	}
	if out[outputKey] != "" && out[voltageKey] != "" {
		return out, why, nil
	}
	t, ok := tube.Lookup(out[tubeKey])
	if !ok {
		return nil, nil, fmt.Errorf("start: type %q is not in the catalogue", out[tubeKey])
	}
	usual := siOf(base[outputKey])
	if out[voltageKey] == "" {
		wanted := usual
		if out[outputKey] != "" {
			wanted = siOf(out[outputKey])
		}
		if t.Name == base[tubeKey] && wanted == usual {
			out[voltageKey], why[voltageKey] = base[voltageKey], "as in the starter spec"
		} else {
			v, reason := voltageFor(t, wanted)
			out[voltageKey], why[voltageKey] = plainly(v, "V"), reason
		}
	}
	if out[outputKey] == "" {
		why[outputKey] = out.reduce(outputFor(t, siOf(out[voltageKey]), usual))
	}
	return out, why, nil
}

// plainly writes a value without prefix and idle zeros.
func plainly(v float64, unit string) string { return quantity.Short(v, 6) + " " + unit }

func siOf(text string) float64 {
	v, _ := quantity.Parse(text)
	return v.SI
}

// voltageFor is the lowest plate voltage [V] of a published column that gives
// an output of a pair [W]; failing that the one that gives most, and where
// nothing is published 0.8 of the rating.
func voltageFor(t *tube.Type, output float64) (voltage float64, reason string) {
	best := tube.Column{}
	for _, c := range t.ColumnsEach() {
		if !c.PlateVoltage.Known || !c.Output.Known {
			continue
		}
		enough, had := 2*c.Output.Value >= output, 2*best.Output.Value >= output
		switch {
		case !best.Output.Known,
			enough && (!had || c.PlateVoltage.Value < best.PlateVoltage.Value),
			!enough && !had && c.Output.Value > best.Output.Value:
			best = c
		}
	}
	if !best.Output.Known {
		return math.Floor(0.8*t.Limits.PlateVoltage.Value/100) * 100, "0.8 of the rating, for want of a published column"
	}
	return best.PlateVoltage.Value, fmt.Sprintf("published column in which two tubes give %s",
		quantity.Format(2*best.Output.Value, "W", 3))
}

// outputFor is what a pair gives at a plate voltage [V], from the published
// column nearest below it, and no more than the usual [W]. Of a type without
// columns it is four times the plate dissipation of one tube: an efficiency of
// two thirds at the full dissipation of both.
func outputFor(t *tube.Type, voltage, usual float64) float64 {
	out, from := 4*t.Limits.PlateDissipation.Value, 0.0
	for _, c := range t.ColumnsEach() {
		v := c.PlateVoltage.Value
		if !c.PlateVoltage.Known || !c.Output.Known || from > 0 && (v > voltage || v < from) {
			continue
		}
		if v == from && 2*c.Output.Value <= out {
			continue
		}
		out, from = 2*c.Output.Value*math.Min(1, voltage/v), v
	}
	return math.Min(out, usual)
}

// reduce sets the output to at most some power [W], and to less where more
// would exceed a rating or a limit; it says which.
func (f facts) reduce(most float64) (reason string) {
	reason = "at this output nothing exceeds a rating or a limit"
	for power := rounded(most); power >= 20; power = rounded(0.93 * power) {
		f[outputKey] = plainly(power, "W")
		s, err := spec.Read("new spec", []byte(f.short()), compute.Names())
		if err != nil {
			continue
		}
		if d, err := compute.Run(s); err == nil && d.Book.Worst() != ledger.Exceeds {
			return reason
		}
		reason = "with more, something would exceed a rating or a limit"
	}
	f[outputKey] = plainly(rounded(most), "W")
	return "something exceeds a rating or a limit at any output: see anodebook check"
}

// rounded makes a power [W] round, downwards.
func rounded(power float64) float64 {
	step := 50.0
	if power < 500 {
		step = 10
	}
	return math.Floor(power/step) * step
}
