package operating

import (
	"fmt"
	"math"

	"anodebook/compute/data/preferred"
	"anodebook/compute/desk"
	"anodebook/compute/physics/tube"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// Feed returns the plate voltage [V] that the supply gives at the plate current
// of all tubes [A].
type Feed func(plateCurrent float64) (float64, error)

// Bias is the cathode bias that was chosen.
type Bias struct {
	Voltage float64 // cathode above ground [V]
	Reason  string  // why, for the list of assumptions; empty where the spec says it
	Short   float64 // idle current wanted that no bias gives: what is left without any [A, all tubes]; else 0
}

// What a default bias is chosen by, and what a given one is held against.
const (
	// leastShare of the plate current at full output must be left without
	// drive: no published column of the catalogue idles on less (the least is
	// 4.4 %; most have 10 to 30 %).
	leastShare = 0.04
	// usualShare is what a searched bias leaves, where the plates stand it.
	usualShare = 0.1
	// idleShare of the rated plate dissipation is what the idle current may
	// heat (common practice: tubes idle cool enough to be left in transmit).
	idleShare = 0.5
	// idleTarget of it is what a searched bias comes near to (common practice):
	// the static model is the least certain near cut-off, and so are tubes.
	idleTarget = 0.35
	// mostShare of the plate current at full output is the most that a searched
	// bias leaves: no published column idles on more than 33 %.
	mostShare = 0.33
	// poorThird is the third-order product, at the worst drive, beyond which a
	// published bias is not taken [dB against one tone] (common practice: 25 to
	// 30 dB below one tone is the least that neighbours put up with).
	poorThird = -25
	// nearCleanest is how far above the cleanest choice another may be [dB].
	nearCleanest = 3
	// leastDevice is the lowest voltage that a device makes: one diode [V].
	leastDevice = 0.7
	// highest is the end of the search [V], that of bias.voltage.
	highest = 150
	// candidates are so many at most: each costs as much as a tenth of a design.
	candidates = 4
)

// lessDrive are the drives, below the full one, at which the third order is
// looked at too [dB].
var lessDrive = []float64{3, 6, 10}

// FirstBias is the bias to begin with before there is a supply: that of the
// spec, that of its idle current at the plate voltage [V], or the published
// one.
func FirstBias(s *spec.Spec, t *tube.Type, plateVoltage float64) Bias {
	held := func(float64) (float64, error) { return plateVoltage, nil }
	if b, ok, err := GivenBias(s, t, held); ok && err == nil {
		return b
	}
	v, _ := publishedBias(t, plateVoltage)
	return Bias{Voltage: sold(v)}
}

// GivenBias is the bias that the spec fixes: as a voltage, by an idle current,
// which then holds at the plate voltage that the supply gives at that current,
// or by doing without a device. It is false where the spec fixes none. The
// errors are problems of the spec: a device that has nothing to hold.
func GivenBias(s *spec.Spec, t *tube.Type, feed Feed) (b Bias, ok bool, err error) {
	switch {
	case s.Bias.Voltage.Given:
		b.Voltage = s.Bias.Voltage.SI
		return b, true, holds(s, b, 0, 0)
	case s.Bias.IdleCurrent.Given:
		want := s.Bias.IdleCurrent.SI
		v, err := feed(want)
		given := err == nil
		if !given { // more than the supply can give at all
			if v, err = feed(0); err != nil {
				return b, true, err
			}
		}
		n := float64(s.Tubes.Count.N)
		if most, _ := t.Model.Currents(0, v); given && n*most > want {
			b.Voltage = tube.BiasForIdle(t.Model, v, want/n)
			return b, true, holds(s, b, 0, 0)
		}
		rest, err := tube.IdleOn(t.Model, 0, n, v, feed)
		if err != nil {
			return b, true, err
		}
		b.Short = n * rest.PlateCurrent()
		return b, true, holds(s, b, b.Short, rest.PlateVoltage)
	case s.Bias.Device.Given && s.Bias.Device.Value == "none":
		return Bias{Reason: "the spec asks for no bias device"}, true, nil
	}
	return b, false, nil
}

// holds returns a problem where the device that the spec names has less than
// the voltage of one diode to hold. most is the idle current without bias [A]
// at the plate voltage [V], where more than that is wanted.
func holds(s *spec.Spec, b Bias, most, plateVoltage float64) error {
	device := s.Bias.Device
	if !device.Given || device.Value == "none" || b.Voltage >= leastDevice {
		return nil
	}
	name := map[string]string{"zener": "a zener diode", "diodes": "a string of diodes", "transistor": "a bias transistor"}[device.Value]
	p := spec.Problem{File: s.File, Position: device.Position, Key: device.Key,
		What: fmt.Sprintf("%s cannot hold a bias of %s: one silicon diode alone drops %s",
			name, desk.Show(b.Voltage, "V"), desk.Show(leastDevice, "V")),
		Hint: `write device = "none", or a bias.voltage that the device can hold`}
	switch {
	case most > 0:
		p.What = fmt.Sprintf("%s has nothing to hold: without any bias the tubes idle on %s at %s, less than the %s that "+
			"bias.idle_current asks for",
			name, desk.Show(most, "A"), desk.Show(plateVoltage, "V"), desk.Show(s.Bias.IdleCurrent.SI, "A"))
		p.Hint = fmt.Sprintf("ask for less than %s of idle current, or write device = \"none\"", desk.Show(most, "A"))
	case s.Bias.IdleCurrent.Given:
		p.What = fmt.Sprintf("%s cannot hold the bias of %s that bias.idle_current comes to: one silicon diode alone drops %s",
			name, desk.Show(b.Voltage, "V"), desk.Show(leastDevice, "V"))
		p.Hint = "ask for less idle current, or write device = \"none\""
	case b.Voltage == 0:
		p.What = fmt.Sprintf("%s needs a voltage to hold, and bias.voltage is 0 V", name)
	}
	return spec.Problems{p}
}

// sold rounds a bias to a preferred value; what is below half a diode is none.
func sold(v float64) float64 {
	if v < 0.3 {
		return 0
	}
	return preferred.E24.Nearest(v)
}

// State is an amplifier at full output, from which a bias is judged.
type State struct {
	Model        tube.Model
	Tubes        int
	PlateVoltage float64    // at full output [V]
	Point        tube.Point // one tube, at full output
	Feed         Feed
}

// look is a bias judged.
type look struct {
	bias    float64 // [V]
	current float64 // idle, all tubes [A]
	share   float64 // of the plate current at full output [1]
	heat    float64 // of the rated plate dissipation [1]; 0: no rating is known
	third   float64 // third order at the worst drive [dB against one tone]
}

// DefaultBias chooses the bias where the spec is silent. The published one of
// the type is taken where it leaves enough current without drive, lets the
// plates idle cool and keeps the third order in bounds; otherwise preferred
// values are looked at, and of those that are nearly as clean as the cleanest
// the one is taken whose idle heat is usual. Errors are those of the supply.
func DefaultBias(s *spec.Spec, t *tube.Type, at State) (Bias, error) {
	c := &chooser{s: s, t: t, at: at, full: float64(at.Tubes) * at.Point.PlateCurrent(), wanted: poorThird}
	// one straight line through the supply at a tenth and at all of the current
	tenth, err := at.Feed(c.full / 10)
	if err != nil {
		return Bias{}, err
	}
	c.sag = math.Max(0, (tenth-at.PlateVoltage)/(0.9*c.full))
	c.open = at.PlateVoltage + c.sag*c.full
	if q := s.Target.Distortion; q.Given {
		c.wanted = q.SI
	}
	v, known := publishedBias(t, at.PlateVoltage)
	v = sold(v)
	first := look{bias: v}
	if known {
		if first, err = c.look(v); err != nil {
			return Bias{}, err
		}
		if first.share >= leastShare && first.heat <= idleShare && v >= c.lowest() {
			if first.third, err = c.third(v); err == nil && first.third <= c.wanted {
				return Bias{Voltage: v, Reason: c.published(first)}, nil
			}
		}
	}
	chosen, reason, err := c.search(c.against(first, known))
	if err != nil {
		return Bias{}, err
	}
	b := Bias{Voltage: chosen.bias, Reason: reason}
	return b, holds(s, b, 0, 0)
}

// lowest is the lowest bias that the device of the spec can hold [V]: zener
// diodes are made from 2.4 V on (common practice), and a transistor adds its
// base to emitter.
func (c *chooser) lowest() float64 {
	switch d := c.s.Bias.Device; {
	case !d.Given:
		return 0
	case d.Value == "zener":
		return 2.4
	case d.Value == "transistor":
		return 3.1
	}
	return leastDevice
}

// chooser looks for a bias.
type chooser struct {
	s      *spec.Spec
	t      *tube.Type
	at     State
	full   float64 // plate current at full output, all tubes [A]
	wanted float64 // third order at the worst drive, at most [dB]

	open, sag float64 // line of the supply: voltage without current [V], slope [Ω]
}

// look finds what a bias leaves without drive.
func (c *chooser) look(bias float64) (look, error) {
	x := look{bias: bias}
	v, err := tube.Agree(c.at.PlateVoltage, func(v float64) (float64, error) {
		plate, _ := c.at.Model.Currents(-bias, v-bias)
		x.current = float64(c.at.Tubes) * plate
		return c.open - c.sag*x.current, nil
	})
	x.share = x.current / c.full
	if d := c.t.Limits.PlateDissipation; d.Known {
		x.heat = (v - bias) * x.current / float64(c.at.Tubes) / d.Value
	}
	return x, err
}

// third returns the third-order product at the worst drive with another bias,
// output and floor held [dB against one tone].
func (c *chooser) third(bias float64) (float64, error) {
	p := c.at.Point
	if bias != p.BiasVoltage {
		var err error
		if p, err = tube.ForOutput(c.at.Model, c.at.PlateVoltage, bias, p.Output, p.MinimumPlateVoltage); err != nil {
			return 0, err
		}
	}
	return tube.QuickThird(c.at.Model, p, p.InputResistance, 4, 10)
}

// whose names the bias of the type.
func (c *chooser) whose() string {
	if c.t.Own {
		return fmt.Sprintf("of the builder's columns of the %s", c.t.Name)
	}
	return fmt.Sprintf("published for the %s", c.t.Name)
}

// leaves says what a bias leaves without drive.
func (x look) leaves() string {
	out := fmt.Sprintf("about %s without drive, %s of the plate current at full output", short(x.current, "A"), short(x.share, "%"))
	if x.heat > 0 {
		out += fmt.Sprintf(" and %s of the plate dissipation", short(x.heat, "%"))
	}
	return out
}

// published is the reason for the published bias.
func (c *chooser) published(x look) string {
	rounded := ""
	if x.bias > 0 {
		rounded = ", rounded to a preferred value of a zener diode"
	}
	return fmt.Sprintf("the bias %s near this plate voltage%s. It leaves %s, with the third order about %.0f dB below one tone at the "+
		"worst "+
		"drive", c.whose(), rounded, x.leaves(), -x.third)
}

// against says why the published bias is not taken.
func (c *chooser) against(x look, known bool) string {
	switch {
	case !known:
		return fmt.Sprintf("no bias of the %s is published", c.t.Name)
	case x.bias < c.lowest():
		return fmt.Sprintf("the bias %s, %s, is less than the %s of bias.device holds", c.whose(), volts(x.bias), c.s.Bias.Device.Value)
	case x.heat > idleShare:
		return fmt.Sprintf("with the bias %s, %s, the tubes would idle at %s of their plate dissipation",
			c.whose(), volts(x.bias), short(x.heat, "%"))
	case x.share < leastShare:
		return fmt.Sprintf("the bias %s, %s, would leave only %s at this plate voltage", c.whose(), volts(x.bias), x.leaves())
	}
	return fmt.Sprintf("with the bias %s, %s, the third order would stand about %.0f dB below one tone at the worst drive",
		c.whose(), volts(x.bias), -x.third)
}

// search looks at preferred values; why says what speaks against the published
// one.
func (c *chooser) search(why string) (look, string, error) {
	least := usualShare
	list, err := c.window(least)
	if err == nil && len(list) == 0 {
		least = leastShare
		list, err = c.window(least)
	}
	if err != nil {
		return look{}, "", err
	}
	var looked []look
	for _, x := range list {
		if x.third, err = c.third(x.bias); err == nil { // the output cannot be reached with some
			looked = append(looked, x)
		}
	}
	if len(looked) == 0 {
		return c.fallback(why)
	}
	cleanest := looked[0]
	for _, x := range looked {
		if x.third < cleanest.third {
			cleanest = x
		}
	}
	enough, words := cleanest.third+nearCleanest, fmt.Sprintf("within %d dB of the cleanest", nearCleanest)
	if q := c.s.Target.Distortion; q.Given && cleanest.third <= q.SI {
		enough, words = q.SI, "within target.distortion"
	}
	chosen := cleanest
	for _, x := range looked {
		if x.third <= enough && math.Abs(x.heat-idleTarget) < math.Abs(chosen.heat-idleTarget) {
			chosen = x
		}
	}
	reason := fmt.Sprintf("%s. Looked at instead: preferred values from %s to %s, which idle on %s to %s of the plate current and on "+
		"at most %s "+
		"of the plate dissipation. This one leaves %s. Its third order is about %.0f dB below one tone at the worst drive, %s.",
		why, volts(looked[0].bias), volts(looked[len(looked)-1].bias), percent(least), percent(mostShare), percent(idleShare),
		chosen.leaves(), -chosen.third, words)
	if chosen.bias != cleanest.bias {
		reason += fmt.Sprintf(" The cleanest, %s, stands at %.0f dB and idles on %s.",
			volts(cleanest.bias), -cleanest.third, short(cleanest.current, "A"))
	}
	return chosen, reason + " (common practice)", nil
}

// short writes a number found, two digits: the bias itself moves the rest.
func short(v float64, unit string) string { return quantity.Format(v, unit, 2) }

func volts(v float64) string { return short(v, "V") }

// percent writes a share of this file in whole per cent.
func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// window lists biases, lowest first, that leave at least a share of the plate
// current and idle cool enough.
func (c *chooser) window(least float64) ([]look, error) {
	var list []look
	for v := c.lowest(); v <= highest; v = preferred.E24.Up(math.Max(1.001*v, leastDevice)) {
		x, err := c.look(v)
		if err != nil {
			return nil, err
		}
		if x.share < least {
			break // more bias leaves less
		}
		if x.heat <= idleShare && x.share <= mostShare {
			list = append(list, x)
		}
	}
	for step := (len(list) + candidates - 1) / candidates; step > 1; step = 1 {
		var few []look
		for i := 0; i < len(list); i += step {
			few = append(few, list[i])
		}
		list = few
	}
	return list, nil
}

// fallback takes the bias with which the plates idle cool, whatever is left.
func (c *chooser) fallback(why string) (look, string, error) {
	i, n := usualShare*c.full, float64(c.at.Tubes)
	if d := c.t.Limits.PlateDissipation; d.Known {
		for range 4 { // the supply's line is flat against this
			i = math.Min(mostShare*c.full, n*idleTarget*d.Value/math.Max(c.open-c.sag*i, c.at.PlateVoltage))
		}
	}
	v := sold(math.Max(0, tube.BiasForIdle(c.at.Model, math.Max(c.open-c.sag*i, c.at.PlateVoltage), i/n)))
	v = math.Min(math.Max(v, c.lowest()), highest)
	x, err := c.look(v)
	return x, fmt.Sprintf("%s. No preferred value leaves both a share of %s of the plate current and at most %s of the plate "+
		"dissipation; this "+
		"one leaves %s (common practice)",
		why, percent(leastShare), percent(idleShare), x.leaves()), err
}
