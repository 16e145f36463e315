package quantity

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Diameters in inches as printed in the common wire table (published check
// 5.2, to the printed digit), and the anchors of ASTM B258: 4/0 and 36.
func TestWireGauge(t *testing.T) {
	for text, inches := range map[string]float64{
		"12 AWG": 0.0808, "AWG 12": 0.0808, "AWG12": 0.0808, "#12 AWG": 0.0808, "6 awg": 0.16202, "10 AWG": 0.10189,
		"24 AWG": 0.0201, "30 AWG": 0.01002, "0 AWG": 0.32486, "1/0 AWG": 0.32486, "4/0 AWG": 0.46, "0000 AWG": 0.46, "36 AWG": 0.005,
	} {
		v, err := Parse(text)
		require.NoError(t, err, text)
		assert.Equal(t, Length, v.Dimension)
		assert.InEpsilon(t, inches*0.0254, v.SI, 0.001, text)
	}
	for _, text := range []string{"90 AWG", "99999999999999999999 AWG", "00000 AWG"} {
		_, err := Parse(text)
		assert.ErrorContains(t, err, "wire gauges go from 4/0 to 50", text)
	}
	for _, text := range []string{"AWG", "1.5 AWG", "5/0 AWG", "-2 AWG"} {
		_, err := Parse(text)
		assert.Error(t, err, text)
	}
}
