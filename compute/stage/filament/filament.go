// Package filament computes the heating of the tubes and the choke that keeps
// RF out of it: transformer voltage and current, the voltage that arrives at
// the pins, warm-up, and the choke on its ferrite rod or ring.
//
// It assumes filaments in parallel that draw their rated current (a hot
// filament's current moves far less than its voltage), drops that follow the
// mains in proportion, and for directly heated tubes a bifilar choke on a rod
// or ring. Indirectly heated tubes need no choke in the heater leads unless
// heater and cathode are tied together; for them the choke is the one that
// returns the direct cathode current to the bias while the cathode is driven,
// unless the builder winds it bifilar or trifilar.
package filament

import (
	"errors"
	"fmt"

	"anodebook/compute/data/preferred"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
)

// Input is what the stage needs.
type Input struct {
	Type            *tube.Type
	Tubes           int
	LowestFrequency float64          // of the lowest band [Hz]
	InputResistance *ledger.Quantity // all cathodes in parallel [Ω]
	CathodeCurrent  *ledger.Quantity // DC at full output, all tubes [A]; nil: the book's tubes.plate_current + tubes.grid_current
}

// Result is what later stages, figures and the parts list need.
type Result struct {
	DirectlyHeated   bool
	Current          float64 // of all tubes [A]
	SecondaryVoltage float64 // under load [V rms]
	PinVoltage       float64 // [V rms]
	WarmUp           float64 // before plate voltage or drive [s]; 0 for directly heated tubes
	Choke            Winding
	ChokeInductance  float64 // [H]
	ChokeReactance   float64 // on the lowest band [Ω]
}

// stage carries what the parts of Solve share.
type stage struct {
	*desk.Desk
	in     Input
	r      *Result
	rated  *ledger.Quantity // filament voltage at the pins [V]
	all    *ledger.Quantity // filament current of all tubes [A]
	drop   *ledger.Quantity // resistance of the choke in the filament leads [Ω]
	part   string           // name of the choke in words
	wires  int              // in hand
	supply string           // name of T2's load in words
}

// Solve sizes and checks heating and choke. Errors: the type's filament is not
// published, or a rod that cannot be computed.
func Solve(d *desk.Desk, in Input) (Result, error) {
	var r Result
	if in.CathodeCurrent == nil {
		ip, okP := d.Lookup("tubes.plate_current")
		ig, okG := d.Lookup("tubes.grid_current")
		if okP && okG {
			in.CathodeCurrent = d.Compute("filament.cathode_current", "direct cathode current at full output, all tubes",
				cathodeCurrent, ledger.With{"I_p": ip, "I_g": ig})
		}
	}
	if in.Type == nil || in.Tubes < 1 || !(in.LowestFrequency > 0) || in.InputResistance == nil || in.CathodeCurrent == nil {
		return r, errors.New("filament: needs the tubes, the lowest band, the input resistance and the cathode current")
	}
	h := in.Type.Heater
	if !h.Voltage.Known || !h.Current.Known {
		return r, fmt.Errorf("filament: the catalogue has no filament voltage and current for the %s", in.Type.Name)
	}
	r.DirectlyHeated = in.Type.Cathode == tube.ThoriatedTungsten
	s := &stage{Desk: d, in: in, r: &r, part: "filament choke", supply: "filament"}
	s.plan()
	where := func(f tube.Figure) string { return in.Type.Sources[f.Source] }
	s.rated = d.Catalogue("filament.rated_voltage", s.supply+" voltage at the pins", h.Voltage.Value, "V", where(h.Voltage))
	each := h.Current
	if h.GreatCurrent.Known {
		each = h.GreatCurrent
	}
	one := d.Catalogue("filament.rated_current_each", s.supply+" current of one tube", each.Value, "A", where(each))
	n := d.TakeCount("filament.tubes", "tubes in parallel", d.Spec.Tubes.Count)
	s.all = d.Compute("filament.current", s.supply+" current, all tubes", allCurrent, ledger.With{"n": n, "I_f": one})
	d.Compute("filament.power", s.supply+" power, all tubes", heaterPower, ledger.With{"V_f": s.rated, "I": s.all})
	r.Current = s.all.Value
	if err := s.choke(); err != nil {
		return r, err
	}
	s.voltage()
	s.switchOn()
	s.bypass()
	return r, nil
}

