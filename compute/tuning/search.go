package tuning

import "math"

// unit is the change of the tune capacitance [F] that detunes a plate load of
// nominal size by its own reactance (45°): 1/(ω·R).
func (b *bench) unit() float64 {
	return b.n / (2 * math.Pi * b.s.Frequency * b.s.Nominal.PlateLoad)
}

// best looks for the setting of one knob from low to high at which the figure
// is greatest: a scan of n steps, even or by ratio, then golden sections around
// the best of them until they are within fine of the setting [1]. at returns
// the reading at a setting.
func best(low, high float64, n int, byRatio bool, fine float64, at func(x float64) (Reading, error), figure func(Reading) float64) (Reading, float64, error) {
	place := func(k int) float64 {
		t := float64(k) / float64(n)
		if byRatio {
			return low * math.Pow(high/low, t)
		}
		return low + (high-low)*t
	}
	top, value, where := 0, math.Inf(-1), Reading{}
	for k := range n + 1 {
		r, err := at(place(k))
		if err != nil {
			return r, 0, err
		}
		if v := figure(r); v > value {
			top, value, where = k, v, r
		}
	}
	a, c := place(max(top-1, 0)), place(min(top+1, n))
	x := place(top)
	const golden = 0.3819660112501051
	try := func(y float64) error {
		r, err := at(y)
		if err != nil {
			return err
		}
		if v := figure(r); v > value {
			if y > x {
				a = x
			} else {
				c = x
			}
			x, value, where = y, v, r
		} else if y > x {
			c = y
		} else {
			a = y
		}
		return nil
	}
	for range 60 {
		if c-a < fine*x {
			break
		}
		y := x + golden*(c-x)
		if x-a > c-x {
			y = x - golden*(x-a)
		}
		if err := try(y); err != nil {
			return where, x, err
		}
	}
	return where, x, nil
}

func output(r Reading) float64   { return r.Output }
func lowPlate(r Reading) float64 { return -r.PlateCurrent }

// around is the span of the tune capacitor searched about a setting [F].
func (b *bench) around(tune, units float64) (low, high float64) {
	u := b.unit()
	return math.Max(0, tune-units*u), tune + units*u
}

// How fine a knob is turned [1].
const (
	fineSetting = 1e-5 // where the setting itself is the result
	handSetting = 5e-4 // as by hand, on the way
)

// tuneFor turns the tune capacitor for the greatest of a figure.
func (b *bench) tuneFor(tune, load, units, fine float64, figure func(Reading) float64) (Reading, error) {
	low, high := b.around(tune, units)
	r, _, err := best(low, high, int(3*units)+4, false, fine, func(x float64) (Reading, error) { return b.read(x, load) }, figure)
	return r, err
}

// loadFor turns the load capacitor for the greatest output, over a range of 1
// to span on either side but not below floor [F].
func (b *bench) loadFor(tune, load, span, floor float64) (Reading, error) {
	load = math.Max(load, floor)
	n := 2 * int(math.Ceil(math.Log(span)*10))
	r, _, err := best(math.Max(load/span, floor), load*span, n, true, handSetting, func(x float64) (Reading, error) { return b.read(tune, x) }, output)
	return r, err
}

// fall looks on one side of a tuned setting (sign ±1) for the tune capacitance
// at which the output has fallen to want [W]; not ok when the capacitor ends
// first.
func (b *bench) fall(from Reading, sign, want float64) (r Reading, ok bool, err error) {
	out := from.Tune
	in := out
	step := 0.25 * b.unit()
	for {
		if out == 0 && sign < 0 {
			return r, false, nil
		}
		in, out = out, math.Max(0, out+sign*step)
		if r, err = b.read(out, from.Load); err != nil {
			return r, false, err
		}
		if r.Output <= want {
			break
		}
		step *= 1.25
		if step > 1e3*b.unit() {
			return r, false, nil
		}
	}
	for range 50 {
		mid := (in + out) / 2
		if r, err = b.read(mid, from.Load); err != nil {
			return r, false, err
		}
		if math.Abs(r.Output-want) < 1e-7*want {
			break
		}
		if r.Output > want {
			in = mid
		} else {
			out = mid
		}
	}
	return r, true, nil
}
