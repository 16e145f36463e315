// Package cooling is the stage that keeps the tubes' seals below their limits:
// the air that the maker publishes, scaled to the station's altitude and inlet
// temperature, beside what first principles ask for.
//
// It assumes that the whole heat of the tubes leaves with the air; a glass tube
// radiates part of it into the cabinet, where air must carry it too.
package cooling

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/air"
	"anodebook/compute/physics/tube"
	"anodebook/spec"
	"anodebook/spec/quantity"
)

// Input is what the stage gets.
type Input struct {
	Type                 *tube.Type
	Tubes                int
	PlateDissipationEach *ledger.Quantity // the greater of key down and idle counts
	GridDissipationEach  *ledger.Quantity
}

// Result is what the report needs beside the book.
type Result struct {
	Airflow  *ledger.Quantity // that all tubes need [m³/s]
	Moved    *ledger.Quantity // what the builder's blower moves [m³/s]; nil: not known, or no blower of the builder's own
	Needed   bool             // the type wants a blower
	Forced   bool             // it wants one, and there is one
	AfterRun float64          // how long the blower runs on after switch-off [s]; 0: no blower
	pressure *ledger.Quantity // back pressure at Airflow; nil: not known
	curve    bool             // Moved is where the blower's curve meets what the tubes put against it
	factor   float64          // for altitude and inlet temperature [1], at least 1
}

var (
	heat = ledger.MustFormula("P = n * (P_pe + P_ge + V_f * I_f)", source.CircuitLaws,
		"P [W] heat of all tubes, key down", "n [] number of tubes", "P_pe [W] plate dissipation of each tube",
		"P_ge [W] grid dissipation of each tube",
		"V_f [V] heater voltage", "I_f [A] heater current of each tube")
	flowForRise = ledger.MustFormula("Q = P / (ρ * c_p * ΔT)", source.AirHeat,
		"Q [m³/s] air at the inlet", "P [W] heat of all tubes, key down", "ρ [kg/m³] density of the air at the inlet",
		"c_p [J/(kg·K)] specific heat of air", "ΔT [K] temperature rise of the air")
	rise = ledger.MustFormula("ΔT = P / (ρ * c_p * Q)", source.AirHeat,
		"ΔT [K] temperature rise of the air", "P [W] heat of all tubes, key down", "ρ [kg/m³] density of the air at the inlet",
		"c_p [J/(kg·K)] specific heat of air", "Q [m³/s] air at the inlet")
	scaled = ledger.MustFormula("Q = n * Q_0 * a", source.Airflow,
		"Q [m³/s] air for all tubes", "n [] number of tubes", "Q_0 [m³/s] published air for one tube at sea level",
		"a [] factor for altitude and inlet temperature")
	exitAir = ledger.MustFormula("T_e = T_i + ΔT", source.CircuitLaws,
		"T_e [°C] temperature of the air leaving, key down without a break", "T_i [°C] temperature of the air at the inlet",
		"ΔT [K] temperature rise of the air")
	thinner = ledger.MustFormula("p = p_0 / a", source.AirHeat,
		"p [Pa] pressure that the blower gives in this air", "p_0 [Pa] pressure by its data sheet",
		"a [] factor for altitude and inlet temperature: a blower's pressure falls with the density of the air")
	pressureScaled = ledger.MustFormula("p = p_0 * a", source.Airflow,
		"p [Pa] back pressure", "p_0 [Pa] published back pressure at sea level", "a [] factor for altitude and inlet temperature")
)

// referenceInlet is the inlet temperature that published airflows usually
// hold for [K]: 25 °C (common practice; the sheets say 25 to 50 °C).
const referenceInlet = 298.15

