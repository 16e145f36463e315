package supply

import (
	"math"

	"anodebook/compute/data/rules"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/rectifier"
)

// Input is what the stage needs from the tubes and from the rest.
type Input struct {
	Plan            Plan
	PlateCurrent    *ledger.Quantity // at full output, direct, all tubes [A]
	IdleCurrent     *ledger.Quantity // direct, all tubes [A]
	ServiceCurrent  *ledger.Quantity // root mean square of the plate current over the service wanted, all tubes [A]
	TwoToneCurrent  *ledger.Quantity // direct, all tubes, two tones to the same peak [A]
	PlateVoltage    *ledger.Quantity // at which the tubes were solved [V]
	CoupledResidual float64          // plate voltage of the supply less that of the tubes [V]
	Glitch          *ledger.Quantity // glitch resistor [Ω]
	Multiplier      float64          // string of the voltmeter across the bank [Ω], from metering.String; 0: none, and then times that would be endless are not entered
	PlatePull       float64          // relative change of the output's amplitude over that of the plate voltage, at full output; 0: not known
	FilamentPower   *ledger.Quantity // filament supply on the same mains [W]; nil: left out
}

// Result is what later stages and figures need.
type Result struct {
	Plan Plan

	NoLoadVoltage   float64 // nothing drawn at all, nominal mains [V]
	HighestVoltage  float64 // nothing drawn at all, highest mains [V]
	StandbyVoltage  float64 // bleeders only [V]
	IdleVoltage     float64 // filter voltage with the tubes idling [V]
	FullLoadVoltage float64 // filter voltage at full output [V]

	Service                      rectifier.Result // at the current that heats like the service wanted
	Standby, Idle, TwoTone, Full rectifier.Result // steady states at the nominal mains

	TimeTo60V         float64            // all bleeders whole [s]
	TimeToWait        float64            // to print on the warning: worst tolerances, rounded up as every waiting time [s]; +Inf: for ever
	TimeOneOpen       float64            // one bleeder open, until terminals and worst capacitor are down to 60 V [s]; +Inf without a voltmeter string
	Discharge         Discharge          // for the figure
	Fault             rectifier.FaultRun // bank discharging into a flash-over, highest mains
	SurgeCurrent      float64            // secondary peak at switch-on without step start [A]
	StepResistance    float64            // in the primary [Ω]
	StepTime          float64            // until the contactor closes [s]; 0: no step start is fitted
	StepThreshold     float64            // bank voltage below which the contactor stays open [V]
	StepTimeout       float64            // after which the step start gives up and opens the mains [s]
	MainsFuse         float64            // advised [A]
	idleCurrent, full float64            // plate currents [A]
	start             rectifier.Start    // the switch-on on the nominal mains
}

// Solve enters the supply into the book. The error is for a supply that
// cannot carry the tubes at all.
func Solve(d *desk.Desk, in Input) (Result, error) {
	w := &work{Desk: d, in: in, p: in.Plan}
	w.res.Plan = in.Plan
	set, err := rules.Lookup(d.Spec.Notebook.Rules.Value)
	if err != nil {
		return w.res, err
	}
	w.practice = set.Mains
	w.res.idleCurrent, w.res.full = in.IdleCurrent.Value, in.PlateCurrent.Value
	w.mains()
	w.transformer()
	w.bank()
	if err := w.states(); err != nil {
		return w.res, err
	}
	w.choke()
	w.hum()
	w.secondary()
	w.rectifier()
	w.capacitors()
	w.discharge()
	w.fault()
	w.circuit()
	w.stepStart()
	return w.res, nil
}

