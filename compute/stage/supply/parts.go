package supply

import (
	"math"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
)

// The caution that belongs to every part on the bank's voltage.
const deadly = "This part carries lethal voltage. Pull the mains plug, wait the computed time, verify with a meter, discharge through " +
	"a resistor stick, and leave the ground hook on while you work."

// secondary enters winding currents and the transformer's rating.
func (w *work) secondary() {
	t, p := &w.Spec.Supply.Transformer, &w.p
	ct := p.halves()
	name := "Secondary current at full output, rms"
	if ct {
		name += ", each half"
	}
	w.windingCurrent = w.Solved("supply.secondary_current_rms", name, w.res.Full.SecondaryCurrent, "A", inTime, w.secondaryVoltage,
		w.source, w.total, w.load)
	f := apparent
	if ct {
		f = apparentCT
		w.Compute("supply.half_winding_va", "Apparent power of each half of the secondary at full output without pause", apparent,
			ledger.With{"V_s": w.secondaryVoltage, "I_s": w.windingCurrent})
	}
	if rule, words := windingBy(p.Kind); rule != nil {
		w.Compute("supply.secondary_current_by_hand", words, rule, ledger.With{"I": w.load})
	}
	va := w.Compute("supply.secondary_va", "Apparent power of the secondary at full output without pause", f,
		ledger.With{"V_s": w.secondaryVoltage, "I_s": w.windingCurrent})
	stress, why := va, "full output without pause"
	switch w.Spec.Target.Duty.Value {
	case "cw", "voice":
		i := w.Solved("supply.secondary_current_service", "Secondary current in the service wanted, rms",
			w.res.Service.SecondaryCurrent, "A", inTime, w.in.ServiceCurrent)
		stress = w.Compute("supply.secondary_va_service", "Apparent power of the secondary in the service wanted", f,
			ledger.With{"V_s": w.secondaryVoltage, "I_s": i})
		why = map[string]string{"cw": "Morse while transmitting", "voice": "speech while transmitting"}[w.Spec.Target.Duty.Value]
	}
	rating := w.Check(desk.Hold{
		Part: "T1", Name: "Plate transformer", Kind: "kva", Stress: stress, Have: t.Power, Owned: t.Voltage.Given,
		Why:      ledger.Literal(why),
		Standard: []float64{200, 300, 400, 500, 600, 800, 1000, 1200, 1500, 2000, 2500, 3000, 4000, 5000, 6000, 8000, 10000},
		Advice: ledger.Say("Shorten the overs, lower the output for this duty, or use a larger transformer; measure its temperature " +
			"after an hour."),
	})
	each := ""
	if ct {
		each = ", centre-tapped, each half"
	}
	w.Part(ledger.Part{
		Designator: "T1", Name: "Plate transformer", Stage: "supply", Given: t.Voltage.Given,
		Value: ledger.Say("{mains_voltage} : {secondary_voltage}{each}", ledger.Q("mains_voltage", w.mainsVoltage),
			ledger.Q("secondary_voltage", w.secondaryVoltage), ledger.Called("each", each)),
		Rating: ledger.Say("{rating} for {duty}; {supply.secondary_va} for full output without pause",
			ledger.Of("rating", rating.Rating, "VA"), ledger.Called("duty", w.Spec.Target.Duty.Value)),
		Note: ledger.Say("The secondary kills at once and without a capacitor's help. " + deadly +
			" Its core draws a magnetising inrush of its own at switch-on, which is not in these figures: fuse slow-blow."),
	})
}

