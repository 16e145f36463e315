package clearance

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/data/rules"
	"anodebook/compute/desk/desktest"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/insulation"
	"anodebook/compute/physics/tube"
	"anodebook/spec"
)

// volts are invented voltages of an amplifier.
var volts = map[string]float64{
	"highest": 2800, "high": 2400, "radio": 2000, "reverse": 2800, "antenna": 560, "open": 40, "drive": 90, "rail": 60, "mains": 240,
}

func solve(t *testing.T, altitude float64, more string, other map[string]float64) (*desktest.Desk, Result) {
	t.Helper()
	d := desktest.New(t, desktest.Text("800 W", "3-500Z", "2500 V", "40m")+more)
	r, err := Solve(d.Desk, input(d, altitude, other))
	require.NoError(t, err)
	return d, r
}

// input is the amplifier at an altitude, some of its voltages others.
func input(d *desktest.Desk, altitude float64, other map[string]float64) Input {
	q := func(name string) *ledger.Quantity {
		v, ok := other[name]
		if !ok {
			v = volts[name]
		}
		return d.Figure("test."+name, "V", v)
	}
	return Input{
		Highest: q("highest"), HighMains: q("high"), RadioPeak: q("radio"), Reverse: q("reverse"), Antenna: q("antenna"),
		CathodeOpen: q("open"), CathodeDrive: q("drive"), Rail: q("rail"), MainsVoltage: q("mains"),
		MainsTolerance: d.Figure("test.tolerance", "%", 0.05), Altitude: d.Figure("test.altitude", "m", altitude),
	}
}

func node(t *testing.T, r Result, key string) Node {
	t.Helper()
	for _, n := range r.Nodes {
		if n.Key == key {
			return n
		}
	}
	require.Fail(t, "no node "+key)
	return Node{}
}

// The rows of the published tables, at sea level: 2800 V ask for 8.4 mm, in
// both columns; 1400 V for 4.2 mm and 5.0 mm reinforced; creepage of 3200 V in
// group III 32 mm; a 2500 V impulse 1.5 mm.
func TestPublishedRows(t *testing.T) {
	d, r := solve(t, 0, "", nil)
	assert.Equal(t, 1.0, r.Altitude)
	bank := node(t, r, "bank")
	assert.InDelta(t, 8.4e-3, bank.Clearance, 1e-12)
	assert.InDelta(t, 8.4e-3, bank.Guard, 1e-12)
	assert.InDelta(t, 32e-3, bank.Creepage, 1e-12, "the next row above 2800 V is 3200 V")
	assert.InDelta(t, 64e-3, bank.Along, 1e-12, "reinforced: doubled")
	assert.InDelta(t, 14.6e-3, d.Value("clearance.bank_clearance_by_hand"), 1e-12, "0.6 mm + 5 µm/V")
	mains := node(t, r, "mains")
	assert.InDelta(t, 1.5e-3, mains.Clearance, 1e-12)
	assert.InDelta(t, 3.0e-3, mains.Guard, 1e-12)
	assert.Equal(t, ledger.Transcribed(2), mains.ByMetal.Known)
	assert.InDelta(t, 4.0e-3, mains.Creepage, 1e-12, "356 V, row 400 V, group III")
	assert.InDelta(t, 8.0e-3, mains.Along, 1e-12)
	cathode := node(t, r, "cathode")
	assert.InDelta(t, 2.5e-3, cathode.Creepage, 1e-12, "130 V, row 160 V, group III: 1.6 mm, but never less than the clearance")
	assert.InDelta(t, 5.0e-3, cathode.Along, 1e-12)
	_, low := solve(t, 0, "", map[string]float64{"mains": 120, "reverse": 1400})
	assert.InDelta(t, 0.5e-3, node(t, low, "mains").Clearance, 1e-12)
	assert.InDelta(t, 4.2e-3, node(t, low, "rectifier").Clearance, 1e-12)
	assert.InDelta(t, 5.0e-3, node(t, low, "rectifier").Guard, 1e-12)
	_, ceramic := solve(t, 0, "[clearance]\nmaterial = \"I\"\n", nil)
	assert.InDelta(t, 16e-3, node(t, ceramic, "bank").Creepage, 1e-12)
	assert.InDelta(t, 32e-3, node(t, ceramic, "bank").Along, 1e-12)
}