// work is one run of Solve: quantities that several steps need.
type work struct {
	*desk.Desk
	in  Input
	p   Plan
	res Result

	mainsVoltage, mainsFrequency, mainsSpread, mainsResistance *ledger.Quantity

	secondaryVoltage, ratio, source *ledger.Quantity
	count, each, tolerance, total   *ledger.Quantity
	bleeder, bleeders               *ledger.Quantity
	noLoad, highest                 *ledger.Quantity
	idleVoltage, fullVoltage        *ledger.Quantity
	load, windingCurrent            *ledger.Quantity
	windings, rated, leakage        *ledger.Quantity
	chokeEach, chokeOhms, ripple    *ledger.Quantity
	surge, perLeg                   *ledger.Quantity

	practice            rules.Mains // what circuits, cords and fuses come in
	breaker             float64     // rating of the branch circuit, stated or chosen [A]
	stated              bool        // the spec states the circuit
	circuitRating, fuse *ledger.Quantity
}

// inTime is the method behind every steady state.
var inTime = ledger.Method{
	Words: ledger.Say("Periodic steady state solved in time: between switching instants of the diodes the circuit is linear and " +
		"solved in closed form; the capacitor voltages at the start of a half period (and the currents in leakage inductance and " +
		"choke, " +
		"where there are any) are found by Newton's method. Load: constant tube current beside the bleeders. A diode string has a knee " +
		"and a slope, each filter capacitor its series resistance."),
	Source: source.Schade,
}

func (w *work) mains() {
	m := &w.Spec.Supply.Mains
	w.mainsVoltage = w.Take("supply.mains_voltage", "Mains voltage", "V", m.Voltage)
	w.mainsFrequency = w.Take("supply.mains_frequency", "Mains frequency", "Hz", m.Frequency)
	w.mainsSpread = w.Take("supply.mains_tolerance", "Spread of the mains voltage, up or down", "%", m.Tolerance)
	w.mainsResistance = w.Take("supply.mains_resistance", "Resistance of the mains circuit, both ways", "Ω", m.Resistance)
}

// transformer enters secondary voltage and source resistance.
func (w *work) transformer() {
	t, p := &w.Spec.Supply.Transformer, &w.p
	const id, name = "supply.transformer_voltage", "Secondary voltage without load, rms"
	words := name
	if p.halves() {
		words += ", each half"
	}
	wanted := w.Take("supply.plate_voltage_wanted", "Plate voltage wanted at full output", "V", w.Spec.Supply.PlateVoltage)
	switch {
	case t.Voltage.Given && t.PrimaryVoltage.Given:
		rated := w.Take("supply.rated_secondary_voltage", "Secondary voltage at the rated primary voltage, rms", "V", t.Voltage)
		primary := w.Take("supply.rated_primary_voltage", "Rated primary voltage", "V", t.PrimaryVoltage)
		w.secondaryVoltage = w.Compute(id, words, atMains, ledger.With{"V_r": rated, "V_m": w.mainsVoltage, "V_p": primary})
	case t.Voltage.Given:
		w.secondaryVoltage = w.Take(id, words, "V", t.Voltage)
	default:
		w.secondaryVoltage = w.Solved(id, words, p.Supply.SecondaryVoltage, "V", ledger.Method{
			Words: ledger.Say("The secondary voltage with which the plate voltage at full output comes out as wanted, found together "+
				"with the source resistance. {words}", ledger.In("words", inTime.Words)), Source: inTime.Source,
		}, wanted, w.in.PlateCurrent, w.in.Glitch)
	}
	w.ratio = w.Compute("supply.turns_ratio", "Turns ratio, secondary over primary", turnsRatio,
		ledger.With{"V_s": w.secondaryVoltage, "V_m": w.mainsVoltage})

	const wid, wname = "supply.winding_resistance", "Resistance of both windings, at the secondary"
	var windings *ledger.Quantity
	primary := func() *ledger.Quantity {
		return w.Take("supply.primary_resistance", "Primary resistance", "Ω", t.PrimaryResistance)
	}
	second := func() *ledger.Quantity {
		return w.Take("supply.secondary_resistance", "Secondary resistance", "Ω", t.SecondaryResistance)
	}
	switch {
	case t.PrimaryResistance.Given && t.SecondaryResistance.Given:
		windings = w.Compute(wid, wname, bothWindings, ledger.With{"R_2": second(), "R_1": primary(), "n": w.ratio})
	case t.PrimaryResistance.Given:
		w.Suppose("supply.transformer.secondary_resistance", ledger.Say("as much as the primary, reflected"),
			ledger.Say("common practice: transformers are wound for equal loss in both windings"))
		windings = w.Compute(wid, wname, fromPrimary, ledger.With{"R_1": primary(), "n": w.ratio})
	case t.SecondaryResistance.Given:
		w.Suppose("supply.transformer.primary_resistance", ledger.Say("as much as the secondary, reflected"),
			ledger.Say("common practice: transformers are wound for equal loss in both windings"))
		windings = w.Compute(wid, wname, fromSecond, ledger.With{"R_2": second()})
	default:
		regulation := w.TakeOr("supply.transformer_regulation", "Regulation of the plate transformer, resistive load", "%",
			t.Regulation, assumedRegulation,
			ledger.Say("common practice: 5 to 8 % for a transformer of about a kilowatt; measure the winding resistances for a better "+
				"figure"))
		current := w.ratedCurrent()
		windings = w.Compute(wid, wname, fromRegul, ledger.With{"ρ": regulation, "V_s": w.secondaryVoltage, "I_r": current})
	}
	w.windings = windings
	w.leak()
	w.source = w.Compute("supply.source_resistance", "Source resistance, windings and mains, at the secondary", totalSource,
		ledger.With{"R_w": windings, "R_m": w.mainsResistance, "n": w.ratio})
}

