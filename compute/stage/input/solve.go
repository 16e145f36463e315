package input

import (
	"fmt"
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/network"
	"anodebook/spec"
)

// Numerical methods of this stage.
var (
	byCable = ledger.Method{Source: source.LadderAnalysis,
		Words: ledger.Say("Cathodes and cable as a ladder (ABCD), seen from the network's side and written as a resistance and a " +
			"capacitance in parallel; a negative capacitance stands for an inductance.")}
	byStandard = ledger.Method{Source: source.CommonPractice, Words: ledger.Say("The nearest value of the series.")}
	bySlug     = ledger.Method{Source: source.LadderAnalysis,
		Words: ledger.Say("The slug turned to the least SWR at the middle of the band with the capacitors that are used, full drive; " +
			"golden-section search on the ladder.")}
	byLadder = ledger.Method{Source: source.LadderAnalysis,
		Words: ledger.Say("The network with the parts that are used and the cathodes behind it, as a ladder (ABCD); exact.")}
	byDrive = ledger.Method{Source: source.LadderAnalysis,
		Words: ledger.Say("The same ladder with the cathode resistance that the operating point gives at this share of the full drive " +
			"power; the slug left alone.")}
	bySpread = ledger.Method{Source: source.LadderAnalysis,
		Words: ledger.Say("The slug's best setting at the middle of the band with both capacitors at the ends of their tolerance.")}
	byCorner = ledger.Method{Source: source.LadderAnalysis,
		Words: ledger.Say("The worst of the four networks with both capacitors at the ends of their tolerance, the slug of each set " +
			"anew at the middle of the band; full drive.")}
	byReach = ledger.Method{Source: source.LadderAnalysis,
		Words: ledger.Say("The loaded Q wanted cannot be matched; the nearest that can, with 2 % to spare, by bisection on the closed " +
			"form.")}
)

type worker struct {
	d      *desk.Desk
	in     Input
	series preferred.Series

	tubes, inputEach, stray, capacitance *ledger.Quantity
	source, loadedQ, coilQ, attenuator   *ledger.Quantity
	tolerance                            *ledger.Quantity
}

// Solve writes the input side into the book. An error says that a band cannot
// be matched at all; everything else becomes findings.
func Solve(d *desk.Desk, in Input) (Result, error) {
	if len(in.Bands) == 0 {
		return Result{}, fmt.Errorf("the input network needs at least one band")
	}
	w := &worker{d: d, in: in}
	w.shared()
	r := Result{cathode: in.InputResistance.Value}
	least := math.Inf(1)
	for i, band := range in.Bands {
		exact, err := design(d.Spec, band, in.InputResistance.Value, w.capacitance.Value)
		if err != nil {
			return Result{}, err
		}
		b := w.band(i, band, exact)
		if b.ExciterPower > r.ExciterPower {
			r.ExciterPower, r.ExciterBand = b.ExciterPower, b.Name
		}
		least = math.Min(least, b.ExciterPower)
		r.Bands = append(r.Bands, b)
	}
	w.ratings(&r)
	w.coupling(&r)
	w.exciter(&r, least)
	return r, nil
}

