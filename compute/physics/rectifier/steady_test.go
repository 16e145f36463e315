package rectifier

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var circuits = []Circuit{Bridge, CentreTap, Doubler}

// station is an invented supply near 3 kV at 0.8 A.
func station(c Circuit) Supply {
	s := Supply{
		Circuit: c, SecondaryVoltage: 2300, SourceResistance: 37.5, DiodeDrop: 12,
		MainsFrequency: 60, Capacitance: 50e-6, LoadResistance: 100e3, LoadCurrent: 0.8,
	}
	if c == Doubler {
		s.SecondaryVoltage, s.Capacitance, s.SourceResistance, s.DiodeDrop = 1150, 100e-6, 12, 6
	}
	return s
}

// Examples 6.4c and 6.4d: computed independently with a numeric library.
func TestWorkedSupplies(t *testing.T) {
	r, err := SteadyState(Supply{Circuit: Bridge, SecondaryVoltage: 2300, MainsFrequency: 60,
		Capacitance: 50e-6, LoadResistance: 3750, SourceResistance: 37.5})
	require.NoError(t, err)
	assert.InEpsilon(t, 3044.7, r.Voltage, 5e-3)
	assert.InEpsilon(t, 0.8119, r.LoadCurrent, 5e-3)
	assert.InEpsilon(t, 105.8, r.RipplePeak, 5e-3)
	assert.InEpsilon(t, 1.059, 100*r.RippleRMS/r.Voltage, 5e-3)
	assert.InEpsilon(t, 5.383, r.SecondaryCurrentPeak, 5e-3)
	assert.InEpsilon(t, 1.868, r.SecondaryCurrent, 5e-3)
	estimate := RippleEstimate(r.LoadCurrent, 60, 50e-6)
	assert.InEpsilon(t, 135.3, estimate, 5e-3)
	assert.InDelta(t, 0.28, estimate/r.RipplePeak-1, 0.005)

	r, err = SteadyState(Supply{Circuit: Doubler, SecondaryVoltage: 1150, MainsFrequency: 60,
		Capacitance: 100e-6, LoadResistance: 3750, SourceResistance: 20})
	require.NoError(t, err)
	assert.InEpsilon(t, 2913.2, r.Voltage, 5e-3)
	assert.InEpsilon(t, 0.997, 100*r.RippleRMS/r.Voltage, 5e-3)
	assert.InEpsilon(t, 93.9, r.RipplePeak, 5e-3)
	assert.InEpsilon(t, 8.09, r.SecondaryCurrentPeak, 5e-3)
	assert.InEpsilon(t, 3.168, r.SecondaryCurrent, 5e-3)
}

// 6.4a and 6.4b, textbook I/(2fC); full-wave.
func TestRippleEstimate(t *testing.T) {
	assert.InEpsilon(t, 1, RippleEstimate(2, 60, 16.7e-3), 1e-2)
	assert.InDelta(t, 133.3, RippleEstimate(0.8, 60, 50e-6), 0.1)
	assert.InDelta(t, 38.5, RippleEstimate(0.8, 60, 50e-6)/(2*math.Sqrt(3)), 0.1)
}

// 6.4e to 6.4h: transformer makers' guides, which assume a transformer of
// common size; Rs/R between 0.05 and 0.1 is what such transformers have.
func TestTransformerGuides(t *testing.T) {
	r, err := SteadyState(unit(Bridge, 20, 0.1))
	require.NoError(t, err)
	assert.InEpsilon(t, 1.61, r.SecondaryCurrent/r.LoadCurrent, 0.15)
	assert.InEpsilon(t, 1.8, r.SecondaryCurrent/r.LoadCurrent, 0.15)
	r, err = SteadyState(unit(CentreTap, 20, 0.1))
	require.NoError(t, err)
	assert.InEpsilon(t, 1.00, r.SecondaryCurrent/r.LoadCurrent, 0.15)
	// The half-wave figure belongs to a stiffer source, Rs/R near 0.003.
	half, err := InfiniteCapacitanceHalfWave(0.005)
	require.NoError(t, err)
	assert.InEpsilon(t, 1/0.28, half.WindingRMS, 0.20)

	bridge := Supply{Circuit: Bridge, SecondaryVoltage: 1000, SourceResistance: 1, MainsFrequency: 50, Capacitance: 1e-6}
	assert.InEpsilon(t, 1.41*1000, bridge.NoLoadVoltage(), 0.01)
	bridge.Circuit, bridge.SecondaryVoltage = CentreTap, 500
	assert.InEpsilon(t, 0.71*1000, bridge.NoLoadVoltage(), 0.01)
}

