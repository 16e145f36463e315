package operating

import (
	"fmt"

	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
	"anodebook/spec"
)

// Input is what the stage gets.
type Input struct {
	Type           *tube.Type
	PlateVoltage   float64 // at full output, from supply and tubes solved together [V]
	Coupled        bool    // the supply's own transformer fixed the plate voltage; otherwise the spec did
	Residual       float64 // what supply and tubes still disagree by [V]
	Bias           Bias
	Point          tube.Point // one tube
	Feed           Feed       // the supply, with which idling and the averages agree
	TankEfficiency float64    // of the worst band [1]
	WorstBand      string
}

// Result is what later stages and the figures need.
type Result struct {
	Type  *tube.Type
	Model tube.Model
	N     int
	Point tube.Point // one tube, single tone at full output
	Idle  tube.Point // one tube, at the voltage that the supply gives at the idle current
	Feed  Feed

	PlateVoltage, BiasVoltage                 *ledger.Quantity
	PlateCurrent, GridCurrent, IdleCurrent    *ledger.Quantity // all tubes
	CathodeCurrent                            *ledger.Quantity // plate and grid current, all tubes
	PlateCurrentEffective                     *ledger.Quantity // root mean square over the service, all tubes
	PlateCurrentTwoTone                       *ledger.Quantity
	PlateLoad, PlateSwing, PlateOutput        *ledger.Quantity
	DrivePower, DriveVoltage, InputResistance *ledger.Quantity
	PlateDissipationEach, GridDissipationEach *ledger.Quantity
	PlateDissipationAverageEach               *ledger.Quantity
	Output, TankEfficiency                    *ledger.Quantity
	Hand                                      tube.HandTable
	Harmonics                                 []float64 // plate current of all tubes, harmonic 1…7, peak [A]
}

// FindPoint finds the operating point of one tube for what the spec wants: an
// output at the antenna connector behind a tank of the efficiency given [1], a
// plate current, or a drive power.
func FindPoint(s *spec.Spec, t *tube.Type, plateVoltage float64, b Bias, efficiency float64) (tube.Point, error) {
	n, floor := float64(s.Tubes.Count.N), Floor(s, plateVoltage)
	switch {
	case s.Target.PlateCurrent.Given:
		return tube.ForPlateCurrent(t.Model, plateVoltage, b.Voltage, s.Target.PlateCurrent.SI/n, floor)
	case s.Target.Drive.Given:
		return tube.ForDrive(t.Model, plateVoltage, b.Voltage, s.Target.Drive.SI/n, floor)
	}
	return tube.ForOutput(t.Model, plateVoltage, b.Voltage, s.Target.Output.SI/efficiency/n, floor)
}

var fourier = ledger.Method{
	Words: ledger.Say("Found numerically: drive and swing are set so that output, plate current or drive is the one wanted, then the " +
		"currents of the static model are sampled over one cycle and split into their Fourier components."),
	Source: source.Terman,
}

