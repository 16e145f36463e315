package schematic

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// netlist reads the circuit back from the drawing: points joined by wires
// are one net, a wire end on another wire is a junction, crossings are not.
type netlist struct {
	c    *canvas
	root map[point]point
}

func readBack(c *canvas) *netlist {
	n := &netlist{c, map[point]point{}}
	points := map[point]bool{}
	for _, w := range c.wires {
		points[w.a], points[w.b] = true, true
	}
	for _, d := range c.devices {
		for name := range d.symbol.pins {
			points[d.pin(name)] = true
		}
	}
	for p := range points {
		for _, w := range c.wires {
			if w.holds(p) {
				n.join(p, w.a)
				n.join(w.a, w.b)
			}
		}
	}
	var ground *device
	for _, d := range c.devices {
		if d.symbol.name != "chassis" {
			continue
		}
		if ground != nil {
			n.join(ground.pin("p"), d.pin("p"))
		}
		ground = d
	}
	return n
}

func (n *netlist) find(p point) point {
	for {
		q, ok := n.root[p]
		if !ok || q == p {
			return p
		}
		p = q
	}
}

func (n *netlist) join(p, q point) {
	if a, b := n.find(p), n.find(q); a != b {
		n.root[a] = b
	}
}

// net is the net of a terminal, written "R1.a"; "R1/2.a" is the second
// symbol with that designator, "chassis" the chassis.
func (n *netlist) net(t *testing.T, terminal string) point {
	t.Helper()
	if terminal == "chassis" {
		for _, d := range n.c.devices {
			if d.symbol.name == "chassis" {
				return n.find(d.pin("p"))
			}
		}
	}
	i := strings.LastIndex(terminal, ".")
	ref, pin := terminal[:i], terminal[i+1:]
	skip := 0
	if before, ok := strings.CutSuffix(ref, "/2"); ok {
		ref, skip = before, 1
	}
	for _, d := range n.c.devices {
		if _, ok := d.symbol.pins[pin]; d.ref == ref && ok {
			if skip == 0 {
				return n.find(d.pin(pin))
			}
			skip--
		}
	}
	require.Fail(t, "no such terminal on the sheet", terminal)
	return point{}
}

func (n *netlist) joined(t *testing.T, terminals ...string) {
	t.Helper()
	for _, other := range terminals[1:] {
		assert.Equal(t, n.net(t, terminals[0]), n.net(t, other), "%s must be joined to %s", other, terminals[0])
	}
}

func (n *netlist) apart(t *testing.T, terminals ...string) {
	t.Helper()
	for i, one := range terminals {
		for _, other := range terminals[i+1:] {
			assert.NotEqual(t, n.net(t, one), n.net(t, other), "%s must not be joined to %s", one, other)
		}
	}
}

// loose lists wire ends that meet nothing and terminals that lead nowhere.
func (n *netlist) loose() []string {
	var found []string
	members := map[point]int{}
	for _, d := range n.c.devices {
		for name := range d.symbol.pins {
			members[n.find(d.pin(name))]++
		}
	}
	for _, d := range n.c.devices {
		for name := range d.symbol.pins {
			if members[n.find(d.pin(name))] < 2 {
				found = append(found, d.ref+" "+d.symbol.name+"."+name)
			}
		}
	}
	for i, w := range n.c.wires {
		for _, end := range []point{w.a, w.b} {
			touched := false
			for j, o := range n.c.wires {
				touched = touched || i != j && o.holds(end)
			}
			for _, d := range n.c.devices {
				for name := range d.symbol.pins {
					touched = touched || d.pin(name) == end
				}
			}
			if !touched {
				found = append(found, "wire end")
			}
		}
	}
	return found
}

