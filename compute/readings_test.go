package compute

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/ledger"
	"anodebook/compute/restoration"
	"anodebook/report/setting"
	"anodebook/spec"
	"anodebook/spec/testhelp"
)

func example(t testing.TB, name string) *Design {
	t.Helper()
	s, err := spec.Load("../examples/"+name+".toml", Names())
	require.NoError(t, err)
	d, err := Run(s)
	require.NoError(t, err)
	return d
}

// The example's readings before the restoration are what its own model reads
// with one tube at 70 % of its perveance, as one reads a meter; the ranking
// must find the tube, and find nothing wrong afterwards.
func TestRestorationFindsTheSoftTube(t *testing.T) {
	d := example(t, "restoration")
	require.Len(t, d.Readings, 2)
	before, after := d.Readings[0], d.Readings[1]
	require.Equal(t, "before", before.Taken)
	planted, size, err := restoration.Predict(d.sound(), "soft_tube", (0.7-0.2)/(1-0.2))
	require.NoError(t, err)
	require.Contains(t, size, "70 %")
	for _, r := range before.Readings {
		assert.InEpsilon(t, r.Computed*planted[r.ID], r.Value, 0.011, "%s is not what the model reads", r.Name)
	}
	require.False(t, before.Agree())
	require.NotEmpty(t, before.Candidates)
	best := before.Candidates[0]
	assert.Equal(t, "soft_tube", best.ID)
	assert.InDelta(t, 0.7, best.X, 0.04)
	assert.Less(t, best.Worst, 1.0)
	assert.Len(t, before.Alike(), 1, "nothing else explains these readings")
	require.Equal(t, "after", after.Taken)
	assert.True(t, after.Agree())
	assert.Empty(t, after.Candidates)
}

// wide are readings that a well-equipped bench can take.
var wide = []string{
	"supply.bleeder_resistance", "supply.filter_capacitance", "filament.pin_voltage", "supply.transformer_voltage",
	"supply.standby_voltage", "supply.time_to_60v",
	"tubes.bias_voltage", "tubes.idle_current", "supply.idle_voltage", "tubes.plate_current", "tubes.grid_current",
	"antenna.output_power",
	"supply.full_load_voltage", "tubes.plate_voltage", "supply.ripple_peak_to_peak",
}

// Every fault that is planted into the model is found again, with its size.
func TestPlantedFaultsAreFound(t *testing.T) {
	for _, name := range []string{"restoration", "ceramic-pair", "small-supply"} {
		d := example(t, name)
		tried := 0
		for _, cause := range restoration.Causes() {
			for _, share := range testhelp.Sample([]float64{0.4, 0.15, 0.9}, 1) {
				ratios, size, err := restoration.Predict(d.sound(), cause, share)
				if err != nil {
					assert.Equal(t, "bias", cause, "%s: %v", name, err)
					continue
				}
				var list []restoration.Measured
				moved := false
				for _, id := range wide {
					q, ok := d.Book.Lookup(id)
					ratio, known := ratios[id]
					if !ok || !known || q.Value == 0 || ratio == 0 {
						continue
					}
					moved = moved || math.Abs(ratio-1) > 0.02
					list = append(list, restoration.Measured{ID: id, Value: q.Value * ratio, Computed: q.Value, Error: 0.01})
				}
				if !moved {
					continue // too small a fault for any meter
				}
				tried++
				r, err := restoration.Rank(d.sound(), list)
				require.NoError(t, err)
				require.NotEmpty(t, r.Candidates, "%s %s %s", name, cause, size)
				i := slices.IndexFunc(r.Candidates, func(c restoration.Candidate) bool { return c.ID == cause })
				require.GreaterOrEqual(t, i, 0, "%s %s %s: not listed", name, cause, size)
				found := r.Candidates[i]
				assert.True(t, found.Alike, "%s %s %s: %s (%s) is ranked first, misfit %.2f against %.2f", name, cause, size,
					r.Candidates[0].ID, r.Candidates[0].Size, r.Candidates[0].Misfit, found.Misfit)
				assert.Less(t, found.Misfit, 0.5, "%s %s %s came back as %s", name, cause, size, found.Size)
			}
		}
		assert.Greater(t, tried, testhelp.Trials(8, 25), name)
	}
}

