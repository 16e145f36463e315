package tank

import (
	"fmt"
	"math"
	"strings"

	"anodebook/compute/data/preferred"
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/air"
	"anodebook/compute/physics/insulation"
	"anodebook/spec"
)

// knob is one of the two variable capacitors.
type knob struct {
	key, part, name string
	have            spec.VariableCapacitor
	at              func(Setting) float64
}

func (w *worker) knobs() []knob {
	t := &w.d.Spec.Tank
	return []knob{
		{"tune", "C1", "tune capacitor", t.Tune, func(s Setting) float64 { return s.Tune }},
		{"load", "C2", "load capacitor", t.Load, func(s Setting) float64 { return s.Load }},
	}
}

// span is what the knob must cover on the band, [F].
func (k *knob) span(b *BandResult) (least, centre, greatest float64) {
	centre = k.at(Setting{Tune: b.Tank.TuneCapacitance, Load: b.Tank.LoadCapacitance})
	least, greatest = centre, centre
	for _, e := range b.Edges {
		least, greatest = math.Min(least, k.at(e)), math.Max(greatest, k.at(e))
	}
	return least, centre, greatest
}

// slack is how far beyond its printed range a capacitor is believed.
const slack = 1e-6

// padder chooses what to put in parallel so that a capacitor from low to high
// covers least to greatest: the builder's own pieces first, then the nearest
// standard value. 0 with ok false: no fixed capacitor does.
func padder(low, high, least, greatest float64, own []float64) (value float64, given, ok bool) {
	from, to := greatest-high, least-low
	if from > to*(1+slack) {
		return 0, false, false
	}
	from, to = from*(1-slack), to*(1+slack)
	best := math.Inf(1)
	for set := 1; set < 1<<min(len(own), 8); set++ {
		sum := 0.0
		for i := range min(len(own), 8) {
			if set&(1<<i) != 0 {
				sum += own[i]
			}
		}
		if sum >= from && sum <= to && sum < best {
			best = sum
		}
	}
	if !math.IsInf(best, 0) {
		return best, true, true
	}
	for _, series := range []preferred.Series{preferred.E6, preferred.E12, preferred.E24} {
		if v := series.Nearest((from + to) / 2); v >= from && v <= to {
			return v, false, true
		}
	}
	return series24(from, to)
}

func series24(from, to float64) (float64, bool, bool) {
	v := preferred.E24.Up(from)
	return v, false, v <= to
}

var byPadder = ledger.Method{Source: source.CommonPractice,
	Words: ledger.Say("The standard value that puts the whole band within the capacitor's range, as near the middle of what is " +
		"allowed as the series permits.")}

// capacitors holds the variable capacitors against what the bands need and
// enters C1, C2, the padders and their dial settings.
func (w *worker) capacitors(r *Result) {
	for _, k := range w.knobs() {
		if k.have.Capacitance.Given {
			w.fit(r, k)
		} else {
			w.size(r, k)
		}
	}
	w.padderSwitch()
}

// padderSwitch enters the switch of the padders beside a roller inductor; else
// they hang on sections of the band switch.
func (w *worker) padderSwitch() {
	n := 0
	for _, p := range w.d.Parts {
		if strings.HasPrefix(p.Designator, "C1-") || strings.HasPrefix(p.Designator, "C2-") {
			n++
		}
	}
	if n == 0 || w.d.Spec.Tank.Coil.Kind.Value != "roller" {
		return
	}
	w.d.Part(ledger.Part{Designator: "S4", Name: "switch of the padders, ceramic, one section for each", Count: 1, Stage: "tank",
		Value:  ledger.Say("{n} sections", ledger.Int("n", n)),
		Rating: ledger.Say("voltage and current of the padders it switches"),
		Note: ledger.Say("Never turn it with power on. Its contacts stand at the RF voltage of the tank: earthed metal shaft behind " +
			"an insulating coupling.")})
}

func (w *worker) capacitorCaution(k knob) ledger.Sentence {
	if k.key == "tune" {
		return ledger.Say("Its stator stands at the full RF voltage of the plates; the blocking capacitor C3 keeps the "+
			"{plate_voltage} of direct voltage off it. If C3 shorts, that voltage is on it, on L1 and on the antenna: insulate the "+
			"shaft, never touch it before the mains plug is out, the wait is over, a meter shows zero and the ground hook is on.",
			ledger.Q("plate_voltage", w.in.PlateVoltage))
	}
	return ledger.Say("RF of hundreds of volts, and the full plate voltage should C3 short and RFC2 be open: the same rule as for C1. " +
		"An open contact here puts the RF voltage up at once.")
}

