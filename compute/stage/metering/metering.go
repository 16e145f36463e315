// Package metering is the stage of meters and trips: plate-current and
// grid-current meters with their shunts in the negative lead, the voltmeter
// with its multiplier string, and the currents at which protection trips.
//
// It assumes moving-coil meters (or anything that behaves as one), the
// plate-current shunt between the negative rail and the cathode return, and
// the grid-current shunt between chassis and cathode return, so that each
// meter sees its own current only.
package metering

import (
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/spec"
)

// Input is what the stage needs. Currents are direct and of all tubes.
type Input struct {
	PlateCurrent   *ledger.Quantity // at full output [A]
	GridCurrent    *ledger.Quantity // at full output [A]
	IdleCurrent    *ledger.Quantity // plate current without drive [A]
	FilterVoltage  *ledger.Quantity // filter voltage at full output [V]
	NoLoadVoltage  *ledger.Quantity // filter voltage without load [V]
	HighestVoltage *ledger.Quantity // filter voltage without load, highest mains [V]
	Fault          *ledger.Quantity // current into a flash-over, peak, of the supply's own run [A]; nil: not known
	FaultLoop      *ledger.Quantity // resistance of its loop: glitch resistor and bank [Ω]
	StoredEnergy   *ledger.Quantity // in the filter bank [J]; nil: not known
}

// Result is what later stages, the schematic and the readings need.
type Result struct {
	PlateScale, GridScale float64 // full scales [A]
	PlateShunt, GridShunt float64 // [Ω]
	Multipliers           int     // resistors of the string
	MultiplierEach        float64 // [Ω]
	MultiplierTotal       float64 // [Ω]
	FaultCurrent          float64 // peak in a flash-over [A]; 0: not known
}

const (
	railResistor   = 100.0 // common practice: tens to hundreds of ohms
	highestReading = 0.8   // of full scale, at full output
	movementError  = 0.02  // of full scale, a good panel meter
	resistorError  = 0.05  // common film resistors
	footVoltage    = 10.0  // foot of the multiplier string, meter open [V] (common practice)
)