// voltage follows the filament voltage from the transformer to the pins.
func (s *stage) voltage() {
	d, f := s.Desk, s.Spec.Filament
	lead := d.Take("filament.lead_resistance", "leads and sockets, both ways", "Ω", f.LeadResistance)
	var secondary *ledger.Quantity
	if f.TransformerVoltage.Known() {
		secondary = d.Take("filament.secondary_voltage", s.supply+" transformer, secondary under load", "V", f.TransformerVoltage)
	} else {
		secondary = d.Compute("filament.secondary_voltage", s.supply+" transformer, secondary wanted under load", secondaryWanted,
			ledger.With{"V_f": s.rated, "I": s.all, "R_L": s.drop, "R_w": lead})
	}
	pin := d.Compute("filament.pin_voltage", s.supply+" voltage at the pins", pinVoltage,
		ledger.With{"V_s": secondary, "I": s.all, "R_L": s.drop, "R_w": lead})
	mains := d.Take("filament.mains_tolerance", "spread of the mains voltage", "%", s.Spec.Supply.Mains.Tolerance)
	lo := d.Compute("filament.pin_voltage_low", "voltage at the pins, low mains", pinLow, ledger.With{"V_pin": pin, "t": mains})
	hi := d.Compute("filament.pin_voltage_high", "voltage at the pins, high mains", pinHigh, ledger.With{"V_pin": pin, "t": mains})
	var allowed *ledger.Quantity
	if t := s.in.Type.Heater.Tolerance; t.Known {
		allowed = d.Catalogue("filament.allowed_deviation", "allowed deviation at the pins, ±", t.Value, "V",
			s.in.Type.Sources[t.Source])
	} else {
		allowed = d.Catalogue("filament.allowed_deviation", "allowed deviation at the pins, ±", 0.05*s.rated.Value, "V",
			"not published for the type; ±5 % is common practice")
	}
	s.r.SecondaryVoltage, s.r.PinVoltage = secondary.Value, pin.Value
	s.judge(pin, lo, hi, allowed)
	// a transformer is rated for its current continuously: no further factor
	rating := d.Check(desk.Hold{Part: "T2", Name: s.supply + " transformer", Kind: "current", Stress: s.all, Have: f.TransformerCurrent,
		Owned:    f.TransformerVoltage.Given,
		Standard: desk.Currents, Why: ledger.Say("{supply} current of all tubes; a transformer's rating is for continuous service",
			ledger.Called("supply", s.supply))})
	d.Part(ledger.Part{Designator: "T2", Name: s.supply + " transformer", Stage: "filament", Given: f.TransformerVoltage.Given,
		Value:  ledger.Say("{secondary} under load", ledger.Q("secondary", secondary)),
		Rating: ledger.Say("{rating}", ledger.Of("rating", rating.Rating, "A")),
		Note: ledger.Say("Mains voltage on its primary: fuse it, and disconnect the plug before touching. Set the primary tap by the " +
			"true-rms voltage measured at the tube pins, with the plate supply disconnected and discharged and its contactor blocked.")})
}

// judge holds the pin voltage over the mains tolerance against the type's own.
func (s *stage) judge(pin, lo, hi, allowed *ledger.Quantity) {
	low, high := s.rated.Value-allowed.Value, s.rated.Value+allowed.Value
	const slack = 1e-6
	effect := func(v float64) string {
		if v < low {
			return "Too little voltage starves the cathode of emission and in time poisons it."
		}
		return "Too much voltage shortens the tubes' life: a few per cent cost half of it (common practice)."
	}
	f := ledger.Finding{ID: "filament.pin_voltage", Stage: "filament", Quantities: []string{pin.ID, lo.ID, hi.ID},
		Advice: ledger.Say("Choose another tap or a small resistor in the transformer's primary, and measure at the pins with a " +
			"true-rms meter.")}
	switch {
	case pin.Value < low*(1-slack) || pin.Value > high*(1+slack):
		f.Severity = ledger.Exceeds
		f.Text = ledger.Say("The pins see {pin} at nominal mains; the {type} wants {rated} ± {allowed}. {pin_2}", ledger.Q("pin", pin),
			ledger.Called("type", s.in.Type.Name), ledger.Q("rated", s.rated), ledger.Q("allowed", allowed),
			ledger.Called("pin_2", effect(pin.Value)))
	case lo.Value < low*(1-slack) || hi.Value > high*(1+slack):
		worst := lo.Value
		if high-hi.Value < lo.Value-low {
			worst = hi.Value
		}
		f.Severity = ledger.Caution
		f.Text = ledger.Say("Over the mains tolerance the pins see {lo} to {hi}; the {type} wants {rated} ± {allowed}. {worst}",
			ledger.Q("lo", lo), ledger.Q("hi", hi), ledger.Called("type", s.in.Type.Name), ledger.Q("rated", s.rated),
			ledger.Q("allowed", allowed), ledger.Called("worst", effect(worst)))
	default:
		return
	}
	s.Find(f)
}