func (w *worker) size(r *Result, k knob) {
	least, greatest := math.Inf(1), 0.0
	band := ""
	for i := range r.Bands {
		lo, _, hi := k.span(&r.Bands[i])
		least = math.Min(least, lo)
		if hi > greatest {
			greatest, band = hi, r.Bands[i].Name
		}
	}
	most := desk.NextUp(greatest*1.05, nil)
	note := ledger.Sentence{}
	if greatest > 10*least {
		note = ledger.Say("No one capacitor turns from {least} to {most}: take one that covers the higher bands and switch a padder "+
			"in on {on}. ", ledger.Of("least", least, "F"), ledger.Of("most", most, "F"), ledger.OnBand("on", band))
	}
	w.d.Part(ledger.Part{Designator: k.part, Name: k.name, Value: ledger.Say("{least} .. {most}", ledger.Of("least", least, "F"),
		ledger.Of("most", most, "F")), Stage: "tank",
		Note: ledger.Say("{note}{spacing}{capacitor_caution}", ledger.In("note", note), ledger.In("spacing", w.spacing(r, k)),
			ledger.In("capacitor_caution", w.capacitorCaution(k)))})
}

var byChart = ledger.Method{Source: source.PlateSpacing,
	Words: ledger.Say("Air gap read from the chart for the peak voltage with the margin wanted, straight lines between its points; " +
		"the chart is of new, clean, rounded plates at sea level (thinner air stands less in proportion) and ends at 1 kV and 6.5 kV.")}

// spacing is the air gap that an air capacitor to buy should have, where the
// chart reaches.
func (w *worker) spacing(r *Result, k knob) ledger.Sentence {
	if k.have.Dielectric.Value == "vacuum" {
		return ledger.Sentence{}
	}
	v, _ := w.greatest(r, k.key+"_voltage_peak_swr")
	thin := w.density()
	gap, err := insulation.CapacitorSpacing(v.Value * w.d.Spec.Margins.Voltage.Value / thin.Value)
	if err != nil {
		return ledger.Sentence{}
	}
	q := w.d.Solved("tank."+k.key+"_spacing", "air gap between the plates of the "+k.name, gap, "m", byChart, v, thin)
	return ledger.Say("Air gap between the plates at least {q}. ", ledger.Q("q", q))
}

var byDensity = ledger.Method{Source: source.Atmosphere,
	Words: ledger.Say("Density of the air at the station's height over that at sea level, standard atmosphere: an air gap stands that " +
		"much less. Below sea level nothing is gained.")}

// density is the relative density of the air at the station, at most one.
func (w *worker) density() *ledger.Quantity {
	if q, ok := w.d.Lookup("tank.air_density"); ok {
		return q
	}
	height := w.d.Take("tank.altitude", "height of the station", "m", w.d.Spec.Cooling.Altitude)
	ratio := 1.0
	if here, err := air.Standard(height.Value); err == nil {
		if sea, err := air.Standard(0); err == nil {
			ratio = math.Min(1, here.Density/sea.Density)
		}
	}
	return w.d.Solved("tank.air_density", "density of the air over that at sea level", ratio, "%", byDensity, height)
}

// reach is what of a capacitor is in use on a band.
type reach struct {
	low, high   float64          // [F]
	qLow, qHigh *ledger.Quantity // the same in the book
	sections    int              // in use
}

// reaches says what of the capacitor is in use on the band: fewer sections
// where all of them cannot be opened far enough.
func (w *worker) reaches(b *BandResult, k knob, least float64, qLow, qHigh *ledger.Quantity) reach {
	c := k.have
	all := max(1, c.Sections.N)
	x := reach{c.Capacitance.Low, c.Capacitance.High, qLow, qHigh, all}
	if all == 1 {
		return x
	}
	if k.key == "tune" {
		loaded, _ := wanted(w.d.Spec, b.Name)
		x.sections = tuneSections(w.d.Spec, b.Band, loaded.Value, b.Tank.Input.PlateLoad, b.Tank.Input.TubeCapacitance)
	} else {
		x.sections = sectionsFor(c, least)
	}
	part := func(end string, of *ledger.Quantity) *ledger.Quantity {
		if q, ok := w.d.Lookup("tank." + b.Name + "." + k.key + "_" + end); ok {
			return q
		}
		return w.sections(b.Name, k.key, k.name, x.sections, all, of)
	}
	x.qLow, x.qHigh = part("minimum", qLow), part("maximum", qHigh)
	x.low, x.high = x.qLow.Value, x.qHigh.Value
	return x
}