// Which table decides to a hand. By hand: 6250 V count as 10 kV, for which Table
// F.8 asks for 15.2 mm, and the table after IEC 60950 for 8.4 + 3450/4200·9.1 =
// 15.875 mm; one volt more lies in the row of 12 kV, 19 mm.
func TestWhichTableDecides(t *testing.T) {
	at := func(volts float64) Node {
		_, r := solve(t, 0, "", map[string]float64{"highest": volts})
		return node(t, r, "bank")
	}
	below, above := at(6250), at(6251)
	assert.Equal(t, "after IEC 60950", Table(below.ByHand))
	assert.InDelta(t, 15.875e-3, below.Guard, 1e-9)
	assert.Equal(t, "IEC 60664-1 Table F.8", Table(above.ByHand))
	assert.InDelta(t, 19e-3, above.Guard, 1e-12)
	assert.Equal(t, "after IEC 60950", Table(above.ByMetal))
	assert.InDelta(t, 15.877e-3, above.Clearance, 1e-6)
	// A hand never has less than grounded metal, whatever the voltage.
	for v := 50.0; v < 60e3; v *= 1.07 {
		n := at(v)
		assert.GreaterOrEqual(t, n.Guard, n.Clearance, "%v V", v)
		assert.GreaterOrEqual(t, n.Along, n.Guard)
		assert.GreaterOrEqual(t, n.Along, n.Creepage)
	}
	// Beyond the ends: 50 kV are 130 mm·50/42 to metal and count as 80 kV to a
	// hand, 100 mm·80/50.
	far := at(50e3)
	assert.InDelta(t, 130e-3*50/42, far.Clearance, 1e-9)
	assert.InDelta(t, 160e-3, far.Guard, 1e-9)
}

// Couplings of shafts: reinforced creepage at the tank, here 2800 V: the row of
// 3200 V, group I 16 mm, doubled.
func TestCoupling(t *testing.T) {
	severity := func(mm string) ledger.Severity {
		d, _ := solve(t, 0, "[clearance]\nmaterial = \"I\"\ncoupling = \""+mm+" mm\"\n", nil)
		return d.Severity("clearance.coupling")
	}
	assert.Equal(t, ledger.Exceeds, severity("31.99"))
	assert.Empty(t, severity("32"))
	d, _ := solve(t, 0, "[clearance]\nmaterial = \"I\"\ncoupling = \"31.99 mm\"\n", nil)
	assert.Contains(t, d.Finding("clearance.coupling").Text, "31.9 mm long")
	assert.Contains(t, d.Finding("clearance.coupling").Text, "32.0 mm along")
}

// IEC 60664-4 Table 1 at 2 kV of radio frequency: 11 mm against sharp edges, as
// a note on both sides; it knows nothing above.
func TestRadioTable(t *testing.T) {
	at := func(mm string, altitude, volts float64) *desktest.Desk {
		d, _ := solve(t, altitude, "[clearance]\ntank = \""+mm+" mm\"\n", map[string]float64{"radio": volts})
		return d
	}
	assert.Equal(t, ledger.Note, at("10.99", 0, 2000).Severity("clearance.tank_radio"))
	assert.False(t, at("11", 0, 2000).Found("clearance.tank_radio"))
	assert.InDelta(t, 11e-3, at("11", 0, 2000).Value("clearance.tank_clearance_radio"), 1e-12)
	assert.InDelta(t, 1.14*11e-3, at("11", 3000, 2000).Value("clearance.tank_clearance_radio"), 1e-12)
	assert.InDelta(t, 0.065e-3, at("11", 0, 2000).Value("clearance.antenna_clearance_radio"), 1e-12)
	d := at("10", 0, 2000.1)
	assert.False(t, d.Entered("clearance.tank_clearance_radio"))
	assert.False(t, d.Found("clearance.tank_radio"))
}

