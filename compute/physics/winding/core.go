package winding

import (
	"fmt"
	"math"

	"anodebook/spec/quantity"
)

// Inductance index A_L: the trade writes iron powder in µH per 100 turns and
// ferrite in mH per 1000 turns; here it is [H] for one turn.

// IronPowderIndex turns µH per 100 turns into [H] per turn squared.
func IronPowderIndex(microhenriesPer100 float64) float64 { return microhenriesPer100 * 1e-10 }

// FerriteIndex turns mH per 1000 turns (= nH per turn squared) into [H] per
// turn squared.
func FerriteIndex(millihenriesPer1000 float64) float64 { return millihenriesPer1000 * 1e-9 }

// TurnsOnCore is the number of turns for inductance [H] on a core with A_L
// [H per turn squared]: √(L/A_L), not rounded.
func TurnsOnCore(inductance, index float64) float64 { return math.Sqrt(inductance / index) }

// ToroidIndex is A_L [H per turn squared] of a ring of rectangular section
// from relative permeability, outer and inner diameter and height [m]:
// μ0·μ·h·ln(OD/ID)/(2π). Rounded edges make real cores some per cent lower.
func ToroidIndex(permeability, outer, inner, height float64) float64 {
	return Mu0 * permeability * height * math.Log(outer/inner) / (2 * math.Pi)
}

// demagnetising factors of rods: Bozorth and Chapin 1942, Bozorth 1951 (from
// memory), length/diameter and N (SI, 0 to 1).
var demagnetising = [][2]float64{{2, 0.14}, {5, 0.04}, {10, 0.0172}, {20, 0.00617}, {50, 0.00129}, {100, 0.00036}}

// RodDemagnetising is the demagnetising factor N (SI) of a rod of high
// permeability with length/diameter 2 to 100 (Bozorth and Chapin 1942, from
// memory); straight lines in the logarithms. An error outside.
func RodDemagnetising(lengthOverDiameter float64) (float64, error) {
	t := demagnetising
	if !(lengthOverDiameter >= t[0][0] && lengthOverDiameter <= t[len(t)-1][0]) {
		return 0, fmt.Errorf("rod: length/diameter of %s is outside %s to %s", quantity.Short(lengthOverDiameter, 3),
			quantity.Short(t[0][0], 6), quantity.Short(t[len(t)-1][0], 6))
	}
	i := 1
	for t[i][0] < lengthOverDiameter {
		i++
	}
	w := math.Log(lengthOverDiameter/t[i-1][0]) / math.Log(t[i][0]/t[i-1][0])
	return t[i-1][1] * math.Pow(t[i][1]/t[i-1][1], w), nil
}

// EllipsoidDemagnetising is the exact demagnetising factor N (SI) of a long
// ellipsoid of revolution with length/diameter > 1:
// [m/√(m²−1)·ln(m + √(m²−1)) − 1]/(m² − 1).
func EllipsoidDemagnetising(lengthOverDiameter float64) float64 {
	m := lengthOverDiameter
	root := math.Sqrt(m*m - 1)
	return (m/root*math.Log(m+root) - 1) / (m*m - 1)
}

// RodPermeability is the effective permeability of a rod from its material's
// relative permeability and the demagnetising factor: μ/(1 + N·(μ − 1)).
func RodPermeability(permeability, demagnetising float64) float64 {
	return permeability / (1 + demagnetising*(permeability-1))
}

// Rod is a ferrite rod with a winding in its middle.
type Rod struct {
	Permeability float64 // relative, of the material (initial)
	Diameter     float64 // [m]
	Length       float64 // [m], 2 to 100 diameters
}

// RodUncertainty is the stated relative uncertainty of an inductance computed
// for a rod: the material's own ±20 % and the shape of the winding.
const RodUncertainty = 0.3

// Area of the rod's section [m²].
func (r Rod) Area() float64 { return math.Pi / 4 * r.Diameter * r.Diameter }

// EffectivePermeability of the rod, wound over its whole length.
func (r Rod) EffectivePermeability() (float64, error) {
	n, err := RodDemagnetising(r.Length / r.Diameter)
	if err != nil {
		return 0, err
	}
	return RodPermeability(r.Permeability, n), nil
}

// Index is A_L [H per turn squared] of a winding of length [m] in the middle
// of the rod: μ0·μ_rod·A/l_rod·(l_rod/l_winding)^(1/3). The cube root for a
// winding shorter than the rod is a rule of thumb (common practice, from
// memory); ±RodUncertainty. An error for a winding longer than the rod.
func (r Rod) Index(winding float64) (float64, error) {
	mu, err := r.EffectivePermeability()
	if err != nil {
		return 0, err
	}
	if !(winding > 0 && winding <= r.Length*(1+1e-9)) {
		return 0, fmt.Errorf("rod: a winding of %s mm does not fit on a rod of %s mm", quantity.Short(winding*1e3, 3),
			quantity.Short(r.Length*1e3, 3))
	}
	return Mu0 * mu * r.Area() / r.Length * math.Cbrt(r.Length/winding), nil
}

// Toroid is a stack of rings with a winding.
type Toroid struct {
	Index                float64 // A_L of one ring [H per turn squared]
	Outer, Inner, Height float64 // of one ring [m]; 0 = not known
	Rings                int     // stacked, ≥ 1
}

// WholeTurns is the whole number of turns, at least one, whose inductance lies
// nearest to the one wanted [H], and that inductance [H].
func (t Toroid) WholeTurns(inductance float64) (turns, got float64) {
	a := t.Index * float64(t.Rings)
	n := TurnsOnCore(inductance, a)
	turns = math.Max(1, math.Floor(n))
	if up := turns + 1; math.Abs(math.Log(a*up*up/inductance)) < math.Abs(math.Log(a*turns*turns/inductance)) {
		turns = up
	}
	return turns, a * turns * turns
}

// Area of the section of the stack [m²]: (OD − ID)/2 times the height.
func (t Toroid) Area() float64 { return (t.Outer - t.Inner) / 2 * t.Height * float64(t.Rings) }

// Surface of the stack, bare [m²].
func (t Toroid) Surface() float64 {
	return math.Pi * ((t.Outer*t.Outer-t.Inner*t.Inner)/2 + (t.Outer+t.Inner)*t.Height*float64(t.Rings))
}

// Room is how many turns of a wire [m] over its insulation lie side by side
// within the hole.
func (t Toroid) Room(wire float64) float64 { return math.Floor(math.Pi * (t.Inner - wire) / wire) }

// WireLength is the wire of turns round the stack, leads not counted [m].
func (t Toroid) WireLength(turns, wire float64) float64 {
	return turns * (t.Outer - t.Inner + 2*t.Height*float64(t.Rings) + 4*wire)
}

// fluxGuide is the peak flux density [T] up to which core makers advise iron
// powder for frequencies [Hz], so that its heat stays moderate (a core maker's
// catalogue, from memory).
var fluxGuide = [][2]float64{{1e6, 15e-3}, {7e6, 5.7e-3}, {14e6, 4.2e-3}, {21e6, 3.6e-3}, {28e6, 3.0e-3}}

// FluxGuide is the peak flux density [T] advised for iron powder at frequency
// [Hz], by straight lines in the logarithms; the ends of the guide, 1 and 28
// MHz, are carried on.
func FluxGuide(frequency float64) float64 {
	t := fluxGuide
	i := 1
	for i < len(t)-1 && t[i][0] < frequency {
		i++
	}
	w := math.Log(frequency/t[i-1][0]) / math.Log(t[i][0]/t[i-1][0])
	return t[i-1][1] * math.Pow(t[i][1]/t[i-1][1], w)
}
