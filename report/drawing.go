package report

import (
	"fmt"
	"math"
	"regexp"
	"sort"
	"strconv"
	"strings"

	"anodebook/compute"
	"anodebook/compute/bias"
	"anodebook/compute/ledger"
	"anodebook/compute/rectifier"
	"anodebook/compute/tube"
	"anodebook/report/schematic"
	"anodebook/spec/quantity"
)

// Schematic is one sheet of the circuit diagram as the templates place it.
type Schematic struct{ Title, Path string }

// Schematics lists the sheets of the circuit diagram in order.
func (w *writer) Schematics() []Schematic { return w.sheets }

// drawSheets puts the circuit diagram among the figures of the document.
func (w *writer) drawSheets() error {
	sheets, err := drawSchematics(w.Design)
	if err != nil {
		return err
	}
	for _, s := range sheets {
		path := "figures/schematic-" + s.Name + ".svg"
		w.doc.Figures[path] = s.SVG
		w.sheets = append(w.sheets, Schematic{s.Title, path})
	}
	return nil
}

// drawSchematics draws the circuit of a design. It returns an error that names
// the parts that the circuit cannot do without and that no stage entered.
func drawSchematics(d *compute.Design) ([]schematic.Sheet, error) {
	p := &drafter{Design: d, rows: map[string]string{}, list: map[string]ledger.Part{}}
	for _, x := range d.Book.Parts {
		if _, twice := p.list[x.Designator]; !twice {
			p.list[x.Designator] = x
		}
	}
	a := p.amplifier()
	if len(p.lacking) > 0 {
		return nil, fmt.Errorf("the schematic needs %s, which no stage entered in the parts list", strings.Join(p.lacking, ", "))
	}
	return schematic.Draw(a)
}

// drafter maps a design to the circuit that is drawn.
type drafter struct {
	*compute.Design
	list    map[string]ledger.Part // by designator
	rows    map[string]string      // designator as drawn to its row in the parts list
	lacking []string
}

// trade writes a value as the trade does: three digits, no zeros at the end.
func trade(si float64, unit string) string { return tidy(quantity.Format(si, unit, 3)) }

var idleZeros = regexp.MustCompile(`(?:\.0+|(\.\d*?)0+)(\s|$)`)

// tidy drops the zeros at the end of the numbers in a printed value.
func tidy(s string) string { return idleZeros.ReplaceAllString(s, "$1$2") }

// of is the value of a quantity; nothing if no stage entered it.
func (p *drafter) of(id string) string {
	if q, ok := p.Book.Lookup(id); ok {
		return trade(q.Value, q.Unit)
	}
	return ""
}

// pieces puts the number of pieces before a value where there are several.
func pieces(n int, value string) string {
	if n < 2 || value == "" {
		return value
	}
	return fmt.Sprintf("%d × %s", n, value)
}

// piece is one of several parts that share a row of the parts list.
func (p *drafter) piece(designator, row, value string) schematic.Part {
	if _, ok := p.list[row]; ok {
		p.rows[designator] = row
	}
	return schematic.Part{Designator: designator, Value: value}
}

// plain is a part that is drawn whether or not the parts list has it, such as
// a connector.
func (p *drafter) plain(designator, value string) schematic.Part {
	return p.piece(designator, designator, value)
}

// need is a part that the circuit cannot do without.
func (p *drafter) need(designator, value string) schematic.Part {
	if _, ok := p.list[designator]; !ok {
		p.lacking = append(p.lacking, designator)
	}
	if value == "" {
		value = tidy(p.list[designator].Value)
	}
	return p.plain(designator, value)
}

// maybe is a part that is drawn only if the design has it.
func (p *drafter) maybe(designator, value string) *schematic.Part {
	if _, ok := p.list[designator]; !ok {
		return nil
	}
	x := p.need(designator, value)
	return &x
}

// several draws each of n pieces that share a row: C7a, C7b …
func (p *drafter) several(row string, n int, value string) []schematic.Part {
	p.need(row, "")
	out := make([]schematic.Part, n)
	for i := range out {
		letter := string(rune('a' + i))
		if n > 26 {
			letter = fmt.Sprintf("-%d", i+1)
		}
		out[i] = p.piece(row+letter, row, value)
	}
	return out
}

