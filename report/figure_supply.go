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
	lines := []figure.Line{
		{Name: "filter voltage", X: t, Y: v, At: 0.2},
		{Name: "winding current", X: t, Y: i, Second: true, At: 0.8},
	}
	choke := ""
	if f.ChokeCurrentMaximum > 0 {
		var c []float64
		for _, s := range samples {
			c = append(c, s.ChokeCurrent)
		}
		lines = append(lines, figure.Line{Name: "choke current", X: t, Y: c, Second: true, At: 0.35})
		choke = fmt.Sprintf(" The choke's current lies between %s and %s.", say(f.ChokeCurrentMinimum, "A"),
			say(f.ChokeCurrentMaximum, "A"))
	}
	return figure.Chart{
		Title: "Filter voltage and winding current over one mains period",
		Description: fmt.Sprintf("At full output the filter voltage lies at %s in the mean, with %s of ripple, peak to peak; the "+
			"winding carries pulses of %s, %s rms.%s",
			text(d, "supply.full_load_voltage"), text(d, "supply.ripple_peak_to_peak"), say(f.SecondaryCurrentPeak, "A"),
			text(d, "supply.secondary_current_rms"), choke),
		X:       figure.Axis{Label: "Time", Unit: "s", Min: 0, Max: t[len(t)-1]},
		Y:       figure.Axis{Label: "Filter voltage", Unit: "V"},
		SecondY: &figure.Axis{Label: "Winding current", Unit: "A"},
		Lines:   lines,
		Height:  290,
	}, nil
}

// turnOnFigure follows the switch-on by half periods of the mains: where the
// voltage stands at the end of each, and the crest of the current within it.
func turnOnFigure(d *compute.Design) (figure.Chart, error) {
	r := &d.Supply
	run, err := r.TurnOn()
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
	c := figure.Chart{
		Title: "Switching on with step start",
		Description: fmt.Sprintf("With %s in the primary the first crest of winding current is %s. When the contactor closes after %s "+
			"the current peaks once more at %s, and the filter voltage ends at %s, bleeders as the only load. Without step start the "+
			"first crest would be %s.",
			say(r.StepResistance, "Ω"), say(run.FirstSurge(), "A"), say(r.StepTime, "s"), say(after, "A"), say(run.Final, "V"),
			text(d, "supply.surge_current")),
		X:       figure.Axis{Label: "Time after switch-on", Unit: "s", Min: 0, Max: end},
		Y:       figure.Axis{Label: "Filter voltage", Unit: "V"},
		SecondY: &figure.Axis{Label: "Winding current, peaks", Unit: "A"},
		Bands: []figure.Band{{Name: fmt.Sprintf("step-start resistor in circuit for %s", say(r.StepTime, "s")), From: 0,
			To: r.StepTime}},
		Lines: []figure.Line{
			{Name: "filter voltage", X: t, Y: v, At: 0.55},
			{Name: "peaks of winding current", X: at, Y: i, Second: true, At: 0.35},
		},
		Height: 290,
	}
	if r.StepTime == 0 {
		c.Title, c.Bands = "Switching on without step start", nil
		c.Description = fmt.Sprintf("Without step start the first crest of winding current is %s, and the filter voltage ends at %s, "+
			"bleeders as the only load.", say(run.FirstSurge(), "A"), say(run.Final, "V"))
	}
	return c, nil
}

