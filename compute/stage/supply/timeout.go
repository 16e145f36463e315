package supply

import (
	"math"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/rectifier"
)

// wait is a contactor that waits for the bank's voltage, and the timeout that
// ends the waiting.
type wait struct {
	*work
	resistor, time *ledger.Quantity
	threshold      *ledger.Quantity // bank voltage from which K3 may close [V]
	charged        float64          // when the bank gets there on the lowest mains [s]; +Inf: not within a minute
	current, heat  *ledger.Quantity // in a shorted supply: mains current [A], heat in R4 [W]
	shut           *ledger.Quantity // mains current with R4 shorted [A]
	idling, burnt  *ledger.Quantity // tubes idling behind R4: bank voltage [V], heat in R4 [W]; nil: the supply breaks down
	timeout        *ledger.Quantity // [s]
	lasts          float64          // how long R4 stands a short [s]; +Inf: for good
}

// waiting enters the voltage that the contactor waits for, and a shorted supply.
func (w *work) waiting(r, back, t *ledger.Quantity) *wait {
	k := &wait{work: w, resistor: r, time: t}
	p := &w.p
	low := 1 - p.Tolerance
	slow := p.Supply
	slow.SecondaryVoltage *= low
	slow.SourceResistance += back.Value
	slow.ChokeInductance = p.chokeAt(0)
	final := low * w.noLoad.Value
	if held, err := rectifier.SteadyState(slow); err == nil {
		final = math.Min(final, held.Voltage)
	}
	if p.Choke.Light > 0 { // what the crests add beyond the mean comes slowly
		final = math.Min(final, rectifier.ResistiveMean(slow.SecondaryVoltage))
	}
	k.threshold = w.Solved("supply.step_start_threshold", "Bank voltage below which the step-start contactor must stay open",
		math.Floor(chargedShare*final/10)*10, "V", ledger.Method{
			Words: ledger.Say("{charged_share} % of what the bank reaches through the step-start resistor on the lowest mains, "+
				"bleeders as load; behind a choke no more than the mean of the rectified sine.",
				ledger.Fixed("charged_share", chargedShare*100, 0)), Source: byRun.Source,
		}, w.noLoad, r, w.mainsSpread)
	start := w.startOf(low, 1+w.tolerance.Value, back.Value, longestCharge)
	start.Threshold = k.threshold.Value
	k.charged = w.run(start).Reached
	if !math.IsInf(k.charged, 1) {
		w.Solved("supply.step_start_charging_time", "Time until the contactor may close, lowest mains, greatest capacitance",
			k.charged, "s", byRun, k.threshold, r, w.total, w.tolerance, w.mainsSpread)
	}
	k.current = w.Compute("supply.step_start_short_current", "Mains current into a shorted supply through the step-start resistor, "+
		"highest mains, rms", shortStep, ledger.With{"V_m": w.mainsVoltage, "t": w.mainsSpread, "R_4": r, "R_s": w.source,
		"n": w.ratio})
	k.heat = w.Compute("supply.step_start_short_power", "Heat in the step-start resistor, supply shorted, highest mains", shortHeat,
		ledger.With{"I_k": k.current, "R_4": r})
	k.shut = w.Compute("supply.short_mains_current", "Mains current into a shorted supply, step-start resistor shorted, highest "+
		"mains, rms", shortShut, ledger.With{"V_m": w.mainsVoltage, "t": w.mainsSpread, "R_s": w.source, "n": w.ratio})
	slow = p.Supply
	slow.SourceResistance += back.Value
	slow.LoadCurrent = w.in.IdleCurrent.Value
	if held, err := rectifier.SteadyState(slow); err == nil {
		k.idling = w.Solved("supply.step_start_stuck_voltage", "Filter voltage if the contactor never closes, tubes idling",
			held.Voltage, "V", inTime, r, w.in.IdleCurrent)
		k.burnt = w.Solved("supply.step_start_stuck_power", "Heat in the step-start resistor if the contactor never closes, tubes "+
			"idling", held.SourceLoss*back.Value/slow.SourceResistance, "W", inTime, r, w.in.IdleCurrent)
	}
	return k
}