// 6.4i: no filter, no loss: 0.9003 of the rms voltage.
func TestVanishingCapacitance(t *testing.T) {
	assert.InEpsilon(t, 0.90, ResistiveMean(1), 1e-3)
	for _, c := range []Circuit{Bridge, CentreTap} {
		r, err := SteadyState(unit(c, 1e-5, 1e-5))
		require.NoError(t, err)
		assert.InEpsilon(t, ResistiveMean(1/math.Sqrt2), r.Voltage, 1e-3)
		assert.InDelta(t, math.Pi, r.ConductionAngle, 0.01)
	}
}

// The engine runs into the closed form as C grows.
func TestLargeCapacitanceLimit(t *testing.T) {
	for _, c := range circuits {
		for _, ratio := range []float64{0.001, 0.01, 0.1} {
			want, err := InfiniteCapacitance(c, ratio)
			require.NoError(t, err)
			r, err := SteadyState(unit(c, 1e5, ratio))
			require.NoError(t, err)
			assert.InEpsilon(t, want.VoltageRatio, r.Voltage, 1e-5)
			assert.InEpsilon(t, want.DiodePeak, r.SecondaryCurrentPeak/r.LoadCurrent, 1e-4)
			assert.InEpsilon(t, want.DiodeRMS, r.DiodeCurrentRMS/r.LoadCurrent, 1e-4)
			assert.InEpsilon(t, want.WindingRMS, r.SecondaryCurrent/r.LoadCurrent, 1e-4)
			assert.InEpsilon(t, 2*want.HalfAngle, r.ConductionAngle, 1e-4)
		}
	}
}

// Identities over a wide net of cases: energy, charge, periodicity.
func TestBalances(t *testing.T) {
	for _, c := range circuits {
		for _, wCR := range []float64{2.5, 5, 20, 100, 3000} {
			for _, ratio := range []float64{1e-4, 1e-3, 0.02, 0.3, 1} {
				for _, drop := range []float64{0, 0.01} {
					for _, resistive := range []float64{1, 0.5, 0} {
						s := unit(c, wCR, ratio)
						s.DiodeDrop = drop
						s.LoadCurrent = (1 - resistive) * 0.5
						s.LoadResistance = 1 / resistive
						name := fmt.Sprintf("%v ωCR=%g Rs/R=%g drop=%g resistive=%g", c, wCR, ratio, drop, resistive)
						r, err := SteadyState(s)
						if err == ErrOverload {
							require.Greater(t, s.LoadCurrent, 0.0, name)
							continue
						}
						require.NoError(t, err, name)
						assert.InEpsilon(t, r.SourcePower, r.SourceLoss+r.DiodeLoss+r.CapacitorLoss+r.OutputPower, 1e-9, name)
						paths := 2.0
						if c == Doubler {
							paths = 1
						}
						assert.InEpsilon(t, r.LoadCurrent, paths*r.DiodeCurrentMean, 1e-9, name)
						assert.InEpsilon(t, r.LoadCurrent, r.Voltage*s.conductance()+s.LoadCurrent, 1e-9, name)
						assert.Less(t, r.Voltage, s.NoLoadVoltage(), name)
						assert.LessOrEqual(t, r.VoltageMinimum, r.Voltage, name)
						assert.GreaterOrEqual(t, r.VoltageMaximum, r.Voltage, name)
						if resistive == 1 && c != Doubler {
							// The heat in a resistor is that of mean and ripple together.
							load := math.Hypot(r.Voltage, r.RippleRMS)
							assert.InEpsilon(t, load*load, r.OutputPower, 1e-9, name)
						}
					}
				}
			}
		}
	}
}