func (p *drafter) amplifier() schematic.Amplifier {
	a := schematic.Amplifier{Name: "Circuit diagram", Drive: p.plain("J1", "RF input"), Rows: p.rows}
	direct := p.Type.Cathode == tube.ThoriatedTungsten
	a.Tubes = schematic.Tubes{Type: p.Type.Name, DirectlyHeated: direct}
	for i := range p.Spec.Tubes.Count.N {
		a.Tubes.Designators = append(a.Tubes.Designators, p.need(fmt.Sprintf("V%d", i+1), "").Designator)
		z := fmt.Sprintf("Z%d", i+1)
		if _, ok := p.list[z]; ok {
			a.Tubes.Suppressors = append(a.Tubes.Suppressors, schematic.Suppressor{
				Coil: p.need(z, p.of("suppressor.inductance")), Resistor: p.piece("R-"+z, z, p.of("suppressor.resistance"))})
		}
	}
	a.Cathode = p.cathode(direct)
	a.Switching = p.switching()
	a.Bias = p.bias(a.Switching)
	a.Input = p.input()
	a.PlateFeed = schematic.PlateFeed{
		Fuse: p.maybe("F2", ""), Glitch: p.maybe("R1", p.of("plate_feed.glitch_resistance")),
		Choke:    p.need("RFC1", ""),
		Bypass:   p.need("C4", pieces(p.list["C4"].Count, tidy(p.list["C4"].Value))),
		Blocking: p.need("C3", pieces(p.list["C3"].Count, tidy(p.list["C3"].Value))),
	}
	a.PlateFeed.SeriesChoke = p.maybe("RFC4", "")
	a.Tank = p.tank()
	a.Supply = p.supply()
	a.Metering = p.metering()
	return a
}

// cathode: the bypass capacitors are all of one kind, the row C5.
func (p *drafter) cathode(direct bool) schematic.Cathode {
	n, c := p.Spec.Tubes.Count.N, p.of("filament.bypass_capacitance")
	p.need("C5", "")
	k := schematic.Cathode{
		Coupling:    p.need("C6", p.of("input.coupling_capacitance")),
		Choke:       p.need("RFC3", p.of("filament.choke_inductance")),
		Transformer: p.need("T2", p.of("filament.secondary_voltage")+" "+p.of("filament.current")),
	}
	each := c
	if !direct {
		each = pieces(n, c)
	}
	k.Bypass = [2]schematic.Part{p.piece("C5a", "C5", each), p.piece("C5b", "C5", each)}
	last := p.piece("C5c", "C5", c)
	if direct {
		last.Value = pieces(n, c)
		k.PinTie = &last
	} else {
		k.ReturnPass = &last
	}
	return k
}

func (p *drafter) switching() *schematic.Switching {
	s := &p.Spec.Switching
	coil := trade(s.CoilVoltage.SI, "V") + " coil"
	antenna, input := p.maybe("K1", coil), p.maybe("K2", coil)
	if antenna == nil || input == nil {
		return nil
	}
	relay := func(coil schematic.Part, snubber string) schematic.Relay {
		return schematic.Relay{Coil: coil, Snubber: p.maybe(snubber, "")}
	}
	out := &schematic.Switching{
		InputContact: p.plain("K2", ""), OutputContact: p.plain("K1", ""),
		Relays: []schematic.Relay{relay(*antenna, "D4"), relay(*input, "D5")},
		Supply: p.plain("J3", trade(s.CoilVoltage.SI, "V")+" supply"), Key: p.plain("J4", "key line"),
	}
	if _, ok := p.list["R2"]; ok {
		contact := p.plain("K2", "")
		out.CutOffContact = &contact
	}
	return out
}

func (p *drafter) bias(s *schematic.Switching) schematic.Bias {
	b := schematic.Bias{Kind: schematic.BiasNone}
	if s != nil {
		b.CutOff = p.maybe("R2", trade(p.Spec.Bias.Cutoff.SI, "Ω"))
	}
	switch p.Bias.Device {
	case bias.Zener:
		b.Kind, b.Device = schematic.BiasZener, p.need("D1", p.of("tubes.bias_voltage"))
	case bias.Diodes:
		b.Kind, b.Device = schematic.BiasDiodeString, p.need("D1", fmt.Sprintf("%d diodes %s", p.Bias.Diodes, p.of("bias.string_voltage")))
	case bias.Transistor:
		// the row D1 is the transistor with its reference and the resistor at its base
		b.Kind, b.Device = schematic.BiasTransistor, p.need("D1", p.of("tubes.bias_voltage"))
		reference, base := p.piece("D1a", "D1", "reference"), p.piece("R-D1", "D1", "")
		b.Reference, b.BaseResistor = &reference, &base
	}
	return b
}

