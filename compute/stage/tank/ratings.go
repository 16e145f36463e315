package tank

import (
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/insulation"
	"anodebook/spec"
)

// greatest finds the band on which the quantity is greatest.
func (w *worker) greatest(r *Result, name string) (*ledger.Quantity, string) {
	var worst *ledger.Quantity
	band := ""
	for _, b := range r.Bands {
		if q, ok := w.d.Lookup("tank." + b.Name + "." + name); ok && (worst == nil || q.Value > worst.Value) {
			worst, band = q, b.Name
		}
	}
	return worst, band
}

// lowland is the relative density of the air down to which a maker's rating is
// taken as it stands.
const lowland = 0.95

const (
	whyVoltage = "peak RF at PEP and the worst phase of the SWR; no direct voltage, the blocking capacitor keeps it off"
	whyCurrent = "RF, rms, at PEP and the worst phase of the SWR"
)

// ratings holds capacitors, coils and switch against what they bear.
func (w *worker) ratings(r *Result) {
	d, m := w.d, w.d.Spec.Margins
	for _, k := range w.knobs() {
		v, band := w.greatest(r, k.key+"_voltage_peak_swr")
		h := desk.Hold{Part: k.part, Name: k.name, Band: band, Kind: "voltage", Stress: v, Have: k.have.Voltage,
			Owned:  k.have.Capacitance.Given,
			Factor: m.Voltage, Standard: desk.CapacitorVoltages,
			Why:    ledger.Say(whyVoltage),
			Advice: ledger.Say("Wider plate spacing, a vacuum capacitor, or a lower SWR at the connector.")}
		if k.have.Dielectric.Value == "vacuum" {
			h.Why = h.Why.Append(ledger.Say("; of a vacuum capacitor the RF working voltage counts, 60 % of its peak test voltage at " +
				"60 Hz by a maker's note"))
		}
		thin := 1.0
		if k.have.Dielectric.Value != "vacuum" && (h.Have.Known() || k.have.Spacing.Given) {
			thin = w.density().Value
		}
		if h.Have.Known() && thin < lowland {
			h.Rating, h.Have = h.Have.SI*thin, spec.Quantity{}
			h.Why = h.Why.Append(ledger.Say("; rating of {voltage} at sea level, {thin} % of it in the air of the station",
				ledger.Of("voltage", k.have.Voltage.SI, "V"), ledger.Fixed("thin", 100*thin, 0)))
		}
		if !h.Have.Known() && h.Rating == 0 && k.have.Spacing.Given {
			if stands, err := insulation.CapacitorVoltage(k.have.Spacing.SI); err == nil {
				h.Rating = stands * thin
				h.Why = h.Why.Append(ledger.Say("; rating read from the chart for an air gap of {spacing}",
					ledger.Of("spacing", k.have.Spacing.SI, "m")))
				if thin < 1 {
					h.Why = h.Why.Append(ledger.Say(", {thin} % of it in the air of the station", ledger.Fixed("thin", 100*thin, 0)))
				}
			} else {
				w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank." + k.part + ".spacing", Stage: "tank",
					Text: ledger.Say("An air gap of {spacing} is beyond the chart of plate spacings (0.66 mm to 4.6 mm), so the "+
						"rating of the {name} is not known.", ledger.Of("spacing", k.have.Spacing.SI, "m"),
						ledger.Called("name", k.name)),
					Advice: ledger.Say("Give tank.{key}.voltage from the part's own data.", ledger.Called("key", k.key))})
			}
		}
		d.Check(h)
		i, band := w.greatest(r, k.key+"_current_rms_swr")
		d.Check(desk.Hold{Part: k.part, Name: k.name, Band: band, Kind: "current", Stress: i, Have: k.have.Current,
			Owned:  k.have.Capacitance.Given,
			Factor: m.Current, Standard: desk.Currents, Why: ledger.Say(whyCurrent)})
	}
	i, band := w.greatest(r, "coil_current_rms_swr")
	d.Check(desk.Hold{Part: "L1", Name: "tank coil", Band: band, Kind: "current", Stress: i, Have: d.Spec.Tank.Coil.Current,
		Owned:  coilGiven(&d.Spec.Tank.Coil),
		Factor: m.Current, Standard: desk.Currents, Why: ledger.Say(whyCurrent)})
	if w.piL {
		i, band := w.greatest(r, "output_coil_current_rms_swr")
		d.Check(desk.Hold{Part: "L2", Name: "output coil", Band: band, Kind: "current", Stress: i, Have: d.Spec.Tank.OutputCoil.Current,
			Owned:  d.Spec.Tank.OutputCoil.Index.Given,
			Factor: m.Current, Standard: desk.Currents, Why: ledger.Say(whyCurrent)})
	}
	if d.Spec.Tank.Coil.Kind.Value == "tapped" {
		w.bandSwitch(r)
	}
}

