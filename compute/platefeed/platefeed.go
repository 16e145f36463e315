package platefeed

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/network"
	"anodebook/compute/preferred"
	"anodebook/compute/source"
	"anodebook/compute/winding"
)

// Input is what the stage needs from the stages before it.
type Input struct {
	PlateLoad     *ledger.Quantity // all tubes [Ω]
	PlateVoltage  *ledger.Quantity // loaded [V]
	PlateCurrent  *ledger.Quantity // DC at full output, all tubes [A]
	PlateSwing    *ledger.Quantity // RF at the plates at full output [V peak]
	NoLoadVoltage float64          // highest direct voltage there ever is: the supply without load [V]

	Bands []Band
	// Networks are the tanks, one for each band, designed with the choke and
	// the blocking capacitor of Values in circuit: theirs are taken, so that
	// the report shows what the tank was computed with.
	Networks []*network.Tank

	// Stresses are those of Tank.StressAtSWR(Output, SWR) for each band; where
	// nil they are computed here.
	Stresses [][]network.Stress

	Output       *ledger.Quantity // peak envelope power at the antenna connector [W]
	SWR          *ledger.Quantity // worst at the connector [1]
	StoredEnergy *ledger.Quantity // of the filter bank [J]; nil: not yet known
}

// BandResult is one band's row of the table of RF currents.
type BandResult struct {
	Name                    string
	Centre                  float64 // [Hz]
	ChokeReactance          float64 // [Ω]
	ChokeCurrentRMS         float64 // into 50 Ω [A]
	BlockingCurrentRMS      float64 // into 50 Ω [A]
	BlockingCurrentRMSAtSWR float64 // greatest at the stated SWR [A]
	BlockingVoltagePeak     float64 // RF across the capacitor, greatest at the stated SWR [V]
}

// Result is what later stages, figures and the parts list need.
type Result struct {
	ChokeInductance     float64 // [H]
	BlockingCapacitance float64 // all pieces [F]
	BypassCapacitance   float64 // [F]
	GlitchResistance    float64 // [Ω]
	FaultCurrent        float64 // with the glitch resistor alone in the way [A]; 0 without one
	FaultAction         float64 // of the filter bank's energy through the glitch resistor [A²s]; 0 where unknown
	FuseRating          float64 // [A]
	Winding             Winding
	Bands               []BandResult
}

// Solve sizes and checks the plate feed. Errors: no bands, tanks without
// choke or blocking capacitor, or a choke that cannot be wound.
func Solve(d *desk.Desk, in Input) (Result, error) {
	var r Result
	if len(in.Bands) == 0 || len(in.Networks) != len(in.Bands) {
		return r, errors.New("plate feed: needs at least one band and the tank of each band")
	}
	lowest := in.Bands[0]
	for _, b := range in.Bands {
		if b.Centre < lowest.Centre {
			lowest = b
		}
	}
	f := d.Book.Spec("plate_feed.lowest_frequency", "lowest band, middle", lowest.Centre, "Hz", d.Spec.Where(d.Spec.Target.Bands.Origin))
	highest := d.Solved("plate_feed.highest_direct_voltage", "highest direct voltage, supply without load", math.Max(in.NoLoadVoltage, in.PlateVoltage.Value), "V",
		desk.Derived("Taken from the high-voltage supply: its voltage without load, but never less than the loaded plate voltage."), in.PlateVoltage)
	if t := in.Networks[0].Input; !(t.ChokeInductance > 0) || !(t.Blocking > 0) {
		return r, errors.New("plate feed: the tanks were designed without plate choke or blocking capacitor")
	}
	s := &stage{Desk: d, in: in, f: f, lowest: lowest, highest: highest, r: &r}
	s.rows()
	if err := s.choke(); err != nil {
		return r, err
	}
	s.bypass()
	s.blocking()
	s.fault()
	s.safety()
	return r, nil
}

// stage carries what the parts of Solve share.
type stage struct {
	*desk.Desk
	in      Input
	f       *ledger.Quantity
	lowest  Band
	highest *ledger.Quantity
	r       *Result

	chokeReactance, chokeRMS *ledger.Quantity
	coilRMS                  float64 // of the tank coil on the lowest band, into 50 Ω [A]
}

func element(list []network.Stress, name string) network.Stress {
	for _, e := range list {
		if e.Name == name {
			return e
		}
	}
	return network.Stress{}
}

