// Package exposure is the stage between the antenna connector and people: the
// limits of the rule set, and the distance from the antenna at which the power
// density falls to them.
//
// It assumes the far field in the direction of greatest gain, with the ground
// reflection of OET Bulletin 65; close to the antenna the true field can be
// stronger, and the distance says nothing about touching it. A transmission
// that can outlast the time that a limit averages over counts whole.
package exposure

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"anodebook/compute/data/rules"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/spec"
	"anodebook/spec/quantity"
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
	Other []string      // names of the rule sets shipped beside that of the spec
	Dates []rules.Dated // rules that the section rests on, and the standards of safety
	place *ledger.Quantity
}

// who is one of the two groups of people that every rule set knows.
type who struct {
	id, words  string
	controlled bool
}

var people = []who{
	{"controlled", "people who know and control their exposure", true},
	{"uncontrolled", "anybody", false},
}

var (
	average = ledger.MustFormula("P_avg = P_ant * δ * τ", source.OET65,
		"P_avg [W] power averaged over the time of exposure", "P_ant [W] peak envelope power at the antenna connector",
		"δ [] duty factor of the emission", "τ [%] share of the time spent transmitting")
	eirp = ledger.MustFormula("P_e = P_avg * pow(10, (G - L) / 10)", source.OET65,
		"P_e [W] average power radiated, over isotropic", "P_avg [W] power averaged over the time of exposure", "G [dBi] antenna gain",
		"L [dB] loss of the feed line")
	distance = ledger.MustFormula("r = sqrt(k_g * P_e / (4 * π * S))", source.OET65,
		"r [m] distance from the antenna", "k_g [] factor for ground reflection", "P_e [W] average power radiated, over isotropic",
		"S [W/m²] limit of the power density")
	densityAt = ledger.MustFormula("S = k_g * P_e / (4 * π * pow(r, 2))", source.OET65,
		"S [W/m²] power density", "k_g [] factor for ground reflection", "P_e [W] average power radiated, over isotropic",
		"r [m] distance of the nearest place where people can be")
	radiatedPeak = ledger.MustFormula("P_i = P_ant * pow(10, (G - L) / 10)", source.CircuitLaws,
		"P_i [W] peak envelope power radiated, over isotropic (EIRP)", "P_ant [W] peak envelope power at the antenna connector",
		"G [dBi] antenna gain", "L [dB] loss of the feed line")
	overDipole = ledger.MustFormula("P_d = P_i / g_d", source.CircuitLaws,
		"P_d [W] peak envelope power radiated, over a half-wave dipole (ERP)", "P_i [W] peak envelope power radiated, over isotropic",
		"g_d [] gain of a half-wave dipole over isotropic")
	allowed = ledger.MustFormula("P_c = P_ant * P_l / P_r", source.CircuitLaws,
		"P_c [W] peak envelope power at the antenna connector that reaches the limit",
		"P_ant [W] peak envelope power at the antenna connector",
		"P_l [W] limit", "P_r [W] power that the rule counts, at that power at the connector")
	nearField = ledger.MustFormula("r_n = c_0 / (2 * π * f)", source.CircuitLaws,
		"r_n [m] distance within which the reactive near field rules", "c_0 [m·s⁻¹] speed of light", "f [Hz] frequency")
)

// station is what the bands have in common.
type station struct {
	output, duty, reflection, gain, loss *ledger.Quantity
	over, share                          *ledger.Quantity
	peak, erp, light                     *ledger.Quantity
	overGiven, shareGiven                bool
}

