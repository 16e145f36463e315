// Package bias is the stage of the cathode bias: the device that holds the
// cathodes above ground on transmit, and the resistor that cuts the tubes off
// on receive.
//
// It assumes that plate and grid current together return through the device,
// that the device holds its voltage whatever the current (a zener or a string
// of diodes rises by some per cent), and that all tubes are alike.
package bias

import (
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/spec"
)

// Input is what the stage needs from the tubes. Currents are direct and of
// all tubes together.
type Input struct {
	Type         *tube.Type
	Model        tube.Model // of one tube
	Tubes        int
	PlateVoltage *ledger.Quantity // at full output [V]
	IdleVoltage  *ledger.Quantity // plate voltage with the tubes idling [V]; nil: PlateVoltage
	// StandbyVoltage is the plate voltage on receive, the tubes cut off [V];
	// nil: IdleVoltage.
	StandbyVoltage *ledger.Quantity
	// Feed is the plate voltage [V] that the supply gives at the plate current
	// of all tubes [A]; nil: the idle voltage holds.
	Feed         func(plateCurrent float64) (float64, error)
	BiasVoltage  *ledger.Quantity // cathodes above ground [V]
	IdleCurrent  *ledger.Quantity // [A]
	PlateCurrent *ledger.Quantity // at full output [A]
	GridCurrent  *ledger.Quantity // at full output [A]
}

// Device is what makes the bias voltage.
type Device string

// The devices.
const (
	None       Device = "none"       // cathodes return to ground
	Zener      Device = "zener"      // power zener diode
	Diodes     Device = "diodes"     // rectifier diodes in series
	Transistor Device = "transistor" // power transistor with a small zener as reference
)

// Result is what later stages and figures need.
type Result struct {
	Device         Device
	Diodes         int     // in series, for Diodes
	Voltage        float64 // [V]
	Dissipation    float64 // at full output [W]
	CutOff         float64 // cut-off resistor [Ω]
	StandbyCurrent float64 // cathode current on receive, all tubes [A]
	StandbyVoltage float64 // cathodes above ground on receive [V]
	ShortedCurrent float64 // idle plate current with the device shorted, all tubes [A]
}

const (
	diodeForward  = 0.75 // one silicon rectifier diode at some hundred milliamperes [V]
	stringLimit   = 6.0  // above this a zener beats a string of diodes [V]
	zenerLimit    = 50.0 // above this a transistor carries the heat [W]
	smallestVolts = 0.1  // below this the tubes count as zero-bias [V]
	leastZener    = 2.4  // the lowest that zener diodes are made for [V] (common practice)
)

var (
	cathodeCurrent = ledger.MustFormula("I_k = I_p + I_g", source.CircuitLaws, "I_k [A] current through the bias device",
		"I_p [A] plate current, all tubes", "I_g [A] grid current, all tubes")
	heat = ledger.MustFormula("P = V_k * I", source.CircuitLaws, "P [W] heat in the bias device",
		"V_k [V] bias, cathodes above ground", "I [A] current through it")
	stringVoltage = ledger.MustFormula("V_k = V_F * N", source.CommonPractice, "V_k [V] voltage of the string",
		"V_F [V] forward voltage of one diode", "N [] diodes in series")
	zenerRise = ledger.MustFormula("V_r = V_k * q * (1 - I_0 / I_k)", source.CommonPractice,
		"V_r [V] rise of the bias from idling to full output", "V_k [V] bias, cathodes above ground",
		"q [%] rise of the device from little to full current", "I_k [A] current at full output", "I_0 [A] current idling")
	reference = ledger.MustFormula("V_z = V_k - V_BE", source.CircuitLaws, "V_z [V] reference zener of the transistor",
		"V_k [V] bias, cathodes above ground", "V_BE [V] base to emitter")
	baseCurrent = ledger.MustFormula("I_b = I_k / h_FE", source.CircuitLaws, "I_b [A] base current at full output",
		"I_k [A] current through the bias device", "h_FE [] least current gain")
	heatSink = ledger.MustFormula("R_θ = (T_j - T_a) / P - R_jc - R_cs", source.CircuitLaws,
		"R_θ [K/W] thermal resistance of the heat sink, at most", "T_j [°C] junction, at most", "T_a [°C] air inside the cabinet",
		"P [W] heat in the bias device", "R_jc [K/W] junction to case", "R_cs [K/W] case to heat sink, insulated")
	selfBias = ledger.MustFormula("V_k = I_k * R_2", source.CircuitLaws, "V_k [V] cathodes above ground on receive",
		"I_k [A] cathode current on receive, all tubes", "R_2 [Ω] cut-off resistor")
	resistorHeat = ledger.MustFormula("P = I_k * V_k", source.CircuitLaws, "P [W] heat in the cut-off resistor",
		"I_k [A] cathode current on receive, all tubes", "V_k [V] cathodes above ground on receive")
	plateHeat = ledger.MustFormula("P = V_b * I / N", source.CircuitLaws, "P [W] plate dissipation of each tube",
		"V_b [V] plate voltage, no drive", "I [A] plate current, all tubes", "N [] tubes")
)

