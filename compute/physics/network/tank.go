// Package network designs the matching networks of the amplifier: the pi and
// pi-L output tank and the pi at the cathodes, with lossy coils and with every
// part that stands in circuit.
//
// It assumes sinusoidal steady state, coils and capacitors with a constant
// unloaded Q, a lossless blocking capacitor, and no coupling between coils. Phasors and stated
// voltages and currents are peak unless the name says RMS.
//
// Loaded Q means Q = ω·R_p·(C_tube + C_tune): all of the capacitance on the
// plate side, after the older handbooks' Q = R_p/X_C. Other definitions are in
// print; the textbook functions of this package tell them apart.
package network

import (
	"fmt"
	"math"
	"math/cmplx"

	"anodebook/compute/physics/twoport"
	"anodebook/spec/quantity"
)

// Names of the elements in a tank's chain, from the plates to the load.
const (
	TubeCapacitance   = "tube capacitance"
	PlateChoke        = "plate choke"
	BlockingCapacitor = "blocking capacitor"
	TuneCapacitor     = "tune capacitor"
	TankCoil          = "coil"
	LoadCapacitor     = "load capacitor"
	OutputCoil        = "output coil"
	SafetyChoke       = "safety choke"
)

// TankInput is what must be known to design a tank. Zero means 'not there'
// unless the field says otherwise.
type TankInput struct {
	Frequency float64 // [Hz], > 0
	PlateLoad float64 // resistance the plates shall see, all tubes together [Ω], > 0
	LoadedQ   float64 // ω·R_p·(C_tube + C_tune), > 0

	TubeCapacitance  float64 // at the plates: tubes and strays [F]
	ChokeInductance  float64 // plate choke [H]
	ChokeCapacitance float64 // self-capacitance of the plate choke [F]
	ChokeQ           float64 // of the plate choke; 0 = lossless
	Blocking         float64 // blocking capacitor [F]; 0 = a direct connection

	CoilQ       float64 // unloaded Q of the tank coil; 0 = lossless
	TuneQ       float64 // of the tune capacitor, 1/tan δ; 0 = lossless
	LoadQ       float64 // of the load capacitor, 1/tan δ; 0 = lossless
	MinimumTune float64 // least capacitance there can be at the tank input [F]

	PiL                    bool    // with an output coil
	OutputCoilQ            float64 // unloaded Q of the output coil; 0 = lossless
	IntermediateResistance float64 // pi-L: parallel resistance at the load capacitor [Ω]; 0 = DefaultIntermediate

	LoadResistance float64 // at the connector [Ω]; 0 = 50 Ω
	SafetyChoke    float64 // across the connector [H]
}

// Tank is a designed output tank.
type Tank struct {
	Input TankInput // as given, with defaults filled in

	LoadedQ          float64 // that results; above the input's when HeldAtMinimum
	HeldAtMinimum    bool    // the tune capacitance stands at MinimumTune, so that Q rose
	TuneCapacitance  float64 // at the tank input, all of it but the tube's [F]
	Inductance       float64 // of the tank coil [H]
	LoadCapacitance  float64 // [F]
	OutputInductance float64 // of the output coil [H]; 0 for a pi
	PlateResistance  float64 // series resistance that the plates see [Ω]
	PlateReactance   float64 // series reactance that the plates see [Ω], 0 at resonance
	Efficiency       float64 // power in the load / power at the plates, 0 to 1
	Chain            twoport.Chain
}

// DefaultIntermediate is the intermediate resistance of a pi-L when none is
// given [Ω]: six times the load (300 Ω for 50 Ω, the value of the handbook
// tables), but not above the geometric mean of plate load and load, so that
// the pi still steps down at low plate loads. Common practice.
func DefaultIntermediate(plateLoad, load float64) float64 {
	return math.Min(6*load, math.Sqrt(plateLoad*load))
}

// NoMatchError says that no set of positive values matches at the loaded Q.
type NoMatchError struct {
	LoadedQ float64 // asked for, or forced by the least tune capacitance
	LeastQ  float64 // least loaded Q that works; 0 when none was found
	MostQ   float64 // greatest loaded Q that works, when LoadedQ is above it; else 0
}

func (e *NoMatchError) Error() string {
	switch {
	case e.MostQ > 0:
		return fmt.Sprintf("a loaded Q of %s cannot be matched: the coil loses too much, the greatest that works is %s",
			digits(e.LoadedQ), digits(e.MostQ))
	case e.LeastQ > 0:
		return fmt.Sprintf("a loaded Q of %s cannot be matched, the least that works is %s", digits(e.LoadedQ), digits(e.LeastQ))
	}
	return fmt.Sprintf("a loaded Q of %s cannot be matched, and no other up to %.0f either", digits(e.LoadedQ), highestQ)
}

// digits writes a plain number for a sentence, three digits and no exponent.
func digits(v float64) string {
	if v >= 1000 {
		return fmt.Sprintf("%.0f", v)
	}
	return quantity.Short(v, 3)
}

// highestQ bounds the search for a loaded Q that works.
const highestQ = 2000.0

