// Package bringup is the stage of the first switch-on: what an ohmmeter, a
// voltmeter and a watch should read at each step, the windows outside of which
// one stops, the time to wait before a cover comes off, and the resistor stick.
//
// It assumes the parts list built as computed, and instruments as good as the
// panel meters. A reading within its window proves nothing safe to touch: only
// the plug out, the wait, the measurement, the stick and the ground hook do.
package bringup

import (
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/data/rules"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
)

// Input is what the stage needs from the others.
type Input struct {
	Bleeders, Multiplier              *ledger.Quantity // across the bank, nil: none fitted; multiplier string of the voltmeter [Ω]
	PlateShunt, GridShunt, Rail       *ledger.Quantity // [Ω]
	NoLoad, Highest, Idle             *ledger.Quantity // filter voltages: no load, no load at highest mains, tubes idling [V]
	MainsTolerance, MeterError        *ledger.Quantity // [1]
	CapacitorTolerance                *ledger.Quantity // [1]
	Capacitance                       *ledger.Quantity // of the whole bank [F]
	CapacitorEach, CapacitorCount     *ledger.Quantity // one filter capacitor [F]; how many in series
	CapacitorRating                   float64          // rated voltage of one [V]
	TimeConstant                      *ledger.Quantity // of the discharge, all that draws on the bank [s]
	HalfOneOpen                       *ledger.Quantity // time in which the terminals fall to half with one bleeder open [s]; nil: not known
	TimeWorst                         *ledger.Quantity // to 60 V, worst tolerances, highest mains [s]
	Low                               *ledger.Quantity // voltage at which the hook is hung on [V]
	IdleCurrent, PlateCurrent         *ledger.Quantity // all tubes [A]
	GridCurrent                       *ledger.Quantity // all tubes, full output [A]
	GridScale, MovementError          *ledger.Quantity // full scale of the grid meter [A]; error of a panel meter [1]
	VoltageScale                      *ledger.Quantity // full scale of the high-voltage meter [V]
	IdleLowMains, IdleHighMains       float64          // idle current on the lowest and the highest mains, all tubes [A]
	GridTrip, PlateTrip               *ledger.Quantity // thresholds [A]; nil: no such trip
	GridTuneUp, PlateTuneUp           *ledger.Quantity // what a correct tune-up reaches at most [A]
	HeaterVoltage, HeaterAllowed      *ledger.Quantity // at the pins; ± [V]
	ModelIdleError, ModelCurrentError float64          // what the tube model may be trusted with [1]; 0: not known
}

// Result is what the report needs beside the book.
type Result struct {
	Wait            float64 // after the plug is out, before measuring, all bleeders whole [s]
	StickResistance float64 // [Ω]
}

const (
	resistorTolerance = 0.10 // power resistors (common practice)
	testLeads         = 1.0  // test leads and clips (common practice) [Ω]
	leastIdle         = 0.20 // window of the idle current (common practice)
	leastCurrent      = 0.10 // window of plate and grid current at full output (common practice)
	firstShare        = 0.10 // of the full voltage, at the first try (common practice)
	standbyShare      = 0.10 // of the idle current, at most, on receive (common practice)
	stickTime         = 5.0  // in which the stick should empty the slower of a full bank and one capacitor [s] (common practice)
	stickLeast        = 1000 // a smaller one is near a bare short [Ω]
	orphanShare       = 1.5  // what a capacitor without its bleeder may come to, over its rating (from memory: leakage holds an electrolytic near 1.3)
	tripWindow        = 0.10 // below a trip proved with a current through its shunt (common practice)
	tripLate          = 0.03 // above it: as close as a panel meter can be read (common practice)
	testVoltage       = 500  // of the insulation tester [V]
	insulationLeast   = 1e6  // that may pass [Ω]
	insulationSound   = 100e6
	overloadPower     = 5.0 // short-time overload of a wirewound body over its rating …
	overloadTime      = 5.0 // … for so long [s]
)

var (
	insulationTest = ledger.Source{Key: "iec-60204-1-insulation",
		Title: "IEC 60204-1, Safety of machinery, cl. 18.3: 500 V direct between power conductors and protective circuit, 1 MΩ at least", Known: ledger.FromMemory}
	insulationUsual = ledger.Source{Key: "insulation-practice",
		Title: "Common practice: a sound dry winding shows a hundred megohms and more", Known: ledger.CommonPractice}
	orphanSource = ledger.Source{Key: "orphan-voltage",
		Title: "Electrolytics pushed beyond their rating hold themselves near 1.3 times it by their own leakage, until they vent",
		Known: ledger.FromMemory}
)

