// Package compute turns a spec into a computed design. Run is the only place
// that knows the order of the stages; each stage is a package of its own below
// this one and knows only what it is handed.
package compute

import (
	"fmt"
	"maps"
	"slices"
	"sync"

	"anodebook/compute/data/rules"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/compute/reference"
	"anodebook/compute/stage/bias"
	"anodebook/compute/stage/bringup"
	"anodebook/compute/stage/clearance"
	"anodebook/compute/stage/cooling"
	"anodebook/compute/stage/exposure"
	"anodebook/compute/stage/filament"
	"anodebook/compute/stage/input"
	"anodebook/compute/stage/measured"
	"anodebook/compute/stage/metering"
	"anodebook/compute/stage/operating"
	"anodebook/compute/stage/platefeed"
	"anodebook/compute/stage/supply"
	"anodebook/compute/stage/suppressor"
	"anodebook/compute/stage/switching"
	"anodebook/compute/stage/tank"
	"anodebook/spec"
)

// Design is a computed amplifier: the book with every number, finding, rating
// and part, and the results of the stages for the figures.
type Design struct {
	Spec  *spec.Spec
	Book  *ledger.Book
	Type  *tube.Type
	Rules rules.Set

	Operating  operating.Result
	Bias       bias.Result
	Input      input.Result
	Filament   filament.Result
	PlateFeed  platefeed.Result
	Tank       tank.Result
	Suppressor suppressor.Result
	Switching  switching.Result
	Supply     supply.Result
	Metering   metering.Result
	Trips      metering.TripResult
	Cooling    cooling.Result
	Exposure   exposure.Result
	Clearance  clearance.Result
	BringUp    bringup.Result
	Interlocks []metering.Interlock
	Readings   []ReadingGroup
	Survey     Survey
	Measured   measured.Result

	checks   []reference.Result
	tuneOnce sync.Once
	tuneUp   []TuneGroup
	biasOnce sync.Once
	biasRows []operating.BiasRow
}

// Names are the words that a spec may use and that only the catalogue and the
// rule sets know; the builder's own tube is one of the types.
func Names() spec.Names {
	return spec.Names{Tubes: append(tube.Types(), spec.CustomType), Rules: rules.Names()}
}

// Checks are the published checks that touch the design. They are made when
// first asked for.
func (d *Design) Checks() []reference.Result {
	if d.checks == nil {
		name := d.Type.Name
		if d.Type.Own {
			name = "" // whatever it is called, nothing is published about it
		}
		d.checks = reference.Touching(name)
	}
	return d.checks
}

// Run computes the design. An error is spec.Problems and says what makes the
// whole amplifier impossible; everything else becomes a finding. The same spec
// gives the same design, bit for bit.
func Run(s *spec.Spec) (*Design, error) {
	return guarded(s, func() (*Design, error) { return solve(s) })
}

