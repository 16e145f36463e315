package compute

import (
	"anodebook/compute/desk"
	"anodebook/compute/stage/measured"
	"anodebook/compute/stage/tank"
	"anodebook/spec"
)

// measure lays the builder's analyser files over the computed networks.
func (d *Design) measure(k *desk.Desk, s *spec.Spec, bands []tank.Band) (err error) {
	if len(s.Measured) == 0 {
		return nil
	}
	in := measured.Input{PlateLoad: d.Operating.PlateLoad.Value, CathodeResistance: d.Operating.InputResistance.Value,
		ChokeImpedance: d.PlateFeed.ChokeImpedance}
	for i, b := range bands {
		in.Bands = append(in.Bands, measured.Band{Name: b.Name, Low: b.Low, High: b.High, Centre: b.Centre, Tank: d.Tank.Bands[i].Tank,
			Input: d.Input.Bands[i].Network})
	}
	d.Measured, err = measured.Solve(k, in)
	return err
}
