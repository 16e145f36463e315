package platefeed

import (
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
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
		c = d.Solved("plate_feed.blocking_capacitance", "blocking capacitor, all pieces", value, "F",
			desk.Derived("Pieces in parallel."), one)
	} else {
		c = d.TakeOr("plate_feed.blocking_capacitance", "blocking capacitor, all pieces", "F", b.Capacitance, value,
			ledger.Say("E6 value whose reactance on the lowest band is about a fiftieth of the plate load or less (common practice)"))
	}
	s.r.BlockingCapacitance = c.Value

	matched, worst, kva := s.r.Bands[0], s.r.Bands[0], s.r.Bands[0]
	volts := 0.0
	power := func(r BandResult) float64 {
		return r.BlockingCurrentRMSAtSWR * r.BlockingCurrentRMSAtSWR / r.BlockingFrequency
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
	fm := d.Book.Spec("plate_feed.blocking_current_frequency",
		"where in "+matched.Name+" the current of the blocking capacitor is greatest", matched.BlockingFrequency, "Hz",
		d.Spec.Where(d.Spec.Target.Bands.Origin))
	vp := d.Solved("plate_feed.plate_voltage_rf", "RF at the plates on "+matched.Name+", peak", matched.PlateVoltagePeak, "V",
		ledger.Method{
			Words: ledger.Say("The tank's chain solved at full output into 50 Ω."), Source: source.CircuitLaws}, s.in.Output)
	cp := d.Solved("plate_feed.plate_capacitance", "capacitance at the plates, tubes and strays",
		s.in.Networks[0].Input.TubeCapacitance, "F", desk.Derived("That of the tank."))
	d.Compute("plate_feed.blocking_current_rms", "blocking capacitor, RF current into 50 Ω, greatest on "+matched.Name, blockingPhasor,
		ledger.With{"V_p": vp, "R_p": s.in.PlateLoad, "f": fm, "L": s.choked, "C_p": cp})
	atSWR := d.Solved("plate_feed.blocking_current_rms_at_swr",
		"blocking capacitor, RF current at the worst SWR, greatest on "+worst.Name, worst.BlockingCurrentRMSAtSWR, "A", ledger.Method{
			Words: ledger.Say("The same with the load going once round the circle of the stated SWR, forward power held and the tank " +
				"not " +
				"retuned: an upper bound."), Source: source.CircuitLaws}, s.in.Output, s.in.SWR, c)
	each := atSWR
	if n > 1 {
		k := d.TakeCount("plate_feed.blocking_count", "blocking capacitors in parallel", b.Count)
		each = d.Compute("plate_feed.blocking_current_rms_each", "blocking capacitor, RF current of one piece", eachCurrent,
			ledger.With{"I": atSWR, "n": k})
	}
	rf := d.Solved("plate_feed.blocking_voltage_rf", "blocking capacitor, RF voltage across it", volts, "V", ledger.Method{
		Words:  ledger.Say("Greatest of all bands at the stated SWR, from the same solution."),
		Source: source.CircuitLaws}, s.in.Output, s.in.SWR, c)
	total := d.Compute("plate_feed.blocking_voltage", "blocking capacitor, highest voltage", blockingVoltage,
		ledger.With{"V_0": s.highest, "V_rf": rf})
	fk := d.Book.Spec("plate_feed.blocking_frequency", "band of the greatest reactive power, "+kva.Name, kva.BlockingFrequency, "Hz",
		d.Spec.Where(d.Spec.Target.Bands.Origin))
	x := d.Compute("plate_feed.blocking_reactance", "blocking capacitor, reactance on "+kva.Name, capacitorReactance,
		ledger.With{"f": fk, "C": c})
	ik := d.Solved("plate_feed.blocking_current_rms_kva", "blocking capacitor, RF current on "+kva.Name+" at the worst SWR",
		kva.BlockingCurrentRMSAtSWR, "A", desk.Derived("As above, on the band where current squared times reactance is greatest."),
		atSWR)
	va := d.Compute("plate_feed.blocking_reactive_power", "blocking capacitor, reactive power on "+kva.Name, reactivePower,
		ledger.With{"I": ik, "X_C": x})

	rv := d.Check(desk.Hold{Part: "C3", Name: "blocking capacitor", Kind: "voltage", Stress: total, Have: b.Voltage,
		Owned: b.Capacitance.Given, Factor: s.Spec.Margins.Voltage,
		Standard: desk.CapacitorVoltages, Why: ledger.Say("direct voltage without load plus RF peak"),
		Advice: ledger.Say("Only this capacitor stands between the plate supply and the antenna. Choose one with a higher rating.")})
	ri := d.Check(desk.Hold{Part: "C3", Name: "blocking capacitor", Kind: "current", Band: worst.Name, Stress: each, Have: b.Current,
		Owned: b.Capacitance.Given, Factor: s.Spec.Margins.Current,
		Standard: desk.Currents, Why: ledger.Say("RF current of one piece at the worst SWR"),
		Advice: ledger.Say("Put several equal pieces in parallel, with leads of equal length.")})
	rk := d.Check(desk.Hold{Part: "C3", Name: "blocking capacitor", Kind: "kva", Band: kva.Name, Stress: va, Owned: b.Capacitance.Given,
		Factor: s.Spec.Margins.Current, Why: ledger.Say("RF current squared times reactance, all pieces, at the worst SWR")})
	d.Part(ledger.Part{Designator: "C3", Name: "blocking capacitor, ceramic transmitting type", Count: int(n), Stage: "plate_feed",
		Given: b.Capacitance.Given,
		Value: ledger.Say("{c}", ledger.Of("c", c.Value/n, "F")),
		Rating: ledger.Say("{rating} DC, {rating_2} RF each, {rating_3} together", ledger.Of("rating", rv.Rating, "V"),
			ledger.Of("rating_2", ri.Rating, "A"), ledger.Of("rating_3", rk.Rating, "VA")),
		Note: ledger.Say("DANGER: it alone keeps the high voltage from the tank, the antenna connector and the antenna. New and " +
			"proof-tested, never of unknown history; the safety choke RFC2 must be in place as well. Several pieces in parallel share " +
			"the " +
			"RF current.")})
}

