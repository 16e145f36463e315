// Package tank works out the output network of the amplifier, band by band:
// pi or pi-L, from the plates to the 50 Ω connector, with what every part of it
// bears, what it lets through of the harmonics, and what the builder's own
// parts can and cannot reach.
//
// It assumes sinusoidal steady state, coils and variable capacitors of constant
// unloaded Q, a lossless blocking capacitor, no coupling between different
// coils, shorted turns without resistance, and a plate choke that is a plain
// inductance (its self-capacitance counts among the strays at the plates). The safety choke at the connector is left out: its
// reactance is above 25 kΩ on every band. Each band is designed at its middle.
//
// Loaded Q means Q = ω·R_p·(C_plates + C_tune): all of the capacitance at the
// plates over the plate load.
package tank

import (
	"errors"
	"fmt"
	"math"

	"anodebook/compute/data/rules"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/network"
	"anodebook/compute/physics/tube"
	"anodebook/compute/physics/winding"
	"anodebook/spec"
)

// LoadResistance is the rated load at the antenna connector [Ω].
const LoadResistance = 50.0

// unknownOutputCapacitance stands for a type whose plate capacitance nobody
// published [F].
const unknownOutputCapacitance = 8e-12

// assumedMinimum is the least capacitance of a tune capacitor that the builder
// does not have yet [F].
const assumedMinimum = 10e-12

// Band is one band to cover, all frequencies in [Hz].
type Band struct {
	Name              string
	Low, High, Centre float64
}

// Bands looks up the spec's bands in its rule set. An error names a band that
// the rule set does not have.
func Bands(s *spec.Spec) ([]Band, error) {
	set, err := rules.Lookup(s.Notebook.Rules.Value)
	if err != nil {
		return nil, err
	}
	var list []Band
	for _, name := range s.Target.Bands.Values {
		b, err := set.Band(name)
		if err != nil {
			return nil, err
		}
		list = append(list, Band{name, b.Low, b.High, b.Centre()})
	}
	return list, nil
}

// Feed is what the plate feed puts into the tank's way.
type Feed struct {
	ChokeInductance     float64 // of the plate choke, to ground at the plates [H], > 0
	BlockingCapacitance float64 // in series to the tank [F], > 0
}

// PlateCapacitance is what stands at the plates, tubes and strays [F].
func PlateCapacitance(s *spec.Spec, t *tube.Type, tubes int) float64 {
	return float64(tubes)*outputCapacitance(t) + s.Tank.Stray.SI
}

func outputCapacitance(t *tube.Type) float64 {
	if t.Capacitance.Output.Known {
		return t.Capacitance.Output.Value
	}
	return unknownOutputCapacitance
}

// minimumTune is the least capacitance at the tank input with so many of the
// capacitor's sections in use [F]; 0 stands for all of them.
func minimumTune(s *spec.Spec, sections int) float64 {
	if !s.Tank.Tune.Capacitance.Given {
		return assumedMinimum
	}
	return s.Tank.Tune.Capacitance.Low * share(s.Tank.Tune, sections)
}

// share is what sections in use are of a capacitor [1]; 0 stands for all.
func share(c spec.VariableCapacitor, sections int) float64 {
	if sections == 0 || !c.Capacitance.Given {
		return 1
	}
	return float64(sections) / float64(max(1, c.Sections.N))
}

// sectionsFor is the greatest number of sections whose least capacitance does
// not exceed what is needed [F]; one if even that is too much.
func sectionsFor(c spec.VariableCapacitor, least float64) int {
	all := max(1, c.Sections.N)
	if !c.Capacitance.Given {
		return all
	}
	for k := all; k > 1; k-- {
		if c.Capacitance.Low*share(c, k) <= least*(1+slack) {
			return k
		}
	}
	return 1
}

// tuneSections is how many sections of the tune capacitor are in use on a band:
// as many as the upper band edge lets be opened far enough at the loaded Q
// wanted.
func tuneSections(s *spec.Spec, b Band, loadedQ, plateLoad, plateCapacitance float64) int {
	all := loadedQ / (2 * math.Pi * b.Centre * plateLoad)
	return sectionsFor(s.Tank.Tune, all*math.Pow(b.Centre/b.High, 2)-plateCapacitance)
}

// wanted gives loaded Q and coil Q of a band, with the band's own keys first.
func wanted(s *spec.Spec, band string) (loaded, coil spec.Ratio) {
	loaded, coil = s.Tank.LoadedQ, s.Tank.CoilQ
	if b, ok := s.Tank.Band[band]; ok {
		if b.LoadedQ.Given {
			loaded = b.LoadedQ
		}
		if b.CoilQ.Given {
			coil = b.CoilQ
		}
	}
	return loaded, coil
}

// middleResistance is the pi-L's resistance at the load capacitor [Ω]: the
// builder's, or the usual one as far as the plate load allows.
func middleResistance(s *spec.Spec, plateLoad float64) float64 {
	if s.Tank.Middle.Given {
		return s.Tank.Middle.SI
	}
	return math.Min(s.Tank.Middle.SI, math.Sqrt(plateLoad*LoadResistance))
}

// reachMargin keeps a loaded Q that had to be changed clear of the very edge
// of what can be matched, where a capacitor vanishes.
const reachMargin = 1.02

