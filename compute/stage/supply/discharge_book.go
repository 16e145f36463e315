package supply

import (
	"math"

	"anodebook/compute/data/rules"
	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
)

var (
	loadBare = ledger.MustFormula("I = 1.0 * I_p", source.CircuitLaws, "I [A] direct current out of the bank, no bleeders",
		"I_p [A] plate current, all tubes")
	loadAtBare = ledger.MustFormula("R = V / I_p", source.CircuitLaws, "R [Ω] load at the filter, no bleeders", "V [V] filter voltage",
		"I_p [A] plate current, all tubes")
	bothPaths = ledger.MustFormula("R_d = R_b * R_5 / (R_b + R_5)", source.CircuitLaws,
		"R_d [Ω] bleeders and voltmeter string together", "R_b [Ω] bleeders", "R_5 [Ω] string of the voltmeter")
	decay = ledger.MustFormula("τ = R_d * C", source.CircuitLaws, "τ [s] time constant of the discharge",
		"R_d [Ω] all that discharges the bank", "C [F] filter bank")
	toSixty = ledger.MustFormula("t_60 = R_d * C * ln(V_0 / V_60)", source.CircuitLaws, "t_60 [s] time to the safe voltage",
		"R_d [Ω] all that discharges the bank", "C [F] filter bank", "V_0 [V] filter voltage without load", "V_60 [V] safe voltage")
	toTen = ledger.MustFormula("t_10 = R_d * C * ln(V_0 / V_10)", source.CircuitLaws, "t_10 [s] time to the lower voltage",
		"R_d [Ω] all that discharges the bank", "C [F] filter bank", "V_0 [V] filter voltage without load",
		"V_10 [V] the lower voltage")
	worstTime = ledger.MustFormula("t_w = 1.05 * R_d * (1 + t) * C * ln(V_h / V_60)", source.CircuitLaws,
		"t_w [s] longest time to the safe voltage: resistors 5 % and capacitors by their tolerance high, highest mains",
		"R_d [Ω] all that discharges the bank", "t [%] tolerance of the capacitance", "C [F] filter bank",
		"V_h [V] filter voltage without load, highest mains", "V_60 [V] safe voltage")
)

// stored enters the shock warning that belongs to every bank of these voltages.
func (w *work) stored(energy *ledger.Quantity) {
	text := ledger.Say("The filter bank stands at {no_load} and holds {energy}. A touch can kill, with the mains unplugged and "+
		"however little the bank stores.", ledger.Q("no_load", w.noLoad), ledger.Q("energy", energy))
	if energy.Value >= rules.HazardousEnergy {
		text = text.Then(ledger.Say("A tool across it is an energy hazard besides: burns and thrown metal, which IEC 60950-1 counts "+
			"from {hazardous_energy} J (from memory).", ledger.Fixed("hazardous_energy", rules.HazardousEnergy, 0)))
	}
	w.Find(ledger.Finding{
		Severity: ledger.Caution, ID: "supply.stored_energy", Stage: "supply", Quantities: []string{energy.ID, w.noLoad.ID}, Text: text,
		Advice: ledger.Say("Mains plug out; wait the computed time; verify with a meter; discharge through a resistor stick, not a " +
			"bare short; leave the ground hook on while you work."),
	})
}

// path enters what discharges the bank, bleeders and voltmeter string; nil:
// nothing does.
func (w *work) path() *ledger.Quantity {
	if !(w.in.Multiplier > 0) {
		return w.bleeders
	}
	meter := w.Solved("supply.voltmeter_string", "Voltmeter string across the bank", w.in.Multiplier, "Ω",
		ledger.Method{Words: ledger.Say("The multiplier of the high-voltage meter, R5: see the metering section."),
			Source: source.CircuitLaws})
	if w.bleeders == nil {
		return meter
	}
	return w.Compute("supply.discharge_resistance", "All that discharges the bank: bleeders and voltmeter string", bothPaths,
		ledger.With{"R_b": w.bleeders, "R_5": meter})
}