// The rules of the fault path, common practice all of them.
const (
	fuseRatio     = 1.5   // rating over the plate current at full output: it must hold speech and tune-up and open in a flash-over
	fuseLeast     = 1.1   // the same where it opens in an ordinary tune-up
	fuseFast      = 10.0  // fault current over rating from which a fuse opens fast
	fuseFollow    = 4.0   // current that follows over rating below which it lingers
	fuseMelting   = 10.0  // I²t that melts it over its rating squared [s]: slow sand-filled types, 3 to 10 from memory
	fuseClearing  = 2.0   // I²t until the arc in it is out, over the I²t that melts it
	fuseSlow      = 0.1   // time to open that is too long for diodes and shunts [s]
	strongCurrent = 500.0 // flash-over current that wrecks diodes, shunts and grids [A]
)

// HVFuseCurrents are the currents that such fuses are sold for (common
// practice) [A].
var HVFuseCurrents = []float64{0.1, 0.25, 0.5, 0.75, 1, 1.5, 2, 2.5, 3, 4, 5, 6.3, 8, 10}

// glitchOhms are the resistances that glitch resistors are sold with (series E6,
// common practice) [Ω].
var glitchOhms = []float64{10, 15, 22, 33, 47, 68, 100, 150, 220}

// HVFuseVoltages are the direct voltages that such fuses are sold for (common
// practice) [V].
var HVFuseVoltages = []float64{1000, 2500, 4000, 5000, 7500, 10000, 15000, 20000, 30000}