var (
	shunt = ledger.MustFormula("R_s = I_m * R_m / (I_fs - I_m)", source.CircuitLaws, "R_s [Ω] shunt",
		"I_m [A] full-scale current of the movement", "R_m [Ω] resistance of the movement", "I_fs [A] full scale wanted")
	reading = ledger.MustFormula("a = I / I_fs", source.CircuitLaws, "a [%] reading, of full scale", "I [A] current read",
		"I_fs [A] full scale")
	readingVolts = ledger.MustFormula("a = V / V_fs", source.CircuitLaws, "a [%] reading, of full scale", "V [V] voltage read",
		"V_fs [V] full scale")
	dropped = ledger.MustFormula("V = I * R_s * R_m / (R_s + R_m)", source.CircuitLaws, "V [V] across shunt and movement",
		"I [A] current through both", "R_s [Ω] shunt", "R_m [Ω] resistance of the movement")
	addUp = ledger.MustFormula("V = V_p + V_g", source.CircuitLaws, "V [V] negative rail below chassis, at most",
		"V_p [V] across the plate-current shunt", "V_g [V] across the grid-current shunt")
	shuntHeat = ledger.MustFormula("P = pow(V, 2) / R_s", source.CircuitLaws, "P [W] heat in the shunt", "V [V] across it",
		"R_s [Ω] shunt")
	stringTotal = ledger.MustFormula("R_5 = N * R_1", source.CircuitLaws, "R_5 [Ω] multiplier string", "N [] resistors in series",
		"R_1 [Ω] one resistor")
	stringShare = ledger.MustFormula("V_1 = V_h / N", source.CircuitLaws, "V_1 [V] across one resistor",
		"V_h [V] filter voltage without load, highest mains", "N [] resistors in series")
	stringHeat = ledger.MustFormula("P_1 = pow(V_1, 2) / R_1", source.CircuitLaws, "P_1 [W] heat in one resistor",
		"V_1 [V] across it", "R_1 [Ω] one resistor")
	fullScale = ledger.MustFormula("I_fs = V_fs / R_5", source.CircuitLaws, "I_fs [A] current at full scale", "V_fs [V] full scale",
		"R_5 [Ω] multiplier string")
	meterError = ledger.MustFormula("e = e_m * V_fs / V + e_R", source.CommonPractice,
		"e [%] error of the reading, both errors the same way", "e_m [%] error of the movement, of full scale", "V_fs [V] full scale",
		"V [V] voltage read", "e_R [%] tolerance of the resistors")
	railFault = ledger.MustFormula("V = V_h * R_8 / (R_8 + R_l)", source.CircuitLaws,
		"V [V] negative rail below chassis in a flash-over, shunts burnt open, no clamp diodes",
		"V_h [V] filter voltage without load, highest mains", "R_8 [Ω] rail resistor", "R_l [Ω] glitch resistor and bank")
	ownScale = ledger.MustFormula("V_fs = I_m * R_5", source.CircuitLaws, "V_fs [V] full scale",
		"I_m [A] full-scale current of the movement", "R_5 [Ω] multiplier string")
	readsLow = ledger.MustFormula("x = V_fs / (I_m * R_5)", source.CircuitLaws, "x [%] reading over the true voltage",
		"V_fs [V] full scale written on the dial", "I_m [A] full-scale current of the movement", "R_5 [Ω] multiplier string")
	footWanted = ledger.MustFormula("R_9 = V_0 / I_fs", source.CircuitLaws, "R_9 [Ω] resistor at the foot",
		"V_0 [V] voltage wanted at the foot, meter open", "I_fs [A] current at full scale")
	footOpen = ledger.MustFormula("V_0 = V_h * R_9 / (R_5 + R_9)", source.CircuitLaws, "V_0 [V] foot above the chassis, meter open",
		"V_h [V] filter voltage without load, highest mains", "R_9 [Ω] resistor at the foot", "R_5 [Ω] multiplier string")
	oneShorted = ledger.MustFormula("x = N / (N - 1)", source.CircuitLaws, "x [] reading over the right one",
		"N [] resistors in series")
	unclamped = ledger.MustFormula("V = I * R_8", source.CircuitLaws,
		"V [V] negative rail below chassis, shunts open and no clamp diodes", "I [A] plate current", "R_8 [Ω] rail resistor")
)

var (
	currentScales = []float64{0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.5, 0.75, 1, 1.5, 2, 2.5, 3, 5}
	voltageScales = []float64{600, 800, 1000, 1500, 2000, 2500, 3000, 4000, 5000, 6000, 8000, 10000, 15000}
	movements     = []float64{20e-6, 50e-6, 100e-6, 200e-6, 500e-6, 1e-3, 2e-3, 5e-3, 10e-3} // ascending
)

// Scale returns the smallest usual full scale [A] on which a current [A] reads
// no higher than 80 %.
func Scale(current float64) float64 { return desk.NextUp(current/highestReading, currentScales) }

// String returns count and total resistance [Ω] of the multiplier string for
// the highest voltage [V]: the builder's count, or else as many resistors as
// keep each below its limiting voltage by margins.voltage and below its power
// by margins.power.
func String(s *spec.Spec, highest float64) (count int, total float64) {
	m := &s.Metering
	each := m.MultiplierValue.SI
	if m.MultiplierCount.Given {
		return m.MultiplierCount.N, float64(m.MultiplierCount.N) * each
	}
	byVoltage := highest * s.Margins.Voltage.Value / m.MultiplierLimit.SI
	byPower := highest / math.Sqrt(m.MultiplierPower.SI*each/s.Margins.Power.Value)
	count = int(math.Ceil(math.Max(byVoltage, byPower) - 1e-9))
	if count < leastString {
		count = leastString
	}
	return count, float64(count) * each
}

// leastString is the least number of resistors in the string: one alone fails
// with nothing beside it.
const leastString = 2