// discharge enters bleeders and waiting times.
func (w *work) discharge() {
	w.res.Discharge = Discharge{From: w.noLoad.Value, plan: w.p, meter: math.Inf(1)}
	if w.in.Multiplier > 0 {
		w.res.Discharge.meter = w.in.Multiplier
	}
	safe := w.Catalogue("supply.safe_voltage", "Voltage to which exposed live parts must fall", rules.ResidualVoltage, "V",
		source.StoredCharge.Title)
	low := w.Catalogue("supply.low_voltage", "Voltage at which the ground hook may be hung on without a spark to speak of", 10, "V",
		source.CommonPractice.Title)
	w.res.TimeTo60V, w.res.TimeToWait = math.Inf(1), math.Inf(1)
	var worst *ledger.Quantity
	if path := w.path(); path != nil {
		with := "all bleeders whole"
		if w.bleeders == nil {
			with = "no bleeders, the voltmeter string alone"
		}
		w.Compute("supply.discharge_time_constant", "Time constant of the discharge, "+with, decay,
			ledger.With{"R_d": path, "C": w.total})
		sixty := w.Compute("supply.time_to_60v", "Time until the bank is down to 60 V, "+with, toSixty,
			ledger.With{"R_d": path, "C": w.total, "V_0": w.noLoad, "V_60": safe})
		w.Compute("supply.time_to_10v", "Time until the bank is down to 10 V, "+with, toTen,
			ledger.With{"R_d": path, "C": w.total, "V_0": w.noLoad, "V_10": low})
		worst = w.Compute("supply.time_to_60v_worst", "Time until the bank is down to 60 V, worst tolerances and highest mains, "+with,
			worstTime,
			ledger.With{"R_d": path, "t": w.tolerance, "C": w.total, "V_h": w.highest, "V_60": safe})
		w.res.TimeTo60V = sixty.Value
		w.res.TimeToWait = math.Ceil(worst.Value/rules.WaitStep) * rules.WaitStep
	}
	if w.bleeders == nil {
		w.noBleeders(worst)
		w.res.TimeOneOpen, _ = w.res.Discharge.Open(1)
		return
	}
	w.oneOpen()
	w.bleederParts()
	w.fall(worst)
}

// noBleeders says what a bank without any is.
func (w *work) noBleeders(worst *ledger.Quantity) {
	each, heat, rating := w.enough()
	f := ledger.Finding{Severity: ledger.Exceeds, ID: "supply.no_bleeders", Stage: "supply",
		Quantities: []string{w.noLoad.ID, each.ID, heat.ID, rating.ID},
		Text: ledger.Say("There are no bleeders: {no_load} stay in the bank after the mains is off, for days.",
			ledger.Q("no_load", w.noLoad)),
		Advice: ledger.Say("Put {each} across each capacitor: they bring the bank to 60 V within {wanted_wait} s, and share the "+
			"voltage. Each burns {heat} on the highest mains: buy {rating}.", ledger.Q("each", each),
			ledger.Fixed("wanted_wait", rules.WantedWait, 0), ledger.Q("heat", heat), ledger.Q("rating", rating))}
	if worst != nil {
		f.Quantities = append(f.Quantities, worst.ID)
		f.Text = ledger.Say("There are no bleeders: nothing but the voltmeter string R5 draws on the {no_load} in the bank after the "+
			"mains is off, and it takes up to {worst} to 60 V. One resistor of that string open, and the charge stays for days, with "+
			"the meter at zero.", ledger.Q("no_load", w.noLoad), ledger.In("worst", duration(worst.Value)))
	}
	w.Find(f)
}

