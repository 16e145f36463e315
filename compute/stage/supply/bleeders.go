package supply

import (
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/data/rules"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/spec"
)

// chooseBleeders chooses arrangement and resistance of the bleeders: 30 s to
// 60 V, or as fast as 5 % of the plate input in heat allows, and never slower
// than the wait wanted, whatever that burns.
func (p *Plan) chooseBleeders(sp *spec.Supply) {
	b := &sp.Bleeders
	p.Bank.Equaliser, p.Bank.Bleeder = math.Inf(1), math.Inf(1)
	if b.Fitted.Denied() {
		p.Bleeders, p.PerCapacitor, p.BleederEach = 0, false, math.Inf(1)
		p.Supply.LoadResistance = math.Inf(1)
		return
	}
	p.Bleeders = p.Bank.Count
	if b.Count.Given {
		p.Bleeders = b.Count.N
	}
	p.PerCapacitor = p.Bleeders == p.Bank.Count
	highest := p.HighestVoltage()
	if b.Resistance.Given {
		p.BleederEach = b.Resistance.SI
	} else {
		r := dischargeWanted / (p.Bank.OutputCapacitance() * math.Log(highest/rules.ResidualVoltage))
		r = math.Max(r, highest*highest/(bleederShare*p.Wanted*p.PlateCurrent))
		p.BleederEach = preferred.E12.Nearest(r / float64(p.Bleeders))
		most := p.bleederWithin(rules.WantedWait, sp.Capacitors.Tolerance.SI) / float64(p.Bleeders)
		if p.BleederEach > most {
			p.BleederEach = preferred.E12.Down(most)
		}
	}
	if p.PerCapacitor {
		p.Bank.Equaliser = p.BleederEach
	} else {
		p.Bank.Bleeder = p.BleederEach * float64(p.Bleeders)
	}
	p.Supply.LoadResistance = p.BleederEach * float64(p.Bleeders)
}

// bleederWithin returns the greatest resistance across the whole bank [Ω] that
// alone brings it to 60 V within a time [s], itself and the capacitors at the
// upper end of their tolerances, from the highest mains.
func (p *Plan) bleederWithin(time, tolerance float64) float64 {
	fall := math.Log(math.Max(p.HighestVoltage()/rules.ResidualVoltage, 1+1e-9))
	return time / ((1 + resistorTolerance) * (1 + tolerance) * p.Bank.OutputCapacitance() * fall)
}

// enterBleeders enters count and resistance of the bleeders, where there are
// any.
func (w *work) enterBleeders() {
	b, p := &w.Spec.Supply.Bleeders, &w.p
	if p.Bleeders == 0 {
		return
	}
	var n *ledger.Quantity
	if b.Count.Given {
		n = w.TakeCount("supply.bleeder_count", "Bleeders in series", b.Count)
	} else {
		n = w.Assume("supply.bleeder_count", "Bleeders in series", float64(p.Bleeders), "", b.Count.Key,
			ledger.Say("common practice: one across each capacitor, where it shares the voltage as well"))
	}
	w.bleeder = w.TakeOr("supply.bleeder_each", "Resistance of one bleeder", "Ω", b.Resistance, p.BleederEach,
		ledger.Say("a compromise: fewer ohms discharge faster and burn more; {discharge_wanted} s to 60 V, unless that would burn "+
			"more than {bleeder_share} % of the plate input, and in any case {wanted_wait} s with the worst tolerances",
			ledger.Fixed("discharge_wanted", dischargeWanted, 0), ledger.Fixed("bleeder_share", bleederShare*100, 0),
			ledger.Fixed("wanted_wait", rules.WantedWait, 0)))
	w.bleeders = w.Compute("supply.bleeder_resistance", "Resistance of all bleeders across the bank", bleederSeries,
		ledger.With{"R_1": w.bleeder, "N": n})
}

// beside adds the bleeders, where there are any, to what a result comes from.
func (w *work) beside(list ...*ledger.Quantity) []*ledger.Quantity {
	if w.bleeders != nil {
		list = append(list, w.bleeders)
	}
	return list
}

// drawn enters the direct current out of the bank.
func (w *work) drawn(id, name string, plate, voltage *ledger.Quantity) *ledger.Quantity {
	if w.bleeders == nil {
		return w.Compute(id, name, loadBare, ledger.With{"I_p": plate})
	}
	return w.Compute(id, name, loadCurrent, ledger.With{"I_p": plate, "V": voltage, "R_b": w.bleeders})
}

// idleLoad enters the load at the filter with the tubes idling.
func (w *work) idleLoad(id, name string) *ledger.Quantity {
	if w.bleeders == nil {
		return w.Compute(id, name, loadAtBare, ledger.With{"V": w.idleVoltage, "I_p": w.in.IdleCurrent})
	}
	return w.Compute(id, name, loadAt, ledger.With{"V": w.idleVoltage, "I_p": w.in.IdleCurrent, "R_b": w.bleeders})
}