// fuse enters the high-voltage fuse and what it lets through.
func (s *stage) fuse() {
	d, f, in := s.Desk, &s.Spec.Protection.HVFuse, s.in
	fault := s.in0("plate_feed.fault_current", "current into a flash-over, peak", in.FaultPeak, "A")
	s.r.FaultCurrent = fault.Value
	s.action = d.Compute("plate_feed.fault_action",
		"current squared times time of a flash-over from the bank, capacitors at their upper tolerance", faultAction,
		ledger.With{"A_0": in.FaultAction, "t": in.CapacitorTolerance})
	s.r.FaultAction = s.action.Value
	if f.Fitted.Denied() {
		off := d.Catalogue("plate_feed.fault_off", "time in which trip or mains fuse end a fault, no fuse in the plate lead",
			s.offTime(), "s", "common practice: 0.1 s with a plate-current trip, else a second for the mains fuses")
		s.passes = d.Compute("plate_feed.fault_passes",
			"current squared times time that a shorted plate circuit lets through, no fuse in the plate lead", passesLong,
			ledger.With{"A": s.action, "I_f": in.Follow, "t_o": off})
		last := "the mains fuses"
		if s.Spec.Protection.MainsFuse.Fitted.Denied() {
			last = "the breakers of the house"
		}
		finding := ledger.Finding{Severity: ledger.Caution, ID: "plate_feed.fuse", Stage: "plate_feed",
			Quantities: []string{s.passes.ID, in.Follow.ID},
			Text: ledger.Say("There is no high-voltage fuse: what the transformer drives into a shorted plate circuit, {follow}, "+
				"flows until the plate-current trip has opened the primary. A contactor that welds leaves it to {last}.",
				ledger.Q("follow", in.Follow), ledger.Called("last", last)),
			Advice: ledger.Say("Fit a sand-filled or expulsion fuse for the full direct voltage between filter bank and plate choke.")}
		if s.Spec.Protection.PlateTrip.Fitted.Denied() {
			finding.Severity = ledger.Exceeds
			finding.Text = ledger.Say("There is neither a high-voltage fuse nor a plate-current trip: what the transformer drives "+
				"into a shorted plate circuit, {follow}, flows until {last} open, through rectifier, meters and whatever shorts.",
				ledger.Q("follow", in.Follow), ledger.Called("last", last))
		}
		d.Find(finding)
		s.strongFault(fault, nil, nil)
		return
	}
	k := d.Catalogue("plate_feed.fuse_ratio", "fuse rating over plate current, rule", fuseRatio, "", "common practice")
	least := d.Compute("plate_feed.fuse_least", "high-voltage fuse, least rating", fuseWanted,
		ledger.With{"k": k, "I_p": in.PlateCurrent})
	var fuse *ledger.Quantity
	if f.Current.Given {
		fuse = d.Take("plate_feed.fuse_current", "high-voltage fuse, rating", "A", f.Current)
	} else {
		fuse = d.Solved("plate_feed.fuse_current", "high-voltage fuse, rating", desk.NextUp(least.Value, HVFuseCurrents), "A",
			ledger.Method{Words: ledger.Say("Next rating that such fuses are sold with."), Source: source.CommonPractice}, least)
	}
	s.r.FuseRating = fuse.Value
	melting := d.TakeOr("plate_feed.fuse_melting", "high-voltage fuse, current squared times time that melts it", "A²s", f.Melting,
		fuseMelting*fuse.Value*fuse.Value,
		ledger.Say("from memory: slow sand-filled fuses melt at 3 to 10 s times their rated current squared; the upper end lets most "+
			"through"))
	c := d.Catalogue("plate_feed.fuse_clearing", "current squared times time until the fuse has cleared, over that until it melts",
		fuseClearing, "", "common practice")
	s.passes = d.Compute("plate_feed.fault_passes", "current squared times time that the fuse lets through", passes,
		ledger.With{"A": s.action, "k_c": c, "A_m": melting})
	m := d.Compute("plate_feed.fuse_multiple", "fault current over fuse rating", fuseMultiple, ledger.With{"I_f": fault, "I_F": fuse})
	follow := d.Compute("plate_feed.fuse_follow_multiple", "current that follows from the transformer over fuse rating", fuseMultiple,
		ledger.With{"I_f": in.Follow, "I_F": fuse})
	time := d.Compute("plate_feed.fuse_melting_time",
		"time in which the transformer's current melts what the bank has left of the fuse", meltingTime,
		ledger.With{"A_m": melting, "A_0": in.FaultAction, "I_f": in.Follow})
	volts := d.Check(desk.Hold{Part: "F2", Name: "high-voltage fuse", Kind: "voltage", Stress: s.highest, Have: f.Voltage,
		Owned: f.Current.Given, Standard: HVFuseVoltages,
		Why: ledger.Say("direct voltage without load, across the fuse once it has opened"),
		Advice: ledger.Say("A fuse that cannot break the voltage keeps an arc alight behind its cap. Choose one rated for this direct " +
			"voltage.")})
	rating := ledger.Say("at least {highest} DC breaking", ledger.Q("highest", s.highest))
	if f.Voltage.Given {
		rating = ledger.Say("{rating} DC", ledger.Of("rating", volts.Rating, "V"))
	}
	d.Part(ledger.Part{Designator: "F2", Name: "high-voltage fuse, sand-filled or expulsion type", Stage: "plate_feed",
		Value: ledger.Say("{fuse}", ledger.Q("fuse", fuse)), Given: f.Current.Given, Rating: rating,
		Note: ledger.Say("DANGER: the whole supply stands across it once it has opened. Never a small glass fuse for mains voltage: " +
			"it keeps an arc alight. A blown fuse does not mean a discharged supply.")})
	ids := []string{fuse.ID, in.PlateCurrent.ID, in.Follow.ID, time.ID}
	caution := func(text, advice ledger.Sentence) {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "plate_feed.fuse", Stage: "plate_feed", Quantities: ids, Text: text,
			Advice: advice})
	}
	sold := ledger.Of("sold", desk.NextUp(least.Value, HVFuseCurrents), "A")
	other := ledger.Say("Take a faster one, or one of {sold}", sold)
	if fuse.Value <= desk.NextUp(least.Value, HVFuseCurrents)*(1+1e-9) {
		other = ledger.Say("No less holds full output: take a faster one")
	}
	switch {
	case fuse.Value < fuseLeast*in.PlateCurrent.Value*(1-1e-9):
		caution(ledger.Say("The high-voltage fuse of {fuse} opens in an ordinary tune-up: full output takes {plate}.",
			ledger.Q("fuse", fuse), ledger.Q("plate", in.PlateCurrent)),
			ledger.Say("Fit one of {sold}.", sold))
	case time.Value > fuseSlow:
		caution(ledger.Say("The high-voltage fuse of {fuse} opens late: once the bank is empty the transformer drives only {follow} "+
			"into a short, and needs {time} to melt it. Rectifier, shunts and safety choke carry that current meanwhile.",
			ledger.Q("fuse", fuse), ledger.Q("follow", in.Follow), ledger.Q("time", time)),
			ledger.Say("{other}, and let the plate-current trip open the primary as well.", ledger.In("other", other)))
	case follow.Value < fuseFollow:
		alone := d.Compute("plate_feed.fuse_melting_alone",
			"time in which the transformer's current melts the fuse, the bank empty from the start", meltingAlone,
			ledger.With{"A_m": melting, "I_f": in.Follow})
		ids = append(ids, alone.ID)
		caution(ledger.Say("The charge of the bank melts the high-voltage fuse of {fuse}, but the transformer alone hardly does: into "+
			"a short that is there when the supply is switched on it drives only {follow}, and needs {alone}. Rectifier, shunts and "+
			"safety choke carry that current meanwhile.",
			ledger.Q("fuse", fuse), ledger.Q("follow", in.Follow), ledger.Q("alone", alone)),
			ledger.Say("{other}, and let the plate-current trip open the primary as well.", ledger.In("other", other)))
	}
	s.strongFault(fault, fuse, m)
}

