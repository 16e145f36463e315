package platefeed

import (
	"fmt"
	"math"

	"anodebook/compute/desk"
	"anodebook/compute/physics/winding"
	"anodebook/spec"
)

// What is assumed of the choke's wire and heat, all common practice.
const (
	insulated       = 1.1   // diameter over the enamel or silk / bare diameter [1]
	surfaceHeat     = 500.0 // heat that the winding's surface may shed [W/m²], some 40 K over the air around it
	filmCoefficient = 12.0  // of still air on a small hot cylinder, radiation included [W/(m²·K)]
	copperCelsius   = 60.0  // temperature at which the copper's resistance is taken [°C]
	speedOfLight    = 299792458.0
)

// ResonanceError is the stated relative uncertainty of the computed resonances
// of an evenly wound choke, GradedError of a graded one or of two in series:
// form, enamel, chassis, coupling and the bypass capacitor's leads move them
// (common practice).
const (
	ResonanceError = 0.20
	GradedError    = 0.30
)

// Kind tells the two kinds of resonance of a choke apart.
type Kind string

// Seen from the plates with the cold end grounded.
const (
	Parallel Kind = "parallel" // high impedance: harmless
	Series   Kind = "series"   // low impedance: the choke carries the tank's current and burns
)

// Resonance is one estimated resonance of the choke.
type Resonance struct {
	Kind      Kind
	Quarters  int     // quarter waves on the winding [1]
	Frequency float64 // estimate [Hz]
	Low, High float64 // ends of its uncertainty [Hz]
	Bands     []string
}

// Winding is a plate choke as wound.
type Winding struct {
	Coil            winding.Solenoid // of a graded winding the close part
	Line            Line             // one section, or close and spaced part
	Turns           float64          // all
	Length          float64          // of the winding [m]
	WireLength      float64          // [m]
	Resistance      float64          // of the wire, direct current, warm [Ω]
	SelfCapacitance float64          // Medhurst [F]
}

// Surface of the winding [m²].
func (w Winding) Surface() float64 { return math.Pi * w.Coil.Diameter * w.Length }

// grading is how a winding is spaced at its plate end; none where share is 0.
type grading struct{ share, pitch float64 }

// wind lays inductance [H] on a form [m] with wire [m].
func wind(inductance, form, wire float64, g grading) (Winding, error) {
	var w Winding
	if g.share > 0 {
		line, err := gradedTurns(inductance, form+insulated*wire, insulated*wire, wire, g.share, g.pitch*wire)
		if err != nil {
			return w, err
		}
		w.Line = line
	} else {
		coil, err := winding.TurnsFor(inductance, form+insulated*wire, insulated*wire, wire)
		if err != nil {
			return w, err
		}
		w.Line = Line{{coil, inductance}}
	}
	w.Coil = w.Line[0].Coil
	for _, s := range w.Line {
		w.Turns += s.Coil.Turns
		w.Length += s.Coil.Length()
		w.WireLength += s.Coil.WireLength()
	}
	w.Resistance = w.WireLength * winding.DCResistance(wire, copperCelsius)
	w.SelfCapacitance = winding.SelfCapacitance(w.Coil.Diameter, w.Length)
	return w, nil
}

// usualSpacing is the pitch of spaced turns over the bare wire where the
// builder names only their share (common practice: the wire's own width
// between the turns).
const usualSpacing = 2.0

// spacing is the builder's grading of the first choke.
func spacing(s *spec.Spec) grading {
	c := s.PlateFeed.Choke
	if !c.Spaced.Given {
		return grading{}
	}
	g := grading{c.Spaced.SI, usualSpacing}
	if c.Spacing.Given {
		g.pitch = c.Spacing.Value
	}
	return g
}

// Currents are what heats a choke.
type Currents struct {
	Direct    float64 // [A]
	RF        float64 // on the lowest band, rms [A]
	Frequency float64 // of the lowest band [Hz]
}

