package operating

import (
	"fmt"
	"math"
	"strings"
	"sync"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/spec"
)

// speechCrest is peak over mean power of speech with moderate processing [dB]
// (common practice: 10 to 14 unprocessed, 6 to 8 compressed).
const speechCrest = 10

// telegraphyShare is the key-down share of hand-sent Morse (common practice;
// the exposure worksheets use 0.4).
const telegraphyShare = 0.5

// speech is made once: finding its distribution takes thousands of exponentials.
var speech = sync.OnceValue(func() tube.Envelope { return tube.SpeechEnvelope(speechCrest) })

// service is the envelope that the duty stands for.
func service(duty string) (tube.Envelope, string) {
	switch duty {
	case "cw":
		return tube.SingleToneEnvelope(telegraphyShare), "telegraphy, key down half the time"
	case "data":
		return tube.SingleToneEnvelope(1), "an unbroken carrier"
	case "voice":
		return speech(), fmt.Sprintf("speech with a crest of %d dB, exponentially distributed amplitude", speechCrest)
	}
	panic("operating: no service for the duty " + duty)
}

// idle enters what the tubes do without drive, at the voltage that the supply
// then gives.
func (r *Result) idle(d *desk.Desk, b Bias, count *ledger.Quantity) (err error) {
	if r.Idle, err = tube.IdleOn(r.Model, b.Voltage, float64(r.N), r.PlateVoltage.Value, r.Feed); err != nil {
		return fmt.Errorf("idling: %w", err)
	}
	m := ledger.Method{Words: ledger.Say("The static model without drive, solved together with the supply until the plate voltage is " +
		"the one that the supply gives at this current."), Source: source.TubeFit}
	v := d.Solved("tubes.plate_voltage_idle", "plate voltage, tubes idling", r.Idle.PlateVoltage, "V", m, r.BiasVoltage)
	one := d.Solved("tubes.idle_current_each", "idle plate current of each tube", r.Idle.PlateCurrent(), "A", m, v, r.BiasVoltage)
	r.IdleCurrent = d.Compute("tubes.idle_current", "idle plate current, all tubes", total, ledger.With{"n": count, "I_each": one})
	d.Compute("tubes.idle_share", "idle current, of the plate current at full output",
		idleShareOf, ledger.With{"I_i": r.IdleCurrent, "I_p": r.PlateCurrent})
	d.Compute("tubes.idle_dissipation_each", "plate dissipation of each tube while idling",
		idleDissipation, ledger.With{"V_i": v, "V_k": r.BiasVoltage, "I_i": r.IdleCurrent, "n": count})
	return nil
}

