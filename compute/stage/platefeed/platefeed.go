package platefeed

import (
	"errors"
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/network"
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

	Output *ledger.Quantity // peak envelope power at the antenna connector [W]
	SWR    *ledger.Quantity // worst at the connector [1]

	// The supply's own run of a flash-over, at the highest mains.
	FaultPeak          *ledger.Quantity // current [A]
	FaultAction        *ledger.Quantity // current squared times time from the bank [A²s]
	FaultResistance    *ledger.Quantity // of the loop [Ω]
	Follow             *ledger.Quantity // current that follows from the transformer while the short lasts [A]
	Capacitance        *ledger.Quantity // of the filter bank [F]
	CapacitorTolerance *ledger.Quantity // [1]
}

// BandResult is one band's row of the table of RF currents.
type BandResult struct {
	Name                    string
	Centre                  float64 // [Hz]
	ChokeReactance          float64 // 2πfL [Ω]
	ChokeImpedance          float64 // magnitude as a line, estimate [Ω]
	ChokeCurrentRMS         float64 // into 50 Ω [A]
	BlockingCurrentRMS      float64 // into 50 Ω, where in the band it is greatest [A]
	BlockingCurrentRMSAtSWR float64 // greatest at the stated SWR [A]
	BlockingVoltagePeak     float64 // RF across the capacitor, greatest at the stated SWR [V]
	BlockingFrequency       float64 // where in the band the current is greatest [Hz]
	PlateVoltagePeak        float64 // RF at the plates into 50 Ω [V]
}

// Result is what later stages, figures and the parts list need.
type Result struct {
	ChokeInductance     float64 // [H]
	BlockingCapacitance float64 // all pieces [F]
	BypassCapacitance   float64 // [F]
	GlitchResistance    float64 // [Ω]
	FaultCurrent        float64 // into a flash-over, peak [A]
	FaultAction         float64 // of the bank into a flash-over, capacitors at their upper tolerance [A²s]
	FuseRating          float64 // [A]; 0 without a fuse
	Winding             Winding
	Line                Line    // all windings from the cold end to the plates
	Within              float64 // stated uncertainty of the resonances [1]
	Resonances          []Resonance
	Bands               []BandResult
}

// ChokeImpedance is the estimate of what the plates see of the choke [Ω] at a
// frequency [Hz], the cold end at the bypass capacitor; see Line.
func (r *Result) ChokeImpedance(frequency float64) complex128 {
	cold := r.BypassCapacitance
	if cold <= 0 {
		cold = strayCold
	}
	return r.Line.Impedance(frequency, complex(0, -1/(2*math.Pi*frequency*cold)))
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
	f := d.Book.Spec("plate_feed.lowest_frequency", "lowest band, middle", lowest.Centre, "Hz",
		d.Spec.Where(d.Spec.Target.Bands.Origin))
	highest := d.Solved("plate_feed.highest_direct_voltage", "highest direct voltage, supply without load",
		math.Max(in.NoLoadVoltage, in.PlateVoltage.Value), "V",
		desk.Derived("Taken from the high-voltage supply: its voltage without load, but never less than the loaded plate voltage."),
		in.PlateVoltage)
	if t := in.Networks[0].Input; !(t.ChokeInductance > 0) || !(t.Blocking > 0) {
		return r, errors.New("plate feed: the tanks were designed without plate choke or blocking capacitor")
	}
	s := &stage{Desk: d, in: in, f: f, lowest: lowest, highest: highest, r: &r}
	s.rows()
	if err := s.choke(); err != nil {
		return r, err
	}
	s.bypass()
	s.impedances()
	s.blocking()
	s.fuse()
	s.glitch()
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
	first, second, choked    *ledger.Quantity // inductances; second nil without one, choked of all
	coilRMS                  float64          // of the tank coil on the lowest band, into 50 Ω [A]
	action, passes           *ledger.Quantity // of the bank; let through until a fault is cleared [A²s]
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
		// Retuned at the edges of the band, the plates see the same resistance;
		// what choke and tube capacitance take of the current has changed.
		at := worstFrequency(b, &tank.Input)
		more := plateAdmittance(&tank.Input, at) / plateAdmittance(&tank.Input, b.Centre)
		s.r.Bands = append(s.r.Bands, BandResult{
			Name: b.Name, Centre: b.Centre, BlockingFrequency: at, PlateVoltagePeak: element(matched, network.PlateChoke).VoltagePeak,
			BlockingCurrentRMS:      element(matched, network.BlockingCapacitor).CurrentRMS * more,
			BlockingCurrentRMSAtSWR: element(worst, network.BlockingCapacitor).CurrentRMS * more,
			BlockingVoltagePeak:     element(worst, network.BlockingCapacitor).VoltagePeak * math.Max(1, more*b.Centre/at),
		})
	}
}

