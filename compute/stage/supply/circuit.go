package supply

import (
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/rectifier"
	"anodebook/spec"
)

// byRun is the method behind the step-start figures.
var byRun = ledger.Method{
	Words: ledger.Say("The switch-on followed in time from the crest of the mains, bank empty, bleeders as load: in small steps, " +
		"each implicit in currents, voltages and in which diodes conduct. The step-start resistor lies in the primary, where only the " +
		"difference of the currents of two half windings flows; a choke has the inductance of its momentary current."),
	Source: source.CircuitLaws,
}

var (
	pulseTimes = []float64{0.25, 0.5, 1, 2, 3, 5, 10, 20}
	timeouts   = []float64{0.4, 0.5, 0.6, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50, 60}
)

const (
	chargedShare  = 0.9  // of what the bank can reach on the lowest mains: when the contactor may close
	longestCharge = 60.0 // after which a charging that does not get there is given up [s]
	timeoutHead   = 1.25 // timeout over the charging time on the lowest mains
)

// stepStartOhms is the step-start resistor that the program chooses [Ω]: it
// lets about the mains current of full output through.
func (w *work) stepStartOhms() float64 {
	return preferred.E12.Nearest(w.mainsVoltage.Value / (w.res.Full.SourceCurrent * w.ratio.Value))
}

