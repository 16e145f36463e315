package report

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/physics/rectifier"
	"anodebook/spec"
	"anodebook/spec/testhelp"
)

const anyRectifier = `
[target]
output = "800 W"
bands = ["40m"]
[tubes]
type = "3-500Z"
[supply]
plate_voltage = "2600 V"
rectifier = %q
[supply.transformer]
voltage = "%d V"
secondary_resistance = "30 ohm"
`

// Every word of supply.rectifier through the whole program: circuit, clearance
// of the rectifier, parts list and drawing are those of one and the same
// circuit, by figures written here.
func TestEveryRectifierWordIsDrawn(t *testing.T) {
	f, _ := reflect.TypeFor[spec.Supply]().FieldByName("Rectifier")
	for _, word := range strings.Fields(f.Tag.Get("oneof")) {
		want, ok := map[string]struct {
			secondary int
			reverse   float64 // of a leg, over √2 times the secondary
			drawn     string
			arms      int
			choke     bool
		}{
			"bridge":                 {2100, 1, "a bridge rectifier", 4, false},
			"centre-tap":             {2100, 2, "a centre-tap rectifier", 2, false},
			"doubler":                {1100, 2, "a doubler rectifier", 2, false},
			"choke-input":            {3100, 1, "a bridge rectifier", 4, true},
			"choke-input-centre-tap": {3100, 2, "a centre-tap rectifier", 2, true},
		}[word]
		require.True(t, ok, word)
		d := design(t, word+".toml", fmt.Sprintf(anyRectifier, word, want.secondary))
		for _, n := range d.Clearance.Nodes {
			if n.Key == "rectifier" {
				assert.InEpsilon(t, want.reverse*math.Sqrt2*1.05*float64(want.secondary), n.Voltage, 1e-9, word)
			}
		}
		circuit, err := DrawCircuit(d)
		require.NoError(t, err, word)
		svg := strings.ReplaceAll(circuit.Sheets[1].SVG, "\u00a0", " ")
		testhelp.Contains(t, svg, want.drawn, word)
		for k := range 5 {
			arm := "D2" + string(rune('a'+k))
			assert.Equal(t, k < want.arms, strings.Contains(svg, arm), "%s %s", word, arm)
		}
		assert.Equal(t, want.choke, strings.Contains(svg, "#part-L3"), word)
	}
	assert.Panics(t, func() { drawnAs(0) })
	for _, k := range rectifier.Kinds {
		assert.NotPanics(t, func() { drawnAs(k.Circuit) }, k.Word)
	}
}