// Solve enters average power, limits and distances, and holds the power
// against the legal limit of each band.
func Solve(d *desk.Desk, in Input) (Result, error) {
	r := Result{Rules: in.Rules}
	for _, name := range rules.Names() {
		if name != in.Rules.Name {
			r.Other = append(r.Other, name)
		}
	}
	var err error
	if r.Dates, err = in.Rules.Dated(in.Bands); err != nil {
		return r, err
	}
	r.Dates = append(r.Dates, rules.Standards()...)
	st := &d.Spec.Station
	s := station{output: in.Output, overGiven: st.LongestOver.Given, shareGiven: st.TransmitShare.Given}
	s.gain = d.Take("exposure.antenna_gain", "antenna gain over isotropic", "dBi", st.Gain)
	s.loss = d.Take("exposure.feed_loss", "loss of the feed line", "dB", st.FeedLoss)
	s.share = d.Take("exposure.transmit_share", "share of the averaging time spent transmitting, where no over can outlast it", "%",
		st.TransmitShare)
	s.over = d.Take("exposure.longest_over", "longest transmission without a break", "s", st.LongestOver)
	mode := Emission(d.Spec.Target.Duty.Value)
	factor, err := rules.DutyFactor(mode)
	if err != nil {
		return r, err
	}
	s.duty = d.Catalogue("exposure.duty_factor", "duty factor of the emission ("+mode+")", factor, "", source.DutyFactor.Title)
	s.reflection = d.Catalogue("exposure.ground_reflection", "factor for ground reflection", rules.GroundReflection, "",
		source.OET65.Title)
	s.peak = d.Compute("exposure.eirp_peak", "peak envelope power radiated, over isotropic (EIRP)", radiatedPeak,
		ledger.With{"P_ant": in.Output, "G": s.gain, "L": s.loss})
	dipole := d.Catalogue("exposure.dipole_gain", "gain of a half-wave dipole over isotropic, 2.15 dB",
		rules.EIRP(1, 0, rules.DipoleGain), "", "half-wave dipole in free space, the reference of an effective radiated power")
	s.erp = d.Compute("exposure.erp_peak", "peak envelope power radiated, over a half-wave dipole (ERP)", overDipole,
		ledger.With{"P_i": s.peak, "g_d": dipole})
	if st.Distance.Given {
		r.place = d.Take("exposure.distance", "distance of the nearest place where people can be", "m", st.Distance)
	}
	s.light = d.Catalogue("exposure.speed_of_light", "speed of light", 299792458, "m·s⁻¹", "SI, exact")
	radiated := map[string]*ledger.Quantity{}
	for _, p := range people { // the averaging times of a set are the same on all its bands
		if radiated[p.id], err = s.radiated(d, in.Rules, in.Bands[0], p, p.id); err != nil {
			return r, err
		}
	}
	for _, name := range r.Other {
		set, err := rules.Lookup(name)
		if err != nil {
			return r, err
		}
		if radiated[name], err = s.radiated(d, set, in.Bands[0], people[1], key(name)); err != nil {
			return r, err
		}
	}
	var evaluate []string
	for _, name := range in.Bands {
		b, err := in.Rules.Band(name)
		if err != nil {
			return r, err
		}
		if err := r.band(d, b, &s, radiated); err != nil {
			return r, err
		}
		near, err := r.exempt(d, b, &s)
		if err != nil {
			return r, err
		}
		if near {
			evaluate = append(evaluate, bandName(name))
		}
		if err := r.legal(d, b, &s); err != nil {
			return r, err
		}
	}
	r.evaluation(d, evaluate)
	return r, nil
}

// Emission is the emission of the rules' duty factors for a word of target.duty.
// Voice counts as processed, the greater of the two.
func Emission(duty string) string {
	switch duty {
	case "voice":
		return "processed-voice"
	case "cw":
		return "cw"
	case "data":
		return "carrier"
	}
	panic("exposure: no duty factor for target.duty = " + strconv.Quote(duty))
}

// key is the name of a rule set as IDs have it.
func key(set string) string { return strings.ReplaceAll(set, "-", "_") }

