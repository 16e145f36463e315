package tuning

import "math"

// unit is the change of the tune capacitance [F] that detunes a plate load of
// nominal size by its own reactance (45°): 1/(ω·R).
func (b *bench) unit() float64 {
	return b.n / (2 * math.Pi * b.s.Frequency * b.s.Nominal.PlateLoad)
}

// best looks for the setting of one knob from low to high at which the figure
// is greatest: a scan of n steps, even or by ratio, then a closer look around
// the best of them until it is within fine of the setting [1]. at returns the
// reading at a setting.
func best(low, high float64, n int, byRatio bool, fine float64, at func(x float64) (Reading, error),
	figure func(Reading) float64) (Reading, float64, error) {
	place := func(k int) float64 {
		t := float64(k) / float64(n)
		if byRatio {
			return low * math.Pow(high/low, t)
		}
		return low + (high-low)*t
	}
	top, value, where := 0, math.Inf(-1), Reading{}
	scan := make([]setting, n+1)
	for k := range n + 1 {
		r, err := at(place(k))
		if err != nil {
			return r, 0, err
		}
		scan[k] = setting{place(k), figure(r)}
		if scan[k].figure > value {
			top, value, where = k, scan[k].figure, r
		}
	}
	x, err := peak(scan[max(top-1, 0)], scan[top], scan[min(top+1, n)], fine, func(y float64) (float64, error) {
		r, err := at(y)
		f := figure(r)
		if f > value {
			value, where = f, r
		}
		return f, err
	})
	return where, x, err
}

// setting is a place of a knob and the figure there.
type setting struct{ at, figure float64 }

// peak looks from a setting between two lesser ones for the place of the
// greatest figure until it is known within fine of the setting [1]: parabolas
// through the three best settings, golden sections where these do not converge
// (Brent, Algorithms for Minimization without Derivatives, 1973, chapter 5).
func peak(low, top, high setting, fine float64, figure func(x float64) (float64, error)) (float64, error) {
	const golden = 0.3819660112501051
	a, c := low.at, high.at
	second, third := low, high // the next best
	if third.figure > second.figure {
		second, third = third, second
	}
	step, before := c-a, c-a // the last step and that before it
	for range 60 {
		x := top.at
		mid, tolerance := (a+c)/2, fine*x/4
		if math.Abs(x-mid) <= 2*tolerance-(c-a)/2 {
			break
		}
		// the step to the crest of the parabola is p/q
		r, q := (x-second.at)*(third.figure-top.figure), (x-third.at)*(second.figure-top.figure)
		p := (x-third.at)*q - (x-second.at)*r
		if q = 2 * (q - r); q > 0 {
			p = -p
		}
		q = math.Abs(q)
		if math.Abs(p) < math.Abs(q*before/2) && p > q*(a-x) && p < q*(c-x) {
			before, step = step, p/q
			if y := x + step; y-a < 2*tolerance || c-y < 2*tolerance {
				step = math.Copysign(tolerance, mid-x)
			}
		} else {
			if before = a - x; x < mid {
				before = c - x
			}
			step = golden * before
		}
		if math.Abs(step) < tolerance {
			step = math.Copysign(tolerance, step)
		}
		f, err := figure(x + step)
		if err != nil {
			return x, err
		}
		tried := setting{x + step, f}
		switch {
		case f > top.figure:
			if step > 0 {
				a = x
			} else {
				c = x
			}
			top, second, third = tried, top, second
			continue
		case step > 0:
			c = tried.at
		default:
			a = tried.at
		}
		switch {
		case f >= second.figure || second.at == x:
			second, third = tried, second
		case f >= third.figure || third.at == x || third.at == second.at:
			third = tried
		}
	}
	return top.at, nil
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
	r, _, err := best(math.Max(load/span, floor), load*span, n, true, handSetting,
		func(x float64) (Reading, error) { return b.read(tune, x) }, output)
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