// Solve enters the meters into the book. It has no errors of its own.
func Solve(d *desk.Desk, in Input) (Result, error) {
	w := &work{Desk: d, in: in, m: &d.Spec.Metering}
	w.movement = d.Take("metering.movement", "Full-scale current of the movements", "A", w.m.Movement)
	w.resistance = d.Take("metering.movement_resistance", "Resistance of the movements", "Ω", w.m.Resistance)
	plate := w.current("plate", "M1", "R6", in.PlateCurrent, w.m.PlateScale, &w.res.PlateScale, &w.res.PlateShunt)
	grid := w.current("grid", "M2", "R7", in.GridCurrent, w.m.GridScale, &w.res.GridScale, &w.res.GridShunt)
	w.Compute("metering.idle_reading", "Reading of the plate-current meter idling, of full scale", reading,
		ledger.With{"I": in.IdleCurrent, "I_fs": w.Get("metering.plate_scale")})
	w.rail(plate, grid)
	w.voltmeter()
	return w.res, nil
}

type work struct {
	*desk.Desk
	in                   Input
	m                    *spec.Metering
	res                  Result
	movement, resistance *ledger.Quantity
	surge                float64 // rating of one clamp diode [A]
}

// current enters a current meter with its shunt and returns the voltage across
// the shunt.
func (w *work) current(which, meter, part string, reads *ledger.Quantity, given spec.Quantity, scale, ohms *float64) *ledger.Quantity {
	chosen := math.Max(Scale(reads.Value), 2*w.movement.Value)
	fs := w.TakeOr("metering."+which+"_scale", "Full scale of the "+which+"-current meter", "A", given, chosen,
		ledger.Say("the smallest usual scale on which full output reads at most 80 %"))
	s := w.Compute("metering."+which+"_shunt", "Shunt of the "+which+"-current meter", shunt,
		ledger.With{"I_m": w.movement, "R_m": w.resistance, "I_fs": fs})
	a := w.Compute("metering."+which+"_reading", "Reading of the "+which+"-current meter at full output, of full scale", reading,
		ledger.With{"I": reads, "I_fs": fs})
	v := w.Compute("metering."+which+"_shunt_voltage", "Voltage across the "+which+"-current shunt at full output", dropped,
		ledger.With{"I": reads, "R_s": s, "R_m": w.resistance})
	p := w.Compute("metering."+which+"_shunt_power", "Heat in the "+which+"-current shunt at full output", shuntHeat,
		ledger.With{"V": v, "R_s": s})
	*scale, *ohms = fs.Value, s.Value
	whole, held := "as long as shunt and clamp diodes are whole", "the clamp diodes D3 hold it"
	if w.m.Clamps.Fitted.Denied() {
		whole, held = "as long as the shunt is whole", "there are no clamp diodes to hold it"
	}
	rating := w.Check(desk.Hold{Part: part, Name: "Shunt of the " + which + "-current meter", Kind: "power", Stress: p,
		Factor: w.Spec.Margins.Power, Standard: desk.ResistorPowers[2:], Why: ledger.Say("full output")})
	w.Part(ledger.Part{Designator: meter, Name: "Meter for the " + which + " current", Stage: "metering",
		Value: ledger.Say("0 to {fs}", ledger.Q("fs", fs)), Given: given.Given,
		Rating: ledger.Say("{movement} movement", ledger.Q("movement", w.movement)),
		Note: ledger.Say("In the negative lead, so it sits only {v} above chassis, {whole}. Never in the positive lead: there the "+
			"glass of the meter would be all that stands between you and the high voltage.", ledger.Q("v", v),
			ledger.Called("whole", whole))})
	w.Part(ledger.Part{Designator: part, Name: "Shunt of the " + which + "-current meter", Stage: "metering",
		Value: ledger.Say("{s}", ledger.Q("s", s)), Rating: ledger.Say("{rating}", ledger.Of("rating", rating.Rating, "W")),
		Note: ledger.Say("A broken shunt floats the negative rail and puts the whole supply voltage where a few tenths of a volt "+
			"should be: {held}. Solder it across the circuit, not through the meter's terminals.", ledger.Called("held", held))})
	f := ledger.Finding{ID: "metering." + which + "_scale", Stage: "metering", Quantities: []string{a.ID, fs.ID},
		Severity: ledger.Caution}
	switch {
	case a.Value > 1:
		f.Text = ledger.Say("The {which}-current meter of {fs} goes off scale: full output is {reads}.", ledger.Called("which", which),
			ledger.Q("fs", fs), ledger.Q("reads", reads))
		f.Advice = ledger.Say("Change the shunt for a scale of {reads}.", ledger.Of("reads", Scale(reads.Value), "A"))
	case a.Value < 0.3 || a.Value > 0.9:
		f.Severity = ledger.Note
		f.Text = ledger.Say("On the {fs} scale of the {which}-current meter full output reads {a}; 60 to 80 % reads best.",
			ledger.Q("fs", fs), ledger.Called("which", which), ledger.Q("a", a))
		f.Advice = ledger.Say("A scale of {reads} would suit.", ledger.Of("reads", Scale(reads.Value), "A"))
	default:
		return v
	}
	w.Find(f)
	return v
}

