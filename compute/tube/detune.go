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
	Load             complex128 // Z_L at the plate [Ω]
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

	MinimumPlateVoltage float64 // lowest plate to ground [V]
	MaximumPlateVoltage float64 // highest plate to ground [V]
	Balance             float64 // what is left of the energy balance over its sum [1]
}

// ErrNoConvergence is returned by WithComplexLoad when no solution was found.
var ErrNoConvergence = errors.New("complex load: the operating point was not found")

// detunedSamples over the whole cycle: the tuning map needs many points.
const detunedSamples = 96

var circle = func() (c [detunedSamples][2]float64) {
	for k := range c {
		s, x := math.Sincos(2 * math.Pi * float64(k) / detunedSamples)
		c[k] = [2]float64{x, s}
	}
	return c
}()

// WithComplexLoad solves cathode drive and plate phasor together for a plate
// load Z_L [Ω, real part positive] driven from src, with plate voltage and
// bias [V] held.
func WithComplexLoad(m Model, plateVoltage, bias float64, src Source, load complex128) (Detuned, error) {
	if err := m.Valid(); err != nil {
		return Detuned{}, err
	}
	if !usable(plateVoltage, src.Voltage, real(load)) || !(real(src.Impedance) >= 0) || cmplx.IsInf(load) || cmplx.IsNaN(load) {
		return Detuned{}, errConditions
	}
	l := m.law()
	s := detuneSolver{l: &l, vb: plateVoltage, bias: bias, src: src, load: load}
	// starts: the swing a current of moderate size makes in this load, half
	// and more of the source voltage at the cathode
	unit := load / complex(cmplx.Abs(load), 0)
	for _, frac := range [...]float64{0.7, 0.35, 0.9, 0.1} {
		for _, drive := range [...]float64{0.5, 0.75, 0.25} {
			v := unit * complex(frac*plateVoltage, 0)
			if s.solve([3]float64{real(v), -imag(v), drive * src.Voltage}) {
				return s.result(), nil
			}
		}
	}
	// march from a load so heavy that the plate hardly swings
	s.load = load * 0.02
	ok := s.solve([3]float64{0.01 * plateVoltage, 0, 0.5 * src.Voltage})
	const steps = 60
	for k := 1; ok && k <= steps; k++ {
		s.load = load * complex(math.Pow(0.02, 1-float64(k)/steps), 0)
		ok = s.solve(s.x)
	}
	if ok {
		return s.result(), nil
	}
	return Detuned{}, ErrNoConvergence
}

type detuneSolver struct {
	l        *law
	vb, bias float64
	src      Source
	load     complex128
	x        [3]float64 // a, b, V_d
}

// residual returns the three equations, scaled, and their Jacobian.
func (s *detuneSolver) residual(x [3]float64) (f [3]float64, j [3][3]float64) {
	a, b, vd := x[0], x[1], x[2]
	var ip, ik complex128      // phasors (cos part) − j(sin part)
	var dip, dik [3]complex128 // slopes against a, b, V_d
	for _, cs := range circle {
		c, sn := cs[0], cs[1]
		vg := vd*c - s.bias
		vp := s.vb - a*c - b*sn + vg
		r := s.l.at(vg, vp)
		if r.ip == 0 && r.ig == 0 {
			continue
		}
		e := complex(c, -sn)
		ip += complex(r.ip, 0) * e
		ik += complex(r.ip+r.ig, 0) * e
		kp, kg := r.ipP+r.igP, r.ipG+r.igG
		dip[0] -= complex(r.ipP*c, 0) * e
		dip[1] -= complex(r.ipP*sn, 0) * e
		dip[2] += complex((r.ipP+r.ipG)*c, 0) * e
		dik[0] -= complex(kp*c, 0) * e
		dik[1] -= complex(kp*sn, 0) * e
		dik[2] += complex((kp+kg)*c, 0) * e
	}
	const w = 2.0 / detunedSamples
	ip *= w
	ik *= w
	v := s.load * ip
	e := complex(vd, 0) + s.src.Impedance*ik
	mag := cmplx.Abs(e)
	f = [3]float64{(a - real(v)) / s.vb, (b + imag(v)) / s.vb, mag/s.src.Voltage - 1}
	for k := range 3 {
		dv := s.load * dip[k] * w
		j[0][k], j[1][k] = -real(dv)/s.vb, imag(dv)/s.vb
		de := s.src.Impedance * dik[k] * w
		if k == 2 {
			de++
		}
		if mag > 0 {
			j[2][k] = real(cmplx.Conj(e)*de) / mag / s.src.Voltage
		}
	}
	j[0][0] += 1 / s.vb
	j[1][1] += 1 / s.vb
	return f, j
}

