package spec

import (
	"fmt"
	"testing"

	"anodebook/spec/quantity"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func setSpec(t *testing.T, more string) *Spec {
	t.Helper()
	s, err := Read("set.toml", []byte(least+more), testNames)
	require.NoError(t, err)
	return s
}

// A value that is set is the value that is read from text, and the assumption
// goes in both cases.
func TestSetIsAsRead(t *testing.T) {
	for _, c := range []struct {
		key   string
		value float64
		text  string
	}{
		{"supply.plate_voltage", 2500, ""},
		{"supply.mains.voltage", 230, "[supply.mains]\nvoltage = \"230 V\"\n"},
		{"tank.loaded_q", 10.5, "[tank]\nloaded_q = 10.5\n"},
		{"supply.bleeders.count", 7, "[supply.bleeders]\ncount = 7\n"},
		{"tank.band.10m.coil_q", 250, "[tank.band.10m]\ncoil_q = 250\n"},
		{"plate_feed.blocking.capacitance", 1e-9, "[plate_feed.blocking]\ncapacitance = \"1 nF\"\n"},
		{"cooling.inlet", 313.15, "[cooling]\ninlet = \"40 °C\"\n"},
	} {
		base := setSpec(t, "")
		before, err := base.Numeric(c.key)
		require.NoError(t, err)
		set := base.Clone()
		require.NoError(t, set.Set(c.key, c.value), c.key)
		got, err := set.Numeric(c.key)
		require.NoError(t, err)
		assert.True(t, got.Given && got.Known)
		after, err := base.Numeric(c.key)
		require.NoError(t, err)
		assert.Equal(t, before, after, "the original is untouched")
		if c.text == "" {
			assert.Equal(t, c.value, got.Value)
			continue
		}
		read := setSpec(t, c.text)
		want, err := read.Numeric(c.key)
		require.NoError(t, err)
		assert.InEpsilon(t, want.Value, got.Value, 1e-15, c.key)
		assert.Equal(t, want.Unit, got.Unit)
		assert.Equal(t, read.Assumptions, set.Assumptions, c.key)
	}
}

func TestSetRefuses(t *testing.T) {
	s := setSpec(t, "[bias]\nidle_current = \"120 mA\"\n")
	for key, c := range map[string]struct {
		value      float64
		what, hint string
	}{
		"tank.loaded":           {9, "no such key", "did you mean tank.loaded_q?"},
		"tank.loaded_q":         {2, "2 is not plausible", "plausible is 4 to 40"},
		"tank.tune.range":       {1, "holds more than one number", "only a key with one number"},
		"tubes.type":            {1, "is not a number", "only a key with one number"},
		"tank":                  {1, "is a table", "a key of that table"},
		"tank.band.40m.coil_q":  {200, "no such key", ""},
		"bias.voltage":          {5, "bias.idle_current is written too", "vary bias.idle_current"},
		"target.drive":          {50, "target.output is written too", "vary target.output"},
		"supply.bleeders.count": {2.5, "2.5 where a whole number is wanted", ""},
		"supply.plate_voltage":  {-5, "is negative", "plausible is 400 V to 8 kV"},
		"schema":                {1, "no such key", ""},
		"tubes.custom.airflow":  {0.01, "nothing reads this key", ""},
	} {
		err := s.Clone().Set(key, c.value)
		var e *SettingError
		require.ErrorAs(t, err, &e, key)
		assert.Contains(t, e.Error(), c.what)
		assert.Contains(t, e.Hint, c.hint, key)
	}
}

// Every numeric key of the format can be looked up, and its unit is one that
// the formatter knows.
func TestEveryNumericKeyIsFound(t *testing.T) {
	s := setSpec(t, "")
	keys := s.numericKeys()
	require.Greater(t, len(keys), 150)
	for _, k := range keys {
		if k == "schema" {
			continue
		}
		n, err := s.Numeric(k)
		if err != nil {
			assert.Contains(t, err.Error(), "nothing reads this key", k)
			continue
		}
		_, ok := quantity.LookupUnit(n.Unit)
		assert.True(t, ok || n.Unit == "", k)
	}
}

func TestParseSweep(t *testing.T) {
	s := setSpec(t, "")
	for text, want := range map[string][2]float64{
		"tank.loaded_q=8..16":                     {8, 16},
		"tank.loaded_q = 8.5 .. 16":               {8.5, 16},
		"supply.plate_voltage = 2.5 .. 3.1 kV":    {2500, 3100},
		"supply.plate_voltage=2500V..3.1kV":       {2500, 3100},
		"cooling.inlet = 20 °C .. 40 °C":          {293.15, 313.15},
		"tubes.count = 1 .. 4":                    {1, 4},
		"supply.mains.tolerance = 1 % .. 10 %":    {0.01, 0.1},
		"tank.band.10m.loaded_q = 12 .. 20":       {12, 20},
		"supply.capacitors.capacitance=47..470uF": {47e-6, 470e-6},
	} {
		w, err := s.ParseSweep(text)
		require.NoError(t, err, text)
		assert.InEpsilon(t, want[0], w.Low, 1e-12, text)
		assert.InEpsilon(t, want[1], w.High, 1e-12, text)
	}
	for text, want := range map[string]string{
		"tank.loaded_q":                   "no interval",
		"tank.loaded_q = 12":              "not an interval",
		"tank.loaded_q = 8 V .. 16 V":     "a plain number is wanted",
		"tank.loaded_q = 16 .. 8":         "does not rise",
		"tank.loaded_q = 2 .. 16":         "not plausible",
		"supply.plate_voltage = 8 .. 16":  "needs a unit",
		"supply.plate_voltage = 1 .. 2 A": "wanted is a voltage",
		"supply.plate_voltage = 2800 V":   "does not rise",
	} {
		_, err := s.ParseSweep(text)
		require.Error(t, err, text)
		assert.Contains(t, err.Error(), want, text)
	}
}

func TestStudyTable(t *testing.T) {
	good := setSpec(t, `[study.q]
kind = "sweep"
sweep = "tank.loaded_q = 8 .. 16"
[study.spread]
kind = "tolerance"
builds = 20
[study.spread.tolerance]
mains = "3 %"
`)
	require.Len(t, good.Study, 2)
	assert.InDelta(t, 0.03, good.Study["spread"].Tolerance.Mains.SI, 1e-15)
	for text, want := range map[string]string{
		"kind = \"sweep\"": "missing: key and interval",
		"kind = \"corners\"\nsweep = \"tank.loaded_q = 8 .. 16\"": "only a sweep has an interval",
		"kind = \"corners\"\nseed = 3":                            "only a tolerance run has builds",
		"kind = \"tolerance\"\nsteps = 3":                         "only a sweep has steps",
		"kind = \"sweep\"\nsweep = \"tank.loded_q = 8 .. 16\"":    "no such key",
		"kind = \"sweep\"\nsweep = \"tubes.count = 1.5 .. 3\"":    "whole number",
		"builds = 10": "missing: sweep: a key goes",
		"kind = \"tolerance\"\n[study.a.tolerance]\nmains = \"3\"": "needs a unit",
	} {
		_, err := Read("s.toml", []byte(least+"[study.a]\n"+text+"\n"), testNames)
		require.Error(t, err, text)
		assert.Contains(t, fmt.Sprint(err), want, text)
	}
	_, err := Read("s.toml", []byte(least+"[study.A1]\nkind = \"corners\"\n"), testNames)
	require.ErrorContains(t, err, "is not a name for a study")
}

// TestSetOfAPartThatIsNotThere: what is not fitted has no value to be varied.
func TestSetOfAPartThatIsNotThere(t *testing.T) {
	const facts = "target.output = \"1000 W\"\ntarget.bands = [\"80m\"]\ntubes.type = \"3-500Z\"\nsupply.plate_voltage = \"2800 V\"\n"
	names := Names{Tubes: []string{"3-500Z"}, Rules: []string{"us"}}
	for table, key := range map[string]string{
		"supply.bleeders": "resistance", "supply.step_start": "resistance", "plate_feed.glitch_resistor": "resistance",
		"plate_feed.bypass": "capacitance",
		"metering.clamps":   "current", "protection.grid_trip": "current", "protection.plate_trip": "current",
		"protection.hv_fuse": "current", "protection.mains_fuse": "current",
	} {
		with, err := Read("t.toml", []byte(facts+table+".fitted = true\n"), names)
		require.NoError(t, err)
		without, err := Read("t.toml", []byte(facts+table+".fitted = false\n"), names)
		require.NoError(t, err)
		value := 1.0
		if key == "capacitance" {
			value = 1e-9
		} else if table == "supply.bleeders" {
			value = 100e3
		}
		full := table + "." + key
		assert.NoError(t, with.Set(full, value), full)
		var e *SettingError
		require.ErrorAs(t, without.Set(full, value), &e, full)
		assert.Equal(t, "fitted = false says that this part is not there", e.What)
		assert.Contains(t, e.Hint, "["+table+"]")
	}
}