// Solve enters airflow, pressure, exit temperature and the blower's margin.
func Solve(d *desk.Desk, in Input) (Result, error) {
	s, t := d.Spec.Cooling, in.Type
	altitude := d.Take("cooling.altitude", "altitude of the station", "m", s.Altitude)
	inlet := d.Take("cooling.inlet_temperature", "temperature of the air at the inlet", "°C", s.Inlet)
	state, err := air.Inlet(altitude.Value, inlet.Value)
	if err != nil {
		return Result{}, err
	}
	rho := d.Solved("cooling.air_density", "density of the air at the inlet", state.Density, "kg/m³",
		ledger.Method{Words: ledger.Say("Pressure of the standard atmosphere at the altitude, with the inlet temperature, as an ideal " +
			"gas."), Source: source.Atmosphere}, altitude, inlet)
	cp := d.Catalogue("cooling.specific_heat", "specific heat of air", air.SpecificHeat, "J/(kg·K)", "dry air near room temperature")
	count := d.Catalogue("cooling.tubes", "number of tubes", float64(in.Tubes), "", "spec")
	vf := d.Catalogue("cooling.heater_voltage", "heater voltage", t.Heater.Voltage.Value, "V", figureSource(t, t.Heater.Voltage))
	cur := d.Catalogue("cooling.heater_current_each", "heater current of each tube", t.Heater.Current.Value, "A",
		figureSource(t, t.Heater.Current))
	total := d.Compute("cooling.heat", "heat of all tubes, key down", heat,
		ledger.With{"n": count, "P_pe": in.PlateDissipationEach, "P_ge": in.GridDissipationEach, "V_f": vf, "I_f": cur})

	r := Result{factor: 1}
	denied := s.Blower.Fitted.Denied()
	need, known := published(t, in.PlateDissipationEach.Value)
	if known {
		r.fromSheet(d, need, state, count, rho)
	} else {
		dt := d.Take("cooling.rise_wanted", "rise of the air's temperature wanted", "K", s.Rise)
		r.Airflow = d.Compute("cooling.airflow", "air through the cabinet", flowForRise,
			ledger.With{"P": total, "ρ": rho, "c_p": cp, "ΔT": dt})
		d.Find(ledger.Finding{Severity: ledger.Note, ID: "cooling.no_published_air", Stage: "cooling",
			Quantities: []string{"cooling.airflow"},
			Text: ledger.Say("No required airflow of the {t} is known here; the air named carries the heat out of the cabinet with "+
				"the rise wanted.", ledger.Called("t", t.Name)),
			Advice: ledger.Say("Follow the maker's data sheet for the seals and the envelope, and leave the space round the tubes free.")})
	}
	r.Needed = known || strings.Contains(t.Cooling.Method, "forced air") && !Radiates(t)
	r.Forced = r.Needed && !denied
	if denied {
		r.without(d, in)
	} else {
		r.moves(d)
		flow := r.Airflow
		if r.Moved != nil {
			flow = r.Moved
		}
		dt := d.Compute("cooling.rise", "temperature rise of the air, key down", rise,
			ledger.With{"P": total, "ρ": rho, "c_p": cp, "Q": flow})
		d.Compute("cooling.exit_temperature", "temperature of the air leaving", exitAir, ledger.With{"T_i": inlet, "ΔT": dt})
		r.blower(d)
	}
	r.seals(d, in)
	return r, nil
}

// requirement is one published airflow, per tube, at sea level.
type requirement struct {
	flow, pressure float64
	dissipation    float64
	source         string
	exact          bool // published for at least this dissipation; otherwise scaled up
}

// published picks the smallest published airflow that covers the dissipation
// [W]; where none does, the greatest is raised in proportion.
func published(t *tube.Type, dissipation float64) (requirement, bool) {
	var list []requirement
	for _, a := range t.Cooling.Air {
		if !a.Flow.Known || a.Where != "" && a.Where != "plate" && a.Where != "anode" || a.Altitude.Known && a.Altitude.Value > 0 {
			continue
		}
		p := a.Pressure.Value
		if a.PressureHigh.Known {
			p = a.PressureHigh.Value
		}
		w := a.Dissipation.Value
		if !a.Dissipation.Known {
			w = t.Limits.PlateDissipation.Value
		}
		list = append(list, requirement{a.Flow.Value, p, w, figureSource(t, a.Flow), true})
	}
	if len(list) == 0 {
		return requirement{}, false
	}
	sort.Slice(list, func(i, j int) bool { return list[i].dissipation < list[j].dissipation })
	for _, x := range list {
		if x.dissipation >= dissipation {
			return x, true
		}
	}
	x := list[len(list)-1]
	if k := dissipation / x.dissipation; x.dissipation > 0 && k > 1 {
		x.flow, x.pressure, x.exact = x.flow*k, x.pressure*k*k, false
	}
	return x, true
}

func (r *Result) fromSheet(d *desk.Desk, need requirement, state air.State, count, rho *ledger.Quantity) {
	q0 := d.Catalogue("cooling.published_airflow_each",
		fmt.Sprintf("published air for one tube at sea level, for %s of plate dissipation", desk.Show(need.dissipation, "W")),
		need.flow, "m³/s", need.source)
	p0 := d.Catalogue("cooling.published_pressure", "published back pressure at sea level", need.pressure, "Pa", need.source)
	factor := d.Solved("cooling.altitude_factor", "factor for altitude and inlet temperature",
		math.Max(1, air.Density(air.SeaLevelPressure, referenceInlet)/state.Density), "",
		ledger.Method{Words: ledger.Say("Density of air at sea level and 25 °C over the density at the inlet: the same mass of air " +
			"must pass. Never taken below 1."), Source: source.Atmosphere}, rho)
	r.factor = factor.Value
	r.Airflow = d.Compute("cooling.airflow", "air needed for all tubes", scaled, ledger.With{"n": count, "Q_0": q0, "a": factor})
	r.pressure = d.Compute("cooling.pressure", "back pressure at that flow", pressureScaled, ledger.With{"p_0": p0, "a": factor})
	if !need.exact {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "cooling.beyond_sheet", Stage: "cooling",
			Quantities: []string{"cooling.airflow"},
			Text: ledger.Say("The published air is for {dissipation} of plate dissipation and the tubes reach more; the figure here "+
				"is scaled up in proportion.", ledger.Of("dissipation", need.dissipation, "W")),
			Advice: ledger.Say("Bring the plate dissipation back into its rating first.")})
	}
}

