package supply

import (
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
)

// enterChoke enters the choke's values, which the steady states need.
func (w *work) enterChoke() {
	g, c := &w.Spec.Supply.Choke, &w.p.Choke
	if c.Light == 0 {
		return
	}
	light := w.TakeOr("supply.choke_inductance", "Inductance of the input choke", "H", g.Inductance, c.Light,
		ledger.Say("the next E6 value above {choke_head} times the critical inductance of the bleeders and {light_load} % of the "+
			"plate current: the least that still lets the tubes idle", ledger.Fixed("choke_head", chokeHead, 2),
			ledger.Fixed("light_load", 100*lightLoad, 0)))
	w.chokeEach = light
	w.chokeOhms = w.TakeOr("supply.choke_resistance", "Resistance of the input choke", "Ω", g.Resistance, c.Resistance,
		ledger.Say("common practice: a choke of this size drops about a hundredth of the plate voltage"))
	if g.LoadedInductance.Given {
		loaded := w.Take("supply.choke_inductance_loaded", "Inductance of the swinging choke at its rated current", "H",
			g.LoadedInductance)
		w.chokeEach = w.Solved("supply.choke_inductance_full", "Inductance of the swinging choke at full output",
			w.p.chokeAt(w.in.PlateCurrent.Value), "H", ledger.Method{
				Words: ledger.Say("Between a tenth of the rated current and the rated current the inductance falls as a power of the " +
					"current through both stated values; beyond them it is held."), Source: source.CommonPractice,
			}, light, loaded, w.in.PlateCurrent)
	}
}

// chokeByHand enters the textbook forms of a choke above its critical
// inductance.
func (w *work) chokeByHand() *ledger.Quantity {
	w.Compute("supply.ripple_by_hand", "Ripple by the hand formula", chokeRipple,
		ledger.With{"V": w.fullVoltage, "f": w.mainsFrequency, "L": w.chokeEach, "C": w.total})
	return w.Compute("supply.full_load_voltage_by_hand", "Filter voltage at full output by the hand formula", chokeOutput,
		ledger.With{"V_m": w.meanOfSine(), "I": w.load, "R_s": w.source, "R_c": w.chokeOhms})
}

func (w *work) meanOfSine() *ledger.Quantity {
	const id = "supply.mean_of_sine"
	if q, ok := w.Lookup(id); ok {
		return q
	}
	return w.Compute(id, "Mean of the rectified sine", meanOfSine, ledger.With{"V_s": w.secondaryVoltage})
}

