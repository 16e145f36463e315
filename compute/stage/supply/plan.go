// Package supply is the stage of the high-voltage supply: transformer,
// rectifier, filter bank, bleeders, step start and mains circuit.
//
// It assumes a tube load that draws constant current (the plate current) beside
// the bleeders as a resistor; diodes with a knee and a slope behind one
// resistance at the secondary; capacitors with a series resistance that does
// not change with frequency; a leakage inductance only where the spec states
// one; a choke whose inductance
// is that of its mean current; a transformer core that does not saturate (the
// inrush of the core itself comes on top of the currents shown). The multiplier string
// of the voltmeter draws less than a milliampere and is left out of the load,
// and the drop in the meter shunts of the negative lead (tenths of a volt) is
// neglected. The mains is a sine.
package supply

import (
	"fmt"
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/desk"
	"anodebook/compute/physics/rectifier"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// What is assumed where the spec is silent; each is listed where it is used.
const (
	assumedRegulation = 0.06 // transformer of about a kilowatt, resistive load (common practice)
	rippleWanted      = 0.05 // peak to peak over plate voltage, by the hand formula, at full output
	capacitorRating   = 450  // the common electrolytic [V]
	resistorTolerance = 0.05 // bleeders and equalisers
	dischargeWanted   = 30.0 // time to 60 V that the bleeders are chosen for [s]
	bleederShare      = 0.05 // greatest share of the plate input that the bleeders may burn
	reverseFactor     = 2.0  // reverse rating of a diode string over the peak reverse voltage
	diodeKnee         = 0.8  // one silicon chip: forward drop at small currents [V]
	diodeSlope        = 0.04 // and what each ampere adds [Ω]
	chipVoltage       = 1500 // reverse voltage of one chip; a diode of more is a stack of them [V]
	surgeFactor       = 1.10 // surge voltage of an electrolytic above 315 V over its rating
)

// Plan is a supply whose parts all have values, given or chosen.
type Plan struct {
	// Kind is the rectifier of the spec, and Supply.Circuit its connection.
	Kind rectifier.Kind
	// Supply is the supply without the tubes: LoadResistance is that of the
	// bleeders, LoadCurrent 0; SecondaryVoltage holds at the nominal mains.
	Supply rectifier.Supply
	// Bank is the filter bank with the resistors across it.
	Bank rectifier.CapacitorString
	// PerCapacitor says that one bleeder lies across each capacitor;
	// otherwise Bleeders in series lie across the whole bank, or none.
	PerCapacitor    bool
	Bleeders        int     // in series; 0: the spec says that there are none
	BleederEach     float64 // [Ω]; +Inf where there are none
	CapacitorRating float64 // rated voltage of one capacitor, given or chosen [V]
	DiodesPerLeg    int     // in series
	Choke           Choke   // input choke; zero with capacitor input
	Margin          float64 // required factor of the voltage ratings
	Glitch          float64 // glitch resistor between bank and plates [Ω]
	Regulation      float64 // of the transformer, where no winding resistance is known; else 0
	Windings        float64 // resistance of the windings at the secondary [Ω]
	MainsResistance float64 // mains circuit, seen at the secondary [Ω]
	Ratio           float64 // no-load secondary (half) voltage over mains voltage
	TransformerOwn  bool    // the builder gave the transformer's voltage
	Wanted          float64 // loaded plate voltage asked for [V]
	PlateCurrent    float64 // for which the plan was made, all tubes [A]
	Tolerance       float64 // of the mains, fraction
	CapacitorOhms   float64 // series resistance of one filter capacitor, given or assumed [Ω]
	Chips           int     // silicon chips in series in one leg

	asked  *spec.Supply // what the plan was made from, for what stands in the way of the current
	glitch spec.Origin  // key of the glitch resistor
}

// Loaded returns the plate voltage, plate to ground [V], in the steady state
// with the tubes drawing plateCurrent [A, >= 0] from the nominal mains:
// mean filter voltage less the drop in the glitch resistor.
func (p Plan) Loaded(plateCurrent float64) (float64, error) {
	r, err := p.State(plateCurrent, 1)
	if err != nil {
		return 0, err
	}
	return r.Voltage - plateCurrent*p.Glitch, nil
}

// State returns the steady state with the tubes drawing plateCurrent [A] and
// the mains at a fraction of its nominal voltage.
func (p Plan) State(plateCurrent, mains float64) (rectifier.Result, error) {
	s := p.Supply
	s.SecondaryVoltage *= mains
	s.LoadCurrent = plateCurrent
	s.ChokeInductance = p.chokeAt(plateCurrent)
	r, err := rectifier.SteadyState(s)
	if err != nil {
		return r, p.collapsed(plateCurrent, mains, err)
	}
	return r, nil
}

// HighestVoltage returns the filter voltage with no load at all on the highest
// mains [V]: what capacitors, chokes and the meter string must stand. The drop
// of the diodes is no help there: it vanishes with their current.
func (p Plan) HighestVoltage() float64 {
	crest := p.Supply.CrestVoltage() * (1 + p.Tolerance)
	if !p.rings() {
		return crest
	}
	return math.Max(crest, p.overshoot(p.Supply.SourceResistance+p.Choke.Resistance))
}

// share is the even share [V] of one capacitor of a voltage of the whole bank.
func (p *Plan) share(bank float64) float64 { return bank / float64(p.Bank.Count) }

// rings reports whether nothing damps choke and bank when the supply is
// switched on.
func (p *Plan) rings() bool {
	return p.Kind.Choke && p.asked.StepStart.Fitted.Denied() && p.Choke.Loaded > 0 && p.Bank.Capacitance > 0
}

// Prepare chooses whatever the spec leaves open, for a plate voltage [V] at a
// plate current [A, all tubes] behind a glitch resistor [Ω]. Without a
// transformer voltage in the spec the secondary is sized so that the loaded
// plate voltage is met exactly. It enters nothing into any ledger.
func Prepare(s *spec.Spec, wantedPlateVoltage, plateCurrent, glitch float64) (Plan, error) {
	if !(wantedPlateVoltage > 0) || !(plateCurrent > 0) || !(glitch >= 0) {
		return Plan{}, fmt.Errorf("supply: a plate voltage of %s V at %s A behind %s Ω cannot be planned",
			quantity.Short(wantedPlateVoltage, 6), quantity.Short(plateCurrent, 6), quantity.Short(glitch, 6))
	}
	sp := &s.Supply
	p := Plan{
		Glitch: glitch, Wanted: wantedPlateVoltage, PlateCurrent: plateCurrent,
		Tolerance: sp.Mains.Tolerance.SI, TransformerOwn: sp.Transformer.Voltage.Given, Margin: s.Margins.Voltage.Value,
		asked: sp, glitch: s.PlateFeed.Glitch.Resistance.Origin,
	}
	kind, err := rectifier.KindOf(sp.Rectifier.Value)
	if err != nil {
		return p, err
	}
	p.Kind, p.Supply.Circuit = kind, kind.Circuit
	p.Supply.MainsFrequency = sp.Mains.Frequency.SI
	filter := wantedPlateVoltage + plateCurrent*glitch
	if p.TransformerOwn {
		p.Supply.SecondaryVoltage = sp.Transformer.Voltage.SI
		if sp.Transformer.PrimaryVoltage.Given {
			p.Supply.SecondaryVoltage *= sp.Mains.Voltage.SI / sp.Transformer.PrimaryVoltage.SI
		}
		p.chooseBank(sp)
		if err := p.emptied(p.ideal(p.Supply.SecondaryVoltage)); err != nil {
			return p, err
		}
		return p, p.solveSource(sp, 0, 1e-11)
	}
	if drop := plateCurrent * glitch; drop > wantedPlateVoltage {
		return p, p.glitchDrops(drop)
	}
	// A first, coarse secondary to choose bank and bleeders by, then the
	// exact one with them in place.
	p.Supply.SecondaryVoltage = 1.12 * filter / p.ideal(1)
	for _, tolerance := range [...]float64{1e-3, 1e-11} {
		p.chooseBank(sp)
		if err := p.emptied(mostLoss * filter); err != nil {
			return p, err
		}
		if err := p.solveSource(sp, filter, tolerance); err != nil {
			return p, err
		}
	}
	return p, nil
}

// ideal returns the filter voltage [V] of a secondary [V rms] that nothing
// loads down: the crest, or behind a choke the mean of the sine.
func (p *Plan) ideal(secondary float64) float64 {
	s := p.Supply
	s.SecondaryVoltage = secondary
	if p.Kind.Choke {
		return rectifier.ResistiveMean(secondary)
	}
	return s.CrestVoltage()
}

// solveSource finds the source resistance and, where filter [V] is positive,
// the secondary voltage that gives this mean filter voltage at the plan's
// plate current: both by substitution, which converges within some ten steps
// because the winding current hardly depends on either. Where so much of the
// voltage is lost that it does not, the secondary voltage is searched for
// upwards. The error says which part stands in the way and what it could give.
func (p *Plan) solveSource(sp *spec.Supply, filter, tolerance float64) error {
	p.Supply.LeakageInductance = sp.Transformer.Leakage.SI
	if p.Supply.SourceResistance == 0 {
		p.Supply.SourceResistance = 0.02 * p.Supply.SecondaryVoltage / p.PlateCurrent
	}
	limit := mostLoss * filter / p.ideal(1)
	s := p.Supply
	s.LoadCurrent = p.PlateCurrent
	var voltage, current series
	for i := range substitutions {
		r, err := rectifier.SteadyState(s)
		if err != nil {
			break
		}
		oldV, oldR := s.SecondaryVoltage, s.SourceResistance
		if filter > 0 {
			s.SecondaryVoltage *= filter / r.Voltage
			if s.SecondaryVoltage > limit {
				break
			}
		}
		p.behind(sp, &s, r.SecondaryCurrent)
		if math.Abs(s.SecondaryVoltage-oldV) < tolerance*oldV && math.Abs(s.SourceResistance-oldR) < tolerance*oldR {
			s.LoadCurrent = 0
			p.Supply = s
			return nil
		}
		voltage.add(s.SecondaryVoltage)
		current.add(r.SecondaryCurrent)
		if i%3 == 2 { // the steps shrink evenly: to where they lead
			if v := voltage.end(); filter == 0 || v < limit {
				s.SecondaryVoltage = v
				p.behind(sp, &s, current.end())
			}
		}
	}
	if filter == 0 {
		return p.settle(sp)
	}
	return p.search(sp, filter, tolerance)
}

// series is the last three terms of a sequence.
type series [3]float64

func (s *series) add(x float64) { s[0], s[1], s[2] = s[1], s[2], x }

// end is where the sequence leads if its steps shrink by the same share each
// time (Aitken), or its last term where they do not shrink by half.
func (s *series) end() float64 {
	before, last := s[1]-s[0], s[2]-s[1]
	q := last / before
	if !(math.Abs(q) < 0.5) {
		return s[2]
	}
	return s[2] + last*q/(1-q)
}

// behind enters what lies behind the rectifier for a secondary voltage and the
// winding current [A rms] that flows: windings, mains, leakage.
func (p *Plan) behind(sp *spec.Supply, s *rectifier.Supply, current float64) {
	t := &sp.Transformer
	p.Ratio = s.SecondaryVoltage / sp.Mains.Voltage.SI
	p.MainsResistance = sp.Mains.Resistance.SI * p.Ratio * p.Ratio
	if t.PrimaryResistance.Given || t.SecondaryResistance.Given {
		p.Windings = windings(t, p.Ratio)
	} else {
		p.Regulation = assumedRegulation
		if t.Regulation.Given {
			p.Regulation = t.Regulation.SI
		}
		p.Windings = rectifier.RegulationResistance(p.Regulation, s.SecondaryVoltage, p.rated(sp, *s, current))
	}
	if t.ShortCircuit.Given {
		z := t.ShortCircuit.SI * s.SecondaryVoltage / p.rated(sp, *s, current)
		s.LeakageInductance = math.Sqrt(math.Max(0, z*z-p.Windings*p.Windings)) / (2 * math.Pi * s.MainsFrequency)
	}
	s.SourceResistance = p.Windings + p.MainsResistance
}

// rated returns the winding current [A rms] for which the transformer is
// rated: that of its power, or else just what this load makes it carry.
func (p *Plan) rated(sp *spec.Supply, s rectifier.Supply, carried float64) float64 {
	if !sp.Transformer.Power.Given {
		return carried
	}
	return sp.Transformer.Power.SI / s.SecondaryVoltage / float64(s.Circuit.Windings())
}

// windings returns the resistance of both windings at the secondary [Ω]. Where
// only one was measured the other is taken to lose as much.
func windings(t *spec.Transformer, turns float64) float64 {
	reflected := t.PrimaryResistance.SI * turns * turns
	switch {
	case !t.SecondaryResistance.Given:
		return 2 * reflected
	case !t.PrimaryResistance.Given:
		return 2 * t.SecondaryResistance.SI
	}
	return t.SecondaryResistance.SI + reflected
}

// chooseBank chooses capacitors, bleeders and diodes for the secondary voltage
// in the plan.
func (p *Plan) chooseBank(sp *spec.Supply) {
	highest, halves := p.HighestVoltage(), p.Supply.Circuit.Banks()
	c := &sp.Capacitors
	p.CapacitorRating = capacitorRating
	if c.Voltage.Given {
		p.CapacitorRating = c.Voltage.SI
	}
	switch {
	case c.Count.Given:
		p.Bank.Count = c.Count.N * halves
		if !c.Voltage.Given {
			need := highest * math.Max(worstShare(p.Bank.Count, resistorTolerance)*p.Margin,
				worstShare(p.Bank.Count, c.Tolerance.SI)/surgeFactor)
			p.CapacitorRating = desk.NextUp(need, capacitorRatings)
		}
	default:
		p.Bank.Count = capacitorsNeeded(highest, p.CapacitorRating, c.Tolerance.SI, p.Margin, halves)
	}
	if c.Capacitance.Given {
		p.Bank.Capacitance = c.Capacitance.SI
	} else {
		total := p.PlateCurrent / (2 * p.Supply.MainsFrequency * rippleWanted * p.Wanted)
		p.Bank.Capacitance = preferred.E12.Up(total * float64(p.Bank.Count))
	}
	p.CapacitorOhms = loss(p.share(highest)) / (4 * math.Pi * p.Supply.MainsFrequency * p.Bank.Capacitance)
	if c.Resistance.Given {
		p.CapacitorOhms = c.Resistance.SI
	}
	each := float64(p.Bank.Count / halves)
	p.Supply.Capacitance, p.Supply.CapacitorResistance = p.Bank.Capacitance/each, p.CapacitorOhms*each
	p.chooseBleeders(sp)
	p.chooseChoke(sp)
	perLeg := p.Supply.DiodeReverseVoltage() * (1 + p.Tolerance)
	p.DiodesPerLeg = sp.Diodes.Count.N
	if !sp.Diodes.Count.Given {
		p.DiodesPerLeg = int(math.Ceil(reverseFactor*perLeg/sp.Diodes.Voltage.SI - 1e-9))
	}
	p.Chips = p.DiodesPerLeg * chips(sp.Diodes.Voltage.SI)
	path := float64(p.Chips * p.Supply.Circuit.PathLegs())
	p.Supply.DiodeDrop, p.Supply.DiodeResistance = diodeKnee*path, diodeSlope*path
}

// chips returns how many silicon chips lie in series in a diode of a rated
// reverse voltage [V].
func chips(rated float64) int { return max(1, int(math.Ceil(rated/chipVoltage-1e-9))) }

// capacitorRatings are what filter capacitors are commonly sold with [V]:
// electrolytics to 500 V, film and oil above (common practice).
var capacitorRatings = []float64{160, 200, 250, 350, 400, 450, 500, 1000, 1500, 2000, 2500, 3000, 4000, 5000, 6000, 7500, 10000}

// capacitorsNeeded returns the smallest count (a multiple of halves) with
// which no capacitor exceeds its rating by the margin in the long run (worst
// resistor), nor its surge voltage at switch-on (worst capacitance).
func capacitorsNeeded(highest, rating, tolerance, margin float64, halves int) int {
	surge := rating * surgeLimit(rating)
	for n := halves; ; n += halves {
		long := highest * worstShare(n, resistorTolerance)
		quick := highest * worstShare(n, tolerance)
		if n >= 200 || 1.01*long*margin <= rating && 1.01*quick <= surge {
			return n
		}
	}
}

// surgeLimit returns surge voltage over rated voltage: electrolytics are made
// up to about 600 V; film and oil capacitors get no credit.
func surgeLimit(rating float64) float64 {
	switch {
	case rating <= 315:
		return 1.15
	case rating <= 600:
		return surgeFactor
	}
	return 1
}

// worstShare returns the share of the whole voltage that falls on the worst of
// n elements, its value off by the tolerance one way and all others the other.
func worstShare(n int, tolerance float64) float64 {
	return (1 + tolerance) / (1 + tolerance + float64(n-1)*(1-tolerance))
}
