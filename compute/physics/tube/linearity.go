package tube

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Transfer is one point of the drive sweep with plate load, bias and plate
// voltage held.
type Transfer struct {
	Level       float64 // source voltage over that of the nominal point [1]
	Compression float64 // output amplitude over Level times nominal amplitude [dB]; 0 dB at nominal
	Point       Point
}

// Sweep returns n+1 points of the transfer curve from zero to the level upTo
// [1, usually 1.3] of the nominal drive. The drive comes from a source of
// sourceResistance [Ω, one tube; 0 holds the cathode voltage itself] whose
// voltage is V_d + R_s·I_k1.
func Sweep(m Model, nominal Point, sourceResistance, upTo float64, n int) ([]Transfer, error) {
	s, err := newSource(m, nominal, sourceResistance)
	if err != nil {
		return nil, err
	}
	if n < 1 || !usable(upTo) {
		return nil, errors.New("drive sweep: at least one step and a positive end are needed")
	}
	out := make([]Transfer, n+1)
	for k := range out {
		level := upTo * float64(k) / float64(n)
		p := At(m, s.at(level))
		out[k] = Transfer{Level: level, Point: p}
		if level > 0 {
			out[k].Compression = 20 * math.Log10(p.PlateSwing/(level*nominal.PlateSwing))
		}
	}
	return out, nil
}

// Products are the two-tone intermodulation products.
type Products struct {
	Order3, Order5, Order7 float64 // against one of the two tones [dB], negative when below
	Tone                   float64 // power of each tone [W]
	PeakEnvelope           float64 // output at the crest of the envelope [W]
}

// BelowPEP returns the products against the peak envelope power [dB]: 6.02 dB
// further down, since each ideal tone is a quarter of it.
func (p Products) BelowPEP() (order3, order5, order7 float64) {
	d := 10 * math.Log10(p.Tone/p.PeakEnvelope)
	return p.Order3 + d, p.Order5 + d, p.Order7 + d
}

// TwoTone returns the products when two equal tones drive the tube to the
// nominal point at the crest of the envelope, quasi-static: the plate load,
// plate voltage and bias hold still and the output amplitude follows the
// static curve. What the supply, the tank's slope and phase add is not in it.
// sourceResistance as in Sweep.
func TwoTone(m Model, nominal Point, sourceResistance float64) (Products, error) {
	s, err := newSource(m, nominal, sourceResistance)
	if err != nil {
		return Products{}, err
	}
	s.tolerance = 5e-5
	return s.products(aboveOnset, belowOnset, 1), nil
}

// WorstThird returns the highest third-order product [dB against one tone] at
// the crest that is the nominal point and with the source turned down by each
// of less [dB, positive]: at full drive alone, the curvature near cut-off and
// the compression at the crest may cancel by chance. Otherwise as TwoTone.
func WorstThird(m Model, nominal Point, sourceResistance float64, less ...float64) (float64, error) {
	return worstThird(m, nominal, sourceResistance, less, false)
}

// QuickThird is WorstThird within half a decibel where the product stands
// above -45 dB, in a tenth of the time: for choosing among many.
func QuickThird(m Model, nominal Point, sourceResistance float64, less ...float64) (float64, error) {
	return worstThird(m, nominal, sourceResistance, less, true)
}

func worstThird(m Model, nominal Point, rs float64, less []float64, quick bool) (float64, error) {
	s, err := newSource(m, nominal, rs)
	if err != nil {
		return 0, err
	}
	s.tolerance, s.quick = 5e-5, quick
	above, below := aboveOnset, belowOnset
	if quick {
		above, below = aboveQuick, belowQuick
	}
	worst := s.products(above, below, 1).Order3
	for _, x := range less {
		s.c, s.level = nominal.Conditions, 1
		worst = math.Max(worst, s.products(above, below, math.Pow(10, -x/20)).Order3)
	}
	return worst, nil
}

// AtPlateVoltage returns the point at another plate voltage [V] with bias,
// plate load and drive source held: a source of sourceResistance [Ω, one tube;
// 0 holds the cathode voltage itself] whose voltage is that of the nominal
// point. It is the crest of an envelope that the supply does not follow.
func AtPlateVoltage(m Model, nominal Point, sourceResistance, plateVoltage float64) (Point, error) {
	s, err := newSource(m, nominal, sourceResistance)
	if err != nil {
		return Point{}, err
	}
	if !usable(plateVoltage) {
		return Point{}, errConditions
	}
	if plateVoltage == nominal.PlateVoltage {
		return nominal, nil
	}
	s.nominal.PlateVoltage, s.c.PlateVoltage = plateVoltage, plateVoltage
	return At(m, s.at(1)), nil
}

// legendre are the points and weights of a Gauss–Legendre rule on 0…1.
type legendre struct{ x, w []float64 }

func newLegendre(n int) *legendre {
	r := &legendre{make([]float64, n), make([]float64, n)}
	quad.Legendre{}.FixedLocations(r.x, r.w, 0, 1)
	return r
}

// The rules for the envelope above and below the onset of grid current: for
// the tubes of the catalogue within 0.05 dB of many more points where a product
// stands above -50 dB, and within 2e-5 of a tone below.
var aboveOnset, belowOnset = newLegendre(12), newLegendre(6)

// The same for a choice among many.
var aboveQuick, belowQuick = newLegendre(6), newLegendre(3)

