// Package clearance is the stage that keeps high voltage where it belongs: for
// every node of the amplifier the least distance through air to grounded metal
// and to what a hand can reach, and the least way along an insulator, from
// published tables, raised for the altitude of the station, and held against
// the distances that the builder gives.
//
// To grounded metal basic insulation is taken, to a hand reinforced: of the
// tables that speak of a node, the one that asks for most decides, and the
// report says which. The RF tables end far below an amplifier's voltages and
// frequencies; what goes on beyond them is an extrapolation.
//
// It assumes clean, dry air inside a cabinet with occasional condensation
// (pollution degree 2) and rounded metal; points, burrs and solder spikes need
// more. A figure from a table is the least of that table's own assumptions,
// not a permission: the standard and the local code that govern the equipment
// decide.
package clearance

import (
	"fmt"
	"math"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/insulation"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// Input is what the stage needs from the others. Voltages of alternating
// current are peak unless said otherwise.
type Input struct {
	Highest        *ledger.Quantity // filter voltage without load, highest mains [V]
	HighMains      *ledger.Quantity // filter voltage at full output, highest mains [V]
	RadioPeak      *ledger.Quantity // greatest RF voltage at the tank's plate end, worst SWR, peak [V]
	Reverse        *ledger.Quantity // peak reverse voltage of one rectifier leg, highest mains [V]
	Antenna        *ledger.Quantity // at the antenna connector at the worst SWR, peak [V]
	MainsVoltage   *ledger.Quantity // rms [V]
	MainsTolerance *ledger.Quantity // [1]
	CathodeOpen    *ledger.Quantity // cathodes above ground if their return opens, no drive [V]
	CathodeDrive   *ledger.Quantity // drive voltage at the cathodes, peak [V]
	Rail           *ledger.Quantity // negative rail below chassis, shunts open and no clamp diodes [V]
	Altitude       *ledger.Quantity // of the station [m]
}

// Node is one node with its distances.
type Node struct {
	Key       string        // as in the spec and in the IDs: "plate", "bank" …
	Name      string        // in words
	Voltage   float64       // that counts for the clearance, peak [V]
	Clearance float64       // to grounded metal and between parts: functional and basic insulation [m]
	Guard     float64       // to what a hand can reach and no earth protects: reinforced insulation [m]
	Creepage  float64       // along an insulator to grounded metal: basic insulation [m]
	Along     float64       // along an insulator to what a hand can reach: reinforced insulation [m]
	Given     float64       // the builder's distance [m]; 0: not given
	ByMetal   ledger.Source // table that decided Clearance
	ByHand    ledger.Source // table that decided Guard
}

// Result is what the report needs beside the book.
type Result struct {
	Nodes    []Node
	Altitude float64 // factor for the altitude [1]
	Radio    float64 // greatest RF voltage at the tank, peak [V]
	Strength insulation.Strengths
}

// radioFactor is on the peak voltage at several megahertz.
const radioFactor = 1.25

var (
	plateVoltage = ledger.MustFormula("V = max(V_h, V_f + k_f * V_rf)", source.RadioClearance,
		"V [V] voltage that counts at the plates, peak", "V_h [V] filter voltage without load, highest mains",
		"V_f [V] filter voltage at full output, highest mains",
		"k_f [] factor for radio frequency", "V_rf [V] RF voltage at the tank's plate end, worst SWR, peak")
	tankVoltage = ledger.MustFormula("V = max(V_h, k_f * V_rf)", source.RadioClearance,
		"V [V] voltage that counts behind the blocking capacitor, peak",
		"V_h [V] filter voltage without load, highest mains: what stands there if the blocking capacitor shorts",
		"k_f [] factor for radio frequency", "V_rf [V] RF voltage at the tank's plate end, worst SWR, peak")
	antennaVoltage = ledger.MustFormula("V = k_f * V_a", source.RadioClearance,
		"V [V] voltage that counts at the antenna connector, peak", "k_f [] factor for radio frequency",
		"V_a [V] voltage at the worst SWR, peak")
	cathodeVoltage = ledger.MustFormula("V = V_o + V_d", source.CircuitLaws,
		"V [V] cathodes above ground with their return open, peak", "V_o [V] without drive", "V_d [V] drive voltage, peak")
	mainsPeak = ledger.MustFormula("V = sqrt(2) * V_m * (1 + t)", source.CircuitLaws,
		"V [V] mains voltage, peak", "V_m [V] mains voltage, rms", "t [%] spread of the mains voltage")
	plateEffective = ledger.MustFormula("V = sqrt(pow(V_h, 2) + pow(V_rf, 2) / 2)", source.CircuitLaws,
		"V [V] direct voltage and radio frequency together, rms", "V_h [V] filter voltage without load, highest mains",
		"V_rf [V] RF voltage at the tank's plate end, worst SWR, peak")
	raised = ledger.MustFormula("d = k_a * max(d_0, d_8)", source.AltitudeTable,
		"d [m] clearance at the station's altitude", "k_a [] factor for the altitude",
		"d_0 [m] clearance by the first table, up to 2000 m", "d_8 [m] clearance for recurring peaks, up to 2000 m")
	byRule = ledger.MustFormula("d = d_1 + V / E_1", source.PowerSpacing,
		"d [m] spacing by the rule for power converters", "d_1 [m] at no voltage", "E_1 [V/m] voltage for each metre beyond",
		"V [V] voltage that counts, peak")
	along = ledger.MustFormula("d = max(d_0, d_c)", source.CreepageTable,
		"d [m] creepage distance", "d_0 [m] from the table", "d_c [m] clearance: the way along a surface is never shorter")
	alongHand = ledger.MustFormula("d = max(k_2 * d_0, d_c)", source.Reinforced,
		"d [m] creepage distance, reinforced", "k_2 [] factor for reinforced insulation", "d_0 [m] from the table",
		"d_c [m] clearance, reinforced: the way along a surface is never shorter")
)

type work struct {
	*desk.Desk
	res       Result
	altitude  *ledger.Quantity // factor
	radio     *ledger.Quantity
	double    *ledger.Quantity // factor on creepage for reinforced insulation
	group     insulation.Group
	groupName string
}

// Solve enters the nodes. Errors: an altitude outside the published table.
func Solve(d *desk.Desk, in Input) (Result, error) {
	w := &work{Desk: d}
	k, err := insulation.AltitudeFactor(in.Altitude.Value)
	if err != nil {
		return w.res, err
	}
	w.altitude = d.Solved("clearance.altitude_factor", "factor on clearances for the altitude", k, "",
		ledger.Method{Words: ledger.Say("Linear between the rows of the table; 1 up to 2000 m. Thinner air breaks down earlier."),
			Source: source.AltitudeTable}, in.Altitude)
	w.res.Altitude = k
	w.radio = d.Catalogue("clearance.radio_factor", "factor on the peak of a radio-frequency voltage", radioFactor, "",
		source.RadioClearance.Title)
	w.double = d.Catalogue("clearance.reinforced_creepage_factor", "creepage of reinforced insulation over basic",
		insulation.ReinforcedCreepage, "", source.Reinforced.Title)
	w.groupName = d.Spec.Clearance.Material.Value
	w.group = MaterialGroup(w.groupName)
	w.res.Strength, w.res.Radio = insulation.RadioStrengths(), in.RadioPeak.Value

	c := &d.Spec.Clearance
	plate := d.Compute("clearance.plate_voltage", "plates, voltage that counts, peak", plateVoltage,
		ledger.With{"V_h": in.Highest, "V_f": in.HighMains, "k_f": w.radio, "V_rf": in.RadioPeak})
	plateRMS := d.Compute("clearance.plate_voltage_rms", "plates, direct voltage and radio frequency together, rms", plateEffective,
		ledger.With{"V_h": in.Highest, "V_rf": in.RadioPeak})
	tank := d.Compute("clearance.tank_voltage", "tank, voltage that counts, peak", tankVoltage,
		ledger.With{"V_h": in.Highest, "k_f": w.radio, "V_rf": in.RadioPeak})
	antenna := d.Compute("clearance.antenna_voltage", "antenna connector, voltage that counts, peak", antennaVoltage,
		ledger.With{"k_f": w.radio, "V_a": in.Antenna})
	cathode := d.Compute("clearance.cathode_voltage", "cathodes and heater wiring, voltage with the return open, peak", cathodeVoltage,
		ledger.With{"V_o": in.CathodeOpen, "V_d": in.CathodeDrive})
	mains := d.Compute("clearance.mains_voltage", "mains wiring, voltage, peak", mainsPeak,
		ledger.With{"V_m": in.MainsVoltage, "t": in.MainsTolerance})

	for _, n := range []struct {
		key, name    string
		peak, effect *ledger.Quantity // for clearance; for creepage
		radio        *ledger.Quantity // RF part of it, peak; nil: none
		given        spec.Quantity
	}{
		{"plate", "plate caps, plate leads, hot end of RFC1", plate, plateRMS, in.RadioPeak, c.Plate},
		{"tank", "plate end of the tank behind C3", tank, tank, in.RadioPeak, c.Tank},
		{"bank", "positive end of the filter bank, R1, F2, cold end of RFC1, R5", in.Highest, in.Highest, nil, c.Bank},
		{"rectifier", "alternating-current side of the rectifier D2, ends of T1", in.Reverse, in.Reverse, nil, c.Rectifier},
		{"antenna", "antenna relay K1 and connector J2 at the worst SWR", antenna, antenna, in.Antenna, c.Antenna},
		{"cathode", "cathode and heater wiring, cathode return open", cathode, cathode, nil, c.Cathode},
		{"rail", "negative rail, shunts and clamp diodes broken", in.Rail, in.Rail, nil, c.Rail},
	} {
		if err := w.secondary(n.key, n.name, n.peak, n.effect, n.radio, n.given); err != nil {
			return w.res, err
		}
	}
	if err := w.mains(mains, in.MainsVoltage, c.Mains); err != nil {
		return w.res, err
	}
	w.coupling(c.Coupling)
	return w.res, nil
}

// MaterialGroup is the group of insulation for a word of clearance.material.
func MaterialGroup(word string) insulation.Group {
	switch word {
	case "I":
		return insulation.GroupI
	case "II":
		return insulation.GroupII
	case "III":
		return insulation.GroupIII
	}
	panic(fmt.Sprintf("clearance: no material group for clearance.material = %q", word))
}

// beyond reads a table of distances [m] over voltages [V]. Above its end the
// distance goes on in proportion to the voltage.
func beyond(table func(float64) (float64, error), peak, end float64) (float64, error) {
	d, err := table(math.Min(peak, end))
	if err == nil && peak > end {
		d *= peak / end
	}
	return d, err
}

const (
	secondaryEnd = 42e3 // last row of the table after IEC 60950 [V]
	recurringEnd = 50e3 // last row of Table F.8 [V]
	goesOn       = " Beyond its end, %s, in proportion to the voltage."
)

// recurring enters what the table for recurring peaks asks for, basic and
// reinforced.
func (w *work) recurring(key, name string, peak *ledger.Quantity) (basic, guard *ledger.Quantity, err error) {
	table := func(v float64) (float64, error) { return insulation.RecurringClearance(v, false) }
	b, err := beyond(table, peak.Value, recurringEnd)
	if err != nil {
		return nil, nil, err
	}
	g, err := beyond(table, insulation.ReinforcedPeak*peak.Value, recurringEnd)
	if err != nil {
		return nil, nil, err
	}
	id := "clearance." + key
	basic = w.Solved(id+"_recurring", name+": clearance for recurring peaks", b, "m",
		ledger.Method{Words: ledger.Say("The next row of the table at or above the peak voltage; the first row, 400 V, holds for all " +
			"that lies below it. Beyond its end, 50 kV, in proportion to the voltage."), Source: source.RecurringClearance}, peak)
	guard = w.Solved(id+"_recurring_reinforced", name+": clearance for recurring peaks, reinforced", g, "m",
		ledger.Method{Words: ledger.Say("The next row of the table at or above 1.6 times the peak voltage; the first row, 400 V, "+
			"holds for all that lies below it. Beyond its end, 50 kV, in proportion to the voltage. The factor 1.6 is that of "+
			"reinforced "+
			"insulation ({known}).", ledger.Called("known", string(source.Reinforced.Known))),
			Source: source.RecurringClearance}, peak)
	return basic, guard, nil
}

// secondary enters a node behind the transformer.
func (w *work) secondary(key, name string, peak, effective, radio *ledger.Quantity, given spec.Quantity) error {
	table := func(reinforced bool) (float64, error) {
		return beyond(func(v float64) (float64, error) { return insulation.SecondaryClearance(v, reinforced) }, peak.Value,
			secondaryEnd)
	}
	basic, err := table(false)
	if err != nil {
		return err
	}
	guard, err := table(true)
	if err != nil {
		return err
	}
	id := "clearance." + key
	b := w.Solved(id+"_table", name+": clearance by the table", basic, "m",
		ledger.Method{Words: ledger.Say("Linear between the rows of the table, functional and basic insulation; the first row, 700 V, " +
			"holds for all that lies below it. Beyond its end, 42 kV, in proportion to the voltage."), Source: source.SecondaryClearance}, peak)
	g := w.Solved(id+"_table_reinforced", name+": clearance by the table, reinforced", guard, "m",
		ledger.Method{Words: ledger.Say("Linear between the rows of the table, reinforced insulation; the first row, 700 V, holds for " +
			"all that lies below it. Beyond its end, 42 kV, in proportion to the voltage."), Source: source.SecondaryClearance}, peak)
	return w.node(Node{Key: key, Name: name, Voltage: peak.Value, ByMetal: source.SecondaryClearance,
		ByHand: source.SecondaryClearance},
		peak, effective, radio, b, g, given)
}

// mains enters the primary, where what comes along the mains counts more than
// the mains itself.
func (w *work) mains(peak, rms *ledger.Quantity, given spec.Quantity) error {
	impulse, err := insulation.RatedImpulse(rms.Value, insulation.CategoryII)
	if err != nil {
		return err
	}
	v := w.Solved("clearance.mains_impulse", "impulse that the mains may carry, overvoltage category II, peak", impulse, "V",
		ledger.Method{Words: ledger.Say("The next row of the table at or above the mains voltage, taken from line to neutral."),
			Source: source.ImpulseClearance}, rms)
	v2 := w.Solved("clearance.mains_impulse_reinforced", "next impulse of the series, for reinforced insulation, peak",
		insulation.ReinforcedImpulse(impulse), "V",
		ledger.Method{Words: ledger.Say("The next step of the series of rated impulse voltages."), Source: source.Reinforced}, v)
	basic, err := insulation.ImpulseClearance(v.Value, insulation.Inhomogeneous)
	if err != nil {
		return err
	}
	guard, err := insulation.ImpulseClearance(v2.Value, insulation.Inhomogeneous)
	if err != nil {
		return err
	}
	const words = "The next row of the table at or above that impulse, point against plane."
	const name = "mains wiring, F1, S2, primary of T1"
	b := w.Solved("clearance.mains_table", name+": clearance by the table", basic, "m",
		ledger.Method{Words: ledger.Say(words),
			Source: source.ImpulseClearance}, v)
	g := w.Solved("clearance.mains_table_reinforced", name+": clearance by the table, reinforced", guard, "m",
		ledger.Method{Words: ledger.Say(words),
			Source: source.ImpulseClearance}, v2)
	return w.node(Node{Key: "mains", Name: name, Voltage: peak.Value, ByMetal: source.ImpulseClearance,
		ByHand: source.ImpulseClearance},
		peak, peak, nil, b, g, given)
}

// node enters what all nodes have in common and holds the builder's distance.
// Of the node's own table and the one for recurring peaks the greater decides.
func (w *work) node(n Node, peak, effective, radio, basic, guard *ledger.Quantity, given spec.Quantity) error {
	id := "clearance." + n.Key
	b8, g8, err := w.recurring(n.Key, n.Name, peak)
	if err != nil {
		return err
	}
	if b8.Value > basic.Value {
		n.ByMetal = source.RecurringClearance
	}
	if g8.Value > guard.Value {
		n.ByHand = source.RecurringClearance
	}
	c := least(w.Compute(id+"_clearance", n.Name+": clearance at the altitude", raised,
		ledger.With{"k_a": w.altitude, "d_0": basic, "d_8": b8}))
	g := least(w.Compute(id+"_clearance_reinforced", n.Name+": clearance to what a hand can reach", raised,
		ledger.With{"k_a": w.altitude, "d_0": guard, "d_8": g8}))
	rule := w.ruleOf(id, n.Name, peak)
	row, words := w.creepage(effective.Value)
	r := w.Solved(id+"_creepage_table", n.Name+": creepage by the table", row, "m",
		ledger.Method{Words: ledger.Literal(words), Source: source.CreepageTable}, effective)
	s := least(w.Compute(id+"_creepage", n.Name+": creepage", along, ledger.With{"d_0": r, "d_c": c}))
	s2 := least(w.Compute(id+"_creepage_reinforced", n.Name+": creepage to what a hand can reach", alongHand,
		ledger.With{"k_2": w.double, "d_0": r, "d_c": g}))
	n.Clearance, n.Guard, n.Creepage, n.Along = c.Value, g.Value, s.Value, s2.Value
	hf, err := w.radioTable(id, n.Name, radio)
	if err != nil {
		return err
	}
	if given.Given {
		n.Given = given.SI
		have := w.Take(id+"_given", n.Name+": distance of the builder's own", "m", given)
		w.hold(n, c, have, rule, hf)
	}
	w.res.Nodes = append(w.res.Nodes, n)
	return nil
}

func least(q *ledger.Quantity) *ledger.Quantity {
	q.Least = true
	return q
}

// radioTable enters what the table for radio frequency asks for; nil where the
// node carries none, or more than the table knows.
func (w *work) radioTable(id, name string, radio *ledger.Quantity) (*ledger.Quantity, error) {
	const end = 2000
	if radio == nil || radio.Value > end {
		return nil, nil
	}
	d, err := insulation.RadioClearance(radio.Value)
	if err != nil {
		return nil, err
	}
	return least(w.Solved(id+"_clearance_radio", name+": clearance by the table for radio frequency", d*w.altitude.Value, "m",
		ledger.Method{
			Words: ledger.Say("The next row of the table at or above the peak RF voltage, for sharp edges; the first row, 600 V, " +
				"holds for all that lies below it; times the factor for the altitude. The table ends at 2 kV."),
			Source: source.RadioTable}, radio, w.altitude)), nil
}

// coupling holds the builder's shaft couplings against what lies between the
// tank and a hand on its knob.
func (w *work) coupling(given spec.Quantity) {
	if !given.Given {
		return
	}
	want := w.Get("clearance.tank_creepage_reinforced")
	have := w.Take("clearance.coupling_given", "insulating couplings of shafts: length of the builder's own", "m", given)
	if have.Value >= want.Value*(1-1e-9) {
		return
	}
	w.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "clearance.coupling", Stage: "clearance",
		Quantities: []string{want.ID, have.ID},
		Text: ledger.Say("The insulating couplings between the tank's shafts and their knobs are {round_down} long; a hand on a "+
			"knob needs reinforced insulation, {clearance.tank_creepage_reinforced} along the surface.",
			ledger.Of("round_down", quantity.RoundDown(have.Value, "m", 3), "m")),
		Advice: ledger.Say("Take longer couplings or a shaft of insulating material, and ground the bushing at the panel; or ground " +
			"the rotor, so that the shaft is at earth.")})
}

