package compute

import (
	"fmt"
	"math"
	"strconv"

	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/stage/platefeed"
	"anodebook/compute/stage/tank"
	"anodebook/spec"
)

// soundTank is the efficiency below which the tank is to blame for what the
// tubes cannot deliver, and for which it gets a finding [1]: with usual parts it
// passes 90 to 97 % (common practice).
const soundTank = 0.8

// suspect is a key on which the tank's efficiency hangs.
type suspect struct {
	origin spec.Origin
	text   string // what the builder wrote
	usual  string // what is put there to see what the tank is without it; empty: the program's own choice
	reset  func(c *spec.Spec)
}

// suspects lists the keys of the tank that the builder wrote.
func suspects(s *spec.Spec) []suspect {
	var list []suspect
	ratio := func(q spec.Ratio, usual float64, reset func(c *spec.Spec)) {
		if q.Given {
			list = append(list, suspect{q.Origin, strconv.FormatFloat(q.Value, 'f', -1, 64), strconv.FormatFloat(usual, 'f', -1, 64),
				reset})
		}
	}
	measure := func(q spec.Quantity, unit, usual string, reset func(c *spec.Spec)) {
		if q.Given {
			list = append(list, suspect{q.Origin, desk.Show(q.SI, unit), usual, reset})
		}
	}
	const coil, loaded, output, capacitor = 300, 12, 200, 2000
	number := func(v float64) spec.Ratio { return spec.Ratio{Value: v, Assumed: true} }
	ratio(s.Tank.CoilQ, coil, func(c *spec.Spec) { c.Tank.CoilQ = number(coil) })
	ratio(s.Tank.LoadedQ, loaded, func(c *spec.Spec) { c.Tank.LoadedQ = number(loaded) })
	ratio(s.Tank.OutputCoilQ, output, func(c *spec.Spec) { c.Tank.OutputCoilQ = number(output) })
	ratio(s.Tank.Tune.Q, capacitor, func(c *spec.Spec) { c.Tank.Tune.Q = number(capacitor) })
	ratio(s.Tank.Load.Q, capacitor, func(c *spec.Spec) { c.Tank.Load.Q = number(capacitor) })
	for _, name := range s.Target.Bands.Values {
		b, ok := s.Tank.Band[name]
		if !ok {
			continue
		}
		without := func(change func(b *spec.TankBand)) func(c *spec.Spec) {
			return func(c *spec.Spec) {
				all := map[string]spec.TankBand{}
				for k, v := range c.Tank.Band {
					all[k] = v
				}
				x := all[name]
				change(&x)
				all[name] = x
				c.Tank.Band = all
			}
		}
		ratio(b.CoilQ, coil, without(func(b *spec.TankBand) { b.CoilQ = number(coil) }))
		ratio(b.LoadedQ, loaded, without(func(b *spec.TankBand) { b.LoadedQ = number(loaded) }))
	}
	measure(s.Tank.Stray, "F", "8 pF", func(c *spec.Spec) { c.Tank.Stray.SI = 8e-12 })
	measure(s.Tank.Middle, "Ω", "300 Ω", func(c *spec.Spec) { c.Tank.Middle = spec.Quantity{SI: 300, Assumed: true} })
	if r := s.Tank.Tune.Capacitance; r.Given {
		list = append(list, suspect{r.Origin, "a minimum of " + desk.Show(r.Low, "F"), "",
			func(c *spec.Spec) { c.Tank.Tune.Capacitance.Given = false }})
	}
	measure(s.PlateFeed.Blocking.Capacitance, "F", "", func(c *spec.Spec) { c.PlateFeed.Blocking.Capacitance = spec.Quantity{} })
	measure(s.PlateFeed.Choke.Inductance, "H", "", func(c *spec.Spec) { c.PlateFeed.Choke.Inductance = spec.Quantity{} })
	return list
}

// passes returns the efficiency of the worst tank of a spec at a plate load of
// all tubes [Ω]; 0 where no network matches.
func (l *loop) passes(s *spec.Spec, load float64) (efficiency float64, band string) {
	lowest := math.Inf(1)
	for _, b := range l.bands {
		lowest = math.Min(lowest, b.Low)
	}
	choke, blocking := platefeed.Values(s, load, lowest)
	list, err := tank.Networks(s, l.bands, tank.PlateCapacitance(s, l.tube, s.Tubes.Count.N), load,
		tank.Feed{ChokeInductance: choke, BlockingCapacitance: blocking})
	if err != nil {
		return 0, l.bands[0].Name
	}
	efficiency = 2
	for i, t := range list {
		if t.Efficiency < efficiency {
			efficiency, band = t.Efficiency, l.bands[i].Name
		}
	}
	return efficiency, band
}