// ratedCurrent enters the winding current for which the transformer is rated.
func (w *work) ratedCurrent() *ledger.Quantity {
	const id = "supply.rated_winding_current"
	t, p := &w.Spec.Supply.Transformer, &w.p
	if w.rated != nil {
		return w.rated
	}
	if t.Power.Given {
		f := ratedCurrent
		if p.halves() {
			f = ratedHalf
		}
		power := w.Take("supply.transformer_power", "Rated power of the plate transformer", "VA", t.Power)
		w.rated = w.Compute(id, "Rated winding current, rms", f, ledger.With{"S": power, "V_s": w.secondaryVoltage})
		return w.rated
	}
	i := p.Regulation / (1 + p.Regulation) * p.Supply.SecondaryVoltage / p.Windings
	if p.Regulation == 0 { // winding resistances are known: the current at full output
		if r, err := p.State(w.in.PlateCurrent.Value, 1); err == nil {
			i = r.SecondaryCurrent
		}
	}
	w.rated = w.Solved(id, "Winding current that the transformer is taken to be rated for, rms", i, "A", ledger.Method{
		Words:  ledger.Say("The rms winding current at full output: a transformer made for just this load."),
		Source: source.CommonPractice,
	}, w.in.PlateCurrent)
	return w.rated
}

// leak enters the leakage inductance, if the spec states any.
func (w *work) leak() {
	t := &w.Spec.Supply.Transformer
	const id, name = "supply.leakage_inductance", "Leakage inductance of the transformer, at the secondary"
	switch {
	case t.Leakage.Given:
		w.leakage = w.Take(id, name, "H", t.Leakage)
	case t.ShortCircuit.Given:
		u := w.Take("supply.short_circuit_voltage", "Short-circuit voltage of the plate transformer", "%", t.ShortCircuit)
		z := w.Compute("supply.short_circuit_impedance", "Short-circuit impedance, at the secondary", impedance,
			ledger.With{"u_k": u, "V_s": w.secondaryVoltage, "I_r": w.ratedCurrent()})
		if z.Value <= w.windings.Value {
			w.Find(ledger.Finding{Severity: ledger.Caution, ID: "supply.short_circuit_voltage", Stage: "supply",
				Quantities: []string{z.ID, w.windings.ID},
				Text: ledger.Say("The short-circuit voltage means {supply.short_circuit_impedance} at the secondary, no more than "+
					"the {windings} of the windings alone: nothing is left for a leakage inductance, and none is counted.",
					ledger.Q("windings", w.windings)),
				Advice: ledger.Say("Measure again: the short-circuit voltage holds resistance and leakage together.")})
			break
		}
		w.leakage = w.Compute(id, name, leakageOf, ledger.With{"Z_k": z, "R_w": w.windings, "f": w.mainsFrequency})
	}
	if w.leakage == nil {
		w.leakage = w.Assume(id, name, 0, "H", t.Leakage.Key,
			ledger.Say("none stated: the cautious choice for peak currents; a usual leakage lowers current pulses, ripple current and "+
				"surge, and the voltage at full output by some per cent"))
	}
}

