package schematic

import (
	"fmt"
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
	if before, nth, ok := strings.Cut(ref, "/"); ok {
		ref = before
		_, err := fmt.Sscan(nth, &skip)
		require.NoError(t, err)
		skip--
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
		n.apart(t, plates, tank.Tune.Designator+".a", "chassis", "HV+.p", "Cathode return.p", k.Coupling.Designator+".a",
			k.Coupling.Designator+".b")
		n.joined(t, plates, feed.Blocking.Designator+".b")
		n.joined(t, tank.Tune.Designator+".a", feed.Blocking.Designator+".a")
		cold := feed.Choke.Designator + ".b"
		if feed.SeriesChoke != nil {
			n.joined(t, cold, feed.SeriesChoke.Designator+".a")
			cold = feed.SeriesChoke.Designator + ".b"
			n.apart(t, feed.Choke.Designator+".b", cold, plates)
		}
		if feed.Bypass != nil {
			n.joined(t, cold, feed.Bypass.Designator+".a")
			n.joined(t, feed.Bypass.Designator+".b", "chassis")
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
			s := tank.Taps.Switch.Designator
			n.joined(t, s+".w", tank.Coil.Designator+".b", tank.Load.Designator+".a")
			// the positions, counted off by hand: first the taps of the coil for
			// the high bands, its end if it is one, then those of the tank coil
			var want []string
			if high := tank.HighBandCoil; high != nil {
				n.joined(t, tank.Tune.Designator+".a", high.Designator+".a")
				n.joined(t, high.Designator+".b", tank.Coil.Designator+".a")
				for i := 1; i <= tank.Taps.High; i++ {
					want = append(want, fmt.Sprintf("%s.t%d", high.Designator, i))
				}
				if tank.Taps.HighEnd {
					want[len(want)-1] = high.Designator + ".b"
				}
			} else {
				n.joined(t, tank.Tune.Designator+".a", tank.Coil.Designator+".a")
			}
			for i := 1; len(want) < len(tank.Taps.Bands)-1; i++ {
				want = append(want, fmt.Sprintf("%s.t%d", tank.Coil.Designator, i))
			}
			want = append(want, tank.Coil.Designator+".b")
			for i, tap := range want {
				n.joined(t, fmt.Sprintf("%s.c%d", s, i), tap)
			}
			n.apart(t, want...)
		}
		for i, p := range append(append([]Padding{}, tank.TunePadding...), tank.LoadPadding...) {
			at := tank.Tune.Designator + ".a"
			if i >= len(tank.TunePadding) {
				at = tank.Load.Designator + ".a"
			}
			k := p.Capacitor.Designator
			n.joined(t, k+".b", "chassis")
			n.apart(t, k+".a", k+".b", at) // its contact is open at rest
		}
		if at := a.Attenuator; at != nil {
			n.joined(t, "K1.no", at[0].Designator+".a", at[1].Designator+".a")
			n.joined(t, at[1].Designator+".b", at[2].Designator+".a")
			n.joined(t, at[0].Designator+".b", at[2].Designator+".b", "chassis")
			n.apart(t, at[1].Designator+".a", at[1].Designator+".b", "chassis")
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
		n.apart(t, "HV+.p", rail, "chassis", "Cathode return.p", "Primary 1.p", "Primary 2.p")
		n.joined(t, s.Transformer.Designator+".p1", "Primary 1.p")
		n.joined(t, s.Transformer.Designator+".p2", "Primary 2.p")
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
		n.joined(t, m.Voltmeter.Designator+".b", m.Foot.Designator+".b", m.MeterShunt.Designator+".b", "chassis")
		n.joined(t, m.Voltmeter.Designator+".a", m.Foot.Designator+".a", m.MeterShunt.Designator+".a",
			m.Multiplier[len(m.Multiplier)-1].Designator+".b")
		n.apart(t, m.Voltmeter.Designator+".a", m.Voltmeter.Designator+".b", rail, "HV+.p")
		n.joined(t, "Voltmeter foot.p", m.Foot.Designator+".a")
		n.joined(t, m.PlateClamps.Designator+".a", m.PlateShunt.Designator+".a")
		n.joined(t, m.PlateClamps.Designator+".b", m.PlateShunt.Designator+".b")
		n.joined(t, m.GridClamps.Designator+".a", m.GridShunt.Designator+".a")
		n.joined(t, m.GridClamps.Designator+".b", m.GridShunt.Designator+".b")
		n.joined(t, "Negative rail.p", rail)
		n.joined(t, m.Multiplier[0].Designator+".a", "HV+.p")
		n.joined(t, s.Equalizers[0].Designator+".b", first+".b")
		n.joined(t, s.Bleeder.Designator+".a", "HV+.p")
		n.joined(t, s.Bleeder.Designator+".b", rail)
	}
}

// chain walks from a terminal along parts in series, a.b.a.b, and returns the
// net at its end.
func (n *netlist) chain(t *testing.T, from string, parts ...string) point {
	t.Helper()
	at := n.net(t, from)
	for _, p := range parts {
		a, b := p+".a", p+".b"
		require.Equal(t, at, n.net(t, a), "%s follows", p)
		require.NotEqual(t, n.net(t, a), n.net(t, b), "%s is bridged", p)
		at = n.net(t, b)
	}
	return at
}

// The control sheet read back: what must be closed before the plate
// transformer has mains, before the heaters have it, and before a key closes.
func TestControlIsTheRightCircuit(t *testing.T) {
	for _, v := range matrix() {
		if t.Failed() {
			t.Fatal("stopped after the first wrong variant")
		}
		t.Log(v)
		a := v.amplifier()
		n := readBack(drawControl(a))
		require.Empty(t, n.loose())
		c, s := a.Control, a.Switching
		name := func(p *Part) string { return p.Designator }
		first := c.Plug.Designator + ".l"
		live, other := []string{}, []string{}
		if c.Fuse != nil {
			live = append(live, name(c.Fuse))
		}
		if c.SecondFuse != nil {
			other = append(other, name(c.SecondFuse))
		}
		on := n.chain(t, first, append(live, c.Switch.Designator)...)
		off := n.chain(t, c.Plug.Designator+".n", append(other, c.Switch.Designator+"/2")...)
		n.joined(t, c.Plug.Designator+".pe", "chassis")
		require.NotEqual(t, on, off)
		bus := on
		if c.Air != nil {
			assert.Equal(t, on, n.net(t, name(c.Air)+".a"))
			bus = n.net(t, name(c.Air)+".b")
			assert.NotEqual(t, on, bus)
		}
		if b := c.Blower; b != nil {
			if b.AfterRun != nil { // ahead of the mains switch: it runs on
				assert.Equal(t, n.net(t, c.Switch.Designator+".a"), n.net(t, name(b.AfterRun)+".a"))
				n.joined(t, name(b.AfterRun)+".b", b.Motor.Designator+".a")
				assert.Equal(t, n.net(t, c.Switch.Designator+"/2.a"), n.net(t, b.Motor.Designator+".b"))
				assert.Equal(t, on, n.net(t, name(b.AfterRun)+"/2.a"))
				assert.Equal(t, off, n.net(t, name(b.AfterRun)+"/2.b"))
			} else {
				assert.Equal(t, on, n.net(t, b.Motor.Designator+".a"))
				assert.Equal(t, off, n.net(t, b.Motor.Designator+".b"))
			}
		}
		assert.Equal(t, bus, n.net(t, a.Cathode.Transformer.Designator+".p1"))
		assert.Equal(t, off, n.net(t, a.Cathode.Transformer.Designator+".p2"))
		// the chain of the contactor's coil
		at := bus
		in := func(ref string) {
			assert.Equal(t, at, n.net(t, ref+".a"), ref)
			at = n.net(t, ref+".b")
		}
		if c.WarmUp != nil {
			assert.Equal(t, bus, n.net(t, name(c.WarmUp)+".a"))
			assert.Equal(t, off, n.net(t, name(c.WarmUp)+".b"))
		}
		if c.Interlock != nil {
			in(name(c.Interlock))
		}
		for _, p := range c.Thermal {
			in(p.Designator)
		}
		if c.PlateTrip != nil {
			in(name(c.PlateTrip))
		}
		if c.StepStart != nil && c.StepStart.Timeout != nil {
			in(name(c.StepStart.Timeout))
		}
		if c.WarmUp != nil {
			in(name(c.WarmUp) + "/2")
		}
		k := c.Contactor.Designator
		n.joined(t, c.Start.Designator+".b", k+".b", k+"/2.a")
		assert.Equal(t, at, n.net(t, k+".a"), "the contact that holds bridges all that only the start needs")
		if st := c.StepStart; st != nil { // welded, it keeps the next start from beginning
			in(st.Contactor.Designator)
		}
		in(c.Start.Designator)
		assert.Equal(t, off, n.net(t, k+"/2.b"))
		// the power: interlock, contactor, step start
		at = on
		if c.Interlock != nil {
			in(name(c.Interlock) + "/2")
		}
		in(k + "/3")
		if st := c.StepStart; st != nil {
			r, short := st.Resistor.Designator, st.Contactor.Designator
			nth := "/2"
			if st.Timeout != nil {
				nth = "/3"
				n.joined(t, r+".a", short+"/2.a")
				n.joined(t, short+"/2.b", name(st.Timeout)+"/2.a")
				assert.Equal(t, off, n.net(t, name(st.Timeout)+"/2.b"))
			}
			in(r)
			n.joined(t, r+".a", short+nth+".a")
			n.joined(t, r+".b", short+nth+".b")
			coil := map[string]string{"/2": "/3", "/3": "/4"}[nth]
			assert.Equal(t, at, n.net(t, short+coil+".a"))
			n.joined(t, short+coil+".b", "Primary 2.p")
			if a.Metering.Voltmeter != nil { // it waits for the bank, not for the primary
				n.joined(t, short+".s", "Voltmeter foot.p")
				n.apart(t, short+".s", short+coil+".a", short+coil+".b", "chassis")
			}
		}
		assert.Equal(t, at, n.net(t, "Primary 1.p"))
		assert.Equal(t, off, n.net(t, k+"/4.a"))
		n.joined(t, k+"/4.b", "Primary 2.p")
		n.apart(t, "Primary 1.p", "Primary 2.p", "chassis")
		if s == nil {
			continue
		}
		// the key line
		ready, of := k+"/5", []string{}
		if st := c.StepStart; st != nil {
			ready = st.Contactor.Designator + map[bool]string{false: "/4", true: "/5"}[st.Timeout != nil]
		}
		n.joined(t, s.Key.Designator+".tip", ready+".a")
		at = n.net(t, ready+".b")
		in(name(c.GridTrip))
		in(name(c.PlateTrip) + "/2")
		of = append(of, "K1", "K2")
		for i, coil := range of {
			r := s.Relays[i]
			n.joined(t, coil+".a", r.Snubber.Designator+".a", s.Supply.Designator+".tip")
			n.joined(t, r.Snubber.Designator+".b", r.Zener.Designator+".a")
			n.joined(t, r.Zener.Designator+".b", coil+".b")
			n.apart(t, coil+".a", coil+".b", r.Zener.Designator+".a", "chassis")
			if s.Sequencer == nil {
				assert.Equal(t, at, n.net(t, coil+".b"))
				continue
			}
			n.joined(t, coil+".b", fmt.Sprintf("%s.out%d", name(s.Sequencer), i+1))
		}
		if s.Sequencer != nil {
			assert.Equal(t, at, n.net(t, name(s.Sequencer)+".key"))
			n.joined(t, name(s.Sequencer)+".plus", "K1.a")
			n.joined(t, name(s.Sequencer)+".chassis", "chassis")
			n.apart(t, name(s.Sequencer)+".out1", name(s.Sequencer)+".out2", name(s.Sequencer)+".key", "chassis")
		}
		// the trips sense across the shunts of the supply sheet
		n.joined(t, "Cathode return.p", name(c.GridTrip)+"/2.a", name(c.PlateTrip)+"/3.a")
		n.joined(t, name(c.GridTrip)+"/2.b", "chassis")
		n.joined(t, name(c.PlateTrip)+"/3.b", "Negative rail.p")
		n.apart(t, "Cathode return.p", "Negative rail.p", "chassis")
	}
}