// plateAdmittance is the magnitude of the admittance [S] that the blocking
// capacitor carries the current of, at a frequency [Hz], the plates seeing
// their load and no reactance: the load's conductance, and in quadrature what
// the choke takes less what the capacitance at the plates takes.
func plateAdmittance(in *network.TankInput, frequency float64) float64 {
	omega := 2 * math.Pi * frequency
	return math.Hypot(1/in.PlateLoad, 1/(omega*in.ChokeInductance)-omega*(in.TubeCapacitance+in.ChokeCapacitance))
}

// worstFrequency is where in a band the blocking capacitor's current is
// greatest: an edge, or the middle where there is nothing else [Hz].
func worstFrequency(b Band, in *network.TankInput) float64 {
	at := b.Centre
	low, high := b.edges()
	for _, f := range [...]float64{low, high} {
		if plateAdmittance(in, f) > plateAdmittance(in, at) {
			at = f
		}
	}
	return at
}

func (s *stage) choke() error {
	d, c := s.Desk, s.Spec.PlateFeed.Choke
	value := s.in.Networks[0].Input.ChokeInductance
	ratio := d.Catalogue("plate_feed.choke_ratio", "choke reactance over plate load, rule", ChokeRatio, "", "common practice")
	most := d.Catalogue("plate_feed.choke_greatest", "largest choke chosen by rule", GreatestChoke, "H",
		"common practice: a longer winding brings series resonances into the bands")
	d.Compute("plate_feed.choke_inductance_wanted", "plate choke, inductance wanted by the rule", chokeWanted,
		ledger.With{"k": ratio, "R_p": s.in.PlateLoad, "f": s.f, "L_max": most})
	const why = "E12 value of about twice the plate load in reactance on the lowest band, at most 470 µH (common practice)"
	if second := s.Spec.PlateFeed.Second.Inductance; second.Given {
		s.first = d.TakeOr("plate_feed.first_choke_inductance", "first plate choke, inductance", "H", c.Inductance, value-second.SI,
			ledger.Say(why+"; "+
				"what the second choke leaves of it"))
		s.second = d.Take("plate_feed.second_choke_inductance", "second plate choke, inductance", "H", second)
		s.choked = d.Compute("plate_feed.choke_inductance", "plate chokes in series, inductance", inSeries,
			ledger.With{"L_1": s.first, "L_2": s.second})
	} else {
		s.first = d.TakeOr("plate_feed.choke_inductance", "plate choke, inductance", "H", c.Inductance, value,
			ledger.Say(why))
		s.choked = s.first
	}
	l := s.choked
	s.r.ChokeInductance = l.Value
	x := d.Compute("plate_feed.choke_reactance_lowest_band", "plate choke, reactance on "+s.lowest.Name, reactance,
		ledger.With{"f": s.f, "L": l})
	rf := d.Compute("plate_feed.choke_current_rms", "plate choke, RF current on "+s.lowest.Name, chokeCurrent,
		ledger.With{"V_p1": s.in.PlateSwing, "X_L": x})
	s.chokeReactance, s.chokeRMS = x, rf
	if s.coilRMS > 0 {
		coil := d.Solved("plate_feed.tank_coil_current_rms", "tank coil, RF current on "+s.lowest.Name, s.coilRMS, "A",
			ledger.Method{Words: ledger.Say("The tank's chain solved on the lowest band at full output into 50 Ω."),
				Source: source.CircuitLaws}, s.in.Output)
		share := d.Compute("plate_feed.choke_share", "choke current over coil current on "+s.lowest.Name, chokeShare,
			ledger.With{"I_ch": rf, "I_L": coil})
		if share.Value > 0.01 {
			severity := ledger.Note
			if share.Value > 0.25 {
				severity = ledger.Caution
			}
			d.Find(ledger.Finding{Severity: severity, ID: "plate_feed.choke_share", Stage: "plate_feed",
				Quantities: []string{share.ID, l.ID},
				Text: ledger.Say("On {on} the plate choke carries {plate_feed.choke_share} of the tank coil's RF current; the "+
					"published rule of 1 % would ask for {l}. The tank is computed with the choke in circuit, so that the tuning is "+
					"right.",
					ledger.OnBand("on", s.lowest.Name), ledger.Of("l", l.Value*share.Value/0.01, "H")),
				Advice: ledger.Say("A larger choke carries less RF on the lowest band but has its series resonances lower; HF chokes " +
					"that cover several bands are a compromise. Judge it by measuring.")})
		}
	}

	if err := s.windings(); err != nil {
		return err
	}
	d.Check(desk.Hold{Part: "RFC1", Name: "plate choke", Kind: "current",
		Stress: s.in0("plate_feed.choke_direct_current", "plate choke, direct current", s.in.PlateCurrent, "A"),
		Have:   c.Current, Owned: c.Inductance.Given, Factor: s.Spec.Margins.Current, Standard: desk.Currents,
		Why: ledger.Say("direct plate current of all tubes at full output")})
	across := d.Solved("plate_feed.choke_voltage_peak", "plate choke, RF voltage across the winding at most", s.highest.Value, "V",
		desk.Derived("The plates cannot swing further than the direct voltage that feeds them, also into a bad SWR or off tune; taken "+
			"is the voltage without load."), s.highest)
	d.Check(desk.Hold{Part: "RFC1", Name: "plate choke", Kind: "voltage", Stress: across, Have: c.Voltage, Owned: c.Inductance.Given,
		Factor:   s.Spec.Margins.Voltage,
		Standard: desk.CapacitorVoltages, Why: ledger.Say("RF across the winding, peak, at most the direct voltage")})
	return nil
}