func (s *detuneSolver) solve(x [3]float64) bool {
	f, j := s.residual(x)
	n := norm(f)
	for range 60 {
		if n < 1e-10 {
			s.x = x
			return true
		}
		d, ok := solve3(j, f)
		if !ok {
			return false
		}
		step, moved := 1.0, false
		for range 12 {
			y := [3]float64{x[0] - step*d[0], x[1] - step*d[1], x[2] - step*d[2]}
			if y[2] > 0 {
				g, jg := s.residual(y)
				if ng := norm(g); ng < n*(1-0.01*step) || ng < 1e-10 {
					x, f, j, n, moved = y, g, jg, ng, true
					break
				}
			}
			step /= 2
		}
		if !moved {
			// the static law has a corner where the plate meets the cathode:
			// very light loads can stall on it, close enough
			s.x = x
			return n < 1e-4
		}
	}
	return false
}

func norm(f [3]float64) float64 { return math.Sqrt(f[0]*f[0] + f[1]*f[1] + f[2]*f[2]) }

// solve3 solves j·d = f by Cramer's rule.
func solve3(j [3][3]float64, f [3]float64) (d [3]float64, ok bool) {
	det := func(m [3][3]float64) float64 {
		return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) -
			m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) +
			m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	}
	q := det(j)
	if q == 0 || math.IsNaN(q) {
		return d, false
	}
	for k := range d {
		m := j
		for r := range 3 {
			m[r][k] = f[r]
		}
		d[k] = det(m) / q
	}
	return d, true
}

func (s *detuneSolver) result() Detuned {
	a, b, vd := s.x[0], s.x[1], s.x[2]
	r := Detuned{Load: s.load, Swing: complex(a, -b), DriveVoltage: vd}
	const w = 1.0 / detunedSamples
	for _, cs := range circle {
		vg := vd*cs[0] - s.bias
		vp := s.vb - a*cs[0] - b*cs[1] + vg
		i := s.l.at(vg, vp)
		r.PlateCurrent += w * i.ip
		r.GridCurrent += w * i.ig
		r.PlateDissipation += w * vp * i.ip
		r.GridDissipation += w * vg * i.ig
		e := complex(cs[0], -cs[1])
		r.PlatePhasor += complex(2*w*i.ip, 0) * e
		r.CathodePhasor += complex(2*w*(i.ip+i.ig), 0) * e
	}
	r.Output = real(r.Swing*cmplx.Conj(r.PlatePhasor)) / 2
	r.DrivePower = vd * real(r.CathodePhasor) / 2
	r.BiasLoss = s.bias * (r.PlateCurrent + r.GridCurrent)
	if r.CathodePhasor != 0 {
		r.InputImpedance = complex(vd, 0) / r.CathodePhasor
	}
	swing := math.Hypot(a, b)
	r.MinimumPlateVoltage, r.MaximumPlateVoltage = s.vb-swing, s.vb+swing
	in, out := s.vb*r.PlateCurrent+r.DrivePower, r.Output+r.PlateDissipation+r.GridDissipation+r.BiasLoss
	r.Balance = (in - out) / (math.Abs(in) + math.Abs(out))
	return r
}
