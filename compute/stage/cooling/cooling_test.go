package cooling

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
)

const cfm = 0.3048 * 0.3048 * 0.3048 / 60 // [m³/s]

func solve(t *testing.T, kind string, plate float64, more string) (*desktest.Desk, Result) {
	t.Helper()
	d := desktest.New(t, desktest.Text("800 W", kind, "2500 V", "40m")+more)
	r, err := Solve(d.Desk, Input{Type: desktest.Tube(t, kind), Tubes: 2, PlateDissipationEach: d.Figure("test.plate", "W", plate),
		GridDissipationEach: d.Figure("test.grid", "W", 10)})
	require.NoError(t, err)
	return d, r
}

// Two 8877 at 1500 W each take twice the published 35 CFM and its 0.41 in. of
// water at sea level and 25 °C, and at 10 000 ft what the same sheet says
// there: 51 CFM each at 0.60 in. (from memory, to whole CFM and hundredths).
func TestPublishedAir(t *testing.T) {
	d, r := solve(t, "8877", 1500, "[cooling]\naltitude = \"0 m\"\ninlet = \"25 degC\"\n")
	assert.InEpsilon(t, 2*35*cfm, r.Airflow.Value, 2e-3)
	assert.InEpsilon(t, 0.41*249.089, d.Value("cooling.pressure"), 2e-3)
	d, r = solve(t, "8877", 1500, "[cooling]\naltitude = \"3048 m\"\ninlet = \"25 degC\"\n")
	assert.InEpsilon(t, 2*51*cfm, r.Airflow.Value, 0.015)
	assert.InEpsilon(t, 0.60*249.089, d.Value("cooling.pressure"), 0.015)
	// Energy: the heat leaves with the air.
	exit := d.Value("cooling.exit_temperature") - 298.15
	assert.InEpsilon(t, d.Value("cooling.heat"), r.Airflow.Value*d.Value("cooling.air_density")*1006*exit, 1e-9)
}

// The trade's formula CFM = 1.76·P/ΔT, for a type without published air.
func TestRadiationCooled(t *testing.T) {
	d, r := solve(t, "811A", 60, "[cooling]\naltitude = \"0 m\"\ninlet = \"22 degC\"\nrise = \"20 K\"\n")
	assert.False(t, r.Forced)
	assert.InEpsilon(t, 1.76*d.Value("cooling.heat")/20*cfm, r.Airflow.Value, 3e-3)
	assert.True(t, d.Found("cooling.radiation"))
	assert.Equal(t, ledger.Caution, d.Severity("cooling.seal_limit"), "nothing published on its seals")
	d, _ = solve(t, "8877", 1000, "")
	assert.False(t, d.Found("cooling.radiation"))
}

// In a room of 20 °C the reading must lie as far below the limit as the room
// lies below the inlet temperature that the station may have.
func TestSealLimits(t *testing.T) {
	d, _ := solve(t, "3-500Z", 300, "[cooling]\ninlet = \"40 degC\"\n")
	assert.InDelta(t, 200+273.15, d.Value("cooling.base_temperature_limit"), 1e-9)
	assert.InDelta(t, 180+273.15, d.Value("cooling.base_reading_limit"), 1e-9)
	assert.InDelta(t, d.Value("cooling.base_temperature_limit")-d.Value("cooling.exit_temperature"), d.Value("cooling.base_room"), 1e-9)
	assert.Equal(t, ledger.Note, d.Severity("cooling.base_seal"))
	assert.InDelta(t, 180, d.Value("cooling.after_run"), 0)
}

func TestBlower(t *testing.T) {
	d, r := solve(t, "8877", 1000, "[cooling]\nairflow = \"20 CFM\"\n")
	assert.Equal(t, ledger.Caution, d.Severity("cooling.blower_pressure"))
	require.NotEmpty(t, d.Ratings)
	assert.Equal(t, ledger.ExceedsRating, d.Ratings[0].Verdict, "%g", r.Airflow.Value)
	d, _ = solve(t, "8877", 1000, "[cooling]\nairflow = \"120 CFM\"\npressure = \"200 Pa\"\n")
	assert.False(t, d.Found("cooling.blower_pressure"))
	for _, x := range d.Ratings {
		assert.Equal(t, ledger.Within, x.Verdict, x.Quantity)
	}
}

// A type that wants forced air wants a blower and its interlock, whether or
// not its airflow is known; one cooled by conduction wants its block.
func TestWithoutPublishedAir(t *testing.T) {
	d, r := solve(t, "8875", 200, "")
	assert.True(t, r.Forced)
	require.NotEmpty(t, d.Parts)
	assert.Equal(t, "B1", d.Parts[0].Designator)
	d, r = solve(t, "8873", 200, "")
	assert.False(t, r.Forced)
	assert.Equal(t, ledger.Caution, d.Severity("cooling.conduction"))
}