var (
	parallel = ledger.MustFormula("R = R_3 * R_5 / (R_3 + R_5)", source.CircuitLaws,
		"R [Ω] from the plate caps to the negative rail", "R_3 [Ω] all bleeders", "R_5 [Ω] multiplier string")
	rail = ledger.MustFormula("R = (R_6 + R_7) * R_8 / (R_6 + R_7 + R_8)", source.CircuitLaws,
		"R [Ω] from the negative rail to the chassis", "R_6 [Ω] plate-current shunt", "R_7 [Ω] grid-current shunt",
		"R_8 [Ω] rail resistor")
	railHigh = ledger.MustFormula("R_2 = R + R_c", source.CircuitLaws, "R_2 [Ω] greatest reading",
		"R [Ω] from the negative rail to the chassis", "R_c [Ω] test leads and clips")
	low = ledger.MustFormula("x_1 = x * (1 - t)", source.CircuitLaws, "x_1 [Ω] least reading", "x [Ω] reading expected",
		"t [%] tolerance")
	high = ledger.MustFormula("x_2 = x * (1 + t)", source.CircuitLaws, "x_2 [Ω] greatest reading", "x [Ω] reading expected",
		"t [%] tolerance")
	lowCurrent = ledger.MustFormula("I_1 = I * (1 - t)", source.CircuitLaws, "I_1 [A] least reading", "I [A] reading expected",
		"t [%] window")
	highCurrent = ledger.MustFormula("I_2 = I * (1 + t)", source.CircuitLaws, "I_2 [A] greatest reading", "I [A] reading expected",
		"t [%] window")
	tripLow = ledger.MustFormula("I_1 = max(I * (1 - t), I_m)", source.CircuitLaws, "I_1 [A] least current that may trip",
		"I [A] trip", "t [%] window", "I_m [A] greatest current of a correct tune-up")
	lowVoltage = ledger.MustFormula("V_1 = V * (1 - t_m) * (1 - e)", source.CircuitLaws, "V_1 [V] least reading",
		"V [V] voltage expected", "t_m [%] spread of the mains voltage", "e [%] error of the meter")
	highVoltage = ledger.MustFormula("V_2 = V * (1 + t_m) * (1 + e)", source.CircuitLaws, "V_2 [V] greatest reading",
		"V [V] voltage expected", "t_m [%] spread of the mains voltage", "e [%] error of the meter")
	share = ledger.MustFormula("V_1 = h * V", source.CircuitLaws, "V_1 [V] voltage at the first try", "h [%] share of the mains",
		"V [V] voltage at full mains")
	lowHeater = ledger.MustFormula("V_1 = V_f - ΔV", source.CircuitLaws, "V_1 [V] least voltage at the pins", "V_f [V] rated",
		"ΔV [V] allowed deviation")
	highHeater = ledger.MustFormula("V_2 = V_f + ΔV", source.CircuitLaws, "V_2 [V] greatest voltage at the pins", "V_f [V] rated",
		"ΔV [V] allowed deviation")
	half = ledger.MustFormula("t_h = τ * ln(2)", source.CircuitLaws,
		"t_h [s] time in which the bank falls to half of any voltage", "τ [s] time constant of the discharge")
	halfEarly = ledger.MustFormula("t_1 = t_h * (1 - t_C) * (1 - t_R)", source.CircuitLaws, "t_1 [s] earliest", "t_h [s] expected",
		"t_C [%] tolerance of the capacitors", "t_R [%] tolerance of the bleeders")
	halfLate = ledger.MustFormula("t_2 = t_h * (1 + t_C) * (1 + t_R)", source.CircuitLaws, "t_2 [s] latest", "t_h [s] expected",
		"t_C [%] tolerance of the capacitors", "t_R [%] tolerance of the bleeders")
	wait = ledger.MustFormula("t_w = t_s * ceil(t / t_s)", source.CommonPractice, "t_w [s] time to wait",
		"t_s [s] rounded up to multiples of this", "t [s] time to 60 V, worst tolerances and highest mains")
	smallShare = ledger.MustFormula("I_1 = h * I", source.CommonPractice, "I_1 [A] greatest reading", "h [%] share", "I [A] of this")
	hidden     = ledger.MustFormula("V = e_m * V_fs", source.CommonPractice, "V [V] that a reading of nothing may hide",
		"e_m [%] error of the movement, of full scale", "V_fs [V] full scale of the high-voltage meter")
	evenShare = ledger.MustFormula("V_1 = V_0 / N", source.CircuitLaws, "V_1 [V] even share of one capacitor",
		"V_0 [V] filter voltage without load", "N [] capacitors in series")
	stickTimeIs = ledger.MustFormula("t = R * (1 + t_C) * C * ln(V / V_10)", source.CircuitLaws,
		"t [s] least time to hold the stick on", "R [Ω] stick", "t_C [%] tolerance of the capacitors", "C [F] capacitance",
		"V [V] greatest voltage on it", "V_10 [V] low voltage")
	stickAmps = ledger.MustFormula("I = V_h / R", source.CircuitLaws, "I [A] current at the first touch", "V_h [V] highest voltage",
		"R [Ω] stick")
	stickEnergy = ledger.MustFormula("E = (1 + t_C) * C * pow(V, 2) / 2", source.CircuitLaws, "E [J] energy that the stick takes",
		"t_C [%] tolerance of the capacitors", "C [F] capacitance", "V [V] greatest voltage on it")
)

