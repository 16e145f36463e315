package compute

import (
	"errors"
	"math"

	"anodebook/compute/physics/network"
	"anodebook/compute/physics/tube"
	"anodebook/compute/stage/operating"
	"anodebook/compute/stage/platefeed"
	"anodebook/compute/stage/supply"
	"anodebook/compute/stage/tank"
	"anodebook/spec"
)

// loop is what tubes, tank and supply agree on. Each depends on the others:
// the plates must deliver what the tank loses, the tank must present the load
// that the tubes want, and the supply's voltage falls with the tubes' current.
type loop struct {
	tube         *tube.Type
	bands        []tank.Band
	feed         tank.Feed
	bias         operating.Bias
	point        tube.Point // one tube
	networks     []*network.Tank
	plan         supply.Plan
	plateVoltage float64 // [V]
	coupled      bool    // the builder's transformer fixes the plate voltage
	efficiency   float64 // of the worst tank [1]
	worst        string  // its band
	asked        float64 // plate load of all tubes before a tank had its share [Ω]
	residual     float64 // what supply and tubes disagree by [V]
}

const (
	loopLimit    = 60
	planFrozen   = 3     // passes after which the supply keeps its parts
	voltageClose = 1e-6  // [V]
	biasClose    = 1e-6  // [V]
	shareClose   = 1e-11 // of the tank's efficiency [1]
	damped       = 12    // steps after which the steps are halved
)

// close solves tubes, tank and supply until they agree.
func closeLoop(s *spec.Spec) (*loop, error) {
	t, err := operating.ChooseType(s)
	if err != nil {
		return nil, err
	}
	bands, err := tank.Bands(s)
	if err != nil {
		return nil, err
	}
	l := &loop{tube: t, bands: bands, plateVoltage: s.Supply.PlateVoltage.SI, efficiency: 0.95,
		coupled: s.Supply.Transformer.Voltage.Given}
	l.bias = operating.FirstBias(s, t, l.plateVoltage)
	n := float64(s.Tubes.Count.N)
	glitch := platefeed.GlitchResistance(s)
	var voltage secant
	judged := false // a default bias has been looked at
	for i, frozen := 0, 0; i < loopLimit; i++ {
		if err := l.tubesAndTank(s); err != nil {
			return nil, l.orSupply(s, err)
		}
		current := n * l.point.PlateCurrent()
		// parts with preferred values must not flip for ever; the secondary of a
		// transformer to be chosen is sized for each current
		steady := l.coupled && frozen >= planFrozen
		if !steady {
			if l.plan, err = supply.Prepare(s, l.plateVoltage, current, glitch); err != nil {
				return nil, noSupply(s, err)
			}
		}
		frozen++
		got, err := l.plan.Loaded(current)
		if err != nil {
			return nil, noSupply(s, err)
		}
		l.residual = math.Abs(got - l.plateVoltage)
		bias, given, err := operating.GivenBias(s, t, l.plan.Loaded)
		if err != nil {
			return nil, noSupply(s, err)
		}
		near := !l.coupled || steady && l.residual < 1e-3*l.plateVoltage
		switch {
		case given:
		case near && !judged: // the supply is known well enough to judge a bias by
			judged = true
			at := operating.State{Model: t.Model, Tubes: s.Tubes.Count.N, PlateVoltage: l.plateVoltage, Point: l.point,
				Feed: l.plan.Loaded}
			if bias, err = operating.DefaultBias(s, t, at); err != nil {
				return nil, noSupply(s, err)
			}
			if bias.Voltage != l.bias.Voltage { // once more with other currents, and parts for them
				l.bias, voltage, frozen = bias, secant{}, planFrozen-2
				continue
			}
		default:
			bias = l.bias
		}
		agreed := math.Abs(bias.Voltage-l.bias.Voltage) < biasClose
		if agreed && (!l.coupled || l.residual < voltageClose) {
			l.bias.Reason, l.bias.Short = bias.Reason, bias.Short
			return l, nil
		}
		if l.coupled {
			l.plateVoltage = voltage.next(l.plateVoltage, got, steady)
		}
		l.bias = bias
	}
	return nil, noSupply(s, errors.New("supply and tubes do not come to an agreement: the plate voltage swings with every step"))
}

// noSupply words what the supply cannot do as a problem of the spec: at the
// part that stands in the way, or else at the transformer.
func noSupply(s *spec.Spec, err error) error {
	o := s.Supply.PlateVoltage.Origin
	if t := s.Supply.Transformer.Voltage; t.Given {
		o = t.Origin
	}
	var short *supply.Shortfall
	if errors.As(err, &short) {
		if short.Part.Given {
			o = short.Part
		}
		return problem(s, o, short, short.Hint)
	}
	return problem(s, o, err, "a transformer with less resistance or more voltage, larger filter capacitors, or less output")
}

