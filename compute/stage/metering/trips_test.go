package metering

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tuning"
)

// mistake is one of an invented map; the full output is 600 mA of plate and
// 150 mA of grid current, 1000 W of 1050 W, 300 W at each of two plates.
func mistake(id string, plate, grid, output, plateEach, gridEach float64, limits tuning.Limits) tuning.Situation {
	s := tuning.Situation{ID: id, Name: id, Reached: true, Reading: tuning.Reading{PlateCurrent: plate, GridCurrent: grid,
		Output: output, PlateDissipationEach: plateEach, GridDissipationEach: gridEach}}
	s.FirstLimit, s.Factor = limits.First(s.Reading, 2)
	return s
}

type demoMap struct {
	off, worst, light float64 // plate current off resonance and at worst, grid current with a light load
	limits            tuning.Limits
	none              bool // no map at all
}

var rated = tuning.Limits{PlateDissipation: 500, GridDissipation: 20, PlateCurrent: 0.4}

var usual = demoMap{off: 0.684, worst: 0.7, light: 0.216, limits: rated}

func trip(t *testing.T, more string, m demoMap) (*desktest.Desk, TripResult) {
	t.Helper()
	d := desktest.New(t, desktest.Text("1000 W", "3-500Z", "2800 V", "80m")+more)
	q := d.Figure
	in := TripInput{
		PlateCurrent: q("tubes.plate_current", "A", 0.6), GridCurrent: q("tubes.grid_current", "A", 0.15),
		PlateVoltage: q("tubes.plate_voltage", "V", 2800),
		Output:       q("target.output", "W", 1000), PlateOutput: q("tubes.plate_output", "W", 1050),
		Dissipation: q("tubes.plate_dissipation_each", "W", 300),
		Tubes:       2, Limits: m.limits, Band: "80m",
	}
	if !m.none {
		in.Mistakes = []tuning.Situation{
			mistake(tuning.Nominal, 0.6, 0.15, 1000, 300, 5, m.limits),
			mistake(tuning.TooLight, 0.5, m.light, 950, 200, 8, m.limits),
			mistake(tuning.OffBelow, m.off, 0.11, 500, 660, 3.4, m.limits),
			mistake(tuning.OffAbove, m.off+0.002, 0.11, 500, 660, 3.4, m.limits),
			mistake(tuning.AntennaOpen, 0.61, 0.16, 3, 800, 4.7, m.limits),
			mistake(tuning.AntennaShort, m.worst, 0.12, 3, 900, 3.4, m.limits),
			mistake(tuning.Overdriven3, 0.72, 0.36, 1400, 250, 16, m.limits),
		}
	}
	return d, Trips(d.Desk, in)
}

