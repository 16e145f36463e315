// Package exposure is the stage between the antenna connector and people: the
// limits of the rule set, and the distance from the antenna at which the power
// density falls to them.
//
// It assumes the far field in the direction of greatest gain, with full ground
// reflection; close to the antenna the true field can be stronger, and the
// distance says nothing about touching it.
package exposure

import (
	"fmt"
	"strconv"
	"strings"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/rules"
	"anodebook/compute/source"
)

// Input is what the stage gets.
type Input struct {
	Rules  rules.Set
	Bands  []string
	Output *ledger.Quantity // peak envelope power at the antenna connector [W]
}

// Result is what the report needs beside the book.
type Result struct {
	Rules rules.Set
	Other []string // names of the rule sets shipped beside that of the spec
	place *ledger.Quantity
}

var (
	average = ledger.MustFormula("P_avg = P_ant * δ * τ", source.OET65,
		"P_avg [W] power averaged over the time of exposure", "P_ant [W] peak envelope power at the antenna connector", "δ [] duty factor of the emission", "τ [%] share of the time spent transmitting")
	eirp = ledger.MustFormula("P_e = P_avg * pow(10, (G - L) / 10)", source.OET65,
		"P_e [W] average power radiated, over isotropic", "P_avg [W] power averaged over the time of exposure", "G [dBi] antenna gain", "L [dB] loss of the feed line")
	distance = ledger.MustFormula("r = sqrt(k_g * P_e / (4 * π * S))", source.OET65,
		"r [m] distance from the antenna", "k_g [] factor for ground reflection", "P_e [W] average power radiated, over isotropic", "S [W/m²] limit of the power density")
	densityAt = ledger.MustFormula("S = k_g * P_e / (4 * π * pow(r, 2))", source.OET65,
		"S [W/m²] power density", "k_g [] factor for ground reflection", "P_e [W] average power radiated, over isotropic", "r [m] distance of the nearest place where people can be")
	radiatedPeak = ledger.MustFormula("P_i = P_ant * pow(10, (G - L) / 10)", source.CircuitLaws,
		"P_i [W] peak envelope power radiated, over isotropic (EIRP)", "P_ant [W] peak envelope power at the antenna connector", "G [dBi] antenna gain", "L [dB] loss of the feed line")
	overDipole = ledger.MustFormula("P_d = P_i / g_d", source.OET65,
		"P_d [W] peak envelope power radiated, over a half-wave dipole (ERP)", "P_i [W] peak envelope power radiated, over isotropic", "g_d [] gain of a half-wave dipole over isotropic")
	nearField = ledger.MustFormula("r_n = c_0 / (2 * π * f)", source.CircuitLaws,
		"r_n [m] distance within which the reactive near field rules", "c_0 [m·s⁻¹] speed of light", "f [Hz] frequency")
)

// Solve enters average power, limits and distances, and holds the power
// against the legal limit of each band.
func Solve(d *desk.Desk, in Input) (Result, error) {
	r := Result{Rules: in.Rules}
	for _, name := range rules.Names() {
		if name != in.Rules.Name {
			r.Other = append(r.Other, name)
		}
	}
	gain := d.Take("exposure.antenna_gain", "antenna gain over isotropic", "dBi", d.Spec.Station.Gain)
	loss := d.Take("exposure.feed_loss", "loss of the feed line", "dB", d.Spec.Station.FeedLoss)
	share := d.Take("exposure.transmit_share", "share of the time spent transmitting", "%", d.Spec.Station.TransmitShare)
	mode := map[string]string{"cw": "cw", "data": "carrier"}[d.Spec.Target.Duty.Value]
	if mode == "" {
		mode = "processed-voice"
	}
	factor, err := rules.DutyFactor(mode)
	if err != nil {
		return r, err
	}
	duty := d.Catalogue("exposure.duty_factor", "duty factor of the emission ("+mode+")", factor, "", source.DutyFactor.Title)
	reflection := d.Catalogue("exposure.ground_reflection", "factor for ground reflection", rules.GroundReflection, "", source.OET65.Title)
	avg := d.Compute("exposure.average_power", "power averaged over the time of exposure", average, ledger.With{"P_ant": in.Output, "δ": duty, "τ": share})
	radiated := d.Compute("exposure.eirp_average", "average power radiated, over isotropic", eirp, ledger.With{"P_avg": avg, "G": gain, "L": loss})
	peak := d.Compute("exposure.eirp_peak", "peak envelope power radiated, over isotropic (EIRP)", radiatedPeak, ledger.With{"P_ant": in.Output, "G": gain, "L": loss})
	dipole := d.Catalogue("exposure.dipole_gain", "gain of a half-wave dipole over isotropic, as the bulletin rounds it", rules.IsotropicPerDipole, "", source.OET65.Title)
	erp := d.Compute("exposure.erp_peak", "peak envelope power radiated, over a half-wave dipole (ERP)", overDipole, ledger.With{"P_i": peak, "g_d": dipole})
	if d.Spec.Station.Distance.Given {
		r.place = d.Take("exposure.distance", "distance of the nearest place where people can be", "m", d.Spec.Station.Distance)
	}
	light := d.Catalogue("exposure.speed_of_light", "speed of light", 299792458, "m·s⁻¹", "SI, exact")
	for _, name := range in.Bands {
		b, err := in.Rules.Band(name)
		if err != nil {
			return r, err
		}
		if err := r.band(d, b, radiated, reflection, light); err != nil {
			return r, err
		}
		if err := r.legal(d, b, map[string]*ledger.Quantity{"": in.Output, "isotropic": peak, "dipole": erp}); err != nil {
			return r, err
		}
	}
	return r, nil
}