// rail enters what holds the negative rail near the chassis.
func (w *work) rail(plate, grid *ledger.Quantity) {
	v := w.Compute("metering.rail_voltage", "Negative rail below chassis at full output, at most", addUp,
		ledger.With{"V_p": plate, "V_g": grid})
	r := w.Catalogue("metering.rail_resistor", "Resistor from the negative rail to the chassis", railResistor, "Ω",
		source.CommonPractice.Title)
	open := w.Compute("metering.rail_voltage_unclamped",
		"Negative rail below chassis if the shunts open and the clamp diodes are missing", unclamped,
		ledger.With{"I": w.in.PlateCurrent, "R_8": r})
	w.part8(r)
	w.clamps(r, open)
	w.fault()
	f := ledger.Finding{
		Severity: ledger.Note, ID: "metering.rail", Stage: "metering", Quantities: []string{v.ID, open.ID},
		Text: ledger.Say("At full output the negative rail sits {metering.rail_voltage} from the chassis; a silicon diode starts to " +
			"conduct at about 0.5 V, so the clamps stay out of the reading. With the shunts broken and no clamps, R8 alone would let " +
			"it " +
			"go to {metering.rail_voltage_unclamped}, and without R8 to the full supply voltage."),
		Advice: ledger.Say("Never run the supply with D3 or R8 disconnected."),
	}
	if w.m.Clamps.Fitted.Denied() {
		return // what that means, clamps has said
	}
	if v.Value > 0.5 {
		f.Severity = ledger.Caution
		f.Text = ledger.Say("At full output the negative rail sits {metering.rail_voltage} from the chassis: one silicon clamp diode " +
			"conducts and falsifies the meters.")
		f.Advice = ledger.Say("Use two diodes in series in each direction, or movements with less voltage at full scale. Do not leave " +
			"the clamps out.")
	}
	w.Find(f)
}

func (w *work) part8(r *ledger.Quantity) {
	w.Part(ledger.Part{Designator: "R8", Name: "Resistor from the negative rail to the chassis", Stage: "metering",
		Value: ledger.Say("{r}", ledger.Q("r", r)), Rating: ledger.Say("10 W, wirewound"),
		Note: ledger.Say("Keeps the negative rail at chassis when a meter lead comes off; not a substitute for the clamp diodes.")})
}