// ruleOf is the cross-check by a rule of another standard, of nodes above 100 V.
func (w *work) ruleOf(id, name string, peak *ledger.Quantity) *ledger.Quantity {
	if peak.Value < 100 {
		return nil
	}
	d1, ok := w.Lookup("clearance.rule_base")
	if !ok {
		d1 = w.Catalogue("clearance.rule_base", "spacing of power converters at no voltage", 0.6e-3, "m", source.PowerSpacing.Title)
		w.Catalogue("clearance.rule_slope", "voltage for each metre of spacing beyond", 200e3, "V/m", source.PowerSpacing.Title)
	}
	return w.Compute(id+"_clearance_by_hand", name+": clearance by the rule for power converters", byRule,
		ledger.With{"d_1": d1, "E_1": w.Get("clearance.rule_slope"), "V": peak})
}

// creepage is the distance along an insulator [m] for a voltage [V rms]. Above
// the end of the table it goes on in proportion, and says so.
func (w *work) creepage(rms float64) (float64, string) {
	const end = 10e3
	words := fmt.Sprintf("The next row of the table at or above the voltage, material group %s, pollution degree 2; the first row, "+
		"10 V, holds for all that lies below it.", w.groupName)
	d, err := insulation.Creepage(math.Min(rms, end), w.group)
	if err != nil { // the table covers all up to its end
		return math.NaN(), words
	}
	if rms > end {
		return d * rms / end, words + " The table ends at 10 kV; beyond it the last row is raised in proportion."
	}
	return d, words
}

