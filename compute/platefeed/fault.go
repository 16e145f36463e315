package platefeed

import (
	"fmt"
	"math"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/source"
	"anodebook/spec"
)

// blocking holds the capacitor between plates and tank against its stress.
func (s *stage) blocking() {
	d, b := s.Desk, s.Spec.PlateFeed.Blocking
	n := pieces(b)
	value := s.in.Networks[0].Input.Blocking
	ratio := d.Catalogue("plate_feed.blocking_ratio", "plate load over blocking reactance, rule", BlockingRatio, "", "common practice")
	d.Compute("plate_feed.blocking_capacitance_wanted", "blocking capacitor wanted by the rule", blockingWanted,
		ledger.With{"k": ratio, "f": s.f, "R_p": s.in.PlateLoad})
	var c *ledger.Quantity
	if n > 1 && b.Capacitance.Known() {
		one := d.Take("plate_feed.blocking_capacitance_each", "blocking capacitor, one piece", "F", b.Capacitance)
		c = d.Solved("plate_feed.blocking_capacitance", "blocking capacitor, all pieces", value, "F", desk.Derived("Pieces in parallel."), one)
	} else {
		c = d.TakeOr("plate_feed.blocking_capacitance", "blocking capacitor, all pieces", "F", b.Capacitance, value,
			"E6 value whose reactance on the lowest band is about a fiftieth of the plate load or less (common practice)")
	}
	s.r.BlockingCapacitance = c.Value

	matched, worst, kva := s.r.Bands[0], s.r.Bands[0], s.r.Bands[0]
	volts := 0.0
	power := func(r BandResult) float64 {
		return r.BlockingCurrentRMSAtSWR * r.BlockingCurrentRMSAtSWR / r.Centre
	}
	for _, r := range s.r.Bands {
		if r.BlockingCurrentRMS > matched.BlockingCurrentRMS {
			matched = r
		}
		if r.BlockingCurrentRMSAtSWR > worst.BlockingCurrentRMSAtSWR {
			worst = r
		}
		if power(r) > power(kva) {
			kva = r
		}
		volts = math.Max(volts, r.BlockingVoltagePeak)
	}
	d.Solved("plate_feed.blocking_current_rms", "blocking capacitor, RF current into 50 Ω, greatest on "+matched.Name, matched.BlockingCurrentRMS, "A", ledger.Method{
		Words: "The tank's chain solved for the current through the blocking capacitor at full output into 50 Ω: the fundamental plate current less what flows in tube capacitance and choke. The greatest of all bands.", Source: source.CircuitLaws}, s.in.Output, c)
	atSWR := d.Solved("plate_feed.blocking_current_rms_at_swr", "blocking capacitor, RF current at the worst SWR, greatest on "+worst.Name, worst.BlockingCurrentRMSAtSWR, "A", ledger.Method{
		Words: "The same with the load going once round the circle of the stated SWR, forward power held and the tank not retuned: an upper bound.", Source: source.CircuitLaws}, s.in.Output, s.in.SWR, c)
	each := atSWR
	if n > 1 {
		k := d.TakeCount("plate_feed.blocking_count", "blocking capacitors in parallel", b.Count)
		each = d.Compute("plate_feed.blocking_current_rms_each", "blocking capacitor, RF current of one piece", eachCurrent, ledger.With{"I": atSWR, "n": k})
	}
	rf := d.Solved("plate_feed.blocking_voltage_rf", "blocking capacitor, RF voltage across it", volts, "V", ledger.Method{
		Words: "Greatest of all bands at the stated SWR, from the same solution.", Source: source.CircuitLaws}, s.in.Output, s.in.SWR, c)
	total := d.Compute("plate_feed.blocking_voltage", "blocking capacitor, highest voltage", blockingVoltage, ledger.With{"V_0": s.highest, "V_rf": rf})
	fk := d.Book.Spec("plate_feed.blocking_frequency", "band of the greatest reactive power, "+kva.Name, kva.Centre, "Hz", d.Spec.Where(d.Spec.Target.Bands.Origin))
	x := d.Compute("plate_feed.blocking_reactance", "blocking capacitor, reactance on "+kva.Name, capacitorReactance, ledger.With{"f": fk, "C": c})
	ik := d.Solved("plate_feed.blocking_current_rms_kva", "blocking capacitor, RF current on "+kva.Name+" at the worst SWR", kva.BlockingCurrentRMSAtSWR, "A", desk.Derived("As above, on the band where current squared times reactance is greatest."), atSWR)
	va := d.Compute("plate_feed.blocking_reactive_power", "blocking capacitor, reactive power on "+kva.Name, reactivePower, ledger.With{"I": ik, "X_C": x})

	rv := d.Check(desk.Hold{Part: "C3", Name: "blocking capacitor", Kind: "voltage", Stress: total, Have: b.Voltage, Owned: b.Capacitance.Given, Factor: s.Spec.Margins.Voltage,
		Standard: desk.CapacitorVoltages, Why: "direct voltage without load plus RF peak", Advice: "Only this capacitor stands between the plate supply and the antenna. Choose one with a higher rating."})
	ri := d.Check(desk.Hold{Part: "C3", Name: "blocking capacitor", Kind: "current", Band: worst.Name, Stress: each, Have: b.Current, Owned: b.Capacitance.Given, Factor: s.Spec.Margins.Current,
		Standard: desk.Currents, Why: "RF current of one piece at the worst SWR", Advice: "Put several equal pieces in parallel, with leads of equal length."})
	rk := d.Check(desk.Hold{Part: "C3", Name: "blocking capacitor", Kind: "kva", Band: kva.Name, Stress: va, Owned: b.Capacitance.Given, Factor: s.Spec.Margins.Current, Why: "RF current squared times reactance, all pieces, at the worst SWR"})
	d.Part(ledger.Part{Designator: "C3", Name: "blocking capacitor, ceramic transmitting type", Count: int(n), Stage: "plate_feed", Given: b.Capacitance.Given,
		Value:  desk.Show(c.Value/n, "F"),
		Rating: fmt.Sprintf("%s DC, %s RF each, %s together", desk.Show(rv.Rating, "V"), desk.Show(ri.Rating, "A"), desk.Show(rk.Rating, "VA")),
		Note:   "DANGER: it alone keeps the high voltage from the tank, the antenna connector and the antenna. New and proof-tested, never of unknown history; the safety choke RFC2 must be in place as well. Several pieces in parallel share the RF current."})
}