// piValues are the parts of the lossy half from the tune capacitor onward.
type piValues struct{ tune, coil, load float64 }

// quadratic gives both real roots of a·x² + b·x + c = 0, the larger first.
func quadratic(a, b, c float64) (high, low float64, ok bool) {
	disc := b*b - 4*a*c
	if disc < 0 || a == 0 {
		return 0, 0, false
	}
	m := -0.5 * (b + math.Copysign(math.Sqrt(disc), b))
	r1, r2 := m/a, c/m
	if m == 0 {
		r2 = 0
	}
	return math.Max(r1, r2), math.Min(r1, r2), true
}

// lossOf is tan δ of a part of unloaded Q; 0 stands for lossless.
func lossOf(q float64) float64 {
	if q > 0 {
		return 1 / q
	}
	return 0
}

// shuntAndSeries finds the coil and the capacitor that make
// ωL/Q_u + jωL + 1/(y + ωC·(d + j)) equal to z3, with y = G + jB the load
// admittance and d the capacitor's tan δ.
//
// With R = 1/(G − d·B), x = (B + ωC)·R and a = Re z3 − Im z3/Q_u the real and
// imaginary parts give a·(1 + d²)·x² − (R·(d + 1/Q_u) − 2·a·d)·x + (a − R) = 0
// and ωL = Im z3 + R·x/((1 + d·x)² + x²).
func shuntAndSeries(omega float64, z3, y complex128, coilQ, capacitorQ float64) (coil, capacitor float64, ok bool) {
	loss, d := lossOf(coilQ), lossOf(capacitorQ)
	r := 1 / (real(y) - d*imag(y))
	a := real(z3) - imag(z3)*loss
	if !(a > 0) || !(r > 0) {
		return 0, 0, false
	}
	x, _, ok := quadratic(a*(1+d*d), 2*a*d-r*(d+loss), a-r)
	if !ok {
		return 0, 0, false
	}
	coil = (imag(z3) + r*x/((1+d*x)*(1+d*x)+x*x)) / omega
	capacitor = (x/r - imag(y)) / omega
	// A capacitance of zero is the end of the range, where the pi becomes an L.
	if capacitor < 0 && capacitor > -1e-12*real(y)/omega {
		capacitor = 0
	}
	return coil, capacitor, coil > 0 && capacitor >= 0
}

// plateSide gives the admittance that the tune capacitor must see to its
// right, ready for C_tune: Y = 1/R_p less tube, choke and blocking capacitor.
func (in *TankInput) plateSide(omega float64) complex128 {
	y := complex(1/in.PlateLoad, -omega*in.TubeCapacitance)
	choke := in.choke()
	y -= choke.Admittance(omega)
	if in.Blocking > 0 {
		y = 1 / (1/y + complex(0, 1/(omega*in.Blocking)))
	}
	return y
}

func (in *TankInput) choke() twoport.Element {
	e := twoport.ShuntInductor(PlateChoke, in.ChokeInductance, in.ChokeQ)
	e.ParallelCapacitance = in.ChokeCapacitance
	return e
}

// outputSide gives the output coil [H] (0 for a pi) and the admittance that
// stands across the load capacitor.
func (in *TankInput) outputSide(omega float64) (coil float64, y complex128, err error) {
	y = complex(1/in.LoadResistance, 0)
	if in.SafetyChoke > 0 {
		y += complex(0, -1/(omega*in.SafetyChoke))
	}
	if !in.PiL {
		return 0, y, nil
	}
	z := 1 / y
	loss := 0.0
	if in.OutputCoilQ > 0 {
		loss = 1 / in.OutputCoilQ
	}
	// With X the coil's reactance the branch is Ro + X/Q + j(Xo + X); its
	// parallel resistance |Z|²/Re Z shall be the intermediate resistance.
	ro, xo, ri := real(z), imag(z), in.IntermediateResistance
	x, _, ok := quadratic(1+loss*loss, 2*xo+2*ro*loss-ri*loss, ro*ro+xo*xo-ri*ro)
	if !ok || x <= 0 {
		return 0, 0, fmt.Errorf("an intermediate resistance of %s Ω cannot be reached from %s Ω with an output coil: choose a higher "+
			"one", digits(ri), digits(in.LoadResistance))
	}
	return x / omega, 1 / (z + complex(x*loss, x)), nil
}

// at solves the parts right of the blocking capacitor for one loaded Q.
func (in *TankInput) at(omega, q float64, plate, out complex128) (v piValues, ok bool) {
	v.tune = q/(omega*in.PlateLoad) - in.TubeCapacitance
	z3 := 1 / (plate - complex(omega*v.tune*lossOf(in.TuneQ), omega*v.tune))
	v.coil, v.load, ok = shuntAndSeries(omega, z3, out, in.CoilQ, in.LoadQ)
	return v, ok && v.tune >= 0
}

