package study

import (
	"fmt"
	"math"
	"strings"

	"anodebook/compute"
	"anodebook/compute/ledger"
	"anodebook/spec"
)

// Distribution is how the values of a part lie within its tolerance.
type Distribution string

// The distributions.
const (
	Uniform Distribution = "uniform" // every value within the tolerance equally likely
	Normal  Distribution = "normal"  // the tolerance is two standard deviations, nothing lies beyond it
)

// Class is a class of parts with a tolerance of its own.
type Class string

// The classes of parts.
const (
	Mains       Class = "mains"
	Transformer Class = "transformer"
	Capacitors  Class = "capacitors"
	Coils       Class = "coils"
	Resistors   Class = "resistors"
	Tubes       Class = "tubes"
	Strays      Class = "strays"
)

// Classes in the order in which tables list them.
var Classes = []Class{Mains, Transformer, Capacitors, Coils, Resistors, Tubes, Strays}

// Kind is one kind of part that is not what it says: a key of the spec and how
// far the part behind it may be off. BAND in a key stands for each band.
type Kind struct {
	Key          string
	Class        Class
	Tolerance    float64 // relative, either way [1]
	From         string  // key of the spec that says the tolerance instead, or empty
	Distribution Distribution
	Pin          string // quantity of the design that holds the value where the spec leaves it open, or empty
	Known        ledger.Known
	Why          string
}

// The filament transformer hangs on the same mains.
const (
	mainsVoltage    = "supply.mains.voltage"
	filamentVoltage = "filament.transformer_voltage"
)

