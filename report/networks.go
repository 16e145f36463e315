package report

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"anodebook/compute"
	"anodebook/compute/format/touchstone"
	"anodebook/compute/physics/twoport"
	"anodebook/spec/quantity"
)

// networkFiles writes the tank and the input network of every band as
// Touchstone files for other programs and for an analyser's screen.
func networkFiles(d *compute.Design) (map[string][]byte, error) {
	n := len(d.Tank.Bands)
	texts, errs := make([][]byte, 2*n), make([]error, 2*n)
	names := make([]string, 2*n)
	var all sync.WaitGroup
	for i := range n { // each writes to its own places
		all.Go(func() {
			t, in := &d.Tank.Bands[i], &d.Input.Bands[i]
			load := d.Operating.PlateLoad.Value
			names[i] = "networks/tank-" + t.Name + ".s2p"
			texts[i], errs[i] = networkFile(&t.Tank.Chain, t.Low, t.High, t.Centre, []string{
				fmt.Sprintf("Output tank on %s, computed by anodebook for %s MHz; not measured", t.Name,
					quantity.Short(t.Centre/1e6, 6)),
				fmt.Sprintf("Port 1: the plates. The capacitance of tubes and strays, %s pF, and the plate choke are part of the "+
					"network.", quantity.Short(t.Tank.Input.TubeCapacitance*1e12, 4)),
				"Port 2: the antenna connector.",
				fmt.Sprintf("Both ports are referred to 50 ohm. In use port 1 sees the plate load of %s ohm:", quantity.Short(load, 5)),
				"renormalise port 1 to that value to see the match.",
			})
			names[n+i] = "networks/input-" + in.Name + ".s2p"
			texts[n+i], errs[n+i] = networkFile(&in.Network.Chain, in.Low, in.High, in.Centre, []string{
				fmt.Sprintf("Input network on %s, computed by anodebook for %s MHz; not measured", in.Name,
					quantity.Short(in.Centre/1e6, 6)),
				"Port 1: the exciter's side.",
				fmt.Sprintf("Port 2: the cathodes. Their capacitance, %s pF, is part of the network.",
					quantity.Short(in.Network.Input.CathodeCapacitance*1e12, 4)),
				fmt.Sprintf("Both ports are referred to 50 ohm. In use port 2 is loaded by the cathodes, %s ohm at full drive.",
					quantity.Short(in.Network.Input.CathodeResistance, 5)),
			})
		})
	}
	all.Wait()
	out := make(map[string][]byte, 2*n)
	for i, err := range errs {
		if err != nil {
			return nil, fmt.Errorf("%s: %w", names[i], err)
		}
		out[names[i]] = texts[i]
	}
	return out, nil
}

// networkFile samples a chain between 50 Ω and 50 Ω.
func networkFile(c *twoport.Chain, low, high, centre float64, comments []string) ([]byte, error) {
	const reference = 50.0
	grid := networkGrid(low, high, centre)
	d := &touchstone.Data{Ports: 2, Kind: touchstone.Scattering, Reference: [2]float64{reference, reference},
		Points: make([]touchstone.Point, len(grid))}
	for i, f := range grid {
		m := c.Matrix(f)
		d.Points[i] = touchstone.Point{Frequency: f, Matrix: touchstone.OfChain(m.A, m.B, m.C, m.D, reference, reference)}
	}
	return d.Write(touchstone.Format{Form: touchstone.RI, Digits: 7, Comments: comments})
}

// networkGrid is the frequencies of a file, in whole hertz: from half to eight
// times the middle of the band, close together in and about the band, with the
// harmonics up to the seventh.
func networkGrid(low, high, centre float64) []float64 {
	const inBand, outside = 40, 60
	var out []float64
	add := func(f float64) { out = append(out, math.Round(f)) }
	for k := range inBand + 1 {
		add(between(low, high, k, inBand))
	}
	for k := range outside + 1 {
		add(0.5 * centre * math.Pow(16, float64(k)/outside))
	}
	for n := 1.0; n <= 7; n++ {
		add(n * centre)
	}
	slices.Sort(out)
	return slices.Compact(out)
}
