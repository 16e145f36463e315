package preferred

import "math"

// Body is a tubular wirewound resistor as sold: rated power and the size that
// goes with it.
type Body struct {
	Power    float64 // [W]
	Diameter float64 // of the winding [m]
	Length   float64 // of the body [m]
}

// Bodies are the wirewound bodies to choose from, ascending: 25, 50, 100 and
// 225 W, 9/16 in by 2 and 4 in, 3/4 in by 6 1/2 in, 1 1/8 in by 10 1/2 in. The
// sizes are those of vitreous enamelled tubes in the catalogues of the trade,
// from memory; bodies of other series differ by a quarter.
var Bodies = [...]Body{
	{25, 14.3e-3, 51e-3},
	{50, 14.3e-3, 102e-3},
	{100, 19.1e-3, 165e-3},
	{225, 28.6e-3, 267e-3},
}

// What is assumed of the wire of such a body, common practice.
const (
	bodyEnds      = 15e-3   // length of the body that the bands take [m]
	bodyPitch     = 2.0     // pitch of the winding over the wire's diameter [1]
	wireOhms      = 0.49e-6 // copper-nickel, the lightest that low values are wound of [Ω·m]
	wireDensity   = 8900.0  // [kg/m³]
	wireHeat      = 410.0   // specific heat [J/(kg·K)]
	wireRise      = 250.0   // that a pulse may add [K]
	overload      = 25.0    // energy for each watt: five times rated power for 5 s [J/W]
	bodyField     = 40e3    // voltage along the winding in one pulse [V/m]: a kilovolt for each inch
	mostBodies    = 12
	smallestShare = 25.0 // below this power a body is taken as the smallest one, shrunk [W]
)

// BodyDoubt is how far the pulse energy of a body may be off, either way [1]:
// wire and pitch are the maker's business.
const BodyDoubt = 0.5

// PulseEnergy is the energy of one short pulse [J] that the body takes, wound
// for the resistance [Ω, > 0]: no heat leaves the wire meanwhile, so its mass
// and a rise of 250 K count; never more than five times rated power for 5 s. A
// single layer of round wire with a pitch of two diameters has
// d³ = 2·ρ·D·l/R and a mass of γ·π²·D·l·d/8. Within BodyDoubt.
func (b Body) PulseEnergy(resistance float64) float64 {
	if !(resistance > 0) {
		return 0
	}
	area := b.Diameter * b.winding()
	wire := math.Cbrt(4 / bodyPitch * wireOhms * area / resistance)
	mass := wireDensity * math.Pi * math.Pi * area * wire / (4 * bodyPitch)
	return math.Min(mass*wireHeat*wireRise, overload*b.Power)
}

// PulseVoltage is what the body stands end to end in one pulse [V]: 40 V for
// each millimetre of its winding (common practice).
func (b Body) PulseVoltage() float64 { return bodyField * b.winding() }

func (b Body) winding() float64 { return math.Max(b.Length-bodyEnds, b.Length/2) }

// BodyOf is the body that a resistor of a rated power [W, > 0] is taken to
// have: the next smaller one sold, or the smallest shrunk in proportion.
func BodyOf(power float64) Body {
	if power < smallestShare {
		k := math.Sqrt(power / smallestShare)
		return Body{power, Bodies[0].Diameter * k, Bodies[0].Length * k}
	}
	b := Bodies[0]
	for _, x := range Bodies {
		if x.Power <= power {
			b = x
		}
	}
	return b
}

// Wirewound chooses the fewest bodies in series, and of those the smallest,
// that together have the resistance [Ω, > 0] and bear power [W], the energy of
// one pulse [J] and the voltage across all of them [V]. Not ok where a dozen of
// the largest do not.
func Wirewound(resistance, power, energy, voltage float64) (b Body, count int, ok bool) {
	for n := 1; n <= mostBodies; n++ {
		k := float64(n)
		for _, b := range Bodies {
			if b.Power*k >= power && b.PulseEnergy(resistance/k)*k >= energy && b.PulseVoltage()*k >= voltage {
				return b, n, true
			}
		}
	}
	return Bodies[len(Bodies)-1], mostBodies, false
}
