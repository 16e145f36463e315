package winding

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var tank = Solenoid{Diameter: 63e-3, Pitch: 9e-3, Wire: 4.76e-3, Turns: 17}

// A tap at the end leaves nothing over; a coil and its mirror image have the
// same mutual inductance; coupling stays below one and falls along the coil.
func TestSplit(t *testing.T) {
	whole := tank.Split(17)
	assert.Zero(t, whole.Rest)
	assert.Equal(t, tank.Inductance(), whole.Shorted())
	a, b := tank.Split(5), tank.Split(12)
	assert.InEpsilon(t, a.Mutual, b.Mutual, 1e-9)
	for n := 1.0; n < 17; n += 0.37 {
		p := tank.Split(n)
		k := p.Mutual / math.Sqrt(p.Used.Inductance()*p.Behind)
		assert.True(t, k >= 0 && k < 0.6, "%g turns: %g", n, k)
		assert.Less(t, p.Shorted(), p.Used.Inductance())
		// In series the parts make the whole again.
		if p.Rest >= 1 {
			assert.InEpsilon(t, tank.Inductance(), p.Used.Inductance()+p.Behind+2*p.Mutual, 1e-9)
		}
	}
}

// The mutual inductance of two halves against Maxwell's coaxial filaments,
// summed turn by turn (Circular 74 gives the same sum): 1 %.
func TestMutualAgainstFilaments(t *testing.T) {
	filaments := func(d, x float64) float64 { // equal circles, x apart
		r := d / 2
		k2 := 4 * r * r / (4*r*r + x*x)
		k := math.Sqrt(k2)
		ck, ce := ellipticForTest(k2)
		return Mu0 * r * ((2/k-k)*ck - 2/k*ce)
	}
	p := tank.Split(7)
	sum := 0.0
	for i := range 7 {
		for j := 7; j < 17; j++ {
			sum += filaments(tank.Diameter, float64(j-i)*tank.Pitch)
		}
	}
	assert.InEpsilon(t, sum, p.Mutual, 0.01)
}

// ellipticForTest gives K and E by the arithmetic-geometric mean, another way
// than the package's own.
func ellipticForTest(m float64) (k, e float64) {
	a, b, c, sum, p := 1.0, math.Sqrt(1-m), math.Sqrt(m), m/2, 1.0
	for math.Abs(c) > 1e-15 {
		a, b, c = (a+b)/2, math.Sqrt(a*b), (a-b)/2
		sum += p * c * c
		p *= 2
	}
	k = math.Pi / 2 / a
	return k, k * (1 - sum)
}

func TestTap(t *testing.T) {
	for _, shorted := range []bool{false, true} {
		last := 0.0
		for l := 0.2e-6; l < tank.Inductance(); l *= 1.13 {
			p, err := tank.Tap(l, shorted)
			require.NoError(t, err)
			got := p.Used.Inductance()
			if shorted {
				got = p.Shorted()
			}
			assert.InEpsilon(t, l, got, 1e-8)
			assert.Greater(t, p.Used.Turns, last)
			last = p.Used.Turns
		}
	}
	open, err := tank.Tap(1e-6, false)
	require.NoError(t, err)
	short, err := tank.Tap(1e-6, true)
	require.NoError(t, err)
	assert.Greater(t, short.Used.Turns, open.Used.Turns)
	p, err := tank.Tap(tank.Inductance(), true)
	require.NoError(t, err)
	assert.InEpsilon(t, 17, p.Used.Turns, 1e-9)
	_, err = tank.Tap(20e-6, true)
	assert.ErrorContains(t, err, "more than the whole coil")
	_, err = tank.Tap(10e-9, true)
	assert.ErrorContains(t, err, "within the first turn")
}

