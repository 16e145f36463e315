package tank

import (
	"fmt"
	"math"
	"strings"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/network"
)

// worker carries what all bands share while they are written down.
type worker struct {
	d  *desk.Desk
	in Input

	piL                                   bool
	outputEach, stray, tubes              *ledger.Quantity
	load, minimum, retune, middle, coilQ2 *ledger.Quantity
	loadedQ, tuneQ, loadCapQ              *ledger.Quantity
	rollerOf                              *shape
}

// Solve writes the output network into the book. An error says that no tank
// can be built from the input at all; everything else becomes findings.
func Solve(d *desk.Desk, in Input) (Result, error) {
	if len(in.Networks) != len(in.Bands) || len(in.Bands) == 0 {
		return Result{}, fmt.Errorf("the tank needs one network for each of %d bands, and at least one band", len(in.Bands))
	}
	if len(in.AnodeCurrents) < 7 {
		return Result{}, fmt.Errorf("the tank needs the anode current's harmonics 1 to 7, not %d of them", len(in.AnodeCurrents))
	}
	w := &worker{d: d, in: in, piL: in.Networks[0].Input.PiL}
	w.shared()
	r := Result{LeastOutput: math.Inf(1)}
	for i := range in.Bands {
		b := w.band(in.Bands[i], in.Networks[i])
		if b.OutputPower < r.LeastOutput {
			r.LeastOutput, r.LeastBand = b.OutputPower, b.Name
		}
		r.Coil = math.Max(r.Coil, b.Tank.Inductance)
		r.Bands = append(r.Bands, b)
	}
	w.coil(&r)
	w.capacitors(&r)
	w.ratings(&r)
	w.findings(&r)
	return r, nil
}

func (w *worker) shared() {
	d, s := w.d, w.d.Spec
	w.tubes = d.Tubes("tank")
	w.outputEach = d.CapacitanceEach("tank", "output", w.in.Type, w.in.Type.Capacitance.Output, unknownOutputCapacitance)
	w.stray = d.Take("tank.stray_capacitance", "stray capacitance at the plates", "F", s.Tank.Stray)
	d.Compute("tank.tube_capacitance", "capacitance at the plates", plateCapacitance,
		ledger.With{"n": w.tubes, "C_out": w.outputEach, "C_s": w.stray})
	w.load = d.Solved("tank.load_resistance", "rated load at the connector", LoadResistance, "Ω",
		desk.Derived("The amplifier is designed for a 50 Ω load."))
	w.tuneQ = d.TakeRatio("tank.tune_q", "Q of the tune capacitor", s.Tank.Tune.Q)
	w.loadCapQ = d.TakeRatio("tank.load_q", "Q of the load capacitor", s.Tank.Load.Q)
	if c := s.Tank.Tune.Capacitance; c.Given {
		w.minimum = d.Book.Spec("tank.tune_minimum", "least tune capacitance", c.Low, "F", s.Where(c.Origin))
	} else {
		w.minimum = d.Assume("tank.tune_minimum", "least tune capacitance", assumedMinimum, "F", "tank.tune.range",
			ledger.Say("common practice: even a small variable capacitor keeps about 10 pF at its minimum, its own strays counted"))
	}
	w.loadedQ = d.TakeRatio("tank.loaded_q_wanted", "loaded Q wanted", s.Tank.LoadedQ)
	w.retune = d.Solved("tank.retune_swr", "SWR at the plates up to which the tank is left alone", network.RetuneSWR, "",
		ledger.Method{Words: ledger.Say("A convention of this notebook: there is no standard for it."), Source: source.CommonPractice})
	if w.piL {
		w.coilQ2 = d.TakeRatio("tank.output_coil_q", "unloaded Q of the output coil", s.Tank.OutputCoilQ)
		if s.Tank.Middle.Given {
			w.middle = d.Take("tank.intermediate_resistance", "intermediate resistance", "Ω", s.Tank.Middle)
		} else {
			usual := d.Take("tank.intermediate_resistance_usual", "usual intermediate resistance", "Ω", s.Tank.Middle)
			w.middle = d.Compute("tank.intermediate_resistance", "intermediate resistance", intermediate,
				ledger.With{"R_0": usual, "R_p": w.in.PlateLoad, "R": w.load})
		}
	}
}

