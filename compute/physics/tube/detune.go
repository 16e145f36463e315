package tube

import (
	"errors"
	"math"
	"math/cmplx"
)

// Source is a Thevenin source at the cathode of one tube.
type Source struct {
	Voltage   float64    // open-circuit [V peak]
	Impedance complex128 // in series [Ω], real part not negative
}

// MatchedSource returns the source that delivers the point's drive power as
// its available power: E = 2·V_d behind the point's input resistance.
func MatchedSource(p Point) Source {
	return Source{2 * p.DriveVoltage, complex(p.InputResistance, 0)}
}

// Detuned is the state of one tube with a plate load of any phase. The phase
// of the cathode drive is the reference.
type Detuned struct {
	Swing            complex128 // phasor a − jb of v_p = V_b − a·cosθ − b·sinθ [V peak]
	DriveVoltage     float64    // cathode to ground [V peak]
	PlateCurrent     float64    // DC [A]
	GridCurrent      float64    // DC [A]
	PlatePhasor      complex128 // fundamental of the plate current [A peak]
	CathodePhasor    complex128 // fundamental of the cathode current [A peak]
	Output           float64    // into the load [W]
	DrivePower       float64    // into the cathode [W]
	PlateDissipation float64    // [W]
	GridDissipation  float64    // [W]
	BiasLoss         float64    // [W]
	InputImpedance   complex128 // at the cathode [Ω]

	PlateVoltage        float64 // DC [V]
	MinimumPlateVoltage float64 // lowest plate to ground [V]
	Balance             float64 // what is left of the energy balance over its sum [1]
}

// ErrNoConvergence is returned by ComplexLoad.Solve when no solution was found.
var ErrNoConvergence = errors.New("complex load: the operating point was not found")

// detunedSamples over the whole cycle: the tuning map needs many points. The
// search begins on every third.
const (
	detunedSamples = 64
	detunedStride  = 4
)

var circle = func() (c [detunedSamples][2]float64) {
	for k := range c {
		s, x := math.Sincos(2 * math.Pi * float64(k) / detunedSamples)
		c[k] = [2]float64{x, s}
	}
	return c
}()

// ComplexLoad solves one tube and its source for one plate load after the
// other; each search starts from the last solution. The result does not depend
// on that start beyond 1e-9. It must not be shared between goroutines.
type ComplexLoad struct {
	l    law
	s    detuneSolver
	warm bool
}

// NewComplexLoad prepares a tube with a bias [V] driven from src. Errors: a
// model that is not valid, a source without voltage or with negative
// resistance.
func NewComplexLoad(m Model, bias float64, src Source) (*ComplexLoad, error) {
	if err := m.Valid(); err != nil {
		return nil, err
	}
	if !usable(src.Voltage) || !(real(src.Impedance) >= 0) || cmplx.IsInf(src.Impedance) || cmplx.IsNaN(src.Impedance) ||
		math.IsNaN(bias) || math.IsInf(bias, 0) {
		return nil, errConditions
	}
	c := &ComplexLoad{l: m.law(), s: detuneSolver{bias: bias, src: src}}
	return c, nil
}

// Solve returns the state at the plate voltage [V] with the load Z_L [Ω, real
// part positive]. Errors: values out of range, ErrNoConvergence.
func (c *ComplexLoad) Solve(plateVoltage float64, load complex128) (Detuned, error) {
	return c.SolveFed(Feed{plateVoltage, 0}, load)
}

// Feed is a plate supply whose voltage falls in a straight line with the plate
// current.
type Feed struct {
	Voltage    float64 // without current [V], positive
	Resistance float64 // of the line, for the current of one tube [Ω], not negative
}

// SolveFed is Solve with plate voltage and plate current on the line of the
// supply.
func (c *ComplexLoad) SolveFed(feed Feed, load complex128) (Detuned, error) {
	if !usable(feed.Voltage, real(load)) || cmplx.IsInf(load) || cmplx.IsNaN(load) || !(feed.Resistance >= 0) ||
		math.IsInf(feed.Resistance, 0) {
		return Detuned{}, errConditions
	}
	s := &c.s
	s.l, s.feed, s.load = &c.l, feed, load
	if c.warm && s.follow() {
		return s.result(), nil
	}
	c.warm = s.search()
	if !c.warm {
		return Detuned{}, ErrNoConvergence
	}
	return s.result(), nil
}