// stepStart enters the switch-on through R4, or without it.
func (w *work) stepStart() {
	s, p, m := &w.Spec.Supply.StepStart, &w.p, &w.Spec.Margins
	if s.Fitted.Denied() {
		w.noStepStart()
		return
	}
	r := w.TakeOr("supply.step_start_resistance", "Step-start resistor in the primary", "Ω", s.Resistance, w.stepStartOhms(),
		ledger.Say("so that the first crest of primary current is no higher than the crest in ordinary running at full output were a "+
			"sine"))
	back := w.Compute("supply.step_start_reflected", "Step-start resistor seen at the secondary", reflected,
		ledger.With{"R_4": r, "n": w.ratio})
	total := back.Value + w.source.Value

	ninety, _ := chargingTime(0.9)
	scale := ninety * p.chargingScale(total)
	if p.Choke.Light > 0 { // nine tenths of the mean of the sine
		scale = math.Ln10 * total * p.Bank.OutputCapacitance()
	}
	want := desk.NextUp(1.5*scale, pulseTimes)
	t := w.TakeOr("supply.step_start_time", "Time until the contactor shorts the step-start resistor", "s", s.Time, want,
		ledger.Say("half as long again as the bank needs to nine tenths of its voltage"))
	w.res.StepResistance, w.res.StepTime = r.Value, t.Value
	w.res.start = w.startOf(1, 1, back.Value, t.Value)
	run := w.run(w.res.start)
	reached := w.Solved("supply.step_start_reached", "Charge of the bank when the contactor closes, of the voltage without load",
		run.Voltage/w.noLoad.Value, "%", byRun, w.beside(r, t, w.total)...)
	joule := w.Solved("supply.step_start_energy", "Energy in the step-start resistor at each switch-on", run.Heat, "J", byRun, r, t,
		w.total, w.noLoad)
	var surged, shut *ledger.Quantity
	if p.Choke.Light > 0 { // the choke, not the resistor, holds the crest
		surged = w.Solved("supply.surge_current_step_start", "Secondary current at switch-on through the step-start resistor, at most",
			math.Min(w.surge.Value, math.Sqrt2*w.secondaryVoltage.Value/total), "A",
			desk.Derived("No more than without the resistor, and no more than the crest of the secondary over source and step-start "+
				"resistance."), w.surge, w.source, back)
		shut = w.Compute("supply.closing_current", "Secondary current when the contactor closes, at most", closingChoke,
			ledger.With{"V_m": w.meanOfSine(), "V_0": w.noLoad, "x": reached, "C": w.total, "L": w.chokeEach, "f": w.mainsFrequency})
	} else {
		surged = w.Compute("supply.surge_current_step_start", "Secondary current at switch-on through the step-start resistor, peak",
			surgeStep, ledger.With{"V_s": w.secondaryVoltage, "R_s": w.source, "R_r": back})
		shut = w.Compute("supply.closing_current", "Secondary current when the contactor closes at the crest, peak", closing,
			ledger.With{"V_s": w.secondaryVoltage, "x": reached, "R_s": w.source})
	}
	first := w.Compute("supply.primary_surge_step_start", "Primary current at switch-on through the step-start resistor, peak",
		toPrimary, ledger.With{"I_s": surged, "n": w.ratio})
	w.Compute("supply.primary_surge", "Primary current at switch-on without step start, peak", toPrimary,
		ledger.With{"I_s": w.surge, "n": w.ratio})

	dd := &w.Spec.Supply.Diodes
	worst := surged
	if shut.Value > worst.Value {
		worst = shut
	}
	high := w.diodeSurge(worst, "first crest through the step-start resistor, or the crest when the contactor closes, highest mains",
		"A longer step-start time or a larger resistor lowers it.")
	w.leftOver(surged, shut, high)
	if w.surge.Value > dd.Surge.SI {
		w.Find(ledger.Finding{
			Severity: ledger.Caution, ID: "supply.surge", Stage: "supply", Quantities: []string{w.surge.ID},
			Text: ledger.Say("Without step start the first crest would be {surge}, above the {surge_2} that one diode stands: a "+
				"contactor K3 that sticks closed destroys the rectifier at the next switch-on.", ledger.Q("surge", w.surge),
				ledger.Of("surge_2", dd.Surge.SI, "A")),
			Advice: ledger.Say("Interlock K3 so that the supply cannot be switched on while its contact is closed, or use diodes of a " +
				"greater surge rating."),
		})
	}
	w.inrush(run.Action, r, t, w.total)
	k := w.waiting(r, back, t)

	// Heat of one pulse against the resistor's short-time overload.
	five := w.Catalogue("supply.overload_time", "How long a wirewound resistor takes five times its rated power", 5, "s",
		source.WirewoundOverload.Title)
	rated := s.Power.SI
	if !s.Power.Given {
		rated = desk.NextUp(math.Max(joule.Value*m.Power.Value, k.heat.Value*k.least())/(5*five.Value), desk.ResistorPowers)
	}
	power := w.powerOf(s.Power, rated)
	pulse := w.Compute("supply.step_start_pulse_rating", "Energy that the step-start resistor takes in one pulse", shortTime,
		ledger.With{"P": power, "t_5": five})
	w.Check(desk.Hold{Part: "R4", Name: "Step-start resistor", Kind: "energy", Stress: joule, Rating: pulse.Value,
		Bought: !s.Power.Given, Owned: s.Resistance.Given, Factor: m.Power,
		Why:    ledger.Say("charging the empty bank once"),
		Advice: ledger.Say("Use a wirewound resistor of higher power; wait a minute between two switch-ons.")})
	hardest := k.against(power, pulse)
	if joule.Value > hardest {
		hardest = joule.Value
	}
	w.Part(ledger.Part{Designator: "R4", Name: "Step-start resistor, wirewound", Stage: "supply", Given: s.Resistance.Given,
		Value:  ledger.Say("{supply.step_start_resistance}"),
		Rating: ledger.Say("{rated}, one pulse of {hardest}", ledger.Of("rated", rated, "W"), ledger.Of("hardest", hardest, "J")),
		Note: ledger.Say("On mains potential whenever the amplifier is plugged in: mount it where no hand or wire reaches it, away "+
			"from anything that burns. {stuck}", ledger.In("stuck", k.stuck()))})
	w.Part(ledger.Part{Designator: "K3", Name: "Step-start contactor", Stage: "supply",
		Value: ledger.Say("closes after {supply.step_start_time}"),
		Rating: ledger.Say("contacts for {contacts} at {insulated}",
			ledger.In("contacts", amps(w.contacts(w.res.Full.SourceCurrent*w.ratio.Value))), ledger.In("insulated", w.insulated())),
		Note: ledger.Say("Closes only above {threshold} of the bank, sensed at the foot of the voltmeter's string and never at the "+
			"bank itself. Its contacts carry the whole primary current at mains voltage. It must drop out when the mains fails, or the "+
			"next switch-on has no step start. Three auxiliary contacts, linked to the main one: one closes the key line, one stops "+
			"K9, one keeps S7 from starting while the main contact is stuck. The lead from the string is held apart from coil and "+
			"contacts.", ledger.Q("threshold", k.threshold))})
	k.part()
	w.Find(ledger.Finding{
		Severity: ledger.Note, ID: "supply.step_start", Stage: "supply",
		Quantities: []string{w.surge.ID, surged.ID, first.ID, reached.ID},
		Text: ledger.Say("Switched on at the crest with an empty bank, the primary would see up to {supply.primary_surge}; through "+
			"{supply.step_start_resistance} it sees {supply.primary_surge_step_start}. After {supply.step_start_time} the bank is at "+
			"{supply.step_start_reached}, and the contactor closes onto about {shut} in the secondary.", ledger.Q("shut", shut)),
		Advice: ledger.Say("The transformer's own magnetising inrush comes on top and is not in these figures."),
	})
}

// run follows a switch-on of the plan, whose values are all in range.
func (w *work) run(s rectifier.Start) rectifier.Started {
	r, err := s.Run()
	if err != nil {
		panic("supply: " + err.Error())
	}
	return r
}

// diodeSurge holds the diodes against a surge, on the highest mains.
func (w *work) diodeSurge(surge *ledger.Quantity, why, advice string) *ledger.Quantity {
	high := w.Compute("supply.diode_surge", "Surge current of the diodes at switch-on, highest mains", onHighSurge,
		ledger.With{"I_max": surge, "t": w.mainsSpread})
	w.Check(desk.Hold{Part: "D2", Name: "Rectifier diode", Kind: "surge", Stress: high, Have: w.Spec.Supply.Diodes.Surge,
		Factor: w.Spec.Margins.Current, Why: ledger.Literal(why),
		Advice: ledger.Literal(advice)})
	return high
}

