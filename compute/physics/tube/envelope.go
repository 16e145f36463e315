package tube

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Envelope is the distribution of the drive's envelope in discrete levels.
type Envelope struct {
	Name   string
	Level  []float64 // envelope over its peak [1], 0…1
	Weight []float64 // share of the time [1]; sums to 1
}

// TwoToneEnvelope is |cos φ|, φ even over the cycle, in n levels (midpoint
// rule): two equal tones whose peak envelope is the nominal drive.
func TwoToneEnvelope(n int) Envelope {
	e := Envelope{Name: "two equal tones"}
	for k := range n {
		e.Level = append(e.Level, math.Cos((float64(k)+0.5)*math.Pi/2/float64(n)))
		e.Weight = append(e.Weight, 1/float64(n))
	}
	return e
}

// SingleToneEnvelope is a steady carrier at the peak, keyed with the duty
// [1, 0…1]: key-down time over all time.
func SingleToneEnvelope(duty float64) Envelope {
	return Envelope{"single tone", []float64{1, 0}, []float64{duty, 1 - duty}}
}

// SpeechEnvelope is a speech envelope with exponentially distributed amplitude
// r (0…1), density ∝ exp(−r/b), b chosen so that peak over mean power is crest
// [dB, more than 4.8; values at or below are taken as 5]. The exponential
// (Laplace-type) amplitude density of speech and the usual crest figures, 10 to
// 14 dB unprocessed and 6 to 8 dB compressed, are common practice, from memory.
func SpeechEnvelope(crest float64) Envelope {
	return speechEnvelope(crest, 12) // Gauss points: means of plate current, output and dissipation within 4e-4
}

func speechEnvelope(crest float64, n int) Envelope {
	crest = math.Max(crest, 5)
	x, w := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, w, 0, 1)
	e := Envelope{Name: "speech", Level: x, Weight: make([]float64, n)}
	want := math.Pow(10, -crest/10)
	fill := func(b float64) float64 {
		sum, square := 0.0, 0.0
		for i := range x {
			e.Weight[i] = w[i] * math.Exp(-x[i]/b)
			sum += e.Weight[i]
		}
		for i := range x {
			e.Weight[i] /= sum
			square += e.Weight[i] * x[i] * x[i]
		}
		return square
	}
	lo, hi := math.Log(0.005), math.Log(1000.0)
	for range 80 {
		mid := (lo + hi) / 2
		if fill(math.Exp(mid)) < want {
			lo = mid
		} else {
			hi = mid
		}
	}
	fill(math.Exp((lo + hi) / 2))
	return e
}

// CrestFactor returns peak over mean power of the envelope [dB].
func (e Envelope) CrestFactor() float64 {
	square := 0.0
	for i, r := range e.Level {
		square += e.Weight[i] * r * r
	}
	return -10 * math.Log10(square)
}

// Averages are the means over an envelope, one tube.
type Averages struct {
	PlateCurrent float64 // [A]
	// PlateCurrentSquare is the mean of the square of the plate current, which
	// heats a transformer [A²].
	PlateCurrentSquare float64
	GridCurrent        float64 // [A]
	Output             float64 // [W]
	DrivePower         float64 // [W]
	PlateInput         float64 // [W]
	PlateDissipation   float64 // [W]
	GridDissipation    float64 // [W]
	BiasLoss           float64 // [W]
}

// Average returns the means over the envelope whose peak is the operating
// point, quasi-static: the plate load of the point stays, the cathode drive
// voltage follows the envelope, plate voltage and bias hold still.
func Average(m Model, peak Point, e Envelope) (Averages, error) {
	var a Averages
	if err := m.Valid(); err != nil {
		return a, err
	}
	l := m.law()
	c := peak.Conditions
	for i, level := range e.Level {
		c.DriveVoltage = level * peak.DriveVoltage
		l.follow(&c, peak, level)
		p, w := l.means(&c), e.Weight[i]
		a.PlateCurrent += w * p.plate
		a.PlateCurrentSquare += w * p.plate * p.plate
		a.GridCurrent += w * p.grid
		a.Output += w * c.PlateSwing * p.plate1 / 2
		a.DrivePower += w * c.DriveVoltage * (p.plate1 + p.grid1) / 2
		a.PlateInput += w * c.PlateVoltage * p.plate
		a.PlateDissipation += w * p.plateHeat
		a.GridDissipation += w * p.gridHeat
		a.BiasLoss += w * c.BiasVoltage * (p.plate + p.grid)
	}
	return a, nil
}

// follow settles the swing at a fraction of the peak's drive, the load within
// 1e-6: on few samples first, then by one step on all.
func (l *law) follow(c *Conditions, peak Point, level float64) {
	if level == 0 || peak.PlateLoad == 0 {
		c.PlateSwing = 0
		return
	}
	c.PlateSwing = math.Max(level*peak.PlateSwing, 1e-3)
	l.settle(c, peak.PlateLoad, coarse)
	f := l.sweep(c, fine)
	c.PlateSwing -= (c.PlateSwing - peak.PlateLoad*f.p1) / (1 - peak.PlateLoad*f.p1s)
}

// means are what Average takes from one cycle: mean and fundamental of both
// currents [A] and the heat of plate and grid [W].
type means struct {
	plate, plate1, grid, grid1, plateHeat, gridHeat float64
}

// means is At without what only a single operating point is asked for.
func (l *law) means(c *Conditions) (f means) {
	for k, x := range fine.cos {
		vg := c.DriveVoltage*x - c.BiasVoltage
		vp := c.PlateVoltage - c.PlateSwing*x + vg
		s := l.at(vg, vp)
		if s.ip == 0 && s.ig == 0 {
			continue
		}
		w := fine.weight(k)
		f.plate += w * s.ip
		f.plate1 += 2 * w * x * s.ip
		f.plateHeat += w * vp * s.ip
		if s.ig > 0 {
			f.grid += w * s.ig
			f.grid1 += 2 * w * x * s.ig
			f.gridHeat += w * vg * s.ig
		}
	}
	return f
}
