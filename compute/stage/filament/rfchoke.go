package filament

import (
	"math"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/winding"
)

// plan settles how many wires the choke has in hand, and what it is called.
func (s *stage) plan() {
	c := s.Spec.Filament.Choke.Winding
	hand := map[string]int{"single": 1, "bifilar": 2, "trifilar": 3}
	if s.r.DirectlyHeated {
		s.wires = 2
		if c.Given {
			s.wires = max(2, hand[c.Value])
		}
		if c.Value == "single" {
			s.Find(ledger.Finding{Severity: ledger.Caution, ID: "filament.choke_winding", Stage: "filament",
				Text: ledger.Say("The {type} is heated directly: both of its filament leads are at the cathode's RF, and a single "+
					"wire leaves one of them at the transformer.", ledger.Called("type", s.in.Type.Name)),
				Advice: ledger.Say("Wind the choke bifilar (it is computed so), or trifilar with a wire of its own for the cathode " +
					"current.")})
		}
		return
	}
	s.part, s.supply, s.wires = "cathode return choke", "heater", 1
	if c.Given && hand[c.Value] > 1 {
		s.part, s.wires = "heater and cathode choke", hand[c.Value]
	}
}

// heats says that the heating current flows through the choke.
func (s *stage) heats() bool { return s.wires > 1 }

// choke winds the filament choke or the cathode return choke.
func (s *stage) choke() error {
	d, c, in := s.Desk, s.Spec.Filament.Choke, s.in
	current, most := s.all, mostDrop*s.rated.Value
	if !s.heats() {
		current, most = in.CathodeCurrent, math.Inf(1)
	}
	core, err := coreOf(s.Spec)
	if err != nil {
		return err
	}
	f := d.Book.Spec("filament.lowest_frequency", "lowest frequency", in.LowestFrequency, "Hz",
		d.Spec.Where(d.Spec.Target.Bands.Origin))
	k := d.Catalogue("filament.reactance_ratio", "choke reactance over input resistance, rule", ReactanceRatio, "", "common practice")
	u := d.Catalogue("filament.choke_uncertainty", "uncertainty of the computed inductance, ±", core.Uncertainty(), "%",
		"material ±20 %, and the shape of winding or core; common practice")
	want := d.Compute("filament.choke_inductance_wanted", s.part+", inductance to aim at", inductanceWanted,
		ledger.With{"k": k, "R_in": in.InputResistance, "f": f, "u": u})
	aim := want.Value
	if c.Inductance.Known() {
		aim = c.Inductance.SI
	}
	w, err := choose(s.Spec, core, s.wires, aim, current.Value, most)
	if err != nil {
		return err
	}
	s.r.Choke = w
	why := "thinnest winding wire that keeps the drop within 5 % of the filament voltage and the heat within 750 W/m² (some 60 K), " +
		"common practice"
	if !s.heats() {
		why = "thinnest winding wire of at least 1 mm that sheds the heat of the cathode current, common practice"
	}
	wire := d.TakeOr("filament.choke_wire", s.part+", wire", "m", c.Wire, w.Wire, ledger.Literal(why))
	var turns *ledger.Quantity
	if c.Turns.Given {
		turns = d.TakeRatio("filament.choke_turns", s.part+", turns", c.Turns)
	} else {
		turns = d.Assume("filament.choke_turns", s.part+", turns", w.Turns, "", c.Turns.Key,
			ledger.Say("least whole turns that reach five times the input resistance on the lowest band even when the core is "+
				"{uncertainty} % short (common practice)", ledger.Fixed("uncertainty", 100*core.Uncertainty(), 0)))
	}
	hand, area := s.onRod, s.rodArea
	if core.Ring != nil {
		hand, area = s.onRing, s.ringArea
	}
	id := "filament.choke_inductance"
	var l *ledger.Quantity
	if c.Inductance.Known() {
		l = d.Take(id, s.part+", inductance", "H", c.Inductance)
		id = "filament.choke_inductance_by_hand"
	}
	computed, length, err := hand(id, w, turns, wire)
	if err != nil {
		return err
	}
	if l == nil {
		l = computed
	}
	x := d.Compute("filament.choke_reactance_lowest_band", s.part+", reactance on the lowest band", reactance,
		ledger.With{"f": f, "L": l})
	share := d.Compute("filament.choke_reactance_over_input", s.part+", reactance over input resistance", reactanceShare,
		ledger.With{"X_L": x, "R_in": in.InputResistance})
	s.r.ChokeInductance, s.r.ChokeReactance = l.Value, x.Value
	if share.Value < ReactanceRatio*(1-1e-9) {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "filament.choke_reactance", Stage: "filament",
			Quantities: []string{x.ID, share.ID},
			Text: ledger.Say("On the lowest band the {part_2} has {filament.choke_reactance_lowest_band}, {share} times the "+
				"cathodes' {input_resistance}; five times is wanted. It shunts the drive and detunes the input network.",
				ledger.Called("part_2", s.part), ledger.Fixed("share", share.Value, 1),
				ledger.Q("input_resistance", in.InputResistance)),
			Advice: ledger.Say("More turns, a longer rod or more rings, or a material of higher permeability; or let the input " +
				"network tune the choke out.")})
	}
	s.wireHeat(w, current, turns, wire, length)
	s.flux(w, l, turns, area())
	s.chokePart(w, l, c.Inductance.Given || c.Turns.Given)
	return nil
}

