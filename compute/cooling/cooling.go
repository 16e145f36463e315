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

	"anodebook/compute/air"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/source"
	"anodebook/compute/tube"
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
	Airflow *ledger.Quantity // all tubes [m³/s]
	Forced  bool             // the type needs a blower
}

var (
	heat = ledger.MustFormula("P = n * (P_pe + P_ge + V_f * I_f)", source.CircuitLaws,
		"P [W] heat of all tubes, key down", "n [] number of tubes", "P_pe [W] plate dissipation of each tube", "P_ge [W] grid dissipation of each tube",
		"V_f [V] heater voltage", "I_f [A] heater current of each tube")
	flowForRise = ledger.MustFormula("Q = P / (ρ * c_p * ΔT)", source.AirHeat,
		"Q [m³/s] air at the inlet", "P [W] heat of all tubes, key down", "ρ [kg/m³] density of the air at the inlet", "c_p [J/(kg·K)] specific heat of air", "ΔT [K] temperature rise of the air")
	rise = ledger.MustFormula("ΔT = P / (ρ * c_p * Q)", source.AirHeat,
		"ΔT [K] temperature rise of the air", "P [W] heat of all tubes, key down", "ρ [kg/m³] density of the air at the inlet", "c_p [J/(kg·K)] specific heat of air", "Q [m³/s] air at the inlet")
	scaled = ledger.MustFormula("Q = n * Q_0 * a", source.Airflow,
		"Q [m³/s] air for all tubes", "n [] number of tubes", "Q_0 [m³/s] published air for one tube at sea level", "a [] factor for altitude and inlet temperature")
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
		ledger.Method{Words: "Pressure of the standard atmosphere at the altitude, with the inlet temperature, as an ideal gas.", Source: source.Atmosphere}, altitude, inlet)
	cp := d.Catalogue("cooling.specific_heat", "specific heat of air", air.SpecificHeat, "J/(kg·K)", "dry air near room temperature")
	count := d.Catalogue("cooling.tubes", "number of tubes", float64(in.Tubes), "", "spec")
	vf := d.Catalogue("cooling.heater_voltage", "heater voltage", t.Heater.Voltage.Value, "V", figureSource(t, t.Heater.Voltage))
	cur := d.Catalogue("cooling.heater_current_each", "heater current of each tube", t.Heater.Current.Value, "A", figureSource(t, t.Heater.Current))
	total := d.Compute("cooling.heat", "heat of all tubes, key down", heat, ledger.With{"n": count, "P_pe": in.PlateDissipationEach, "P_ge": in.GridDissipationEach, "V_f": vf, "I_f": cur})

	r := Result{}
	if need, ok := published(t, in.PlateDissipationEach.Value); ok {
		r.Forced = true
		r.fromSheet(d, in, need, state, count, rho, cp, total)
	} else {
		dt := d.Take("cooling.rise_wanted", "rise of the air's temperature wanted", "K", s.Rise)
		r.Airflow = d.Compute("cooling.airflow", "air through the cabinet", flowForRise, ledger.With{"P": total, "ρ": rho, "c_p": cp, "ΔT": dt})
		d.Solved("cooling.exit_temperature", "temperature of the air leaving", inlet.Value+dt.Value, "°C", desk.Derived("Inlet temperature plus rise."), inlet, dt)
		d.Find(ledger.Finding{Severity: ledger.Note, ID: "cooling.no_published_air", Stage: "cooling", Quantities: []string{"cooling.airflow"},
			Text:   fmt.Sprintf("No required airflow of the %s is known here; the air named carries the heat out of the cabinet with the rise wanted.", t.Name),
			Advice: "Follow the maker's data sheet for the seals and the envelope, and leave the space round the tubes free."})
	}
	r.Forced = r.Forced || strings.Contains(t.Cooling.Method, "forced air") && !Radiates(t)
	r.blower(d, in)
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

