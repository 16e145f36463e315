package supply

import "math"

// Discharge follows the bank after the mains is off, from an evenly shared
// voltage.
type Discharge struct {
	From  float64 // voltage at switch-off [V]
	plan  Plan
	meter float64 // resistance of the voltmeter's string across the bank [Ω]; +Inf: none
}

// Sound returns the bank voltage [V] at the time [s] with every bleeder whole
// and no help from the voltmeter's string.
func (d Discharge) Sound(time float64) float64 {
	return d.From * math.Exp(-time/(d.plan.Bank.Resistance()*d.plan.Bank.OutputCapacitance()))
}

// OneOpen returns the voltage at the terminals [V] and on the capacitor that
// has lost its bleeder [V] at the time [s], when one bleeder has failed open
// and only the voltmeter's string is left across it. A string of bleeders
// across the whole bank is open altogether: the one capacitor then stands for
// an even share.
func (d Discharge) OneOpen(time float64) (terminals, capacitor float64) {
	b := d.plan.Bank
	n := float64(b.Count)
	gm := 1 / d.meter
	if !d.plan.PerCapacitor || b.Count == 1 {
		v := d.From * math.Exp(-time*gm/b.OutputCapacitance())
		return v, v / n
	}
	// C·u' = -(ge+gm·(n-1))·u - gm·w,  C·w' = -gm·(n-1)·u - gm·w, with u on
	// each sound capacitor and w on the other; symmetric in √(n-1)·u.
	k, ge := math.Sqrt(n-1), 1/b.Equaliser
	a, off, e := ge+gm*k*k, gm*k, gm
	root := math.Hypot(a-e, 2*off)
	fast := (a + e + root) / 2
	slow := ge * gm / fast // determinant over the fast root, without cancellation
	sin, cos := math.Sincos(math.Atan2(2*off, a-e) / 2)
	u0, w0 := k*d.From/n, d.From/n
	x := (cos*u0 + sin*w0) * math.Exp(-fast*time/b.Capacitance)
	y := (cos*w0 - sin*u0) * math.Exp(-slow*time/b.Capacitance)
	u, w := cos*x-sin*y, sin*x+cos*y
	return k*u + w, w
}