func (p *drafter) input() *schematic.InputNetwork {
	n := &schematic.InputNetwork{}
	for i, b := range p.Input.Bands {
		at := "input." + b.Name + "."
		band := schematic.InputBand{Band: bandName(b.Name), Coil: p.need(fmt.Sprintf("L1%d", i+1), p.of(at+"series_inductance"))}
		if c := p.maybe(fmt.Sprintf("C1%da", i+1), p.of(at+"shunt_in")); c != nil {
			band.In = *c
		}
		if c := p.maybe(fmt.Sprintf("C1%db", i+1), p.of(at+"shunt_out")); c != nil {
			band.Out = *c
		}
		n.Bands = append(n.Bands, band)
	}
	switch len(n.Bands) {
	case 0:
		return nil
	case 1:
		return n
	}
	s := p.plain("S3", fmt.Sprintf("%d bands", len(n.Bands)))
	n.Switch = &s
	return n
}

// digits3 writes a number of 1 and more with three digits and without exponent.
func digits3(v float64) string {
	digits := 2 - int(math.Floor(math.Log10(v)))
	unit := math.Pow10(-digits)
	return tidy(strconv.FormatFloat(math.Round(v/unit)*unit, 'f', max(0, digits), 64))
}

// spread writes the range of a capacitor [F].
func spread(low, high float64) string {
	if high >= 0.9995e-9 && low < 0.9995e-9 {
		return fmt.Sprintf("%s .. %s pF", digits3(low*1e12), digits3(high*1e12))
	}
	l, h := trade(low, "F"), trade(high, "F")
	if ln, lu, _ := strings.Cut(l, " "); strings.HasSuffix(h, " "+lu) {
		l = ln
	}
	return l + " .. " + h
}

// overBands finds the least and the greatest value of tank.BAND.name.
func (p *drafter) overBands(name string) (low, high float64) {
	low = math.Inf(1)
	for _, b := range p.Tank.Bands {
		if q, ok := p.Book.Lookup("tank." + b.Name + "." + name); ok {
			low, high = math.Min(low, q.Value), math.Max(high, q.Value)
		}
	}
	return low, high
}

func (p *drafter) tank() schematic.Tank {
	s := &p.Spec.Tank
	value := func(name string) string {
		given := s.Tune.Capacitance
		if name == "load_capacitance" {
			given = s.Load.Capacitance
		}
		if given.Given {
			return spread(given.Low, given.High)
		}
		return spread(p.overBands(name))
	}
	_, coil := p.overBands("inductance")
	t := schematic.Tank{
		Tune: p.need("C1", value("tune_capacitance")), Coil: p.need("L1", trade(coil, "H")),
		Load:        p.need("C2", value("load_capacitance")),
		SafetyChoke: p.maybe("RFC2", p.of("plate_feed.safety_choke_inductance")), Antenna: p.plain("J2", "antenna"),
		Roller: s.Coil.Kind.Value == "roller",
	}
	if s.Network.Value == "pi-L" {
		_, l := p.overBands("output_inductance")
		output := p.need("L2", trade(l, "H"))
		t.OutputCoil = &output
	}
	if !t.Roller && len(p.Tank.Bands) > 1 {
		t.Taps = &schematic.Taps{Switch: p.need("S1", "")}
		bands := append(p.Tank.Bands[:0:0], p.Tank.Bands...)
		sort.SliceStable(bands, func(i, j int) bool { return bands[i].Centre > bands[j].Centre })
		for _, b := range bands {
			t.Taps.Bands = append(t.Taps.Bands, bandName(b.Name))
		}
	}
	t.TunePadding, t.LoadPadding = p.padding("C1", "tune"), p.padding("C2", "load")
	return t
}

