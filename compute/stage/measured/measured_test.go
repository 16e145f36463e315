package measured

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/format/touchstone"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/network"
	"anodebook/compute/physics/twoport"
	"anodebook/spec"
)

// bench is a designed 80 m band to measure at.
func bench(t testing.TB, piL bool) Input {
	t.Helper()
	tank, err := network.DesignTank(network.TankInput{Frequency: 3.74e6, PlateLoad: 2600, LoadedQ: 12, TubeCapacitance: 18e-12,
		ChokeInductance: 200e-6,
		Blocking:        1e-9, CoilQ: 300, PiL: piL, OutputCoilQ: 200, SafetyChoke: 2.5e-3})
	require.NoError(t, err)
	pi, err := network.DesignInputPi(network.InputPiInput{Frequency: 3.74e6, LoadedQ: 2, CathodeResistance: 58,
		CathodeCapacitance: 30e-12, CoilQ: 80})
	require.NoError(t, err)
	choke := twoport.ShuntInductor("choke", 200e-6, 150)
	choke.ParallelCapacitance = 2e-12
	return Input{Bands: []Band{{"80m", 3.5e6, 4e6, 3.74e6, tank, pi}}, PlateLoad: 2600, CathodeResistance: 58,
		ChokeImpedance: func(f float64) complex128 { return choke.Impedance(2 * math.Pi * f) }}
}

// file measures a one-port: what an analyser would store.
func file(t testing.TB, low, high float64, z func(f float64) complex128) []byte {
	t.Helper()
	d := &touchstone.Data{Ports: 1, Kind: touchstone.Impedance, Reference: [2]float64{50}}
	for k := range 101 {
		f := low + (high-low)*float64(k)/100
		d.Points = append(d.Points, touchstone.Point{Frequency: f, Matrix: touchstone.Matrix{{z(f)}}})
	}
	s, err := d.To(touchstone.Scattering)
	require.NoError(t, err)
	b, err := s.Write(touchstone.Format{Unit: 1e6, Digits: 7})
	require.NoError(t, err)
	return b
}

func solve(t testing.TB, in Input, keys string, content []byte) (*desktest.Desk, *Part) {
	t.Helper()
	d, r, err := try(t, in, keys, content)
	require.NoError(t, err)
	require.Len(t, r.Parts, 1)
	return d, &r.Parts[0]
}

func try(t testing.TB, in Input, keys string, content []byte) (*desktest.Desk, Result, error) {
	t.Helper()
	s := desktest.Read(t, desktest.Text("1000 W", "3-500Z", "2800 V", "80m")+"[measured.x]\n"+keys)
	m := s.Measured["x"]
	m.File.Content = content
	s.Measured["x"] = m
	d := desktest.On(t, s)
	r, err := Solve(d.Desk, in)
	return d, r, err
}

const tankKeys = "file = \"x.s1p\"\nof = \"tank\"\nband = \"80m\"\nport = \"plates\"\n"

// altered is the tank with one element changed, from either end.
func altered(tank *network.Tank, back bool, end complex128, change func(e *twoport.Element)) func(f float64) complex128 {
	var list []twoport.Element
	for _, e := range tank.Chain.Elements {
		change(&e)
		if back {
			list = append([]twoport.Element{e}, list...)
		} else {
			list = append(list, e)
		}
	}
	c := twoport.Chain{Elements: list}
	return func(f float64) complex128 { return c.InputImpedance(f, end) }
}

