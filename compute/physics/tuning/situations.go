package tuning

import (
	"errors"
	"math"
)

// Situation is a named state of the knobs and what the meters show there.
type Situation struct {
	ID      string // lower case trade words, stable
	Name    string // for a heading
	Reached bool   // false: the parts cannot be set so; the reading is empty and Words says why
	Words   string // what the operator has done, or why it cannot be
	Reading Reading

	FirstLimit string  // the limit furthest exceeded, or nearest; "" when none is known
	Factor     float64 // stress over that limit [1]

	// TimeAllowed says how long the tube bears it. No type in the catalogue has
	// a published thermal figure of anode or grid, so that above a limit the
	// answer is that it is not known.
	TimeAllowed string
}

// The IDs of the situations, in the order Situations gives them.
const (
	Nominal         = "nominal"
	PlateDip        = "plate_current_dip"
	OutputPeak      = "output_maximum"
	TooLight        = "loading_too_light"
	TooHeavy        = "loading_too_heavy"
	OffBelow        = "off_resonance_less_capacitance"
	OffAbove        = "off_resonance_more_capacitance"
	FarBelow        = "far_off_less_capacitance"
	FarAbove        = "far_off_more_capacitance"
	Overdriven1     = "overdriven_1_db"
	Overdriven3     = "overdriven_3_db"
	Reduced         = "reduced_drive"
	ReducedTuned    = "reduced_drive_tuned"
	ReducedThenFull = "tuned_at_reduced_drive_then_full"
)

// LoadingError is how far the plate load is off in 'too light' and 'too heavy'
// [1]: 1.5 times the nominal, and 1/1.5 (convention of this package).
const LoadingError = 1.5

// ReducedDrive is the drive of a tune-up before full drive [dB] (convention of
// this package; turning the exciter down to a tenth is common practice).
const ReducedDrive = -10.0

const (
	offResonance = 0.5 // share of the output left, 3 dB [1]
	farOff       = 0.1 // share of the output left, 10 dB [1]
)

const (
	timeUnlimited = "no known limit is exceeded"
	timeUnknown   = "not known: no thermal figure of this type is published; treat it as none"
	timeNoLimits  = "not known: no limit of this type is known"
)

// Situations returns the readings of the named situations in a fixed order,
// Drive of the setup being ignored: 1 unless the situation says otherwise.
// Errors: a setup out of range, ErrNoOperatingPoint, and *OutOfReachError when
// not even the nominal plate load can be set.
func Situations(s Setup) ([]Situation, error) {
	s.Drive = 1
	b, err := newBench(s)
	if err != nil {
		return nil, err
	}
	total := s.Nominal.PlateLoad / b.n
	tune, load, err := b.match(total)
	if err != nil {
		return nil, err
	}
	nominal, err := b.read(tune, load)
	if err != nil {
		return nil, err
	}
	var list []Situation
	add := func(id, name, words string, r Reading) {
		x := Situation{ID: id, Name: name, Words: words, Reached: true, Reading: r, TimeAllowed: timeUnlimited}
		x.FirstLimit, x.Factor = s.Limits.First(r, s.Tubes)
		switch {
		case x.FirstLimit == "":
			x.TimeAllowed = timeNoLimits
		case x.Factor > 1:
			x.TimeAllowed = timeUnknown
		}
		list = append(list, x)
	}
	missing := func(id, name, words string) {
		list = append(list, Situation{ID: id, Name: name, Words: words, TimeAllowed: timeUnlimited})
	}
	add(Nominal, "tuned and loaded", "The plates see the nominal load and no reactance.", nominal)

	dip, err := b.tuneFor(tune, load, 1.5, fineSetting, lowPlate)
	if err != nil {
		return nil, err
	}
	peak, err := b.tuneFor(tune, load, 1.5, fineSetting, output)
	if err != nil {
		return nil, err
	}
	add(PlateDip, "plate-current dip", "Load capacitor at nominal, tune capacitor turned to the least plate current.", dip)
	add(OutputPeak, "output maximum", "Load capacitor at nominal, tune capacitor turned to the greatest output.", peak)

	for _, x := range []struct {
		id, name, words string
		resistance      float64
	}{
		{TooLight, "loading too light", "Too much load capacitance: the plates see 1.5 times the nominal load; retuned to resonance.",
			total * LoadingError},
		{TooHeavy, "loading too heavy",
			"Too little load capacitance: the plates see the nominal load divided by 1.5; retuned to resonance.", total / LoadingError},
	} {
		var out *OutOfReachError
		t, l, err := b.match(x.resistance)
		if errors.As(err, &out) {
			missing(x.id, x.name, "Cannot be set with this tank: "+out.Why+".")
			continue
		}
		r, err := b.read(t, l)
		if err != nil {
			return nil, err
		}
		add(x.id, x.name, x.words, r)
	}
	for _, x := range []struct {
		id, name, words string
		sign, share     float64
	}{
		{OffBelow, "off resonance, too little capacitance", "Tune capacitor opened until the output has halved.", -1, offResonance},
		{OffAbove, "off resonance, too much capacitance", "Tune capacitor closed until the output has halved.", 1, offResonance},
		{FarBelow, "far off, too little capacitance", "Tune capacitor opened until a tenth of the output is left.", -1, farOff},
		{FarAbove, "far off, too much capacitance", "Tune capacitor closed until a tenth of the output is left.", 1, farOff},
	} {
		r, ok, err := b.fall(nominal, x.sign, x.share*nominal.Output)
		switch {
		case err != nil:
			return nil, err
		case ok:
			add(x.id, x.name, x.words, r)
		default:
			missing(x.id, x.name, "Cannot be set with this tank: the tune capacitor is at its end before the output falls so far.")
		}
	}
	at := func(level float64, id, name, words string) error {
		if err := b.drive(level); err != nil {
			return err
		}
		r, err := b.read(tune, load)
		if err == nil {
			add(id, name, words, r)
		}
		return err
	}
	reduced := math.Pow(10, ReducedDrive/20)
	for _, x := range []struct {
		level           float64
		id, name, words string
	}{
		{math.Pow(10, 1.0/20), Overdriven1, "overdriven by 1 dB", "Knobs at nominal, 1 dB more from the exciter."},
		{math.Pow(10, 3.0/20), Overdriven3, "overdriven by 3 dB", "Knobs at nominal, 3 dB more from the exciter."},
		{reduced, Reduced, "reduced drive", "Knobs at nominal, a tenth of the drive power."},
	} {
		if err := at(x.level, x.id, x.name, x.words); err != nil {
			return nil, err
		}
	}
	tuned, err := b.climb(tune, load, 1.5, nil)
	if err != nil {
		return nil, err
	}
	add(ReducedTuned, "reduced drive, tuned for it", "A tenth of the drive power, both knobs at the greatest output it gives.", tuned)
	tune, load = tuned.Tune, tuned.Load
	if err := at(1, ReducedThenFull, "tuned at reduced drive, then full drive",
		"Knobs left where a tenth of the drive gave the greatest output."); err != nil {
		return nil, err
	}
	return list, nil
}
