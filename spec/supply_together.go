package spec

import "slices"

// capacitorInputs and chokeInputs are the words of supply.rectifier without and
// with a choke between rectifier and filter bank; together they are all.
var (
	capacitorInputs = []string{"bridge", "centre-tap", "doubler"}
	chokeInputs     = []string{"choke-input", "choke-input-centre-tap"}
)

// ChokeInput says that a choke lies between rectifier and filter bank; false
// where the word was refused.
func (s Supply) ChokeInput() bool { return slices.Contains(chokeInputs, s.Rectifier.Value) }

// supplyTogether checks what needs more than one key of the supply.
func (r *reader) supplyTogether() {
	s := &r.spec.Supply
	c := &s.Choke
	if !s.ChokeInput() {
		for _, q := range []Quantity{c.Inductance, c.LoadedInductance, c.Resistance, c.Current, c.Voltage} {
			if q.Given {
				r.problem(q.Origin, "a rectifier with capacitor input has no choke",
					`under [supply] write rectifier = "choke-input" (bridge) or "choke-input-centre-tap", or delete [supply.choke]`)
				break
			}
		}
	}
	if c.LoadedInductance.Given && !c.Inductance.Given {
		r.problem(c.LoadedInductance.Origin, "a swinging choke has two inductances, and the one at light load is missing",
			`write supply.choke.inductance, at a tenth of the rated current`)
	}
	if c.LoadedInductance.Given && c.Inductance.Given && c.LoadedInductance.SI > c.Inductance.SI {
		r.problem(c.LoadedInductance.Origin,
			"a choke's inductance falls with current, so it is not above supply.choke.inductance, "+plain(c.Inductance.SI, "H"),
			"exchange the two")
	}
	if s.Transformer.Leakage.Given && s.Transformer.ShortCircuit.Given {
		r.problem(s.Transformer.ShortCircuit.Origin, "leakage_inductance is written too, and one follows from the other",
			"keep one of the two and delete the other")
	}
}

// coolingTogether checks what needs more than one key of the cooling: one point
// of the blower's curve is an airflow with its pressure, and a curve falls.
func (r *reader) coolingTogether() {
	c := &r.spec.Cooling
	b := &c.Blower
	if b.Fitted.Denied() {
		for _, q := range []Quantity{c.Airflow, c.Pressure, c.AfterRun} {
			if q.Given {
				r.problem(q.Origin, "cooling.blower.fitted = false says that there is no blower",
					"delete this key, or delete fitted = false")
			}
		}
		r.spec.forget("cooling.after_run")
		return
	}
	if c.Pressure.Given && !c.Airflow.Given {
		r.problem(c.Pressure.Origin, "it is the back pressure at which the blower gives cooling.airflow, and that is missing",
			"write cooling.airflow, or delete this key; the pressure with the outlet closed is cooling.blower.shut_off_pressure")
	}
	curve := b.FreeAirflow
	if !curve.Given {
		curve = b.ShutOff
	}
	if curve.Given && c.Airflow.Given && !c.Pressure.Given {
		r.problem(c.Airflow.Origin, "it is a point of the blower's curve, and its pressure is missing",
			"write cooling.pressure; the air with nothing in its way is cooling.blower.free_airflow")
	}
	if b.FreeAirflow.Given && c.Airflow.Given && b.FreeAirflow.SI < c.Airflow.SI {
		r.problem(b.FreeAirflow.Origin, "with nothing in its way a blower moves no less than cooling.airflow, "+plain(c.Airflow.SI,
			"m³/h"), "exchange the two")
	}
	if b.ShutOff.Given && c.Pressure.Given && b.ShutOff.SI < c.Pressure.SI {
		r.problem(b.ShutOff.Origin, "with its outlet closed a blower makes no less than cooling.pressure, "+plain(c.Pressure.SI, "Pa"),
			"exchange the two")
	}
	if b.ShutOff.Given && !b.FreeAirflow.Given && !c.Airflow.Given {
		r.problem(b.ShutOff.Origin, "the pressure of a blower with its outlet closed says nothing of its air",
			"write cooling.blower.free_airflow, or cooling.airflow with cooling.pressure, or delete this key")
	}
}
