package supply

import (
	"math"

	"anodebook/compute/data/rules"
	"anodebook/compute/physics/rectifier"
)

// Discharge follows the bank after the mains is off, from an evenly shared
// voltage, bleeders and voltmeter string drawing on it together.
type Discharge struct {
	From  float64 // voltage at switch-off [V]
	plan  Plan
	meter float64 // resistance of the voltmeter's string across the bank [Ω]; +Inf: none
}

// Sound returns the bank voltage [V] at the time [s] with every bleeder whole.
func (d Discharge) Sound(time float64) float64 {
	g := 1/d.plan.Bank.Resistance() + 1/d.meter
	return d.From * math.Exp(-time*g/d.plan.Bank.OutputCapacitance())
}

// opened is the bank with so many bleeders failed open. A string of bleeders
// across the whole bank is open altogether with the first.
func (d Discharge) opened(open int) (rectifier.Decay, error) {
	s := d.plan.Bank
	s.Bleeder = d.meter
	if !d.plan.PerCapacitor {
		s.Equaliser, open = math.Inf(1), 0
	}
	return s.Opened(open, d.From)
}

// OneOpen returns the voltage at the terminals [V] and on the capacitor that
// has lost its bleeder [V] at the time [s], when one bleeder has failed open
// and only the voltmeter's string is left across it. With a string of bleeders
// across the whole bank the one capacitor stands for an even share.
func (d Discharge) OneOpen(time float64) (terminals, capacitor float64) {
	run, err := d.opened(1)
	if err != nil { // only for values out of range, which a plan does not have
		return d.From, d.From / float64(d.plan.Bank.Count)
	}
	terminals, sound, orphaned := run.At(time)
	if d.plan.PerCapacitor {
		return terminals, orphaned
	}
	return terminals, sound
}

// Open returns how long terminals and worst capacitor take to 60 V when so many
// bleeders have failed open [s]; +Inf where nothing discharges them.
func (d Discharge) Open(count int) (terminals, capacitor float64) {
	run, err := d.opened(count)
	if err == nil {
		terminals, capacitor, err = run.Until(rules.ResidualVoltage)
	}
	if err != nil { // only for values out of range, which a plan does not have
		return math.Inf(1), math.Inf(1)
	}
	return terminals, capacitor
}

// HalfOneOpen returns how long the terminals take to half their voltage with
// one bleeder open [s]; +Inf where they never do.
func (d Discharge) HalfOneOpen() float64 {
	run, err := d.opened(1)
	if err != nil || d.From <= 0 {
		return math.Inf(1)
	}
	above := func(t float64) bool { v, _, _ := run.At(t); return v > d.From/2 }
	hi := d.plan.Bank.OutputCapacitance() // with 1 Ω
	for above(hi) {
		if hi *= 2; hi > 1e9 {
			return math.Inf(1)
		}
	}
	lo := 0.0
	for range 200 {
		if mid := (lo + hi) / 2; above(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// climb returns how long a capacitor takes from its even share to a voltage [V]
// while the supply holds the bank at full [V] and its bleeder is open [s]; +Inf
// where it never gets there. The sound capacitors lose through their bleeders
// what the orphaned one gains: C·w' = (V - w)/(n·R). Leakage is left out.
func (p *Plan) climb(full, to float64) float64 {
	n := float64(p.Bank.Count / p.Supply.Circuit.Banks())
	v := full / float64(p.Supply.Circuit.Banks())
	switch {
	case !p.PerCapacitor || n < 2 || to >= v:
		return math.Inf(1)
	case to <= v/n:
		return 0
	}
	return n * p.BleederEach * p.Bank.Capacitance * math.Log((v-v/n)/(v-to))
}
