package supply

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestOneOpenBleeder(t *testing.T) {
	_, r := solve(t, "", 0.65, 0.2, 0.42)
	terminals, capacitor := r.Discharge.OneOpen(0)
	assert.InEpsilon(t, r.NoLoadVoltage, terminals, 1e-12)
	assert.InEpsilon(t, r.NoLoadVoltage/float64(r.Plan.Bank.Count), capacitor, 1e-12)
	// The figure's curve and the rectifier package's time agree.
	_, capacitor = r.Discharge.OneOpen(r.TimeOneOpen)
	assert.InEpsilon(t, 60, capacitor, 1e-6)
	// After the sound ones are empty the failed one still holds nearly all.
	_, capacitor = r.Discharge.OneOpen(r.TimeTo60V)
	assert.InEpsilon(t, r.NoLoadVoltage/float64(r.Plan.Bank.Count), capacitor, 0.05)

	// Without the voltmeter's string it never falls, and the book says so.
	s := read(t, "")
	p, err := Prepare(s, 2800, 0.65, 10)
	require.NoError(t, err)
	terminals, capacitor = p.oneOpen(3000, math.Inf(1))
	assert.True(t, math.IsInf(terminals, 1))
	assert.True(t, math.IsInf(capacitor, 1))
}
