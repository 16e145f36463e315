package measured

import (
	"fmt"
	"math"
	"math/cmplx"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/format/touchstone"
	"anodebook/compute/ledger"
)

const (
	worthRetuning = 1.5  // SWR in the middle of the band from which on one retunes (common practice, as for the bandwidth)
	tooNear       = 0.05 // of a band edge, for a series resonance of the choke
	near          = 0.15 // the same, for a warning
	passive       = 1.03 // greatest reflection of a passive network, with the analyser's error
)

var (
	byAnalysis = ledger.Method{Source: source.LadderAnalysis,
		Words: ledger.Say("The computed network, element by element, seen from the port where the analyser was connected, with the " +
			"resistor at its other end.")}
	byDeviation = ledger.Method{Source: source.CircuitLaws,
		Words: ledger.Say("Root mean square over the band of what separates the measured from the computed reflection (of a two-port: " +
			"all four scattering parameters), each referred to the resistance that the port shall see; the measurement is interpolated " +
			"linearly and never beyond its ends.")}
	byFit = ledger.Method{Source: source.CircuitLaws,
		Words: ledger.Say("The one change of one part that brings the computed network nearest to the measured one over the band: " +
			"least squares of the scattering parameters, by the method of Gauss and Newton. It counts as the cause where it leaves no " +
			"more than a tenth of the squared deviation, and less than 0.03 rms.")}

	susceptance = ledger.MustFormula("B = -X / (pow(R, 2) + pow(X, 2))", source.CircuitLaws,
		"B [S] susceptance", "X [Ω] reactance", "R [Ω] resistance")
	strayByHand = ledger.MustFormula("C_x = (B_m - B_c) / (2 * π * f)", source.CircuitLaws,
		"C_x [F] capacitance that the port has more than computed", "B_m [S] measured susceptance", "B_c [S] computed susceptance",
		"f [Hz] frequency")
)

func percent(share float64) ledger.Sentence {
	return ledger.Say("{share}", ledger.OfDigits("share", share, "%", 2))
}

// enter writes quantities and findings into the book.
func (p *Part) enter(d *desk.Desk, in Input) {
	id := "measured." + p.Name
	where := d.Spec.Where(d.Spec.Measured[p.Name].File.Origin)
	find := func(what string, severity ledger.Severity, text, advice ledger.Sentence, quantities ...string) {
		d.Find(ledger.Finding{Severity: severity, ID: id + "." + what, Stage: "measured",
			Text: text, Advice: advice,
			Quantities: quantities})
	}
	if p.Absent {
		find("absent", ledger.Note, ledger.Say("The file of {p} was not read, so nothing is laid over what is computed.",
			ledger.Called("p", p.Name)), ledger.Sentence{})
		return
	}
	if p.Of == "plate_choke" {
		p.enterSeries(d, in, id, where, find)
	}
	p.checkPassive(find)
	if !(p.High > p.Low) {
		low, high := p.data.Span()
		find("span", ledger.Caution,
			ledger.Say("{p} was measured from {low} to {high}; {on} lies outside, and nothing is extrapolated.",
				ledger.Called("p", p.Name),
				ledger.Of("low", low, "Hz"), ledger.Of("high", high, "Hz"), ledger.OnBand("on", p.Band.Name)),
			ledger.Say("Measure over the band, with room on both sides."))
		return
	}
	dev := d.Solved(id+".deviation", "measurement "+p.Name+", deviation over the band, rms", p.Deviation, "", byDeviation)
	var swr float64
	for _, r := range p.Rows {
		if r.Where == "middle" {
			swr = SWR(r.Measured[0][0])
			if p.Ports == 1 {
				p.middle(d, id, where, r)
			}
		}
	}
	head := ledger.Say("{p}: over {on} the measured reflection is off the computed one by {deviation} (rms)",
		ledger.Called("p", p.Name), ledger.OnBand("on", p.Band.Name), ledger.Short("deviation", p.Deviation, 2))
	if p.Ports == 2 {
		head = ledger.Say("{p}: over {on} the measured scattering parameters are off the computed ones by {deviation} (rms)",
			ledger.Called("p", p.Name), ledger.OnBand("on", p.Band.Name), ledger.Short("deviation", p.Deviation, 2))
	}
	if p.Deviation <= Uncertainty {
		find("deviation", ledger.Note, ledger.Say("{head}, no more than an analyser's own uncertainty: built as computed.",
			ledger.In("head", head)), ledger.Sentence{}, dev.ID)
		return
	}
	severity := ledger.Note
	if p.Of != "plate_choke" && swr >= worthRetuning {
		severity = ledger.Caution
		head = head.Append(ledger.Say(", the SWR there in the middle of the band is {swr}", ledger.Fixed("swr", swr, 2)))
	}
	ids := []string{dev.ID}
	var words []ledger.Sentence
	for _, c := range p.Causes[:p.Explained] {
		q := d.Solved(id+"."+c.Name, "measurement "+p.Name+", fitted change: "+c.Words, c.Value, c.Unit, byFit, dev)
		ids = append(ids, q.ID)
		words = append(words, c.Change())
	}
	switch p.Explained {
	case 0:
		best := ledger.Sentence{}
		if len(p.Causes) > 0 {
			best = ledger.Say(" (the best, {change}, still leaves {left} of the squared deviation)",
				ledger.In("change", p.Causes[0].Change()), ledger.In("left", percent(p.Causes[0].Left)))
		}
		find("deviation", severity, ledger.Say("{head}. No one change of one part explains it{best}.", ledger.In("head", head),
			ledger.In("best", best)),
			ledger.Say("Look for more than one cause: settings other than computed, another resistor at the far end, long leads on "+
				"it, the calibration."), ids...)
	case 1:
		find("deviation", severity, ledger.Say("{head}. One change explains it: {words}; {left} of the squared deviation is left.",
			ledger.In("head", head), ledger.In("words", words[0]),
			ledger.In("left", percent(p.Causes[0].Left))), p.advice(p.Causes[0]), ids...)
	default:
		find("deviation", severity,
			ledger.Say("{head}. Each of these by itself explains it, and over this span they cannot be told apart: {words}.",
				ledger.In("head", head), ledger.Alternatives("words", words...)),
			ledger.Say("Measure over a wider span, or from the other end."), ids...)
	}
}

