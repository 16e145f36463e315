// Package clearance is the stage that keeps high voltage where it belongs: for
// every node of the amplifier the least distance through air to grounded metal
// and to what a hand can reach, and the least way along an insulator, from
// published tables, raised for the altitude of the station, and held against
// the distances that the builder gives.
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

	"anodebook/compute/desk"
	"anodebook/compute/insulation"
	"anodebook/compute/ledger"
	"anodebook/compute/source"
	"anodebook/spec"
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
	Key       string  // as in the spec and in the IDs: "plate", "bank" …
	Name      string  // in words
	Voltage   float64 // that counts for the clearance, peak [V]
	Clearance float64 // to grounded metal and between parts: functional and basic insulation [m]
	Guard     float64 // to what a hand can reach and no earth protects: reinforced insulation [m]
	Creepage  float64 // along an insulator [m]
	Given     float64 // the builder's distance [m]; 0: not given
	Standard  string  // table of the clearance, short
	Known     ledger.Known
}

// Result is what the report needs beside the book.
type Result struct {
	Nodes    []Node
	Altitude float64 // factor for the altitude [1]
}

// Factors that stand in no spec.
const (
	radioFactor   = 1.25 // over the peak voltage at several megahertz
	impulseHigh   = 2500 // mains above 150 V to earth, overvoltage category II [V peak]
	impulseLow    = 1500 // mains up to 150 V to earth [V peak]
	nextImpulse   = 4000 // next preferred impulse above 2500 V, for reinforced insulation [V peak]
	nextLow       = 2500 // next preferred impulse above 1500 V [V peak]
	impulseBorder = 150  // line to earth [V rms]
)

var (
	plateVoltage = ledger.MustFormula("V = max(V_h, V_f + k_f * V_rf)", source.RadioClearance,
		"V [V] voltage that counts at the plates, peak", "V_h [V] filter voltage without load, highest mains", "V_f [V] filter voltage at full output, highest mains",
		"k_f [] factor for radio frequency", "V_rf [V] RF voltage at the tank's plate end, worst SWR, peak")
	tankVoltage = ledger.MustFormula("V = max(V_h, k_f * V_rf)", source.RadioClearance,
		"V [V] voltage that counts behind the blocking capacitor, peak", "V_h [V] filter voltage without load, highest mains: what stands there if the blocking capacitor shorts",
		"k_f [] factor for radio frequency", "V_rf [V] RF voltage at the tank's plate end, worst SWR, peak")
	antennaVoltage = ledger.MustFormula("V = k_f * V_a", source.RadioClearance,
		"V [V] voltage that counts at the antenna connector, peak", "k_f [] factor for radio frequency", "V_a [V] voltage at the worst SWR, peak")
	cathodeVoltage = ledger.MustFormula("V = V_o + V_d", source.CircuitLaws,
		"V [V] cathodes above ground with their return open, peak", "V_o [V] without drive", "V_d [V] drive voltage, peak")
	mainsPeak = ledger.MustFormula("V = sqrt(2) * V_m * (1 + t)", source.CircuitLaws,
		"V [V] mains voltage, peak", "V_m [V] mains voltage, rms", "t [%] spread of the mains voltage")
	plateEffective = ledger.MustFormula("V = sqrt(pow(V_h, 2) + pow(V_rf, 2) / 2)", source.CircuitLaws,
		"V [V] direct voltage and radio frequency together, rms", "V_h [V] filter voltage without load, highest mains", "V_rf [V] RF voltage at the tank's plate end, worst SWR, peak")
	raised = ledger.MustFormula("d = k_a * d_0", source.AltitudeTable,
		"d [m] clearance at the station's altitude", "k_a [] factor for the altitude", "d_0 [m] clearance from the table, up to 2000 m")
	byRule = ledger.MustFormula("d = d_1 + V / E_1", source.PowerSpacing,
		"d [m] spacing by the rule for power converters", "d_1 [m] at no voltage", "E_1 [V/m] voltage for each metre beyond", "V [V] voltage that counts, peak")
	along = ledger.MustFormula("d = max(d_0, d_c)", source.CreepageTable,
		"d [m] creepage distance", "d_0 [m] from the table", "d_c [m] clearance: the way along a surface is never shorter")
)

