package tank

import (
	"fmt"
	"math"

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
	const shortfall = 0.97
	if r.LeastOutput < shortfall*w.in.Output.Value {
		w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank.output", Stage: "tank",
			Text: fmt.Sprintf("On %s the connector sees %s of the %s wanted: the plates give %s and the tank loses the rest.", r.LeastBand,
				desk.Show(r.LeastOutput, "W"), desk.Show(w.in.Output.Value, "W"), desk.Show(w.in.PlateOutput.Value, "W")),
			Quantities: []string{"tank." + r.LeastBand + ".output_power", w.in.Output.ID},
			Advice:     "A coil of higher Q or a lower loaded Q on that band; more drive only if the tubes' ratings allow it."})
	}
}

// reach reports a loaded Q that could not be had.
func (w *worker) reach(b *BandResult) {
	id := "tank." + b.Name + ".loaded_q"
	want, _ := wanted(w.d.Spec, b.Name)
	t := b.Tank
	if t.Input.LoadedQ != want.Value {
		w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: id + "_reach", Stage: "tank", Quantities: []string{id},
			Text: fmt.Sprintf("On %s a loaded Q of %.3g cannot match %s to 50 Ω with these parts; %.3g is the nearest that can, and the design uses %.3g.",
				b.Name, want.Value, desk.Show(w.in.PlateLoad.Value, "Ω"), t.Input.LoadedQ, t.LoadedQ),
			Advice: "Set tank.loaded_q to at least that, or choose a pi-L, which reaches lower."})
	}
	if !t.HeldAtMinimum {
		return
	}
	f := ledger.Finding{Severity: ledger.Note, ID: id + "_held", Stage: "tank",
		Quantities: []string{id, id + "_least", "tank." + b.Name + ".tube_capacitance", "tank." + b.Name + ".coil_current_rms"},
		Text: fmt.Sprintf("On %s the %s at the plates and the tune capacitor's minimum of %s hold the loaded Q at %.3g instead of %.3g; the coil carries %s and turns %s into heat at PEP.",
			b.Name, desk.Show(t.Input.TubeCapacitance, "F"), desk.Show(t.Input.MinimumTune, "F"), t.LoadedQ, t.Input.LoadedQ,
			desk.Show(w.d.Get("tank."+b.Name+".coil_current_rms").Value, "A"), desk.Show(w.d.Get("tank."+b.Name+".coil_heat").Value, "W")),
	}
	if t.LoadedQ > 1.25*t.Input.LoadedQ {
		f.Severity = ledger.Caution
	}
	room := t.Input.LoadedQ/(2*math.Pi*b.Centre*t.Input.PlateLoad) - t.Input.TubeCapacitance
	if room > 0 {
		f.Advice = fmt.Sprintf("A tune capacitor that goes down to %s would do; use a smaller section or a vacuum capacitor on this band, or live with the higher Q and its heat.", desk.Show(room, "F"))
	} else {
		f.Advice = "The tubes and strays alone exceed what that Q allows: shorten the plate wiring, choose a lower plate load, or live with the higher Q and its heat."
	}
	w.d.Find(f)
}

// harmonics holds the harmonics against the limit.
func (w *worker) harmonics(b *BandResult) {
	limit := math.Abs(w.in.HarmonicLimit)
	if limit == 0 {
		return
	}
	var over []string
	var ids []string
	for i, level := range b.Harmonics {
		if level > -limit {
			over = append(over, fmt.Sprintf("the %s is %.1f dB", ordinal[i], -level))
			ids = append(ids, fmt.Sprintf("tank.%s.harmonic%d", b.Name, i+2))
		}
	}
	if len(over) == 0 {
		return
	}
	advice := "Use a pi-L, raise the loaded Q on this band, or add a low-pass filter; measure before going on the air."
	if w.piL {
		advice = "Raise the loaded Q on this band or add a low-pass filter; measure before going on the air."
	}
	w.d.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "tank." + b.Name + ".harmonics", Stage: "tank", Quantities: ids, Advice: advice,
		Text: fmt.Sprintf("Harmonics on %s: %s below the fundamental, where %.1f dB are required (%s).", b.Name, words(over), limit, w.in.HarmonicSource.Short())})
}

// heat reports a tank that loses much of the power.
func (w *worker) heat(b *BandResult) {
	if b.Tank.Efficiency >= leastEfficiency {
		return
	}
	h := w.d.Get("tank." + b.Name + ".coil_heat")
	w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank." + b.Name + ".coil_heat", Stage: "tank",
		Quantities: []string{h.ID, "tank." + b.Name + ".efficiency"},
		Text:       fmt.Sprintf("On %s the tank passes %.1f %% of the power; its coil turns %s into heat at PEP.", b.Name, 100*b.Tank.Efficiency, desk.Show(h.Value, "W")),
		Advice:     "Wind this band's coil of thicker conductor on a greater diameter, lower the loaded Q, and let air pass over it; with key down for long, feel it only after the discharge drill."})
}
