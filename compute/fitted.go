package compute

import (
	"slices"

	"anodebook/compute/ledger"
	"anodebook/spec"
)

// fittings are the parts that the spec can say are not there, by designator.
// Every table with a key "fitted" has its row: a test counts them.
var fittings = []struct {
	key   string
	flag  func(*spec.Spec) spec.Flag
	parts []string
}{
	{"supply.bleeders", func(s *spec.Spec) spec.Flag { return s.Supply.Bleeders.Fitted }, []string{"R3"}},
	{"supply.step_start", func(s *spec.Spec) spec.Flag { return s.Supply.StepStart.Fitted }, []string{"R4", "K3", "K9"}},
	{"plate_feed.bypass", func(s *spec.Spec) spec.Flag { return s.PlateFeed.Bypass.Fitted }, []string{"C4"}},
	{"plate_feed.glitch_resistor", func(s *spec.Spec) spec.Flag { return s.PlateFeed.Glitch.Fitted }, []string{"R1"}},
	{"plate_feed.safety_choke", func(s *spec.Spec) spec.Flag { return s.PlateFeed.Safety.Fitted }, []string{"RFC2"}},
	{"metering.clamps", func(s *spec.Spec) spec.Flag { return s.Metering.Clamps.Fitted }, []string{"D6", "D7"}},
	{"protection.grid_trip", func(s *spec.Spec) spec.Flag { return s.Protection.GridTrip.Fitted }, []string{"K5"}},
	{"protection.plate_trip", func(s *spec.Spec) spec.Flag { return s.Protection.PlateTrip.Fitted }, []string{"K6"}},
	{"protection.hv_fuse", func(s *spec.Spec) spec.Flag { return s.Protection.HVFuse.Fitted }, []string{"F2"}},
	{"protection.mains_fuse", func(s *spec.Spec) spec.Flag { return s.Protection.MainsFuse.Fitted }, []string{"F1"}},
	{"protection.interlock", func(s *spec.Spec) spec.Flag { return s.Protection.Interlock.Fitted }, []string{"S5"}},
	{"cooling.blower", func(s *spec.Spec) spec.Flag { return s.Cooling.Blower.Fitted }, []string{"B1", "K8"}},
}

// leaveOut takes off the parts list what the spec says is not fitted, whichever
// stage entered it: what is not there is neither bought nor drawn.
func leaveOut(s *spec.Spec, b *ledger.Book) {
	for _, f := range fittings {
		if f.flag(s).Denied() {
			b.Parts = slices.DeleteFunc(b.Parts, func(p ledger.Part) bool { return slices.Contains(f.parts, p.Designator) })
		}
	}
}
