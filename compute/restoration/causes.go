package restoration

import (
	"fmt"

	"anodebook/compute/physics/network"
	"anodebook/spec/quantity"
)

// Cause is a fault that could explain readings: one change of the model with
// one size that is fitted.
type Cause struct {
	ID      string
	Words   string // the fault in words
	Prove   string // how to prove it, with the caution that belongs there
	low     float64
	high    float64
	uneven  bool                                 // the misfit may have more than one valley
	byRatio bool                                 // sizes are tried by ratio, not evenly
	size    func(a *amplifier, x float64) string // the fitted size in words
	alter   func(a *amplifier, x float64)
	applies func(a *amplifier) bool // nil: always
}

func show(v float64, unit string) string { return quantity.Format(v, unit, 2) }

// offBy writes a share as what is missing or too much.
func offBy(_ *amplifier, x float64) string {
	if x < 1 {
		return fmt.Sprintf("%.0f %% low", 100*(1-x))
	}
	return fmt.Sprintf("%.0f %% high", 100*(x-1))
}

// times writes a share in words.
func times(_ *amplifier, x float64) string { return fmt.Sprintf("%.2f times what it should be", x) }

// bled says that there are bleeders at all.
func bled(a *amplifier) bool { return a.plan.Bleeders > 0 }

const dead = "Mains plug out, bank discharged and proved empty, ground hook on: then "