// idleFindings says where the bias leaves too little or too much current
// without drive, or not what the builder wanted.
func (r *Result) idleFindings(d *desk.Desk, b Bias) {
	share, heat, third := d.Get("tubes.idle_share"), d.Get("tubes.idle_dissipation_each"), d.Get("tubes.imd3")
	key := "bias.voltage"
	if d.Spec.Bias.IdleCurrent.Given {
		key = "bias.idle_current"
	}
	if b.Short > 0 {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.idle_current_wanted",
			Stage: "tubes", Quantities: []string{r.IdleCurrent.ID, "tubes.idle_current_wanted"},
			Text: ledger.Say("The {tubes.idle_current_wanted} of idle current wanted cannot be had: without any bias the tubes idle "+
				"on {idle_current}, and more would need a positive grid.", ledger.Q("idle_current", r.IdleCurrent)),
			Advice: ledger.Say("Ask for less idle current in bias.idle_current, or run the tubes without bias.")})
	}
	if share.Value < leastShare {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.idle_low",
			Stage: "tubes", Quantities: []string{r.IdleCurrent.ID, share.ID, third.ID},
			Text: ledger.Say("With {bias_voltage} of bias the tubes idle on {idle_current}, {share} of the {plate_current} at full "+
				"output: nearly class B, where the signal breaks up as it fades and splatters. At full drive the third order stands at "+
				"{tubes.imd3} against one tone.", ledger.Q("bias_voltage", r.BiasVoltage), ledger.Q("idle_current", r.IdleCurrent),
				ledger.In("share", little(share)), ledger.Q("plate_current", r.PlateCurrent)),
			Advice: ledger.Say("Change {key}: {would_leave} leaves a tenth of that current. Published columns idle on 4 to 33 %.",
				ledger.Called("key", key), ledger.In("would_leave", r.wouldLeave(key, usualShare*r.PlateCurrent.Value)))})
	}
	limit := r.Type.Limits.PlateDissipation
	switch {
	case limit.Known && heat.Value > idleShare*limit.Value:
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.idle_high", Stage: "tubes",
			Quantities: []string{r.IdleCurrent.ID, heat.ID},
			Text: ledger.Say("With {bias_voltage} of bias the tubes idle on {idle_current}: {tubes.idle_dissipation_each} in each "+
				"plate without any drive, {heat} of the {limit} it may dissipate.", ledger.Q("bias_voltage", r.BiasVoltage),
				ledger.Q("idle_current", r.IdleCurrent), ledger.Of("heat", heat.Value/limit.Value, "%"),
				ledger.Of("limit", limit.Value, "W")),
			Advice: ledger.Say("Change {key}: {would_leave} idles at {idle_target} %. Until then do not leave the amplifier keyed "+
				"without drive, and run the blower before the key is closed.", ledger.Called("key", key),
				ledger.In("would_leave", r.wouldLeave(key, float64(r.N)*idleTarget*limit.Value/r.Idle.PlateVoltage)),
				ledger.Fixed("idle_target", 100*idleTarget, 0))})
	case !limit.Known && share.Value > greatestIdle:
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.idle_high", Stage: "tubes",
			Quantities: []string{r.IdleCurrent.ID, share.ID},
			Text: ledger.Say("With {bias_voltage} of bias the tubes idle on {idle_current}, {tubes.idle_share} of the plate current "+
				"at full output, and no plate rating is known to hold it against.", ledger.Q("bias_voltage", r.BiasVoltage),
				ledger.Q("idle_current", r.IdleCurrent)),
			Advice: ledger.Say("Change {key}: {would_leave} leaves a tenth of that current.", ledger.Called("key", key),
				ledger.In("would_leave", r.wouldLeave(key, usualShare*r.PlateCurrent.Value)))})
	}
}

// little writes a small share.
func little(share *ledger.Quantity) ledger.Sentence {
	if share.Value < 0.001 {
		return ledger.Say("less than 0.1 %")
	}
	return ledger.Say("{share}", ledger.Q("share", share))
}

// wouldLeave says what a key would have to be for an idle current [A, all
// tubes].
func (r *Result) wouldLeave(key string, current float64) ledger.Sentence {
	if key == "bias.idle_current" {
		return ledger.Say("{current}", ledger.Of("current", current, "A"))
	}
	v, err := r.Feed(current)
	if err != nil {
		v = r.Idle.PlateVoltage
	}
	if most, _ := r.Model.Currents(0, v); float64(r.N)*most <= current {
		return ledger.Say("no bias at all")
	}
	return ledger.Say("about {bias_for_idle}", ledger.Of("bias_for_idle", tube.BiasForIdle(r.Model, v, current/float64(r.N)), "V"))
}