// Numerical methods of this stage.
var (
	byLadder = ledger.Method{Source: source.LadderAnalysis,
		Words: ledger.Say("The whole chain of tubes, plate choke, blocking capacitor, tune capacitor, lossy coil, load capacitor and " +
			"load as a ladder (ABCD) at this frequency; exact.")}
	bySWR = ledger.Method{Source: source.LadderAnalysis,
		Words: ledger.Say("The same ladder with the antenna at the stated SWR, the settings and the forward power left alone: the " +
			"worst over all phases, each figure at its own. An upper bound: a tube gives less into a detuned tank.")}
	byHarmonics = ledger.Method{Source: source.LadderAnalysis,
		Words: ledger.Say("The harmonic of the anode current as a current source at the plates, through the ladder into 50 Ω at that " +
			"frequency. Lead inductance, coil resonances and the antenna's own impedance there are not in it: measure before trusting " +
			"the " +
			"last decibels.")}
	byBandwidth = ledger.Method{Source: source.CommonPractice,
		Words: ledger.Say("Span around the middle of the band in which the plates see no more than the SWR at which one retunes, by " +
			"bisection on the ladder.")}
	byReach = ledger.Method{Source: source.LadderAnalysis,
		Words: ledger.Say("The loaded Q wanted cannot be matched; the nearest that can, with 2 % to spare, by bisection on the closed " +
			"form.")}
)