func (w *worker) shared() {
	d, s := w.d, w.d.Spec
	w.tubes = d.Tubes("input")
	w.inputEach = d.CapacitanceEach("input", "input", w.in.Type, w.in.Type.Capacitance.Input, unknownInputCapacitance)
	w.stray = d.Take("input.stray_capacitance", "stray capacitance at the cathodes", "F", s.Input.Stray)
	w.capacitance = d.Compute("input.cathode_capacitance", "capacitance at the cathodes", cathodeCapacitance,
		ledger.With{"n": w.tubes, "C_in": w.inputEach, "C_s": w.stray})
	w.source = d.Solved("input.source_resistance", "what the exciter wants to see", SourceResistance, "Ω",
		desk.Derived("Exciters are made for a 50 Ω load."))
	w.loadedQ = d.TakeRatio("input.loaded_q_wanted", "loaded Q of the input network wanted", s.Input.LoadedQ)
	w.coilQ = d.TakeRatio("input.coil_q", "unloaded Q of the input coils", s.Input.CoilQ)
	if s.Input.Attenuator.Known() {
		w.attenuator = d.Take("input.attenuator", "attenuator before the input", "dB", s.Input.Attenuator)
	} else {
		w.attenuator = d.Solved("input.attenuator", "attenuator before the input", 0, "dB", desk.Derived("None is stated."))
	}
	w.tolerance = d.Take("input.capacitor_tolerance", "tolerance of the input capacitors, ±", "%", s.Input.Tolerance)
	if s.Input.CableLength.Known() && s.Input.CableLength.SI > 0 {
		impedance, velocity := cable(s)
		d.Take("input.cable_length", "cable between network and sockets", "m", s.Input.CableLength)
		d.TakeOr("input.cable_impedance", "impedance of that cable", "Ω", s.Input.CableImpedance, impedance,
			ledger.Say("the usual coaxial cable"))
		if s.Input.CableVelocity.Given {
			d.TakeRatio("input.cable_velocity", "velocity on that cable over that of light", s.Input.CableVelocity)
		} else {
			d.Assume("input.cable_velocity", "velocity on that cable over that of light", velocity, "", "input.cable_velocity",
				ledger.Say("solid polyethylene"))
		}
	}
	switch s.Input.Series.Value {
	case "E6":
		w.series = preferred.E6
	case "E12":
		w.series = preferred.E12
	default:
		w.series = preferred.E24
	}
}

// exact writes the design as formulas.
func (w *worker) exact(b Band, n *network.InputPi) {
	d := w.d
	at := func(name, words string, f *ledger.Formula, with ledger.With) *ledger.Quantity {
		return d.Compute("input."+b.Name+"."+name, words+" on "+b.Name, f, with)
	}
	f := d.Catalogue("input."+b.Name+".frequency", "middle of the band "+b.Name, b.Centre, "Hz",
		"rule set "+d.Spec.Notebook.Rules.Value)
	rk, ck, qc, rs := w.in.InputResistance, w.capacitance, w.coilQ, w.source
	if n.Input.CableImpedance > 0 {
		omega := 2 * math.Pi * b.Centre
		tail := n.Chain
		tail.Elements = tail.Elements[tail.Index(network.CathodeShunt)+1:]
		y := 1 / tail.InputImpedance(b.Centre, complex(rk.Value, 0))
		rk = d.Solved("input."+b.Name+".far_resistance", "cathodes seen through the cable on "+b.Name+", parallel resistance",
			1/real(y), "Ω", byCable, rk, ck)
		ck = d.Solved("input."+b.Name+".far_capacitance", "cathodes seen through the cable on "+b.Name+", parallel capacitance",
			imag(y)/omega, "F", byCable, rk, ck)
	}
	q := w.loadedQ
	if n.Input.LoadedQ != q.Value {
		q = d.Solved("input."+b.Name+".loaded_q_reachable", "nearest loaded Q that can be matched on "+b.Name, n.Input.LoadedQ, "",
			byReach, q)
		d.Find(ledger.Finding{Severity: ledger.Note, ID: "input." + b.Name + ".loaded_q_reach", Stage: "input",
			Quantities: []string{q.ID},
			Text: ledger.Say("On {on} a loaded Q of {loaded_q} cannot match 50 Ω to the cathodes' {rk}; {loaded_q_2} is used.",
				ledger.OnBand("on", b.Name), ledger.Short("loaded_q", w.loadedQ.Value, 3), ledger.Q("rk", rk),
				ledger.Short("loaded_q_2", n.LoadedQ, 3)), Advice: ledger.Say("Set input.loaded_q accordingly.")})
	}
	var xl *ledger.Quantity
	high, low := rk, rs
	if rk.Value >= rs.Value {
		cb := at("shunt_out_exact", "capacitor on the cathode side", highShuntOut, ledger.With{"Q": q, "f": f, "R_k": rk, "C_k": ck})
		q = at("loaded_q", "loaded Q", highQ, ledger.With{"f": f, "R_k": rk, "C_b": cb, "C_k": ck})
		r2 := at("series_resistance", "cathode side as a series resistance", highSeries, ledger.With{"R_k": rk, "Q_k": q})
		qa := at("coil_quadratic_coefficient", "quadratic coefficient of the equation for the coil", highLoss, ledger.With{"Q_c": qc})
		qb := at("coil_linear_coefficient", "linear coefficient of the equation for the coil", highLinear,
			ledger.With{"R_2": r2, "Q_k": q, "R": rs, "Q_c": qc})
		xl = at("coil_reactance", "reactance of the coil", highReactance, ledger.With{"b": qb, "a": qa, "R_2": r2, "R_k": rk, "R": rs})
		at("shunt_in_exact", "capacitor on the exciter's side", highShuntIn,
			ledger.With{"X_L": xl, "Q_k": q, "R_2": r2, "Q_c": qc, "f": f})
	} else {
		high, low = rs, rk
		at("shunt_in_exact", "capacitor on the exciter's side", lowShuntIn, ledger.With{"Q": q, "f": f, "R": rs})
		a := at("reduced_resistance", "exciter's side as a reduced series resistance", lowSeries,
			ledger.With{"R": rs, "Q": q, "Q_c": qc})
		x := at("cathode_side_q", "Q on the cathode side", lowSideQ, ledger.With{"R_k": rk, "Q_c": qc, "a": a})
		xl = at("coil_reactance", "reactance of the coil", lowReactance, ledger.With{"R": rs, "Q": q, "R_k": rk, "x": x})
		at("shunt_out_exact", "capacitor on the cathode side", lowShuntOut, ledger.With{"x": x, "f": f, "R_k": rk, "C_k": ck})
	}
	at("series_inductance_exact", "coil", coilInductance, ledger.With{"X_L": xl, "f": f})
	if q.Value*q.Value+1-high.Value/low.Value > 0.01 {
		at("high_side_reactance_by_hand", "reactance across the higher resistance, lossless, by hand", handHigh,
			ledger.With{"R_1": high, "Q": q})
		x2 := at("low_side_reactance_by_hand", "reactance across the lower resistance, lossless, by hand", handLow,
			ledger.With{"R_2": low, "R_1": high, "Q": q})
		at("coil_reactance_by_hand", "reactance of the coil, lossless, by hand", handCoil,
			ledger.With{"Q": q, "R_1": high, "R_2": low, "X_2": x2})
	}
}