// What the physics says of single faults, without asking the model.
func TestFaultsActAsTheyMust(t *testing.T) {
	d := example(t, "restoration")
	at := func(cause string, share float64) map[string]float64 {
		r, _, err := restoration.Predict(d.sound(), cause, share)
		require.NoError(t, err, cause)
		return r
	}
	// the idle current of a tube without bias is its perveance times a
	// function of the voltage alone, to the power 3/2 of it or thereabouts
	soft := at("soft_tube", 0.625)
	v := soft["supply.idle_voltage"]
	assert.InDelta(t, 0.85*math.Pow(v, 1.5), soft["tubes.idle_current"], 0.005)
	assert.InDelta(t, 1, soft["supply.no_load_voltage"], 1e-12)
	assert.Greater(t, v, 1.0, "less current, less sag")
	// a rectifier without load follows the mains exactly
	mains := at("low_mains", 0.25)
	share := 0.75 + 0.25*0.45
	assert.InDelta(t, share, mains["supply.no_load_voltage"], 1e-12)
	// a linear circuit with a resistor for its load, but for the knee of the
	// diodes, which stays: (share·V - V_d)/(V - V_d), about V_d·(1-share)/V less
	q, plan := d.Book.Get("supply.standby_voltage").Value, d.Supply.Plan.Supply
	assert.InDelta(t, share-(1-share)*plan.DiodeDrop/q, mains["supply.standby_voltage"], 1e-5)
	assert.InDelta(t, share, mains["filament.pin_voltage"], 1e-12)
	// a wrong tap is low mains with the filaments right
	tap := at("wrong_tap", 0.25)
	assert.InDelta(t, 1, tap["filament.pin_voltage"], 1e-12)
	// τ = R·C
	dry := at("dry_capacitors", 0.5)
	assert.InDelta(t, 0.55, dry["supply.time_to_60v"], 1e-9)
	assert.InEpsilon(t, 1/0.55, dry["supply.ripple_peak_to_peak"], 0.03, "ripple goes with 1/C")
	// the voltmeter string beside them has not drifted
	bleeders, meter := d.Book.Get("supply.bleeder_resistance").Value, d.Book.Get("metering.multiplier_resistance").Value
	assert.InDelta(t, (1/bleeders+1/meter)/(1/(math.Sqrt(5)*bleeders)+1/meter), at("bleeders_drifted", 0.5)["supply.time_to_60v"], 1e-9)
	// a resistance beyond the bank leaves the bank alone but for the current
	path := at("plate_path", 0.3)
	assert.InDelta(t, 1, path["supply.standby_voltage"], 1e-12)
	assert.InDelta(t, 450*path["tubes.plate_current"]*d.Operating.PlateCurrent.Value,
		d.Operating.PlateVoltage.Value*(1-path["tubes.plate_voltage"])+d.Book.Get("supply.full_load_voltage").Value*(path["supply.full_load_voltage"]-1)+
			d.Supply.Plan.Glitch*d.Operating.PlateCurrent.Value*(1-path["tubes.plate_current"]), 3,
		"what the plates lack is what the resistance drops")
	// a meter that reads wrong changes what it shows and nothing else
	shown := at("plate_meter", 0.1)
	for id, x := range shown {
		if id == "tubes.idle_current" || id == "tubes.plate_current" {
			assert.InDelta(t, 0.7, x, 1e-12)
		} else {
			assert.InDelta(t, 1, x, 1e-12, id)
		}
	}
}

// With few readings causes cannot be told apart, and the next reading to take
// is one that does tell them apart.
func TestTellApart(t *testing.T) {
	d := example(t, "restoration")
	planted, _, err := restoration.Predict(d.sound(), "wrong_tap", 0.25)
	require.NoError(t, err)
	read := func(ids ...string) restoration.Result {
		var list []restoration.Measured
		for _, id := range ids {
			c := d.Book.Get(id).Value
			list = append(list, restoration.Measured{ID: id, Value: c * planted[id], Computed: c, Error: 0.02})
		}
		r, err := restoration.Rank(d.sound(), list)
		require.NoError(t, err)
		return r
	}
	has := func(r restoration.Result, id string) bool {
		return slices.ContainsFunc(r.Alike(), func(c restoration.Candidate) bool { return c.ID == id })
	}
	few := []string{"supply.idle_voltage", "tubes.plate_voltage", "tubes.idle_current", "antenna.output_power"}
	r := read(few...)
	require.True(t, has(r, "wrong_tap"))
	require.True(t, has(r, "low_mains"), "only filament or mains voltage tells the two apart")
	require.NotEmpty(t, r.Next)
	for range 4 { // measuring what is proposed leads to the cause
		if len(r.Alike()) == 1 || r.Next == "" {
			break
		}
		few = append(few, r.Next)
		r = read(few...)
	}
	assert.True(t, has(r, "wrong_tap"))
	assert.False(t, has(r, "low_mains"))
}

