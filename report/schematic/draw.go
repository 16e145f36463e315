package schematic

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Draw makes the three sheets of an amplifier: "rf-deck", "supply" and
// "control". The same amplifier always gives the same bytes. It returns an
// error for a circuit that does not fit together: a part without a designator,
// the same designator at two parts, or counts and options that contradict each
// other.
func Draw(a Amplifier) ([]Sheet, error) {
	if err := check(a); err != nil {
		return nil, err
	}
	titled := func(what string) string {
		if a.Name == "" {
			return what
		}
		return a.Name + ": " + what
	}
	var sheets []Sheet
	at := map[string]int{}       // sheet of each designator
	whole := map[string]string{} // those of which more than a contact is drawn: name of the symbol
	for _, s := range []struct {
		name, title string
		c           *canvas
		words       func(Amplifier) string
	}{
		{"rf-deck", "RF deck", drawDeck(a), describeDeck},
		{"supply", "supply and metering", drawSupply(a), describeSupply},
		{"control", "control and protection", drawControl(a), describeControl},
	} {
		if s.c.err != nil {
			return nil, s.c.err
		}
		for designator, name := range s.c.seen {
			if other, ok := whole[designator]; ok {
				return nil, fmt.Errorf("schematic: designator %s stands on both sheets (%s, %s)", designator, other, name)
			}
			whole[designator] = name
		}
		for designator, own := range s.c.drawn() {
			if _, ok := at[designator]; !ok || own {
				at[designator] = len(sheets)
			}
		}
		title := titled(s.title)
		e := s.c.extent()
		sheets = append(sheets, Sheet{Name: s.name, Title: title, SVG: s.c.svg(s.name, title, s.words(a)), Width: e.x1 - e.x0,
			Height: e.y1 - e.y0})
	}
	for _, designator := range slices.Sorted(maps.Keys(at)) {
		s := &sheets[at[designator]]
		s.Parts = append(s.Parts, designator)
	}
	return sheets, nil
}

func check(a Amplifier) error {
	n := len(a.Tubes.Designators)
	if n < 1 || n > 4 {
		return fmt.Errorf("schematic: %d tubes; one to four can be drawn", n)
	}
	if s := len(a.Tubes.Suppressors); s != 0 && s != n {
		return fmt.Errorf("schematic: %d suppressors for %d tubes", s, n)
	}
	if a.Input != nil && len(a.Input.Bands) == 0 {
		return fmt.Errorf("schematic: an input network without bands")
	}
	for _, v := range a.Tubes.Designators {
		if v == "" {
			return fmt.Errorf("schematic: a tube without a designator")
		}
	}
	return nil
}

func describeDeck(a Amplifier) string {
	var s strings.Builder
	heated := "indirectly heated cathodes fed through a cathode choke"
	if a.Tubes.DirectlyHeated {
		heated = "filaments fed through a bifilar choke"
	}
	fmt.Fprintf(&s, "Circuit diagram. %d grounded-grid %s with %s. ", len(a.Tubes.Designators), a.Tubes.Type, heated)
	if a.Input != nil {
		fmt.Fprintf(&s, "The drive passes a pi network for each of %d bands and the coupling capacitor %s. ", len(a.Input.Bands),
			a.Cathode.Coupling.Designator)
	}
	network := "pi"
	if a.Tank.OutputCoil != nil {
		network = "pi-L"
	}
	fmt.Fprintf(&s,
		"High voltage reaches the plates through %s; the blocking capacitor %s leads to a %s output network with tune capacitor %s, "+
			"coil "+
			"%s and load capacitor %s, and on to the antenna connector %s.",
		a.PlateFeed.Choke.Designator, a.PlateFeed.Blocking.Designator, network, a.Tank.Tune.Designator, a.Tank.Coil.Designator,
		a.Tank.Load.Designator, a.Tank.Antenna.Designator)
	return s.String()
}

func describeSupply(a Amplifier) string {
	return fmt.Sprintf("Circuit diagram. The plate transformer %s feeds a %s rectifier and %d filter capacitors in series. Plate "+
		"current is measured by %s and grid current by %s in the negative lead, which floats a few volts from the chassis.",
		a.Supply.Transformer.Designator, a.Supply.Rectifier, len(a.Supply.Capacitors), a.Metering.PlateMeter.Designator,
		a.Metering.GridMeter.Designator)
}

func describeControl(a Amplifier) string {
	c := a.Control
	var s strings.Builder
	s.WriteString("Circuit diagram. The mains passes the plug " + c.Plug.Designator)
	if c.Fuse != nil {
		s.WriteString(", the fuse")
	} else {
		s.WriteString(", no fuse")
	}
	fmt.Fprintf(&s, " and the switch %s to the heater transformer %s", c.Switch.Designator, a.Cathode.Transformer.Designator)
	if c.Air != nil {
		fmt.Fprintf(&s, " behind the air switch %s", c.Air.Designator)
	}
	fmt.Fprintf(&s, ", and through the contactor %s to the plate transformer.", c.Contactor.Designator)
	var chain []string
	add := func(p *Part) {
		if p != nil {
			chain = append(chain, p.Designator)
		}
	}
	add(c.Interlock)
	for i := range c.Thermal {
		add(&c.Thermal[i])
	}
	add(c.PlateTrip)
	if c.StepStart != nil {
		add(c.StepStart.Timeout)
	}
	add(c.WarmUp)
	add(&c.Start)
	fmt.Fprintf(&s, " The coil of %s hangs on the chain %s and then holds itself.", c.Contactor.Designator, strings.Join(chain, ", "))
	if c.StepStart != nil {
		fmt.Fprintf(&s, " %s shorts the step-start resistor %s.", c.StepStart.Contactor.Designator, c.StepStart.Resistor.Designator)
	}
	if w := a.Switching; w != nil {
		var coils []string
		for _, r := range w.Relays {
			coils = append(coils, r.Coil.Designator)
		}
		fmt.Fprintf(&s, " The key line from %s pulls in %s, in this order.", w.Key.Designator, strings.Join(coils, ", "))
	}
	return s.String()
}