// rows fills the table of RF currents by band.
func (s *stage) rows() {
	choke := s.in.Networks[0].Input.ChokeInductance
	for i, b := range s.in.Bands {
		tank := s.in.Networks[i]
		matched := tank.Stress(s.in.Output.Value)
		var worst []network.Stress
		if i < len(s.in.Stresses) {
			worst = s.in.Stresses[i]
		}
		if worst == nil {
			worst = tank.StressAtSWR(s.in.Output.Value, s.in.SWR.Value)
		}
		if b.Name == s.lowest.Name {
			s.coilRMS = element(matched, network.TankCoil).CurrentRMS
		}
		x := 2 * math.Pi * b.Centre * choke
		s.r.Bands = append(s.r.Bands, BandResult{
			Name: b.Name, Centre: b.Centre, ChokeReactance: x,
			ChokeCurrentRMS:         s.in.PlateSwing.Value / math.Sqrt2 / x,
			BlockingCurrentRMS:      element(matched, network.BlockingCapacitor).CurrentRMS,
			BlockingCurrentRMSAtSWR: element(worst, network.BlockingCapacitor).CurrentRMS,
			BlockingVoltagePeak:     element(worst, network.BlockingCapacitor).VoltagePeak,
		})
	}
}

func (s *stage) choke() error {
	d, c := s.Desk, s.Spec.PlateFeed.Choke
	value := s.in.Networks[0].Input.ChokeInductance
	ratio := d.Catalogue("plate_feed.choke_ratio", "choke reactance over plate load, rule", ChokeRatio, "", "common practice")
	most := d.Catalogue("plate_feed.choke_greatest", "largest choke chosen by rule", GreatestChoke, "H", "common practice: a longer winding brings series resonances into the bands")
	d.Compute("plate_feed.choke_inductance_wanted", "plate choke, inductance wanted by the rule", chokeWanted,
		ledger.With{"k": ratio, "R_p": s.in.PlateLoad, "f": s.f, "L_max": most})
	l := d.TakeOr("plate_feed.choke_inductance", "plate choke, inductance", "H", c.Inductance, value,
		"E12 value of about twice the plate load in reactance on the lowest band, at most 470 µH (common practice)")
	s.r.ChokeInductance = l.Value
	x := d.Compute("plate_feed.choke_reactance_lowest_band", "plate choke, reactance on "+s.lowest.Name, reactance, ledger.With{"f": s.f, "L": l})
	rf := d.Compute("plate_feed.choke_current_rms", "plate choke, RF current on "+s.lowest.Name, chokeCurrent, ledger.With{"V_p1": s.in.PlateSwing, "X_L": x})
	s.chokeReactance, s.chokeRMS = x, rf
	if s.coilRMS > 0 {
		coil := d.Solved("plate_feed.tank_coil_current_rms", "tank coil, RF current on "+s.lowest.Name, s.coilRMS, "A",
			ledger.Method{Words: "The tank's chain solved on the lowest band at full output into 50 Ω.", Source: source.CircuitLaws}, s.in.Output)
		share := d.Compute("plate_feed.choke_share", "choke current over coil current on "+s.lowest.Name, chokeShare, ledger.With{"I_ch": rf, "I_L": coil})
		if share.Value > 0.01 {
			severity := ledger.Note
			if share.Value > 0.25 {
				severity = ledger.Caution
			}
			d.Find(ledger.Finding{Severity: severity, ID: "plate_feed.choke_share", Stage: "plate_feed", Quantities: []string{share.ID, l.ID},
				Text:   fmt.Sprintf("On %s the plate choke carries %s of the tank coil's RF current; the published rule of 1 %% would ask for %s. The tank is computed with the choke in circuit, so that the tuning is right.", s.lowest.Name, desk.Show(share.Value, "%"), desk.Show(l.Value*share.Value/0.01, "H")),
				Advice: "A larger choke carries less RF on the lowest band but has its series resonances lower; HF chokes that cover several bands are a compromise. Judge it by measuring."})
		}
	}

	w, err := ChooseWinding(s.Spec, l.Value, s.in.PlateCurrent.Value)
	if err != nil {
		return err
	}
	form := d.Take("plate_feed.choke_form", "plate choke, diameter of the form", "m", c.Form)
	wire := d.TakeOr("plate_feed.choke_wire", "plate choke, wire", "m", c.Wire, w.Coil.Wire,
		"thinnest winding wire whose heat the winding sheds with some 40 K rise (500 W/m², common practice)")
	turns := d.Solved("plate_feed.choke_turns", "plate choke, turns", w.Coil.Turns, "turns", ledger.Method{
		Words: "Turns of a close-wound single layer (pitch 1.1 × wire) for the inductance: Lorenz current sheet with Rosa's corrections for round wire, solved for the number of turns.", Source: source.CircuitLaws}, l, form, wire)
	length := d.Solved("plate_feed.choke_length", "plate choke, length of the winding", w.Coil.Length(), "m", desk.Derived("Turns times pitch."), turns, wire)
	wireLength := d.Solved("plate_feed.choke_wire_length", "plate choke, length of the wire", w.WireLength, "m", desk.Derived("Length of the helix, leads not counted."), turns, form)
	rho := d.Catalogue("plate_feed.copper_resistivity", "resistivity of copper at 60 °C", winding.Resistivity(copperCelsius), "Ω·m", source.CopperStandard.Title)
	rdc := d.Compute("plate_feed.choke_resistance", "plate choke, resistance", resistance, ledger.With{"ρ": rho, "l": wireLength, "d": wire})
	p := d.Compute("plate_feed.choke_heat", "plate choke, heat of the direct current", heat, ledger.With{"I": s.in.PlateCurrent, "R": rdc})
	rise := d.Solved("plate_feed.choke_rise", "plate choke, temperature rise", p.Value/(filmCoefficient*w.Surface()), "K", ledger.Method{
		Words: "Heat over the winding's outer surface and 12 W/(m²·K) of still air; ±40 %. The heat of the RF is not in it.", Source: source.CommonPractice}, p, length, form)
	if rise.Value > 80 {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "plate_feed.choke_rise", Stage: "plate_feed", Quantities: []string{rise.ID, p.ID},
			Text:   fmt.Sprintf("The plate choke turns %s into heat and would run about %s above the air around it.", desk.Show(p.Value, "W"), desk.Show(rise.Value, "K")),
			Advice: "Use thicker wire, or put the choke into the air stream."})
	}
	cs := d.Solved("plate_feed.choke_self_capacitance", "plate choke, self-capacitance", w.SelfCapacitance, "F", ledger.Method{
		Words: "Medhurst's capacitance of a solenoid with one end grounded, 5 % for a bare coil; form and enamel add to it.", Source: source.ChokeSelfCapacitance}, length, form)
	d.Compute("plate_feed.choke_self_resonance_by_hand", "plate choke, parallel self-resonance by hand", selfResonance, ledger.With{"L": l, "C_s": cs})
	w.Resonances = resonances(w.Coil, s.in.Bands)
	s.r.Winding = w
	s.findResonances(l, turns, length)

	d.Check(desk.Hold{Part: "RFC1", Name: "plate choke", Kind: "current", Stress: s.in0("plate_feed.choke_direct_current", "plate choke, direct current", s.in.PlateCurrent, "A"),
		Have: c.Current, Factor: s.Spec.Margins.Current, Standard: desk.Currents, Why: "direct plate current of all tubes at full output"})
	across := d.Solved("plate_feed.choke_voltage_peak", "plate choke, RF voltage across the winding at most", s.highest.Value, "V",
		desk.Derived("The plates cannot swing further than the direct voltage that feeds them, also into a bad SWR or off tune; taken is the voltage without load."), s.highest)
	d.Check(desk.Hold{Part: "RFC1", Name: "plate choke", Kind: "voltage", Stress: across, Have: c.Voltage, Factor: s.Spec.Margins.Voltage,
		Standard: desk.CapacitorVoltages, Why: "RF across the winding, peak, at most the direct voltage"})
	d.Part(ledger.Part{Designator: "RFC1", Name: "plate choke", Stage: "plate_feed", Given: c.Inductance.Given,
		Value:  desk.Show(l.Value, "H"),
		Rating: fmt.Sprintf("%s DC; %.0f turns of %s wire on %s, %s long, %s of wire", desk.Show(s.in.PlateCurrent.Value, "A"), w.Coil.Turns, desk.Show(w.Coil.Wire, "m"), desk.Show(form.Value, "m"), desk.Show(w.Coil.Length(), "m"), desk.Show(w.WireLength, "m")),
		Note:   fmt.Sprintf("DANGER: at %s above ground with lethal current behind it, RF on top. Form of ceramic, glass-filled PTFE or the like; hot end to the plates and away from metal. Check its series resonances in place, supply unplugged and discharged, before high voltage is ever applied.", desk.Show(s.highest.Value, "V"))})
	return nil
}

