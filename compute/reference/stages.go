package reference

import (
	"math"

	"anodebook/compute/data/rules"
	"anodebook/compute/desk"
	"anodebook/compute/format/touchstone"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/compute/stage/bringup"
	"anodebook/compute/stage/filament"
	"anodebook/compute/stage/measured"
	"anodebook/compute/stage/metering"
	"anodebook/compute/stage/switching"
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

// relay runs the switching stage with a power and the SWR of the antenna.
func relay(pick func(switching.Result) float64) evaluator {
	return func(in map[string]float64) (float64, error) {
		d, err := plainDesk()
		if err != nil {
			return math.NaN(), err
		}
		r, err := switching.Solve(d, switching.Input{
			Output: d.Catalogue("check.output", "output", in["power"], "W", "check"),
			SWR:    d.Catalogue("check.swr", "SWR", in["swr"], "", "check"),
		})
		return pick(r), err
	}
}

// bench runs the bring-up stage for a bank charged to a voltage, with readings
// elsewhere that the figures picked do not depend on.
func bench(id string) evaluator {
	return func(in map[string]float64) (float64, error) {
		d, err := plainDesk()
		if err != nil {
			return math.NaN(), err
		}
		q := func(name, unit string, v float64) *ledger.Quantity {
			return d.Catalogue("check."+name, name, v, unit, "check")
		}
		volts, amps, ohms, share := q("voltage", "V", in["voltage"]), q("amps", "A", 0.5), q("ohms", "Ω", 1), q("share", "%", 0.05)
		_, err = bringup.Solve(d, bringup.Input{
			Bleeders: q("bleeders", "Ω", in["constant"]/in["capacitance"]), Multiplier: q("multiplier", "Ω", 10e6), PlateShunt: ohms,
			GridShunt: ohms, Rail: ohms,
			NoLoad: volts, Highest: volts, Idle: volts, MainsTolerance: share, MeterError: share, CapacitorTolerance: q("none", "%", 0),
			CapacitorEach: q("each", "F", in["capacitance"]), CapacitorCount: q("count", "", 1), CapacitorRating: in["voltage"],
			VoltageScale: volts,
			Capacitance:  q("capacitance", "F", in["capacitance"]), TimeConstant: q("constant", "s", in["constant"]),
			TimeWorst: q("worst", "s", in["constant"]),
			Low:       q("low", "V", 10), IdleCurrent: amps, PlateCurrent: amps, GridCurrent: amps, GridScale: amps,
			MovementError: share,
			HeaterVoltage: q("heater", "V", 5), HeaterAllowed: q("allowed", "V", 0.25),
		})
		if err != nil {
			return math.NaN(), err
		}
		return d.Get(id).Value, nil
	}
}

var stageFunctions = map[string]evaluator{
	"filament.current":     heating(func(_ *desk.Desk, r filament.Result) float64 { return r.Current }),
	"filament.secondary":   heating(func(_ *desk.Desk, r filament.Result) float64 { return r.SecondaryVoltage }),
	"filament.transformer": heating(transformerRating),
	"switching.voltage":    relay(func(r switching.Result) float64 { return r.AntennaVoltagePeak }),
	"switching.current":    relay(func(r switching.Result) float64 { return r.AntennaCurrent }),
	"bringup.energy":       bench("bring_up.stick_energy"),
	"bringup.half_time":    bench("bring_up.half_time"),
	"measured.swr":         one("reflection", func(x float64) float64 { return measured.SWR(complex(x, 0)) }),
	"measured.attenuation": one("transmission", func(x float64) float64 {
		return measured.Attenuation(touchstone.Matrix{{0, complex(x, 0)}, {complex(x, 0), 0}})
	}),
	"metering.rail": meters(func(d *desk.Desk, _ metering.Result) float64 {
		return d.Get("metering.rail_voltage").Value
	}),
	"metering.multiplier": meters(func(_ *desk.Desk, r metering.Result) float64 { return r.MultiplierEach }),
	"metering.multiplier_limit": meters(func(d *desk.Desk, _ metering.Result) float64 {
		return d.Get("metering.multiplier_limit").Value
	}),
}