// orSupply names the supply where the tubes fail because it leaves too little
// plate voltage: at the current that they last drew.
func (l *loop) orSupply(s *spec.Spec, err error) error {
	if !l.coupled || l.plan.PlateCurrent == 0 { // not the first time round
		return err
	}
	if short := l.plan.Weak(float64(s.Tubes.Count.N) * l.point.PlateCurrent()); short != nil {
		return noSupply(s, short)
	}
	return err
}

// noTank words what the tank cannot do as a problem of the spec.
func noTank(s *spec.Spec, err error) error {
	o := s.Target.Bands.Origin
	for _, q := range []spec.Origin{s.Tank.CoilQ.Origin, s.Tank.LoadedQ.Origin} {
		if q.Given {
			o = q
		}
	}
	return problem(s, o, err,
		"a higher tank.coil_q, another tank.loaded_q, less stray or tune capacitance, or another plate voltage and so another plate "+
			"load")
}

func problem(s *spec.Spec, o spec.Origin, err error, hint string) error {
	var ps spec.Problems
	if errors.As(err, &ps) {
		return err
	}
	return spec.Problems{{File: s.File, Position: o.Position, Key: o.Key, What: err.Error(), Hint: hint}}
}

// secant goes on from a number at which one side was solved and the one that
// the other side then gives: plate voltage of tubes and supply, efficiency of
// tubes and tank. Putting in what was got and solving again swings for ever
// where the supply is soft and the tubes draw more the higher it stands, and
// creeps where it does not; the secant through the last two differences does
// neither.
type secant struct {
	from, off float64 // last number and what the other side was off by
	known     bool
}

// next returns the next number; steady says that the other side has been the
// same since the last step.
func (c *secant) next(at, got float64, steady bool) float64 {
	off := got - at
	to := got
	if steady && c.known && off != c.off {
		if step := -off * (at - c.from) / (off - c.off); math.Abs(step) < 0.2*at {
			to = at + step
		}
	}
	c.from, c.off, c.known = at, off, steady
	return to
}

// platePull is the relative change of the output's amplitude over that of the
// plate voltage at full output, drive, bias and load held; 0 if the tube finds
// no state a little off its own.
func (l *loop) platePull() float64 {
	const step = 0.01
	c, err := tube.NewComplexLoad(l.tube.Model, l.point.BiasVoltage, tube.MatchedSource(l.point))
	if err != nil {
		return 0
	}
	var output [2]float64
	for k, v := range [2]float64{1 - step, 1 + step} {
		d, err := c.Solve(v*l.plateVoltage, complex(l.point.PlateLoad, 0))
		if err != nil || d.Output <= 0 {
			return 0
		}
		output[k] = d.Output
	}
	return math.Log(output[1]/output[0]) / 2 / math.Log((1+step)/(1-step))
}

// tubesAndTank finds the operating point and the tanks for the plate voltage.
func (l *loop) tubesAndTank(s *spec.Spec) error {
	n := float64(s.Tubes.Count.N)
	var efficiency secant
	for i := range loopLimit {
		p, err := operating.FindPoint(s, l.tube, l.plateVoltage, l.bias, l.efficiency)
		if err != nil {
			if l.efficiency < soundTank && l.point.PlateLoad > 0 {
				if p := l.eaten(s, l.asked); p != nil {
					return p
				}
			}
			return operating.Unreachable(s, l.tube, l.plateVoltage, err)
		}
		l.point = p
		load := p.PlateLoad / n
		if l.feed == (tank.Feed{}) {
			lowest := math.Inf(1)
			for _, b := range l.bands {
				lowest = math.Min(lowest, b.Low)
			}
			choke, blocking := platefeed.Values(s, load, lowest)
			l.feed = tank.Feed{ChokeInductance: choke, BlockingCapacitance: blocking}
		}
		l.networks, err = tank.Networks(s, l.bands, tank.PlateCapacitance(s, l.tube, s.Tubes.Count.N), load, l.feed)
		if l.asked == 0 {
			l.asked = load
		}
		if err != nil {
			return l.tankProblem(s, load, err)
		}
		got := 2.0
		for i, t := range l.networks {
			if t.Efficiency < got {
				got, l.worst = t.Efficiency, l.bands[i].Name
			}
		}
		was := l.efficiency
		l.efficiency = got
		switch {
		case math.Abs(got-was) < shareClose:
			return nil
		case i > damped: // two bands or two values of Q may take turns
			l.efficiency = (got + was) / 2
		default:
			l.efficiency = efficiency.next(was, got, true)
		}
	}
	return l.tankProblem(s, l.asked, errors.New("tubes and tank do not come to an agreement"))
}