// rectifier enters the diode strings.
func (w *work) rectifier() {
	dd, p := &w.Spec.Supply.Diodes, &w.p
	m := &w.Spec.Margins
	peak := w.Solved("supply.diode_peak_current", "Peak current of a diode at full output", w.res.Full.SecondaryCurrentPeak, "A",
		inTime, w.secondaryVoltage, w.source, w.total, w.load)
	w.Solved("supply.conduction_angle", "Conduction angle of a diode at full output", w.res.Full.ConductionAngle, "°", inTime,
		w.secondaryVoltage, w.source, w.total, w.load)
	legs := p.Supply.Circuit.Legs()
	reverse, mean := legFormulas(p.Supply.Circuit)
	average := w.Compute("supply.diode_mean_current", "Mean current of a diode at full output", mean, ledger.With{"I": w.load})
	leg := w.Compute("supply.diode_reverse_voltage", "Peak reverse voltage of one leg, highest mains", reverse,
		ledger.With{"V_h": w.highest})
	n := w.perLeg
	each := w.Compute("supply.diode_reverse_voltage_each", "Peak reverse voltage of the worst diode", reverseEach,
		ledger.With{"V_r": leg, "N": n})
	w.Compute("supply.diode_drop_peak", "Forward drop of the conducting diodes at that peak", dropAt,
		ledger.With{"V_d": w.Get("supply.diode_drop"), "R_d": w.Get("supply.diode_resistance"), "I_pk": peak})
	w.equalisers(leg, n)
	w.surgeOf()
	w.res.SurgeCurrent = w.surge.Value
	w.Check(desk.Hold{Part: "D2", Name: "Rectifier diode", Kind: "voltage", Stress: each, Have: dd.Voltage, Factor: m.Voltage,
		Why:    ledger.Say("peak reverse voltage on the highest mains, worst diode of a leg"),
		Advice: ledger.Say("Put more diodes in series in each leg.")})
	w.Check(desk.Hold{Part: "D2", Name: "Rectifier diode", Kind: "current", Stress: average, Have: dd.Current, Factor: m.Current,
		Why: ledger.Say("mean forward current at full output")})
	w.Part(ledger.Part{
		Designator: "D2", Name: "Rectifier diodes, " + p.Supply.Circuit.String(), Stage: "supply", Count: legs * p.DiodesPerLeg,
		Given: dd.Count.Given,
		Value: ledger.Say("{legs} legs of {diodes_per_leg} in series", ledger.Int("legs", legs),
			ledger.Int("diodes_per_leg", p.DiodesPerLeg)),
		Rating: ledger.Say("{voltage}, {current} mean, surge {surge}", ledger.Of("voltage", dd.Voltage.SI, "V"),
			ledger.Of("current", dd.Current.SI, "A"), ledger.Of("surge", dd.Surge.SI, "A")),
		Note: ledger.Say("All of one type and batch; peak current {supply.diode_peak_current} in ordinary running, with a forward " +
			"drop of about {supply.diode_drop_peak} in the path. A diode that fails shorted loads its neighbours: replace the whole leg. " +
			deadly),
	})
}

// capacitors enters voltage and ripple current of the bank.
func (w *work) capacitors() {
	c, p := &w.Spec.Supply.Capacitors, &w.p
	m := &w.Spec.Margins
	f := shareLong
	with := ledger.With{"V_h": w.highest, "N": w.count}
	if !p.PerCapacitor || p.Bank.Count == 1 {
		f = shareEven
	}
	long := w.Compute("supply.capacitor_voltage_each", "Voltage of the worst capacitor in the long run, highest mains", f, with)
	most := w.highest
	if q, ok := w.Lookup("supply.switch_on_voltage"); ok && q.Value > most.Value {
		most = q
	}
	quick := w.Compute("supply.capacitor_voltage_switch_on", "Voltage of the worst capacitor just after switching on, highest mains",
		shareQuick, ledger.With{"V_h": most, "t": w.tolerance, "N": w.count})
	bought := !c.Voltage.Given
	w.Check(desk.Hold{Part: "C7", Name: "Filter capacitor", Kind: "voltage", Stress: long, Have: c.Voltage, Owned: c.Capacitance.Given,
		Rating: p.CapacitorRating, Bought: bought, Factor: m.Voltage,
		Why:    ledger.Say("no load, highest mains, worst resistor of the string"),
		Advice: ledger.Say("Put more capacitors in series, or use parts of a higher rating. A bursting electrolytic sprays hot paste.")})
	limit := w.Catalogue("supply.capacitor_surge_rating", "Voltage that one filter capacitor stands for 30 s",
		p.CapacitorRating*surgeLimit(p.CapacitorRating), "V", source.CapacitorSurge.Title)
	w.Check(desk.Hold{Part: "C7", Name: "Filter capacitor", Kind: "surge", Stress: quick, Owned: c.Capacitance.Given,
		Rating: limit.Value, Bought: bought,
		Why: ledger.Say("just after switching on the smallest capacitance takes the greatest share"),
		Advice: ledger.Say("Measure the capacitors and use ones that agree more closely, put more in series, or use parts of a higher " +
			"rating.")})
	current := w.Solved("supply.capacitor_ripple_current", "Ripple current of each filter capacitor at full output, rms",
		w.res.Full.CapacitorCurrent, "A", inTime, w.secondaryVoltage, w.source, w.total, w.load)
	w.Check(desk.Hold{Part: "C7", Name: "Filter capacitor", Kind: "current", Stress: current, Have: c.Ripple,
		Owned: c.Capacitance.Given, Factor: m.Current,
		Why: ledger.Say("ripple current at full output, rms, mostly at twice the mains frequency")})
	w.life(current)
	if !p.PerCapacitor && p.Bank.Count > 1 {
		advice := ledger.Say("Put one bleeder across each capacitor: supply.bleeders.count = {count}.",
			ledger.Int("count", p.Bank.Count))
		if p.Bleeders == 0 {
			advice = ledger.Say("Put one bleeder across each capacitor.")
		}
		w.Find(ledger.Finding{
			Severity: ledger.Caution, ID: "supply.no_equalisers", Stage: "supply", Quantities: []string{w.count.ID, w.highest.ID},
			Text: ledger.Say("{count} capacitors lie in series, and no resistor across each shares the {highest} between them: "+
				"their leakage decides, and one can take far more than its share.", ledger.Int("count", p.Bank.Count),
				ledger.Q("highest", w.highest)),
			Advice: advice,
		})
	}
	stored := w.Compute("supply.stored_energy", "Energy stored in the filter bank", energy, ledger.With{"C": w.total, "V_0": w.noLoad})
	w.Part(ledger.Part{
		Designator: "C7", Name: "Filter capacitor bank", Stage: "supply", Count: p.Bank.Count, Given: c.Capacitance.Given,
		Value: bankValue(p.Bank.Count, w.each, w.total),
		Rating: ledger.Say("{capacitor_rating} each, ripple current {supply.capacitor_ripple_current}",
			ledger.Of("capacitor_rating", p.CapacitorRating, "V")),
		Note: ledger.Say("Holds {supply.stored_energy} at {no_load} after the mains is off. The cans of all but the lowest sit at "+
			"high voltage: insulate them from each other and from the chassis. This part carries lethal voltage. Pull the mains plug, "+
			"wait the computed time, verify with a meter, discharge through a resistor stick, and leave the ground hook on while you "+
			"work.",
			ledger.Q("no_load", w.noLoad)),
	})
	w.stored(stored)
}

