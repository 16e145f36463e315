package suppressor

import (
	"errors"
	"fmt"
	"math"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/compute/physics/winding"
)

// TargetQ is the loop Q that the suppressor must bring the plate loop down to
// [1], and BareQ what is taken for the loop without it. Neither figure has a
// published source: they are chosen so that a loop gain of one is unlikely in
// a grounded-grid stage.
const (
	TargetQ = 5.0
	BareQ   = 100.0
	// TargetMargin is the resistance in the loop over what the tube gives back
	// [1]: the model is right to a factor of two.
	TargetMargin = 2.0
	// cathodeLead is what lies between the cathode and its bypass capacitors at
	// VHF [H], usualLead the diameter of a plate lead of which only the length
	// is given [m] (common practice).
	cathodeLead = 20e-9
	usualLead   = 5e-3
	// fallbackOutput is taken where the catalogue has no output capacitance [F].
	fallbackOutput = 8e-12
)

// Input is what the stage needs.
type Input struct {
	Type             *tube.Type
	Tubes            int
	HighestFrequency float64 // middle of the highest band [Hz]
	HighestBand      string

	PlateCurrentFundamentalEach *ledger.Quantity // of one tube at full output [A peak]
	PlateSwing                  *ledger.Quantity // RF at the plates [V peak]
	// Crest and Idle are the voltages of one tube at the crest of full drive and
	// at rest, for the stability margin; without plate voltage it is left out.
	Crest, Idle Voltages
	// TuneCapacitance at the tank input on the highest band [F], without the
	// tubes; nil: taken as a short at VHF.
	TuneCapacitance *ledger.Quantity
}

// Voltages are grid and plate against the cathode [V].
type Voltages struct{ Grid, Plate float64 }

// Result is what the report and the parts list need.
type Result struct {
	Part               Part
	ParasiticFrequency float64 // of the bare loop [Hz]
	LoopQ              float64 // with the suppressor
	DissipationEach    float64 // in one resistor at full output on the highest band [W]
	LeadCurrentRMS     float64 // of one lead on the highest band [A]
	Loop               Loop
	Margin             float64 // resistance in the loop over what the tube gives back; infinite where it gives nothing, 0 where not known
}

var (
	loopCapacitance = ledger.MustFormula("C = C_out * C_t / (C_out + C_t)", source.CircuitLaws,
		"C [F] capacitance of the loop", "C_out [F] output capacitance of one tube", "C_t [F] tune capacitance")
	parasitic = ledger.MustFormula("f_p = 1 / (2 * π * sqrt(L_l * C))", source.CircuitLaws,
		"f_p [Hz] resonance of the plate loop", "L_l [H] lead inductance", "C [F] capacitance of the loop")
	circulating = ledger.MustFormula("I_C = 2 * π * f * C_out * V_p1", source.CircuitLaws,
		"I_C [A] current in the tube's output capacitance, peak", "f [Hz] highest band", "C_out [F] output capacitance",
		"V_p1 [V] plate swing, peak")
	leadCurrent = ledger.MustFormula("I = sqrt((I_1 * I_1 + I_C * I_C) / 2)", source.CircuitLaws,
		"I [A] current in the plate lead, rms", "I_1 [A] fundamental of the plate current, peak",
		"I_C [A] current in the output capacitance, peak")
	coilReactance = ledger.MustFormula("X_s = 2 * π * f * L_s", source.CircuitLaws,
		"X_s [Ω] reactance of the suppressor coil", "f [Hz] highest band", "L_s [H] inductance of the suppressor coil")
	dissipation = ledger.MustFormula("P = I * I * R_s * X_s * X_s / (R_s * R_s + X_s * X_s)", source.CircuitLaws,
		"P [W] heat in the resistor", "I [A] current in the plate lead, rms", "R_s [Ω] resistor", "X_s [Ω] reactance of the coil")
)

