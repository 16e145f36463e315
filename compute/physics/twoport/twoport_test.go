package twoport

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sample is a tank-like ladder with every kind of loss.
func sample() Chain {
	choke := ShuntInductor("choke", 90e-6, 120)
	choke.ParallelCapacitance = 2e-12
	esr := ShuntCapacitor("load", 900e-12, 2e-4)
	esr.Resistance = 0.02
	return Chain{[]Element{
		ShuntCapacitor("tube", 18e-12, 0),
		choke,
		SeriesCapacitor("blocking", 1e-9, 3e-4),
		ShuntCapacitor("tune", 180e-12, 1e-4),
		SeriesInductor("coil", 7e-6, 250),
		esr,
		{Name: "suppressor", Placement: Series, Inductance: 80e-9, ParallelResistance: 50},
		{Name: "cable", Placement: Line, LineImpedance: 52, LineDelay: 9e-9, LineLoss: 0.3},
	}}
}

func randomChain(r *rand.Rand, lossy bool) Chain {
	var c Chain
	for range 3 + r.IntN(7) {
		e := Element{Placement: Placement(r.IntN(3))}
		e.LineImpedance, e.LineDelay = 20+100*r.Float64(), 20e-9*r.Float64()
		switch r.IntN(3) {
		case 0:
			e.Inductance = 1e-6 * (0.1 + r.Float64())
		case 1:
			e.Capacitance = 1e-9 * (0.1 + r.Float64())
		case 2:
			e.Inductance, e.Capacitance = 1e-6*(0.1+r.Float64()), 1e-9*(0.1+r.Float64())
			e.ParallelCapacitance = 5e-12 * r.Float64()
		}
		if lossy {
			e.Q, e.LossTangent, e.Resistance = 50+200*r.Float64(), 1e-3*r.Float64(), r.Float64()
			e.ParallelResistance, e.LineLoss = 1e3+1e4*r.Float64(), r.Float64()
		}
		c.Elements = append(c.Elements, e)
	}
	return c
}

// Power in = load + losses, at many random ladders (conservation of energy).
func TestEnergyCloses(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var s Solution
	for range 2000 {
		c := randomChain(r, true)
		f := 1e6 * (1 + 30*r.Float64())
		load := complex(5+500*r.Float64(), 200*(r.Float64()-0.5))
		c.Solve(f, load, InputCurrent(2i), &s)
		sum := s.LoadPower
		for _, e := range s.Elements {
			assert.GreaterOrEqual(t, e.Power, -1e-12*s.InputPower)
			sum += e.Power
		}
		require.InEpsilon(t, s.InputPower, sum, 1e-9)
	}
}

// det ABCD = 1 for any ladder of reciprocal elements; a lossless one has real
// A, D and imaginary B, C (circuit theory, any text).
func TestReciprocityAndLosslessness(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 1000 {
		for _, lossy := range []bool{true, false} {
			c := randomChain(r, lossy)
			m := c.Matrix(1e6 * (1 + 20*r.Float64()))
			size := cmplx.Abs(m.A*m.D) + cmplx.Abs(m.B*m.C)
			require.InDelta(t, 0, cmplx.Abs(m.A*m.D-m.B*m.C-1), 1e-12*(1+size))
			if !lossy {
				require.InDelta(t, 0, imag(m.A), 1e-12*cmplx.Abs(m.A)+1e-12*size)
				require.InDelta(t, 0, imag(m.D), 1e-12*cmplx.Abs(m.D)+1e-12*size)
				require.InDelta(t, 0, real(m.B), 1e-12*cmplx.Abs(m.B))
				require.InDelta(t, 0, real(m.C), 1e-12*cmplx.Abs(m.C))
			}
		}
	}
}