// limitingVoltages are what bleeders are commonly sold with [V] (common
// practice).
var limitingVoltages = []float64{250, 350, 500, 750, 1000, 1500, 2000, 3000, 5000, 7500, 10000}

// enough is what brings the bank down within the wait wanted: bleeders of
// fewer ohms and more watts. It returns the resistance of one, its heat and the
// power rating to buy.
func (w *work) enough() (each, heat, rating *ledger.Quantity) {
	p := &w.p
	n := p.Bleeders
	if n == 0 {
		n = p.Bank.Count
	}
	each = w.Solved("supply.bleeder_for_wait", "One bleeder that brings the bank to 60 V within the wait wanted",
		preferred.E12.Down(p.bleederWithin(rules.WantedWait, w.tolerance.Value)/float64(n)), "Ω",
		ledger.Method{Words: ledger.Say("{n} in series, alone: R = {wanted_wait} s/(1.05·(1 + t)·C·ln(V_h/60 V))/{n}, resistors and "+
			"capacitors at the upper end of their tolerances and the highest mains; the next lower value of the series E12.",
			ledger.Int("n", n), ledger.Fixed("wanted_wait", rules.WantedWait,
				0)), Source: source.CircuitLaws}, w.tolerance, w.total, w.highest)
	count := w.Solved("supply.bleeder_for_wait_count", "Bleeders in series to reach the wait wanted", float64(n), "",
		ledger.Method{Words: ledger.Say("As many as there are, or else one across each capacitor."), Source: source.CommonPractice})
	volts := w.Compute("supply.bleeder_for_wait_voltage", "Voltage across each of them, highest mains", shareEven,
		ledger.With{"V_h": w.highest, "N": count})
	heat = w.Compute("supply.bleeder_for_wait_power", "Heat in each of them, highest mains", resistorP,
		ledger.With{"V_1": volts, "R_1": each})
	factor := w.Spec.Margins.Power.Value
	rating = w.Solved("supply.bleeder_for_wait_rating", "Power rating to buy for each of them",
		desk.NextUp(heat.Value*factor, desk.ResistorPowers), "W",
		ledger.Method{Words: ledger.Say("The next rating sold that is {factor} times the heat.", ledger.Short("factor", factor, 6)),
			Source: source.CommonPractice}, heat)
	return each, heat, rating
}

// bleederParts holds the bleeders against their heat and voltage.
func (w *work) bleederParts() {
	b, p := &w.Spec.Supply.Bleeders, &w.p
	m := &w.Spec.Margins
	n := w.Get("supply.bleeder_count")
	volts := w.Compute("supply.bleeder_voltage_each", "Voltage across one bleeder, highest mains", shareEven,
		ledger.With{"V_h": w.highest, "N": n})
	heat := w.Compute("supply.bleeder_power_each", "Heat in one bleeder, highest mains", resistorP,
		ledger.With{"V_1": volts, "R_1": w.bleeder})
	w.Compute("supply.bleeder_power", "Heat of all bleeders", bankHeat, ledger.With{"V_0": w.noLoad, "R_b": w.bleeders})
	power := w.Check(desk.Hold{Part: "R3", Name: "Bleeder", Kind: "power", Stress: heat, Have: b.Power, Owned: b.Resistance.Given,
		Factor: m.Power, Standard: desk.ResistorPowers, Why: ledger.Say("no load, highest mains"),
		Advice: ledger.Say("A bleeder that burns out leaves its capacitor charged. Use bodies of more watts and the same resistance, " +
			"in moving air and away from the capacitors; more ohms would only stretch the wait.")})
	limit := w.Check(desk.Hold{Part: "R3", Name: "Bleeder", Kind: "voltage", Stress: volts, Have: b.Voltage, Owned: b.Resistance.Given,
		Factor:   m.Voltage,
		Standard: limitingVoltages, Why: ledger.Say("no load, highest mains"),
		Advice: ledger.Say("Make each bleeder of two in series, each of half the resistance, or use parts of a higher limiting voltage.")})
	where := "across the whole bank"
	if p.PerCapacitor {
		where = "one across each capacitor"
	}
	w.Part(ledger.Part{
		Designator: "R3", Name: "Bleeders, " + where, Stage: "supply", Count: p.Bleeders, Given: b.Resistance.Given,
		Value: ledger.Say("{bleeder} each, {bleeders} in all", ledger.Q("bleeder", w.bleeder), ledger.Q("bleeders", w.bleeders)),
		Rating: ledger.Say("{rating}, limiting voltage {rating_2}", ledger.Of("rating", power.Rating, "W"),
			ledger.Of("rating_2", limit.Rating, "V")),
		Note: ledger.Say("They burn {supply.bleeder_power} whenever the supply is on and get hot. Never trust a bleeder: it fails " +
			"open without a sign. " + deadly),
	})
}