// length enters how long the winding is, and says where it does not fit.
func (s *stage) length(w Winding, turns, wire, room *ledger.Quantity, where string) *ledger.Quantity {
	wl := s.Solved("filament.choke_length", s.part+", length of the winding", w.Length, "m",
		desk.Derived("Turns times wires in hand times the diameter over the insulation (1.08 × bare)."), turns, wire)
	if !w.Fits {
		s.Find(ledger.Finding{Severity: ledger.Caution, ID: "filament.choke_length", Stage: "filament",
			Quantities: []string{wl.ID, room.ID},
			Text: ledger.Say("{turns} turns of {wire} wire need {length} of winding; {where} has {room}.",
				ledger.Fixed("turns", w.Turns, 0), ledger.Of("wire", w.Wire, "m"), ledger.Of("length", w.Length, "m"),
				ledger.Called("where", where), ledger.Q("room", room)),
			Advice: ledger.Say("Take a larger core, fewer turns or thinner wire.")})
	}
	return wl
}

// onRod enters the rod and the inductance on it.
func (s *stage) onRod(id string, w Winding, turns, wire *ledger.Quantity) (inductance, length *ledger.Quantity, err error) {
	d, c := s.Desk, s.Spec.Filament.Choke
	dia := d.Take("filament.rod_diameter", "ferrite rod, diameter", "m", c.RodDiameter)
	rod := d.Take("filament.rod_length", "ferrite rod, length", "m", c.RodLength)
	mu := d.TakeRatio("filament.rod_permeability", "ferrite rod, initial permeability", c.Permeability)
	factor, err := winding.RodDemagnetising(w.Core.Rod.Length / w.Core.Rod.Diameter)
	if err != nil {
		return nil, nil, err
	}
	nd := d.Solved("filament.rod_demagnetising", "ferrite rod, demagnetising factor", factor, "", ledger.Method{
		Words:  ledger.Say("From the published table over length/diameter, straight lines in the logarithms."),
		Source: source.RodDemagnetisation}, dia, rod)
	mur := d.Compute("filament.rod_effective_permeability", "ferrite rod, effective permeability", rodPermeability,
		ledger.With{"µ": mu, "N_d": nd})
	length = s.length(w, turns, wire, rod, "the rod")
	covered := length
	if !w.Fits {
		covered = d.Solved("filament.choke_length_covered", s.part+", rod covered", rod.Value, "m",
			desk.Derived("The whole rod: the winding does not fit."), rod)
	}
	return d.Compute(id, s.part+", inductance computed, ±30 %", rodInductance,
		ledger.With{"µ_rod": mur, "N": turns, "D": dia, "l": rod, "w": covered}), length, nil
}

