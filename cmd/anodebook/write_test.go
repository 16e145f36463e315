package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

func TestWriteGivesTheWholeNotebookTwiceAlike(t *testing.T) {
	for _, path := range testhelp.Sample(specs(t), 3) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			t.Parallel()
			var made [2]map[string]string
			for i := range made {
				dir := filepath.Join(t.TempDir(), "notebook")
				args := []string{"write", "-o", dir}
				if path != "" {
					args = append(args, path)
				}
				code, stdout, stderr := program("", args...)
				require.Equal(t, 0, code, stderr)
				testhelp.Contains(t, stdout, "report.html")
				assert.Empty(t, stderr)
				made[i] = folder(t, dir)
			}
			assert.Equal(t, made[0], made[1])
			for _, name := range []string{"report.html", "report.md", "parts.csv", "results.json", "figures/cycle.svg",
				"figures/ripple.svg", "figures/discharge.svg", "figures/schematic-rf-deck.svg"} {
				assert.NotEmpty(t, made[0][name], name)
			}
			for name, text := range made[0] {
				testhelp.Lacks(t, text, "NaN", name)
				testhelp.Lacks(t, text, "%!", name)
				testhelp.Lacks(t, text, "<no value>", name)
			}
		})
	}
}

func TestWriteNeverOverwritesWhatAPersonMade(t *testing.T) {
	dir := t.TempDir()
	mine := filepath.Join(dir, "report.md")
	put(t, mine, "my own notes\n")
	code, _, stderr := program("", "write", "-o", dir)
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "not overwritten")
	testhelp.Contains(t, stderr, "anodebook: hint: ")
	assert.Equal(t, map[string]string{"report.md": "my own notes\n"}, folder(t, dir), "nothing else may be written either")

	require.NoError(t, os.Remove(mine))
	code, _, stderr = program("", "write", "-o", dir)
	require.Equal(t, 0, code, stderr)
	code, _, stderr = program("", "write", "-o", dir)
	require.Equal(t, 0, code, "our own files may be replaced: %s", stderr)
	put(t, mine, "edited")
	code, _, stderr = program("", "write", "-o", dir)
	assert.Equal(t, 2, code)
	testhelp.Contains(t, stderr, "report.md")
}

func TestWriteFailsCleanly(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	code, stdout, stderr := program("[target]\noutput = 5\n", "write", "-", "-o", dir)
	assert.Equal(t, 2, code)
	assert.Empty(t, stdout)
	testhelp.Contains(t, stderr, "anodebook: standard-input:2:1: target.output: 5 is a bare number")
	testhelp.Contains(t, stderr, "anodebook: hint: ")
	assert.NoDirExists(t, dir)

	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	code, _, stderr = program("", "write", "-o", file)
	assert.Equal(t, 2, code)
	assert.NotEmpty(t, stderr)
}

