package tube

import (
	"fmt"
	"math"

	"anodebook/spec/quantity"
)

// ForPlateCurrentWithLoad returns the operating point with the DC plate
// current [A] into a plate load [Ω]. The error is an *UnreachableError when more
// drive no longer raises the current, or drives the plate below ground.
func ForPlateCurrentWithLoad(m Model, plateVoltage, bias, plateCurrent, load float64) (Point, error) {
	return fixedLoad(m, plateVoltage, bias, load, currentTarget(plateCurrent))
}

// ForDriveWithLoad returns the operating point that takes drivePower [W] with
// a plate load [Ω]; errors as ForPlateCurrentWithLoad.
func ForDriveWithLoad(m Model, plateVoltage, bias, drivePower, load float64) (Point, error) {
	return fixedLoad(m, plateVoltage, bias, load, driveTarget(drivePower))
}

func fixedLoad(m Model, vb, bias, load float64, t target) (Point, error) {
	if err := m.Valid(); err != nil {
		return Point{}, err
	}
	if !usable(vb, load, t.want) || math.IsNaN(bias) || math.IsInf(bias, 0) {
		return Point{}, errConditions
	}
	l := m.law()
	c := Conditions{PlateVoltage: vb, BiasVoltage: bias}
	if e := belowIdle(m, &c, t); e != nil {
		return Point{}, e
	}
	value := func(vd float64) float64 {
		c.DriveVoltage = vd
		f, ds := l.evaluate(&c, load, coarse)
		v, _ := t.of(&c, &f, ds)
		return v
	}
	// climb until the target is passed; a maximum before it, or the plate
	// reaching ground, is the limit
	x, last := 0.0, math.Inf(-1)
	step := math.Max(bias, 0) + 20
	for {
		x += step
		v := value(x)
		if c.PlateSwing > vb {
			lo, hi := x-step, x
			for range 40 {
				mid := (lo + hi) / 2
				if value(mid); c.PlateSwing > vb {
					hi = mid
				} else {
					lo = mid
				}
			}
			if v = value(lo); v < t.want {
				return Point{}, &UnreachableError{What: t.what, Unit: t.unit, Wanted: t.want, Limit: v,
					Boundary: fmt.Sprintf("with %.0f V on a plate load of %.0f Ω and the plate no lower than ground", vb, load)}
			}
			break
		}
		if v >= t.want*1.02 {
			break
		}
		if v < last || x > vb {
			best, at := last, x-step
			for d := -step; d <= step; d += step / 8 {
				best = math.Max(best, value(math.Max(at+d, 0)))
			}
			if best < t.want {
				return Point{}, &UnreachableError{What: t.what, Unit: t.unit, Wanted: t.want, Limit: best,
					Boundary: fmt.Sprintf("with %.0f V on a plate load of %.0f Ω", vb, load)}
			}
			break
		}
		last = v
		if x > 200 {
			step = 0.15 * x
		}
	}
	if !l.findDrive(&c, t, load, x-step/2) {
		return Point{}, fmt.Errorf("%s of %s into %.0f Ω: no drive was found", t.what, quantity.Format(t.want, t.unit, 4), load)
	}
	return At(m, c), nil
}

// settle finds the swing with V_p1 = R·I_p1 and returns the phasors there.
// I_p1 falls as the swing grows, so that there is exactly one.
func (l *law) settle(c *Conditions, load float64, y *cycle) phasors {
	lo, hi := 0.0, math.Inf(1)
	if c.PlateSwing <= 0 {
		c.PlateSwing = 0.7 * c.PlateVoltage
	}
	var f phasors
	for range 100 {
		f = l.sweep(c, y)
		x := c.PlateSwing
		r := x - load*f.p1
		if math.Abs(r) <= 1e-11*(x+1e-6*c.PlateVoltage) {
			break
		}
		if r < 0 {
			lo = x
		} else {
			hi = x
		}
		next := x - r/(1-load*f.p1s)
		if math.Abs(r) <= 1e-6*x && next > 0 {
			// the last step is too short to need another look
			dx := next - x
			c.PlateSwing = next
			f.p0 += f.p0s * dx
			f.p1 += f.p1s * dx
			f.g1 += f.g1s * dx
			return f
		}
		if !(next > lo && next < hi) {
			if math.IsInf(hi, 1) {
				next = x + 0.5*c.PlateVoltage
			} else {
				next = (lo + hi) / 2
			}
		}
		if next == x || (hi-lo <= 1e-14*hi && !math.IsInf(hi, 1)) {
			break
		}
		c.PlateSwing = next
	}
	return f
}