// What was put in is found, by name and size, from either end of the tank, of
// a pi and of a pi-L; and the hand formula agrees where it applies.
func TestOneChangeIsFound(t *testing.T) {
	for _, piL := range []bool{false, true} {
		in := bench(t, piL)
		tank := in.Bands[0].Tank
		type one struct {
			name, element string
			value         float64
			change        func(e *twoport.Element)
		}
		list := []one{
			{"plate_capacitance", network.TubeCapacitance, 6e-12, func(e *twoport.Element) { e.Capacitance += 6e-12 }},
			{"plate_capacitance", network.TuneCapacitor, -9e-12, func(e *twoport.Element) { e.Capacitance -= 9e-12 }},
			{"coil_change", network.TankCoil, 0.03, func(e *twoport.Element) { e.Inductance *= 1.03 }},
			{"coil_change", network.TankCoil, -0.05, func(e *twoport.Element) { e.Inductance *= 0.95 }},
			{"load_capacitance", network.LoadCapacitor, 80e-12, func(e *twoport.Element) { e.Capacitance += 80e-12 }},
			{"coil_loss", network.TankCoil, 2, func(e *twoport.Element) { e.Q /= 3 }},
		}
		for _, x := range list {
			for _, back := range []bool{false, true} {
				what := fmt.Sprintf("%s %g pi-L %v from the antenna %v", x.name, x.value, piL, back)
				end, keys := complex128(50), tankKeys
				if back {
					end, keys = 2600, "file = \"x.s1p\"\nof = \"tank\"\nband = \"80m\"\nport = \"antenna\"\n"
				}
				z := altered(tank, back, end, func(e *twoport.Element) {
					if e.Name == x.element {
						x.change(e)
					}
				})
				d, p := solve(t, in, keys, file(t, 3e6, 5e6, z))
				require.Positive(t, p.Explained, what)
				assert.Less(t, p.Causes[0].Left, 0.03, what)
				assert.Equal(t, x.name, p.Causes[0].Name, what)
				assert.InEpsilon(t, x.value, p.Causes[0].Value, 0.1, what)
				if p.Explained == 1 {
					assert.InEpsilon(t, p.Causes[0].Value, d.Value("measured.x."+x.name), 1e-12)
				}
				if x.element == network.TubeCapacitance && !back {
					assert.InEpsilon(t, 6e-12, d.Value("measured.x.capacitance_by_hand"), 0.01, what)
				}
			}
		}
	}
}

// The network itself is no deviation; a resistor of another value at the far
// end is one unless it is named.
func TestAsComputed(t *testing.T) {
	in := bench(t, false)
	tank := in.Bands[0].Tank
	d, p := solve(t, in, tankKeys, file(t, 3e6, 5e6, altered(tank, false, 50, func(*twoport.Element) {})))
	assert.Less(t, p.Deviation, 1e-3)
	assert.Empty(t, p.Causes)
	assert.Contains(t, d.Finding("measured.x.deviation").Text, "built as computed")
	require.Len(t, p.Rows, 3)
	assert.InDelta(t, 2600, real(p.Impedance(p.Rows[1].Measured)), 5, "the plates see their load")

	other := file(t, 3e6, 5e6, altered(tank, false, 75, func(*twoport.Element) {}))
	_, p = solve(t, in, tankKeys, other)
	assert.Greater(t, p.Deviation, 0.1)
	_, p = solve(t, in, tankKeys+"termination = \"75 ohm\"\n", other)
	assert.Less(t, p.Deviation, 1e-3)
}

// Two things wrong at once are not forced upon one part.
func TestNoOneCause(t *testing.T) {
	in := bench(t, false)
	z := altered(in.Bands[0].Tank, false, 50, func(e *twoport.Element) {
		if e.Name == network.LoadCapacitor {
			e.Capacitance *= 1.4
		}
		if e.Name == network.TankCoil {
			e.Inductance *= 0.93
			e.Q /= 6
		}
	})
	d, p := solve(t, in, tankKeys, file(t, 3e6, 5e6, z))
	assert.Zero(t, p.Explained, "%+v", p.Causes)
	f := d.Finding("measured.x.deviation")
	assert.Contains(t, f.Text, "No one change")
	assert.Equal(t, ledger.Caution, f.Severity)
}

func TestTwoPortAndInput(t *testing.T) {
	in := bench(t, false)
	for _, back := range []bool{false, true} {
		d := &touchstone.Data{Ports: 2, Kind: touchstone.Scattering, Reference: [2]float64{50, 50}}
		c := in.Bands[0].Input.Chain
		list := append([]twoport.Element(nil), c.Elements...)
		list[c.Index(network.CathodeShunt)].Capacitance += 90e-12
		c.Elements = list
		for f := 3e6; f < 4.5e6; f += 2e4 {
			m := c.Matrix(f)
			s := touchstone.OfChain(m.A, m.B, m.C, m.D, 50, 50)
			if back {
				s[0][0], s[1][1] = s[1][1], s[0][0]
			}
			d.Points = append(d.Points, touchstone.Point{Frequency: f, Matrix: s})
		}
		text, err := d.Write(touchstone.Format{Form: touchstone.RI, Digits: 6})
		require.NoError(t, err)
		keys := "file = \"x.s2p\"\nof = \"input\"\nband = \"80m\"\n"
		if back {
			keys += "port = \"cathodes\"\n"
		}
		_, p := solve(t, in, keys, text)
		require.Equal(t, 1, p.Explained, "%+v", p.Causes)
		assert.Equal(t, "cathode_capacitance", p.Causes[0].Name)
		assert.InEpsilon(t, 90e-12, p.Causes[0].Value, 0.02)
		assert.Greater(t, Attenuation(p.Rows[1].Computed), 0.0)
		assert.InEpsilon(t, -10*math.Log10(in.Bands[0].Input.Transmission), Attenuation(p.Rows[1].Computed), 1e-6,
			"matched: the coil's loss alone")
	}
}