func solve(s *spec.Spec) (*Design, error) {
	if err := metering.Scales(s); err != nil {
		return nil, err
	}
	l, err := closeLoop(s)
	if err != nil {
		return nil, err
	}
	set, err := rules.Lookup(s.Notebook.Rules.Value)
	if err != nil {
		return nil, err
	}
	k := desk.New(s)
	d := &Design{Spec: s, Book: k.Book, Type: l.tube, Rules: set}
	n := s.Tubes.Count.N

	d.Operating, err = operating.Solve(k, operating.Input{
		Type: l.tube, PlateVoltage: l.plateVoltage, Coupled: l.coupled, Residual: l.residual, Bias: l.bias, Point: l.point,
		Feed:           l.plan.Loaded,
		TankEfficiency: l.efficiency, WorstBand: l.worst,
	})
	if err != nil {
		return nil, err
	}
	o := &d.Operating
	swr := k.TakeRatio("antenna.swr", "greatest SWR at the antenna connector", s.Target.SWR)
	glitch := platefeed.Glitch(k)

	lowest, highest := l.bands[0], l.bands[0]
	for _, b := range l.bands {
		if b.Low < lowest.Low {
			lowest = b
		}
		if b.High > highest.High {
			highest = b
		}
	}
	d.Filament, err = filament.Solve(k, filament.Input{Type: l.tube, Tubes: n, LowestFrequency: lowest.Centre,
		InputResistance: o.InputResistance, CathodeCurrent: o.CathodeCurrent})
	if err != nil {
		return nil, err
	}

	_, multiplier := metering.String(s, l.plan.HighestVoltage())
	d.Supply, err = supply.Solve(k, supply.Input{
		Multiplier: multiplier, Plan: l.plan, PlateCurrent: o.PlateCurrent, IdleCurrent: o.IdleCurrent,
		TwoToneCurrent: o.PlateCurrentTwoTone, ServiceCurrent: o.PlateCurrentEffective,
		PlateVoltage: o.PlateVoltage, CoupledResidual: l.residual, Glitch: glitch, FilamentPower: k.Get("filament.power"),
		PlatePull: l.platePull(),
	})
	if err != nil {
		return nil, noSupply(s, err)
	}
	d.Bias, err = bias.Solve(k, bias.Input{
		Type: l.tube, Tubes: n, PlateVoltage: o.PlateVoltage, IdleVoltage: k.Get("supply.idle_voltage"), BiasVoltage: o.BiasVoltage,
		IdleCurrent:  o.IdleCurrent,
		PlateCurrent: o.PlateCurrent, GridCurrent: o.GridCurrent, Model: l.tube.Model,
		StandbyVoltage: k.Get("supply.standby_voltage"), Feed: l.plan.Loaded,
	})
	if err != nil {
		return nil, noSupply(s, err)
	}
	inputBands := make([]input.Band, len(l.bands))
	for i, b := range l.bands {
		inputBands[i] = input.Band(b)
	}
	d.Input, err = input.Solve(k, input.Input{Bands: inputBands, Type: l.tube, InputResistance: o.InputResistance,
		DrivePower: o.DrivePower, BiasVoltage: o.BiasVoltage,
		InputResistanceAt: remembered(o.InputResistanceAt)})
	if err != nil {
		return nil, err
	}
	feedBands := make([]platefeed.Band, len(l.bands))
	for i, b := range l.bands {
		feedBands[i] = platefeed.Band{Name: b.Name, Centre: b.Centre, Low: b.Low, High: b.High}
	}
	d.PlateFeed, err = platefeed.Solve(k, platefeed.Input{
		PlateLoad: o.PlateLoad, PlateVoltage: o.PlateVoltage, PlateCurrent: o.PlateCurrent, PlateSwing: o.PlateSwing,
		NoLoadVoltage: l.plan.HighestVoltage(), Bands: feedBands, Networks: l.networks, Output: o.Output, SWR: swr,
		FaultPeak: k.Get("supply.fault_peak_current"), FaultAction: k.Get("supply.fault_action"),
		FaultResistance: k.Get("supply.fault_resistance"),
		Follow:          k.Get("supply.fault_follow_current"), Capacitance: k.Get("supply.filter_capacitance"),
		CapacitorTolerance: k.Get("supply.capacitor_tolerance"),
	})
	if err != nil {
		return nil, err
	}
	limit, where, err := harmonicLimit(set, o.Output.Value)
	if err != nil {
		return nil, err
	}
	d.Tank, err = tank.Solve(k, tank.Input{
		Bands: l.bands, Networks: l.networks, Type: l.tube, PlateLoad: o.PlateLoad, PlateVoltage: o.PlateVoltage,
		PlateOutput: o.PlateOutput,
		Output:      o.Output, AnodeCurrents: o.Harmonics, SWR: swr, ChokeInductance: k.Get("plate_feed.choke_inductance"),
		Blocking:      k.Get("plate_feed.blocking_capacitance"),
		HarmonicLimit: limit, HarmonicSource: where,
	})
	if err != nil {
		return nil, err
	}
	l.wasteful(k, s)
	d.Suppressor, err = suppressor.Solve(k, suppressor.Input{
		Type: l.tube, Tubes: n, HighestFrequency: highest.Centre, HighestBand: highest.Name,
		PlateCurrentFundamentalEach: k.Get("tubes.plate_current_fundamental_each"), PlateSwing: o.PlateSwing,
		Crest:           suppressor.Voltages{Grid: o.Point.PeakGridVoltage, Plate: o.Point.MinimumPlateToCathode},
		Idle:            suppressor.Voltages{Grid: -o.Idle.BiasVoltage, Plate: o.Idle.PlateVoltage - o.Idle.BiasVoltage},
		TuneCapacitance: k.Get("tank." + highest.Name + ".tune_capacitance"),
	})
	if err != nil {
		return nil, err
	}
	d.Switching, err = switching.Solve(k, switching.Input{Output: o.Output, SWR: swr})
	if err != nil {
		return nil, err
	}
	d.Metering, err = metering.Solve(k, metering.Input{
		PlateCurrent: o.PlateCurrent, GridCurrent: o.GridCurrent, IdleCurrent: o.IdleCurrent,
		FilterVoltage: k.Get("supply.full_load_voltage"),
		NoLoadVoltage: k.Get("supply.no_load_voltage"), HighestVoltage: k.Get("supply.highest_voltage"),
		Fault: k.Get("supply.fault_peak_current"), FaultLoop: k.Get("supply.fault_resistance"),
		StoredEnergy: k.Get("supply.stored_energy"),
	})
	if err != nil {
		return nil, err
	}
	d.Cooling, err = cooling.Solve(k, cooling.Input{Type: l.tube, Tubes: n, PlateDissipationEach: o.PlateDissipationEach,
		GridDissipationEach: o.GridDissipationEach})
	if err != nil {
		return nil, err
	}
	d.trips(k)
	names := make([]string, len(l.bands))
	for i, b := range l.bands {
		names[i] = b.Name
	}
	if d.Exposure, err = exposure.Solve(k, exposure.Input{Rules: set, Bands: names, Output: o.Output}); err != nil {
		return nil, err
	}
	if err = d.protect(k, names); err != nil {
		return nil, err
	}
	if err = d.measure(k, s, l.bands); err != nil {
		return nil, err
	}
	leaveOut(s, k.Book)
	if err = prices(s, k.Book); err != nil {
		return nil, err
	}
	if err = d.readings(k); err != nil {
		return nil, err
	}
	d.survey(k)
	return d, nil
}

