package platefeed

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/network"
)

// The bank of the tests: 40 µF ± 20 % at 3200 V with 4 Ω of its own.

func TestGlitchResistor(t *testing.T) {
	d, r := solve(t, "")
	assert.InDelta(t, 3200.0/14, r.FaultCurrent, 1e-9)
	// ½ · 40 µF · 1.2 · 3200² = 245.76 J, and 20e-6 · 3200² / 14 · 1.2 A²s.
	assert.InDelta(t, 245.76, d.Value("plate_feed.glitch_energy"), 1e-9)
	assert.InDelta(t, 1.2*204.8/14, r.FaultAction, 1e-9)
	assert.InDelta(t, 0.6*0.6*10, d.Value("plate_feed.glitch_heat"), 1e-9)
	// 3200 · 1.25 = 4000 V: the body of 50 W stands 3480 V, the next 6000 V.
	assert.Equal(t, ledger.ToBuy, d.Verdict("R1", "power"))
	assert.Equal(t, 100.0, d.Rating("R1", "power").Rating)
	assert.InDelta(t, 6000, d.Rating("R1", "voltage").Rating, 1e-6)
	// d³ = 2 · 0.49e-6 · 0.0191 · 0.150 / 10, d = 0.6548 mm, 20.60 g, 2111 J.
	assert.InEpsilon(t, 2111, d.Rating("R1", "energy").Rating, 2e-3)
	assert.Contains(t, d.Listed("R1").Rating, "100 W, pulse of 2110 J")

	// A resistor at hand: its power tells the body, and the body what it bears.
	// 25 W: d³ = 2 · 0.49e-6 · 0.0143 · 0.036 / 10, d = 0.3695 mm, mass
	// 8900 · π² · 0.0143 · 0.036 · 0.3695e-3 / 8 = 2.089 g, 214 J; 1440 V.
	d, _ = solve(t, "[plate_feed.glitch_resistor]\nresistance = \"10 ohm\"\npower = \"25 W\"\n")
	assert.InEpsilon(t, 214, d.Rating("R1", "energy").Rating, 3e-3)
	assert.Equal(t, ledger.ExceedsRating, d.Verdict("R1", "energy"), "214 J for 246 J")
	assert.InEpsilon(t, 1440, d.Rating("R1", "voltage").Rating, 1e-9)
	assert.Equal(t, ledger.ExceedsRating, d.Verdict("R1", "voltage"))
	assert.Equal(t, ledger.Within, d.Verdict("R1", "power"))
	// What the builder states counts, on both sides of stress and margin.
	for rating, want := range map[string]ledger.Verdict{"240 J": ledger.ExceedsRating, "250 J": ledger.Thin, "490 J": ledger.Thin,
		"495 J": ledger.Within} {
		d, _ = solve(t, "[plate_feed.glitch_resistor]\nenergy = \""+rating+"\"\n")
		assert.Equal(t, want, d.Verdict("R1", "energy"), rating)
		assert.Equal(t, ledger.NotStated, d.Verdict("R1", "voltage"))
	}
	for rating, want := range map[string]ledger.Verdict{"3.1 kV": ledger.ExceedsRating, "3.3 kV": ledger.Thin,
		"4.1 kV": ledger.Within} {
		d, _ = solve(t, "[plate_feed.glitch_resistor]\nvoltage = \""+rating+"\"\n")
		assert.Equal(t, want, d.Verdict("R1", "voltage"), rating)
	}
}

