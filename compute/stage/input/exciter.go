package input

import (
	"math"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
)

// surplusAllowed is how far the exciter may exceed the need before it is
// named: 1 dB.
const surplusAllowed = 1.0

// exciter holds the need, with and without an attenuator, against what the
// exciter can give.
func (w *worker) exciter(r *Result, least float64) {
	d := w.d
	have := d.Take("input.drive_available", "power that the exciter can give", "W", d.Spec.Target.DriveAvailable)
	bare := d.Solved("input.network_power", "exciter power needed on the hardest band, without attenuator",
		d.Get("input."+r.ExciterBand+".network_power").Value, "W",
		desk.Derived("The greatest of all bands."), d.Get("input."+r.ExciterBand+".network_power"))
	need := d.Solved("input.exciter_power", "exciter power needed on the hardest band", r.ExciterPower, "W",
		desk.Derived("The greatest of all bands."), d.Get("input."+r.ExciterBand+".exciter_power"))
	more := d.Compute("input.drive_surplus", "what the exciter can give beyond the need", surplus,
		ledger.With{"P_a": have, "P_e": need})
	if w.attenuator.Value > 0 {
		w.pad(w.attenuator, have, true)
	}
	if have.Value < need.Value {
		advice := ledger.Say("Ask for less output, or use tubes with more gain.")
		if w.attenuator.Value > 0 && have.Value >= bare.Value {
			advice = ledger.Say("Without the attenuator {input.network_power} would do: take it out or choose less.")
		}
		d.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "input.drive_short", Stage: "input", Quantities: []string{need.ID, have.ID},
			Advice: advice,
			Text: ledger.Say("Full drive takes {input.exciter_power} from the exciter on {exciter_band}; it gives "+
				"{input.drive_available}.", ledger.Called("exciter_band", r.ExciterBand))})
		return
	}
	over := 10 * math.Log10(have.Value/least)
	if over <= surplusAllowed {
		return
	}
	advice := ledger.Say("Limit the exciter's power for good and let the grid-current trip take the drive off. A power setting alone " +
		"does not hold: many exciters overshoot at the first syllable.")
	if more.Value >= 1 {
		a := w.attenuator
		if a.Value == 0 {
			a = d.Solved("input.attenuator_fit", "attenuator that would take the surplus", math.Floor(more.Value), "dB",
				ledger.Method{Words: ledger.Say("The surplus on the hardest band, rounded down to whole decibels."),
					Source: source.CommonPractice}, more)
			d.Compute("input.exciter_power_attenuated", "exciter power needed on the hardest band, with that attenuator", exciterPower,
				ledger.With{"P_0": bare, "A": a})
			w.pad(a, have, false)
		}
		advice = ledger.Say("Put an attenuator of about {floor} dB (input.attenuator) before the input. {advice}",
			ledger.Fixed("floor", math.Floor(more.Value)+w.attenuator.Value, 0), ledger.In("advice", advice))
	}
	d.Find(ledger.Finding{Severity: ledger.Caution, ID: "input.overdrive", Stage: "input",
		Quantities: []string{need.ID, have.ID, more.ID}, Advice: advice,
		Text: ledger.Say("The exciter can give {input.drive_available}; full drive takes {least} to {input.exciter_power}. The "+
			"surplus of {over} dB goes into the grids, and overdriven grids are destroyed in seconds.", ledger.Of("least", least, "W"),
			ledger.Fixed("over", over, 1))})
}

// pad works out the attenuator as a pi of three resistors, matched on both
// sides, with the exciter giving all it can.
func (w *worker) pad(a, have *ledger.Quantity, fitted bool) {
	d, r := w.d, w.source
	k := d.Compute("input.pad_ratio", "attenuator, voltage ratio", padRatio, ledger.With{"A": a})
	r1 := d.Compute("input.pad_shunt", "attenuator, resistors across both ends", padShunt, ledger.With{"R": r, "k": k})
	r2 := d.Compute("input.pad_series", "attenuator, resistor in series", padSeries, ledger.With{"R": r, "k": k})
	p1 := d.Compute("input.pad_input_heat", "attenuator, heat in the resistor on the exciter's side", padInputHeat,
		ledger.With{"P_a": have, "R": r, "R_1": r1})
	p2 := d.Compute("input.pad_series_heat", "attenuator, heat in the series resistor", padSeriesHeat,
		ledger.With{"P_a": have, "k": k, "R": r, "R_2": r2})
	p3 := d.Compute("input.pad_output_heat", "attenuator, heat in the resistor on the network's side", padOutputHeat,
		ledger.With{"P_a": have, "R": r, "R_1": r1, "k": k})
	if !fitted {
		return
	}
	rating := func(q *ledger.Quantity) string {
		return desk.Show(desk.NextUp(q.Value*d.Spec.Margins.Power.Value, desk.ResistorPowers), "W")
	}
	d.Part(ledger.Part{Designator: "AT1", Name: "input attenuator, pi of three non-inductive resistors", Stage: "input",
		Value: ledger.Say("{input.pad_shunt}, {input.pad_series}, {input.pad_shunt}"),
		Rating: ledger.Say("{p1}, {p2}, {p3} in this order from the exciter", ledger.Called("p1", rating(p1)),
			ledger.Called("p2", rating(p2)), ledger.Called("p3", rating(p3))),
		Note: ledger.Say("Several equal resistors in parallel or in series make each odd value. It must lie behind the receive " +
			"contact, or it attenuates reception as well. Hot: keep it clear of wiring.")})
}