// Solve enters the operating point, its checks and its ratings.
func Solve(d *desk.Desk, in Input) (Result, error) {
	s, t, p := d.Spec, in.Type, in.Point
	r := Result{Type: t, Model: t.Model, N: s.Tubes.Count.N, Point: p, Feed: in.Feed}
	n := float64(r.N)
	count := d.TakeCount("tubes.count", "number of tubes", s.Tubes.Count)
	r.model(d)

	r.TankEfficiency = d.Solved("antenna.tank_efficiency", "efficiency of the tank on its worst band", in.TankEfficiency, "",
		ledger.Method{Words: ledger.Say("From the tank of the {worst_band}, the least efficient; tank and operating point are solved "+
			"in turn until neither moves.", ledger.Called("worst_band", bandName(in.WorstBand))), Source: source.CircuitLaws})
	switch {
	case s.Target.PlateCurrent.Given:
		q := d.Take("tubes.plate_current_target", "plate current wanted, all tubes", "A", s.Target.PlateCurrent)
		r.PlateOutput = d.Solved("tubes.plate_output", "power delivered by the plates", n*p.Output, "W", fourier, q)
	case s.Target.Drive.Given:
		q := d.Take("tubes.drive_target", "drive power wanted at the cathodes", "W", s.Target.Drive)
		r.PlateOutput = d.Solved("tubes.plate_output", "power delivered by the plates", n*p.Output, "W", fourier, q)
	default:
		q := d.Take("antenna.output_target", "output wanted at the antenna connector (PEP)", "W", s.Target.Output)
		r.PlateOutput = d.Compute("tubes.plate_output", "power delivered by the plates", plateOutput,
			ledger.With{"P_ant": q, "η_tank": r.TankEfficiency})
	}

	if in.Coupled {
		r.PlateVoltage = d.Solved("tubes.plate_voltage", "plate voltage at full output", in.PlateVoltage, "V",
			ledger.Method{Words: ledger.Say("Supply and tubes solved together until plate voltage and plate current agree; what is "+
				"left is {residual}.", ledger.Of("residual", in.Residual, "V")), Source: source.CircuitLaws})
	} else {
		r.PlateVoltage = d.Take("tubes.plate_voltage", "plate voltage at full output", "V", s.Supply.PlateVoltage)
	}
	r.enterBias(d, in.Bias)

	floor := d.TakeOr("tubes.minimum_plate_voltage", "lowest plate voltage in the cycle, to ground", "V", s.Tubes.PlateFloor,
		Floor(s, in.PlateVoltage),
		ledger.Say("0.16 of the plate voltage, as in most published columns: low enough for efficiency, above the highest grid voltage"))
	r.PlateSwing = d.Compute("tubes.plate_swing", "plate voltage swing, peak", plateSwing,
		ledger.With{"V_b": r.PlateVoltage, "V_min": floor})

	r.DriveVoltage = d.Solved("tubes.cathode_drive_voltage", "drive voltage at the cathodes, peak", p.DriveVoltage, "V", fourier,
		r.PlateOutput, r.PlateSwing, r.BiasVoltage)
	one := func(id, name string, v float64) *ledger.Quantity {
		return d.Solved(id+"_each", name+" of each tube", v, "A", fourier, r.DriveVoltage, r.PlateSwing)
	}
	each := [...]*ledger.Quantity{
		one("tubes.plate_current", "plate current", p.PlateCurrent()),
		one("tubes.plate_current_fundamental", "fundamental plate current, peak,", p.Plate[1]),
		one("tubes.grid_current", "grid current", p.GridCurrent()),
		one("tubes.grid_current_fundamental", "fundamental grid current, peak,", p.Grid[1]),
	}
	all := func(i int, id, name string) *ledger.Quantity {
		return d.Compute(id, name+", all tubes", total, ledger.With{"n": count, "I_each": each[i]})
	}
	ip := all(0, "tubes.plate_current", "plate current")
	ip1 := all(1, "tubes.plate_current_fundamental", "fundamental plate current, peak")
	ig := all(2, "tubes.grid_current", "grid current")
	ig1 := all(3, "tubes.grid_current_fundamental", "fundamental grid current, peak")
	r.PlateCurrent, r.GridCurrent = ip, ig

	r.CathodeCurrent = d.Compute("tubes.cathode_current", "cathode current, all tubes", cathodeSum, ledger.With{"I_p": ip, "I_g": ig})

	r.PlateLoad = d.Compute("tubes.plate_load", "plate load", plateLoad, ledger.With{"V_p1": r.PlateSwing, "I_p1": ip1})
	d.Compute("tubes.plate_output_check", "power delivered by the plates, checked from swing and current", outputCheck,
		ledger.With{"V_p1": r.PlateSwing, "I_p1": ip1})
	r.DrivePower = d.Compute("tubes.drive_power", "drive power at the cathodes", drivePower,
		ledger.With{"V_d": r.DriveVoltage, "I_p1": ip1, "I_g1": ig1})
	r.InputResistance = d.Compute("tubes.input_resistance", "input resistance, cathodes in parallel", inputResistance,
		ledger.With{"V_d": r.DriveVoltage, "I_p1": ip1, "I_g1": ig1})
	d.Compute("tubes.fed_through_power", "drive that appears in the output", fedThrough,
		ledger.With{"V_d": r.DriveVoltage, "I_p1": ip1})
	pin := d.Compute("tubes.plate_input", "direct-current input", plateInput, ledger.With{"V_b": r.PlateVoltage, "I_p": ip})
	d.Compute("tubes.efficiency", "plate efficiency", efficiency, ledger.With{"P_out": r.PlateOutput, "P_in": pin})
	d.Compute("tubes.power_gain", "power gain of the tubes", powerGain, ledger.With{"P_out": r.PlateOutput, "P_d": r.DrivePower})

	r.PlateDissipationEach = d.Solved("tubes.plate_dissipation_each", "plate dissipation of each tube, single tone", p.PlateDissipation,
		"W",
		ledger.Method{Words: ledger.Say("Mean of plate-to-cathode voltage times plate current over the cycle."), Source: source.Terman},
		r.PlateSwing, ip)
	r.GridDissipationEach = d.Solved("tubes.grid_dissipation_each", "grid dissipation of each tube, single tone", p.GridDissipation,
		"W",
		ledger.Method{Words: ledger.Say("Mean of grid-to-cathode voltage times grid current over the cycle."), Source: source.Terman},
		r.DriveVoltage, ig)
	pg := d.Solved("tubes.grid_dissipation", "grid dissipation, all tubes", n*p.GridDissipation, "W",
		desk.Derived("The grid dissipation of one tube times the number of tubes."), r.GridDissipationEach)
	pk := d.Compute("tubes.bias_heat", "heat in the bias device at full output", biasHeat,
		ledger.With{"V_k": r.BiasVoltage, "I_k": r.CathodeCurrent})
	d.Compute("tubes.plate_dissipation_by_balance", "plate dissipation of each tube, checked by the energy balance",
		dissipationByBalance,
		ledger.With{"P_in": pin, "P_d": r.DrivePower, "P_out": r.PlateOutput, "P_g": pg, "P_k": pk, "n": count})
	d.Solved("tubes.energy_balance", "what is left of the energy balance, as a fraction", p.Balance(), "",
		desk.Derived("Input and drive, less output, plate, grid and bias heat, over the sum of all of them; only rounding may remain."))
	d.Compute("tubes.load_factor", "load factor by the handbook rule", loadFactor,
		ledger.With{"V_b": r.PlateVoltage, "R_p": r.PlateLoad, "I_p": ip})
	gp := d.Compute("tubes.peak_grid_voltage", "highest grid-to-cathode voltage", peakGrid,
		ledger.With{"V_d": r.DriveVoltage, "V_k": r.BiasVoltage})
	d.Solved("tubes.minimum_plate_to_cathode_voltage", "lowest plate-to-cathode voltage", p.MinimumPlateToCathode, "V",
		desk.Derived("Lowest plate voltage to ground, plus the grid-to-cathode voltage at the same instant."), floor, gp)
	d.Solved("tubes.peak_cathode_current_each", "peak cathode current of each tube", p.PeakCathodeCurrent, "A", fourier, r.DriveVoltage)
	d.Solved("tubes.conduction_angle", "conduction angle of the cathode current (above 1 % of its peak)", p.ConductionAngle, "°",
		fourier, r.DriveVoltage)
	r.Output = d.Compute("antenna.output_power", "peak envelope power at the antenna connector, worst band", antennaPower,
		ledger.With{"P_out": r.PlateOutput, "η_tank": r.TankEfficiency})

	for k := 1; k < tube.Harmonics; k++ {
		r.Harmonics = append(r.Harmonics, n*p.Plate[k])
		if k > 1 {
			d.Solved(fmt.Sprintf("tubes.plate_current_harmonic%d", k), fmt.Sprintf("plate current at %d times the frequency, peak", k),
				n*p.Plate[k], "A", fourier, r.DriveVoltage)
		}
	}
	r.hand(d)
	if err := r.idle(d, in.Bias, count); err != nil {
		return r, err
	}
	if err := r.averages(d); err != nil {
		return r, err
	}
	r.idleFindings(d, in.Bias)
	r.mismatch(d)
	r.ratings(d)
	return r, nil
}