// heat of the winding with the currents [W].
func (w Winding) heat(c Currents) float64 {
	return c.Direct*c.Direct*w.Resistance + c.RF*c.RF*w.rfResistance(c.Frequency)
}

// rfResistance of the wire as wound [Ω] at frequency [Hz]: skin effect and
// Medhurst's proximity table.
func (w Winding) rfResistance(frequency float64) float64 {
	sum := 0.0
	for _, s := range w.Line {
		sum += s.Coil.Resistance(frequency, copperCelsius)
	}
	return sum
}

// ChooseWinding is the first choke of inductance [H] on the builder's or the
// usual form, with the builder's wire or else the thinnest wire that sheds the
// heat of the currents. It is pure and cheap. The error says what cannot be
// wound.
func ChooseWinding(s *spec.Spec, inductance float64, currents Currents) (Winding, error) {
	c := s.PlateFeed.Choke
	return choose(s, "plate_feed.choke", inductance, c.Form.SI, c.Wire, spacing(s), currents)
}

func choose(s *spec.Spec, key string, inductance, form float64, own spec.Quantity, g grading, currents Currents) (Winding, error) {
	if own.Known() {
		w, err := wind(inductance, form, own.SI, g)
		if err != nil {
			return w, fmt.Errorf("%s: %s cannot be wound on a form of %s with wire of %s: %w",
				key, desk.Show(inductance, "H"), desk.Show(form, "m"), desk.Show(own.SI, "m"), err)
		}
		return w, nil
	}
	var last Winding
	var lastErr error
	for _, wire := range wires(s) {
		w, err := wind(inductance, form, wire, g)
		if err != nil {
			lastErr = err
			continue
		}
		last = w
		if w.heat(currents) <= surfaceHeat*w.Surface() {
			return w, nil
		}
	}
	if last.Turns == 0 {
		return last, fmt.Errorf("%s: %s cannot be wound on a form of %s: %w", key, desk.Show(inductance, "H"), desk.Show(form, "m"),
			lastErr)
	}
	return last, nil
}

// wires lists the bare diameters to choose from [m], ascending: American
// gauges for a notebook in inches, metric winding wire otherwise.
func wires(s *spec.Spec) []float64 {
	return winding.Assortment(s.Notebook.Lengths.Value == "inch", 30, 14, 0.25e-3, 1.6e-3)
}

// HelixVelocity is the phase velocity along the axis of a helix over the speed
// of light, for diameter and pitch [m] at a frequency [Hz]: Kandoian and
// Sichak, 1/√(1 + 20·(D/p)^2.5·(D/λ)^0.5), for D²/(p·λ) up to 1/5.
func HelixVelocity(diameter, pitch, frequency float64) float64 {
	return 1 / math.Sqrt(1+20*math.Pow(diameter/pitch, 2.5)*math.Sqrt(diameter*frequency/speedOfLight))
}

// Band is one band of the amplifier.
type Band struct {
	Name      string
	Centre    float64 // [Hz]
	Low, High float64 // edges [Hz]; 0: the middle stands for the band
}

func (b Band) edges() (low, high float64) {
	if b.Low > 0 && b.High > 0 {
		return b.Low, b.High
	}
	return b.Centre, b.Centre
}

// resonances estimates the line's resonances up to the first of each kind
// above the highest band, and lists the bands within their uncertainty. A band
// counts where any part of it does.
func resonances(line Line, within float64, bands []Band) []Resonance {
	top := 0.0
	for _, b := range bands {
		top = math.Max(top, b.Centre)
	}
	var list []Resonance
	for n := 1; n <= 40; n++ {
		r := Resonance{Kind: Parallel, Quarters: n, Frequency: line.Resonance(n)}
		if n%2 == 0 {
			r.Kind = Series
		}
		r.Low, r.High = r.Frequency*(1-within), r.Frequency*(1+within)
		if r.Low > top && n > 2 {
			break
		}
		for _, b := range bands {
			if low, high := b.edges(); high >= r.Low && low <= r.High {
				r.Bands = append(r.Bands, b.Name)
			}
		}
		list = append(list, r)
	}
	return list
}
