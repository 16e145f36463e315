// Package switching computes the transmit-receive relays: current and voltage
// of the antenna and input relays, the order and the times of switching, and
// what the suppression of the coils does to the release.
//
// It assumes that the stated output is what goes into the line at the stated
// SWR, and that the input relay and the bias follow the antenna relay on the
// way to transmit and lead it on the way back.
package switching

import (
	"errors"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
)

// Input is what the stage needs.
type Input struct {
	Output *ledger.Quantity // peak envelope power at the antenna connector [W]
	SWR    *ledger.Quantity // worst at the connector [1]
}

// Event is one step of the sequence.
type Event struct {
	Time     float64 // after the key line closes, or after it opens [s]
	What     string
	Transmit bool // on the way to transmit; otherwise back to receive
}

// Result is what figures and later stages need.
type Result struct {
	AntennaCurrent     float64 // [A rms]
	AntennaVoltagePeak float64 // [V]
	TransmitDelay      float64 // from the key line to the first drive [s]
	ReceiveDelay       float64 // from the end of drive to reception [s]
	Sequence           []Event // both ways, in order of time
	Times              Times
	Drive              float64 // from the key line to the first drive as the exciter gives it [s]
	HotSwitchMargin    float64 // from both relays settled to the first drive; negative: hot switching [s]
	ReleaseMargin      float64 // from the end of drive until the antenna relay begins to move [s]
}

// Times are the times of the sequence that the figure draws.
type Times struct {
	Operate, Release float64 // of one relay [s]
	Guard            float64 // [s]
	Decay            float64 // of the coil's current into its suppression [s]
}

// Times and constants that no data sheet of the builder's gives, common
// practice all of them.
const (
	guard         = 5e-3 // after a relay has settled, against bounce [s]
	loadImpedance = 50.0
	timeConstant  = 5e-3 // L/R of a small relay's coil [s]
	releaseShare  = 0.15 // of the rated coil current, at which the armature lets go [1]
	diodeVoltage  = 0.8  // forward voltage of a silicon diode [V]
)

var (
	contactCurrent = ledger.MustFormula("I = sqrt(P * s / R_0)", source.CircuitLaws,
		"I [A] contact current at the current maximum, rms", "P [W] power into the line", "s [] SWR", "R_0 [Ω] line impedance")
	contactVoltage = ledger.MustFormula("V = sqrt(2 * P * R_0 * s)", source.CircuitLaws,
		"V [V] voltage at the voltage maximum, peak", "P [W] power into the line", "s [] SWR", "R_0 [Ω] line impedance")
	openVoltage = ledger.MustFormula("V_o = V + V_d", source.CircuitLaws,
		"V_o [V] voltage across open contacts, peak", "V [V] at the antenna, peak", "V_d [V] of the exciter on the bypass line, peak")
	transmitDelay = ledger.MustFormula("t_1 = t_K1 + t_K2 + t_g", source.CircuitLaws,
		"t_1 [s] from the key line to the first drive", "t_K1 [s] antenna relay settled", "t_K2 [s] input relay and bias settled",
		"t_g [s] guard time")
	receiveDelay = ledger.MustFormula("t_2 = t_g + t_K2 + t_K1 + t_c", source.CircuitLaws,
		"t_2 [s] from the end of drive to reception", "t_g [s] guard time", "t_K2 [s] input relay released",
		"t_K1 [s] antenna relay released", "t_c [s] delay by the coil's suppression")
	keyMargin = ledger.MustFormula("t_m = t_RF - t_K1 - t_K2", source.CircuitLaws,
		"t_m [s] from both relays settled to the first drive", "t_RF [s] from the key line to the first drive",
		"t_K1 [s] antenna relay settled", "t_K2 [s] input relay and bias settled")
	openMargin = ledger.MustFormula("t_n = t_g + t_K2 + t_c", source.CircuitLaws,
		"t_n [s] from the end of drive until the antenna relay begins to move", "t_g [s] guard time", "t_K2 [s] input relay released",
		"t_c [s] delay by the coil's suppression")
	clampDelay = ledger.MustFormula("t_c = τ * ln((1 + V_c / V_K) / (h + V_c / V_K))", source.CircuitLaws,
		"t_c [s] time until the coil current has decayed", "τ [s] time constant of the coil",
		"V_c [V] voltage that the suppression lets the coil have",
		"V_K [V] coil voltage", "h [] share of the current at which the armature lets go")
	switchVoltage = ledger.MustFormula("V_T = 2 * V_K", source.CircuitLaws,
		"V_T [V] voltage across the keying transistor", "V_K [V] coil voltage")
	snubberResistor = ledger.MustFormula("R_K = V_K / I_K", source.CircuitLaws,
		"R_K [Ω] resistance of the coil", "V_K [V] coil voltage", "I_K [A] coil current")
	snubberCapacitor = ledger.MustFormula("C = τ / R_K", source.CircuitLaws,
		"C [F] capacitor of an RC suppressor", "τ [s] time constant of the coil",
		"R_K [Ω] resistance of the coil and of the suppressor")
)

