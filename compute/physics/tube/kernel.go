package tube

import "math"

// cycle is the half cycle 0…π of a cosine in n/2+1 samples; the other half
// mirrors it.
type cycle struct {
	cos         []float64
	inner, ends float64
}

func newCycle(n int) *cycle {
	c := &cycle{cos: make([]float64, n/2+1), inner: 2 / float64(n), ends: 1 / float64(n)}
	for k := range c.cos {
		c.cos[k] = math.Cos(2 * math.Pi * float64(k) / float64(n))
	}
	c.cos[n/4] = 0
	return c
}

func (c *cycle) weight(k int) float64 {
	if k == 0 || k == len(c.cos)-1 {
		return c.ends
	}
	return c.inner
}

var (
	fine   = newCycle(Samples)
	coarse = newCycle(Samples / 4)
)

// phasors are the mean and fundamental of plate and grid current [A] with
// their slopes [A/V] against drive voltage (d) and plate swing (s).
type phasors struct {
	p0, p0d, p0s float64
	p1, p1d, p1s float64
	g1, g1d, g1s float64
}

func (l *law) sweep(c *Conditions, y *cycle) (f phasors) {
	vd, sw := c.DriveVoltage, c.PlateSwing
	for k, x := range y.cos {
		vg := vd*x - c.BiasVoltage
		vp := c.PlateVoltage - sw*x + vg
		s := l.at(vg, vp)
		if s.ip == 0 && s.ig == 0 {
			continue
		}
		w := y.inner
		if k == 0 || k == len(y.cos)-1 {
			w = y.ends
		}
		wx := w * x
		// dv_gk = x·dV_d, dv_pk = x·dV_d − x·dV_p1
		pd := (s.ipG + s.ipP) * x
		ps := -s.ipP * x
		f.p0 += w * s.ip
		f.p0d += w * pd
		f.p0s += w * ps
		f.p1 += wx * s.ip
		f.p1d += wx * pd
		f.p1s += wx * ps
		f.g1 += wx * s.ig
		f.g1d += wx * (s.igG + s.igP) * x
		f.g1s -= wx * s.igP * x
	}
	f.p1, f.p1d, f.p1s = 2*f.p1, 2*f.p1d, 2*f.p1s
	f.g1, f.g1d, f.g1s = 2*f.g1, 2*f.g1d, 2*f.g1s
	return f
}
