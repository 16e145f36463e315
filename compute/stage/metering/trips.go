package metering

import (
	"fmt"
	"math"
	"strings"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tuning"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// TripInput is what the trips are chosen from. Currents are direct and of all
// tubes.
type TripInput struct {
	PlateCurrent *ledger.Quantity // at full output [A]
	GridCurrent  *ledger.Quantity // at full output [A]
	PlateVoltage *ledger.Quantity // at full output [V]
	Output       *ledger.Quantity // at the connector [W]
	PlateOutput  *ledger.Quantity // of all tubes [W]
	Dissipation  *ledger.Quantity // of each plate at full output [W]

	Tubes    int
	Limits   tuning.Limits      // of one tube
	Band     string             // for which the mistakes were computed
	Mistakes []tuning.Situation // of tuning.Mistakes; nil where there are none
}

// TripResult is what interlocks and later stages need.
type TripResult struct {
	GridTrip, PlateTrip float64          // [A]; 0: not fitted
	GridStop, PlateStop *ledger.Quantity // the lowest of trip, rating and what the tuning map asks for [A]
}

// What the thresholds are chosen by: see source.TuneUpTrials.
const (
	plateRule     = 1.15 // plate trip over the plate current at full output, at most
	plateTuneUp   = 1.10 // greatest plate current of a correct tune-up
	plateTells    = 1.11 // plate current of a mistake over full output from which it can tell
	gridRule      = 1.15 // under the root, beside the grid ratio of a light load
	gridTuneUp    = 1.12 // grid current at which a correct tune-up turns back
	lightUnknown  = 1.5  // grid ratio of a light load where the map gives none
	wildTrip      = 2.0  // trip over full output that protects nothing, where no rating is known
	noMapSleeping = 1.3  // plate current that no mistake reaches, where there is no map
)

var (
	atMost = ledger.MustFormula("I_m = k * I", source.TuneUpTrials, "I_m [A] greatest current of a correct tune-up",
		"k [] over full output", "I [A] current at full output")
	lightRatio = ledger.MustFormula("g = I_l / I", source.CircuitLaws,
		"g [] grid current with the load too light over that at full output", "I_l [A] with the load 1.5 times too light",
		"I [A] at full output")
	gridRaw = ledger.MustFormula("I_t = I * sqrt(1.15 * g)", source.TuneUpTrials, "I_t [A] threshold",
		"I [A] grid current at full output", "g [] its ratio with the load 1.5 times too light")
	lowestOf2 = ledger.MustFormula("I_s = min(I_1, I_2)", source.CircuitLaws, "I_s [A] lowest", "I_1 [A] one", "I_2 [A] other")
	lowestOf3 = ledger.MustFormula("I_s = min(I_1, I_2, I_3)", source.CircuitLaws, "I_s [A] lowest", "I_1 [A] trip", "I_2 [A] rating",
		"I_3 [A] by the tuning map")
	allTubes = ledger.MustFormula("I = n * I_1", source.CircuitLaws, "I [A] all tubes", "n [] tubes", "I_1 [A] one tube")
	leastOut = ledger.MustFormula("W_l = W_o * (1 - n * (P_m - P_pe) / W_p)", source.CircuitLaws,
		"W_l [W] output below which the plates exceed their rating", "W_o [W] full output", "n [] tubes", "P_m [W] plate rating, each",
		"P_pe [W] plate dissipation at full output, each", "W_p [W] plate output, all tubes")
	leastShare = ledger.MustFormula("s = W_l / (V_p * I_p)", source.CircuitLaws, "s [%] output over plate input",
		"W_l [W] least output", "V_p [V] plate voltage", "I_p [A] plate current at full output")
)

// trips is one run of Trips.
type trips struct {
	*desk.Desk
	in    TripInput
	res   TripResult
	blind bool // the plate current tells no mistake of the map
}

// Trips chooses, or holds, the currents at which protection trips. It has no
// errors of its own.
func Trips(d *desk.Desk, in TripInput) TripResult {
	t := &trips{Desk: d, in: in}
	t.plate()
	t.grid()
	t.asleep()
	return t.res
}

// reading is that of a mistake, and whether it was reached.
func (t *trips) reading(id string) (tuning.Reading, bool) {
	for _, s := range t.in.Mistakes {
		if s.ID == id {
			return s.Reading, s.Reached
		}
	}
	return tuning.Reading{}, false
}

// chosen enters the threshold by the map and the rating, and returns it with
// the rating, nil where none is published.
func (t *trips) chosen(which string, wanted *ledger.Quantity, each float64) (least, limit *ledger.Quantity) {
	if each <= 0 {
		return wanted, nil
	}
	id := "protection." + which + "_current_rating"
	n := t.tubes()
	one := t.Catalogue(id+"_each", "Rated "+which+" current of one tube", each, "A", t.typeWords())
	limit = t.Compute(id, "Rated "+which+" current, all tubes", allTubes, ledger.With{"n": n, "I_1": one})
	least = t.Compute("protection."+which+"_trip_within", "The same, never above the rating", lowestOf2,
		ledger.With{"I_1": wanted, "I_2": limit})
	return least, limit
}

func (t *trips) tubes() *ledger.Quantity {
	if q, ok := t.Lookup("protection.tubes"); ok {
		return q
	}
	return t.Catalogue("protection.tubes", "Tubes", float64(t.in.Tubes), "", "design")
}

func (t *trips) typeWords() string {
	if name := t.Spec.Tubes.Type.Value; name != spec.CustomType {
		return "catalogue of tube types, " + name
	}
	return "ratings of the builder's own tube"
}

// stop enters the lowest of the trip, the rating and what the map asks for.
func (t *trips) stop(which string, trip, limit, wanted *ledger.Quantity) *ledger.Quantity {
	id, name := "protection."+which+"_stop", capitalised(which)+" current at which the drive goes off at once: the lowest of trip, "+
		"rating and tuning map"
	switch {
	case trip != nil && limit != nil:
		return t.Compute(id, name, lowestOf3, ledger.With{"I_1": trip, "I_2": limit, "I_3": wanted})
	case limit != nil:
		return t.Compute(id, name, lowestOf2, ledger.With{"I_1": limit, "I_2": wanted})
	case trip != nil:
		return t.Compute(id, name, lowestOf2, ledger.With{"I_1": trip, "I_2": wanted})
	}
	return t.Solved(id, name, wanted.Value, "A", desk.Derived("That of the tuning map: neither a trip nor a rating is known."), wanted)
}

func capitalised(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// plateWanted is the plate trip that the map asks for [A], and how it came:
// between what a correct tune-up reaches and what a mistake draws, off
// resonance where the plate current can tell it, else the worst of all.
//
// fires is the plate current of the mistake that it is chosen to fire in [A]
// and which that is; 0 where there is none.
func (t *trips) plateWanted() (value float64, words string, fires float64, in string) {
	p := t.in.PlateCurrent.Value
	value = plateRule * p
	words = fmt.Sprintf("%s times the plate current at full output.", quantity.Short(plateRule, 6))
	below, ok1 := t.reading(tuning.OffBelow)
	above, ok2 := t.reading(tuning.OffAbove)
	off := math.Inf(1)
	if ok1 {
		off = below.PlateCurrent
	}
	if ok2 {
		off = math.Min(off, above.PlateCurrent)
	}
	where := "off resonance to half the output"
	if math.IsInf(off, 0) || off < plateTells*p {
		off, where = t.worstPlate()
	}
	if off < plateTells*p || len(t.in.Mistakes) == 0 {
		t.blind = true
		return value, words +
			" No mistake of the tuning map draws much more than a correct tune-up may: the trip is for flash-overs and shorts.", 0, ""
	}
	if mid := (plateTuneUp*p + off) / 2; mid < value {
		value = mid
		words = fmt.Sprintf("Midway between the greatest plate current of a correct tune-up, %s times that at full output, and the %s "+
			"of a mistake (%s), so that it fires there.", quantity.Short(plateTuneUp, 6), desk.Show(off, "A"), where)
	}
	return value, words, off, where
}

func (t *trips) plate() {
	in, g := t.in, &t.Spec.Protection.PlateTrip
	k := t.Catalogue("protection.plate_tune_up_factor", "Plate current of a correct tune-up over full output, at most", plateTuneUp, "",
		source.TuneUpTrials.Title)
	tuneUp := t.Compute("protection.plate_tune_up", "Plate current of a correct tune-up, at most", atMost,
		ledger.With{"k": k, "I": in.PlateCurrent})
	value, words, fires, mistake := t.plateWanted()
	wanted := t.Solved("protection.plate_trip_wanted", "Plate trip by the tuning map", value, "A",
		ledger.Method{Words: ledger.Literal(words), Source: source.TuneUpTrials}, in.PlateCurrent,
		tuneUp)
	least, limit := t.chosen("plate", wanted, in.Limits.PlateCurrent)
	find := func(severity ledger.Severity, text, advice ledger.Sentence, of ...*ledger.Quantity) {
		f := ledger.Finding{Severity: severity, ID: "protection.plate_trip", Stage: "protection",
			Text: text, Advice: advice}
		for _, q := range append(of, in.PlateCurrent, tuneUp) {
			f.Quantities = append(f.Quantities, q.ID)
		}
		t.Find(f)
	}
	set := ledger.Say("Set it near {least}.", ledger.Q("least", least))
	if g.Fitted.Denied() {
		t.res.PlateStop = t.stop("plate", nil, limit, wanted)
		find(ledger.Caution,
			ledger.Say("There is no plate-current trip: off resonance the plates burn until a hand is faster, and in a flash-over "+
				"nothing opens the primary but fuses. The hand must act at {plate_stop}.", ledger.Q("plate_stop", t.res.PlateStop)),
			ledger.Say("Fit a latching trip across R6 that opens key line and primary near {least}.", ledger.Q("least", least)))
		return
	}
	var trip *ledger.Quantity
	if g.Current.Given {
		trip = t.Take("protection.plate_trip", "Plate current that trips the amplifier", "A", g.Current)
	} else {
		trip = t.Solved("protection.plate_trip", "Plate current that trips the amplifier", least.Value, "A",
			desk.Derived("That of the tuning map, never above the rating."), least)
	}
	t.res.PlateTrip = trip.Value
	t.res.PlateStop = t.stop("plate", trip, limit, wanted)
	worst, where := t.worstPlate()
	wild := wildTrip * in.PlateCurrent.Value
	if limit != nil {
		wild = limit.Value
	}
	switch {
	case trip.Value <= in.PlateCurrent.Value*(1+1e-9) && limit != nil && limit.Value <= in.PlateCurrent.Value:
		find(ledger.Caution,
			ledger.Say("Full output takes {plate_current}, the tubes may carry {limit}: no trip can let the first pass and guard the "+
				"second. Set to the rating it trips before full output.", ledger.Q("plate_current", in.PlateCurrent),
				ledger.Q("limit", limit)), ledger.Say("Lower the output."), trip, limit)
	case trip.Value <= in.PlateCurrent.Value*(1+1e-9):
		find(ledger.Caution,
			ledger.Say("The plate trip of {trip} is not above the {plate_current} of full output: it trips in ordinary use.",
				ledger.Q("trip", trip), ledger.Q("plate_current", in.PlateCurrent)), set, trip)
	case trip.Value <= tuneUp.Value*(1+1e-9) && limit != nil && trip.Value >= limit.Value*(1-1e-9):
		find(ledger.Caution,
			ledger.Say("The plate trip of {trip} stands at the rating of the tubes, and a correct tune-up may reach "+
				"{protection.plate_tune_up}: it may trip on the way.",
				ledger.Q("trip", trip)), ledger.Say("Lower the output a little; do not raise the trip."), trip, limit)
	case trip.Value <= tuneUp.Value*(1+1e-9):
		find(ledger.Caution,
			ledger.Say("The plate trip of {trip} is within the {protection.plate_tune_up} that a correct tune-up may reach: it trips "+
				"for nothing, and gets switched off by somebody who is tired of it.", ledger.Q("trip", trip)), set, trip)
	case trip.Value > wild*(1+1e-9) && limit != nil:
		find(ledger.Exceeds, ledger.Say("The plate trip of {trip} is above the {limit} that the tubes may carry: it protects nothing.",
			ledger.Q("trip", trip), ledger.Q("limit", limit)), set, trip, limit)
	case trip.Value > wild*(1+1e-9):
		find(ledger.Exceeds,
			ledger.Say("The plate trip of {trip} is more than twice the {plate_current} of full output: it protects nothing.",
				ledger.Q("trip", trip), ledger.Q("plate_current", in.PlateCurrent)), set, trip)
	case t.blind && trip.Value <= wanted.Value*(1+1e-9):
		find(ledger.Note,
			ledger.Say("The plate trip of {trip} is for flash-overs and shorts: no mistake of the tuning map draws much more than the "+
				"{protection.plate_tune_up} that a correct tune-up may reach; the worst draws {worst}.", ledger.Q("trip", trip),
				ledger.Of("worst", worst, "A")), ledger.Say("Watch the output."), trip)
	case trip.Value >= worst:
		find(ledger.Caution, ledger.Say("The plate trip of {trip} sleeps through every detuning down to half the output and through "+
			"a lost antenna: no more than {worst} flow ({where}).", ledger.Q("trip", trip), ledger.Of("worst", worst, "A"),
			ledger.Called("where", where)), set, trip)
	case fires > 0 && trip.Value >= fires:
		find(ledger.Caution,
			ledger.Say("The plate trip of {trip} sleeps through a mistake that one of {least} tells: {mistake}, where the plate "+
				"current is {fires}.", ledger.Q("trip", trip), ledger.Q("least", least), ledger.Called("mistake", mistake),
				ledger.Of("fires", fires, "A")), set, trip)
	}
}

// worstPlate is the greatest plate current of the mistakes at full drive [A].
func (t *trips) worstPlate() (worst float64, where string) {
	for _, s := range t.in.Mistakes {
		if s.Reached && s.ID != tuning.Nominal && s.ID != tuning.Overdriven3 && s.Reading.PlateCurrent > worst {
			worst, where = s.Reading.PlateCurrent, s.Name
		}
	}
	if worst == 0 {
		return noMapSleeping * t.in.PlateCurrent.Value, "a tank off resonance"
	}
	return worst, where
}

// gridRating is the greatest grid current of one tube [A] by its rating or, as
// far as the map tells, by its grid's heat; 0 where neither is known.
func (t *trips) gridRating() float64 {
	l := &t.in.Limits
	limit := l.GridCurrent
	if r, ok := t.reading(tuning.Overdriven3); ok && l.GridDissipation > 0 && r.GridDissipationEach > 0 {
		n := float64(t.in.Tubes)
		hot := l.GridDissipation * r.GridCurrent / n / r.GridDissipationEach
		// Between full output and overdrive the heat rises with a power of the current.
		if o, ok := t.reading(tuning.Nominal); ok && o.GridDissipationEach > 0 && r.GridCurrent > o.GridCurrent && o.GridCurrent > 0 &&
			r.GridDissipationEach > o.GridDissipationEach {
			slope := math.Log(r.GridDissipationEach/o.GridDissipationEach) / math.Log(r.GridCurrent/o.GridCurrent)
			hot = o.GridCurrent / n * math.Pow(l.GridDissipation/o.GridDissipationEach, 1/slope)
		}
		if limit <= 0 || hot < limit {
			limit = hot
		}
	}
	return limit
}

func (t *trips) grid() {
	in, g := t.in, &t.Spec.Protection.GridTrip
	k := t.Catalogue("protection.grid_tune_up_factor", "Grid current at which a correct tune-up turns back, over full output",
		gridTuneUp, "", source.TuneUpTrials.Title)
	tuneUp := t.Compute("protection.grid_tune_up", "Grid current at which a correct tune-up turns back", atMost,
		ledger.With{"k": k, "I": in.GridCurrent})
	var ratio, light *ledger.Quantity
	r, ok := t.reading(tuning.TooLight)
	switch {
	case in.GridCurrent.Value <= 0 || ok && r.GridCurrent <= 0: // tubes that are not driven so far
		ratio = t.Catalogue("protection.grid_light_ratio", "Grid current with the load too light, over full output", lightUnknown, "",
			"common practice: at full output no grid current flows that could rise")
	case ok:
		light = t.Solved("protection.grid_light", "Grid current with the load 1.5 times too light", r.GridCurrent, "A",
			ledger.Method{Words: ledger.Say("The tuning map, full drive, the plates seeing 1.5 times their load, the plate voltage " +
				"following the supply."), Source: source.CircuitLaws}, in.GridCurrent)
		ratio = t.Compute("protection.grid_light_ratio", "Grid current with the load too light, over full output", lightRatio,
			ledger.With{"I_l": light, "I": in.GridCurrent})
	default:
		ratio = t.Catalogue("protection.grid_light_ratio", "Grid current with the load too light, over full output", lightUnknown, "",
			"common practice: this tank cannot be set so")
	}
	wanted := t.Compute("protection.grid_trip_wanted", "Grid trip by the tuning map", gridRaw,
		ledger.With{"I": in.GridCurrent, "g": ratio})
	least, limit := t.chosen("grid", wanted, t.gridRating())
	find := func(severity ledger.Severity, text, advice ledger.Sentence, of ...*ledger.Quantity) {
		f := ledger.Finding{Severity: severity, ID: "protection.grid_trip", Stage: "protection",
			Text: text, Advice: advice}
		for _, q := range append(of, in.GridCurrent) {
			f.Quantities = append(f.Quantities, q.ID)
		}
		t.Find(f)
	}
	set := ledger.Say("Set it near {least}.", ledger.Q("least", least))
	if g.Fitted.Denied() {
		t.res.GridStop = t.stop("grid", nil, limit, wanted)
		severity, text := ledger.Caution, ledger.Say("There is no grid-current trip: nothing but a hand takes the drive off when the "+
			"load is lost or too light.")
		if limit != nil {
			for _, s := range in.Mistakes {
				if s.Reached && s.Reading.GridCurrent > limit.Value {
					severity = ledger.Exceeds
					text = ledger.Say("There is no grid-current trip, and in one mistake ({s}) the grids carry {grid_current} where "+
						"{limit} are allowed: they melt or buckle before a hand is there.", ledger.Called("s", s.Name),
						ledger.Of("grid_current", s.Reading.GridCurrent, "A"), ledger.Q("limit", limit))
					break
				}
			}
		}
		find(severity, text, ledger.Say("Fit a latching trip across R7 that opens the key line near {least}.",
			ledger.Q("least", least)))
		return
	}
	var trip *ledger.Quantity
	if g.Current.Given {
		trip = t.Take("protection.grid_trip", "Grid current that trips the amplifier", "A", g.Current)
	} else {
		trip = t.Solved("protection.grid_trip", "Grid current that trips the amplifier", least.Value, "A",
			desk.Derived("That of the tuning map, never above the rating."), least)
	}
	t.res.GridTrip = trip.Value
	t.res.GridStop = t.stop("grid", trip, limit, wanted)
	of := []*ledger.Quantity{trip}
	words := ledger.Sentence{}
	if shunt, ok := t.Lookup("metering.grid_shunt"); ok {
		v := t.Compute("protection.grid_trip_voltage", "Voltage across the grid-current shunt at the trip", dropped,
			ledger.With{"I": trip, "R_s": shunt, "R_m": t.Get("metering.movement_resistance")})
		words = ledger.Say(" ({protection.grid_trip_voltage} across its shunt)")
		of = append(of, v)
	}
	switch {
	case trip.Value <= in.GridCurrent.Value*(1+1e-9) && limit != nil && limit.Value <= in.GridCurrent.Value:
		find(ledger.Caution,
			ledger.Say("Full output takes {grid_current} of grid current, the grids may carry {limit}: no trip can let the first pass "+
				"and guard the second.", ledger.Q("grid_current", in.GridCurrent),
				ledger.Q("limit", limit)), ledger.Say("Lower the drive and the output, or choose another operating point."), append(of,
				limit)...)
	case trip.Value <= in.GridCurrent.Value*(1+1e-9):
		find(ledger.Caution,
			ledger.Say("The grid trip of {trip} is not above the {grid_current} of full output: it trips in ordinary use.",
				ledger.Q("trip", trip), ledger.Q("grid_current", in.GridCurrent)), set, of...)
	case trip.Value <= tuneUp.Value*(1+1e-9) && limit != nil && trip.Value >= limit.Value*(1-1e-9):
		find(ledger.Caution,
			ledger.Say("The grid trip of {trip} stands at the rating of the grids, and a correct tune-up may reach "+
				"{protection.grid_tune_up}: it may trip on the way.",
				ledger.Q("trip", trip)), ledger.Say("Lower the output a little; do not raise the trip."), append(of, tuneUp,
				limit)...)
	case trip.Value <= tuneUp.Value*(1+1e-9):
		find(ledger.Caution,
			ledger.Say("The grid trip of {trip} is within the {protection.grid_tune_up} that a correct tune-up may reach: it trips "+
				"for nothing.", ledger.Q("trip", trip)), set, append(of, tuneUp)...)
	case limit != nil && trip.Value > limit.Value*(1+1e-9):
		find(ledger.Exceeds,
			ledger.Say("The grid trip of {trip} is above the {limit} that the tubes' grids may carry: it trips too late.",
				ledger.Q("trip", trip), ledger.Q("limit", limit)), set, append(of, limit)...)
	case light != nil && trip.Value >= light.Value:
		find(ledger.Caution,
			ledger.Say("The grid trip of {trip} sleeps with the load 1.5 times too light, where the grids draw {protection.grid_light}.", ledger.Q("trip", trip)), set, append(of, light)...)
	default:
		plate := ledger.Sentence{}
		if t.res.PlateTrip > 0 {
			plate = ledger.Say(" and {plate_trip} of plate current", ledger.Of("plate_trip", t.res.PlateTrip, "A"))
		}
		find(ledger.Note,
			ledger.Say("Trip at {trip} of grid current{words}{plate}; full output takes {grid_current} and {plate_current}. A correct "+
				"tune-up stays below {protection.grid_tune_up} of grid and {protection.plate_tune_up} of plate current.",
				ledger.Q("trip", trip), ledger.In("words", words), ledger.In("plate", plate), ledger.Q("grid_current", in.GridCurrent),
				ledger.Q("plate_current", in.PlateCurrent)),
			ledger.Say("Let the trip open the transmit relays within some ten milliseconds and stay open until reset by hand; sense "+
				"the mean over about as long, or a syllable 1 dB above full drive trips it. After the first good tune-up set both "+
				"trips "+
				"anew, in the same proportion to what the meters then show."), of...)
	}
}

// asleep says in which mistakes no trip fires although the tubes are
// overloaded, and which output tells instead.
func (t *trips) asleep() {
	in := t.in
	var told *ledger.Quantity
	if limit := in.Limits.PlateDissipation; limit > in.Dissipation.Value {
		m := t.Catalogue("protection.plate_rating_each", "Plate rating of one tube", limit, "W", t.typeWords())
		told = t.Compute("protection.output_least",
			"Output below which, at the plate current of full output, the plates exceed their rating", leastOut,
			ledger.With{"W_o": in.Output, "n": t.tubes(), "P_m": m, "P_pe": in.Dissipation, "W_p": in.PlateOutput})
		if told.Value > 0 {
			t.Compute("protection.output_share_least", "The same, over the plate input", leastShare,
				ledger.With{"W_l": told, "V_p": in.PlateVoltage, "I_p": in.PlateCurrent})
		}
	}
	var fires, sleeps, missed []string
	others := false
	for _, s := range in.Mistakes {
		if !s.Reached || s.ID == tuning.Nominal {
			continue
		}
		r := &s.Reading
		switch {
		case t.res.PlateTrip > 0 && r.PlateCurrent > t.res.PlateTrip, t.res.GridTrip > 0 && r.GridCurrent > t.res.GridTrip:
			fires = append(fires, s.Name)
		case s.Factor > 1 && (r.PlateCurrent > t.res.PlateStop.Value || r.GridCurrent > t.res.GridStop.Value):
			missed = append(missed, fmt.Sprintf("%s (%s at %.0f %%)", s.Name, s.FirstLimit, 100*s.Factor))
		case s.Factor > 1:
			sleeps = append(sleeps, fmt.Sprintf("%s (%s at %.0f %%, plate current %s, output %s)", s.Name, s.FirstLimit, 100*s.Factor,
				desk.Show(r.PlateCurrent, "A"), desk.Show(r.Output, "W")))
		default:
			others = true
		}
	}
	if len(in.Mistakes) == 0 {
		return
	}
	f := ledger.Finding{ID: "protection.trips", Stage: "protection", Severity: ledger.Note,
		Quantities: []string{t.res.PlateStop.ID, t.res.GridStop.ID}}
	wake := "A trip fires at full drive with: " + strings.Join(fires, "; ") + "."
	if len(fires) == 0 {
		wake = "No trip fires in any mistake of the tuning map."
	}
	f.Text = ledger.Say("{wake} Computed on {on}.", ledger.Called("wake", wake), ledger.OnBand("on", in.Band))
	if len(missed) > 0 {
		f.Severity = ledger.Caution
		f.Text = f.Text.Then(ledger.Say("Trips at {plate} of plate and {grid} of grid current would fire in these too, and none does: "+
			"{missed}.",
			ledger.Q("plate", t.res.PlateStop), ledger.Q("grid", t.res.GridStop), ledger.Called("missed", strings.Join(missed, "; "))))
	}
	if len(sleeps) == 0 {
		if others {
			f.Text = f.Text.Then(ledger.Say("In the other mistakes no known limit is exceeded."))
		}
		f.Advice = ledger.Say("Watch the output all the same: what does not reach the antenna heats the plates.")
	} else {
		f.Severity = ledger.Caution
		f.Text = f.Text.Then(ledger.Say("Current alone cannot tell these, and the tubes are overloaded: {join}.",
			ledger.Called("join", strings.Join(sleeps, "; "))))
		f.Advice = ledger.Say("Watch the output, not the currents: drive off where output over plate current falls below half of what " +
			"it was one step before.")
		if told != nil && told.Value > 0 {
			f.Advice = f.Advice.Then(ledger.Say("At {plate_current} of plate current less than {protection.output_least} means that "+
				"the plates are above their rating.", ledger.Q("plate_current", in.PlateCurrent)))
			f.Quantities = append(f.Quantities, told.ID)
		}
		f.Advice = f.Advice.Then(ledger.Say("A trip on reflected power sees a lost antenna."))
	}
	t.Find(f)
}
