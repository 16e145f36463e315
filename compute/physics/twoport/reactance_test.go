package twoport

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Reactances with their signs: 100 pF at 14 MHz carry 26.39 A at 3000 V
// (published-checks 10m), ahead of the voltage; L·C of 516.9 µH·pF resonates
// at 7 MHz (published-checks 3.7b); a coil lags.
func TestReactancesHaveTheirSigns(t *testing.T) {
	omega := 2 * math.Pi * 14e6
	c, l := SeriesCapacitor("C", 100e-12, 0), SeriesInductor("L", 1e-6, 0)
	assert.InEpsilon(t, -3000/26.39, imag(c.Impedance(omega)), 5e-4)
	assert.InEpsilon(t, 26.39/3000, imag(c.Admittance(omega)), 5e-4)
	assert.InEpsilon(t, omega*1e-6, imag(l.Impedance(omega)), 1e-12)
	assert.InEpsilon(t, -1/(omega*1e-6), imag(l.Admittance(omega)), 1e-12)
	both := Element{Placement: Series, Inductance: 5.169e-6, Capacitance: 100e-12}
	x := 2 * math.Pi * 7e6 * both.Inductance
	assert.InDelta(t, 0, imag(both.Impedance(2*math.Pi*7e6)), 1e-3*x)
	// far below resonance the capacitor rules, far above it the coil
	assert.Negative(t, imag(both.Impedance(2*math.Pi*1e6)))
	assert.Positive(t, imag(both.Impedance(2*math.Pi*50e6)))
}

// The heat of a lossy part is positive, and its Q what was asked for:
// reactance over resistance of a coil, 1/tan δ of a capacitor.
func TestLossesOfParts(t *testing.T) {
	omega := 2 * math.Pi * 3.6e6
	l, c := SeriesInductor("L", 8e-6, 250), SeriesCapacitor("C", 300e-12, 1.0/2000)
	z, y := l.Impedance(omega), c.Admittance(omega)
	assert.InEpsilon(t, 250, imag(z)/real(z), 1e-9)
	assert.InEpsilon(t, 2000, imag(y)/real(y), 1e-6)
}