// bank enters capacitors and bleeders.
func (w *work) bank() {
	c, p := &w.Spec.Supply.Capacitors, &w.p
	if c.Count.Given {
		w.count = w.Book.Spec("supply.capacitor_count", "Filter capacitors in series", float64(p.Bank.Count), "",
			w.Spec.Where(c.Count.Origin))
	} else {
		w.count = w.Assume("supply.capacitor_count", "Filter capacitors in series", float64(p.Bank.Count), "", c.Count.Key,
			ledger.Say("chosen so that no {capacitor_rating} capacitor is overstressed on the highest mains, tolerances and the "+
				"margin of {margin} counted", ledger.Of("capacitor_rating", p.CapacitorRating, "V"),
				ledger.Fixed("margin", p.Margin, 2)))
	}
	w.each = w.TakeOr("supply.capacitor_each", "Capacitance of one filter capacitor", "F", c.Capacitance, p.Bank.Capacitance,
		ledger.Say("the next E12 value with which the hand formula gives a ripple of at most {ripple_wanted} % peak to peak at full "+
			"output", ledger.Fixed("ripple_wanted", rippleWanted*100, 0)))
	w.tolerance = w.Take("supply.capacitor_tolerance", "Tolerance of the filter capacitors", "%", c.Tolerance)
	w.total = w.Compute("supply.filter_capacitance", "Filter capacitance of the whole bank", bankSeries,
		ledger.With{"C_1": w.each, "N": w.count})
	w.seriesResistance()
	if p.Supply.Circuit.Banks() == 2 {
		w.Compute("supply.half_capacitance", "Capacitance of each half of the doubler", halfBank, ledger.With{"C": w.total})
	}
	w.enterBleeders()
	w.enterChoke()
	w.diodes()
	w.noLoad = w.Compute("supply.no_load_voltage", "Filter voltage without load", crestOf(p.Supply.Circuit),
		ledger.With{"V_s": w.secondaryVoltage})
	if high := p.HighestVoltage(); high > w.noLoad.Value*(1+p.Tolerance)*(1+1e-9) {
		w.highest = w.Solved("supply.highest_voltage", "Filter voltage without load after switching on, highest mains, no step start",
			high, "V", ledger.Method{
				Words:  ledger.Say("Choke and bank ring at each switch-on, and the diodes hold the crest: see the switch-on voltage."),
				Source: source.SeriesCircuit},
			w.noLoad, w.mainsSpread, w.chokeEach, w.total)
	} else {
		w.highest = w.Compute("supply.highest_voltage", "Filter voltage without load, highest mains", onHighMains,
			ledger.With{"V_0": w.noLoad, "t": w.mainsSpread})
	}
	w.res.NoLoadVoltage, w.res.HighestVoltage = w.noLoad.Value, w.highest.Value
}