// averages enters two tones, the service that the duty stands for, and the
// two-tone distortion.
func (r *Result) averages(d *desk.Desk) error {
	n := float64(r.N)
	crest, two, err := r.envelope(tube.TwoToneEnvelope(12), 0.65)
	if err != nil {
		return fmt.Errorf("two-tone average: %w", err)
	}
	const held = "load, bias and drive source held; the bank does not follow the envelope, and stands at the voltage that the supply " +
		"gives at the mean current"
	tm := ledger.Method{Words: ledger.Say("Mean over the envelope of two equal tones, " + held + "."), Source: source.TwoTone}
	v := d.Solved("tubes.plate_voltage_two_tone", "plate voltage with two tones", crest.PlateVoltage, "V", tm, r.PlateCurrent)
	r.PlateCurrentTwoTone = d.Solved("tubes.plate_current_two_tone",
		"plate current with two tones, all tubes", n*two.PlateCurrent, "A", tm, v, r.PlateCurrent)
	d.Solved("tubes.grid_current_two_tone", "grid current with two tones, all tubes", n*two.GridCurrent, "A", tm, v, r.GridCurrent)
	d.Solved("tubes.plate_dissipation_two_tone_each", "plate dissipation of each tube with two tones",
		two.PlateDissipation, "W", tm, v, r.PlateDissipationEach)

	avg, words, err := r.service(d.Spec.Target.Duty.Value)
	if err != nil {
		return fmt.Errorf("average over %s: %w", words, err)
	}
	am := ledger.Method{Words: ledger.Say("Mean over {words} while transmitting, load, bias and drive source held; the plate voltage "+
		"is the one that the supply gives.", ledger.Called("words", words)), Source: source.CommonPractice}
	d.Solved("tubes.plate_current_average", "plate current in the service wanted, all tubes", n*avg.PlateCurrent, "A", am,
		r.PlateCurrent)
	r.PlateCurrentEffective = d.Solved("tubes.plate_current_effective",
		"root-mean-square plate current over the service wanted, all tubes", n*math.Sqrt(avg.PlateCurrentSquare), "A", am,
		r.PlateCurrent)
	d.Solved("tubes.output_average", "output of the plates in the service wanted", n*avg.Output, "W", am, r.PlateOutput)
	r.PlateDissipationAverageEach = d.Solved("tubes.plate_dissipation_average_each",
		"plate dissipation of each tube in the service wanted", avg.PlateDissipation, "W", am, r.PlateDissipationEach)

	imd, err := tube.TwoTone(r.Model, crest, r.Point.InputResistance)
	if err != nil {
		return fmt.Errorf("two-tone distortion: %w", err)
	}
	im := ledger.Method{Words: ledger.Say("Quasi-static: the output amplitude follows the static curve, the cathodes driven from a " +
		"matched source, " + held + ". Hum, tank slope and phase shift are not in it."), Source: source.TwoTone}
	d.Solved("tubes.imd3", "third-order product, below one tone", imd.Order3, "dB", im, r.BiasVoltage, r.PlateLoad, v)
	d.Solved("tubes.imd5", "fifth-order product, below one tone", imd.Order5, "dB", im, r.BiasVoltage, r.PlateLoad, v)
	d.Solved("tubes.imd7", "seventh-order product, below one tone", imd.Order7, "dB", im, r.BiasVoltage, r.PlateLoad, v)
	return nil
}

// envelope returns the means over an envelope too fast for the bank, one tube,
// and the crest of it. share is about what it draws of the current at full
// output [1], to begin with.
func (r *Result) envelope(e tube.Envelope, share float64) (crest tube.Point, a tube.Averages, err error) {
	idle, full := r.Idle.PlateCurrent(), r.Point.PlateCurrent()
	start := r.Idle.PlateVoltage
	if full > idle {
		x := math.Min(1, math.Max(0, share*full-idle)/(full-idle))
		start += x * (r.Point.PlateVoltage - start)
	}
	return tube.EnvelopeOn(r.Model, r.Point, r.Point.InputResistance, e, float64(r.N), start, r.Feed)
}

// service returns the means over the service that the duty stands for, one
// tube. Keying is slow against the bank, so that key down and key up each have
// a voltage of their own; speech is fast.
func (r *Result) service(duty string) (a tube.Averages, words string, err error) {
	e, words := service(duty)
	if duty == "voice" {
		_, a, err = r.envelope(e, 0.28)
		return a, words, err
	}
	for i, level := range e.Level {
		p := r.Idle
		if level > 0 {
			p = r.Point
		}
		w := e.Weight[i]
		a.PlateCurrent += w * p.PlateCurrent()
		a.PlateCurrentSquare += w * p.PlateCurrent() * p.PlateCurrent()
		a.Output += w * p.Output
		a.PlateDissipation += w * p.PlateDissipation
	}
	return a, words, nil
}

