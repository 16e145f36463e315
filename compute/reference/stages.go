package reference

import (
	"math"

	"anodebook/compute/desk"
	"anodebook/compute/filament"
	"anodebook/compute/ledger"
	"anodebook/compute/metering"
	"anodebook/compute/rules"
	"anodebook/compute/tube"
	"anodebook/spec"
)

// plainDesk is a desk with a spec that says no more than it must, so that
// every default of the program shows.
func plainDesk() (*desk.Desk, error) {
	s, err := spec.Read("practice.toml", []byte(plainSpec), spec.Names{Tubes: tube.Types(), Rules: rules.Names()})
	if err != nil {
		return nil, err
	}
	return desk.New(s), nil
}

const plainSpec = `[target]
output = "1000 W"
bands = ["80m", "40m", "20m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "3000 V"
`

// meters runs the metering stage with the currents and the voltage of the
// inputs.
func meters(pick func(*desk.Desk, metering.Result) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		d, err := plainDesk()
		if err != nil {
			return math.NaN(), err
		}
		q := func(name, unit string) *ledger.Quantity {
			return d.Catalogue("check."+name, name, in[name], unit, "check")
		}
		volts := q("plate_voltage", "V")
		r, err := metering.Solve(d, metering.Input{
			PlateCurrent: q("plate_current", "A"), GridCurrent: q("grid_current", "A"), IdleCurrent: q("idle_current", "A"),
			FilterVoltage: volts, NoLoadVoltage: volts, HighestVoltage: volts,
		})
		if err != nil {
			return math.NaN(), err
		}
		return pick(d, r), nil
	}
}

// heating runs the filament stage for a number of 3-500Z.
func heating(pick func(*desk.Desk, filament.Result) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		d, err := plainDesk()
		if err != nil {
			return math.NaN(), err
		}
		t, _ := tube.Lookup("3-500Z")
		r, err := filament.Solve(d, filament.Input{
			Type: t, Tubes: int(in["tubes"]), LowestFrequency: in["f"],
			InputResistance: d.Catalogue("check.input_resistance", "input resistance", in["input_resistance"], "Ω", "check"),
			CathodeCurrent:  d.Catalogue("check.cathode_current", "cathode current", in["cathode_current"], "A", "check"),
		})
		if err != nil {
			return math.NaN(), err
		}
		return pick(d, r), nil
	}
}

// transformerRating is the current that the filament transformer must be
// rated for.
func transformerRating(d *desk.Desk, _ filament.Result) float64 {
	for _, r := range d.Ratings {
		if r.Part == "T2" && r.Quantity == "current" {
			return r.Rating
		}
	}
	return math.NaN()
}

var stageFunctions = map[string]evaluator{
	"filament.current":     heating(func(_ *desk.Desk, r filament.Result) float64 { return r.Current }),
	"filament.secondary":   heating(func(_ *desk.Desk, r filament.Result) float64 { return r.SecondaryVoltage }),
	"filament.transformer": heating(transformerRating),
	"metering.rail": meters(func(d *desk.Desk, _ metering.Result) float64 {
		return d.Get("metering.rail_voltage").Value
	}),
	"metering.multiplier": meters(func(_ *desk.Desk, r metering.Result) float64 { return r.MultiplierEach }),
	"metering.multiplier_limit": meters(func(d *desk.Desk, _ metering.Result) float64 {
		return d.Get("metering.multiplier_limit").Value
	}),
}
