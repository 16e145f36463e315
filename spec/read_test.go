package spec

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const shortest = `[target]
output = "1000 W"
bands = ["20m", "80m", "40m"]
[tubes]
type = "3-500z"
[supply]
plate_voltage = "2800 V"
`

func read(t *testing.T, text string) *Spec {
	t.Helper()
	s, err := Read("test.toml", []byte(text), testNames)
	require.NoError(t, err)
	return s
}

// problems reads a bad spec.
func problems(t *testing.T, text string) Problems {
	t.Helper()
	s, err := Read("test.toml", []byte(text), testNames)
	require.Nil(t, s)
	var ps Problems
	require.ErrorAs(t, err, &ps)
	require.NotEmpty(t, ps)
	return ps
}

func TestReadShortest(t *testing.T) {
	s := read(t, shortest)
	assert.Equal(t, 1000.0, s.Target.Output.SI)
	assert.Equal(t, "test.toml:2", s.Where(s.Target.Output.Origin))
	assert.Equal(t, []string{"80m", "40m", "20m"}, s.Target.Bands.Values, "sorted, lowest band first")
	assert.Equal(t, "3-500Z", s.Tubes.Type.Value, "as the catalogue writes it")
	assert.Equal(t, 2800.0, s.Supply.PlateVoltage.SI)
	assert.True(t, s.Supply.PlateVoltage.Given)

	// a default is a value and an assumption, with its key and reason
	assert.True(t, s.Target.DriveAvailable.Assumed)
	assert.Equal(t, 100.0, s.Target.DriveAvailable.SI)
	assert.Equal(t, "target.drive_available", s.Where(s.Target.DriveAvailable.Origin))
	assert.Equal(t, 2, s.Tubes.Count.N)
	assert.Equal(t, 12.0, s.Tank.LoadedQ.Value)
	assert.InDelta(t, 303.15, s.Cooling.Inlet.SI, 1e-9)
	keys := map[string]int{}
	for _, a := range s.Assumptions {
		keys[a.Key]++
		assert.NotEmpty(t, a.Value, a.Key)
		assert.NotEmpty(t, a.Reason, a.Key)
	}
	for k, n := range keys {
		assert.Equal(t, 1, n, k)
	}
	assert.Contains(t, keys, "target.drive_available")
	assert.NotContains(t, keys, "target.output")

	// what is neither given nor assumed has no value
	assert.False(t, s.Tank.Tune.Voltage.Known())
	assert.False(t, s.Bias.Voltage.Known())
}

// A value that is written is not listed as assumed, and a spec that writes
// every default out means the same.
func TestGivenIsNotAssumed(t *testing.T) {
	short := read(t, shortest)
	var text strings.Builder
	text.WriteString("schema = 1\n")
	for _, a := range short.Assumptions {
		if a.Key == "schema" {
			continue
		}
		v := fmt.Sprintf("%q", a.Value)
		for _, f := range fields(&Spec{}) {
			if f.key == a.Key && (f.kind == "Ratio" || f.kind == "Count") {
				v = a.Value
			}
		}
		fmt.Fprintf(&text, "%s = %s\n", a.Key, v)
	}
	text.WriteString("target.output = \"1000 W\"\ntarget.bands = [\"80m\", \"40m\", \"20m\"]\ntubes.type = " +
		"\"3-500Z\"\nsupply.plate_voltage = \"2800 V\"\n")
	long := read(t, text.String())
	assert.Empty(t, long.Assumptions)
	for _, a := range short.Assumptions {
		assert.NotContains(t, []string{"tank.intermediate_resistance", "tank.output_coil_q"}, a.Key, "a pi has neither")
	}
	assert.Equal(t, short.Cooling.Inlet.SI, long.Cooling.Inlet.SI)
	assert.Equal(t, short.Tank.Coil.Conductor.SI, long.Tank.Coil.Conductor.SI)
	assert.Equal(t, short.Margins.Voltage.Value, long.Margins.Voltage.Value)
	assert.Equal(t, short.Filament.Choke.RodLength.SI, long.Filament.Choke.RodLength.SI)
	assert.Equal(t, short.Supply.Rectifier.Value, long.Supply.Rectifier.Value)
}

