package report

import (
	"fmt"
	"math"

	"anodebook/compute"
	"anodebook/report/figure"
)

// rippleFigure is one mains period at full output.
func rippleFigure(d *compute.Design) (figure.Chart, error) {
	samples, err := d.Supply.Ripple(120)
	if err != nil {
		return figure.Chart{}, err
	}
	var t, v, i []float64
	for _, s := range samples {
		t, v, i = append(t, s.Time), append(v, s.Voltage), append(i, s.SecondaryCurrent)
	}
	f := &d.Supply.Full
	return figure.Chart{
		Title: "Filter voltage and winding current over one mains period",
		Description: fmt.Sprintf("At full output the filter voltage lies at %s in the mean, with %s of ripple, peak to peak; the winding carries pulses of %s, %s rms.",
			text(d, "supply.full_load_voltage"), text(d, "supply.ripple_peak_to_peak"), say(f.SecondaryCurrentPeak, "A"), text(d, "supply.secondary_current_rms")),
		X:       figure.Axis{Label: "Time", Unit: "s", Min: 0, Max: t[len(t)-1]},
		Y:       figure.Axis{Label: "Filter voltage", Unit: "V"},
		SecondY: &figure.Axis{Label: "Winding current", Unit: "A"},
		Lines: []figure.Line{
			{Name: "filter voltage", X: t, Y: v, At: 0.2},
			{Name: "winding current", X: t, Y: i, Second: true, At: 0.8},
		},
		Height: 290,
	}, nil
}

// turnOnFigure follows the switch-on by half periods of the mains: where the
// voltage stands at the end of each, and the crest of the current within it.
func turnOnFigure(d *compute.Design) (figure.Chart, error) {
	r := &d.Supply
	run, err := r.TurnOn(0)
	if err != nil {
		return figure.Chart{}, err
	}
	t, v := []float64{0}, []float64{0}
	var at, i []float64
	after := 0.0 // greatest peak once the contactor has closed [A]
	for _, h := range run.HalfCycles {
		t, v = append(t, h.Time), append(v, h.VoltageMaximum)
		at, i = append(at, h.Time), append(i, h.CurrentPeak)
		if h.Time > r.StepTime*(1+1e-9) {
			after = max(after, h.CurrentPeak)
		}
	}
	end := t[len(t)-1]
	return figure.Chart{
		Title: "Switching on with step start",
		Description: fmt.Sprintf("With %s in the primary the first crest of winding current is %s. When the contactor closes after %s the current peaks once more at %s, and the filter voltage ends at %s, bleeders as the only load. Without step start the first crest would be %s.",
			say(r.StepResistance, "Ω"), say(run.FirstSurge(), "A"), say(r.StepTime, "s"), say(after, "A"), say(run.Final, "V"), text(d, "supply.surge_current")),
		X:       figure.Axis{Label: "Time after switch-on", Unit: "s", Min: 0, Max: end},
		Y:       figure.Axis{Label: "Filter voltage", Unit: "V"},
		SecondY: &figure.Axis{Label: "Winding current, peaks", Unit: "A"},
		Bands:   []figure.Band{{Name: fmt.Sprintf("step-start resistor in circuit for %s", say(r.StepTime, "s")), From: 0, To: r.StepTime}},
		Lines: []figure.Line{
			{Name: "filter voltage", X: t, Y: v, At: 0.55},
			{Name: "peaks of winding current", X: at, Y: i, Second: true, At: 0.35},
		},
		Height: 290,
	}, nil
}

// dischargeFigure is the filter bank after switch-off.
func dischargeFigure(d *compute.Design) (figure.Chart, error) {
	const safe, steps = 60.0, 80
	r := &d.Supply
	end := 1.6 * r.TimeTo60V
	if !(end > 0) || math.IsInf(end, 0) { // no bleeders, or a bank that is never above
		end = 60
	}
	var t, sound, terminals, capacitor []float64
	for k := range steps + 1 {
		at := between(0, end, k, steps)
		a, b := r.Discharge.OneOpen(at)
		t, sound = append(t, at), append(sound, r.Discharge.Sound(at))
		terminals, capacitor = append(terminals, a), append(capacitor, b)
	}
	open := "with one open the worst capacitor never comes down by itself"
	if !math.IsInf(r.TimeOneOpen, 0) {
		open = fmt.Sprintf("with one open the worst capacitor takes %s", say(r.TimeOneOpen, "s"))
	}
	c := figure.Chart{
		Title: "Filter bank after switch-off",
		Description: fmt.Sprintf("From %s the bank comes down to 60 V in %s with all bleeders whole; %s. Do not trust either: measure.",
			say(r.Discharge.From, "V"), say(r.TimeTo60V, "s"), open),
		X:      figure.Axis{Label: "Time after switch-off", Unit: "s", Min: 0, Max: end},
		Y:      figure.Axis{Label: "Voltage", Unit: "V", Log: true, Min: 20, Max: 1.3 * r.Discharge.From},
		Levels: []figure.Level{{Name: "60 V", Y: safe}},
		Lines: []figure.Line{
			{Name: "bank, all bleeders whole", X: t, Y: sound, At: 0.45},
			{Name: "bank, one bleeder open", X: t, Y: terminals, At: 0.5},
		},
	}
	if r.Plan.PerCapacitor && r.Plan.Bank.Count > 1 {
		c.Lines = append(c.Lines, figure.Line{Name: "the capacitor without bleeder", X: t, Y: capacitor, At: 0.6})
	}
	return c, nil
}