// clamps enters the diodes that hold the negative rail at the chassis, or what
// it means that there are none.
func (w *work) clamps(r, open *ledger.Quantity) {
	c, fault := &w.m.Clamps, w.in.Fault
	surge := []float64{50, 100, 200, 300, 400, 600, 800, 1000, 1500}
	if fault != nil {
		w.res.FaultCurrent = fault.Value
		w.Solved("metering.fault_current", "Peak current through the negative rail if a plate flashes over", fault.Value, "A",
			desk.Derived("Equal to "+fault.Name+"."), fault)
	}
	if c.Fitted.Denied() {
		f := ledger.Finding{Severity: ledger.Exceeds, ID: "metering.clamps", Stage: "metering", Quantities: []string{open.ID, r.ID},
			Text: ledger.Say("There are no clamp diodes: if a shunt or a meter lead opens, R8 alone lets the negative rail go to "+
				"{open}, with the meters and the panel wiring on it.", ledger.Q("open", open)),
			Advice: ledger.Say("Fit anti-parallel silicon diodes from the negative rail to the chassis (D3) and across each shunt " +
				"(D6, D7), of a type that fails shorted.")}
		if fault != nil {
			v := w.Compute("metering.rail_voltage_fault",
				"Negative rail below chassis in a flash-over, shunts burnt open, no clamp diodes", railFault,
				ledger.With{"V_h": w.in.HighestVoltage, "R_8": r, "R_l": w.in.FaultLoop})
			f.Quantities = append(f.Quantities, fault.ID, v.ID)
			f.Text = ledger.Say("There are no clamp diodes: a flash-over sends {fault} through shunts and meters. They burn open, and "+
				"then the negative rail stands at up to {metering.rail_voltage_fault} from the chassis, with the meters and every "+
				"wire of the negative lead, panel included. Even without a flash-over one open shunt lets it go to {open}.",
				ledger.Q("fault", fault), ledger.Q("open", open))
		}
		w.Find(f)
		return
	}
	rating := ledger.Say("surge of some hundred amperes")
	if fault != nil {
		through := ledger.Say("the bank discharges through glitch resistor, tube and chassis back to the negative rail")
		if r, ok := w.Lookup("plate_feed.glitch_resistance"); ok && r.Value <= 0 {
			through = ledger.Say("the bank discharges through tube and chassis back to the negative rail, no glitch resistor in the way")
		}
		h := desk.Hold{Part: "D3", Name: "Clamp diodes of the negative rail", Kind: "surge", Stress: w.Get("metering.fault_current"),
			Have: c.Surge, Owned: c.Current.Given, Factor: w.Spec.Margins.Current,
			Standard: surge, Why: through,
			Advice: ledger.Say("A diode that bursts open leaves the negative rail at kilovolts. Use diodes of a greater surge rating, " +
				"or " +
				"a glitch resistor of more ohms.")}
		w.surge = w.Check(h).Rating
		rating = ledger.Say("surge {surge}", ledger.Of("surge", w.surge, "A"))
	}
	mean := w.Solved("metering.clamp_current", "Current through the clamp diodes if a shunt opens at full output",
		w.in.PlateCurrent.Value, "A", desk.Derived("The whole plate current."), w.in.PlateCurrent)
	i := w.Check(desk.Hold{Part: "D3", Name: "Clamp diodes of the negative rail", Kind: "current", Stress: mean, Have: c.Current,
		Owned: c.Surge.Given, Factor: w.Spec.Margins.Current,
		Standard: []float64{1, 3, 6, 10, 15, 25, 35, 50},
		Why:      ledger.Say("a shunt opens at full output and the diodes carry the plate current"),
		Advice:   ledger.Say("Use larger diodes.")})
	w.Part(ledger.Part{Designator: "D3", Name: "Clamp diodes from the negative rail to the chassis, anti-parallel", Stage: "metering",
		Count: 2, Value: ledger.Say("600 V rectifier"), Rating: ledger.Say("{rating}, {rating_2}", ledger.Of("rating", i.Rating, "A"),
			ledger.In("rating_2", rating)), Given: c.Surge.Given || c.Current.Given,
		Note: ledger.Say("If a shunt breaks or a plate flashes over, the whole negative rail would float to the full supply voltage, " +
			"meters and all; these diodes hold it within a volt or two of the chassis. Choose diodes that fail shorted, and check them " +
			"once a year.")})
}

