package tube

import (
	"fmt"
	"math"
)

// Compare computes what the model gives for every published column and idle
// point of a list and sets it beside the published figure.
//
// A column prints one figure more than two voltages can meet: plate current,
// output and load together fix I_p1/I_p0, which the tube's law fixes as well.
// The drive is set so that the DC plate current is as published, the swing to
// V_p1 = sqrt(2·P_out·R_load) of the published pair, so that what is left of
// the contradiction shows in equal parts in output and load; the output at the
// published current into the published load (twice that part) is listed as
// "output into load". Without a published load the swing is set so that the
// output is met, which then tests nothing (Residual.Pinned). Where no bias is
// published it is taken as zero. Weak figures are listed with their mark.
func Compare(m Model, columns []Column, idle []IdlePoint) ([]Residual, error) {
	var out []Residual
	for _, c := range columns {
		c = c.Each()
		p, err := atColumn(m, c)
		if err != nil {
			return nil, fmt.Errorf("column %s: %w", c.Name, err)
		}
		add := func(quantity string, f Figure, computed float64, pinned bool) {
			if f.Known {
				out = append(out, residual(c.Name, quantity, f, computed, pinned))
			}
		}
		noLoad := !c.PlateLoad.Known
		loaded := p
		if !noLoad {
			loaded, err = intoLoad(m, c, p)
			if err != nil {
				return nil, fmt.Errorf("column %s: %w", c.Name, err)
			}
			add("output into load", c.Output, loaded.Output, false)
		}
		add("output", c.Output, p.Output, noLoad)
		add("plate load", c.PlateLoad, p.PlateLoad, false)
		add("grid current", c.GridCurrent, p.GridCurrent(), false)
		add("driving impedance", c.Driving, p.InputResistance, false)
		add("drive power", c.DrivePower, p.DrivePower, false)
		if c.TwoTone.Known && !noLoad {
			a, err := Average(m, loaded, TwoToneEnvelope(8))
			if err != nil {
				return nil, err
			}
			add("two-tone plate current", c.TwoTone, a.PlateCurrent, false)
		}
	}
	for _, i := range idle {
		name := fmt.Sprintf("%.0f V, bias %g V", i.PlateVoltage, i.Bias)
		p := Idle(m, i.PlateVoltage, i.Bias)
		out = append(out, residual(name, "idle current", i.Current, p.PlateCurrent(), false))
	}
	return out, nil
}

func residual(column, quantity string, f Figure, computed float64, pinned bool) Residual {
	return Residual{Column: column, Quantity: quantity, Published: f.Value, Computed: computed, Error: computed/f.Value - 1,
		Mark: f.Mark, Grade: f.Grade, Pinned: pinned}
}

// intoLoad is ForPlateCurrentWithLoad of a column, started from the point at
// the published swing, which is near.
func intoLoad(m Model, c Column, near Point) (Point, error) {
	l := m.law()
	x := near.Conditions
	if l.findDrive(&x, currentTarget(c.PlateCurrent.Value), c.PlateLoad.Value, near.DriveVoltage) && x.PlateSwing < x.PlateVoltage {
		return At(m, x), nil
	}
	return ForPlateCurrentWithLoad(m, c.PlateVoltage.Value, c.Bias.Value, c.PlateCurrent.Value, c.PlateLoad.Value)
}

// atColumn is the operating point that Compare puts beside a column.
func atColumn(m Model, c Column) (Point, error) {
	vb, bias, ip := c.PlateVoltage.Value, c.Bias.Value, c.PlateCurrent.Value
	if c.PlateLoad.Known {
		swing := math.Sqrt(2 * c.Output.Value * c.PlateLoad.Value)
		return forPlateCurrent(m, vb, bias, ip, vb-swing)
	}
	if p, ok := meetBoth(m, c); ok {
		return p, nil
	}
	// output and plate current are both met by one swing: the output at the
	// given current rises as the plate goes lower
	f := func(floor float64) (Point, float64, error) {
		p, err := forPlateCurrent(m, vb, bias, ip, floor)
		return p, p.Output/c.Output.Value - 1, err
	}
	lo, hi := 0.0, 0.9*vb
	p, rLo, err := f(lo)
	if err != nil || rLo < 0 {
		return p, err
	}
	rHi := -1.0    // no swing, no output, nearly
	for range 60 { // false position with the weight of a stale end halved (Illinois)
		x := (lo*rHi - hi*rLo) / (rHi - rLo)
		var r float64
		if p, r, err = f(x); err != nil || math.Abs(r) < 1e-8 {
			return p, err
		}
		if r > 0 {
			lo, rLo, rHi = x, r, rHi/2
		} else {
			hi, rHi, rLo = x, r, rLo/2
		}
	}
	return p, nil
}

// meetBoth looks for drive and swing that give plate current and output of a
// column, by Newton's method in both.
func meetBoth(m Model, column Column) (Point, bool) {
	l := m.law()
	vb, ip, want := column.PlateVoltage.Value, column.PlateCurrent.Value, column.Output.Value
	c := Conditions{PlateVoltage: vb, BiasVoltage: column.Bias.Value, PlateSwing: math.Min(2*want/(1.55*ip), 0.95*vb)}
	t := currentTarget(ip)
	if !l.findDrive(&c, t, 0, firstDrive(m, &c, t)) {
		return Point{}, false
	}
	for range 8 {
		f := l.sweep(&c, fine)
		a, b := f.p0/ip-1, c.PlateSwing*f.p1/2/want-1
		ad, as := f.p0d/ip, f.p0s/ip
		bd, bs := c.PlateSwing*f.p1d/2/want, (f.p1+c.PlateSwing*f.p1s)/2/want
		det := ad*bs - as*bd
		c.DriveVoltage -= (a*bs - b*as) / det
		c.PlateSwing -= (b*ad - a*bd) / det
		if !(c.PlateSwing > 0.1*vb && c.PlateSwing <= vb && c.DriveVoltage > 0) {
			return Point{}, false
		}
		if math.Abs(a)+math.Abs(b) < 1e-6 { // the step just taken squares that
			return At(m, c), true
		}
	}
	return Point{}, false
}