// Networks designs the tank of every band without writing anything down, for
// the iteration with the operating point: plateCapacitance [F] from
// PlateCapacitance, plateLoad [Ω] of all tubes together. A loaded Q out of
// reach is replaced by the nearest that can be matched (Solve reports it); an
// error means that no network does on that band.
func Networks(s *spec.Spec, bands []Band, plateCapacitance, plateLoad float64, feed Feed) ([]*network.Tank, error) {
	if !(feed.ChokeInductance > 0 && feed.BlockingCapacitance > 0) {
		return nil, fmt.Errorf("the tank needs a plate choke and a blocking capacitor: without them the plate voltage would stand on " +
			"the tank coil")
	}
	list := make([]*network.Tank, len(bands))
	for i, b := range bands {
		t, err := design(s, b, plateCapacitance, plateLoad, feed)
		if err != nil {
			return nil, fmt.Errorf("%s: no output network: %w", b.Name, err)
		}
		list[i] = t
	}
	return list, nil
}

func design(s *spec.Spec, b Band, plateCapacitance, plateLoad float64, feed Feed) (*network.Tank, error) {
	loaded, coil := wanted(s, b.Name)
	in := network.TankInput{
		Frequency: b.Centre, PlateLoad: plateLoad, LoadedQ: loaded.Value,
		TubeCapacitance: plateCapacitance, ChokeInductance: feed.ChokeInductance, Blocking: feed.BlockingCapacitance,
		CoilQ: coil.Value, TuneQ: s.Tank.Tune.Q.Value, LoadQ: s.Tank.Load.Q.Value, LoadResistance: LoadResistance,
		MinimumTune: minimumTune(s, tuneSections(s, b, loaded.Value, plateLoad, plateCapacitance)),
	}
	if s.Tank.Network.Value == "pi-L" {
		in.PiL, in.OutputCoilQ, in.IntermediateResistance = true, s.Tank.OutputCoilQ.Value, middleResistance(s, plateLoad)
	}
	t, err := network.DesignTank(in)
	var none *network.NoMatchError
	if !errors.As(err, &none) {
		return t, err
	}
	switch {
	case none.LeastQ > 0:
		in.LoadedQ = none.LeastQ * reachMargin
	case none.MostQ > 0:
		in.LoadedQ = none.MostQ / reachMargin
	}
	t, again := network.DesignTank(in)
	if again != nil {
		return nil, fmt.Errorf("%w; lower tank.tune.range or tank.stray_capacitance, raise tank.coil_q, or choose another plate load",
			err)
	}
	return t, nil
}

// Input is what the tank needs of the other stages.
type Input struct {
	Bands    []Band          // in the order of the spec
	Networks []*network.Tank // of the same bands, from Networks with the final plate load
	Type     *tube.Type

	PlateLoad    *ledger.Quantity // all tubes [Ω]
	PlateVoltage *ledger.Quantity // DC, loaded [V]
	PlateOutput  *ledger.Quantity // RF power at the plates at the crest of the envelope [W]
	Output       *ledger.Quantity // wanted at the antenna connector, PEP [W]

	// AnodeCurrents are the amplitudes of the harmonics 1 to 7 of the anode
	// current, all tubes [A peak], the fundamental first.
	AnodeCurrents []float64

	SWR             *ledger.Quantity // greatest at the connector, ≥ 1
	ChokeInductance *ledger.Quantity // plate choke [H]
	Blocking        *ledger.Quantity // blocking capacitor [F]

	HarmonicLimit  float64 // least attenuation below the fundamental [dB], > 0; 0 = the rules give none
	HarmonicSource ledger.Source
}

// Setting is what the knobs must be turned to at one frequency, the coil left
// at its tap.
type Setting struct {
	Frequency float64 // [Hz]
	Tune      float64 // all of the capacitance at the tank input [F]
	Load      float64 // load capacitance [F]
	LoadedQ   float64
}

// BandResult is one band's tank.
type BandResult struct {
	Band
	Tank *network.Tank

	OutputPower float64          // at the connector, PEP, 50 Ω [W]
	Harmonics   []float64        // 2 to 7 [dB relative to the fundamental], index 0 is the second
	Flat        []network.Stress // at OutputPower into 50 Ω, in the order of the chain
	Mismatched  []network.Stress // at the worst phase of the SWR
	Edges       []Setting        // at the low and the high band edge, where they can be reached
	Turns       float64          // in use, counted from the plate end of its coil; 0 unknown
	OnHighCoil  bool             // the tap is on the high-band coil, the tank coil shorted
}

// Response is the network's transfer at frequency [Hz] against that at the
// band's middle [dB], the plates taken as a current source into 50 Ω.
func (b *BandResult) Response(frequency float64) float64 { return b.Tank.Response(frequency) }

// Stress finds what the element of the chain with the name bears, into 50 Ω
// and at the worst phase of the SWR; ok is false if there is none.
func (b *BandResult) Stress(element string) (flat, mismatched network.Stress, ok bool) {
	i := b.Tank.Chain.Index(element)
	if i < 0 {
		return flat, mismatched, false
	}
	return b.Flat[i], b.Mismatched[i], true
}

// Result is the tank of every band, in the order of the input.
type Result struct {
	Bands []BandResult

	LeastOutput float64 // of all bands, PEP [W]
	LeastBand   string  // where it is
	Coil        float64 // greatest inductance that is needed, both coils together [H]
	CoilTurns   float64 // of the tank coil; 0 unknown
	Coils       []Coil  // what there is to wind, from the plates on
}

// Coil is one single-layer coil with its taps, for the winding list and the
// drawing.
type Coil struct {
	Designator string
	Name       string
	Start      string // what its first turn joins
	End        string // what its last turn joins
	Winding    winding.Solenoid
	Conductor  winding.Conductor
	Taps       []Tap // in the order of the bands
}

// Tap is where a band's wiper stands.
type Tap struct {
	Band  string
	Turns float64 // from the start
}