// Every word of clearance.material has its group; another one stops the
// program.
func TestMaterialGroups(t *testing.T) {
	for _, k := range spec.Keys(spec.Names{Tubes: tube.Types(), Rules: rules.Names()}) {
		if k.Table == "clearance" && k.Name == "material" {
			words := strings.Split(strings.TrimPrefix(k.Bounds, "one of: "), ", ")
			require.Len(t, words, 3, k.Bounds)
			seen := map[insulation.Group]bool{}
			for _, w := range words {
				seen[MaterialGroup(w)] = true
			}
			assert.Len(t, seen, 3)
		}
	}
	assert.Panics(t, func() { MaterialGroup("") })
	assert.Panics(t, func() { Table(ledger.Source{}) })
}

// 3000 m: factor 1.14 of IEC 60664-1 Table A.2 on every clearance, none on the
// creepage but for the rule that it is never less than the clearance.
func TestAltitude(t *testing.T) {
	_, sea := solve(t, 0, "", nil)
	_, high := solve(t, 3000, "", nil)
	for i, n := range high.Nodes {
		assert.InEpsilon(t, 1.14*sea.Nodes[i].Clearance, n.Clearance, 1e-12, n.Key)
		assert.InEpsilon(t, 1.14*sea.Nodes[i].Guard, n.Guard, 1e-12, n.Key)
		assert.GreaterOrEqual(t, n.Creepage, n.Clearance, n.Key)
		assert.GreaterOrEqual(t, n.Guard, n.Clearance, n.Key)
	}
}

func TestVoltages(t *testing.T) {
	_, r := solve(t, 0, "", nil)
	assert.InDelta(t, 2400+1.25*2000, node(t, r, "plate").Voltage, 1e-9)
	assert.InDelta(t, 2800, node(t, r, "tank").Voltage, 1e-9, "the direct voltage, if C3 shorts, is the greater")
	assert.InDelta(t, 130, node(t, r, "cathode").Voltage, 1e-9)
	_, quiet := solve(t, 0, "", map[string]float64{"radio": 0})
	assert.InDelta(t, 2800, node(t, quiet, "plate").Voltage, 1e-9, "without radio frequency the plates are as high as the bank")
	assert.Equal(t, node(t, quiet, "bank").Clearance, node(t, quiet, "plate").Clearance)
	_, far := solve(t, 0, "", map[string]float64{"highest": 12000})
	assert.InEpsilon(t, 100e-3*1.2, node(t, far, "bank").Creepage, 1e-12, "beyond the end of the table in proportion")
}

func TestBuildersDistances(t *testing.T) {
	severity := func(more string) map[string]ledger.Severity {
		d, _ := solve(t, 0, more, nil)
		return d.Severities()
	}
	assert.Empty(t, severity(""))
	assert.Equal(t, map[string]ledger.Severity{"clearance.bank": ledger.Exceeds}, severity("[clearance]\nbank = \"8.3 mm\"\n"))
	assert.Equal(t, map[string]ledger.Severity{"clearance.bank": ledger.Note}, severity("[clearance]\nbank = \"8.4 mm\"\n"),
		"the table is met, the stricter rule is not")
	assert.Equal(t, map[string]ledger.Severity{"clearance.mains": ledger.Caution}, severity("[clearance]\nmains = \"2 mm\"\n"),
		"basic, not reinforced")
	assert.Empty(t, severity("[clearance]\nbank = \"16 mm\"\nmains = \"8 mm\"\n"))
}

func TestOutsideTheTables(t *testing.T) {
	d := desktest.New(t, desktest.Text("800 W", "3-500Z", "2500 V", "40m"))
	_, err := Solve(d.Desk, Input{Altitude: d.Figure("test.altitude", "m", 30000)})
	assert.Error(t, err)
}

// Effective and crest values: 240 V of mains, 5 % high, have a crest of 356 V;
// the heat of direct and radio voltage in the same resistor adds, the latter
// with half the square of its peak.
func TestEffectiveAndCrest(t *testing.T) {
	d, _ := solve(t, 0, "", nil)
	assert.InDelta(t, 356.4, d.Value("clearance.mains_voltage"), 0.05)
	v := d.Value("clearance.plate_voltage_rms")
	assert.InEpsilon(t, 2800.0*2800+2000.0*2000/2, v*v, 1e-12)
}
