package tube

import (
	"errors"
	"fmt"
	"math"

	"anodebook/spec/quantity"
)

// UnreachableError says that no drive gives the wanted figure under the stated
// conditions, and how far one can get.
type UnreachableError struct {
	What     string  // "output", "plate current" or "drive power"
	Unit     string  // of Wanted and Limit
	Wanted   float64 // the target
	Limit    float64 // the greatest (or, with Least set, the smallest) that can be had
	Least    bool    // the target lies below what flows without drive
	Boundary string  // what sets the limit
}

func (e *UnreachableError) Error() string {
	end := "greatest"
	if e.Least {
		end = "smallest"
	}
	return fmt.Sprintf("each tube's %s of %s cannot be reached: the %s possible is %s, %s",
		e.What, quantity.Format(e.Wanted, e.Unit, 4), end, quantity.Format(e.Limit, e.Unit, 4), e.Boundary)
}

var errConditions = errors.New("operating point: plate voltage and target must be positive and finite, and the minimum plate voltage " +
	"between zero and the plate voltage")

// DefaultPlateFloor returns the lowest plate-to-ground voltage [V] taken when
// none is given: 0.16·V_b. The published class AB2 columns of the catalogue
// that give a load lie between 0.09 and 0.27 of the plate voltage, most of
// them at 0.15 to 0.2 (common practice).
func DefaultPlateFloor(plateVoltage float64) float64 { return 0.16 * plateVoltage }

// target is what a solver drives to.
type target struct {
	what, unit string
	want       float64
}

func outputTarget(w float64) target  { return target{"output", "W", w} }
func currentTarget(a float64) target { return target{"plate current", "A", a} }
func driveTarget(w float64) target   { return target{"drive power", "W", w} }

// of returns the figure and its slope against the drive, the swing moving
// with it by ds per volt of drive.
func (t target) of(c *Conditions, f *phasors, ds float64) (value, slope float64) {
	switch t.what {
	case "output":
		return c.PlateSwing * f.p1 / 2, (ds*f.p1 + c.PlateSwing*(f.p1d+ds*f.p1s)) / 2
	case "plate current":
		return f.p0, f.p0d + ds*f.p0s
	}
	i := f.p1 + f.g1
	return c.DriveVoltage * i / 2, (i + c.DriveVoltage*(f.p1d+f.g1d+ds*(f.p1s+f.g1s))) / 2
}

// ForOutput returns the operating point that gives output [W] per tube with
// the plate going down to minPlateVoltage [V, to ground]. The error is an
// *UnreachableError when the grid would have to go more positive, against the
// cathode, than the plate's lowest voltage.
func ForOutput(m Model, plateVoltage, bias, output, minPlateVoltage float64) (Point, error) {
	return fixedSwing(m, plateVoltage, bias, minPlateVoltage, outputTarget(output), true)
}

// ForPlateCurrent returns the operating point with the DC plate current [A];
// other arguments and errors as ForOutput.
func ForPlateCurrent(m Model, plateVoltage, bias, plateCurrent, minPlateVoltage float64) (Point, error) {
	return fixedSwing(m, plateVoltage, bias, minPlateVoltage, currentTarget(plateCurrent), true)
}

// ForDrive returns the operating point that takes drivePower [W] at the
// cathode; other arguments and errors as ForOutput.
func ForDrive(m Model, plateVoltage, bias, drivePower, minPlateVoltage float64) (Point, error) {
	return fixedSwing(m, plateVoltage, bias, minPlateVoltage, driveTarget(drivePower), true)
}

// forPlateCurrent is ForPlateCurrent without the limit on the grid voltage.
func forPlateCurrent(m Model, plateVoltage, bias, plateCurrent, minPlateVoltage float64) (Point, error) {
	return fixedSwing(m, plateVoltage, bias, minPlateVoltage, currentTarget(plateCurrent), false)
}