// bandSwitch rates S1, whose wiper joins the turns beyond the tap to the load
// end: its contact nearest the plates bears most on the lowest band.
func (w *worker) bandSwitch(r *Result) {
	d, m, have := w.d, w.d.Spec.Margins, w.d.Spec.Tank.Switch
	w.switchVoltages(r)
	open := have.Unused.Value == "open"
	i, band := w.greatest(r, "coil_current_rms_swr")
	owned := have.Voltage.Given || have.Current.Given
	why := "; what circulates in the shorted turns has contacts of its own"
	if open {
		why = ""
	}
	ri := d.Check(desk.Hold{Part: "S1", Name: "band switch", Band: band, Kind: "current", Stress: i, Have: have.Current, Owned: owned,
		Factor: m.Current, Standard: desk.Currents, Why: ledger.Say(whyCurrent+"{why}",
			ledger.Called("why", why)),
		Advice: ledger.Say("Contacts of the size asked for, several wafers in parallel, or a relay at each tap.")})
	rating := ledger.Say("{rating}", ledger.Of("rating", ri.Rating, "A"))
	if q, band := w.greatest(r, "shorted_current_rms"); q != nil {
		d.Check(desk.Hold{Part: "S1", Name: "band switch", Band: band, Kind: "current", Stress: q, Have: have.Current,
			Rating: ri.Rating, Bought: true, Owned: owned,
			Factor: m.Current, Why: ledger.Say("in the contact that shorts the turns beyond the tap, worst phase of the SWR")})
	}
	if v, band := w.greatest(r, "switch_voltage_peak"); v != nil {
		rv := d.Check(desk.Hold{Part: "S1", Name: "band switch", Band: band, Kind: "voltage", Stress: v, Have: have.Voltage,
			Owned:  owned,
			Factor: m.Voltage, Standard: desk.CapacitorVoltages,
			Why:    ledger.Say("between the contact nearest the plates and the wiper, turns sharing the voltage evenly"),
			Advice: ledger.Say("Ceramic wafers with more contact spacing, every second contact left out, or relays at the taps.")})
		rating = ledger.Say("{rating} peak, {rating_2}", ledger.Of("rating", rv.Rating, "V"), ledger.In("rating_2", rating))
		if q, band := w.greatest(r, "unused_voltage_peak"); open && q != nil {
			d.Check(desk.Hold{Part: "S1", Name: "band switch", Band: band, Kind: "voltage", Stress: q, Have: have.Voltage,
				Rating: rv.Rating, Bought: true, Owned: owned,
				Factor: m.Voltage,
				Why:    ledger.Say("across the open turns beyond the tap, stepped up by those in use; their resonances make it higher"),
				Advice: ledger.Say("Short the turns beyond the tap: tank.switch.unused_turns.")})
		}
	}
	name := "band switch, ceramic, turns beyond the tap shorted"
	if open {
		name = "band switch, ceramic, turns beyond the tap open"
	}
	d.Part(ledger.Part{Designator: "S1", Name: name, Value: ledger.Say("{bands} positions", ledger.Int("bands", len(r.Bands))),
		Rating: rating, Stage: "tank", Given: owned,
		Note: ledger.Say("Never turn it with power on: the arc ruins the contacts and can take the tubes with it. Its contacts stand " +
			"at the RF voltage of the tank, and at the whole plate voltage should C3 short: earthed metal shaft behind an insulating " +
			"coupling as long as the clearance section says.")})
}

// switchVoltages writes what stands between the contacts in every position.
func (w *worker) switchVoltages(r *Result) {
	d := w.d
	var first *BandResult // the contact nearest the plates
	before := func(a, b *BandResult) bool {
		return a.OnHighCoil && !b.OnHighCoil || a.OnHighCoil == b.OnHighCoil && a.Turns < b.Turns
	}
	for i := range r.Bands {
		if b := &r.Bands[i]; b.Turns > 0 && (first == nil || before(b, first)) {
			first = b
		}
	}
	if first == nil {
		return
	}
	nearest := d.Get("tank." + first.Name + ".coil_turns")
	for i := range r.Bands {
		b := &r.Bands[i]
		if b == first || b.Turns == 0 {
			continue
		}
		id := "tank." + b.Name + "."
		words := "share of the coil's voltage before the contact nearest the plates on " + b.Name
		var share *ledger.Quantity
		if first.OnHighCoil && !b.OnHighCoil {
			share = d.Compute(id+"switch_share", words, switchShareSeries,
				ledger.With{"L_h": d.Get("tank.high_coil_inductance"), "L": d.Get(id + "inductance"),
					"N_1": nearest, "N_h": d.Get("tank.high_coil_turns")})
		} else {
			share = d.Compute(id+"switch_share", words, switchShare, ledger.With{"N_1": nearest, "N": d.Get(id + "coil_turns")})
		}
		d.Compute(id+"switch_voltage_peak", "greatest voltage between switch contacts on "+b.Name, switchVoltage,
			ledger.With{"V_L": d.Get(id + "coil_voltage_peak_swr"), "u": share})
	}
}

// coilGiven says that the builder has the tank coil: its turns, or the range of
// a roller inductor, are in the spec.
func coilGiven(c *spec.TankCoil) bool {
	if c.Kind.Value == "roller" {
		return c.Range.Given
	}
	return c.Turns.Given
}
