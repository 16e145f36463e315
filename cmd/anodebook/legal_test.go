package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// TestNoStackTraceForALegalSpec runs every command on specs whose every value is
// legal and that no amplifier can be made of: each ends in one sentence with
// file, line, key and what to do, and never in a stack trace.
func TestNoStackTraceForALegalSpec(t *testing.T) {
	good := put(t, filepath.Join(t.TempDir(), "good.toml"), fourFacts)
	for _, x := range []struct{ name, more, says string }{
		{"zener-without-volts", "[bias]\ndevice = \"zener\"\nvoltage = \"0 V\"\n",
			":9:1: bias.device: a zener diode needs a voltage to hold, and bias.voltage is 0 V"},
		{"transistor-without-volts", "[bias]\ndevice = \"transistor\"\nvoltage = \"0 V\"\n",
			":9:1: bias.device: a bias transistor needs a voltage to hold"},
		{"diodes-without-volts", "[bias]\ndevice = \"diodes\"\nvoltage = \"0 V\"\n",
			":9:1: bias.device: a string of diodes needs a voltage to hold"},
		{"zener-of-half-a-volt", "[bias]\ndevice = \"zener\"\nvoltage = \"0.5 V\"\n",
			":9:1: bias.device: a zener diode cannot hold a bias of 500 mV"},
		{"zener-and-too-much", "[bias]\ndevice = \"zener\"\nidle_current = \"2 A\"\n",
			":9:1: bias.device: a zener diode has nothing to hold: without any bias the tubes idle on "},
		{"transistor-and-too-much", "[bias]\nidle_current = \"900 mA\"\ndevice = \"transistor\"\n",
			":10:1: bias.device: a bias transistor has nothing to hold: without any bias the tubes idle on "},
		{"movement-is-the-scale", "[metering]\nmovement = \"10 mA\"\ngrid_scale = \"10 mA\"\n",
			":10:1: metering.grid_scale: a full scale of 10.0 mA leaves nothing for a shunt"},
		{"tank-eats-all", "[tank]\ncoil_q = 30\nloaded_q = 30\n", ":9:1: tank.coil_q: with 30 here the tank passes only "},
		{"blocking-of-5-pF", "[plate_feed.blocking]\ncapacitance = \"5 pF\"\n",
			":9:1: plate_feed.blocking.capacitance: with 5.00 pF here the tank passes only "},
		{"choke-that-cannot-be-wound", "[plate_feed.choke]\ninductance = \"5 mH\"\n",
			":9:1: plate_feed.choke.inductance: 5.00 mH cannot be wound on a form of 25.0 mm"},
	} {
		t.Run(x.name, func(t *testing.T) {
			dir := t.TempDir()
			path := put(t, filepath.Join(dir, "bad.toml"), fourFacts+x.more)
			for _, args := range [][]string{
				{"check", path}, {"write", path, "-o", filepath.Join(dir, "out")}, {"compare", good, path}, {"compare", path, good},
				{"digest", path}, {"digest", "--textconv", path}, {"study", path, "--sweep", "tank.loaded_q=8..16", "--steps", "3"},
			} {
				code, stdout, stderr := program("", args...)
				what := strings.Join(args[:1], " ") + ": " + stderr + stdout
				if args[0] != "digest" || len(args) < 3 { // git shows whatever textconv prints, and must not be stopped
					assert.Equal(t, 2, code, what)
				}
				testhelp.Contains(t, stdout+stderr, x.says, what)
				for _, bad := range []string{"goroutine", "panic", "runtime error", "breaks the program", "no finite value", "Inf",
					"NaN"} {
					testhelp.Lacks(t, stdout+stderr, bad, what)
				}
			}
			_, err := os.Stat(filepath.Join(dir, "out"))
			assert.True(t, os.IsNotExist(err), "nothing is written of what cannot be computed")
			if x.name != "zener-without-volts" && x.name != "movement-is-the-scale" {
				return // one of each kind is enough for a server
			}
			_, stdout, stderr := previewing(t, path)
			stderr.shows(t, `bad\.toml:\d+:1: [a-z_.]+: `)
			testhelp.Lacks(t, stdout.String()+stderr.String(), "goroutine")
		})
	}
}

// On the other side of each of these limits the same spec is a design.
func TestLegalSpecsBesideTheLimit(t *testing.T) {
	for _, more := range []string{
		"[bias]\ndevice = \"zener\"\nvoltage = \"6.2 V\"\n", "[bias]\ndevice = \"none\"\nvoltage = \"0 V\"\n",
		"[bias]\ndevice = \"zener\"\nidle_current = \"150 mA\"\n",
		"[bias]\ndevice = \"transistor\"\nidle_current = \"150 mA\"\n", "[bias]\nidle_current = \"2 A\"\n",
		"[bias]\ndevice = \"diodes\"\nvoltage = \"0.8 V\"\n",
		"[metering]\nmovement = \"10 mA\"\ngrid_scale = \"300 mA\"\n", "[metering]\nmovement = \"10 mA\"\ngrid_scale = \"11 mA\"\n",
		"[tank]\ncoil_q = 100\nloaded_q = 12\n", "[plate_feed.blocking]\ncapacitance = \"500 pF\"\n",
	} {
		code, stdout, stderr := program(fourFacts+more, "check", "-")
		require.Less(t, code, 2, "%s\n%s%s", more, stderr, stdout)
		testhelp.Contains(t, stdout, " exceeds, ", more)
	}
}
