// Package operating is the tube stage: it chooses the bias, finds the
// operating point that gives the output wanted, and holds the tubes against
// their ratings for one tone, two tones, speech and idling.
//
// It assumes what package tube assumes, and that all tubes are alike unless a
// mismatch is stated.
package operating

import (
	"fmt"
	"sort"

	"anodebook/compute/physics/tube"
	"anodebook/compute/physics/tube/custom"
	"anodebook/spec"
)

// ChooseType finds the tube that the spec names in the catalogue, or makes it of
// the builder's own description. The errors are spec.Problems: a type with no
// model, or figures of the builder's own that contradict each other.
func ChooseType(s *spec.Spec) (*tube.Type, error) {
	t, err := chooseType(s)
	if err != nil || !s.Tubes.Perveance.Given {
		return t, err
	}
	worn := *t // the type itself stays as it is published
	worn.Model.K *= s.Tubes.Perveance.Value
	return &worn, nil
}

func chooseType(s *spec.Spec) (*tube.Type, error) {
	name := s.Tubes.Type
	if name.Value == spec.CustomType {
		return custom.New(s)
	}
	t, ok := tube.Lookup(name.Value)
	if !ok {
		return nil, fmt.Errorf("tube type %q is not in the catalogue", name.Value)
	}
	if t.Kind == tube.NoModel {
		return nil, spec.Problems{{File: s.File, Position: name.Position, Key: name.Key,
			What: fmt.Sprintf("nothing published about the %s is known on which an operating point could be founded", t.Name),
			Hint: "anodebook tubes lists the types that have a model; with figures of your own, describe the tube under [tubes.custom]"}}
	}
	return t, nil
}

// publishedBias interpolates the bias of the published columns and idle points
// over the plate voltage; outside their range the nearest holds. It is false
// where none is published.
func publishedBias(t *tube.Type, plateVoltage float64) (float64, bool) {
	type point struct{ v, bias float64 }
	var ps []point
	for _, c := range t.Columns {
		if c.PlateVoltage.Known && c.Bias.Known {
			ps = append(ps, point{c.PlateVoltage.Value, c.Bias.Value})
		}
	}
	for _, i := range t.Idle {
		if t.Own && len(ps) > 0 {
			break // a builder's idle reading may be at any bias
		}
		ps = append(ps, point{i.PlateVoltage, i.Bias})
	}
	if len(ps) == 0 {
		return 0, false
	}
	sort.Slice(ps, func(i, j int) bool {
		if ps[i].v != ps[j].v {
			return ps[i].v < ps[j].v
		}
		return ps[i].bias < ps[j].bias
	})
	if plateVoltage <= ps[0].v {
		return ps[0].bias, true
	}
	for i := 1; i < len(ps); i++ {
		if plateVoltage <= ps[i].v && ps[i].v > ps[i-1].v {
			x := (plateVoltage - ps[i-1].v) / (ps[i].v - ps[i-1].v)
			return ps[i-1].bias + x*(ps[i].bias-ps[i-1].bias), true
		}
	}
	return ps[len(ps)-1].bias, true
}

// Floor is the lowest plate voltage of the cycle [V, to ground]: the spec's, or
// the default of package tube.
func Floor(s *spec.Spec, plateVoltage float64) float64 {
	if s.Tubes.PlateFloor.Given {
		return s.Tubes.PlateFloor.SI
	}
	return tube.DefaultPlateFloor(plateVoltage)
}
