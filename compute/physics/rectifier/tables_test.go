package rectifier

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Expected values: computed independently of this project with a
// general-purpose numeric library (periodic steady state of the same ideal
// circuits); they stand in for Schade's charts, Proc. IRE 31 (July 1943) 341,
// of which no copy could be read. Tolerance 0.5 %, currents 1 %.

// Rs/R, φ [°], Vdc/Vp, winding rms/Idc, peak/Idc.
var asymptoteRows = [][5]float64{
	{0.0005, 7.606, 0.9912, 3.7685, 17.7539},
	{0.001, 9.570, 0.9861, 3.3598, 14.1132},
	{0.002, 12.031, 0.9780, 2.9968, 11.2292},
	{0.005, 16.248, 0.9601, 2.5792, 8.3201},
	{0.01, 20.341, 0.9376, 2.3056, 6.6508},
	{0.04, 31.471, 0.8529, 1.8552, 4.3116},
	{0.05, 33.674, 0.8322, 1.7939, 4.0325},
	{0.06, 35.561, 0.8135, 1.7460, 3.8211},
	{0.08, 38.696, 0.7805, 1.6744, 3.5159},
	{0.1, 41.254, 0.7518, 1.6221, 3.3015},
	{0.2, 49.800, 0.6455, 1.4782, 2.7464},
	{0.3, 55.085, 0.5724, 1.4068, 2.4904},
}

// ωCR, Rs/R, Vdc/Vp, rms ripple [%], Vpp/Vp, winding rms/Idc, peak/Idc, diode rms/mean, conduction [°].
var fullWaveRows = [][9]float64{
	{2, 0.005, 0.7334, 25.718, 0.5801, 1.546, 3.031, 2.186, 92.7},
	{5, 0.005, 0.8313, 13.114, 0.3479, 1.919, 5.003, 2.713, 62.4},
	{10, 0.005, 0.8929, 7.238, 0.2101, 2.213, 6.540, 3.129, 46.9},
	{50, 0.005, 0.9546, 1.555, 0.0492, 2.553, 8.198, 3.611, 33.4},
	{100, 0.005, 0.9586, 0.780, 0.0248, 2.573, 8.289, 3.638, 32.7},
	{2, 0.01, 0.7297, 25.704, 0.5753, 1.541, 3.021, 2.180, 93.2},
	{5, 0.01, 0.8267, 13.065, 0.3429, 1.891, 4.766, 2.674, 63.9},
	{10, 0.01, 0.8861, 7.137, 0.2044, 2.124, 5.857, 3.004, 50.0},
	{20, 0.01, 0.9201, 3.697, 0.1111, 2.250, 6.411, 3.182, 43.4},
	{50, 0.01, 0.9345, 1.495, 0.0458, 2.296, 6.610, 3.247, 41.1},
	{100, 0.01, 0.9368, 0.749, 0.0230, 2.303, 6.641, 3.257, 40.8},
	{2, 0.02, 0.7223, 25.655, 0.5657, 1.532, 2.991, 2.167, 94.3},
	{5, 0.02, 0.8167, 12.906, 0.3323, 1.838, 4.399, 2.599, 66.8},
	{20, 0.02, 0.8935, 3.526, 0.1017, 2.044, 5.254, 2.891, 52.1},
	{50, 0.02, 0.9018, 1.419, 0.0414, 2.062, 5.324, 2.916, 51.0},
	{100, 0.02, 0.9031, 0.710, 0.0208, 2.064, 5.335, 2.919, 50.8},
	{2, 0.05, 0.7004, 25.366, 0.5370, 1.505, 2.881, 2.128, 97.6},
	{5, 0.05, 0.7829, 12.280, 0.2994, 1.712, 3.724, 2.421, 75.3},
	{10, 0.05, 0.8167, 6.380, 0.1640, 1.771, 3.948, 2.505, 69.5},
	{20, 0.05, 0.8281, 3.222, 0.0843, 1.788, 4.011, 2.529, 67.9},
	{100, 0.05, 0.8320, 0.646, 0.0170, 1.794, 4.032, 2.537, 67.4},
	{2, 0.1, 0.6648, 24.639, 0.4906, 1.463, 2.709, 2.069, 102.8},
	{5, 0.1, 0.7262, 11.401, 0.2540, 1.587, 3.176, 2.245, 86.8},
	{10, 0.1, 0.7445, 5.839, 0.1342, 1.613, 3.269, 2.281, 83.6},
	{20, 0.1, 0.7499, 2.937, 0.0681, 1.620, 3.293, 2.291, 82.8},
	{50, 0.1, 0.7515, 1.177, 0.0274, 1.622, 3.300, 2.294, 82.5},
	{100, 0.1, 0.7517, 0.589, 0.0137, 1.622, 3.301, 2.294, 82.5},
}

