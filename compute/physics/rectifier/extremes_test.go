package rectifier

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"anodebook/spec/testhelp"
)

// Supplies up to the bounds of the spec's keys and beyond what they can give:
// each is decided, a steady state or an overload, within a bounded number of
// half periods. An overload is one indeed: followed from the crest the same
// supply comes down to nothing.
func TestExtremesAreDecided(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 8))
	between := func(a, b float64) float64 { return a * math.Pow(b/a, random.Float64()) }
	overloads := 0
	for k := range testhelp.Trials(200, 1000) {
		kind := Kinds[k%len(Kinds)]
		s := Supply{Circuit: kind.Circuit, SecondaryVoltage: between(100, 8000), MainsFrequency: 50 + 10*float64(k/3%2),
			Capacitance: between(1e-6, 2e-3)}
		s.SourceResistance = between(0.001, 3) * s.SecondaryVoltage
		s.LoadResistance = s.SecondaryVoltage / between(0.001, 1)
		if s.LoadCurrent = between(0.01, 3); k%7 == 0 {
			s.LoadCurrent = 0
		}
		s.DiodeDrop, s.DiodeResistance, s.CapacitorResistance = 0.003*s.SecondaryVoltage, 1, between(1e-3, 50)
		if kind.Choke {
			s.ChokeInductance, s.ChokeResistance = between(0.05, 200), between(0.1, 2000)
		}
		if k/5%2 == 0 {
			s.LeakageInductance = between(1e-5, 5)
		}
		name := fmt.Sprintf("%d %+v", k, s)
		if s.inductive() && s.LoadCurrent <= s.mostCurrent() {
			m := newInductive(s)
			_, _ = m.shoot()
			assert.LessOrEqual(t, m.halves, 3000, name)
		}
		r, err := SteadyState(s)
		if err == nil {
			lost := r.SourceLoss + r.DiodeLoss + r.ChokeLoss + r.CapacitorLoss
			assert.InDelta(t, r.SourcePower, lost+r.OutputPower, 1e-5*r.SourcePower+1e-9*s.SecondaryVoltage, name)
			continue
		}
		require.ErrorIs(t, err, ErrOverload, name)
		overloads++
		if !s.inductive() {
			continue
		}
		m, fell := newInductive(s), false
		x := m.level(s.PeakVoltage())
		var p route
		for n := 0; n < 4000 && !fell; n++ {
			x = m.next(x, &p)
			for i := range p.n {
				q := &p.stretches[i]
				for part := range 401 {
					at := q.at(q.t0 + (q.t1-q.t0)*float64(part)/400)
					fell = fell || m.branch(q.state).output.of(&at.x) < 0
				}
			}
		}
		assert.True(t, fell, name)
	}
	assert.Greater(t, overloads, testhelp.Trials(16, 80))
	t.Logf("%d overloads", overloads)
}

// A direct current that cannot be: the mean of the rectified sine over the
// resistance, 2√2/π·1000 V / 100 Ω = 9.003 A.
func TestMostCurrent(t *testing.T) {
	for _, k := range Kinds {
		s := Supply{Circuit: k.Circuit, SecondaryVoltage: 1000, SourceResistance: 90, DiodeResistance: 10, MainsFrequency: 50,
			Capacitance: 1e-3}
		assert.InDelta(t, 9.003, s.mostCurrent(), 1e-3, k.Word)
		s.LoadCurrent = 9.01
		_, err := SteadyState(s)
		assert.ErrorIs(t, err, ErrOverload, k.Word)
	}
	// A bank that is large enough is shorted by all but that current: at no
	// voltage the whole sine drives it through the resistance.
	s := Supply{Circuit: Bridge, SecondaryVoltage: 1000, SourceResistance: 100, MainsFrequency: 50, Capacitance: 1, LoadCurrent: 8.99}
	r, err := SteadyState(s)
	require.NoError(t, err)
	assert.Less(t, r.Voltage, 15.0)
}
