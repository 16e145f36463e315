package metering

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// At full scale the current of the string splits into movement, foot resistor
// and shunt: Kirchhoff. By hand, 4000 V over 9 × 1 MΩ are 444.4 µA; a movement
// of 200 µA that drops 100 mV as the others do, and 100 mV over 22 kΩ, leave
// 239.9 µA, so the shunt is 416.84 Ω.
func TestMovementShunt(t *testing.T) {
	d, _ := run(t, "", kilowatt)
	assert.InEpsilon(t, 4000./9e6, d.Value("metering.voltmeter_current"), 1e-9)
	assert.InEpsilon(t, 22e3, d.Value("metering.foot_resistance"), 1e-9)
	assert.InEpsilon(t, 416.84, d.Value("metering.voltmeter_shunt"), 1e-5)
	assert.InEpsilon(t, d.Value("metering.voltmeter_current"), 200e-6+0.1/22e3+0.1/d.Value("metering.voltmeter_shunt"), 1e-9)
	assert.Equal(t, "417 Ω", d.Listed("R10").Value)

	// A shunt is worth it from 2 % of the string's current on. With a movement
	// of 200 µA and 800 Ω at 4000 V: 9 × 2.15 MΩ pass 206.7 µA, less 200 and
	// 160 mV / 47 kΩ = 3.4 are 3.3 µA, 1.6 %; 9 × 2.13 MΩ leave 5.3 µA, 2.5 %.
	for each, want := range map[string]bool{"2.15 Mohm": false, "2.13 Mohm": true, "2.3 Mohm": false} {
		d, _ := run(t, "[metering]\nmovement = \"200 uA\"\nmovement_resistance = \"800 ohm\"\nmultiplier_resistor = \""+each+"\"\n",
			kilowatt)
		_, ok := d.Lookup("metering.voltmeter_shunt")
		assert.Equal(t, want, ok, each)
		assert.Equal(t, want, slices.Contains(d.Designators(), "R10"), each)
	}
}

// What takes the mains of the plate transformer is in the list, and its
// cautions with it; a timer for the blower only where there is one.
func TestContactor(t *testing.T) {
	for after, air := range map[float64]bool{180: true, 0: false} {
		d, _ := run(t, "", kilowatt)
		contactor(d.Desk, Guard{ForcedAir: true, AfterRun: after})
		assert.Contains(t, d.Listed("K7").Note, "leaves the filter bank charged")
		assert.Contains(t, d.Listed("S7").Note, "come back by itself")
		assert.Equal(t, air, slices.Contains(d.Designators(), "K8"))
		if air {
			assert.Contains(t, d.Listed("K8").Note, "stay live with S2 off")
		}
	}
}