// fuseRatio is the fuse rating over the plate current at full output (common
// practice: it must hold speech and tune-up and open in a flash-over).
const fuseRatio = 1.5

func (s *stage) fault() {
	d, g := s.Desk, s.Spec.PlateFeed.Glitch
	k := d.Catalogue("plate_feed.fuse_ratio", "fuse rating over plate current, rule", fuseRatio, "", "common practice")
	least := d.Compute("plate_feed.fuse_least", "high-voltage fuse, least rating", fuseWanted, ledger.With{"k": k, "I_p": s.in.PlateCurrent})
	s.r.FuseRating = desk.NextUp(least.Value, desk.Currents)
	fuse := d.Solved("plate_feed.fuse_current", "high-voltage fuse, rating", s.r.FuseRating, "A", ledger.Method{Words: "Next rating that such fuses are sold with.", Source: source.CommonPractice}, least)
	d.Part(ledger.Part{Designator: "F2", Name: "high-voltage fuse, sand-filled or expulsion type", Stage: "plate_feed", Value: desk.Show(fuse.Value, "A"),
		Rating: fmt.Sprintf("at least %s DC breaking", desk.Show(s.highest.Value, "V")),
		Note:   "DANGER: the whole supply stands across it once it has opened. Never a small glass fuse for mains voltage: it keeps an arc alight. A blown fuse does not mean a discharged supply."})

	r := Glitch(d)
	s.r.GlitchResistance = r.Value
	if r.Value <= 0 {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "plate_feed.glitch", Stage: "plate_feed", Quantities: []string{r.ID},
			Text:   "There is no glitch resistor: in a flash-over only the arc itself and the wiring limit the current from the filter capacitors.",
			Advice: "Fit a wire-wound resistor of 10 Ω or more in series with the plate supply, behind the filter capacitors."})
		return
	}
	i := d.Compute("plate_feed.fault_current", "current into a flash-over, at most", faultCurrent, ledger.With{"V_0": s.highest, "R_g": r})
	s.r.FaultCurrent = i.Value
	m := d.Compute("plate_feed.fuse_multiple", "fault current over fuse rating", fuseMultiple, ledger.With{"I_f": i, "I_F": fuse})
	p := d.Compute("plate_feed.glitch_heat", "glitch resistor, heat at full output", heat, ledger.With{"I": s.in.PlateCurrent, "R": r})
	rp := d.Check(desk.Hold{Part: "R1", Name: "glitch resistor", Kind: "power", Stress: p, Have: g.Power, Owned: g.Resistance.Given, Factor: s.Spec.Margins.Power,
		Standard: desk.ResistorPowers, Why: "direct plate current of all tubes"})
	rating := desk.Show(math.Max(rp.Rating, 0), "W")
	if s.in.StoredEnergy != nil {
		e := s.in0("plate_feed.glitch_energy", "glitch resistor, energy of one flash-over at most", s.in.StoredEnergy, "J")
		re := d.Check(desk.Hold{Part: "R1", Name: "glitch resistor", Kind: "energy", Stress: e, Have: g.Energy, Owned: g.Resistance.Given,
			Why: "all of the filter bank's energy; arc, fuse and capacitors take some of it"})
		a := d.Compute("plate_feed.fault_action", "current squared times time of a flash-over, at most", faultAction, ledger.With{"W": e, "R_g": r})
		s.r.FaultAction = a.Value
		rating += ", pulse of " + desk.Show(re.Rating, "J")
	}
	if i.Value > 500 || m.Value < 10 {
		text := fmt.Sprintf("The glitch resistor lets %s flow into a flash-over, %.0f times the fuse rating.", desk.Show(i.Value, "A"), m.Value)
		advice := "Raise the resistor to 20 Ω or more."
		if m.Value < 10 {
			advice = "A fuse opens fast only at many times its rating: lower the resistor, or trip the mains contactor on plate current as well."
		}
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "plate_feed.fault_current", Stage: "plate_feed", Text: text, Quantities: []string{i.ID, m.ID}, Advice: advice})
	}
	d.Part(ledger.Part{Designator: "R1", Name: "glitch resistor, wire-wound on a long tubular body", Stage: "plate_feed", Given: g.Resistance.Given,
		Value: desk.Show(r.Value, "Ω"), Rating: rating,
		Note: fmt.Sprintf("DANGER: in the high-voltage lead; %s stand across it in a flash-over. Long body, clear of metal, no film or composition type. If it has blown open the capacitors behind it may still be charged.", desk.Show(s.highest.Value, "V"))})
}