// Taking the resistor away adds findings and takes none: more current, and no
// part R1 that could be bought.
func TestNoGlitchResistor(t *testing.T) {
	with, _ := solve(t, "")
	require.False(t, with.Found("plate_feed.fault_current"))
	for _, more := range []string{"[plate_feed.glitch_resistor]\nresistance = \"0 ohm\"\n",
		"[plate_feed.glitch_resistor]\nfitted = false\n"} {
		d, r := solve(t, more)
		assert.InDelta(t, 800, r.FaultCurrent, 1e-9, more)
		assert.Zero(t, r.GlitchResistance)
		assert.Equal(t, ledger.Caution, d.Severity("plate_feed.glitch"), more)
		assert.Equal(t, ledger.Caution, d.Severity("plate_feed.fault_current"), "above 500 A")
		assert.InDelta(t, 245.76, d.Value("plate_feed.glitch_energy"), 1e-9, "the energy is still there")
		for id, severity := range with.Severities() {
			if severity != ledger.Note {
				assert.True(t, d.Found(id), "%s: %s has gone", more, id)
			}
		}
		assert.NotContains(t, d.Designators(), "R1")
		assert.Contains(t, d.Designators(), "F2")
	}
	// Ten times the fuse of 1 A is the other threshold: 3200 V through 316 Ω.
	for ohms, want := range map[string]bool{"315 ohm": false, "317 ohm": true} {
		d, _ := solve(t, "[plate_feed.glitch_resistor]\nresistance = \""+ohms+"\"\n[protection.hv_fuse]\ncurrent = \"1 A\"\n")
		assert.Equal(t, want, d.Found("plate_feed.fault_current"), ohms)
	}
	d, _ := solve(t, "[plate_feed.glitch_resistor]\nresistance = \"10 kohm\"\n")
	assert.Contains(t, d.Finding("plate_feed.fault_current").Text, "may never open")
	// 500 A is the threshold: 3200 V through 2.4 Ω and the bank's 4 Ω.
	for ohms, want := range map[string]bool{"2.3 ohm": true, "2.5 ohm": false} {
		d, _ := solve(t, "[plate_feed.glitch_resistor]\nresistance = \""+ohms+"\"\n")
		assert.Equal(t, want, d.Found("plate_feed.fault_current"), ohms)
	}
}

func TestFuse(t *testing.T) {
	d, r := solve(t, "")
	assert.Equal(t, 1.0, r.FuseRating, "1.5 × 0.6 A = 0.9 A, next rating")
	assert.Equal(t, ledger.ToBuy, d.Verdict("F2", "voltage"))
	assert.Equal(t, 4000.0, d.Rating("F2", "voltage").Rating)
	assert.False(t, d.Found("plate_feed.fuse"))
	fuse := func(keys string) *desktest.Desk {
		d, _ := solve(t, "[protection.hv_fuse]\n"+keys)
		return d
	}
	for volts, want := range map[string]ledger.Verdict{"3150 V": ledger.ExceedsRating, "3250 V": ledger.Within} {
		assert.Equal(t, want, fuse("voltage = \""+volts+"\"\n").Verdict("F2", "voltage"), volts)
	}
	assert.Equal(t, ledger.NotStated, fuse("current = \"1 A\"\n").Verdict("F2", "voltage"))
	// Below 1.1 × 0.6 A it opens in a tune-up; above 40 A / 4 it lingers. What
	// melts it is stated, so that only the current counts: it lies below the
	// 14.6 A²s of the bank.
	for amps, want := range map[string]bool{"0.65 A": true, "0.67 A": false, "9.9 A": false, "10 A": false} {
		assert.Equal(t, want, fuse("current = \""+amps+"\"\nmelting_integral = \"1 A2s\"\n").Found("plate_feed.fuse"), amps)
	}
	// (A_m - 14.63) / 40² = 0.1 s at 174.6 A²s.
	for melting, want := range map[string]bool{"174 A2s": false, "175 A2s": true} {
		d := fuse("current = \"1 A\"\nmelting_integral = \"" + melting + "\"\n")
		assert.Equal(t, want, d.Found("plate_feed.fuse"), melting)
	}
	d = fuse("current = \"1 A\"\nmelting_integral = \"20 A2s\"\n")
	assert.InDelta(t, 40, d.Value("plate_feed.fault_passes"), 1e-9, "twice what melts it is more than the bank has")
	d = fuse("current = \"1 A\"\nmelting_integral = \"2 A2s\"\n")
	assert.InDelta(t, 1.2*204.8/14, d.Value("plate_feed.fault_passes"), 1e-9, "the bank has more")

	d = fuse("fitted = false\n")
	assert.NotContains(t, d.Designators(), "F2")
	assert.Equal(t, ledger.Caution, d.Severity("plate_feed.fuse"))
	assert.InDelta(t, 1.2*204.8/14+40*40*0.1, d.Value("plate_feed.fault_passes"), 1e-9)
	d, _ = solve(t, "[protection.hv_fuse]\nfitted = false\n[protection.plate_trip]\nfitted = false\n")
	assert.Equal(t, ledger.Exceeds, d.Severity("plate_feed.fuse"))
	assert.InDelta(t, 1.2*204.8/14+40*40*1, d.Value("plate_feed.fault_passes"), 1e-9)
}

