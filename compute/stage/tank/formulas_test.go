package tank

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The ledger's formulas and network.DesignTank are two ways to the same
// network, and the ladder built from the written figures presents the plate
// load within 1e-6: random specs, pi and pi-L.
func TestWrittenNetworkPresentsThePlateLoad(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 5))
	types := []string{"3-500Z", "8877", "811A", "572B"}
	for n := range 60 {
		kind := "pi"
		if n%2 == 1 {
			kind = "pi-L"
		}
		text := strings.Replace(starter, "3-500Z", types[n%len(types)], 1) +
			fmt.Sprintf("[tank]\nnetwork = %q\nloaded_q = %.3f\ncoil_q = %.1f\noutput_coil_q = %.1f\n[tank.tune]\nq = "+
				"%.0f\n[tank.load]\nq = %.0f\n",
				kind, 9+8*r.Float64(), 100+400*r.Float64(), 60+300*r.Float64(), 200+4000*r.Float64(), 200+4000*r.Float64())
		a := usual()
		a.load, a.choke, a.blocking = 900+2600*r.Float64(), 30e-6+200e-6*r.Float64(), 0.4e-9+3e-9*r.Float64()
		d, res := solve(t, text, a)
		for _, b := range res.Bands {
			get := d.Of("tank." + b.Name + ".")
			w := 2 * math.Pi * get("frequency")
			// From the load back to the plates with nothing but the written figures.
			y := complex(1.0/50, 0)
			if kind == "pi-L" {
				x := w * get("output_inductance")
				y = 1 / (1/y + complex(x/get("output_coil_q"), x))
			}
			b2 := w * get("load_capacitance")
			y += complex(b2/d.Value("tank.load_q"), b2)
			x := w * get("inductance")
			y = 1 / (1/y + complex(x/get("coil_q"), x))
			b1 := w * get("tune_capacitance")
			y += complex(b1/d.Value("tank.tune_q"), b1)
			y = 1 / (1/y + complex(0, -1/(w*a.blocking)))
			y += complex(0, -1/(w*a.choke)) + complex(0, w*get("tube_capacitance"))
			z := 1 / y
			require.InEpsilon(t, a.load, real(z), 1e-6, "%s %s", text, b.Name)
			require.InDelta(t, 0, imag(z), 1e-6*a.load)
			require.InEpsilon(t, a.load, get("plate_resistance"), 1e-6)
			require.InDelta(t, 0, get("plate_reactance"), 1e-6*a.load)
			require.InEpsilon(t, b.Tank.Inductance, get("inductance"), 1e-9)
			require.InEpsilon(t, b.Tank.LoadCapacitance, get("load_capacitance"), 1e-9)
			require.InEpsilon(t, b.Tank.TuneCapacitance, get("tune_capacitance"), 1e-9)
			require.InEpsilon(t, w*a.load*(get("tune_capacitance")+get("tube_capacitance")), get("loaded_q"), 1e-9)
		}
	}
}

// Published checks 3.3: reactances of the lossless pi, R2 = 50 Ω, through the
// formulas that the report prints, to the last digit.
func TestHandFormulasGiveThePublishedReactances(t *testing.T) {
	for _, row := range [][5]float64{
		{10, 1000, 100.000, 118.935, 24.845}, {10, 1500, 150.000, 171.362, 32.501},
		{10, 2500, 250.000, 272.524, 49.507}, {10, 3000, 300.000, 321.583, 60.486},
		{10, 4000, 400.000, 416.331, 97.590}, {10, 5000, 500.000, 500.000, 500.000},
		{12, 1000, 83.333, 100.000, 20.000}, {12, 2000, 166.667, 187.865, 30.861},
		{12, 5000, 416.667, 436.925, 74.536}, {15, 3000, 200.000, 221.195, 30.060},
	} {
		q, r1 := row[0], row[1]
		xc2 := handLoad.Eval(50, r1, q)
		assert.InDelta(t, row[2], handTune.Eval(r1, q), 0.00051)
		assert.InDelta(t, row[4], xc2, 0.00051)
		assert.InDelta(t, row[3], handCoil.Eval(q, r1, 50, xc2), 0.00051)
	}
}

// Published checks 3.4 and 3.5: pi-L over 300 Ω, and component values.
func TestHandFormulasGiveThePublishedPiL(t *testing.T) {
	for _, row := range [][6]float64{
		{10, 1500, 150.000, 213.591, 45.332, 111.803}, {10, 4000, 400.000, 497.591, 62.497, 111.803},
		{12, 2500, 208.333, 276.719, 47.727, 111.803}, {12, 3000, 250.000, 324.295, 50.759, 111.803},
	} {
		q, r1 := row[0], row[1]
		pi := handLoad.Eval(300, r1, q)
		assert.InDelta(t, row[3], handCoil.Eval(q, r1, 300, pi), 0.00051)
		assert.InDelta(t, row[4], handLoadPiL.Eval(pi, 300, 50), 0.00051)
		assert.InDelta(t, row[5], handOutputCoil.Eval(50, 300), 0.00051)
	}
	for _, row := range [][5]float64{ // MHz, C1 pF, L µH, C2 pF, pi-L L1 µH
		{1.85, 516.2, 16.162, 2787.7, 19.645}, {14.15, 67.5, 2.113, 364.5, 2.568}, {28.5, 33.5, 1.049, 181.0, 1.275},
	} {
		f := row[0] * 1e6
		xc2 := handLoad.Eval(50, 2000, 12)
		assert.InEpsilon(t, row[1], 1e12*handCapacitance.Eval(f, handTune.Eval(2000, 12)), 0.001)
		assert.InEpsilon(t, row[2], 1e6*handInductance.Eval(handCoil.Eval(12, 2000, 50, xc2), f), 0.001)
		assert.InEpsilon(t, row[3], 1e12*handCapacitance.Eval(f, xc2), 0.001)
		assert.InEpsilon(t, row[4], 1e6*handInductance.Eval(handCoil.Eval(12, 2000, 300, handLoad.Eval(300, 2000, 12)), f), 0.001)
	}
}

// Without loss and with choke and blocking capacitor out of the way the exact
// design is the textbook's.
func TestLosslessLimitIsTheTextbook(t *testing.T) {
	a := usual()
	a.choke, a.blocking = 1, 1e-3
	d, r := solve(t, starter+"[tank]\ncoil_q = 1500\n", a)
	for _, b := range r.Bands {
		for _, name := range []string{"inductance", "load_capacitance"} {
			assert.InEpsilon(t, d.Value("tank."+b.Name+"."+name+"_by_hand"), d.Value("tank."+b.Name+"."+name), 0.04, b.Name)
		}
		hand := d.Value("tank." + b.Name + ".coil_current_by_hand")
		assert.InEpsilon(t, hand, d.Value("tank."+b.Name+".coil_current_rms"), 0.001)
		assert.InEpsilon(t, d.Value("tank."+b.Name+".plate_voltage_peak_by_hand"), d.Value("tank."+b.Name+".tune_voltage_peak"), 0.001)
	}
}
