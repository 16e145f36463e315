package metering

import (
	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
)

// leastShunted is the share of the string's current at full scale that a shunt
// is worth: less is within the error of the movement.
const leastShunted = movementError

var (
	movementOhms = ledger.MustFormula("R_3 = I_m * R_m / I_3", source.CommonPractice,
		"R_3 [Ω] resistance of the voltmeter's movement",
		"I_m [A] full-scale current of the other movements", "R_m [Ω] their resistance",
		"I_3 [A] full-scale current of the voltmeter's movement")
	leftOver = ledger.MustFormula("I_s = I_fs - I_3 - I_3 * R_3 / R_9", source.CircuitLaws,
		"I_s [A] what movement and foot resistor leave of the current at full scale",
		"I_fs [A] current of the string at full scale", "I_3 [A] full-scale current of the movement",
		"R_3 [Ω] its resistance", "R_9 [Ω] resistor at the foot")
	movementPar = ledger.MustFormula("R_10 = I_3 * R_3 / I_s", source.CircuitLaws,
		"R_10 [Ω] shunt of the movement", "I_3 [A] full-scale current of the movement", "R_3 [Ω] its resistance",
		"I_s [A] current that it must take")
)

// movementShunt enters R10 across the movement of the voltmeter, where the
// string passes more at full scale than movement and foot resistor take; it
// returns the words that name it.
func (w *work) movementShunt(current *ledger.Quantity, movement float64) string {
	if movement >= current.Value*(1-leastShunted) {
		return ""
	}
	i := w.movement
	ohms := w.resistance
	if movement != w.movement.Value {
		i = w.Solved("metering.voltmeter_movement", "Full-scale current of the high-voltage meter's movement", movement, "A",
			ledger.Method{Words: ledger.Say("The least sensitive usual movement that the string can drive to full scale."),
				Source: source.CommonPractice},
			current)
		ohms = w.Compute("metering.voltmeter_movement_resistance",
			"Resistance of that movement, as much voltage at full scale as the others", movementOhms,
			ledger.With{"I_m": w.movement, "R_m": w.resistance, "I_3": i})
	}
	left := w.Compute("metering.voltmeter_shunt_current", "Current at full scale that the movement and R9 leave",
		leftOver,
		ledger.With{"I_fs": current, "I_3": i, "R_3": ohms, "R_9": w.Get("metering.foot_resistance")})
	if left.Value < leastShunted*current.Value {
		return ""
	}
	r := w.Compute("metering.voltmeter_shunt", "Shunt of the high-voltage meter's movement", movementPar,
		ledger.With{"I_3": i, "R_3": ohms, "I_s": left})
	w.Part(ledger.Part{Designator: "R10", Name: "Shunt across the movement of M3", Stage: "metering",
		Value: ledger.Say("{metering.voltmeter_shunt}"), Rating: ledger.Say("0.25 W"),
		Note: ledger.Say("A trimmer of twice the value with a fixed resistor in series, set once against a meter you trust; the " +
			"movement's own resistance decides. Opened, it makes M3 read high; shorted, zero: a reading of zero proves nothing.")})
	return ", with R10 of " + r.Text() + " across it for the rest"
}
