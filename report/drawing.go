package report

import (
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strings"

	"anodebook/compute"
	"anodebook/compute/physics/rectifier"
	"anodebook/compute/physics/tube"
	"anodebook/compute/stage/bias"
	"anodebook/report/schematic"
	"anodebook/report/setting"
)

// Schematic is one sheet of the circuit diagram as the templates place it.
type Schematic struct{ Title, Path string }

// Schematics lists the sheets of the circuit diagram in order.
func (w *writer) Schematics() []Schematic { return w.sheets }

// drawSheets puts the circuit diagram among the figures of the document.
func (w *writer) drawSheets() error {
	c, err := DrawCircuit(w.Design)
	if err != nil {
		return err
	}
	w.drawn = c
	for _, s := range c.Sheets {
		path := "figures/schematic-" + s.Name + ".svg"
		w.doc.Figures[path] = s.SVG
		w.sheets = append(w.sheets, Schematic{s.Title, path})
	}
	return nil
}

// NotDrawn is the list below the sheets.
func (w *writer) NotDrawn() string { return w.drawn.NotDrawn() }

// Circuit is the circuit diagram of a design.
type Circuit struct {
	Sheets []schematic.Sheet
	// On is the sheet of each row of the parts list that is drawn, by its
	// designator: "rf", "supply" or "control".
	On      map[string]string
	design  *compute.Design
	dropped bool // padders for which there was no room
}

// NotDrawn names the parts of the parts list that stand on no sheet.
func (c *Circuit) NotDrawn() string {
	var list []string
	for _, p := range c.design.Book.Parts {
		if c.On[p.Designator] == "" && !slices.Contains(list, p.Designator) {
			list = append(list, p.Designator)
		}
	}
	if len(list) == 0 {
		return "In the parts list, not drawn: nothing."
	}
	words := "In the parts list, not drawn: " + strings.Join(list, ", ") + "."
	if len(c.design.Input.Bands) > 2 {
		words += " The input networks between the first and the last band have the same form as these two."
	}
	if c.dropped {
		words += " Each padder left out is switched in as those that are drawn."
	}
	return words
}

// widest is how wide a sheet may be [units of the drawing] so that its lettering
// is 7 pt on a landscape A4 sheet, of which the style sheet leaves 277 mm.
const widest = schematic.LetterSize * 277 * 72 / 25.4 / 7

// drop leaves out the last padder of the capacitor that has more of them: a
// sheet with all would be too wide to be read.
func (p *drafter) drop(t *schematic.Tank) bool {
	list := &t.LoadPadding
	if len(t.TunePadding) > len(t.LoadPadding) {
		list = &t.TunePadding
	}
	n := len(*list)
	if n == 0 {
		return false
	}
	delete(p.rows, (*list)[n-1].Capacitor.Designator)
	*list = (*list)[:n-1]
	p.dropped = true
	return true
}

// sheetNames are the sheets as results.json names them.
var sheetNames = map[string]string{"rf-deck": "rf", "supply": "supply", "control": "control"}

// DrawCircuit draws the circuit of a design. It returns an error that names the
// parts that the circuit cannot do without and that no stage entered.
func DrawCircuit(d *compute.Design) (Circuit, error) {
	p := &drafter{Design: d, rows: map[string]string{}, list: map[string]setting.Part{}}
	for _, x := range setting.Plain(d.Book, d.Spec.Notebook.Lengths.Value).Parts() {
		if _, twice := p.list[x.Designator]; !twice {
			p.list[x.Designator] = x
		}
	}
	a := p.amplifier()
	if len(p.lacking) > 0 {
		return Circuit{}, fmt.Errorf("the schematic needs %s, which no stage entered in the parts list", strings.Join(p.lacking, ", "))
	}
	if p.err != nil {
		return Circuit{}, p.err
	}
	sheets, err := schematic.Draw(a)
	for err == nil && sheets[0].Width > widest && p.drop(&a.Tank) {
		sheets, err = schematic.Draw(a)
	}
	if err != nil {
		return Circuit{}, err
	}
	c := Circuit{Sheets: sheets, On: map[string]string{}, design: d, dropped: p.dropped}
	for _, s := range sheets {
		for _, designator := range s.Parts {
			if row := p.rows[designator]; row != "" && c.On[row] == "" {
				c.On[row] = sheetNames[s.Name]
			}
		}
	}
	return c, nil
}

// drafter maps a design to the circuit that is drawn.
type drafter struct {
	*compute.Design
	list    map[string]setting.Part // by designator
	rows    map[string]string       // designator as drawn to its row in the parts list
	lacking []string
	dropped bool // see drop
	err     error
}