// Solve sizes and checks the suppressors. Errors: an input out of range.
func Solve(d *desk.Desk, in Input) (Result, error) {
	var r Result
	if in.Type == nil || in.Tubes < 1 || !(in.HighestFrequency > 0) || in.PlateCurrentFundamentalEach == nil || in.PlateSwing == nil {
		return r, errors.New("suppressor: needs the tubes, the highest band and the plates' RF current and voltage")
	}
	sp := d.Spec.Suppressor
	f := d.Book.Spec("suppressor.highest_frequency", "highest band, "+in.HighestBand, in.HighestFrequency, "Hz",
		d.Spec.Where(d.Spec.Target.Bands.Origin))
	lead := plateLead(d)
	cout := outputCapacitance(d, in.Type)
	c := cout
	if in.TuneCapacitance != nil && in.TuneCapacitance.Value > 0 {
		c = d.Compute("suppressor.loop_capacitance", "capacitance of the plate loop", loopCapacitance,
			ledger.With{"C_out": cout, "C_t": in.TuneCapacitance})
	}
	fp := d.Compute("suppressor.parasitic_frequency", "parasitic resonance of the plate loop, estimate", parasitic,
		ledger.With{"L_l": lead, "C": c})
	bare := d.Catalogue("suppressor.loop_q_without", "loop Q without suppressor", BareQ, "",
		"common practice: VHF loops of strap, chassis and air capacitor; no published source")
	ic := d.Compute("suppressor.circulating_current", "current in one tube's output capacitance, peak", circulating,
		ledger.With{"f": f, "C_out": cout, "V_p1": in.PlateSwing})
	i := d.Compute("suppressor.lead_current_rms", "current in one plate lead on "+in.HighestBand, leadCurrent,
		ledger.With{"I_1": in.PlateCurrentFundamentalEach, "I_C": ic})

	r.Loop = Loop{Lead: lead.Value, Capacitance: c.Value, BareQ: BareQ}
	vhf := newStability(d, in, cout)
	target := Target{Q: TargetQ}
	if vhf != nil {
		target.Margin, target.Tube = TargetMargin, vhf.worst
	}
	p := r.Loop.Choose(Part{known(sp.Inductance.Known(), sp.Inductance.SI), known(sp.Resistance.Known(), sp.Resistance.SI)}, i.Value,
		in.HighestFrequency, target)
	why := ledger.Say("of coils in steps of 5 nH and E12 resistors, the pair that heats the resistor least while the loop's Q comes "+
		"down to {target_q} and the margin against oscillation up to {target_margin}", ledger.Fixed("target_q", TargetQ, 0),
		ledger.Fixed("target_margin", TargetMargin, 0))
	ls := d.TakeOr("suppressor.inductance", "suppressor coil", "H", sp.Inductance, p.Inductance, why)
	rs := d.TakeOr("suppressor.resistance", "suppressor resistor", "Ω", sp.Resistance, p.Resistance, why)
	p = Part{ls.Value, rs.Value}
	x := d.Compute("suppressor.reactance", "suppressor coil, reactance on "+in.HighestBand, coilReactance,
		ledger.With{"f": f, "L_s": ls})
	loss := d.Compute("suppressor.dissipation_each", "suppressor resistor, heat on "+in.HighestBand+" at full output", dissipation,
		ledger.With{"I": i, "R_s": rs, "X_s": x})
	df, q := r.Loop.With(p)
	method := ledger.Method{Words: ledger.Say("Resonance of lead, suppressor (coil and resistor in parallel) and loop capacitance in " +
		"series, found by bisection; Q is the capacitive reactance there over all resistance in series. A lumped estimate: ±30 % in " +
		"frequency at best."), Source: source.CircuitLaws}
	d.Solved("suppressor.damped_frequency", "resonance of the plate loop with the suppressor", df, "Hz", method, lead, c, ls, rs)
	lq := d.Solved("suppressor.loop_q", "loop Q with the suppressor", q, "", method, lead, c, ls, rs, bare)
	r.Part, r.ParasiticFrequency, r.LoopQ, r.DissipationEach, r.LeadCurrentRMS = p, fp.Value, q, loss.Value, i.Value

	rating := d.Check(desk.Hold{Part: "Z1", Name: "suppressor resistor", Band: in.HighestBand, Kind: "power", Stress: loss,
		Have: sp.Power, Owned: sp.Inductance.Given && sp.Resistance.Given, Factor: d.Spec.Margins.Power,
		Standard: desk.ResistorPowers,
		Why:      ledger.Say("RF in one resistor, carrier at full output; the tube's own circulating current is in it"),
		Advice:   ledger.Say("Use less inductance in the suppressor coil, or a resistor of higher power.")})
	if vhf != nil {
		r.Margin = vhf.margin(d, r.Loop, p, fp, lead, lq)
	}
	find(d, in, fp, lq, loss)
	parts(d, in, p, rating)
	return r, nil
}