type work struct {
	*desk.Desk
	in Input
}

// Solve enters the expected readings, windows and waiting times. It has no
// errors of its own.
func Solve(d *desk.Desk, in Input) (Result, error) {
	w := &work{d, in}
	w.cold()
	w.trips()
	w.voltages()
	w.currents()
	return w.discharge(), nil
}

// cold enters what an ohmmeter reads with the plug out and the bank empty.
func (w *work) cold() {
	in := w.in
	t := w.Catalogue("bring_up.resistor_tolerance", "tolerance of power resistors", resistorTolerance, "%", source.CommonPractice.Title)
	const id, name = "bring_up.plate_to_chassis", "plate caps to chassis, high-voltage supply connected"
	var plate *ledger.Quantity
	if in.Bleeders == nil {
		plate = w.Solved(id, name, in.Multiplier.Value, "Ω", desk.Derived("No bleeders: the voltmeter string alone."), in.Multiplier)
	} else {
		plate = w.Compute(id, name, parallel, ledger.With{"R_3": in.Bleeders, "R_5": in.Multiplier})
	}
	w.Compute("bring_up.plate_to_chassis_low", "plate caps to chassis, least", low, ledger.With{"x": plate, "t": t})
	w.Compute("bring_up.plate_to_chassis_high", "plate caps to chassis, most", high, ledger.With{"x": plate, "t": t})
	shunts := w.Compute("bring_up.rail_to_chassis", "negative rail to chassis, shunts in place", rail,
		ledger.With{"R_6": in.PlateShunt, "R_7": in.GridShunt, "R_8": in.Rail})
	leads := w.Catalogue("bring_up.test_leads", "resistance of test leads and clips, at most", testLeads, "Ω",
		source.CommonPractice.Title)
	w.Compute("bring_up.rail_to_chassis_high", "negative rail to chassis, most: beyond it a shunt is open", railHigh,
		ledger.With{"R": shunts, "R_c": leads})
	w.Compute("bring_up.heater_low", "heater voltage at the pins, least", lowHeater,
		ledger.With{"V_f": in.HeaterVoltage, "ΔV": in.HeaterAllowed})
	w.Compute("bring_up.heater_high", "heater voltage at the pins, most", highHeater,
		ledger.With{"V_f": in.HeaterVoltage, "ΔV": in.HeaterAllowed})
}

// trips enters the currents that prove the trips, sent through the shunts from
// a low-voltage supply before anything is keyed.
func (w *work) trips() {
	for _, x := range []struct {
		id, name   string
		at, tuneUp *ledger.Quantity
	}{
		{"grid_trip", "grid trip, current through its shunt", w.in.GridTrip, w.in.GridTuneUp},
		{"plate_trip", "plate trip, current through its shunt", w.in.PlateTrip, w.in.PlateTuneUp},
	} {
		if x.at == nil {
			continue
		}
		t, ok := w.Lookup("bring_up.trip_window")
		if !ok {
			t = w.Catalogue("bring_up.trip_window", "trips, window of the proof below the trip", tripWindow, "%",
				source.CommonPractice.Title)
			w.Catalogue("bring_up.trip_late", "trips, window of the proof above the trip", tripLate, "%", source.CommonPractice.Title)
		}
		w.Solved("bring_up."+x.id, x.name, x.at.Value, "A",
			desk.Derived("The trip, but never above its rating and what the tuning map asks for."), x.at)
		if x.tuneUp != nil && x.tuneUp.Value < x.at.Value { // else the trip itself disturbs a tune-up, which is said elsewhere
			w.Compute("bring_up."+x.id+"_low", x.name+", may not yet trip", tripLow, ledger.With{"I": x.at, "t": t, "I_m": x.tuneUp})
		} else {
			w.Compute("bring_up."+x.id+"_low", x.name+", may not yet trip", lowCurrent, ledger.With{"I": x.at, "t": t})
		}
		w.Compute("bring_up."+x.id+"_high", x.name+", must have tripped", highCurrent,
			ledger.With{"I": x.at, "t": w.Get("bring_up.trip_late")})
	}
}

