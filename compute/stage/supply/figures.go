package supply

import (
	"math"

	"anodebook/compute/physics/rectifier"
)

// Ripple returns count+1 samples (count even, >= 2) of one mains period at
// full output, for a figure.
func (r Result) Ripple(count int) ([]rectifier.Sample, error) { return r.Full.Waveform(count) }

// TurnOn returns the switch-on in time: at the crest, bank empty, bleeders as
// load, the step-start resistor in circuit until the contactor closes (where
// there is one) and some periods after that.
func (r Result) TurnOn() (rectifier.Started, error) {
	s := r.start
	half := 0.5 / s.Supply.MainsFrequency
	s.Until = half * (0.5 + math.Ceil(s.Close/half+20)) // to the end of a half period
	return s.Run()
}

// KeyDown returns how the filter voltage falls when the tubes go from idle to
// full output two periods of the mains after the beginning, and how it comes
// back when they go to idle again: each for the returned number of periods,
// long enough to settle. A swinging choke has at once the inductance that
// belongs to each current. It is meant for a figure.
func (r Result) KeyDown() (rectifier.Transient, int, error) {
	s := r.Plan.Supply
	s.LoadCurrent = r.idleCurrent
	idle, full := r.Plan.chokeAt(r.idleCurrent), r.Plan.chokeAt(r.full)
	s.ChokeInductance = idle
	periods := 10
	if s.ChokeInductance > 0 { // the ring of choke and bank decays with a/2L
		a := (s.SourceResistance + s.ChokeResistance) / (2 * s.ChokeInductance)
		ring := 2 * math.Pi * math.Sqrt(s.ChokeInductance*s.OutputCapacitance())
		periods = int(math.Ceil(s.MainsFrequency * math.Min(1.5, math.Max(3/a, 2*ring))))
	}
	time := float64(periods) / s.MainsFrequency
	run, err := rectifier.LoadSteps(s, []rectifier.Stage{
		{Duration: 2 / s.MainsFrequency, LoadCurrent: r.idleCurrent, ChokeInductance: idle},
		{Duration: time, LoadCurrent: r.full, ChokeInductance: full},
		{Duration: time, LoadCurrent: r.idleCurrent, ChokeInductance: idle},
	}, 0)
	return run, periods, err
}