// The walk from the load and the product of the matrices are two ways to the
// same numbers.
func TestWalkAgreesWithMatrices(t *testing.T) {
	c, f, load := sample(), 3.65e6, complex(50, 7)
	m := c.Matrix(f)
	want := (m.A*load + m.B) / (m.C*load + m.D)
	assert.InDelta(t, 0, cmplx.Abs(c.InputImpedance(f, load)-want)/cmplx.Abs(want), 1e-12)
	transfer := load / (m.C*load + m.D)
	assert.InDelta(t, 0, cmplx.Abs(c.TransferImpedance(f, load)-transfer)/cmplx.Abs(transfer), 1e-12)
	assert.InDelta(t, 0, cmplx.Abs(c.InputImpedance(f, cmplx.Inf())-m.A/m.C)/cmplx.Abs(m.A/m.C), 1e-12)
	assert.InDelta(t, 0, cmplx.Abs(c.InputImpedance(f, 0)-m.B/m.D)/cmplx.Abs(m.B/m.D), 1e-12)
}

// Kirchhoff at every node, and each way of driving the chain keeps its word.
func TestDrives(t *testing.T) {
	c, f, load := sample(), 3.65e6, complex(50, 7)
	var s Solution
	c.Solve(f, load, InputCurrent(2+1i), &s)
	assert.InDelta(t, 0, cmplx.Abs(s.InputCurrent-(2+1i)), 1e-12)
	assert.InEpsilon(t, 1, cmplx.Abs(s.InputVoltage/s.InputCurrent/c.InputImpedance(f, load)), 1e-12)
	sum := s.LoadCurrent
	node := s.InputVoltage
	for i, e := range s.Elements[:7] { // up to the cable
		if c.Elements[i].Placement == Series {
			node -= e.Voltage
		}
		assert.InDelta(t, 0, cmplx.Abs(node-e.Output), 1e-9, c.Elements[i].Name)
	}
	assert.InDelta(t, 0, cmplx.Abs(s.LoadVoltage-load*sum), 1e-9)

	c.Solve(f, load, LoadPower(1500), &s)
	assert.InDelta(t, 1500, s.LoadPower, 1e-9)
	c.Solve(f, load, LoadVoltage(3+4i), &s)
	assert.InDelta(t, 0, cmplx.Abs(s.LoadVoltage-(3+4i)), 1e-12)
	assert.Less(t, s.LoadPower, s.InputPower)
}

// A quarter-wave line turns R into Z0²/R; a matched lossy line loses its loss.
func TestLine(t *testing.T) {
	c := Chain{[]Element{{Placement: Line, LineImpedance: 75, LineDelay: 0.25 / 14e6}}}
	z := c.InputImpedance(14e6, 50)
	assert.InDelta(t, 112.5, real(z), 1e-9)
	assert.InDelta(t, 0, imag(z), 1e-9)
	c.Elements[0].LineLoss = 3
	var s Solution
	c.Solve(14e6, 75, InputCurrent(1), &s)
	assert.InDelta(t, math.Pow(10, -0.3), s.LoadPower/s.InputPower, 1e-12)
}

func TestAbsentElements(t *testing.T) {
	c := Chain{[]Element{ShuntInductor("none", 0, 0), SeriesCapacitor("wire", 0, 0)}}
	assert.Equal(t, complex(50, 0), c.InputImpedance(1e6, 50))
	assert.Equal(t, 1, c.Index("wire"))
	assert.Equal(t, -1, c.Index("x"))
}

func TestNoAllocation(t *testing.T) {
	c := sample()
	var s Solution
	c.Solve(1e6, 50, LoadPower(1), &s)
	assert.Zero(t, testing.AllocsPerRun(100, func() { c.Solve(2e6, 50, LoadPower(1), &s) }))
}

func BenchmarkSolve(b *testing.B) {
	c := sample()
	c.Elements = c.Elements[:7]
	var s Solution
	for b.Loop() {
		c.Solve(3.65e6, 50, LoadPower(1500), &s)
	}
}

func BenchmarkInputImpedance(b *testing.B) {
	c := sample()
	c.Elements = c.Elements[:7]
	for b.Loop() {
		c.InputImpedance(3.65e6, 50)
	}
}
