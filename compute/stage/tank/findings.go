package tank

import (
	"fmt"
	"math"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
)

// A tank that loses more than this is named: the heat is in its coil.
const leastEfficiency = 0.92

// findings says what is wrong with the network itself.
func (w *worker) findings(r *Result) {
	for i := range r.Bands {
		b := &r.Bands[i]
		w.reach(b)
		w.harmonics(b)
		w.heat(b)
	}
	w.rise(r)
	const shortfall = 0.97
	if r.LeastOutput < shortfall*w.in.Output.Value {
		w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank.output", Stage: "tank",
			Text: ledger.Say("On {least_band} the connector sees {least_output} of the {output} wanted: the plates give "+
				"{plate_output} and the tank loses the rest.", ledger.Called("least_band", r.LeastBand),
				ledger.Of("least_output", r.LeastOutput, "W"), ledger.Q("output", w.in.Output),
				ledger.Q("plate_output", w.in.PlateOutput)),
			Quantities: []string{"tank." + r.LeastBand + ".output_power", w.in.Output.ID},
			Advice: ledger.Say("A coil of higher Q or a lower loaded Q on that band; more drive only if the tubes' ratings allow " +
				"it.")})
	}
}

// reach reports a loaded Q that could not be had.
func (w *worker) reach(b *BandResult) {
	id := "tank." + b.Name + ".loaded_q"
	want, _ := wanted(w.d.Spec, b.Name)
	t := b.Tank
	if t.Input.LoadedQ != want.Value {
		w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: id + "_reach", Stage: "tank", Quantities: []string{id},
			Text: ledger.Say("On {on} a loaded Q of {want} cannot match {plate_load} to 50 Ω with these parts; {loaded_q} is the "+
				"nearest that can, and the design uses {loaded_q_2}.", ledger.OnBand("on", b.Name), ledger.Short("want", want.Value, 3),
				ledger.Q("plate_load", w.in.PlateLoad), ledger.Short("loaded_q", t.Input.LoadedQ, 3),
				ledger.Short("loaded_q_2", t.LoadedQ, 3)),
			Advice: ledger.Say("Set tank.loaded_q to at least that, or choose a pi-L, which reaches lower.")})
	}
	if !t.HeldAtMinimum {
		return
	}
	f := ledger.Finding{Severity: ledger.Note, ID: id + "_held", Stage: "tank",
		Quantities: []string{id, id + "_least", "tank." + b.Name + ".tube_capacitance", "tank." + b.Name + ".coil_current_rms"},
		Text: ledger.Say("On {on} the {tube_capacitance} at the plates and the tune capacitor's minimum of {minimum_tune} hold "+
			"the loaded Q at {loaded_q} instead of {loaded_q_2}; the coil carries {get} and turns {get_2} into heat at PEP.",
			ledger.OnBand("on", b.Name), ledger.Of("tube_capacitance", t.Input.TubeCapacitance, "F"),
			ledger.Of("minimum_tune", t.Input.MinimumTune, "F"), ledger.Short("loaded_q", t.LoadedQ, 3),
			ledger.Short("loaded_q_2", t.Input.LoadedQ, 3), ledger.Q("get", w.d.Get("tank."+b.Name+".coil_current_rms")),
			ledger.Q("get_2", w.d.Get("tank."+b.Name+".coil_heat"))),
	}
	if t.LoadedQ > 1.25*t.Input.LoadedQ {
		f.Severity = ledger.Caution
	}
	room := t.Input.LoadedQ/(2*math.Pi*b.Centre*t.Input.PlateLoad) - t.Input.TubeCapacitance
	if room > 0 {
		f.Advice = ledger.Say("A tune capacitor that goes down to {room} would do; use a smaller section or a vacuum capacitor on "+
			"this band, or live with the higher Q and its heat.", ledger.Of("room", room, "F"))
	} else {
		f.Advice = ledger.Say("The tubes and strays alone exceed what that Q allows: shorten the plate wiring, choose a lower plate " +
			"load, or live with the higher Q and its heat.")
	}
	w.d.Find(f)
}

var byLimit = ledger.Method{Source: source.CommonPractice, Words: ledger.Say("The rule set's limit for this output.")}