func (r *Result) fromSheet(d *desk.Desk, in Input, need requirement, state air.State, count, rho, cp, total *ledger.Quantity) {
	q0 := d.Catalogue("cooling.published_airflow_each", fmt.Sprintf("published air for one tube at sea level, for %s of plate dissipation", desk.Show(need.dissipation, "W")), need.flow, "m³/s", need.source)
	p0 := d.Catalogue("cooling.published_pressure", "published back pressure at sea level", need.pressure, "Pa", need.source)
	factor := d.Solved("cooling.altitude_factor", "factor for altitude and inlet temperature", math.Max(1, air.Density(air.SeaLevelPressure, referenceInlet)/state.Density), "",
		ledger.Method{Words: "Density of air at sea level and 25 °C over the density at the inlet: the same mass of air must pass. Never taken below 1.", Source: source.Atmosphere}, rho)
	r.Airflow = d.Compute("cooling.airflow", "air needed for all tubes", scaled, ledger.With{"n": count, "Q_0": q0, "a": factor})
	d.Compute("cooling.pressure", "back pressure at that flow", pressureScaled, ledger.With{"p_0": p0, "a": factor})
	dt := d.Compute("cooling.rise", "temperature rise of the air, key down", rise, ledger.With{"P": total, "ρ": rho, "c_p": cp, "Q": r.Airflow})
	d.Solved("cooling.exit_temperature", "temperature of the air leaving", d.Get("cooling.inlet_temperature").Value+dt.Value, "°C", desk.Derived("Inlet temperature plus rise, key down without a break."), d.Get("cooling.inlet_temperature"), dt)
	if !need.exact {
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "cooling.beyond_sheet", Stage: "cooling", Quantities: []string{"cooling.airflow"},
			Text:   fmt.Sprintf("The published air is for %s of plate dissipation and the tubes reach more; the figure here is scaled up in proportion.", desk.Show(need.dissipation, "W")),
			Advice: "Bring the plate dissipation back into its rating first."})
	}
}

// blower holds the builder's blower against the air needed, or lists one to
// buy, and says how long it must run on.
func (r *Result) blower(d *desk.Desk, in Input) {
	s := d.Spec.Cooling
	run := d.Take("cooling.after_run", "blower runs on after switch-off", "s", s.AfterRun)
	given := s.Airflow.Given
	if r.Forced || given {
		d.Check(desk.Hold{Part: "B1", Name: "blower", Kind: "airflow", Stress: r.Airflow, Have: s.Airflow, Factor: d.Spec.Margins.Air,
			Why: "air needed", Advice: "A larger blower, or a second one; measure the pressure in the plenum with a water manometer."})
		rating := desk.Show(r.Airflow.Value*d.Spec.Margins.Air.Value, "m³/s")
		if p, ok := d.Lookup("cooling.pressure"); ok {
			rating += " at " + p.Text()
			if s.Pressure.Given {
				d.Check(desk.Hold{Part: "B1", Name: "blower", Kind: "pressure", Stress: p, Have: s.Pressure, Why: "back pressure of sockets and chimneys",
					Advice: "Choose a blower by its curve: at the back pressure, not in free air."})
			} else if given {
				d.Find(ledger.Finding{Severity: ledger.Caution, ID: "cooling.blower_pressure", Stage: "cooling", Quantities: []string{p.ID},
					Text:   fmt.Sprintf("The blower's air is given without its pressure; sockets, coolers and chimneys need %s, and most small blowers give little or nothing there.", p.Text()),
					Advice: "Read the blower's curve at that pressure and write it as cooling.airflow and cooling.pressure."})
			}
		}
		d.Part(ledger.Part{Designator: "B1", Name: "blower", Value: desk.Show(r.Airflow.Value, "m³/s"), Rating: rating, Stage: "cooling", Given: given,
			Note: "interlock it: no air, no heater and no high voltage; it runs on after switch-off until the tubes are cool"})
	}
	if !r.Forced {
		return
	}
	d.Find(ledger.Finding{Severity: ledger.Note, ID: "cooling.after_run", Stage: "cooling", Quantities: []string{run.ID},
		Text:   fmt.Sprintf("The tubes need air whenever the heaters are on, standby included, and for %s after switch-off: glass, seals and cooler still hold the heat of the last transmission.", run.Text()),
		Advice: "Feed the blower from before the main switch's high-voltage contact, with a timer or a thermostat on the plenum; longer after data or tuning. After a mains failure leave the tubes alone until they are cold."})
}

func figureSource(t *tube.Type, f tube.Figure) string {
	if s, ok := t.Sources[f.Source]; ok {
		return s
	}
	return t.Name + " data sheet"
}