// mismatch tells how two unlike tubes share.
func (r *Result) mismatch(d *desk.Desk) {
	if r.N < 2 {
		return
	}
	q := d.Take("tubes.mismatch", "difference of the tubes' perveance", "%", d.Spec.Tubes.Mismatch)
	sh := tube.Mismatched(r.Model, r.Point.Conditions, q.Value)
	m := ledger.Method{Words: ledger.Say("Two tubes on the same voltages, one with more and one with less perveance by half the " +
		"difference each."), Source: source.CircuitLaws}
	d.Solved("tubes.strong_share", "share of the stronger tube in the plate current of a pair", sh.PlateShare, "%", m, q)
	strong := d.Solved("tubes.strong_dissipation", "plate dissipation of the stronger tube", sh.Strong.PlateDissipation, "W", m, q)
	if lim := r.Type.Limits.PlateDissipation; lim.Known {
		d.Check(desk.Hold{Part: "V1", Name: "the stronger of two unlike " + r.Type.Name, Kind: "power", Stress: strong,
			Rating: lim.Value,
			Why:    ledger.Say("plate dissipation of the stronger tube, key down"),
			Advice: ledger.Say("Pair tubes by their idle current, or lower the output.")})
	}
}

// limit is one rating of the tube to hold.
type limit struct {
	kind, why, advice string
	stress            *ledger.Quantity
	figure            tube.Figure
}

// ratings holds the tubes against their data sheet. The maker's maximum
// ratings are absolute: the required factor is 1.
func (r *Result) ratings(d *desk.Desk) {
	l := r.Type.Limits
	current := l.PlateCurrent
	if d.Spec.Target.Duty.Value == "voice" && l.PlateCurrentPeak.Known {
		current = l.PlateCurrentPeak
	}
	dissipation := l.PlateDissipation
	if d.Spec.Target.Duty.Value == "data" && l.DissipationCCS.Known {
		dissipation = l.DissipationCCS
	}
	idle := d.Get("tubes.idle_dissipation_each")
	list := []limit{
		{"voltage", "plate voltage at full output", "Lower the plate voltage: a tap, a smaller transformer.", r.PlateVoltage,
			l.PlateVoltage},
		{"current", "plate current, key down", "Less output, or a higher plate voltage within its rating.",
			d.Get("tubes.plate_current_each"), current},
		{"power", "plate dissipation, key down", "Less output, a lower floor of the plate voltage, or more tubes.",
			r.PlateDissipationEach, dissipation},
		{"power", "plate dissipation in the service wanted", "Less output or a lighter duty.", r.PlateDissipationAverageEach,
			dissipation},
		{"power", "plate dissipation while idling", "More bias.", idle, dissipation},
		{"current", "mean cathode current, key down", "Less output.", r.cathodeCurrent(d), l.CathodeCurrent},
	}
	list = append(list, r.gridLimits(d)...)
	for _, x := range list {
		if !x.figure.Known {
			continue
		}
		d.Check(desk.Hold{Part: "V1", Name: r.Type.Name + ", each", Kind: x.kind, Stress: x.stress, Rating: x.figure.Value,
			Why: ledger.Literal(x.why), Advice: ledger.Literal(x.advice)})
	}
	if !l.GridDissipation.Known && !l.GridCurrent.Known {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.grid_limit_unknown", Stage: "tubes",
			Quantities: []string{"tubes.grid_current"},
			Text: ledger.Say("No grid rating of the {type} is known, so nothing here says how much grid current is too much.",
				ledger.Called("type", r.Type.Name)),
			Advice: ledger.Say("Take the limit from the maker's data sheet, and watch the grid meter more than any other.")})
	}
	if f := l.Frequency; f.Known {
		top := d.Spec.Target.Bands.Values
		if highest := topFrequency(top); highest > f.Value {
			d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.frequency", Stage: "tubes",
				Text: ledger.Say("Full ratings of the {type} hold up to {f}; the highest band reaches {highest}.",
					ledger.Called("type", r.Type.Name), ledger.Of("f", f.Value, "Hz"), ledger.Of("highest", highest, "Hz")),
				Advice: ledger.Say("Reduce plate voltage and output on that band as the maker's data sheet says.")})
		}
	}
	r.parts(d)
}