// All that two tubes turn into heat, by the sheet's heater figures.
func TestHeatIsThatOfBothTubes(t *testing.T) {
	d, _ := solve(t, "8877", 1500, "")
	heater := 5.0 * 10.0 // W, published for the 8877
	assert.InEpsilon(t, 2*(1500+10+heater), d.Value("cooling.heat"), 1e-9)
}

// A blower below the need, by hand: two 8877 of 1000 W plate, 10 W grid and
// 50 W heater each turn 2120 W into heat and need 45 CFM at 0.20 in. of water. At
// sea level and 25 °C air weighs 101325/(287.05·298.15) = 1.184 kg/m³ and takes
// 1006 J/(kg·K): 20 CFM leave 188.6 K hotter, 45 CFM 83.8 K, 90 CFM 41.9 K.
func TestTheAirThatMoves(t *testing.T) {
	const heat = 2 * (1000 + 10 + 5.0*10)
	const drop = 0.20 * 249.089
	at := func(keys string) *desktest.Desk {
		d, _ := solve(t, "8877", 1000, "[cooling]\naltitude = \"0 m\"\ninlet = \"25 degC\"\n"+keys)
		return d
	}
	leaves := func(d *desktest.Desk, flow, tolerance float64) {
		t.Helper()
		rho := 101325 / (287.05287 * 298.15)
		assert.InEpsilon(t, flow*cfm, d.Value("cooling.airflow_moved"), tolerance)
		assert.InEpsilon(t, heat/(rho*flow*cfm*1006), d.Value("cooling.exit_temperature")-298.15, tolerance)
	}
	d := at("")
	assert.False(t, d.Entered("cooling.airflow_moved"))
	assert.InEpsilon(t, 83.8, d.Value("cooling.rise"), 5e-3, "a blower to buy moves what is needed")
	d = at("airflow = \"20 CFM\"\npressure = \"60 Pa\"\n")
	leaves(d, 20, 2e-3)
	assert.InDelta(t, 188.6, d.Value("cooling.rise"), 0.5)
	assert.Equal(t, ledger.ExceedsRating, d.Rating("B1", "airflow").Verdict)
	f := d.Finding("cooling.B1.airflow")
	assert.Contains(t, f.Text, "m³/h of air are needed, it moves 34.0 m³/h")
	assert.Contains(t, f.Advice, "214 °C")
	// The pressure limits it: 80 CFM at a quarter of the pressure drive half of
	// the air through the tubes.
	d = at("airflow = \"80 CFM\"\npressure = \"12.454 Pa\"\n")
	leaves(d, 22.5, 3e-3)
	assert.Equal(t, ledger.ExceedsRating, d.Rating("B1", "airflow").Verdict)
	assert.Equal(t, ledger.ExceedsRating, d.Rating("B1", "pressure").Verdict)
	// More than needed leaves cooler.
	d = at("airflow = \"90 CFM\"\npressure = \"400 Pa\"\n")
	leaves(d, 90, 2e-3)
	assert.InDelta(t, 41.9, d.Value("cooling.rise"), 0.2)
	assert.Equal(t, ledger.Within, d.Rating("B1", "airflow").Verdict)
	// Both sides of the need and of the margin of 1.2.
	for airflow, want := range map[string]ledger.Verdict{"44.8": ledger.ExceedsRating, "45.2": ledger.Thin, "53.8": ledger.Thin,
		"54.2": ledger.Within} {
		assert.Equal(t, want, at("airflow = \""+airflow+" CFM\"\npressure = \"400 Pa\"\n").Rating("B1", "airflow").Verdict, airflow)
	}
	for pressure, want := range map[float64]ledger.Verdict{0.995 * drop: ledger.ExceedsRating, 1.005 * drop: ledger.Within} {
		assert.Equal(t, want, at(fmt.Sprintf("airflow = \"90 CFM\"\npressure = \"%.3f Pa\"\n", pressure)).Rating("B1",
			"pressure").Verdict)
	}
	// Two points: the straight line from 100 Pa to 100 CFM meets the parabola
	// 49.8·(Q/45)² at 46.6 CFM; the pressure alone then says nothing.
	d = at("[cooling.blower]\nfree_airflow = \"100 CFM\"\nshut_off_pressure = \"100 Pa\"\n")
	leaves(d, 46.6, 2e-3)
	for _, r := range d.Ratings {
		assert.NotEqual(t, "pressure", r.Quantity)
	}
	assert.False(t, d.Found("cooling.blower_pressure"))
	// Free air alone says nothing of what stands in its way.
	d = at("[cooling.blower]\nfree_airflow = \"100 CFM\"\n")
	assert.Equal(t, ledger.Caution, d.Severity("cooling.blower_pressure"))
	leaves(d, 100, 1e-6)
	d = at("airflow = \"100 CFM\"\npressure = \"0 Pa\"\n")
	assert.Equal(t, ledger.ExceedsRating, d.Rating("B1", "pressure").Verdict)
}

