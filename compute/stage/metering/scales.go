package metering

import (
	"fmt"

	"anodebook/compute/desk"
	"anodebook/spec"
)

// Scales returns problems of the spec where a current meter is asked for a full
// scale that its movement has passed without any shunt.
func Scales(s *spec.Spec) error {
	m := &s.Metering
	var ps spec.Problems
	for _, x := range []struct {
		name  string
		scale spec.Quantity
	}{{"plate", m.PlateScale}, {"grid", m.GridScale}} {
		if !x.scale.Given || x.scale.SI > m.Movement.SI*(1+1e-9) {
			continue
		}
		ps = append(ps, spec.Problem{File: s.File, Position: x.scale.Position, Key: x.scale.Key,
			What: fmt.Sprintf("a full scale of %s leaves nothing for a shunt: the movement alone takes %s, and without a shunt it "+
				"would break the "+
				"negative lead when it opens", desk.Show(x.scale.SI, "A"), desk.Show(m.Movement.SI, "A")),
			Hint: fmt.Sprintf("a scale of twice %s (metering.movement) or more, or a more sensitive movement",
				desk.Show(m.Movement.SI, "A"))})
	}
	if len(ps) > 0 {
		return ps
	}
	return nil
}