// harmonics holds the harmonics against the limit and says what a low-pass
// filter would have to add.
func (w *worker) harmonics(b *BandResult) {
	d := w.d
	limit := math.Abs(w.in.HarmonicLimit)
	if limit == 0 {
		return
	}
	asked, ok := d.Lookup("tank.harmonic_limit")
	if !ok {
		m := byLimit
		m.Source = w.in.HarmonicSource
		asked = d.Solved("tank.harmonic_limit", "attenuation required of harmonics", limit, "dB", m)
	}
	var over, ids, filter []string
	least := math.Inf(-1)
	worst := 0
	for i, level := range b.Harmonics {
		if level > least {
			least, worst = level, i+2
		}
		if level > -limit {
			over = append(over, fmt.Sprintf("the %s is %.1f dB", ordinal[i], -level))
			filter = append(filter, fmt.Sprintf("%.1f dB at %s", level+limit, desk.Show(float64(i+2)*b.Centre, "Hz")))
			ids = append(ids, fmt.Sprintf("tank.%s.harmonic%d", b.Name, i+2))
		}
	}
	h := d.Get(fmt.Sprintf("tank.%s.harmonic%d", b.Name, worst))
	need := d.Compute("tank."+b.Name+".filter_attenuation",
		"what a low-pass filter would have to add on "+b.Name+" (below zero: margin)", filterNeeded, ledger.With{"h": h, "m": asked})
	if len(over) == 0 {
		return
	}
	advice := "Use a pi-L, raise the loaded Q on this band, or add a low-pass filter"
	if w.piL {
		advice = "Raise the loaded Q on this band or add a low-pass filter"
	}
	advice += " that adds at least " + words(filter) + ", with some decibels to spare"
	if 2*b.Centre < 30e6 {
		advice += "; one that cuts off above 30 MHz does nothing for harmonics below it: it must cut off between this band and its " +
			"second harmonic"
	}
	advice += ". Measure before going on the air."
	d.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "tank." + b.Name + ".harmonics", Stage: "tank",
		Quantities: append(ids, need.ID), Advice: ledger.Literal(advice),
		Text: ledger.Say("Harmonics on {on}: {over} below the fundamental, where {limit} dB are required ({short}).",
			ledger.OnBand("on", b.Name), ledger.Called("over", words(over)), ledger.Fixed("limit", limit, 1),
			ledger.Called("short", w.in.HarmonicSource.Short()))})
}

// hotRise is the rise of temperature from which soft solder and clips suffer
// [K]; meltingRise that at which it melts, glowingRise that beyond which the
// estimate means nothing.
const (
	hotRise     = 100.0
	meltingRise = 160.0
	glowingRise = 500.0
)

// rise reports coils that get hot in service, in still air.
func (w *worker) rise(r *Result) {
	var bands, ids []string
	most := 0.0
	for i := range r.Bands {
		id := "tank." + r.Bands[i].Name + ".coil_rise"
		q, ok := w.d.Lookup(id + "_service")
		if !ok || q.Value < hotRise {
			continue
		}
		most = math.Max(most, q.Value)
		ids = append(ids, q.ID, id)
		said := desk.Show(q.Value, "K")
		if held, ok := w.d.Lookup(id); ok && held.Value < glowingRise && held.Value > 1.01*q.Value {
			said += ", key held down " + desk.Show(held.Value, "K")
		}
		if q.Value > glowingRise {
			said = "more than " + desk.Show(glowingRise, "K")
		}
		bands = append(bands, r.Bands[i].Name+" ("+said+")")
	}
	if len(bands) == 0 {
		return
	}
	text := "In service and in still air the coil in use rises above its surroundings by much: on " + words(bands) + "."
	switch {
	case most > glowingRise:
		text += " It would glow."
	case most > meltingRise:
		text += " Soft solder lets go."
	}
	w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank.coil_rise", Stage: "tank", Quantities: ids,
		Text: ledger.Literal(text),
		Advice: ledger.Say("Thicker conductor, a greater diameter, some of the blower's air over the coil, taps silver-soldered or " +
			"bolted; keep everything that melts away.")})
}

// heat reports a tank that loses much of the power.
func (w *worker) heat(b *BandResult) {
	if b.Tank.Efficiency >= leastEfficiency {
		return
	}
	h := w.d.Get("tank." + b.Name + ".coil_heat")
	w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank." + b.Name + ".coil_heat", Stage: "tank",
		Quantities: []string{h.ID, "tank." + b.Name + ".efficiency"},
		Text: ledger.Say("On {on} the tank passes {efficiency} % of the power; its coil turns {h} into heat at PEP.",
			ledger.OnBand("on", b.Name), ledger.Fixed("efficiency", 100*b.Tank.Efficiency, 1), ledger.Q("h", h)),
		Advice: ledger.Say("Wind this band's coil of thicker conductor on a greater diameter, lower the loaded Q, and let air " +
			"pass over it; with key down for long, feel it only after the discharge drill.")})
}
