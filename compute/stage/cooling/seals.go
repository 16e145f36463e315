package cooling

import (
	"strings"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/air"
	"anodebook/compute/physics/tube"
)

var (
	benchLimit = ledger.MustFormula("T_b = T_s - (T_i - T_0)", source.CircuitLaws,
		"T_b [°C] greatest reading at the seal in a cooler room", "T_s [°C] limit of the seal",
		"T_i [°C] inlet temperature that the station may have", "T_0 [°C] inlet temperature while measuring")
	sealRoom = ledger.MustFormula("ΔT = T_s - T_e", source.CircuitLaws,
		"ΔT [K] what is left between the air that leaves and the limit of the seal", "T_s [°C] limit of the seal",
		"T_e [°C] temperature of the air leaving")
)

// benchInlet is the room in which the builder is taken to measure [K]: 20 °C.
const benchInlet = 293.15

// seals enters the published temperature limits of the seals, and what a
// measurement in a cooler room may show at most. What the seals really reach
// depends on the air's way round them: nobody can compute it from the airflow.
func (r *Result) seals(d *desk.Desk, in Input) {
	c := &in.Type.Cooling
	inlet := d.Get("cooling.inlet_temperature")
	exit, blown := d.Lookup("cooling.exit_temperature")
	var room *ledger.Quantity
	for _, x := range []struct {
		id, name string
		limit    tube.Figure
	}{{"base", "seals at the base", c.BaseTemperature}, {"plate", "plate seal or cooler", c.PlateTemperature}} {
		if !x.limit.Known {
			continue
		}
		if room == nil {
			room = d.Catalogue("cooling.bench_inlet", "inlet temperature while measuring", benchInlet, "°C",
				source.CommonPractice.Title)
		}
		limit := d.Catalogue("cooling."+x.id+"_temperature_limit", x.name+", greatest temperature", x.limit.Value+air.ZeroCelsius, "°C",
			figureSource(in.Type, x.limit))
		reading := d.Compute("cooling."+x.id+"_reading_limit", x.name+", greatest reading in a room of 20 °C", benchLimit,
			ledger.With{"T_s": limit, "T_i": inlet, "T_0": room})
		f := ledger.Finding{Severity: ledger.Note, ID: "cooling." + x.id + "_seal", Stage: "cooling",
			Quantities: []string{limit.ID, reading.ID},
			Text: ledger.Say("{name} of the {type}: at most {limit}, so no more than {reading} when measured in a room of 20 °C.",
				ledger.Called("name", capital(x.name)), ledger.Called("type", in.Type.Name), ledger.Q("limit", limit),
				ledger.Q("reading", reading)),
			Advice: ledger.Say("Put temperature-indicating paint or labels on each seal before the first run, one step below and " +
				"one step above the limit; run five minutes of full output into the dummy load; then plug out, wait, measure, " +
				"discharge, " +
				"ground, and read them. No probe and no finger on a live tube.")}
		if blown {
			left := d.Compute("cooling."+x.id+"_room", x.name+", limit over the air that leaves", sealRoom,
				ledger.With{"T_s": limit, "T_e": exit})
			f.Quantities = append(f.Quantities, left.ID)
			switch {
			case left.Value < 0:
				f.Severity = ledger.Exceeds
				f.Text = f.Text.Then(ledger.Say("The air that leaves, {exit}, is hotter than that limit already, and metal and glass "+
					"run hotter than the air.", ledger.Q("exit", exit)))
				f.Advice = ledger.Say("More air, or less dissipation; do not run it like this. {advice}", ledger.In("advice", f.Advice))
			case left.Value < 30:
				f.Severity = ledger.Caution
				f.Advice = ledger.Say("More air, or less dissipation. {advice}", ledger.In("advice", f.Advice))
				fallthrough
			default:
				f.Text = f.Text.Then(ledger.Say("The air that leaves is {left} below that limit in the mean; metal and glass run "+
					"hotter than the air.", ledger.Q("left", left)))
			}
		}
		d.Find(f)
	}
	if room == nil {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "cooling.seal_limit", Stage: "cooling",
			Text: ledger.Say("No temperature limit for the seals of the {type} is known here.", ledger.Called("type", in.Type.Name)),
			Advice: ledger.Say("Take it from the maker's data sheet and measure with temperature-indicating paint on each seal, after " +
				"five minutes of full output into the dummy load, the supply discharged and grounded.")})
	}
	if strings.HasPrefix(in.Type.Cooling.Method, "conduction") {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "cooling.conduction", Stage: "cooling",
			Quantities: []string{in.PlateDissipationEach.ID},
			Text: ledger.Say("The {type} sheds its plate heat by conduction: {plate_dissipation_each} of each tube must pass "+
				"through an insulating block into a grounded heat sink. Air through the cabinet does not cool the plate.",
				ledger.Called("type", in.Type.Name), ledger.Q("plate_dissipation_each", in.PlateDissipationEach)),
			Advice: ledger.Say("Take block, clamp and heat sink from the maker's data sheet, with paste on both faces and the full " +
				"plate voltage across the block. The block may be beryllium oxide: never break, grind, sand or throw it away, and " +
				"follow " +
				"the maker's data sheet and local rules for disposal.")})
	}
	if Radiates(in.Type) {
		d.Find(ledger.Finding{Severity: ledger.Note, ID: "cooling.radiation", Stage: "cooling",
			Quantities: []string{"cooling.heat", "cooling.airflow"},
			Text: ledger.Say("The {type} sheds its plate heat by radiation: the plates may show a dull colour and the bulb takes "+
				"and passes on what it cannot let through. The air named carries {cooling.heat} out of the cabinet; it does not cool "+
				"the "+
				"plates.", ledger.Called("type", in.Type.Name)),
			Advice: ledger.Say("Stand the tubes upright unless the data sheet allows otherwise, keep a bulb's width free between them " +
				"and from every wall and wire, let air in below and out above, and never blow at one side of a bulb only. A bright " +
				"orange " +
				"plate means: stop.")})
	}
}

// Radiates says whether a type sheds its heat by radiation alone or nearly so.
func Radiates(t *tube.Type) bool { return strings.HasPrefix(t.Cooling.Method, "radiation") }

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
