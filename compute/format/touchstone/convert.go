package touchstone

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"

	"anodebook/spec/quantity"
)

// ErrSingular says that a network has no parameters of the kind asked for, as
// a bare series resistor has no Z.
var ErrSingular = errors.New("the network has no parameters of this kind")

// To converts to another kind or to other reference resistances [Ω]; without
// references those of the data stay. Errors: a network that has no such
// parameters at some frequency (ErrSingular), a reference that is not
// positive, H or G of a one-port.
//
// All conversions go through waves a and b with V = √R·(a + b) and
// I = (a − b)/√R, so that only what truly does not exist is singular.
func (d *Data) To(kind Kind, reference ...float64) (*Data, error) {
	out := &Data{Ports: d.Ports, Kind: kind, Reference: d.Reference, Points: make([]Point, len(d.Points))}
	if len(reference) > 0 {
		if len(reference) != d.Ports {
			return nil, fmt.Errorf("touchstone: %d reference resistances for %d ports", len(reference), d.Ports)
		}
		copy(out.Reference[:], reference)
	}
	if err := d.check(); err != nil {
		return nil, err
	}
	if err := (&Data{Ports: out.Ports, Kind: kind, Reference: out.Reference}).check(); err != nil {
		return nil, err
	}
	for i, p := range d.Points {
		m, ok := p.Matrix.convert(d.Ports, d.Kind, kind, d.Reference, out.Reference)
		if !ok {
			return nil, fmt.Errorf("touchstone: %c parameters at %s Hz: %w", kind, quantity.Short(p.Frequency, 6), ErrSingular)
		}
		out.Points[i] = Point{p.Frequency, m}
	}
	return out, nil
}

// convert one matrix; the second port of a one-port is closed with a resistor
// of 1 Ω, which touches nothing.
func (m Matrix) convert(ports int, from, to Kind, r1, r2 [2]float64) (Matrix, bool) {
	if ports == 1 {
		r1[1], r2[1] = 1, 1
		m[0][1], m[1][0], m[1][1] = 0, 0, 0
		if from != Scattering {
			m[1][1] = 1
		}
	}
	if from == to && (from != Scattering || r1 == r2) {
		if ports == 1 {
			m[1][1] = 0
		}
		return m, true
	}
	// Z, Y, H and G know no reference; S is taken to the one and then from it.
	s, ok := m, true
	if from == Scattering && r1 != r2 {
		if s, ok = s.renormalise(r1, r2); !ok {
			return s, false
		}
	} else if from != Scattering {
		s, ok = m.scattering(from, r2)
	}
	if ok && to != Scattering {
		s, ok = s.immittance(to, r2)
	}
	if ports == 1 {
		s[0][1], s[1][0], s[1][1] = 0, 0, 0
	}
	return s, ok && s.finite()
}

// scattering finds S from A·V = B·I: S = (A·√R + B/√R)⁻¹·(B/√R − A·√R).
func (m Matrix) scattering(from Kind, r [2]float64) (Matrix, bool) {
	one := Matrix{{1, 0}, {0, 1}}
	var a, b Matrix
	switch from {
	case Impedance:
		a, b = one, m
	case Admittance:
		a, b = m, one
	case Hybrid: // V1 − h12·V2 = h11·I1; h22·V2 = I2 − h21·I1
		a = Matrix{{1, -m[0][1]}, {0, m[1][1]}}
		b = Matrix{{m[0][0], 0}, {-m[1][0], 1}}
	case Inverse: // g11·V1 = I1 − g12·I2; V2 − g21·V1 = g22·I2
		a = Matrix{{m[0][0], 0}, {-m[1][0], 1}}
		b = Matrix{{1, -m[0][1]}, {0, m[1][1]}}
	}
	v, i := a.columns(math.Sqrt(r[0]), math.Sqrt(r[1])), b.columns(1/math.Sqrt(r[0]), 1/math.Sqrt(r[1]))
	inv, ok := v.plus(i, 1).inverse()
	return inv.times(i.plus(v, -1)), ok
}

