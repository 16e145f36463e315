// Package platefeed computes the way of the high voltage to the plates: plate
// choke, bypass capacitor, glitch resistor and fuse, blocking capacitor, and
// the safety choke at the antenna connector.
//
// It assumes a single-layer choke wound evenly on an air-like form, its cold
// end held at ground for RF by the bypass capacitor; and that the RF at the
// plates cannot for long exceed the direct voltage that feeds them.
package platefeed

import (
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/spec"
)

// The rules by which choke and blocking capacitor are chosen where the builder
// gives none. All of them are common practice without a published source.
const (
	// ChokeRatio is the choke's reactance on the lowest band over the plate
	// load [1]. The tank is solved with the choke in circuit, so that a choke
	// this small detunes nothing; it only carries more RF than the published
	// rule (100 times the reactance of the tank coil) allows.
	ChokeRatio = 2.0
	// GreatestChoke is the largest choke chosen by rule [H]: a longer winding
	// brings its series resonances down into the bands.
	GreatestChoke = 470e-6
	// BlockingRatio is the plate load over the reactance of the blocking
	// capacitor on the lowest band [1].
	BlockingRatio = 50.0
)

// Values returns the inductance of the plate choke, with a second choke of both
// in series [H], and the capacitance of the blocking capacitor, all pieces
// together [F]: the builder's own, or else those of the rules for the plate
// load, all tubes together [Ω, > 0], and the lowest frequency [Hz, > 0],
// rounded up to E12 and E6 values of IEC 60063.
func Values(s *spec.Spec, plateLoad, lowestFrequency float64) (chokeInductance, blockingCapacitance float64) {
	omega := 2 * math.Pi * lowestFrequency
	second := s.PlateFeed.Second.Inductance.SI // 0 without one
	if q := s.PlateFeed.Choke.Inductance; q.Known() {
		chokeInductance = q.SI + second
	} else {
		want := math.Min(ChokeRatio*plateLoad/omega, GreatestChoke)
		chokeInductance = preferred.E12.Up(math.Max(want-second, want/10)*(1-1e-9)) + second
	}
	n := pieces(s.PlateFeed.Blocking)
	if q := s.PlateFeed.Blocking.Capacitance; q.Known() {
		blockingCapacitance = q.SI * n
	} else {
		blockingCapacitance = n * preferred.E6.Up(BlockingRatio/(omega*plateLoad)/n*(1-1e-9))
	}
	return chokeInductance, blockingCapacitance
}

// pieces is the number of like capacitors in parallel, one unless given.
func pieces(c spec.FixedCapacitor) float64 {
	if c.Count.N > 1 {
		return float64(c.Count.N)
	}
	return 1
}