// At 3048 m the tubes need 1.454 times the volume and pressure, and a blower
// makes 1/1.454 of the pressure of its data sheet: the pressure to ask for is
// 1.454² of the published one.
func TestBlowerOnAMountain(t *testing.T) {
	keys := "[cooling]\naltitude = \"3048 m\"\ninlet = \"25 degC\"\n"
	need := 0.20 * 249.089 * 1.4541 * 1.4541
	for share, want := range map[float64]ledger.Verdict{0.99: ledger.ExceedsRating, 1.01: ledger.Within} {
		d, _ := solve(t, "8877", 1000, keys+fmt.Sprintf("airflow = \"150 CFM\"\npressure = \"%.2f Pa\"\n", share*need))
		assert.Equal(t, want, d.Rating("B1", "pressure").Verdict, share)
		assert.InEpsilon(t, 45*1.4541*math.Sqrt(share)*cfm, d.Value("cooling.airflow_moved"), 3e-3)
	}
}

// No blower: what it means depends on the type, and nothing of a blower is
// bought, assumed or computed.
func TestNoBlower(t *testing.T) {
	for kind, want := range map[string]ledger.Severity{"8877": ledger.Exceeds, "3-500Z": ledger.Exceeds, "8875": ledger.Exceeds,
		"811A": ledger.Caution, "8873": ledger.Caution} {
		d, r := solve(t, kind, 200, "[cooling.blower]\nfitted = false\n")
		assert.Equal(t, want, d.Severity("cooling.blower"), kind)
		assert.Equal(t, want == ledger.Exceeds, r.Needed, kind)
		assert.False(t, r.Forced)
		assert.Empty(t, d.Parts, kind)
		assert.Empty(t, d.Ratings, kind)
		assert.Zero(t, r.AfterRun)
		assert.False(t, d.Found("cooling.after_run"))
		for _, id := range []string{"cooling.exit_temperature", "cooling.airflow_moved", "cooling.after_run"} {
			assert.False(t, d.Entered(id), "%s %s", kind, id)
		}
		for _, a := range d.Assumptions {
			assert.NotEqual(t, "cooling.after_run", a.Key)
		}
		assert.True(t, d.Entered("cooling.airflow"), "what would be needed stays said")
		with, _ := solve(t, kind, 200, "")
		assert.False(t, with.Found("cooling.blower"), kind)
	}
}

// Every way of cooling in the catalogue is one that the blower's absence has a
// meaning for.
func TestEveryWayOfCooling(t *testing.T) {
	needed := map[string]bool{
		"": false, "forced air": true, "forced air through the anode cooler": true, "transverse forced air": true,
		"conduction cooled": false, "radiation": false,
		"radiation and a light stream of air": false, "radiation, or forced air at the higher rating": false,
	}
	for _, x := range tube.All() {
		want, ok := needed[x.Cooling.Method]
		require.True(t, ok, "%s is cooled by %q: say here whether that needs a blower", x.Name, x.Cooling.Method)
		if _, known := published(x, 0); known || x.Kind == tube.NoModel {
			continue
		}
		_, r := solve(t, x.Name, 100, "")
		assert.Equal(t, want, r.Needed, x.Name)
	}
}

// Seals: two 3-500Z into 9 CFM leave the air hotter than the 200 °C of the base
// seals. By hand, at sea level and 25 °C with 300 W and 10 W and 72.5 W each:
// 765 W; 175 K more is all that 9 CFM may take, 145 K leaves the margin of 30 K.
func TestSealsAndTheAirThatMoves(t *testing.T) {
	const heat = 2 * (300 + 10 + 5*14.5)
	rho := 101325 / (287.05287 * 298.15)
	flow := func(rise float64) string {
		return fmt.Sprintf("[cooling]\naltitude = \"0 m\"\ninlet = \"25 degC\"\nairflow = \"%.6f m3/s\"\npressure = \"2 kPa\"\n",
			heat/(rho*1006*rise))
	}
	for rise, want := range map[float64]ledger.Severity{176: ledger.Exceeds, 174: ledger.Caution, 146: ledger.Caution,
		144: ledger.Note} {
		d, _ := solve(t, "3-500Z", 300, flow(rise))
		assert.InDelta(t, rise, d.Value("cooling.rise"), 0.1)
		assert.Equal(t, want, d.Severity("cooling.base_seal"), "%g K", rise)
	}
}