// in0 enters a value of an earlier stage under an ID of this stage, so that
// ratings stand where they belong.
func (s *stage) in0(id, name string, q *ledger.Quantity, unit string) *ledger.Quantity {
	return s.Solved(id, name, q.Value, unit, desk.Derived("Equal to "+q.Name+"."), q)
}

func (s *stage) findResonances(l, turns, length *ledger.Quantity) {
	d := s.Desk
	method := ledger.Method{
		Words:  "The winding as a helical line with its cold end grounded, velocity after Kandoian and Sichak: parallel resonance at odd, series resonance at even numbers of quarter waves. An even winding in free space; ±20 % at best, and a choke with a spaced or split winding lies elsewhere.",
		Source: source.HelixVelocity}
	var flagged, seen []string
	series := 0
	var first *ledger.Quantity
	for _, r := range s.r.Winding.Resonances {
		if r.Quarters == 1 {
			d.Solved("plate_feed.choke_parallel_resonance", "plate choke, first parallel resonance", r.Frequency, "Hz", method, l, turns, length)
		}
		if r.Kind != Series {
			continue
		}
		series++
		q := d.Solved(fmt.Sprintf("plate_feed.choke_series_resonance_%d", series), fmt.Sprintf("plate choke, series resonance no. %d", series), r.Frequency, "Hz", method, l, turns, length)
		if first == nil {
			first = q
		}
		if len(r.Bands) > 0 {
			flagged = append(flagged, fmt.Sprintf("%s (%s)", desk.Show(r.Frequency, "Hz"), strings.Join(r.Bands, ", ")))
		} else {
			seen = append(seen, desk.Show(r.Frequency, "Hz"))
		}
	}
	const measure = "Measure with a dip oscillator or an analyser before applying high voltage: plug pulled, supply discharged, plates, bypass capacitor and everything near the choke in place. Move a series resonance out of every band by taking turns off or by splitting the winding."
	if len(flagged) > 0 {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "plate_feed.choke_resonance", Stage: "plate_feed", Quantities: []string{first.ID},
			Text:   fmt.Sprintf("Series resonances of the plate choke are estimated near %s, each ±%.0f %%: the bands named lie within that uncertainty. At a series resonance the choke shorts the tank and burns.", strings.Join(flagged, "; "), 100*ResonanceError),
			Advice: measure})
		return
	}
	d.Find(ledger.Finding{Severity: ledger.Note, ID: "plate_feed.choke_resonance", Stage: "plate_feed", Quantities: []string{first.ID},
		Text:   fmt.Sprintf("Series resonances of the plate choke are estimated near %s, each ±%.0f %%, clear of the bands. That is an estimate, not a measurement.", strings.Join(seen, ", "), 100*ResonanceError),
		Advice: measure})
}