// A choke: measured to ground or in series between the ports it is the same,
// and a series resonance in a band exceeds.
func TestPlateChoke(t *testing.T) {
	in := bench(t, false)
	good := file(t, 1e6, 30e6, in.ChokeImpedance)
	d, p := solve(t, in, "file = \"x.s1p\"\nof = \"plate_choke\"\n", good)
	assert.Less(t, p.Deviation, Uncertainty)
	assert.Empty(t, p.Series, "one coil with its capacitance has none")
	assert.Equal(t, ledger.Note, d.Finding("measured.x.series_resonance").Severity)

	two := &touchstone.Data{Ports: 2, Kind: touchstone.Scattering, Reference: [2]float64{50, 50}}
	for f := 1e6; f <= 30e6; f += 5e4 {
		y := complex(0, 2*math.Pi*f*10e-12) // strays at both ends
		z := in.ChokeImpedance(f)
		two.Points = append(two.Points, touchstone.Point{Frequency: f, Matrix: touchstone.OfChain(1+z*y, z, y*(2+z*y), 1+z*y, 50, 50)})
	}
	text, err := two.Write(touchstone.Format{})
	require.NoError(t, err)
	_, p = solve(t, in, "file = \"x.s2p\"\nof = \"plate_choke\"\n", text)
	m, ok := p.Measured(3.75e6)
	require.True(t, ok)
	assert.InDelta(t, 0, cmplx.Abs(p.Impedance(m)/in.ChokeImpedance(3.75e6)-1), 0.01, "the strays at the ends do not count")

	resonant := func(at float64) func(f float64) complex128 {
		return func(f float64) complex128 { return complex(40, 4e3*(f/at-at/f)) }
	}
	for at, want := range map[float64]ledger.Severity{3.7e6: ledger.Exceeds, 4.4e6: ledger.Caution, 12e6: ledger.Note} {
		d, p = solve(t, in, "file = \"x.s1p\"\nof = \"plate_choke\"\n", file(t, 1e6, 30e6, resonant(at)))
		require.Len(t, p.Series, 1)
		assert.InEpsilon(t, at, p.Series[0], 0.005)
		assert.Equal(t, want, d.Finding("measured.x.series_resonance").Severity)
	}
}

func TestWhatCannotBeCompared(t *testing.T) {
	in := bench(t, false)
	d, p := solve(t, in, tankKeys, nil)
	assert.True(t, p.Absent)
	assert.Contains(t, d.Finding("measured.x.absent").Text, "was not read")
	d, p = solve(t, in, tankKeys, file(t, 7e6, 8e6, func(float64) complex128 { return 50 }))
	assert.Empty(t, p.Rows)
	assert.Contains(t, d.Finding("measured.x.span").Text, "nothing is extrapolated")
	d, _ = solve(t, in, tankKeys, []byte("# MHz S RI R 50\n3.5 1.2 0\n4 1.2 0\n"))
	assert.Contains(t, d.Finding("measured.x.not_passive").Text, "more power comes back")
	_, _, err := try(t, in, tankKeys, []byte("# MHz S RI R 50\n3.5 1.2 0\n3.4 1.2 nan\n"))
	var ps spec.Problems
	require.ErrorAs(t, err, &ps)
	assert.Equal(t, "x.s1p", ps[0].File)
	assert.Contains(t, ps.Error(), `x.s1p:3:9: "nan" is not a number`)
	// A half of the band only: what is there is compared.
	_, p = solve(t, in, tankKeys, file(t, 3.4e6, 3.8e6, altered(in.Bands[0].Tank, false, 50, func(*twoport.Element) {})))
	assert.Len(t, p.Rows, 2)
	assert.Less(t, p.Deviation, 1e-3)
}

func BenchmarkSolve(b *testing.B) {
	in := bench(b, true)
	text := file(b, 3e6, 5e6, altered(in.Bands[0].Tank, false, 50, func(e *twoport.Element) { e.Capacitance *= 1.02 }))
	for b.Loop() {
		solve(b, in, tankKeys, text)
	}
}
