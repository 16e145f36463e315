// Package custom makes a tube type of the builder's own description, the table
// [tubes.custom] of the spec, and fits its static model on the spot.
//
// It assumes that every figure of a column is for one tube, cathode driven with
// the grid at ground, and takes all of them as equally well known. Figures that
// contradict each other beyond what any class AB or B pulse allows are refused;
// what contradiction is left shows in the residuals of the fit.
package custom

import (
	"fmt"
	"math"
	"sort"

	"anodebook/compute/physics/tube"
	"anodebook/compute/physics/tube/internal/fit"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// leastRatio and greatestRatio bound I_p1/I_p0, the fundamental of the plate
// current over its mean, that a column may imply [1]. A constant current with a
// small wave on it has less, a train of needles 2; cosine pulses of class AB
// and B have 1.33 to 1.57, with the 3/2 law up to 1.66 (Terman 1943).
const (
	leastRatio    = 1.2
	greatestRatio = 1.8
)

// New makes the type. The errors are spec.Problems: figures that contradict
// each other, or columns that no static model meets.
func New(s *spec.Spec) (*tube.Type, error) {
	c := &s.Tubes.Custom
	b := &builder{spec: s, t: &tube.Type{
		Name: c.Name.Value, Own: true, Triode: true, Sources: map[string]string{},
		Description: "a tube of the builder's own, known by the figures in the spec only",
		Cathode:     tube.Oxide,
		Plate:       tube.Plate{Kind: tube.UnknownPlate},
		Cautions: []string{"Envelope unknown to the catalogue: glass is hot for long after switch-off, and the ceramic of some " +
			"types contains beryllium oxide, whose dust is poisonous. Treat it as both until you know better."},
	}}
	t := b.t
	if c.Cathode.Value == "directly-heated" {
		t.Cathode = tube.ThoriatedTungsten
	}
	if a := c.Amplification; a.Given {
		t.Mu = b.figure(a.Origin, a.Value)
	}
	t.Heater = tube.Heater{Voltage: b.take(c.HeaterVoltage), Current: b.take(c.HeaterCurrent), WarmUp: b.take(c.WarmUp)}
	if x := c.HeaterTolerance; x.Given {
		t.Heater.Tolerance = b.figure(x.Origin, x.SI*c.HeaterVoltage.SI)
	}
	t.Capacitance = tube.Capacitance{Input: b.take(c.InputCapacitance), Output: b.take(c.OutputCapacitance),
		Feedback: b.take(c.FeedbackCapacitance)}
	t.Limits = tube.Limits{PlateVoltage: b.take(c.PlateVoltage), PlateCurrent: b.take(c.PlateCurrent),
		PlateDissipation: b.take(c.PlateDissipation),
		GridDissipation:  b.take(c.GridDissipation), GridCurrent: b.take(c.GridCurrent), Frequency: b.take(c.Frequency)}
	t.Cooling.Method = "as the builder found out"
	if c.Airflow.Given {
		t.Cooling.Air = []tube.Air{{Dissipation: b.take(c.PlateDissipation), Flow: b.take(c.Airflow), Pressure: b.take(c.Pressure)}}
	}
	b.columns()
	if len(b.problems) > 0 {
		return nil, b.problems
	}
	if err := b.fit(); err != nil {
		return nil, err
	}
	return t, nil
}

type builder struct {
	spec     *spec.Spec
	t        *tube.Type
	problems spec.Problems
}

func (b *builder) figure(o spec.Origin, v float64) tube.Figure {
	b.t.Sources[o.Key] = b.spec.Where(o)
	return tube.Figure{Value: v, Known: true, Mark: tube.FromSpec, Grade: tube.SpecGrade, Source: o.Key}
}

func (b *builder) take(q spec.Quantity) tube.Figure {
	if !q.Known() {
		return tube.Figure{}
	}
	return b.figure(q.Origin, q.SI)
}

func (b *builder) problem(o spec.Origin, what, hint string) {
	b.problems = append(b.problems, spec.Problem{File: b.spec.File, Position: o.Position, Key: o.Key, What: what, Hint: hint})
}

// columns enters operating columns and idle readings, in the order of their
// names.
func (b *builder) columns() {
	all := b.spec.Tubes.Custom.Column
	scaled := false // something fixes the current that a grid voltage gives
	names := make([]string, 0, len(all))
	for n := range all {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		c := all[n]
		if c.IdleCurrent.Given {
			b.t.Idle = append(b.t.Idle, tube.IdlePoint{PlateVoltage: c.PlateVoltage.SI, Bias: c.Bias.SI,
				Current: b.take(c.IdleCurrent)})
		}
		if c.Idle() {
			continue
		}
		k := tube.Column{Name: n, Tubes: 1, PlateVoltage: b.take(c.PlateVoltage), Bias: b.take(c.Bias),
			IdleCurrent:  b.take(c.IdleCurrent),
			PlateCurrent: b.take(c.PlateCurrent), GridCurrent: b.take(c.GridCurrent), PlateLoad: b.take(c.PlateLoad),
			Driving:    b.take(c.Driving),
			DrivePower: b.take(c.DrivePower), Output: b.take(c.Output)}
		b.t.Columns = append(b.t.Columns, k)
		b.contradictions(c, k)
		scaled = scaled || k.GridCurrent.Known || k.Driving.Known || k.DrivePower.Known
	}
	if !scaled && len(b.t.Idle) == 0 && len(names) > 0 {
		b.problem(all[names[0]].PlateCurrent.Origin,
			"nothing in the columns tells how hard the tube must be driven: plate current, load and output are met by a tube of any "+
				"size",
			"add idle_current, driving_impedance or drive_power to a column, best all of them")
	}
}

// contradictions refuses a column whose plate current, output and load no
// pulse can have together.
func (b *builder) contradictions(c spec.CustomColumn, k tube.Column) {
	if !k.PlateLoad.Known {
		return // the spec has held the output against the input
	}
	if swing := math.Sqrt(2 * k.Output.Value * k.PlateLoad.Value); swing >= k.PlateVoltage.Value {
		b.problem(c.PlateLoad.Origin, fmt.Sprintf("%s into %s needs a plate swing of %s, more than the plate voltage of %s",
			show(k.Output.Value, "W"), show(k.PlateLoad.Value, "Ω"), show(swing, "V"), show(k.PlateVoltage.Value, "V")),
			"all figures of a column are for one tube: the load of one tube is twice that of two in parallel")
		return
	}
	if ratio, ok := k.FundamentalRatio(); ok && (ratio < leastRatio || ratio > greatestRatio) {
		b.problem(c.PlateLoad.Origin,
			fmt.Sprintf("plate current, output and load contradict each other: together they make the fundamental of the plate current "+
				"%.2f times its mean, and a pulse of class AB or B has 1.4 to 1.66", ratio),
			"all figures of a column are for one tube; output is at the plate, before the losses of the tank")
	}
}

func show(si float64, unit string) string { return quantity.Format(si, unit, 3) }

// fit finds the model, or takes it from the memory of the last fits.
func (b *builder) fit() error {
	t := b.t
	key := fmt.Sprint(t.Mu.Value, names(t.Columns), values(t.Columns), idle(t.Idle))
	m, known := remembered(key)
	if !known {
		var err error
		if m, err = fresh(t); err != nil {
			return spec.Problems{{File: b.spec.File, Position: b.spec.Tubes.Custom.Name.Position, Key: "tubes.custom.column",
				What: "no static model meets the columns: " + err.Error(),
				Hint: "look for a figure of two tubes among those of one, or a slipped decimal point"}}
		}
		remember(key, m)
	}
	t.Kind, t.Model, t.Residuals, t.Parameters = m.kind, m.model, m.residuals, m.parameters
	return nil
}

func fresh(t *tube.Type) (fitted, error) {
	var f fitted
	var err error
	if f.model, f.kind, err = fit.Model(t); err != nil {
		return f, err
	}
	if len(t.Columns) < 2 {
		f.kind = tube.Estimate // one column and µ leave most to the rules
	}
	if f.residuals, err = tube.Compare(f.model, t.Columns, t.Idle); err != nil {
		return f, err
	}
	if len(t.Columns) > 0 {
		f.parameters, err = fit.Identify(t, f.model)
	}
	return f, err
}