func TestReadForms(t *testing.T) {
	s := read(t, shortest+`
[tank]
loaded_q = 10
[tank.tune]
range = "20 .. 250 pF"
padders = ["100 pF", "0.22 nF"]
[tank.coil]
diameter = "2 1/2 in"
[tank.band.80m]
loaded_q = 14.5
[input.band.40m]
shunt_in = "1 nF"
coil = "0.4 .. 1.2 µH"
[station]
antenna_gain = "5 dBd"
[cooling]
inlet = "77 °F"
airflow = "20 CFM"
pressure = "0.3 inH2O"
[supply.mains]
tolerance = "±10 %"
[prices]
C1 = 42.5
[note.tank]
text = "wound on a bottle"
[reading.idle]
of = "supply.idle_voltage"
value = "3100 V"
`)
	assert.InDelta(t, 20e-12, s.Tank.Tune.Capacitance.Low, 1e-21)
	assert.InDelta(t, 250e-12, s.Tank.Tune.Capacitance.High, 1e-21)
	assert.InDeltaSlice(t, []float64{100e-12, 220e-12}, s.Tank.Tune.Padders.SI, 1e-21)
	assert.InDelta(t, 0.0635, s.Tank.Coil.Form.SI, 1e-12)
	assert.Equal(t, 14.5, s.Tank.Band["80m"].LoadedQ.Value)
	assert.Equal(t, "tank.band.80m.loaded_q", s.Tank.Band["80m"].LoadedQ.Key)
	assert.InDelta(t, 1.2e-6, s.Input.Band["40m"].Inductance.High, 1e-15)
	// a half-wave dipole in free space has 1.64 times the power density of an
	// isotropic radiator, 2.15 dB
	assert.InDelta(t, 7.15, s.Station.Gain.SI, 1e-12)
	assert.InDelta(t, 298.15, s.Cooling.Inlet.SI, 1e-9)
	assert.InDelta(t, 0.1, s.Supply.Mains.Tolerance.SI, 1e-12)
	assert.Equal(t, 42.5, s.Prices["C1"].Value)
	assert.Equal(t, "wound on a bottle", s.Note["tank"].Text.Value)
	assert.Equal(t, "3100 V", s.Reading["idle"].Value.Value)
}

// Twenty readings of one bad spec give one text.
func TestStable(t *testing.T) {
	for _, path := range badSpecs(t) {
		src, err := os.ReadFile(path)
		require.NoError(t, err)
		first := ""
		for i := range 20 {
			_, err := Read(filepath.Base(path), src, testNames)
			require.Error(t, err)
			if i == 0 {
				first = shown(err)
			}
			require.Equal(t, first, shown(err), path)
		}
	}
}

// Every bad spec names a place that exists, in the order of the file.
func TestPlaces(t *testing.T) {
	for _, path := range badSpecs(t) {
		src, err := os.ReadFile(path)
		require.NoError(t, err)
		text := strings.TrimPrefix(string(src), "\ufeff")
		_, err = Read(filepath.Base(path), src, testNames)
		var ps Problems
		require.ErrorAs(t, err, &ps)
		last := Position{}
		for _, p := range ps {
			lines := strings.Split(text, "\n")
			require.GreaterOrEqual(t, p.Line, 1, path)
			require.LessOrEqual(t, p.Line, len(lines), path)
			require.GreaterOrEqual(t, p.Column, 1, path)
			require.LessOrEqual(t, p.Column, len([]rune(lines[p.Line-1]))+1, path)
			require.False(t, p.Line < last.Line || p.Line == last.Line && p.Column < last.Column, path)
			last = p.Position
			assert.NotEmpty(t, p.What, path)
			assert.False(t, strings.HasSuffix(p.What, "."), p.What)
			assert.NotEmpty(t, p.Hint, "%s: %s", path, p.What)
		}
	}
}

func TestTooLarge(t *testing.T) {
	big := append([]byte(shortest), []byte("# "+strings.Repeat("x", MaxSize))...)
	_, err := Read("big.toml", big, testNames)
	assert.Equal(t, fmt.Sprintf("anodebook: big.toml:1:1: %d bytes is too large for a spec; the limit is 1048576\n", len(big)),
		strings.SplitAfter(shown(err), "\n")[0])
	s, err := Read("full.toml", append([]byte(shortest), []byte("#"+strings.Repeat("x", MaxSize-len(shortest)-1))...), testNames)
	require.NoError(t, err, "the limit itself is allowed")
	assert.NotNil(t, s)

	path := filepath.Join(t.TempDir(), "big.toml")
	require.NoError(t, os.WriteFile(path, big, 0o644))
	_, err = Load(path, testNames)
	require.ErrorContains(t, err, "too large")
}

func TestLoad(t *testing.T) {
	dir := t.TempDir()
	_, err := Load(dir, testNames)
	require.ErrorContains(t, err, "is a folder")
	_, err = Load(filepath.Join(dir, "none.toml"), testNames)
	require.ErrorIs(t, err, os.ErrNotExist)
	path := filepath.Join(dir, "good.toml")
	require.NoError(t, os.WriteFile(path, []byte(shortest), 0o644))
	s, err := Load(path, testNames)
	require.NoError(t, err)
	assert.Equal(t, path, s.File)
}