// bypassRatio is the choke's reactance over that of the bypass capacitor
// (common practice), leastBypass the smallest one worth fitting [F].
const (
	bypassRatio = 100.0
	leastBypass = 1e-9
)

func (s *stage) bypass() {
	d, b := s.Desk, s.Spec.PlateFeed.Bypass
	n := pieces(b)
	want := math.Max(leastBypass, bypassRatio/(2*math.Pi*s.f.Value*s.chokeReactance.Value))
	one := d.TakeOr("plate_feed.bypass_capacitance", "bypass at the choke's cold end, one piece", "F", b.Capacitance, preferred.E6.Up(want/n*(1-1e-9)),
		"next E6 value with at most a hundredth of the choke's reactance on the lowest band, at least 1 nF (common practice)")
	all := one
	if n > 1 {
		all = d.Solved("plate_feed.bypass_capacitance_all", "bypass, all pieces", one.Value*n, "F", desk.Derived("Pieces in parallel."), one)
	}
	s.r.BypassCapacitance = all.Value
	x := d.Compute("plate_feed.bypass_reactance", "bypass, reactance on "+s.lowest.Name, capacitorReactance, ledger.With{"f": s.f, "C": all})
	d.Compute("plate_feed.bypass_voltage_rf", "RF left at the choke's cold end", coldEndVoltage, ledger.With{"I_ch": s.chokeRMS, "X_C": x})
	most := d.Compute("plate_feed.bypass_current_rms", "bypass, RF current at most", chokeCurrent, ledger.With{"V_p1": s.highest, "X_L": s.chokeReactance})
	each := most
	if n > 1 {
		k := d.TakeCount("plate_feed.bypass_count", "bypass, pieces in parallel", b.Count)
		each = d.Compute("plate_feed.bypass_current_rms_each", "bypass, RF current of one piece", eachCurrent, ledger.With{"I": most, "n": k})
	}
	volts := d.Check(desk.Hold{Part: "C4", Name: "plate-choke bypass", Kind: "voltage", Stress: s.highest, Have: b.Voltage, Factor: s.Spec.Margins.Voltage,
		Standard: desk.CapacitorVoltages, Why: "direct voltage without load"})
	amps := d.Check(desk.Hold{Part: "C4", Name: "plate-choke bypass", Kind: "current", Band: s.lowest.Name, Stress: each, Have: b.Current, Factor: s.Spec.Margins.Current,
		Standard: desk.Currents, Why: "RF current of the choke with the plates swinging the whole direct voltage"})
	d.Part(ledger.Part{Designator: "C4", Name: "plate-choke bypass capacitor, ceramic", Count: int(n), Stage: "plate_feed", Given: b.Capacitance.Given,
		Value: desk.Show(one.Value, "F"), Rating: fmt.Sprintf("%s DC, %s RF", desk.Show(volts.Rating, "V"), desk.Show(amps.Rating, "A")),
		Note: "DANGER: full high voltage; it holds charge. Discharge through a resistor stick before touching. Shortest leads to the chassis at the tubes."})
}