// release enters the crest of mains current at which the breaker may open.
func (w *work) release() *ledger.Quantity {
	k := w.Catalogue("supply.breaker_release", "Least multiple of its rating, rms, at which the breaker may open at once",
		w.practice.Instantaneous, "", w.practice.InstantaneousCitation)
	return w.Compute("supply.breaker_release_crest", "Crest of mains current at which the breaker may open at once", releaseAt,
		ledger.With{"k": k, "I_n": w.circuitRating})
}

// leftOver says where the step start does not do its work: what current it
// leaves, and what does not stand that.
func (w *work) leftOver(surged, shut, high *ledger.Quantity) {
	crest := w.Compute("supply.primary_inrush", "Greatest crest of primary current at switch-on, highest mains", toPrimary,
		ledger.With{"I_s": high, "n": w.ratio})
	limit := w.release()
	diode := w.Spec.Supply.Diodes.Surge.SI
	what, severity := ledger.Sentence{}, ledger.Caution
	if high.Value > diode {
		what, severity = ledger.Say("the rectifier diodes stand {diode} of it", ledger.Of("diode", diode, "A")), ledger.Exceeds
	}
	if crest.Value > limit.Value {
		if !what.Empty() {
			what = what.Append(ledger.Say(", and "))
		}
		what = what.Append(ledger.Say("the breaker may open at once from {limit}", ledger.Q("limit", limit)))
	}
	if what.Empty() {
		return
	}
	id, text := "supply.step_start_resistor", "The step-start resistor has too few ohms to do its work: it leaves"
	advice := ledger.Say("Take more ohms: {ohms} let no more through than full output does.", ledger.Of("ohms", w.stepStartOhms(), "Ω"))
	if shut.Value > surged.Value {
		id, text = "supply.step_start_closing", "The contactor closes too early, with the bank too low: that leaves"
		advice = ledger.Say("Let the contactor close later, or at a higher voltage of the bank.")
	}
	w.Find(ledger.Finding{Severity: severity, ID: id, Stage: "supply", Quantities: []string{high.ID, crest.ID, limit.ID},
		Text: ledger.Say("{text} a crest of {high} in the secondary and {supply.primary_inrush} from the mains; {what}.",
			ledger.Called("text", text), ledger.Q("high", high), ledger.In("what", what)),
		Advice: advice})
}

// noStepStart enters what the full mains does to an empty bank.
func (w *work) noStepStart() {
	p, dd := &w.p, &w.Spec.Supply.Diodes
	direct := w.Compute("supply.primary_surge", "Primary current at switch-on without step start, peak", toPrimary,
		ledger.With{"I_s": w.surge, "n": w.ratio})
	high := w.diodeSurge(w.surge, "switched on at the crest with an empty bank, no step start, highest mains",
		"Fit a step start, or diodes of a greater surge rating.")
	crest := w.Compute("supply.primary_inrush", "Greatest crest of primary current at switch-on, highest mains", toPrimary,
		ledger.With{"I_s": high, "n": w.ratio})
	limit := w.release()
	end := 0.3
	if p.Choke.Light > 0 {
		end = math.Max(end, 2*math.Pi*math.Sqrt(p.Choke.Light*p.Bank.OutputCapacitance()))
	}
	w.res.start = w.startOf(1, 1, 0, end)
	action := w.inrush(w.run(w.res.start).Action, w.total, w.source)
	f := ledger.Finding{Severity: ledger.Note, ID: "supply.no_step_start", Stage: "supply", Quantities: []string{direct.ID, high.ID,
		crest.ID, action.ID},
		Text: ledger.Say("There is no step start: switched on at the crest with an empty bank, up to {high} flow in the secondary "+
			"and {supply.primary_inrush} from the mains.", ledger.Q("high", high)),
		Advice: ledger.Say("Fit a step start: a resistor in the primary that a contactor shorts once the bank is charged. The " +
			"transformer's magnetising inrush comes on top of these figures.")}
	if w.fuse != nil && action.Value > w.Get("supply.mains_fuse_action").Value {
		f.Severity = ledger.Caution
		f.Text = f.Text.Then(ledger.Say("The mains fuse of {fuse} may blow at each switch-on.", ledger.In("fuse", amps(w.fuse.Value))))
	}
	if crest.Value > limit.Value {
		f.Severity = ledger.Caution
		f.Text = f.Text.Then(ledger.Say("The breaker at the wall may open at once from {limit}.", ledger.Q("limit", limit)))
	}
	if high.Value > dd.Surge.SI {
		f.Severity = ledger.Exceeds
		f.Text = f.Text.Then(ledger.Say("The rectifier diodes stand {surge} and fail, mostly as a short.",
			ledger.Of("surge", dd.Surge.SI, "A")))
	}
	w.Find(f)
}

// powerOf enters the rated power of the step-start resistor.
func (w *work) powerOf(q spec.Quantity, chosen float64) *ledger.Quantity {
	return w.TakeOr("supply.step_start_power", "Rated power of the step-start resistor", "W", q, chosen,
		ledger.Say("the next standard rating whose short-time overload takes one switch-on with margin, and a shorted supply until "+
			"the timeout"))
}