// choke enters what the choke bears and what its least load is.
func (w *work) choke() {
	if w.p.Choke.Light == 0 {
		return
	}
	g, p := &w.Spec.Supply.Choke, &w.p
	full := &w.res.Full
	idleLoad := w.idleLoad("supply.choke_idle_load", "Load at the filter, tubes idling")
	least := w.Compute("supply.critical_inductance", "Critical inductance, tubes idling", critical,
		ledger.With{"R": idleLoad, "f": w.mainsFrequency})
	atIdle := w.Solved("supply.choke_inductance_idle", "Inductance of the choke, tubes idling", p.chokeAt(w.in.IdleCurrent.Value), "H",
		ledger.Method{
			Words:  ledger.Say("The stated inductance, or between the two stated values of a swinging choke."),
			Source: source.CommonPractice}, w.Get("supply.choke_inductance"), w.in.IdleCurrent)
	leastCurrent := w.Solved("supply.choke_least_current", "Least plate current at which the choke's current never stops",
		p.LeastLoad(), "A", ledger.Method{
			Words: ledger.Say("The plate current at which choke inductance and critical inductance R/(6π·f) are equal, the bleeders " +
				"drawing on; found by bisection. Below it the filter voltage rises from the mean towards the crest of the sine."), Source: source.CriticalInductance}, w.beside(w.Get("supply.choke_inductance"))...)
	current := w.Solved("supply.choke_current_rms", "Current of the choke at full output, rms", full.ChokeCurrent, "A", inTime,
		w.chokeEach, w.load)
	w.Solved("supply.choke_current_peak", "Current of the choke at full output, greatest", full.ChokeCurrentMaximum, "A", inTime,
		w.chokeEach, w.load)
	w.Solved("supply.choke_current_least", "Current of the choke, tubes idling, least", w.res.Idle.ChokeCurrentMinimum, "A", inTime,
		atIdle, w.in.IdleCurrent)
	heat := w.Compute("supply.choke_heat", "Heat in the choke at full output", chokeHeat, ledger.With{"I": current, "R_c": w.chokeOhms})
	resonance := w.Compute("supply.choke_resonance", "Resonance of choke and filter bank", ringing,
		ledger.With{"L": w.chokeEach, "C": w.total})
	held := w.Check(desk.Hold{Part: "L3", Name: "Input choke", Kind: "current", Stress: w.load, Have: g.Current,
		Owned: g.Inductance.Given, Factor: w.Spec.Margins.Current,
		Standard: desk.Currents, Why: ledger.Say("direct current at full output"),
		Advice: ledger.Say("Beyond its rated current the core saturates, the inductance falls and the filter turns into a capacitor " +
			"input, with its higher voltage.")})
	volts := w.Check(desk.Hold{Part: "L3", Name: "Input choke", Kind: "voltage", Stress: w.highest, Have: g.Voltage,
		Owned: g.Inductance.Given, Factor: w.Spec.Margins.Voltage, Standard: desk.CapacitorVoltages,
		Why:    ledger.Say("winding to core without load, highest mains; the voltage across the winding swings besides"),
		Advice: ledger.Say("Put the choke into the negative lead, or insulate its core from the chassis.")})
	value := ledger.Say("{supply.choke_inductance}")
	if g.LoadedInductance.Given {
		value = value.Then(ledger.Say("swinging to {supply.choke_inductance_loaded}"))
	}
	w.Part(ledger.Part{Designator: "L3", Name: "Input choke of the filter", Stage: "supply", Given: g.Inductance.Given, Value: value,
		Rating: ledger.Say("{rating} direct, {choke_ohms}, insulation {rating_2}", ledger.Of("rating", held.Rating, "A"),
			ledger.Q("choke_ohms", w.chokeOhms), ledger.Of("rating_2", volts.Rating, "V")),
		Note: ledger.Say("The voltage across it jumps by kilovolts when the current stops or a diode fails: a spark gap or a "+
			"resistor and capacitor across it, and distance to the chassis. {heat} This part carries lethal voltage. Pull the mains "+
			"plug, "+
			"wait the computed time, verify with a meter, discharge through a resistor stick, and leave the ground hook on while you "+
			"work.",
			ledger.In("heat", heatNote(heat)))})

	quantities := []string{least.ID, atIdle.ID, leastCurrent.ID}
	only := "with the bleeders only"
	if w.bleeders == nil {
		only = "without bleeders"
	}
	standby := ledger.Say("On standby, {only}, the filter stands at {standby} instead of {supply.idle_voltage} idling.",
		ledger.Called("only", only), ledger.Of("standby", w.res.Standby.Voltage, "V"))
	if w.res.Idle.ChokeCurrentMinimum <= 0 {
		w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.choke_least_load", Stage: "supply", Quantities: quantities,
			Text: ledger.Say("The choke of {supply.choke_inductance_idle} at idle is below its critical inductance of "+
				"{supply.critical_inductance}: its current stops in every half period, and the voltage idling is above that of the "+
				"mean "+
				"of the sine. It needs a plate current of at least {supply.choke_least_current}. {standby}",
				ledger.In("standby", standby)),
			Advice: ledger.Say("Draw more through the bleeders, idle at a higher current, or take a choke of more henries or a " +
				"swinging one.")})
	} else {
		w.Find(ledger.Finding{Severity: ledger.Note, ID: "supply.choke_least_load", Stage: "supply", Quantities: quantities,
			Text: ledger.Say("Idling, the choke has {supply.choke_inductance_idle} against a critical inductance of "+
				"{supply.critical_inductance}, so its current never stops; it needs a plate current of at least "+
				"{supply.choke_least_current}. {standby}", ledger.In("standby", standby)),
			Advice: ledger.Say("Capacitors, blocking capacitor and meter must stand the crest of the sine all the same: cut off, or " +
				"with the bleeders open, that is what the filter reaches.")})
	}
	over := w.Solved("supply.switch_on_voltage", "Greatest filter voltage at switch-on without step start, highest mains",
		p.overshoot(w.source.Value+w.chokeOhms.Value), "V", ledger.Method{
			Words: ledger.Say("Switched on without load, choke and bank ring about the mean of the rectified sine: V·(1 + " +
				"exp(-π·a/ω)), a " +
				"= R/2L, ω² = 1/LC - a². The diodes let no charge back, so the bank keeps the crest."), Source: source.SeriesCircuit,
		}, w.chokeEach, w.total, w.source, w.chokeOhms)
	if over.Value > w.highest.Value {
		w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.switch_on_voltage", Stage: "supply",
			Quantities: []string{over.ID, w.highest.ID},
			Text: ledger.Say("Switched on without step start, choke and bank ring up to {supply.switch_on_voltage}, above the "+
				"{highest} of the crest, and the diodes hold it there until the bleeders have drawn it off.",
				ledger.Q("highest", w.highest)),
			Advice: ledger.Say("The step-start resistor damps it: never run with the contactor stuck, and do not switch the mains in " +
				"quick succession.")})
	} else if p := &w.p; p.rings() && over.Value > w.noLoad.Value*(1+p.Tolerance) {
		w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.switch_on_voltage", Stage: "supply",
			Quantities: []string{over.ID, w.highest.ID},
			Text: ledger.Say("There is no step start: at each switch-on choke and bank ring up to {supply.switch_on_voltage}, above "+
				"the "+
				"{crest} of the crest, and the diodes hold it there until the bleeders have drawn it off. Everything on the bank is "+
				"held "+
				"against that voltage.", ledger.Of("crest", w.noLoad.Value*(1+p.Tolerance), "V")),
			Advice: ledger.Say("Fit a step start: its resistor damps the ring. Until then do not switch the mains in quick succession.")})
	}
	if limit := 2 * w.mainsFrequency.Value / 3; resonance.Value > limit {
		w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.choke_resonance", Stage: "supply",
			Quantities: []string{resonance.ID},
			Text: ledger.Say("Choke and bank resonate at {supply.choke_resonance}, less than a factor of three below the ripple at "+
				"{mains_frequency}: the filter hardly filters and can add to the ripple.",
				ledger.Of("mains_frequency", 2*w.mainsFrequency.Value, "Hz")),
			Advice: ledger.Say("A choke of more henries, or more capacitance, lowers the resonance.")})
	}
}