// The messages propose only what the reader itself accepts.
func TestHintsAreAccepted(t *testing.T) {
	for _, c := range []struct{ key, value, fix string }{
		{"supply.mains.voltage", `"240"`, `240 V`},
		{"plate_feed.blocking.capacitance", `1000`, `1000 pF`},
		{"plate_feed.choke.inductance", `"90"`, `90 µH`},
		{"bias.idle_current", `200`, `200 mA`},
		{"bias.voltage", `"5 v"`, `5 V`},
		{"bias.cutoff_resistor", `"10 K"`, `10 kohm`},
		{"tank.stray_capacitance", `"8 mmfd"`, `8 pF`},
		{"switching.operate_time", `"15 msec"`, `15 ms`},
		{"cooling.inlet", `"25 C"`, `25 °C`},
		{"input.cable_length", `"0,5 m"`, `0.5 m`},
		{"tank.coil.conductor", `"4.76 millimetres"`, `4.76 mm`},
		{"tank.coil.diameter", `63`, `63 mm`},
		{"supply.mains.tolerance", `"5 percent"`, `5 %`},
		{"supply.mains.frequency", `"50 cycles"`, `50 Hz`},
		{"cooling.altitude", `"1'200 m"`, `1200 m`},
		{"tank.tune.range", `"25 - 250 pF"`, `25 .. 250 pF`},
		{"tank.tune.range", `"250 pF .. 25 pF"`, `25 pF .. 250 pF`},
		{"tank.load.range", `"100..1500"`, `100 pF .. 1500 pF`},
	} {
		tables := strings.Split(c.key, ".")
		text := func(value string) string {
			head, sub := tables[0], strings.Join(tables[1:], ".")
			if head == "supply" {
				return shortest + sub + " = " + value + "\n"
			}
			return shortest + "[" + head + "]\n" + sub + " = " + value + "\n"
		}
		ps := problems(t, text(c.value))
		require.Len(t, ps, 1, c.key)
		assert.Contains(t, ps[0].Hint, `"`+c.fix+`"`, c.key)
		assert.Equal(t, c.key, ps[0].Key)
		read(t, text(fmt.Sprintf("%q", c.fix)))
	}
}

// fitted = false says that a part is not there: nothing else may be written of
// it, and nothing is assumed of it. A plain value is short for the table.
func TestFitted(t *testing.T) {
	base := "[target]\noutput = \"1000 W\"\nbands = [\"80m\"]\n[tubes]\ntype = \"3-500Z\"\n[supply]\nplate_voltage = \"2800 V\"\n"
	s, err := Read("a.toml", []byte(base+"[plate_feed.safety_choke]\nfitted = false\n"), testNames)
	require.NoError(t, err)
	assert.True(t, s.PlateFeed.Safety.Fitted.Denied())
	for _, a := range s.Assumptions {
		assert.NotContains(t, a.Key, "plate_feed.safety_choke")
	}
	s, err = Read("a.toml", []byte(base+"[supply.bleeders]\nfitted = true\n"), testNames)
	require.NoError(t, err)
	assert.False(t, s.Supply.Bleeders.Fitted.Denied())
	assert.False(t, s.Supply.StepStart.Fitted.Denied(), "not written is no denial")

	_, err = Read("a.toml", []byte(base+"[supply.bleeders]\nfitted = false\npower = \"10 W\"\n"), testNames)
	assert.EqualError(t, err, "a.toml:10:1: supply.bleeders.power: fitted = false says that this part is not there")
	_, err = Read("a.toml", []byte(base+"[supply.bleeders]\nfitted = \"no\"\n"), testNames)
	assert.ErrorContains(t, err, "a.toml:9:")
	assert.ErrorContains(t, err, "where true or false is wanted")

	short, err := Read("a.toml", []byte(base+"[protection]\ngrid_trip = \"0.25 A\"\n"), testNames)
	require.NoError(t, err)
	long, err := Read("a.toml", []byte(base+"[protection.grid_trip]\ncurrent = \"0.25 A\"\n"), testNames)
	require.NoError(t, err)
	for _, s := range []*Spec{short, long} {
		assert.Equal(t, 0.25, s.Protection.GridTrip.Current.SI)
		assert.Equal(t, "protection.grid_trip.current", s.Protection.GridTrip.Current.Key)
		assert.Equal(t, 9, s.Protection.GridTrip.Current.Line)
		n, err := s.Numeric("protection.grid_trip")
		require.NoError(t, err)
		assert.Equal(t, 0.25, n.Value)
	}
}

// A lead as long as it is thick is the shortest that the formula of the
// straight wire is asked for.
func TestLeadShorterThanThick(t *testing.T) {
	base := "[target]\noutput = \"1000 W\"\nbands = [\"80m\"]\n[tubes]\ntype = \"3-500Z\"\n[supply]\nplate_voltage = \"2800 " +
		"V\"\n[suppressor]\nlead_diameter = \"20 mm\"\n"
	_, err := Read("a.toml", []byte(base+"lead_length = \"20 mm\"\n"), testNames)
	require.NoError(t, err)
	_, err = Read("a.toml", []byte(base+"lead_length = \"19.9 mm\"\n"), testNames)
	assert.EqualError(t, err, "a.toml:9:1: suppressor.lead_diameter: the plate lead is thicker than it is long")
}
