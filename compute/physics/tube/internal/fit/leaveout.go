package fit

import (
	"fmt"

	"anodebook/compute/physics/tube"
)

// LeaveOneOut fits a type without one column (and without the idle point of
// the same plate voltage) and returns what it then predicts for that column.
func LeaveOneOut(t *tube.Type, column string) ([]tube.Residual, error) {
	var kept, left []tube.Column
	for _, c := range t.Columns {
		if c.Name == column {
			left = append(left, c)
		} else {
			kept = append(kept, c)
		}
	}
	if len(left) != 1 || len(kept) == 0 {
		return nil, fmt.Errorf("%s: column %q cannot be left out", t.Name, column)
	}
	var idle, out []tube.IdlePoint
	for _, i := range t.Idle {
		if i.PlateVoltage == left[0].PlateVoltage.Value {
			out = append(out, i)
		} else {
			idle = append(idle, i)
		}
	}
	m, _, err := model(t, kept, idle)
	if err != nil {
		return nil, err
	}
	return tube.Compare(m, left, out)
}

// LeaveEachOut leaves out the columns one after the other and returns what the
// others predict for them; nothing for a type with a single column.
func LeaveEachOut(t *tube.Type) ([]tube.Residual, error) {
	if len(t.Columns) < 2 {
		return nil, nil
	}
	var all []tube.Residual
	for _, c := range t.Columns {
		rs, err := LeaveOneOut(t, c.Name)
		if err != nil {
			return nil, err
		}
		all = append(all, rs...)
	}
	return all, nil
}