type work struct {
	*desk.Desk
	res       Result
	altitude  *ledger.Quantity // factor
	radio     *ledger.Quantity
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
		ledger.Method{Words: "Linear between the rows of the table; 1 up to 2000 m. Thinner air breaks down earlier.", Source: source.AltitudeTable}, in.Altitude)
	w.res.Altitude = k
	w.radio = d.Catalogue("clearance.radio_factor", "factor on the peak of a radio-frequency voltage", radioFactor, "", source.RadioClearance.Title)
	w.groupName = d.Spec.Clearance.Material.Value
	w.group = map[string]insulation.Group{"I": insulation.GroupI, "II": insulation.GroupII, "III": insulation.GroupIII}[w.groupName]

	c := &d.Spec.Clearance
	plate := d.Compute("clearance.plate_voltage", "plates, voltage that counts, peak", plateVoltage, ledger.With{"V_h": in.Highest, "V_f": in.HighMains, "k_f": w.radio, "V_rf": in.RadioPeak})
	plateRMS := d.Compute("clearance.plate_voltage_rms", "plates, direct voltage and radio frequency together, rms", plateEffective, ledger.With{"V_h": in.Highest, "V_rf": in.RadioPeak})
	tank := d.Compute("clearance.tank_voltage", "tank, voltage that counts, peak", tankVoltage, ledger.With{"V_h": in.Highest, "k_f": w.radio, "V_rf": in.RadioPeak})
	antenna := d.Compute("clearance.antenna_voltage", "antenna connector, voltage that counts, peak", antennaVoltage, ledger.With{"k_f": w.radio, "V_a": in.Antenna})
	cathode := d.Compute("clearance.cathode_voltage", "cathodes and heater wiring, voltage with the return open, peak", cathodeVoltage, ledger.With{"V_o": in.CathodeOpen, "V_d": in.CathodeDrive})
	mains := d.Compute("clearance.mains_voltage", "mains wiring, voltage, peak", mainsPeak, ledger.With{"V_m": in.MainsVoltage, "t": in.MainsTolerance})

	for _, n := range []struct {
		key, name    string
		peak, effect *ledger.Quantity // for clearance; for creepage
		given        spec.Quantity
	}{
		{"plate", "plate caps, plate leads, hot end of RFC1", plate, plateRMS, c.Plate},
		{"tank", "plate end of the tank behind C3", tank, tank, c.Tank},
		{"bank", "positive end of the filter bank, R1, F2, cold end of RFC1, R5", in.Highest, in.Highest, c.Bank},
		{"rectifier", "alternating-current side of the rectifier D2, ends of T1", in.Reverse, in.Reverse, c.Rectifier},
		{"antenna", "antenna relay K1 and connector J2 at the worst SWR", antenna, antenna, c.Antenna},
		{"cathode", "cathode and heater wiring, cathode return open", cathode, cathode, c.Cathode},
		{"rail", "negative rail, shunts and clamp diodes broken", in.Rail, in.Rail, c.Rail},
	} {
		if err := w.secondary(n.key, n.name, n.peak, n.effect, n.given); err != nil {
			return w.res, err
		}
	}
	if err := w.mains(mains, in.MainsVoltage, c.Mains); err != nil {
		return w.res, err
	}
	return w.res, nil
}

// secondary enters a node behind the transformer.
func (w *work) secondary(key, name string, peak, effective *ledger.Quantity, given spec.Quantity) error {
	table := func(reinforced bool) (float64, error) {
		return insulation.SecondaryClearance(peak.Value, reinforced)
	}
	basic, err := table(false)
	if err != nil {
		return err
	}
	guard, err := table(true)
	if err != nil {
		return err
	}
	const words = "Linear between the rows of the table, %s; the first row, 700 V, holds for all that lies below it."
	id := "clearance." + key
	b := w.Solved(id+"_table", name+": clearance by the table", basic, "m", ledger.Method{Words: fmt.Sprintf(words, "functional and basic insulation"), Source: source.SecondaryClearance}, peak)
	g := w.Solved(id+"_table_reinforced", name+": clearance by the table, reinforced", guard, "m", ledger.Method{Words: fmt.Sprintf(words, "reinforced insulation"), Source: source.SecondaryClearance}, peak)
	w.node(Node{Key: key, Name: name, Voltage: peak.Value, Standard: "after IEC 60950", Known: source.SecondaryClearance.Known}, peak, effective, b, g, given)
	return nil
}