func TestDeckIsTheRightCircuit(t *testing.T) {
	for _, v := range matrix() {
		if t.Failed() {
			t.Fatal("stopped after the first wrong variant")
		}
		t.Log(v)
		a := v.amplifier()
		n := readBack(drawDeck(a))
		require.Empty(t, n.loose())
		k, feed, tank := a.Cathode, a.PlateFeed, a.Tank
		plates := feed.Choke.Designator + ".a"
		n.apart(t, plates, tank.Tune.Designator+".a", "chassis", "HV+.p", "Cathode return.p", k.Coupling.Designator+".a", k.Coupling.Designator+".b")
		n.joined(t, plates, feed.Blocking.Designator+".b")
		n.joined(t, tank.Tune.Designator+".a", feed.Blocking.Designator+".a")
		if feed.SeriesChoke == nil {
			n.joined(t, feed.Choke.Designator+".b", feed.Bypass.Designator+".a")
		} else {
			n.joined(t, feed.Choke.Designator+".b", feed.SeriesChoke.Designator+".a")
			n.joined(t, feed.SeriesChoke.Designator+".b", feed.Bypass.Designator+".a")
			n.apart(t, feed.Choke.Designator+".b", feed.Bypass.Designator+".a", plates)
		}
		hot := "" // where the drive meets the cathodes
		for i, tube := range a.Tubes.Designators {
			n.joined(t, tube+".grid", "chassis")
			if v.full {
				s := a.Tubes.Suppressors[i]
				n.joined(t, tube+".plate", s.Coil.Designator+".b", s.Resistor.Designator+".b")
				n.joined(t, plates, s.Coil.Designator+".a", s.Resistor.Designator+".a")
				n.apart(t, plates, tube+".plate")
			} else {
				n.joined(t, tube+".plate", plates, feed.Blocking.Designator+".b")
			}
			if v.direct {
				hot = k.Choke.Designator + ".hot2"
				n.joined(t, tube+".filament1", k.Choke.Designator+".hot1")
				n.joined(t, tube+".filament2", hot)
			} else {
				hot = k.Choke.Designator + ".a"
				n.joined(t, tube+".cathode", hot)
				n.joined(t, tube+".heater1", k.Transformer.Designator+".s1")
				n.joined(t, tube+".heater2", k.Transformer.Designator+".s2")
				n.apart(t, tube+".heater1", tube+".heater2", tube+".cathode", "chassis")
			}
		}
		n.joined(t, hot, k.Coupling.Designator+".a")
		for i, end := range []string{".s1", ".s2"} {
			n.joined(t, k.Transformer.Designator+end, k.Bypass[i].Designator+".a")
			n.joined(t, k.Bypass[i].Designator+".b", "chassis")
		}
		start := k.Choke.Designator + ".b" // where the cathode current leaves
		if v.direct {
			start = k.Transformer.Designator + ".centre"
			n.apart(t, k.Choke.Designator+".hot1", hot, k.Choke.Designator+".cold1", k.Choke.Designator+".cold2", start)
		}
		from, to := a.Bias.Device.Designator+".a", a.Bias.Device.Designator+".b"
		switch v.bias {
		case BiasNone:
			from, to = start, start
		case BiasTransistor:
			base := a.Bias.Device.Designator + ".b"
			from, to = a.Bias.Device.Designator+".c", a.Bias.Device.Designator+".e"
			n.joined(t, base, a.Bias.Reference.Designator+".b", a.Bias.BaseResistor.Designator+".a")
			n.joined(t, from, a.Bias.Reference.Designator+".a")
			n.joined(t, to, a.Bias.BaseResistor.Designator+".b")
			n.apart(t, base, from, to)
		}
		n.joined(t, start, from)
		if v.full {
			r := a.Bias.CutOff.Designator
			n.joined(t, to, r+".a", "K2.a")
			n.joined(t, r+".b", "K2.b", "Cathode return.p")
			n.apart(t, r+".a", r+".b")
			n.joined(t, "K2.nc", "K1.nc")
			n.joined(t, "K2.common", tank.Antenna.Designator+".inner")
			n.joined(t, "K2.no", tank.SafetyChoke.Designator+".a")
			n.joined(t, tank.SafetyChoke.Designator+".b", "chassis")
			n.joined(t, "K1.common", a.Drive.Designator+".inner")
			n.joined(t, feed.Fuse.Designator+".b", "HV+.p")
		} else {
			n.joined(t, to, "Cathode return.p")
			n.joined(t, feed.Choke.Designator+".b", "HV+.p")
			if v.roller {
				n.joined(t, tank.Coil.Designator+".w", tank.Coil.Designator+".b", tank.Load.Designator+".a")
			}
		}
		if v.piL {
			n.joined(t, tank.OutputCoil.Designator+".a", tank.Load.Designator+".a")
			n.apart(t, tank.OutputCoil.Designator+".a", tank.OutputCoil.Designator+".b")
		}
		if tank.Taps != nil {
			n.joined(t, tank.Taps.Switch.Designator+".w", tank.Coil.Designator+".b", tank.Load.Designator+".a")
			first := tank.Coil.Designator + ".t1"
			if v.full {
				first = tank.Coil.Designator + ".a"
			}
			n.joined(t, tank.Taps.Switch.Designator+".c0", first)
		}
		if v.bands > 0 {
			b := a.Input.Bands[0]
			n.joined(t, b.In.Designator+".a", b.Coil.Designator+".a")
			n.joined(t, b.Out.Designator+".a", b.Coil.Designator+".b")
			n.apart(t, b.In.Designator+".a", b.Out.Designator+".a", "chassis")
		}
	}
}