func (w *worker) fit(r *Result, k knob) {
	d := w.d
	c := k.have
	where := d.Spec.Where(c.Capacitance.Origin)
	qLow := w.minimum
	if k.key == "load" {
		qLow = d.Book.Spec("tank.load_minimum", "least capacitance of the load capacitor", c.Capacitance.Low, "F", where)
	}
	qHigh := d.Book.Spec("tank."+k.key+"_maximum", "greatest capacitance of the "+k.name, c.Capacitance.High, "F", where)
	kind := ""
	if c.Dielectric.Given {
		kind = ", " + c.Dielectric.Value
	}
	if n := c.Sections.N; n > 1 {
		kind += fmt.Sprintf(", %d sections", n)
	}
	d.Part(ledger.Part{Designator: k.part, Name: k.name + kind,
		Value: ledger.Say("{low} .. {high}", ledger.Of("low", c.Capacitance.Low, "F"), ledger.Of("high", c.Capacitance.High, "F")),
		Stage: "tank",
		Given: true, Note: w.capacitorCaution(k)})
	var fewer, ids []string
	for i := range r.Bands {
		b := &r.Bands[i]
		id := "tank." + b.Name + "." + k.key
		least, centre, greatest := k.span(b)
		need := d.Get(id + "_capacitance")
		at := need
		x := w.reaches(b, k, least, qLow, qHigh)
		if x.sections < max(1, c.Sections.N) {
			fewer = append(fewer, b.Name)
			ids = append(ids, id+"_sections")
		}
		if greatest > x.high*(1+slack) {
			value, own, ok := padder(x.low, x.high, least, greatest, c.Padders.SI)
			if !ok {
				d.Find(ledger.Finding{Severity: ledger.Exceeds, ID: id + "_range", Stage: "tank", Quantities: []string{need.ID},
					Text: ledger.Say("On {on} the {name} must go from {least} to {greatest}; with its range of {low} to {high} no "+
						"padder brings the whole band within reach.", ledger.OnBand("on", b.Name), ledger.Called("name", k.name),
						ledger.Of("least", least, "F"), ledger.Of("greatest", greatest, "F"), ledger.Of("low", x.low, "F"),
						ledger.Of("high", x.high, "F")),
					Advice: ledger.Say("A capacitor with a wider range, or two padders for the two ends of the band.")})
				continue
			}
			fixed := w.padderQuantity(b.Name, k, value, own, need)
			at = d.Compute(id+"_variable", "left for the "+k.name+" on "+b.Name, remainder, ledger.With{"C_1": need, "C_f": fixed})
			w.padderPart(b, k, value, own)
			d.Find(ledger.Finding{Severity: ledger.Note, ID: id + "_padder", Stage: "tank", Quantities: []string{need.ID, fixed.ID},
				Text: ledger.Say("On {on} the {name} must reach {greatest}, its range ends at {high}: a padder of {value} is "+
					"switched in.", ledger.OnBand("on", b.Name), ledger.Called("name", k.name), ledger.Of("greatest", greatest, "F"),
					ledger.Of("high", x.high, "F"), ledger.Of("value", value, "F")),
				Advice: ledger.Say("The padder carries its share of the RF current and the whole RF voltage: see its ratings.")})
		} else if least < x.low*(1-slack) {
			w.below(b, k, need, least, centre, x.low)
			if centre < x.low*(1-slack) {
				continue
			}
		}
		w.dial(b, k, at, x)
	}
	if len(fewer) > 0 {
		d.Find(ledger.Finding{Severity: ledger.Note, ID: "tank." + k.key + "_sections", Stage: "tank", Quantities: ids,
			Text: ledger.Say("On {fewer} not all of the {sections} sections of the {name} are in use: together they cannot be "+
				"opened below {low}.", ledger.Called("fewer", words(fewer)), ledger.Int("sections", c.Sections.N),
				ledger.Called("name", k.name), ledger.Of("low", c.Capacitance.Low, "F")),
			Advice: ledger.Say("A wafer of the band switch takes the others off; its contacts stand at the RF voltage of the capacitor.")})
	}
}

var byDial = ledger.Method{Source: source.CommonPractice,
	Words: ledger.Say("Straight lines between the capacitances measured at equal steps of the dial.")}

// dial enters what the capacitor's dial must show, 0 % fully open, where its
// law or its measured points are given.
func (w *worker) dial(b *BandResult, k knob, at *ledger.Quantity, x reach) {
	d, c := w.d, k.have
	if x.high <= x.low*(1+slack) || !c.Law.Given && !c.Dial.Given {
		return
	}
	id, name := "tank."+b.Name+"."+k.key+"_dial", "dial of the "+k.name+" on "+b.Name+", 0 % fully open"
	if c.Dial.Given {
		part := share(c, x.sections)
		d.Solved(id, name, dialOf(c.Dial.SI, at.Value/part), "%", byDial, at)
		return
	}
	law := map[string]*ledger.Formula{"capacitance": lawCapacitance, "wavelength": lawWavelength,
		"frequency": lawFrequency}[c.Law.Value]
	d.Compute(id, name, law, ledger.With{"C": at, "C_min": x.qLow, "C_max": x.qHigh})
}