// causes are the faults that are tried. Their bounds are what is plausible in
// an amplifier that still works (common practice).
var causes = []Cause{
	{ID: "soft_tube", Words: "a soft tube", uneven: true, low: 0.2, high: 1,
		size: func(a *amplifier, x float64) string {
			n := float64(a.setup.Tubes)
			if n < 2 {
				return fmt.Sprintf("the tube has %.0f %% of its perveance left", 100*x)
			}
			return fmt.Sprintf("one tube has %.0f %% of its perveance left, or each of all of them %.0f %%", 100*x, 100*(1-(1-x)/n))
		},
		alter: func(a *amplifier, x float64) { a.setup.Model = a.setup.Model.Scaled(1 - (1-x)/float64(a.setup.Tubes)) },
		Prove: "Measure the filament voltage at the pins first: a low filament makes a good tube look soft. Then take the idle " +
			"current with one tube at a time and the other unplugged: power off, plug out, bank discharged, ground hook on before each " +
			"change.",
	},
	{ID: "low_mains", Words: "mains voltage off", low: 0.75, high: 1.2, size: offBy,
		alter: func(a *amplifier, x float64) { a.mains = x },
		Prove: "Read the mains voltage at the amplifier's own terminals, key down, with a meter of the right category clipped on " +
			"before the power is on.",
	},
	{ID: "wrong_tap", Words: "a wrong tap of the plate transformer", low: 0.75, high: 1.25, size: offBy,
		alter: func(a *amplifier, x float64) { a.plan.Supply.SecondaryVoltage *= x },
		Prove: dead +
			"trace which taps the mains and the rectifier are wired to, and hold them against the transformer's label. The secondary " +
			"carries kilovolts: with power on it is never measured with a hand-held meter.",
	},
	{ID: "primary_resistance", Words: "a high-resistance connection in the primary of the plate transformer", low: 0, high: 4,
		size:  func(_ *amplifier, x float64) string { return show(x, "Ω") + " in the primary" },
		alter: func(a *amplifier, x float64) { a.plan.Supply.SourceResistance += x * a.plan.Ratio * a.plan.Ratio },
		Prove: "Look for a step-start contactor that does not close, burnt contacts, a warm plug or a loose screw. " + dead +
			"measure the primary circuit from the plug on with an ohmmeter that resolves tenths of an ohm. A connection that gets hot " +
			"starts fires.",
	},
	{ID: "plate_path", Words: "a high-resistance connection between filter bank and plates", low: 0, high: 1500,
		size:  func(_ *amplifier, x float64) string { return show(x, "Ω") + " beyond the glitch resistor" },
		alter: func(a *amplifier, x float64) { a.path = x },
		Prove: dead +
			"measure from the bank's positive end to the plate caps: no more than the glitch resistor and the ohms of the choke.",
	},
	{ID: "dry_capacitors", Words: "filter capacitors that have lost capacitance", low: 0.1, high: 1,
		size:  func(_ *amplifier, x float64) string { return fmt.Sprintf("%.0f %% of the capacitance left", 100*x) },
		alter: func(a *amplifier, x float64) { a.plan.Supply.Capacitance *= x; a.plan.Bank.Capacitance *= x },
		Prove: dead + "measure each capacitor by itself. Replace the whole set: the others are as old.",
	},
	{ID: "leaky_capacitor", Words: "a leaky filter capacitor", low: 5e4, high: 5e6, byRatio: true,
		size:  func(_ *amplifier, x float64) string { return "a leak of " + show(x, "Ω") + " across the bank" },
		alter: func(a *amplifier, x float64) { a.leakage = 1 / x },
		Prove: "A leaky electrolytic heats itself and bursts: do not run it on. " + dead +
			"measure the leakage of each capacitor by itself at its rated voltage with a current limit, behind a shield.",
	},
	{ID: "bleeders_drifted", Words: "bleeders that have drifted high", low: 1, high: 5, byRatio: true, size: times, applies: bled,
		alter: func(a *amplifier, x float64) { a.bleeders = x },
		Prove: "The bank holds its charge longer than the cover says. " + dead + "measure each bleeder, and replace the set.",
	},
	{ID: "bleeder_open", Words: "a bleeder that is open", low: 1, high: 1, applies: bled,
		size:  func(*amplifier, float64) string { return "open" },
		alter: func(a *amplifier, _ float64) { a.oneOpen = true },
		Prove: "A capacitor stays charged long after the meter reads nothing: discharge every one by itself through the stick. " +
			dead + "measure each bleeder. Do not switch on again before it is replaced.",
	},
	{ID: "drive", Words: "drive off", uneven: true, low: 0.4, high: 1.4,
		size: func(_ *amplifier, x float64) string {
			return fmt.Sprintf("the exciter gives %.0f %% of the drive power", 100*x*x)
		},
		alter: func(a *amplifier, x float64) { a.setup.Drive = x },
		Prove: "Measure the exciter's power and the SWR at the amplifier's input on the band in use, at the level used before.",
	},
	{ID: "bias", Words: "bias voltage off", uneven: true, low: 0, high: 1.8,
		size: func(a *amplifier, x float64) string {
			if x < 0.05 {
				return "the bias device is shorted"
			}
			return show(x*a.setup.Bias, "V") + " in place of " + show(a.setup.Bias, "V")
		},
		alter:   func(a *amplifier, x float64) { a.setup.Bias *= x },
		applies: func(a *amplifier) bool { return a.setup.Bias > 0.1 },
		Prove: "Without drive and without high voltage, a shorted device shows on the ohmmeter: " + dead +
			"measure it and the cut-off resistor. Watch the plates for colour while idling; switch off at once if they show any.",
	},
	{ID: "load_setting", Words: "load capacitor not at its setting", low: 0.5, high: 2, byRatio: true, uneven: true,
		size: func(_ *amplifier, x float64) string {
			return fmt.Sprintf("%.2f times the computed capacitance, the tune capacitor at resonance", x)
		},
		alter: func(a *amplifier, x float64) { a.load *= x; a.resonate() },
		Prove: "Load again by the tune-up table, and watch the grid current. If the dial is right and the readings are not, measure " +
			"the padders with the plug out and the bank discharged.",
	},
	{ID: "tank_loss", Words: "a lossy contact in the tank", uneven: true, low: 0, high: 3,
		size: func(_ *amplifier, x float64) string { return show(x, "Ω") + " in series with the coil" },
		alter: func(a *amplifier, x float64) {
			t := *a.setup.Tank
			t.Chain.Elements = append(t.Chain.Elements[:0:0], t.Chain.Elements...)
			t.Chain.Elements[t.Chain.Index(network.TankCoil)].Resistance += x
			a.setup.Tank = &t
			a.resonate()
		},
		Prove: dead +
			"look at band switch, roller contact, coil taps and the joint at the connector for colour; after a minute of key-down on a " +
			"wattmeter, plug out, bank discharged and grounded again, the bad one is the hot one.",
	},
	{ID: "plate_meter", Words: "a plate-current meter that reads wrong", low: 0.6, high: 1.6, size: times,
		alter: func(a *amplifier, x float64) { a.plateMeter = x },
		Prove: dead + "pass a known current from a bench supply through the shunt and compare.",
	},
	{ID: "grid_meter", Words: "a grid-current meter that reads wrong", low: 0.5, high: 2, size: times,
		alter: func(a *amplifier, x float64) { a.gridMeter = x },
		Prove: dead + "pass a known current from a bench supply through the shunt and compare.",
	},
	{ID: "volt_meter", Words: "a high-voltage meter that reads wrong", low: 0.6, high: 1.6, size: times,
		alter: func(a *amplifier, x float64) { a.voltMeter = x },
		Prove: "A meter that reads low makes a charged bank look harmless. " + dead +
			"measure every resistor of the multiplier; one that is off condemns the string.",
	},
}
