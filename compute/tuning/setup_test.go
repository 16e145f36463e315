package tuning

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"anodebook/compute/network"
	"anodebook/compute/tube"
)

// The middles of the bands [Hz].
var bands = []struct {
	name      string
	frequency float64
}{{"160m", 1.9e6}, {"80m", 3.75e6}, {"40m", 7.15e6}, {"30m", 10.125e6}, {"20m", 14.175e6}, {"17m", 18.118e6}, {"15m", 21.225e6}, {"12m", 24.94e6}, {"10m", 28.85e6}}

// nominal is a sensible operating point of a type, one tube: the output of its
// first published column, the plate going down to the usual floor. False where
// nothing is published to found one on.
func nominal(t testing.TB, typ *tube.Type) (p tube.Point, vb, bias float64, ok bool) {
	for _, c := range typ.ColumnsEach() {
		if !c.Output.Known || !c.PlateVoltage.Known {
			continue
		}
		vb, bias = c.PlateVoltage.Value, c.Bias.Value
		p, err := tube.ForOutput(typ.Model, vb, bias, c.Output.Value, tube.DefaultPlateFloor(vb))
		require.NoError(t, err, typ.Name)
		return p, vb, bias, true
	}
	return p, 0, 0, false
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

// setups are pairs of every type with a model, on every band, pi and pi-L.
func setups(t testing.TB, all bool) (list []named) {
	for _, typ := range tube.All() {
		if typ.Kind == tube.NoModel || typ.Family != "" {
			continue
		}
		p, vb, bias, ok := nominal(t, typ)
		if !ok {
			continue
		}
		for k, band := range bands {
			if !all && k%4 != 1 {
				continue
			}
			for _, piL := range []bool{false, true} {
				name := typ.Name + " " + band.name
				if piL {
					name += " pi-L"
				}
				list = append(list, named{name, typ, Setup{Model: typ.Model, Tubes: 2, PlateVoltage: vb, Bias: bias, Nominal: p,
					Tank: design(t, p, 2, typ, band.frequency, piL), Limits: LimitsOf(typ, true)}})
			}
		}
	}
	require.NotEmpty(t, list)
	return list
}

func pair(t testing.TB, name string, frequency float64) Setup {
	typ, ok := tube.Lookup(name)
	require.True(t, ok)
	p, vb, bias, ok := nominal(t, typ)
	require.True(t, ok)
	return Setup{Model: typ.Model, Tubes: 2, PlateVoltage: vb, Bias: bias, Nominal: p,
		Tank: design(t, p, 2, typ, frequency, false), Limits: LimitsOf(typ, true)}
}