// immittance finds the matrix of the kind that ties V = √R·(1 + S)·a to
// I = (1 − S)·a/√R.
func (m Matrix) immittance(to Kind, r [2]float64) (Matrix, bool) {
	one := Matrix{{1, 0}, {0, 1}}
	v, i := one.plus(m, 1).rows(math.Sqrt(r[0]), math.Sqrt(r[1])), one.plus(m, -1).rows(1/math.Sqrt(r[0]), 1/math.Sqrt(r[1]))
	var n, d Matrix // n = result · d
	switch to {
	case Impedance:
		n, d = v, i
	case Admittance:
		n, d = i, v
	case Hybrid:
		n, d = Matrix{v[0], i[1]}, Matrix{i[0], v[1]}
	case Inverse:
		n, d = Matrix{i[0], v[1]}, Matrix{v[0], i[1]}
	}
	inv, ok := d.inverse()
	return n.times(inv), ok
}

// renormalise takes S from one pair of references to another. The waves of
// the new reference are p·a + q·b and q·a + p·b with p = (√(R/R') + √(R'/R))/2
// and q = (√(R/R') − √(R'/R))/2, so that S' = (q + p·S)·(p + q·S)⁻¹.
func (m Matrix) renormalise(from, to [2]float64) (Matrix, bool) {
	var p, q [2]float64
	for k := range p {
		u := math.Sqrt(from[k] / to[k])
		p[k], q[k] = (u+1/u)/2, (u-1/u)/2
	}
	diagonal := func(x [2]float64) Matrix { return Matrix{{complex(x[0], 0), 0}, {0, complex(x[1], 0)}} }
	inv, ok := diagonal(p).plus(m.rows(q[0], q[1]), 1).inverse()
	return diagonal(q).plus(m.rows(p[0], p[1]), 1).times(inv), ok
}

// OfChain gives the S of a two-port with the chain matrix V1 = a·V2 + b·I2,
// I1 = c·V2 + d·I2 (I2 flowing out), between r1 and r2 [Ω].
func OfChain(a, b, c, d complex128, r1, r2 float64) Matrix {
	z1, z2 := complex(r1, 0), complex(r2, 0)
	aa, dd, cc := a*z2, d*z1, c*complex(r1*r2, 0)
	m := 1 / (aa + b + cc + dd)
	k := complex(2*math.Sqrt(r1*r2), 0) * m
	return Matrix{
		{(aa + b - cc - dd) * m, k * (a*d - b*c)},
		{k, (dd + b - cc - aa) * m},
	}
}

func (m Matrix) times(n Matrix) (out Matrix) {
	for r := range out {
		for c := range out[r] {
			out[r][c] = m[r][0]*n[0][c] + m[r][1]*n[1][c]
		}
	}
	return out
}

// plus is m + sign·n.
func (m Matrix) plus(n Matrix, sign float64) Matrix {
	for r := range m {
		for c := range m[r] {
			m[r][c] += complex(sign, 0) * n[r][c]
		}
	}
	return m
}

func (m Matrix) rows(x, y float64) Matrix {
	return Matrix{{m[0][0] * complex(x, 0), m[0][1] * complex(x, 0)}, {m[1][0] * complex(y, 0), m[1][1] * complex(y, 0)}}
}

func (m Matrix) columns(x, y float64) Matrix {
	return Matrix{{m[0][0] * complex(x, 0), m[0][1] * complex(y, 0)}, {m[1][0] * complex(x, 0), m[1][1] * complex(y, 0)}}
}

// inverse is not ok where rounding alone decides over the determinant.
func (m Matrix) inverse() (Matrix, bool) {
	p, q := m[0][0]*m[1][1], m[0][1]*m[1][0]
	det := p - q
	if !(cmplx.Abs(det) > 1e-13*(cmplx.Abs(p)+cmplx.Abs(q))) {
		return Matrix{}, false
	}
	return Matrix{{m[1][1] / det, -m[0][1] / det}, {-m[1][0] / det, m[0][0] / det}}, true
}

func (m Matrix) finite() bool {
	for r := range m {
		for _, v := range m[r] {
			if cmplx.IsNaN(v) || cmplx.IsInf(v) {
				return false
			}
		}
	}
	return true
}

// scale takes parameters normalised to r [Ω], as version 1 holds them, to ohms
// and siemens; the other way with 1/r.
func (m Matrix) scale(kind Kind, r float64) Matrix {
	z, y := complex(r, 0), complex(1/r, 0)
	switch kind {
	case Impedance:
		return m.rows(r, r)
	case Admittance:
		return m.rows(1/r, 1/r)
	case Hybrid:
		m[0][0], m[1][1] = m[0][0]*z, m[1][1]*y
	case Inverse:
		m[0][0], m[1][1] = m[0][0]*y, m[1][1]*z
	}
	return m
}