// stuck says what the tubes do to the resistor while the contactor is open.
func (k *wait) stuck() ledger.Sentence {
	if k.idling == nil {
		return ledger.Say("If K3 never closes the supply breaks down even at idle: make the transmit relays wait for K3.")
	}
	return ledger.Say("If K3 never closes it burns {burnt} with the tubes idling, and far more with drive: make the transmit relays "+
		"wait for K3.", ledger.Q("burnt", k.burnt))
}

// loaded says what becomes of a start with the tubes already idling.
func (k *wait) loaded() ledger.Sentence {
	switch {
	case k.idling == nil:
		return ledger.Say("With the tubes idling from the start the bank stays near nothing, as with a short.")
	case k.idling.Value < k.threshold.Value:
		return ledger.Say("With the tubes idling from the start the bank stays at {idling}, R4 burns {burnt}, and the timeout ends "+
			"that too.", ledger.Q("idling", k.idling), ledger.Q("burnt", k.burnt))
	}
	return ledger.Say("With the tubes idling from the start the bank still reaches {idling}, and the contactor closes.",
		ledger.Q("idling", k.idling))
}

// needed is how long a healthy bank may take until K3 has closed [s].
func (k *wait) needed() float64 { return math.Max(k.time.Value, k.charged) }

// least is the timeout [s] that a resistor to be chosen must stand.
func (k *wait) least() float64 {
	if s := &k.Spec.Supply.StepStart; s.Timeout.Given {
		return s.Timeout.SI
	}
	return desk.NextUp(timeoutHead*math.Min(k.needed(), longestCharge), timeouts)
}