// voltages enters the windows of the high-voltage meter.
func (w *work) voltages() {
	in := w.in
	h := w.Catalogue("bring_up.first_share", "share of the mains at the first try", firstShare, "%", source.CommonPractice.Title)
	w.Compute("bring_up.first_voltage", "filter voltage at the first try", share, ledger.With{"h": h, "V": in.NoLoad})
	w.Compute("bring_up.meter_hides", "voltage that the high-voltage meter may hide at its zero", hidden,
		ledger.With{"e_m": in.MovementError, "V_fs": in.VoltageScale})
	w.Catalogue("bring_up.insulation_voltage", "voltage of the insulation tester, old transformer", testVoltage, "V",
		insulationTest.Title)
	w.Catalogue("bring_up.insulation_least", "insulation of an old transformer, at least", insulationLeast, "Ω", insulationTest.Title)
	w.Catalogue("bring_up.insulation_sound", "insulation of a sound dry transformer, or more", insulationSound, "Ω",
		insulationUsual.Title)
	for _, x := range []struct {
		id, name string
		v        *ledger.Quantity
	}{{"no_load_voltage", "filter voltage without load", in.NoLoad}, {"idle_voltage", "filter voltage, tubes idling", in.Idle}} {
		with := ledger.With{"V": x.v, "t_m": in.MainsTolerance, "e": in.MeterError}
		w.Compute("bring_up."+x.id+"_low", x.name+", least reading", lowVoltage, with)
		w.Compute("bring_up."+x.id+"_high", x.name+", greatest reading", highVoltage, with)
	}
}

// currents enters the windows of the plate and grid meters.
func (w *work) currents() {
	in := w.in
	window := func(id, name string, least, model float64, below, above *ledger.Quantity) {
		words := "common practice"
		if model > least {
			words = "worst error of the tube model against the published figures of the type"
		}
		t := w.Catalogue("bring_up."+id+"_window", name+", window", math.Max(least, model), "%", words)
		w.Compute("bring_up."+id+"_low", name+", least reading", lowCurrent, ledger.With{"I": below, "t": t})
		w.Compute("bring_up."+id+"_high", name+", greatest reading", highCurrent, ledger.With{"I": above, "t": t})
	}
	m := ledger.Method{Words: ledger.Say("The static model without drive, the plate voltage the one that the supply gives at this " +
		"current on mains so much lower or higher."), Source: source.TubeFit}
	window("idle_current", "idle current", leastIdle, in.ModelIdleError,
		w.Solved("bring_up.idle_current_low_mains", "idle current on the lowest mains", in.IdleLowMains, "A", m,
			in.IdleCurrent, in.MainsTolerance),
		w.Solved("bring_up.idle_current_high_mains", "idle current on the highest mains", in.IdleHighMains, "A", m,
			in.IdleCurrent, in.MainsTolerance))
	window("plate_current", "plate current at full output", leastCurrent, 0, in.PlateCurrent, in.PlateCurrent)
	window("grid_current", "grid current at full output", leastCurrent, in.ModelCurrentError, in.GridCurrent, in.GridCurrent)
	h := w.Catalogue("bring_up.standby_share", "plate current on receive, at most, of the idle current", standbyShare, "%",
		source.CommonPractice.Title)
	w.Compute("bring_up.standby_stop", "plate current on receive, at most", smallShare, ledger.With{"h": h, "I": in.IdleCurrent})
	w.Compute("bring_up.grid_stop", "grid current without drive, at most: what the meter's own error hides", smallShare,
		ledger.With{"h": in.MovementError, "I": in.GridScale})
}