func known(ok bool, v float64) float64 {
	if ok {
		return v
	}
	return 0
}

func outputCapacitance(d *desk.Desk, t *tube.Type) *ledger.Quantity {
	if c := t.Capacitance.Output; c.Known && c.Value > 0 {
		return d.Catalogue("suppressor.output_capacitance", "output capacitance of one "+t.Name, c.Value, "F", t.Sources[c.Source])
	}
	return d.Catalogue("suppressor.output_capacitance", "output capacitance of one "+t.Name, fallbackOutput, "F",
		"not published; a usual figure for a tube of this class, common practice")
}

func find(d *desk.Desk, in Input, fp, lq, loss *ledger.Quantity) {
	if lq.Value > TargetQ*1.001 {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "suppressor.loop_q", Stage: "suppressor", Quantities: []string{lq.ID},
			Text: ledger.Say("With this suppressor the plate loop keeps a Q of {lq} near {fp}; {target_q} is wanted.",
				ledger.Fixed("lq", lq.Value, 1), ledger.Q("fp", fp), ledger.Fixed("target_q", TargetQ, 0)),
			Advice: ledger.Say("Use more inductance in the suppressor coil or another resistance, and shorten the plate lead.")})
	}
	if loss.Value > 0.01*in.PlateSwing.Value*in.PlateCurrentFundamentalEach.Value/2 {
		d.Find(ledger.Finding{Severity: ledger.Note, ID: "suppressor.loss", Stage: "suppressor", Quantities: []string{loss.ID},
			Text: ledger.Say("On {highest_band} each suppressor turns {loss} of output into heat, more than one per cent.",
				ledger.Called("highest_band", in.HighestBand), ledger.Q("loss", loss)),
			Advice: ledger.Say("Shorter plate leads allow a smaller suppressor coil.")})
	}
	covers := "on, interlocks working"
	if d.Spec.Protection.Interlock.Fitted.Denied() {
		covers = "screwed on"
	}
	d.Find(ledger.Finding{Severity: ledger.Caution, ID: "suppressor.estimate", Stage: "suppressor", Quantities: []string{fp.ID, lq.ID},
		Text: ledger.Say("The parasitic resonance near {fp} and the loop's Q are estimates from lead inductance and capacitances "+
			"alone; tubes in parallel also resonate against each other, and the loop may have further resonances.", ledger.Q("fp", fp)),
		Advice: ledger.Say("Prove it on the bench. First cold: supply unplugged and discharged, find the loop's resonances with a dip "+
			"oscillator. Then, with all covers {covers} and nobody reaching in, at reduced plate voltage, no drive and a load on input "+
			"and output, sweep the tune and load capacitors: any grid current or step in plate current is oscillation; switch off.",
			ledger.Called("covers", covers))})
}

// Coil form of the suppressor as it is commonly wound: over the resistor.
const (
	formDiameter = 14e-3
	formPitch    = 5e-3
	formWire     = 2e-3
)

func parts(d *desk.Desk, in Input, p Part, rating ledger.Rating) {
	turns := ledger.Say("a strap with hardly a turn")
	if coil, err := winding.TurnsFor(p.Inductance, formDiameter, formPitch, formWire); err == nil {
		turns = ledger.Say("about {turns} turns of 2 mm wire or strap, 14 mm across, 5 mm from turn to turn",
			ledger.Fixed("turns", coil.Turns, 1))
	}
	given := d.Spec.Suppressor.Inductance.Given && d.Spec.Suppressor.Resistance.Given
	const danger = "DANGER: at the plate cap, full high voltage and hot glass or hot ceramic next to it."
	for n := 1; n <= in.Tubes; n++ {
		d.Part(ledger.Part{Designator: fmt.Sprintf("Z%d", n), Name: "parasitic suppressor in the plate lead", Stage: "suppressor",
			Given: given,
			Value: ledger.Say("{inductance} across {resistance}", ledger.Of("inductance", p.Inductance, "H"),
				ledger.Of("resistance", p.Resistance, "Ω")),
			Rating: ledger.Say("resistor {rating}, non-inductive", ledger.Of("rating", math.Max(rating.Rating, rating.Stress), "W")),
			Note: ledger.Say(danger+" Coil: {turns}. "+
				"Adjust on the bench; a resistor that has changed colour tells of a parasitic oscillation or of too much coil.",
				ledger.In("turns", turns))})
	}
}
