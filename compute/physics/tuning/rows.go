package tuning

import "math"

// Rows returns the readings at the nominal setting, the plates seeing their
// load and no reactance, for levels of drive power below that of the setup
// [1, > 0]: what the meters show on the way up. Errors as At.
func Rows(s Setup, levels ...float64) ([]Reading, error) {
	b, err := newBench(s)
	if err != nil {
		return nil, err
	}
	tune, load, err := b.match(s.Nominal.PlateLoad / b.n)
	if err != nil {
		return nil, err
	}
	full := b.s.Drive
	var rows []Reading
	for _, l := range levels {
		if err := b.drive(full * math.Sqrt(l)); err != nil {
			return nil, err
		}
		r, err := b.read(tune, load)
		if err != nil {
			return nil, err
		}
		rows = append(rows, r)
	}
	return rows, nil
}
