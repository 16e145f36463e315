package measured

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/format/touchstone"
	"anodebook/compute/ledger"
	"anodebook/spec/quantity"
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

func percent(share float64) string { return quantity.Format(share, "%", 2) }

// enter writes quantities and findings into the book.
func (p *Part) enter(d *desk.Desk, in Input) {
	id := "measured." + p.Name
	where := d.Spec.Where(d.Spec.Measured[p.Name].File.Origin)
	find := func(what string, severity ledger.Severity, text, advice string, quantities ...string) {
		d.Find(ledger.Finding{Severity: severity, ID: id + "." + what, Stage: "measured",
			Text: ledger.Literal(text), Advice: ledger.Literal(advice),
			Quantities: quantities})
	}
	if p.Absent {
		find("absent", ledger.Note, fmt.Sprintf("The file of %s was not read, so nothing is laid over what is computed.", p.Name), "")
		return
	}
	if p.Of == "plate_choke" {
		p.enterSeries(d, in, id, where, find)
	}
	p.checkPassive(find)
	if !(p.High > p.Low) {
		low, high := p.data.Span()
		find("span", ledger.Caution, fmt.Sprintf("%s was measured from %s to %s; %s lies outside, and nothing is extrapolated.", p.Name,
			desk.Show(low, "Hz"), desk.Show(high, "Hz"), p.Band.Name),
			"Measure over the band, with room on both sides.")
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
	head := fmt.Sprintf("%s: over %s the measured reflection is off the computed one by %s (rms)", p.Name, p.Band.Name,
		quantity.Short(p.Deviation, 2))
	if p.Ports == 2 {
		head = fmt.Sprintf("%s: over %s the measured scattering parameters are off the computed ones by %s (rms)", p.Name, p.Band.Name,
			quantity.Short(p.Deviation, 2))
	}
	if p.Deviation <= Uncertainty {
		find("deviation", ledger.Note, head+", no more than an analyser's own uncertainty: built as computed.", "", dev.ID)
		return
	}
	severity := ledger.Note
	if p.Of != "plate_choke" && swr >= worthRetuning {
		severity = ledger.Caution
		head += fmt.Sprintf(", the SWR there in the middle of the band is %.2f", swr)
	}
	ids := []string{dev.ID}
	var words []string
	for _, c := range p.Causes[:p.Explained] {
		q := d.Solved(id+"."+c.Name, "measurement "+p.Name+", fitted change: "+c.Words, c.Value, c.Unit, byFit, dev)
		ids = append(ids, q.ID)
		words = append(words, c.Change())
	}
	switch p.Explained {
	case 0:
		best := ""
		if len(p.Causes) > 0 {
			best = fmt.Sprintf(" (the best, %s, still leaves %s of the squared deviation)", p.Causes[0].Change(),
				percent(p.Causes[0].Left))
		}
		find("deviation", severity, head+". No one change of one part explains it"+best+".",
			"Look for more than one cause: settings other than computed, another resistor at the far end, long leads on it, the "+
				"calibration.", ids...)
	case 1:
		find("deviation", severity, fmt.Sprintf("%s. One change explains it: %s; %s of the squared deviation is left.", head, words[0],
			percent(p.Causes[0].Left)), p.advice(p.Causes[0]), ids...)
	default:
		find("deviation", severity,
			fmt.Sprintf("%s. Each of these by itself explains it, and over this span they cannot be told apart: %s.", head,
				strings.Join(words, "; or ")),
			"Measure over a wider span, or from the other end.", ids...)
	}
}

// Change says in words what the cause is: "6.0 pF more capacitance …".
func (c Cause) Change() string {
	more := "more "
	if c.Value < 0 {
		more = "less "
	}
	if c.Name == "resonance_shift" {
		more = map[string]string{"more ": "higher ", "less ": "lower "}[more]
	}
	return quantity.Format(math.Abs(c.Value), c.Unit, 2) + " " + more + c.Words
}

func (p *Part) advice(c Cause) string {
	size := quantity.Format(math.Abs(c.Value), c.Unit, 2)
	switch {
	case c.Name == "plate_capacitance" && c.Value > 0:
		return fmt.Sprintf("Stray capacitance of plates, choke, coil and wiring to the chassis: set C1 %s below the computed value, "+
			"and add %s to tank.stray_capacitance. On the highest band it may be more than C1 can be opened.", size, size)
	case c.Name == "plate_capacitance":
		return fmt.Sprintf("The strays are smaller than assumed, or C1 stood lower: set C1 %s above the computed value, or take %s "+
			"off tank.stray_capacitance.", size, size)
	case c.Name == "coil_change" && p.Of == "tank":
		return "Move the tap, a few per cent of the turns at a time, power off and plug out; shorted turns and metal near the coil " +
			"lower its inductance."
	case c.Name == "coil_change":
		return "Turn the slug."
	case c.Name == "load_capacitance":
		return fmt.Sprintf("The setting of C2, or its padder, is off by %s.", size)
	case c.Name == "coil_loss":
		return "Look for a bad contact of the band switch or a tap, a lossy form, or metal near the coil: what it loses heats it at " +
			"full output. With less loss than assumed raise the coil's Q in the spec."
	case c.Name == "output_coil_change":
		return "Move the tap of the output coil, power off and plug out."
	case c.Name == "cathode_capacitance":
		return fmt.Sprintf("Sockets, wiring and filament choke: write it into input.stray_capacitance (%s apart from what is there "+
			"now).", size)
	case c.Name == "input_capacitance":
		return "Measure that capacitor out of circuit, and look for a cable that counts as capacitance."
	case c.Name == "choke_change":
		return "Write the measured inductance into plate_feed.choke."
	}
	return "Judge the choke's resonances by the measurement, not by the computed ones."
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

type finder func(what string, severity ledger.Severity, text, advice string, quantities ...string)

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
			fmt.Sprintf("%s: at %s more power comes back than was sent (reflection %s); no coil and capacitor can do that.", p.Name,
				quantity.Format(at, "Hz", 4), quantity.Short(worst, 3)),
			"Calibrate the analyser at the very end of the leads and measure again before drawing conclusions.")
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
	var inBand, close, all, ids []string
	for i, f := range p.Series {
		if i == 12 {
			break
		}
		q := d.Book.Spec(fmt.Sprintf("%s.series_resonance_%d", id, i+1),
			fmt.Sprintf("measurement %s, series resonance no. %d", p.Name, i+1), f, "Hz", where)
		ids, all = append(ids, q.ID), append(all, q.Text())
		for _, b := range in.Bands {
			switch {
			case f > b.Low*(1-tooNear) && f < b.High*(1+tooNear):
				inBand = append(inBand, q.Text()+" ("+b.Name+")")
			case f > b.Low*(1-near) && f < b.High*(1+near):
				close = append(close, q.Text()+" ("+b.Name+")")
			}
		}
	}
	const advice = "Take turns off the winding or split it until no series resonance lies within 15 % of a band, and measure again in " +
		"place, plug pulled and supply discharged, before high voltage is ever applied."
	switch {
	case len(inBand) > 0:
		find("series_resonance", ledger.Exceeds,
			fmt.Sprintf("The plate choke was measured to be series resonant at %s, within 5 %% of a band: there it shorts the tank "+
				"and burns.", strings.Join(inBand, ", ")), advice, ids...)
	case len(close) > 0:
		find("series_resonance", ledger.Caution,
			fmt.Sprintf("The plate choke was measured to be series resonant at %s, within 15 %% of a band.", strings.Join(close, ", ")),
			advice, ids...)
	case len(all) > 0:
		find("series_resonance", ledger.Note,
			fmt.Sprintf("The plate choke was measured to be series resonant at %s, clear of the bands by 15 %% or more.",
				strings.Join(all, ", ")), "", ids...)
	case covered:
		find("series_resonance", ledger.Note, fmt.Sprintf("No series resonance of the plate choke was measured from %s to %s.",
			desk.Show(low, "Hz"), desk.Show(high, "Hz")), "")
	}
	if !covered {
		find("bands", ledger.Note,
			fmt.Sprintf("%s was measured from %s to %s, which does not reach 15 %% beyond every band: of resonances elsewhere it says "+
				"nothing.", p.Name, desk.Show(low, "Hz"), desk.Show(high,
				"Hz")), "Measure from below the lowest to above the highest band.")
	}
}

// Attenuation of a two-port between its references [dB, ≥ 0 for a passive one].
func Attenuation(s touchstone.Matrix) float64 { return -20 * math.Log10(cmplx.Abs(s[1][0])) }