func (s *stage) safety() {
	d := s.Desk
	l := d.Take("plate_feed.safety_choke_inductance", "safety choke at the antenna connector", "H", s.Spec.PlateFeed.Safety.Inductance)
	x := d.Compute("plate_feed.safety_choke_reactance", "safety choke, reactance on "+s.lowest.Name, reactance, ledger.With{"f": s.f, "L": l})
	load := s.in.Networks[0].Input.LoadResistance
	if load <= 0 {
		load = 50
	}
	r0 := d.Catalogue("plate_feed.load_resistance", "load resistance", load, "Ω", "the usual coaxial cable")
	rf := d.Compute("plate_feed.safety_choke_current_rms", "safety choke, RF current at the worst SWR", safetyCurrent,
		ledger.With{"P": s.in.Output, "R_0": r0, "s": s.in.SWR, "X_s": x})
	if x.Value < 20*load {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "plate_feed.safety_choke", Stage: "plate_feed", Quantities: []string{x.ID},
			Text:   fmt.Sprintf("On %s the safety choke has only %s across the %s load.", s.lowest.Name, desk.Show(x.Value, "Ω"), desk.Show(load, "Ω")),
			Advice: "Use at least twenty times the load (common practice)."})
	}
	outlast := ""
	if s.r.FaultAction > 0 {
		outlast = fmt.Sprintf("The filter bank alone drives up to %s through the short, and the transformer adds to it until F2 opens. ", desk.Show(s.r.FaultAction, "A²s"))
	}
	d.Find(ledger.Finding{Severity: ledger.Note, ID: "plate_feed.safety_choke_fault", Stage: "plate_feed", Quantities: []string{l.ID, s.highest.ID},
		Text:   fmt.Sprintf("If the blocking capacitor shorts, RFC2 is the way of the plate supply to ground: it must stand the fault current until fuse F2 opens. Until then the antenna connector carries the share of %s that the choke's own resistance takes beside the %s of the glitch resistor.", desk.Show(s.highest.Value, "V"), desk.Show(s.r.GlitchResistance, "Ω")),
		Advice: outlast + "Wind it with wire that does not fuse before F2 and with a resistance of a few ohms at most; test with an ohmmeter from the antenna connector to chassis before every first switch-on."})
	d.Part(ledger.Part{Designator: "RFC2", Name: "safety choke, antenna connector to ground", Stage: "plate_feed", Given: s.Spec.PlateFeed.Safety.Inductance.Given,
		Value: desk.Show(l.Value, "H"), Rating: fmt.Sprintf("%s RF, must outlast F2 (%s)", desk.Show(rf.Value, "A"), desk.Show(s.r.FuseRating, "A")),
		Note: "DANGER: never leave it out. It blows the fuse if C3 shorts and keeps the high voltage off the antenna, and it drains static charge from the feed line."})
}

// Glitch enters the glitch resistor, the builder's or the usual one. The supply
// needs it before this stage runs: once entered, it is found again.
func Glitch(d *desk.Desk) *ledger.Quantity {
	if q, ok := d.Lookup("plate_feed.glitch_resistance"); ok {
		return q
	}
	return d.TakeOr("plate_feed.glitch_resistance", "glitch resistor", "Ω", d.Spec.PlateFeed.Glitch.Resistance, UsualGlitch,
		"common practice: 10 to 50 Ω in series with the plate supply, so that a flash-over does not wreck tube, meters and rectifier")
}

// GlitchResistance is the same number without a ledger [Ω].
func GlitchResistance(s *spec.Spec) float64 {
	if q := s.PlateFeed.Glitch.Resistance; q.Known() {
		return q.SI
	}
	return UsualGlitch
}

// UsualGlitch is the glitch resistor taken where the spec names none [Ω].
const UsualGlitch = 10.0
