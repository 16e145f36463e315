package tuning

import "anodebook/compute/physics/tube"

// Limits are the maximum ratings of one tube; 0 = not known, so never exceeded.
type Limits struct {
	PlateDissipation float64 // [W]
	GridDissipation  float64 // [W]
	PlateCurrent     float64 // DC [A]
	GridCurrent      float64 // DC [A]
	CathodeCurrent   float64 // DC [A]
}

// The limits by name, in their order.
var limitNames = [...]string{"plate dissipation", "grid dissipation", "plate current", "grid current", "cathode current"}

// LimitsOf takes the ratings of a type for a steady carrier, as in tuning: the
// higher figures for speech are left aside, those for forced air taken only
// with it. Of a tetrode with both grids at ground the heat, and the current, of
// both are held against what they may be before either grid exceeds its own
// rating, the screen taking tube.ScreenShare of them.
func LimitsOf(t *tube.Type, forcedAir bool) Limits {
	l := &t.Limits
	dissipation := l.PlateDissipation
	if forcedAir && l.DissipationForced.Known {
		dissipation = l.DissipationForced
	}
	known := func(f tube.Figure) float64 {
		if f.Known {
			return f.Value
		}
		return 0
	}
	heat, current := known(l.GridDissipation), known(l.GridCurrent)
	if t.Connected {
		heat, current = heat/(1-tube.ScreenShare), current/(1-tube.ScreenShare)
		if screen := known(l.ScreenDissipation) / tube.ScreenShare; screen > 0 && (heat == 0 || screen < heat) {
			heat = screen
		}
	}
	return Limits{known(dissipation), heat, known(l.PlateCurrent), current, known(l.CathodeCurrent)}
}

func (l *Limits) list() [len(limitNames)]float64 {
	return [...]float64{l.PlateDissipation, l.GridDissipation, l.PlateCurrent, l.GridCurrent, l.CathodeCurrent}
}

// stresses are what the limits are held against, each tube.
func (r *Reading) stresses(tubes int) [len(limitNames)]float64 {
	per := 1 / float64(tubes)
	return [...]float64{r.PlateDissipationEach, r.GridDissipationEach, r.PlateCurrent * per, r.GridCurrent * per,
		(r.PlateCurrent + r.GridCurrent) * per}
}

// names holds the list of names for every set of limits, so that a map of many
// readings does not allocate.
var names = func() (t [1 << len(limitNames)][]string) {
	for set := range t {
		for k, n := range limitNames {
			if set>>k&1 == 1 {
				t[set] = append(t[set], n)
			}
		}
	}
	return t
}()

func (l *Limits) exceeded(r *Reading, tubes int) []string {
	set, stress := 0, r.stresses(tubes)
	for k, limit := range l.list() {
		if limit > 0 && stress[k] > limit {
			set |= 1 << k
		}
	}
	return names[set]
}

// First returns the limit that the reading stands nearest to or furthest above,
// and stress over limit [1]. No name when no limit is known.
func (l Limits) First(r Reading, tubes int) (name string, factor float64) {
	stress := r.stresses(tubes)
	for k, limit := range l.list() {
		if limit > 0 && stress[k]/limit > factor {
			name, factor = limitNames[k], stress[k]/limit
		}
	}
	return name, factor
}

// Safe reports whether no known limit is exceeded.
func (r Reading) Safe() bool { return len(r.Exceeds) == 0 }