// fall says how long the bank takes, and what to print on the cover.
func (w *work) fall(worst *ledger.Quantity) {
	sixty := w.Get("supply.time_to_60v")
	f := ledger.Finding{Severity: ledger.Caution, ID: "supply.time_to_60v", Stage: "supply",
		Quantities: []string{sixty.ID, worst.ID, "supply.time_to_10v"}}
	text := ledger.Say("With every bleeder whole the bank needs {sixty} from {no_load} to 60 V after the mains is off, and up to "+
		"{worst} from the highest mains with all tolerances against it", ledger.In("sixty", duration(sixty.Value)),
		ledger.Q("no_load", w.noLoad), ledger.In("worst", duration(worst.Value)))
	switch {
	case worst.Value > rules.WantedWait:
		each, heat, rating := w.enough()
		f.Quantities = append(f.Quantities, each.ID, heat.ID, rating.ID)
		text = text.Append(ledger.Say(": longer than the {wanted_wait} s that are wanted every time a cover comes off.",
			ledger.Fixed("wanted_wait", rules.WantedWait, 0)))
		if worst.Value > rules.LongestWait {
			f.Severity = ledger.Exceeds
			text = text.Then(ledger.Say("Nobody waits for minutes."))
		}
		f.Advice = ledger.Say("Fewer ohms and more watts: bleeders of {each} each in place of {bleeder} reach {wanted_wait} s. Each "+
			"then burns {heat} on the highest mains: buy {rating}.", ledger.Q("each", each), ledger.Q("bleeder", w.bleeder),
			ledger.Fixed("wanted_wait", rules.WantedWait, 0), ledger.Q("heat", heat), ledger.Q("rating", rating))
	case worst.Value > rules.ResidualTime:
		text = text.Append(ledger.Say(": longer than the {residual_time} s of IEC 60204-1, so a durable warning belongs on the cover.",
			ledger.Fixed("residual_time", rules.ResidualTime, 0)))
	default:
		f.Severity = ledger.Note
		text = text.Append(ledger.Say(": within the {residual_time} s of IEC 60204-1, if every bleeder is whole.",
			ledger.Fixed("residual_time", rules.ResidualTime, 0)))
	}
	f.Text = text
	if !f.Advice.Empty() {
		f.Advice = f.Advice.Then(ledger.Sentence{})
	}
	f.Advice = f.Advice.Append(ledger.Say("Write on the cover, durably: 'High voltage. Pull the plug and wait {time_to_wait}. "+
		"Measure, discharge through the stick, measure again, hang the ground hook on.' The time counts tolerances and the highest "+
		"mains, but no failed bleeder: the meter decides, not the clock.", ledger.In("time_to_wait", duration(w.res.TimeToWait))))
	w.Find(f)
}

// oneOpen enters the times with bleeders failed open.
func (w *work) oneOpen() {
	p, run := &w.p, w.res.Discharge
	terminals, capacitor := run.Open(1)
	everything := math.Max(terminals, capacitor)
	w.res.TimeOneOpen = everything
	trapped := w.noLoad.Value
	how := "The bleeders lie in one string across the bank: with one open, only the multiplier string of the voltmeter (R5) is left. " +
		"t = R_5·C·ln(V_0/60 V)."
	if p.PerCapacitor {
		trapped /= float64(p.Bank.Count)
		how = "The failed bleeder's capacitor is left with nothing but the multiplier string of the voltmeter (R5) across the whole " +
			"bank; the other capacitors discharge through their own bleeders and that string. Two exponentials, solved in closed form."
	}
	const advice = "The clock proves nothing, and a meter at the terminals not everything: discharge every capacitor by itself " +
		"through the resistor stick, then hang the ground hook on. Measure each bleeder once a year."
	climb := w.climbs()
	if math.IsInf(everything, 1) {
		w.Find(ledger.Finding{
			Severity: ledger.Caution, ID: "supply.one_bleeder_open", Stage: "supply", Quantities: []string{w.noLoad.ID, w.bleeders.ID},
			Advice: ledger.Say(advice),
			Text: ledger.Say("If one bleeder fails open, nothing discharges what is left: {trapped} stays in the bank for days, and "+
				"the terminals need not show it.", ledger.Of("trapped", trapped, "V")).Then(climb),
		})
		return
	}
	from := []*ledger.Quantity{w.bleeder, w.each, w.noLoad, w.Get("supply.voltmeter_string")}
	enter := func(id, name string, v float64, unit, words string) *ledger.Quantity {
		return w.Solved("supply."+id, name, v, unit, ledger.Method{Words: ledger.Literal(words),
			Source: source.CircuitLaws}, from...)
	}
	all := enter("time_to_60v_one_bleeder_open", "Time until terminals and every capacitor are below 60 V, one bleeder open",
		everything, "s", how+" The later of terminals and worst capacitor counts.")
	enter("terminals_to_60v_one_bleeder_open", "Time until the terminals read 60 V, one bleeder open", terminals, "s", how)
	enter("half_time_one_bleeder_open", "Time in which the terminals fall to half, one bleeder open", run.HalfOneOpen(), "s", how)
	ids := []string{all.ID, "supply.terminals_to_60v_one_bleeder_open"}
	text := ledger.Say("If one bleeder fails open, only the voltmeter string R5 empties the whole bank: the terminals and every "+
		"capacitor are below 60 V after {everything}, not after {time_to60_v}.", ledger.In("everything", duration(everything)),
		ledger.In("time_to60_v", duration(w.res.TimeTo60V)))
	if p.PerCapacitor && p.Bank.Count > 1 {
		two := math.Max(run.Open(2))
		ids = append(ids, enter("time_to_60v_two_bleeders_open",
			"Time until terminals and every capacitor are below 60 V, two bleeders open", two, "s",
			"As with one open, two capacitors left with the voltmeter string alone: together they push twice the current through it.").ID)
		last := ledger.Say("the terminals are the last")
		if capacitor > terminals {
			last = ledger.Say("the terminals already read 60 V after {terminals}, while that capacitor is still charged",
				ledger.In("terminals", duration(terminals)))
		}
		text = ledger.Say("If one bleeder fails open, its capacitor is left with {trapped} at switch-off and the voltmeter string R5 "+
			"alone: terminals and all capacitors are below 60 V only after {everything}; {last}.", ledger.Of("trapped", trapped, "V"),
			ledger.In("everything", duration(everything)), ledger.In("last", last))
	}
	w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.one_bleeder_open", Stage: "supply", Quantities: ids,
		Text: text.Then(climb), Advice: ledger.Say(advice)})
}

