package tuning

import (
	"fmt"
	"math"

	"anodebook/compute/physics/network"
	"anodebook/compute/physics/twoport"
	"anodebook/spec/quantity"
)

// OutOfReachError says that no setting of the two capacitors gives the plates
// the resistance asked for.
type OutOfReachError struct {
	Resistance float64 // at the plates of all tubes [Ω]
	Why        string
}

func (e *OutOfReachError) Error() string {
	return fmt.Sprintf("tuning: %s Ω at the plates cannot be set: %s", quantity.Short(e.Resistance, 4), e.Why)
}

// match returns tune and load capacitance [F] at which the plates of all tubes
// see the resistance [Ω] and no reactance, with the setup's load and frequency:
// the handbook's tuned and loaded condition. The error is an *OutOfReachError.
func (b *bench) match(resistance float64) (tune, load float64, err error) {
	if !positive(resistance) {
		return 0, 0, &OutOfReachError{resistance, "it is not positive"}
	}
	omega := 2 * math.Pi * b.s.Frequency
	i, j := b.chain.Index(network.TuneCapacitor), b.chain.Index(network.LoadCapacitor)
	// what must stand right of everything between the plates and the tune
	// capacitor, that included
	want := complex(1/resistance, 0)
	for k := range b.chain.Elements[:i] {
		e := &b.chain.Elements[k]
		if e.Placement == twoport.Series {
			want = 1 / (1/want - e.Impedance(omega))
		} else {
			want -= e.Admittance(omega)
		}
	}
	between := twoport.Chain{Elements: b.chain.Elements[i+1 : j]}
	after := twoport.Chain{Elements: b.chain.Elements[j+1:]}
	m := between.Matrix(b.s.Frequency)
	out := 1 / after.InputImpedance(b.s.Frequency, b.s.Load)
	// The load capacitor's loss stands beside its susceptance; that of the tune
	// capacitor, which follows from what is left to tune out, is added here.
	tuneLoss, loadLoss := b.tune.LossTangent, b.load.LossTangent
	right := func(c float64) complex128 {
		y := out + complex(omega*c*loadLoss, omega*c)
		y = (m.C + m.D*y) / (m.A + m.B*y)
		return y + complex(tuneLoss*imag(want-y), 0)
	}
	// The conductance falls as the load capacitance grows, down to the coil's
	// losses; going the other way it rises to its greatest, or to the end.
	g := real(want)
	high := 1.0 / omega // 1 Ω of reactance
	if real(right(high)) >= g {
		return 0, 0, &OutOfReachError{resistance, "the coil's losses alone load the plates more"}
	}
	low, found := high, false
	for last := 0.0; !found; {
		next := low * 0.9
		if next < 1e-15 {
			next = 0
		}
		y := real(right(next))
		switch {
		case y >= g:
			low, found = next, true
		case next == 0 || y < last:
			return 0, 0, &OutOfReachError{resistance, "even the heaviest coupling the load capacitor allows is lighter"}
		default:
			high, low, last = next, next, y
		}
	}
	for range 100 {
		mid := (low + high) / 2
		if mid == low || mid == high {
			break
		}
		if real(right(mid)) >= g {
			low = mid
		} else {
			high = mid
		}
	}
	load = (low + high) / 2
	tune = imag(want-right(load)) / omega
	if tune < 0 {
		return 0, 0, &OutOfReachError{resistance, "the tune capacitor would have to be less than nothing"}
	}
	return tune, load, nil
}