type detuneSolver struct {
	l    *law
	feed Feed
	bias float64
	src  Source
	load complex128
	x    [4]float64 // a, b, V_d, V_b
	at   cycleSums  // there
}

// cycleSums are sums over the samples of one cycle: of currents and powers,
// and of the currents' slopes times 1, cos, sin, cos², cos·sin and sin².
type cycleSums struct {
	p0, pc, ps, g0, kc, ks float64 // plate, grid and cathode current
	plate, grid            float64 // dissipation
	pp0, ppC, ppS          float64 // plate current against v_pk
	ppCC, ppCS, ppSS       float64
	pgC, pgCC, pgCS        float64 // plate current against v_gk
	kpC, kpS               float64 // cathode current against v_pk
	kpCC, kpCS, kpSS       float64
	kgCC, kgCS             float64 // cathode current against v_gk
}

// cornerShare of the plate voltage is the height of plate over cathode in which
// the static law is rounded off (see roundOff).
const cornerShare = 0.002

// roundOff brings the plate current to zero smoothly while the plate falls
// from corner [V] to the cathode. The static law as it stands steps there (grid
// negative) or falls with an infinite slope (grid positive), and with a light
// load a solution can lie in the step. What the plate does not take goes to a
// positive grid; past a negative one it does not leave the cathode.
func (r *static) roundOff(vg, vp, corner float64) {
	if vp <= 0 {
		return
	}
	t := vp / corner
	h, slope := t*t*(3-2*t), 6*t*(1-t)/corner
	ip, ipG, ipP := r.ip*h, r.ipG*h, r.ipP*h+r.ip*slope
	if vg > 0 {
		r.ig, r.igG, r.igP = r.ig+r.ip-ip, r.igG+r.ipG-ipG, r.igP+r.ipP-ipP
	}
	r.ip, r.ipG, r.ipP = ip, ipG, ipP
}

func (s *detuneSolver) sum(x *[4]float64, stride int, t *cycleSums) {
	*t = cycleSums{}
	a, b, vd, vb := x[0], x[1], x[2], x[3]
	corner := cornerShare * s.feed.Voltage
	for k := 0; k < detunedSamples; k += stride {
		c, sn := circle[k][0], circle[k][1]
		vg := vd*c - s.bias
		vp := vb - a*c - b*sn + vg
		r := s.l.at(vg, vp)
		if r.ip == 0 && r.ig == 0 {
			continue
		}
		if vp < corner {
			r.roundOff(vg, vp, corner)
		}
		cc, cs, ss := c*c, c*sn, sn*sn
		t.p0 += r.ip
		t.pc += r.ip * c
		t.ps += r.ip * sn
		t.plate += vp * r.ip
		t.pp0 += r.ipP
		t.ppC += r.ipP * c
		t.ppS += r.ipP * sn
		t.ppCC += r.ipP * cc
		t.ppCS += r.ipP * cs
		t.ppSS += r.ipP * ss
		t.pgC += r.ipG * c
		t.pgCC += r.ipG * cc
		t.pgCS += r.ipG * cs
		t.kpC += r.igP * c
		t.kpS += r.igP * sn
		t.kpCC += r.igP * cc
		t.kpCS += r.igP * cs
		t.kpSS += r.igP * ss
		t.kgCC += r.igG * cc
		t.kgCS += r.igG * cs
		t.g0 += r.ig
		t.kc += r.ig * c
		t.ks += r.ig * sn
		t.grid += vg * r.ig
	}
	t.kc += t.pc
	t.ks += t.ps
	t.kpC += t.ppC
	t.kpS += t.ppS
	t.kpCC += t.ppCC
	t.kpCS += t.ppCS
	t.kpSS += t.ppSS
	t.kgCC += t.pgCC
	t.kgCS += t.pgCS
}

