package tuning

import "math"

// Step is one turn of a knob on the way to full output.
type Step struct {
	Knob    string  // "start", "tune", "load" or "drive": what was turned to get here
	Drive   float64 // voltage of the source over nominal [1]
	Reading Reading
}

const (
	knobStart = "start"
	knobTune  = "tune"
	knobLoad  = "load"
	knobDrive = "drive"
)

// startOff is how far off the tune capacitor stands when a tune-up begins, in
// units of 1/(ω·R) (convention of this package).
const startOff = 4.0

// climbGain is the gain of a round of both knobs that ends a climb [1].
const climbGain = 1e-3

// Path returns a tune-up from a detuned and lightly loaded start: at reduced
// drive the tune and load capacitors are turned in turn to the greatest output,
// then drive is raised to the setup's and both are turned again. Each step is
// the end of one turn; between two steps one knob moved, so that straight lines
// draw it. The greatest output is not held within the limits: the readings say
// what it exceeds. Errors as Situations.
func Path(s Setup) ([]Step, error) {
	b, err := newBench(s)
	if err != nil {
		return nil, err
	}
	full := b.s.Drive
	tune, load, err := b.match(s.Nominal.PlateLoad / b.n)
	if err != nil {
		return nil, err
	}
	if err := b.drive(full * math.Pow(10, ReducedDrive/20)); err != nil {
		return nil, err
	}
	var steps []Step
	add := func(knob string, r Reading) { steps = append(steps, Step{knob, b.s.Drive, r}) }
	r, err := b.read(tune+startOff*b.unit(), 1.5*load)
	if err != nil {
		return nil, err
	}
	add(knobStart, r)
	if r, err = b.climb(r.Tune, r.Load, startOff+2, add); err != nil {
		return nil, err
	}
	if err := b.drive(full); err != nil {
		return nil, err
	}
	if r, err = b.read(r.Tune, r.Load); err != nil {
		return nil, err
	}
	add(knobDrive, r)
	_, err = b.climb(r.Tune, r.Load, 1.5, add)
	return steps, err
}

// climb turns tune and load capacitor in turn until a round gains no more: the
// first time over the units given (see unit), then near by. add, where given,
// is told every turn.
func (b *bench) climb(tune, load, units float64, add func(knob string, r Reading)) (r Reading, err error) {
	last := 0.0
	floor, span := load/20, 3.0
	for range 60 {
		if r, err = b.tuneFor(tune, load, units, handSetting, output); err != nil {
			return r, err
		}
		if add != nil {
			add(knobTune, r)
		}
		if r, err = b.loadFor(r.Tune, r.Load, span, floor); err != nil {
			return r, err
		}
		if add != nil {
			add(knobLoad, r)
		}
		tune, load = r.Tune, r.Load
		if r.Output < last*(1+climbGain) {
			break
		}
		last = r.Output
		units, span = 1.5, 1.5
	}
	return r, nil
}