// Solve checks the relays and lays out the sequence. Errors: input missing.
func Solve(d *desk.Desk, in Input) (Result, error) {
	var r Result
	if in.Output == nil || in.SWR == nil {
		return r, errors.New("switching: needs output and SWR")
	}
	r0 := d.Catalogue("switching.line_impedance", "impedance of the line", loadImpedance, "Ω", "the usual coaxial cable")
	i := d.Compute("switching.antenna_current", "antenna relay, RF current at the worst SWR", contactCurrent,
		ledger.With{"P": in.Output, "s": in.SWR, "R_0": r0})
	v := d.Compute("switching.antenna_voltage_peak", "antenna relay, voltage at the worst SWR, peak", contactVoltage,
		ledger.With{"P": in.Output, "s": in.SWR, "R_0": r0})
	drive := d.Take("switching.drive_power", "drive available", "W", d.Spec.Target.DriveAvailable)
	id := d.Compute("switching.input_current", "input relay, RF current, exciter straight to the antenna", contactCurrent,
		ledger.With{"P": drive, "s": in.SWR, "R_0": r0})
	vd := d.Compute("switching.input_voltage_peak", "input relay, voltage, exciter straight to the antenna, peak", contactVoltage,
		ledger.With{"P": drive, "s": in.SWR, "R_0": r0})
	vo := d.Compute("switching.open_voltage_peak", "antenna relay, voltage across the open contacts, peak", openVoltage,
		ledger.With{"V": v, "V_d": vd})
	r.AntennaCurrent, r.AntennaVoltagePeak = i.Value, v.Value
	relays(d, i, v, vo, id, vd)
	sequence(d, &r)
	return r, nil
}

func relays(d *desk.Desk, i, v, vo, id, vd *ledger.Quantity) {
	s := d.Spec.Switching
	owned := s.ContactCurrent.Given || s.ContactVoltage.Given
	ri := d.Check(desk.Hold{Part: "K1", Name: "antenna relay", Kind: "current", Stress: i, Have: s.ContactCurrent, Owned: owned,
		Factor: d.Spec.Margins.Current, Standard: desk.Currents,
		Why:    ledger.Say("RF current through the closed contact at the current maximum of the worst SWR, peak envelope"),
		Advice: ledger.Say("RF current heats a contact more than mains current: take the relay maker's RF rating at the highest band.")})
	rv := d.Check(desk.Hold{Part: "K1", Name: "antenna relay", Kind: "voltage", Stress: vo, Have: s.ContactVoltage, Owned: owned,
		Factor: d.Spec.Margins.Voltage, Standard: desk.CapacitorVoltages,
		Why: ledger.Say("across the open receive contact: antenna voltage at the worst SWR plus the exciter's on the bypass line, peak")})
	d.Part(ledger.Part{Designator: "K1", Name: "antenna relay, changeover", Stage: "switching", Given: owned,
		Value: ledger.Say("coil {coil_voltage}, {coil_current}", ledger.Of("coil_voltage", s.CoilVoltage.SI, "V"),
			ledger.Of("coil_current", s.CoilCurrent.SI, "A")),
		Rating: ledger.Say("{rating} RF, {rating_2} peak across open contacts", ledger.Of("rating", ri.Rating, "A"),
			ledger.Of("rating_2", rv.Rating, "V")),
		Note: ledger.Say("DANGER: RF of {v} peak on the contacts burns deeply. It must never switch under RF, neither closing nor "+
			"opening. Diode with a series zener diode across the coil.", ledger.Q("v", v))})
	ki := d.Check(desk.Hold{Part: "K2", Name: "input relay", Kind: "current", Stress: id, Factor: d.Spec.Margins.Current,
		Standard: desk.Currents,
		Why:      ledger.Say("exciter straight through to the antenna at the worst SWR")})
	kv := d.Check(desk.Hold{Part: "K2", Name: "input relay", Kind: "voltage", Stress: vd, Factor: d.Spec.Margins.Voltage,
		Standard: desk.CapacitorVoltages,
		Why:      ledger.Say("open contact with the exciter on the other, at the worst SWR, peak")})
	d.Part(ledger.Part{Designator: "J1", Name: "RF input connector, 50 Ω", Stage: "switching",
		Rating: ledger.Say("{id} RF", ledger.Q("id", id))})
	d.Part(ledger.Part{Designator: "J2", Name: "antenna connector, 50 Ω", Stage: "switching",
		Rating: ledger.Say("{v} peak, {i} RF", ledger.Q("v", v), ledger.Q("i", i)),
		Note:   ledger.Say("RF here burns; never open the plug while transmitting. The safety choke RFC2 belongs right behind it")})
	d.Part(ledger.Part{Designator: "J3", Name: "connector of the relay supply", Stage: "switching",
		Rating: ledger.Say("{coil_voltage}", ledger.Of("coil_voltage", s.CoilVoltage.SI, "V"))})
	d.Part(ledger.Part{Designator: "J4", Name: "connector of the key line", Stage: "switching",
		Note: ledger.Say("it carries the coil voltage: check that the exciter's key line stands voltage and current")})
	snubber := ledger.Say("{next_up}, {coil_voltage} zener",
		ledger.Of("next_up", desk.NextUp(2*s.CoilCurrent.SI, []float64{1, 3, 6}), "A"),
		ledger.Of("coil_voltage", s.CoilVoltage.SI, "V"))
	d.Part(ledger.Part{Designator: "D4", Name: "diode with a series zener diode across the coil of K1", Value: snubber,
		Stage: "switching", Note: ledger.Say("without it the coil's voltage destroys whatever keys it")})
	d.Part(ledger.Part{Designator: "D5", Name: "diode with a series zener diode across the coil of K2", Value: snubber,
		Stage: "switching"})
	d.Part(ledger.Part{Designator: "K2", Name: "input relay, changeover, with a contact for the bias", Stage: "switching",
		Value: ledger.Say("coil {coil_voltage}", ledger.Of("coil_voltage", s.CoilVoltage.SI, "V")),
		Rating: ledger.Say("{rating} RF, {rating_2} peak, no slower than K1", ledger.Of("rating", ki.Rating, "A"),
			ledger.Of("rating_2", kv.Rating, "V")),
		Note: ledger.Say("Its bias contact may stand at the cut-off voltage of the cathodes. It follows K1 on the way to transmit " +
			"and leads it on the way back. Diode with a series zener diode across the coil.")})
	d.Part(ledger.Part{Designator: "A1",
		Name: "sequencer of the relays: K1 before K2 on the way to transmit, K2 before K1 on the way back", Stage: "switching",
		Value: ledger.Say("{operate_time} each", ledger.Of("operate_time", s.OperateTime.SI, "s")),
		Note: ledger.Say("Two delays, with transistors that carry the coil currents. With both coils straight on the key line " +
			"nothing keeps K1 from switching under RF.")})
}