// residual returns the four equations, scaled, and their Jacobian: the plate
// phasor is the load's voltage, the source's voltage has its magnitude, the
// plate voltage is the supply's at the plate current. t holds the sums at x.
func (s *detuneSolver) residual(x *[4]float64, stride int, t *cycleSums) (f [4]float64, j [4][4]float64) {
	w := 2 * float64(stride) / detunedSamples
	perV := 1 / s.feed.Voltage
	re, im := real(s.load)*w*perV, imag(s.load)*w*perV
	// Z·(pc − j·ps) for the sums and their slopes against a, b, V_d, V_b
	f[0] = x[0]*perV - (re*t.pc + im*t.ps)
	f[1] = x[1]*perV + (im*t.pc - re*t.ps)
	j[0] = [4]float64{perV + re*t.ppCC + im*t.ppCS, re*t.ppCS + im*t.ppSS, -re*(t.ppCC+t.pgCC) - im*(t.ppCS+t.pgCS),
		-re*t.ppC - im*t.ppS}
	j[1] = [4]float64{-im*t.ppCC + re*t.ppCS, perV - im*t.ppCS + re*t.ppSS, im*(t.ppCC+t.pgCC) - re*(t.ppCS+t.pgCS),
		im*t.ppC - re*t.ppS}
	rs, xs := real(s.src.Impedance)*w, imag(s.src.Impedance)*w
	er, ei := x[2]+rs*t.kc+xs*t.ks, xs*t.kc-rs*t.ks
	mag := math.Hypot(er, ei)
	f[2] = mag/s.src.Voltage - 1
	if mag > 0 {
		er, ei = er/(mag*s.src.Voltage), ei/(mag*s.src.Voltage)
		kCC, kCS := t.kpCC+t.kgCC, t.kpCS+t.kgCS
		j[2] = [4]float64{
			er*(-rs*t.kpCC-xs*t.kpCS) + ei*(-xs*t.kpCC+rs*t.kpCS),
			er*(-rs*t.kpCS-xs*t.kpSS) + ei*(-xs*t.kpCS+rs*t.kpSS),
			er*(1+rs*kCC+xs*kCS) + ei*(xs*kCC-rs*kCS),
			er*(rs*t.kpC+xs*t.kpS) + ei*(xs*t.kpC-rs*t.kpS),
		}
	}
	r := s.feed.Resistance * perV * w / 2
	f[3] = x[3]*perV - 1 + r*t.p0
	j[3] = [4]float64{-r * t.ppC, -r * t.ppS, r * (t.ppC + t.pgC), perV + r*t.pp0}
	return f, j
}

// search looks for the solution without knowing where it lies.
func (s *detuneSolver) search() bool {
	// the swing a current of moderate size makes in this load, half and more of
	// the source voltage at the cathode
	unit := s.load / complex(cmplx.Abs(s.load), 0)
	for _, frac := range [...]float64{0.7, 0.35, 0.9, 0.1} {
		for _, drive := range [...]float64{0.5, 0.75, 0.25} {
			v := unit * complex(frac*s.feed.Voltage, 0)
			if s.solve([4]float64{real(v), -imag(v), drive * s.src.Voltage, s.feed.Voltage}) {
				return true
			}
		}
	}
	// march from a load so heavy that the plate hardly swings
	load := s.load
	s.load = load * 0.02
	ok := s.solve([4]float64{0.01 * s.feed.Voltage, 0, 0.5 * s.src.Voltage, s.feed.Voltage})
	const steps = 60
	for k := 1; ok && k <= steps; k++ {
		s.load = load * complex(math.Pow(0.02, 1-float64(k)/steps), 0)
		ok = s.follow()
	}
	s.load = load
	return ok
}

// solve searches from a guess, first on few samples.
func (s *detuneSolver) solve(x [4]float64) bool {
	s.sum(&x, detunedStride, &s.at)
	s.newton(&x, detunedStride, 1e-3)
	s.sum(&x, 1, &s.at)
	s.x = x
	return s.newton(&s.x, 1, 1e-9)
}

// follow searches from the last solution, whose sums are still at hand.
func (s *detuneSolver) follow() bool { return s.newton(&s.x, 1, 1e-9) }

