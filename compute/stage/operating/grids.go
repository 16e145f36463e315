package operating

import (
	"anodebook/compute/data/source"
	"anodebook/compute/desk"
	"anodebook/compute/ledger"
	"anodebook/compute/physics/tube"
)

// Both grids of a triode-connected tetrode stand at the same potential, so
// that heat splits between them as current does.
var (
	screenPart = ledger.MustFormula("I_g2 = σ * I_g", source.ScreenShare,
		"I_g2 [A] screen current of each tube", "σ [] screen's share of the grid current",
		"I_g [A] grid current of each tube, both grids")
	controlPart = ledger.MustFormula("I_g1 = (1 - σ) * I_g", source.ScreenShare,
		"I_g1 [A] control-grid current of each tube", "σ [] screen's share of the grid current",
		"I_g [A] grid current of each tube, both grids")
	screenHeat = ledger.MustFormula("P_g2 = σ * P_g", source.ScreenShare,
		"P_g2 [W] screen dissipation of each tube", "σ [] screen's share of the grid current",
		"P_g [W] grid dissipation of each tube, both grids")
	controlHeat = ledger.MustFormula("P_g1 = (1 - σ) * P_g", source.ScreenShare,
		"P_g1 [W] control-grid dissipation of each tube", "σ [] screen's share of the grid current",
		"P_g [W] grid dissipation of each tube, both grids")
)

// gridLimits are what the grids are held against: of a tetrode each grid by
// itself.
func (r *Result) gridLimits(d *desk.Desk) []limit {
	l, advice := r.Type.Limits, "Load heavier, drive less: grids die in seconds."
	current := d.Get("tubes.grid_current_each")
	if !r.Type.Connected {
		return []limit{
			{"power", "grid dissipation, key down", advice, r.GridDissipationEach, l.GridDissipation},
			{"current", "grid current, key down", advice, current, l.GridCurrent},
		}
	}
	share := d.Catalogue("tubes.screen_share", "screen's share of the grid current, both grids at ground", tube.ScreenShare, "%",
		"read off the published columns, second hand; practice also quotes 25 %")
	d.Compute("tubes.screen_current_each", "screen current of each tube", screenPart, ledger.With{"σ": share, "I_g": current})
	control := d.Compute("tubes.control_grid_current_each", "control-grid current of each tube", controlPart,
		ledger.With{"σ": share, "I_g": current})
	heat := ledger.With{"σ": share, "P_g": r.GridDissipationEach}
	return []limit{
		{"power", "control-grid dissipation, key down", advice,
			d.Compute("tubes.control_grid_dissipation_each", "control-grid dissipation of each tube", controlHeat, heat),
			l.GridDissipation},
		{"current", "control-grid current, key down", advice, control, l.GridCurrent},
		{"power", "screen dissipation, key down", advice, d.Compute("tubes.screen_dissipation_each", "screen dissipation of each tube",
			screenHeat, heat), l.ScreenDissipation},
	}
}
