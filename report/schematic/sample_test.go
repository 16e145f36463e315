package schematic

import "fmt"

// variant chooses one circuit of the test matrix. All part values are made up.
type variant struct {
	tubes     int
	direct    bool
	bias      BiasKind
	piL       bool
	roller    bool
	rectifier RectifierKind
	full      bool // every optional part
	bands     int
	string    int // filter capacitors
	long      bool
}

func (v variant) String() string {
	return fmt.Sprintf("%d tubes direct=%t bias=%s piL=%t roller=%t %s full=%t %d bands %d capacitors long=%t",
		v.tubes, v.direct, v.bias, v.piL, v.roller, v.rectifier, v.full, v.bands, v.string, v.long)
}

// amplifier makes the circuit of a variant.
func (v variant) amplifier() Amplifier {
	count := map[string]int{"K": 3}
	p := func(kind, value string) Part {
		count[kind]++
		name := fmt.Sprintf("%s%d", kind, count[kind])
		if v.long {
			name = fmt.Sprintf("%s10%02d", kind, count[kind])
			value = "10000 pF 10.5 kV mica @ worst WWWWWW"
		}
		return Part{name, value}
	}
	opt := func(kind, value string) *Part {
		if !v.full {
			return nil
		}
		q := p(kind, value)
		return &q
	}
	names := []string{"160m", "80m", "40m", "30m", "20m", "17m", "15m", "12m", "10m"}
	a := Amplifier{Name: "Sample amplifier", Drive: p("J", "RF input")}
	a.Tubes = Tubes{Type: "3-500Z", DirectlyHeated: v.direct}
	for range v.tubes {
		a.Tubes.Designators = append(a.Tubes.Designators, p("V", "").Designator)
		if v.full {
			a.Tubes.Suppressors = append(a.Tubes.Suppressors, Suppressor{p("R", "100 Ω 5 W"), p("L", "80 nH")})
		}
	}
	a.Cathode = Cathode{Coupling: p("C", "10 nF 1 kV"), Choke: p("L", "30 µH 30 A"),
		Bypass: [2]Part{p("C", "10 nF 1 kV"), p("C", "10 nF 1 kV")}, Transformer: p("T", "5 V 30 A")}
	if v.direct {
		a.Cathode.PinTie = opt("C", "10 nF 1 kV")
	} else {
		a.Cathode.ReturnPass = opt("C", "10 nF 1 kV")
	}
	a.Bias = Bias{Kind: v.bias, Device: p("D", "8.2 V 50 W")}
	if v.bias == BiasTransistor {
		z, r := p("D", "6.8 V 1 W"), p("R", "1 kΩ")
		a.Bias.Reference, a.Bias.BaseResistor = &z, &r
	}
	if v.full {
		a.Bias.CutOff = opt("R", "10 kΩ 10 W")
		k := Part{"K2", ""}
		a.Switching = &Switching{InputContact: Part{"K1", "input"}, OutputContact: Part{"K2", "vacuum"}, CutOffContact: &k,
			Relays: []Relay{{Part{"K1", "26 V"}, opt("D", "1 A"), opt("D", "27 V")},
				{Part{"K2", "26 V"}, opt("D", "1 A"), opt("D", "27 V")}},
			Supply: p("J", "26 V supply"), Key: p("J", "key line")}
	}
	if v.full && v.tubes > 1 {
		a.Switching.Sequencer = opt("A", "15 ms")
	}
	if v.full && v.bands%2 == 0 {
		a.Attenuator = &[3]Part{p("R", "436 Ω 25 W"), p("R", "11.6 Ω 50 W"), p("R", "436 Ω 15 W")}
	}
	if v.bands > 0 {
		a.Input = &InputNetwork{}
		for i := range v.bands {
			a.Input.Bands = append(a.Input.Bands, InputBand{names[i], p("C", "820 pF 500 V"), p("L", "1.2 .. 1.9 µH"),
				p("C", "820 pF 500 V")})
		}
		if v.bands > 1 {
			s := p("S", "2 decks")
			a.Input.Switch = &s
		}
	}
	a.PlateFeed = PlateFeed{Fuse: opt("F", "1 A 5 kV"), Glitch: opt("R", "10 Ω 50 W"), Choke: p("L", "90 µH 1 A"),
		SeriesChoke: opt("L", "130 µH 1 A"), SecondChoke: opt("L", "10 µH 1 A"), SecondBypass: opt("C", "2.2 nF 6 kV"),
		Blocking: p("C", "1 nF 7.5 kV")}
	if bypass := p("C", "2.2 nF 6 kV"); v.full || v.bands%2 == 1 {
		a.PlateFeed.Bypass = &bypass
	}
	a.Tank = Tank{Tune: p("C", "20 .. 250 pF 4.5 kV"), Coil: p("L", "12.5 µH"), Load: p("C", "1500 pF 1 kV"),
		HighBandCoil: opt("L", "0.8 µH"), SafetyChoke: opt("L", "2.5 mH"), Antenna: p("J", "antenna"), Roller: v.roller}
	if v.full {
		s := p("S", "padding")
		for range v.tubes {
			a.Tank.TunePadding = append(a.Tank.TunePadding, Padding{s, p("C", "100 pF 7.5 kV")})
		}
		for range v.bands / 2 {
			a.Tank.LoadPadding = append(a.Tank.LoadPadding, Padding{s, p("C", "500 pF 2.5 kV")})
		}
	}
	if v.piL {
		l := p("L", "4 µH")
		a.Tank.OutputCoil = &l
	}
	if !v.roller {
		a.Tank.Taps = &Taps{Switch: p("S", "10 A 6 kV")}
		for i := range max(2, v.bands) {
			a.Tank.Taps.Bands = append(a.Tank.Taps.Bands, names[len(names)-1-i])
		}
		if v.full {
			a.Tank.Taps.High = 1 + v.tubes%(len(a.Tank.Taps.Bands)-1)
			a.Tank.Taps.HighEnd = v.string%4 == 0
		}
	}
	c := Control{Plug: p("P", "240 V"), Switch: p("S", "20 A"), Fuse: opt("F", "16 A"), SecondFuse: opt("F", "16 A"),
		Interlock: opt("S", "cover"),
		Contactor: p("K", "240 V 30 A"), Start: p("S", "start")}
	if v.full || v.string%3 == 0 {
		c.StepStart = &StepStart{Resistor: p("R", "47 Ω 50 W"), Contactor: Part{"K3", "240 V 30 A"}}
		c.Blower = &Blower{Motor: p("B", "31 m³/h"), AfterRun: opt("K", "180 s")}
		if v.tubes%2 == 0 {
			c.StepStart.Timeout = opt("K", "3 s")
			c.Thermal = []Part{p("S", "105 °C")}
		}
	}
	if !v.direct {
		w := p("K", "180 s")
		c.WarmUp = &w
	}
	if v.bands != 1 {
		c.Air = opt("S", "by pressure")
	}
	c.GridTrip, c.PlateTrip = opt("K", "300 mA"), opt("K", "1.2 A")
	a.Control = c
	s := Supply{Transformer: p("T", "2.2 kV 1 A"), Rectifier: v.rectifier, Bleeder: opt("R", "100 kΩ 100 W")}
	if v.full && v.rectifier != Doubler {
		s.Choke = opt("L", "10 H 1 A")
	}
	arms := 2
	if v.rectifier == Bridge {
		arms = 4
	}
	for range arms {
		s.Diodes = append(s.Diodes, p("D", "10 kV 1 A"))
	}
	for range v.string {
		s.Capacitors = append(s.Capacitors, p("C", "270 µF 450 V"))
		if v.full {
			s.Equalizers = append(s.Equalizers, p("R", "100 kΩ 3 W"))
		}
	}
	a.Supply = s
	a.Metering = Metering{Voltmeter: opt("M", "5 kV, 1 mA"), PlateShunt: p("R", "0.1 Ω 5 W"), PlateMeter: p("M", "1 A"),
		GridShunt: p("R", "0.5 Ω 5 W"), GridMeter: p("M", "500 mA"), Foot: opt("R", "22 kΩ"), MeterShunt: opt("R", "1 kΩ"),
		PlateClamps: opt("D", "600 V rectifier"), GridClamps: opt("D", "600 V rectifier"), RailResistor: p("R", "47 Ω 10 W"),
		RailClamps: [2]Part{p("D", "6 A"), p("D", "6 A")}}
	if v.full {
		for range 2 + v.tubes {
			a.Metering.Multiplier = append(a.Metering.Multiplier, p("R", "1 MΩ 1 W"))
		}
	}
	return a
}