func (w *worker) band(i int, b Band, exact *network.InputPi) BandResult {
	d, s := w.d, w.d.Spec
	id := func(name string) string { return "input." + b.Name + "." + name }
	on := " on " + b.Name
	w.exact(b, exact)
	own := s.Input.Band[b.Name]

	standard := func(c float64) float64 {
		if c <= 0 {
			return 0
		}
		return w.series.Nearest(c)
	}
	ca, cb := standard(exact.ShuntIn), standard(exact.ShuntOut)
	if own.ShuntIn.Given {
		ca = own.ShuntIn.SI
	}
	if own.ShuntOut.Given {
		cb = own.ShuntOut.SI
	}
	n := exact.With(ca, cb)
	best := n.Inductance
	if r := own.Inductance; r.Given && (best < r.Low || best > r.High) {
		fixCoil(n, math.Min(math.Max(best, r.Low), r.High))
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: id("coil_range"), Stage: "input",
			Quantities: []string{id("series_inductance"), id("swr")},
			Text: ledger.Say("On {on} the input coil should be {best}; its slug covers {low} to {high}, and the SWR stays at "+
				"{input_swr}.", ledger.OnBand("on", b.Name), ledger.Of("best", best, "H"), ledger.Of("low", r.Low, "H"),
				ledger.Of("high", r.High, "H"), ledger.Fixed("input_swr", n.InputSWR, 2)),
			Advice: ledger.Say("Add or take off turns until the best setting lies in the middle of the slug's range.")})
	}
	part := func(name, words string, v float64, given bool, where string) *ledger.Quantity {
		if given {
			return d.Book.Spec(id(name), words+on, v, "F", where)
		}
		return d.Solved(id(name), words+on, v, "F", byStandard, d.Get(id(name+"_exact")))
	}
	qa := part("shunt_in", "capacitor on the exciter's side, as used", ca, own.ShuntIn.Given, s.Where(own.ShuntIn.Origin))
	qb := part("shunt_out", "capacitor on the cathode side, as used", cb, own.ShuntOut.Given, s.Where(own.ShuntOut.Origin))
	ql := d.Solved(id("series_inductance"), "coil, slug set at full drive,"+on, n.Inductance, "H", bySlug, qa, qb)
	parts := []*ledger.Quantity{qa, ql, qb, w.coilQ, w.capacitance, w.in.InputResistance}
	solved := func(name, words string, v float64, unit string, m ledger.Method) *ledger.Quantity {
		return d.Solved(id(name), words+on, v, unit, m, parts...)
	}

	r := BandResult{Band: b, Exact: exact, Network: n, SWR: n.InputSWR}
	cathode := w.in.InputResistance.Value
	r.EdgeSWR = math.Max(n.SWR(b.Low, cathode), n.SWR(b.High, cathode))
	at := func(share float64) float64 {
		if w.in.InputResistanceAt == nil {
			return n.InputSWR
		}
		return n.SWR(b.Centre, w.in.InputResistanceAt(share))
	}
	r.TenthSWR, r.HalfSWR = at(0.1), at(0.5)
	solved("swr", "SWR at the middle of the band, full drive,", r.SWR, "", byLadder)
	solved("swr_edge", "worst SWR at the band edges, full drive,", r.EdgeSWR, "", byLadder)
	solved("swr_half", "SWR at half the drive power", r.HalfSWR, "", byDrive)
	solved("swr_tenth", "SWR at a tenth of the drive power", r.TenthSWR, "", byDrive)
	eta := solved("transmission", "share of the power that reaches the cathodes", n.Transmission, "%", byLadder)
	p0 := d.Compute(id("network_power"), "power into the network for full drive"+on, unattenuated,
		ledger.With{"P_d": w.in.DrivePower, "η": eta})
	pe := d.Compute(id("exciter_power"), "exciter power for full drive"+on, exciterPower, ledger.With{"P_0": p0, "A": w.attenuator})
	r.ExciterPower = pe.Value

	w.corners(&r, own.Inductance)
	parts = append(parts, w.tolerance)
	solved("swr_tolerance", "worst SWR at the middle of the band, capacitors at the ends of their tolerance", r.ToleranceSWR, "",
		byCorner)
	solved("swr_edge_tolerance", "worst SWR at the band edges, capacitors at the ends of their tolerance", r.ToleranceEdgeSWR, "",
		byCorner)
	solved("coil_low", "least inductance that the slug must reach", r.CoilLow, "H", bySpread)
	solved("coil_high", "greatest inductance that the slug must reach", r.CoilHigh, "H", bySpread)
	w.stress(&r, solved)
	w.parts(i, &r, own.ShuntIn.Given, own.ShuntOut.Given, own.Inductance.Given)
	w.match(&r)
	return r
}

