package tank

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Odd coils, capacitors and cores of the builder's own: an answer or a finding,
// never a number that is none (the book panics on NaN and infinity), and taps
// that lie on their coil.
func TestOddParts(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 4))
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	for n := range 400 {
		text := starter
		piL := r.IntN(2) == 1
		if piL {
			text += "[tank]\nnetwork = \"pi-L\"\n"
		}
		low := 3 + 40*r.Float64()
		text += fmt.Sprintf("[tank.tune]\nrange = \"%.1f pF .. %.1f pF\"\nsections = %d\nlaw = %q\nq = %.0f\ndielectric = %q\nspacing "+
			"= \"%.1f mm\"\n",
			low, low*(1.5+12*r.Float64()), 1+r.IntN(4), pick("capacitance", "wavelength", "frequency"), 60+5000*r.Float64(),
			pick("air", "vacuum"), 0.5+5*r.Float64())
		text += fmt.Sprintf("[tank.load]\nrange = \"40 pF .. %.0f pF\"\nsections = %d\ndial = [\"40 pF\", \"100 pF\", \"%.0f pF\"]\n",
			400.0+float64(n), 1+r.IntN(3), 400.0+float64(n))
		conductor := 0.6 + 6*r.Float64()
		text += fmt.Sprintf("[tank.coil]\nkind = %q\ndiameter = \"%.1f mm\"\npitch = \"%.2f mm\"\nmaterial = %q\n",
			pick("tapped", "tapped", "tapped", "roller"), 15+120*r.Float64(),
			conductor*(1.01+2*r.Float64()), pick("copper", "silver-plated", "aluminium", "brass"))
		if r.IntN(4) == 0 {
			text += fmt.Sprintf("ribbon_width = \"%.2f mm\"\nribbon_thickness = \"%.2f mm\"\nribbon = %q\n", conductor, conductor/3,
				pick("flat", "edgewise"))
			if conductor < 1.1 {
				continue
			}
		} else {
			text += fmt.Sprintf("conductor = \"%.3f mm\"\n", conductor)
		}
		if r.IntN(2) == 0 {
			text += fmt.Sprintf("turns = %.1f\nrange = \"0.1 uH .. %.1f uH\"\n", 1+60*r.Float64(), 5+40*r.Float64())
		}
		if r.IntN(2) == 0 {
			text += fmt.Sprintf("inductance = \"%.2f uH\"\n", 0.1+30*r.Float64())
		}
		if r.IntN(2) == 0 {
			text += fmt.Sprintf("[tank.high_coil]\ndiameter = \"%.1f mm\"\nconductor = \"2 mm\"\npitch = \"%.1f mm\"\n",
				12+80*r.Float64(), 2.1+10*r.Float64())
			if r.IntN(2) == 0 {
				text += fmt.Sprintf("turns = %.1f\n", 1+12*r.Float64())
			}
		}
		if piL && r.IntN(2) == 0 {
			text += fmt.Sprintf("[tank.output_coil]\ncore_index = \"%.1f nH\"\ncore_outer = \"50 mm\"\ncore_inner = \"30 "+
				"mm\"\ncore_height = \"14 mm\"\ncores = %d\nconductor = \"%.1f mm\"\n", 2+60*r.Float64(), 1+r.IntN(3),
				0.6+4*r.Float64())
		} else if piL {
			text += fmt.Sprintf("[tank.output_coil]\ndiameter = \"%.1f mm\"\n", 12+100*r.Float64())
		}
		text += "[tank.switch]\nunused_turns = \"" + pick("shorted", "open") + "\"\n"
		a := usual()
		a.load = 900 + 4000*r.Float64()
		var d, res = solve(t, text, a)
		for _, c := range res.Coils {
			require.Greater(t, c.Winding.Turns, 0.0, text)
			for _, tap := range c.Taps {
				require.True(t, tap.Turns > 0 && tap.Turns <= c.Winding.Turns*(1+1e-9), "%s\n%s %g of %g", text, tap.Band, tap.Turns,
					c.Winding.Turns)
			}
		}
		for _, b := range res.Bands {
			if q, ok := d.Lookup("tank." + b.Name + ".tune_dial"); ok {
				assert.True(t, q.Value > -0.01 && q.Value < 1.01, "%s: %g\n%s", b.Name, q.Value, text)
			}
		}
	}
}