// climbs says what an open bleeder does while the supply is on.
func (w *work) climbs() ledger.Sentence {
	p := &w.p
	limit, highest := p.CapacitorRating*surgeLimit(p.CapacitorRating), w.highest.Value
	t := p.climb(highest, limit)
	if math.IsInf(t, 1) {
		return ledger.Sentence{}
	}
	q := w.Solved("supply.one_bleeder_open_climb",
		"Time from the failure of a bleeder until its capacitor passes its surge voltage, supply on, highest mains", t, "s",
		ledger.Method{
			Words: ledger.Say("The supply holds the bank's voltage. What the sound capacitors lose through their bleeders, the " +
				"orphaned " +
				"one gains: C·dw/dt = (V - w)/(n·R), from an even share. Leakage, which slows it down and in the end decides, is left " +
				"out."),
			Source: source.CircuitLaws}, w.bleeder, w.each, w.highest, w.Get("supply.capacitor_surge_rating"))
	return ledger.Say("While the supply is on it is worse: that capacitor climbs above its share and passes its surge voltage of "+
		"{limit} within about {climb}, "+
		"vents or shorts.", ledger.Of("limit", limit, "V"), ledger.In("climb", duration(math.Ceil(q.Value))))
}

// roundedMinutes rounds a time [s] up to minutes, short ones to tenths of one.
func roundedMinutes(s float64) float64 {
	if s < 600 {
		return math.Ceil(s/6-1e-9) / 10
	}
	return math.Ceil(s/60 - 1e-9)
}

// duration writes a time to wait for a sentence, long ones rounded up.
func duration(s float64) ledger.Sentence {
	switch {
	case math.IsInf(s, 1):
		return ledger.Say("days")
	case s >= 2*3600:
		return ledger.Say("{ceil} hours", ledger.Fixed("ceil", math.Ceil(s/360-1e-9)/10, 1))
	case s > 120:
		return ledger.Say("{s} minutes", ledger.Short("s", roundedMinutes(s), 6))
	case s == math.Trunc(s):
		return ledger.Say("{s} s", ledger.Fixed("s", s, 0))
	}
	return ledger.Say("{s}", ledger.Of("s", s, "s"))
}