// hold compares the builder's distance with the one wanted.
func (w *work) hold(n Node, want, have, rule, hf *ledger.Quantity) {
	id := "clearance." + n.Key
	guard, longer := w.Get(id+"_clearance_reinforced"), w.Get(id+"_creepage_reinforced")
	f := ledger.Finding{ID: id, Stage: "clearance", Quantities: []string{want.ID, have.ID, guard.ID}}
	short := ledger.Say("{round_down}", ledger.Of("round_down", quantity.RoundDown(have.Value, "m", 3),
		"m")) // never reads as the one wanted
	switch {
	case have.Value < want.Value*(1-1e-9):
		f.Severity = ledger.Exceeds
		f.Text = ledger.Say("{n}: the spec gives {short} to the next metal; at {voltage} {want} are wanted ({by_metal}, altitude "+
			"factor {altitude}).", ledger.Called("n", capital(n.Name)), ledger.In("short", short), ledger.Of("voltage", n.Voltage, "V"),
			ledger.Q("want", want), ledger.Called("by_metal", Table(n.ByMetal)), ledger.Fixed("altitude", w.res.Altitude, 2))
		f.Advice = ledger.Say("Move the parts apart, round the edges, or put a barrier of sheet insulation between them that is wide " +
			"enough for the creepage distance; then measure again, mains plug out and bank discharged.")
	case have.Value < n.Guard*(1-1e-9):
		f.Severity = ledger.Caution
		f.Text = ledger.Say("{n}: {short} are enough to grounded metal, but {guard} through the air ({by_hand}) and {longer} along "+
			"insulation are wanted to anything that a hand can reach and no earth protects: knobs, shafts, meter faces.",
			ledger.Called("n", capital(n.Name)), ledger.In("short", short), ledger.Q("guard", guard),
			ledger.Called("by_hand", Table(n.ByHand)), ledger.Q("longer", longer))
		f.Advice = ledger.Say("Ground the shaft or the frame, use an insulating coupling as long as that creepage distance, or move it.")
	case rule != nil && have.Value < rule.Value*(1-1e-9):
		f.Severity = ledger.Note
		f.Text = ledger.Say("{n}: {short} meet the table; the stricter rule for power converters asks for {round_up}.",
			ledger.Called("n", capital(n.Name)), ledger.In("short", short),
			ledger.Of("round_up", quantity.RoundUp(rule.Value, "m", 3), "m"))
		f.Advice = ledger.Say("Where dust and moisture come in, take the greater.")
	}
	if f.Severity != "" {
		w.Find(f)
	}
	if hf != nil && have.Value < hf.Value*(1-1e-9) {
		w.Find(ledger.Finding{Severity: ledger.Note, ID: id + "_radio", Stage: "clearance", Quantities: []string{hf.ID, have.ID},
			Text: ledger.Say("{n}: against sharp edges IEC 60664-4 asks for {hf} at radio frequency ({known}); the spec gives "+
				"{short}.", ledger.Called("n", capital(n.Name)), ledger.Q("hf", hf),
				ledger.Called("known", string(source.RadioTable.Known)), ledger.In("short", short)),
			Advice: ledger.Say("Round every edge and wire end to a radius of a fifth of the distance or more, or give the distance.")})
	}
}

// Table names the table of a clearance in a few words.
func Table(s ledger.Source) string {
	switch s.Key {
	case source.SecondaryClearance.Key:
		return "after IEC 60950"
	case source.ImpulseClearance.Key:
		return "IEC 60664-1 Table F.2"
	case source.RecurringClearance.Key:
		return "IEC 60664-1 Table F.8"
	}
	panic("clearance: no short name for the table " + s.Key)
}

func capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}