func TestReadingsThatCannotBeMatched(t *testing.T) {
	src, err := os.ReadFile("../examples/restoration.toml")
	require.NoError(t, err)
	text := string(src) + `
[reading.slip]
of = "supply.idle_voltag"
value = "2800 V"
[reading.kind]
of = "supply.idle_voltage"
value = "2.8 A"
`
	s, err := spec.Read("x.toml", []byte(text), Names())
	require.NoError(t, err)
	_, err = Run(s)
	var ps spec.Problems
	require.ErrorAs(t, err, &ps)
	require.Len(t, ps, 2)
	line := strings.Count(string(src), "\n") + 3
	assert.Equal(t, line, ps[0].Line)
	assert.Contains(t, ps[0].Hint, "did you mean supply.idle_voltage?")
	assert.Equal(t, line+4, ps[1].Line)
	assert.Contains(t, ps[1].What, "does not measure supply.idle_voltage, which is a voltage")
}

// A price of a part that is not there is said, and those that are there count
// once for each piece.
func TestPrices(t *testing.T) {
	d := example(t, "restoration")
	parts := 0.0
	for _, p := range setting.Plain(d.Book, "metric").Parts() {
		parts += p.Price * float64(p.Count)
	}
	assert.InDelta(t, 2*210+10*9.5+10*2.4, parts, 1e-9)
	assert.InDelta(t, parts, d.Survey.Parts, 1e-9)
	assert.InDelta(t, 18+35+42, d.Survey.Work, 1e-9)
	src, err := os.ReadFile("../examples/restoration.toml")
	require.NoError(t, err)
	s, err := spec.Read("x.toml", []byte(strings.Replace(string(src), "C7 =", "C77 =", 1)), Names())
	require.NoError(t, err)
	_, err = Run(s)
	var ps spec.Problems
	require.ErrorAs(t, err, &ps)
	require.Len(t, ps, 1)
	assert.Contains(t, ps[0].What, "the parts list has no C77")
	assert.Contains(t, ps[0].Hint, "did you mean")
}

func BenchmarkRestoration(b *testing.B) {
	s, err := spec.Load("../examples/restoration.toml", Names())
	require.NoError(b, err)
	for b.Loop() {
		_, err := Run(s)
		require.NoError(b, err)
	}
}

// The used amplifier is weighed: what cannot be had, what is not known, what
// must be repaired, and the sum.
func TestUsedAmplifierIsWeighed(t *testing.T) {
	d := example(t, "used-amplifier")
	s := &d.Survey
	assert.Equal(t, []string{"switch"}, s.In("unobtainable"))
	assert.Equal(t, []string{"transformer"}, s.In("unknown"))
	assert.Equal(t, []string{"sockets", "capacitors", "mains", "blower"}, s.In("repairable"))
	assert.Empty(t, s.Missing)
	assert.InDelta(t, 350+30+95+25+40+45, s.Work, 1e-9)
	pieces := 0.0
	for _, p := range setting.Plain(d.Book, "metric").Parts() {
		switch p.Designator {
		case "C7":
			pieces += 8.5 * float64(p.Count)
		case "R3":
			pieces += 2 * float64(p.Count)
		case "F2":
			pieces += 6 * float64(p.Count)
		}
	}
	assert.Greater(t, pieces, 6+5*10.5, "a set of capacitors and bleeders")
	assert.InDelta(t, s.Work+pieces, s.Total(), 1e-9)
	found := map[string]ledger.Severity{}
	for _, f := range setting.Plain(d.Book, "metric").Findings() {
		found[f.ID] = f.Severity
	}
	for _, id := range []string{"survey.switch", "survey.transformer", "survey.capacitors", "survey.mains", "survey.blower"} {
		assert.Equal(t, ledger.Caution, found[id], id)
	}
	assert.NotContains(t, found, "survey.sockets", "a socket to be repaired endangers nobody")
	assert.NotContains(t, found, "survey.missing")
}
