package figure

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"anodebook/spec/quantity"

	"gonum.org/v1/plot"
)

func (a *Axis) check() error {
	if !finite(a.Min) || !finite(a.Max) {
		return errors.New("the range is not finite")
	}
	if a.given() && a.Min >= a.Max {
		return fmt.Errorf("the range runs from %v to %v", a.Min, a.Max)
	}
	if a.given() && a.Log && a.Min <= 0 {
		return fmt.Errorf("the logarithmic range begins at %v", a.Min)
	}
	if _, ok := quantity.LookupUnit(a.Unit); !ok {
		return fmt.Errorf("unknown unit %q", a.Unit)
	}
	return nil
}

func (a *Axis) given() bool { return a.Min != 0 || a.Max != 0 }

// scale is an axis whose range, prefix and ticks are settled.
type scale struct {
	min, max       float64 // [SI]
	factor, offset float64 // printed = (SI − offset) / factor
	title          string
	log            bool
	ticks          plot.ConstantTicks // values in SI
}

// settle finds the range over the data and round ticks; about want of them.
func (a *Axis) settle(low, high float64, want int) scale {
	u, _ := quantity.LookupUnit(a.Unit)
	s := scale{factor: u.Factor, offset: u.Offset, log: a.Log}
	given := a.given()
	if given {
		low, high = a.Min, a.Max
	}
	if low == high {
		if a.Log {
			low, high = low/2, high*2
		} else {
			d := math.Max(math.Abs(low)*0.1, u.Factor*1e-9)
			low, high = low-d, high+d
		}
	}
	symbol := u.Symbol
	if u.Prefixed && a.Ticks == nil {
		big := math.Max(math.Abs(low-u.Offset), math.Abs(high-u.Offset))
		if a.Log {
			big = math.Sqrt(low * high)
		}
		p, f := prefix(big / u.Factor)
		symbol = p + u.Symbol
		s.factor *= f
	}
	s.title = a.Label
	if symbol != "" {
		s.title += " (" + symbol + ")"
	}
	show := func(v float64) float64 { return (v - s.offset) / s.factor }
	switch {
	case a.Log:
		s.logTicks(low, high)
	default:
		step := niceStep((show(high)-show(low))/float64(want), a.Unit)
		first, last := math.Floor(show(low)/step+1e-9), math.Ceil(show(high)/step-1e-9)
		if given {
			first, last = math.Ceil(show(low)/step-1e-9), math.Floor(show(high)/step+1e-9)
		} else {
			low, high = first*step*s.factor+s.offset, last*step*s.factor+s.offset
		}
		decimals := 0
		for d := step; d < 1-1e-9 && decimals < 9 || math.Abs(d-math.Round(d)) > 1e-6*d; d *= 10 {
			decimals++
		}
		for i := first; i <= last; i++ {
			text := fmt.Sprintf("%.*f", decimals, i*step)
			if i == 0 {
				text = "0"
			}
			s.ticks = append(s.ticks, plot.Tick{Value: i*step*s.factor + s.offset, Label: strings.Replace(text, "-", "−", 1)})
		}
	}
	if a.Ticks != nil {
		s.ticks = nil
		for _, t := range a.Ticks {
			s.ticks = append(s.ticks, plot.Tick{Value: t.At, Label: t.Text})
		}
	}
	s.min, s.max = low, high
	return s
}

// logTicks marks decades, and 2 and 5 between them where few decades leave
// room. The scale ends where the data do.
func (s *scale) logTicks(low, high float64) {
	decades := math.Log10(high / low)
	marks := []float64{1}
	if decades <= 3 {
		marks = []float64{1, 2, 5}
	}
	if decades < 0.7 {
		marks = []float64{1, 1.5, 2, 2.5, 3, 4, 5, 6, 7, 8, 9}
	}
	var all []float64
	lo, hi := low/s.factor, high/s.factor
	for e := math.Floor(math.Log10(lo)) - 1; e <= math.Ceil(math.Log10(hi))+1; e++ {
		for _, m := range marks {
			all = append(all, m*math.Pow(10, e))
		}
	}
	for _, v := range all {
		if v >= lo*(1-1e-9) && v <= hi*(1+1e-9) {
			s.ticks = append(s.ticks, plot.Tick{Value: v * s.factor, Label: quantity.Significant(v, 2)})
		}
	}
	for i := range s.ticks { // 0.10 and 1.0 → 0.1 and 1
		if l := s.ticks[i].Label; strings.Contains(l, ".") && !strings.Contains(l, "e") {
			s.ticks[i].Label = strings.TrimRight(strings.TrimRight(l, "0"), ".")
		}
	}
}

// prefix is the SI prefix with which v is written with one to three digits
// before the decimal point.
func prefix(v float64) (string, float64) {
	best, factor := "", 1.0
	if v == 0 {
		return best, factor
	}
	for _, p := range []struct {
		s string
		f float64
	}{{"p", 1e-12}, {"n", 1e-9}, {"µ", 1e-6}, {"m", 1e-3}, {"", 1}, {"k", 1e3}, {"M", 1e6}, {"G", 1e9}} {
		if p.f == 1e-12 || math.Abs(v) >= p.f*(1-1e-9) {
			best, factor = p.s, p.f
		}
	}
	return best, factor
}

// niceStep rounds a step up to 1, 2 or 5 times a power of ten; angles go by
// the parts of a circle.
func niceStep(v float64, unit string) float64 {
	if v <= 0 || !finite(v) {
		return 1
	}
	if unit == "°" || unit == "deg" {
		for _, s := range []float64{1, 5, 10, 15, 30, 45, 60, 90, 180} {
			if s >= v {
				return s
			}
		}
	}
	e := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{1, 2, 5} {
		if m*e >= v*(1-1e-9) {
			return m * e
		}
	}
	return 10 * e
}

// position is where v lies on the scale: 0 at its beginning, 1 at its end.
func (s *scale) position(v float64) float64 {
	if s.log {
		return math.Log(v/s.min) / math.Log(s.max/s.min)
	}
	return (v - s.min) / (s.max - s.min)
}