// Onderdonk's formula as the trade prints it: amperes, circular mils and
// seconds, 33·(I/A)²·S = log10(1 + ΔT/(234 + Ta)); k = 226 is that of the
// International Electrotechnical Commission.
func TestOnderdonk(t *testing.T) {
	mils := 1e-3 / 25.4e-6 // 1 mm
	for _, to := range []float64{enamelCelsius, meltCelsius} {
		want := mils * mils * mils * mils / 33 * math.Log10(1+(to-coldCelsius)/(234+coldCelsius))
		assert.InEpsilon(t, want, adiabatic(1e-3, coldCelsius, to), 0.015)
	}
}

// By hand: 17.55 A²s go through. Copper of 1 mm bears from 40 to 200 °C
// 226e6² · (π/4 · 1e-6)² · ln(1 + 160/274.5) = 14470 A²s, so d = (17.55/14470)^¼
// = 0.1867 mm; to 1083 °C 49600 A²s, 0.1373 mm. 120 V at 3200/14 A are 0.525 Ω.
func TestSafetyChoke(t *testing.T) {
	d, _ := solve(t, "[protection.hv_fuse]\ncurrent = \"1 A\"\nmelting_integral = \"5 A2s\"\n")
	q := d.Of("plate_feed.safety_choke_")
	assert.InEpsilon(t, 120.0*14/3200, q("resistance_greatest"), 1e-9)
	assert.InEpsilon(t, 0.1867e-3, q("wire_least"), 1e-3)
	assert.InEpsilon(t, 0.1373e-3, q("wire_fusing"), 2e-3)
	assert.LessOrEqual(t, q("resistance"), 0.8*q("resistance_greatest"))
	assert.GreaterOrEqual(t, q("wire"), 1.25*q("wire_least"))
	// 20 · 50 Ω at 3.65 MHz (these bands have no edges) are 43.6 µH: 47 µH.
	assert.InEpsilon(t, 47e-6, q("inductance"), 1e-9)
	volts := 3200 * q("resistance") / (q("resistance") + 14)
	assert.InEpsilon(t, volts, q("voltage"), 1e-9)
	assert.Less(t, volts, 120.0)
	assert.InEpsilon(t, 3200.0*47/(47+220), q("first_voltage"), 1e-9)
	assert.Equal(t, ledger.Note, d.Severity("plate_feed.safety_choke_fault"))

	choke := func(keys string) *desktest.Desk {
		d, _ := solve(t, "[protection.hv_fuse]\ncurrent = \"1 A\"\nmelting_integral = \"5 A2s\"\n[plate_feed.safety_choke]\n"+keys)
		return d
	}
	for ohms, want := range map[string]ledger.Severity{"0.52 ohm": ledger.Note, "0.53 ohm": ledger.Exceeds, "25 ohm": ledger.Exceeds} {
		assert.Equal(t, want, choke("inductance = \"2.5 mH\"\nresistance = \""+ohms+"\"\n").Severity("plate_feed.safety_choke_fault"),
			ohms)
	}
	for wire, want := range map[string]ledger.Severity{"0.137 mm": ledger.Exceeds, "0.138 mm": ledger.Caution,
		"0.186 mm": ledger.Caution, "0.187 mm": ledger.Note} {
		assert.Equal(t, want,
			choke("resistance = \"0.4 ohm\"\nwire_diameter = \""+wire+"\"\n").Severity("plate_feed.safety_choke_fault"), wire)
	}
	d = choke("inductance = \"2.5 mH\"\nresistance = \"40 ohm\"\nwire_diameter = \"0.1 mm\"\n")
	assert.Equal(t, ledger.Exceeds, d.Severity("plate_feed.safety_choke_fault"))
	assert.Equal(t, ledger.Exceeds, d.Severity("plate_feed.safety_choke_fault_resistance"))
	d = choke("inductance = \"2.5 mH\"\n")
	assert.Equal(t, ledger.Caution, d.Severity("plate_feed.safety_choke_fault"), "nobody says what it is made of")
	assert.Contains(t, d.Finding("plate_feed.safety_choke_fault").Text, "receiving choke")

	d = choke("fitted = false\n")
	assert.Equal(t, ledger.Exceeds, d.Severity("plate_feed.safety_choke"))
	assert.NotContains(t, d.Designators(), "RFC2")
	assert.False(t, d.Entered("plate_feed.safety_choke_inductance"))
	// 43.6 µH is the threshold of its reactance.
	for l, want := range map[string]bool{"43 uH": true, "44 uH": false} {
		assert.Equal(t, want, choke("inductance = \""+l+"\"\nresistance = \"0.4 ohm\"\n").Found("plate_feed.safety_choke"), l)
	}
}

