package suppressor

import (
	"math"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
)

var (
	straightWire = ledger.MustFormula("L_l = µ_0 / (2 * π) * l * (ln(4 * l / d) - 1)", source.StraightWire,
		"L_l [H] inductance of the lead", "l [m] length of the lead", "d [m] diameter of the lead")
	gridResonance = ledger.MustFormula("f_g = 1 / (2 * π * sqrt(L_g * (C_gp + C_gk)))", source.CircuitLaws,
		"f_g [Hz] resonance of the grid", "L_g [H] grid to chassis", "C_gp [F] plate to grid", "C_gk [F] grid to cathode")
	negativeByHand = ledger.MustFormula("R_n = g_m * L_g / (C_gp * (1 - pow(f / f_g, 2)))", source.CircuitLaws,
		"R_n [Ω] what the tube gives back, in series with the loop", "g_m [S] transconductance", "L_g [H] grid to chassis",
		"C_gp [F] plate to grid", "f [Hz] resonance of the loop", "f_g [Hz] resonance of the grid")
	coilReactanceThere = ledger.MustFormula("X_p = 2 * π * f * L_s", source.CircuitLaws,
		"X_p [Ω] reactance of the suppressor coil there", "f [Hz] resonance of the loop", "L_s [H] inductance of the suppressor coil")
	loopResistance = ledger.MustFormula("R_l = R_s * X_p * X_p / (R_s * R_s + X_p * X_p) + 2 * π * f * L_l / Q_0", source.CircuitLaws,
		"R_l [Ω] resistance in the loop", "R_s [Ω] suppressor resistor", "X_p [Ω] reactance of the suppressor coil there",
		"f [Hz] resonance of the loop",
		"L_l [H] lead inductance", "Q_0 [] loop Q without suppressor")
	margin = ledger.MustFormula("m = R_l / R_n", source.CircuitLaws,
		"m [] stability margin", "R_l [Ω] resistance in the loop", "R_n [Ω] what the tube gives back")
)

// plateLead is the inductance of the plate lead: the builder's, or computed
// from its length, or the usual one.
func plateLead(d *desk.Desk) *ledger.Quantity {
	const id, name = "suppressor.lead_inductance", "plate lead as far as the tune capacitor"
	sp := d.Spec.Suppressor
	if !sp.LeadLength.Given {
		return d.Take(id, name, "H", sp.LeadInductance)
	}
	l := d.Take("suppressor.lead_length", "plate lead, length", "m", sp.LeadLength)
	w := d.TakeOr("suppressor.lead_diameter", "plate lead, diameter or half the width of the strap", "m", sp.LeadDiameter,
		math.Min(usualLead, l.Value/4),
		ledger.Say("a strap of 10 mm (common practice)"))
	return d.Compute(id, name, straightWire, ledger.With{"l": l, "d": w})
}

// stability is the tube as the plate loop sees it at VHF.
type stability struct {
	worst, idle              Feedback // worst of idle and crest
	gm, lg, cgp, fg, atIdle  *ledger.Quantity
	feedback, cathode, input *ledger.Quantity
	inputs                   []*ledger.Quantity
}

// usualGrid is the inductance from grid to chassis [H] and why (common
// practice): a ring of fingers round a ceramic tube, pins of a glass one.
func usualGrid(t *tube.Type) (float64, string) {
	if t.Cathode != tube.ThoriatedTungsten {
		return 2e-9, "common practice: a grid ring held by fingers all round; a socket with grid pins has 5 nH and more"
	}
	return 5e-9, "common practice: several grid pins tied to the chassis by short wide straps; one long wire has 20 nH and more"
}

func newStability(d *desk.Desk, in Input, cout *ledger.Quantity) *stability {
	t := in.Type
	if t.Kind == tube.NoModel || !(in.Idle.Plate > 0) || !(in.Crest.Plate > 0) {
		return nil
	}
	s := &stability{cgp: cout}
	taken := func(id, name string, f tube.Figure, usual float64) *ledger.Quantity {
		if f.Known && f.Value > 0 {
			return d.Catalogue(id, name, f.Value, "F", t.Sources[f.Source])
		}
		return d.Catalogue(id, name, usual, "F", "not published; a usual figure for a tube of this class, common practice")
	}
	s.input = taken("suppressor.input_capacitance", "grid to cathode of one "+t.Name, t.Capacitance.Input, 12e-12)
	s.feedback = taken("suppressor.feedback_capacitance", "plate to cathode of one "+t.Name, t.Capacitance.Feedback, 0.1e-12)
	lg, why := usualGrid(t)
	s.lg = d.TakeOr("suppressor.grid_inductance", "grid to chassis", "H", d.Spec.Suppressor.GridInductance, lg,
		ledger.Literal(why))
	s.cathode = d.Catalogue("suppressor.cathode_inductance", "cathode to chassis at VHF", cathodeLead, "H",
		"common practice: pins, socket and the leads of the bypass capacitors")
	gi, gc := transconductance(t.Model, in.Idle.Grid, in.Idle.Plate), transconductance(t.Model, in.Crest.Grid, in.Crest.Plate)
	slope := ledger.Method{Words: ledger.Say("Slope of the plate current of the static model against the grid voltage, by central " +
		"difference."), Source: source.CircuitLaws}
	s.atIdle = d.Solved("suppressor.transconductance_idle", "transconductance of one tube, idling", gi, "S", slope)
	s.gm = d.Solved("suppressor.transconductance", "transconductance of one tube, greater of idling and crest of full drive",
		math.Max(gi, gc), "S", slope, s.atIdle)
	s.fg = d.Compute("suppressor.grid_resonance", "resonance of the grid with its leads", gridResonance,
		ledger.With{"L_g": s.lg, "C_gp": s.cgp, "C_gk": s.input})
	s.worst = Feedback{Transconductance: s.gm.Value, Mu: t.Model.Mu, GridInductance: s.lg.Value, CathodeInductance: s.cathode.Value,
		PlateGrid: s.cgp.Value, GridCathode: s.input.Value, PlateCathode: s.feedback.Value}
	s.idle = s.worst
	s.idle.Transconductance = gi
	s.inputs = []*ledger.Quantity{s.gm, s.lg, s.cathode, s.cgp, s.input, s.feedback}
	return s
}