// radiated enters the averaging time of a limit of a rule set, the share of it
// that is transmitted and the average power radiated. The builder's share
// holds; one that is only assumed, or one beside a stated longest over, gives
// way to the whole time where an over can outlast it.
func (s *station) radiated(d *desk.Desk, set rules.Set, band string, p who, id string) (*ledger.Quantity, error) {
	b, err := set.Band(band)
	if err != nil {
		return nil, err
	}
	lim, err := set.ExposureLimit(b.High, p.controlled)
	if err != nil {
		return nil, err
	}
	name := "anybody by the rule set " + set.Name
	if id == p.id {
		name = p.words
	}
	t := d.Catalogue("exposure.averaging_"+id, "time over which the limit for "+name+" averages", lim.Averaging, "s", lim.Citation)
	part, words := s.share.Value, "The share of the time: no over outlasts the averaging time."
	switch {
	case s.shareGiven && !s.overGiven:
		words = "The share of the time as the spec gives it."
	case s.over.Value >= t.Value:
		part, words = 1, "The longest over fills the averaging time or outlasts it: all of it counts."
	}
	share := d.Solved("exposure.transmit_share_"+id, "share of that time spent transmitting, "+name, part, "%", desk.Derived(words),
		s.share, s.over, t)
	suffix := "_" + id
	if id == "uncontrolled" {
		suffix = ""
	}
	avg := d.Compute("exposure.average_power"+suffix, "power averaged over "+quantity.Format(t.Value, "min", 3)+", "+name, average,
		ledger.With{"P_ant": s.output, "δ": s.duty, "τ": share})
	return d.Compute("exposure.eirp_average"+suffix, "average power radiated, over isotropic, "+name, eirp,
		ledger.With{"P_avg": avg, "G": s.gain, "L": s.loss}), nil
}

// band enters the distances of one band, taken at its lower edge for the
// reactive field and at its upper edge, where the limits are strictest.
func (r *Result) band(d *desk.Desk, b rules.Band, s *station, radiated map[string]*ledger.Quantity) error {
	id := "exposure." + b.Name + "."
	d.Catalogue(id+"frequency", "upper edge of the band, where the limit is strictest", b.High, "Hz", b.Citation)
	low := d.Catalogue(id+"lower_edge", "lower edge of the band, where the near field reaches farthest", b.Low, "Hz", b.Citation)
	for _, p := range people {
		lim, err := r.Rules.ExposureLimit(b.High, p.controlled)
		if err != nil {
			return err
		}
		q := d.Catalogue(id+"limit_"+p.id, "limit of the power density for "+p.words, lim.PowerDensity, "W/m²", lim.Citation)
		dist := d.Compute(id+"distance_"+p.id, "least distance for "+p.words, distance,
			ledger.With{"k_g": s.reflection, "P_e": radiated[p.id], "S": q})
		dist.Least = true
		if have := d.Spec.Station.Distance; have.Given && have.SI < dist.Value {
			sev := ledger.Caution
			if !p.controlled {
				sev = ledger.Exceeds
			}
			d.Find(ledger.Finding{Severity: sev, ID: id + p.id, Stage: "exposure", Quantities: []string{dist.ID},
				Text: ledger.Say("On {b} the limit for {words} is kept at {dist} from the antenna and beyond; by the spec people "+
					"can come as near as {have}.", ledger.Called("b", bandName(b.Name)), ledger.Called("words", p.words),
					ledger.Q("dist", dist), ledger.In("have", below(have))),
				Advice: ledger.Say("Raise or move the antenna, reduce power on that band, or keep people away; check your licence and " +
					"the rules in force.")})
		}
	}
	for _, name := range r.Other {
		set, err := rules.Lookup(name)
		if err != nil {
			return err
		}
		lim, err := set.ExposureLimit(b.High, false)
		if err != nil {
			return err
		}
		q := d.Catalogue(id+"limit_"+key(name), "limit for anybody by the rule set "+name, lim.PowerDensity, "W/m²", lim.Citation)
		d.Compute(id+"distance_"+key(name), "least distance for anybody by the rule set "+name, distance,
			ledger.With{"k_g": s.reflection, "P_e": radiated[name], "S": q}).Least = true
	}
	if r.place != nil {
		d.Compute(id+"density", "power density at the nearest place where people can be", densityAt,
			ledger.With{"k_g": s.reflection, "P_e": radiated["uncontrolled"], "r": r.place})
		d.Compute(id+"density_controlled", "power density there, averaged as for people who know and control their exposure", densityAt,
			ledger.With{"k_g": s.reflection, "P_e": radiated["controlled"], "r": r.place})
	}
	d.Compute(id+"near_field", "distance within which the reactive near field rules", nearField,
		ledger.With{"c_0": s.light, "f": low}).Least = true
	return nil
}

// below writes the builder's distance so that it never reads as the one wanted.
func below(have spec.Quantity) ledger.Sentence {
	return ledger.Say("{round_down}", ledger.Of("round_down", quantity.RoundDown(have.SI, "m", 3), "m"))
}