func TestNoBypass(t *testing.T) {
	d, r := solve(t, "[plate_feed.bypass]\nfitted = false\n")
	assert.Equal(t, ledger.Exceeds, d.Severity("plate_feed.bypass"))
	assert.NotContains(t, d.Designators(), "C4")
	for _, b := range r.Bands {
		assert.False(t, math.IsNaN(b.ChokeImpedance) || math.IsInf(b.ChokeImpedance, 0), b.Name)
	}
}

// The blocking capacitor carries the choke's current as well, and most of it
// at the lower edge of 160 m: two ceramic triodes with 1156 Ω, 40 pF and a
// choke of 90 µH. Conductance 0.8651 mS; at 1.9 MHz the choke takes 0.9307 mS
// and the plates 0.4775 mS the other way, at 1.8 MHz 0.9824 and 0.4524 mS:
// |0.8651 - j0.4532| = 0.9766 mS and |0.8651 - j0.5300| = 1.0145 mS, 3.88 % more.
func TestChokeCurrentIsInTheBlockingCapacitor(t *testing.T) {
	in := network.TankInput{Frequency: 1.9e6, PlateLoad: 1156, LoadedQ: 12, TubeCapacitance: 40e-12, ChokeInductance: 90e-6,
		Blocking: 4.7e-9, CoilQ: 300}
	tank, err := network.DesignTank(in)
	require.NoError(t, err)
	band := Band{Name: "160m", Centre: 1.9e6, Low: 1.8e6, High: 2e6}
	assert.Equal(t, 1.8e6, worstFrequency(band, &in))
	assert.InEpsilon(t, 1.0388, plateAdmittance(&in, 1.8e6)/plateAdmittance(&in, 1.9e6), 2e-4)
	// Where the plates take more than the choke it is the upper edge.
	high := Band{Name: "10m", Centre: 28.85e6, Low: 28e6, High: 29.7e6}
	assert.Equal(t, 29.7e6, worstFrequency(high, &in))

	d := desktest.New(t, desktest.Text("1400 W", "3CX800A7", "2200 V", "160m")+"[plate_feed.choke]\ninductance = \"90 uH\"\n")
	from := input(t, desktest.New(t, text("")))
	from.Bands, from.Networks, from.PlateLoad, from.Output = []Band{band}, []*network.Tank{tank}, d.Figure("tubes.plate_load", "Ω",
		1156), d.Figure("tubes.output", "W", 1400)
	r, err := Solve(d.Desk, from)
	require.NoError(t, err)
	// The tank designed anew for the edge, solved as a chain, knows nothing of
	// the phasors above.
	in.Frequency = 1.8e6
	edge, err := network.DesignTank(in)
	require.NoError(t, err)
	want := element(edge.Stress(1400*edge.Efficiency/tank.Efficiency), network.BlockingCapacitor).CurrentRMS
	assert.InEpsilon(t, want, r.Bands[0].BlockingCurrentRMS, 1e-6)
	assert.InEpsilon(t, want, d.Value("plate_feed.blocking_current_rms"), 1e-6)
	assert.InEpsilon(t, 1.0145e-3*math.Sqrt(1400/tank.Efficiency*1156), want, 1e-3)
}