// strongFault says where a flash-over is too strong for what lies in its way,
// or too weak to open the fuse fast; fuse and multiple, the current over its
// rating, are nil where there is none.
func (s *stage) strongFault(fault, fuse, multiple *ledger.Quantity) {
	f := ledger.Finding{Severity: ledger.Caution, ID: "plate_feed.fault_current", Stage: "plate_feed", Quantities: []string{fault.ID}}
	if multiple != nil {
		f.Quantities = append(f.Quantities, multiple.ID)
	}
	switch {
	case fault.Value > strongCurrent:
		r := Glitch(s.Desk)
		// What is missing to hold the current to the limit; never less than the usual.
		least := desk.NextUp(math.Max(UsualGlitch, r.Value+s.highest.Value/strongCurrent-s.in.FaultResistance.Value), glitchOhms)
		f.Text = ledger.Say("A flash-over draws {plate_feed.fault_current}, which wrecks diodes, shunts and grids.")
		if fuse != nil {
			f.Text = ledger.Say("A flash-over draws {plate_feed.fault_current}, {m} the fuse rating: before the fuse has opened it "+
				"wrecks diodes, shunts and grids.", ledger.Times("m", multiple.Value))
		}
		f.Advice = ledger.Say("Fit a glitch resistor of {least} or more.", ledger.Of("least", least, "Ω"))
	case fuse != nil && multiple.Value < fuseFast:
		f.Text = ledger.Say("A flash-over draws {plate_feed.fault_current}, {m} the fuse rating.", ledger.Times("m", multiple.Value))
		if multiple.Value < 1.5 {
			f.Text = ledger.Say("A flash-over draws only {plate_feed.fault_current}: the fuse of {fuse} may never open.",
				ledger.Q("fuse", fuse))
		}
		f.Advice = ledger.Say("A fuse opens fast only at many times its rating: take a glitch resistor of fewer ohms, or trip the " +
			"mains contactor on plate current as well.")
	default:
		return
	}
	s.Find(f)
}