// moves enters what the builder's blower moves through the tubes: where its
// curve, as far as it is given, meets the pressure that the tubes put against
// the air.
func (r *Result) moves(d *desk.Desk) {
	s := &d.Spec.Cooling
	var curve air.Curve
	var from []*ledger.Quantity
	point := func(flow, pressure float64) {
		curve = append(curve, air.Requirement{Flow: flow, Pressure: pressure / r.factor})
	}
	take := func(id, name, unit string, q spec.Quantity) {
		if q.Given {
			from = append(from, d.Take(id, name, unit, q))
		}
	}
	take("cooling.blower_airflow", "air that the blower gives", "m³/s", s.Airflow)
	take("cooling.blower_data_pressure", "pressure at which it does, by its data sheet", "Pa", s.Pressure)
	take("cooling.blower_free_airflow", "air that the blower moves with nothing in its way", "m³/s", s.Blower.FreeAirflow)
	take("cooling.blower_shut_off_pressure", "pressure of the blower with its outlet closed", "Pa", s.Blower.ShutOff)
	if len(from) == 0 {
		return
	}
	resisted := r.pressure != nil && r.pressure.Value > 0
	if s.Blower.ShutOff.Given {
		point(0, s.Blower.ShutOff.SI)
	}
	if s.Airflow.Given {
		point(s.Airflow.SI, s.Pressure.SI)
	}
	if s.Blower.FreeAirflow.Given && (resisted || !s.Airflow.Given) {
		point(s.Blower.FreeAirflow.SI, 0)
	}
	const name = "air that the blower moves through the tubes"
	free := s.Airflow.Given && (!s.Pressure.Given || s.Pressure.SI == 0 && !s.Blower.ShutOff.Given) // only its free air is known
	if !resisted || free || len(curve) == 1 && curve[0].Pressure == 0 {
		words := "The greatest that the spec gives: nothing is known of what stands in its way. At best."
		r.Moved = d.Solved("cooling.airflow_moved", name+", at best", curve[len(curve)-1].Flow, "m³/s", desk.Derived(words), from...)
		return
	}
	r.curve = len(curve) > 1
	from = append(from, r.Airflow, r.pressure)
	r.Moved = d.Solved("cooling.airflow_moved", name, curve.Moved(air.Requirement{Flow: r.Airflow.Value, Pressure: r.pressure.Value}),
		"m³/s", ledger.Method{
			Words: ledger.Say("Where the blower's curve meets the pressure that the tubes put against the air, which rises with the " +
				"square of the flow. Between the points of the curve that the spec gives it is a straight line; beyond them the " +
				"blower is " +
				"taken to give no more pressure and no more air than at the nearest, so that it moves at least this. Its pressures are " +
				"those of the data sheet over the factor for altitude and inlet temperature: they fall with the density of the air."),
			Source: source.AirHeat}, from...)
}

// without says what it means that there is no blower.
func (r *Result) without(d *desk.Desk, in Input) {
	f := ledger.Finding{ID: "cooling.blower", Stage: "cooling", Quantities: []string{"cooling.airflow", "cooling.heat"}}
	switch {
	case r.Needed:
		f.Severity = ledger.Exceeds
		f.Text = ledger.Say("There is no blower, and the {type} needs forced air: {airflow} through the sockets of all tubes. Without "+
			"it the seals fail, and the tubes are lost within seconds of full power.", ledger.Called("type", in.Type.Name),
			ledger.Q("airflow", r.Airflow))
		f.Advice = ledger.Say("Fit a blower with its air switch before the heaters are ever switched on; the heaters alone overheat " +
			"the seals.")
	case strings.Contains(in.Type.Cooling.Method, "air"):
		f.Severity = ledger.Caution
		f.Text = ledger.Say("There is no blower; the {type} is published with {method}. {cooling.heat} of heat must leave the cabinet "+
			"by its openings alone.", ledger.Called("type", in.Type.Name), ledger.Called("method", in.Type.Cooling.Method))
		f.Advice = ledger.Say("Give the light stream of air, or derate to what the data sheet allows without it.")
	case strings.HasPrefix(in.Type.Cooling.Method, "conduction"):
		f.Severity = ledger.Caution
		f.Text = ledger.Say("There is no blower: what the heat sinks of the plates do not take must leave the cabinet by its openings " +
			"alone, and the heat sinks must do without a stream of air.")
		f.Advice = ledger.Say("Take heat sinks rated for still air, let air in below and out above, and measure the seals in the " +
			"first hour.")
	default:
		f.Severity = ledger.Caution
		f.Text = ledger.Say("There is no blower: {cooling.heat} of heat must leave the cabinet by its openings alone, which this " +
			"report does not compute.")
		f.Advice = ledger.Say("Let air in below the tubes and out above them through openings of the whole width, and measure the " +
			"seals and the cabinet's air in the first hour.")
	}
	d.Find(f)
}