// loadStepFigure is the key going down and up again: idle to full output and
// back.
func loadStepFigure(d *compute.Design) (figure.Chart, error) {
	r := &d.Supply
	run, periods, err := r.KeyDown()
	if err != nil {
		return figure.Chart{}, err
	}
	var t, low, high []float64
	least, most := run.HalfCycles[0], run.HalfCycles[0]
	for _, h := range run.HalfCycles {
		t, low, high = append(t, h.Time), append(low, h.VoltageMinimum), append(high, h.VoltageMaximum)
		if h.VoltageMinimum < least.VoltageMinimum {
			least = h
		}
		if h.VoltageMaximum > most.VoltageMaximum {
			most = h
		}
	}
	f := r.Plan.Supply.MainsFrequency
	down, up := 2/f, (2+float64(periods))/f
	back := "" // when the output has come back to where it was
	for _, h := range run.HalfCycles {
		if h.Time > up && h.VoltageMaximum >= run.HalfCycles[0].VoltageMaximum*0.995 {
			back = fmt.Sprintf(" %s after the key goes up its crests are back within half a per cent.", say(h.Time-up, "s"))
			break
		}
	}
	over := ""
	if most.VoltageMaximum > 1.005*run.HalfCycles[0].VoltageMaximum {
		over = fmt.Sprintf(" Choke and bank ring: up to %s when the key goes up.", say(most.VoltageMaximum, "V"))
	}
	return figure.Chart{
		Title: "Key down and up",
		Description: fmt.Sprintf("The plate current steps from idle to full output and back. From %s idling the filter voltage falls "+
			"to %s at its lowest, %s after the key; at full output it settles at %s.%s%s",
			text(d, "supply.idle_voltage"), say(least.VoltageMinimum, "V"), say(least.Time-down, "s"),
			text(d, "supply.full_load_voltage"), back, over),
		X:     figure.Axis{Label: "Time", Unit: "s", Min: 0, Max: t[len(t)-1]},
		Y:     figure.Axis{Label: "Filter voltage", Unit: "V"},
		Bands: []figure.Band{{Name: "key down, full output", From: down, To: up}},
		Lines: []figure.Line{
			{Name: "crests", X: t, Y: high, At: 0.25},
			{Name: "valleys", X: t, Y: low, At: 0.75},
		},
		Height: 290,
	}, nil
}

// flashOverFigure is the bank discharging into a tube that flashes over.
func flashOverFigure(d *compute.Design) (figure.Chart, error) {
	const steps = 160
	run := &d.Supply.Fault
	// From the rise, some microseconds, to what is left after three time
	// constants.
	end := 3 * d.Book.Get("supply.fault_time_constant").Value
	if run.Left < 0 {
		end = run.End
	}
	begin := math.Min(run.PeakTime/20, end/1000)
	var t, i, v []float64
	for k := range steps + 1 {
		at := begin * math.Pow(end/begin, float64(k)/steps)
		t, i, v = append(t, at), append(i, run.Current(at)), append(v, run.Voltage(at))
	}
	return figure.Chart{
		Title: "Flash-over in a tube",
		Description: fmt.Sprintf("The bank at %s discharges through the glitch resistor into a tube that flashes over: %s at the "+
			"peak, %s after the beginning; %s end in the glitch resistor, and the current squared times time is %s.",
			text(d, "supply.highest_voltage"), text(d, "supply.fault_peak_current"), text(d, "supply.fault_peak_time"),
			text(d, "supply.fault_glitch_energy"), text(d, "supply.fault_action")),
		X:       figure.Axis{Label: "Time after the flash-over begins", Unit: "s", Log: true, Min: begin, Max: end},
		Y:       figure.Axis{Label: "Current", Unit: "A", Min: 0, Max: 1.15 * run.Peak},
		SecondY: &figure.Axis{Label: "Voltage of the bank", Unit: "V"},
		Lines: []figure.Line{
			{Name: "current", X: t, Y: i, At: 0.5},
			{Name: "voltage of the bank", X: t, Y: v, Second: true, At: 0.8},
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
		open = fmt.Sprintf("with one open terminals and capacitors take %s", say(r.TimeOneOpen, "s"))
	}
	if r.Plan.Bleeders == 0 {
		return figure.Chart{
			Title: "Filter bank after switch-off",
			Description: fmt.Sprintf("Without bleeders the voltmeter string alone brings the bank from %s to 60 V in %s.",
				say(r.Discharge.From, "V"), say(r.TimeTo60V, "s")),
			X:      figure.Axis{Label: "Time after switch-off", Unit: "s", Min: 0, Max: end},
			Y:      figure.Axis{Label: "Voltage", Unit: "V", Log: true, Min: 20, Max: 1.3 * r.Discharge.From},
			Levels: []figure.Level{{Name: "60 V", Y: safe}},
			Lines:  []figure.Line{{Name: "bank, voltmeter string alone", X: t, Y: sound, At: 0.45}},
		}, nil
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