// offTime is how long a fault lasts that no fuse in the plate lead ends [s].
func (s *stage) offTime() float64 {
	if s.Spec.Protection.PlateTrip.Fitted.Denied() {
		return 1
	}
	return 0.1
}

// glitch enters the glitch resistor: what it must bear and which body does.
func (s *stage) glitch() {
	d, g, in := s.Desk, &s.Spec.PlateFeed.Glitch, s.in
	r := Glitch(d)
	s.r.GlitchResistance = r.Value
	energy := d.Compute("plate_feed.glitch_energy",
		"energy of one flash-over at most, highest mains and capacitors at their upper tolerance", bankEnergy,
		ledger.With{"C": in.Capacitance, "t": in.CapacitorTolerance, "V_0": s.highest})
	if r.Value <= 0 {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "plate_feed.glitch", Stage: "plate_feed",
			Quantities: []string{r.ID, in.FaultPeak.ID, energy.ID},
			Text: ledger.Say("There is no glitch resistor: only the capacitors' own resistance, the wiring and the arc hold a "+
				"flash-over to {fault_peak}, and {plate_feed.glitch_energy} end in the tube, the shunts and the capacitors.",
				ledger.Q("fault_peak", in.FaultPeak)),
			Advice: ledger.Say("Fit a wire-wound resistor of {usual_glitch} or more in series with the plate supply, behind the "+
				"filter capacitors.", ledger.Of("usual_glitch", UsualGlitch, "Ω"))})
		return
	}
	p := d.Compute("plate_feed.glitch_heat", "glitch resistor, heat at full output", heat, ledger.With{"I": in.PlateCurrent, "R": r})
	across := s.in0("plate_feed.glitch_voltage", "glitch resistor, voltage end to end in a flash-over", s.highest, "V")
	margins := &s.Spec.Margins
	body, n, ok := preferred.Wirewound(r.Value, p.Value*margins.Power.Value, energy.Value*margins.Power.Value,
		across.Value*margins.Voltage.Value)
	bought := true
	if g.Resistance.Given || g.Power.Given || g.Energy.Given || g.Voltage.Given { // the builder has one
		bought, n = false, 1
		if g.Power.Given {
			body = preferred.BodyOf(g.Power.SI)
		}
	}
	k := float64(n)
	hold := func(h desk.Hold, figure float64) ledger.Rating {
		h.Part, h.Name = "R1", "glitch resistor"
		if bought || g.Power.Given && figure > 0 { // else the rating is the builder's or nobody knows it
			h.Rating, h.Bought = figure, bought
		}
		h.Owned = !bought
		return d.Check(h)
	}
	hold(desk.Hold{Kind: "power", Stress: p, Have: g.Power, Factor: margins.Power, Standard: desk.ResistorPowers,
		Why: ledger.Say("direct plate current of all tubes")}, body.Power*k)
	about := ledger.Say(" The pulse rating is an estimate from the mass of the wire on a body of this power, good to ±{body_doubt} %; "+
		"a data sheet is better.", ledger.Fixed("body_doubt", 100*preferred.BodyDoubt, 0))
	if g.Energy.Given {
		about = ledger.Sentence{}
	}
	re := hold(desk.Hold{Kind: "energy", Stress: energy, Have: g.Energy, Factor: margins.Power,
		Why: ledger.Say("all of the filter bank's energy, highest mains, capacitors at their upper tolerance"),
		Advice: ledger.Say("Use a larger wirewound body, or several in series.{about}",
			ledger.In("about", about))}, k*body.PulseEnergy(r.Value/k))
	rv := hold(desk.Hold{Kind: "voltage", Stress: across, Have: g.Voltage, Factor: margins.Voltage,
		Why:    ledger.Say("the whole supply stands from end to end in a flash-over"),
		Advice: ledger.Say("Use a longer body, or several in series: a flash along the body takes the resistor out of the way.")}, k*body.PulseVoltage())
	if bought && !ok {
		d.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "plate_feed.glitch", Stage: "plate_feed",
			Quantities: []string{energy.ID, p.ID},
			Text: ledger.Say("No string of {n} wirewound bodies of {power} W takes what the glitch resistor must: "+
				"{plate_feed.glitch_energy} in one pulse and {plate_feed.glitch_heat} without end.", ledger.Int("n", n),
				ledger.Fixed("power", body.Power, 0)),
			Advice: ledger.Say("Use a smaller filter capacitance or another resistance.")})
	}
	value, rating := ledger.Say("{r}", ledger.Q("r", r)), ledger.Sentence{}
	switch {
	case !bought:
		rating = ledger.Say("pulse of {rating}, {rating_2} end to end", ledger.Of("rating", re.Rating, "J"),
			ledger.Of("rating_2", rv.Rating, "V"))
		if g.Power.Given {
			rating = ledger.Say("{power}, {rating}", ledger.Of("power", g.Power.SI, "W"), ledger.In("rating", rating))
		}
	case n > 1:
		value = ledger.Say("{r} each, in series", ledger.Of("r", r.Value/k, "Ω"))
		rating = ledger.Say("{power} W each; together a pulse of {rating}, {rating_2} end to end", ledger.Fixed("power", body.Power, 0),
			ledger.Of("rating", re.Rating, "J"), ledger.Of("rating_2", rv.Rating, "V"))
	default:
		rating = ledger.Say("{power} W, pulse of {rating}, {rating_2} end to end", ledger.Fixed("power", body.Power, 0),
			ledger.Of("rating", re.Rating, "J"), ledger.Of("rating_2", rv.Rating, "V"))
	}
	d.Part(ledger.Part{Designator: "R1", Name: "glitch resistor, wire-wound on a tubular body", Stage: "plate_feed",
		Given: g.Resistance.Given, Count: n,
		Value: value, Rating: rating,
		Note: ledger.Say("DANGER: in the high-voltage lead; {highest} stand across it in a flash-over. Long body, clear of metal, no "+
			"film or composition type. If it has blown open the capacitors behind it may still be charged.",
			ledger.Q("highest", s.highest))})
}

// Glitch enters the glitch resistor, the builder's or the usual one, 0 Ω where
// there is none. The supply needs it before this stage runs: once entered, it
// is found again.
func Glitch(d *desk.Desk) *ledger.Quantity {
	const id, name = "plate_feed.glitch_resistance", "glitch resistor"
	if q, ok := d.Lookup(id); ok {
		return q
	}
	g := d.Spec.PlateFeed.Glitch
	if g.Fitted.Denied() {
		return d.Book.Spec(id, name, 0, "Ω", d.Spec.Where(g.Fitted.Origin))
	}
	return d.TakeOr(id, name, "Ω", g.Resistance, UsualGlitch,
		ledger.Say("common practice: 10 to 50 Ω in series with the plate supply, so that a flash-over does not wreck tube, meters and "+
			"rectifier"))
}

// GlitchResistance is the same number without a ledger [Ω].
func GlitchResistance(s *spec.Spec) float64 {
	g := s.PlateFeed.Glitch
	switch {
	case g.Fitted.Denied():
		return 0
	case g.Resistance.Known():
		return g.Resistance.SI
	}
	return UsualGlitch
}

// UsualGlitch is the glitch resistor taken where the spec names none [Ω].
const UsualGlitch = 10.0