// discharge enters waiting times and the resistor stick.
func (w *work) discharge() Result {
	in := w.in
	t := w.Get("bring_up.resistor_tolerance")
	h := w.Compute("bring_up.half_time", "time in which the bank falls to half, all bleeders whole", half,
		ledger.With{"τ": in.TimeConstant})
	w.Compute("bring_up.half_time_earliest", "time to half, earliest", halfEarly,
		ledger.With{"t_h": h, "t_C": in.CapacitorTolerance, "t_R": t})
	late := w.Compute("bring_up.half_time_latest", "time to half, latest", halfLate,
		ledger.With{"t_h": h, "t_C": in.CapacitorTolerance, "t_R": t})
	step := w.Catalogue("bring_up.wait_step", "waiting times are rounded up to multiples of", rules.WaitStep, "s",
		source.CommonPractice.Title)
	with, path := "all bleeders whole", "a bleeder"
	if in.Bleeders == nil {
		with, path = "no bleeders", "a resistor of the voltmeter string"
	}
	wt := w.Compute("bring_up.wait", "time to wait after the plug is out, "+with, wait, ledger.With{"t_s": step, "t": in.TimeWorst})
	f := ledger.Finding{Severity: ledger.Note, ID: "bring_up.half_time", Stage: "bring_up",
		Quantities: []string{h.ID, late.ID, in.TimeWorst.ID},
		Text: ledger.Say("The bank falls to half in {bring_up.half_time}, whatever it starts from; later than "+
			"{bring_up.half_time_latest} means that {path} is open or a capacitor is not what it says.", ledger.Called("path", path)),
		Advice: ledger.Say("Write down the first fall of the sound supply, proved capacitor by capacitor, and time every later one " +
			"against it, from across the room. A meter that falls at once, or reads nothing, proves nothing.")}
	if in.HalfOneOpen != nil {
		each := w.Compute("bring_up.capacitor_share", "even share of one filter capacitor", evenShare,
			ledger.With{"V_0": in.NoLoad, "N": in.CapacitorCount})
		f.Quantities = append(f.Quantities, in.HalfOneOpen.ID, each.ID)
		f.Text = f.Text.Then(ledger.Say("With one bleeder open it takes {half_one_open}.", ledger.Q("half_one_open", in.HalfOneOpen)))
		if in.HalfOneOpen.Value <= late.Value {
			f.Text = f.Text.Then(ledger.Say("That is within the window of tolerances: the first fall proves no bleeder. What tells is " +
				"a needle that stops at {bring_up.capacitor_share}, the share of one capacitor, or above, instead of going on down."))
		}
	}
	w.Find(f)
	return Result{Wait: wt.Value, StickResistance: w.stick()}
}