func TestOverload(t *testing.T) {
	for _, c := range circuits {
		s := station(c)
		s.LoadCurrent, s.LoadResistance = 500, 0
		_, err := SteadyState(s)
		assert.ErrorIs(t, err, ErrOverload, c.String())
	}
}

func TestNoLoadAndLightLoad(t *testing.T) {
	for _, c := range circuits {
		s := station(c)
		s.LoadCurrent, s.LoadResistance = 0, math.Inf(1)
		r, err := SteadyState(s)
		require.NoError(t, err)
		assert.InDelta(t, s.NoLoadVoltage(), r.Voltage, 1e-9)
		assert.Zero(t, r.SecondaryCurrent)
		assert.Zero(t, r.RipplePeak)
		last := r.Voltage
		for _, ohms := range []float64{1e12, 1e9, 1e7, 1e5, 1e4} {
			s.LoadResistance = ohms
			r, err := SteadyState(s)
			require.NoError(t, err, "%v %g", c, ohms)
			assert.LessOrEqual(t, r.Voltage, last)
			assert.InEpsilon(t, r.Voltage/ohms, r.LoadCurrent, 1e-9)
			if ohms <= 1e9 {
				assert.InEpsilon(t, r.SourcePower, r.SourceLoss+r.DiodeLoss+r.CapacitorLoss+r.OutputPower, 1e-6, "%v %g", c, ohms)
			}
			last = r.Voltage
		}
	}
}

func TestValidate(t *testing.T) {
	good := station(Bridge)
	require.NoError(t, good.Validate())
	for name, spoil := range map[string]func(*Supply){
		"secondary voltage": func(s *Supply) { s.SecondaryVoltage = 0 },
		"source resistance": func(s *Supply) { s.SourceResistance = math.NaN() },
		"mains frequency":   func(s *Supply) { s.MainsFrequency = -1 },
		"capacitance":       func(s *Supply) { s.Capacitance = math.Inf(1) },
		"diode drop":        func(s *Supply) { s.DiodeDrop = 4000 },
		"load current":      func(s *Supply) { s.LoadCurrent = -1 },
		"load resistance":   func(s *Supply) { s.LoadResistance = math.NaN() },
		"unknown circuit":   func(s *Supply) { s.Circuit = 7 },
	} {
		s := good
		spoil(&s)
		_, err := SteadyState(s)
		assert.ErrorContains(t, err, name)
	}
}

func TestWaveformAgreesWithResult(t *testing.T) {
	for _, c := range circuits {
		r, err := SteadyState(station(c))
		require.NoError(t, err)
		w, err := r.Waveform(4000)
		require.NoError(t, err)
		require.Len(t, w, 4001)
		assert.InDelta(t, 1.0/60, w[4000].Time, 1e-15)
		var mean, square, peak float64
		for _, s := range w[:4000] {
			mean += s.Voltage / 4000
			square += s.SecondaryCurrent * s.SecondaryCurrent / 4000
			peak = math.Max(peak, math.Abs(s.SecondaryCurrent))
		}
		winding := r.SecondaryCurrent
		if c == CentreTap {
			winding *= math.Sqrt2
		}
		assert.InEpsilon(t, r.Voltage, mean, 1e-5)
		assert.InEpsilon(t, winding, math.Sqrt(square), 1e-3)
		assert.InEpsilon(t, r.SecondaryCurrentPeak, peak, 1e-4)
		for k := 1; k < 2000; k++ { // half-wave symmetry of the winding current
			require.InDelta(t, w[k].SecondaryCurrent, -w[k+2000].SecondaryCurrent, 1e-9)
		}
		_, err = r.Waveform(7)
		assert.Error(t, err)
	}
}

func BenchmarkSteadyState(b *testing.B) {
	for _, c := range circuits {
		b.Run(c.String(), func(b *testing.B) {
			s := station(c)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := SteadyState(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