// matrix is every combination of the choices that change the layout, thinned
// where choices are on different sheets.
func matrix() []variant {
	var all []variant
	rectifiers := []RectifierKind{Bridge, CentreTap, Doubler}
	kinds := []BiasKind{BiasNone, BiasZener, BiasDiodeString, BiasTransistor}
	i := 0
	for tubes := 1; tubes <= 4; tubes++ {
		for _, direct := range []bool{true, false} {
			for _, piL := range []bool{true, false} {
				for _, roller := range []bool{true, false} {
					for _, full := range []bool{true, false} {
						for _, kind := range kinds {
							i++
							bands := []int{0, 1, 2, 5, 9}[i%5]
							all = append(all, variant{tubes, direct, kind, piL, roller, rectifiers[i%3], full, bands, 2 * (1 + i/3%5),
								i%7 == 0})
						}
					}
				}
			}
		}
	}
	for n := 1; n <= 12; n++ {
		for _, r := range rectifiers {
			for _, full := range []bool{true, false} {
				if r == Doubler && n%2 != 0 {
					continue
				}
				all = append(all, variant{2, true, BiasZener, false, false, r, full, 5, n, n%2 == 1})
			}
		}
	}
	return all
}

// usual is the circuit most builders draw: two tubes, five bands, no frills
// beyond safety.
func usual() Amplifier {
	a := variant{2, true, BiasZener, false, false, Bridge, true, 5, 8, false}.amplifier()
	a.PlateFeed.SeriesChoke, a.PlateFeed.SecondChoke, a.PlateFeed.SecondBypass, a.PlateFeed.Fuse = nil, nil, nil, nil
	a.Tank.TunePadding, a.Tank.LoadPadding, a.Tank.HighBandCoil = nil, nil, nil
	a.Tank.Taps.High, a.Tank.Taps.HighEnd = 0, false
	a.Supply.Bleeder = nil
	return a
}
