package compute

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/format/touchstone"
	"anodebook/compute/physics/network"
	"anodebook/compute/physics/twoport"
	"anodebook/report/setting"
	"anodebook/spec"
)

var invent = flag.Bool("invent", false, "make the invented measurement of examples/measured-tank.toml anew")

// stray is what was added at the plates in the invented measurement [F].
const stray = 6e-12

// TestTheMeasuredExample finds the stray capacitance that the example's file
// was made with, and says so.
func TestTheMeasuredExample(t *testing.T) {
	const folder = "../examples"
	src, err := os.ReadFile(filepath.Join(folder, "measured-tank.toml"))
	require.NoError(t, err)
	s, err := spec.Read("measured-tank.toml", src, Names())
	require.NoError(t, err)
	m := s.Measured["tank_80m"]
	path := filepath.Join(folder, m.File.Name)
	if *invent {
		d, err := Run(s)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path, invented(t, d), 0o644))
	}
	m.File.Content, err = os.ReadFile(path)
	require.NoError(t, err)
	s.Measured["tank_80m"] = m
	d, err := Run(s)
	require.NoError(t, err)
	require.Len(t, d.Measured.Parts, 1)
	p := d.Measured.Parts[0]
	require.Equal(t, 1, p.Explained, "%+v", p.Causes)
	assert.Equal(t, "plate_capacitance", p.Causes[0].Name)
	assert.InEpsilon(t, stray, p.Causes[0].Value, 0.05, "a change of the model? go test ./compute -run MeasuredExample -invent")
	assert.Less(t, p.Causes[0].Left, 0.01)
	assert.InDelta(t, stray, d.Book.Get("measured.tank_80m.plate_capacitance").Value, 0.3e-12)
	found := false
	for _, f := range setting.Plain(d.Book, "metric").Findings() {
		if f.ID == "measured.tank_80m.deviation" {
			found = true
			assert.Contains(t, f.Text, "more capacitance at the plates")
			assert.Contains(t, f.Advice, "tank.stray_capacitance")
		}
	}
	assert.True(t, found)
}

// invented is the tank on 80 m from the antenna connector, a resistor of the
// plate load at its other end and the stray added.
func invented(t *testing.T, d *Design) []byte {
	c := d.Tank.Bands[0].Tank.Chain
	require.Equal(t, network.TubeCapacitance, c.Elements[0].Name)
	var back twoport.Chain
	for i := len(c.Elements) - 1; i >= 0; i-- {
		back.Elements = append(back.Elements, c.Elements[i])
	}
	back.Elements[len(back.Elements)-1].Capacitance += stray
	out := &touchstone.Data{Ports: 1, Kind: touchstone.Scattering, Reference: [2]float64{50}}
	for k := range 101 {
		f := 3.2e6 + 1e4*float64(k)
		z := back.InputImpedance(f, complex(d.Operating.PlateLoad.Value, 0))
		out.Points = append(out.Points, touchstone.Point{Frequency: f, Matrix: touchstone.Matrix{{network.Reflection(z, 50)}}})
	}
	text, err := out.Write(touchstone.Format{Unit: 1e6, Digits: 4, Comments: []string{
		"INVENTED: made by anodebook from its own model of the tank on 80 m,",
		"with 6 pF of stray capacitance added at the plates and four digits kept.",
		"One port: antenna connector; a resistor of the plate load at the plates.",
	}})
	require.NoError(t, err)
	return text
}