// culprit is the key of the tank that costs the most, found by putting a usual
// value in its place.
type culprit struct {
	suspect
	with, without float64 // efficiency of the worst tank [1]
	band          string
}

// blame looks for the culprit at a plate load of all tubes [Ω]. It is false
// where no key that the builder wrote makes much of a difference.
func (l *loop) blame(s *spec.Spec, load float64) (c culprit, ok bool) {
	c.with, c.band = l.passes(s, load)
	c.without = c.with
	for _, x := range suspects(s) {
		changed := s.Clone()
		x.reset(changed)
		if e, _ := l.passes(changed, load); e > c.without {
			c.suspect, c.without = x, e
		}
	}
	return c, c.without > c.with+0.05
}

// share is an efficiency in whole per cent, for a problem of the spec.
func share(e float64) string {
	if e < 0.005 {
		return "hardly any"
	}
	return fmt.Sprintf("%.0f %%", 100*e)
}

// passed is an efficiency in whole per cent, for a finding.
func passed(e float64) ledger.Sentence {
	if e < 0.005 {
		return ledger.Say("hardly any")
	}
	return ledger.Say("{share} %", ledger.Fixed("share", 100*e, 0))
}

// instead says what the usual value would do.
func (c *culprit) instead() string {
	if c.usual == "" {
		return "with the value that the program chooses where this key is left out, the tank passes " + share(c.without)
	}
	return fmt.Sprintf("with the usual %s the tank passes %s", c.usual, share(c.without))
}

// eaten words a tank that leaves too little of what the tubes deliver, at a
// plate load of all tubes [Ω]: as a problem of the key that is to blame; nil
// where there is none.
func (l *loop) eaten(s *spec.Spec, load float64) error {
	c, ok := l.blame(s, load)
	if !ok {
		return nil
	}
	p := spec.Problem{File: s.File, Position: c.origin.Position, Key: c.origin.Key}
	if c.with == 0 {
		p.What = fmt.Sprintf("with %s here no output network matches the plate load of %s", c.text, desk.Show(load, "Ω"))
	} else {
		p.What = fmt.Sprintf("with %s here the tank passes only %s of what the plates deliver on %s, and the tubes cannot make up "+
			"for the loss",
			c.text, share(c.with), c.band)
	}
	p.Hint = c.instead()
	return spec.Problems{p}
}

// wasteful adds a finding where the tank takes a large share of the output.
func (l *loop) wasteful(d *desk.Desk, s *spec.Spec) {
	if l.efficiency >= soundTank {
		return
	}
	eta, out := d.Get("antenna.tank_efficiency"), d.Get("tubes.plate_output")
	f := ledger.Finding{Severity: ledger.Caution, ID: "tank.efficiency", Stage: "tank", Quantities: []string{eta.ID, out.ID},
		Text: ledger.Say("On {worst} the tank passes {eta} of the {tubes.plate_output} that the plates deliver: {heat} stay in its "+
			"parts as heat, and tubes and supply are sized for it.", ledger.OnBand("worst", l.worst),
			ledger.In("eta", passed(eta.Value)),
			ledger.Of("heat", (1-eta.Value)*out.Value, "W")),
		Advice: ledger.Say("A better coil (tank.coil_q), a lower tank.loaded_q or a lower minimum of the tune capacitor.")}
	if c, ok := l.blame(s, l.point.PlateLoad/float64(s.Tubes.Count.N)); ok {
		f.Advice = ledger.Say("Change {key}, now {text}: {instead}.", ledger.Called("key", c.origin.Key), ledger.Called("text", c.text),
			ledger.Called("instead", c.instead()))
	}
	d.Find(f)
}

// tankProblem words what the tank cannot do: as a problem of the key to blame,
// or else of the tank at large.
func (l *loop) tankProblem(s *spec.Spec, load float64, err error) error {
	if p := l.eaten(s, load); p != nil {
		return p
	}
	return noTank(s, fmt.Errorf("from a plate load of %s: %w", desk.Show(load, "Ω"), err))
}