func (w *worker) band(b Band, t *network.Tank) BandResult {
	d, in := w.d, &w.in
	id := func(name string) string { return "tank." + b.Name + "." + name }
	on := " on " + b.Name
	at := func(name, words string, f *ledger.Formula, with ledger.With) *ledger.Quantity {
		return d.Compute(id(name), words+on, f, with)
	}

	f := d.Catalogue(id("frequency"), "middle of the band "+b.Name, b.Centre, "Hz", "rule set "+d.Spec.Notebook.Rules.Value)
	rp := in.PlateLoad
	plates := at("tube_capacitance", "capacitance at the plates", plateCapacitance,
		ledger.With{"n": w.tubes, "C_out": w.outputEach, "C_s": w.stray})
	loaded, coil := wanted(d.Spec, b.Name)
	q0 := w.loadedQ
	if loaded.Key != d.Spec.Tank.LoadedQ.Key {
		q0 = d.TakeRatio(id("loaded_q_wanted"), "loaded Q wanted"+on, loaded)
	}
	if t.Input.LoadedQ != loaded.Value {
		q0 = d.Solved(id("loaded_q_reachable"), "nearest loaded Q that can be matched"+on, t.Input.LoadedQ, "", byReach, q0)
	}
	qc := d.TakeRatio(id("coil_q"), "unloaded Q of the coil"+on, coil)
	minimum := w.minimum
	if all := d.Spec.Tank.Tune.Sections.N; d.Spec.Tank.Tune.Capacitance.Given && all > 1 {
		k := tuneSections(d.Spec, b, loaded.Value, rp.Value, t.Input.TubeCapacitance)
		minimum = w.sections(b.Name, "tune", "tune capacitor", k, all, w.minimum)
	}
	qmin := at("loaded_q_least", "loaded Q with the tune capacitor at its minimum", leastQ,
		ledger.With{"f": f, "R_p": rp, "C_p": plates, "C_min": minimum})
	q := at("loaded_q", "loaded Q", loadedQ, ledger.With{"Q_0": q0, "Q_min": qmin})
	c1 := at("tune_capacitance", "tune capacitance", tuneCapacitance, ledger.With{"Q": q, "f": f, "R_p": rp, "C_p": plates})
	bp := at("plate_susceptance", "susceptance behind tubes and choke", plateSusceptance,
		ledger.With{"f": f, "L_c": in.ChokeInductance, "C_p": plates})
	rb := at("blocked_resistance", "series resistance behind the plates", blockedResistance, ledger.With{"R_p": rp, "B_p": bp})
	xb := at("blocked_reactance", "series reactance behind the blocking capacitor", blockedReactance,
		ledger.With{"f": f, "C_b": in.Blocking, "R_p": rp, "B_p": bp, "R_b": rb})
	b3 := at("coil_side_susceptance", "susceptance from the coil on", tunedSusceptance,
		ledger.With{"X_b": xb, "R_b": rb, "f": f, "C_1": c1})
	g3 := at("coil_side_conductance", "conductance from the coil on", tunedConductance,
		ledger.With{"R_b": rb, "X_b": xb, "f": f, "C_1": c1, "Q_t": w.tuneQ})
	r3 := at("coil_side_resistance", "series resistance from the coil on", coilResistance, ledger.With{"G_3": g3, "B_3": b3})
	x3 := at("coil_side_reactance", "series reactance from the coil on", coilReactance, ledger.With{"B_3": b3, "G_3": g3})
	a := at("reduced_resistance", "reduced resistance", reducedResistance, ledger.With{"R_3": r3, "X_3": x3, "Q_c": qc})

	rm, rd := w.load, w.load
	var b2, l2 *ledger.Quantity
	if w.piL {
		rm = w.middle
		qa := at("output_quadratic_coefficient", "quadratic coefficient of the equation for the output coil", outputLoss,
			ledger.With{"Q_2": w.coilQ2})
		qb := at("output_linear_coefficient", "linear coefficient of the equation for the output coil", outputLinear,
			ledger.With{"R_m": rm, "R": w.load, "Q_2": w.coilQ2})
		x2 := at("output_reactance", "reactance of the output coil", outputReactance,
			ledger.With{"b": qb, "a": qa, "R": w.load, "R_m": rm})
		l2 = at("output_inductance", "output coil", outputInductance, ledger.With{"X_2": x2, "f": f})
		b2 = at("output_susceptance", "susceptance of output coil and load", outputSusceptance,
			ledger.With{"X_2": x2, "R": w.load, "Q_2": w.coilQ2})
		rd = at("load_side_resistance", "parallel resistance at the load capacitor", middleResistanceLossy,
			ledger.With{"R_m": rm, "B_2": b2, "Q_l": w.loadCapQ})
		d.TakeRatio(id("output_coil_q"), "unloaded Q of the output coil"+on, d.Spec.Tank.OutputCoilQ)
	}
	la := at("load_quadratic_coefficient", "quadratic coefficient of the equation for the load capacitor", loadQuadratic,
		ledger.With{"a": a, "Q_l": w.loadCapQ})
	lb := at("load_linear_coefficient", "linear coefficient of the equation for the load capacitor", loadLinear,
		ledger.With{"R_d": rd, "Q_l": w.loadCapQ, "Q_c": qc, "a": a})
	x := at("load_side_q", "Q on the load side", loadQ, ledger.With{"b": lb, "A": la, "R_d": rd, "a": a})
	xm := at("load_side_reactance", "series reactance on the load side", loadReactance,
		ledger.With{"R_d": rd, "x": x, "Q_l": w.loadCapQ})
	l := at("inductance", "tank coil", inductance, ledger.With{"X_3": x3, "X_m": xm, "f": f})
	var c2 *ledger.Quantity
	if w.piL {
		c2 = at("load_capacitance", "load capacitance", loadCapacitancePiL, ledger.With{"x": x, "R_d": rd, "B_2": b2, "f": f})
	} else {
		c2 = at("load_capacitance", "load capacitance", loadCapacitance, ledger.With{"x": x, "f": f, "R_d": rd})
	}
	parts := []*ledger.Quantity{plates, in.ChokeInductance, in.Blocking, c1, w.tuneQ, l, qc, c2, w.loadCapQ}
	if w.piL {
		parts = append(parts, l2, w.coilQ2)
	}
	w.byHand(b.Name, f, q, qc, rm)

	solved := func(name, words string, v float64, unit string, m ledger.Method) *ledger.Quantity {
		return d.Solved(id(name), words+on, v, unit, m, parts...)
	}
	solved("plate_resistance", "resistance that the plates see", t.PlateResistance, "Ω", byLadder)
	solved("plate_reactance", "reactance that the plates see", snap(t.PlateReactance, rp.Value), "Ω", byLadder)
	eta := solved("efficiency", "efficiency of the tank", t.Efficiency, "%", byLadder)
	po := at("output_power", "output at the connector, PEP", outputPower, ledger.With{"η": eta, "P": in.PlateOutput})

	r := BandResult{Band: b, Tank: t, OutputPower: po.Value}
	w.stress(&r, solved)
	w.heats(b.Name, f, l, qc, l2)

	for i, level := range t.Harmonics(in.AnodeCurrents[:7])[1:] {
		const floor = -250 // dB, for a harmonic without current
		level = math.Max(level, floor)
		if math.IsNaN(level) {
			level = floor
		}
		r.Harmonics = append(r.Harmonics, level)
		solved(fmt.Sprintf("harmonic%d", i+2), ordinal[i]+" harmonic in 50 Ω", level, "dB", byHarmonics)
	}
	low, high, ok := t.Bandwidth(network.RetuneSWR)
	if !ok {
		low, high = math.Max(low, b.Centre/2), math.Min(high, 2*b.Centre)
	}
	d.Solved(id("bandwidth"), "bandwidth before retuning"+on, high-low, "Hz", byBandwidth, append(parts, w.retune)...)
	at("bandwidth_by_hand", "bandwidth of a single circuit of the same Q", handBandwidth, ledger.With{"f": f, "Q": q, "s": w.retune})
	r.Edges = w.edges(b, t)
	w.edgeSettings(b, r.Edges, parts)
	return r
}