func TestResultsHoldTheContract(t *testing.T) {
	for _, path := range testhelp.Sample(specs(t), 3) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			args := []string{"write", "-o", dir}
			if path != "" {
				args = append(args, path)
			}
			code, _, stderr := program("", args...)
			require.Equal(t, 0, code, stderr)
			b, err := os.ReadFile(filepath.Join(dir, "results.json"))
			require.NoError(t, err)
			var r struct {
				Schema     int
				Title      string
				Quantities map[string]struct {
					Value            float64
					Unit, Text, From string
					Where, Name      string
				}
				Findings []struct {
					Severity, ID, Stage, Text, Advice string
					Quantities                        []string
				}
				Ratings []struct {
					Part, Quantity, Verdict string
					Stress, Rating, Margin  float64
					RequiredFactor          float64 `json:"required_factor"`
				}
				Parts, Assumptions, Checks []map[string]any
			}
			require.NoError(t, json.Unmarshal(b, &r))
			assert.Equal(t, 1, r.Schema)
			ids := contractIDs
			bands := map[string]bool{}
			for id := range r.Quantities {
				if p := strings.Split(id, "."); len(p) == 3 && p[0] == "tank" {
					bands[p[1]] = true
				}
			}
			require.NotEmpty(t, bands)
			for _, id := range ids {
				if !strings.Contains(id, "BAND") {
					testhelp.Contains(t, r.Quantities, id)
					continue
				}
				for b := range bands {
					testhelp.Contains(t, r.Quantities, strings.ReplaceAll(id, "BAND", b))
				}
			}
			for id, q := range r.Quantities {
				testhelp.Contains(t, []string{"spec", "assumed", "catalogue", "computed"}, q.From, id)
				assert.NotEmpty(t, q.Where, id)
				assert.NotEmpty(t, q.Name, id)
				assert.NotEmpty(t, q.Text, id)
			}
			seen := map[string]bool{}
			for _, f := range r.Findings {
				testhelp.Contains(t, []string{"exceeds", "caution", "note"}, f.Severity)
				assert.False(t, seen[f.ID], "finding %s twice", f.ID)
				seen[f.ID] = true
				for _, q := range f.Quantities {
					testhelp.Contains(t, r.Quantities, q, f.ID)
				}
			}
			for _, x := range r.Ratings {
				testhelp.Contains(t, []string{"within", "thin", "exceeds", "to buy", "not stated"}, x.Verdict)
				assert.GreaterOrEqual(t, x.Rating, 0.0)
				assert.GreaterOrEqual(t, x.RequiredFactor, 1.0)
			}
			assert.NotEmpty(t, r.Parts)
			assert.NotEmpty(t, r.Assumptions)
			assert.NotEmpty(t, r.Checks)
		})
	}
}

// contractIDs are the quantities that results.json always holds.
var contractIDs = strings.Fields(`
tubes.plate_voltage tubes.bias_voltage tubes.idle_current tubes.plate_current tubes.grid_current tubes.plate_load tubes.plate_swing
tubes.cathode_drive_voltage tubes.drive_power tubes.input_resistance tubes.plate_output tubes.efficiency tubes.plate_dissipation_each
tubes.grid_dissipation_each tubes.minimum_plate_voltage tubes.imd3 tubes.imd5
tubes.model.k_each tubes.model.mu tubes.model.exponent tubes.model.division tubes.model.softness
input.BAND.shunt_in input.BAND.series_inductance input.BAND.shunt_out input.BAND.swr input.BAND.swr_edge
filament.choke_inductance filament.choke_reactance_lowest_band filament.secondary_voltage filament.pin_voltage
tank.BAND.frequency tank.BAND.tube_capacitance tank.BAND.tune_capacitance tank.BAND.inductance tank.BAND.load_capacitance tank.BAND.loaded_q
tank.BAND.coil_q tank.BAND.plate_resistance tank.BAND.plate_reactance tank.BAND.efficiency tank.BAND.tune_voltage_peak tank.BAND.coil_current_rms
tank.BAND.harmonic2 tank.BAND.harmonic3 tank.BAND.harmonic4 tank.BAND.harmonic5 tank.BAND.harmonic6 tank.BAND.harmonic7 tank.BAND.bandwidth
plate_feed.choke_inductance plate_feed.blocking_capacitance plate_feed.blocking_current_rms suppressor.inductance suppressor.resistance suppressor.dissipation_each
supply.transformer_voltage supply.source_resistance supply.filter_capacitance supply.mains_frequency supply.no_load_voltage supply.idle_voltage
supply.full_load_voltage supply.ripple_peak_to_peak supply.secondary_current_rms supply.diode_peak_current supply.bleeder_resistance supply.stored_energy
supply.time_to_60v supply.time_to_60v_one_bleeder_open supply.surge_current
metering.multiplier_resistance metering.multiplier_count metering.plate_shunt metering.grid_shunt cooling.airflow
exposure.BAND.distance_controlled exposure.BAND.distance_uncontrolled antenna.output_power`)