// Kinds are the parts that a tolerance run varies.
var Kinds = []Kind{
	{mainsVoltage, Mains, 0.05, "supply.mains.tolerance", Uniform, "", ledger.CommonPractice,
		"the voltage at the outlet wanders with the day; the key supply.mains.tolerance says how far"},
	{"supply.transformer.voltage", Transformer, 0.02, "", Normal, "supply.transformer_voltage", ledger.CommonPractice,
		"turns ratio as a winder delivers it; own reading within the error of a meter"},
	{"supply.transformer.primary_resistance", Transformer, 0.10, "", Normal, "", ledger.Derived,
		"copper gains 10 % of resistance for 25 K, and ohmmeters are weak below an ohm"},
	{"supply.transformer.secondary_resistance", Transformer, 0.10, "", Normal, "", ledger.Derived,
		"copper gains 10 % of resistance for 25 K"},
	{"supply.transformer.regulation", Transformer, 0.20, "", Normal, "", ledger.CommonPractice,
		"a figure read off or guessed from the size of the core"},
	{"supply.transformer.leakage_inductance", Transformer, 0.20, "", Normal, "", ledger.CommonPractice,
		"depends on how the windings lie on one another"},
	{"supply.transformer.short_circuit_voltage", Transformer, 0.10, "", Normal, "", ledger.FromMemory,
		"IEC 60076-1 allows about ±10 % on the short-circuit impedance"},
	{"supply.mains.resistance", Resistors, 0.30, "", Uniform, "", ledger.CommonPractice, "wiring to the panel, estimated"},
	{"supply.capacitors.capacitance", Capacitors, 0.20, "supply.capacitors.tolerance", Normal, "supply.capacitor_each",
		ledger.CommonPractice, "electrolytics; the key supply.capacitors.tolerance says how far"},
	{"supply.choke.inductance", Coils, 0.20, "", Normal, "", ledger.CommonPractice, "the air gap of a filter choke is set by hand"},
	{"supply.choke.resistance", Resistors, 0.10, "", Normal, "", ledger.Derived, "copper gains 10 % of resistance for 25 K"},
	{"supply.bleeders.resistance", Resistors, 0.05, "", Uniform, "supply.bleeder_each", ledger.CommonPractice,
		"wirewound and oxide resistors are sold as ±5 %"},
	{"plate_feed.glitch_resistor.resistance", Resistors, 0.05, "", Uniform, "plate_feed.glitch_resistance", ledger.CommonPractice,
		"wirewound resistors are sold as ±5 %"},
	{"plate_feed.choke.inductance", Coils, 0.10, "", Normal, "", ledger.CommonPractice, "wound by hand on a form"},
	{"plate_feed.blocking.capacitance", Capacitors, 0.20, "", Uniform, "", ledger.CommonPractice,
		"ceramic transmitting capacitors are sold as ±20 %"},
	{"plate_feed.bypass.capacitance", Capacitors, 0.20, "", Uniform, "", ledger.CommonPractice,
		"ceramic transmitting capacitors are sold as ±20 %"},
	{"tank.coil_q", Coils, 0.25, "", Uniform, "", ledger.CommonPractice,
		"Q of a coil in its cabinet is an estimate until it is measured"},
	{"tank.output_coil_q", Coils, 0.25, "", Uniform, "", ledger.CommonPractice,
		"Q of a coil in its cabinet is an estimate until it is measured"},
	{"tank.stray_capacitance", Strays, 0.30, "", Uniform, "", ledger.CommonPractice, "wiring and choke at the plates, estimated"},
	{"tank.tune.q", Capacitors, 0.30, "", Uniform, "", ledger.CommonPractice,
		"losses of a variable capacitor and its contacts, estimated"},
	{"tank.load.q", Capacitors, 0.30, "", Uniform, "", ledger.CommonPractice,
		"losses of a variable capacitor and its contacts, estimated"},
	{"input.coil_q", Coils, 0.25, "", Uniform, "", ledger.CommonPractice, "Q of slug-tuned coils is an estimate until it is measured"},
	{"input.stray_capacitance", Strays, 0.30, "", Uniform, "", ledger.CommonPractice, "sockets and wiring at the cathodes, estimated"},
	{"input.band.BAND.shunt_in", Capacitors, 0.05, "input.capacitor_tolerance", Uniform, "", ledger.CommonPractice,
		"silver mica; the key input.capacitor_tolerance says how far"},
	{"input.band.BAND.shunt_out", Capacitors, 0.05, "input.capacitor_tolerance", Uniform, "", ledger.CommonPractice,
		"silver mica; the key input.capacitor_tolerance says how far"},
	{filamentVoltage, Transformer, 0.03, "", Normal, "filament.secondary_voltage", ledger.CommonPractice, "winding and meter"},
	{"filament.lead_resistance", Resistors, 0.30, "", Uniform, "", ledger.CommonPractice, "sockets and leads, estimated"},
	{"filament.choke.permeability", Coils, 0.20, "", Normal, "", ledger.FromMemory,
		"initial permeability of ferrites is sold as ±20 %"},
	{"tubes.perveance", Tubes, 0.10, "tubes.mismatch", Normal, "", ledger.CommonPractice,
		"tubes of one type differ; the key tubes.mismatch says how far"},
}

// choices are what the nominal design chose to buy. They are held in every
// build, for a builder buys them once: key of the spec and quantity of the
// design.
var choices = [][2]string{
	{"supply.capacitors.count", "supply.capacitor_count"}, {"supply.bleeders.count", "supply.bleeder_count"},
	{"supply.diodes.count", "supply.diodes_per_leg"},
	{"metering.plate_scale", "metering.plate_scale"}, {"metering.grid_scale", "metering.grid_scale"},
	{"metering.voltage_scale", "metering.voltage_scale"},
	{"bias.voltage", "tubes.bias_voltage"}, {"plate_feed.choke.inductance", "plate_feed.choke_inductance"},
}

// Variation is a part that differs from build to build.
type Variation struct {
	Kind
	Nominal float64 // value in the nominal build, SI
	Unit    string
}

// Tolerances are the builder's own.
type Tolerances struct {
	Class        map[Class]float64 // relative, instead of those of Kinds; may be nil
	Distribution Distribution      // of all parts, instead of those of Kinds; empty: as usual for each
}

// Bench is an amplifier about to be built many times.
type Bench struct {
	Spec       *spec.Spec      // with everything held that the nominal design chose to buy
	Nominal    *compute.Design // of that spec
	Variations []Variation     // in the order of Kinds
}