func fixedSwing(m Model, vb, bias, floor float64, t target, checked bool) (Point, error) {
	if err := m.Valid(); err != nil {
		return Point{}, err
	}
	if !usable(vb, t.want) || !(floor >= 0 && floor < vb) || math.IsNaN(bias) || math.IsInf(bias, 0) {
		return Point{}, errConditions
	}
	l := m.law()
	c := Conditions{PlateVoltage: vb, BiasVoltage: bias, PlateSwing: vb - floor}
	if e := belowIdle(m, &c, t); e != nil {
		return Point{}, e
	}
	if !l.findDrive(&c, t, 0, firstDrive(m, &c, t)) {
		return Point{}, fmt.Errorf("%s of %s: no drive was found", t.what, quantity.Format(t.want, t.unit, 4))
	}
	if limit := bias + floor; checked && c.DriveVoltage > limit {
		c.DriveVoltage = math.Max(limit, 0)
		f := l.sweep(&c, fine)
		v, _ := t.of(&c, &f, 0)
		return Point{}, &UnreachableError{What: t.what, Unit: t.unit, Wanted: t.want, Limit: v,
			Boundary: fmt.Sprintf("with the plate going down to %.0f V and the grid no more positive than that", floor)}
	}
	return At(m, c), nil
}

// firstDrive guesses the drive from the crest: a class AB pulse has about
// twice its fundamental and three times its mean for a peak.
func firstDrive(m Model, c *Conditions, t target) float64 {
	var crest float64
	switch t.what {
	case "output":
		crest = 2.2 * 2 * t.want / c.PlateSwing
	case "plate current":
		crest = 3.4 * t.want
	default:
		return math.Max(c.BiasVoltage, 0) + 50
	}
	return math.Max(c.BiasVoltage+m.GridVoltage(crest, 1.3*(c.PlateVoltage-c.PlateSwing)), 1)
}

func usable(v ...float64) bool {
	for _, x := range v {
		if !(x > 0) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

func belowIdle(m Model, c *Conditions, t target) error {
	if t.what != "plate current" {
		return nil
	}
	if idle, _ := m.Currents(-c.BiasVoltage, c.PlateVoltage-c.BiasVoltage); t.want < idle {
		return &UnreachableError{What: t.what, Unit: t.unit, Wanted: t.want, Limit: idle, Least: true,
			Boundary: "the idle current"}
	}
	return nil
}

// findDrive sets c.DriveVoltage so that the target is met, with the swing
// fixed (load 0) or following from a load. Newton inside a bracket that grows
// to the right, first on few samples, then on all.
func (l *law) findDrive(c *Conditions, t target, load, start float64) bool {
	c.DriveVoltage = start
	for _, y := range [...]*cycle{coarse, fine} {
		// so near, the next Newton step lands within about 1e-8 unchecked
		tol := 1.5e-4
		if y == coarse {
			tol = 1e-3
		}
		lo, hi := 0.0, math.Inf(1)
		done := false
		for range 80 {
			f, ds := l.evaluate(c, load, y)
			v, slope := t.of(c, &f, ds)
			r := v - t.want
			x := c.DriveVoltage
			if r < 0 {
				lo = x
			} else {
				hi = x
			}
			next := x - r/slope
			good := next > lo && next < hi && next <= 4*x+100
			if math.Abs(r) <= tol*t.want {
				if good || r == 0 {
					c.DriveVoltage = next
					if y == fine && load > 0 {
						l.settle(c, load, y)
					}
				}
				done = true
				break
			}
			if !good {
				if math.IsInf(hi, 1) {
					next = 2*x + 20
					if next > 1e6 {
						return false
					}
				} else {
					next = (lo + hi) / 2
				}
			}
			if next == x || (hi-lo <= 1e-13*hi && !math.IsInf(hi, 1)) {
				done = true
				break
			}
			c.DriveVoltage = next
		}
		if !done {
			return false
		}
	}
	return true
}

// evaluate returns the phasors and the slope of the swing against the drive.
func (l *law) evaluate(c *Conditions, load float64, y *cycle) (phasors, float64) {
	if load == 0 {
		return l.sweep(c, y), 0
	}
	f := l.settle(c, load, y)
	return f, load * f.p1d / (1 - load*f.p1s)
}