// voltmeter enters the multiplier string.
func (w *work) voltmeter() {
	m, in, margins := w.m, w.in, &w.Spec.Margins
	n, _ := String(w.Spec, in.HighestVoltage.Value)
	one := w.Take("metering.multiplier_each", "One resistor of the multiplier string", "Ω", m.MultiplierValue)
	limit := w.Take("metering.multiplier_limit", "Limiting voltage of one resistor", "V", m.MultiplierLimit)
	var count *ledger.Quantity
	if m.MultiplierCount.Given {
		count = w.TakeCount("metering.multiplier_count", "Resistors in the multiplier string", m.MultiplierCount)
	} else {
		count = w.Solved("metering.multiplier_count", "Resistors in the multiplier string", float64(n), "", ledger.Method{
			Words: ledger.Say("As many as keep each below its limiting voltage by the factor {voltage} and below its power by the "+
				"factor {power}, on the highest mains without load; at least two.",
				ledger.OfDigits("voltage", margins.Voltage.Value, "", 3), ledger.OfDigits("power", margins.Power.Value, "", 3)),
			Source: source.CommonPractice,
		}, in.HighestVoltage, limit)
	}
	total := w.Compute("metering.multiplier_resistance", "Multiplier string of the voltmeter, total", stringTotal,
		ledger.With{"N": count, "R_1": one})
	each := w.Compute("metering.multiplier_voltage_each", "Voltage across one resistor of the string, highest mains", stringShare,
		ledger.With{"V_h": in.HighestVoltage, "N": count})
	power := w.Compute("metering.multiplier_power_each", "Heat in one resistor of the string, highest mains", stringHeat,
		ledger.With{"V_1": each, "R_1": one})
	w.Check(desk.Hold{Part: "R5", Name: "Multiplier resistor", Kind: "voltage", Stress: each, Have: m.MultiplierLimit,
		Factor: margins.Voltage, Why: ledger.Say("no load, highest mains"),
		Advice: ledger.Say("Add resistors to the string: one that flashes over hands its voltage to the others, and the last to the " +
			"meter on the panel.")})
	w.Check(desk.Hold{Part: "R5", Name: "Multiplier resistor", Kind: "power", Stress: power, Have: m.MultiplierPower,
		Factor: margins.Power, Why: ledger.Say("no load, highest mains"),
		Advice: ledger.Say("Add resistors to the string, or use ones of higher value.")})

	const scaleName = "Full scale of the high-voltage meter"
	var fs *ledger.Quantity
	if m.MultiplierCount.Given && m.Movement.Given && !m.VoltageScale.Given {
		fs = w.Compute("metering.voltage_scale", scaleName, ownScale, ledger.With{"I_m": w.movement, "R_5": total})
	} else {
		fs = w.TakeOr("metering.voltage_scale", scaleName, "V", m.VoltageScale, desk.NextUp(in.HighestVoltage.Value, voltageScales),
			ledger.Say("the smallest usual scale that holds the highest voltage without load"))
	}
	w.scale(fs, count)
	current := w.Compute("metering.voltmeter_current", "Current through the string at full scale", fullScale,
		ledger.With{"V_fs": fs, "R_5": total})
	w.res.Multipliers, w.res.MultiplierEach, w.res.MultiplierTotal = n, one.Value, total.Value
	at := w.Compute("metering.voltmeter_reading", "Reading of the high-voltage meter at full output, of full scale", readingVolts,
		ledger.With{"V": in.FilterVoltage, "V_fs": fs})
	em := w.Catalogue("metering.movement_error", "Error of a panel meter, of full scale", movementError, "%",
		source.CommonPractice.Title)
	er := w.Catalogue("metering.multiplier_tolerance", "Tolerance of the multiplier resistors", resistorError, "%",
		source.CommonPractice.Title)
	e := w.Compute("metering.voltmeter_error", "Greatest error of the high-voltage reading at full output", meterError,
		ledger.With{"e_m": em, "V_fs": fs, "V": in.FilterVoltage, "e_R": er})

	w.foot(current, total, count)
	movement := movements[0]
	for _, i := range movements {
		if i <= current.Value*1.0001 {
			movement = i
		}
	}
	if m.Movement.Given {
		movement = m.Movement.SI
	}
	across := w.movementShunt(current, movement)
	if movement > current.Value*1.0001 {
		w.Find(ledger.Finding{
			Severity: ledger.Caution, ID: "metering.voltmeter", Stage: "metering",
			Quantities: []string{current.ID, total.ID, w.movement.ID},
			Text: ledger.Say("At {fs} the string of {metering.multiplier_resistance} passes only {metering.voltmeter_current}: a "+
				"movement of {movement} never reaches full scale on it.", ledger.Q("fs", fs), ledger.Of("movement", movement, "A")),
			Advice: ledger.Say("Use a more sensitive movement for M3, or {n} resistors of {fs}, if their power allows it.",
				ledger.Int("n", n), ledger.Of("fs", fs.Value/movement/float64(n), "Ω")),
		})
		if m.MultiplierCount.Given && m.VoltageScale.Given { // string, movement and dial are all the builder's
			x := w.Compute("metering.voltmeter_low", "Reading of the high-voltage meter over the true voltage", readsLow,
				ledger.With{"V_fs": fs, "I_m": w.movement, "R_5": total})
			w.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "metering.voltage_scale", Stage: "metering",
				Quantities: []string{x.ID, fs.ID, total.ID, w.movement.ID},
				Text: ledger.Say("The high-voltage meter reads {metering.voltmeter_low} of the true voltage: {n} × "+
					"{metering.multiplier_each} and a movement of {movement} make a full scale of {movement_2}, not {fs}. A bank that "+
					"it "+
					"calls empty is charged.", ledger.Int("n", n), ledger.Q("movement", w.movement),
					ledger.Of("movement_2", w.movement.Value*total.Value, "V"), ledger.Q("fs", fs)),
				Advice: ledger.Say("Change string, movement or dial so that count times value times movement is the full scale.")})
		}
	} else {
		w.Find(ledger.Finding{
			Severity: ledger.Note, ID: "metering.voltmeter", Stage: "metering", Quantities: []string{current.ID, at.ID, e.ID},
			Text: ledger.Say("Full scale of {fs} is {metering.voltmeter_current} through the string of "+
				"{metering.multiplier_resistance}; full output reads {metering.voltmeter_reading} of the scale, to within "+
				"{metering.voltmeter_error}. M3 takes a movement of {movement}{across}.", ledger.Q("fs", fs),
				ledger.Of("movement", movement, "A"), ledger.Called("across", across)),
			Advice: ledger.Say("Hold its full scale against a meter you trust, with the leads clipped on before the mains is on."),
		})
	}
	which := ledger.Say("one of the {n} multiplier resistors", ledger.Int("n", n))
	if n == 1 {
		which = ledger.Say("the multiplier resistor")
	}
	w.Find(ledger.Finding{
		Severity: ledger.Caution, ID: "metering.multiplier_open", Stage: "metering",
		Quantities: []string{count.ID, in.NoLoadVoltage.ID},
		Text: ledger.Say("If {which} opens, the meter reads zero while the bank stands at {no_load_voltage}, and that one resistor "+
			"bears all of it. If the meter and the resistor R9 at the foot of the string both open, the foot, and the panel with it, "+
			"rises to the full voltage.", ledger.In("which", which), ledger.Q("no_load_voltage", in.NoLoadVoltage)),
		Advice: ledger.Say("A reading of zero proves nothing: verify with a second meter, then discharge and ground. Keep R9 from the " +
			"foot of the string to the chassis, soldered beside the string and not at the meter."),
	})
	w.Part(ledger.Part{Designator: "M3", Name: "High-voltage meter", Stage: "metering",
		Value: ledger.Say("0 to {fs}", ledger.Q("fs", fs)), Rating: ledger.Say("{movement} movement",
			ledger.Of("movement", movement, "A")),
		Given: m.VoltageScale.Given,
		Note: ledger.Say("Its foot is at the chassis. Bring only the low end of the string to the panel; never trust a reading of " +
			"zero.")})
	w.Part(ledger.Part{Designator: "R5", Name: "Multiplier string of the high-voltage meter", Stage: "metering", Count: n,
		Value: ledger.Literal(inSeries(n, one.Text())),
		Rating: ledger.Say("{multiplier_power}, limiting voltage {metering.multiplier_limit}",
			ledger.Of("multiplier_power", m.MultiplierPower.SI, "W")), Given: m.MultiplierValue.Given,
		Note: ledger.Say("This part carries lethal voltage: its top is the filter voltage. Mount it on an insulated board away from " +
			"hands and metal. Pull the mains plug, wait the computed time, verify with a meter, discharge through a resistor stick, " +
			"and " +
			"leave the ground hook on while you work.")})
}