var byEdge = ledger.Method{Source: source.LadderAnalysis,
	Words: ledger.Say("The coil left at its tap, loaded Q is what has to give: the settings that show the plates their load at the " +
		"band edge, by secants on the closed form.")}

// edgeSettings writes down what the knobs must be set to at the band edges.
func (w *worker) edgeSettings(b Band, list []Setting, parts []*ledger.Quantity) {
	for _, e := range list {
		end, words := "_low", " at the lower edge of "+b.Name
		if e.Frequency > b.Centre {
			end, words = "_high", " at the upper edge of "+b.Name
		}
		id := "tank." + b.Name + "."
		w.d.Solved(id+"tune_capacitance"+end, "tune capacitance"+words, e.Tune, "F", byEdge, parts...)
		w.d.Solved(id+"load_capacitance"+end, "load capacitance"+words, e.Load, "F", byEdge, parts...)
		w.d.Solved(id+"loaded_q"+end, "loaded Q"+words, e.LoadedQ, "", byEdge, parts...)
	}
}

// heats writes reactive power and heat of every part at PEP into 50 Ω, and the
// mean heat in the service wanted where the tubes' mean output is known.
func (w *worker) heats(band string, f, l, qc, l2 *ledger.Quantity) {
	d := w.d
	id := func(name string) string { return "tank." + band + "." + name }
	average, known := d.Lookup("tubes.output_average")
	service := func(key, words string, heat *ledger.Quantity) {
		if known {
			d.Compute(id(key+"_heat_service"), "mean heat in the "+words+" in service on "+band, serviceHeat,
				ledger.With{"P_k": heat, "P_a": average, "P": w.in.PlateOutput})
		}
	}
	coil := func(key, words string, l, q *ledger.Quantity) {
		service(key, words, d.Compute(id(key+"_heat"), "heat in the "+words+" at PEP on "+band, coilHeat,
			ledger.With{"I": d.Get(id(key + "_current_rms")), "f": f, "L": l, "Q_c": q}))
	}
	coil("coil", "tank coil", l, qc)
	if w.piL {
		coil("output_coil", "output coil", l2, w.coilQ2)
	}
	for _, k := range []struct {
		key, words string
		q          *ledger.Quantity
	}{{"tune", "tune capacitor", w.tuneQ}, {"load", "load capacitor", w.loadCapQ}} {
		s := d.Compute(id(k.key+"_kva"), "reactive power of the "+k.words+" at PEP on "+band, reactivePower,
			ledger.With{"V": d.Get(id(k.key + "_voltage_peak")), "I": d.Get(id(k.key + "_current_rms"))})
		heat := d.Compute(id(k.key+"_heat"), "heat in the "+k.words+" at PEP on "+band, capacitorHeat, ledger.With{"S": s, "Q_k": k.q})
		service(k.key, k.words, heat)
	}
}