// ωCR, Rs/R, Vdc/Vp, rms ripple [%], Vpp/Vp, diode rms/Idc, diode peak/Idc, winding rms/Idc.
var doublerRows = [][8]float64{
	{5, 0.005, 1.0932, 18.992, 0.6402, 2.051, 5.259, 2.901},
	{10, 0.005, 1.3580, 11.565, 0.4917, 2.341, 7.210, 3.311},
	{20, 0.005, 1.5784, 6.538, 0.3278, 2.631, 9.029, 3.721},
	{50, 0.005, 1.7477, 2.796, 0.1574, 2.855, 10.314, 4.038},
	{100, 0.005, 1.7906, 1.415, 0.0819, 2.903, 10.581, 4.106},
	{5, 0.01, 1.0847, 18.962, 0.6297, 2.039, 5.234, 2.884},
	{10, 0.01, 1.3431, 11.447, 0.4767, 2.296, 6.832, 3.247},
	{20, 0.01, 1.5466, 6.324, 0.3075, 2.498, 7.965, 3.532},
	{100, 0.01, 1.6969, 1.324, 0.0715, 2.618, 8.592, 3.702},
	{5, 0.02, 1.0666, 18.819, 0.6078, 2.016, 5.135, 2.851},
	{10, 0.02, 1.3069, 11.096, 0.4444, 2.213, 6.247, 3.129},
	{50, 0.02, 1.5438, 2.422, 0.1164, 2.360, 6.992, 3.337},
	{100, 0.02, 1.5566, 1.215, 0.0589, 2.366, 7.022, 3.346},
	{5, 0.05, 1.0043, 18.045, 0.5390, 1.949, 4.793, 2.756},
	{10, 0.05, 1.1772, 10.043, 0.3547, 2.045, 5.275, 2.892},
	{20, 0.05, 1.2572, 5.183, 0.1963, 2.078, 5.435, 2.939},
	{50, 0.05, 1.2852, 2.092, 0.0812, 2.089, 5.483, 2.954},
	{100, 0.05, 1.2895, 1.048, 0.0408, 2.090, 5.490, 2.956},
}

// unit returns a supply of 1 V peak at ω = 1 into 1 Ω.
func unit(c Circuit, wCR, ratio float64) Supply {
	return Supply{
		Circuit: c, SecondaryVoltage: 1 / math.Sqrt2, SourceResistance: ratio,
		MainsFrequency: 1 / (2 * math.Pi), Capacitance: wCR, LoadResistance: 1,
	}
}

func TestInfiniteCapacitanceTable(t *testing.T) {
	for _, row := range asymptoteRows {
		a, err := InfiniteCapacitance(Bridge, row[0])
		require.NoError(t, err)
		assert.InDelta(t, row[1], a.HalfAngle*180/math.Pi, 1e-3, "φ at %g", row[0])
		assert.InDelta(t, row[2], a.VoltageRatio, 1e-4, "Vdc/Vp at %g", row[0])
		assert.InEpsilon(t, row[3], a.WindingRMS, 1e-4, "rms at %g", row[0])
		assert.InEpsilon(t, row[4], a.DiodePeak, 1e-4, "peak at %g", row[0])
	}
	for ratio, want := range map[float64]float64{0.005: 1.8071, 0.01: 1.7058, 0.02: 1.5609, 0.05: 1.2909} {
		a, err := InfiniteCapacitance(Doubler, ratio)
		require.NoError(t, err)
		assert.InDelta(t, want, a.VoltageRatio, 1e-4, "doubler at %g", ratio)
	}
}

func TestFullWaveTable(t *testing.T) {
	for _, row := range fullWaveRows {
		for _, c := range []Circuit{Bridge, CentreTap} {
			r, err := SteadyState(unit(c, row[0], row[1]))
			require.NoError(t, err, "%v", row)
			winding := r.SecondaryCurrent
			if c == CentreTap {
				winding *= math.Sqrt2 // both halves together
			}
			assert.InEpsilon(t, row[2], r.Voltage, 5e-3, "Vdc %v", row)
			assert.InEpsilon(t, row[3], 100*r.RippleRMS/r.Voltage, 5e-3, "ripple %v", row)
			assert.InEpsilon(t, row[4], r.RipplePeak, 5e-3, "Vpp %v", row)
			assert.InEpsilon(t, row[5], winding/r.LoadCurrent, 1e-2, "rms %v", row)
			assert.InEpsilon(t, row[6], r.SecondaryCurrentPeak/r.LoadCurrent, 1e-2, "peak %v", row)
			assert.InEpsilon(t, row[7], r.DiodeCurrentRMS/r.DiodeCurrentMean, 1e-2, "diode %v", row)
			assert.InEpsilon(t, row[8], r.ConductionAngle*180/math.Pi, 5e-3, "conduction %v", row)
		}
	}
}

func TestDoublerTable(t *testing.T) {
	for _, row := range doublerRows {
		r, err := SteadyState(unit(Doubler, row[0], row[1]))
		require.NoError(t, err, "%v", row)
		assert.InEpsilon(t, row[2], r.Voltage, 5e-3, "Vdc %v", row)
		assert.InEpsilon(t, row[3], 100*r.RippleRMS/r.Voltage, 5e-3, "ripple %v", row)
		assert.InEpsilon(t, row[4], r.RipplePeak, 5e-3, "Vpp %v", row)
		assert.InEpsilon(t, row[5], r.DiodeCurrentRMS/r.LoadCurrent, 1e-2, "diode rms %v", row)
		assert.InEpsilon(t, row[6], r.SecondaryCurrentPeak/r.LoadCurrent, 1e-2, "peak %v", row)
		assert.InEpsilon(t, row[7], r.SecondaryCurrent/r.LoadCurrent, 1e-2, "winding %v", row)
	}
}