// blower holds the builder's blower against the air needed, or lists one to
// buy, and says how long it must run on.
func (r *Result) blower(d *desk.Desk) {
	s := d.Spec.Cooling
	run := d.Take("cooling.after_run", "blower runs on after switch-off", "s", s.AfterRun)
	r.AfterRun = run.Value
	given := r.Moved != nil
	if r.Forced || given {
		h := desk.Hold{Part: "B1", Name: "blower", Kind: "airflow", Stress: r.Airflow, Factor: d.Spec.Margins.Air,
			Why:    ledger.Say("air needed"),
			Advice: ledger.Say("A larger blower, or a second one; measure the pressure in the plenum with a water manometer.")}
		if given {
			h.Rating = r.Moved.Value
			if r.Moved.Value < r.Airflow.Value {
				h.Advice = ledger.Say("With {moved} the air that leaves reaches {cooling.exit_temperature} at full power without a "+
					"break. {advice}", ledger.Q("moved", r.Moved), ledger.In("advice", h.Advice))
			}
		}
		d.Check(h)
		rating := ledger.Say("{round_up}", ledger.Of("round_up", quantity.RoundUp(r.Airflow.Value*d.Spec.Margins.Air.Value, "m³/h", 3),
			"m³/h"))
		if p := r.pressure; p != nil {
			rating = rating.Then(ledger.Say("at {round_up} by its data sheet",
				ledger.Of("round_up", quantity.RoundUp(p.Value*r.factor, "Pa", 3), "Pa")))
			switch {
			case r.curve: // where it meets the tubes says both
			case s.Pressure.Given:
				data := d.Get("cooling.blower_data_pressure")
				have := d.Compute("cooling.blower_pressure", "pressure that the blower gives in this air", thinner,
					ledger.With{"p_0": data, "a": d.Get("cooling.altitude_factor")})
				rated := s.Pressure
				rated.SI = have.Value
				d.Check(desk.Hold{Part: "B1", Name: "blower", Kind: "pressure", Stress: p, Have: rated,
					Why:    ledger.Say("back pressure of sockets and chimneys"),
					Advice: ledger.Say("Choose a blower by its curve: at the back pressure, not in free air.")})
			case given:
				d.Find(ledger.Finding{Severity: ledger.Caution, ID: "cooling.blower_pressure", Stage: "cooling",
					Quantities: []string{p.ID},
					Text: ledger.Say("The blower's air is given without its pressure; sockets, coolers and chimneys need {p}, and "+
						"most small blowers give little or nothing there.", ledger.Q("p", p)),
					Advice: ledger.Say("Read the blower's curve at that pressure and write it as cooling.airflow and cooling.pressure.")})
			}
		}
		d.Part(ledger.Part{Designator: "B1", Name: "blower",
			Value:  ledger.Say("{round_up}", ledger.Of("round_up", quantity.RoundUp(r.Airflow.Value, "m³/h", 3), "m³/h")),
			Rating: rating, Stage: "cooling", Given: given,
			Note: ledger.Say("interlock it: no air, no heater and no high voltage; it runs on after switch-off until the tubes are cool")})
	}
	if !r.Forced {
		return
	}
	d.Find(ledger.Finding{Severity: ledger.Note, ID: "cooling.after_run", Stage: "cooling", Quantities: []string{run.ID},
		Text: ledger.Say("The tubes need air whenever the heaters are on, standby included, and for {cooling.after_run} after " +
			"switch-off: glass, seals and cooler still hold the heat of the last transmission."),
		Advice: ledger.Say("Feed the blower from before the main switch's high-voltage contact, with a timer or a thermostat on the " +
			"plenum; longer after data or tuning. After a mains failure leave the tubes alone until they are cold.")})
}

func figureSource(t *tube.Type, f tube.Figure) string {
	if s, ok := t.Sources[f.Source]; ok {
		return s
	}
	return t.Name + " data sheet"
}