// harmonicLimit is how far the harmonics must lie below the fundamental [dB].
func harmonicLimit(set rules.Set, power float64) (float64, ledger.Source, error) {
	l, err := set.HarmonicLimit(power)
	if err != nil {
		return 0, ledger.Source{}, err
	}
	return l.Attenuation, ledger.Source{Key: "harmonic-limit", Title: l.Citation, Known: source.Mark(l.Known)}, nil
}

// prices puts the builder's prices into the parts list. A price for a part that
// is not there is a slip of the pen, and would be missing from the sum.
func prices(s *spec.Spec, b *ledger.Book) error {
	var names []string
	for i, p := range b.Parts {
		names = append(names, p.Designator)
		if r, ok := s.Prices[p.Designator]; ok {
			b.Parts[i].Price = r.Value
		}
	}
	var problems spec.Problems
	for _, d := range slices.Sorted(maps.Keys(s.Prices)) {
		if !slices.Contains(names, d) {
			o := s.Prices[d].Origin
			hint := "parts.csv lists the designators"
			if near := spec.Suggest(d, names); near != "" {
				hint = fmt.Sprintf("did you mean %s?", near)
			}
			problems = append(problems, spec.Problem{File: s.File, Position: o.Position, Key: o.Key,
				What: fmt.Sprintf("the parts list has no %s", d), Hint: hint})
		}
	}
	if len(problems) > 0 {
		return problems
	}
	return nil
}

// remembered keeps what a function gave: every band asks for the same shares.
func remembered(f func(float64) float64) func(float64) float64 {
	known := map[float64]float64{}
	return func(x float64) float64 {
		v, ok := known[x]
		if !ok {
			v = f(x)
			known[x] = v
		}
		return v
	}
}