func (r *Result) cathodeCurrent(d *desk.Desk) *ledger.Quantity {
	return d.Solved("tubes.cathode_current_each", "mean cathode current of each tube", r.Point.CathodeCurrent(), "A",
		desk.Derived("Plate current plus grid current of one tube."), d.Get("tubes.plate_current_each"),
		d.Get("tubes.grid_current_each"))
}

// topFrequency is the upper edge of the highest band, in round figures [Hz].
func topFrequency(bands []string) float64 {
	edges := map[string]float64{"160m": 2e6, "80m": 4e6, "60m": 5.4e6, "40m": 7.3e6, "30m": 10.15e6, "20m": 14.35e6, "17m": 18.17e6,
		"15m": 21.45e6, "12m": 24.99e6, "10m": 29.7e6}
	top := 0.0
	for _, b := range bands {
		top = max(top, edges[b])
	}
	return top
}

func (r *Result) parts(d *desk.Desk) {
	note := "carries the full plate voltage at the plate cap"
	for _, c := range r.Type.Cautions {
		note += "; " + c
	}
	for i := range r.N {
		d.Part(ledger.Part{Designator: fmt.Sprintf("V%d", i+1), Name: "tube " + r.Type.Name,
			Value: ledger.Literal(r.Type.Name), Stage: "tubes", Given: true,
			Note:   ledger.Literal(note),
			Rating: ledger.Literal(rated(r.Type))})
	}
}

func rated(t *tube.Type) string {
	out := ""
	for _, x := range []struct {
		f tube.Figure
		u string
	}{{t.Limits.PlateVoltage, "V"}, {t.Limits.PlateCurrent, "A"}, {t.Limits.PlateDissipation, "W"}} {
		if x.f.Known {
			if out != "" {
				out += ", "
			}
			out += desk.Show(x.f.Value, x.u)
		}
	}
	return out
}

// Unreachable words the error of an operating point that cannot be had, for
// the builder.
func Unreachable(s *spec.Spec, t *tube.Type, plateVoltage float64, err error) error {
	q, what, unit, hint := s.Target.Output, "at the antenna", "W", "ask for less output, raise supply.plate_voltage, lower "+
		"tubes.plate_floor or use more tubes"
	switch {
	case s.Target.PlateCurrent.Given:
		q, what, unit, hint = s.Target.PlateCurrent, "of plate current", "A", "ask for a current between idling and the greatest that "+
			"can be reached, or change supply.plate_voltage, bias or tubes.plate_floor"
	case s.Target.Drive.Given:
		q, what, unit, hint = s.Target.Drive, "of drive", "W", "ask for less drive, raise supply.plate_voltage, lower "+
			"tubes.plate_floor or use more tubes"
	}
	if v := s.Supply.Transformer.Voltage; v.Given { // then supply.plate_voltage decides nothing
		more := fmt.Sprintf("take a transformer of more volts than the %s of supply.transformer.voltage", desk.Show(v.SI, "V"))
		hint = strings.NewReplacer("raise supply.plate_voltage", more, "change supply.plate_voltage", more).Replace(hint)
	}
	return spec.Problems{{File: s.File, Position: q.Position, Key: q.Key,
		What: fmt.Sprintf("%d × %s cannot work with %s %s from %s on the plates: %v", s.Tubes.Count.N, t.Name, desk.Show(q.SI, unit),
			what, desk.Show(plateVoltage, "V"), err),
		Hint: hint}}
}

// InputResistanceAt is the input resistance of all cathodes in parallel [Ω]
// with a share (0…1] of the nominal drive power and the plate load held: it
// moves with the drive, because the share of the cycle in which current flows
// does. Where no operating point exists the nominal resistance is returned.
func (r *Result) InputResistanceAt(share float64) float64 {
	p, err := tube.ForDriveWithLoad(r.Model, r.Point.PlateVoltage, r.Point.BiasVoltage, share*r.Point.DrivePower, r.Point.PlateLoad)
	if err != nil || p.InputResistance <= 0 {
		return r.Point.InputResistance / float64(r.N)
	}
	return p.InputResistance / float64(r.N)
}
