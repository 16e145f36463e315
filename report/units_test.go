package report

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute"
	"anodebook/spec"
)

// Trade units against their exact definitions: 1 CFM = 0.028317 m³/min,
// 1 in = 25.4 mm, 1 inch of water = 249.09 Pa.
func TestTradeUnits(t *testing.T) {
	for lengths, want := range map[string][3]string{
		"metric": {"22.1 m³/h", "100 Pa", "25.4 mm"},
		"inch":   {"13.0 CFM", "0.40 inH2O", "1.00 in"},
	} {
		s, err := spec.Read("t.toml",
			[]byte("[notebook]\nlengths = \""+lengths+"\"\n[target]\noutput = \"500 W\"\nbands = [\"40m\"]\n[tubes]\ntype = "+
				"\"3-500Z\"\n[supply]\nplate_voltage = \"2500 V\"\n"), compute.Names())
		require.NoError(t, err)
		w := &writer{Design: &compute.Design{Spec: s}}
		assert.Equal(t, want[0], w.trade(13*0.0283168466/60, "m³/s"))
		assert.Equal(t, want[1], w.trade(100, "Pa"))
		assert.Equal(t, want[2], w.trade(0.0254, "m"))
		assert.Equal(t, "2800 V", w.trade(2800, "V"))
	}
}
