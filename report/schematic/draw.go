package schematic

import (
	"fmt"
	"strings"
)

// Draw makes the two sheets of an amplifier: "rf-deck" and "supply". The
// same amplifier always gives the same bytes. It returns an error for a
// circuit that does not fit together: a part without a designator, the same
// designator at two parts, or counts and options that contradict each other.
func Draw(a Amplifier) ([]Sheet, error) {
	if err := check(a); err != nil {
		return nil, err
	}
	rf, supply := drawDeck(a), drawSupply(a)
	for _, c := range []*canvas{rf, supply} {
		if c.err != nil {
			return nil, c.err
		}
	}
	for designator, name := range rf.seen {
		if other, ok := supply.seen[designator]; ok {
			return nil, fmt.Errorf("schematic: designator %s stands on both sheets (%s, %s)", designator, name, other)
		}
	}
	titled := func(what string) string {
		if a.Name == "" {
			return what
		}
		return a.Name + ": " + what
	}
	heading, control := titled("RF deck"), titled("supply, metering and control")
	return []Sheet{
		{"rf-deck", heading, rf.svg("rf-deck", heading, describeDeck(a))},
		{"supply", control, supply.svg("supply", control, describeSupply(a))},
	}, nil
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
		fmt.Fprintf(&s, "The drive passes a pi network for each of %d bands and the coupling capacitor %s. ", len(a.Input.Bands), a.Cathode.Coupling.Designator)
	}
	network := "pi"
	if a.Tank.OutputCoil != nil {
		network = "pi-L"
	}
	fmt.Fprintf(&s, "High voltage reaches the plates through %s; the blocking capacitor %s leads to a %s output network with tune capacitor %s, coil %s and load capacitor %s, and on to the antenna connector %s.",
		a.PlateFeed.Choke.Designator, a.PlateFeed.Blocking.Designator, network, a.Tank.Tune.Designator, a.Tank.Coil.Designator, a.Tank.Load.Designator, a.Tank.Antenna.Designator)
	return s.String()
}

func describeSupply(a Amplifier) string {
	return fmt.Sprintf("Circuit diagram. Mains plug, fuse and switch feed the plate transformer %s, a %s rectifier and %d filter capacitors in series. Plate current is measured by %s and grid current by %s in the negative lead, which floats a few volts from the chassis.",
		a.Supply.Transformer.Designator, a.Supply.Rectifier, len(a.Supply.Capacitors), a.Metering.PlateMeter.Designator, a.Metering.GridMeter.Designator)
}
