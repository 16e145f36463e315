// Package operating is the tube stage: it chooses the bias, finds the
// operating point that gives the output wanted, and holds the tubes against
// their ratings for one tone, two tones, speech and idling.
//
// It assumes what package tube assumes, and that all tubes are alike unless a
// mismatch is stated.
package operating

import (
	"fmt"
	"math"
	"sort"

	"anodebook/compute/preferred"
	"anodebook/compute/tube"
	"anodebook/compute/tube/custom"
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

// Bias is the cathode bias that was chosen.
type Bias struct {
	Voltage float64 // cathode above ground [V]
	Reason  string  // why, for the list of assumptions; empty where the spec says it
}

// idleShare of the rated plate dissipation is what the idle current may heat
// before bias is added, and idleTarget is what the added bias aims at (common
// practice: tubes idle cool enough to be left in transmit).
const (
	idleShare  = 0.5
	idleTarget = 0.35
)

// ChooseBias takes the bias from the spec, or finds it from the idle current
// wanted, or takes the published bias of the type at the plate voltage
// [V] and raises it to a preferred value where the tubes would idle too hot.
func ChooseBias(s *spec.Spec, t *tube.Type, plateVoltage float64) Bias {
	switch {
	case s.Bias.Voltage.Given:
		return Bias{Voltage: s.Bias.Voltage.SI}
	case s.Bias.Device.Given && s.Bias.Device.Value == "none":
		return Bias{Voltage: 0, Reason: "the spec asks for no bias device"}
	case s.Bias.IdleCurrent.Given:
		v := tube.BiasForIdle(t.Model, plateVoltage, s.Bias.IdleCurrent.SI/float64(s.Tubes.Count.N))
		return Bias{Voltage: math.Max(0, v)}
	}
	v := publishedBias(t, plateVoltage)
	reason, whose := fmt.Sprintf("published for the %s near this plate voltage", t.Name), "published bias"
	if t.Own {
		reason, whose = fmt.Sprintf("as in the builder's columns of the %s near this plate voltage", t.Name), "bias of the builder's columns"
	}
	limit := t.Limits.PlateDissipation
	if limit.Known && tube.Idle(t.Model, plateVoltage, v).PlateDissipation > idleShare*limit.Value {
		v = tube.BiasForIdle(t.Model, plateVoltage, idleTarget*limit.Value/plateVoltage)
		reason = fmt.Sprintf("with the %s the tubes would idle above %.0f %% of their plate dissipation; this one idles near %.0f %% (common practice)", whose, 100*idleShare, 100*idleTarget)
	}
	if v < 0.3 {
		return Bias{Voltage: 0, Reason: reason}
	}
	return Bias{Voltage: preferred.E24.Nearest(v), Reason: reason + ", rounded to a preferred value of a zener diode"}
}

// publishedBias interpolates the bias of the published columns and idle points
// over the plate voltage; outside their range the nearest holds.
func publishedBias(t *tube.Type, plateVoltage float64) float64 {
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
		return 0
	}
	sort.Slice(ps, func(i, j int) bool {
		if ps[i].v != ps[j].v {
			return ps[i].v < ps[j].v
		}
		return ps[i].bias < ps[j].bias
	})
	if plateVoltage <= ps[0].v {
		return ps[0].bias
	}
	for i := 1; i < len(ps); i++ {
		if plateVoltage <= ps[i].v && ps[i].v > ps[i-1].v {
			x := (plateVoltage - ps[i-1].v) / (ps[i].v - ps[i-1].v)
			return ps[i-1].bias + x*(ps[i].bias-ps[i-1].bias)
		}
	}
	return ps[len(ps)-1].bias
}

// Floor is the lowest plate voltage of the cycle [V, to ground]: the spec's, or
// the default of package tube.
func Floor(s *spec.Spec, plateVoltage float64) float64 {
	if s.Tubes.PlateFloor.Given {
		return s.Tubes.PlateFloor.SI
	}
	return tube.DefaultPlateFloor(plateVoltage)
}