// Lay computes the nominal design, holds what it chose to buy, and lists the
// parts that may differ from it. The errors are those of compute.Run.
func Lay(s *spec.Spec, t Tolerances) (*Bench, error) {
	s = s.Clone()
	s.Reading, s.Measured, s.Survey, s.Prices = nil, nil, nil, nil // they touch no computed result
	d, err := compute.Run(s)
	if err != nil {
		return nil, err
	}
	b := &Bench{Spec: s.Clone()}
	// a transformer that the design chose is held, and so is the mains for
	// which it was chosen
	if n, _ := s.Numeric("supply.transformer.primary_voltage"); !n.Given {
		b.hold("supply.transformer.primary_voltage", s.Supply.Mains.Voltage.SI)
	}
	if q, ok := d.Book.Lookup("supply.winding_resistance"); ok && !s.Supply.Transformer.PrimaryResistance.Given {
		b.hold("supply.transformer.secondary_resistance", q.Value/2) // the primary, reflected, is taken to have as much
	}
	for _, c := range choices {
		if q, ok := d.Book.Lookup(c[1]); ok {
			n := q.Value
			if c[0] == "supply.capacitors.count" { // the spec counts those of one half of a doubler
				n /= float64(d.Supply.Plan.Supply.Circuit.Banks())
			}
			b.hold(c[0], n)
		}
	}
	for _, k := range Kinds {
		if q, ok := d.Book.Lookup(k.Pin); ok && k.Pin != "" {
			b.hold(k.Key, q.Value)
		}
	}
	if b.Nominal, err = compute.Run(b.Spec); err != nil {
		return nil, err
	}
	for _, k := range Kinds {
		keys := []string{k.Key}
		if strings.Contains(k.Key, "BAND") {
			keys = nil
			for _, band := range s.Target.Bands.Values {
				keys = append(keys, strings.ReplaceAll(k.Key, "BAND", band))
			}
		}
		for _, key := range keys {
			if err := b.add(key, k, t); err != nil {
				return nil, err
			}
		}
	}
	return b, nil
}

// hold writes a value that the design chose, unless the spec says it or says
// the same in other words.
func (b *Bench) hold(key string, value float64) {
	if n, err := b.Spec.Numeric(key); err != nil || n.Given || value <= 0 {
		return
	}
	_ = b.Spec.Set(key, value) // refused: the spec says the same in other words, or the value has no place
}

// add enters a part that has a value.
func (b *Bench) add(key string, k Kind, t Tolerances) error {
	n, err := b.Spec.Numeric(key)
	if err != nil {
		return fmt.Errorf("study: %w", err)
	}
	v := Variation{Kind: k, Nominal: n.Value, Unit: n.Unit}
	v.Key = key
	if key == "tubes.perveance" && !n.Known {
		v.Nominal, n.Known = 1, true
	}
	if !n.Known || v.Nominal == 0 || key == "tank.output_coil_q" && b.Spec.Tank.Network.Value != "pi-L" {
		return nil
	}
	if k.From != "" {
		if from, err := b.Spec.Numeric(k.From); err == nil && from.Known {
			v.Tolerance = math.Min(from.Value, 0.29)
		}
	}
	if own, ok := t.Class[k.Class]; ok {
		v.Tolerance, v.Why, v.Known = own, "the builder's own figure", "as stated"
	}
	if t.Distribution != "" {
		v.Distribution = t.Distribution
	}
	b.Variations = append(b.Variations, v)
	return nil
}

// with returns the spec with the parts at these factors of their nominal
// values. Where the mains voltage is one of them, this amplifier stands at that
// voltage, and no spread is allowed for on top of it.
func (b *Bench) with(factor func(i int) float64) (*spec.Spec, error) {
	s := b.Spec.Clone()
	mains := 1.0
	for i, v := range b.Variations {
		f := factor(i)
		if v.Key == mainsVoltage && v.Tolerance > 0 {
			mains = f
			if err := s.Set("supply.mains.tolerance", 0); err != nil {
				return nil, err
			}
		}
		if v.Key == filamentVoltage {
			f *= mains
		}
		if f == 1 {
			continue
		}
		if err := s.Set(v.Key, v.Nominal*f); err != nil {
			return nil, err
		}
	}
	return s, nil
}
