package metering

import (
	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
)

var (
	shuntFault = ledger.MustFormula("V = I_f * R_s", source.CircuitLaws, "V [V] across a shunt in a fault, no diodes across it",
		"I_f [A] peak fault current", "R_s [Ω] shunt")
	shuntShare = ledger.MustFormula("E = E_b * R_s / (R_s + R_l)", source.CircuitLaws, "E [J] energy that the shunt takes",
		"E_b [J] energy stored in the filter bank", "R_s [Ω] shunt", "R_l [Ω] glitch resistor and bank")
)

// fault enters what a tube that shorts from plate to cathode sends through the
// shunts: that current does not pass the clamp diodes of the negative rail.
func (w *work) fault() {
	current, ok := w.Lookup("metering.fault_current")
	if !ok {
		return
	}
	v := w.Compute("metering.plate_shunt_fault_voltage",
		"Across the plate-current shunt if a plate shorts to its cathode, no diodes across it", shuntFault,
		ledger.With{"I_f": current, "R_s": w.Get("metering.plate_shunt")})
	g := w.Compute("metering.grid_shunt_fault_voltage",
		"Across the grid-current shunt if a plate shorts to the grid, no diodes across it", shuntFault,
		ledger.With{"I_f": current, "R_s": w.Get("metering.grid_shunt")})
	ids := []string{current.ID, v.ID, g.ID}
	energy := ledger.Sentence{}
	stored := w.in.StoredEnergy
	if most, ok := w.Lookup("plate_feed.glitch_energy"); ok { // highest mains, capacitors at their upper tolerance
		stored = most
	}
	if stored != nil {
		e := w.Compute("metering.plate_shunt_fault_energy",
			"Energy that the plate-current shunt takes from the bank in a fault, at most",
			shuntShare, ledger.With{"E_b": stored, "R_s": w.Get("metering.plate_shunt"), "R_l": w.in.FaultLoop})
		energy = ledger.Say(" The plate-current shunt takes up to {metering.plate_shunt_fault_energy} of the bank's energy and must be " +
			"wire, not film.")
		ids = append(ids, e.ID)
	}
	denied := w.m.Clamps.Fitted.Denied()
	advice := "Two silicon diodes anti-parallel straight across each shunt (D6, D7) besides D3; a resistor of some ohms between shunt " +
		"and movement keeps the diodes' voltage off the movement. Replace them after every flash-over, and check D1 and R2 then as " +
		"well."
	if denied {
		advice = "Fit the clamp diodes: nothing else keeps this from the meters. Check D1 and R2 after every flash-over."
	}
	w.Find(ledger.Finding{Severity: ledger.Caution, ID: "metering.fault_path", Stage: "metering", Quantities: ids,
		Text: ledger.Say("If a tube shorts inside, up to {current} flow through bias device D1 and plate-current shunt R6, or "+
			"through the grid-current shunt R7: {metering.plate_shunt_fault_voltage} and {metering.grid_shunt_fault_voltage} across "+
			"them "+
			"for an instant, and the meters beside them would burn open.{energy}", ledger.Q("current", current),
			ledger.In("energy", energy)),
		Advice: ledger.Literal(advice)})
	if denied {
		return
	}
	surge := ledger.Say("surge {surge}", ledger.Of("surge", w.surge, "A"))
	for _, p := range [][2]string{{"D6", "plate"}, {"D7", "grid"}} {
		w.Part(ledger.Part{Designator: p[0], Name: "Clamp diodes across the " + p[1] + "-current shunt, anti-parallel",
			Stage: "metering", Count: 2, Value: ledger.Say("600 V rectifier"), Rating: surge,
			Note: ledger.Say("Straight across the shunt with the shortest leads. They must fail shorted: a meter that reads nothing " +
				"after a flash-over means a shorted diode, not that there is no current.")})
	}
}
