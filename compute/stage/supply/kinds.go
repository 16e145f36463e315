package supply

import (
	"fmt"

	"anodebook/compute/data/source"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/rectifier"
)

// What a rectifier means for formulas and words stands here, and nowhere else
// is a rectifier told from another but by what rectifier.Circuit says of it. A
// connection that is not listed panics; a test walks all words of the spec.

// halves says that the secondary has two halves, each with a current of its own.
func (p *Plan) halves() bool { return p.Supply.Circuit.Windings() == 2 }

// crestOf returns the formula of the filter voltage without load.
func crestOf(c rectifier.Circuit) *ledger.Formula {
	switch c {
	case rectifier.Bridge, rectifier.CentreTap:
		return crest
	case rectifier.Doubler:
		return crestDoubled
	}
	panic(fmt.Sprintf("supply: %v has no crest", c))
}

// legFormulas return the formulas of reverse voltage and mean current of a leg.
func legFormulas(c rectifier.Circuit) (reverse, mean *ledger.Formula) {
	switch c {
	case rectifier.Bridge:
		return reverseSingle, diodeMean
	case rectifier.CentreTap:
		return reverseDouble, diodeMean
	case rectifier.Doubler: // its filter voltage is twice the crest
		return reverseSingle, diodeMeanDbl
	}
	panic(fmt.Sprintf("supply: %v has no legs", c))
}

// windingBy returns the rule of thumb for the winding current, and what to call
// it; nil for the doubler, for which makers publish none.
func windingBy(k rectifier.Kind) (*ledger.Formula, string) {
	type key struct {
		rectifier.Circuit
		choke bool
	}
	switch (key{k.Circuit, k.Choke}) {
	case key{rectifier.Bridge, false}:
		return windingRule, "Secondary current by the transformer makers' rule, rms"
	case key{rectifier.CentreTap, false}:
		return windingRuleCT, "Secondary current by the transformer makers' rule, rms, each half"
	case key{rectifier.Doubler, false}:
		return nil, ""
	case key{rectifier.Bridge, true}:
		return squareWave, "Secondary current with an endless choke, rms"
	case key{rectifier.CentreTap, true}:
		return squareHalf, "Secondary current with an endless choke, rms, each half"
	}
	panic(fmt.Sprintf("supply: no winding current for %+v", k))
}

// seriesResistance enters the resistance of the capacitors themselves.
func (w *work) seriesResistance() {
	why := ledger.Say("from memory: a dissipation factor of {loss_factor} at twice the mains frequency, the low end for electrolytics",
		ledger.Fixed("loss_factor", lossFactor, 1))
	if loss(w.p.share(w.p.Supply.CrestVoltage()*(1+w.p.Tolerance))) < lossFactor {
		why = ledger.Say("from memory: a dissipation factor of {loss_factor} at twice the mains frequency, that of film; no "+
			"electrolytic is sold for more than {electrolytic}",
			ledger.Fixed("loss_factor", filmLoss, 3), ledger.Of("electrolytic", electrolytic, "V"))
	}
	one := w.TakeOr("supply.capacitor_resistance_each", "Series resistance of one filter capacitor", "Ω",
		w.Spec.Supply.Capacitors.Resistance, w.p.CapacitorOhms,
		why)
	w.Compute("supply.bank_series_resistance", "Series resistance of the filter bank", esrSeries, ledger.With{"R_1": one, "N": w.count})
}

// diodes enters how many there are and what they drop.
func (w *work) diodes() {
	dd, p := &w.Spec.Supply.Diodes, &w.p
	if dd.Count.Given {
		w.perLeg = w.TakeCount("supply.diodes_per_leg", "Diodes in series in one leg", dd.Count)
	} else {
		w.perLeg = w.Assume("supply.diodes_per_leg", "Diodes in series in one leg", float64(p.DiodesPerLeg), "", dd.Count.Key,
			ledger.Say("common practice: the ratings of a leg add up to at least twice its peak reverse voltage, for unequal sharing "+
				"and mains transients"))
	}
	const why = "from memory: forward curves of the common 1 A and 3 A silicon diodes between 0.3 and 5 A, warm"
	knee := w.Catalogue("supply.diode_knee", "Forward drop of one silicon chip, small current", diodeKnee, "V", why)
	slope := w.Catalogue("supply.diode_slope", "What each ampere adds to the drop of one chip", diodeSlope, "Ω", why)
	path := p.Supply.Circuit.PathLegs()
	chips := w.Solved("supply.diode_chips", "Silicon chips in series in one path of the current", float64(p.Chips*path), "",
		ledger.Method{
			Words: ledger.Say("Legs in series in a path of the current, {path} here, times the diodes of a leg, times the chips of a "+
				"diode: one for each started {chip_voltage} V of its rated reverse voltage, since a diode of more is a stack.",
				ledger.Int("path", path), ledger.Int("chip_voltage", chipVoltage)),
			Source: source.CommonPractice}, w.perLeg)
	w.Compute("supply.diode_drop", "Forward drop of the conducting diodes, small current", pathKnee,
		ledger.With{"V_1": knee, "N": chips})
	w.Compute("supply.diode_resistance", "What each ampere adds to the drop of the conducting diodes", pathSlope,
		ledger.With{"R_1": slope, "N": chips})
}