// onRing enters the ring and the inductance on it.
func (s *stage) onRing(id string, w Winding, turns, wire *ledger.Quantity) (inductance, length *ledger.Quantity, err error) {
	d, c := s.Desk, s.Spec.Filament.Choke
	outer := d.Take("filament.ring_outer_diameter", "ferrite ring, outer diameter", "m", c.Outer)
	inner := d.Take("filament.ring_inner_diameter", "ferrite ring, inner diameter", "m", c.Inner)
	height := d.Take("filament.ring_height", "ferrite ring, height of one", "m", c.Height)
	cores := d.TakeCount("filament.ring_count", "ferrite rings on one another", c.Cores)
	mu := d.TakeRatio("filament.ring_permeability", "ferrite ring, initial permeability", c.Permeability)
	room := d.Solved("filament.ring_room", "ferrite ring, circumference for one layer", w.Core.room(insulated*w.Wire), "m",
		desk.Derived("π times inner diameter less one wire over its insulation."), inner, wire)
	length = s.length(w, turns, wire, room, "one layer within the ring")
	return d.Compute(id, s.part+", inductance computed, ±25 %", ringInductance,
		ledger.With{"µ": mu, "N": turns, "n": cores, "h": height, "D_o": outer, "D_i": inner}), length, nil
}

func (s *stage) rodArea() *ledger.Quantity {
	return s.Compute("filament.core_area", "section of the core", rodArea, ledger.With{"D": s.Get("filament.rod_diameter")})
}

func (s *stage) ringArea() *ledger.Quantity {
	return s.Compute("filament.core_area", "section of the core", ringArea,
		ledger.With{"n": s.Get("filament.ring_count"), "h": s.Get("filament.ring_height"),
			"D_o": s.Get("filament.ring_outer_diameter"), "D_i": s.Get("filament.ring_inner_diameter")})
}

func (s *stage) wireHeat(w Winding, current, turns, wire, length *ledger.Quantity) {
	d := s.Desk
	each := d.Solved("filament.choke_wire_length", s.part+", length of each wire", w.WireLength, "m",
		desk.Derived("Turns round the core, leads not counted."), turns, wire)
	rho := d.Catalogue("filament.copper_resistivity", "resistivity of copper at 70 °C", winding.Resistivity(copperCelsius), "Ω·m",
		source.CopperStandard.Title)
	d.Catalogue("filament.choke_wires", s.part+", wires in hand", float64(w.Wires), "",
		"bifilar for a filament, single for a cathode return, trifilar for both together, or as the spec says")
	m := d.Catalogue("filament.choke_wires_in_series", s.part+", wires that the current passes one after the other",
		float64(min(w.Wires, 2)), "", "there and back for the heating current")
	r := d.Compute("filament.choke_resistance", s.part+", resistance", wireResistance,
		ledger.With{"m": m, "ρ": rho, "l": each, "d": wire})
	s.drop = r
	if !s.heats() {
		s.drop = d.Solved("filament.heater_choke_resistance", "choke in the heater leads, resistance", 0, "Ω",
			desk.Derived("There is none: heater and cathode are not tied together."))
	}
	d.Compute("filament.choke_drop", s.part+", voltage drop", chokeDrop, ledger.With{"I": current, "R": r})
	p := d.Compute("filament.choke_heat", s.part+", heat", chokeHeat, ledger.With{"I": current, "R": r})
	all := p.Value
	inputs := []*ledger.Quantity{p, length}
	if w.Wires == 3 {
		third := d.Solved("filament.choke_cathode_resistance", s.part+", resistance of the cathode's wire", w.Each, "Ω",
			desk.Derived("The third wire, as long and as thick as the others."), each, wire)
		q := d.Compute("filament.choke_cathode_heat", s.part+", heat in the cathode's wire", chokeHeat,
			ledger.With{"I": s.in.CathodeCurrent, "R": third})
		all += q.Value
		inputs = append(inputs, q)
	}
	rise := d.Solved("filament.choke_rise", s.part+", temperature rise", all/(film*w.Surface()), "K", ledger.Method{
		Words: ledger.Say("Heat over the winding's outer surface and 12 W/(m²·K) of still air; ±40 %. RF heat in the core is not in it."), Source: source.CommonPractice}, inputs...)
	if rise.Value > 80 {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "filament.choke_rise", Stage: "filament",
			Quantities: []string{rise.ID, p.ID},
			Text: ledger.Say("The {part_2} turns {all} into heat and would run about {filament.choke_rise} above the air around it; "+
				"ferrite loses its permeability when hot.", ledger.Called("part_2", s.part), ledger.Of("all", all, "W")),
			Advice: ledger.Say("Use thicker wire or put the choke into the air stream.")})
	}
}