// exempt enters the distance from which on the rules ask for no evaluation,
// where the set has such a rule, and says whether people can come nearer. The
// peak envelope power counts, as if it were radiated all the time: the cautious
// reading.
func (r *Result) exempt(d *desk.Desk, b rules.Band, s *station) (near bool, err error) {
	strict, err := r.Rules.ExemptDistance(s.erp.Value, b.High)
	if errors.Is(err, rules.ErrNoExemption) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	far := max(strict, rules.ReactiveNearField(b.Low))
	q := d.Solved("exposure."+b.Name+".exempt_distance", "distance from which on the rules ask for no evaluation", far, "m",
		ledger.Method{
			Words: ledger.Say("The greater of two: where the exempt power, a law of the frequency times the square of the distance, " +
				"reaches the peak envelope power radiated over a dipole, at the upper edge of the band; and the reactive near field " +
				"at its " +
				"lower edge."),
			Source: ledger.Source{Key: "evaluation-exemption", Title: r.Rules.Exemption.Citation + ", " + r.Rules.Exemption.Date.Text(),
				Known: source.Mark(r.Rules.Exemption.Known)},
		}, s.erp, d.Get("exposure."+b.Name+".frequency"), d.Get("exposure."+b.Name+".near_field"))
	q.Least = true
	return r.place != nil && r.place.Value < far, nil
}

// evaluation says on which bands people come nearer than the exemption reaches.
func (r *Result) evaluation(d *desk.Desk, bands []string) {
	if len(bands) == 0 {
		return
	}
	list := strings.Join(bands, ", ")
	if n := len(bands) - 1; n > 0 {
		list = strings.Join(bands[:n], ", ") + " and " + bands[n]
	}
	d.Find(ledger.Finding{Severity: ledger.Note, ID: "exposure.evaluation", Stage: "exposure", Quantities: []string{r.place.ID},
		Text: ledger.Say("On {list} people can come nearer than the distance from which on the rules ask for no evaluation of "+
			"exposure.", ledger.Called("list", list)),
		Advice: ledger.Say("Evaluate these bands and keep the result with the station's papers. The distances here serve beyond the " +
			"reactive near field; nearer than that, measure, or compute the antenna's field itself.")})
}

// legal holds the power against the limits of the band: what leaves the antenna
// connector, or what the antenna radiates, whichever the rule counts. Where
// parts of a band have limits of their own, each is held for itself.
func (r *Result) legal(d *desk.Desk, b rules.Band, s *station) error {
	if b.Note != "" {
		f := ledger.Finding{Severity: ledger.Note, ID: "antenna." + b.Name + ".band_rule", Stage: "antenna",
			Text: ledger.Say("{b}, as this rule set has it ({text}): {note}", ledger.Called("b", bandName(b.Name)),
				ledger.Called("text", b.Date.Text()), ledger.Called("note", b.Note)),
			Advice: ledger.Say("Read the rules that hold where you operate, and check your licence.")}
		if len(b.Channels) > 0 {
			f.Text = f.Text.Then(ledger.Say("Dial frequencies of the channels, upper sideband: {channels}.",
				ledger.Called("channels", kilohertz(b.Channels))))
		}
		for _, p := range b.Former {
			f.Text = f.Text.Then(ledger.Say("Before, {text}: {power} ({basis}) {where}, dials {channels}.",
				ledger.Called("text", p.Date.Text()), ledger.Of("power", p.Power, "W"), ledger.Called("basis", p.Basis),
				ledger.Called("where", p.Where), ledger.Called("channels", kilohertz(p.Channels))))
		}
		d.Find(f)
	}
	list, err := r.Rules.PowerLimits(b.Name)
	if err != nil {
		return err
	}
	if len(list) == 0 {
		d.Find(ledger.Finding{Severity: ledger.Note, ID: "antenna." + b.Name + ".power_limit", Stage: "antenna",
			Text: ledger.Say("This rule set gives no power limit for {b}: the licence decides.",
				ledger.Called("b", bandName(b.Name))),
			Advice: ledger.Say("Read it before you build.")})
	}
	free, err := s.allowed(b, list)
	if err != nil {
		return err
	}
	for _, lim := range list {
		if err := r.limit(d, b, s, lim, free); err != nil {
			return err
		}
	}
	return nil
}