// newton moves x, with the sums there in s.at, until the equations hold.
func (s *detuneSolver) newton(x *[4]float64, stride int, tolerance float64) bool {
	f, j := s.residual(x, stride, &s.at)
	n := norm(f)
	for range 60 {
		if n < tolerance {
			return true
		}
		d, ok := solve4(&j, &f)
		if !ok {
			return false
		}
		// Where the plate meets the cathode the static law has a corner with an
		// infinite slope on one side: the step must be allowed to become tiny.
		step, moved := 1.0, false
		for range 40 {
			y := [4]float64{x[0] - step*d[0], x[1] - step*d[1], x[2] - step*d[2], x[3] - step*d[3]}
			if y[2] > 0 && y[3] > 0 {
				s.sum(&y, stride, &s.at)
				g, jg := s.residual(&y, stride, &s.at)
				if ng := norm(g); ng < n*(1-0.01*step) || ng < tolerance {
					*x, f, j, n, moved = y, g, jg, ng, true
					break
				}
			}
			step /= 2
		}
		if !moved {
			return false
		}
	}
	return false
}

func norm(f [4]float64) float64 { return math.Sqrt(f[0]*f[0] + f[1]*f[1] + f[2]*f[2] + f[3]*f[3]) }

// solve4 solves j·d = f: the plate voltage is taken out by its own equation,
// whose element on the diagonal is positive, and put back.
func solve4(j *[4][4]float64, f *[4]float64) (d [4]float64, ok bool) {
	last := &j[3]
	var j3 [3][3]float64
	var f3 [3]float64
	for i := range j3 {
		q := j[i][3] / last[3]
		f3[i] = f[i] - q*f[3]
		for k := range j3[i] {
			j3[i][k] = j[i][k] - q*last[k]
		}
	}
	d3, ok := solve3(&j3, &f3)
	return [4]float64{d3[0], d3[1], d3[2], (f[3] - last[0]*d3[0] - last[1]*d3[1] - last[2]*d3[2]) / last[3]}, ok
}

// solve3 solves j·d = f by Cramer's rule.
func solve3(j *[3][3]float64, f *[3]float64) (d [3]float64, ok bool) {
	a, b, c := &j[0], &j[1], &j[2]
	m0, m1, m2 := b[1]*c[2]-b[2]*c[1], b[0]*c[2]-b[2]*c[0], b[0]*c[1]-b[1]*c[0]
	q := a[0]*m0 - a[1]*m1 + a[2]*m2
	if q == 0 || math.IsNaN(q) {
		return d, false
	}
	f12, f01, f02 := f[1]*c[2]-b[2]*f[2], b[0]*f[2]-f[1]*c[0], f[1]*c[1]-b[1]*f[2]
	d[0] = (f[0]*m0 - a[1]*f12 + a[2]*f02) / q
	d[1] = (a[0]*f12 - f[0]*m1 + a[2]*f01) / q
	d[2] = (-a[0]*f02 - a[1]*f01 + f[0]*m2) / q
	return d, true
}

// result is what the last step of solve left in the sums.
func (s *detuneSolver) result() Detuned {
	const w = 1.0 / detunedSamples
	a, b, vd, vb, t := s.x[0], s.x[1], s.x[2], s.x[3], &s.at
	r := Detuned{
		PlateVoltage: vb, Swing: complex(a, -b), DriveVoltage: vd,
		PlateCurrent: w * t.p0, GridCurrent: w * t.g0,
		PlateDissipation: w * t.plate, GridDissipation: w * t.grid,
		PlatePhasor:   complex(2*w*t.pc, -2*w*t.ps),
		CathodePhasor: complex(2*w*t.kc, -2*w*t.ks),
	}
	r.Output = real(r.Swing*cmplx.Conj(r.PlatePhasor)) / 2
	r.DrivePower = vd * real(r.CathodePhasor) / 2
	r.BiasLoss = s.bias * (r.PlateCurrent + r.GridCurrent)
	if r.CathodePhasor != 0 {
		r.InputImpedance = complex(vd, 0) / r.CathodePhasor
	}
	r.MinimumPlateVoltage = vb - math.Hypot(a, b)
	in, out := vb*r.PlateCurrent+r.DrivePower, r.Output+r.PlateDissipation+r.GridDissipation+r.BiasLoss
	r.Balance = (in - out) / (math.Abs(in) + math.Abs(out))
	return r
}
