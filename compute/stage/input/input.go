// Package input works out the matching between the exciter and the cathodes,
// band by band: a pi with a slug-tuned coil and capacitors of standard values,
// what the exciter sees over the band and as the drive rises, what the parts
// bear, and how much the exciter must give.
//
// It assumes sinusoidal steady state and cathodes that are a resistance in
// parallel with the input capacitance of tubes and sockets; the resistance is
// the mean over the cycle that the operating point gives, and moves with the
// drive. The filament choke and the coupling capacitor C6 are taken as large
// (their reactances are held against the cathode resistance where they are
// chosen). Capacitors are lossless, coils have a constant unloaded Q.
//
// Loaded Q means R/X_C on the side of the pi with the higher resistance, all
// of that side's capacitance counted.
package input

import (
	"errors"
	"fmt"
	"math"

	"anodebook/compute/ledger"
	"anodebook/compute/physics/network"
	"anodebook/compute/physics/tube"
	"anodebook/spec"
)

// SourceResistance is what the exciter wants to see [Ω].
const SourceResistance = 50.0

const (
	unknownInputCapacitance = 12e-12 // of one tube whose maker gave none [F]
	usualImpedance          = 50.0   // of the cable between networks and sockets [Ω]
	usualVelocity           = 0.66   // of light, solid polyethylene
	lightSpeed              = 299792458.0
	reachMargin             = 1.02 // keeps a loaded Q that had to be changed clear of the edge
)

// Band is one band to cover, all frequencies in [Hz].
type Band struct {
	Name              string
	Low, High, Centre float64
}

// Input is what the input side needs of the other stages.
type Input struct {
	Bands []Band // in the order of the spec
	Type  *tube.Type

	InputResistance *ledger.Quantity // at the cathodes at full drive, all tubes in parallel [Ω]
	DrivePower      *ledger.Quantity // into the cathodes at full drive, all tubes [W]
	BiasVoltage     *ledger.Quantity // of the cathodes above ground [V]; nil or 0 for zero-bias tubes

	// InputResistanceAt is the cathode resistance [Ω], all tubes, with this
	// share of the full drive power (0 to 1). Nil: it is taken as constant.
	InputResistanceAt func(fractionOfDrive float64) float64
}

// BandResult is one band's input network.
type BandResult struct {
	Band
	Exact   *network.InputPi // as designed, without regard to what can be bought
	Network *network.InputPi // with the parts that are used
	Stress  []network.Stress // at full drive, in the order of the chain

	SWR, EdgeSWR, TenthSWR, HalfSWR float64
	// Corners are the networks with both capacitors at the ends of their
	// tolerance, the slug set anew; ToleranceSWR and ToleranceEdgeSWR the worst
	// of them in the middle and at the edges of the band.
	Corners                        [4]*network.InputPi
	ToleranceSWR, ToleranceEdgeSWR float64

	ExciterPower      float64 // for full drive, before the attenuator [W]
	CoilLow, CoilHigh float64 // range of the slug [H]
}

// Result is the input network of every band, in the order of the input.
type Result struct {
	Bands        []BandResult
	ExciterPower float64 // greatest of all bands [W]
	ExciterBand  string
	cathode      float64
}

// SWR is what the exciter sees on the band with that index at frequency [Hz],
// at full drive.
func (r *Result) SWR(band int, frequency float64) float64 {
	return r.Bands[band].Network.SWR(frequency, r.cathode)
}

// WorstSWR is the worst of SWR with both capacitors anywhere at the ends of
// their tolerance, the slug set anew in the middle of the band.
func (r *Result) WorstSWR(band int, frequency float64) float64 {
	worst := r.SWR(band, frequency)
	for _, n := range r.Bands[band].Corners {
		worst = math.Max(worst, n.SWR(frequency, r.cathode))
	}
	return worst
}

// design finds the exact network of a band; a loaded Q that cannot be matched
// is replaced by the nearest that can.
func design(s *spec.Spec, b Band, resistance, capacitance float64) (*network.InputPi, error) {
	in := network.InputPiInput{
		Frequency: b.Centre, LoadedQ: s.Input.LoadedQ.Value, SourceResistance: SourceResistance,
		CathodeResistance: resistance, CathodeCapacitance: capacitance, CoilQ: s.Input.CoilQ.Value,
	}
	if s.Input.CableLength.Known() && s.Input.CableLength.SI > 0 {
		impedance, velocity := cable(s)
		in.CableImpedance, in.CableDelay = impedance, s.Input.CableLength.SI/(velocity*lightSpeed)
	}
	n, err := network.DesignInputPi(in)
	var none *network.NoMatchError
	if !errors.As(err, &none) {
		return n, err
	}
	switch {
	case none.LeastQ > 0:
		in.LoadedQ = none.LeastQ * reachMargin
	case none.MostQ > 0:
		in.LoadedQ = none.MostQ / reachMargin
	}
	n, again := network.DesignInputPi(in)
	if again != nil {
		return nil, fmt.Errorf("%s: no input network: %w; change input.loaded_q, or feed the cathodes without a cable", b.Name, err)
	}
	return n, nil
}

// cable is the impedance [Ω] and the velocity over that of light of the cable
// between network and sockets, the builder's or the usual ones.
func cable(s *spec.Spec) (impedance, velocity float64) {
	impedance, velocity = usualImpedance, usualVelocity
	if q := s.Input.CableImpedance; q.Given {
		impedance = q.SI
	}
	if q := s.Input.CableVelocity; q.Given {
		velocity = q.Value
	}
	return impedance, velocity
}

// fixCoil sets the coil of the network to inductance [H] as it stands.
func fixCoil(n *network.InputPi, inductance float64) {
	n.Inductance = inductance
	n.Chain.Elements[n.Chain.Index(network.InputCoil)].Inductance = inductance
	n.InputSWR = n.SWR(n.Input.Frequency, n.Input.CathodeResistance)
}