// Choose returns the device for a bias voltage [V] and heat [W] where the
// builder names none.
func Choose(voltage, power float64) Device {
	switch {
	case voltage < smallestVolts:
		return None
	case voltage <= stringLimit:
		return Diodes
	case power <= zenerLimit:
		return Zener
	}
	return Transistor
}

// SelfBias returns cathode current [A, all tubes] and cathode voltage [V] with
// the cathodes returned through a resistor [Ω]: where the current that the
// tubes pass at the bias V is V/R. There is exactly one such point, since the
// current falls as the bias rises.
func SelfBias(m tube.Model, tubes int, plateVoltage, resistance float64) (current, voltage float64) {
	passes := func(v float64) float64 {
		return float64(tubes) * m.CathodeCurrent(-v, plateVoltage-v)
	}
	lo, hi := 0.0, plateVoltage
	for range 200 {
		mid := (lo + hi) / 2
		if passes(mid)*resistance > mid {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo / resistance, lo
}

// Solve enters the bias into the book. It has no errors of its own.
func Solve(d *desk.Desk, in Input) (Result, error) {
	sp := &d.Spec.Bias
	res := Result{Voltage: in.BiasVoltage.Value, CutOff: sp.Cutoff.SI}
	idleVoltage := in.IdleVoltage
	if idleVoltage == nil {
		idleVoltage = in.PlateVoltage
	}
	current := d.Compute("bias.device_current", "Current through the cathode return at full output", cathodeCurrent,
		ledger.With{"I_p": in.PlateCurrent, "I_g": in.GridCurrent})
	full := d.Compute("bias.dissipation", "Heat in the bias device at full output", heat,
		ledger.With{"V_k": in.BiasVoltage, "I": current})
	idle := d.Compute("bias.dissipation_idle", "Heat in the bias device, tubes idling", heat,
		ledger.With{"V_k": in.BiasVoltage, "I": in.IdleCurrent})
	res.Dissipation = full.Value

	res.Device = Device(sp.Device.Value)
	if !sp.Device.Given {
		res.Device = Choose(res.Voltage, res.Dissipation)
		d.Suppose(sp.Device.Key, ledger.Literal(string(res.Device)),
			ledger.Say("common practice: a string of rectifier diodes up to {string_limit} V, a power zener up to {zener_limit} W, a "+
				"transistor with a small zener above", ledger.Fixed("string_limit", stringLimit, 0),
				ledger.Fixed("zener_limit", zenerLimit, 0)))
	}
	if res.Device == None && res.Voltage >= smallestVolts {
		d.Find(ledger.Finding{
			Severity: ledger.Caution, ID: "bias.device", Stage: "bias", Quantities: []string{in.BiasVoltage.ID, in.IdleCurrent.ID},
			Text: ledger.Say("{wants} on the cathodes, but bias.device is \"none\": nothing makes that voltage, and without it the "+
				"tubes idle on more.", ledger.In("wants", wants(sp, in.BiasVoltage))),
			Advice: ledger.Say("Name a device, or accept the idle current without bias."),
		})
	}
	if least := leastVoltage(res.Device); res.Voltage < least {
		d.Find(ledger.Finding{
			Severity: ledger.Caution, ID: "bias.device_voltage", Stage: "bias", Quantities: []string{in.BiasVoltage.ID},
			Text: ledger.Say("{called} holds no less than about {least}, and {bias_voltage} are wanted on the cathodes.",
				ledger.Called("called", called[res.Device]), ledger.Of("least", least, "V"), ledger.Q("bias_voltage", in.BiasVoltage)),
			Advice: ledger.Say("Use {value} rectifier diodes in series (bias.device = \"diodes\"), or another bias.",
				ledger.Fixed("value", math.Max(1, math.Round(res.Voltage/diodeForward)), 0)),
		})
	}
	res.device(d, in, current, full, idle)
	d.Check(desk.Hold{Part: "K2", Name: "bias contact of the input relay", Kind: "current", Stress: current,
		Factor: d.Spec.Margins.Current, Standard: desk.Currents,
		Why: ledger.Say("plate and grid current together at full output, steady")})
	standby := in.StandbyVoltage
	if standby == nil {
		standby = idleVoltage
	}
	res.standby(d, in, standby)
	res.failures(d, in, idleVoltage, standby)
	return res, nil
}

// wants says what asks for the bias.
func wants(sp *spec.Bias, bias *ledger.Quantity) ledger.Sentence {
	if sp.IdleCurrent.Given {
		return ledger.Say("The idle current wanted needs {bias}", ledger.Q("bias", bias))
	}
	return ledger.Say("The spec asks for {bias}", ledger.Q("bias", bias))
}

// called names the devices at the head of a sentence.
var called = map[Device]string{None: "Nothing", Zener: "A power zener diode",
	Diodes: "A rectifier diode", Transistor: "A transistor with a zener as reference"}

// leastVoltage is the least that a device holds [V]: zener diodes are made from
// 2.4 V on, and a transistor adds its base to emitter (common practice).
func leastVoltage(device Device) float64 {
	switch device {
	case None:
		return 0
	case Zener:
		return leastZener
	case Transistor:
		return leastZener + baseEmitter
	case Diodes:
		return diodeForward / 2 // one diode is the nearest to it
	}
	panic("bias: no device " + string(device))
}

// device enters the device with its rating.
func (r *Result) device(d *desk.Desk, in Input, current, full, idle *ledger.Quantity) {
	const live = "Its voltage is low, but it sits in the way of the whole cathode current: work on it only with the plug out and the " +
		"bank discharged, verified and grounded."
	sp := &d.Spec.Bias
	note := ledger.Sentence{}
	name, value, count := "", ledger.Say("{bias_voltage}", ledger.Q("bias_voltage", in.BiasVoltage)), 1
	stress, hold := full, "power"
	switch r.Device {
	case None:
		return
	case Zener:
		name, note = "Power zener diode for the bias", ledger.Say("On a heat sink; a stud zener's case is live: insulate it. {idle} "+
			"idling, {full} at full output.", ledger.Q("idle", idle), ledger.Q("full", full))
	case Transistor:
		name = "Power transistor for the bias, with a small zener as reference"
		note = ledger.Say("On a heat sink, insulated. {idle} idling, {full} at full output. Choose a transistor with a safe operating "+
			"area well beyond {current} at {bias_voltage}.", ledger.Q("idle", idle), ledger.Q("full", full),
			ledger.Q("current", current), ledger.Q("bias_voltage", in.BiasVoltage))
	case Diodes:
		r.Diodes = int(math.Max(1, math.Round(r.Voltage/diodeForward)))
		n := d.Solved("bias.diode_count", "Bias diodes in series", float64(r.Diodes), "", ledger.Method{
			Words:  ledger.Say("The bias voltage over the forward voltage of one diode, to the nearest whole number."),
			Source: source.CommonPractice}, in.BiasVoltage)
		one := d.Catalogue("bias.diode_forward_voltage", "Forward voltage of one silicon rectifier diode", diodeForward, "V",
			"common practice; 0.7 V idling to 0.9 V at full output")
		d.Compute("bias.string_voltage", "Voltage of the diode string", stringVoltage, ledger.With{"V_F": one, "N": n})
		name, value, count = "Rectifier diodes in series for the bias", ledger.Say("{bias.string_voltage}"), r.Diodes
		note = ledger.Say("Add or short one diode to trim the idle current. In all they burn {full} at full output.",
			ledger.Q("full", full))
		stress, hold = current, "current"
	}
	h := desk.Hold{Part: "D1", Name: name, Kind: hold, Stress: stress,
		Why:    ledger.Say("plate and grid current together at full output, steady"),
		Advice: ledger.Say("Use a larger device or a better heat sink.")}
	unit := "W"
	if hold == "power" {
		h.Have, h.Factor, h.Standard = sp.Power, d.Spec.Margins.Power, []float64{1, 5, 10, 20, 50, 75, 100, 150, 200, 250, 300}
	} else {
		h.Factor, h.Standard, unit = d.Spec.Margins.Current, desk.Currents, "A"
	}
	rating := d.Check(h)
	note = note.Append(r.regulator(d, in, current, full))
	d.Part(ledger.Part{Designator: "D1", Name: name, Stage: "bias", Count: count, Value: value,
		Rating: ledger.Say("{rating}", ledger.Of("rating", rating.Rating, unit)), Given: sp.Power.Given,
		Note: ledger.Say("{note} "+live, ledger.In("note", note))})
}

// standby enters the cut-off on receive, where the supply stands at the voltage
// given.
func (r *Result) standby(d *desk.Desk, in Input, voltage *ledger.Quantity) {
	cutoff := d.Take("bias.cutoff_resistor", "Cut-off resistor", "Ω", d.Spec.Bias.Cutoff)
	r.StandbyCurrent, r.StandbyVoltage = SelfBias(in.Model, in.Tubes, voltage.Value, cutoff.Value)
	i := d.Solved("bias.standby_current", "Cathode current on receive, all tubes", r.StandbyCurrent, "A", ledger.Method{
		Words: ledger.Say("The current at which the tubes' static characteristic and the cut-off resistor agree, by bisection; the " +
			"bias device in series with it would lower it further and is left out. Near cut-off the characteristic is the least " +
			"certain."),
		Source: source.CircuitLaws,
	}, cutoff, voltage)
	v := d.Compute("bias.standby_voltage", "Cathodes above ground on receive", selfBias, ledger.With{"I_k": i, "R_2": cutoff})
	p := d.Compute("bias.cutoff_power", "Heat in the cut-off resistor on receive", resistorHeat, ledger.With{"I_k": i, "V_k": v})
	rating := d.Check(desk.Hold{Part: "R2", Name: "Cut-off resistor", Kind: "power", Stress: p, Owned: d.Spec.Bias.Cutoff.Given,
		Factor: d.Spec.Margins.Power, Standard: desk.ResistorPowers[3:], Why: ledger.Say("receive, high voltage on")})
	d.Part(ledger.Part{Designator: "R2", Name: "Cut-off resistor", Stage: "bias", Value: ledger.Say("{bias.cutoff_resistor}"),
		Rating: ledger.Say("{rating}", ledger.Of("rating", rating.Rating, "W")), Given: d.Spec.Bias.Cutoff.Given,
		Note: ledger.Say("On receive it lifts the cathodes to {bias.standby_voltage}. With the contact across it open and drive " +
			"applied, far more: insulate it and the cathode wiring for some hundred volts.")})
	if share := r.StandbyCurrent / math.Max(in.IdleCurrent.Value, 1e-9); share > 0.1 {
		d.Find(ledger.Finding{
			Severity: ledger.Caution, ID: "bias.standby", Stage: "bias", Quantities: []string{i.ID, cutoff.ID},
			Text: ledger.Say("On receive the tubes still draw {bias.standby_current}, {share}: they heat and make noise in the "+
				"receiver.", ledger.In("share", ofIdle(share))),
			Advice: largerCutoff(r.StandbyVoltage / (0.05 * in.IdleCurrent.Value)),
		})
	}
}

// ofIdle words a share of the idle current.
func ofIdle(share float64) ledger.Sentence {
	if share >= 1 {
		return ledger.Say("as much as when they idle, or more")
	}
	return ledger.Say("{share} % of the idle current", ledger.Fixed("share", share*100, 0))
}

// largerCutoff proposes a resistance [Ω], if it is one that could be bought.
func largerCutoff(r float64) ledger.Sentence {
	if !(r < 1e6) { // the greatest that the spec takes
		return ledger.Say("A larger cut-off resistor helps.")
	}
	return ledger.Say("A larger cut-off resistor helps, such as {r}.", ledger.Of("r", preferred.E12.Up(r), "Ω"))
}

// failures enters what a shorted and an open device do.
func (r *Result) failures(d *desk.Desk, in Input, idleVoltage, standby *ledger.Quantity) {
	cut := in.Model.GridVoltage(1e-4, standby.Value)
	open := d.Solved("bias.open_voltage", "Cathodes above ground if the return opens, no drive", -cut, "V", ledger.Method{
		Words: ledger.Say("The bias at which the model passes a tenth of a milliampere in each tube: an open cathode return lets the " +
			"cathodes rise about so far."), Source: source.CircuitLaws}, standby)
	if r.Device == None {
		d.Find(ledger.Finding{
			Severity: ledger.Note, ID: "bias.failure", Stage: "bias", Quantities: []string{open.ID},
			Text: ledger.Say("There is no bias device to fail. If the cathode return opens, the cathodes rise to about " +
				"{bias.open_voltage} without drive, and with drive as far as its peaks push them."),
			Advice: ledger.Say("Leave a resistor, such as the cut-off resistor of {cut_off}, permanently across the contact that "+
				"returns the cathodes.", ledger.Of("cut_off", r.CutOff, "Ω")),
		})
		return
	}
	feed := in.Feed
	if feed == nil {
		feed = func(float64) (float64, error) { return idleVoltage.Value, nil }
	}
	zero, err := tube.IdleOn(in.Model, 0, float64(in.Tubes), idleVoltage.Value, feed)
	if err != nil { // it asks more of the supply than that can give: the bound of an idle voltage that holds
		zero = tube.Idle(in.Model, idleVoltage.Value, 0)
	}
	r.ShortedCurrent = zero.PlateCurrent() * float64(in.Tubes)
	left := d.Solved("bias.shorted_voltage", "Plate voltage with the bias device shorted, no drive", zero.PlateVoltage, "V",
		ledger.Method{
			Words:  ledger.Say("The voltage that the supply gives at the idle current without bias, solved together with it."),
			Source: source.CircuitLaws}, idleVoltage)
	tubes := d.Catalogue("bias.tubes", "Tubes in parallel", float64(in.Tubes), "", "tubes.count")
	shorted := d.Solved("bias.shorted_current", "Idle plate current with the bias device shorted, all tubes", r.ShortedCurrent, "A",
		ledger.Method{
			Words:  ledger.Say("The static characteristic at no bias, at the plate voltage that the supply then gives."),
			Source: source.CircuitLaws}, left)
	burned := d.Compute("bias.shorted_dissipation_each", "Plate dissipation of each tube with the bias device shorted, no drive",
		plateHeat, ledger.With{"V_b": left, "I": shorted, "N": tubes})
	f := ledger.Finding{
		Severity: ledger.Note, ID: "bias.failure", Stage: "bias", Quantities: []string{shorted.ID, burned.ID, open.ID},
		Text: ledger.Say("If the bias device fails shorted, the idle current rises from {idle_current} to {bias.shorted_current} "+
			"and each plate burns {bias.shorted_dissipation_each} without drive.", ledger.Q("idle_current", in.IdleCurrent)),
		Advice: ledger.Say("Watch the idle current on the plate meter: it tells a shorted device at once; take the drive and the high " +
			"voltage off. A resistor of some hundred ohms permanently across the device keeps the cathodes from floating if it opens."),
	}
	if in.Type != nil && in.Type.Limits.PlateDissipation.Known {
		limit := in.Type.Limits.PlateDissipation.Value
		// voltage times its three-halves power, on the highest mains
		high := burned.Value * math.Pow(1+d.Spec.Supply.Mains.Tolerance.SI, 2.5)
		switch {
		case burned.Value > limit:
			f.Severity = ledger.Caution
			f.Text = f.Text.Then(ledger.Say("That is above the plate rating of {limit}: the tubes do not stand it.",
				ledger.Of("limit", limit, "W")))
		case high > limit:
			f.Severity = ledger.Caution
			f.Text = f.Text.Then(ledger.Say("On the highest mains it is about {high}, above the plate rating of {limit}: the tubes do "+
				"not stand it.", ledger.Of("high", high, "W"), ledger.Of("limit", limit, "W")))
		default:
			f.Text = f.Text.Then(ledger.Say("The plate rating is {limit}.", ledger.Of("limit", limit, "W")))
		}
	}
	f.Text = f.Text.Then(ledger.Say("If it fails open, the cathodes rise to about {bias.open_voltage} without drive, and with drive " +
		"as far as its peaks push them, against the insulation of heater, choke and bypass capacitors."))
	d.Find(f)
}