// products takes the output amplitude as an odd function of cos φ over a
// quarter of the envelope's cycle, from a crest at the level [1] of the nominal
// source down, in two parts: where the grid begins to draw current its slope
// jumps.
func (s *source) products(above, below *legendre, level float64) Products {
	var c [8]float64
	part := func(r *legendre, from, to float64) {
		for k, x := range r.x {
			phi := from + (to-from)*x
			y := 4 / math.Pi * (to - from) * r.w[k] * s.at(level*math.Cos(phi)).PlateSwing
			for h := 1; h < len(c); h += 2 {
				c[h] += y * math.Cos(float64(h)*phi)
			}
		}
	}
	onset := s.onset(level)
	part(above, 0, onset)
	part(below, onset, math.Pi/2)
	db := func(x float64) float64 { return 20 * math.Log10(math.Abs(x/c[1])) }
	return Products{Order3: db(c[3]), Order5: db(c[5]), Order7: db(c[7]),
		Tone: square(c[1]/2) / 2 / s.nominal.PlateLoad, PeakEnvelope: s.crest(level)}
}

// crest is the output at a level of the source [W].
func (s *source) crest(level float64) float64 {
	if level == 1 {
		return s.nominal.Output
	}
	return square(s.at(level).PlateSwing) / 2 / s.nominal.PlateLoad
}

// onset returns the angle of an envelope with its crest at the level top at
// which the crest of the drive meets the bias; without such a point, one that
// divides the work well.
func (s *source) onset(top float64) float64 {
	c := s.nominal.Conditions
	level := 0.0
	if c.BiasVoltage > 0 && c.BiasVoltage < c.DriveVoltage {
		c.PlateSwing *= c.BiasVoltage / c.DriveVoltage
		c.DriveVoltage = c.BiasVoltage
		f := s.l.settle(&c, s.nominal.PlateLoad, fine)
		level = (c.DriveVoltage + s.rs*(f.p1+f.g1)) / s.e / top
	}
	if !(level > 0.02 && level < 0.98) {
		level = 0.25
	}
	return math.Acos(level)
}

func square(x float64) float64 { return x * x }

// source drives the cathode through a resistance.
type source struct {
	l       law
	nominal Point
	rs, e   float64
	c       Conditions // the last solution, start of the next
	level   float64    // of it

	tolerance float64 // residual before the last step, which squares it
	quick     bool    // few samples will do
}

func newSource(m Model, nominal Point, rs float64) (*source, error) {
	if err := m.Valid(); err != nil {
		return nil, err
	}
	if !usable(nominal.PlateLoad, nominal.DriveVoltage) || !(rs >= 0) || math.IsInf(rs, 0) {
		return nil, errors.New("linearity: the nominal point needs drive and a plate load, the source resistance must not be negative")
	}
	return &source{l: m.law(), nominal: nominal, rs: rs,
		e: nominal.DriveVoltage + rs*(nominal.Plate[1]+nominal.Grid[1]),
		c: nominal.Conditions, level: 1, tolerance: 3e-6}, nil
}

// at returns the conditions at a source voltage of level times the nominal.
func (s *source) at(level float64) Conditions {
	c := s.nominal.Conditions
	if level <= 0 {
		c.DriveVoltage, c.PlateSwing = 0, 0
		return c
	}
	load := s.nominal.PlateLoad
	e := level * s.e
	c.DriveVoltage = level / s.level * s.c.DriveVoltage
	c.PlateSwing = level / s.level * s.c.PlateSwing
	if s.newton(&c, e, load, coarse, 1e-3) && (s.quick || s.newton(&c, e, load, fine, s.tolerance)) {
		s.c, s.level = c, level
		return c
	}
	c.DriveVoltage = level * s.nominal.DriveVoltage
	c.PlateSwing = level * s.nominal.PlateSwing
	if s.rs == 0 {
		s.l.settle(&c, load, fine)
		return c
	}
	lo, hi := 0.0, e // the cathode voltage lies below that of the source
	for range 60 {
		f, ds := s.l.evaluate(&c, load, fine)
		r := c.DriveVoltage + s.rs*(f.p1+f.g1) - e
		if math.Abs(r) < 1e-11*e {
			break
		}
		if r < 0 {
			lo = c.DriveVoltage
		} else {
			hi = c.DriveVoltage
		}
		next := c.DriveVoltage - r/(1+s.rs*(f.p1d+f.g1d+ds*(f.p1s+f.g1s)))
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if next == c.DriveVoltage {
			break
		}
		c.DriveVoltage = next
	}
	s.l.settle(&c, load, fine)
	return c
}

// newton solves source and load together from where c stands. The step from a
// residual within the tolerance is taken unchecked: it leaves about its square.
func (s *source) newton(c *Conditions, e, load float64, y *cycle, tolerance float64) bool {
	last := math.Inf(1)
	for range 12 {
		f := s.l.sweep(c, y)
		f1 := c.DriveVoltage + s.rs*(f.p1+f.g1) - e
		f2 := c.PlateSwing - load*f.p1
		n := math.Abs(f1)/e + math.Abs(f2)/c.PlateSwing
		if !(n <= last) {
			return false
		}
		last = n
		a, b := 1+s.rs*(f.p1d+f.g1d), s.rs*(f.p1s+f.g1s)
		p, q := -load*f.p1d, 1-load*f.p1s
		det := a*q - b*p
		if det == 0 {
			return false
		}
		c.DriveVoltage -= (f1*q - b*f2) / det
		c.PlateSwing -= (a*f2 - p*f1) / det
		if !(c.DriveVoltage > 0 && c.PlateSwing > 0) {
			return false
		}
		if n < tolerance {
			return true
		}
	}
	return false
}