// unknownWarmUp is taken where no warm-up time is published for an oxide
// cathode [s] (common practice: the longest of the usual ones).
const unknownWarmUp = 180

func (s *stage) switchOn() {
	d, h := s.Desk, s.in.Type.Heater
	if s.r.DirectlyHeated {
		if a := h.InrushFactor; a.Known {
			q := d.Catalogue("filament.inrush_factor", "allowed inrush over rated current", a.Value, "", s.in.Type.Sources[a.Source])
			i := d.Compute("filament.inrush_current", "filament current at switch-on, at most allowed", inrush,
				ledger.With{"a": q, "I": s.all})
			d.Find(ledger.Finding{Severity: ledger.Note, ID: "filament.inrush", Stage: "filament", Quantities: []string{i.ID},
				Text: ledger.Say("At switch-on the filaments may take at most {filament.inrush_current}; cold tungsten has about a " +
					"tenth of its hot resistance."),
				Advice: ledger.Say("Let the transformer's own reactance limit it, or put a resistor into the primary for a second or " +
					"two (step start).")})
			return
		}
		d.Find(ledger.Finding{Severity: ledger.Note, ID: "filament.inrush", Stage: "filament", Quantities: []string{s.all.ID},
			Text: ledger.Say("No inrush figure is in the catalogue for the {type}. Cold tungsten has about a tenth of its hot "+
				"resistance (common practice: keep the current below twice the rated).", ledger.Called("type", s.in.Type.Name)),
			Advice: ledger.Say("Put a resistor into the primary of the filament transformer for a second or two (step start).")})
		return
	}
	var t *ledger.Quantity
	if w := h.WarmUp; w.Known {
		t = d.Catalogue("filament.warm_up_time", "warm-up before plate voltage or drive", w.Value, "s", s.in.Type.Sources[w.Source])
	} else {
		t = d.Catalogue("filament.warm_up_time", "warm-up before plate voltage or drive", unknownWarmUp, "s",
			"not published in the catalogue's sources; three minutes is the cautious choice (common practice)")
	}
	s.r.WarmUp = t.Value
	d.Find(ledger.Finding{Severity: ledger.Caution, ID: "filament.warm_up", Stage: "filament", Quantities: []string{t.ID},
		Text: ledger.Say("The {type} has an oxide cathode: neither plate voltage nor drive before {t} s of heating, or the cathode "+
			"is stripped.", ledger.Called("type", s.in.Type.Name), ledger.Fixed("t", t.Value, 0)),
		Advice: ledger.Say("A timer is required, one that starts anew after every loss of mains, and locks out plate supply and " +
			"transmit until it has run.")})
}

// bypassRatio is the input resistance over the reactance of one bypass
// capacitor on the lowest band (common practice).
const bypassRatio = 20.0

func (s *stage) bypass() {
	d := s.Desk
	f := d.Get("filament.lowest_frequency")
	k := d.Catalogue("filament.bypass_ratio", "input resistance over bypass reactance, rule", bypassRatio, "", "common practice")
	want := d.Compute("filament.bypass_wanted", "bypass capacitor, wanted", bypassWanted,
		ledger.With{"k": k, "f": f, "R_in": s.in.InputResistance})
	d.Solved("filament.bypass_capacitance", "bypass capacitor, one piece", preferred.E6.Up(want.Value*(1-1e-9)), "F",
		ledger.Method{Words: ledger.Say("Next E6 value up."), Source: source.CommonPractice}, want)
	count := s.wires + s.in.Tubes
	where := ledger.Say("one from each cold end of the choke to the chassis, one across each socket's filament pins ({tubes})",
		ledger.Int("tubes", s.in.Tubes))
	if s.wires == 1 {
		count, where = 1+2*s.in.Tubes, ledger.Say("one at the cold end of the return choke, one from each heater pin to the chassis")
	}
	d.Part(ledger.Part{Designator: "C5", Name: "filament and cathode bypass, ceramic or mica", Count: count, Stage: "filament",
		Value: ledger.Say("{filament.bypass_capacitance}"), Rating: ledger.Say("500 V"),
		Note: ledger.Say("{where}. Shortest leads.", ledger.In("where", where))})
}
