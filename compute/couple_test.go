package compute

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec"
)

const coupledSpec = `
[target]
output = "900 W"
bands = ["80m", "20m", "10m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2800 V"
rectifier = %q
[supply.transformer]
voltage = "%g V"
primary_resistance = "0.2 ohm"
secondary_resistance = "%g ohm"
%s`

func coupled(t testing.TB, rectifier string, volts, ohms float64, more string) *spec.Spec {
	t.Helper()
	s, err := spec.Read("test.toml", fmt.Appendf(nil, coupledSpec, rectifier, volts, ohms, more), Names())
	require.NoError(t, err)
	return s
}

// Supply and tubes agree, whatever the circuit, also where the supply is soft.
func TestSupplyAndTubesAgree(t *testing.T) {
	for _, c := range []struct {
		rectifier   string
		volts, ohms float64
		more        string
	}{
		{"bridge", 2300, 25, ""},
		{"bridge", 2300, 25, "leakage_inductance = \"100 mH\""},
		{"bridge", 2900, 250, ""},
		{"bridge", 3200, 450, ""},
		{"centre-tap", 2300, 40, ""},
		{"doubler", 1150, 8, ""},
		{"doubler", 1250, 15, "leakage_inductance = \"20 mH\""},
		{"choke-input", 3400, 30, ""},
		{"choke-input", 3400, 60,
			"leakage_inductance = \"200 mH\"\n[supply.choke]\ninductance = \"20 H\"\nloaded_inductance = \"4 H\"\nresistance = \"70 " +
				"ohm\"\ncurrent = \"700 mA\""},
		{"choke-input-centre-tap", 3400, 60, ""},
	} {
		name := fmt.Sprintf("%s %g V %g Ω %s", c.rectifier, c.volts, c.ohms, c.more)
		l, err := closeLoop(coupled(t, c.rectifier, c.volts, c.ohms, c.more))
		require.NoError(t, err, name)
		assert.Less(t, l.residual, voltageClose, name)
		v, err := l.plan.Loaded(float64(2) * l.point.PlateCurrent())
		require.NoError(t, err)
		assert.InDelta(t, l.plateVoltage, v, 1e-5, name)
		assert.InEpsilon(t, 900, 2*l.point.Output*l.efficiency, 1e-6, name)
	}
}

// The output follows the plate voltage somewhere between not at all and in
// full.
func TestPlatePull(t *testing.T) {
	l, err := closeLoop(coupled(t, "bridge", 2300, 25, ""))
	require.NoError(t, err)
	assert.Greater(t, l.platePull(), 0.0)
	assert.Less(t, l.platePull(), 1.0)
}

// Coupled supply, tubes and tank of three bands; the target is 2 ms.
func BenchmarkCoupled(b *testing.B) {
	for _, c := range []struct {
		rectifier string
		volts     float64
		more      string
	}{{"bridge", 2300, ""}, {"bridge", 2300, "leakage_inductance = \"100 mH\""}, {"doubler", 1150, ""}, {"choke-input", 3400, ""}} {
		s := coupled(b, c.rectifier, c.volts, 25, c.more)
		b.Run(c.rectifier+" "+c.more, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := closeLoop(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