func kilohertz(list []float64) string {
	words := make([]string, len(list))
	for k, f := range list {
		words[k] = strconv.FormatFloat(f/1e3, 'f', -1, 64)
	}
	return strings.Join(words, ", ") + " kHz"
}

// counted returns the power that a limit counts.
func (s *station) counted(b rules.Band, lim rules.PowerLimit) (*ledger.Quantity, error) {
	switch lim.Reference {
	case "":
		return s.output, nil
	case "dipole":
		return s.erp, nil
	case "isotropic":
		return s.peak, nil
	}
	return nil, fmt.Errorf("exposure: the limit on %s counts power over %q, which nobody computes", b.Name, lim.Reference)
}

// over says that a power is more than a limit, by more than rounding.
func over(have *ledger.Quantity, lim rules.PowerLimit) bool { return have.Value > lim.Watts*(1+1e-9) }

// allowed names the parts of a band in which the station may be used at full
// output; "": none.
func (s *station) allowed(b rules.Band, list []rules.PowerLimit) (string, error) {
	var where []string
	for _, lim := range list {
		have, err := s.counted(b, lim)
		if err != nil {
			return "", err
		}
		if !over(have, lim) {
			w := strings.Trim(lim.Where, "()")
			if w == "" {
				w = "the rest of the band"
			}
			where = append(where, w)
		}
	}
	return strings.Join(where, " and "), nil
}

// limit holds the power against one limit of a band. Where another part of the
// band allows it, the limit is a caution: the station can be used there.
func (r *Result) limit(d *desk.Desk, b rules.Band, s *station, lim rules.PowerLimit, free string) error {
	suffix, on := "", "on "+bandName(b.Name)
	if lim.Part != "" {
		suffix = "_" + lim.Part
	}
	if lim.Where != "" {
		on += " " + lim.Where
	}
	q := d.Catalogue("antenna."+b.Name+".power_limit"+suffix, "legal limit "+on+" ("+lim.Basis+")", lim.Watts, "W",
		lim.Citation+", "+lim.Date.Text())
	have, err := s.counted(b, lim)
	if err != nil {
		return err
	}
	most := q
	if have != s.output {
		most = d.Compute("antenna."+b.Name+".connector_power_limit"+suffix, "power at the connector that reaches the limit "+on,
			allowed,
			ledger.With{"P_ant": s.output, "P_l": q, "P_r": have})
	}
	if !over(have, lim) {
		return nil
	}
	f := ledger.Finding{Severity: ledger.Exceeds, ID: "antenna." + b.Name + ".legal_power" + suffix, Stage: "antenna",
		Quantities: []string{have.ID, q.ID},
		Text: ledger.Say("{output} at the antenna connector is more than the {q} ({basis}) allowed {on}.",
			ledger.Q("output", s.output), ledger.Q("q", q), ledger.Called("basis", lim.Basis), ledger.Called("on", on)),
		Advice: ledger.Say("Reduce the output on that band, and use no more power than the contact needs; check your licence.")}
	if have != s.output {
		f.Quantities = append(f.Quantities, most.ID)
		down := ledger.Say("{round_down}", ledger.Of("round_down", quantity.RoundDown(most.Value, "W", 3), "W"))
		f.Text = ledger.Say("{on} the rule counts what the antenna radiates ({basis}, {text}): {output} at the antenna connector make "+
			"{have}, more than the {q} allowed.", ledger.Called("on", capital(on)), ledger.Called("basis", lim.Basis),
			ledger.Called("text", lim.Date.Text()), ledger.Q("output", s.output), ledger.Q("have", have), ledger.Q("q", q))
		f.Advice = ledger.Say("With this antenna and feed line no more than {down} at the connector; use no more than the contact "+
			"needs, and check your licence.", ledger.In("down", down))
	}
	if free != "" {
		f.Severity = ledger.Caution
		f.Advice = f.Advice.Then(ledger.Say("Full output is for {free} only.", ledger.Called("free", free)))
	}
	d.Find(f)
	return nil
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

func bandName(b string) string {
	return b[:len(b)-1] + " m"
}