var idleZeros = regexp.MustCompile(`(?:\.0+|(\.\d*?)0+)(\s|$)`)

// tidy drops the zeros at the end of the numbers in a printed value.
func tidy(s string) string { return idleZeros.ReplaceAllString(s, "$1$2") }

// lettered is what of a printed value is lettered beside a symbol: as far as the
// first colon, bracket, semicolon or comma.
func lettered(value string) string {
	for i, r := range value {
		if i == 0 || value[i-1] == ' ' {
			continue
		}
		if r == ':' || r == ';' || r == ',' && strings.HasPrefix(value[i:], ", ") {
			return value[:i]
		}
		if strings.HasPrefix(value[i:], " (") {
			return value[:i]
		}
	}
	return value
}

// value is what is lettered beside the part of a row: its value, or else what
// it must stand. The drawing says nothing that the parts list does not say.
func (p *drafter) value(row string) string {
	x := p.list[row]
	if x.Value != "" {
		return tidy(strings.TrimSuffix(lettered(x.Value), " under load"))
	}
	return tidy(lettered(x.Rating))
}

// one is the value of one piece of a row of several, "10 × 330 µF in series:
// 33 µF" or "47 kΩ each, 470 kΩ in all".
func (p *drafter) one(row string) string {
	v := p.value(row)
	if _, rest, ok := strings.Cut(v, " legs of "); ok {
		return rest
	}
	if n, rest, ok := strings.Cut(v, " × "); ok && strings.Trim(n, "0123456789") == "" {
		v = rest
	}
	for _, end := range []string{" in series", " in parallel", " each"} {
		v = strings.TrimSuffix(v, end)
	}
	return v
}

