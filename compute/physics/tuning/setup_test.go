package tuning

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"anodebook/compute/physics/network"
	"anodebook/compute/physics/tube"
)

// The middles of the bands [Hz].
var bands = []struct {
	name      string
	frequency float64
}{{"160m", 1.9e6}, {"80m", 3.75e6}, {"40m", 7.15e6}, {"30m", 10.125e6}, {"20m", 14.175e6}, {"17m", 18.118e6}, {"15m", 21.225e6},
	{"12m", 24.94e6}, {"10m", 28.85e6}}

// point is a nominal operating point of one tube.
type point struct {
	name     string
	vb, bias float64
	tube.Point
}

const example = "as in the example"

// points are sensible operating points of a type: the outputs of its published
// columns, the plate going down to the usual floor, and those that the examples
// of this project ask for. A type with an estimated model and no column gets
// one from its ratings. None where there is no model.
func points(t testing.TB, typ *tube.Type) (list []point) {
	add := func(name string, vb, bias, out float64) {
		p, err := tube.ForOutput(typ.Model, vb, bias, out, tube.DefaultPlateFloor(vb))
		require.NoError(t, err, typ.Name)
		list = append(list, point{name, vb, bias, p})
	}
	if typ.Kind == tube.NoModel {
		return nil
	}
	for _, c := range typ.ColumnsEach() {
		if c.Output.Known && c.PlateVoltage.Known {
			add(c.Name, c.PlateVoltage.Value, c.Bias.Value, c.Output.Value)
		}
	}
	if len(list) == 0 {
		l := typ.Limits
		vb := 0.8 * l.PlateVoltage.Value
		bias := tube.BiasForIdle(typ.Model, vb, 0.35*l.PlateDissipation.Value/vb)
		add("from its ratings", vb, bias, 0.55*vb*0.8*l.PlateCurrent.Value)
	}
	// plate voltage, bias, output at the plates of each tube
	for _, e := range []struct {
		name           string
		vb, bias, each float64
	}{
		{"3CX800A7", 2200, 8.2, 750}, {"3-500Z", 2900, 5.1, 640}, {"8877", 3200, 8.2, 800},
		{"811A", 1700, 4.7, 400}, {"572B", 2200, 0, 265},
	} {
		if e.name == typ.Name {
			add(example, e.vb, e.bias, e.each)
		}
	}
	return list
}

// design is a sensible tank for n tubes.
func design(t testing.TB, p tube.Point, n int, typ *tube.Type, frequency float64, piL bool) *network.Tank {
	c := 8e-12
	if typ.Capacitance.Output.Known {
		c = typ.Capacitance.Output.Value
	}
	in := network.TankInput{Frequency: frequency, PlateLoad: p.PlateLoad / float64(n), LoadedQ: 12,
		TubeCapacitance: float64(n)*c + 8e-12, ChokeInductance: 150e-6, Blocking: 2e-9, CoilQ: 250, MinimumTune: 15e-12,
		PiL: piL, OutputCoilQ: 250}
	tank, err := network.DesignTank(in)
	var none *network.NoMatchError
	if errors.As(err, &none) && none.LeastQ > 0 { // high plate loads want more
		in.LoadedQ = 1.15 * none.LeastQ
		tank, err = network.DesignTank(in)
	}
	require.NoError(t, err, "%s at %.4g Hz", typ.Name, frequency)
	return tank
}

type named struct {
	name string
	typ  *tube.Type
	Setup
}

// setups are pairs of every type with a model, pi and pi-L. all: the first
// operating point and that of the example on every band, the others, and types
// that share a model, on two; otherwise a choice of bands and types.
func setups(t testing.TB, all bool) (list []named) {
	for _, typ := range tube.All() {
		if !all && typ.Family != "" {
			continue
		}
		for i, p := range points(t, typ) {
			for k, band := range bands {
				every := typ.Family == "" && (i == 0 || p.name == example)
				if !all && (k%4 != 1 || i > 0) || !every && k%7 != 1 {
					continue
				}
				for _, piL := range []bool{false, true} {
					name := typ.Name + " " + p.name + " " + band.name
					if piL {
						name += " pi-L"
					}
					list = append(list, named{name, typ, Setup{Model: typ.Model, Tubes: 2, PlateVoltage: p.vb, Bias: p.bias,
						Nominal: p.Point,
						Tank:    design(t, p.Point, 2, typ, band.frequency, piL), Limits: LimitsOf(typ, true)}})
				}
			}
		}
	}
	require.NotEmpty(t, list)
	return list
}

func pair(t testing.TB, name string, frequency float64) Setup {
	typ, ok := tube.Lookup(name)
	require.True(t, ok)
	p := points(t, typ)[0]
	return Setup{Model: typ.Model, Tubes: 2, PlateVoltage: p.vb, Bias: p.bias, Nominal: p.Point,
		Tank: design(t, p.Point, 2, typ, frequency, false), Limits: LimitsOf(typ, true)}
}