// dialOf is the place of a capacitance [F] between measured points at equal
// steps, 0 to 1; beyond the ends, the end.
func dialOf(points []float64, c float64) float64 {
	last := len(points) - 1
	for i := range last {
		if c <= points[i+1] || i == last-1 {
			if points[i+1] == points[i] {
				return float64(i) / float64(last)
			}
			return math.Min(1, math.Max(0, (float64(i)+(c-points[i])/(points[i+1]-points[i]))/float64(last)))
		}
	}
	return 0
}

// below reports a capacitor that cannot be opened far enough.
func (w *worker) below(b *BandResult, k knob, need *ledger.Quantity, least, centre, low float64) {
	f := ledger.Finding{Severity: ledger.Exceeds, ID: need.ID + "_range", Stage: "tank", Quantities: []string{need.ID},
		Text: ledger.Say("On {on} the {name} must come down to {least}, its minimum is {low}.", ledger.OnBand("on", b.Name),
			ledger.Called("name", k.name), ledger.Of("least", least, "F"), ledger.Of("low", low, "F")),
	}
	switch {
	case k.key == "load":
		f.Advice = ledger.Say("Switch one section of it off on this band, or raise the loaded Q there.")
	default:
		// The middle of the band was designed with the minimum in circuit; only
		// an edge is out of reach, and a tap a little nearer the plates helps.
		f.Severity = ledger.Caution
		f.Text = ledger.Say("On {on} the {name} would have to come down to {least} at the upper band edge; its minimum is {low}.",
			ledger.OnBand("on", b.Name), ledger.Called("name", k.name), ledger.Of("least", least, "F"), ledger.Of("low", low, "F"))
		f.Advice = ledger.Say("Set the tap for the upper edge of the band: the loaded Q rises a little at the lower edge.")
	}
	if k.key == "load" && centre >= low {
		f.Severity = ledger.Caution
	}
	w.d.Find(f)
}

func (w *worker) padderQuantity(band string, k knob, value float64, own bool, need *ledger.Quantity) *ledger.Quantity {
	id, name := "tank."+band+"."+k.key+"_padder", "padder of the "+k.name+" on "+band
	if own {
		return w.d.Book.Spec(id, name, value, "F", w.d.Spec.Where(k.have.Padders.Origin))
	}
	return w.d.Solved(id, name, value, "F", byPadder, need)
}

// padderPart enters a padder and what it must stand.
func (w *worker) padderPart(b *BandResult, k knob, value float64, own bool) {
	d := w.d
	id := "tank." + b.Name + "." + k.key
	part := k.part + "-" + b.Name
	v := d.Get(id + "_voltage_peak_swr")
	f, c := d.Get("tank."+b.Name+".frequency"), d.Get(id+"_padder")
	i := d.Compute(id+"_padder_current", "RF current in the padder of the "+k.name+" on "+b.Name+", rms", capacitorCurrent,
		ledger.With{"V": v, "f": f, "C": c})
	m := d.Spec.Margins
	rv := d.Check(desk.Hold{Part: part, Name: "padder of the " + k.name, Band: b.Name, Kind: "voltage", Stress: v, Owned: own,
		Factor:   m.Voltage,
		Standard: desk.CapacitorVoltages, Why: ledger.Say("peak RF at the worst phase of the SWR")})
	ri := d.Check(desk.Hold{Part: part, Name: "padder of the " + k.name, Band: b.Name, Kind: "current", Stress: i, Owned: own,
		Factor:   m.Current,
		Standard: desk.Currents, Why: ledger.Say("RF through the padder at the worst phase of the SWR")})
	s := d.Compute(id+"_padder_kva", "reactive power of the padder of the "+k.name+" on "+b.Name, reactivePower,
		ledger.With{"V": v, "I": i})
	rs := d.Check(desk.Hold{Part: part, Name: "padder of the " + k.name, Band: b.Name, Kind: "kva", Stress: s, Owned: own,
		Factor: m.Current,
		Why:    ledger.Say("reactive power at the worst phase of the SWR, which heats a ceramic capacitor")})
	d.Part(ledger.Part{Designator: part, Name: "padder of the " + k.name + ", transmitting type",
		Value: ledger.Say("{value}", ledger.Of("value", value, "F")), Stage: "tank", Given: own,
		Rating: ledger.Say("{rating}, {rating_2} RF, {rating_3}", ledger.Of("rating", rv.Rating, "V"),
			ledger.Of("rating_2", ri.Rating, "A"), ledger.Of("rating_3", rs.Rating, "VA")),
		Note: ledger.Say("A receiving-type capacitor bursts here. {capacitor_caution}",
			ledger.In("capacitor_caution", w.capacitorCaution(k)))})
}

var capacitorCurrent = ledger.MustFormula("I = V * 2 * π * f * C / sqrt(2)", source.CircuitLaws,
	"I [A] current, rms", "V [V] peak voltage", "f [Hz] frequency", "C [F] capacitance")
