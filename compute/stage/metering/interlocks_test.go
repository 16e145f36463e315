package metering

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A blower or a warm-up time each bring their own interlock, and every row
// says what it does not stop.
func TestInterlocks(t *testing.T) {
	parts := func(g Guard) string {
		var p []string
		for _, i := range Interlocks(g) {
			assert.NotEmpty(t, i.Senses)
			assert.NotEmpty(t, i.Stops)
			assert.NotEmpty(t, i.Reset)
			assert.NotEmpty(t, i.Leaves)
			p = append(p, i.Part)
		}
		return strings.Join(p, "; ")
	}
	g := Guard{GridTrip: 0.3, PlateTrip: 0.9, StepTime: 1, StepThreshold: 2400, StepTimeout: 1.5, MainsFuse: true, Covers: true,
		TransmitDelay: 0.035, Fuse: true, SafetyChoke: true, Clamps: true, FaultCurrent: 240}
	assert.NotContains(t, parts(g), "S6")
	assert.NotContains(t, parts(g), "K4")
	assert.NotContains(t, parts(g), "F2 with R1")
	g.ForcedAir, g.WarmUp, g.Glitch = true, 180, true
	for _, want := range []string{"S5", "S6", "K4", "K5", "K6", "F2 with R1", "RFC2", "D3"} {
		assert.Contains(t, parts(g), want)
	}
	assert.Contains(t, Interlocks(g)[6].Senses, "300 mA")
	for _, want := range []string{"S5", "F1", "K3", "K9"} {
		assert.Contains(t, parts(g), want)
	}
	g.StepTime, g.MainsFuse, g.Covers = 0, false, false
	for _, gone := range []string{"S5", "F1", "K3", "K9"} {
		assert.NotContains(t, parts(g), gone)
	}
	// What is not there has no row; what its absence leaves open is said.
	g = Guard{StepTime: 1, MainsFuse: true, TransmitDelay: 0.035, FaultCurrent: 850}
	for _, gone := range []string{"S5", "K5", "K6", "F2", "R1", "RFC2", "D3"} {
		assert.NotContains(t, parts(g), gone)
	}
	assert.Contains(t, parts(g), "R8 alone")
	g.Fuse = true
	for _, i := range Interlocks(g) {
		if i.Part == "F2 alone, no glitch resistor" {
			assert.Contains(t, i.Senses, "850 A")
		}
	}
	assert.Contains(t, parts(g), "F2 alone")
	g.Fuse, g.Glitch, g.SafetyChoke = false, true, true
	assert.Contains(t, parts(g), "R1 alone")
	for _, i := range Interlocks(g) {
		if i.Part == "RFC2" {
			assert.Contains(t, i.Stops, "mains fuses alone")
		}
	}
}