func heatNote(heat *ledger.Quantity) ledger.Sentence {
	return ledger.Say("It turns {heat} into heat at full output.", ledger.Q("heat", heat))
}

// hum enters how much of the ripple is heard on the signal.
func (w *work) hum() {
	with := ledger.With{"V_pp": w.ripple, "V": w.fullVoltage}
	w.Compute("supply.hum_at_most", "Hum sidebands at full output if the output followed the plate voltage in full", humAtMost, with)
	if w.in.PlatePull <= 0 {
		return
	}
	pull := w.Solved("supply.plate_pull", "Change of the output's amplitude with the plate voltage, both relative", w.in.PlatePull, "",
		ledger.Method{
			Words: ledger.Say("The tube solved at full output with the plate voltage 1 % up and down, drive source, bias and load " +
				"held: a " +
				"tube that is driven to its plate floor follows the plate voltage, one that is not hardly does."), Source: source.TubeFit,
		}, w.in.PlateVoltage)
	w.Compute("supply.hum_sidebands", "Hum sidebands at full output, each", humSide,
		ledger.With{"S": pull, "V_pp": w.ripple, "V": w.fullVoltage})
}

// surgeOf enters the current at switch-on, bank empty.
func (w *work) surgeOf() {
	const id = "supply.surge_current"
	if w.p.Choke.Light > 0 {
		v := w.meanOfSine()
		w.surge = w.Compute(id, "Secondary current at switch-on without step start, peak", surgeChoke,
			ledger.With{"V_m": v, "C": w.total, "L": w.chokeEach})
		return
	}
	w.surge = w.Compute(id, "Secondary current at switch-on without step start, peak", surgeDirect,
		ledger.With{"V_s": w.secondaryVoltage, "R_s": w.source})
}

// equalisers enters whether the diodes of a leg need any.
func (w *work) equalisers(leg, n *ledger.Quantity) {
	if w.p.DiodesPerLeg < 2 {
		return
	}
	dd := &w.Spec.Supply.Diodes
	one := w.Take("supply.diode_reverse_rating", "Rated reverse voltage of one diode", "V", dd.Voltage)
	k := w.Compute("supply.diode_headroom", "Reverse ratings of one leg over its peak reverse voltage", headroom,
		ledger.With{"N": n, "V_1": one, "V_r": leg})
	spread := w.Catalogue("supply.diode_leakage_spread", "Difference of the diodes' reverse currents, hot", 100e-6, "A",
		"from memory: data sheets of the common 1 A and 3 A diodes, hot")
	text := ledger.Say("The reverse ratings of a leg add up to {k} times its peak reverse voltage.", ledger.Fixed("k", k.Value, 1))
	if k.Value <= 1 {
		w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.diode_equalisers", Stage: "supply",
			Quantities: []string{k.ID, leg.ID},
			Text: ledger.Say("{text} No equaliser helps: even shared evenly, the voltage is more than the diodes stand.",
				ledger.In("text", text)), Advice: ledger.Say("Put more diodes in series in each leg.")})
		return
	}
	r := w.Compute("supply.diode_equaliser", "Greatest resistor across each diode that still shares the voltage", equaliser,
		ledger.With{"N": n, "V_1": one, "V_r": leg, "ΔI": spread})
	if k.Value < reverseFactor*(1-1e-9) {
		w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.diode_equalisers", Stage: "supply",
			Quantities: []string{k.ID, r.ID},
			Text: ledger.Say("{text} Less than twice leaves too little for unequal reverse currents and recovery times without "+
				"equalisers; resistors across the diodes would have to be {supply.diode_equaliser} at most.", ledger.In("text", text)),
			Advice: ledger.Say("Rather than equalisers, use more diodes of one batch: a resistor of this kind is one more part that " +
				"fails under kilovolts.")})
		return
	}
	w.Find(ledger.Finding{Severity: ledger.Note, ID: "supply.diode_equalisers", Stage: "supply", Quantities: []string{k.ID, r.ID},
		Text: ledger.Say("{text} Diodes of one type and batch then need no equalisers (common practice for present silicon diodes); "+
			"where old practice put resistors across them, {supply.diode_equaliser} would be the greatest value that shares a "+
			"difference "+
			"in reverse current of {supply.diode_leakage_spread}.", ledger.In("text", text)),
		Advice: ledger.Say("Do not mix types or batches in a leg, and replace a whole leg.")})
}