// sections enters how many sections of a capacitor are in use on a band and
// returns what of its capacitance they are.
func (w *worker) sections(band, key, name string, inUse, all int, of *ledger.Quantity) *ledger.Quantity {
	m, ok := w.d.Lookup("tank." + key + "_sections")
	if !ok {
		c := w.d.Spec.Tank.Tune.Sections
		if key == "load" {
			c = w.d.Spec.Tank.Load.Sections
		}
		m = w.d.TakeCount("tank."+key+"_sections", "sections of the "+name, c)
	}
	k, ok := w.d.Lookup("tank." + band + "." + key + "_sections")
	if !ok {
		k = w.d.Solved("tank."+band+"."+key+"_sections", "sections of the "+name+" in use on "+band, float64(inUse), "",
			ledger.Method{Words: ledger.Say("As many as can still be opened far enough for the upper band edge; one at least."),
				Source: source.CommonPractice}, of)
	}
	tail := strings.TrimPrefix(of.ID, "tank."+key)
	return w.d.Compute("tank."+band+"."+key+tail, of.Name+" on "+band, sectionsInUse, ledger.With{"C": of, "k": k, "m": m})
}

// snap takes rounding noise for the zero that it is: 1e-9 of the plate load.
func snap(x, scale float64) float64 {
	if math.Abs(x) < 1e-9*scale {
		return 0
	}
	return x
}

var ordinal = []string{"second", "third", "fourth", "fifth", "sixth", "seventh"}

// byHand writes the textbook's lossless network beside the exact one, where
// the textbook's formula has a solution.
func (w *worker) byHand(band string, f, q, qc, rm *ledger.Quantity) {
	d, rp := w.d, w.in.PlateLoad
	at := func(name, words string, f *ledger.Formula, with ledger.With) *ledger.Quantity {
		return d.Compute("tank."+band+"."+name+"_by_hand", words+" by hand on "+band, f, with)
	}
	at("efficiency", "efficiency", handEfficiency, ledger.With{"Q": q, "Q_c": qc})
	at("plate_voltage_peak", "RF voltage at the plates", handPlateVoltage, ledger.With{"P": w.in.PlateOutput, "R_p": rp})
	at("coil_current", "coil current", handCoilCurrent, ledger.With{"P": w.in.PlateOutput, "R_p": rp, "Q": q})
	x1 := at("tune_reactance", "reactance of all capacitance at the plates", handTune, ledger.With{"R_p": rp, "Q": q})
	at("plate_side_capacitance", "all capacitance at the plates", handCapacitance, ledger.With{"f": f, "X_C": x1})
	if q.Value*q.Value+1-rp.Value/rm.Value < 0.01 {
		return
	}
	xc := at("load_reactance", "reactance of the load capacitor", handLoad, ledger.With{"R": rm, "R_p": rp, "Q": q})
	xl := at("coil_reactance", "reactance of the coil", handCoil, ledger.With{"Q": q, "R_p": rp, "R": rm, "X_C2": xc})
	at("inductance", "tank coil", handInductance, ledger.With{"X_L": xl, "f": f})
	if w.piL {
		x2 := at("output_reactance", "reactance of the output coil", handOutputCoil, ledger.With{"R": w.load, "R_m": rm})
		at("output_inductance", "output coil", handInductance, ledger.With{"X_L": x2, "f": f})
		xc = at("load_reactance_total", "reactance of the whole load capacitor", handLoadPiL,
			ledger.With{"X_Cp": xc, "R_m": rm, "R": w.load})
	}
	at("load_capacitance", "load capacitance", handCapacitance, ledger.With{"f": f, "X_C": xc})
}

