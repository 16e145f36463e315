package tank

import (
	"fmt"
	"math"

	"anodebook/compute/desk"
	"anodebook/compute/insulation"
	"anodebook/compute/ledger"
	"anodebook/compute/source"
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
			Factor: m.Voltage, Standard: desk.CapacitorVoltages, Why: whyVoltage,
			Advice: "Wider plate spacing, a vacuum capacitor, or a lower SWR at the connector."}
		if !h.Have.Known() && k.have.Spacing.Given {
			if stands, err := insulation.CapacitorVoltage(k.have.Spacing.SI); err == nil {
				h.Rating, h.Source = stands, source.PlateSpacing
				h.Why += fmt.Sprintf("; rating read from the chart for an air gap of %s", desk.Show(k.have.Spacing.SI, "m"))
			} else {
				w.d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tank." + k.part + ".spacing", Stage: "tank",
					Text:   fmt.Sprintf("An air gap of %s is beyond the chart of plate spacings (0.66 mm to 4.6 mm), so the rating of the %s is not known.", desk.Show(k.have.Spacing.SI, "m"), k.name),
					Advice: "Give tank." + k.key + ".voltage from the part's own data."})
			}
		}
		d.Check(h)
		i, band := w.greatest(r, k.key+"_current_rms_swr")
		d.Check(desk.Hold{Part: k.part, Name: k.name, Band: band, Kind: "current", Stress: i, Have: k.have.Current,
			Factor: m.Current, Standard: desk.Currents, Why: whyCurrent})
	}
	i, band := w.greatest(r, "coil_current_rms_swr")
	d.Check(desk.Hold{Part: "L1", Name: "tank coil", Band: band, Kind: "current", Stress: i, Have: d.Spec.Tank.Coil.Current,
		Factor: m.Current, Standard: desk.Currents, Why: whyCurrent})
	if w.piL {
		i, band := w.greatest(r, "output_coil_current_rms_swr")
		d.Check(desk.Hold{Part: "L2", Name: "output coil", Band: band, Kind: "current", Stress: i,
			Factor: m.Current, Standard: desk.Currents, Why: whyCurrent})
	}
	if d.Spec.Tank.Coil.Kind.Value == "tapped" {
		w.bandSwitch(r)
	}
}

// bandSwitch rates S1, whose wiper joins the turns beyond the tap to the load
// end: its contact nearest the plates bears most on the lowest band.
func (w *worker) bandSwitch(r *Result) {
	d, m, have := w.d, w.d.Spec.Margins, w.d.Spec.Tank.Switch
	fewest := math.Inf(1)
	first := ""
	for _, b := range r.Bands {
		if b.Turns > 0 && b.Turns < fewest {
			fewest, first = b.Turns, b.Name
		}
	}
	for i := range r.Bands {
		b := &r.Bands[i]
		if b.Turns <= fewest || first == "" {
			continue
		}
		id := "tank." + b.Name + "."
		d.Compute(id+"switch_voltage_peak", "greatest voltage between switch contacts on "+b.Name, switchVoltage, ledger.With{
			"V_L": d.Get(id + "coil_voltage_peak_swr"), "N_1": d.Get("tank." + first + ".coil_turns"), "N": d.Get(id + "coil_turns")})
	}
	i, band := w.greatest(r, "coil_current_rms_swr")
	ri := d.Check(desk.Hold{Part: "S1", Name: "band switch", Band: band, Kind: "current", Stress: i, Have: have.Current,
		Factor: m.Current, Standard: desk.Currents, Why: whyCurrent + "; what circulates in the shorted turns is not counted"})
	rating := desk.Show(ri.Rating, "A")
	if v, band := w.greatest(r, "switch_voltage_peak"); v != nil {
		rv := d.Check(desk.Hold{Part: "S1", Name: "band switch", Band: band, Kind: "voltage", Stress: v, Have: have.Voltage,
			Factor: m.Voltage, Standard: desk.CapacitorVoltages, Why: "between the contact nearest the plates and the wiper, turns sharing the voltage evenly"})
		rating = desk.Show(rv.Rating, "V") + " peak, " + rating
	}
	d.Part(ledger.Part{Designator: "S1", Name: "band switch, ceramic, turns beyond the tap shorted", Value: fmt.Sprintf("%d positions", len(r.Bands)),
		Rating: rating, Stage: "tank", Given: have.Voltage.Given || have.Current.Given,
		Note: "Never turn it with power on: the arc ruins the contacts and can take the tubes with it. Its contacts stand at the RF voltage of the tank, " +
			"and at the whole plate voltage should C3 short: earthed metal shaft behind an insulating coupling."})
}