// model enters the five numbers of the static model.
func (r *Result) model(d *desk.Desk) {
	m, how := r.Model, "fitted to the published columns of the "+r.Type.Name+"; see anodebook tubes "+r.Type.Name
	switch {
	case r.Type.Own:
		how = r.ownModel(d)
	case r.Type.Kind == tube.Estimate:
		how = "estimate for the " + r.Type.Name + " from its amplification factor and one point: no grounded-grid column is known"
		d.Find(ledger.Finding{Severity: ledger.Caution, ID: "tubes.model.estimate", Stage: "tubes",
			Text: ledger.Say("No published grounded-grid column of the {type} is known: its static model is an estimate, and every "+
				"figure that rests on it may be off by a quarter.", ledger.Called("type", r.Type.Name)),
			Advice: ledger.Say("Take readings at reduced drive and compare before full output.")})
	}
	enter := func(id, name string, v float64, unit string) {
		if r.Type.Own {
			d.Solved(id, name, v, unit, ledger.Method{Words: ledger.Say("{how}. The figures stand in the spec.",
				ledger.Called("how", capital(how))), Source: source.OwnFit})
			return
		}
		d.Catalogue(id, name, v, unit, how)
	}
	enter("tubes.model.k_each", "perveance K of one tube (A/V^x)", m.K, "")
	enter("tubes.model.mu", "amplification factor µ of the model", m.Mu, "")
	enter("tubes.model.exponent", "exponent x of the model", m.Exponent, "")
	enter("tubes.model.division", "current division D of the model", m.Division, "")
	enter("tubes.model.softness", "softness s of the cut-off", m.Softness, "V")
}