// parts splits the value of a row that is several parts in one: "45 nH across
// 82 Ω", "436 Ω, 11.6 Ω, 436 Ω".
func (p *drafter) parts(row, by string, n int) []string {
	out := make([]string, n)
	for i, v := range strings.SplitN(p.list[row].Value, by, n) {
		out[i] = tidy(v)
	}
	return out
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

// need is a part that the circuit cannot do without.
func (p *drafter) need(designator string) schematic.Part {
	x, ok := p.list[designator]
	if !ok {
		p.lacking = append(p.lacking, designator)
	}
	value := p.value(designator)
	if x.Count > 1 {
		value = pieces(x.Count, p.one(designator))
	}
	return p.piece(designator, designator, value)
}

// maybe is a part that is drawn only if the design has it.
func (p *drafter) maybe(designator string) *schematic.Part {
	if _, ok := p.list[designator]; !ok {
		return nil
	}
	x := p.need(designator)
	return &x
}

// contact is a contact of a part whose value stands beside its coil.
func (p *drafter) contact(designator string) schematic.Part {
	return p.piece(designator, designator, "")
}

// several draws each of n pieces that share a row: C7a, C7b … None if the
// design has no such row.
func (p *drafter) several(row string, n int) []schematic.Part {
	if _, ok := p.list[row]; !ok {
		return nil
	}
	out := make([]schematic.Part, n)
	for i := range out {
		letter := string(rune('a' + i))
		if n > 26 {
			letter = fmt.Sprintf("-%d", i+1)
		}
		out[i] = p.piece(row+letter, row, p.one(row))
	}
	return out
}

func (p *drafter) amplifier() schematic.Amplifier {
	a := schematic.Amplifier{Name: "Circuit diagram", Drive: p.need("J1"), Rows: p.rows}
	direct := p.Type.Cathode == tube.ThoriatedTungsten
	a.Tubes = schematic.Tubes{Type: p.Type.Name, DirectlyHeated: direct}
	for i := range p.Spec.Tubes.Count.N {
		a.Tubes.Designators = append(a.Tubes.Designators, p.need(fmt.Sprintf("V%d", i+1)).Designator)
		z := fmt.Sprintf("Z%d", i+1)
		if _, ok := p.list[z]; ok {
			v := p.parts(z, " across ", 2)
			a.Tubes.Suppressors = append(a.Tubes.Suppressors,
				schematic.Suppressor{Coil: p.piece(z, z, v[0]), Resistor: p.piece("R-"+z, z, v[1])})
		}
	}
	a.Cathode = p.cathode(direct)
	a.Switching = p.switching()
	a.Bias = p.bias(a.Switching)
	a.Input = p.input()
	if _, ok := p.list["AT1"]; ok {
		v := p.parts("AT1", ", ", 3)
		a.Attenuator = &[3]schematic.Part{p.piece("AT1a", "AT1", v[0]), p.piece("AT1b", "AT1", v[1]), p.piece("AT1c", "AT1", v[2])}
	}
	a.PlateFeed = schematic.PlateFeed{
		Fuse: p.maybe("F2"), Glitch: p.maybe("R1"), Choke: p.need("RFC1"), SeriesChoke: p.maybe("RFC4"),
		Bypass: p.maybe("C4"), Blocking: p.need("C3"),
	}
	a.Tank = p.tank()
	a.Supply = p.supply()
	a.Metering = p.metering()
	a.Control = p.control()
	return a
}

// cathode: the bypass capacitors are all of one kind, the row C5. One is across
// the pins of each filament; of indirectly heated tubes each has its own pair.
func (p *drafter) cathode(direct bool) schematic.Cathode {
	p.need("C5")
	n, c := p.Spec.Tubes.Count.N, p.one("C5")
	k := schematic.Cathode{Coupling: p.need("C6"), Choke: p.need("RFC3"), Transformer: p.need("T2")}
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
	antenna, input := p.maybe("K1"), p.maybe("K2")
	if antenna == nil || input == nil {
		return nil
	}
	relay := func(coil schematic.Part, snubber string) schematic.Relay {
		r := schematic.Relay{Coil: coil}
		if _, ok := p.list[snubber]; !ok {
			return r
		}
		v := p.parts(snubber, ", ", 2)
		diode, zener := p.piece(snubber+"a", snubber, v[0]), p.piece(snubber+"b", snubber, v[1])
		r.Snubber, r.Zener = &diode, &zener
		return r
	}
	out := &schematic.Switching{
		InputContact: p.contact("K2"), OutputContact: p.contact("K1"),
		Relays: []schematic.Relay{relay(*antenna, "D4"), relay(*input, "D5")}, Sequencer: p.maybe("A1"),
		Supply: p.need("J3"), Key: p.need("J4"),
	}
	if _, ok := p.list["R2"]; ok {
		contact := p.contact("K2")
		out.CutOffContact = &contact
	}
	return out
}

func (p *drafter) bias(s *schematic.Switching) schematic.Bias {
	b := schematic.Bias{Kind: schematic.BiasNone}
	if s != nil {
		b.CutOff = p.maybe("R2")
	}
	switch p.Bias.Device {
	case bias.None:
	case bias.Zener:
		b.Kind, b.Device = schematic.BiasZener, p.need("D1")
	case bias.Diodes:
		b.Kind, b.Device = schematic.BiasDiodeString, p.need("D1")
		b.Device.Value = fmt.Sprintf("%d diodes %s", p.list["D1"].Count, p.one("D1"))
	case bias.Transistor:
		// the row D1 is the transistor with its reference and the resistor at its base
		b.Kind, b.Device = schematic.BiasTransistor, p.need("D1")
		reference, base := p.piece("D1a", "D1", "reference"), p.piece("R-D1", "D1", "")
		b.Reference, b.BaseResistor = &reference, &base
	default:
		p.err = fmt.Errorf("the schematic knows no bias device %q", p.Bias.Device)
	}
	return b
}

func (p *drafter) input() *schematic.InputNetwork {
	n := &schematic.InputNetwork{}
	for i, b := range p.Input.Bands {
		band := schematic.InputBand{Band: bandName(b.Name), Coil: p.need(fmt.Sprintf("L1%d", i+1))}
		if c := p.maybe(fmt.Sprintf("C1%da", i+1)); c != nil {
			band.In = *c
		}
		if c := p.maybe(fmt.Sprintf("C1%db", i+1)); c != nil {
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
	s := p.need("S3")
	n.Switch = &s
	return n
}

func (p *drafter) tank() schematic.Tank {
	t := schematic.Tank{
		Tune: p.need("C1"), HighBandCoil: p.maybe("L1H"), Coil: p.need("L1"), Load: p.need("C2"),
		OutputCoil: p.maybe("L2"), SafetyChoke: p.maybe("RFC2"), Antenna: p.need("J2"),
		Roller: p.Spec.Tank.Coil.Kind.Value == "roller",
	}
	bands := append(p.Tank.Bands[:0:0], p.Tank.Bands...)
	// in the order of the taps: the coil for the high bands first, then by what
	// a band needs, also where the coil has not enough of it
	sort.SliceStable(bands, func(i, j int) bool {
		a, b := bands[i], bands[j]
		switch {
		case a.OnHighCoil != b.OnHighCoil:
			return a.OnHighCoil
		case a.Tank.Inductance != b.Tank.Inductance:
			return a.Tank.Inductance < b.Tank.Inductance
		}
		return a.Centre > b.Centre
	})
	if high := t.HighBandCoil; high != nil && !t.Roller && (len(bands) < 2 || bands[len(bands)-1].OnHighCoil) {
		// no band needs a turn of the other coil
		t.Coil, t.HighBandCoil = *high, nil
		delete(p.rows, "L1")
	}
	if !t.Roller && len(bands) > 1 {
		t.Taps = &schematic.Taps{Switch: p.need("S1")}
		for _, b := range bands {
			t.Taps.Bands = append(t.Taps.Bands, bandName(b.Name))
			if t.HighBandCoil != nil && b.OnHighCoil {
				t.Taps.High++
				if all, ok := p.Book.Lookup("tank.high_coil_turns"); ok {
					t.Taps.HighEnd = b.Turns >= all.Value*(1-1e-6)
				}
			}
		}
	}
	t.TunePadding, t.LoadPadding = p.padding("C1"), p.padding("C2")
	return t
}

// padding draws the padders of a variable capacitor. A section of the band
// switch adds each; a roller has no band switch: there they have their own.
func (p *drafter) padding(designator string) []schematic.Padding {
	var out []schematic.Padding
	for _, b := range p.Tank.Bands {
		row := designator + "-" + b.Name
		if _, ok := p.list[row]; !ok {
			continue
		}
		section := p.contact("S4")
		if _, ok := p.list["S1"]; ok {
			section = p.contact("S1")
		}
		out = append(out, schematic.Padding{Switch: section, Capacitor: p.need(row)})
	}
	return out
}

func (p *drafter) supply() schematic.Supply {
	plan := &p.Supply.Plan
	out := schematic.Supply{Transformer: p.need("T1")}
	out.Rectifier = drawnAs(plan.Supply.Circuit)
	if out.Rectifier == schematic.CentreTap { // the voltage in the list is that of each half
		out.Transformer.Value = strings.Replace(out.Transformer.Value, " : ", " : 2 × ", 1)
	}
	if out.Choke = p.maybe("L3"); out.Choke != nil {
		out.Choke.Value = strings.Replace(out.Choke.Value, " swinging to ", " .. ", 1)
	}
	p.need("D2")
	p.need("C7")
	out.Diodes, out.Capacitors = p.several("D2", plan.Supply.Circuit.Legs()), p.several("C7", p.list["C7"].Count)
	if plan.PerCapacitor {
		out.Equalizers = p.several("R3", len(out.Capacitors))
	} else {
		out.Bleeder = p.maybe("R3")
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
		Voltmeter: p.maybe("M3"), Foot: p.maybe("R9"), MeterShunt: p.maybe("R10"),
		PlateShunt: p.need("R6"), PlateMeter: p.need("M1"), PlateClamps: p.pair("D6"),
		GridShunt: p.need("R7"), GridMeter: p.need("M2"), GridClamps: p.pair("D7"),
		RailResistor: p.need("R8"),
	}
	if clamps := p.several("D3", 2); clamps != nil {
		m.RailClamps = [2]schematic.Part{clamps[0], clamps[1]}
	}
	if m.Voltmeter != nil {
		m.Multiplier = p.several("R5", p.list["R5"].Count)
	}
	return m
}

// pair is a row of two diodes that one symbol shows.
func (p *drafter) pair(row string) *schematic.Part {
	if _, ok := p.list[row]; !ok {
		return nil
	}
	x := p.piece(row, row, p.one(row))
	return &x
}

func (p *drafter) control() schematic.Control {
	c := schematic.Control{
		Plug: p.need("P1"), Switch: p.need("S2"), Interlock: p.maybe("S5"), Contactor: p.need("K7"), Start: p.need("S7"),
		Air: p.maybe("S6"), WarmUp: p.maybe("K4"), GridTrip: p.maybe("K5"), PlateTrip: p.maybe("K6"),
	}
	switch f := p.several("F1", p.list["F1"].Count); len(f) {
	case 0:
	case 1:
		c.Fuse = p.maybe("F1")
	default: // one in each live conductor
		c.Fuse, c.SecondFuse = &f[0], &f[1]
	}
	if motor := p.maybe("B1"); motor != nil {
		c.Blower = &schematic.Blower{Motor: *motor, AfterRun: p.maybe("K8")}
	}
	if k, r := p.maybe("K3"), p.maybe("R4"); k != nil && r != nil {
		c.StepStart = &schematic.StepStart{Resistor: *r, Contactor: *k, Timeout: p.maybe("K9")}
	}
	return c
}