// mains enters the primary, where what comes along the mains counts more than
// the mains itself.
func (w *work) mains(peak, rms *ledger.Quantity, given spec.Quantity) error {
	impulse, next := float64(impulseHigh), float64(nextImpulse)
	if rms.Value <= impulseBorder {
		impulse, next = impulseLow, nextLow
	}
	v := w.Catalogue("clearance.mains_impulse", "impulse that the mains may carry, overvoltage category II, peak", impulse, "V", source.ImpulseClearance.Title)
	v2 := w.Catalogue("clearance.mains_impulse_reinforced", "next impulse of the series, for reinforced insulation, peak", next, "V", source.ImpulseClearance.Title)
	basic, err := insulation.ImpulseClearance(impulse, insulation.Inhomogeneous)
	if err != nil {
		return err
	}
	guard, err := insulation.ImpulseClearance(next, insulation.Inhomogeneous)
	if err != nil {
		return err
	}
	const words = "The row of the table for that impulse, point against plane."
	const name = "mains wiring, F1, S2, primary of T1"
	b := w.Solved("clearance.mains_table", name+": clearance by the table", basic, "m", ledger.Method{Words: words, Source: source.ImpulseClearance}, v)
	g := w.Solved("clearance.mains_table_reinforced", name+": clearance by the table, reinforced", guard, "m", ledger.Method{Words: words, Source: source.ImpulseClearance}, v2)
	w.node(Node{Key: "mains", Name: name, Voltage: peak.Value, Standard: "IEC 60664-1", Known: source.ImpulseClearance.Known}, peak, peak, b, g, given)
	return nil
}

// node enters what all nodes have in common and holds the builder's distance.
func (w *work) node(n Node, peak, effective, basic, guard *ledger.Quantity, given spec.Quantity) {
	id := "clearance." + n.Key
	c := w.Compute(id+"_clearance", n.Name+": clearance at the altitude", raised, ledger.With{"k_a": w.altitude, "d_0": basic})
	g := w.Compute(id+"_clearance_reinforced", n.Name+": clearance to what a hand can reach", raised, ledger.With{"k_a": w.altitude, "d_0": guard})
	rule := w.ruleOf(id, n.Name, peak)
	row, words := w.creepage(effective.Value)
	r := w.Solved(id+"_creepage_table", n.Name+": creepage by the table", row, "m", ledger.Method{Words: words, Source: source.CreepageTable}, effective)
	s := w.Compute(id+"_creepage", n.Name+": creepage", along, ledger.With{"d_0": r, "d_c": c})
	n.Clearance, n.Guard, n.Creepage = c.Value, g.Value, s.Value
	if given.Given {
		n.Given = given.SI
		have := w.Take(id+"_given", n.Name+": distance of the builder's own", "m", given)
		w.hold(n, c, have, rule)
	}
	w.res.Nodes = append(w.res.Nodes, n)
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
	return w.Compute(id+"_clearance_by_hand", name+": clearance by the rule for power converters", byRule, ledger.With{"d_1": d1, "E_1": w.Get("clearance.rule_slope"), "V": peak})
}

// creepage is the distance along an insulator [m] for a voltage [V rms]. Above
// the end of the table it goes on in proportion, and says so.
func (w *work) creepage(rms float64) (float64, string) {
	const end = 10e3
	words := fmt.Sprintf("The next row of the table at or above the voltage, material group %s, pollution degree 2; the first row here, 500 V, holds for all that lies below it.", w.groupName)
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
func (w *work) hold(n Node, want, have, rule *ledger.Quantity) {
	f := ledger.Finding{ID: "clearance." + n.Key, Stage: "clearance", Quantities: []string{want.ID, have.ID, "clearance." + n.Key + "_clearance_reinforced"}}
	switch {
	case have.Value < want.Value*(1-1e-9):
		f.Severity = ledger.Exceeds
		f.Text = fmt.Sprintf("%s: the spec gives %s to the next metal; at %s %s are wanted (%s, altitude factor %.2f).", capital(n.Name), desk.Show(have.Value, "m"), desk.Show(n.Voltage, "V"), desk.Show(want.Value, "m"), n.Standard, w.res.Altitude)
		f.Advice = "Move the parts apart, round the edges, or put a barrier of sheet insulation between them that is wide enough for the creepage distance; then measure again, mains plug out and bank discharged."
	case have.Value < n.Guard*(1-1e-9):
		f.Severity = ledger.Caution
		f.Text = fmt.Sprintf("%s: %s are enough to grounded metal, but %s are wanted to anything that a hand can reach and no earth protects: knobs, shafts, meter faces.", capital(n.Name), desk.Show(have.Value, "m"), desk.Show(n.Guard, "m"))
		f.Advice = "Ground the shaft or the frame, use an insulated coupling as long as the creepage distance, or move it."
	case rule != nil && have.Value < rule.Value*(1-1e-9):
		f.Severity = ledger.Note
		f.Text = fmt.Sprintf("%s: %s meet the table; the stricter rule for power converters asks for %s.", capital(n.Name), desk.Show(have.Value, "m"), desk.Show(rule.Value, "m"))
		f.Advice = "Where dust and moisture come in, take the greater."
	default:
		return
	}
	w.Find(f)
}

func capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}