func (in *TankInput) validate() error {
	for _, p := range []struct {
		name   string
		value  float64
		needed bool
	}{
		{"frequency", in.Frequency, true}, {"plate load", in.PlateLoad, true}, {"loaded Q", in.LoadedQ, true},
		{"load resistance", in.LoadResistance, true},
		{"tube capacitance", in.TubeCapacitance, false}, {"plate choke", in.ChokeInductance, false},
		{"choke capacitance", in.ChokeCapacitance, false}, {"choke Q", in.ChokeQ, false},
		{"blocking capacitor", in.Blocking, false}, {"coil Q", in.CoilQ, false}, {"tune capacitor Q", in.TuneQ, false},
		{"load capacitor Q", in.LoadQ, false},
		{"minimum tune capacitance", in.MinimumTune, false}, {"output coil Q", in.OutputCoilQ, false},
		{"intermediate resistance", in.IntermediateResistance, false}, {"safety choke", in.SafetyChoke, false},
	} {
		if math.IsNaN(p.value) || math.IsInf(p.value, 0) || p.value < 0 || p.needed && p.value == 0 {
			return fmt.Errorf("tank: %s of %s is out of range", p.name, quantity.Short(p.value, 6))
		}
	}
	return nil
}

// DesignTank finds the tune capacitance, coil(s) and load capacitance that
// make the plates see PlateLoad + j0 with everything in circuit. The solution
// is exact and in closed form. Errors: a value out of range, an intermediate
// resistance out of reach, *NoMatchError.
func DesignTank(in TankInput) (*Tank, error) {
	if in.LoadResistance == 0 {
		in.LoadResistance = 50
	}
	if in.PiL && in.IntermediateResistance == 0 {
		in.IntermediateResistance = DefaultIntermediate(in.PlateLoad, in.LoadResistance)
	}
	if err := in.validate(); err != nil {
		return nil, err
	}
	omega := 2 * math.Pi * in.Frequency
	outputCoil, out, err := in.outputSide(omega)
	if err != nil {
		return nil, err
	}
	plate := in.plateSide(omega)
	q := in.LoadedQ
	least := omega * in.PlateLoad * (in.TubeCapacitance + in.MinimumTune)
	held := q < least
	if held {
		q = least
	}
	v, ok := in.at(omega, q, plate, out)
	if !ok {
		return nil, noMatch(q, func(q float64) bool { _, ok := in.at(omega, q, plate, out); return ok })
	}
	t := &Tank{
		Input: in, LoadedQ: q, HeldAtMinimum: held,
		TuneCapacitance: v.tune, Inductance: v.coil, LoadCapacitance: v.load, OutputInductance: outputCoil,
	}
	t.Chain = t.chain()
	load := complex(in.LoadResistance, 0)
	z := t.Chain.InputImpedance(in.Frequency, load)
	t.PlateResistance, t.PlateReactance = real(z), imag(z)
	transfer := cmplx.Abs(t.Chain.TransferImpedance(in.Frequency, load))
	t.Efficiency = transfer * transfer / in.LoadResistance / real(z)
	return t, nil
}

// chain lists the elements in the order of the package's names; parts that are
// not there are left out.
func (t *Tank) chain() twoport.Chain {
	in := &t.Input
	list := make([]twoport.Element, 0, 8)
	if in.TubeCapacitance > 0 {
		list = append(list, twoport.ShuntCapacitor(TubeCapacitance, in.TubeCapacitance, 0))
	}
	if in.ChokeInductance > 0 || in.ChokeCapacitance > 0 {
		list = append(list, in.choke())
	}
	if in.Blocking > 0 {
		list = append(list, twoport.SeriesCapacitor(BlockingCapacitor, in.Blocking, 0))
	}
	list = append(list,
		twoport.ShuntCapacitor(TuneCapacitor, t.TuneCapacitance, lossOf(in.TuneQ)),
		twoport.SeriesInductor(TankCoil, t.Inductance, in.CoilQ),
		twoport.ShuntCapacitor(LoadCapacitor, t.LoadCapacitance, lossOf(in.LoadQ)))
	if in.PiL {
		list = append(list, twoport.SeriesInductor(OutputCoil, t.OutputInductance, in.OutputCoilQ))
	}
	if in.SafetyChoke > 0 {
		list = append(list, twoport.ShuntInductor(SafetyChoke, in.SafetyChoke, 0))
	}
	return twoport.Chain{Elements: list}
}

// noMatch looks for the nearest loaded Q that works: first above, then below.
func noMatch(q float64, works func(q float64) bool) error {
	edge := func(bad, good float64) float64 {
		for range 60 {
			if mid := (bad + good) / 2; works(mid) {
				good = mid
			} else {
				bad = mid
			}
		}
		return good
	}
	const step = 1.02
	for up := q * step; up < highestQ; up *= step {
		if works(up) {
			return &NoMatchError{LoadedQ: q, LeastQ: edge(up/step, up)}
		}
	}
	for down := q / step; down > 0.1; down /= step {
		if works(down) {
			return &NoMatchError{LoadedQ: q, MostQ: edge(down*step, down)}
		}
	}
	return &NoMatchError{LoadedQ: q}
}