// life enters how long the capacitors may last.
func (w *work) life(current *ledger.Quantity) {
	c := &w.Spec.Supply.Capacitors
	rated := w.Take("supply.capacitor_rated_temperature", "Temperature at which the capacitors' rated life holds", "°C", c.Temperature)
	air := w.Solved("supply.capacitor_air", "Air about the capacitors", w.Spec.Cooling.Inlet.SI+cabinetRise, "°C", ledger.Method{
		Words: ledger.Say("The air at the inlet and {cabinet_rise} K for the cabinet (common practice); measure it.",
			ledger.Fixed("cabinet_rise", cabinetRise, 0)), Source: source.CommonPractice})
	core := air
	words := "the ripple's heat left out, since no rated ripple current is given"
	if c.Ripple.Given {
		at := w.Catalogue("supply.capacitor_rated_rise", "Core over case at the rated ripple current", 5, "K",
			"from memory: capacitor makers' life guides")
		limit := w.Take("supply.capacitor_ripple_rating", "Rated ripple current of one capacitor, rms", "A", c.Ripple)
		rise := w.Compute("supply.capacitor_core_rise", "Core of a capacitor over its case", coreRise,
			ledger.With{"ΔT_r": at, "I": current, "I_r": limit})
		core = w.Compute("supply.capacitor_core", "Core of a capacitor", coreHeat, ledger.With{"T_c": air, "ΔT": rise})
		words = "the ripple's heat counted"
	}
	ten := w.Catalogue("supply.capacitor_life_step", "Step of temperature that doubles a capacitor's life", 10, "K",
		"common practice: the ten-degree rule")
	k := w.Compute("supply.capacitor_life_factor", "Life of the capacitors over their rated life", lifeRule,
		ledger.With{"T_r": rated, "T": core, "ΔT_2": ten})
	hours := c.Life.SI / 3600 * k.Value
	f := ledger.Finding{Severity: ledger.Note, ID: "supply.capacitor_life", Stage: "supply", Quantities: []string{k.ID, core.ID},
		Text: ledger.Say("By the ten-degree rule the capacitors last {hours} of operation (rated {life} h at "+
			"{supply.capacitor_rated_temperature}; core at {core}, {words}). The rule is for electrolytics, and one of common practice.",
			ledger.In("hours", lasting(hours)), ledger.Fixed("life", c.Life.SI/3600, 0), ledger.Q("core", core),
			ledger.Called("words", words)),
		Advice: ledger.Say("Keep them out of the air that comes from the tubes and away from the bleeders. Age counts too: past " +
			"fifteen years, measure capacitance and leakage of each.")}
	if hours < 5000 {
		f.Severity = ledger.Caution
	}
	w.Find(f)
}

// cabinetRise is how much warmer than the inlet the air about the bank is [K].
const cabinetRise = 15.0

// lasting words a life [h].
func lasting(hours float64) ledger.Sentence {
	if hours < 2 {
		return ledger.Say("less than two hours")
	}
	return ledger.Say("about {hours} hours", ledger.Fixed("hours", roundTo2(hours), 0))
}

// roundTo2 rounds to two significant digits.
func roundTo2(x float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(x))-1)
	return math.Round(x/p) * p
}

// bankValue is the value of one capacitor, and what a string of them makes; how
// many there are stands in the parts list.
func bankValue(n int, each, total *ledger.Quantity) ledger.Sentence {
	if n == 1 {
		return ledger.Say("{each}", ledger.Q("each", each))
	}
	return ledger.Say("{each} each, in series: {total}", ledger.Q("each", each), ledger.Q("total", total))
}