// corners sets the slug anew for the capacitors at the ends of their
// tolerance, within the range of the builder's coil if there is one.
func (w *worker) corners(r *BandResult, slug spec.Range) {
	n, cathode, tolerance := r.Network, w.in.InputResistance.Value, w.tolerance.Value
	r.CoilLow, r.CoilHigh, r.ToleranceSWR, r.ToleranceEdgeSWR = n.Inductance, n.Inductance, r.SWR, r.EdgeSWR
	for i := range r.Corners {
		x, y := float64(i%2*2-1), float64(i/2*2-1)
		m := n.With(n.ShuntIn*(1+x*tolerance), n.ShuntOut*(1+y*tolerance))
		r.CoilLow, r.CoilHigh = math.Min(r.CoilLow, m.Inductance), math.Max(r.CoilHigh, m.Inductance)
		if slug.Given {
			fixCoil(m, math.Min(math.Max(m.Inductance, slug.Low), slug.High))
		}
		r.Corners[i] = m
		r.ToleranceSWR = math.Max(r.ToleranceSWR, m.InputSWR)
		r.ToleranceEdgeSWR = math.Max(r.ToleranceEdgeSWR, math.Max(m.SWR(r.Low, cathode), m.SWR(r.High, cathode)))
	}
}

func (w *worker) stress(r *BandResult, solved func(name, words string, v float64, unit string, m ledger.Method) *ledger.Quantity) {
	n := r.Network
	r.Stress = n.Stress(w.in.DrivePower.Value / n.Transmission)
	for i, e := range n.Chain.Elements {
		s := r.Stress[i]
		switch e.Name {
		case network.InputShunt:
			solved("shunt_in_voltage_peak", "peak voltage across the capacitor on the exciter's side", s.VoltagePeak, "V", byLadder)
			solved("shunt_in_current_rms", "current in the capacitor on the exciter's side, rms,", s.CurrentRMS, "A", byLadder)
		case network.InputCoil:
			solved("coil_current_rms", "current in the coil, rms,", s.CurrentRMS, "A", byLadder)
			solved("coil_heat", "heat in the coil at full drive", s.Power, "W", byLadder)
		case network.CathodeShunt:
			solved("shunt_out_voltage_peak", "peak voltage across the capacitor on the cathode side", s.VoltagePeak, "V", byLadder)
			solved("shunt_out_current_rms", "current in the capacitor on the cathode side, rms,", s.CurrentRMS, "A", byLadder)
		}
	}
}