// band enters the distances of one band, taken at its lower edge for the
// reactive field and at its upper edge, where the limits are strictest.
func (r *Result) band(d *desk.Desk, b rules.Band, radiated, reflection, light *ledger.Quantity) error {
	id := "exposure." + b.Name + "."
	f := d.Catalogue(id+"frequency", "upper edge of the band, where the limit is strictest", b.High, "Hz", b.Citation)
	for _, c := range []struct {
		id, who    string
		controlled bool
	}{{"controlled", "people who know and control their exposure", true}, {"uncontrolled", "anybody", false}} {
		lim, err := r.Rules.ExposureLimit(b.High, c.controlled)
		if err != nil {
			return err
		}
		q := d.Catalogue(id+"limit_"+c.id, "limit of the power density for "+c.who, lim.PowerDensity, "W/m²", lim.Citation)
		dist := d.Compute(id+"distance_"+c.id, "least distance for "+c.who, distance, ledger.With{"k_g": reflection, "P_e": radiated, "S": q})
		if have := d.Spec.Station.Distance; have.Given && have.SI < dist.Value {
			sev := ledger.Caution
			if !c.controlled {
				sev = ledger.Exceeds
			}
			d.Find(ledger.Finding{Severity: sev, ID: id + c.id, Stage: "exposure", Quantities: []string{dist.ID},
				Text:   fmt.Sprintf("On %s people can come within %s of the antenna; the limit for %s is met at %s and beyond.", bandName(b.Name), desk.Show(have.SI, "m"), c.who, desk.Show(dist.Value, "m")),
				Advice: "Raise or move the antenna, reduce power on that band, or keep people away; check your licence and the rules in force."})
		}
	}
	for _, name := range r.Other {
		s, err := rules.Lookup(name)
		if err != nil {
			return err
		}
		lim, err := s.ExposureLimit(b.High, false)
		if err != nil {
			return err
		}
		key := strings.ReplaceAll(name, "-", "_")
		q := d.Catalogue(id+"limit_"+key, "limit for anybody by the rule set "+name, lim.PowerDensity, "W/m²", lim.Citation)
		d.Compute(id+"distance_"+key, "least distance for anybody by the rule set "+name, distance, ledger.With{"k_g": reflection, "P_e": radiated, "S": q})
	}
	if r.place != nil {
		d.Compute(id+"density", "power density at the nearest place where people can be", densityAt, ledger.With{"k_g": reflection, "P_e": radiated, "r": r.place})
	}
	d.Compute(id+"near_field", "distance within which the reactive near field rules", nearField, ledger.With{"c_0": light, "f": f})
	return nil
}

// legal holds the power against the limit of the band: what leaves the antenna
// connector, or what the antenna radiates, whichever the rule counts.
func (r *Result) legal(d *desk.Desk, b rules.Band, power map[string]*ledger.Quantity) error {
	if b.Note != "" {
		f := ledger.Finding{Severity: ledger.Note, ID: "antenna." + b.Name + ".band_rule", Stage: "antenna",
			Text: bandName(b.Name) + ", as this rule set has it: " + b.Note, Advice: "Read the rules that hold where you operate, and check your licence."}
		var dials []string
		for _, c := range b.Channels {
			dials = append(dials, strconv.FormatFloat(c/1e3, 'f', -1, 64))
		}
		if len(dials) > 0 {
			f.Text += " Dial frequencies: " + strings.Join(dials, ", ") + " kHz."
		}
		d.Find(f)
	}
	lim, ok, err := r.Rules.PowerLimit(b.Name)
	if err != nil {
		return err
	}
	if !ok {
		d.Find(ledger.Finding{Severity: ledger.Note, ID: "antenna." + b.Name + ".power_limit", Stage: "antenna",
			Text: fmt.Sprintf("This rule set gives no power limit for %s: the licence decides.", bandName(b.Name)), Advice: "Read it before you build."})
		return nil
	}
	q := d.Catalogue("antenna."+b.Name+".power_limit", "legal limit on "+bandName(b.Name)+" ("+lim.Basis+")", lim.Watts, "W", lim.Citation)
	output, have := power[""], power[lim.Reference]
	if have == nil {
		return fmt.Errorf("exposure: the limit on %s counts power over %q, which nobody computes", b.Name, lim.Reference)
	}
	if have.Value <= lim.Watts*(1+1e-9) {
		return nil
	}
	f := ledger.Finding{Severity: ledger.Exceeds, ID: "antenna." + b.Name + ".legal_power", Stage: "antenna", Quantities: []string{have.ID, q.ID},
		Text:   fmt.Sprintf("%s at the antenna connector is more than the %s (%s) allowed on %s.", output.Text(), q.Text(), lim.Basis, bandName(b.Name)),
		Advice: "Reduce the output on that band, and use no more power than the contact needs; check your licence."}
	if have != output {
		allowed := output.Value * lim.Watts / have.Value
		f.Text = fmt.Sprintf("On %s the rule counts what the antenna radiates (%s): %s at the antenna connector make %s, more than the %s allowed.", bandName(b.Name), lim.Basis, output.Text(), have.Text(), q.Text())
		f.Advice = fmt.Sprintf("With this antenna and feed line no more than %s at the connector; use no more than the contact needs, and check your licence.", desk.Show(allowed, "W"))
	}
	d.Find(f)
	return nil
}

func bandName(b string) string {
	return b[:len(b)-1] + " m"
}