// stick enters the resistor stick, rated for the full bank and for a single
// capacitor that has lost its bleeder, on the highest mains and with the
// capacitance at its upper tolerance.
func (w *work) stick() float64 {
	in := w.in
	n, tolerance := in.CapacitorCount.Value, in.CapacitorTolerance
	most := in.Highest.Value
	words := ledger.Say("One capacitor is the whole bank: the highest voltage.")
	if n > 1 {
		most = math.Min(most, math.Max(orphanShare*in.CapacitorRating, 2*most/n))
		words = ledger.Say("While the supply is on, a capacitor whose bleeder is open climbs above its share, until its own leakage "+
			"holds it or it vents: {orphan_share} times its rating of {capacitor_rating}, or twice its even share where that is more, "+
			"and never more than the whole bank.", ledger.Fixed("orphan_share", orphanShare, 1),
			ledger.Of("capacitor_rating", in.CapacitorRating, "V"))
	}
	v := w.Solved("bring_up.capacitor_worst_voltage", "greatest voltage on one filter capacitor, its bleeder open", most, "V",
		ledger.Method{Words: words, Source: orphanSource}, in.Highest, in.CapacitorCount)
	want := w.Catalogue("bring_up.stick_time_wanted",
		"time in which the stick should empty the slower of the full bank and one capacitor", stickTime, "s",
		source.CommonPractice.Title)
	slower := (1 + tolerance.Value) * math.Max(in.Capacitance.Value*math.Log(in.Highest.Value/in.Low.Value),
		in.CapacitorEach.Value*math.Log(most/in.Low.Value))
	raw := w.Solved("bring_up.stick_wanted", "resistor stick, wanted", want.Value/slower, "Ω", ledger.Method{
		Words: ledger.Say("R = t/((1 + t_C)·C·ln(V/V_10)), for the full bank from its highest voltage and for one capacitor from its " +
			"greatest; the smaller of the two."), Source: source.CircuitLaws},
		want, in.Capacitance, in.CapacitorEach, tolerance, in.Highest, v, in.Low)
	r := w.Solved("bring_up.stick_resistance", "resistor stick", math.Max(stickLeast, preferred.E12.Down(raw.Value)), "Ω",
		ledger.Method{Words: ledger.Say("The next lower value of the series E12, no less than {stick_least}: a smaller one is near a "+
			"bare short.", ledger.Of("stick_least", stickLeast, "Ω")), Source: source.CommonPractice}, raw)
	hold := w.Compute("bring_up.stick_hold", "least time to hold the stick on the bank", stickTimeIs,
		ledger.With{"R": r, "t_C": tolerance, "C": in.Capacitance, "V": in.Highest, "V_10": in.Low})
	each := w.Compute("bring_up.stick_hold_each", "least time to hold the stick on one capacitor", stickTimeIs,
		ledger.With{"R": r, "t_C": tolerance, "C": in.CapacitorEach, "V": v, "V_10": in.Low})
	i := w.Compute("bring_up.stick_current", "current through the stick at the first touch of a full bank", stickAmps,
		ledger.With{"V_h": in.Highest, "R": r})
	e := w.Compute("bring_up.stick_energy", "energy that the stick takes from a full bank", stickEnergy,
		ledger.With{"t_C": tolerance, "C": in.Capacitance, "V": in.Highest})
	one := w.Compute("bring_up.stick_energy_each", "energy that the stick takes from one capacitor at its greatest voltage",
		stickEnergy, ledger.With{"t_C": tolerance, "C": in.CapacitorEach, "V": v})
	second := 0.0 // the one capacitor after the bank
	if n > 1 {
		second = one.Value
	}
	factor := w.Spec.Margins.Power.Value
	p := w.Solved("bring_up.stick_power", "power rating of the stick, at least",
		desk.NextUp(factor*(e.Value+second)/(overloadPower*overloadTime), stickPowers), "W", ledger.Method{
			Words: ledger.Say("Full bank and one capacitor after it, in one go: a wirewound body takes {overload_power} times its "+
				"rated "+
				"power for {overload_time} s; that with the factor {factor}, and a body sold.",
				ledger.Short("overload_power", overloadPower, 6), ledger.Short("overload_time", overloadTime, 6),
				ledger.Short("factor", factor, 6)),
			Source: source.WirewoundOverload}, e, one)
	also, open, sized := ledger.Sentence{}, "its bleeder is open", ", bleeders open or not"
	if in.Bleeders == nil {
		open, sized = "nothing shares the voltage between them", ""
	}
	if n > 1 {
		also = ledger.Say(" and {bring_up.stick_hold_each} on each capacitor, which may hold {bring_up.capacitor_worst_voltage} where "+
			"{open} ({bring_up.stick_energy_each})", ledger.Called("open", open))
	}
	w.Find(ledger.Finding{Severity: ledger.Note, ID: "bring_up.stick", Stage: "bring_up",
		Quantities: []string{r.ID, hold.ID, each.ID, i.ID, e.ID, one.ID, p.ID},
		Text: ledger.Say("The resistor stick: {bring_up.stick_resistance}, wirewound, {bring_up.stick_power} or more, its body or "+
			"string of bodies good for {highest} end to end and for {bring_up.stick_energy} in one pulse, on an insulating rod that "+
			"keeps "+
			"the hand a forearm's length away. It is sized for a full bank on the highest mains{sized}: "+
			"{bring_up.stick_current} flow at the first touch. Down to {low} it takes {bring_up.stick_hold} on the bank{also}.",
			ledger.Q("highest", in.Highest), ledger.Q("low", in.Low), ledger.In("also", also), ledger.Called("sized", sized)),
		Advice: ledger.Say("60 V is the limit of IEC 60204-1; the stick goes on to {low}, at which the ground hook draws no spark to "+
			"speak of (common practice). Its lead is screwed or clamped on, and lead and insulated clip at the far end stand the same "+
			"{highest}. Measure stick and lead with an ohmmeter before each use: an open stick discharges nothing. It comes after "+
			"waiting "+
			"and measuring, never instead of them.", ledger.Q("low", in.Low), ledger.Q("highest", in.Highest))})
	return r.Value
}

// stickPowers are wirewound bodies of the kind that a stick is made of [W]
// (common practice): one of less than 25 W has too little wire for a pulse.
var stickPowers = []float64{25, 50, 100, 225}
