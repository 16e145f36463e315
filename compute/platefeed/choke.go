package platefeed

import (
	"fmt"
	"math"

	"anodebook/compute/winding"
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

// ResonanceError is the stated relative uncertainty of a choke's computed
// resonances: form, enamel, chassis and the bypass capacitor's leads move
// them (common practice).
const ResonanceError = 0.20

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
	Frequency float64 // estimate [Hz], ± ResonanceError
	Bands     []string
}

// Winding is the plate choke as wound.
type Winding struct {
	Coil            winding.Solenoid
	WireLength      float64 // [m]
	Resistance      float64 // of the wire, direct current, warm [Ω]
	SelfCapacitance float64 // Medhurst [F]
	Resonances      []Resonance
}

// Surface of the winding [m²].
func (w Winding) Surface() float64 { return math.Pi * w.Coil.Diameter * w.Coil.Length() }

// wind lays inductance [H] on a form [m] with wire [m].
func wind(inductance, form, wire float64) (Winding, error) {
	coil, err := winding.TurnsFor(inductance, form+insulated*wire, insulated*wire, wire)
	if err != nil {
		return Winding{}, err
	}
	w := Winding{Coil: coil, WireLength: coil.WireLength()}
	w.Resistance = w.WireLength * winding.DCResistance(wire, copperCelsius)
	w.SelfCapacitance = coil.SelfCapacitance()
	return w, nil
}

// ChooseWinding is the choke of inductance [H] on the builder's or the usual
// form, with the builder's wire or else the thinnest wire that sheds the heat
// of the direct current [A]. It is pure and cheap, so that the tank can ask
// for the self-capacitance before this stage runs. The error says what cannot
// be wound.
func ChooseWinding(s *spec.Spec, inductance, current float64) (Winding, error) {
	form := s.PlateFeed.Choke.Form.SI
	if q := s.PlateFeed.Choke.Wire; q.Known() {
		w, err := wind(inductance, form, q.SI)
		if err != nil {
			return w, fmt.Errorf("plate_feed.choke: %.3g µH cannot be wound on a %.3g mm form with %.3g mm wire: %w", inductance*1e6, form*1e3, q.SI*1e3, err)
		}
		return w, nil
	}
	var last Winding
	var lastErr error
	for _, wire := range wires(s) {
		w, err := wind(inductance, form, wire)
		if err != nil {
			lastErr = err
			continue
		}
		last = w
		if current*current*w.Resistance <= surfaceHeat*w.Surface() {
			return w, nil
		}
	}
	if last.Coil.Turns == 0 {
		return last, fmt.Errorf("plate_feed.choke: %.3g µH cannot be wound on a %.3g mm form: %w", inductance*1e6, form*1e3, lastErr)
	}
	return last, nil
}

// wires lists the bare diameters to choose from [m], ascending: American
// gauges for a notebook in inches, metric winding wire otherwise.
func wires(s *spec.Spec) []float64 {
	var list []float64
	if s.Notebook.Lengths.Value == "inch" {
		for n := 30; n >= 14; n -= 2 {
			list = append(list, winding.AWG(n))
		}
		return list
	}
	for _, d := range winding.MetricWires() {
		if d > 0.249e-3 && d < 1.7e-3 {
			list = append(list, d)
		}
	}
	return list
}

// HelixVelocity is the phase velocity along the axis of a helix over the speed
// of light, for diameter and pitch [m] at a frequency [Hz]: Kandoian and
// Sichak, 1/√(1 + 20·(D/p)^2.5·(D/λ)^0.5), for D²/(p·λ) up to 1/5.
func HelixVelocity(diameter, pitch, frequency float64) float64 {
	return 1 / math.Sqrt(1+20*math.Pow(diameter/pitch, 2.5)*math.Sqrt(diameter*frequency/speedOfLight))
}

// HelixResonance is the frequency [Hz] at which the coil is so many quarter
// waves long as a helical line with one end grounded: odd numbers are parallel
// resonances seen from the other end, even ones series resonances.
func HelixResonance(coil winding.Solenoid, quarters int) float64 {
	length := coil.Length()
	f := 10e6
	for range 60 { // f ∝ v(f) and v falls as f^(-1/4): the iteration contracts
		next := float64(quarters) * HelixVelocity(coil.Diameter, coil.Pitch, f) * speedOfLight / (4 * length)
		if math.Abs(next-f) < 1e-9*f {
			return next
		}
		f = next
	}
	return f
}

// Band is one band of the amplifier.
type Band struct {
	Name   string
	Centre float64 // [Hz]
}

// resonances estimates the choke's resonances up to half again the highest
// band and lists the bands within their uncertainty.
func resonances(coil winding.Solenoid, bands []Band) []Resonance {
	top := 0.0
	for _, b := range bands {
		top = math.Max(top, b.Centre)
	}
	var list []Resonance
	for n := 1; n <= 40; n++ {
		r := Resonance{Kind: Parallel, Quarters: n, Frequency: HelixResonance(coil, n)}
		if n%2 == 0 {
			r.Kind = Series
		}
		if r.Frequency*(1-ResonanceError) > top && n > 2 {
			break
		}
		for _, b := range bands {
			if math.Abs(b.Centre-r.Frequency) <= ResonanceError*r.Frequency {
				r.Bands = append(r.Bands, b.Name)
			}
		}
		list = append(list, r)
	}
	return list
}
