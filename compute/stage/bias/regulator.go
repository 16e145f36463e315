package bias

import (
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
)

// What no data sheet of the builder's gives, common practice all of it.
const (
	zenerShare   = 0.06   // rise of a power zener from little to full current [1]
	baseEmitter  = 0.7    // silicon power transistor [V]
	currentGain  = 25     // least, of a power transistor at some hundred milliamperes [1]
	junction     = 398.15 // kept to, well below what the sheets allow: 125 °C [K]
	cabinetAir   = 323.15 // 50 °C [K]
	junctionCase = 1.5    // of a power device in a metal case [K/W]
	caseSink     = 0.8    // mica or pad with paste [K/W]
)

// regulator enters what a zener or a transistor needs beside its rating, and
// returns what the part's note says of it.
func (r *Result) regulator(d *desk.Desk, in Input, current, full *ledger.Quantity) ledger.Sentence {
	if r.Device != Zener && r.Device != Transistor {
		return ledger.Sentence{}
	}
	note := ledger.Sentence{}
	if r.Device == Transistor {
		vbe := d.Catalogue("bias.base_emitter_voltage", "Base to emitter of the bias transistor", baseEmitter, "V",
			source.CommonPractice.Title)
		d.Compute("bias.reference_voltage", "Reference zener of the bias transistor", reference,
			ledger.With{"V_k": in.BiasVoltage, "V_BE": vbe})
		h := d.Catalogue("bias.current_gain", "Least current gain of the bias transistor", currentGain, "", source.CommonPractice.Title)
		d.Compute("bias.base_current", "Base current of the bias transistor at full output", baseCurrent,
			ledger.With{"I_k": current, "h_FE": h})
		note = ledger.Say(" The reference zener of {bias.reference_voltage} carries the base current, {bias.base_current} at full " +
			"output, so a type of 1 W or more.")
	} else if in.IdleCurrent.Value > 0 && current.Value > in.IdleCurrent.Value {
		q := d.Catalogue("bias.zener_rise_share", "Rise of a power zener from little to full current", zenerShare, "%",
			source.CommonPractice.Title)
		d.Compute("bias.voltage_rise", "Rise of the bias from idling to full output", zenerRise,
			ledger.With{"V_k": in.BiasVoltage, "q": q, "I_k": current, "I_0": in.IdleCurrent})
		note = ledger.Say(" Its voltage rises by about {bias.voltage_rise} from idling to full output.")
	}
	tj := d.Catalogue("bias.junction_temperature", "Junction of the bias device, at most", junction, "°C",
		"common practice: 125 °C, below what the data sheets allow")
	ta := d.Catalogue("bias.cabinet_temperature", "Air inside the cabinet, at the heat sink", cabinetAir, "°C",
		source.CommonPractice.Title)
	jc := d.Catalogue("bias.junction_to_case", "Junction to case", junctionCase, "K/W", source.CommonPractice.Title)
	cs := d.Catalogue("bias.case_to_sink", "Case to heat sink, insulated", caseSink, "K/W", source.CommonPractice.Title)
	sink := d.Compute("bias.heat_sink", "Heat sink of the bias device, thermal resistance at most", heatSink,
		ledger.With{"T_j": tj, "T_a": ta, "P": full, "R_jc": jc, "R_cs": cs})
	if sink.Value <= 0.3 {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "bias.heat_sink", Stage: "bias", Quantities: []string{sink.ID, full.ID},
			Text: ledger.Say("With {full} of heat one device would need a heat sink of {bias.heat_sink}: there is hardly one, or "+
				"none at all.", ledger.Q("full", full)),
			Advice: ledger.Say("Share the heat: two transistors with a resistor in each emitter, or a heat sink in the blower's air " +
				"with a device of lower thermal resistance.")})
		return note
	}
	return ledger.Say("{note} Heat sink of {bias.heat_sink} or better, steady full output.", ledger.In("note", note))
}