// in0 enters a value of an earlier stage under an ID of this stage, so that
// ratings stand where they belong.
func (s *stage) in0(id, name string, q *ledger.Quantity, unit string) *ledger.Quantity {
	return s.Solved(id, name, q.Value, unit, desk.Derived("Equal to "+q.Name+"."), q)
}

// bypassRatio is the choke's reactance over that of the bypass capacitor
// (common practice), leastBypass the smallest one worth fitting [F].
const (
	bypassRatio = 100.0
	leastBypass = 1e-9
)

// strayCold is what stands at the choke's cold end where there is no bypass:
// strays of the wiring [F] (common practice).
const strayCold = 20e-12

func (s *stage) bypass() {
	d, b := s.Desk, s.Spec.PlateFeed.Bypass.Fixed()
	if s.Spec.PlateFeed.Bypass.Fitted.Denied() {
		d.Find(ledger.Finding{Severity: ledger.Exceeds, ID: "plate_feed.bypass", Stage: "plate_feed",
			Quantities: []string{s.chokeRMS.ID, s.in.PlateSwing.ID},
			Text: ledger.Say("There is no bypass capacitor C4: the cold end of the plate choke is not at ground for RF. Up to "+
				"{plate_swing} of RF and {choke_rms} run on into fuse, glitch resistor, wiring and rectifier, which nothing there is "+
				"made "+
				"for.", ledger.Q("plate_swing", s.in.PlateSwing), ledger.Q("choke_rms", s.chokeRMS)),
			Advice: ledger.Say("Fit a ceramic transmitting capacitor of 1 nF or more from the cold end of the choke to the chassis, " +
				"with the shortest leads.")})
		return
	}
	n := pieces(b)
	want := math.Max(leastBypass, bypassRatio/(2*math.Pi*s.f.Value*s.chokeReactance.Value))
	one := d.TakeOr("plate_feed.bypass_capacitance", "bypass at the choke's cold end, one piece", "F", b.Capacitance,
		preferred.E6.Up(want/n*(1-1e-9)),
		ledger.Say("next E6 value with at most a hundredth of the choke's reactance on the lowest band, at least 1 nF (common practice)"))
	all := one
	if n > 1 {
		all = d.Solved("plate_feed.bypass_capacitance_all", "bypass, all pieces", one.Value*n, "F", desk.Derived("Pieces in parallel."),
			one)
	}
	s.r.BypassCapacitance = all.Value
	x := d.Compute("plate_feed.bypass_reactance", "bypass, reactance on "+s.lowest.Name, capacitorReactance,
		ledger.With{"f": s.f, "C": all})
	d.Compute("plate_feed.bypass_voltage_rf", "RF left at the choke's cold end", coldEndVoltage,
		ledger.With{"I_ch": s.chokeRMS, "X_C": x})
	most := d.Compute("plate_feed.bypass_current_rms", "bypass, RF current at most", chokeCurrent,
		ledger.With{"V_p1": s.highest, "X_L": s.chokeReactance})
	each := most
	if n > 1 {
		k := d.TakeCount("plate_feed.bypass_count", "bypass, pieces in parallel", b.Count)
		each = d.Compute("plate_feed.bypass_current_rms_each", "bypass, RF current of one piece", eachCurrent,
			ledger.With{"I": most, "n": k})
	}
	volts := d.Check(desk.Hold{Part: "C4", Name: "plate-choke bypass", Kind: "voltage", Stress: s.highest, Have: b.Voltage,
		Owned: b.Capacitance.Given, Factor: s.Spec.Margins.Voltage,
		Standard: desk.CapacitorVoltages, Why: ledger.Say("direct voltage without load")})
	amps := d.Check(desk.Hold{Part: "C4", Name: "plate-choke bypass", Kind: "current", Band: s.lowest.Name, Stress: each,
		Have: b.Current, Owned: b.Capacitance.Given, Factor: s.Spec.Margins.Current,
		Standard: desk.Currents, Why: ledger.Say("RF current of the choke with the plates swinging the whole direct voltage")})
	d.Part(ledger.Part{Designator: "C4", Name: "plate-choke bypass capacitor, ceramic", Count: int(n), Stage: "plate_feed",
		Given: b.Capacitance.Given,
		Value: ledger.Say("{plate_feed.bypass_capacitance}"),
		Rating: ledger.Say("{rating} DC, {rating_2} RF", ledger.Of("rating", volts.Rating, "V"),
			ledger.Of("rating_2", amps.Rating, "A")),
		Note: ledger.Say("DANGER: full high voltage; it holds charge. Discharge through a resistor stick before touching. Shortest " +
			"leads to the chassis at the tubes.")})
}