func sequence(d *desk.Desk, r *Result) {
	s := d.Spec.Switching
	operate := d.Take("switching.operate_time", "antenna relay, settled after", "s", s.OperateTime)
	release := d.Take("switching.release_time", "antenna relay, released after", "s", s.ReleaseTime)
	vk := d.Take("switching.coil_voltage", "relay coil, voltage", "V", s.CoilVoltage)
	ik := d.Take("switching.coil_current", "relay coil, current", "A", s.CoilCurrent)
	g := d.Catalogue("switching.guard_time", "guard time against contact bounce", guard, "s", "common practice")
	tau := d.Catalogue("switching.coil_time_constant", "relay coil, time constant", timeConstant, "s",
		"common practice: 3 to 10 ms for small relays")
	h := d.Catalogue("switching.release_share", "share of the coil current at which the armature lets go", releaseShare, "",
		"common practice: 10 to 20 %")
	vdiode := d.Catalogue("switching.diode_voltage", "silicon diode, forward voltage", diodeVoltage, "V", "common practice")
	slow := d.Compute("switching.release_delay_diode", "delay of the release by a plain diode", clampDelay,
		ledger.With{"τ": tau, "V_c": vdiode, "V_K": vk, "h": h})
	quick := d.Compute("switching.release_delay_zener", "delay of the release by a diode with a zener of the coil's voltage",
		clampDelay, ledger.With{"τ": tau, "V_c": vk, "V_K": vk, "h": h})
	vt := d.Compute("switching.keying_voltage", "keying transistor, voltage with the zener diode", switchVoltage,
		ledger.With{"V_K": vk})
	rk := d.Compute("switching.snubber_resistance", "resistor of an RC suppressor, equal to the coil's", snubberResistor,
		ledger.With{"V_K": vk, "I_K": ik})
	d.Compute("switching.snubber_capacitance", "capacitor of an RC suppressor", snubberCapacitor, ledger.With{"τ": tau, "R_K": rk})
	t1 := d.Compute("switching.transmit_delay", "key line closed to first drive", transmitDelay,
		ledger.With{"t_K1": operate, "t_K2": operate, "t_g": g})
	t2 := d.Compute("switching.receive_delay", "end of drive to reception", receiveDelay,
		ledger.With{"t_K1": release, "t_K2": release, "t_g": g, "t_c": quick})
	r.TransmitDelay, r.ReceiveDelay = t1.Value, t2.Value
	rf := t1
	if s.ExciterDelay.Given {
		rf = d.Take("switching.exciter_delay", "key line closed to the exciter's first radio frequency", "s", s.ExciterDelay)
	}
	mk := d.Compute("switching.hot_switch_margin", "from both relays settled to the first drive", keyMargin,
		ledger.With{"t_RF": rf, "t_K1": operate, "t_K2": operate})
	mo := d.Compute("switching.release_margin", "from the end of drive until the antenna relay begins to move", openMargin,
		ledger.With{"t_g": g, "t_K2": release, "t_c": quick})
	r.Drive, r.HotSwitchMargin, r.ReleaseMargin = rf.Value, mk.Value, mo.Value
	if s.ExciterDelay.Given {
		hotSwitch(d, rf, mk, g, t1)
	}
	r.Times = Times{Operate: operate.Value, Release: release.Value, Guard: g.Value, Decay: quick.Value}
	op, rel, clamp := operate.Value, release.Value, quick.Value
	r.Sequence = []Event{
		{0, "key line closes; antenna relay K1 energised, drive still locked out", true},
		{op, "K1 has settled; input relay K2 energised, bias switched from cut-off to working", true},
		{2 * op, "K2 has settled", true},
		{t1.Value, "drive allowed", true},
		{0, "key line opens; drive stops", false},
		{guard, "drive has died away; K2 released, bias switched to cut-off", false},
		{guard + rel, "K2 has released; K1 coil switched off", false},
		{guard + rel + clamp, "K1's coil current has decayed", false},
		{t2.Value, "K1 has released; reception", false},
	}
	d.Find(ledger.Finding{Severity: ledger.Caution, ID: "switching.hot_switching", Stage: "switching",
		Quantities: []string{t1.ID, t2.ID},
		Text: ledger.Say("K1 must never switch under RF: the first drive may come no earlier than {switching.transmit_delay} after " +
			"the key line closes, and K1 may let go only after the drive has stopped. With the antenna off for a moment at full output " +
			"the tank arcs and the contacts burn."),
		Advice: ledger.Say("Set the exciter's delay from key line to RF to at least {switching.transmit_delay} and prove it with an " +
			"oscilloscope, or let the amplifier's sequence hold off the drive. Many exciters give RF within a few milliseconds unless " +
			"told otherwise.")})
	d.Find(ledger.Finding{Severity: ledger.Note, ID: "switching.coil_suppression", Stage: "switching",
		Quantities: []string{slow.ID, quick.ID, vt.ID},
		Text: ledger.Say("A plain diode across the coil holds the relay for about {switching.release_delay_diode} longer, a diode " +
			"in series with a zener diode of {switching.coil_voltage} for {switching.release_delay_zener}; the keying transistor then " +
			"sees {switching.keying_voltage}. An RC suppressor without overshoot would be {switching.snubber_resistance} in series " +
			"with " +
			"{switching.snubber_capacitance}."),
		Advice: ledger.Say("Never leave a coil without suppression: it destroys the keying transistor or the exciter's key line. The " +
			"release is an estimate from the coil's time constant; measure it.")})
}