// saturation is a flux density at which the usual nickel-zinc ferrites are
// still far from saturated, hot as well [T] (common practice).
const saturation = 0.1

func (s *stage) flux(w Winding, l, turns, area *ledger.Quantity) {
	b := s.Compute("filament.choke_flux_density", "direct flux density in the core", coreFlux,
		ledger.With{"L": l, "I_k": s.in.CathodeCurrent, "N": turns, "A": area})
	if b.Value <= saturation {
		return
	}
	how := "The filament current cancels in the winding, the cathode current does not: it"
	if w.Wires == 1 {
		how = "The cathode current"
	}
	advice := "Take a thicker rod, or return the cathode current through a choke of its own."
	if w.Core.Ring != nil {
		advice = "A closed ring has no air in its way: take a material of lower permeability, more rings, or a rod."
	}
	s.Find(ledger.Finding{Severity: ledger.Caution, ID: "filament.choke_flux_density", Stage: "filament", Quantities: []string{b.ID},
		Text: ledger.Say("{how} magnetises the core to {filament.choke_flux_density}, above the {saturation} up to which nothing is "+
			"lost.", ledger.Called("how", how), ledger.Of("saturation", saturation, "T")),
		Advice: ledger.Literal(advice)})
}

func (s *stage) chokePart(w Winding, l *ledger.Quantity, given bool) {
	var kind, note string
	switch {
	case w.Wires == 1:
		kind, note = "single", "Carries the direct cathode current from the cathodes to the bias; the heater leads need no choke "+
			"unless the type ties heater and cathode together. If it opens, the cathodes rise until the tubes cut off, tens of volts "+
			"above chassis; do not touch."
	case w.Wires == 3 && s.r.DirectlyHeated:
		kind, note = "trifilar", "All three side by side: two carry the heating current in opposite directions, the third returns the "+
			"cathode current to the bias, so that the transformer's centre tap carries none. Keep it clear of steel and of the plate "+
			"circuit. On receive the cathodes, and so this choke, may stand at the cut-off voltage."
	case w.Wires == 3:
		kind, note = "trifilar", "All three side by side: two carry the heater current in opposite directions, the third the cathode "+
			"current, so that heater and cathode swing together and nothing drives the insulation between them. If the cathode's wire "+
			"opens, the cathodes rise until the tubes cut off, tens of volts above chassis; do not touch."
	case s.r.DirectlyHeated:
		kind, note = "bifilar", "Both wires side by side; which end is the start does not matter as long as both carry the current in "+
			"opposite directions. Keep it clear of steel and of the plate circuit. On receive the cathodes, and so this choke, may "+
			"stand at the cut-off voltage."
	default:
		kind, note = "bifilar", "For heaters tied to the cathodes: both wires carry the heater current in opposite directions and "+
			"return the cathode current together. The heater supply then stands at the bias, on receive at the cut-off voltage; "+
			"insulate it from the chassis and do not touch."
	}
	on := ledger.Say("a rod {diameter} across, {length} long", ledger.Of("diameter", w.Core.Rod.Diameter, "m"),
		ledger.Of("length", w.Core.Rod.Length, "m"))
	if r := w.Core.Ring; r != nil {
		on = ledger.Say("{cores} ring(s) of {outer} by {inner}, {height} high, permeability {permeability}",
			ledger.Fixed("cores", r.Cores, 0), ledger.Of("outer", r.Outer, "m"), ledger.Of("inner", r.Inner, "m"),
			ledger.Of("height", r.Height, "m"), ledger.Fixed("permeability", r.Permeability, 0))
		note += " Sleeve or tape on the ring's edges: bare ferrite cuts enamel."
	}
	s.Part(ledger.Part{Designator: "RFC3", Name: s.part, Stage: "filament", Given: given, Value: ledger.Say("{l}", ledger.Q("l", l)),
		Rating: ledger.Say("{turns} {kind} turns of {wire} wire on {on}; {wire_length} of each wire", ledger.Fixed("turns", w.Turns, 0),
			ledger.Called("kind", kind), ledger.Of("wire", w.Wire, "m"), ledger.In("on", on),
			ledger.Of("wire_length", w.WireLength, "m")),
		Note: ledger.Literal(note)})
}