// Change says in words what the cause is: "6.0 pF more capacitance …".
func (c Cause) Change() ledger.Sentence {
	more := "more "
	if c.Value < 0 {
		more = "less "
	}
	if c.Name == "resonance_shift" {
		more = map[string]string{"more ": "higher ", "less ": "lower "}[more]
	}
	return ledger.Say("{c} {more}{words}", ledger.OfDigits("c", math.Abs(c.Value), c.Unit, 2), ledger.Called("more", more),
		ledger.Called("words", c.Words))
}

func (p *Part) advice(c Cause) ledger.Sentence {
	size := ledger.Say("{c}", ledger.OfDigits("c", math.Abs(c.Value), c.Unit, 2))
	switch {
	case c.Name == "plate_capacitance" && c.Value > 0:
		return ledger.Say("Stray capacitance of plates, choke, coil and wiring to the chassis: set C1 {size} below the computed "+
			"value, and add {size} to tank.stray_capacitance. On the highest band it may be more than C1 can be opened.",
			ledger.In("size", size))
	case c.Name == "plate_capacitance":
		return ledger.Say("The strays are smaller than assumed, or C1 stood lower: set C1 {size} above the computed value, or take "+
			"{size} off tank.stray_capacitance.", ledger.In("size", size))
	case c.Name == "coil_change" && p.Of == "tank":
		return ledger.Say("Move the tap, a few per cent of the turns at a time, power off and plug out; shorted turns and metal near " +
			"the coil lower its inductance.")
	case c.Name == "coil_change":
		return ledger.Say("Turn the slug.")
	case c.Name == "load_capacitance":
		return ledger.Say("The setting of C2, or its padder, is off by {size}.", ledger.In("size", size))
	case c.Name == "coil_loss":
		return ledger.Say("Look for a bad contact of the band switch or a tap, a lossy form, or metal near the coil: what it loses " +
			"heats it at full output. With less loss than assumed raise the coil's Q in the spec.")
	case c.Name == "output_coil_change":
		return ledger.Say("Move the tap of the output coil, power off and plug out.")
	case c.Name == "cathode_capacitance":
		return ledger.Say("Sockets, wiring and filament choke: write it into input.stray_capacitance ({size} apart from what is there "+
			"now).", ledger.In("size", size))
	case c.Name == "input_capacitance":
		return ledger.Say("Measure that capacitor out of circuit, and look for a cable that counts as capacitance.")
	case c.Name == "choke_change":
		return ledger.Say("Write the measured inductance into plate_feed.choke.")
	}
	return ledger.Say("Judge the choke's resonances by the measurement, not by the computed ones.")
}

// middle enters what was measured in the middle of the band.
func (p *Part) middle(d *desk.Desk, id, where string, r Row) {
	m, c := p.Impedance(r.Measured), p.Impedance(r.Computed)
	if cmplx.IsInf(m) || cmplx.IsNaN(m) || cmplx.IsInf(c) || cmplx.IsNaN(c) {
		return
	}
	rm := d.Book.Spec(id+".resistance", "measurement "+p.Name+", measured resistance in the middle of the band", real(m), "Ω", where)
	xm := d.Book.Spec(id+".reactance", "measurement "+p.Name+", measured reactance there", imag(m), "Ω", where)
	rc := d.Solved(id+".resistance_computed", "measurement "+p.Name+", computed resistance there", real(c), "Ω", byAnalysis)
	xc := d.Solved(id+".reactance_computed", "measurement "+p.Name+", computed reactance there", imag(c), "Ω", byAnalysis)
	if p.Port != "plates" && p.Port != "cathodes" || real(m) == 0 && imag(m) == 0 || real(c) == 0 && imag(c) == 0 {
		return
	}
	f := d.Book.Spec(id+".frequency", "measurement "+p.Name+", middle of the band", r.Frequency, "Hz", where)
	bm := d.Compute(id+".susceptance", "measurement "+p.Name+", measured susceptance", susceptance, ledger.With{"X": xm, "R": rm})
	bc := d.Compute(id+".susceptance_computed", "measurement "+p.Name+", computed susceptance", susceptance,
		ledger.With{"X": xc, "R": rc})
	d.Compute(id+".capacitance_by_hand",
		"measurement "+p.Name+", capacitance at the port beyond the computed, by hand in the middle of the band", strayByHand,
		ledger.With{"B_m": bm, "B_c": bc, "f": f})
}