func TestSupplyIsTheRightCircuit(t *testing.T) {
	for _, v := range matrix() {
		if t.Failed() {
			t.Fatal("stopped after the first wrong variant")
		}
		t.Log(v)
		a := v.amplifier()
		n := readBack(drawSupply(a))
		require.Empty(t, n.loose())
		s, m := a.Supply, a.Metering
		first, last := s.Capacitors[0].Designator, s.Capacitors[len(s.Capacitors)-1].Designator
		rail := last + ".b"
		plus := "HV+.p" // where the rectifier's positive end is
		if s.Choke != nil {
			plus = s.Choke.Designator + ".a"
			n.joined(t, s.Choke.Designator+".b", "HV+.p")
			n.apart(t, plus, "HV+.p", "chassis")
		}
		n.joined(t, "HV+.p", first+".a")
		n.joined(t, plus, s.Diodes[0].Designator+".a")
		n.apart(t, "HV+.p", rail, "chassis", "Cathode return.p", "FIL 1.p", "FIL 2.p")
		d := func(i int, pin string) string { return s.Diodes[i].Designator + pin }
		s1, s2 := s.Transformer.Designator+".s1", s.Transformer.Designator+".s2"
		n.joined(t, s1, d(0, ".b"))
		n.apart(t, s1, s2, rail, "HV+.p")
		switch v.rectifier {
		case Bridge:
			n.joined(t, s1, d(2, ".a"))
			n.joined(t, s2, d(1, ".b"), d(3, ".a"))
			n.joined(t, rail, d(2, ".b"), d(3, ".b"))
			n.joined(t, plus, d(1, ".a"))
		case CentreTap:
			n.joined(t, s2, d(1, ".b"))
			n.joined(t, plus, d(1, ".a"))
			n.joined(t, rail, s.Transformer.Designator+".centre")
		case Doubler:
			n.joined(t, s1, d(1, ".a"))
			n.joined(t, rail, d(1, ".b"))
			half := len(s.Capacitors) / 2
			n.joined(t, s2, s.Capacitors[half-1].Designator+".b", s.Capacitors[half].Designator+".a")
		}
		n.joined(t, rail, m.PlateShunt.Designator+".a", m.PlateMeter.Designator+".a", m.RailResistor.Designator+".a",
			m.RailClamps[0].Designator+".a", m.RailClamps[1].Designator+".a")
		n.joined(t, "Cathode return.p", m.PlateShunt.Designator+".b", m.PlateMeter.Designator+".b",
			m.GridShunt.Designator+".a", m.GridMeter.Designator+".a")
		n.joined(t, "chassis", m.GridShunt.Designator+".b", m.GridMeter.Designator+".b", m.RailResistor.Designator+".b",
			m.RailClamps[0].Designator+".b", m.RailClamps[1].Designator+".b")
		if !v.full {
			continue
		}
		n.joined(t, m.Voltmeter.Designator+".b", "chassis")
		n.apart(t, m.Voltmeter.Designator+".b", rail)
		n.joined(t, m.Multiplier[0].Designator+".a", "HV+.p")
		n.joined(t, s.Equalizers[0].Designator+".b", first+".b")
		n.joined(t, s.Bleeder.Designator+".a", "HV+.p")
		n.joined(t, s.Bleeder.Designator+".b", rail)
		r := s.StepStart.Resistor.Designator
		n.joined(t, r+".a", "K3.a", s.Switch.Designator+".b", "FIL 1.p")
		n.joined(t, r+".b", "K3.b", "K3/2.a", s.Transformer.Designator+".p1")
		n.joined(t, "K3/2.b", s.Transformer.Designator+".p2", "FIL 2.p")
		n.apart(t, "K3/2.a", "K3/2.b", "K3.a")
	}
}
