package rectifier

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/compute/physics/rectifier/simulator"
	"anodebook/spec/testhelp"
)

// Start against the simulator: voltage when the contactor closes, heat in the
// resistor, greatest current, within 1 %.
func TestStartAgainstSimulator(t *testing.T) {
	swing, flux := simulator.Swinging(36, 8, 0.7)
	bridge := Supply{Circuit: Bridge, SecondaryVoltage: 3000, SourceResistance: 80, DiodeDrop: 12, MainsFrequency: 50,
		Capacitance:    22e-6,
		LoadResistance: 330e3, ChokeInductance: 8, ChokeResistance: 48}
	halves := bridge
	halves.Circuit, halves.DiodeDrop = CentreTap, 6
	direct := Supply{Circuit: Bridge, SecondaryVoltage: 2200, SourceResistance: 60, DiodeDrop: 8, MainsFrequency: 60,
		Capacitance: 40e-6, LoadResistance: 100e3}
	with := func(s Supply, f func(*Supply)) Supply { f(&s); return s }
	lossy := func(s *Supply) { s.DiodeResistance, s.CapacitorResistance = 40, 60 }
	leaky := func(s *Supply) { s.LeakageInductance = 0.4 }
	doubled := func(s *Supply) { s.Circuit, s.SecondaryVoltage = Doubler, 1100 }
	circuits := map[Circuit]simulator.Circuit{Bridge: simulator.Bridge, CentreTap: simulator.CentreTap, Doubler: simulator.Doubler}
	type start struct {
		s    Start
		flux func(float64) (float64, float64)
	}
	for name, c := range testhelp.Some(map[string]start{
		"choke bridge":                    {s: Start{Supply: bridge, Resistor: 3000, Close: 0.4}},
		"choke bridge, little resistance": {s: Start{Supply: bridge, Resistor: 300, Close: 0.25}},
		"choke bridge, leakage":           {s: Start{Supply: with(bridge, leaky), Resistor: 3000, Close: 0.4}},
		"choke bridge, drawn upon": {s: Start{Supply: with(bridge, func(s *Supply) { s.LoadResistance = 8e3 }),
			Resistor: 3000, Close: 0.4}},
		"choke bridge, swinging":            {s: Start{Supply: bridge, Resistor: 4000, Close: 0.4, Inductance: swing}, flux: flux},
		"choke bridge, lossy":               {s: Start{Supply: with(bridge, lossy), Resistor: 300, Close: 0.25}},
		"choke halves, lossy":               {s: Start{Supply: with(halves, lossy), Shared: 30, Resistor: 300, Close: 0.25}},
		"doubler, lossy":                    {s: Start{Supply: with(with(direct, lossy), doubled), Resistor: 300, Close: 0.3}},
		"choke halves":                      {s: Start{Supply: halves, Shared: 30, Resistor: 3000, Close: 0.4}},
		"choke halves, switched on at zero": {s: Start{Supply: halves, Shared: 30, Resistor: 3000, Close: 0.4, Phase: 1e-9}},
		"choke halves, leakage":             {s: Start{Supply: with(halves, leaky), Shared: 30, Resistor: 3000, Close: 0.4}},
		"choke halves, swinging, leakage": {s: Start{Supply: with(halves, leaky), Shared: 30, Resistor: 5800, Close: 0.5,
			Inductance: swing}, flux: flux},
		"bridge": {s: Start{Supply: direct, Resistor: 1500, Close: 0.3}},
		"bridge, leakage": {s: Start{Supply: with(direct, func(s *Supply) { s.LeakageInductance = 0.1 }),
			Resistor: 1500, Close: 0.3}},
		"centre tap": {s: Start{Supply: with(direct, func(s *Supply) { s.Circuit = CentreTap }), Shared: 20,
			Resistor: 1500, Close: 0.3}},
		"doubler": {s: Start{Supply: with(direct, doubled), Resistor: 300, Close: 0.3}},
	}, 4) {
		t.Run(name, func(t *testing.T) {
			s := c.s
			if s.Phase == 0 {
				s.Phase = math.Pi / 2
			}
			s.Until = s.Close
			got, err := s.Run()
			require.NoError(t, err)
			p := s.Supply
			want := simulator.Run(simulator.Supply{
				Circuit:   circuits[p.Circuit],
				Secondary: p.SecondaryVoltage, Frequency: p.MainsFrequency, Phase: s.Phase, Resistor: s.Resistor, Shared: s.Shared,
				Own:     p.SourceResistance - s.Shared,
				Leakage: p.LeakageInductance, Drop: p.DiodeDrop, DiodeResistance: p.DiodeResistance,
				SeriesResistance: p.CapacitorResistance, Choke: p.ChokeInductance, Flux: c.flux, ChokeResistance: p.ChokeResistance,
				Capacitance: p.Capacitance, LoadResistance: p.LoadResistance, LoadCurrent: p.LoadCurrent,
			}, s.Close, 20e-6)
			t.Logf("%.1f V %.2f J %.4f A; here %.1f V %.2f J %.4f A", want.Voltage, want.Heat, want.Peak, got.Voltage, got.Heat,
				got.PeakBefore)
			assert.InEpsilon(t, want.Voltage, got.Voltage, 0.01)
			assert.InEpsilon(t, want.Heat, got.Heat, 0.01)
			if p.Circuit != CentreTap { // there a winding's current is not the primary's while both halves conduct
				assert.InEpsilon(t, want.Peak, got.PeakBefore, 0.02)
			}
		})
	}
}

func BenchmarkStart(b *testing.B) {
	swing, _ := simulator.Swinging(36, 8, 0.7)
	s := Supply{Circuit: CentreTap, SecondaryVoltage: 3000, SourceResistance: 80, DiodeDrop: 6, MainsFrequency: 50,
		Capacitance: 22e-6, LoadResistance: 330e3, ChokeInductance: 8, ChokeResistance: 48}
	start := Start{Supply: s, Shared: 30, Resistor: 5800, Close: 0.5, Until: 0.5, Phase: math.Pi / 2}
	direct := start
	direct.Supply.ChokeInductance = 0
	swings := start
	swings.Inductance = swing
	for name, s := range map[string]Start{"choke": start, "swinging choke": swings, "capacitor": direct} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := s.Run(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