type finder func(what string, severity ledger.Severity, text, advice ledger.Sentence, quantities ...string)

// checkPassive finds measurements that no passive network can give.
func (p *Part) checkPassive(find finder) {
	worst, at := 0.0, 0.0
	for _, x := range p.data.Points {
		for k := range p.Ports {
			if r := cmplx.Abs(x.Matrix[k][k]); r > worst && x.Frequency >= p.Band.Low && x.Frequency <= p.Band.High {
				worst, at = r, x.Frequency
			}
		}
	}
	if worst > passive {
		find("not_passive", ledger.Caution,
			ledger.Say("{name}: at {frequency} more power comes back than was sent (reflection {reflection}); no coil and capacitor "+
				"can do that.",
				ledger.Called("name", p.Name), ledger.OfDigits("frequency", at, "Hz", 4), ledger.Short("reflection", worst, 3)),
			ledger.Say("Calibrate the analyser at the very end of the leads and measure again before drawing conclusions."))
	}
}

// enterSeries holds the measured series resonances of the plate choke against
// the bands.
func (p *Part) enterSeries(d *desk.Desk, in Input, id, where string, find finder) {
	low, high := p.data.Span()
	covered := true
	for _, b := range in.Bands {
		covered = covered && low <= b.Low*(1-near) && high >= b.High*(1+near)
	}
	var inBand, close, all []ledger.Sentence
	var ids []string
	for i, f := range p.Series {
		if i == 12 {
			break
		}
		q := d.Book.Spec(fmt.Sprintf("%s.series_resonance_%d", id, i+1),
			fmt.Sprintf("measurement %s, series resonance no. %d", p.Name, i+1), f, "Hz", where)
		ids, all = append(ids, q.ID), append(all, ledger.Say("{frequency}", ledger.Q("frequency", q)))
		for _, b := range in.Bands {
			switch {
			case f > b.Low*(1-tooNear) && f < b.High*(1+tooNear):
				inBand = append(inBand, ledger.Say("{frequency} ({on})", ledger.Q("frequency", q), ledger.OnBand("on", b.Name)))
			case f > b.Low*(1-near) && f < b.High*(1+near):
				close = append(close, ledger.Say("{frequency} ({on})", ledger.Q("frequency", q), ledger.OnBand("on", b.Name)))
			}
		}
	}
	advice := ledger.Say("Take turns off the winding or split it until no series resonance lies within 15 % of a band, and measure " +
		"again in " +
		"place, plug pulled and supply discharged, before high voltage is ever applied.")
	span := []ledger.Bound{ledger.Of("low", low, "Hz"), ledger.Of("high", high, "Hz")}
	switch {
	case len(inBand) > 0:
		find("series_resonance", ledger.Exceeds,
			ledger.Say("The plate choke was measured to be series resonant at {where}, within 5 % of a band: there it shorts the tank "+
				"and burns.", ledger.List("where", inBand...)), advice, ids...)
	case len(close) > 0:
		find("series_resonance", ledger.Caution,
			ledger.Say("The plate choke was measured to be series resonant at {where}, within 15 % of a band.",
				ledger.List("where", close...)),
			advice, ids...)
	case len(all) > 0:
		find("series_resonance", ledger.Note,
			ledger.Say("The plate choke was measured to be series resonant at {where}, clear of the bands by 15 % or more.",
				ledger.List("where", all...)), ledger.Sentence{}, ids...)
	case covered:
		find("series_resonance", ledger.Note,
			ledger.Say("No series resonance of the plate choke was measured from {low} to {high}.", span...), ledger.Sentence{})
	}
	if !covered {
		find("bands", ledger.Note,
			ledger.Say("{name} was measured from {low} to {high}, which does not reach 15 % beyond every band: of resonances "+
				"elsewhere it "+
				"says nothing.", append(span, ledger.Called("name", p.Name))...),
			ledger.Say("Measure from below the lowest to above the highest band."))
	}
}

// Attenuation of a two-port between its references [dB, ≥ 0 for a passive one].
func Attenuation(s touchstone.Matrix) float64 { return -20 * math.Log10(cmplx.Abs(s[1][0])) }