// margin enters what the tube gives back, with the suppressor and without, and
// judges it.
func (s *stability) margin(d *desk.Desk, l Loop, p Part, bare, lead, lq *ledger.Quantity) float64 {
	nodes := ledger.Method{Source: source.CircuitLaws,
		Words: ledger.Say("Real part of the tube's impedance between plate and chassis with the sign turned round: grid and cathode " +
			"as nodes with their leads, their capacitances and the transconductance, solved exactly. Lumped and linear, without " +
			"transit " +
			"time and grid current, one tube by itself: right to a factor of two at best.")}
	m, _, negative := l.Margin(p, s.worst)
	df := d.Get("suppressor.damped_frequency")
	rn := d.Solved("suppressor.negative_resistance", "what the tube gives back, as a series resistance, with the suppressor", negative,
		"Ω", nodes, append(s.inputs, df)...)
	if df.Value < 0.9*s.fg.Value {
		d.Compute("suppressor.negative_resistance_by_hand", "the same by hand, cathode at ground", negativeByHand,
			ledger.With{"g_m": s.gm, "L_g": s.lg, "C_gp": s.cgp, "f": df, "f_g": s.fg})
	}
	x := d.Compute("suppressor.coil_reactance_damped", "suppressor coil, reactance at the loop's resonance", coilReactanceThere,
		ledger.With{"f": df, "L_s": d.Get("suppressor.inductance")})
	rl := d.Compute("suppressor.loop_resistance", "resistance in the loop, with the suppressor", loopResistance,
		ledger.With{"R_s": d.Get("suppressor.resistance"), "X_p": x, "f": df, "L_l": lead, "Q_0": d.Get("suppressor.loop_q_without")})

	without, _, bareNegative := l.marginAt(bare.Value, Part{}, s.idle)
	d.Solved("suppressor.negative_resistance_without", "what the idling tube gives back without a suppressor", bareNegative, "Ω", nodes,
		append(s.inputs[1:], s.atIdle, bare)...)
	if !math.IsInf(without, 1) {
		d.Solved("suppressor.stability_margin_without", "stability margin without suppressor, idling", without, "", ledger.Method{
			Words:  ledger.Say("Resistance of the loop's own losses over what the tube gives back at the bare resonance."),
			Source: source.CircuitLaws}, lead, bare)
	}
	if df.Value > 0.7*s.fg.Value {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "suppressor.grid_resonance", Stage: "suppressor",
			Quantities: []string{s.fg.ID, s.lg.ID},
			Text: ledger.Say("The grid with its leads resonates near {fg}, close to or below the plate loop at "+
				"{suppressor.damped_frequency}: the grid is not at ground there, and the margin says little.", ledger.Q("fg", s.fg)),
			Advice: ledger.Say("Tie every grid pin to the chassis by the shortest and widest strap there is room for, until the " +
				"grid's resonance lies well above the plate loop's.")})
	}
	if math.IsInf(m, 1) {
		return m
	}
	q := d.Compute("suppressor.stability_margin", "stability margin with the suppressor", margin, ledger.With{"R_l": rl, "R_n": rn})
	if q.Value < TargetMargin*(1-1e-9) {
		text := ledger.Say("The plate loop holds {suppressor.loop_resistance} against the {suppressor.negative_resistance} that the "+
			"tube gives back near {suppressor.damped_frequency}: a margin of {q}, where {target_margin} is wanted.",
			ledger.Short("q", q.Value, 2), ledger.Fixed("target_margin", TargetMargin, 0))
		if q.Value < 1 {
			text = ledger.Say("By this estimate the plate loop oscillates near {suppressor.damped_frequency} even with the " +
				"suppressor: it holds {suppressor.loop_resistance} against the {suppressor.negative_resistance} that the tube gives " +
				"back.")
		}
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "suppressor.stability_margin", Stage: "suppressor",
			Quantities: []string{q.ID, rn.ID, rl.ID}, Text: text,
			Advice: ledger.Say("Tie every grid pin to the chassis by the shortest and widest strap there is room for; then shorten " +
				"the plate lead and use more inductance in the suppressor coil.")})
	}
	return q.Value
}