// By hand. Plate: a correct tune-up reaches 1.10 · 600 = 660 mA, off resonance
// the tubes draw 684 mA: 672 mA. Grid: g = 216/150 = 1.44, √(1.15 · 1.44) =
// 1.2869, 193.0 mA.
func TestTripsByHand(t *testing.T) {
	d, r := trip(t, "", usual)
	assert.InEpsilon(t, 0.672, r.PlateTrip, 1e-9)
	assert.InEpsilon(t, 0.150*math.Sqrt(1.15*1.44), r.GridTrip, 1e-9)
	assert.Equal(t, ledger.Note, d.Severity("protection.grid_trip"))
	assert.False(t, d.Found("protection.plate_trip"))
	// It fires in what current can tell, and the rest is said: the lost antenna,
	// plates at 160 % with 610 mA.
	f := d.Finding("protection.trips")
	assert.Equal(t, ledger.Caution, f.Severity)
	assert.Contains(t, f.Text,
		"A trip fires at full drive with: loading_too_light; off_resonance_less_capacitance; off_resonance_more_capacitance; "+
			"antenna_shorted; overdriven_3_db.")
	assert.Contains(t, f.Text, "antenna_open (plate dissipation at 160 %")
	// Of 1050 W at the plates 2 · 200 W may go: 1000 · 650/1050 = 619 W, of
	// 1680 W of input 36.8 %.
	assert.InEpsilon(t, 619.05, d.Value("protection.output_least"), 1e-5)
	assert.InEpsilon(t, 0.36848, d.Value("protection.output_share_least"), 1e-4)
	assert.Contains(t, f.Advice, "619 W")

	// Off resonance below 1.11 · 600 = 666 mA is too near: the worst of all,
	// 700 mA, then 680 mA.
	m := usual
	m.off = 0.665
	_, r = trip(t, "", m)
	assert.InEpsilon(t, 0.680, r.PlateTrip, 1e-9)
	m.off = 0.667
	_, r = trip(t, "", m)
	assert.InEpsilon(t, 0.6635, r.PlateTrip, 1e-9)
	// Nothing above 1.11 · 600 = 666 mA: 1.15 times, and the notebook says that
	// it sleeps.
	m.off, m.worst = 0.65, 0.665
	d, r = trip(t, "", m)
	assert.InEpsilon(t, 0.69, r.PlateTrip, 1e-9)
	assert.Equal(t, ledger.Note, d.Severity("protection.plate_trip"))
	m.worst = 0.667
	d, r = trip(t, "", m)
	assert.InEpsilon(t, 0.6635, r.PlateTrip, 1e-9)
	assert.False(t, d.Found("protection.plate_trip"))
	// Never more than 1.15 times.
	m.off, m.worst = 0.75, 0.8
	_, r = trip(t, "", m)
	assert.InEpsilon(t, 0.69, r.PlateTrip, 1e-9)
	// Never above the rating, 2 · 335 mA; grids by heat: 20 W of 16 W at 180 mA.
	m = usual
	m.limits.PlateCurrent = 0.335
	d, r = trip(t, "", m)
	assert.InEpsilon(t, 0.67, r.PlateTrip, 1e-9)
	// From 75 mA and 5 W to 180 mA and 16 W the heat rises with the power 1.3286
	// of the current: 20 W at 75 mA · 4^(1/1.3286) = 212.9 mA.
	assert.InEpsilon(t, 2*0.2129, d.Value("protection.grid_current_rating"), 1e-3)
	m.limits.GridCurrent = 0.09
	_, r = trip(t, "", m)
	assert.InEpsilon(t, 0.18, r.GridTrip, 1e-9)
	// Without a map: 1.15 times, and √(1.15 · 1.5).
	_, r = trip(t, "", demoMap{none: true})
	assert.InEpsilon(t, 0.69, r.PlateTrip, 1e-9)
	assert.InEpsilon(t, 0.15*math.Sqrt(1.15*1.5), r.GridTrip, 1e-9)
}

// Too high and too low, on both sides of each threshold.
func TestOwnTrips(t *testing.T) {
	for plate, want := range map[string]ledger.Severity{
		"599 mA": ledger.Caution, "601 mA": ledger.Caution, "659 mA": ledger.Caution, // full output, 600; tune-up, 660
		"661 mA": "", "683 mA": "", "684 mA": ledger.Caution, "699 mA": ledger.Caution, // off resonance, 684
		"701 mA": ledger.Caution,                                                   // the worst mistake draws 700
		"799 mA": ledger.Caution, "801 mA": ledger.Exceeds, "10 A": ledger.Exceeds, // two tubes of 400
	} {
		d, r := trip(t, "[protection]\nplate_trip = \""+plate+"\"\n", usual)
		assert.Equal(t, want, d.Severity("protection.plate_trip"), plate)
		assert.LessOrEqual(t, r.PlateStop.Value, 0.672+1e-9, "the procedure is lower")
		assert.LessOrEqual(t, r.PlateStop.Value, r.PlateTrip)
	}
	// What a lower trip tells is not called a thing that no current tells.
	for plate, want := range map[string]string{"683 mA": "Current alone cannot tell these",
		"690 mA": "would fire in these too, and none does: off_resonance_less_capacitance"} {
		d, _ := trip(t, "[protection]\nplate_trip = \""+plate+"\"\n", usual)
		assert.Contains(t, d.Finding("protection.trips").Text, want, plate)
	}
	bare := usual
	bare.limits = tuning.Limits{}
	for plate, want := range map[string]ledger.Severity{"1.19 A": ledger.Caution,
		"1.21 A": ledger.Exceeds} { // twice 600, no rating known
		d, _ := trip(t, "[protection]\nplate_trip = \""+plate+"\"\n", bare)
		assert.Equal(t, want, d.Severity("protection.plate_trip"), plate)
	}
	low := usual
	low.limits.GridCurrent = 0.2 // 400 mA for both, under the 426 mA of the heat
	for grid, want := range map[string]ledger.Severity{
		"149 mA": ledger.Caution, "151 mA": ledger.Caution, "167 mA": ledger.Caution, // full output, 150; tune-up, 168
		"169 mA": ledger.Note, "215 mA": ledger.Note, "217 mA": ledger.Caution, // light load, 216
		"399 mA": ledger.Caution, "401 mA": ledger.Exceeds,
	} {
		d, r := trip(t, "[protection]\ngrid_trip = \""+grid+"\"\n", low)
		assert.Equal(t, want, d.Severity("protection.grid_trip"), grid)
		assert.LessOrEqual(t, r.GridStop.Value, 0.1931)
		assert.LessOrEqual(t, r.GridStop.Value, r.GridTrip)
	}
	// A rating within the 660 and 168 mA of a tune-up, on both sides.
	tight := usual
	for each, want := range map[float64]ledger.Severity{0.329: ledger.Caution, 0.331: ""} {
		tight.limits.PlateCurrent = each
		d, _ := trip(t, "", tight)
		assert.Equal(t, want, d.Severity("protection.plate_trip"), each)
	}
	for each, want := range map[float64]ledger.Severity{0.0839: ledger.Caution, 0.0841: ledger.Note} {
		tight.limits.GridCurrent = each
		d, _ := trip(t, "", tight)
		assert.Equal(t, want, d.Severity("protection.grid_trip"), each)
	}
	// A design beyond its rating: no trip can do both.
	over := usual
	over.limits.PlateCurrent, over.limits.GridCurrent = 0.29, 0.07
	d, r := trip(t, "", over)
	assert.Equal(t, ledger.Caution, d.Severity("protection.plate_trip"))
	assert.Contains(t, d.Finding("protection.plate_trip").Text, "may carry")
	assert.InEpsilon(t, 0.58, r.PlateStop.Value, 1e-9, "the rating is lower")
	assert.InEpsilon(t, 0.14, r.GridStop.Value, 1e-9)
}