// states enters the steady states.
func (w *work) states() error {
	var err error
	state := func(current, mains float64) rectifier.Result {
		if err != nil {
			return rectifier.Result{}
		}
		var r rectifier.Result
		r, err = w.p.State(current, mains)
		return r
	}
	in := w.in
	w.res.Standby = state(0, 1)
	w.res.Idle = state(in.IdleCurrent.Value, 1)
	w.res.TwoTone = state(in.TwoToneCurrent.Value, 1)
	w.res.Service = state(in.ServiceCurrent.Value, 1)
	w.res.Full = state(in.PlateCurrent.Value, 1)
	low := state(in.PlateCurrent.Value, 1-w.p.Tolerance)
	high := state(in.PlateCurrent.Value, 1+w.p.Tolerance)
	if err != nil {
		return err
	}
	enter := func(id, name string, v float64, more ...*ledger.Quantity) *ledger.Quantity {
		return w.Solved("supply."+id, name, v, "V", inTime, append(w.beside(w.secondaryVoltage, w.source, w.total, w.mainsFrequency),
			more...)...)
	}
	enter("standby_voltage", "Filter voltage on standby, bleeders only", w.res.Standby.Voltage)
	w.idleVoltage = enter("idle_voltage", "Filter voltage, tubes idling", w.res.Idle.Voltage, in.IdleCurrent)
	enter("two_tone_voltage", "Filter voltage, two tones", w.res.TwoTone.Voltage, in.TwoToneCurrent)
	w.fullVoltage = enter("full_load_voltage", "Filter voltage at full output", w.res.Full.Voltage, in.PlateCurrent)
	enter("low_mains_voltage", "Filter voltage at full output, lowest mains", low.Voltage, in.PlateCurrent, w.mainsSpread)
	enter("high_mains_voltage", "Filter voltage at full output, highest mains", high.Voltage, in.PlateCurrent, w.mainsSpread)
	w.ripple = enter("ripple_peak_to_peak", "Ripple at full output, peak to peak", w.res.Full.RipplePeak, in.PlateCurrent)
	w.res.IdleVoltage, w.res.FullLoadVoltage, w.res.StandbyVoltage = w.res.Idle.Voltage, w.res.Full.Voltage, w.res.Standby.Voltage

	w.load = w.drawn("supply.load_current", "Direct current out of the bank at full output", in.PlateCurrent, w.fullVoltage)
	share := w.Compute("supply.ripple_share", "Ripple at full output, peak to peak, of the filter voltage", rippleShare,
		ledger.With{"V_pp": w.ripple, "V": w.fullVoltage})
	w.Compute("supply.voltage_sag", "Sag of the filter voltage from idle to full output", sag,
		ledger.With{"V_i": w.idleVoltage, "V_f": w.fullVoltage})
	byHand := w.byHand()
	endless := "With endless capacitance the hand formula gives"
	if w.p.Choke.Light > 0 {
		endless = "The hand formula for a choke above its critical inductance gives"
	}
	w.Solved("supply.coupling_residual", "Plate voltage by which supply and tubes still disagree", math.Abs(in.CoupledResidual), "V",
		ledger.Method{
			Words: ledger.Say("Tubes and tank solved at a plate voltage, the supply at the plate current that follows, and again from " +
				"there: after three rounds the parts stay as chosen and each next voltage comes from the last two differences " +
				"(secants). With " +
				"a transformer to be chosen, its voltage is sized for the plate current instead."), Source: source.CircuitLaws,
		}, in.PlateVoltage, in.PlateCurrent)
	plate := w.Compute("supply.plate_voltage_loaded", "Plate voltage at full output, after the glitch resistor", plateVoltage,
		ledger.With{"V": w.fullVoltage, "I_p": in.PlateCurrent, "R_g": in.Glitch})

	w.Find(ledger.Finding{
		Severity: ledger.Note, ID: "supply.sag", Stage: "supply",
		Text: ledger.Say("The filter voltage is {no_load} without load, {idle_voltage} idling and {full_voltage} at full "+
			"output: a sag of {supply.voltage_sag} from idle. {endless} {by_hand}. On a mains {mains_spread} low, full output leaves "+
			"{voltage}; on a mains {mains_spread} high, the bank without load stands at {highest}.", ledger.Q("no_load", w.noLoad),
			ledger.Q("idle_voltage", w.idleVoltage), ledger.Q("full_voltage", w.fullVoltage), ledger.Called("endless", endless),
			ledger.Q("by_hand", byHand), ledger.Q("mains_spread", w.mainsSpread), ledger.Of("voltage", low.Voltage, "V"),
			ledger.Q("highest", w.highest)),
		Quantities: []string{w.noLoad.ID, w.idleVoltage.ID, w.fullVoltage.ID, w.highest.ID},
		Advice: ledger.Say("Measure the filter voltage at these loads, with the meter clipped on before the mains is on. A " +
			"greater sag points to a resistance in mains or transformer, or to a dry capacitor."),
	})
	if share.Value > rippleWanted {
		w.Find(ledger.Finding{
			Severity: ledger.Caution, ID: "supply.ripple", Stage: "supply", Quantities: []string{share.ID},
			Text: ledger.Say("The ripple at full output is {ripple} peak to peak, {supply.ripple_share} of the filter voltage; more "+
				"than {ripple_wanted} % is heard as hum on the signal.", ledger.Q("ripple", w.ripple),
				ledger.Fixed("ripple_wanted", rippleWanted*100, 0)),
			Advice: ledger.Say("More filter capacitance lowers it in proportion, and stores more energy."),
		})
	}
	if off := plate.Value/w.Spec.Supply.PlateVoltage.SI - 1; w.p.TransformerOwn && math.Abs(off) > 0.01 {
		f := ledger.Finding{
			Severity: ledger.Note, ID: "supply.plate_voltage", Stage: "supply",
			Quantities: []string{plate.ID, "supply.plate_voltage_wanted"},
			Text: ledger.Say("With the transformer given, the plate voltage at full output is {supply.plate_voltage_loaded}, {off} "+
				"% {value} the {plate_voltage} of supply.plate_voltage. All stages reckon with what the transformer gives.",
				ledger.Fixed("off", math.Abs(off)*100, 1), ledger.Called("value",
					map[bool]string{true: "above", false: "below"}[off > 0]),
				ledger.Of("plate_voltage", w.Spec.Supply.PlateVoltage.SI, "V")),
			Advice: ledger.Say("Write this voltage into supply.plate_voltage, or choose another tap of the transformer."),
		}
		if math.Abs(off) > 0.05 {
			f.Severity = ledger.Caution
		}
		w.Find(f)
	}
	if math.Abs(in.CoupledResidual) > 1 {
		w.Find(ledger.Finding{
			Severity: ledger.Caution, ID: "supply.coupling", Stage: "supply", Quantities: []string{in.PlateVoltage.ID, plate.ID},
			Text: ledger.Say("Supply and tubes were solved together, but their plate voltages still differ by {coupled_residual}.",
				ledger.Of("coupled_residual", math.Abs(in.CoupledResidual), "V")),
			Advice: ledger.Say("Treat plate voltage and current as uncertain by that much, and measure."),
		})
	}
	return nil
}

// byHand enters the closed forms: for endless capacitance, or for a choke
// above its critical inductance.
func (w *work) byHand() *ledger.Quantity {
	if w.p.Choke.Light > 0 {
		return w.chokeByHand()
	}
	w.Compute("supply.ripple_by_hand", "Ripple by the hand formula", rippleByHand,
		ledger.With{"I": w.load, "f": w.mainsFrequency, "C": w.total})
	a, err := rectifier.InfiniteCapacitance(w.p.Supply.Circuit, w.source.Value*w.load.Value/w.fullVoltage.Value)
	phi := 0.0
	if err == nil {
		phi = a.HalfAngle
	}
	angle := w.Solved("supply.half_angle_by_hand", "Half the conduction angle with endless capacitance", phi, "°", ledger.Method{
		Words: ledger.Say("tan φ - φ = π·R_s/(2·R) for the full-wave circuits, 2π·R_s/R for the doubler, with R = V/I at the output: " +
			"the right-hand edge of the classical rectifier charts."), Source: source.Schade,
	}, w.source, w.load, w.fullVoltage)
	return w.Compute("supply.full_load_voltage_by_hand", "Filter voltage at full output with endless capacitance", byCosine,
		ledger.With{"V_0": w.noLoad, "φ": angle})
}