// against enters the timeout and holds the resistor against a short that lasts
// as long. It returns the energy of that [J], 0 where the resistor stands a
// short for good.
func (k *wait) against(power, pulse *ledger.Quantity) (energy float64) {
	s := &k.Spec.Supply.StepStart
	k.lasts = math.Inf(1)
	lasting := ledger.Say("stands it for good")
	if k.heat.Value > power.Value {
		q := k.Compute("supply.step_start_short_time", "How long the step-start resistor lasts, supply shorted", shortLasts,
			ledger.With{"E_r": pulse, "P_k": k.heat})
		k.lasts = q.Value
		lasting = ledger.Say("lasts {supply.step_start_short_time}")
	}
	chosen := k.least()
	if chosen > k.lasts && k.lasts > k.needed() { // between what the bank needs and what R4 stands
		chosen = math.Sqrt(k.needed() * k.lasts)
		if round := downTo2(chosen); round > k.needed() {
			chosen = round
		}
	}
	k.timeout = k.TakeOr("supply.step_start_timeout", "Time after which a step start that has not charged the bank opens the mains",
		"s", s.Timeout, chosen,
		ledger.Say("longer than the bank needs on the lowest mains, and shorter than the step-start resistor stands a short, where "+
			"both can be"))
	k.res.StepTimeout, k.res.StepThreshold = k.timeout.Value, k.threshold.Value
	if !math.IsInf(k.lasts, 1) {
		e := k.Compute("supply.step_start_short_energy", "Energy in the step-start resistor when the timeout opens the mains, supply "+
			"shorted", shortEnergy, ledger.With{"P_k": k.heat, "t_7": k.timeout})
		energy = e.Value
		advice := ledger.Say("The resistor burns before the timeout ends. Use a wirewound one of {next_up}",
			ledger.Of("next_up", desk.NextUp(e.Value/pulse.Value*power.Value, desk.ResistorPowers), "W"))
		if k.lasts > k.needed() {
			advice = advice.Append(ledger.Say(", or set supply.step_start.timeout to no more than {lasts}",
				ledger.Of("lasts", downTo2(k.lasts), "s")))
		}
		k.Check(desk.Hold{Part: "R4", Name: "Step-start resistor", Kind: "energy", Stress: e, Rating: pulse.Value,
			Bought: !s.Power.Given && !s.Timeout.Given,
			Why:    ledger.Say("a shorted supply until the timeout opens the mains, highest mains"),
			Advice: ledger.Say("{advice}. A thermal cut-off bolted to it is the second line.", ledger.In("advice", advice))})
	}
	if k.timeout.Value <= k.needed()*(1+1e-9) {
		text := ledger.Say("The step start gives up after {timeout}, but a healthy bank may need {needed} on the lowest mains: the "+
			"supply does not come up.", ledger.Q("timeout", k.timeout), ledger.Of("needed", k.needed(), "s"))
		advice := ledger.Say("Set supply.step_start.timeout above {needed}", ledger.Of("needed", k.needed(), "s"))
		switch {
		case math.IsInf(k.charged, 1):
			text = ledger.Say("Through {resistor} a bank that takes more than {longest_charge} s to {threshold} does not come up "+
				"before the timeout of {timeout}.", ledger.Q("resistor", k.resistor), ledger.Fixed("longest_charge", longestCharge, 0),
				ledger.Q("threshold", k.threshold), ledger.Q("timeout", k.timeout))
			advice = ledger.Say("Use a smaller step-start resistor or bleeders of more ohms")
		case k.lasts <= k.needed():
			advice = advice.Append(ledger.Say("; the resistor stands a short for less than that, so it needs more watts too"))
		}
		k.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.step_start_timeout", Stage: "supply",
			Quantities: []string{k.timeout.ID, k.threshold.ID}, Text: text,
			Advice: ledger.Say("{advice}.", ledger.In("advice", advice))})
	}
	unnoticed := ", too little to open fuse or breaker in time"
	if k.fuse != nil && k.current.Value > 2*k.fuse.Value {
		unnoticed = ""
	}
	f := ledger.Finding{Severity: ledger.Note, ID: "supply.step_start_short", Stage: "supply", Quantities: []string{k.current.ID,
		k.heat.ID, k.timeout.ID, k.shut.ID},
		Text: ledger.Say("Into a shorted supply the step start passes {current}{unnoticed}. R4 then turns {heat} into heat and "+
			"{lasting}. A contactor that waits for the bank never closes, so the timeout K9 opens the mains after {timeout}. A "+
			"contactor "+
			"on a timer alone closes onto the short, and the mains drives {shut}. {loaded}", ledger.Q("current", k.current),
			ledger.Called("unnoticed", unnoticed), ledger.Q("heat", k.heat), ledger.In("lasting", lasting),
			ledger.Q("timeout", k.timeout),
			ledger.Q("shut", k.shut), ledger.In("loaded", k.loaded())),
		Advice: ledger.Say("Let K3 close no sooner than {time} and only above {threshold}. Prove K9 at bring-up with the primary of "+
			"T1 disconnected, plug out while you do it: the bank cannot charge, and K9 must open on time.", ledger.Q("time", k.time),
			ledger.Q("threshold", k.threshold))}
	if (s.Resistance.Given || s.Power.Given) && !s.Timeout.Given && !math.IsInf(k.lasts, 1) {
		f.Severity = ledger.Caution
		f.Text = f.Text.Then(ledger.Say("The spec states a resistor and no timeout."))
	}
	k.Find(f)
	return energy
}

// part enters the timeout.
func (k *wait) part() {
	k.Part(ledger.Part{Designator: "K9", Name: "Step-start timeout, latching, opens the primary of T1", Stage: "supply",
		Given: k.Spec.Supply.StepStart.Timeout.Given, Value: ledger.Say("{timeout}", ledger.Q("timeout", k.timeout)),
		Rating: ledger.Say("runs until K3 has pulled in"),
		Note: ledger.Say("Opens the primary where K3 has not pulled in when its time is over: a short or a load then heats R4, and " +
			"neither fuse nor breaker notices. Reset by hand, after looking for the cause. A thermal cut-off bolted to R4 is a second " +
			"line, too slow to be the first. The bank keeps what charge it has.")})
}

// downTo2 rounds down to two significant digits.
func downTo2(x float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(x))-1)
	return math.Floor(x/p+1e-9) * p
}