func (r *Result) enterBias(d *desk.Desk, b Bias) {
	s := d.Spec.Bias
	switch {
	case s.Voltage.Given:
		r.BiasVoltage = d.Take("tubes.bias_voltage", "cathode bias", "V", s.Voltage)
	case s.IdleCurrent.Given:
		want := d.Take("tubes.idle_current_wanted", "idle plate current wanted, all tubes", "A", s.IdleCurrent)
		r.BiasVoltage = d.Solved("tubes.bias_voltage", "cathode bias", b.Voltage, "V",
			ledger.Method{Words: ledger.Say("The bias at which the static model idles at the current wanted, at the plate voltage " +
				"that the supply gives at that current."), Source: source.TubeFit}, want)
	default:
		r.BiasVoltage = d.Assume("tubes.bias_voltage", "cathode bias", b.Voltage, "V", "bias.voltage",
			ledger.Literal(b.Reason))
	}
}

// hand enters the pencil-and-paper analysis.
func (r *Result) hand(d *desk.Desk) {
	r.Hand = tube.Hand(r.Model, r.Point.Conditions)
	m := ledger.Method{Words: ledger.Say("The 13-point analysis with ordinates every 15°, as one would do it on the constant-current " +
		"chart; the table stands below."), Source: source.Chaffee}
	n := float64(r.N)
	d.Solved("tubes.plate_current_by_hand", "plate current, all tubes, by the 13-point analysis", n*r.Hand.Plate.Mean, "A", m)
	d.Solved("tubes.plate_output_by_hand", "power delivered by the plates, by the 13-point analysis", n*r.Hand.Output, "W", m)
}

func bandName(b string) string {
	if len(b) > 1 {
		return b[:len(b)-1] + " m band"
	}
	return b
}
