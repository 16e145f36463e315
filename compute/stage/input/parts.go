package input

import (
	"fmt"
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
)

// parts enters L1x, C1xa and C1xb of a band, x counting the bands from 1.
func (w *worker) parts(i int, r *BandResult, ownIn, ownOut, ownCoil bool) {
	d := w.d
	rating := func(kind string) string {
		return fmt.Sprintf("%s peak, %s RF at full drive", desk.Show(d.Get("input."+r.Name+"."+kind+"_voltage_peak").Value, "V"),
			desk.Show(d.Get("input."+r.Name+"."+kind+"_current_rms").Value, "A"))
	}
	d.Part(ledger.Part{Designator: fmt.Sprintf("L1%d", i+1), Name: "input coil, slug tuned, " + r.Name, Stage: "input", Given: ownCoil,
		Value: ledger.Say("{inductance} (slug at least {coil_low} .. {coil_high})", ledger.Of("inductance", r.Network.Inductance, "H"),
			ledger.Of("coil_low", r.CoilLow, "H"), ledger.Of("coil_high", r.CoilHigh, "H")),
		Rating: ledger.Say("{get} RF", ledger.Q("get", d.Get("input."+r.Name+".coil_current_rms"))),
		Note: ledger.Say("Set the slug at full drive on this band, for the cathodes' resistance is another at low drive. The input " +
			"compartment is close to the high voltage: adjust with an insulated tool through a hole in the shield, never with the cover " +
			"off and power on.")})
	const mica = "Silver mica or a ceramic of the stable kind."
	d.Part(ledger.Part{Designator: fmt.Sprintf("C1%da", i+1), Name: "input capacitor, exciter's side, " + r.Name,
		Value:  ledger.Say("{shunt_in}", ledger.Of("shunt_in", r.Network.ShuntIn, "F")),
		Rating: ledger.Literal(rating("shunt_in")), Stage: "input", Given: ownIn,
		Note: ledger.Say(mica)})
	if r.Network.ShuntOut > 0 {
		d.Part(ledger.Part{Designator: fmt.Sprintf("C1%db", i+1), Name: "input capacitor, cathode side, " + r.Name,
			Value:  ledger.Say("{shunt_out}", ledger.Of("shunt_out", r.Network.ShuntOut, "F")),
			Rating: ledger.Literal(rating("shunt_out")), Stage: "input", Given: ownOut,
			Note: ledger.Say(mica)})
	}
}

// worst finds the band on which the quantity is greatest.
func (w *worker) worst(r *Result, name string) (q *ledger.Quantity, index int) {
	for i, b := range r.Bands {
		if x := w.d.Get("input." + b.Name + "." + name); q == nil || x.Value > q.Value {
			q, index = x, i
		}
	}
	return q, index
}

// ratings holds the hardest pressed of the input capacitors against its
// rating.
func (w *worker) ratings(r *Result) {
	d, m := w.d, w.d.Spec.Margins
	for _, k := range []struct {
		kind, letter, words string
		own                 func(band string) bool
	}{
		{"shunt_in", "a", "input capacitor, exciter's side", func(b string) bool { return d.Spec.Input.Band[b].ShuntIn.Given }},
		{"shunt_out", "b", "input capacitor, cathode side", func(b string) bool { return d.Spec.Input.Band[b].ShuntOut.Given }},
	} {
		if k.kind == "shunt_out" {
			if most, _ := w.worst(r, "shunt_out"); most.Value == 0 {
				continue
			}
		}
		v, i := w.worst(r, k.kind+"_voltage_peak")
		d.Check(desk.Hold{Part: fmt.Sprintf("C1%d%s", i+1, k.letter), Name: k.words, Band: r.Bands[i].Name, Kind: "voltage", Stress: v,
			Have: d.Spec.Input.Voltage, Owned: k.own(r.Bands[i].Name), Factor: m.Voltage, Standard: desk.CapacitorVoltages,
			Why: ledger.Say("peak RF at full drive, the hardest pressed band")})
		c, i := w.worst(r, k.kind+"_current_rms")
		d.Check(desk.Hold{Part: fmt.Sprintf("C1%d%s", i+1, k.letter), Name: k.words, Band: r.Bands[i].Name, Kind: "current", Stress: c,
			Owned:  k.own(r.Bands[i].Name),
			Factor: m.Current, Standard: desk.Currents, Why: ledger.Say("RF at full drive, rms, the hardest pressed band")})
	}
}

// coupling chooses C6, which keeps the bias of the cathodes off the network.
func (w *worker) coupling(r *Result) {
	d, m := w.d, w.d.Spec.Margins
	lowest := 0
	for i, b := range r.Bands {
		if b.Low < r.Bands[lowest].Low {
			lowest = i
		}
	}
	f := d.Get("input." + r.Bands[lowest].Name + ".frequency")
	rk, pd := w.in.InputResistance, w.in.DrivePower
	least := d.Compute("input.coupling_least", "least coupling capacitance", couplingLeast, ledger.With{"f": f, "R_k": rk})
	d.Solved("input.coupling_capacitance", "coupling capacitor C6", preferred.E6.Up(least.Value), "F",
		ledger.Method{Words: ledger.Say("The next value of the E6 series."), Source: byStandard.Source}, least)
	bias := w.in.BiasVoltage
	if bias == nil {
		bias = d.Solved("input.bias_voltage", "bias of the cathodes", 0, "V", desk.Derived("Zero bias."))
	}
	v := d.Compute("input.coupling_voltage", "greatest voltage at the coupling capacitor", couplingVoltage,
		ledger.With{"P_d": pd, "R_k": rk, "V_b": bias})
	i := d.Compute("input.coupling_current", "drive current through the coupling capacitor", couplingCurrent,
		ledger.With{"P_d": pd, "R_k": rk})
	rv := d.Check(desk.Hold{Part: "C6", Name: "input coupling capacitor", Kind: "voltage", Stress: v, Factor: m.Voltage,
		Standard: desk.CapacitorVoltages, Why: ledger.Say("bias and peak drive")})
	ri := d.Check(desk.Hold{Part: "C6", Name: "input coupling capacitor", Kind: "current", Stress: i, Factor: m.Current,
		Standard: desk.Currents, Why: ledger.Say("the whole drive current, rms")})
	if n := len(d.Spec.Target.Bands.Values); n > 1 {
		d.Part(ledger.Part{Designator: "S3", Name: "input band switch, two decks, ganged with S1 or switched by relays",
			Value: ledger.Say("{n} positions", ledger.Int("n", n)), Stage: "input",
			Rating: ledger.Say("{rating} RF", ledger.Of("rating", ri.Rating, "A")),
			Note: ledger.Say("a band chosen wrongly at the input overdrives the exciter's protection, at the output the tank: gang " +
				"them if you can")})
	}
	d.Part(ledger.Part{Designator: "C6", Name: "input coupling capacitor", Value: ledger.Say("{input.coupling_capacitance}"),
		Stage: "input",
		Rating: ledger.Say("{rating}, {rating_2} RF", ledger.Of("rating", math.Max(rv.Rating, 500), "V"),
			ledger.Of("rating_2", ri.Rating, "A")),
		Note: ledger.Say("Several in parallel share the current. In receive the cut-off resistor lets the cathodes rise well above " +
			"the bias, and a flashover inside a tube puts the plate supply on them: rate it for 500 V or more, and keep hands out of the " +
			"input side as of the plate side.")})
}