// padding draws the greatest padder of a variable capacitor and counts the
// others. A section of the band switch adds it; a roller has no band switch.
func (p *drafter) padding(designator, key string) *schematic.Padding {
	var out *schematic.Padding
	greatest, n := 0.0, 0
	for _, b := range p.Tank.Bands {
		q, ok := p.Book.Lookup("tank." + b.Name + "." + key + "_padder")
		if !ok {
			continue
		}
		n++
		if q.Value <= greatest {
			continue
		}
		greatest = q.Value
		out = &schematic.Padding{Switch: p.plain("S4", bandName(b.Name)), Capacitor: p.need(designator+"-"+b.Name, trade(q.Value, q.Unit))}
		if _, ok := p.list["S1"]; ok {
			out.Switch = p.plain("S1", bandName(b.Name))
		}
	}
	if out != nil {
		out.More = n - 1
	}
	return out
}

func (p *drafter) supply() schematic.Supply {
	plan, s := &p.Supply.Plan, &p.Spec.Supply
	out := schematic.Supply{
		Plug: p.plain("P1", p.of("supply.mains_voltage")), Interlock: p.maybe("S5", ""), Switch: p.need("S2", tidy(p.list["S2"].Rating)),
		Transformer: p.need("T1", strings.TrimSpace(p.of("supply.transformer_voltage")+" "+p.of("supply.transformer_power"))),
	}
	// 60 Hz mains of 200 V and more has two live conductors.
	_, fused := p.list["F1"]
	switch {
	case !fused: // the builder says so, and a finding answers it
	case s.Mains.Voltage.SI >= 200 && s.Mains.Frequency.SI > 55:
		f := p.several("F1", 2, tidy(p.list["F1"].Value))
		out.Fuse, out.SecondFuse = f[0], &f[1]
	default:
		out.Fuse = p.need("F1", "")
	}
	if k, r := p.maybe("K3", "after "+p.of("supply.step_start_time")), p.maybe("R4", p.of("supply.step_start_resistance")); k != nil && r != nil {
		out.StepStart = &schematic.StepStart{Resistor: *r, Contactor: *k}
	}
	out.Rectifier = drawnAs(plan.Supply.Circuit)
	if plan.Kind.Choke {
		out.Choke = p.maybe("L3", p.of("supply.choke_inductance")+" "+trade(plan.Choke.Current, "A"))
	}
	out.Diodes = p.several("D2", plan.Supply.Circuit.Legs(), pieces(plan.DiodesPerLeg, trade(s.Diodes.Voltage.SI, "V")))
	out.Capacitors = p.several("C7", plan.Bank.Count, p.of("supply.capacitor_each")+" "+trade(plan.CapacitorRating, "V"))
	switch {
	case plan.Bleeders == 0: // not fitted: none is drawn
	case plan.PerCapacitor:
		out.Equalizers = p.several("R3", plan.Bleeders, p.of("supply.bleeder_each"))
	default:
		out.Bleeder = p.maybe("R3", pieces(plan.Bleeders, p.of("supply.bleeder_each")))
	}
	return out
}

// drawnAs returns how a rectifier connection is drawn.
func drawnAs(c rectifier.Circuit) schematic.RectifierKind {
	switch c {
	case rectifier.Bridge:
		return schematic.Bridge
	case rectifier.CentreTap:
		return schematic.CentreTap
	case rectifier.Doubler:
		return schematic.Doubler
	}
	panic(fmt.Sprintf("report: %v cannot be drawn", c))
}

func (p *drafter) metering() schematic.Metering {
	m := schematic.Metering{
		Voltmeter:  p.maybe("M3", p.of("metering.voltage_scale")),
		PlateShunt: p.need("R6", p.of("metering.plate_shunt")), PlateMeter: p.need("M1", p.of("metering.plate_scale")),
		GridShunt: p.need("R7", p.of("metering.grid_shunt")), GridMeter: p.need("M2", p.of("metering.grid_scale")),
		RailResistor: p.need("R8", ""),
	}
	clamps := p.several("D3", 2, p.list["D3"].Value)
	m.RailClamps = [2]schematic.Part{clamps[0], clamps[1]}
	if m.Voltmeter != nil {
		m.Multiplier = p.several("R5", max(1, p.list["R5"].Count), trade(p.Spec.Metering.MultiplierValue.SI, "Ω"))
	}
	return m
}
