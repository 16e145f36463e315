package spec

import "strings"

// ChokeInput says that a choke lies between rectifier and filter bank.
func (s Supply) ChokeInput() bool { return strings.HasPrefix(s.Rectifier.Value, "choke-input") }

// supplyTogether checks what needs more than one key of the supply.
func (r *reader) supplyTogether() {
	s := &r.spec.Supply
	c := &s.Choke
	if !s.ChokeInput() {
		for _, q := range []Quantity{c.Inductance, c.LoadedInductance, c.Resistance, c.Current, c.Voltage} {
			if q.Given {
				r.problem(q.Origin, "a rectifier with capacitor input has no choke", `under [supply] write rectifier = "choke-input" (bridge) or "choke-input-centre-tap", or delete [supply.choke]`)
				break
			}
		}
	}
	if c.LoadedInductance.Given && !c.Inductance.Given {
		r.problem(c.LoadedInductance.Origin, "a swinging choke has two inductances, and the one at light load is missing", `write supply.choke.inductance, at a tenth of the rated current`)
	}
	if c.LoadedInductance.Given && c.Inductance.Given && c.LoadedInductance.SI > c.Inductance.SI {
		r.problem(c.LoadedInductance.Origin, "a choke's inductance falls with current, so it is not above supply.choke.inductance, "+plain(c.Inductance.SI, "H"), "exchange the two")
	}
	if s.Transformer.Leakage.Given && s.Transformer.ShortCircuit.Given {
		r.problem(s.Transformer.ShortCircuit.Origin, "leakage_inductance is written too, and one follows from the other", "keep one of the two and delete the other")
	}
}