func TestMaterials(t *testing.T) {
	get := func(name string) Material {
		m, err := LookupMaterial(name)
		require.NoError(t, err)
		return m
	}
	for _, f := range []float64{1.8e6, 14e6, 28e6} {
		assert.InEpsilon(t, 1, get("copper").SurfaceFactor(f, 20), 1e-12)
		assert.InEpsilon(t, math.Sqrt(2.65e-8*58e6), get("aluminium").SurfaceFactor(f, 20), 1e-9)
		assert.Greater(t, get("brass").SurfaceFactor(f, 20), 1.7)
		silver := get("silver-plated")
		// No plating is copper, a thick one silver.
		silver.Plating = 1e-12
		assert.InDelta(t, 1, silver.SurfaceFactor(f, 20), 1e-6)
		silver.Plating = 1e-2
		assert.InEpsilon(t, math.Sqrt(silverResistivity*58e6), silver.SurfaceFactor(f, 20), 1e-9)
		silver.Plating = 10e-6
		at := silver.SurfaceFactor(f, 20)
		assert.True(t, at < 1.001 && at > 0.93, "%g", at)
	}
	_, err := LookupMaterial("gold")
	assert.Error(t, err)
}

func TestConductor(t *testing.T) {
	copper, err := LookupMaterial("copper")
	require.NoError(t, err)
	wire := Conductor{Material: copper, Diameter: 4.76e-3}
	assert.Equal(t, RoundWireResistance(4.76e-3, 14e6, 20), wire.Resistance(14e6, 20))
	// A thick wall is a solid wire, the rule of check 5.3.
	tube := wire
	tube.Wall = 0.8e-3
	assert.InEpsilon(t, wire.Resistance(14e6, 20), tube.Resistance(14e6, 20), 1e-12)
	// The geometric mean distance of a square of side 1 is 0.44705 (Circular
	// 74, from memory); a ribbon resists less than the wire of its thickness.
	square := Conductor{Material: copper, Width: 1e-3, Thickness: 1e-3}
	assert.InEpsilon(t, 0.44705e-3, square.EquivalentDiameter()/2*0.7788, 0.002)
	flat := Conductor{Material: copper, Width: 10e-3, Thickness: 1e-3}
	assert.Less(t, flat.Resistance(14e6, 20), RoundWireResistance(3e-3, 14e6, 20))
	assert.Equal(t, 10e-3, flat.Along())
	flat.Edgewise = true
	assert.Equal(t, 1e-3, flat.Along())
}

// Published check 11e: 10 µH on a ring of 120 µH per 100 turns take 28.9.
func TestToroid(t *testing.T) {
	ring := Toroid{Index: IronPowderIndex(120), Outer: 2 * inch, Inner: 1.25 * inch, Height: 0.55 * inch, Rings: 1}
	n, got := ring.WholeTurns(10e-6)
	assert.Equal(t, 29.0, n)
	assert.InEpsilon(t, 10e-6, got, 0.01)
	ring.Rings = 2
	n, _ = ring.WholeTurns(10e-6)
	assert.Equal(t, 20.0, n)
	// Two rings: section (2 − 1.25)/2 × 0.55 in, twice.
	assert.InEpsilon(t, 2*0.375*0.55*inch*inch, ring.Area(), 1e-12)
	assert.Greater(t, ring.Surface(), 4*math.Pi*0.375*0.55*inch*inch)
	assert.True(t, ring.Room(2e-3) > 40 && ring.Room(2e-3) < 50)
	assert.Greater(t, ring.WireLength(20, 2e-3), 20*2*(0.375+1.1)*inch)
}

// The guide's own points, and no more flux at a higher frequency.
func TestFluxGuide(t *testing.T) {
	assert.InEpsilon(t, 5.7e-3, FluxGuide(7e6), 1e-9)
	assert.InEpsilon(t, 3e-3, FluxGuide(28e6), 1e-9)
	last := 1.0
	for f := 1.8e6; f < 30e6; f *= 1.1 {
		b := FluxGuide(f)
		assert.Less(t, b, last)
		last = b
	}
}