// stress writes what each element bears.
func (w *worker) stress(r *BandResult, solved func(name, words string, v float64, unit string, m ledger.Method) *ledger.Quantity) {
	r.Flat = r.Tank.Stress(r.OutputPower)
	r.Mismatched = r.Tank.StressAtSWR(r.OutputPower, w.in.SWR.Value)
	for i, e := range r.Tank.Chain.Elements {
		key, words := "", ""
		switch e.Name {
		case network.TuneCapacitor:
			key, words = "tune", "tune capacitor"
		case network.TankCoil:
			key, words = "coil", "tank coil"
		case network.LoadCapacitor:
			key, words = "load", "load capacitor"
		case network.OutputCoil:
			key, words = "output_coil", "output coil"
		default:
			continue
		}
		for _, c := range []struct {
			s           network.Stress
			tail, words string
			m           ledger.Method
		}{{r.Flat[i], "", " at PEP into 50 Ω", byLadder}, {r.Mismatched[i], "_swr", " at the worst phase of the SWR", bySWR}} {
			solved(key+"_voltage_peak"+c.tail, "peak RF voltage across the "+words+c.words, c.s.VoltagePeak, "V", c.m)
			solved(key+"_current_rms"+c.tail, "RF current in the "+words+", rms,"+c.words, c.s.CurrentRMS, "A", c.m)
		}
	}
}

// edges finds the settings at both ends of the band with the coil left at its
// tap: loaded Q is what has to give. Secants in the logarithms of Q and L.
func (w *worker) edges(b Band, t *network.Tank) []Setting {
	var list []Setting
	for _, f := range []float64{b.Low, b.High} {
		in := t.Input
		in.Frequency, in.MinimumTune = f, 0
		coil := func(q float64) (*network.Tank, float64) {
			in.LoadedQ = q
			x, err := network.DesignTank(in)
			if err != nil || x.HeldAtMinimum {
				return nil, 0
			}
			return x, math.Log(x.Inductance / t.Inductance)
		}
		q0, q1 := t.LoadedQ, t.LoadedQ*f/b.Centre
		if f == b.Centre {
			q1 = q0 * 1.01
		}
		x, y0 := coil(q0)
		for n := 0; x != nil && n < 12; n++ {
			var y1 float64
			x, y1 = coil(q1)
			if x == nil || math.Abs(y1) < 1e-7 || y1 == y0 {
				break
			}
			q2 := math.Exp(math.Log(q1) - y1*math.Log(q1/q0)/(y1-y0))
			q0, y0, q1 = q1, y1, q2
		}
		if x != nil && math.Abs(x.Inductance/t.Inductance-1) < 1e-4 {
			list = append(list, Setting{f, x.TuneCapacitance, x.LoadCapacitance, x.LoadedQ})
		}
	}
	return list
}

// words joins a list for a sentence.
func words(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + " and " + list[len(list)-1]
}