// Above these the exciter is likely to fold its power back (common practice).
const (
	highCentreSWR = 1.3
	highEdgeSWR   = 2.0
)

// match reports what the exciter will not like.
func (w *worker) match(r *BandResult) {
	if r.SWR > highCentreSWR {
		w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "input." + r.Name + ".swr", Stage: "input",
			Quantities: []string{"input." + r.Name + ".swr", "input." + r.Name + ".shunt_in", "input." + r.Name + ".shunt_out"},
			Text: ledger.Say("On {on} the input SWR is {swr} at the middle of the band at best.", ledger.OnBand("on", r.Name),
				ledger.Fixed("swr", r.SWR, 2)),
			Advice: ledger.Say("Capacitors nearer to {shunt_in} on the exciter's side and {shunt_out} on the cathode side bring "+
				"it down.", ledger.Of("shunt_in", r.Exact.ShuntIn, "F"), ledger.Of("shunt_out", r.Exact.ShuntOut, "F"))})
	}
	if r.SWR <= highCentreSWR && r.ToleranceSWR > highCentreSWR {
		w.d.Find(ledger.Finding{Severity: ledger.Note, ID: "input." + r.Name + ".swr_tolerance", Stage: "input",
			Quantities: []string{"input." + r.Name + ".swr_tolerance", w.tolerance.ID},
			Text: ledger.Say("On {on} capacitors at the ends of ±{tolerance} leave an SWR of {tolerance_swr} at the middle of "+
				"the band, the slug set as well as it can be.", ledger.OnBand("on", r.Name), ledger.Q("tolerance", w.tolerance),
				ledger.Fixed("tolerance_swr", r.ToleranceSWR, 2)),
			Advice: ledger.Say("Measure several and pick, or buy a closer grade.")})
	}
	if r.EdgeSWR > highEdgeSWR && r.EdgeSWR > 1.1*r.SWR {
		w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "input." + r.Name + ".swr_edge", Stage: "input",
			Quantities: []string{"input." + r.Name + ".swr_edge"},
			Text: ledger.Say("On {on} the input SWR rises to {edge_swr} at the band edge; many exciters fold their power back "+
				"above 2.", ledger.OnBand("on", r.Name), ledger.Fixed("edge_swr", r.EdgeSWR, 2)),
			Advice: ledger.Say("Lower input.loaded_q, or set the slug for the part of the band that is used.")})
	}
}