// scale says where the string or the scale does not do for the voltage.
func (w *work) scale(fs, count *ledger.Quantity) {
	if high := w.in.HighestVoltage; fs.Value < high.Value*(1-1e-9) {
		w.Find(ledger.Finding{Severity: ledger.Caution, ID: "metering.voltage_scale", Stage: "metering",
			Quantities: []string{fs.ID, high.ID},
			Text: ledger.Say("The high-voltage meter of {fs} goes off scale: the filter stands at up to {high} without load.",
				ledger.Q("fs", fs), ledger.Q("high", high)),
			Advice: ledger.Say("Use a scale of {next_up}, so that the needle shows what is there.",
				ledger.Of("next_up", desk.NextUp(high.Value, voltageScales), "V"))})
	}
	if count.Value < leastString {
		w.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "metering.multiplier_count", Stage: "metering",
			Quantities: []string{count.ID, w.in.HighestVoltage.ID},
			Text: ledger.Say("The multiplier of the high-voltage meter is one resistor: if it flashes over, {highest_voltage} stand "+
				"on the meter and its wires at the panel.", ledger.Q("highest_voltage", w.in.HighestVoltage)),
			Advice: ledger.Say("Use a string of several resistors, each below its limiting voltage.")})
	}
}

// foot enters the resistor that keeps the foot of the string at the chassis
// when the meter opens, and what one shorted resistor does to the reading.
func (w *work) foot(current, total, count *ledger.Quantity) {
	wanted := w.Catalogue("metering.foot_voltage_wanted", "Foot of the multiplier string above the chassis, meter open, full scale",
		footVoltage, "V", source.CommonPractice.Title)
	raw := w.Compute("metering.foot_wanted", "Resistor at the foot of the string, wanted", footWanted,
		ledger.With{"V_0": wanted, "I_fs": current})
	r := w.Solved("metering.foot_resistance", "Resistor at the foot of the string", preferred.E12.Nearest(raw.Value), "Ω",
		ledger.Method{Words: ledger.Say("The nearest value of the series E12."), Source: source.PreferredValues}, raw)
	w.Compute("metering.foot_voltage_open", "Foot of the string above the chassis, meter open, highest mains", footOpen,
		ledger.With{"V_h": w.in.HighestVoltage, "R_9": r, "R_5": total})
	shorted := r // of no use where the string is a single resistor
	if count.Value >= leastString {
		shorted = w.Compute("metering.reading_one_shorted",
			"Reading of the high-voltage meter with one resistor of the string shorted, over the right one", oneShorted,
			ledger.With{"N": count})
	}
	w.Part(ledger.Part{Designator: "R9", Name: "Resistor at the foot of the multiplier string, across M3", Stage: "metering",
		Value: ledger.Say("{metering.foot_resistance}"), Rating: ledger.Say("0.5 W"),
		Note: ledger.Say("It keeps the foot at {metering.foot_voltage_open} when the meter or its lead opens; without it the foot, " +
			"and the panel with it, rises to the full supply voltage. Soldered at the string, never at the meter.")})
	if count.Value < leastString {
		return // what that means, scale has said
	}
	w.Find(ledger.Finding{Severity: ledger.Note, ID: "metering.multiplier_shorted", Stage: "metering",
		Quantities: []string{shorted.ID, r.ID},
		Text: ledger.Say("One shorted resistor of the string makes the meter read {shorted} times the true voltage; R9 takes a "+
			"share of the string's current from M3, so set the full scale with R9 in place.",
			ledger.Fixed("shorted", shorted.Value, 2)),
		Advice: ledger.Say("Hold the panel meter against a second one once a year.")})
}

// inSeries writes the value of one of a string of equal resistors; how many
// there are stands in the parts list.
func inSeries(n int, one string) string {
	if n == 1 {
		return one
	}
	return one + " each, in series"
}
