package desk

import (
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
)

// Tubes is the number of tubes in parallel: that of an earlier stage, or else
// taken from the spec and entered as one of the stage.
func (d *Desk) Tubes(stage string) *ledger.Quantity {
	if q, ok := d.Lookup("tubes.count"); ok {
		return q
	}
	return d.TakeCount(stage+".tubes", "tubes in parallel", d.Spec.Tubes.Count)
}

// CapacitanceEach enters the "input" or "output" capacitance of one tube for a
// stage: the published figure of the type, or else the usual one [F], which
// the stage's stray capacitance can correct.
func (d *Desk) CapacitanceEach(stage, which string, t *tube.Type, published tube.Figure, usual float64) *ledger.Quantity {
	id, name := stage+"."+which+"_capacitance_each", which+" capacitance of one tube"
	if published.Known {
		return d.Catalogue(id, name, published.Value, "F", t.Where(published))
	}
	return d.Assume(id, name, usual, "F", stage+".stray_capacitance",
		ledger.Say("no {which} capacitance of this type is published here; a common figure for tubes of this size stands in, and the "+
			"stray capacitance can correct it", ledger.Called("which", which)))
}
