package supply

import (
	"fmt"
	"math"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/preferred"
	"anodebook/compute/rectifier"
	"anodebook/compute/source"
	"anodebook/spec"
)

// byCharging is the method behind the step-start figures.
var byCharging = ledger.Method{
	Words:  "The bank charges through step-start resistor and source resistance; the current is averaged over each half period of the rectified sine, (2/π)·(sin φ - x·φ)·V_0/R with cos φ = x = V/V_0, and integrated over the charging, with the bleeders as load. With a choke: choke, bank and resistance answer to the mean of the rectified sine like a series circuit to a step.",
	Source: source.CircuitLaws,
}

var pulseTimes = []float64{0.25, 0.5, 1, 2, 3, 5, 10, 20}

// stepStart enters the switch-on through R4 and without it.
func (w *work) stepStart() {
	s, p, m := &w.Spec.Supply.StepStart, &w.p, &w.Spec.Margins
	primary := w.primary(w.res.Full.SecondaryCurrent)
	r := w.TakeOr("supply.step_start_resistance", "Step-start resistor in the primary", "Ω", s.Resistance, preferred.E12.Nearest(w.mainsVoltage.Value/primary),
		"so that the first crest of primary current is no higher than the crest in ordinary running at full output were a sine")
	back := w.Compute("supply.step_start_reflected", "Step-start resistor seen at the secondary", reflected, ledger.With{"R_4": r, "n": w.ratio})
	total := back.Value + w.source.Value

	ninety, _ := chargingTime(0.9)
	scale := ninety * p.chargingScale(total)
	if p.Choke.Light > 0 { // nine tenths of the mean of the sine
		scale = math.Ln10 * total * p.Bank.OutputCapacitance()
	}
	want := desk.NextUp(1.5*scale, pulseTimes)
	t := w.TakeOr("supply.step_start_time", "Time until the contactor shorts the step-start resistor", "s", s.Time, want,
		"half as long again as the bank needs to nine tenths of its voltage")
	x, heat := p.charging(t.Value, total)
	reached := w.Solved("supply.step_start_reached", "Charge of the bank when the contactor closes, of the voltage without load", x, "%", byCharging, w.beside(r, t, w.total)...)
	joule := w.Solved("supply.step_start_energy", "Energy in the step-start resistor at each switch-on", heat*w.total.Value*w.noLoad.Value*w.noLoad.Value*back.Value/total, "J", byCharging, r, t, w.total, w.noLoad)
	var surged, shut *ledger.Quantity
	if p.Choke.Light > 0 { // the choke, not the resistor, holds the crest
		surged = w.Solved("supply.surge_current_step_start", "Secondary current at switch-on through the step-start resistor, at most", math.Min(w.surge.Value, math.Sqrt2*w.secondaryVoltage.Value/total), "A",
			desk.Derived("No more than without the resistor, and no more than the crest of the secondary over source and step-start resistance."), w.surge, w.source, back)
		shut = w.Compute("supply.closing_current", "Secondary current when the contactor closes, at most", closingChoke, ledger.With{"V_m": w.meanOfSine(), "V_0": w.noLoad, "x": reached, "C": w.total, "L": w.chokeEach, "f": w.mainsFrequency})
	} else {
		surged = w.Compute("supply.surge_current_step_start", "Secondary current at switch-on through the step-start resistor, peak", surgeStep, ledger.With{"V_s": w.secondaryVoltage, "R_s": w.source, "R_r": back})
		shut = w.Compute("supply.closing_current", "Secondary current when the contactor closes at the crest, peak", closing, ledger.With{"V_s": w.secondaryVoltage, "x": reached, "R_s": w.source})
	}
	first := w.Compute("supply.primary_surge_step_start", "Primary current at switch-on through the step-start resistor, peak", toPrimary, ledger.With{"I_s": surged, "n": w.ratio})
	direct := w.Compute("supply.primary_surge", "Primary current at switch-on without step start, peak", toPrimary, ledger.With{"I_s": w.surge, "n": w.ratio})
	w.res.StepResistance, w.res.StepTime = r.Value, t.Value

	dd := &w.Spec.Supply.Diodes
	worst := surged
	if shut.Value > worst.Value {
		worst = shut
	}
	w.Check(desk.Hold{Part: "D2", Name: "Rectifier diode", Kind: "surge", Stress: worst, Have: dd.Surge, Factor: m.Current,
		Why: "first crest through the step-start resistor, or the crest when the contactor closes", Advice: "A longer step-start time or a larger resistor lowers it."})
	if w.surge.Value > dd.Surge.SI {
		w.Find(ledger.Finding{
			Severity: ledger.Caution, ID: "supply.surge", Stage: "supply", Quantities: []string{w.surge.ID},
			Text:   fmt.Sprintf("Without step start the first crest would be %s, above the %s that one diode stands: a contactor K3 that sticks closed destroys the rectifier at the next switch-on.", w.surge.Text(), desk.Show(dd.Surge.SI, "A")),
			Advice: "Interlock K3 so that the supply cannot be switched on while its contact is closed, or use diodes of a greater surge rating.",
		})
	}

	// Heat of one pulse against the resistor's short-time overload.
	five := w.Catalogue("supply.overload_time", "How long a wirewound resistor takes five times its rated power", 5, "s", source.WirewoundOverload.Title)
	rated := s.Power.SI
	if !s.Power.Given {
		rated = desk.NextUp(joule.Value*m.Power.Value/(5*five.Value), desk.ResistorPowers)
	}
	power := w.powerOf(s.Power, rated)
	pulse := w.Compute("supply.step_start_pulse_rating", "Energy that the step-start resistor takes in one pulse", shortTime, ledger.With{"P": power, "t_5": five})
	w.Check(desk.Hold{Part: "R4", Name: "Step-start resistor", Kind: "energy", Stress: joule, Rating: pulse.Value, Bought: !s.Power.Given, Factor: m.Power,
		Why: "charging the empty bank once", Advice: "Use a wirewound resistor of higher power; wait a minute between two switch-ons."})
	stuck := ""
	slow := p.Supply
	slow.SourceResistance += back.Value
	slow.LoadCurrent = w.in.IdleCurrent.Value
	if held, err := rectifier.SteadyState(slow); err == nil {
		q := w.Solved("supply.step_start_stuck_power", "Heat in the step-start resistor if the contactor never closes, tubes idling", held.SourceLoss*back.Value/total, "W", inTime, r, w.in.IdleCurrent)
		stuck = fmt.Sprintf(" If K3 never closes it burns %s with the tubes idling, and far more with drive: make the transmit relays wait for K3.", q.Text())
	} else {
		stuck = " If K3 never closes the supply breaks down even at idle: make the transmit relays wait for K3."
	}
	w.Part(ledger.Part{Designator: "R4", Name: "Step-start resistor, wirewound", Stage: "supply", Given: s.Resistance.Given, Value: r.Text(),
		Rating: fmt.Sprintf("%s, one pulse of %s", desk.Show(rated, "W"), joule.Text()),
		Note:   "On mains potential whenever the amplifier is plugged in: mount it where no hand or wire reaches it, away from anything that burns." + stuck})
	w.Part(ledger.Part{Designator: "K3", Name: "Step-start contactor", Stage: "supply", Value: fmt.Sprintf("closes after %s", t.Text()),
		Rating: fmt.Sprintf("contacts for %s at %s", desk.Show(1.25*primary, "A"), w.mainsVoltage.Text()),
		Note:   "Its contacts carry the whole primary current at mains voltage. It must drop out when the mains fails, or the next switch-on has no step start."})
	w.Find(ledger.Finding{
		Severity: ledger.Note, ID: "supply.step_start", Stage: "supply", Quantities: []string{w.surge.ID, surged.ID, first.ID, reached.ID},
		Text:   fmt.Sprintf("Switched on at the crest with an empty bank, the primary would see up to %s; through %s it sees %s. After %s the bank is at %s, and the contactor closes onto about %s in the secondary.", direct.Text(), r.Text(), first.Text(), t.Text(), reached.Text(), shut.Text()),
		Advice: "The transformer's own magnetising inrush comes on top and is not in these figures.",
	})
}

// powerOf enters the rated power of the step-start resistor.
func (w *work) powerOf(q spec.Quantity, chosen float64) *ledger.Quantity {
	return w.TakeOr("supply.step_start_power", "Rated power of the step-start resistor", "W", q, chosen, "the next standard rating whose short-time overload takes the energy of one switch-on with margin")
}

// primary returns the rms primary current [A] for an rms winding current.
func (w *work) primary(secondary float64) float64 {
	if w.p.Supply.Circuit == rectifier.CentreTap {
		secondary *= math.Sqrt2
	}
	return secondary * w.ratio.Value
}