// Trips that are not there: a finding, a stop for the hand, no threshold.
func TestNoTrips(t *testing.T) {
	const none = "[protection.grid_trip]\nfitted = false\n[protection.plate_trip]\nfitted = false\n"
	d, r := trip(t, none, usual)
	assert.Zero(t, r.GridTrip)
	assert.Zero(t, r.PlateTrip)
	assert.False(t, d.Entered("protection.grid_trip"))
	assert.False(t, d.Entered("protection.plate_trip"))
	assert.InEpsilon(t, 0.672, r.PlateStop.Value, 1e-9)
	assert.InEpsilon(t, 0.193, r.GridStop.Value, 1e-3)
	assert.Equal(t, ledger.Caution, d.Severity("protection.plate_trip"))
	assert.Equal(t, ledger.Caution, d.Severity("protection.grid_trip"), "the grids stand every mistake")
	assert.Contains(t, d.Finding("protection.trips").Text, "No trip fires")
	// 360 mA in the overdriven state: on both sides of the rating.
	for each, want := range map[float64]ledger.Severity{0.181: ledger.Caution, 0.179: ledger.Exceeds} {
		m := usual
		m.limits.GridCurrent = each
		d, _ = trip(t, none, m)
		assert.Equal(t, want, d.Severity("protection.grid_trip"), each)
	}
}

// A trip of 10 A, or none, is not what current cannot tell: off resonance, with
// the antenna shorted and overdriven the plates draw more than the 672 mA that
// are asked for. Only the lost antenna, 610 mA, hides from it.
func TestSleepingTripIsNotBlamedOnTheCurrent(t *testing.T) {
	for _, more := range []string{"[protection]\nplate_trip = \"10 A\"\ngrid_trip = \"10 A\"\n",
		"[protection.plate_trip]\nfitted = false\n[protection.grid_trip]\nfitted = false\n"} {
		d, _ := trip(t, more, usual)
		f := d.Finding("protection.trips")
		_, cannot, ok := strings.Cut(f.Text, "Current alone cannot tell")
		require.True(t, ok, f.Text)
		assert.Contains(t, cannot, "antenna_open")
		for _, told := range []string{tuning.OffBelow, tuning.OffAbove, tuning.AntennaShort} {
			assert.NotContains(t, cannot, told, more)
			assert.Contains(t, f.Text, told, more)
		}
		assert.Contains(t, f.Text, "672 mA")
	}
}

// Overdrive draws 720 mA in this map: a trip of 710 mA fires there, and does
// not sleep through every mistake; it sleeps through those that lack output,
// 700 mA at most.
func TestTripThatOnlyOverdriveFires(t *testing.T) {
	d, _ := trip(t, "[protection]\nplate_trip = \"710 mA\"\n", usual)
	f := d.Finding("protection.plate_trip")
	assert.NotContains(t, f.Text, "every mistake of the tuning map:")
	assert.Contains(t, f.Text, "700 mA")
	assert.False(t, strings.Contains(f.Text, "draws most"), f.Text)
}