// hotSwitch holds the exciter's own delay against the relays.
func hotSwitch(d *desk.Desk, rf, margin, guard, wanted *ledger.Quantity) {
	f := ledger.Finding{ID: "switching.exciter_delay", Stage: "switching", Quantities: []string{rf.ID, margin.ID, wanted.ID},
		Advice: ledger.Say("Set the exciter's delay to {wanted} or more, or let the sequence hold off the drive until both relays "+
			"have settled; prove it with an oscilloscope on key line and drive. Faster relays help as well.",
			ledger.Q("wanted", wanted))}
	switch {
	case margin.Value < 0:
		f.Severity = ledger.Exceeds
		f.Text = ledger.Say("The exciter gives radio frequency {rf} after the key line closes, {margin} before the relays have "+
			"settled: the antenna relay switches hot, its contacts burn, and for that time the tank has no load.", ledger.Q("rf", rf),
			ledger.Of("margin", -margin.Value, "s"))
	case margin.Value < guard.Value*(1-1e-9):
		f.Severity = ledger.Caution
		f.Text = ledger.Say("The exciter's {rf} leave {margin} after both relays have settled, less than the guard time of {guard} "+
			"against bounce.", ledger.Q("rf", rf), ledger.Q("margin", margin), ledger.Q("guard", guard))
	default:
		f.Severity = ledger.Note
		f.Text = ledger.Say("The exciter's {rf} leave {margin} after both relays have settled.", ledger.Q("rf", rf),
			ledger.Q("margin", margin))
		f.Advice = ledger.Say("Prove it with an oscilloscope on key line and drive, and again after every change of the exciter's " +
			"settings.")
	}
	d.Find(f)
}
